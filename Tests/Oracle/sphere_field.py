"""Exact field of vibrating caps on a rigid sphere, e^(+jωt), outgoing waves h⁽²⁾.

A cap vibrates with uniform radial velocity; the rest of the sphere is rigid. With u the radial velocity of the cap,

    p(r, θ) = -j ρ c u Σ_n U_n h_n(kr) / h_n'(ka) P_n(cos θ),    U_n = (P_{n-1}(cos α) - P_{n+1}(cos α)) / 2,  P_{-1} = 1

(Morse & Ingard, Theoretical Acoustics, 1968, section 7.2, there for e^(-iωt); Beranek & Mellow, Acoustics, 2012, chapter 12).
Several caps add up exactly, because none of them changes the boundary of another.

Everything here is independent of the C++ modules: scipy's spherical Bessel functions and Legendre polynomials.
Run as a program it checks itself against closed forms and exact rational arithmetic.
"""

import sys
from dataclasses import dataclass
from fractions import Fraction
from math import comb, factorial

import numpy as np
from scipy.special import eval_legendre, spherical_jn, spherical_yn

AIR_DENSITY = 1.2041  # kg/m³ at 20 °C, 101.325 kPa
REFERENCE_PRESSURE = 20e-6


def sound_speed(temperature_c=20.0):
    """m/s, 343.2 sqrt(T / 293.15 K): ISO 9613-1:1993."""
    return 343.2 * np.sqrt((temperature_c + 273.15) / 293.15)


@dataclass(frozen=True)
class Cap:
    """A cap's centre as seen from the sphere's centre, and its half-angle, all in degrees."""

    azimuth_deg: float
    elevation_deg: float
    half_angle_deg: float


def unit_vectors(azimuth_deg, elevation_deg):
    """[..., 3]: x ahead, y left, z up."""
    azimuth, elevation = np.radians(azimuth_deg), np.radians(elevation_deg)
    return np.stack([np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth),
                     np.sin(elevation) + 0 * azimuth], axis=-1)


def orbit_vectors(orbit, angles_deg):
    """Horizontal angles grow from x towards y, vertical ones from x towards z."""
    a = np.radians(np.asarray(angles_deg, float))
    zero = np.zeros_like(a)
    rows = [np.cos(a), np.sin(a), zero] if orbit == "horizontal" else [np.cos(a), zero, np.sin(a)]
    return np.stack(rows, axis=-1)


def orders_needed(ka, radius, distance):
    """Highest order that counts at double precision: past ka the terms fall at least as (a/r)^n."""
    geometric = int(np.ceil(40 / np.log(distance / radius))) if distance > radius else 400
    return min(int(ka + 12 * np.cbrt(ka + 1) + 20), int(ka) + geometric + 20)


def radial_ratio(ka, kr, order):
    """[order + 1, len(ka)]: h_n⁽²⁾(kr) / h_n⁽²⁾'(ka); orders whose functions overflow contribute nothing and are zero."""
    n = np.arange(order + 1)[:, None]
    with np.errstate(all="ignore"):
        far = spherical_jn(n, kr[None, :]) - 1j * spherical_yn(n, kr[None, :])
        near = spherical_jn(n, ka[None, :], True) - 1j * spherical_yn(n, ka[None, :], True)
        ratio = far / near
    ratio[~np.isfinite(ratio)] = 0
    return ratio


def cap_coefficients(half_angle_deg, order):
    """U_n, n = 0 ... order."""
    x = np.cos(np.radians(half_angle_deg))
    n = np.arange(order + 1)
    below = np.where(n == 0, 1.0, eval_legendre(np.maximum(n - 1, 0), x))
    return (below - eval_legendre(n + 1, x)) / 2


