#include "Conductor/OneThread.h"

#include <gtest/gtest.h>

#include <chrono>
#include <future>
#include <memory>
#include <stdexcept>
#include <thread>

namespace volvelle {
namespace {

TEST(OneThread, DoesOneThingAfterTheOtherOnTheSameOtherThread) {
    OneThread thread;
    const auto first = thread.begin<std::thread::id>([] { return std::this_thread::get_id(); }).get();
    EXPECT_NE(first, std::this_thread::get_id());
    for (int i = 0; i < 20; ++i)
        EXPECT_EQ(thread.begin<std::thread::id>([] { return std::this_thread::get_id(); }).get(), first);
}

TEST(OneThread, WhatIsThrownComesOutOfTheFutureAndTheNextThingIsDone) {
    OneThread thread;
    auto failed = thread.begin<int>([]() -> int { throw std::runtime_error("no room"); });
    EXPECT_THROW(failed.get(), std::runtime_error);
    EXPECT_EQ(thread.begin<int>([] { return 7; }).get(), 7);
}

TEST(OneThread, IsDestroyedOnlyWhenWhatWasBegunIsDone) {
    for (int i = 0; i < 50; ++i) {  // whether or not the thread had taken it up
        std::future<int> result;
        {
            OneThread thread;
            result = thread.begin<int>([] {
                std::this_thread::yield();
                return 5;
            });
        }
        ASSERT_EQ(result.wait_for(std::chrono::seconds(0)), std::future_status::ready);
        EXPECT_EQ(result.get(), 5);
    }
}

TEST(OneThread, IsDestroyedWithoutWorkAsWell) {
    for (int i = 0; i < 50; ++i) OneThread thread;
}

TEST(OneThread, HoldsNothingOfWhatItDidOnceTheNextThingIsDone) {
    OneThread thread;
    auto held = std::make_shared<int>(3);
    EXPECT_EQ(thread.begin<int>([held] { return *held; }).get(), 3);
    EXPECT_EQ(thread.begin<int>([] { return 1; }).get(), 1);
    EXPECT_EQ(held.use_count(), 1);
}

}  // namespace
}  // namespace volvelle
