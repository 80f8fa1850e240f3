"""Makes folders of recordings as a lab would bring them, of invented units whose field is known exactly.

A unit is a rigid sphere with sections; a section is one or more caps, each with a chain of analogue filters (evaluated in the
frequency domain), gain and polarity; a section has its own latency. The pressure of every recording is the linear convolution
of the played voltage with the exact field; converters are ideal but for a fractional latency and, with a loopback, a colour that
both channels share.
"""

import json
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft
from scipy.interpolate import CubicSpline

from audio_files import write_audio
from sphere_field import Cap, accelerated_caps, orbit_vectors, sound_speed

ORBIT_ANGLES = list(range(-170, 181, 10))


# --- the unit -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Stage:
    """One filter: kind "high" or "low", corner, and the Q of each second-order section (one: second order, two: fourth);
    kind "low1" is of first order."""

    kind: str
    hz: float
    q: tuple = (0.7071,)

    def response(self, f):
        s = 1j * np.asarray(f, float) / self.hz
        if self.kind == "low1":
            return 1 / (1 + s)
        out = np.ones_like(s)
        for q in self.q:
            out = out * ((s ** 2 if self.kind == "high" else 1) / (s ** 2 + s / q + 1))
        return out


@dataclass(frozen=True)
class Radiator:
    """A cap and what drives it: acceleration per volt before the filters in m/s²/V."""

    cap: Cap
    stages: tuple = ()
    gain_db: float = 0.0
    reversed: bool = False
    delay_s: float = 0.0
    acceleration: float = 30.0

    def response(self, f):
        out = np.full(np.shape(f), self.acceleration * 10 ** (self.gain_db / 20) * (-1 if self.reversed else 1), complex)
        for stage in self.stages:
            out = out * stage.response(f)
        return out * np.exp(-2j * np.pi * np.asarray(f) * self.delay_s)


@dataclass(frozen=True)
class Section:
    name: str
    radiators: tuple
    latency_s: float = 0.0


@dataclass(frozen=True)
class Unit:
    name: str
    radius_m: float
    sections: tuple

    def section(self, name):
        return next(s for s in self.sections if s.name == name)


def pressure_per_volt(unit, drive, distance_m, frequencies_hz, vectors, speed):
    """Exact complex pressure in Pa per volt, [frequency, direction], propagation and own latency included."""
    f = np.asarray(frequencies_hz, float)
    total = np.zeros((len(f), len(vectors)), complex)
    for name in drive.split("+"):
        section = unit.section(name)
        fields = accelerated_caps([r.cap for r in section.radiators], unit.radius_m, distance_m, f, vectors, speed)
        late = np.exp(-2j * np.pi * f * section.latency_s)
        for radiator, p in zip(section.radiators, fields):
            total += (radiator.response(f) * late)[:, None] * p
    return total


class FieldSplines:
    """Fields of one unit's caps on a fine grid. The propagation from the sphere's surface is taken out, what remains is smooth
    and interpolated by splines; measured error: interpolation_error()."""

    def __init__(self, unit, distance_m, vectors, speed, highest_hz, step_hz=8.0):
        self.unit, self.distance, self.vectors, self.speed = unit, distance_m, vectors, speed
        self.offset_s = (distance_m - unit.radius_m) / speed + 0.5 * np.pi * unit.radius_m / speed
        self.grid = np.concatenate([[0.02], np.arange(1, int(highest_hz / step_hz) + 3) * step_hz])
        self.splines = {}
        for section in unit.sections:
            fields = accelerated_caps([r.cap for r in section.radiators], unit.radius_m, distance_m, self.grid, vectors, speed)
            turned = fields * np.exp(2j * np.pi * self.grid * self.offset_s)[None, :, None]
            self.splines[section.name] = [turned[i] for i in range(len(fields))]

    def transfer(self, drive, direction_index, f):
        """Pa per volt at one direction, at frequencies from 0 on."""
        total = np.zeros(len(f), complex)
        for name in drive.split("+"):
            section = self.unit.section(name)
            for radiator, table in zip(section.radiators, self.splines[name]):
                smooth = CubicSpline(self.grid, table[:, direction_index])(f)
                total += radiator.response(f) * smooth * np.exp(-2j * np.pi * f * (section.latency_s + self.offset_s))
        return total

    def interpolation_error(self, drive, direction_index):
        """Largest deviation from the exact field between grid points, relative to the largest pressure there."""
        f = np.linspace(23.7, self.grid[-3], 401) + 3.3
        exact = pressure_per_volt(self.unit, drive, self.distance, f, self.vectors[[direction_index]], self.speed)[:, 0]
        return np.max(np.abs(self.transfer(drive, direction_index, f) - exact)) / np.max(np.abs(exact))


