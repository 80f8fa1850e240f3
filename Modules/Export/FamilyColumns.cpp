#include "Export/FamilyColumns.h"

#include "Text/Number.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// The curves that come first in every table, in this order.
constexpr std::array firstCurves{
    "on_axis",           "listening_window",     "floor_bounce",     "ceiling_bounce",
    "front_wall_bounce", "side_wall_bounce",     "rear_wall_bounce", "early_reflections",
    "sound_power",       "early_reflections_di", "sound_power_di",   "estimated_in_room"};

double valueAt(const std::vector<double>& values, std::size_t i) {
    return i < values.size() ? values[i] : nan;
}

/// Ratios in percent span many decades: significant digits.
std::string percentCell(double ratio) {
    return std::isfinite(ratio) ? significantText(100 * ratio, 6) : std::string();
}

std::string widthCell(double widthDeg) {
    return std::isinf(widthDeg) ? "none" : fixedCell(widthDeg, 2);
}

FamilyColumn curveColumn(const std::string& key, const Curve* curve) {
    return {key + "_db", [curve](std::size_t i) {
                return curve == nullptr ? std::string() : fixedCell(valueAt(curve->levelDb, i), 4);
            }};
}

/// Values of one harmonic in `rows`, which go with the orders of the family.
FamilyColumn harmonicColumn(const Distortion& d, const std::vector<std::vector<double>>& rows, int order,
                            const std::string& name) {
    const auto known = std::find(d.orders.begin(), d.orders.end(), order);
    const auto k = static_cast<std::size_t>(known - d.orders.begin());
    return {name, [&rows, k](std::size_t i) {
                return k < rows.size() ? percentCell(valueAt(rows[k], i)) : std::string();
            }};
}

void addCurves(const Family& family, std::vector<FamilyColumn>& columns) {
    for (const std::string key : firstCurves) columns.push_back(curveColumn(key, findCurve(family, key)));
    for (const Curve& curve : family.curves) {
        const bool isFirst = std::any_of(firstCurves.begin(), firstCurves.end(),
                                         [&](const char* key) { return curve.key == key; });
        if (!isFirst) columns.push_back(curveColumn(curve.key, &curve));
    }
}

void addHarmonics(const Distortion& d, std::vector<FamilyColumn>& columns) {
    for (int order = 2; order <= 5; ++order)
        columns.push_back(harmonicColumn(d, d.ratio, order, "harmonic_" + shortestText(order) + "_percent"));
    for (int order = 2; order <= 5; ++order)
        columns.push_back(
            harmonicColumn(d, d.floor, order, "harmonic_" + shortestText(order) + "_floor_percent"));
    columns.push_back({"total_harmonic_distortion_percent",
                       [&d](std::size_t i) { return percentCell(valueAt(d.total, i)); }});
}

}  // namespace

const Curve* findCurve(const Family& family, const std::string& key) {
    const auto found = std::find_if(family.curves.begin(), family.curves.end(),
                                    [&](const Curve& c) { return c.key == key; });
    return found == family.curves.end() ? nullptr : &*found;
}

std::vector<FamilyColumn> familyColumns(const Family& family) {
    std::vector<FamilyColumn> columns;
    columns.push_back(
        {"frequency_hz", [&](std::size_t i) { return significantText(family.frequencyHz[i], 9); }});
    addCurves(family, columns);
    columns.push_back({"on_axis_phase_deg",
                       [&](std::size_t i) { return fixedCell(valueAt(family.onAxisPhaseDeg, i), 3); }});
    columns.push_back({"on_axis_group_delay_ms", [&](std::size_t i) {
                           return fixedCell(1000 * valueAt(family.onAxisGroupDelayS, i), 5);
                       }});
    addHarmonics(family.distortion, columns);
    columns.push_back({"beamwidth_horizontal_deg",
                       [&](std::size_t i) { return widthCell(valueAt(family.horizontal.beamwidthDeg, i)); }});
    columns.push_back({"beamwidth_vertical_deg",
                       [&](std::size_t i) { return widthCell(valueAt(family.vertical.beamwidthDeg, i)); }});
    return columns;
}

}  // namespace volvelle