def cap_pressures(caps, radius_m, distance_m, frequencies_hz, vectors, speed=343.2):
    """p / (ρ c u) of each cap alone: complex [cap, frequency, direction]. Frequencies must be above zero."""
    f = np.atleast_1d(np.asarray(frequencies_hz, float))
    out = np.empty((len(caps), len(f), len(vectors)), complex)
    for block in np.array_split(np.arange(len(f)), max(1, len(f) // 256)):
        k = 2 * np.pi * f[block] / speed
        order = orders_needed(k.max() * radius_m, radius_m, distance_m)
        ratio = radial_ratio(k * radius_m, k * distance_m, order)
        n = np.arange(order + 1)
        for index, cap in enumerate(caps):
            cosine = np.clip(vectors @ unit_vectors(cap.azimuth_deg, cap.elevation_deg), -1, 1)
            shape = cap_coefficients(cap.half_angle_deg, order)[:, None] * eval_legendre(n[:, None], cosine[None, :])
            out[index, block] = -1j * (ratio.T @ shape)
    return out


def accelerated_caps(caps, radius_m, distance_m, frequencies_hz, vectors, speed=343.2, density=AIR_DENSITY):
    """Pressure in Pa of each cap alone for a radial acceleration of 1 m/s²: flat at low frequencies."""
    f = np.atleast_1d(np.asarray(frequencies_hz, float))
    p = cap_pressures(caps, radius_m, distance_m, f, vectors, speed)
    return p * (density * speed / (2j * np.pi * f))[None, :, None]


# --- checks -----------------------------------------------------------------------------------------------------------


def exact_hankel_pair(n, x):
    """h_n⁽²⁾(x) and its derivative for a rational x, both divided by e^(-jx), in exact rational arithmetic.

    h_n⁽²⁾(x) = j^(n+1) e^(-jx) / x · Σ_m (n+m)! / (m! (n-m)!) · (1 / (2jx))^m (-1)^0: Abramowitz & Stegun 10.1.17.
    """
    def times_j(z, power):
        for _ in range(power % 4):
            z = (-z[1], z[0])
        return z

    def plain(order):
        re, im = Fraction(0), Fraction(0)
        for m in range(order + 1):
            size = Fraction(factorial(order + m), factorial(m) * factorial(order - m)) / (2 * x) ** m
            term = times_j((size, Fraction(0)), 3 * m)  # (1/j)^m = (-j)^m
            re, im = re + term[0], im + term[1]
        value = times_j((re, im), order + 1)
        return value[0] / x, value[1] / x

    h = plain(n)
    if n == 0:
        next_ = plain(1)
        return h, (-next_[0], -next_[1])
    before = plain(n - 1)
    factor = Fraction(n + 1) / x
    return h, (before[0] - factor * h[0], before[1] - factor * h[1])


def exact_legendre(n, x):
    """P_n of a rational x, exactly."""
    return sum(Fraction(comb(n, k) ** 2) * (x - 1) ** (n - k) * (x + 1) ** k for k in range(n + 1)) / 2 ** n


def exact_pressure(ka, ratio, cos_alpha, cos_theta, order):
    """p / (ρ c u) for rational arguments, summed in exact arithmetic but for the common factor e^(-jk(r-a))."""
    legendre = [exact_legendre(n, cos_alpha) for n in range(order + 2)]
    re, im = Fraction(0), Fraction(0)
    for n in range(order + 1):
        top = exact_hankel_pair(n, ka * ratio)[0]
        bottom = exact_hankel_pair(n, ka)[1]
        size = bottom[0] ** 2 + bottom[1] ** 2
        quotient = ((top[0] * bottom[0] + top[1] * bottom[1]) / size, (top[1] * bottom[0] - top[0] * bottom[1]) / size)
        weight = ((Fraction(1) if n == 0 else legendre[n - 1]) - legendre[n + 1]) / 2 * exact_legendre(n, cos_theta)
        re, im = re + weight * quotient[0], im + weight * quotient[1]
    return -1j * complex(float(re), float(im)) * np.exp(-1j * float(ka * (ratio - 1)))


def check(name, error, limit):
    ok = error <= limit
    print(f"{'ok  ' if ok else 'FAIL'} {name}: {error:.2e} (limit {limit:.0e})")
    return ok


def self_check():
    results = []
    speed, radius, distance = 343.2, 0.15, 2.0
    frequency = np.array([20.0, 200.0, 2000.0, 20000.0])
    ka, kr = (2 * np.pi * frequency / speed * x for x in (radius, distance))
    axis = unit_vectors(np.array([0.0]), np.array([0.0]))
    # A sphere that pulsates as a whole: p = ρ c u (a/r) jka / (1 + jka) e^(-jk(r-a)); any acoustics handbook.
    whole = cap_pressures([Cap(0, 0, 180)], radius, distance, frequency, axis)[0, :, 0]
    closed = radius / distance * 1j * ka / (1 + 1j * ka) * np.exp(-1j * (kr - ka))
    results.append(check("pulsating sphere, closed form", np.max(np.abs(whole / closed - 1)), 1e-12))
    # Monopole limit: the mean over directions -> ρ dQ/dt / (4π r) for a cap of area 2π a² (1 - cos α) at low frequency.
    node, weight = np.polynomial.legendre.leggauss(400)
    ring = np.stack([node, np.sqrt(1 - node ** 2), 0 * node], axis=-1)
    low = np.sum(weight * accelerated_caps([Cap(0, 0, 20)], radius, distance, [0.05], ring)[0, 0]) / 2
    area = 2 * np.pi * radius ** 2 * (1 - np.cos(np.radians(20)))
    results.append(check("monopole limit", abs(abs(low) / (AIR_DENSITY * area / (4 * np.pi * distance)) - 1), 1e-6))
    # Two caps that cover the sphere together are the pulsating sphere.
    some = unit_vectors(np.array([0.0, 40, 77, 133, -160]), np.array([0.0, 12, -66, 5, 45]))
    halves = cap_pressures([Cap(20, 30, 70), Cap(-160, -30, 110)], radius, distance, frequency, some).sum(axis=0)
    results.append(check("two caps complete the sphere", np.max(np.abs(halves / closed[:, None] - 1)), 1e-10))
    # Power through a large sphere equals the power the cap gives off at its surface (Gauss quadrature over cos θ).
    far = cap_pressures([Cap(0, 0, 35)], radius, 3.0, [3000.0], ring)[0, 0]
    farther = cap_pressures([Cap(0, 0, 35)], radius, 3000.0, [3000.0], ring)[0, 0]
    k = 2 * np.pi * 3000 / speed
    order = orders_needed(k * radius, radius, 3.0)
    surface = -1j * radial_ratio(np.array([k * radius]), np.array([k * radius]), order)[:, 0]
    given = np.sum(cap_coefficients(35, order) ** 2 / (np.arange(order + 1) + 0.5) * surface.real) * radius ** 2
    results.append(check("power is kept, far", abs(np.sum(weight * np.abs(farther) ** 2) * 3000 ** 2 / given - 1), 1e-6))
    results.append(check("power is kept, near (intensity needs the far field)",
                         abs(np.sum(weight * np.abs(far) ** 2) * 9 / given - 1), 2e-2))
    # Exact rational arithmetic at ka = 1/2, 3 and 17, r/a = 2 and 40/3, cos α = 4/5, cos θ = -3/7, 1 and -1.
    worst = 0.0
    for ka_ in (Fraction(1, 2), Fraction(3), Fraction(17)):
        for ratio in (Fraction(2), Fraction(40, 3)):
            for cosine in (Fraction(-3, 7), Fraction(1), Fraction(-1)):
                f = float(ka_) * speed / (2 * np.pi * radius)
                vector = np.array([[float(cosine), np.sqrt(1 - float(cosine) ** 2), 0.0]])
                got = cap_pressures([Cap(0, 0, np.degrees(np.arccos(0.8)))], radius, radius * float(ratio), [f], vector)
                exact = exact_pressure(ka_, ratio, Fraction(4, 5), cosine, 62)
                worst = max(worst, abs(got[0, 0, 0] / exact - 1))
    results.append(check("exact rational arithmetic", worst, 1e-10))
    print(f"{sum(results)} passed, {len(results) - sum(results)} failed")
    return all(results)


if __name__ == "__main__":
    sys.exit(0 if self_check() else 1)
