#pragma once

#include "Chamber/DriverSound.h"
#include "Chamber/FieldBank.h"

#include <complex>
#include <span>
#include <vector>

namespace volvelle {

/// One driver's part in a sound.
struct SoundPart {
    std::size_t cap;                                     ///< number of its cap in the bank
    std::span<const std::complex<double>> acceleration;  ///< spectrum
    double sign;                                         ///< 1 or -1
};

/// How the parts reach the microphone.
struct SoundPath {
    double binHz;           ///< of the spectra
    double speedOfSound;    ///< of the air now
    double referenceSpeed;  ///< that the fields were made for
    double densityRatio;    ///< of the air now to that of the fields
    double delayS;          ///< besides the way
};

/// out[k] += pressure at the microphone in Pa. All spectra have the size of `out`.
void addPressure(const FieldBank::Fields& fields, std::span<const SoundPart> parts, const SoundPath& path,
                 std::span<std::complex<double>> out);

/// values[k] *= e^(-j 2π k turns): a delay of `turns` periods of the first bin.
void delaySpectrum(double turns, std::span<std::complex<double>> values);

}  // namespace volvelle
