#include "Comparison/Comparison.h"

#include "Comparison/RunDifferences.h"
#include "Families/MakeFamily.h"
#include "Families/PositionResponses.h"
#include "Families/RunLabel.h"
#include "Response/ResolvedRecipe.h"
#include "Text/Error.h"
#include "Text/Nearest.h"
#include "Text/Number.h"
#include "Text/Version.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double comparedWithinDb = 30;  // of the loudest direction

/// The only drive that all runs have.
std::string onlyCommonDrive(std::span<const ReadableRun* const> runs) {
    std::vector<std::string> common = driveNames(runs.front()->record());
    for (const ReadableRun* run : runs.subspan(1)) {
        const auto names = driveNames(run->record());
        std::erase_if(common, [&](const std::string& name) {
            return std::find(names.begin(), names.end(), name) == names.end();
        });
    }
    if (common.empty())
        throw Error(ErrorKind::input, "the runs have no drive in common", "compare",
                    "Compare runs of the same drive; volvelle show lists them");
    if (common.size() > 1)
        throw Error(ErrorKind::usage, "the runs have several drives in common: " + listed(common), "compare",
                    "Choose one with --drive");
    return common.front();
}

/// What the drive is called in each run.
std::vector<std::string> drivesOf(std::span<const ReadableRun* const> runs, const std::string& wanted) {
    std::vector<std::string> drives;
    for (const ReadableRun* run : runs) {
        try {
            drives.push_back(driveNamed(run->record(), wanted).name);
        } catch (const Error& error) {
            throw Error(error.kind(), error.problem(), run->path() + ", " + error.where(), error.advice());
        }
    }
    return drives;
}

double reachS(const ResolvedRecipe& recipe) {
    return std::max(recipe.window.lengthS(), recipe.lowWindow ? recipe.lowWindow->lengthS() : 0.0);
}

bool sameWindows(const Recipe& a, const Recipe& b) {
    return recipeAsJson(a) == recipeAsJson(b);
}

/// One recipe with numbers for all: of those that the runs would get the one that reaches least far.
Recipe commonRecipe(std::span<const ReadableRun* const> runs, const Recipe& recipe, Comparison& out) {
    std::vector<ResolvedRecipe> own;
    for (const ReadableRun* run : runs) own.push_back(resolveRecipe(run->record(), recipe));
    std::size_t shortest = 0;
    for (std::size_t r = 1; r < own.size(); ++r)
        if (reachS(own[r]) < reachS(own[shortest])) shortest = r;
    const bool allAlike = std::all_of(own.begin(), own.end(), [&](const ResolvedRecipe& r) {
        return sameWindows(r.recipe, own.front().recipe);
    });
    if (!allAlike)
        out.remarks.push_back("recipes differ where each run decides on its windows: all take those of " +
                              runLabel(shortest) + ", the shortest");
    Recipe common = own[shortest].recipe;
    common.axisDeg = recipe.axisDeg;  // each drive's own, unless asked for
    return common;
}

/// What is computed of one run.
struct Side {
    Family family;
    PositionResponses responses;
};

std::vector<double> row(const std::vector<double>* levels, std::size_t size) {
    return levels != nullptr ? *levels : std::vector<double>(size, nan);
}

void addLacking(ComparedLevels& levels, std::size_t run, const std::string& why) {
    const std::string reason = ": " + why;
    if (levels.missing.ends_with(reason))  // as of the run before
        levels.missing.insert(levels.missing.size() - reason.size(), ", " + runLabel(run));
    else
        levels.missing += (levels.missing.empty() ? "" : "; ") + runLabel(run) + reason;
}

