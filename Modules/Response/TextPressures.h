#pragma once

#include "Response/Pressures.h"

#include <string>
#include <vector>

namespace volvelle {

/// Pressures of a drive that was taken in as text responses, on its own grid. Where the files have no phase
/// it is zero.
class TextPressures final : public Pressures {
public:
    TextPressures(const ReadableRun& run, std::size_t drive, const ResolvedRecipe& recipe);

    void prepare(int workers) override;
    void at(std::size_t position, int worker, std::span<std::complex<double>> out) override;
    bool hasPhase(int worker) const override;
    void noisePower(std::size_t position, int worker,
                    std::span<double> out) override;  ///< throws Error{input}

private:
    void pressureOf(std::size_t capture, std::vector<float>& columns,
                    std::span<std::complex<double>> out) const;

    const ReadableRun& run_;
    std::size_t drive_;
    const DriveRecord& record_;
    std::string noiseField_;  ///< of the recipe, for messages
    Corrections corrections_;
    std::vector<std::vector<float>> columns_;  ///< per worker: levels, then phases
    std::vector<std::vector<std::complex<double>>> others_;
};

}  // namespace volvelle
