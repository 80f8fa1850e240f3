#include "Families/OrbitIndex.h"

#include "Sphere/AngleSet.h"

#include <cmath>

namespace volvelle {

namespace {

int keyOf(double angleDeg) {
    const int hundredths = static_cast<int>(std::lround(foldedDeg(angleDeg) * 100));
    return hundredths == -18000 ? 18000 : hundredths;
}

bool isPole(int key) {
    return key == 0 || key == 18000;
}

}  // namespace

OrbitIndex::OrbitIndex(const std::vector<MeasuredPosition>& positions, double axisDeg) {
    for (std::size_t p = 0; p < positions.size(); ++p) {
        const Direction seen = relativeTo(axisDeg, positions[p].direction);
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
            // A pole measured on one orbit does not count as measured on the other.
            if (positions[p].orbit && *positions[p].orbit != orbit) continue;
            if (const auto angle = angleOn(orbit, seen))
                (orbit == Orbit::horizontal ? horizontal_ : vertical_).emplace(keyOf(*angle), p);
        }
    }
}

std::optional<std::size_t> OrbitIndex::measuredOn(Orbit orbit, double angleDeg) const {
    const auto& map = orbit == Orbit::horizontal ? horizontal_ : vertical_;
    const auto found = map.find(keyOf(angleDeg));
    return found == map.end() ? std::nullopt : std::optional(found->second);
}

std::optional<std::size_t> OrbitIndex::at(Orbit orbit, double angleDeg) const {
    if (!isPole(keyOf(angleDeg))) return measuredOn(orbit, angleDeg);
    if (const auto found = measuredOn(Orbit::horizontal, angleDeg)) return found;
    return measuredOn(Orbit::vertical, angleDeg);
}

std::vector<OrbitIndex::Entry> OrbitIndex::orbit(Orbit orbit) const {
    std::map<int, std::size_t> all = orbit == Orbit::horizontal ? horizontal_ : vertical_;
    if (all.empty()) return {};
    for (const double pole : {0.0, 180.0})
        if (const auto found = at(orbit, pole)) all[keyOf(pole)] = *found;
    std::vector<Entry> entries;
    for (const auto& [key, position] : all) entries.push_back({key / 100.0, position});
    return entries;
}

bool OrbitIndex::isComplete(double stepDeg) const {
    for (const Orbit o : {Orbit::horizontal, Orbit::vertical})
        for (const double angle : orbitAngles(stepDeg))
            if (!at(o, angle)) return false;
    return true;
}

std::optional<double> OrbitIndex::completeStepDeg() const {
    for (const double step : {1.0, 2.0, 2.5, 3.0, 5.0, 10.0})
        if (isComplete(step)) return step;
    return std::nullopt;
}

}  // namespace volvelle
