"""What the errors of a chamber do to the curves of a family: the formulas of Docs/accuracy-budget.md, on a plan and its scene.

    accuracy_budget.py PLAN.json RECIPE.json     error of each curve by contribution, 100 Hz to 10 kHz
    accuracy_budget.py                           checks itself: closed forms, published values, draws, the page's numbers

Nothing is simulated and nothing drawn by chance: the exact field gives the squared pressure of each position and its
slopes, the plan gives weights, sweep and windows, the scene the sizes of the errors. Each contribution changes the
squared pressure P of a position by a known part m (systematic) and by a random part of variance V, on its own or shared
with other positions. A curve is S = Σ W P, and with var = Σ W² V + (shared part)²

    bias = 4.34 ln(1 + Σ W P m / S) − 2.17 var / S²,   std = 4.34 √var / S,   rms² = bias² + std²

An index, a difference of two curves, has Σ (W₁/S₁ − W₂/S₂)² V in place of var / S². All of it shares no code with the
product.
"""

import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from families_oracle import levels, on_axis_of, squared_curves
from recordings import ORBIT_ANGLES, Cap, Stage
from sphere_field import AIR_DENSITY, accelerated_caps, orbit_vectors, sound_speed

PER_NEPER = 10 / np.log(10)  # dB of a small relative change of squared pressure
CONTRIBUTIONS = ("noise", "table error", "table resolution", "remounting", "reflections", "air absorption", "temperature drift")
CURVES = ("on_axis", "listening_window", "floor_bounce", "ceiling_bounce", "front_wall_bounce", "side_wall_bounce",
          "rear_wall_bounce", "early_reflections", "sound_power", "early_reflections_di", "sound_power_di")
POSITIONS = [(orbit, angle) for orbit in ("horizontal", "vertical") for angle in ORBIT_ANGLES]
THIRDS_HZ = 1000 * 10 ** (np.arange(-10, 11) / 10)  # exact centres, IEC 61260-1: 100 Hz to 10 kHz
STEP_DEG = 0.2  # of the differences that give slopes


# --- air ------------------------------------------------------------------------------------------------------------------


def density(temperature_c, pressure_kpa=101.325):
    return AIR_DENSITY * pressure_kpa / 101.325 * 293.15 / (temperature_c + 273.15)


def absorption_db_per_m(f, temperature_c, humidity_percent, pressure_kpa):
    """Pure tones, ISO 9613-1:1993 equations (3) to (5), water vapour after annex B."""
    kelvin, p = temperature_c + 273.15, pressure_kpa / 101.325
    t = kelvin / 293.15
    vapour = humidity_percent / p * 10 ** (4.6151 - 6.8346 * (273.16 / kelvin) ** 1.261)
    oxygen = p * (24 + 40400 * vapour * (0.02 + vapour) / (0.391 + vapour))
    nitrogen = p * t ** -0.5 * (9 + 280 * vapour * np.exp(-4.170 * (t ** (-1 / 3) - 1)))
    relaxation = (0.01275 * np.exp(-2239.1 / kelvin) / (oxygen + f ** 2 / oxygen)
                  + 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen + f ** 2 / nitrogen))
    return 8.686 * f ** 2 * (1.84e-11 / p * np.sqrt(t) + t ** -2.5 * relaxation)


# --- windows --------------------------------------------------------------------------------------------------------------


def window_values(window, ms):
    """Raised cosine up over the fade-in, one, raised cosine down over the fade-out."""
    rise = np.clip((ms - window["start_ms"]) / max(window["fade_in_ms"], 1e-9), 0, 1)
    fall = np.clip((window["end_ms"] - ms) / max(window["fade_out_ms"], 1e-9), 0, 1)
    return (0.5 - 0.5 * np.cos(np.pi * rise)) * (0.5 - 0.5 * np.cos(np.pi * fall))


def low_share(recipe, f):
    if not isinstance(recipe.get("low_window"), dict):
        return np.zeros_like(f)
    fade = recipe.get("cross_fade", {})
    part = np.clip(0.5 + np.log2(f / fade.get("hz", 1400)) / fade.get("octaves", 1), 0, 1)
    return 0.5 + 0.5 * np.cos(np.pi * part)


