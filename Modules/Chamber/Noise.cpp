#include "Chamber/Noise.h"

#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

std::uint64_t splitmix(std::uint64_t& state) {
    std::uint64_t z = (state += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
}

}  // namespace

double Noise::uniform() {
    return (static_cast<double>(splitmix(state_) >> 11) + 1) * 0x1p-53;
}

double Noise::operator()() {
    if (hasSpare_) {
        hasSpare_ = false;
        return spare_;
    }
    const double radius = std::sqrt(-2 * std::log(uniform()));
    const double turn = 2 * std::numbers::pi * uniform();
    spare_ = radius * std::sin(turn);
    hasSpare_ = true;
    return radius * std::cos(turn);
}

std::uint64_t mixedSeed(std::span<const std::uint64_t> parts) {
    std::uint64_t seed = 0;
    for (const std::uint64_t part : parts) {
        seed ^= part;
        seed = splitmix(seed);
    }
    return seed;
}

std::uint64_t seedOf(std::string_view text) {
    std::uint64_t hash = 0xCBF29CE484222325U;
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001B3U;
    return hash;
}

}  // namespace volvelle
