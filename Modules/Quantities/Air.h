#pragma once

namespace volvelle {

/// The air of a measurement. Fields that are not a number are 'not stated'.
struct Air {
    double temperatureC;             ///< degrees Celsius
    double relativeHumidityPercent;  ///< 0 ... 100
    double pressureKPa;              ///< kilopascal

    static Air notStated();
    bool isStated() const;  ///< all three fields are numbers
};

/// Speed of sound in m/s: 343.2 sqrt(T / 293.15 K). ISO 9613-1:1993. Needs the temperature; NaN where it is
/// not stated.
double speedOfSound(const Air& air);

/// Density of the (dry) air in kg/m³: 1.2041 at 20 °C and 101.325 kPa, ideal gas. NaN where not stated.
double density(const Air& air);

/// Attenuation of a pure tone in dB per metre, ISO 9613-1:1993. frequencyHz >= 0. NaN where the air is not
/// stated.
double absorptionDbPerM(const Air& air, double frequencyHz);

/// The air in which measurements are compared: 23 °C, 50 %, 101.325 kPa (the reference conditions of ISO
/// 3745:2012).
Air referenceClimate();

}  // namespace volvelle