def effective_window(recipe, f, ms):
    """[frequency, time]: what both windows together weigh at a time after the earliest arrival."""
    share = low_share(recipe, f)[:, None]
    out = (1 - share) * window_values(recipe["window"], ms)[None, :]
    return out + share * window_values(recipe["low_window"], ms)[None, :] if share.any() else out


def noise_window_s(recipe, f):
    """T_w = ∫ w² dt of the effective window."""
    ends = [recipe["window"]] + ([recipe["low_window"]] if isinstance(recipe.get("low_window"), dict) else [])
    ms = np.arange(min(w["start_ms"] for w in ends), max(w["end_ms"] for w in ends), 0.02)
    return np.sum(effective_window(recipe, f, ms) ** 2, axis=1) * 0.02e-3


# --- plan and scene -------------------------------------------------------------------------------------------------------


LINKWITZ, BUTTERWORTH = {4: (0.5 ** 0.5,) * 2}, {2: (0.5 ** 0.5,), 4: (0.541196100, 1.306562965)}


def response_of(driver, f):
    """Acceleration of a scene's driver in m/s² per V."""
    stages = []
    if "resonance_hz" in driver:
        stages.append(Stage("high", driver["resonance_hz"], (driver.get("quality", 0.7),)))
    if "cutoff_hz" in driver:
        stages.append(Stage("low", driver["cutoff_hz"], BUTTERWORTH[2]))
    for side in ("high", "low"):
        if f"{side}_pass" in driver:
            filter_ = driver[f"{side}_pass"]
            known = LINKWITZ if filter_.get("type", "linkwitz-riley") == "linkwitz-riley" else BUTTERWORTH
            stages.append(Stage(side, filter_["hz"], known[filter_.get("order", 4)]))
    out = driver.get("acceleration_m_per_s2_per_v", 60) * 10 ** (driver.get("gain_db", 0) / 20)
    out = out * (-1 if driver.get("polarity") == "reversed" else 1) * np.exp(-2e-3j * np.pi * f * driver.get("delay_ms", 0))
    for stage in stages:
        out = out * stage.response(f)
    return out


def refuse_the_unknown(plan, recipe):
    """ValueError for what would change the result and is not in the formulas."""
    unit, scene, table = plan["unit"], plan["simulation"], plan.get("table", {})
    converters, drivers = scene.get("converters", {}), scene["drivers"]
    unknown = {
        "another set of angles than two-orbits-10": plan["angles"].get("set") != "two-orbits-10",
        "a reference point off the axis": any(unit.get("reference_point_from_axis_m", [])),
        "gain, delay or polarity of a section": any({"gain_db", "delay_s", "polarity"} & set(s) for s in unit["sections"]),
        "another drive quantity than terminal-volts": unit.get("drive_quantity") != "terminal-volts",
        "a table that counts clockwise, or a unit on its right side": table.get("counts") == "clockwise"
        or table.get("lies_on") == "right-side",
        "a table that tilts": bool(table.get("has_tilt") or scene.get("table", {}).get("tilts")),
        "repeats, warming up or checks on the way":
        bool({"repeats", "warm_up_s", "axis_check_every"} & set(plan.get("conduct", {}))),
        "a table that swings on": bool(scene.get("table", {}).get("ring_deg")),
        "acceleration of the table": "acceleration_deg_per_s2" in scene.get("table", {}),
        "an error of loopback or clock": any(converters.get(k) for k in ("loopback_error_db", "recorder_offset_ppm")),
        "nonlinearity": any("nonlinearity" in d for d in drivers), "faults": "faults" in scene,
        "smoothing": bool(recipe.get("smoothing")),
        "a recipe whose windows are not in numbers":
        not isinstance(recipe.get("window"), dict)
        or recipe.get("low_window", "automatic") == "automatic",
    }
    named = [what for what, is_there in unknown.items() if is_there]
    if named:
        raise ValueError("the budget does not know: " + "; ".join(named))


