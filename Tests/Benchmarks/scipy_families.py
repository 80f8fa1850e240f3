"""What `families` does, as one who knows numpy and scipy would write it to be quick: the yardstick of compare_families.py.

    scipy_families.py RUN DRIVE TABLE OUT float64|float32 threads|workers

TABLE is one of `volvelle families --csv`. Prints seconds and processor seconds.

It shares nothing with the product but the run file (Docs/run-file.md), the method (Docs/method.md), and the numbers of the
recipe in force and of the recognised sweep, which it is given. Two threads each take two captures at a time: hashlib, numpy and
scipy.fft let go of the interpreter's lock in their loops. (Or one thread, and scipy.fft's own two workers.) Spectra at the grid's
frequencies come from zero-padded transforms and cubic interpolation of complex bins, which is quicker than a chirp transform or a
matrix and stays within 0.01 dB.
"""

import json
import os
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft, set_workers

from run_reading import Seal, given_by, read_drive

WORKERS = 2
BATCH = 2  # captures: larger ones fall out of the cache, single ones lose the vectors over rows
PADDING = 4  # of the transforms over windows
TWO_PI = 2 * np.pi


# --- impulses ----------------------------------------------------------------------------------------------------------


def band_shape(f, excited, half):
    """Causal Butterworth high-pass of fourth order and a taper above the band."""
    low, high = excited
    s = 1j * f / (low / 2)
    top = min(1.06 * high, half)
    taper = 0.5 + 0.5 * np.cos(np.pi * np.clip((f - high) / (top - high), 0, 1))
    return s ** 4 / ((s * s + 0.7653668647 * s + 1) * (s * s + 1.8477590650 * s + 1)) * taper


