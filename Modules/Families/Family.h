#pragma once

#include "Response/Recipe.h"
#include "Signal/Excitation.h"
#include "Signal/Window.h"
#include "Sphere/Direction.h"

#include <complex>
#include <limits>
#include <string>
#include <vector>

namespace volvelle {

/// A position's part in a curve.
struct CurvePosition {
    std::string name;  ///< relative to the drive's axis: "horizontal:50"
    double weight;     ///< of its squared pressure; the weights of a curve add up to one
};

enum class CurveUnit { pressureLevelDb, directivityDb, powerLevelDb };

/// One curve of a family on the family's grid. Empty (not a number) where it is not known.
struct Curve {
    std::string key;    ///< "listening_window": with "_db" appended the column's name
    std::string title;  ///< "Listening window"
    CurveUnit unit = CurveUnit::pressureLevelDb;
    std::vector<double> levelDb;
    std::vector<CurvePosition> positions;  ///< empty for curves made of other curves
    std::string derivation;                ///< "12 % listening window + ...", for curves made of other curves
    std::string missing;                   ///< why it is empty; empty string where it is not
};

/// Levels of all positions of one orbit, relative to the drive's axis, in growing order of angle.
struct DirectivityMap {
    Orbit orbit = Orbit::horizontal;
    std::vector<double> angleDeg;
    std::vector<std::vector<float>> levelDb;  ///< [angle][frequency]; single precision: 1e-5 dB, half the memory
    std::vector<double>
        beamwidthDeg;  ///< -6 dB, per frequency; infinity: never reached; not a number: not known
};

/// Harmonics on the axis as a function of the fundamental. Empty vectors where the excitation tells nothing
/// of them.
struct Distortion {
    std::vector<int> orders;  ///< 2 ... 5
    std::vector<std::vector<double>>
        ratio;  ///< [order][frequency] |h_n(n f)| / |h_1(f)|; not a number outside the band
    std::vector<std::vector<double>> floor;  ///< the same of the noise
    std::vector<double> total;  ///< root of the sum of squares of what is known at that frequency
    std::string missing;
    /// Of the noise in the fundamental, re the fundamental, per frequency; empty or not a number: not known.
    std::vector<double> fundamentalFloor{};
    /// The largest sample of the excitation that was played, before a section's gain; not a number: not known.
    double peakFullScale = std::numeric_limits<double>::quiet_NaN();
    double peakV = std::numeric_limits<double>::quiet_NaN();  ///< nor where the drive quantity is digital
    std::string drivenAt{};  ///< the same in words: "peak of the excitation 5 V"; empty where not known
};

/// Where the family holds.
struct Validity {
    double resolutionHz;     ///< below this the window resolves nothing
    Band excited;            ///< outside nothing was excited
    double farFieldHz;       ///< up to here far-field conditions hold (not a number: unit size not stated)
    double chamberLowestHz;  ///< lowest usable frequency of the chamber (not a number: not stated)
    std::vector<double>
        noiseDb;  ///< per judged octave: noise in the on-axis curve re its level; may be empty
    std::string excitedBy = "excitation";  ///< what bounds `excited`, in words
    Band valid() const;  ///< intersection of resolution, excitation and chamber
};

/// The impulse response on the axis with the windows laid over it, for drawing.
struct WindowedImpulse {
    double sampleRateHz = 0;
    double firstSampleS = 0;
    std::vector<float> samples;  ///< Pa/V (or the drive quantity) per sample
    /// After time zero, as judged of the capture when it was taken in. Not a number: not known.
    double arrivalS = std::numeric_limits<double>::quiet_NaN();
    Window window{};
    bool hasLowWindow = false;
    Window lowWindow{};
    double crossFadeHz = 0;
};

/// The curves that one recipe makes of one drive.
struct Family {
    std::string drive;
    double axisDeg = 0;
    std::string levelStatement;  ///< "dB re 20 µPa at 1 m, 2.83 V at the terminals of front"
    std::vector<double> frequencyHz;
    std::vector<Curve> curves;  ///< in the order of the columns
    std::vector<double> onAxisPhaseDeg, onAxisGroupDelayS;
    std::string onAxisMissing;
    int polarity = 0;  ///< of the first arrival on the axis: +1, -1, 0 not known
    DirectivityMap horizontal, vertical;
    Distortion distortion;
    WindowedImpulse impulse;
    Validity validity{};
    Recipe recipe;  ///< in force, with numbers
    /// Of the run, after time zero: what the recipe's window times are relative to. Not a number: not known.
    double earliestArrivalS = std::numeric_limits<double>::quiet_NaN();
    std::string recipeJson;
    std::string runFingerprint, runPath, unitModel, unitSerial, programVersion;
    std::vector<std::string> notes;  ///< warnings, doubtful captures used, what is missing and why
    /// Those of the notes that concern averages alone, and directions off the axis alone.
    std::vector<std::string> averageNotes, directionNotes;
};

/// The curve of that key. Throws Error{bug} where there is none.
const Curve& curveNamed(const Family& family, const std::string& key);

/// "positive", "negative", "not known" (0).
std::string polarityName(int polarity);

}  // namespace volvelle