@dataclass
class Setting:
    """One drive of a plan, on two orbits of 10°, with the reference point on the rotation axis."""

    plan: dict
    recipe: dict
    drive: int = 0
    f: np.ndarray = None

    def __post_init__(self):
        refuse_the_unknown(self.plan, self.recipe)
        self.f = THIRDS_HZ if self.f is None else np.asarray(self.f, float)
        self.scene, self.air = self.plan["simulation"], self.plan["air"]
        self.distance, self.sections = self.plan["distance_m"], self.plan["drives"][self.drive]["sections"]
        self.drivers = [d for d in self.scene["drivers"] if d["section"] in self.sections]
        self.responses = [response_of(d, self.f) for d in self.drivers]
        self.axis_deg = self.plan["drives"][self.drive].get("axis_deg", 0)
        self.squared = self.at(0)
        before, after = self.at(-STEP_DEG), self.at(STEP_DEG)
        step = np.radians(STEP_DEG)
        self.slope, self.bend = (after - before) / (2 * step), (after - 2 * self.squared + before) / step ** 2

    def at(self, turned_deg, temperature_c=None):
        """Exact squared pressure in Pa² at 1 m for 2.83 V, [frequency, position], each angle so much greater."""
        temperature_c = self.air["temperature_c"] if temperature_c is None else temperature_c
        vectors = np.concatenate([orbit_vectors(o, [a + turned_deg]) for o, a in POSITIONS])
        caps = [Cap(d.get("azimuth_deg", 0), d.get("elevation_deg", 0), d.get("half_angle_deg", 25)) for d in self.drivers]
        fields = accelerated_caps(caps, self.scene.get("sphere_radius_m", 0.15), self.distance, self.f, vectors,
                                  sound_speed(temperature_c), density(temperature_c, self.air["pressure_kpa"]))
        sum_ = sum(r[:, None] * p for r, p in zip(self.responses, fields))
        return np.abs(sum_) ** 2 * (2.83 * self.distance) ** 2

    def sweep(self):
        """(L in s, duration in s, amplitude in V) of the synchronised sweep: its start times L is a whole number."""
        sweep = self.plan["drives"][self.drive]["sweep"]
        octaves = np.log(sweep["end_hz"] / sweep["start_hz"])
        rate = max(1, round(sweep["start_hz"] * sweep.get("duration_s", 3) / octaves)) / sweep["start_hz"]
        return rate, rate * octaves, sweep["peak_v"]

    def table_angles(self):
        """Where the table is sent: it counts counter-clockwise, the unit lies on its left side; to 180° from above."""
        return np.array([180 if a == 180 else -a for _, a in POSITIONS], float)


def capture_times(setting):
    """Seconds from the run's begin to each position's sound, in the order of the table's angle, upright first."""
    plan, scene = setting.plan, setting.scene
    audio, table = plan["audio"], scene.get("table", {})
    shot = sum(Setting(plan, setting.recipe, d, np.array([1000.0])).sweep()[1] for d in range(len(plan["drives"])))
    shot += len(plan["drives"]) * (audio.get("silence_before_s", 0.25) + audio.get("decay_s", 0.4)
                                   + setting.distance / 330 + 0.02)
    speed, settle, times = table.get("speed_deg_per_s", 10), plan.get("table", {}).get("settle_s", 0.5), {}
    angles, now = setting.table_angles(), 1.0
    for orbit in ("horizontal", "vertical"):
        now += settle + 2 * shot  # first sweep, check on the axis
        here = 0.0
        for i in sorted((i for i, p in enumerate(POSITIONS) if p[0] == orbit), key=lambda i: angles[i]):
            now += abs(angles[i] - here) / speed + settle
            times[i], here, now = now, angles[i], now + shot
        now += abs(here) / speed + settle + shot + scene.get("turning_the_unit_s", 0) + 1
    return np.array([times[i] for i in range(len(POSITIONS))])


# --- contributions: what each does to the squared pressure of every position --------------------------------------------------


@dataclass
class Effect:
    """Relative systematic change, variance of its own in Pa⁴, and the linear and quadratic change in Pa² that positions share."""

    mean: object = 0.0
    variance: object = 0.0
    shared: object = 0.0
    shared_square: object = 0.0