void addCurves(Comparison& out, const std::vector<Side>& sides) {
    std::set<std::string> known;
    for (const Side& from : sides)
        for (const Curve& curve : from.family.curves) {
            if (!known.insert(curve.key).second) continue;
            ComparedLevels levels;
            levels.key = curve.key;
            levels.title = curve.title;
            levels.unit = curve.unit;
            for (std::size_t r = 0; r < sides.size(); ++r) {
                const auto& curves = sides[r].family.curves;
                const auto found = std::find_if(curves.begin(), curves.end(),
                                                [&](const Curve& c) { return c.key == curve.key; });
                const bool has = found != curves.end();
                levels.levelDb.push_back(row(has ? &found->levelDb : nullptr, out.frequencyHz.size()));
                if (!has)
                    addLacking(levels, r, "no such curve");
                else if (!found->missing.empty())
                    addLacking(levels, r, found->missing);
            }
            out.curves.push_back(std::move(levels));
        }
}

void addPositions(Comparison& out, const std::vector<Side>& sides) {
    std::set<std::string> known;
    for (const Side& from : sides)
        for (const PositionResponse& response : from.responses.responses) {
            if (!known.insert(response.position).second) continue;
            ComparedLevels levels;
            levels.key = levels.title = response.position;
            for (std::size_t r = 0; r < sides.size(); ++r) {
                const auto& all = sides[r].responses.responses;
                const auto found = std::find_if(all.begin(), all.end(), [&](const PositionResponse& p) {
                    return p.position == response.position;
                });
                levels.levelDb.push_back(
                    row(found != all.end() ? &found->levelDb : nullptr, out.frequencyHz.size()));
                if (found == all.end()) addLacking(levels, r, "not measured or left out");
            }
            out.positions.push_back(std::move(levels));
        }
}

/// Mean over the valid frequencies of first less other; not a number where there are none.
double meanStep(const ComparedLevels& levels, std::size_t run, const Comparison& c) {
    double sum = 0, count = 0;
    for (std::size_t f = 0; f < c.frequencyHz.size(); ++f) {
        const double step = levels.levelDb[0][f] - levels.levelDb[run][f];
        if (c.frequencyHz[f] < c.valid.lowHz || c.frequencyHz[f] > c.valid.highHz || !std::isfinite(step))
            continue;
        sum += step;
        ++count;
    }
    return count > 0 ? sum / count : nan;
}

void align(Comparison& out) {
    const auto curve = [&](const char* key) {
        return std::find_if(out.curves.begin(), out.curves.end(),
                            [&](const ComparedLevels& c) { return c.key == key && c.missing.empty(); });
    };
    auto on = curve("listening_window");
    if (on == out.curves.end()) on = curve("on_axis");
    out.alignedOn = on == out.curves.end() ? "" : on->key;
    for (std::size_t r = 1; r < out.runs.size(); ++r)
        out.runs[r].shiftDb = on == out.curves.end() ? nan : meanStep(*on, r, out);
    for (auto* group : {&out.curves, &out.positions})
        for (ComparedLevels& levels : *group) {
            if (levels.unit == CurveUnit::directivityDb) continue;
            for (std::size_t r = 1; r < out.runs.size(); ++r)
                if (std::isfinite(out.runs[r].shiftDb))
                    for (double& level : levels.levelDb[r]) level += out.runs[r].shiftDb;
        }
    if (out.alignedOn.empty())
        out.remarks.push_back("levels are not aligned: neither listening window nor axis is known of all");
}

void takeDifferences(Comparison& out, ComparedLevels& levels) {
    levels.differenceDb.resize(out.runs.size());
    levels.differs.resize(out.runs.size());
    for (std::size_t r = 1; r < out.runs.size(); ++r) {
        levels.differs[r] = levelDifference(out.valid, out.frequencyHz, levels.levelDb[r], levels.levelDb[0]);
        for (std::size_t f = 0; f < out.frequencyHz.size(); ++f) {
            const bool valid =
                out.frequencyHz[f] >= out.valid.lowHz && out.frequencyHz[f] <= out.valid.highHz;
            levels.differenceDb[r].push_back(valid ? levels.levelDb[r][f] - levels.levelDb[0][f] : nan);
        }
    }
}

