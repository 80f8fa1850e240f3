#pragma once

#include "Sphere/Direction.h"

#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// Weights of one point on each ring of polar angle 0, 180/n ... 180° whose sum over a function of the cosine
/// is its mean over the sphere: the quadrature of Clenshaw & Curtis (Numerische Mathematik 2, 1960) for n+1
/// nodes, exact for polynomials of degree n, of degree n + 1 where n is even. n: 2 or more, even. They are
/// positive and add up to one.
std::vector<double> ringWeights(std::size_t n);

/// The order of spherical harmonics up to which the weighted sum over these directions is the mean over the
/// sphere to within 1e-9 for each harmonic (normalised so that its mean square is one); not beyond `highest`,
/// -1 where the weights do not even add up to one. The mean square of a pressure that has harmonics up to
/// order N has order 2N.
int exactOrder(std::span<const Direction> directions, std::span<const double> weights, int highest);

}  // namespace volvelle
