#include "Response/TextPressures.h"

#include "Quantities/ReferencePressure.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

TextPressures::TextPressures(const ReadableRun& run, std::size_t drive, const ResolvedRecipe& recipe)
    : run_(run),
      drive_(drive),
      record_(run.record().drives.at(drive)),
      noiseField_(recipeField(recipe.recipe, "/subtract_noise")),
      corrections_(run.record(), record_, recipe.recipe, record_.frequencyHz, [](double) { return 1.0; }) {
    positions_ = measuredPositions(record_, recipe.recipe);
    frequencyHz_ = record_.frequencyHz;
    notes_ = corrections_.notes();
    notes_.push_back("made of text responses, on their own grid");
}

void TextPressures::prepare(int workers) {
    columns_.resize(static_cast<std::size_t>(workers));
    others_.resize(static_cast<std::size_t>(workers));
    for (auto& c : columns_) c.resize(2 * frequencyHz_.size());
    for (auto& o : others_) o.resize(frequencyHz_.size());
}

void TextPressures::pressureOf(std::size_t capture, std::vector<float>& columns,
                               std::span<std::complex<double>> out) const {
    run_.readCapture(drive_, capture, columns);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double phase = std::isfinite(columns[out.size() + i]) ? double{columns[out.size() + i]} : 0;
        out[i] = std::polar(referencePressurePa * std::pow(10, double{columns[i]} / 20),
                            phase * std::numbers::pi / 180);
    }
    corrections_.apply(record_.captures[capture], out);
}

void TextPressures::at(std::size_t position, int worker, std::span<std::complex<double>> out) {
    auto& columns = columns_.at(static_cast<std::size_t>(worker));
    meanPressure(
        positions_.at(position).captures, out, others_.at(static_cast<std::size_t>(worker)),
        [&](std::size_t capture, std::span<std::complex<double>> one) { pressureOf(capture, columns, one); });
}

bool TextPressures::hasPhase(int worker) const {
    const auto& columns = columns_.at(static_cast<std::size_t>(worker));
    return std::isfinite(columns[frequencyHz_.size()]);
}

void TextPressures::noisePower(std::size_t, int, std::span<double>) {
    throw Error(ErrorKind::input, "the noise of text responses is not known", noiseField_,
                "Leave the noise in");
}

}  // namespace volvelle
