#pragma once

#include <complex>
#include <cstddef>
#include <span>

namespace volvelle {

/// Smallest even 2^a 3^b 5^c (a >= 1) that is at least n; for n above 5000 a >= 3, above 16384 also a <= 12,
/// which are the quicker ones.
std::size_t fastLength(std::size_t n);

/// Which plans a transform needs: each takes some time to make for long lengths.
enum class TransformUse { bothWays, forwardOnly };

/// Real transform of a fixed even length n: forward n reals to n/2 + 1 complex values with e^(-jωt) (so that
/// spectra follow e^(+jωt)), inverse unscaled (forward then inverse multiplies by n). Sample is float or
/// double. Arrays must start at 64-byte boundaries (AlignedVector). Each is a complex transform of half the
/// length and a step (HalfLength). Plans are made once per length and shared; thread-safe to execute, not
/// real-time-safe to construct.
template <typename Sample>
class RealTransform {
public:
    explicit RealTransform(std::size_t n, TransformUse use = TransformUse::bothWays);

    std::size_t size() const { return size_; }
    std::size_t bins() const { return size_ / 2 + 1; }
    void forward(const Sample* in, std::complex<Sample>* out) const;  ///< leaves `in` as it was
    void inverse(std::complex<Sample>* in, Sample* out) const;        ///< destroys `in`; not of forwardOnly

    /// forward() for bins 0 ... highest alone; the others are anything.
    void forwardUpTo(std::size_t highest, const Sample* in, std::complex<Sample>* out) const;

    /// The first part of forward(), for quotient(): `out` holds bins() values, of which the last is not used.
    void beginForward(const Sample* in, std::complex<Sample>* out) const;

    /// Of two begun signals y and x with spectra Y and X: the samples of Y · conj(X) · shape / (|X|² +
    /// least), times size(). shape: on the bins. Destroys y. Quicker than forward() of both, a loop, and
    /// inverse().
    void quotient(std::complex<Sample>* y, const std::complex<Sample>* x,
                  std::span<const std::complex<Sample>> shape, Sample least, Sample* out) const;

private:
    std::size_t size_;
    const void* halves_;
};

extern template class RealTransform<float>;
extern template class RealTransform<double>;

}  // namespace volvelle
