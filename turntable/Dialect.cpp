#include "turntable/Dialect.h"

#include <cmath>

namespace volvelle {

double CountForm::countAt(double angleDeg) const {
    const double step = std::pow(10.0, -decimals);
    return std::round(sign * (angleDeg - zeroDeg) / degreesPerCount / step) * step;
}

double CountForm::angleAt(double count) const {
    return sign * count * degreesPerCount + zeroDeg;
}

double CountForm::resolutionDeg() const {
    return degreesPerCount * std::pow(10.0, -decimals);
}

CommandValues Dialect::valuesAt(double angleDeg) const {
    CommandValues values;
    values.count = count.countAt(angleDeg);
    values.countDecimals = count.decimals;
    values.speed = speedDegPerS * speedPerDegPerS;
    values.speedDecimals = speedDecimals;
    return values;
}

}  // namespace volvelle