def noise_power(setting):
    """(σ² that adds to each squared pressure in Pa², relative σ² of the loopback's noise)."""
    scene, plan, f = setting.scene, setting.plan, setting.f
    half_rate = plan["audio"]["sample_rate_hz"] / 2
    pascal = plan["calibration"]["pascal_per_full_scale"]
    one_sided = np.zeros_like(f)
    for key in ("microphone_noise", "background_noise"):
        if key in scene:
            total = (20e-6 * 10 ** (scene[key]["level_db"] / 20)) ** 2
            pink = scene[key].get("colour", "white") == "pink"
            one_sided = one_sided + (total / (f * np.log(1000)) if pink else total / half_rate)
    converters = scene.get("converters", {})
    own = 10 ** (converters["noise_db"] / 10) if "noise_db" in converters else 0.0
    bits = converters.get("bits", 24)
    own += 4.0 ** (1 - bits) / 12 if bits else 0.0
    rate_s, _, amplitude = setting.sweep()
    per_density = noise_window_s(setting.recipe, f) / 2 / (amplitude ** 2 * rate_s / (4 * f))
    volts = plan["calibration"].get("loopback_volts_per_full_scale", plan["calibration"]["volts_per_full_scale"])
    loopback = own * volts ** 2 / half_rate * per_density if "loopback_input" in plan["audio"] else 0 * f
    return (one_sided + own * pascal ** 2 / half_rate) * per_density * (2.83 * setting.distance) ** 2, loopback


def noise(setting):
    power, relative = noise_power(setting)
    each = power[:, None] + relative[:, None] * setting.squared
    return Effect(0 if setting.recipe.get("subtract_noise") else each / setting.squared, 2 * setting.squared * each + each ** 2)


def turned(setting, rms_deg, systematic_deg):
    """Random errors of each position's own angle, and known ones."""
    s, by = np.radians(rms_deg), np.radians(systematic_deg)
    change = setting.slope * by + setting.bend * (by ** 2 + s ** 2) / 2
    return Effect(change / setting.squared, setting.slope ** 2 * s ** 2 + setting.bend ** 2 * s ** 4 / 2)


def table_error(setting):
    return turned(setting, setting.scene.get("table", {}).get("position_error_deg", 0), 0)


def table_resolution(setting):
    step = setting.scene.get("table", {}).get("resolution_deg", 0)
    angles = setting.table_angles()
    return turned(setting, 0, angles - np.round(angles / step) * step if step else 0 * angles)


def remounting(setting):
    s = np.radians(setting.scene.get("remounting_error_deg", 0))
    on_side = np.array([orbit == "vertical" for orbit, _ in POSITIONS])
    slope, bend = setting.slope * on_side * s, setting.bend * on_side * s ** 2
    return Effect(bend / 2 / setting.squared, 0.0, slope, bend)


def reflections(setting):
    f, factor = setting.f, np.ones(len(setting.f), complex)
    for r in setting.scene.get("reflections", []):
        kept = effective_window(setting.recipe, f, np.array([r["delay_ms"]]))[:, 0]
        below = Stage("low", r["below_hz"], BUTTERWORTH[2]).response(f)
        factor += kept * 10 ** (r["gain_db"] / 20) * below * np.exp(-2e-3j * np.pi * f * r["delay_ms"])
    return Effect((np.abs(factor) ** 2 - 1)[:, None])


def air_absorption(setting):
    air = (setting.air["temperature_c"], setting.air["relative_humidity_percent"], setting.air["pressure_kpa"])
    taken = absorption_db_per_m(setting.f, *air) if setting.scene.get("air_absorbs") else 0 * setting.f
    recipe = setting.recipe.get("air", "none")
    if recipe != "none":
        taken = taken - absorption_db_per_m(setting.f, *air)
    if recipe == "reference-climate":
        taken = taken + absorption_db_per_m(setting.f, 23, 50, 101.325)
    return Effect((10 ** (-taken * setting.distance / 10) - 1)[:, None])


def temperature_drift(setting):
    """Density as 1/T, and the wave number as T^-1/2: the pattern of another frequency. The slope is a difference over 1 K."""
    kelvins = capture_times(setting) / 3600 * setting.scene.get("temperature_drift_c_per_hour", 0)
    here = setting.air["temperature_c"]
    return Effect((setting.at(0, here + 0.5) - setting.at(0, here - 0.5)) / setting.squared * kelvins)


EFFECTS = dict(zip(CONTRIBUTIONS, (noise, table_error, table_resolution, remounting, reflections, air_absorption,
                                   temperature_drift)))


# --- curves ---------------------------------------------------------------------------------------------------------------


