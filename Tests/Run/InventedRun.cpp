#include "Run/InventedRun.h"

#include "Text/Number.h"

namespace volvelle::testing {

namespace {

Capture inventedCapture(const std::string& drive, int angleDeg, Orbit orbit) {
    Capture c;
    c.orbit = orbit;
    c.angleDeg = angleDeg;
    c.direction =
        orbit == Orbit::horizontal ? Direction{double(angleDeg), 0} : Direction{0, double(angleDeg)};
    c.stance = orbit == Orbit::horizontal ? Stance::upright : Stance::onSide;
    c.id =
        drive + (orbit == Orbit::horizontal ? "/horizontal:" : "/vertical:") + fixedText(angleDeg, 0) + "/1";
    c.distanceM = 2.0;
    return c;
}

void stateEverything(Capture& c) {
    c.kind = CaptureKind::axisCheck;
    c.tableDeg = -10;
    c.readBackDeg = 10.02;
    c.tiltDeg = 0.5;
    c.tiltReadBackDeg = 0.48;
    c.repeat = 2;
    c.attempt = 3;
    c.state = CaptureState::doubtful;
    c.reason = "a door was heard: \xC2\xB5";
    c.utc = "2026-03-01T10:20:30Z";
    c.monotonicS = 1234.5;
    c.air = {21.5, 48.0, 100.9};
    c.quality.clippedSamples = 4;
    c.quality.noiseSource = NoiseSource::tail;
    for (std::size_t band = 0; band < judgedOctavesHz().size(); ++band) {
        c.quality.noiseDb.push_back(10.0 + double(band));
        c.quality.decayS.push_back(band == 0 ? notStated : 0.1 / double(band));
        c.quality.impulseNoiseDb.push_back(-60.0 - double(band));
    }
    c.quality.residueDb = -71.25;
    c.quality.loopbackDelayS = 0.0123;
    c.quality.arrivalS = 0.00583;
    c.quality.polarity = -1;
    c.quality.peakPa = 1.5;
    c.quality.repeatDifferenceDb = 0.01;
    c.quality.driftDb = -0.03;
    c.quality.driftS = 1.5e-6;
    c.sourceFile = "front/h+010.wav";
    c.notes = {{"remark", "net, \"tight\""}, {"remark", ""}, {"by", "K."}};
}

ExcitationRecord inventedExcitation() {
    ExcitationRecord e;
    e.sampleRateHz = 48000;
    e.sourceFile = "sweep.wav";
    for (int i = 0; i < 100; ++i) e.samples.push_back(static_cast<float>(i * i % 101 - 50) / 64.0F);
    return e;
}

DriveRecord recordings() {
    DriveRecord d;
    d.name = "front";
    d.form = CaptureForm::recording;
    d.sampleRateHz = 48000;
    d.sampleType = SampleType::int32;
    d.bitsPerSample = 24;
    d.channelRoles = {"microphone", "loopback"};
    d.samplesPerChannel = 150;
    d.captures = {inventedCapture("front", 0, Orbit::horizontal),
                  inventedCapture("front", 10, Orbit::horizontal),
                  inventedCapture("front", -20, Orbit::vertical)};
    stateEverything(d.captures[1]);
    d.captures[2].orbit.reset();
    d.excitation = inventedExcitation();
    return d;
}

DriveRecord impulses() {
    DriveRecord d;
    d.name = "rear";
    d.form = CaptureForm::impulseResponse;
    d.sampleRateHz = 96000;
    d.sampleType = SampleType::float32;
    d.bitsPerSample = 32;
    d.channelRoles = {"microphone"};
    d.samplesPerChannel = 128;
    d.captures = {inventedCapture("rear", 180, Orbit::horizontal)};
    return d;
}

DriveRecord textResponses() {
    DriveRecord d;
    d.name = "front+rear";
    d.form = CaptureForm::textResponse;
    d.sampleType = SampleType::float32;
    d.frequencyHz = {100, 1000, 10000};
    d.samplesPerChannel = 3;
    d.captures = {inventedCapture("front+rear", 0, Orbit::horizontal),
                  inventedCapture("front+rear", 90, Orbit::horizontal)};
    return d;
}

void statePlan(Plan& plan) {
    plan.unitModel = "Invented Two-Way";
    plan.unitSerial = "0001";
    plan.chamberName = "Invented chamber";
    plan.place = "Nowhere";
    plan.engineer = "A. Nobody";
    plan.unitSizeM = 0.4;
    plan.chamberLowestHz = 80;
    plan.distanceM = 2;
}

}  // namespace

RunRecord inventedRun() {
    RunRecord run;
    statePlan(run.plan);
    run.calibration.pascalPerFullScale = 12.5;
    run.calibration.voltsPerFullScale = 4.0;
    run.calibration.microphone.frequencyHz = {20, 1000, 20000};
    run.calibration.microphone.levelDb = {-0.1, 0, 1.5};
    run.calibration.microphone.phaseDeg = {1, 0, -12};
    run.calibration.microphone.sourceFile = "microphone.csv";
    run.timeZero = TimeZero::loopback;
    run.nominalDistanceM = 2;
    run.unitSizeM = 0.4;
    run.air = {20, 50, 101.325};
    run.drives = {recordings(), impulses(), textResponses()};
    run.events = {{"2026-03-01T10:00:00Z", "begun"}, {"", "an event without a time"}};
    run.provenance = {"0.1.0", "volvelle ingest manifest.csv", "2026-03-01T11:00:00Z", ""};
    return run;
}

RunRecord inventedRunOfVersion1() {
    RunRecord run = inventedRun();
    for (DriveRecord& drive : run.drives)
        for (Capture& c : drive.captures)
            c.tableDeg = c.tiltDeg = c.tiltReadBackDeg = c.quality.driftDb = c.quality.driftS = notStated;
    return run;
}

RunRecord plainRun(std::size_t captures, std::size_t channels, std::size_t samplesPerChannel) {
    RunRecord run;
    DriveRecord d = recordings();
    d.captures.clear();
    for (std::size_t i = 0; i < captures; ++i)
        d.captures.push_back(inventedCapture("front", int(i), Orbit::horizontal));
    d.channelRoles.resize(channels, "microphone");
    d.samplesPerChannel = samplesPerChannel;
    run.drives = {d};
    return run;
}

std::int32_t inventedSample(std::size_t drive, std::size_t capture, std::size_t index) {
    const std::uint64_t mixed = index * 2654435761U + capture * 40503U + drive * 7U;
    return static_cast<std::int32_t>(static_cast<std::uint32_t>(mixed));
}

float inventedFloat(std::size_t drive, std::size_t capture, std::size_t index) {
    return static_cast<float>(inventedSample(drive, capture, index) / 65536) / 32768.0F;
}

void InventedSource::read(std::size_t drive, std::size_t capture, std::span<std::int32_t> out) {
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = inventedSample(drive, capture, i);
}

void InventedSource::read(std::size_t drive, std::size_t capture, std::span<float> out) {
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = inventedFloat(drive, capture, i);
}

void writeInvented(Files& files, const std::string& path, const RunRecord& run) {
    InventedSource source;
    writeSealedRun(path, run, source, files);
}

}  // namespace volvelle::testing
