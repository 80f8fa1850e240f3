#pragma once

#include "Response/ImpulseMeter.h"
#include "Response/Pressures.h"

#include <memory>
#include <string>
#include <vector>

namespace volvelle {

/// Pressures through windows, straight from the captures of a sealed run; memory does not grow with them.
class WindowedPressures final : public Pressures {
public:
    WindowedPressures(const ReadableRun& run, std::size_t drive, const ResolvedRecipe& recipe,
                      std::vector<double> frequenciesHz);

    void prepare(int workers) override;
    void at(std::size_t position, int worker, std::span<std::complex<double>> out) override;
    void noisePower(std::size_t position, int worker, std::span<double> out) override;

    const ImpulseSource& impulses() const { return impulses_; }

private:
    struct Workspace {
        explicit Workspace(const WindowedPressures& p);
        ImpulseSource::Workspace impulse;
        ImpulseMeter::Workspace meter;
        std::vector<std::complex<double>> other;  ///< of further captures of the position
        std::span<const float> last;              ///< impulse that at() used last
    };

    Workspace& workspaceOf(int worker);
    void pressureOf(std::size_t capture, Workspace& w, std::span<std::complex<double>> out) const;

    const DriveRecord& record_;
    std::string noiseField_;  ///< of the recipe, for messages
    ImpulseSource impulses_;
    ImpulseMeter meter_;
    std::vector<std::unique_ptr<Workspace>> workspaces_;  ///< each made by its own thread, when it begins
};

}  // namespace volvelle
