#include "Figures/InventedPlates.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

std::vector<double> twelfths() {
    std::vector<double> hz;
    for (int k = 0; k <= 119; ++k) hz.push_back(20 * std::exp2(k / 12.0));
    return hz;
}

double bassAndTreble(double f) {
    return -10 * std::log10(1 + std::pow(52 / f, 6)) - 10 * std::log10(1 + std::pow(f / 21000, 6));
}

/// A curve of run `run`: tolerance of a driver near 3 kHz, of the box near 60 Hz, and a level.
double levelOf(double f, std::size_t run, double fall) {
    const double r = static_cast<double>(run), octave = std::log2(f / 1000);
    const double own = 0.35 * std::sin(1.7 * r) +
                       0.5 * std::sin(2.3 * r + 1) * std::exp(-std::pow(octave - 1.6, 2)) +
                       0.8 * std::sin(r * 1.3 + 0.4) * std::exp(-std::pow((octave + 4) * 1.2, 2)) +
                       0.12 * std::sin(11 * octave + 2 * r);
    const double common = 0.8 * std::sin(1.9 * octave) + 0.4 * std::sin(7 * octave);
    return 86 + bassAndTreble(f) + common + (r > 0 ? own : 0) - fall * std::max(0.0, octave + 2.5);
}

PlateWords commonWords() {
    PlateWords words;
    words.title = "Invented two-way 1";
    words.subtitle =
        "Drive front \xC2\xB7 axis 0\xC2\xB0 \xC2\xB7 dB re 20 \xC2\xB5Pa at 1 m, 2.83 V at the terminals of "
        "front";
    words.always = {
        "Window 3.4 ms \xE2\x80\xA6 19.2 ms after time zero \xC2\xB7 not smoothed \xC2\xB7 air as it was."};
    words.origin = "run 3f9c2ab07d41";
    words.programVersion = "0.1.0";
    return words;
}

/// Chance with a seed, the same on every machine.
struct Chance {
    std::mt19937_64 random;
    double between(double a, double b) {
        return a + (b - a) * (static_cast<double>(random() >> 11u) * 0x1p-53);
    }
    bool of(double p) { return between(0, 1) < p; }
    std::size_t upTo(std::size_t low, std::size_t high) {
        return low + static_cast<std::size_t>(random() % (high - low + 1));
    }
};

void varyWords(PlateWords& words, Chance& chance) {
    if (chance.of(0.2)) words.title = std::string(200, 'W');
    if (chance.of(0.2)) words.title = "\xFF\xFE broken <bytes> \x01";
    if (chance.of(0.1)) words = {};
    if (chance.of(0.3)) words.origin = "runs 3f9c2ab07d41, " + std::string(300, 'f');
    for (std::size_t n = chance.upTo(0, 12); n > 0; --n)
        words.notes.push_back(fmt::format("run {} was measured at another distance{}", n,
                                          std::string(chance.of(0.2) ? 400 : 0, 'n')));
}

void varyRow(std::vector<double>& row, Chance& chance, double shift) {
    for (double& v : row) {
        v += shift + chance.between(-0.3, 0.3);
        if (chance.of(0.003)) v = chance.of(0.5) ? nan : v * 3;
    }
    if (chance.of(0.1)) row.clear();
    if (chance.of(0.1)) row.resize(row.size() / 2);
}

Band randomBand(Chance& chance) {
    return chance.of(0.2) ? Band{0, 0} : Band{chance.between(10, 500), chance.between(900, 30000)};
}

std::string randomTitle(const std::string& title, Chance& chance) {
    return chance.of(0.15)
               ? title + " with a name that is far longer than anyone would want it to be, again and again"
               : title;
}

}  // namespace

OverlayPlate inventedOverlay(std::size_t runs, std::size_t curves) {
    OverlayPlate plate;
    plate.words = commonWords();
    plate.words.origin = "runs 3f9c2ab07d41, 91b2c07711ae";
    plate.frequencyHz = twelfths();
    plate.valid = {62.5, 19800};
    for (std::size_t r = 0; r < runs; ++r)
        plate.runs.push_back(fmt::format("serial {:04}, {} May, run {}", 7 + r, 12 + r, "3f9c2ab07d41"));
    const std::array<const char*, 4> titles{"On axis", "Listening window", "Sound power",
                                            "Sound power index"};
    for (std::size_t c = 0; c < curves; ++c) {
        OverlayCurve curve{titles[c], c == 3 ? "Directivity index, dB" : "Level, dB", {}, ""};
        for (std::size_t r = 0; r < runs; ++r) {
            curve.valuesDb.emplace_back();
            for (const double f : plate.frequencyHz) {
                const double power = levelOf(f, r, 1.1), window = levelOf(f, r, 0.12);
                curve.valuesDb.back().push_back(c == 3 ? window - power
                                                       : levelOf(f, r, std::array{0.0, 0.12, 1.1}[c]));
            }
        }
        plate.curves.push_back(curve);
    }
    return plate;
}

