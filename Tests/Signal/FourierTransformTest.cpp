#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Signal/PlainTransform.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <random>

namespace volvelle {
namespace {

bool isFast(std::size_t n) {
    if (n == 0 || n % 2 != 0) return false;
    for (const std::size_t prime : {2U, 3U, 5U})
        while (n % prime == 0) n /= prime;
    return n == 1;
}

TEST(FastLength, IsTheSmallestEvenProductOfTwosThreesAndFivesThatSuffices) {
    for (std::size_t n = 0; n <= 5000; ++n) {
        std::size_t expected = n;
        while (!isFast(expected)) ++expected;
        ASSERT_EQ(fastLength(n), expected) << n;
    }
    EXPECT_EQ(fastLength(191999), 192000u);
}

TEST(FastLength, OfMiddlingOnesHasThreeTwosAtLeast) {
    for (std::size_t n = 5001; n <= 16384; n += 7) {
        std::size_t expected = n;
        while (!isFast(expected) || expected % 8 != 0) ++expected;
        ASSERT_EQ(fastLength(n), expected) << n;
    }
}

TEST(FastLength, OfLongOnesHasBetweenThreeAndTwelveTwos) {
    for (const std::size_t n :
         {16385U, 19683U, 98305U, 168000U, 196608U, 240000U, 262144U, 1000000U, 5000001U}) {
        std::size_t expected = n;
        while (!isFast(expected) || expected % 8 != 0 || expected % 8192 == 0) ++expected;
        EXPECT_EQ(fastLength(n), expected) << n;
    }
}

template <typename Sample>
AlignedVector<Sample> randomSamples(std::size_t n, unsigned seed) {
    std::mt19937 generator(seed);
    std::uniform_real_distribution<double> uniform(-1, 1);
    AlignedVector<Sample> x(n);
    for (auto& v : x) v = static_cast<Sample>(uniform(generator));
    return x;
}

template <typename Sample>
class Transform : public ::testing::Test {};
using Samples = ::testing::Types<float, double>;
TYPED_TEST_SUITE(Transform, Samples);

/// Rounding of sums of n numbers up to one: some units of the last place times the root of n in the
/// transform; in the plain sum each angle of up to half a turn is off by as much as its number of turns.
template <typename Sample>
double rounding(std::size_t n) {
    const double size = static_cast<double>(n),
                 plainSum = std::numeric_limits<double>::epsilon() * M_PI * size;
    return 8 * double{std::numeric_limits<Sample>::epsilon()} * std::sqrt(size) + plainSum * std::sqrt(size);
}

TYPED_TEST(Transform, IsThePlainSumAndLeavesItsInput) {
    for (const std::size_t n : {2U, 4U, 6U, 8U, 10U, 12U, 30U, 96U, 250U, 486U, 14U, 1040U, 2050U}) {
        const RealTransform<TypeParam> transform(n);
        const auto x = randomSamples<TypeParam>(n, 7);
        const auto before = x;
        AlignedVector<std::complex<TypeParam>> out(transform.bins());
        transform.forward(x.data(), out.data());
        EXPECT_EQ(x, before);
        ASSERT_EQ(out.size(), n / 2 + 1);
        for (std::size_t k = 0; k < out.size(); ++k) {
            const auto expected =
                plain::transformAt<TypeParam>(x, static_cast<double>(k) / static_cast<double>(n));
            EXPECT_LT(std::abs(std::complex<double>(out[k]) - expected), rounding<TypeParam>(n))
                << n << " " << k;
        }
    }
}

TYPED_TEST(Transform, ForwardThenInverseMultipliesByTheLength) {
    for (const std::size_t n : {2U, 4U, 10U, 480U, 486U, 19200U, 172800U}) {
        const RealTransform<TypeParam> transform(n);
        const auto x = randomSamples<TypeParam>(n, 11);
        AlignedVector<std::complex<TypeParam>> spectrum(transform.bins());
        AlignedVector<TypeParam> back(n);
        transform.forward(x.data(), spectrum.data());
        transform.inverse(spectrum.data(), back.data());
        for (std::size_t i = 0; i < n; ++i)
            ASSERT_NEAR(double{back[i]} / static_cast<double>(n), double{x[i]},
                        8 * double{std::numeric_limits<TypeParam>::epsilon()});
    }
}

TYPED_TEST(Transform, UpToABinIsAsFarAsThatTheWholeOne) {
    for (const std::size_t n : {2U, 8U, 30U, 486U, 1040U})
        for (const std::size_t highest : {std::size_t{0}, std::size_t{1}, n / 8, n / 4, n / 4 + 1, n / 2}) {
            const RealTransform<TypeParam> transform(n);
            const auto x = randomSamples<TypeParam>(n, 23);
            AlignedVector<std::complex<TypeParam>> whole(transform.bins()), part(transform.bins());
            transform.forward(x.data(), whole.data());
            transform.forwardUpTo(highest, x.data(), part.data());
            for (std::size_t k = 0; k <= std::min(highest, n / 2); ++k)
                EXPECT_EQ(part[k], whole[k]) << n << k;
        }
}

TYPED_TEST(Transform, AQuotientInOnePassIsThatOfTheSpectra) {
    using Complex = std::complex<TypeParam>;
    for (const std::size_t n : {2U, 4U, 6U, 8U, 10U, 12U, 486U, 1040U, 19200U}) {
        const RealTransform<TypeParam> transform(n);
        const auto y = randomSamples<TypeParam>(n, 13), x = randomSamples<TypeParam>(n, 17),
                   s = randomSamples<TypeParam>(2 * transform.bins(), 19);
        AlignedVector<Complex> shape(transform.bins()), a(transform.bins()), b(transform.bins());
        for (std::size_t k = 0; k < shape.size(); ++k) shape[k] = {s[2 * k], s[2 * k + 1]};
        const auto least = static_cast<TypeParam>(0.5 * static_cast<double>(n));
        AlignedVector<TypeParam> expected(n), got(n);
        transform.forward(y.data(), a.data());
        transform.forward(x.data(), b.data());
        for (std::size_t k = 0; k < a.size(); ++k)
            a[k] = a[k] * std::conj(b[k]) * shape[k] / (std::norm(b[k]) + least);
        transform.inverse(a.data(), expected.data());
        transform.beginForward(y.data(), a.data());
        transform.beginForward(x.data(), b.data());
        transform.quotient(a.data(), b.data(), shape, least, got.data());
        for (std::size_t i = 0; i < n; ++i)
            ASSERT_NEAR(double{got[i]}, double{expected[i]}, rounding<TypeParam>(n) * 4) << n << " " << i;
    }
}

TEST(TransformLength, OddEmptyAndEnormousOnesAreRefused) {
    for (const std::size_t n : {std::size_t{0}, std::size_t{1}, std::size_t{7}, (std::size_t{1} << 30) + 2})
        EXPECT_THROW(RealTransform<float>{n}, Error) << n;
}

}  // namespace
}  // namespace volvelle
