#include "Sphere/AlikeDirections.h"
#include "Sphere/AngleSet.h"
#include "Sphere/Quadrature.h"
#include "Text/Csv.h"
#include "Text/Error.h"

#include <fmt/format.h>

namespace volvelle {
namespace {

constexpr std::size_t mostPositions = 20000;
constexpr int highestOrder = 40;

bool listsOrbits(const CsvTable& table) {
    const bool onOrbits = table.hasColumn("orbit") || table.hasColumn("angle_deg");
    const bool onSphere = table.hasColumn("azimuth_deg") || table.hasColumn("elevation_deg");
    if (onOrbits && onSphere)
        throw Error(ErrorKind::input, "columns for orbits and for directions are mixed",
                    fmt::format("{}, line {}", table.source(), table.headerLine()),
                    "Give either orbit and angle_deg, or azimuth_deg and elevation_deg");
    if (onSphere)
        table.requireColumns({"azimuth_deg", "elevation_deg"});
    else
        table.requireColumns({"orbit", "angle_deg"});
    return !onSphere;
}

SetPosition positionOf(const CsvRow& row, bool onOrbits) {
    SetPosition position;
    if (onOrbits) {
        position.orbit =
            row.choice("orbit", {"horizontal", "vertical"}) == 0 ? Orbit::horizontal : Orbit::vertical;
        position.angleDeg = foldedDeg(row.number("angle_deg", Range::between(-360, 360)));
        position.direction = directionOn(*position.orbit, position.angleDeg);
        return position;
    }
    position.direction = direction(row.number("azimuth_deg", Range::between(-360, 360)),
                                   row.number("elevation_deg", Range::between(-90, 90)));
    for (const Orbit orbit : {Orbit::vertical, Orbit::horizontal})
        if (const auto angle = angleOn(orbit, position.direction)) {
            position.orbit = orbit;
            position.angleDeg = *angle;
        }
    return position;
}

/// A table of one axis turns the unit upright through the horizontal orbit, on its side through the vertical
/// one.
Stance stanceOf(const SetPosition& position, bool hasTilt, const CsvRow& row) {
    if (hasTilt || position.orbit == Orbit::horizontal) return Stance::upright;
    if (position.orbit == Orbit::vertical) return Stance::onSide;
    throw row.error("elevation_deg",
                    "names a direction off both orbits, which a table of one axis cannot reach",
                    "Leave it out, or state that the table has a tilt axis");
}

void refuseTwice(const AngleSet& set, const CsvTable& table) {
    for (const Stance stance : {Stance::upright, Stance::onSide}) {
        std::vector<Direction> directions;
        std::vector<const CsvRow*> rows;
        for (std::size_t i = 0; i < set.positions.size(); ++i) {
            if (set.positions[i].stance != stance) continue;
            directions.push_back(set.positions[i].direction);
            rows.push_back(&table.rows()[i]);
        }
        const auto first = firstAlike(directions);
        for (std::size_t i = 0; i < first.size(); ++i)
            if (first[i] != i)
                throw Error(ErrorKind::input,
                            fmt::format("{} is listed already in line {}", positionName(directions[i]),
                                        rows[first[i]]->line()),
                            rows[i]->where(), "Keep one of the two");
    }
}

std::string statement(const AngleSet& set, bool weighted) {
    std::vector<Direction> directions;
    std::vector<double> weights;
    for (const auto& position : set.positions) {
        directions.push_back(position.direction);
        weights.push_back(position.weight);
    }
    const int order = exactOrder(directions, weights, highestOrder);
    return fmt::format("{}: exact up to order {} of spherical harmonics{}",
                       weighted ? "weights of the file" : "each position counts alike", order,
                       order == highestOrder ? " at least" : "; beyond, its error is not known");
}

}  // namespace

AngleSet angleSetFromCsv(std::string_view text, const std::string& source, bool hasTilt) {
    const CsvTable table = CsvTable::parse(text, source, {.hashComments = true});
    const bool onOrbits = listsOrbits(table), weighted = table.hasColumn("weight");
    table.refuseOtherColumns({"orbit", "angle_deg", "azimuth_deg", "elevation_deg", "weight"});
    if (table.rows().empty() || table.rows().size() > mostPositions)
        throw Error(ErrorKind::input, fmt::format("lists {} positions", table.rows().size()), source,
                    fmt::format("List 1 to {}", mostPositions));
    AngleSet set{source, hasTilt, {}, {}};
    double sum = 0;
    for (const auto& row : table.rows()) {
        SetPosition position = positionOf(row, onOrbits);
        position.stance = stanceOf(position, hasTilt, row);
        position.weight = weighted ? row.number("weight", Range::between(0, 1e9)) : 1;
        sum += position.weight;
        set.positions.push_back(position);
    }
    if (!(sum > 0))
        throw Error(ErrorKind::input, "all weights are zero", source,
                    "Give some of them weight, or leave the column out");
    for (auto& position : set.positions) position.weight /= sum;
    refuseTwice(set, table);
    set.quadrature = statement(set, weighted);
    return set;
}

}  // namespace volvelle
