#pragma once

#include "Families/CurveDefinitions.h"
#include "Families/Family.h"
#include "Families/Grids.h"
#include "Response/Positions.h"
#include "Run/ReadableRun.h"
#include "Sections/CaptureScatter.h"
#include "Sections/DriveParts.h"

#include <complex>
#include <string>
#include <vector>

namespace volvelle {

/// Pressures of one drive at all positions, in Pa at 1 m for the reference input of the combined drive: per
/// volt (or full scale) of the common excitation, so that those of sections add up. Rows are [position ·
/// frequencies + frequency].
struct HeldDrive {
    std::string name;
    std::vector<char> present;                   ///< [position]
    std::vector<std::complex<double>> pressure;  ///< zero where not present
    /// Expected squared pressure of the noise in it; not a number: not known at a position. Empty: at none.
    std::vector<double> noise;
    std::vector<double>
        scatter;  ///< expected squared departure of repeats; negative: not repeated; empty: none
    std::vector<DriftComparison> drifts;  ///< of axis checks; empty: none
    std::vector<double> temperatureC, distanceM;  ///< [position]; not a number: not stated
    std::vector<double> timeS;  ///< [position] UTC since 1970; not a number: not stated

    bool isPresent(std::size_t position) const { return present[position] != 0; }
};

/// What a run holds of a combined drive and its sections, read once: all windows alike, everything else is
/// made of it without the run.
struct HeldSections {
    std::vector<std::string> sections;
    std::vector<HeldDrive> parts;  ///< one for each section
    HeldDrive whole;
    std::vector<MeasuredPosition> positions;  ///< of any of the drives; those of the combined one first
    Grids grids;
    Recipe recipe;       ///< in force
    double axisDeg = 0;  ///< of the combined drive
    Family head;         ///< origin, level, validity over what the drives have in common; no curves
    Air air = Air::notStated();
    std::vector<std::string> notes;
};

/// Reads the drives with `jobs` threads. Throws Error{input} for text responses without phase, for drives
/// whose frequencies do not agree, and as resolveRecipe and pressuresOf do.
HeldSections holdSections(const ReadableRun& run, const DriveParts& parts, const Recipe& recipe, int jobs);

/// A mean over directions, of held positions.
struct HeldCurve {
    CurveDefinition definition;
    std::vector<std::string> missing;                     ///< positions that are not there
    std::vector<std::pair<std::size_t, double>> weights;  ///< position and weight, in order of position
};

/// The curves of CTA-2034-A about the combined drive's axis, of the positions that are present, in the order
/// of makeFamily.
std::vector<HeldCurve> heldCurves(const HeldSections& held, const std::vector<char>& present);

}  // namespace volvelle
