#pragma once

#include "Chamber/CoarseField.h"

#include <deque>
#include <functional>
#include <memory>
#include <vector>

namespace volvelle {

/// Fields of a unit's caps in the directions met last. Bounded; what it gives does not depend on what it was
/// asked before. Not thread-safe.
class FieldBank {
public:
    /// gainAt: what the air takes on the way, a factor for (frequency, distance); may be empty.
    FieldBank(const RigidSphere& sphere, std::vector<Cap> caps, double highestHz,
              std::function<double(double frequencyHz, double distanceM)> gainAt);

    struct Fields {
        Direction where;
        double distanceM, stepHz, wayM;
        std::vector<std::vector<std::complex<double>>> samples;  ///< of each cap, see CoarseField::samples
    };

    /// Valid until the next call. Throws Error{input} for a distance within the sphere.
    const Fields& at(const Direction& where, double distanceM);

private:
    const CoarseField& field(double distanceM);

    static constexpr std::size_t mostFields = 4, mostDirections = 64;

    RigidSphere sphere_;
    std::vector<Cap> caps_;
    double highestHz_;
    std::function<double(double, double)> gainAt_;
    std::deque<CoarseField> fields_;
    std::deque<Fields> directions_;
};

}  // namespace volvelle
