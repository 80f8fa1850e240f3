#include "Response/Corrections.h"

#include "Signal/ComplexLoops.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace volvelle {

namespace {

/// Pascal per volt (or per full scale) of one unit of spectrum.
double sensitivity(const RunRecord& run, const DriveRecord& drive) {
    const Calibration& c = run.calibration;
    // Text responses are levels already; voltsPerFullScale is then the voltage that they were taken at.
    if (drive.form == CaptureForm::textResponse) return 1 / c.voltsPerFullScale;
    const bool loopback = std::find(drive.channelRoles.begin(), drive.channelRoles.end(), "loopback") !=
                          drive.channelRoles.end();
    const double volts = loopback && std::isfinite(c.loopbackVoltsPerFullScale) ? c.loopbackVoltsPerFullScale
                                                                                : c.voltsPerFullScale;
    return c.pascalPerFullScale / volts;
}

bool outside(const MicrophoneResponse& response, std::span<const double> frequenciesHz) {
    return !frequenciesHz.empty() && (frequenciesHz.front() < response.frequencyHz.front() ||
                                      frequenciesHz.back() > response.frequencyHz.back());
}

}  // namespace

ReferenceInput referenceInput(const RunRecord& run, const DriveRecord& drive) {
    switch (run.plan.driveQuantity) {
        case DriveQuantity::inputVolts:
            return {1, "1 V r.m.s. at the stated input"};
        case DriveQuantity::digitalFullScale:
            return {1, "an r.m.s. of digital full scale at the stated input"};
        case DriveQuantity::unknown:
        case DriveQuantity::terminalVolts:
            break;
    }
    const DrivePlan* planned = plannedDrive(run.plan, drive.name);
    const bool stated = planned != nullptr && !planned->referenceSection.empty();
    return {2.83, "2.83 V at the terminals of " + (stated ? planned->referenceSection : drive.name)};
}

std::complex<double> microphoneFactor(const MicrophoneResponse& response, double frequencyHz) {
    const auto& at = response.frequencyHz;
    const auto above =
        static_cast<std::size_t>(std::upper_bound(at.begin(), at.end(), frequencyHz) - at.begin());
    // Angles go the shorter way round: 179° and -179° are 2° apart.
    const auto value = [&](const std::vector<double>& v,
                           double period = std::numeric_limits<double>::infinity()) {
        if (v.empty()) return 0.0;
        if (above == 0) return v.front();
        if (above == at.size()) return v.back();
        const double part = std::log(frequencyHz / at[above - 1]) / std::log(at[above] / at[above - 1]);
        return v[above - 1] + part * std::remainder(v[above] - v[above - 1], period);
    };
    return std::polar(std::pow(10, value(response.levelDb) / 20),
                      value(response.phaseDeg, 360) * std::numbers::pi / 180);
}

Corrections::Corrections(const RunRecord& run, const DriveRecord& drive, const Recipe& recipe,
                         std::span<const double> frequenciesHz,
                         const std::function<std::complex<double>(double frequencyHz)>& shape)
    : frequenciesHz_(frequenciesHz.begin(), frequenciesHz.end()),
      air_(recipe.air),
      airField_(recipeField(recipe, "/air")),
      runAir_(run.air) {
    const MicrophoneResponse& microphone = run.calibration.microphone;
    const bool correctMicrophone = recipe.microphoneCorrection && microphone.isStated();
    const double scale = sensitivity(run, drive) * referenceInput(run, drive).value;
    for (const double f : frequenciesHz) {
        std::complex<double> divisor = shape(f);
        if (correctMicrophone) divisor *= microphoneFactor(microphone, f);
        factor_.push_back(std::abs(divisor) > 0 ? scale / divisor : 0);
    }
    if (correctMicrophone && outside(microphone, frequenciesHz))
        notes_.push_back("the microphone's response is stated from " +
                         significantText(microphone.frequencyHz.front(), 5) + " to " +
                         significantText(microphone.frequencyHz.back(), 5) +
                         " Hz; its end values are used beyond");
}

double Corrections::airGain(const Capture& capture, double frequencyHz) const {
    const Air& air = capture.air.isStated() ? capture.air : runAir_;
    if (!air.isStated())
        throw Error(ErrorKind::input, "the recipe corrects for air, but the run does not state its air",
                    airField_, "Give --air when the recordings are taken in, or leave the correction out");
    double absorbed = absorptionDbPerM(air, frequencyHz);
    if (air_ == Recipe::AirCorrection::referenceClimate)
        absorbed -= absorptionDbPerM(referenceClimate(), frequencyHz);
    return std::pow(10, absorbed * capture.distanceM / 20);
}

void Corrections::apply(const Capture& capture, std::span<std::complex<double>> spectrum) const {
    multiplyInPlace<double>(spectrum, factor_);
    for (auto& p : spectrum) p *= capture.distanceM;
    if (air_ == Recipe::AirCorrection::none) return;
    for (std::size_t i = 0; i < spectrum.size(); ++i) spectrum[i] *= airGain(capture, frequenciesHz_[i]);
}

}  // namespace volvelle
