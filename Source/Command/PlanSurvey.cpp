#include "Command/PlanSurvey.h"

#include "Chamber/Scene.h"
#include "Command/DurationText.h"
#include "Command/Screen.h"
#include "Conductor/Forecast.h"
#include "Conductor/Itinerary.h"
#include "Run/Files.h"
#include "Run/PlanAngles.h"
#include "Run/PlanFaults.h"
#include "Run/RunRecord.h"
#include "Run/SweepPlan.h"
#include "Signal/Excitation.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace volvelle {

namespace {

std::string orNotStated(const std::string& text) {
    return text.empty() ? "not stated" : text;
}

std::string counted(std::size_t count, const std::string& one, const std::string& more) {
    return fmt::format("{} {}", count, count == 1 ? one : more);
}

std::string bytesText(double bytes) {
    if (bytes < 1e6) return fixedText(bytes / 1e3, 0) + " kB";
    if (bytes < 1e9) return fixedText(bytes / 1e6, 0) + " MB";
    return fixedText(bytes / 1e9, 1) + " GB";
}

std::string inTwoDigits(double value) {
    const double step = std::pow(10, std::floor(std::log10(value)) - 1);
    return fixedText(std::round(value / step) * step, 0);
}

/// Everything that the lines are made of.
struct Survey {
    const Plan& plan;
    const std::string& runPath;
    AngleSet set;
    std::optional<Scene> scene;
    ForecastGrounds grounds;
    Forecast forecast;
};

Survey surveyOf(const Plan& plan, const std::string& planPath, const std::string& runPath) {
    Survey s{plan, runPath, angleSetOf(plan, planPath), {}, {}, {}};
    if (!plan.simulationJson.empty()) {
        s.scene = parseScene(plan.simulationJson, planPath, "/simulation");
        checkScene(*s.scene, plan, planPath);
        if (plan.table.hasTilt && !s.scene->table.hasTilt)
            throw Error(ErrorKind::input,
                        "/simulation/table/tilts is not true, but the plan's table has a tilt axis", planPath,
                        "Let both say the same");
        s.grounds = {s.scene->table.speedDegPerS, s.scene->table.accelerationDegPerS2, s.scene->attendantS};
    }
    s.forecast = forecastOf(plan, s.set, s.grounds);
    return s;
}

std::string unitText(const Survey& s) {
    std::string text =
        labelled("Unit", orNotStated(s.plan.unitModel) + ", serial " + orNotStated(s.plan.unitSerial));
    text += labelled("Chamber", s.scene ? "simulated, with an invented unit"
                                        : "real, which this version cannot drive yet: it carries out simulated "
                                          "chambers only (Docs/chamber.md)");
    return text;
}

std::string anglesText(const Survey& s) {
    std::string text = s.set.name + ": " + counted(s.forecast.positions, "position", "positions") + " in " +
                       counted(s.forecast.directions, "direction", "directions");
    if (s.forecast.onSide > 0)
        text += fmt::format(", {} with the unit on its {} side", s.forecast.onSide,
                            s.plan.table.liesOnLeftSide ? "left" : "right");
    return labelled("Angles", text) + labelled("Mean", s.set.quadrature);
}

std::string sweepText(const Plan& plan, const DrivePlan& drive) {
    const ResolvedSweep r = resolvedSweep(plan, drive);
    const ExponentialSweep sweep = synchronisedSweep(r.startHz, r.endHz, r.wishedDurationS);
    std::string text =
        fmt::format("{}: {} Hz to {} Hz in {} s, peak ", drive.name, significantText(sweep.startHz, 5),
                    significantText(sweep.endHz, 5), fixedText(sweep.durationS, 3));
    if (plan.driveQuantity != DriveQuantity::digitalFullScale) text += significantText(r.peakV, 4) + " V, ";
    text += fixedText(20 * std::log10(r.peakFullScale), 1) + " dB re full scale";
    if (drive.axisDeg != 0) text += fmt::format("; its axis is {}°", shortestText(drive.axisDeg));
    return text;
}

std::string drivesText(const Survey& s) {
    std::string text;
    for (const auto& drive : s.plan.drives)
        text += labelled(text.empty() ? (s.plan.drives.size() == 1 ? "Drive" : "Drives") : "",
                         sweepText(s.plan, drive));
    return text;
}

std::string capturesText(const Survey& s) {
    std::string text = fmt::format("{}", s.forecast.captures);
    if (s.plan.conduct.repeats > 1) text += fmt::format(" ({} of each)", s.plan.conduct.repeats);
    text += ", further " + counted(s.forecast.axisChecks, "check", "checks") + " on the axis and " +
            counted(s.forecast.firstSweeps, "first sweep", "first sweeps") + " 20 dB down";
    return labelled("Captures", text);
}

std::string timeText(const Survey& s) {
    const Forecast& f = s.forecast;
    std::string text =
        fmt::format("about {}: sound {}, moving {} ({}° per s{}), settling {}", roughDurationText(f.totalS()),
                    roughDurationText(f.soundS), roughDurationText(f.movingS), shortestText(s.grounds.speedDegPerS),
                    s.scene ? "" : ", assumed", roughDurationText(f.settlingS));
    if (f.warmUpS > 0) text += ", warming up " + roughDurationText(f.warmUpS);
    if (f.turnsOver > 0)
        text += ", turning the unit over " + roughDurationText(f.turningOverS) + (s.scene ? "" : " (assumed)");
    return labelled("Duration", text + "; captures that are doubtful are repeated on top");
}

std::string roomText(const Survey& s) {
    const auto size = static_cast<double>(s.forecast.bytes);
    std::string text = labelled("File", "about " + bytesText(size));
    const std::string folder = folderOf(s.runPath);
    const auto room = static_cast<double>(diskFiles().roomLeft(s.runPath));
    return text +
           labelled("Room",
                    fmt::format("needed {}, captures under way and the sealed run together; left in {}: {}{}",
                                bytesText(2 * size), folder == "." ? "this folder" : folder, bytesText(room),
                                room < 2 * size ? ". TOO LITTLE" : ""));
}

std::string distanceText(const Survey& s) {
    double nearest = s.plan.distanceM;
    for (const Leg& leg : itinerary(s.plan, s.set))
        for (const Stop& stop : leg.stops) nearest = std::min(nearest, stop.distanceM);
    std::string text = significantText(s.plan.distanceM, 4) + " m";
    if (nearest < s.plan.distanceM - 1e-6)
        text += fmt::format(", {} m where the reference point comes nearest", significantText(nearest, 4));
    const double size = s.plan.unitSizeM;
    if (std::isfinite(size)) {
        text += fmt::format("; far-field conditions hold up to about {} Hz (Rayleigh distance)",
                            inTwoDigits(farFieldLimitHz(nearest, size, s.plan.air)));
        if (nearest < 3 * size)
            text +=
                fmt::format(". NEARER than three times the unit's size of {} m", significantText(size, 4));
    }
    return labelled("Distance", text);
}

std::string openText(const Plan& plan) {
    std::string text;
    for (const auto& matter : openMattersOf(plan)) text += labelled(text.empty() ? "Not stated" : "", matter);
    return text;
}

std::string cautionText(const Survey& s) {
    if (s.scene) return {};
    std::string text = wrapped(
        "Before it moves: nobody is in the chamber while the table turns or a sweep plays, "
        "someone outside knows who goes in, and the emergency stop is within reach. "
        "The unit is strapped and centred, the cables allow the table's whole way.",
        0);
    text += wrapped(
        "Before it sounds: the first sweeps are 20 dB down and checked; "
        "at full level they can harm hearing and drivers. "
        "Know your employer's rules and national law on noise. Wiring is changed with the amplifier off.",
        0);
    if (s.forecast.turnsOver > 0)
        text += wrapped(
            "The unit is turned on its side by two people or a hoist, with the table's power off.", 0);
    return "\n" + text + wrapped("Local codes and licensed practice come first: Docs/safety.md.", 0);
}

}  // namespace

std::string planSurvey(const Plan& plan, const std::string& planPath, const std::string& runPath) {
    const Survey s = surveyOf(plan, planPath, runPath);
    return labelled("Plan", planPath + " is complete") + unitText(s) + anglesText(s) + drivesText(s) +
           capturesText(s) + timeText(s) + roomText(s) + distanceText(s) + openText(plan) + cautionText(s);
}

}  // namespace volvelle
