#include "Run/SweepPlan.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

constexpr double lowestHz = 20, highestHz = 20000;
constexpr double usableShareOfRate = 0.45, slack = 1 + 1e-9;

/// One drive of a plan and where it stands in the document.
struct Subject {
    const Plan& plan;
    const DrivePlan& drive;
    const std::string& source;

    std::string pointer(const std::string& key) const {
        std::size_t index = 0;
        while (index < plan.drives.size() && plan.drives[index].name != drive.name) ++index;
        return fmt::format("/drives/{}{}", index, key);
    }

    Error error(const std::string& key, const std::string& problem, const std::string& advice) const {
        return {ErrorKind::input, pointer(key) + " " + problem, source, advice};
    }

    std::vector<const SectionPlan*> sections() const {
        std::vector<const SectionPlan*> found;
        for (const auto& section : plan.sections)
            if (std::find(drive.sections.begin(), drive.sections.end(), section.name) != drive.sections.end())
                found.push_back(&section);
        return found;
    }

    bool isDigital() const { return plan.driveQuantity == DriveQuantity::digitalFullScale; }
    double sampleRateHz() const {
        return std::isnan(plan.audio.sampleRateHz) ? defaultSampleRateHz : plan.audio.sampleRateHz;
    }
    std::string amount(double value) const {
        return significantText(value, 4) + (isDigital() ? " of full scale" : " V");
    }
};

double gainOf(const SectionPlan& section) {
    return std::isnan(section.gainDb) ? 1 : std::pow(10, section.gainDb / 20);
}

std::string hz(double value) {
    return shortestText(value) + " Hz";
}

void checkEdge(const Subject& s, const SectionPlan& section, const char* key, double edge) {
    if (std::isnan(edge) || std::isnan(section.lowHz) || (edge >= section.lowHz && edge <= section.highHz))
        return;
    throw s.error(std::string("/sweep/") + key,
                  fmt::format("is {}, outside the band of section {}, {} to {}", hz(edge), section.name,
                              hz(section.lowHz), hz(section.highHz)),
                  "Keep the sweep within it, or change the section's band_hz if its drivers bear it");
}

void needEdges(const Subject& s, const SectionPlan& section) {
    if (!std::isnan(section.lowHz)) return;
    for (const auto& [key, edge] :
         {std::pair{"start_hz", s.drive.sweep.startHz}, {"end_hz", s.drive.sweep.endHz}})
        if (std::isnan(edge))
            throw s.error(
                std::string("/sweep/") + key,
                fmt::format("is missing, and section {} states no band_hz", section.name),
                "State the band that the section may be driven in, or the edges of the drive's sweep");
}

void resolveBand(const Subject& s, ResolvedSweep& sweep) {
    const double top = std::min(highestHz, usableShareOfRate * s.sampleRateHz());
    double low = lowestHz, high = top;
    for (const SectionPlan* section : s.sections()) {
        needEdges(s, *section);
        checkEdge(s, *section, "start_hz", s.drive.sweep.startHz);
        checkEdge(s, *section, "end_hz", s.drive.sweep.endHz);
        if (std::isnan(section->lowHz)) continue;
        low = std::max(low, section->lowHz);
        high = std::min(high, section->highHz);
    }
    sweep.startHz = std::isnan(s.drive.sweep.startHz) ? low : s.drive.sweep.startHz;
    sweep.endHz = std::isnan(s.drive.sweep.endHz) ? high : s.drive.sweep.endHz;
    if (!(sweep.endHz < s.sampleRateHz() / 2))
        throw s.error(
            "/sweep/end_hz",
            fmt::format("is {}, not below half the sample rate of {}", hz(sweep.endHz), hz(s.sampleRateHz())),
            "End the sweep lower, or state a higher audio.sample_rate_hz");
    if (!(sweep.startHz < sweep.endHz))
        throw s.error(
            "/sections",
            fmt::format("leave no band to sweep: it would begin at {} and end at {}", hz(sweep.startHz),
                        hz(sweep.endHz)),
            "Let the bands of sections that play together overlap, and the sweep begin below its end");
}

/// Volts (or full scale) of a sample value of 1.0.
double unitsPerFullScale(const Subject& s) {
    if (s.isDigital()) return 1;
    if (std::isnan(s.plan.voltsPerFullScale))
        throw Error(ErrorKind::input, "/calibration/volts_per_full_scale is missing", s.source,
                    "State it: without it nothing says which sample value makes how many volts");
    return s.plan.voltsPerFullScale;
}

/// The greatest peak that sections and converter allow.
double greatestPeak(const Subject& s, double perFullScale) {
    double greatest = perFullScale;
    for (const SectionPlan* section : s.sections()) {
        const double gain = gainOf(*section);
        greatest = std::min(greatest, perFullScale / gain);
        if (!std::isnan(section->voltageLimit)) {
            greatest = std::min(greatest, section->voltageLimit / gain);
        } else if (std::isnan(s.drive.sweep.peakV)) {
            throw s.error("/sweep/peak_v",
                          fmt::format("is missing, and section {} states no voltage_limit_v", section->name),
                          "State the section's limit, or the peak of the drive's sweep");
        }
    }
    return greatest;
}

void checkPeak(const Subject& s, double peak, double perFullScale) {
    if (peak > perFullScale * slack)
        throw s.error("/sweep/peak_v",
                      fmt::format("is {}, beyond full scale, {}", s.amount(peak), s.amount(perFullScale)),
                      "State a lower peak");
    for (const SectionPlan* section : s.sections()) {
        const double there = peak * gainOf(*section);
        if (!std::isnan(section->voltageLimit) && there > section->voltageLimit * slack)
            throw s.error(
                "/sweep/peak_v",
                fmt::format("makes {} at section {}, beyond its limit of {}", s.amount(there), section->name,
                            s.amount(section->voltageLimit)),
                "State a lower peak, or change the section's voltage_limit_v if its drivers bear it");
        if (there > perFullScale * slack)
            throw s.error("/sweep/peak_v",
                          fmt::format("with the gain of section {} is {}, beyond full scale, {}",
                                      section->name, s.amount(there), s.amount(perFullScale)),
                          "State a lower peak or gain");
    }
}

}  // namespace

ResolvedSweep resolvedSweep(const Plan& plan, const DrivePlan& drive, const std::string& source) {
    const Subject subject{plan, drive, source};
    ResolvedSweep sweep{};
    resolveBand(subject, sweep);
    sweep.wishedDurationS = std::isnan(drive.sweep.durationS) ? defaultSweepS : drive.sweep.durationS;
    const double perFullScale = unitsPerFullScale(subject);
    const double greatest = greatestPeak(subject, perFullScale);
    sweep.peakV = std::isnan(drive.sweep.peakV) ? greatest : drive.sweep.peakV;
    checkPeak(subject, sweep.peakV, perFullScale);
    sweep.peakFullScale = sweep.peakV / perFullScale;
    return sweep;
}

}  // namespace volvelle
