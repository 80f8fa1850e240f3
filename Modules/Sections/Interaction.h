#pragma once

#include "Sections/HeldSections.h"
#include "Sections/SectionSetting.h"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// Sum and whole at one position, on the wanted frequencies. Not a number: not known.
struct SummedPosition {
    MeasuredPosition at;
    std::string missing;                    ///< which drives lack it; empty where none does
    std::vector<double> wholeDb, wholeDeg;  ///< the combined drive as measured
    std::vector<double> sumDb, sumDeg;      ///< complex sum of the sections
    std::vector<double> powerSumDb;         ///< sum of their squared pressures
    std::vector<double> differenceDb;       ///< |whole - sum| re the whole in its loudest direction
    std::vector<double> floorDb;            ///< what drift, repeats, air and noise leave of it, re the same
    /// whole less sum in level and phase (-180 ... 180); not a number where the whole is more than 30 dB
    /// under its loudest direction.
    std::vector<double> levelDifferenceDb, phaseDifferenceDeg;
};

/// One curve of the family: as measured, of the coherent sum and of the power sum.
struct SummedCurve {
    std::string key, title;
    CurveUnit unit = CurveUnit::pressureLevelDb;
    std::vector<double> wholeDb, sumDb, powerSumDb;
    std::string derivation;  ///< for curves made of other curves
    std::string missing;     ///< why some of it is empty; empty where nothing is
};

/// A combined drive against the sum of its sections.
struct Interaction {
    std::vector<std::string> sections;
    std::vector<SectionSetting> settings;  ///< of the sum, one for each section
    Family head;                           ///< origin, level, axis, validity; no curves
    std::vector<double> frequencyHz;
    std::vector<SummedCurve> curves;        ///< about the combined drive's axis
    std::vector<SummedPosition> positions;  ///< in the unit's directions
    std::string floorStatement;             ///< what the floor is made of, and what is not known
    std::vector<std::string> notes;

    bool isTrial() const;  ///< a section is not as it was measured
};

/// Levels and phases are compared where the whole is at most this far under its loudest direction.
constexpr double comparedDownToDb = -30;

/// Everything about one sum (one setting for each section). The interaction is whole minus sum, with neutral
/// settings; with others it is what the trial changes. Smoothing comes last. Empty outside the band that the
/// drives have in common.
Interaction interactionOf(const HeldSections& held, std::span<const SectionSetting> settings);

/// |whole - sum| over all positions and frequencies of a band, dB re the whole in its loudest direction.
struct BandDifference {
    double lowHz, highHz;
    double rmsDb,
        floorRmsDb;    ///< roots of mean squares: what is expected where nothing interacts is the floor
    double largestDb;  ///< noise alone makes the largest of very many lie some 10 dB above its rms
    double floorDb;    ///< there
    double frequencyHz;
    std::string position;
};

/// Of each octave (exact edges of IEC 61260-1, cut to where the result is valid) that holds something.
std::vector<BandDifference> differencePerOctave(const Interaction& interaction);

}  // namespace volvelle
