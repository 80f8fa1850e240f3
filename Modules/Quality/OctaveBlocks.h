#pragma once

#include "Signal/Aligned.h"
#include "Signal/Excitation.h"
#include "Signal/FourierTransform.h"

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// The energy of an impulse response in one octave, block after block of about two periods of the octave's
/// centre. Circular as the impulse is: block 0 begins at time zero.
struct OctaveBlocks {
    double blockS = 0;
    std::vector<double> energy;  ///< sum of squares of the filtered impulse's samples within each block

    double durationS() const { return blockS * static_cast<double>(energy.size()); }
    std::ptrdiff_t index(double timeS) const;    ///< of the block that holds a time; may lie outside
    double at(std::ptrdiff_t index) const;       ///< circular
    double sum(double fromS, double toS) const;  ///< of whole blocks that begin within, circular
};

/// Zero-phase octave filters that are Gaussian over logarithmic frequency (0.35 octave), so that their own
/// response is short: 60 dB down 2.5 periods off its centre. They are faded out at both ends of the excited
/// band, beyond which a deconvolution holds amplified noise. The judged octaves of Run/Capture.h. Immutable;
/// thread-safe.
class OctaveBank {
public:
    static constexpr double widthOctaves = 0.35;

    OctaveBank(std::size_t impulseLength, double sampleRateHz, const Band& band);

    std::size_t count() const { return octaves_.size(); }
    /// Whether the octave's centre lies within the band.
    bool usable(std::size_t octave) const { return octaves_[octave].transformLength > 0; }
    /// Weight of the octave's filter at a frequency, 0 ... 1.
    double weight(std::size_t octave, double frequencyHz) const;

    /// Memory for one thread.
    struct Workspace {
        AlignedVector<std::complex<float>> bins;
        AlignedVector<float> signal;
    };

    /// spectrum: of the impulse, impulseLength / 2 + 1 bins.
    OctaveBlocks blocks(std::size_t octave, std::span<const std::complex<float>> spectrum,
                        Workspace& w) const;

private:
    struct Octave {
        double centreHz;
        std::size_t firstBin, lastBin;
        std::size_t transformLength;  ///< 0: not usable
    };

    std::size_t length_;
    double sampleRateHz_, lowHz_, highHz_;
    std::vector<Octave> octaves_;
};

}  // namespace volvelle
