#include "Command/QualityTable.h"

#include "Command/Screen.h"
#include "Families/Completeness.h"
#include "Quality/OctaveNames.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <map>
#include <vector>

namespace volvelle {

namespace {

constexpr std::size_t screenColumns = 80, nameColumns = 14, positionColumns = 24;
constexpr std::size_t driveColumns = 30;
constexpr std::size_t namesShown = 4;

/// A name in the first column of a table; a longer one on a line of its own above.
std::string inFirstColumn(const std::string& name, std::size_t columns) {
    const std::size_t taken = columnsOf(name);
    return taken <= columns ? name + std::string(columns - taken, ' ')
                            : shortened(name, screenColumns) + "\n" + std::string(columns, ' ');
}

std::string cell(double value, int decimals) {
    return std::isfinite(value) ? fixedText(value, decimals) : "–";
}

std::vector<double> sorted(const DriveRecord& drive, const std::function<double(const Capture&)>& value) {
    std::vector<double> all;
    for (const Capture& capture : drive.captures)
        if (const double v = value(capture); std::isfinite(v)) all.push_back(v);
    std::sort(all.begin(), all.end());
    return all;
}

double middle(const std::vector<double>& values) {
    return values.empty() ? notStated : values[values.size() / 2];
}

double slowestDecayMs(const Capture& capture) {
    double slowest = notStated;
    for (std::size_t b = 1; b < capture.quality.decayS.size();
         ++b)  // the lowest octave tells of the band limit
        if (const double d = capture.quality.decayS[b]; std::isfinite(d) && !(slowest >= d * 1000))
            slowest = d * 1000;
    return slowest;
}

/// All octaves together, as a level.
double totalNoiseDb(const Capture& capture) {
    double sum = 0;
    for (const double level : capture.quality.noiseDb)
        if (std::isfinite(level)) sum += std::pow(10, level / 10);
    return sum > 0 ? 10 * std::log10(sum) : notStated;
}

/// With fewer decimals where the column is too narrow for all.
std::string range(const std::vector<double>& values, double scale, int decimals, std::size_t columns) {
    if (values.empty()) return "–";
    const std::string low = fixedText(values.front() * scale, decimals),
                      high = fixedText(values.back() * scale, decimals);
    const std::string text = low == high ? low : low + "–" + high;
    return columnsOf(text) <= columns || decimals == 0 ? text : range(values, scale, decimals - 1, columns);
}

std::string driveRow(const DriveRecord& drive) {
    const auto doubtful = std::count_if(drive.captures.begin(), drive.captures.end(),
                                        [](const Capture& c) { return c.state == CaptureState::doubtful; });
    const auto peaks = sorted(drive, [](const Capture& c) { return c.quality.peakPa; });
    const auto arrivals = sorted(drive, [](const Capture& c) { return c.quality.arrivalS; });
    const auto delays = sorted(drive, [](const Capture& c) { return c.quality.loopbackDelayS; });
    return fmt::format("{} {:>8} {:>8} {:>8} {:>8} {:>13} {:>15}\n", inFirstColumn(drive.name, nameColumns),
                       fmt::format("{}", drive.captures.size()), doubtful,
                       peaks.empty() ? "–" : significantText(peaks.back(), 3),
                       cell(middle(sorted(drive, slowestDecayMs)), 0), range(arrivals, 1000, 2, 13),
                       range(delays, 1000, 3, 15));
}

/// As short as a column of the table is narrow: "125", "4k".
std::string octaveHeading(std::size_t octave) {
    const double hz = nominalOctaveHz(octave);
    return hz < 1000 ? significantText(hz, 3) : significantText(hz / 1000, 3) + "k";
}

std::string noiseRow(const DriveRecord& drive) {
    std::string row = inFirstColumn(drive.name, nameColumns);
    for (std::size_t b = 0; b < judgedOctavesHz().size(); ++b)
        row += fmt::format(" {:>5}", cell(middle(sorted(drive,
                                                        [b](const Capture& c) {
                                                            return b < c.quality.noiseDb.size()
                                                                       ? c.quality.noiseDb[b]
                                                                       : notStated;
                                                        })),
                                          0));
    return row + "\n";
}

/// Doubtful captures of a drive whose reasons are the same but for their numbers.
struct Doubt {
    const DriveRecord* drive;
    std::vector<const Capture*> captures;