class Deconvolution:
    def __init__(self, drive, excited, real):
        # Lengths with several twos are the quicker ones: 172800 takes three quarters of the time of 168750.
        self.n = 8 * next_fast_len(-(-drive.samples[2] // 8), real=True)
        self.real = real
        f = np.arange(self.n // 2 + 1) * (drive.rate / self.n)
        with np.errstate(invalid="ignore"):
            self.shape = band_shape(f, excited, drive.rate / 2).astype(np.result_type(real, np.complex64))
        played = rfft(drive.excitation.astype(real), self.n)
        power = played.real ** 2 + played.imag ** 2
        edges = 1.05 * excited[0] * 10 ** (0.1 * np.arange(40))
        bins = np.ceil(edges[edges < excited[1]] * self.n / drive.rate).astype(int)
        means = np.add.reduceat(power[:bins[-1]], bins[:-1]) / np.diff(bins)
        energy = float(np.vdot(drive.excitation, drive.excitation))
        self.least = 1e-5 * means.min() / energy
        self.own_mean = float(drive.excitation.sum()) / np.sqrt(energy) / drive.samples[2]

    def __call__(self, raw):
        """raw: int32 [captures, 2, samples], as recorded. Circular impulses [captures, n]."""
        x = raw.astype(self.real)
        x *= self.real(2.0 ** -31)
        x -= x.mean(axis=-1, keepdims=True)
        energy = np.einsum("ij,ij->i", x[:, 1], x[:, 1])
        x[:, 1] += (np.sqrt(energy) * self.own_mean).astype(self.real)[:, None]
        spectra = rfft(x, self.n, axis=-1)
        played = spectra[:, 1]
        power = played.real ** 2
        power += played.imag ** 2
        power += (self.least * energy).astype(self.real)[:, None]
        quotient = spectra[:, 0]
        quotient *= np.conj(played, out=played)
        quotient *= self.shape
        quotient /= power
        return irfft(quotient, self.n, axis=-1)


# --- spectra at the grid's frequencies -----------------------------------------------------------------------------------


class WindowSpectrum:
    """Spectra of windowed stretches of circular impulses at given frequencies, phases against time zero."""

    def __init__(self, window, f, rate, real, about):
        start, rise, fall, end = window  # seconds after time zero
        n = np.arange(np.ceil(start * rate), np.floor(end * rate) + 1)
        t = n / rate
        ramps = [np.clip(part, 0, 1) for part in ((t - start) / rise, (end - t) / fall)]
        weights = np.prod([0.5 - 0.5 * np.cos(np.pi * part) for part in ramps], axis=0)
        self.weights = weights.astype(real)
        self.first, self.last = int(n[0]), int(n[-1]) + 1
        self.times = t.astype(real)
        self.n = next_fast_len(PADDING * len(n), real=True)
        at = f * self.n / rate
        self.bins = np.clip(np.floor(at).astype(int) - 1, 0, self.n // 2 - 3)[:, None] + np.arange(4)
        d = at - self.bins[:, 0]
        cubic = np.stack([-(d - 1) * (d - 2) * (d - 3) / 6, d * (d - 2) * (d - 3) / 2, -d * (d - 1) * (d - 3) / 2,
                          d * (d - 1) * (d - 2) / 6], axis=1)
        # Bins turn slowly about the arrival, so it is there that they are interpolated.
        lag = TWO_PI * (about * rate - self.first) / self.n
        self.cubic = (cubic * np.exp(1j * lag * self.bins)).astype(np.result_type(real, np.complex64))
        self.turn = np.exp(-1j * TWO_PI * f * about)

    def cut(self, impulses):
        if self.first >= 0:
            return impulses[:, self.first:self.last]
        if self.last <= 0:
            return impulses[:, self.first:self.last or None]
        return np.concatenate([impulses[:, self.first:], impulses[:, :self.last]], axis=1)

    def of(self, stretches):
        bins = rfft(stretches, self.n, axis=-1)
        return np.einsum("cfk,fk->cf", bins[:, self.bins], self.cubic) * self.turn

    def __call__(self, impulses):
        return self.of(self.cut(impulses) * self.weights)


def window_of(part, earliest):
    return (earliest + part["start_ms"] / 1e3, part["fade_in_ms"] / 1e3, part["fade_out_ms"] / 1e3, earliest + part["end_ms"] / 1e3)


class Spectrum:
    """One window, or two with a cross-fade."""

    def __init__(self, recipe, f, drive, real):
        low, share = recipe.get("low_window"), np.zeros(len(f))
        self.low = None
        if isinstance(low, dict):
            fade = recipe["cross_fade"]
            part = np.clip(0.5 + np.log2(f / fade["hz"]) / fade["octaves"], 0, 1)
            share = 0.5 + 0.5 * np.cos(np.pi * part)
            self.below = int(np.count_nonzero(part < 1))
            self.low = WindowSpectrum(window_of(low, drive.earliest), f[:self.below], drive.rate, real, drive.earliest)
            self.low_share = share[:self.below]
        self.above = int(np.count_nonzero(share == 1))
        self.main = WindowSpectrum(window_of(recipe["window"], drive.earliest), f[self.above:], drive.rate, real, drive.earliest)
        self.main_share = 1 - share[self.above:]
        self.points = len(f)

    def __call__(self, impulses, by_time=False):
        """by_time: of the impulse times time, for the group delay."""
        def value(window):
            stretch = window.cut(impulses) * window.weights
            return window.of(stretch * window.times if by_time else stretch)

        out = np.zeros((len(impulses), self.points), complex)
        out[:, self.above:] = value(self.main) * self.main_share
        if self.low:
            out[:, :self.below] += value(self.low) * self.low_share
        return out


# --- curves ------------------------------------------------------------------------------------------------------------


def solid_angle(degrees):
    a = np.radians(degrees)
    return 4 * np.arcsin(np.sin(a) ** 2) if degrees <= 90 else 4 * np.pi - solid_angle(180 - degrees)


def power_weights(drive):
    """Of the 70 positions, as areas, adding up to one."""
    def weight(t):
        if t in (0, 180):
            return solid_angle(5) / (4 * np.pi)
        return (solid_angle(t + 5) - solid_angle(t - 5)) / (16 * np.pi)

    return np.array([weight(abs(round(a))) for a in drive.angle])


def matrix_of_means(drive):
    """Names, and the weights by which they are made of the positions."""
    at = {(o, round(a)): i for i, (o, a) in enumerate(zip(drive.orbit, drive.angle))}
    count = len(drive.angle)

    def mean(orbit, angles):
        row = np.zeros(count)
        for angle in angles:
            row[at["horizontal" if angle in (0, 180) else orbit, angle]] += 1 / len(angles)
        return row

    both = lambda low, high: [s * a for a in range(low, high + 1, 10) for s in (1, -1)]  # noqa: E731
    floor, ceiling = mean("vertical", (-20, -30, -40)), mean("vertical", (40, 50, 60))
    front, side = mean("horizontal", (0, *both(10, 30))), mean("horizontal", both(40, 80))
    wall, rear = mean("horizontal", (180, 90, -90)), mean("horizontal", (*both(90, 170), 180))
    listening = (7 * front + 2 * mean("vertical", (10, -10))) / 9
    return {"on_axis": mean("horizontal", (0,)), "listening_window": listening, "floor_bounce": floor,
            "ceiling_bounce": ceiling, "front_wall_bounce": front, "side_wall_bounce": side, "rear_wall_bounce": wall,
            "early_reflections": (floor + ceiling + front + side + wall) / 5, "sound_power": power_weights(drive),
            "horizontal_front": front, "horizontal_side": side, "horizontal_rear": rear,
            "horizontal_total": (front + side + rear) / 3, "vertical_floor": floor, "vertical_ceiling": ceiling,
            "vertical_total": (floor + ceiling) / 2}


def curves(power, drive):
    """Levels by column, in the order of the table."""
    means = matrix_of_means(drive)
    squares = dict(zip(means, np.array(list(means.values())) @ power))
    level = {key: 10 * np.log10(value / 4e-10) for key, value in squares.items()}
    window, early, everything = (squares[key] for key in ("listening_window", "early_reflections", "sound_power"))
    level["early_reflections_di"] = 10 * np.log10(window / early)
    level["sound_power_di"] = 10 * np.log10(window / everything)
    level["estimated_in_room"] = 10 * np.log10((0.12 * window + 0.44 * early + 0.44 * everything) / 4e-10)
    level["sound_power_level"] = level["sound_power"] + 10 * np.log10(4 * np.pi * 400 / drive.impedance)
    keys = list(means)
    order = [*keys[:9], "early_reflections_di", "sound_power_di", "estimated_in_room", *keys[9:], "sound_power_level"]
    return {f"{key}_db": level[key] for key in order}


def beamwidth(level, angles):
    """level [angles, points], of the orbit's angles in growing order up to 180. Degrees; inf: it never falls by 6 dB."""
    axis = int(np.flatnonzero(angles == 0)[0])
    limit, total = level[axis] - 6, 0
    for way in (range(axis, len(angles)), [*range(axis, -1, -1), len(angles) - 1]):
        rows, distance = level[list(way)], np.abs(angles[list(way)])
        under = rows[1:] <= limit
        i = under.argmax(axis=0)
        before, after = np.take_along_axis(rows, i[None], 0)[0], np.take_along_axis(rows, i[None] + 1, 0)[0]
        with np.errstate(invalid="ignore", divide="ignore"):
            crossing = distance[i] + (distance[i + 1] - distance[i]) * (before - limit) / (before - after)
        total = total + np.where(under.any(axis=0), crossing, np.inf)
    return total


def beamwidths(power, drive):
    levels, out = 10 * np.log10(power), {}
    for orbit in ("horizontal", "vertical"):
        rows = [i for i, (o, a) in enumerate(zip(drive.orbit, drive.angle)) if o == orbit or round(a) in (0, 180)]
        rows.sort(key=lambda i: drive.angle[i])
        out[f"beamwidth_{orbit}_deg"] = beamwidth(levels[rows], drive.angle[rows])
    return out


# --- the axis ------------------------------------------------------------------------------------------------------------


def phase_and_delay(pressure, by_time, f, given, rate):
    delay = (by_time / pressure).real  # -dφ/dω of the spectrum itself; the shape's own is taken off
    step = band_shape(np.stack([f * 0.9995, f * 1.0005]), given.excited, rate / 2)
    shape_delay = -np.angle(step[1] * np.conj(step[0])) / (TWO_PI * 0.001 * f)
    shape = band_shape(f, given.excited, rate / 2)
    return {"on_axis_phase_deg": np.degrees(np.angle(pressure / shape)), "on_axis_group_delay_ms": 1e3 * (delay - shape_delay)}


def third_octave_mean(f, power):
    x = np.log2(f)
    total = np.concatenate([[0], np.cumsum(0.5 * (power[1:] + power[:-1]) * np.diff(x))])
    half = np.maximum(np.minimum(1 / 6, np.minimum(x - x[0], x[-1] - x)), 1e-6)
    to, start = np.minimum(x + half, x[-1]), np.maximum(x - half, x[0])
    return (np.interp(to, x, total) - np.interp(start, x, total)) / (to - start)


def distortion(impulse, fundamental, f, drive, given, axis):
    """Percent of harmonics 2 to 5, their floors, and the total. impulse: [1, n]; fundamental: pressure over `scale`."""
    low, high = given.excited
    rate, length = drive.rate, len(drive.excitation) / drive.rate / np.log(high / low)
    first = int(np.searchsorted(f, low / 1.02))
    ratios, floors = np.full((4, len(f)), np.nan), np.full((4, len(f)), np.nan)
    for row, n in enumerate(range(2, 6)):
        count = int(np.count_nonzero(n * f[first:] <= 0.95 * min(high, rate / 2)))
        g = n * f[first:first + count]
        lead = min(0.03, 0.3 * length * np.log((n + 1) / n))
        gap = length * np.log(n / (n - 1))
        span = min(lead + 0.1, max(gap - 0.004, 0.5 * gap))
        start = drive.arrival[axis] - length * np.log(n) - lead
        window = WindowSpectrum((start, min(0.7 * lead, 0.5 * span), 0.3 * span, start + span), g, rate, np.float64, start + lead)
        shape = np.abs(band_shape(g, given.excited, rate / 2))
        base = np.abs(fundamental[first:first + count])
        ratios[row, first:first + count] = np.abs(window(impulse)[0]) / shape / base
        quiet = -int(length * np.log(6) * rate) - len(window.weights)
        noise = window.of(impulse[:, quiet:quiet + len(window.weights)] * window.weights)[0]
        floors[row, first:first + count] = np.sqrt(third_octave_mean(g, np.abs(noise / shape) ** 2)) / base
    total = np.sqrt(np.nansum(ratios ** 2, axis=0))
    total[np.isnan(ratios).all(axis=0)] = np.nan
    columns = {f"harmonic_{n}_percent": 100 * ratios[n - 2] for n in range(2, 6)}
    columns.update({f"harmonic_{n}_floor_percent": 100 * floors[n - 2] for n in range(2, 6)})
    return {**columns, "total_harmonic_distortion_percent": 100 * total}


# --- the whole -----------------------------------------------------------------------------------------------------------


def responses(seal, name, drive, deconvolution, spectrum, axis, threads):
    """Spectra of all captures, and the impulse [1, n] of the axis. Every row is held against its digest."""
    count, channels, samples = drive.samples
    kept = {}

    def batch(first):
        rows = range(first, min(first + BATCH, count))
        raw = np.empty((len(rows), channels, samples), np.int32)
        for k, row in enumerate(rows):
            seal.read(f"drives/{name}/samples", row, raw[k])
        impulses = deconvolution(raw)
        if axis in rows:
            kept["axis"] = impulses[axis - first:axis - first + 1].astype(np.float64)
        return spectrum(impulses)

    starts = range(0, count, BATCH)
    if not threads:
        with set_workers(WORKERS):
            return np.concatenate([batch(first) for first in starts]), kept["axis"]
    with ThreadPoolExecutor(WORKERS) as pool:
        return np.concatenate(list(pool.map(batch, starts))), kept["axis"]


FORMATS = {"_db": "%.4f", "_percent": "%.6g", "frequency_hz": "%.9g", "phase_deg": "%.3f", "delay_ms": "%.5f", "_deg": "%.2f"}


def write_table(out, columns, head):
    formats = [next(form for end, form in FORMATS.items() if key.endswith(end)) for key in columns]
    table = np.stack(list(columns.values()), axis=1)
    text = ("\n".join([",".join(formats)] * len(table)) % tuple(table.ravel().tolist())).replace("nan", "").replace("inf", "none")
    Path(out).write_text("".join(f"# {line}\n" for line in head) + ",".join(columns) + "\n" + text + "\n", encoding="utf-8")


def scipy_families(run_file, name, out, given, real, threads=True):
    """The table of one drive, in the given precision (numpy.float64 or numpy.float32). threads: all of a capture's work on two
    threads; else the transforms alone are shared by two workers, as scipy.fft offers it."""
    seal = Seal(run_file)
    drive = read_drive(run_file, name, seal)
    grid = given.recipe["grid"]
    f = grid["low_hz"] * 2 ** (np.arange(int(np.log2(grid["high_hz"] / grid["low_hz"]) * grid["per_octave"] + 1e-9) + 1)
                               / grid["per_octave"])
    axis = next(i for i, (o, a) in enumerate(zip(drive.orbit, drive.angle)) if o == "horizontal" and a == 0)
    spectrum = Spectrum(given.recipe, f, drive, real)
    spectra, impulse = responses(seal, name, drive, Deconvolution(drive, given.excited, real), spectrum, axis,
                                 threads)
    shape = np.abs(band_shape(f, given.excited, drive.rate / 2))
    power = np.abs(spectra * (drive.scale * drive.distance)[:, None] / shape) ** 2
    on_axis = Spectrum(given.recipe, f, drive, np.float64)
    pressure = on_axis(impulse)[0]
    columns = {"frequency_hz": f, **curves(power, drive),
               **phase_and_delay(pressure, on_axis(impulse, by_time=True)[0], f, given, drive.rate),
               **distortion(impulse, pressure / shape, f, drive, given, axis), **beamwidths(power, drive)}
    for key in list(columns)[1:]:
        columns[key][(f < given.excited[0] / 1.02) | (f > given.excited[1] * 1.02)] = np.nan
    write_table(out, columns, [f"recipe: {json.dumps(given.recipe)}", f"polarity: {drive.polarity[axis]:+.0f}"])
    os.close(seal.file)


def main(arguments):
    run_file, name, table, out, precision, way = arguments
    given = given_by(table)
    begun, worked = time.perf_counter(), time.process_time()
    scipy_families(run_file, name, out, given, np.dtype(precision).type, way == "threads")
    print(time.perf_counter() - begun, time.process_time() - worked)


if __name__ == "__main__":
    main(sys.argv[1:])
