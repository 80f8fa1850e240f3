"""A plain numpy chain from recordings to responses, to know what is physically possible with a recording's noise.

    reference_chain.py SCENARIO [...]     worst errors against the exact field, for several window lengths

Not the product's chain: quotient of spectra, causal high-pass and smooth top as shape, one window per run, exact evaluation.
"""

import csv
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "Acceptance"))

from audio_files import read_audio  # noqa: E402
from families_oracle import family_levels, folded  # noqa: E402
from recordings import Stage, at_one_metre, exact_responses, make  # noqa: E402

GRID = 20 * 2 ** (np.arange(479) / 48)
WINDOWS_MS = [5, 10, 20, 40, 85, 170, 340]
BANDS = [(60, 100), (100, 300), (300, 1000), (1000, 3000), (3000, 10000), (10000, 16000)]


def captures(made, drive):
    """[((orbit, angle), file)] of the manifest."""
    with open(made.manifest, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["drive"] != drive:
                continue
            if "orbit" in row:
                yield (row["orbit"], folded(int(row["angle_deg"]))), made.folder / row["file"]
            else:
                azimuth, elevation = int(row["azimuth_deg"]), int(row["elevation_deg"])
                if elevation == 0:
                    yield ("horizontal", folded(azimuth)), made.folder / row["file"]
                else:
                    angle = elevation if azimuth == 0 or abs(elevation) == 90 else folded(180 - elevation)
                    yield ("vertical", angle), made.folder / row["file"]


def impulses(scenario, made, drive):
    """{(orbit, angle): Pa/V per sample, circular}, and the shape on any frequencies."""
    excitation, rate = read_audio(made.excitation)
    low, high = scenario.sweep.low_hz, min(scenario.sweep.high_hz, rate / 2)
    corner = Stage("high", low * 0.9, (0.5412, 1.3066))

    def shape(f):
        top = np.clip((f / high - 0.9) / 0.09, 0, 1)
        return corner.response(f) * np.cos(np.pi / 2 * top) ** 2

    out, length = {}, None
    for spot, path in captures(made, drive):
        x, _ = read_audio(path)
        if length is None:
            length = next_fast_len(len(x) + round(0.4 * rate), real=True)
            length += length % 2
            f = np.fft.rfftfreq(length, 1 / rate)
            played = rfft(excitation[:, 0], length) * made.volts_per_full_scale
            shape_f = shape(f)
        if scenario.loopback:
            played = rfft(x[:, 1], length) * made.loopback_volts_per_full_scale
        power = np.abs(played) ** 2
        inverse = np.conj(played) * shape_f / (power + 1e-9 * np.max(power))
        out[spot] = irfft(rfft(x[:, 0], length) * made.pascal_per_full_scale * inverse, length)
    return out, shape, rate


def windowed_responses(scenario, made, data, shape, rate, window_s, before_s=0.0015):
    """Pa/V on GRID with a window from before_s ahead of the earliest arrival on."""
    begin = (scenario.distance_m - scenario.unit.radius_m) / scenario.speed() + made.latency_s - before_s
    begin += min(s.latency_s for s in scenario.unit.sections)
    first, count = int(np.floor(begin * rate)), round((window_s + before_s) * rate)
    fade_in, fade_out = round(0.6 * before_s * rate), round(0.4 * window_s * rate)
    weight = np.ones(count)
    weight[:fade_in] = 0.5 - 0.5 * np.cos(np.pi * (np.arange(fade_in) + 0.5) / fade_in)
    weight[-fade_out:] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(fade_out) + 0.5) / fade_out)
    index = np.arange(first, first + count)
    grid = GRID[GRID < rate / 2]
    stack = np.stack([h[index] for h in data.values()]) * weight
    out = np.empty((len(stack), len(grid)), complex)
    for block in np.array_split(np.arange(len(grid)), max(1, len(grid) * count // 4_000_000)):
        out[:, block] = stack @ np.exp(-2j * np.pi * np.outer(index, grid[block]) / rate)
    out = out / shape(grid) * np.exp(2j * np.pi * grid * made.latency_s)
    return grid, dict(zip(data, out))


def split(responses):
    h = {a: p for (o, a), p in responses.items() if o == "horizontal"}
    v = {a: p for (o, a), p in responses.items() if o == "vertical"}
    v.setdefault(0, h[0])
    v.setdefault(180, h[180])
    return h, v


def curve_errors(grid, got, exact, axis):
    """Largest error over curves per frequency where a curve is within 20 dB of the loudest level of the drive."""
    a, b = family_levels(*split(got), axis), family_levels(*split(exact), axis)
    level_keys = [k for k in b if not k.endswith("_di")]
    inside = (grid >= 60) & (grid <= 16000)
    loudest = max(np.max(b[k][inside]) for k in level_keys)
    worst = np.zeros(len(grid))
    for k in level_keys:
        worst = np.maximum(worst, np.where(b[k] >= loudest - 20, np.abs(a[k] - b[k]), 0))
    return worst


def response_errors(grid, got, exact, axis):
    """Largest level and phase error within 60° of the axis."""
    near = [s for s in got if axis_distance(s, axis) <= 60]
    ratio = np.stack([got[s] / exact[s] for s in near])
    size = np.stack([20 * np.log10(np.abs(exact[s])) for s in near])
    inside = (grid >= 60) & (grid <= 16000)
    heard = size >= np.max(size[:, inside]) - 20
    return (np.max(np.where(heard, np.abs(20 * np.log10(np.abs(ratio))), 0), axis=0),
            np.max(np.where(heard, np.abs(np.degrees(np.angle(ratio))), 0), axis=0))


def axis_distance(spot, axis):
    orbit, angle = spot
    return abs(folded(angle - axis))


def report(scenario, folder):
    made = make(scenario, folder)
    for drive, axis in scenario.drives.items():
        data, shape, rate = impulses(scenario, made, drive)
        exact_cache = None
        for window in WINDOWS_MS:
            grid, got = windowed_responses(scenario, made, data, shape, rate, window / 1000)
            if exact_cache is None:
                exact_cache = {s: at_one_metre(scenario, p) for s, p in exact_responses(scenario, drive, grid).items()}
            got = {s: at_one_metre(scenario, p) for s, p in got.items()}
            curves = curve_errors(grid, got, exact_cache, axis)
            single, phase = response_errors(grid, got, exact_cache, axis)
            cells = []
            for lowest, highest in BANDS:
                band = (grid >= lowest) & (grid < highest)
                cells.append(f"{np.max(curves[band]):.3f} {np.max(single[band]):.3f} {np.max(phase[band]):4.1f}")
            print(f"{scenario.name:20s} {drive:10s} {window:4d} ms | " + " | ".join(cells), flush=True)


def main(names):
    from scenarios import SCENARIOS, named

    print("curve dB, response dB, phase ° | " + " | ".join(f"{a:g}-{b:g} Hz" for a, b in BANDS))
    for scenario in [named(n) for n in names] if names else [s for s in SCENARIOS if not s.impulse_responses]:
        with tempfile.TemporaryDirectory() as folder:
            report(scenario, folder)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
