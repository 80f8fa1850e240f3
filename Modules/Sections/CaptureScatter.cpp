#include "Sections/CaptureScatter.h"

#include "Response/ImpulseMeter.h"
#include "Response/Positions.h"
#include "Signal/ParallelFor.h"
#include "Signal/Smoothing.h"
#include "Text/Date.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <span>

namespace volvelle {

namespace {

using Spectrum = std::vector<std::complex<double>>;

/// Pressures of single captures.
class Reader {
public:
    Reader(const ReadableRun& run, std::size_t drive, const ImpulseSource& source,
           const ResolvedRecipe& recipe, const std::vector<double>& frequencyHz)
        : drive_(run.record().drives.at(drive)),
          source_(source),
          meter_(source, run.record(), drive_, recipe, frequencyHz) {}

    struct Workspace {
        explicit Workspace(const Reader& reader) : impulse(reader.source_), meter(reader.meter_) {}
        ImpulseSource::Workspace impulse;
        ImpulseMeter::Workspace meter;
        std::span<const float> last;  ///< impulse that pressure() used last
    };

    Spectrum pressure(std::size_t capture, Workspace& w) const {
        Spectrum out(meter_.frequencyHz().size());
        w.last = source_.impulse(capture, w.impulse);
        meter_.pressure(w.last, drive_.captures[capture], w.meter, out);
        return out;
    }

    /// Expected squared pressure of the noise in what pressure() gave last; zeros where it is not known.
    std::vector<double> noise(std::size_t capture, Workspace& w) const {
        std::vector<double> out(meter_.frequencyHz().size());
        if (!meter_.noisePower(w.last, drive_.captures[capture], w.meter, out))
            std::fill(out.begin(), out.end(), 0.0);
        return out;
    }

