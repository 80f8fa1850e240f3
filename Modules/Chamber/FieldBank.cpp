#include "Chamber/FieldBank.h"

#include <utility>

namespace volvelle {

FieldBank::FieldBank(const RigidSphere& sphere, std::vector<Cap> caps, double highestHz,
                     std::function<double(double, double)> gainAt)
    : sphere_(sphere), caps_(std::move(caps)), highestHz_(highestHz), gainAt_(std::move(gainAt)) {
}

const CoarseField& FieldBank::field(double distanceM) {
    for (const CoarseField& known : fields_)
        if (known.distanceM() == distanceM) return known;
    if (fields_.size() == mostFields) fields_.pop_front();
    return fields_.emplace_back(sphere_, highestHz_, distanceM);
}

const FieldBank::Fields& FieldBank::at(const Direction& where, double distanceM) {
    for (const Fields& known : directions_)
        if (known.where.azimuthDeg == where.azimuthDeg && known.where.elevationDeg == where.elevationDeg &&
            known.distanceM == distanceM)
            return known;
    const CoarseField& source = field(distanceM);
    Fields fields{where, distanceM, source.stepHz(), source.wayM(), {}};
    std::function<double(double)> gain;
    if (gainAt_) gain = [&](double frequencyHz) { return gainAt_(frequencyHz, distanceM); };
    for (const Cap& cap : caps_) fields.samples.push_back(source.samples(cap, where, gain));
    if (directions_.size() == mostDirections) directions_.pop_front();
    return directions_.emplace_back(std::move(fields));
}

}  // namespace volvelle
