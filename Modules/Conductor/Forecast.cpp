#include "Conductor/Forecast.h"

#include "Conductor/Conductor.h"
#include "Conductor/DriveShots.h"
#include "Conductor/Itinerary.h"
#include "Conductor/TableMovement.h"
#include "Run/SweepPlan.h"

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

constexpr int anyChannels = 1024;
constexpr std::uint64_t bytesPerSample = 4, bytesPerCapture = 1024, bytesPerRun = 65536;

/// The run as if it were carried out.
class Walk {
public:
    Walk(const Plan& plan, const ForecastGrounds& grounds, Forecast& out)
        : plan_(plan), grounds_(grounds), out_(out) {
        const double rate =
            std::isfinite(plan.audio.sampleRateHz) ? plan.audio.sampleRateHz : defaultSampleRateHz;
        const AudioFacts audio{"any device", rate, anyChannels, anyChannels, 24};
        out_.bytes = bytesPerRun;
        for (const auto& drive : plan.drives) {
            const DriveShots shots(plan, drive, audio);
            roundS_ += shots.durationS();
            roundBytes_ += shots.samples() * (shots.hasLoopback() ? 2 : 1) * bytesPerSample + bytesPerCapture;
            out_.bytes += shots.excitation().size() * bytesPerSample;
        }
    }

    void leg(const Leg& leg) {
        if (leg.stance != stance_) {
            stance_ = leg.stance;
            ++out_.turnsOver;
            out_.turningOverS += grounds_.turnOverS;
            isChecked_ = false;
        }
        moveTo(leg.axis);
        if (!isChecked_) out_.firstSweeps += playEachDrive();
        isChecked_ = true;
        out_.axisChecks += playEachDrive();
        int sinceCheck = 0;
        for (const Stop& stop : leg.stops) {
            if (plan_.conduct.axisCheckEvery > 0 && sinceCheck >= plan_.conduct.axisCheckEvery) {
                check(leg.axis);
                sinceCheck = 0;
            }
            moveTo(stop);
            for (int repeat = 0; repeat < plan_.conduct.repeats; ++repeat) out_.captures += playEachDrive();
            ++sinceCheck;
        }
        check(leg.axis);
    }

private:
    void check(const Stop& axis) {
        moveTo(axis);
        out_.axisChecks += playEachDrive();
    }

    void moveTo(const Stop& stop) {
        const double turned = std::abs(stop.pose.tableDeg - here_.tableDeg);
        const double tilted = std::abs(stop.pose.tiltDeg - here_.tiltDeg);
        out_.movingS += TableMovement{std::max(turned, tilted), grounds_.speedDegPerS, grounds_.accelerationDegPerS2}
                             .durationS();
        out_.settlingS += std::isfinite(plan_.table.settleS) ? plan_.table.settleS : usualSettleS;
        here_ = stop.pose;
    }

    std::size_t playEachDrive() {
        out_.soundS += roundS_;
        out_.bytes += roundBytes_;
        return plan_.drives.size();
    }

    const Plan& plan_;
    const ForecastGrounds& grounds_;
    Forecast& out_;
    Stance stance_ = Stance::upright;
    bool isChecked_ = false;  ///< the first sweeps were played since anybody was at the equipment
    TablePose here_{0, 0};
    double roundS_ = 0;  ///< one sweep of each drive
    std::uint64_t roundBytes_ = 0;
};

}  // namespace

Forecast forecastOf(const Plan& plan, const AngleSet& set, const ForecastGrounds& grounds) {
    Forecast out;
    out.positions = set.positions.size();
    out.directions = directionCount(set);
    out.onSide = static_cast<std::size_t>(
        std::count_if(set.positions.begin(), set.positions.end(),
                      [](const SetPosition& p) { return p.stance == Stance::onSide; }));
    out.warmUpS = plan.conduct.warmUpS;
    Walk walk(plan, grounds, out);
    for (const Leg& leg : itinerary(plan, set)) walk.leg(leg);
    return out;
}

}  // namespace volvelle
