#include "Figures/InventedFamily.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double pi = std::numbers::pi;

double onAxis(double f) {
    const double bass = -10 * std::log10(1 + std::pow(46 / f, 8)),
                 treble = -10 * std::log10(1 + std::pow(f / 24000, 6));
    return 86.5 + bass + treble + 0.7 * std::sin(2.1 * std::log2(f)) +
           0.5 * std::sin(9 * std::log2(f / 1000)) + 1.1 * std::exp(-std::pow(std::log2(f / 9300) * 4, 2));
}

/// Decibels down at an angle: a source that narrows with frequency, the vertical orbit with a dip of two
/// drivers near 2.2 kHz.
double down(double angleDeg, double f, Orbit orbit) {
    const double s = std::sin(angleDeg * pi / 360), narrow = 2 * std::log2(1 + std::pow(f / 700, 0.9));
    double level = -narrow * (2.6 * s * s + 1.6 * std::pow(s, 6));
    if (orbit == Orbit::vertical) {
        const double near = std::exp(-std::pow(std::log2(f / 2200) * 1.6, 2));
        level -= near * 11 * std::pow(std::sin(angleDeg * pi / 75), 2) * (angleDeg > 0 ? 1.0 : 0.6) *
                 std::cos(angleDeg * pi / 360);
    }
    return level + 0.25 * std::sin(angleDeg / 11 + 7 * std::log2(f)) * s;
}

DirectivityMap mapOf(const Family& family, Orbit orbit) {
    DirectivityMap map;
    map.orbit = orbit;
    for (int a = -170; a <= 180; a += 10) {
        map.angleDeg.push_back(a);
        map.levelDb.emplace_back();
        for (const double f : family.frequencyHz)
            map.levelDb.back().push_back(static_cast<float>(onAxis(f) + down(a, f, orbit)));
    }
    for (const double f : family.frequencyHz) {
        double width = std::numeric_limits<double>::infinity();
        for (int a = 180; a >= 1; --a) {
            if (down(a, f, orbit) <= -6) width = 2 * a;
        }
        map.beamwidthDeg.push_back(width);
    }
    return map;
}

Curve meanCurve(const Family& family, const std::string& key, const std::string& title, double lowDeg,
                double highDeg) {
    Curve c;
    c.key = key;
    c.title = title;
    for (int a = static_cast<int>(lowDeg); a <= static_cast<int>(highDeg); a += 10)
        c.positions.push_back({"horizontal:" + fmt::to_string(a), 0});
    for (CurvePosition& p : c.positions) p.weight = 1.0 / static_cast<double>(c.positions.size());
    for (const double f : family.frequencyHz) {
        double sum = 0;
        int n = 0;
        for (int a = static_cast<int>(lowDeg); a <= static_cast<int>(highDeg); a += 10, ++n) {
            sum += std::pow(10, (onAxis(f) + down(a, f, Orbit::horizontal)) / 10);
        }
        c.levelDb.push_back(10 * std::log10(sum / n));
    }
    return c;
}

Curve difference(const Curve& a, const Curve& b, const std::string& key, const std::string& title) {
    Curve c;
    c.key = key;
    c.title = title;
    c.unit = CurveUnit::directivityDb;
    for (std::size_t i = 0; i < a.levelDb.size(); ++i) c.levelDb.push_back(a.levelDb[i] - b.levelDb[i]);
    c.derivation = a.title + " minus " + b.title;
    return c;
}

void addCurves(Family& f) {
    f.curves.push_back(meanCurve(f, "on_axis", "On axis", 0, 0));
    f.curves.push_back(meanCurve(f, "listening_window", "Listening window", -30, 30));
    f.curves.push_back(meanCurve(f, "floor_bounce", "Floor bounce", 20, 40));
    f.curves.push_back(meanCurve(f, "ceiling_bounce", "Ceiling bounce", 40, 60));
    f.curves.push_back(meanCurve(f, "front_wall_bounce", "Front wall bounce", -30, 30));
    f.curves.push_back(meanCurve(f, "side_wall_bounce", "Side wall bounces", 40, 80));
    f.curves.push_back(meanCurve(f, "rear_wall_bounce", "Rear wall bounce", 90, 180));
    f.curves.push_back(meanCurve(f, "early_reflections", "Early reflections", 0, 100));
    f.curves.push_back(meanCurve(f, "sound_power", "Sound power", 0, 180));
    const Curve lw = f.curves[1], er = f.curves[7], sp = f.curves[8];
    f.curves.push_back(difference(lw, er, "early_reflections_di", "Early reflections index"));
    f.curves.push_back(difference(lw, sp, "sound_power_di", "Sound power index"));
    Curve room = er;
    room.key = "estimated_in_room";
    room.title = "Estimated in-room";
    room.positions.clear();
    room.derivation =
        "12 % listening window + 44 % early reflections + 44 % sound power, on squared pressures";
    for (std::size_t i = 0; i < room.levelDb.size(); ++i) {
        room.levelDb[i] = 10 * std::log10(0.12 * std::pow(10, lw.levelDb[i] / 10) +
                                          0.44 * std::pow(10, er.levelDb[i] / 10) +
                                          0.44 * std::pow(10, sp.levelDb[i] / 10));
    }
    f.curves.push_back(room);
    Curve power = sp;
    power.key = "sound_power_level";
    power.title = "Sound power level";
    power.unit = CurveUnit::powerLevelDb;
    for (double& v : power.levelDb) v += 10.99;
    f.curves.push_back(power);
}

