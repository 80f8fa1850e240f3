#pragma once

namespace volvelle {

/// 20 µPa: what sound pressure levels refer to (ISO 1683).
inline constexpr double referencePressurePa = 20e-6;

}  // namespace volvelle
