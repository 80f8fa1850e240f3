#include "Command/QualityTable.h"

#include "Command/Screen.h"
#include "Families/Completeness.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

namespace volvelle {

namespace {

constexpr std::size_t nameColumns = 14;

/// A drive's name in the first column of a table; a longer one on a line of its own above.
std::string inFirstColumn(const std::string& name) {
    const std::size_t taken = columnsOf(name);
    return taken <= nameColumns ? name + std::string(nameColumns - taken, ' ')
                                : name + "\n" + std::string(nameColumns, ' ');
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

std::string range(const std::vector<double>& values, double scale, int decimals) {
    if (values.empty()) return "–";
    const std::string low = fixedText(values.front() * scale, decimals),
                      high = fixedText(values.back() * scale, decimals);
    return low == high ? low : low + "–" + high;
}

std::string driveRow(const DriveRecord& drive) {
    const auto doubtful = std::count_if(drive.captures.begin(), drive.captures.end(),
                                        [](const Capture& c) { return c.state == CaptureState::doubtful; });
    const auto peaks = sorted(drive, [](const Capture& c) { return c.quality.peakPa; });
    const auto arrivals = sorted(drive, [](const Capture& c) { return c.quality.arrivalS; });
    const auto delays = sorted(drive, [](const Capture& c) { return c.quality.loopbackDelayS; });
    return fmt::format("{} {:>8} {:>8} {:>8} {:>8} {:>13} {:>15}\n", inFirstColumn(drive.name),
                       fmt::format("{}", drive.captures.size()), doubtful,
                       peaks.empty() ? "–" : significantText(peaks.back(), 3),
                       cell(middle(sorted(drive, slowestDecayMs)), 0), range(arrivals, 1000, 2),
                       range(delays, 1000, 3));
}

std::string octaveName(double centreHz) {
    return centreHz < 40    ? "31.5"
           : centreHz < 900 ? fixedText(centreHz < 100   ? 63
                                        : centreHz < 200 ? 125
                                        : centreHz < 300 ? 250
                                                         : 500,
                                        0)
                            : fixedText(std::round(centreHz / 1000), 0) + "k";
}

std::string noiseRow(const DriveRecord& drive) {
    std::string row = inFirstColumn(drive.name);
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

std::string doubtfulRows(const RunRecord& run) {
    std::string rows;
    for (const DriveRecord& drive : run.drives)
        for (const Capture& capture : drive.captures)
            if (capture.state == CaptureState::doubtful)
                rows += wrapped("  " + capture.id + ": " + capture.reason);
    return rows.empty() ? "No capture is doubtful.\n"
                        : "Doubtful captures (used and named unless the recipe excludes them):\n" + rows;
}

std::string captureRow(const Capture& c) {
    const char* state = c.state == CaptureState::kept       ? "kept"
                        : c.state == CaptureState::doubtful ? "doubtful"
                                                            : "superseded";
    return fmt::format("{:<25.25} {:>3} {:<10} {:>6} {:>6} {:>7} {:>8} {:>4} {:>2}\n", positionName(c),
                       c.repeat, state, cell(totalNoiseDb(c), 0), cell(slowestDecayMs(c), 0),
                       cell(c.quality.residueDb, 0), cell(c.quality.arrivalS * 1000, 3),
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
    for (const double centre : judgedOctavesHz()) text += fmt::format(" {:>5}", octaveName(centre));
    text += "\n";
    for (const DriveRecord& drive : run.drives) text += noiseRow(drive);
    return text + "\n" + doubtfulRows(run);
}

std::string captureTable(const RunRecord& run) {
    std::string text;
    for (const DriveRecord& drive : run.drives) {
        text += fmt::format("\n{:<26.26} {:>2} {:<10} {:>6} {:>6} {:>7} {:>8} {:>4} {:>2}\n", drive.name,
                            "rep", "state", "noise", "decay", "residue", "arrival", "clip", "±");
        text +=
            fmt::format("{:<25} {:>3} {:<10} {:>6} {:>6} {:>7} {:>8}\n", "", "", "", "dB", "ms", "dB", "ms");
        for (const Capture& capture : drive.captures) text += captureRow(capture);
    }
    return text;
}

std::string ingestReport(const RunRecord& run, const std::vector<std::string>& remarks,
                         const std::vector<std::string>& warnings) {
    std::string text = qualityReport(run);
    for (const DriveRecord& drive : run.drives)
        text += wrapped("Drive " + drive.name + ": " + completeness(run, drive));
    for (const std::string& remark : remarks) text += wrapped(capitalised(remark));
    for (const std::string& warning : warnings) text += wrapped("Beware: " + warning);
    return text;
}

}  // namespace volvelle
