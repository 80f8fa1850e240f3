#include "Sections/SectionSetting.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

using testing::HasSubstr;

const std::vector<std::string> frontAndRear{"front", "rear"};

std::vector<SectionSetting> settingsOf(const std::vector<std::string>& texts) {
    return sectionSettings(texts, frontAndRear);
}

std::string refusalOf(const std::vector<std::string>& texts) {
    try {
        settingsOf(texts);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::usage);
        return error.what();
    }
    return "";
}

TEST(SectionSetting, IsReadFromTheLine) {
    const auto s = settingsOf({"rear.delay=0.3ms", "rear.gain=-2dB", "rear.polarity=reversed"});
    EXPECT_TRUE(s[0].isNeutral());
    EXPECT_DOUBLE_EQ(s[1].delayS, 0.0003);
    EXPECT_DOUBLE_EQ(s[1].gainDb, -2);
    EXPECT_TRUE(s[1].reversed);
}

TEST(SectionSetting, DelaysHaveFourUnits) {
    for (const char* text :
         {"rear.delay=0.3ms", "rear.delay=300us", "rear.delay=300 µs", "rear.delay=0.0003s"})
        EXPECT_NEAR(settingsOf({text})[1].delayS, 0.0003, 1e-18) << text;
}

TEST(SectionSetting, WhatIsNotUnderstoodIsRefusedByName) {
    const std::pair<const char*, const char*> refused[] = {
        {"rear", "no setting"},       {"rear.delay", "no setting"},   {"=", "no setting"},
        {"reer.delay=1ms", "'rear'"}, {"rear.delya=1ms", "'delay'"},  {"rear.delay=1", "unit"},
        {"rear.delay=1m", "unit"},    {"rear.delay=nanms", "unit"},   {"rear.delay=1,5ms", "unit"},
        {"rear.delay=ms", "unit"},    {"rear.gain=-2", "unit"},       {"rear.gain=2dBV", "unit"},
        {"rear.gain=infdB", "unit"},  {"rear.gain=101dB", "range"},   {"rear.delay=-1.5s", "range"},
        {"rear.polarity=", "normal"}, {"rear.polarity=-1", "normal"}, {".gain=1dB", "no section"}};
    for (const auto& [text, word] : refused) {
        EXPECT_THAT(refusalOf({text}), HasSubstr(word)) << text;
        EXPECT_THAT(refusalOf({text}), HasSubstr("--set")) << text;
    }
    EXPECT_THAT(refusalOf({"rear.gain=1dB", "rear.gain=2dB"}), HasSubstr("twice"));
}

TEST(SectionSetting, SaysWhatItIs) {
    EXPECT_EQ(settingStatements(settingsOf({"rear.gain=-2dB", "rear.delay=300us", "rear.polarity=reversed"}),
                                frontAndRear),
              std::vector<std::string>{"rear: gain -2 dB, delay 0.3 ms, polarity reversed"});
    EXPECT_TRUE(settingStatements(settingsOf({}), frontAndRear).empty());
}

TEST(SectionSetting, NeutralIsOneAndReversedTwiceIsOne) {
    EXPECT_EQ(factorOf({}, 1234), 1.0);
    const auto reversed = factorOf({0, 0, true}, 1234);
    EXPECT_EQ(reversed * reversed, 1.0);
}

RC_GTEST_PROP(SectionSetting, GainsAndDelaysInARowAddUp, ()) {
    const double gain = *rc::gen::inRange(-4000, 4000) / 100.0, more = *rc::gen::inRange(-4000, 4000) / 100.0;
    const double delay = *rc::gen::inRange(-9000, 9000) * 1e-7, later = *rc::gen::inRange(-9000, 9000) * 1e-7;
    const double f = *rc::gen::inRange(1, 40000);
    const auto both = factorOf({gain, delay, true}, f) * factorOf({more, later, true}, f);
    const auto once = factorOf({gain + more, delay + later, false}, f);
    RC_ASSERT(std::abs(both - once) < 1e-9 * std::abs(once));
    // e^(+jωt): a delay of τ is e^(-jωτ).
    const auto late = factorOf({0, delay, false}, f);
    RC_ASSERT(std::abs(late - std::exp(std::complex<double>(0, -2 * std::numbers::pi * f * delay))) < 1e-9);
}

}  // namespace
}  // namespace volvelle
