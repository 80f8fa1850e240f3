#pragma once

#include <cstdint>
#include <span>
#include <string_view>

namespace volvelle {

/// Gaussian noise of unit variance from a generator of our own (splitmix64 and the Box-Muller transform), so
/// that a seed gives the same noise everywhere.
class Noise {
public:
    explicit Noise(std::uint64_t seed) : state_(seed) {}

    double operator()();

private:
    double uniform();  ///< 0 < u <= 1

    std::uint64_t state_;
    double spare_ = 0;
    bool hasSpare_ = false;
};

/// Mixes numbers (seed, position, drive, repeat ...) to a seed: noise depends on what it is for, never on the
/// order of events.
std::uint64_t mixedSeed(std::span<const std::uint64_t> parts);

/// A number for a text (hash FNV-1a), the same everywhere: one of the parts of a seed.
std::uint64_t seedOf(std::string_view text);

}  // namespace volvelle