# --- the recording --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Sweep:
    low_hz: float = 20.0
    high_hz: float = 20000.0
    duration_s: float = 3.0
    fade_in_s: float = 0.0
    fade_out_s: float = 0.005
    lead_s: float = 0.0
    trail_s: float = 0.0
    amplitude: float = 0.5

    def samples(self, rate):
        t = np.arange(round(self.duration_s * rate)) / rate
        rate_s = self.duration_s / np.log(self.high_hz / self.low_hz)
        x = self.amplitude * np.sin(2 * np.pi * self.low_hz * rate_s * np.expm1(t / rate_s))
        for length, part in ((self.fade_in_s, slice(None)), (self.fade_out_s, slice(None, None, -1))):
            n = round(length * rate)
            if n:
                x[part][:n] *= 0.5 - 0.5 * np.cos(np.pi * (np.arange(n) + 0.5) / n)
        silence = [np.zeros(round(s * rate)) for s in (self.lead_s, self.trail_s)]
        return np.concatenate([silence[0], x, silence[1]])


@dataclass(frozen=True)
class Loopback:
    volts_ratio: float = 1.0    # loopback volts per full scale over the excitation's volts per full scale
    noise_dbfs: float = -112.0
    varying_latency: bool = True


@dataclass(frozen=True)
class Scenario:
    name: str
    unit: Unit
    drives: dict                      # name -> axis in degrees
    sweep: Sweep = field(default_factory=Sweep)
    rate: int = 48000
    bits: object = 24
    extension: str = "wav"
    distance_m: float = 2.0
    level_db: float = 72.0            # at the microphone on each drive's axis, mean of 200 Hz to 2 kHz
    noise_db: float = 18.0            # white, 20 Hz to 20 kHz
    harmonic: float = 0.002
    latency_samples: float = 37.37    # of the converters
    loopback: Loopback | None = None
    tail_s: float = 0.5               # recorded after the excitation file's end
    temperature_c: float = 20.0
    directions: str = "orbits"        # "orbits" (72 captures), "orbits-70" or "azimuth" (70, by azimuth and elevation)
    angles_0_to_350: bool = False
    impulse_responses: bool = False
    seed: int = 1

    def speed(self):
        return float(sound_speed(self.temperature_c))


@dataclass
class Made:
    """What a folder of recordings needs to be ingested and judged."""

    folder: Path
    manifest: Path
    excitation: Path | None
    plan: Path
    pascal_per_full_scale: float
    volts_per_full_scale: float
    loopback_volts_per_full_scale: float | None
    latency_s: float                  # left in the phase: without a loopback the converters' latency stays
    interpolation_error: float
    peak_full_scale: float
    limit: object                     # f -> response of what else belongs to the recordings brought


def positions(scenario):
    """[(orbit, angle)] in the order of measuring."""
    both = [("horizontal", a) for a in ORBIT_ANGLES] + [("vertical", a) for a in ORBIT_ANGLES]
    if scenario.directions == "orbits":
        return both
    return [p for p in both if not (p[0] == "vertical" and p[1] in (0, 180))]


