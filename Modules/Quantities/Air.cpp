#include "Quantities/Air.h"

#include <cmath>
#include <limits>

namespace volvelle {
namespace {

constexpr double referenceTemperatureK = 293.15;  // ISO 9613-1:1993 clause 4.2
constexpr double referencePressureKPa = 101.325;
constexpr double tripleIsothermK = 273.16;

double kelvin(const Air& air) {
    return air.temperatureC + 273.15;
}

/// Molar concentration of water vapour in per cent, ISO 9613-1:1993 annex B.
double waterVapourPercent(const Air& air) {
    const double saturation = std::pow(10, -6.8346 * std::pow(tripleIsothermK / kelvin(air), 1.261) + 4.6151);
    return air.relativeHumidityPercent * saturation * referencePressureKPa / air.pressureKPa;
}

}  // namespace

Air Air::notStated() {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    return {nan, nan, nan};
}

bool Air::isStated() const {
    return !std::isnan(temperatureC) && !std::isnan(relativeHumidityPercent) && !std::isnan(pressureKPa);
}

double speedOfSound(const Air& air) {
    return 343.2 * std::sqrt(kelvin(air) / referenceTemperatureK);
}

double density(const Air& air) {
    return 1.2041 * (air.pressureKPa / referencePressureKPa) * (referenceTemperatureK / kelvin(air));
}

double absorptionDbPerM(const Air& air, double frequencyHz) {
    // Equations (3) to (5) of ISO 9613-1:1993.
    const double pressure = air.pressureKPa / referencePressureKPa;
    const double temperature = kelvin(air) / referenceTemperatureK;
    const double h = waterVapourPercent(air);
    const double oxygenHz = pressure * (24 + 4.04e4 * h * (0.02 + h) / (0.391 + h));
    const double nitrogenHz = pressure / std::sqrt(temperature) *
                              (9 + 280 * h * std::exp(-4.170 * (std::pow(temperature, -1.0 / 3) - 1)));
    const double f2 = frequencyHz * frequencyHz;
    const double classical = 1.84e-11 / pressure * std::sqrt(temperature);
    const double oxygen = 0.01275 * std::exp(-2239.1 / kelvin(air)) / (oxygenHz + f2 / oxygenHz);
    const double nitrogen = 0.1068 * std::exp(-3352.0 / kelvin(air)) / (nitrogenHz + f2 / nitrogenHz);
    return 8.686 * f2 * (classical + std::pow(temperature, -2.5) * (oxygen + nitrogen));
}

Air referenceClimate() {
    return {23, 50, referencePressureKPa};
}

}  // namespace volvelle
