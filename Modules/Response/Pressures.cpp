#include "Response/Pressures.h"

#include "Response/TextPressures.h"
#include "Response/WindowedPressures.h"
#include "Signal/FrequencyGrid.h"
#include "Text/Error.h"

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
    const double high = std::min(recipe.highHz, sampleRateHz / 2);
    if (high <= recipe.lowHz)
        throw Error(ErrorKind::input, "the grid lies above half the sample rate", "recipe /grid", "Lower it");
    return recipe.grid == Recipe::Grid::logarithmic ? logarithmicGrid(recipe.lowHz, high, recipe.perOctave)
                                                    : bandCentres(recipe.lowHz, high, recipe.perOctave);
}

std::unique_ptr<Pressures> pressuresOf(const SealedRun& run, std::size_t drive, const ResolvedRecipe& recipe,
                                       std::vector<double> frequenciesHz) {
    const DriveRecord& record = run.record().drives.at(drive);
    if (record.form == CaptureForm::textResponse) return std::make_unique<TextPressures>(run, drive, recipe);
    if (frequenciesHz.empty()) frequenciesHz = gridOf(recipe.recipe, record.sampleRateHz);
    return std::make_unique<WindowedPressures>(run, drive, recipe, std::move(frequenciesHz));
}

}  // namespace volvelle
