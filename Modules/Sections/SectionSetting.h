#pragma once

#include <complex>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// What is done to one section in a trial, on top of the plan's gain, delay and polarity, with which it was
/// measured.
struct SectionSetting {
    double gainDb = 0;
    double delayS = 0;
    bool reversed = false;

    bool isNeutral() const { return gainDb == 0 && delayS == 0 && !reversed; }
};

/// Its factor on pressures at a frequency: ±10^(gain/20) · e^(-j2πf·delay), as spectra follow e^(+jωt).
std::complex<double> factorOf(const SectionSetting& setting, double frequencyHz);

/// One setting for each section from texts like "rear.delay=0.3ms", "rear.gain=-2dB",
/// "rear.polarity=reversed" (delays in s, ms, us or µs, -1 ... 1 s; gains in dB, -100 ... 100; polarity
/// normal or reversed). Throws Error{usage} that names the text for unknown sections, names, units and
/// values, and for what is set twice.
std::vector<SectionSetting> sectionSettings(std::span<const std::string> texts,
                                            std::span<const std::string> sections);

/// "rear: gain -2 dB, delay 0.3 ms, polarity reversed"; nothing for sections that are as measured.
std::vector<std::string> settingStatements(std::span<const SectionSetting> settings,
                                           std::span<const std::string> sections);

}  // namespace volvelle
