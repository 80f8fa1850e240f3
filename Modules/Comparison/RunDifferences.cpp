#include "Comparison/RunDifferences.h"

#include "Families/Grids.h"
#include "Families/MakeFamily.h"
#include "Families/RunLabel.h"
#include "Run/RunNames.h"
#include "Text/Number.h"

#include <cmath>
#include <functional>

namespace volvelle {

namespace {

constexpr double sameDistanceM = 1e-3, sameTemperatureK = 1;

std::string orNotStated(const std::string& text) {
    return text.empty() ? "not stated" : text;
}

std::string measure(double value, const char* unit) {
    return std::isfinite(value) ? significantText(value, 5) + " " + unit : "not stated";
}

/// Mean temperature of a drive's captures, else the run's.
double temperatureC(const RunRecord& run, const DriveRecord& drive) {
    double sum = 0, count = 0;
    for (const Capture& capture : drive.captures) {
        if (capture.kind != CaptureKind::position || !std::isfinite(capture.air.temperatureC)) continue;
        sum += capture.air.temperatureC;
        ++count;
    }
    return count > 0 ? sum / count : run.air.temperatureC;
}

/// Two numbers of which one may not be stated.
bool differ(double a, double b, double tolerance) {
    if (std::isfinite(a) != std::isfinite(b)) return true;
    return std::isfinite(a) && std::abs(a - b) > tolerance;
}

bool sameValues(const MicrophoneResponse& a, const MicrophoneResponse& b) {
    return a.frequencyHz == b.frequencyHz && a.levelDb == b.levelDb && a.phaseDeg == b.phaseDeg;
}

std::string nameOf(const MicrophoneResponse& response) {
    if (!response.isStated()) return "";
    return response.sourceFile.empty() ? "from a file without a name" : response.sourceFile;
}

/// One run seen by the checks.
struct Side {
    std::string label;
    const RunRecord& run;
    const DriveRecord& drive;
};

/// Collects sentences of one run against the first.
class Findings {
public:
    Findings(const Side& first, const Side& other, std::vector<std::string>& out)
        : first_(first), other_(other), out_(out) {}

    void text(const std::string& what, const std::function<std::string(const Side&)>& of) {
        if (of(first_) != of(other_)) say(what, orNotStated(of(first_)), orNotStated(of(other_)));
    }
    /// of: what each is called; the same name is told apart.
    void unless(bool same, const std::string& what, const std::function<std::string(const Side&)>& of) {
        if (same) return;
        const std::string a = orNotStated(of(first_)), b = orNotStated(of(other_));
        say(what, a, a == b ? "other values of that name" : b);
    }
    void number(const std::string& what, const char* unit, double tolerance,
                const std::function<double(const Side&)>& of) {
        if (differ(of(first_), of(other_), tolerance))
            say(what, measure(of(first_), unit), measure(of(other_), unit));
    }

private:
    void say(const std::string& what, const std::string& a, const std::string& b) {
        out_.push_back(what + " differ: " + first_.label + " " + a + ", " + other_.label + " " + b);
    }

    const Side& first_;
    const Side& other_;
    std::vector<std::string>& out_;
};

void addDifferences(const Side& first, const Side& other, const Recipe& recipe,
                    std::vector<std::string>& out) {
    Findings find(first, other, out);
    find.number("distances", "m", sameDistanceM, [](const Side& s) { return s.run.nominalDistanceM; });
    find.text("drive quantities", [](const Side& s) { return wordFor(s.run.plan.driveQuantity); });
    find.text("level references", [](const Side& s) { return levelStatement(s.run, s.drive); });
    find.text("calibrations", [](const Side& s) { return s.run.plan.calibrationId; });
    find.number("axes", "degrees", 1e-6, [&](const Side& s) { return axisOf(s.run, s.drive, recipe); });
    find.unless(sameValues(first.run.calibration.microphone, other.run.calibration.microphone),
                "microphone responses", [](const Side& s) { return nameOf(s.run.calibration.microphone); });
    find.number("mean temperatures", "°C", sameTemperatureK,
                [](const Side& s) { return temperatureC(s.run, s.drive); });
    find.text("kinds of time zero", [](const Side& s) { return wordFor(s.run.timeZero); });
    find.text("forms of the captures", [](const Side& s) { return wordFor(s.drive.form); });
    find.text("models", [](const Side& s) { return s.run.plan.unitModel; });
}

}  // namespace

std::vector<std::string> runDifferences(std::span<const ReadableRun* const> runs,
                                        std::span<const std::string> drives, const Recipe& recipe) {
    std::vector<std::string> out;
    std::vector<Side> sides;
    for (std::size_t r = 0; r < runs.size(); ++r)
        sides.push_back({runLabel(r), runs[r]->record(), driveNamed(runs[r]->record(), drives[r])});
    for (std::size_t r = 1; r < runs.size(); ++r) {
        addDifferences(sides[0], sides[r], recipe, out);
        if (!runs[r]->fingerprint().empty() && runs[r]->fingerprint() == runs[0]->fingerprint())
            out.push_back(sides[r].label + " is the same run as " + sides[0].label);
    }
    return out;
}

}  // namespace volvelle
