#pragma once

#include "Families/Family.h"
#include "Families/LevelDifference.h"
#include "Run/ReadableRun.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// One of the runs that are held against each other.
struct ComparedRun {
    std::string label;  ///< "A", "B" ...
    std::string path, fingerprint, unitModel, unitSerial, levelStatement;
    int polarity = 0;    ///< of the first arrival on the axis: +1, -1, 0 not known
    double shiftDb = 0;  ///< added to its levels where they are aligned; not a number: could not be
    Validity validity{};
};

/// The same curve, or the same direction, of all runs; [run][frequency], dB. Not a number: not known.
struct ComparedLevels {
    std::string
        key;  ///< "listening_window"; of a direction its name in the unit's coordinates, "horizontal:50"
    std::string title;
    CurveUnit unit = CurveUnit::pressureLevelDb;
    std::vector<std::vector<double>> levelDb;  ///< aligned, where that was asked for
    /// Less the first run's, where both are valid. The first run's own row is empty.
    std::vector<std::vector<double>> differenceDb;
    std::vector<std::optional<LevelDifference>> differs;  ///< [run]; the first run's is nothing
    std::string missing;  ///< which runs lack it and why; empty where none does
};

/// Where a run departs furthest from the first one in a single direction, among those in which one of the two
/// is at most 30 dB under the first run's loudest direction at that frequency.
struct WorstDirection {
    std::string position;
    double frequencyHz, differenceDb;
    double levelDb;  ///< of the first run there
};

/// Several runs held against the first.
struct Comparison {
    std::string drive;
    double axisDeg = 0;
    std::vector<double> frequencyHz;
    std::vector<ComparedRun> runs;
    std::vector<ComparedLevels> curves, positions;
    std::vector<std::optional<WorstDirection>> worst;  ///< [run]; the first run's is nothing
    Band valid{0, 0};                                  ///< what all have in common
    bool isAligned = false;
    std::string alignedOn;   ///< what alignment was made on
    std::string recipeJson;  ///< in force for all
    std::string programVersion;
    /// What makes the runs less comparable, or differs where one would not expect it: distances, level
    /// references, calibrations, windows, polarity.
    std::vector<std::string> remarks;
    std::vector<std::string> notes;  ///< of the single families, the run's letter first
};

/// Most runs that can be compared at once.
constexpr std::size_t mostComparedRuns = 26;

/// Compares one drive of 2 to 26 runs. drive: empty where all runs have just one in common. All get the same
/// windows: where the recipe leaves them open, those of the run whose own are shortest. Where isAligned, each
/// run's levels are shifted by the mean of its difference to the first over the valid frequencies of the
/// listening window (else of the axis); curves that are differences stay. Throws Error{usage} for numbers of
/// runs out of range and drives that a run lacks (named), Error{input} for text responses on other
/// frequencies, and as makeFamily does.
Comparison compareRuns(std::span<const ReadableRun* const> runs, const std::string& drive,
                       const Recipe& recipe, bool isAligned, int jobs);

}  // namespace volvelle
