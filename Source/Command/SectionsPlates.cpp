#include "Command/SectionsPlates.h"

#include "Families/OrbitIndex.h"
#include "Figures/FamilyWords.h"
#include "Figures/Words.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {

namespace {

constexpr std::array drawnCurves{"on_axis", "listening_window", "early_reflections", "sound_power"};

PlateWords wordsFor(const Interaction& interaction) {
    PlateWords words = wordsOf(interaction.head, FigureKind::family,
                               settingStatements(interaction.settings, interaction.sections));
    if (interaction.isTrial()) words.statements.insert(words.statements.begin(), "The sum is a trial.");
    words.subtitle = interaction.head.drive + " against the sum of " + listed(interaction.sections) +
                     " \xC2\xB7 axis " + significantText(interaction.head.axisDeg, 4) + "° \xC2\xB7 " +
                     interaction.head.levelStatement;
    words.notes = interaction.notes;
    words.always = {recipeWords(interaction.head)};  // the figures tell the valid band themselves
    return words;
}

InteractionOrbit orbitOf(const Interaction& interaction, Orbit orbit) {
    std::vector<MeasuredPosition> positions;
    for (const SummedPosition& p : interaction.positions) positions.push_back(p.at);
    const OrbitIndex index(positions, interaction.head.axisDeg);
    InteractionOrbit out;
    for (const auto& entry : index.orbit(orbit)) {
        out.angleDeg.push_back(entry.angleDeg);
        out.differenceDb.push_back(interaction.positions[entry.position].differenceDb);
        out.floorDb.push_back(interaction.positions[entry.position].floorDb);
    }
    if (out.angleDeg.empty()) out.missing = "no positions on the " + orbitName(orbit) + " orbit";
    return out;
}

/// The largest over all directions with the floor there, where some lie on no orbit.
void addLargest(InteractionPlate& plate, const Interaction& interaction) {
    const auto& positions = interaction.positions;
    const bool onOrbits = std::all_of(positions.begin(), positions.end(),
                                      [](const SummedPosition& p) { return p.at.orbit.has_value(); });
    if (onOrbits) return;
    plate.largestDb.assign(plate.frequencyHz.size(), notStated);
    plate.floorDb = plate.largestDb;
    for (const SummedPosition& p : positions)
        for (std::size_t f = 0; f < plate.frequencyHz.size(); ++f) {
            if (!std::isfinite(p.differenceDb[f]) || p.differenceDb[f] <= plate.largestDb[f]) continue;
            plate.largestDb[f] = p.differenceDb[f];
            plate.floorDb[f] = p.floorDb[f];
        }
}

}  // namespace

SectionsPlate sectionsPlate(const Interaction& interaction) {
    SectionsPlate plate;
    plate.words = wordsFor(interaction);
    plate.frequencyHz = interaction.frequencyHz;
    plate.valid = interaction.head.validity.valid();
    for (const char* key : drawnCurves)
        for (const SummedCurve& curve : interaction.curves)
            if (curve.key == key)
                plate.curves.push_back(
                    {curve.title, "Level, dB", curve.wholeDb, curve.sumDb, curve.powerSumDb, curve.missing});
    return plate;
}

InteractionPlate interactionPlate(const Interaction& interaction) {
    InteractionPlate plate;
    plate.words = wordsFor(interaction);
    const Recipe& recipe = interaction.head.recipe;
    if (recipe.lowWindowChoice != Recipe::LowWindow::none && recipe.crossFadeHz)
        plate.words.statements.push_back("Noise in difference and floor falls about " + hertz(*recipe.crossFadeHz) +
                                         ", where the shorter window takes over.");
    plate.frequencyHz = interaction.frequencyHz;
    plate.horizontal = orbitOf(interaction, Orbit::horizontal);
    plate.vertical = orbitOf(interaction, Orbit::vertical);
    addLargest(plate, interaction);
    plate.floorName = interaction.floorStatement;
    plate.valid = interaction.head.validity.valid();
    return plate;
}

}  // namespace volvelle