void addDistortion(Family& f) {
    Distortion& d = f.distortion;
    d.orders = {2, 3, 4, 5};
    const double at1k[] = {0.0021, 0.0012, 0.00031, 0.00022};
    for (std::size_t k = 0; k < 4; ++k) {
        d.ratio.emplace_back();
        d.floor.emplace_back();
        for (const double hz : f.frequencyHz) {
            const int n = d.orders[k];
            const bool inside = n * hz <= 20000 && hz > 21;
            const double bass = 1 + std::pow(70 / hz, 2.3),
                         hump = 1 + 1.4 * std::exp(-std::pow(std::log2(hz / 2600) * 2, 2));
            const double wobble = std::pow(10, 0.12 * std::sin(5 * std::log2(hz) + n * 2.0));
            d.ratio[k].push_back(inside ? at1k[k] * bass * hump * wobble : nan);
            d.floor[k].push_back(inside ? 0.00006 * (1 + std::pow(90 / hz, 1.4)) * (1 + 0.2 * n) : nan);
        }
    }
    for (std::size_t i = 0; i < f.frequencyHz.size(); ++i) {
        double sum = 0;
        for (const auto& r : d.ratio) sum += std::isfinite(r[i]) ? r[i] * r[i] : 0;
        d.total.push_back(sum > 0 ? std::sqrt(sum) : nan);
    }
}

void addImpulse(Family& f) {
    WindowedImpulse& i = f.impulse;
    i.sampleRateHz = 48000;
    i.firstSampleS = 0.002;
    i.arrivalS = 0.00591;
    i.window = {0.0050, 0.0005, 0.006, 0.0200};
    i.hasLowWindow = true;
    i.lowWindow = {0.0040, 0.001, 0.050, 0.1500};
    i.crossFadeHz = 320;
    std::uint32_t noise = 7;
    for (int n = 0; n < 10000; ++n) {
        const double t = i.firstSampleS + n / 48000.0 - 0.00584;
        noise = noise * 1664525u + 1013904223u;  // the same on every machine
        double v = 4e-5 * (noise / 2147483648.0 - 1);
        if (t > 0) {
            v += std::exp(-t / 0.00011) * std::cos(2 * pi * 7600 * t) +
                 0.32 * std::exp(-t / 0.0009) * std::sin(2 * pi * 1150 * t) +
                 0.03 * std::exp(-t / 0.012) * std::sin(2 * pi * 58 * t) +
                 0.01 * std::exp(-t / 0.003) * std::sin(2 * pi * 3100 * t);
        }
        i.samples.push_back(static_cast<float>(0.41 * v));
    }
}

/// Chance with a seed, the same on every machine.
struct Chance {
    std::mt19937_64 random;
    double between(double a, double b) {
        return a + (b - a) * (static_cast<double>(random() >> 11u) * 0x1p-53);
    }
    bool of(double p) { return between(0, 1) < p; }
};

void varyCurves(Family& f, Chance& chance) {
    const double shift = chance.between(-60, 60), tilt = chance.between(-8, 2);
    for (Curve& c : f.curves) {
        const bool index = c.unit == CurveUnit::directivityDb;
        const double own = chance.of(0.4) ? 0 : chance.between(-6, 6);
        for (std::size_t i = 0; i < c.levelDb.size(); ++i) {
            const double octave = std::abs(std::log2(f.frequencyHz[i] / 1000));
            c.levelDb[i] = index ? c.levelDb[i] * chance.between(0.99, 1.01) + own
                                 : c.levelDb[i] + shift + own + tilt * octave;
            if (chance.of(0.002)) c.levelDb[i] = chance.of(0.5) ? nan : c.levelDb[i] * 4;
        }
        if (chance.of(0.15)) {
            std::fill(c.levelDb.begin(), c.levelDb.end(), nan);
            c.missing =
                chance.of(0.5)
                    ? "position horizontal:" + fmt::to_string(static_cast<int>(chance.between(-170, 180))) +
                          " is missing"
                    : "many positions are missing: " + std::string(300, 'x') +
                          " and the rest of a long reason";
        }
        if (chance.of(0.1))
            c.title = "A title of a curve that is far longer than anyone would want it to be, really";
    }
}

