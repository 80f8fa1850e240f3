#include "Families/DerivedCurves.h"

#include "Run/Capture.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <numbers>
#include <utility>

namespace volvelle {

namespace {

Curve derived(const Family& family, Curve curve, std::initializer_list<const char*> sources,
              const std::function<double(std::size_t)>& value) {
    for (const char* source : sources) {
        const Curve& from = curveNamed(family, source);
        if (!from.missing.empty()) curve.missing = from.key + ": " + from.missing;
    }
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i)
        curve.levelDb.push_back(curve.missing.empty() ? value(i) : notStated);
    return curve;
}

double power(double levelDb) {
    return std::pow(10, levelDb / 10);
}

Curve index(const Family& family, const char* key, const char* title, const char* against) {
    const auto& window = curveNamed(family, "listening_window").levelDb;
    const auto& other = curveNamed(family, against).levelDb;
    Curve curve;
    curve.key = key;
    curve.title = title;
    curve.unit = CurveUnit::directivityDb;
    curve.derivation = std::string("listening_window minus ") + against;
    return derived(family, std::move(curve), {"listening_window", against},
                   [&](std::size_t i) { return window[i] - other[i]; });
}

Curve inRoom(const Family& family) {
    const auto& window = curveNamed(family, "listening_window").levelDb;
    const auto& early = curveNamed(family, "early_reflections").levelDb;
    const auto& all = curveNamed(family, "sound_power").levelDb;
    Curve curve;
    curve.key = "estimated_in_room";
    curve.title = "Estimated in-room";
    curve.derivation = "12 % listening_window + 44 % early_reflections + 44 % sound_power, squared pressures";
    return derived(
        family, std::move(curve), {"listening_window", "early_reflections", "sound_power"},
        [&](std::size_t i) {
            return 10 * std::log10(0.12 * power(window[i]) + 0.44 * power(early[i]) + 0.44 * power(all[i]));
        });
}

Curve powerLevel(const Family& family, const Air& air) {
    const double impedance = density(air) * speedOfSound(air);
    const bool known = std::isfinite(impedance);
    const double step =
        10 * std::log10(4 * std::numbers::pi) + (known ? 10 * std::log10(400 / impedance) : 0);
    const auto& mean = curveNamed(family, "sound_power").levelDb;
    Curve curve;
    curve.key = "sound_power_level";
    curve.title = "Sound power level";
    curve.unit = CurveUnit::powerLevelDb;
    curve.derivation = "sound_power plus " + fixedText(step, 3) + " dB, re 1 pW" +
                       (known ? ", ρc of the stated air" : ", ρc 400 N·s/m³ as the air is not stated");
    return derived(family, std::move(curve), {"sound_power"}, [&](std::size_t i) { return mean[i] + step; });
}

}  // namespace

void addDerivedCurves(Family& family, const Air& air) {
    std::vector<Curve> indices{
        index(family, "early_reflections_di", "Early reflections index", "early_reflections"),
        index(family, "sound_power_di", "Sound power index", "sound_power"), inRoom(family)};
    Curve level = powerLevel(family, air);
    const auto afterPower = std::find_if(family.curves.begin(), family.curves.end(),
                                         [](const Curve& c) { return c.key == "sound_power"; }) +
                            1;
    family.curves.insert(afterPower, std::make_move_iterator(indices.begin()),
                         std::make_move_iterator(indices.end()));
    family.curves.push_back(std::move(level));
}

}  // namespace volvelle
