#include "Response/Positions.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace volvelle {

namespace {

bool serves(const Capture& capture, const Recipe& recipe) {
    if (capture.kind != CaptureKind::position) return false;
    if (capture.state == CaptureState::superseded) return false;
    return capture.state == CaptureState::kept || !recipe.excludeDoubtful;
}

Direction nominalDirection(const Capture& capture) {
    if (capture.orbit && std::isfinite(capture.angleDeg))
        return directionOn(*capture.orbit, capture.angleDeg);
    return capture.direction;
}

using Key = std::tuple<int, int, int, int>;

/// Directions a thousandth of a degree apart are one; a direction on two orbits or in two stances is two
/// positions.
Key keyOf(const Capture& capture, const Direction& d) {
    const auto thousandths = [](double deg) { return static_cast<int>(std::lround(deg * 1000)); };
    const int orbit = capture.orbit ? (*capture.orbit == Orbit::horizontal ? 1 : 2) : 0;
    return {orbit, static_cast<int>(capture.stance), thousandths(d.azimuthDeg), thousandths(d.elevationDeg)};
}

/// Better serving captures first: not doubtful, then the lower repeat, then the later attempt.
bool servesBetter(const Capture& a, const Capture& b) {
    return std::tuple(a.state != CaptureState::kept, a.repeat, -a.attempt) <
           std::tuple(b.state != CaptureState::kept, b.repeat, -b.attempt);
}

/// Of several attempts of a repeat the one that serves best, which stands first.
void keepOneAttempt(std::vector<std::size_t>& chosen, const DriveRecord& drive) {
    std::set<int> repeats;
    std::erase_if(chosen, [&](std::size_t c) { return !repeats.insert(drive.captures[c].repeat).second; });
}

void chooseCaptures(MeasuredPosition& position, const DriveRecord& drive, const Recipe& recipe) {
    auto& chosen = position.captures;
    std::stable_sort(chosen.begin(), chosen.end(), [&](std::size_t a, std::size_t b) {
        return servesBetter(drive.captures[a], drive.captures[b]);
    });
    if (recipe.repeats == Recipe::Repeats::first)
        chosen.resize(1);
    else
        keepOneAttempt(chosen, drive);
    position.doubtful = std::any_of(chosen.begin(), chosen.end(), [&](std::size_t c) {
        return drive.captures[c].state == CaptureState::doubtful;
    });
}

}  // namespace

std::vector<MeasuredPosition> measuredPositions(const DriveRecord& drive, const Recipe& recipe) {
    std::vector<MeasuredPosition> positions;
    std::map<Key, std::size_t> known;
    for (std::size_t c = 0; c < drive.captures.size(); ++c) {
        const Capture& capture = drive.captures[c];
        if (!serves(capture, recipe)) continue;
        const Direction d = nominalDirection(capture);
        const auto [at, isNew] = known.emplace(keyOf(capture, d), positions.size());
        if (isNew) {
            MeasuredPosition position;
            position.direction = d;
            position.orbit = capture.orbit;
            if (capture.orbit) position.angleDeg = foldedDeg(capture.angleDeg);
            position.name = positionName(d, capture.orbit);
            positions.push_back(position);
        }
        positions[at->second].captures.push_back(c);
    }
    for (MeasuredPosition& position : positions) chooseCaptures(position, drive, recipe);
    return positions;
}

}  // namespace volvelle
