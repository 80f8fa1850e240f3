#include "Export/SmallFamily.h"

#include <cmath>
#include <limits>

namespace volvelle {

Family smallFamily() {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                     infinity = std::numeric_limits<double>::infinity();
    Family f;
    f.drive = "front";
    f.axisDeg = 180;
    f.levelStatement = "dB re 20 µPa at 1 m, 2.83 V at the terminals of front";
    f.frequencyHz = {20, 20 * std::exp2(1.0 / 48), 1000};
    const char* keys[] = {"on_axis",
                          "listening_window",
                          "floor_bounce",
                          "ceiling_bounce",
                          "front_wall_bounce",
                          "side_wall_bounce",
                          "rear_wall_bounce",
                          "early_reflections",
                          "sound_power",
                          "early_reflections_di",
                          "sound_power_di",
                          "estimated_in_room",
                          "horizontal_reflections",
                          "sound_power_level"};
    double base = 60;
    for (const char* key : keys) {
        Curve c;
        c.key = key;
        c.title = key;
        c.levelDb = {base + 0.12345, base + 1.5, -base};
        c.positions = {{"horizontal:0", 0.75}, {"horizontal:10", 0.25}};
        base += 1;
        f.curves.push_back(c);
    }
    f.curves[8].levelDb = {nan, nan, nan};
    f.curves[8].missing = "not measured: vertical:-10, vertical:10";
    f.curves[11].positions.clear();
    f.curves[11].derivation = "12 % listening_window + 44 % early_reflections + 44 % sound_power";
    f.onAxisPhaseDeg = {-179.9996, 0.0004, 90};
    f.onAxisGroupDelayS = {0.0058324567, 0.006, nan};
    f.polarity = -1;
    f.horizontal = {
        Orbit::horizontal, {-10, 0, 10}, {{1, 2, 3}, {4, 5, 6}, {7, 8, nan}}, {infinity, 90.125, nan}};
    f.distortion = {{2, 3, 4, 5},
                    {{0.01, 0.02, 0.0000123456789}, {nan, 0.003, 0.004}, {nan, nan, nan}, {0.1, 0.2, 0.3}},
                    {{1e-5, 1e-5, 1e-5}, {2e-5, 2e-5, 2e-5}, {nan, nan, nan}, {3e-5, 3e-5, 3e-5}},
                    {0.5, 0.25, 0.125},
                    ""};
    f.validity = {66.7, {22, 19800}, 2860, nan, {-40.04, nan}};
    f.recipeJson = R"({"grid": {"kind": "logarithmic"}, "smoothing": 0})";
    f.runFingerprint = "3f9c2ab07d41";
    f.runPath = "/somewhere/else/unit.h5";
    f.unitModel = "Invented, two-way";
    f.programVersion = "0.1.0";
    f.notes = {"doubtful captures are used: horizontal:50 (clipped)", "two\nlines"};
    return f;
}

}  // namespace volvelle
