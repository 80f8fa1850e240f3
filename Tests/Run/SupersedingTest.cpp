#include "Run/Superseding.h"

#include <gtest/gtest.h>

#include <vector>

namespace volvelle {
namespace {

/// Attempts at one capture with these states, told one after the other; the states that they end with.
std::vector<CaptureState> statesOf(const std::vector<CaptureState>& judged) {
    std::vector<Capture> captures;
    std::vector<OwnState> own;
    for (const CaptureState state : judged) {
        Capture capture;
        capture.attempt = static_cast<int>(captures.size()) + 1;
        captures.push_back(capture);
        own.push_back({state, state == CaptureState::doubtful ? "noise" : ""});
        markSuperseded(captures, own, captures.size() - 1);
    }
    std::vector<CaptureState> states;
    for (const Capture& capture : captures) states.push_back(capture.state);
    return states;
}

constexpr auto kept = CaptureState::kept, doubtful = CaptureState::doubtful, gone = CaptureState::superseded;

TEST(Superseding, TheLastAttemptThatIsNotDoubtfulCountsElseTheLast) {
    using States = std::vector<CaptureState>;
    EXPECT_EQ(statesOf({kept}), (States{kept}));
    EXPECT_EQ(statesOf({doubtful}), (States{doubtful}));
    EXPECT_EQ(statesOf({doubtful, kept}), (States{gone, kept}));
    EXPECT_EQ(statesOf({kept, doubtful}), (States{kept, gone}));
    EXPECT_EQ(statesOf({doubtful, doubtful}), (States{gone, doubtful}));
    EXPECT_EQ(statesOf({kept, kept}), (States{gone, kept}));
    EXPECT_EQ(statesOf({doubtful, kept, doubtful, doubtful}), (States{gone, kept, gone, gone}));
    EXPECT_EQ(statesOf({doubtful, kept, kept}), (States{gone, gone, kept}));
}

TEST(Superseding, TheReasonNamesTheAttemptThatCountsAndKeepsTheDoubt) {
    std::vector<Capture> captures(2);
    captures[1].attempt = 2;
    const std::vector<OwnState> own{{doubtful, "noise in 125 Hz"}, {kept, ""}};
    markSuperseded(captures, own, 1);
    EXPECT_EQ(captures[0].reason, "superseded by attempt 2: noise in 125 Hz");
    EXPECT_EQ(captures[1].reason, "");
}

TEST(Superseding, OnlyAttemptsAtTheSameCaptureTouchEachOther) {
    const Capture one;
    std::vector<Capture> others(6);
    others[0].kind = CaptureKind::axisCheck;
    others[1].direction.azimuthDeg = 5;
    others[2].direction.elevationDeg = 5;
    others[3].orbit = Orbit::vertical;
    others[4].stance = Stance::onSide;
    others[5].repeat = 2;
    for (const Capture& other : others) {
        EXPECT_FALSE(areAttemptsAtOne(one, other));
        EXPECT_TRUE(areAttemptsAtOne(other, other));
    }
}

}  // namespace
}  // namespace volvelle