std::vector<double> loudestOfFirst(const Comparison& c) {
    std::vector<double> loudest(c.frequencyHz.size(), -std::numeric_limits<double>::infinity());
    for (const ComparedLevels& position : c.positions)
        for (std::size_t f = 0; f < loudest.size(); ++f)
            if (position.levelDb[0][f] > loudest[f]) loudest[f] = position.levelDb[0][f];
    return loudest;
}

void findWorst(Comparison& out) {
    out.worst.resize(out.runs.size());
    const auto loudest = loudestOfFirst(out);
    for (std::size_t r = 1; r < out.runs.size(); ++r)
        for (const ComparedLevels& position : out.positions)
            for (std::size_t f = 0; f < out.frequencyHz.size(); ++f) {
                const double difference = position.differenceDb[r][f], first = position.levelDb[0][f];
                if (!std::isfinite(difference) ||
                    std::max(first, first + difference) < loudest[f] - comparedWithinDb)
                    continue;
                auto& worst = out.worst[r];
                if (worst && std::abs(difference) <= std::abs(worst->differenceDb)) continue;
                worst = WorstDirection{position.key, out.frequencyHz[f], difference, first};
            }
}

void remarkOnPolarity(Comparison& out) {
    for (std::size_t r = 1; r < out.runs.size(); ++r) {
        const ComparedRun& first = out.runs.front();
        const ComparedRun& other = out.runs[r];
        if (first.polarity * other.polarity < 0)
            out.remarks.push_back("polarity is swapped: " + first.label + " " + polarityName(first.polarity) +
                                  ", " + other.label + " " + polarityName(other.polarity));
    }
}

void addRun(Comparison& out, const ReadableRun& run, const Family& family) {
    const std::string label = runLabel(out.runs.size());
    out.runs.push_back({label, run.path(), run.fingerprint(), family.unitModel, family.unitSerial,
                        family.levelStatement, family.polarity, 0, family.validity});
    const std::string beginning = label + ": ";
    for (const std::string& note : family.notes) out.notes.push_back(beginning + note);
    const Band band = family.validity.valid();
    if (out.runs.size() == 1) out.valid = band;
    out.valid = {std::max(out.valid.lowHz, band.lowHz), std::min(out.valid.highHz, band.highHz)};
}

}  // namespace

Comparison compareRuns(std::span<const ReadableRun* const> runs, const std::string& drive,
                       const Recipe& recipe, bool isAligned, int jobs) {
    if (runs.size() < 2 || runs.size() > mostComparedRuns)
        throw Error(ErrorKind::usage, runs.size() < 2 ? "there is nothing to compare with" : "too many runs",
                    "compare", "Name 2 to " + shortestText(mostComparedRuns) + " runs");
    Comparison out;
    const auto drives = drivesOf(runs, drive.empty() ? onlyCommonDrive(runs) : drive);
    out.drive = drives.front();
    out.isAligned = isAligned;
    out.programVersion = programVersion();
    out.remarks = runDifferences(runs, drives, recipe);
    const Recipe common = commonRecipe(runs, recipe, out);
    std::vector<Side> sides;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        sides.push_back({makeFamily(*runs[r], drives[r], common, jobs),
                         positionResponses(*runs[r], drives[r], common, {}, jobs)});
        if (sides[r].family.frequencyHz != sides[0].family.frequencyHz)
            throw Error(ErrorKind::input, "its responses are on other frequencies than those of A",
                        runs[r]->path(), "Compare runs on the same frequencies");
        addRun(out, *runs[r], sides[r].family);
    }
    out.axisDeg = sides.front().family.axisDeg;
    out.frequencyHz = sides.front().family.frequencyHz;
    out.recipeJson = sides.front().family.recipeJson;
    addCurves(out, sides);
    addPositions(out, sides);
    if (isAligned) align(out);
    for (auto* group : {&out.curves, &out.positions})
        for (ComparedLevels& levels : *group) takeDifferences(out, levels);
    findWorst(out);
    remarkOnPolarity(out);
    return out;
}

}  // namespace volvelle
