#include "Response/Pressures.h"

#include "Response/TextPressures.h"
#include "Response/WindowedPressures.h"
#include "Signal/FrequencyGrid.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace volvelle {

void meanPressure(
    std::span<const std::size_t> captures, std::span<std::complex<double>> out,
    std::span<std::complex<double>> other,
    const std::function<void(std::size_t capture, std::span<std::complex<double>> one)>& pressureOf) {
    pressureOf(captures.front(), out);
    if (captures.size() == 1) return;
    for (const std::size_t capture : captures.subspan(1)) {
        pressureOf(capture, other);
        for (std::size_t i = 0; i < out.size(); ++i) out[i] += other[i];
    }
    for (auto& p : out) p /= static_cast<double>(captures.size());
}

std::vector<double> gridOf(const Recipe& recipe, double sampleRateHz) {
    if (recipe.highHz > sampleRateHz / 2)
        throw Error(ErrorKind::input,
                    fmt::format("the grid goes up to {} Hz, recordings at {} Hz only to {} Hz",
                                shortestText(recipe.highHz), shortestText(sampleRateHz),
                                shortestText(sampleRateHz / 2)),
                    recipeField(recipe, "/grid/high_hz"), "Lower it");
    std::vector<double> grid = recipe.grid == Recipe::Grid::logarithmic
                                   ? logarithmicGrid(recipe.lowHz, recipe.highHz, recipe.perOctave)
                                   : bandCentres(recipe.lowHz, recipe.highHz, recipe.perOctave);
    // Rounding, and the 2 % that band centres may lie beyond, do not lead above half the sample rate.
    while (!grid.empty() && grid.back() > sampleRateHz / 2 * (1 + 1e-9)) grid.pop_back();
    if (grid.empty())
        throw Error(ErrorKind::input,
                    fmt::format("the grid has no band centre from {} to {} Hz", shortestText(recipe.lowHz),
                                shortestText(recipe.highHz)),
                    recipeField(recipe, "/grid"), "Widen it, or raise per_octave");
    grid.back() = std::min(grid.back(), sampleRateHz / 2);
    return grid;
}

std::unique_ptr<Pressures> pressuresOf(const ReadableRun& run, std::size_t drive,
                                       const ResolvedRecipe& recipe, std::vector<double> frequenciesHz) {
    const DriveRecord& record = run.record().drives.at(drive);
    if (record.form == CaptureForm::textResponse) return std::make_unique<TextPressures>(run, drive, recipe);
    if (frequenciesHz.empty()) frequenciesHz = gridOf(recipe.recipe, record.sampleRateHz);
    return std::make_unique<WindowedPressures>(run, drive, recipe, std::move(frequenciesHz));
}

}  // namespace volvelle
