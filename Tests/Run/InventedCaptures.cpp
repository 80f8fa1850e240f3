#include "Run/InventedCaptures.h"

#include "Run/InventedRun.h"
#include "Text/Number.h"

#include <algorithm>

namespace volvelle::testing {

namespace {

std::string numbered(std::size_t number) {
    return fixedText(static_cast<double>(number), 0);
}

Step captureStep(std::size_t number, std::size_t drive, double angleDeg) {
    Step step;
    step.drive = drive;
    Capture& c = step.capture;
    c.orbit = Orbit::horizontal;
    c.angleDeg = angleDeg;
    c.tableDeg = -angleDeg;
    c.readBackDeg = -angleDeg + 0.01;
    c.direction = {angleDeg, 0};
    c.distanceM = 2;
    c.utc = "2026-03-01T10:00:" + numbered(10 + number % 50) + "Z";
    c.monotonicS = static_cast<double>(number) * 1.5;
    c.air = {21 + static_cast<double>(number) / 7, 50, 101};
    c.quality.peakPa = 0.5 + static_cast<double>(number);
    if (number % 2 == 0) c.quality.noiseDb.assign(judgedOctavesHz().size(), static_cast<double>(number));
    for (std::size_t i = 0; i < (drive == 0 ? 100U : 40U); ++i)
        step.samples.push_back(inventedFloat(drive, number, i));  // of 16 bits: exact as integers too
    return step;
}

Step eventStep(std::size_t number) {
    Step step;
    step.isEvent = true;
    step.event = {"2026-03-01T10:01:00Z", "event " + numbered(number)};
    return step;
}

bool isSameSamples(const ReadableRun& run, const Step& step, std::size_t capture) {
    std::vector<float> samples(step.samples.size());
    run.readCapture(step.drive, capture, samples);
    return samples == step.samples;
}

}  // namespace

RunRecord inventedHead() {
    RunRecord head = inventedRun();
    head.events.clear();
    head.drives.resize(2);
    DriveRecord& front = head.drives[0];
    front.captures.clear();
    front.sampleType = SampleType::float32;
    front.samplesPerChannel = 50;
    DriveRecord& rear = head.drives[1];
    rear.captures.clear();
    rear.form = CaptureForm::recording;
    rear.sampleType = SampleType::int32;
    rear.samplesPerChannel = 40;
    return head;
}

std::vector<Step> inventedSteps(std::size_t count) {
    std::vector<Step> steps;
    double angleDeg = 0;
    for (std::size_t number = 0; steps.size() < count; ++number) {
        const std::size_t drive = number % 2;
        if (drive == 0) angleDeg += 5;
        if (number % 5 == 3) steps.push_back(eventStep(number));
        Step step = captureStep(number, drive, angleDeg);
        const std::string name = (drive == 0 ? "front/horizontal:" : "rear/horizontal:") + fixedText(angleDeg, 0);
        step.capture.id = name + "/1";
        steps.push_back(step);
        if (number % 3 != 1) continue;
        steps.back().capture.state = CaptureState::doubtful;
        steps.back().capture.reason = "a door was heard";
        Step again = captureStep(number + 1000, drive, angleDeg);
        again.capture.id = name + "/2";
        again.capture.attempt = 2;
        steps.push_back(again);
    }
    steps.resize(count);
    return steps;
}

void carryOut(const Step& step, CapturesUnderWay& run) {
    if (step.isEvent)
        run.note(step.event);
    else
        run.keep(step.drive, step.capture, step.samples);
}

void finish(CapturesUnderWay& run, const std::vector<Step>& steps, std::size_t from) {
    for (std::size_t i = from; i < steps.size(); ++i) carryOut(steps[i], run);
    run.seal();
}

std::string firstLoss(const ReadableRun& run, const std::vector<Step>& steps, std::size_t count, bool exactly) {
    RunRecord expected = inventedHead();
    for (std::size_t i = 0; i < count; ++i) {
        const Step& step = steps[i];
        if (step.isEvent) {
            expected.events.push_back(step.event);
            continue;
        }
        auto& captures = expected.drives[step.drive].captures;
        const auto& held = run.record().drives.at(step.drive).captures;
        if (held.size() <= captures.size()) return step.capture.id + " is not there";
        if (!isSameSamples(run, step, captures.size())) return step.capture.id + " has other samples";
        captures.push_back(step.capture);
    }
    if (!exactly) return {};
    for (DriveRecord& drive : expected.drives)  // what the steps say of attempts that were repeated
        for (std::size_t i = 1; i < drive.captures.size(); ++i)
            if (drive.captures[i].attempt == 2) {
                drive.captures[i - 1].state = CaptureState::superseded;
                drive.captures[i - 1].reason = "superseded by attempt 2: a door was heard";
            }
    return firstDifference(expected, run.record());
}

std::size_t stepsIn(const ReadableRun& run) {
    std::size_t count = run.record().events.size();
    for (const DriveRecord& drive : run.record().drives) count += drive.captures.size();
    return count;
}

}  // namespace volvelle::testing