    std::string text() const {
        const Capture& first = *captures.front();
        if (captures.size() == 1) return idWithin(first.id) + ": " + first.reason;
        std::string names;
        for (std::size_t i = 0; i < std::min(captures.size(), namesShown); ++i)
            names += (i > 0 ? ", " : "") + positionName(*captures[i]);
        if (captures.size() > namesShown) names += fmt::format(" and {} more", captures.size() - namesShown);
        const bool equal = std::all_of(captures.begin(), captures.end(),
                                       [&](const Capture* c) { return c->reason == first.reason; });
        return fmt::format("{}, {} captures ({}): {}{}", shortened(drive->name, driveColumns),
                           captures.size(), names,
                           equal ? "" : "alike but for the numbers, the first: ", first.reason);
    }

private:
    std::string idWithin(const std::string& id) const {
        if (!id.starts_with(drive->name)) return id;
        return shortened(drive->name, driveColumns) + id.substr(drive->name.size());
    }
};

std::string withoutNumbers(const std::string& text) {
    std::string out;
    std::copy_if(text.begin(), text.end(), std::back_inserter(out),
                 [](char c) { return (c < '0' || c > '9') && c != '.'; });
    return out;
}

std::vector<Doubt> doubtsOf(const RunRecord& run) {
    std::vector<Doubt> doubts;
    for (const DriveRecord& drive : run.drives) {
        std::map<std::string, std::size_t> known;
        for (const Capture& capture : drive.captures) {
            if (capture.state != CaptureState::doubtful) continue;
            const auto [at, isNew] = known.emplace(withoutNumbers(capture.reason), doubts.size());
            if (isNew) doubts.push_back({&drive, {}});
            doubts[at->second].captures.push_back(&capture);
        }
    }
    return doubts;
}

std::string doubtfulRows(const RunRecord& run) {
    const std::vector<Doubt> doubts = doubtsOf(run);
    if (doubts.empty()) return "No capture is doubtful.\n";
    std::string rows = "Doubtful captures (used and named unless the recipe excludes them):\n";
    bool condensed = false;
    for (const Doubt& doubt : doubts) {
        rows += wrapped("  " + doubt.text());
        condensed = condensed || doubt.captures.size() > 1;
    }
    return condensed ? rows + "Each with its own reason: volvelle show --captures\n" : rows;
}

/// Why it is not simply kept, and what the manifest noted, on lines of their own.
std::string remarksOn(const Capture& capture) {
    std::string rows;
    if (!capture.reason.empty()) rows += wrapped("    " + capture.reason);
    std::string notes;
    for (const auto& [name, text] : capture.notes) notes += (notes.empty() ? "" : "; ") + name + ": " + text;
    return notes.empty() ? rows : rows + wrapped("    " + notes);
}

std::string captureRow(const Capture& c) {
    const char* state = c.state == CaptureState::kept       ? "kept"
                        : c.state == CaptureState::doubtful ? "doubtful"
                                                            : "superseded";
    return fmt::format("{} {:>4} {:<10} {:>6} {:>6} {:>7} {:>8} {:>4} {:>2}\n",
                       inFirstColumn(positionName(c), positionColumns), c.repeat, state,
                       cell(totalNoiseDb(c), 0), cell(slowestDecayMs(c), 0), cell(c.quality.residueDb, 0),
                       cell(c.quality.arrivalS * 1000, c.quality.arrivalS < 10 ? 3 : 0),
                       cell(c.quality.clippedSamples, 0),
                       c.quality.polarity > 0   ? "+"
                       : c.quality.polarity < 0 ? "−"
                                                : "–");
}

}  // namespace

std::string qualityReport(const RunRecord& run) {
    std::string text = fmt::format("{:<14} {:>8} {:>8} {:>8} {:>8} {:>13} {:>15}\n", "Drive", "captures",
                                   "doubtful", "peak Pa", "decay ms", "arrival ms", "loopback ms");
    for (const DriveRecord& drive : run.drives) text += driveRow(drive);
    text += fmt::format("\n{:<14}", "Noise dB, oct.");
    for (std::size_t b = 0; b < judgedOctavesHz().size(); ++b)
        text += fmt::format(" {:>5}", octaveHeading(b));
    text += "\n";
    for (const DriveRecord& drive : run.drives) text += noiseRow(drive);
    return text + "\n" + doubtfulRows(run);
}

std::string captureTable(const RunRecord& run) {
    std::string text;
    for (const DriveRecord& drive : run.drives) {
        text += fmt::format("\n{} {:>4} {:<10} {:>6} {:>6} {:>7} {:>8} {:>4} {:>2}\n",
                            inFirstColumn(drive.name, positionColumns), "rep", "state", "noise", "decay",
                            "residue", "arrival", "clip", "±");
        text +=
            fmt::format("{:<24} {:>4} {:<10} {:>6} {:>6} {:>7} {:>8}\n", "", "", "", "dB", "ms", "dB", "ms");
        for (const Capture& capture : drive.captures) text += captureRow(capture) + remarksOn(capture);
    }
    return text;
}

std::string ingestReport(const RunRecord& run, const std::vector<std::string>& remarks,
                         const std::vector<std::string>& warnings) {
    std::string text = qualityReport(run);
    for (const DriveRecord& drive : run.drives)
        text += wrapped("Drive " + shortened(drive.name, driveColumns) + ": " + completeness(run, drive));
    for (const std::string& remark : remarks) text += wrapped(capitalised(remark));
    for (const std::string& warning : warnings) text += wrapped("Beware: " + warning);
    return text;
}

}  // namespace volvelle
