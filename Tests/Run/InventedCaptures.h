#pragma once

#include "Run/CapturesUnderWay.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle::testing {

/// What is done to a run under way, one step after the other: a capture is kept or an event noted.
struct Step {
    bool isEvent = false;
    Event event;
    std::size_t drive = 0;
    Capture capture;
    std::vector<float> samples;
};

/// The head of an invented run: drives `front` (float32, microphone and loopback, with an excitation) and `rear`
/// (int32, microphone).
RunRecord inventedHead();

/// `count` steps: both drives at position after position, now and then an event, a doubtful capture and the
/// attempt after it. Times are invented, so that two runs of the same steps are equal.
std::vector<Step> inventedSteps(std::size_t count);

void carryOut(const Step& step, CapturesUnderWay& run);

/// Carries out all steps from the n-th on and seals the run.
void finish(CapturesUnderWay& run, const std::vector<Step>& steps, std::size_t from);

/// What the first steps of a run leave that is not in the run or not equal there; empty where all is as it should
/// be. More than that may be there only if `exactly` is false.
std::string firstLoss(const ReadableRun& run, const std::vector<Step>& steps, std::size_t count, bool exactly);

/// How many of the steps a run holds: those come first and nothing else may be there.
std::size_t stepsIn(const ReadableRun& run);

}  // namespace volvelle::testing
