#include "Signal/FourierTransform.h"

#include "Signal/Aligned.h"
#include "Signal/HalfLength.h"
#include "Text/Error.h"

#include <fftw3.h>

#include <algorithm>
#include <limits>
#include <map>
#include <memory>
#include <mutex>
#include <type_traits>

namespace volvelle {

std::size_t fastLength(std::size_t n) {
    n = std::max<std::size_t>(n, 2);
    // Long ones: the library is half as fast again or more where there are fewer than two twos, or more than
    // eleven, in half the length (measured, with its estimated plans in single and double precision).
    const std::size_t leastTwos = n > 5000 ? 8 : 2, mostTwos = n > 16384 ? 4096 : 16384;
    std::size_t best = std::numeric_limits<std::size_t>::max();
    for (std::size_t five = 1; five / 5 < n; five *= 5)
        for (std::size_t three = five; three / 3 < n; three *= 3) {
            std::size_t twos = leastTwos;
            while (three * twos < n) twos *= 2;
            if (twos <= mostTwos) best = std::min(best, three * twos);
        }
    return best;
}

namespace {

template <typename Sample>
struct Library;

template <>
struct Library<float> {
    using Plan = fftwf_plan;
    using Complex = fftwf_complex;
    static Plan plan(int n, Complex* in, Complex* out, int sign, unsigned input) {
        return fftwf_plan_dft_1d(n, in, out, sign, FFTW_ESTIMATE | input);
    }
    static void destroy(Plan p) { fftwf_destroy_plan(p); }
    static void run(Plan p, Complex* in, Complex* out) { fftwf_execute_dft(p, in, out); }
};

template <>
struct Library<double> {
    using Plan = fftw_plan;
    using Complex = fftw_complex;
    static Plan plan(int n, Complex* in, Complex* out, int sign, unsigned input) {
        return fftw_plan_dft_1d(n, in, out, sign, FFTW_ESTIMATE | input);
    }
    static void destroy(Plan p) { fftw_destroy_plan(p); }
    static void run(Plan p, Complex* in, Complex* out) { fftw_execute_dft(p, in, out); }
};

/// The libraries' planners are not thread-safe, and both directions share one.
std::mutex& plannersMutex() {
    static std::mutex mutex;
    return mutex;
}

template <typename Sample>
struct PlanDeleter {
    void operator()(std::remove_pointer_t<typename Library<Sample>::Plan>* plan) const {
        Library<Sample>::destroy(plan);
    }
};

/// The complex transforms of half the length, each planned when first asked for. They live as long as the
/// program: few lengths occur, and any thread may be executing one.
template <typename Sample>
struct Halves {
    using Plan = std::unique_ptr<std::remove_pointer_t<typename Library<Sample>::Plan>, PlanDeleter<Sample>>;
    explicit Halves(std::size_t n) : step(n) {}

    HalfLength<Sample> step;
    Plan forward, inverse;
};

template <typename Sample>
typename Halves<Sample>::Plan planned(std::size_t n, bool isForward) {
    using L = Library<Sample>;
    AlignedVector<std::complex<Sample>> in(n / 2 + 1), out(n / 2 + 1);
    typename Halves<Sample>::Plan plan(
        L::plan(static_cast<int>(n / 2), reinterpret_cast<typename L::Complex*>(in.data()),
                reinterpret_cast<typename L::Complex*>(out.data()), isForward ? FFTW_FORWARD : FFTW_BACKWARD,
                isForward ? FFTW_PRESERVE_INPUT : FFTW_DESTROY_INPUT));
    if (!plan) throw Error(ErrorKind::bug, "the transform library made no plan", "", "");
    return plan;
}

template <typename Sample>
const Halves<Sample>* halvesOf(std::size_t n, TransformUse use) {
    static std::map<std::size_t, std::unique_ptr<Halves<Sample>>> known;
    const std::scoped_lock lock(plannersMutex());
    auto& halves = known[n];
    if (!halves) halves = std::make_unique<Halves<Sample>>(n);
    if (!halves->forward) halves->forward = planned<Sample>(n, true);
    if (use == TransformUse::bothWays && !halves->inverse) halves->inverse = planned<Sample>(n, false);
    return halves.get();
}

template <typename Sample>
void runInverse(const Halves<Sample>& halves, std::complex<Sample>* in, Sample* out) {
    using L = Library<Sample>;
    L::run(halves.inverse.get(), reinterpret_cast<typename L::Complex*>(in),
           reinterpret_cast<typename L::Complex*>(out));
}

constexpr std::size_t longestTransform = std::size_t{1} << 30;

}  // namespace

template <typename Sample>
RealTransform<Sample>::RealTransform(std::size_t n, TransformUse use) : size_(n), halves_(nullptr) {
    if (n < 2 || n % 2 != 0 || n > longestTransform)
        throw Error(ErrorKind::bug, "transform of an odd, empty or enormous length", "", "");
    halves_ = halvesOf<Sample>(n, use);
}

template <typename Sample>
void RealTransform<Sample>::beginForward(const Sample* in, std::complex<Sample>* out) const {
    using L = Library<Sample>;
    // The plan preserves its input; the library's signature cannot say so.
    L::run(static_cast<const Halves<Sample>*>(halves_)->forward.get(),
           reinterpret_cast<typename L::Complex*>(const_cast<Sample*>(in)),
           reinterpret_cast<typename L::Complex*>(out));
}

template <typename Sample>
void RealTransform<Sample>::forward(const Sample* in, std::complex<Sample>* out) const {
    beginForward(in, out);
    static_cast<const Halves<Sample>*>(halves_)->step.toBins(out);
}

template <typename Sample>
void RealTransform<Sample>::forwardUpTo(std::size_t highest, const Sample* in,
                                        std::complex<Sample>* out) const {
    beginForward(in, out);
    static_cast<const Halves<Sample>*>(halves_)->step.toBins(out, highest);
}

template <typename Sample>
void RealTransform<Sample>::inverse(std::complex<Sample>* in, Sample* out) const {
    const auto& halves = *static_cast<const Halves<Sample>*>(halves_);
    halves.step.fromBins(in);
    runInverse(halves, in, out);
}

template <typename Sample>
void RealTransform<Sample>::quotient(std::complex<Sample>* y, const std::complex<Sample>* x,
                                     std::span<const std::complex<Sample>> shape, Sample least,
                                     Sample* out) const {
    if (shape.size() != bins()) throw Error(ErrorKind::bug, "a shape on other bins", "", "");
    const auto& halves = *static_cast<const Halves<Sample>*>(halves_);
    halves.step.quotient(y, x, shape.data(), least);
    runInverse(halves, y, out);
}

template class RealTransform<float>;
template class RealTransform<double>;

}  // namespace volvelle
