#include "Conductor/Conductor.h"
#include "Conductor/DriveShots.h"
#include "Text/Error.h"

#include <cmath>

namespace volvelle {

namespace {

Calibration calibrationOf(const Plan& plan) {
    Calibration calibration;
    calibration.pascalPerFullScale = plan.pascalPerFullScale;
    calibration.voltsPerFullScale = plan.voltsPerFullScale;
    if (plan.driveQuantity == DriveQuantity::digitalFullScale && !std::isfinite(plan.voltsPerFullScale))
        calibration.voltsPerFullScale = 1;
    calibration.loopbackVoltsPerFullScale = std::isfinite(plan.loopbackVoltsPerFullScale)
                                                ? plan.loopbackVoltsPerFullScale
                                                : calibration.voltsPerFullScale;
    return calibration;
}

DriveRecord driveOf(const Plan& plan, const DrivePlan& planned, const AudioFacts& audio) {
    const DriveShots shots(plan, planned, audio);
    DriveRecord drive;
    drive.name = planned.name;
    drive.form = CaptureForm::recording;
    drive.sampleRateHz = shots.sampleRateHz();
    drive.sampleType = SampleType::float32;
    drive.bitsPerSample = audio.bitsPerSample;
    drive.channelRoles = {"microphone"};
    if (shots.hasLoopback()) drive.channelRoles.emplace_back("loopback");
    drive.samplesPerChannel = shots.samples();
    drive.excitation = {shots.excitation(), shots.sampleRateHz(), "made by the plan"};
    return drive;
}

void require(bool stated, const char* key, const char* advice) {
    if (!stated) throw Error(ErrorKind::input, "is not stated, but a run needs it", std::string("plan ") + key, advice);
}

}  // namespace

RunRecord headOf(const Plan& plan, const AudioFacts& audio, const Provenance& provenance) {
    require(std::isfinite(plan.distanceM), "/distance_m", "Write the distance from microphone to reference point in m");
    require(std::isfinite(plan.pascalPerFullScale), "/calibration/pascal_per_full_scale",
            "Calibrate the microphone channel and write what full scale means in Pa");
    require(!plan.drives.empty(), "/drives", "Write which sections play together");
    RunRecord run;
    run.plan = plan;
    run.plan.audio.sampleRateHz = audio.sampleRateHz;
    run.calibration = calibrationOf(plan);
    run.timeZero = plan.audio.loopbackInput > 0 ? TimeZero::loopback : TimeZero::excitationFile;
    run.nominalDistanceM = plan.distanceM;
    run.unitSizeM = plan.unitSizeM;
    run.air = plan.air;
    for (const DrivePlan& drive : plan.drives) run.drives.push_back(driveOf(plan, drive, audio));
    run.provenance = provenance;
    return run;
}

}  // namespace volvelle
