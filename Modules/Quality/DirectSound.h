#pragma once

#include <complex>
#include <vector>

namespace volvelle {

/// The first 0.12 s of an impulse response from its arrival on, in units that all captures of a drive share.
struct DirectSound {
    std::vector<double> thirdOctaveDb;  ///< from 100 Hz to 10 kHz; not a number outside the band
    std::vector<std::complex<float>>
        spectrum;  ///< at directGridHz(), phases against the arrival; zero outside the band
};

/// Twelve frequencies an octave from 100 Hz to 10 kHz.
const std::vector<double>& directGridHz();

/// How much two captures are alike at low frequencies: the correlation of their spectra over two octaves from
/// the lowest third octave in which neither is more than 20 dB below its loudest. 1: alike, whatever their
/// levels; -1: one is the other upside down; about 0: nothing in common. Not a number where there is no such
/// third octave.
double lowFrequencyAgreement(const DirectSound& a, const DirectSound& b);

}  // namespace volvelle
