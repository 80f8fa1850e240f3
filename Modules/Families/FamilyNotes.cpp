#include "Families/FamilyNotes.h"

#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double statedDepartureDeg = 2;  // of true directions from nominal ones
constexpr float comparedWithinDb = 20;
constexpr std::size_t namesShown = 6;

std::string someOf(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < std::min(names.size(), namesShown); ++i)
        text += (i > 0 ? ", " : "") + names[i];
    if (names.size() > namesShown) text += fmt::format(" and {} more", names.size() - namesShown);
    return text;
}

/// "9700", never "9.7e+03".
std::string inTwoDigits(double value) {
    const double step = std::pow(10, std::floor(std::log10(value)) - 1);
    return fixedText(std::round(value / step) * step, 0);
}

std::string stanceDifference(const Family& family, const OrbitIndex& index, double pole,
                             const std::map<std::size_t, std::vector<float>>& levels) {
    const std::string name = significantText(pole, 3) + "°";
    const auto upright = index.measuredOn(Orbit::horizontal, pole);
    const auto turned = index.measuredOn(Orbit::vertical, pole);
    if (!upright || !turned || *upright == *turned)
        return name + " on the vertical orbit against the horizontal one: not measured";
    const auto& a = levels.at(*upright);
    const auto& b = levels.at(*turned);
    // Where the drive is weak the difference would be that of two noises.
    float loudest = -1e9F;
    for (const float level : a) loudest = std::isfinite(level) ? std::max(loudest, level) : loudest;
    double worst = -1, at = 0;
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i) {
        const double f = family.frequencyHz[i];
        if (f < 100 || f > 10000 || !(std::min(a[i], b[i]) > loudest - comparedWithinDb)) continue;
        const double difference = std::abs(double{b[i]} - double{a[i]});
        if (!(difference > worst)) continue;
        worst = difference;
        at = f;
    }
    if (worst < 0)
        return name + " on the vertical orbit against the horizontal one: nothing from 100 Hz to 10 kHz";
    return name + " on the vertical orbit departs from the horizontal one, which is used, by up to " +
           fixedText(worst, 2) + " dB (at " + fixedText(at, 0) +
           " Hz; 100 Hz to 10 kHz, within 20 dB of the loudest)";
}

}  // namespace

std::string missingPositions(const std::vector<std::string>& names) {
    return "not measured or left out: " + someOf(names);
}

std::vector<double> noiseShareDb(const Capture& capture, const ResolvedRecipe& recipe) {
    const auto& perSecond = capture.quality.impulseNoiseDb;
    std::vector<double> share;
    for (std::size_t b = 0; b < perSecond.size(); ++b) {
        const bool low = recipe.lowWindow && judgedOctavesHz()[b] < recipe.recipe.crossFadeHz.value_or(0);
        const double length = low ? recipe.lowWindow->lengthS() : recipe.window.lengthS();
        share.push_back(perSecond[b] + 10 * std::log10(length));
    }
    return share;
}

void addNotes(Family& family, const RunRecord& run, const DriveRecord& drive,
              const std::vector<MeasuredPosition>& positions, const OrbitIndex& index,
              const std::map<std::size_t, std::vector<float>>& levels) {
    auto& notes = family.notes;
    std::vector<std::string> doubtful;
    double departure = 0;
    for (const MeasuredPosition& position : positions) {
        if (position.doubtful) doubtful.push_back(position.name);
        departure = std::max(departure, angleBetweenDeg(position.direction,
                                                        drive.captures[position.captures.front()].direction));
    }
    std::vector<std::string> leftOut;
    for (const Capture& capture : drive.captures)
        if (family.recipe.excludeDoubtful && capture.state == CaptureState::doubtful)
            leftOut.push_back(positionName(capture));
    if (!leftOut.empty()) notes.push_back("left out as doubtful, as the recipe asks: " + someOf(leftOut));
    if (!doubtful.empty())
        notes.push_back(fmt::format("{} doubtful {} used: {}", doubtful.size(),
                                    doubtful.size() == 1 ? "capture is" : "captures are", someOf(doubtful)));
    if (departure > statedDepartureDeg)
        notes.push_back("true directions depart from the nominal ones by up to " + fixedText(departure, 1) +
                        "°, as the reference point lies off the rotation axis");
    if (!index.orbit(Orbit::vertical).empty())
        for (const double pole : {0.0, 180.0})
            family.directionNotes.push_back(stanceDifference(family, index, pole, levels));
    notes.insert(notes.end(), family.directionNotes.begin(), family.directionNotes.end());
    if (std::isfinite(run.unitSizeM) && run.nominalDistanceM < 3 * run.unitSizeM)
        notes.push_back(
            "measured nearer than three times the unit's largest dimension: far-field conditions hold up to "
            "about " +
            inTwoDigits(family.validity.farFieldHz) + " Hz");
    family.averageNotes.emplace_back(
        family.recipe.powerWeights == Recipe::PowerWeights::areas
            ? "sound power: weights as areas, 0° and 180° counted for each half-arc"
            : "sound power: each of the 70 curves once, divided by the sum of weights");
    notes.push_back(family.averageNotes.back());
}

}  // namespace volvelle
