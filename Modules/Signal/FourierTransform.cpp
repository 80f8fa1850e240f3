#include "Signal/FourierTransform.h"

#include "Signal/Aligned.h"
#include "Text/Error.h"

#include <fftw3.h>

#include <map>
#include <memory>
#include <mutex>
#include <type_traits>

namespace volvelle {

std::size_t fastLength(std::size_t n) {
    std::size_t best = 2;
    while (best < n) best *= 2;
    for (std::size_t five = 1; five <= best; five *= 5)
        for (std::size_t three = five; three <= best; three *= 3) {
            std::size_t length = three * 2;
            while (length < n) length *= 2;
            if (length < best) best = length;
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
    static Plan forward(int n, float* in, Complex* out) {
        return fftwf_plan_dft_r2c_1d(n, in, out, FFTW_ESTIMATE | FFTW_PRESERVE_INPUT);
    }
    static Plan inverse(int n, Complex* in, float* out) {
        return fftwf_plan_dft_c2r_1d(n, in, out, FFTW_ESTIMATE | FFTW_DESTROY_INPUT);
    }
    static void destroy(Plan p) { fftwf_destroy_plan(p); }
    static void run(Plan p, float* in, Complex* out) { fftwf_execute_dft_r2c(p, in, out); }
    static void run(Plan p, Complex* in, float* out) { fftwf_execute_dft_c2r(p, in, out); }
};

template <>
struct Library<double> {
    using Plan = fftw_plan;
    using Complex = fftw_complex;
    static Plan forward(int n, double* in, Complex* out) {
        return fftw_plan_dft_r2c_1d(n, in, out, FFTW_ESTIMATE | FFTW_PRESERVE_INPUT);
    }
    static Plan inverse(int n, Complex* in, double* out) {
        return fftw_plan_dft_c2r_1d(n, in, out, FFTW_ESTIMATE | FFTW_DESTROY_INPUT);
    }
    static void destroy(Plan p) { fftw_destroy_plan(p); }
    static void run(Plan p, double* in, Complex* out) { fftw_execute_dft_r2c(p, in, out); }
    static void run(Plan p, Complex* in, double* out) { fftw_execute_dft_c2r(p, in, out); }
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

/// Plans of one direction, made when first asked for. They live as long as the program: few lengths occur,
/// and any thread may be executing one.
template <typename Sample, bool isForward>
void* planOf(std::size_t n) {
    using L = Library<Sample>;
    static std::map<std::size_t,
                    std::unique_ptr<std::remove_pointer_t<typename L::Plan>, PlanDeleter<Sample>>>
        plans;
    const std::scoped_lock lock(plannersMutex());
    auto& plan = plans[n];
    if (!plan) {
        AlignedVector<Sample> real(n);
        AlignedVector<std::complex<Sample>> spectrum(n / 2 + 1);
        auto* bins = reinterpret_cast<typename L::Complex*>(spectrum.data());
        const auto length = static_cast<int>(n);
        plan.reset(isForward ? L::forward(length, real.data(), bins) : L::inverse(length, bins, real.data()));
        if (!plan) throw Error(ErrorKind::bug, "the transform library made no plan", "", "");
    }
    return plan.get();
}

constexpr std::size_t longestTransform = std::size_t{1} << 30;

}  // namespace

template <typename Sample>
RealTransform<Sample>::RealTransform(std::size_t n, TransformUse use)
    : size_(n), forward_(nullptr), inverse_(nullptr) {
    if (n < 2 || n % 2 != 0 || n > longestTransform)
        throw Error(ErrorKind::bug, "transform of an odd, empty or enormous length", "", "");
    forward_ = planOf<Sample, true>(n);
    if (use == TransformUse::bothWays) inverse_ = planOf<Sample, false>(n);
}

template <typename Sample>
void RealTransform<Sample>::forward(const Sample* in, std::complex<Sample>* out) const {
    using L = Library<Sample>;
    // The plan preserves its input; the library's signature cannot say so.
    L::run(static_cast<typename L::Plan>(forward_), const_cast<Sample*>(in),
           reinterpret_cast<typename L::Complex*>(out));
}

template <typename Sample>
void RealTransform<Sample>::inverse(std::complex<Sample>* in, Sample* out) const {
    using L = Library<Sample>;
    L::run(static_cast<typename L::Plan>(inverse_), reinterpret_cast<typename L::Complex*>(in), out);
}

template class RealTransform<float>;
template class RealTransform<double>;

}  // namespace volvelle
