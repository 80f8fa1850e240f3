#include "Run/FaultyFiles.h"
#include "Run/InventedCaptures.h"
#include "Run/MemoryFiles.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <optional>

namespace volvelle {
namespace {

using testing::inventedHead;
using testing::Step;

const std::string name = "lab/run.h5", folder = "lab/run.h5.part";
const std::vector<Step> steps = testing::inventedSteps(4);

std::vector<std::byte> undisturbed() {
    MemoryFiles files;
    testing::finish(*CapturesUnderWay::begin(name, inventedHead(), files), steps, 0);
    return files.bytes(name);
}

/// How far a run came before it ended.
struct Course {
    bool begun = false, sealed = false;
    std::size_t kept = 0;  ///< steps that were reported as done
    std::optional<Error> error;
};

/// Begins a run and carries it out until something is thrown.
Course carryOutUntilItFails(Files& files) {
    Course course;
    try {
        const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
        course.begun = true;
        for (const Step& step : steps) {
            testing::carryOut(step, *run);
            ++course.kept;
        }
        run->seal();
        course.sealed = true;
    } catch (const Error& error) {
        course.error = error;
    }
    return course;
}

std::size_t callsOfAFaultlessRun() {
    MemoryFiles memory;
    FaultyFiles files(memory, Fault::fail, 0);
    carryOutUntilItFails(files);
    return files.calls();
}

/// What was reported is there, and the run can be completed to what it would have been.
void expectNothingIsLost(MemoryFiles& files, const Course& course, const std::vector<std::byte>& whole) {
    if (files.exists(name)) {
        ASSERT_EQ(files.bytes(name), whole);
        if (files.exists(folder)) {
            ASSERT_THROW(CapturesUnderWay::resume(name, files), Error);
        }
        ASSERT_EQ(files.names(), std::vector<std::string>{name});
        ASSERT_FALSE(files.exists(folder));
        return;
    }
    ASSERT_FALSE(course.sealed);
    if (!files.exists(folder + "/head.h5")) {
        ASSERT_FALSE(course.begun);
        testing::finish(*CapturesUnderWay::begin(name, inventedHead(), files), steps, 0);
    } else {
        const auto run = CapturesUnderWay::resume(name, files);
        const std::size_t held = testing::stepsIn(*run);
        ASSERT_GE(held, course.kept);
        ASSERT_LE(held, course.kept + 1);  // the step that was never reported may be whole
        ASSERT_EQ(testing::firstLoss(*run, steps, held, false), "");
        testing::finish(*run, steps, held);
    }
    ASSERT_EQ(files.bytes(name), whole);
    ASSERT_EQ(files.names(), std::vector<std::string>{name});
}

class CapturesFaults : public ::testing::TestWithParam<Fault> {};

TEST_P(CapturesFaults, NothingThatWasReportedIsLostWhicheverCallGoesWrong) {
    const auto whole = undisturbed();
    const std::size_t calls = callsOfAFaultlessRun();
    ASSERT_GT(calls, 80U);
    std::size_t stopped = 0;
    for (std::size_t at = 1; at <= calls; ++at) {
        MemoryFiles memory;
        FaultyFiles files(memory, GetParam(), at, [&] { memory.loseUnsynced(); });
        const Course course = carryOutUntilItFails(files);
        stopped += course.error.has_value();
        SCOPED_TRACE(std::to_string(at) + ": " + files.faultyCall() + ", kept " + std::to_string(course.kept) +
                     (course.error ? std::string(", ") + course.error->what() : ""));
        if (GetParam() != Fault::powerLoss && course.error && !course.begun) {
            // Nothing is left behind but what the fault itself kept from being removed.
            ASSERT_FALSE(memory.exists(folder + "/head.h5"));
        }
        expectNothingIsLost(memory, course, whole);
        if (HasFatalFailure()) return;
    }
    EXPECT_GT(stopped, GetParam() == Fault::drop || GetParam() == Fault::flipBit ? 5U : calls / 2);
}

INSTANTIATE_TEST_SUITE_P(Faults, CapturesFaults,
                         ::testing::Values(Fault::fail, Fault::shorten, Fault::drop, Fault::flipBit,
                                           Fault::powerLoss));

class CapturesRepeated : public ::testing::TestWithParam<Fault> {};

TEST_P(CapturesRepeated, AStepThatFailedCanBeRepeatedAndTheRunGoesOn) {
    const auto whole = undisturbed();
    const std::size_t calls = callsOfAFaultlessRun();
    std::size_t repeated = 0;
    for (std::size_t at = 1; at <= calls; ++at) {
        MemoryFiles memory;
        FaultyFiles files(memory, GetParam(), at);
        const auto twice = [&](auto act) {
            try {
                return act();
            } catch (const Error&) {
                ++repeated;
                return act();
            }
        };
        const auto run = twice([&] { return CapturesUnderWay::begin(name, inventedHead(), files); });
        for (std::size_t i = 0; i < steps.size(); ++i) {
            twice([&] { testing::carryOut(steps[i], *run); });
            ASSERT_EQ(testing::stepsIn(*run), i + 1) << files.faultyCall();
        }
        twice([&] { run->seal(); });
        ASSERT_EQ(memory.bytes(name), whole) << files.faultyCall();
        expectNothingIsLost(memory, {true, true, steps.size(), {}}, whole);
        if (HasFatalFailure()) return;
    }
    EXPECT_GT(repeated, 5U);
}

INSTANTIATE_TEST_SUITE_P(Faults, CapturesRepeated,
                         ::testing::Values(Fault::fail, Fault::shorten, Fault::drop, Fault::flipBit));

TEST(CapturesResumed, ALossOfPowerWhileTheRunIsGoneOnWithLosesNothing) {
    const auto whole = undisturbed();
    for (const std::size_t left : {std::size_t{0}, steps.size() - 1}) {
        for (std::size_t at = 1;; ++at) {
            MemoryFiles memory;
            Course course{true, false, left, {}};
            {
                const auto run = CapturesUnderWay::begin(name, inventedHead(), memory);
                for (std::size_t i = 0; i < left; ++i) testing::carryOut(steps[i], *run);
            }
            FaultyFiles files(memory, Fault::powerLoss, at, [&] { memory.loseUnsynced(); });
            try {
                const auto run = CapturesUnderWay::resume(name, files);
                for (; course.kept < steps.size(); ++course.kept) testing::carryOut(steps[course.kept], *run);
                run->seal();
                course.sealed = true;
            } catch (const Error&) {
            }
            SCOPED_TRACE(std::to_string(left) + " " + std::to_string(at) + " " + files.faultyCall());
            expectNothingIsLost(memory, course, whole);
            if (HasFatalFailure()) return;
            if (files.faultyCall().empty()) break;
        }
    }
}

}  // namespace
}  // namespace volvelle
