#include "Text/InQuotes.h"
#include "Text/Nearest.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace volvelle {
namespace {

RC_GTEST_PROP(EditDistance, IsSymmetricAndZeroOnlyForEquals, (std::string a, std::string b)) {
    RC_ASSERT(editDistance(a, b) == editDistance(b, a));
    RC_ASSERT(editDistance(a, a) == 0U);
    RC_ASSERT(editDistance(a, "") == a.size());
}

RC_GTEST_PROP(EditDistance, OneEditIsOneAway, ()) {
    std::string a = *rc::gen::nonEmpty(rc::gen::container<std::string>(rc::gen::inRange('a', 'z')));
    const auto at = *rc::gen::inRange<std::size_t>(0, a.size());
    std::string inserted = a, removed = a, replaced = a;
    inserted.insert(at, "_");
    removed.erase(at, 1);
    replaced[at] = '_';
    RC_ASSERT(editDistance(a, inserted) == 1U);
    RC_ASSERT(editDistance(a, removed) == 1U);
    RC_ASSERT(editDistance(a, replaced) == 1U);
}

TEST(EditDistance, KnownPairs) {
    EXPECT_EQ(editDistance("kitten", "sitting"), 3U);  // the handbook's example
    EXPECT_EQ(editDistance("rear", "raer"), 1U);       // neighbours swapped
    EXPECT_EQ(editDistance("Angle_Deg", "angle_deg"), 0U);
}

TEST(Nearest, SuggestsWhatWasMeantAndNothingElse) {
    const std::vector<std::string> names{"front", "rear", "front+rear"};
    EXPECT_EQ(nearestName("fornt", names), "front");
    EXPECT_EQ(nearestName("Rear", names), "rear");
    EXPECT_EQ(nearestName("front-rear", names), "front+rear");
    EXPECT_EQ(nearestName("woofer", names), std::nullopt);
    EXPECT_EQ(nearestName("", names), std::nullopt);
    EXPECT_EQ(suggestion("fornt", names), "Did you mean 'front'? Known are front, rear, front+rear");
    EXPECT_EQ(suggestion("woofer", names), "Known are front, rear, front+rear");
    EXPECT_EQ(suggestion("woofer", {}), "None is known");
}

RC_GTEST_PROP(InQuotes, IsOneLineAndShort, (std::string text)) {
    const std::string shown = inQuotes(text);
    RC_ASSERT(shown.size() <= 65U);
    for (const char c : shown) RC_ASSERT(static_cast<unsigned char>(c) >= 0x20U);
}

TEST(InQuotes, NeverCutsACharacter) {
    std::string text(59, 'x');
    text += "ü and more";
    EXPECT_EQ(inQuotes(text), "'" + std::string(59, 'x') + "...'");
    EXPECT_EQ(inQuotes("Hochtöner"), "'Hochtöner'");
}

}  // namespace
}  // namespace volvelle