def second_harmonic(x, ratio):
    """ratio · A cos(2 φ) of a sweep A sin φ by its analytic signal, band-limited, without the constant part."""
    n = len(x)
    spectrum = np.fft.fft(x)
    spectrum[n // 2 + 1:] = 0
    spectrum[1:n // 2] *= 2
    wide = np.zeros(2 * n, complex)
    wide[:n // 2 + 1] = spectrum[:n // 2 + 1]
    analytic = np.fft.ifft(wide) * 2
    doubled = np.fft.fft(np.real(analytic ** 2) * (ratio / max(1e-9, np.max(np.abs(x)))))
    return doubled[:n // 2 + 1] / 2


def rounded(value, digits=5):
    return float(f"{value:.{digits}g}")


def converter_colour(f):
    """What a pair of converters does in passing: 1.5 Hz high-pass, 0.15 dB down at 20 kHz."""
    f = np.asarray(f, float)
    return (1j * f / 1.5) / (1 + 1j * f / 1.5) * 10 ** (-0.15 / 20 * (f / 20000) ** 2)


def axis_pressure(scenario, drive, axis_deg, frequencies):
    vector = orbit_vectors("horizontal", [axis_deg])
    return pressure_per_volt(scenario.unit, drive, scenario.distance_m, frequencies, vector, scenario.speed())[:, 0]


def as_stored(excitation, bits):
    """What is played is what the file holds."""
    if bits == "float":
        return excitation
    top = 2 ** (bits - 1)
    return np.rint(excitation * top) / top


def volts_for_level(scenario):
    """Volts per full scale at which the quietest drive has the wanted level on its axis, 200 Hz to 2 kHz."""
    middle = np.geomspace(200, 2000, 60)
    sensitivity = min(np.sqrt(np.mean(np.abs(axis_pressure(scenario, d, a, middle)) ** 2))
                      for d, a in scenario.drives.items())
    return rounded(20e-6 * 10 ** (scenario.level_db / 20) * np.sqrt(2) / scenario.sweep.amplitude / sensitivity)


def make(scenario, folder):
    """Writes excitation, recordings, plan and manifest to the folder; returns Made."""
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    random = np.random.default_rng(scenario.seed)
    rate = scenario.rate
    excitation = as_stored(scenario.sweep.samples(rate), scenario.bits)
    length = len(excitation) + round(scenario.tail_s * rate)
    n = next_fast_len(length + round(0.6 * rate), real=True)
    n += n % 2
    f = np.fft.rfftfreq(n, 1 / rate)
    padded = np.concatenate([excitation, np.zeros(n - len(excitation))])
    played = rfft(padded)
    harmonic = second_harmonic(padded, scenario.harmonic) if scenario.harmonic else 0

    volts = volts_for_level(scenario)
    spots = positions(scenario)
    vectors = np.concatenate([orbit_vectors(o, [a]) for o, a in spots])
    fields = FieldSplines(scenario.unit, scenario.distance_m, vectors, scenario.speed(), rate / 2)
    noise_pa = 20e-6 * 10 ** (scenario.noise_db / 20) * np.sqrt(rate / 2 / (20000 - 20))
    pascal, loop_volts = full_scale_pressure(scenario, fields, spots, f, n, (played + harmonic) * volts), None
    if scenario.loopback:
        loop_volts = rounded(volts * scenario.loopback.volts_ratio)
    rows, peak = [], 0.0
    for drive in scenario.drives:
        for index, (orbit, angle) in enumerate(spots):
            transfer = fields.transfer(drive, index, f)
            late = scenario.latency_samples
            if scenario.loopback and scenario.loopback.varying_latency:
                late += random.uniform(-3, 40)
            path = np.exp(-2j * np.pi * f * late / rate)
            if scenario.loopback:
                path = path * converter_colour(f)
            if scenario.impulse_responses:
                pressure = impulse_samples(scenario, transfer, f, n, volts)
            else:
                pressure = irfft((played + harmonic) * volts * transfer * path, n)[:length]
                pressure = pressure + noise_pa * random.standard_normal(length)
            channels = [pressure / pascal]
            peak = max(peak, np.max(np.abs(channels[0])))
            if scenario.loopback:
                heard = irfft(played * path, n)[:length] * (volts / loop_volts)
                heard += 10 ** (scenario.loopback.noise_dbfs / 20) * random.standard_normal(length)
                channels.append(heard)
                peak = max(peak, np.max(np.abs(heard)))
            name = f"{drive.replace('+', '-')}/{orbit[0]}{angle:+04d}.{scenario.extension}"
            (folder / name).parent.mkdir(exist_ok=True)
            write_audio(folder / name, np.stack(channels, axis=-1), rate, scenario.bits)
            rows.append((name, drive, orbit, angle))
    if peak >= 0.99 and scenario.bits != "float":
        raise ValueError(f"{scenario.name}: the invented recording clips")
    suffix = "wav" if scenario.extension == "rf64" else scenario.extension
    if not scenario.impulse_responses:
        write_audio(folder / f"excitation.{suffix}", excitation, rate, scenario.bits)
    write_manifest(scenario, folder / "manifest.csv", rows)
    write_plan(scenario, folder / "plan.json")
    first = list(scenario.drives)[0]
    return as_made(scenario, folder, suffix, (pascal, volts, loop_volts), fields.interpolation_error(first, 0), float(peak))


def as_made(scenario, folder, suffix, calibration, interpolation_error, peak):
    impulses = scenario.impulse_responses
    latency_s = 0.0 if scenario.loopback or impulses else scenario.latency_samples / scenario.rate
    return Made(folder, folder / "manifest.csv", None if impulses else folder / f"excitation.{suffix}", folder / "plan.json",
                *calibration, latency_s, interpolation_error, peak, impulse_high_pass if impulses else np.ones_like)


def full_scale_pressure(scenario, fields, spots, f, n, spectrum):
    """Pascal per full scale for a headroom of about 10 dB over the loudest drive on its axis."""
    peak = 0.0
    for drive, axis in scenario.drives.items():
        transfer = fields.transfer(drive, spots.index(("horizontal", axis)), f)
        if scenario.impulse_responses:
            peak = max(peak, np.max(np.abs(impulse_samples(scenario, transfer, f, n, 1.0))) * 5)
        else:
            peak = max(peak, np.max(np.abs(irfft(spectrum * transfer, n))))
    return rounded(peak * 3)


def impulse_high_pass(f):
    """What the other program's causal high-pass leaves in impulse responses: it belongs to what was brought."""
    return Stage("high", 4.0, (0.7071,)).response(f)


def impulse_samples(scenario, transfer, f, n, volts):
    """Impulse response per sample at volts of excitation, limited to 4 Hz … 0.47 of the rate (causal high-pass, smooth
    top), as another program would have written it; 0.6 s of it."""
    limit = impulse_high_pass(f)
    top = np.clip((f / scenario.rate - 0.45) / 0.045, 0, 1)
    limit = limit * np.cos(np.pi / 2 * top) ** 2
    return irfft(transfer * limit * volts, n)[:round(0.6 * scenario.rate)]


def write_manifest(scenario, path, rows):
    with open(path, "w", encoding="utf-8", newline="\n") as file:
        if scenario.directions == "azimuth":
            file.write("file,drive,azimuth_deg,elevation_deg,remark\n")
            for name, drive, orbit, angle in rows:
                azimuth, elevation = (angle, 0) if orbit == "horizontal" else (0, angle)
                if abs(elevation) > 90:
                    azimuth, elevation = 180, (180 - abs(elevation)) * (1 if elevation > 0 else -1)
                file.write(f"{name},{drive},{azimuth},{elevation},\"invented, not measured\"\n")
            return
        file.write("file,drive,orbit,angle_deg\n")
        for name, drive, orbit, angle in rows:
            file.write(f"{name},{drive},{orbit},{angle % 360 if scenario.angles_0_to_350 else angle}\n")


def plan_document(scenario):
    """Schema of the product's plan; only what the numbers need."""
    names = [s.name for s in scenario.unit.sections]
    return {
        "unit": {"model": scenario.unit.name, "serial": "invented-1", "sections": [{"name": name} for name in names]},
        "drives": [{"sections": drive.split("+"), "axis_deg": axis, "reference_section": drive.split("+")[0]}
                   for drive, axis in scenario.drives.items()],
    }


def write_plan(scenario, path):
    path.write_text(json.dumps(plan_document(scenario), indent=2) + "\n")


# --- what is right ------------------------------------------------------------------------------------------------------


def exact_responses(scenario, drive, frequencies_hz):
    """{(orbit, angle): Pa per volt} at the measured distance."""
    spots = [("horizontal", a) for a in ORBIT_ANGLES] + [("vertical", a) for a in ORBIT_ANGLES]
    vectors = np.concatenate([orbit_vectors(o, [a]) for o, a in spots])
    p = pressure_per_volt(scenario.unit, drive, scenario.distance_m, frequencies_hz, vectors, scenario.speed())
    return {spot: p[:, i] for i, spot in enumerate(spots)}


def at_one_metre(scenario, pressure):
    """Pressure at 2.83 V scaled to 1 m along its direction."""
    return pressure * 2.83 * scenario.distance_m


def ingest_arguments(scenario, made):
    """The options of `volvelle ingest` for this folder, without the output."""
    arguments = [str(made.manifest)]
    if scenario.impulse_responses:
        arguments += ["--impulse-responses"]
    else:
        arguments += ["--excitation", str(made.excitation)]
    if scenario.loopback:
        arguments += ["--loopback-channel", "2"]
        if scenario.loopback.volts_ratio != 1.0:
            arguments += ["--loopback-volts-per-full-scale", repr(made.loopback_volts_per_full_scale)]
    return arguments + ["--distance-m", repr(scenario.distance_m),
                        "--pascal-per-full-scale", repr(made.pascal_per_full_scale),
                        "--volts-per-full-scale", repr(made.volts_per_full_scale),
                        "--plan", str(made.plan), "--unit-size-m", repr(round(2 * scenario.unit.radius_m, 4)),
                        "--air", f"{scenario.temperature_c:g},50,101.325"]


__all__ = ["Cap", "Loopback", "Made", "Radiator", "Scenario", "Section", "Stage", "Sweep", "Unit", "at_one_metre",
           "exact_responses", "ingest_arguments", "make", "positions", "replace"]