SectionsPlate inventedSections(std::size_t curves) {
    SectionsPlate plate;
    plate.words = commonWords();
    plate.words.subtitle =
        "Drive front+rear against front and rear \xC2\xB7 axis 0\xC2\xB0 \xC2\xB7 dB re 20 \xC2\xB5Pa "
        "at 1 m, 2.83 V at the terminals of front";
    plate.frequencyHz = twelfths();
    plate.valid = {62.5, 19800};
    const std::array<const char*, 6> titles{"On axis",     "Listening window",        "Early reflections",
                                            "Sound power", "Early reflections index", "Sound power index"};
    for (std::size_t c = 0; c < curves; ++c) {
        SectionsCurve curve{titles[c], c >= 4 ? "Directivity index, dB" : "Level, dB", {}, {}, {}, ""};
        for (const double f : plate.frequencyHz) {
            const double octave = std::log2(f / 1000), fall = std::array{0.0, 0.12, 0.6, 1.1, 0.0, 0.0}[c];
            const double level = c == 4   ? 0.5 * std::max(0.0, octave + 2.5)
                                 : c == 5 ? std::max(0.0, octave + 2.5)
                                          : levelOf(f, 0, fall);
            curve.coherentSum.push_back(level);
            curve.whole.push_back(level + 0.7 * std::exp(-octave * octave) *
                                              std::sin(3 * octave + static_cast<double>(c)));
            curve.powerSum.push_back(level - (c >= 4 ? 0.4 : 2.6) / (1 + std::exp(2 * (octave - 1))));
        }
        plate.curves.push_back(curve);
    }
    return plate;
}

InteractionPlate inventedInteraction() {
    InteractionPlate plate;
    plate.words = inventedSections(1).words;
    plate.frequencyHz = twelfths();
    plate.valid = {62.5, 19800};
    plate.floorName = "noise of the three captures, drift of the axis checks, air; repeats not measured";
    for (InteractionOrbit* orbit : {&plate.horizontal, &plate.vertical}) {
        const bool flat = orbit == &plate.horizontal;
        for (int a = -170; a <= 180; a += 10) {
            orbit->angleDeg.push_back(a);
            orbit->differenceDb.emplace_back();
            orbit->floorDb.emplace_back();
            for (std::size_t i = 0; i < plate.frequencyHz.size(); ++i) {
                const double octave = std::log2(plate.frequencyHz[i] / 1000),
                             angle = a * std::numbers::pi / 180;
                const double floor = -52 + 0.9 * octave * octave;
                const double real = -14 - 4.5 * octave * octave - 9 * (1 + std::cos(angle)) +
                                    (flat ? 0 : 4 * std::sin(3 * angle));
                const double wobble = 2.2 * std::sin(1.7 * static_cast<double>(i) + a);
                orbit->floorDb.back().push_back(floor);
                orbit->differenceDb.back().push_back(
                    10 * std::log10(std::pow(10, real / 10) + std::pow(10, (floor + wobble) / 10)));
            }
        }
    }
    return plate;
}

OverlayPlate randomOverlay(std::uint64_t seed) {
    Chance chance{std::mt19937_64(seed)};
    OverlayPlate plate = inventedOverlay(chance.upTo(2, 6), chance.upTo(1, 4));
    varyWords(plate.words, chance);
    plate.reference = chance.upTo(0, plate.runs.size() - 1);
    plate.valid = randomBand(chance);
    for (std::string& name : plate.runs) name = randomTitle(name, chance);
    for (OverlayCurve& curve : plate.curves) {
        curve.title = randomTitle(curve.title, chance);
        const double shift = chance.between(-60, 60);
        for (auto& row : curve.valuesDb)
            varyRow(row, chance, shift + chance.between(-1, 1) * (chance.of(0.3) ? 9 : 1));
        if (!chance.of(0.1)) continue;
        curve.valuesDb.clear();
        curve.missing = "many positions are missing: " + std::string(300, 'x');
    }
    return plate;
}

SectionsPlate randomSections(std::uint64_t seed) {
    Chance chance{std::mt19937_64(seed)};
    SectionsPlate plate = inventedSections(chance.upTo(1, 6));
    varyWords(plate.words, chance);
    plate.valid = randomBand(chance);
    const double shift = chance.between(-60, 60);
    for (SectionsCurve& curve : plate.curves) {
        curve.title = randomTitle(curve.title, chance);
        for (auto* row : {&curve.whole, &curve.coherentSum, &curve.powerSum})
            varyRow(*row, chance, shift + chance.between(-3, 3));
        if (!chance.of(0.15)) continue;
        curve.whole.clear();
        curve.missing = "the positions vertical:10 to vertical:170 were not measured of the whole";
    }
    return plate;
}

InteractionPlate randomInteraction(std::uint64_t seed) {
    Chance chance{std::mt19937_64(seed)};
    InteractionPlate plate = inventedInteraction();
    varyWords(plate.words, chance);
    plate.valid = randomBand(chance);
    const double shift = chance.between(-40, 25);
    for (InteractionOrbit* orbit : {&plate.horizontal, &plate.vertical}) {
        for (auto& row : orbit->differenceDb)
            for (double& v : row) v = chance.of(0.003) ? nan : v + shift;
        if (chance.of(0.2)) orbit->floorDb.clear();
        if (chance.of(0.15)) *orbit = {{}, {}, {}, "none of its positions was measured of every section"};
    }
    if (chance.of(0.2)) plate.floorName = std::string(600, 'n');
    if (chance.of(0.2)) plate.floorName = "";
    return plate;
}

}  // namespace volvelle