def curve_weights(axis_deg, power_weights="areas"):
    """{curve: weight of each position}, from the oracle's curves of one-hot pressures."""
    one_hot = np.eye(len(POSITIONS))
    h, v = ({p[1]: one_hot[i] for i, p in enumerate(POSITIONS) if p[0] == orbit} for orbit in ("horizontal", "vertical"))
    return squared_curves(*on_axis_of(axis_deg, h, v), power_weights)


def single_responses(setting, within_deg=60, within_db=20):
    """[frequency, position]: those judged, near the axis and not much weaker than the loudest of them."""
    away = np.array([abs(180 - (180 - (a - setting.axis_deg)) % 360) for _, a in POSITIONS])
    near = (away <= within_deg) & ~np.array([p[0] == "vertical" and p[1] in (0, 180) for p in POSITIONS])
    level = levels(setting.squared)
    return near & (level >= np.max(level[:, near]) - within_db)


def predict(setting, contributions=CONTRIBUTIONS):
    """{curve: (bias dB, std dB)} by frequency; "responses": the same by [frequency, position]."""
    effects = [EFFECTS[c](setting) for c in contributions]
    mean = setting.squared * np.prod([1 + e.mean + 0 * setting.squared for e in effects], axis=0)
    variance = sum(e.variance for e in effects) + 0 * setting.squared
    weights = curve_weights(setting.axis_deg, setting.recipe.get("power_weights", "areas"))

    def variance_of(w):
        common = sum(((w * e.shared).sum(axis=-1) ** 2 + (w * e.shared_square).sum(axis=-1) ** 2 / 2
                      for e in effects if np.ndim(e.shared)), np.zeros(len(setting.f)))
        return (w ** 2 * variance).sum(axis=-1) + common

    out = {}
    sums = {name: (setting.squared @ w, mean @ w, w) for name, w in weights.items()}
    for name, (exact, got, w) in sums.items():
        spread = variance_of(w) / got ** 2
        out[name] = (PER_NEPER * (np.log(got / exact) - spread / 2), PER_NEPER * np.sqrt(spread))
    for name in ("early_reflections", "sound_power"):
        (_, front, w1), (_, all_, w2) = sums["listening_window"], sums[name]
        spread = variance_of(w1 / front[:, None] - w2 / all_[:, None])
        out[name + "_di"] = (out["listening_window"][0] - out[name][0], PER_NEPER * np.sqrt(spread))
    own = variance + sum((e.shared ** 2 + e.shared_square ** 2 / 2 for e in effects), 0.0)
    spread = own / mean ** 2
    out["responses"] = (PER_NEPER * (np.log(mean / setting.squared) - spread / 2), PER_NEPER * np.sqrt(spread))
    return out


def rms(bias, std, where=True):
    """Over frequencies (and positions) that count, of √(bias² + std²)."""
    return float(np.sqrt(np.mean((bias ** 2 + std ** 2), where=where)))


def exact_levels(setting):
    """{curve: dB re 20 µPa} without any error; "responses" by [frequency, position]."""
    weights = curve_weights(setting.axis_deg, setting.recipe.get("power_weights", "areas"))
    out = {name: levels(setting.squared @ w) for name, w in weights.items()}
    for name in ("early_reflections", "sound_power"):
        out[name + "_di"] = out["listening_window"] - out[name]
    return out | {"responses": levels(setting.squared)}


def print_budget(setting):
    heard = single_responses(setting)
    columns = {name: predict(setting, (name,)) for name in CONTRIBUTIONS} | {"together": predict(setting)}
    print(f"{'dB rms':22s}" + "".join(f"{name.split()[-1]:>12s}" for name in columns))
    for curve in ("responses",) + CURVES:
        where = heard if curve == "responses" else True
        print(f"{curve:22s}" + "".join(f"{rms(*c[curve], where):12.4f}" for c in columns.values()))


def main(arguments):
    if len(arguments) != 2:
        from accuracy_budget_checks import self_check

        return 0 if self_check() else 1
    plan, recipe = (json.loads(Path(a).read_text(encoding="utf-8")) for a in arguments)
    for drive in range(len(plan["drives"])):
        try:
            setting = Setting(plan, recipe, drive)
        except (KeyError, ValueError) as problem:
            print(f"{type(problem).__name__}: {problem}", file=sys.stderr)
            return 4
        print(f"drive {'+'.join(setting.sections)}, 100 Hz to 10 kHz, third octaves")
        print_budget(setting)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
