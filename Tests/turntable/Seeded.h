#pragma once

#include "turntable/PlayedTable.h"

#include <cstdint>
#include <random>

namespace volvelle {

/// Random choices that are the same everywhere.
class Seeded {
public:
    explicit Seeded(std::uint64_t seed) : random_(seed) {}
    std::uint64_t below(std::uint64_t n) { return random_() % n; }
    double between(double low, double high) {
        return low + (high - low) * static_cast<double>(random_() >> 11) * 0x1p-53;
    }

    /// Faults drawn for movements and lines, as often as that in a thousand.
    PlayedTable::FaultOf faults(std::uint64_t perMilleOfMoves, std::uint64_t perMilleOfLines) {
        return [this, perMilleOfMoves, perMilleOfLines](bool isMovement) {
            static constexpr PlayedFault ofMoves[] = {PlayedFault::stall, PlayedFault::overshoot,
                                                      PlayedFault::powerLoss, PlayedFault::noMove};
            static constexpr PlayedFault ofLines[] = {
                PlayedFault::garbage,   PlayedFault::late,    PlayedFault::echoed, PlayedFault::cut,
                PlayedFault::cutMiddle, PlayedFault::doubled, PlayedFault::silent, PlayedFault::dropped};
            if (below(1000) >= (isMovement ? perMilleOfMoves : perMilleOfLines)) return PlayedFault::none;
            return isMovement ? ofMoves[below(std::size(ofMoves))] : ofLines[below(std::size(ofLines))];
        };
    }

private:
    std::mt19937_64 random_;
};

}  // namespace volvelle
