#include "Run/FaultyFiles.h"
#include "Run/InventedCaptures.h"
#include "Run/MemoryFiles.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <memory>
#include <random>

namespace volvelle {
namespace {

using testing::Step;

const std::string name = "run.h5";

/// Random operations on a run under way beside a plain model of it: the number of steps that were done.
class Play {
public:
    Play(unsigned seed, const std::vector<Step>& steps) : random_(seed), steps_(steps) {}

    void play() {
        for (int operation = 0; operation < 60 && !isSealed_; ++operation) {
            switch (below(8)) {
                case 0:
                    crash(false);
                    break;
                case 1:
                    crash(true);
                    break;
                case 2:
                    look();
                    break;
                case 3:
                    if (done_ == steps_.size()) seal();
                    break;
                default:
                    step();
            }
            if (::testing::Test::HasFatalFailure()) return;
        }
        while (!isSealed_) {
            done_ < steps_.size() ? step() : seal();
            if (::testing::Test::HasFatalFailure()) return;
        }
    }

    const MemoryFiles& disk() const { return disk_; }
    std::size_t faults() const { return faults_; }

private:
    std::size_t below(std::size_t end) { return random_() % end; }

    /// Opens the run where it is not open, through files that may go wrong soon.
    bool open() {
        if (run_) return true;
        const Fault kinds[] = {Fault::fail, Fault::shorten, Fault::drop, Fault::flipBit, Fault::powerLoss};
        const std::size_t at = below(3) == 0 ? 0 : 1 + below(60);
        isLiar_ = isLiar_ || (files_ && files_->faultyCall().starts_with("sync"));
        files_ = std::make_unique<FaultyFiles>(disk_, kinds[below(isLiar_ ? 4 : 5)], at,
                                               [this] { disk_.loseUnsynced(); });
        try {
            // Begun, as far as anybody was told; a head that nobody was told of may be there nevertheless.
            if (isBegun_ || disk_.exists(name + ".part/head.h5"))
                run_ = CapturesUnderWay::resume(name, *files_);
            else
                run_ = CapturesUnderWay::begin(name, testing::inventedHead(), *files_);
        } catch (const Error& error) {
            ++faults_;
            if (disk_.exists(name)) isSealed_ = true;  // the sealing that nobody was told of
            EXPECT_FALSE(files_->faultyCall().empty() && !isSealed_) << error.what();
            return false;
        }
        isBegun_ = true;
        adopt();
        return true;
    }

    /// What is there is what was done; the step that failed last may be there too.
    void adopt() {
        const std::size_t held = testing::stepsIn(*run_);
        ASSERT_GE(held, done_);
        ASSERT_LE(held, done_ + 1);
        ASSERT_EQ(testing::firstLoss(*CapturesUnderWay::look(name, disk_), steps_, held, false), "");
        done_ = held;
    }

    void step() {
        if (!open() || done_ == steps_.size()) return;
        try {
            testing::carryOut(steps_[done_], *run_);
            ++done_;
            ASSERT_EQ(testing::stepsIn(*run_), done_);
        } catch (const Error&) {
            ++faults_;
            ASSERT_FALSE(files_->faultyCall().empty());
            ASSERT_EQ(testing::stepsIn(*run_), done_);
        }
    }

    void seal() {
        if (!open()) return;
        try {
            run_->seal();
            isSealed_ = true;
        } catch (const Error&) {
            ++faults_;
            ASSERT_FALSE(files_->faultyCall().empty());
        }
    }

    void crash(bool powerFails) {
        run_.reset();
        isLiar_ = isLiar_ || (files_ && files_->faultyCall().starts_with("sync"));
        if (powerFails && !isLiar_) disk_.loseUnsynced();
    }

    void look() {
        if (!isBegun_ || disk_.exists(name)) return;
        try {
            const auto other = CapturesUnderWay::look(name, disk_);
            ASSERT_GE(testing::stepsIn(*other), done_);
            ASSERT_EQ(testing::firstLoss(*other, steps_, done_, false), "");
        } catch (const Error& error) {
            FAIL() << error.what();
        }
    }

    std::mt19937 random_;
    const std::vector<Step>& steps_;
    MemoryFiles disk_;
    std::unique_ptr<FaultyFiles> files_;
    std::unique_ptr<CapturesUnderWay> run_;
    bool isBegun_ = false, isSealed_ = false;
    /// A sync went wrong, perhaps without a word: nobody can help when the power fails then.
    bool isLiar_ = false;
    std::size_t done_ = 0, faults_ = 0;
};

TEST(CapturesModel, RandomOperationsAgreeWithAPlainModel) {
    const std::vector<Step> steps = testing::inventedSteps(20);
    MemoryFiles undisturbed;
    testing::finish(*CapturesUnderWay::begin(name, testing::inventedHead(), undisturbed), steps, 0);
    const unsigned first = std::random_device()();
    std::size_t faults = 0;
    for (unsigned seed = first; seed != first + 60; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        Play play(seed, steps);
        play.play();
        ASSERT_FALSE(HasFailure());
        ASSERT_EQ(play.disk().bytes(name), undisturbed.bytes(name));
        faults += play.faults();
    }
    EXPECT_GT(faults, 20U) << "seed " << first;
}

}  // namespace
}  // namespace volvelle
