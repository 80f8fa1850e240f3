#include "Families/Family.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

const Curve& curveNamed(const Family& family, const std::string& key) {
    const auto found = std::find_if(family.curves.begin(), family.curves.end(),
                                    [&](const Curve& c) { return c.key == key; });
    if (found == family.curves.end()) throw Error(ErrorKind::bug, "a family has no curve " + key, "", "");
    return *found;
}

std::string polarityName(int polarity) {
    return polarity > 0 ? "positive" : polarity < 0 ? "negative" : "not known";
}

Band Validity::valid() const {
    Band band{std::max(resolutionHz, excited.lowHz), excited.highHz};
    if (std::isfinite(chamberLowestHz)) band.lowHz = std::max(band.lowHz, chamberLowestHz);
    return band;
}

}  // namespace volvelle
