#include "Conductor/Reach.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <cmath>

namespace volvelle {

namespace {

constexpr double slackDeg = 1e-6;

bool isWithin(double deg, double lowest, double highest) {
    return deg >= lowest - slackDeg && deg <= highest + slackDeg;
}

[[noreturn]] void refuse(const Stop& stop, const TableFacts& table, const std::string& needs,
                         const std::string& has) {
    throw Error(ErrorKind::input, fmt::format("needs {}, but {} {}", needs, table.name, has),
                "plan, position " + stop.name,
                "Let the plan's table say what this one can do, or choose positions that it reaches");
}

void requireReach(const Stop& stop, const TableFacts& table) {
    const auto limits = [](double low, double high) {
        return fmt::format("keeps to {}° to {}°", shortestText(low), shortestText(high));
    };
    if (!isWithin(stop.pose.tableDeg, table.lowestDeg, table.highestDeg))
        refuse(stop, table, fmt::format("the table at {}°", shortestText(stop.pose.tableDeg)),
               limits(table.lowestDeg, table.highestDeg));
    const std::string tilt = fmt::format("a tilt of {}°", shortestText(stop.pose.tiltDeg));
    if (!table.hasTilt && std::abs(stop.pose.tiltDeg) > slackDeg) refuse(stop, table, tilt, "has no tilt axis");
    if (table.hasTilt && !isWithin(stop.pose.tiltDeg, table.lowestTiltDeg, table.highestTiltDeg))
        refuse(stop, table, tilt, limits(table.lowestTiltDeg, table.highestTiltDeg) + " with it");
}

}  // namespace

void requireReach(const std::vector<Leg>& legs, const TableFacts& table) {
    for (const Leg& leg : legs) {
        requireReach(leg.axis, table);
        for (const Stop& stop : leg.stops) requireReach(stop, table);
    }
}

}  // namespace volvelle
