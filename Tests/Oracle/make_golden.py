"""Writes Datasets/oracle/caps.csv: exact pressures of caps on a rigid sphere, for testing Acoustics against.

    make_golden.py [FILE]           writes the file
    make_golden.py --check [FILE]   computes it again and compares to 1e-12 of the largest pressure of each case
"""

import sys
from pathlib import Path

import numpy as np

from sphere_field import Cap, cap_pressures, unit_vectors

SPEED = 343.2
HEADER = """\
# Exact pressure of caps with uniform radial velocity on a rigid sphere, written by Tests/Oracle/make_golden.py (scipy).
# Morse & Ingard, Theoretical Acoustics (1968) section 7.2; Beranek & Mellow, Acoustics (2012) ch. 12. e^(+jwt), outgoing h(2).
# pressure = p / (rho c u): divided by density, sound speed and the radial velocity u of a cap of gain 1; phase as at the
# distance from the sphere's centre (propagation included). Multiply by rho c / (j w) for a radial acceleration of 1 m/s2.
# Sound speed 343.2 m/s. Gains are complex factors of the radial velocity; an unused second cap has gain 0.
# Angles in degrees: azimuth from x ahead towards y left, elevation towards z up. Two caps add up.
# Compare within one case (all directions): differences relative to the case's largest magnitude."""
COLUMNS = ("case,ka,radius_m,distance_m,frequency_hz,"
           "cap1_azimuth_deg,cap1_elevation_deg,cap1_half_angle_deg,cap1_gain_re,cap1_gain_im,"
           "cap2_azimuth_deg,cap2_elevation_deg,cap2_half_angle_deg,cap2_gain_re,cap2_gain_im,"
           "azimuth_deg,elevation_deg,pressure_re,pressure_im")
DIRECTIONS = [(0, 0), (10, 0), (60, 0), (90, 0), (-135, 0), (180, 0), (0, 40), (180, 80), (0, -90), (33, -21)]
NONE = (0, 0, 10, 0, 0)
FRONT = (0, 0, 20, 1, 0)
# ka, radius, distance, first cap, second cap: (azimuth, elevation, half-angle, gain re, gain im)
CASES = [
    (0.05, 0.15, 2.0, FRONT, NONE),
    (0.2, 0.15, 0.3, (0, 0, 5, 1, 0), NONE),
    (0.5, 0.12, 1.5, (30, 0, 40, 1, 0), NONE),
    (1.0, 0.15, 2.0, FRONT, (180, 0, 20, 1, 0)),
    (1.0, 0.15, 0.3, FRONT, (180, 0, 20, -1, 0)),
    (2.0, 0.20, 1.0, (0, 25, 30, 1, 0), (0, -20, 45, 0.5, -0.3)),
    (3.0, 0.15, 2.0, (0, 0, 60, 1, 0), NONE),
    (5.0, 0.10, 0.3, (-70, 15, 12, 0.8, 0.6), NONE),
    (5.0, 0.15, 30.0, FRONT, NONE),
    (8.0, 0.15, 2.0, (180, 0, 25, 1, 0), NONE),
    (11.0, 0.15, 1.5, FRONT, (180, 0, 35, 0.2, -1.1)),
    (15.0, 0.15, 2.0, (0, 0, 60, 1, 0), NONE),
    (20.0, 0.15, 0.3, (45, 30, 10, 1, 0), NONE),
    (25.0, 0.25, 2.0, (0, 0, 5, 1, 0), (90, 0, 8, 0, 1)),
    (30.0, 0.15, 2.0, (0, 90, 30, 1, 0), NONE),
    (40.0, 0.30, 2.0, FRONT, (-120, -45, 15, -0.7, 0.2)),
    (50.0, 0.15, 0.3, (0, 0, 15, 1, 0), NONE),
    (55.0, 0.15, 2.0, (10, -5, 45, 1, 0), NONE),
    (70.0, 0.20, 2.0, FRONT, NONE),
    (70.0, 0.20, 100.0, (0, 0, 60, 1, 0), (180, 0, 5, 2, 0)),
]


def case_rows(number, case):
    ka, radius, distance, first, second = case
    frequency = ka * SPEED / (2 * np.pi * radius)
    azimuth, elevation = np.array(DIRECTIONS, float).T
    caps = [Cap(*first[:3]), Cap(*second[:3])]
    gains = np.array([complex(*first[3:]), complex(*second[3:])])
    pressure = gains @ cap_pressures(caps, radius, distance, [frequency], unit_vectors(azimuth, elevation), SPEED)[:, 0]
    return [[number, ka, radius, distance, frequency, *first, *second, a, e, p.real, p.imag]
            for (a, e), p in zip(DIRECTIONS, pressure)]


def main(arguments):
    checking = "--check" in arguments
    names = [a for a in arguments if a != "--check"]
    path = Path(names[0]) if names else Path(__file__).resolve().parents[2] / "Datasets" / "oracle" / "caps.csv"
    rows = [row for number, case in enumerate(CASES, 1) for row in case_rows(number, case)]
    if not checking:
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = [",".join(repr(float(v)) if not isinstance(v, int) else str(v) for v in row) for row in rows]
        path.write_text("\n".join([HEADER, COLUMNS, *lines]) + "\n")
        print(f"{len(rows)} rows written")
        return 0
    stored = np.loadtxt(path, delimiter=",", skiprows=len(HEADER.split("\n")) + 1)
    fresh = np.array(rows, float)
    worst = 0.0 if stored.shape == fresh.shape and np.allclose(stored[:, :17], fresh[:, :17], rtol=1e-14) else np.inf
    for number in range(1, len(CASES) + 1):
        a, b = stored[stored[:, 0] == number, 17:], fresh[fresh[:, 0] == number, 17:]
        worst = max(worst, np.max(np.abs(a - b)) / np.max(np.hypot(*b.T))) if np.isfinite(worst) else worst
    print(f"largest difference {worst:.1e} (limit 1e-12)")
    passed = worst <= 1e-12
    print(f"{int(passed)} passed, {int(not passed)} failed")
    return 0 if passed else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