    const DriveRecord& drive() const { return drive_; }
    const std::vector<double>& frequencyHz() const { return meter_.frequencyHz(); }

private:
    const DriveRecord& drive_;
    const ImpulseSource& source_;
    ImpulseMeter meter_;
};

std::vector<double> thirdOctaves(const std::vector<double>& power, const std::vector<double>& frequencyHz) {
    return power.size() < 2 ? power : smoothedPower(frequencyHz, power, 3, frequencyHz);
}

/// Σ|p_k - p̄|² / (n - 1).
std::vector<double> variance(const std::vector<Spectrum>& repeats) {
    const auto n = static_cast<double>(repeats.size());
    std::vector<double> out(repeats.front().size());
    for (std::size_t f = 0; f < out.size(); ++f) {
        std::complex<double> mean = 0;
        for (const Spectrum& one : repeats) mean += one[f] / n;
        for (const Spectrum& one : repeats) out[f] += std::norm(one[f] - mean) / (n - 1);
    }
    return out;
}

void addRepeats(CaptureScatter& scatter, const Reader& reader, const Recipe& recipe,
                const std::vector<std::optional<std::size_t>>& positions, int jobs) {
    Recipe everyRepeat = recipe;
    everyRepeat.repeats = Recipe::Repeats::complexMean;
    const auto all = measuredPositions(reader.drive(), everyRepeat);
    std::vector<std::size_t> rows;
    for (std::size_t row = 0; row < positions.size(); ++row)
        if (positions[row] && all.at(*positions[row]).captures.size() > 1) rows.push_back(row);
    if (rows.empty()) return;
    const std::size_t points = reader.frequencyHz().size();
    scatter.repeats.assign(positions.size() * points, -1);
    std::vector<Reader::Workspace> workspaces;
    for (int worker = 0; worker < jobs; ++worker) workspaces.emplace_back(reader);
    parallelFor(rows.size(), jobs, [&](std::size_t i, int worker) {
        std::vector<Spectrum> repeats;
        for (const std::size_t capture : all[*positions[rows[i]]].captures)
            repeats.push_back(reader.pressure(capture, workspaces[static_cast<std::size_t>(worker)]));
        auto power = thirdOctaves(variance(repeats), reader.frequencyHz());
        if (recipe.repeats == Recipe::Repeats::complexMean)
            for (double& p : power) p /= static_cast<double>(repeats.size());
        std::copy(power.begin(), power.end(),
                  scatter.repeats.begin() + static_cast<std::ptrdiff_t>(rows[i] * points));
    });
}

std::vector<std::size_t> axisChecks(const DriveRecord& drive) {
    std::vector<std::size_t> checks;
    for (std::size_t c = 0; c < drive.captures.size(); ++c)
        if (drive.captures[c].kind == CaptureKind::axisCheck &&
            drive.captures[c].state != CaptureState::superseded)
            checks.push_back(c);
    return checks;
}

/// What a check is held against: the position in its direction and stance, else the first check there.
std::size_t firstLike(std::size_t check, const DriveRecord& drive, const std::vector<std::size_t>& checks,
                      const std::vector<MeasuredPosition>& positions) {
    const auto like = [&](const Capture& other) {
        return sameDirection(other.direction, drive.captures[check].direction) &&
               other.stance == drive.captures[check].stance;
    };
    for (const MeasuredPosition& position : positions)
        if (like(drive.captures[position.captures.front()])) return position.captures.front();
    return *std::find_if(checks.begin(), checks.end(),
                         [&](std::size_t c) { return like(drive.captures[c]); });
}

/// One check against what it is held against.
DriftComparison comparisonOf(const Reader& reader, std::size_t first, std::size_t check,
                             Reader::Workspace& workspace) {
    const Spectrum before = reader.pressure(first, workspace);
    const auto noiseBefore = reader.noise(first, workspace);
    const Spectrum now = reader.pressure(check, workspace);
    const auto noiseNow = reader.noise(check, workspace);
    std::vector<double> departure, reference;
    for (std::size_t f = 0; f < before.size(); ++f) {
        departure.push_back(std::norm(now[f] - before[f]));
        reference.push_back(std::norm(before[f]));
    }
    departure = thirdOctaves(departure, reader.frequencyHz());
    reference = thirdOctaves(reference, reader.frequencyHz());
    const auto& captures = reader.drive().captures;
    DriftComparison out{std::vector<double>(departure.size()),
                        std::abs(timeOf(captures[check]) - timeOf(captures[first]))};
    for (std::size_t f = 0; f < departure.size(); ++f) {
        const double noise = noiseBefore[f] + noiseNow[f];  // a departure of less than twice that may be all noise
        if (reference[f] > 0 && departure[f] > 2 * noise)
            out.departure[f] = (departure[f] - noise) / reference[f];
    }
    return out;
}

void addDrift(CaptureScatter& scatter, const Reader& reader, const Recipe& recipe,
              const std::vector<std::size_t>& checks) {
    const auto positions = measuredPositions(reader.drive(), recipe);
    Reader::Workspace workspace(reader);
    for (const std::size_t check : checks) {
        const std::size_t first = firstLike(check, reader.drive(), checks, positions);
        if (first != check) scatter.drifts.push_back(comparisonOf(reader, first, check, workspace));
    }
}

bool anyRepeated(const DriveRecord& drive) {
    return std::any_of(drive.captures.begin(), drive.captures.end(),
                       [](const Capture& c) { return c.kind == CaptureKind::position && c.repeat > 1; });
}

}  // namespace

double timeOf(const Capture& capture) {
    return utcSeconds(capture.utc).value_or(notStated);
}

CaptureScatter captureScatter(const ReadableRun& run, std::size_t drive, const ImpulseSource& source,
                              const ResolvedRecipe& recipe, const std::vector<double>& frequencyHz,
                              const std::vector<std::optional<std::size_t>>& positions, int jobs) {
    CaptureScatter scatter;
    const DriveRecord& record = run.record().drives.at(drive);
    const auto checks = axisChecks(record);
    if (checks.empty() && !anyRepeated(record)) return scatter;
    const Reader reader(run, drive, source, recipe, frequencyHz);
    if (anyRepeated(record)) addRepeats(scatter, reader, recipe.recipe, positions, jobs);
    addDrift(scatter, reader, recipe.recipe, checks);
    return scatter;
}

}  // namespace volvelle