void varyWords(Family& f, Chance& chance) {
    if (chance.of(0.2)) f.unitModel = std::string(200, 'W');
    if (chance.of(0.2)) f.unitModel = "\xFF\xFE broken <bytes> & \"quotes\" \x01";
    if (chance.of(0.2)) f.unitSerial = "";
    if (chance.of(0.2)) f.levelStatement = "";
    if (chance.of(0.3)) f.drive = "front+rear+woofer left+woofer right";
    for (int n = static_cast<int>(chance.between(0, 12)); n > 0; --n) {
        f.notes.push_back("capture front/horizontal:" + fmt::to_string(n * 10) +
                          " is doubtful: clipped for 3 samples" + std::string(chance.of(0.2) ? 400 : 0, 'n'));
    }
}

void varyLimits(Family& f, Chance& chance) {
    f.validity.resolutionHz = chance.of(0.2) ? nan : chance.between(1, 900);
    f.validity.excited =
        chance.of(0.1) ? Band{nan, nan} : Band{chance.between(5, 200), chance.between(2000, 48000)};
    f.validity.farFieldHz = chance.of(0.5) ? nan : chance.between(500, 30000);
    f.impulse.window.endS = f.impulse.window.startS + chance.between(0.001, 0.3);
    f.impulse.lowWindow.endS = f.impulse.window.endS + chance.between(0, 0.3);
    f.impulse.hasLowWindow = chance.of(0.6);
    if (chance.of(0.1)) f.impulse.samples.clear();
}

void varyMap(DirectivityMap& map, Chance& chance) {
    for (std::size_t a = 0; a < map.angleDeg.size();) {
        if (chance.of(0.1)) {
            map.angleDeg.erase(map.angleDeg.begin() + static_cast<std::ptrdiff_t>(a));
            map.levelDb.erase(map.levelDb.begin() + static_cast<std::ptrdiff_t>(a));
        } else {
            ++a;
        }
    }
    if (chance.of(0.1)) map = {};
    for (auto& row : map.levelDb) {
        for (float& v : row) v += static_cast<float>(chance.between(-1, 1));
    }
}

}  // namespace

Family inventedFamily() {
    Family f;
    f.drive = "front";
    f.levelStatement = "dB re 20 \xC2\xB5Pa at 1 m, 2.83 V at the terminals of front";
    for (int k = 0; k <= 119; ++k) f.frequencyHz.push_back(20 * std::exp2(k / 12.0));
    addCurves(f);
    for (const double hz : f.frequencyHz) {
        f.onAxisPhaseDeg.push_back(std::remainder(-360 * hz * 0.00584, 360));
        f.onAxisGroupDelayS.push_back(0.00584 + 0.02 / (1 + std::pow(hz / 46, 2)));
    }
    f.polarity = 1;
    f.horizontal = mapOf(f, Orbit::horizontal);
    f.vertical = mapOf(f, Orbit::vertical);
    addDistortion(f);
    addImpulse(f);
    f.validity = {66.7, {22, 19800}, 2860, 60, {}};
    f.recipe.smoothing = 24;
    f.recipe.window.startS = 0.005;
    f.recipeJson = R"({"grid":"logarithmic","per_octave":12,"smoothing":24})";
    f.runFingerprint = "3f9c2ab07d41e8865512cc90aa73bd04f0e17a6653c28d9b1f4407ee2b85d6c1";
    f.runPath = "invented.h5";
    f.unitModel = "Invented two-way 1";
    f.unitSerial = "0007";
    f.programVersion = "0.1.0";
    return f;
}

Family emptyFamily() {
    Family f;
    f.drive = "rear";
    f.frequencyHz = inventedFamily().frequencyHz;
    const std::vector<double> nothing(f.frequencyHz.size(), nan);
    for (const Curve& known : inventedFamily().curves) {
        Curve c = known;
        c.levelDb = nothing;
        c.missing = "The positions vertical:10, vertical:20, vertical:30 are not in the run for this drive.";
        f.curves.push_back(c);
    }
    f.onAxisMissing = "The position horizontal:0 is not in the run for this drive.";
    f.distortion.missing = "The run holds impulse responses: nothing of the harmonics can be told from them.";
    f.validity = {nan, {nan, nan}, nan, nan, {}};
    return f;
}

Family randomFamily(std::uint64_t seed) {
    Chance chance{std::mt19937_64(seed)};
    Family f = inventedFamily();
    varyCurves(f, chance);
    varyWords(f, chance);
    varyLimits(f, chance);
    varyMap(f.horizontal, chance);
    varyMap(f.vertical, chance);
    const double more = std::pow(10, chance.between(-2, 1.2));
    for (auto& r : f.distortion.ratio) {
        for (double& v : r) v *= more * std::pow(10, chance.between(-0.2, 0.2));
    }
    return f;
}

}  // namespace volvelle
