"""Checks of accuracy_budget.py: closed forms, published values, draws by chance, and every number of Docs/accuracy-budget.md."""

import re
import sys
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq
from scipy.special import j1

import accuracy_budget as budget
from accuracy_budget import CONTRIBUTIONS, CURVES, PER_NEPER, POSITIONS, Setting, predict, rms, single_responses
from budget_scene import PLAN, RECIPE

PAGE = Path(__file__).resolve().parents[2] / "Docs" / "accuracy-budget.md"


# --- laws and published values ----------------------------------------------------------------------------------------------


def laws(setting):
    """[(name, error, limit)]"""
    hann = {"start_ms": 0, "fade_in_ms": 4, "fade_out_ms": 10, "end_ms": 50}
    only = budget.noise_window_s({"window": hann}, np.array([1000.0]))[0]
    octaves = 1000 * 10 ** (0.3 * np.arange(-4, 4))
    table = np.array([0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6])  # dB/km, 20 °C, 70 %: ISO 9613-2:1996 table 2
    absorbed = 1000 * budget.absorption_db_per_m(octaves, 20, 70, 101.325)
    step, near = np.radians(0.7), setting.at(0.7)
    taylor = setting.squared + setting.slope * step + setting.bend * step ** 2 / 2
    heard = single_responses(setting)
    weights = budget.curve_weights(0)
    one_cap = PLAN["simulation"] | {"drivers": [{"section": "front", "half_angle_deg": 20}]}
    symmetric = Setting(PLAN | {"simulation": one_cap}, RECIPE)
    right, ahead, left = (POSITIONS.index(("horizontal", a)) for a in (-50, 0, 50))
    still = PLAN["simulation"] | {"temperature_drift_c_per_hour": 0}
    quiet = predict(Setting(PLAN | {"simulation": still}, RECIPE | {"air": "lossless"}), ("air absorption", "temperature drift"))
    return [
        ("∫ w² of raised cosines is 3/8 of each fade, and the flat part", abs(only / (36e-3 + 14e-3 * 3 / 8) - 1), 1e-4),
        ("absorption against the table of ISO 9613-2, half a digit of it", np.max(np.abs(absorbed - table)), 0.05),
        ("weights of each curve add up to one",
         max(abs(np.sum(w) - 1) for k, w in weights.items() if k != "estimated_in_room"), 1e-12),
        ("slope and bend give the field 0.7° further on", np.max(np.abs(near / taylor - 1)[heard]), 0.01),
        ("a cap ahead has no slope on its axis", np.max(np.abs(symmetric.slope / symmetric.squared)[:, ahead]), 1e-6),
        ("a cap ahead has opposite slopes left and right",
         np.max(np.abs(symmetric.slope[:, left] + symmetric.slope[:, right]) / symmetric.squared[:, left]), 1e-6),
        ("nothing is left of what the recipe corrects or does not happen", max(rms(*quiet[c]) for c in CURVES), 1e-12),
    ]


# --- draws by chance --------------------------------------------------------------------------------------------------------


def drawn(setting, count=4000, seed=7):
    """Levels of the curves, {name: [draw, frequency]}: angles and noise drawn, the exact field at the angles drawn."""
    random = np.random.default_rng(seed)
    scene = setting.scene
    table, remounted = scene["table"]["position_error_deg"], scene["remounting_error_deg"]
    offsets = np.linspace(-4, 4, 33)
    fields = np.stack([setting.at(d) for d in offsets])
    common = remounted * random.standard_normal(count)
    power, relative = budget.noise_power(setting)
    squares = np.empty((count, len(setting.f), len(POSITIONS)))
    for i, (orbit, _) in enumerate(POSITIONS):
        turned = table * random.standard_normal(count) + (common if orbit == "vertical" else 0)
        clean = CubicSpline(offsets, fields[:, :, i])(turned)
        sigma = np.sqrt((power + relative * setting.squared[:, i]) / 2)
        real, imaginary = sigma * random.standard_normal((2, count, len(setting.f)))
        squares[:, :, i] = (np.sqrt(clean) + real) ** 2 + imaginary ** 2
    weights = budget.curve_weights(setting.axis_deg)
    out = {k: budget.levels(squares @ weights[k]) for k in CURVES if not k.endswith("_di")}
    for name in ("early_reflections", "sound_power"):
        out[name + "_di"] = out["listening_window"] - out[name]
    return out | {"responses": budget.levels(squares)}


def chance(setting):
    """What is random against draws, over the band: std within 5 %, of which 4 % are 3.6 deviations of 4000 draws of one number."""
    want, exact, got = predict(setting, ("noise", "table error", "remounting")), budget.exact_levels(setting), drawn(setting)
    results = []
    for curve in CURVES + ("responses",):
        where = single_responses(setting) if curve == "responses" else True
        bias, std = want[curve]
        error = got[curve] - exact[curve]
        ratio = rms(np.std(error, axis=0), 0, where) / rms(std, 0, where)
        off = rms(np.mean(error, axis=0) - bias, 0, where)
        results.append((f"random part of {curve} against 4000 draws", abs(ratio - 1), 0.05))
        results.append((f"mean error of {curve} against 4000 draws, dB", off, 0.001 + 4 * rms(std, 0, where) / np.sqrt(4000)))
    return results


# --- the page ---------------------------------------------------------------------------------------------------------------


def piston_slope(ka, down_db):
    """(angle in degrees, slope in dB per degree) of 2 J1(x)/x where it has fallen by so much."""
    def level(degrees):
        x = ka * np.sin(np.radians(degrees))
        return 20 * np.log10(2 * j1(x) / x)

    at = brentq(lambda a: level(a) + down_db, 0.01, np.degrees(np.arcsin(min(1, 3.6 / ka))))
    return at, (level(at - 1e-4) - level(at + 1e-4)) / 2e-4


def examples():
    """[(words of the page with {} for the number, number, digits after the point)]"""
    third_noise = lambda f: 18 + 10 * np.log10(0.2316 * f / 19980)
    octaves = np.log(1000)
    gain = lambda seconds, window: 10 * np.log10(0.2316 * seconds / octaves / window)
    rho = lambda f: 67 - third_noise(f) + gain(3, 0.02)
    error = lambda db: 6.14 / 10 ** (db / 20)
    air = lambda f: 2 * budget.absorption_db_per_m(f, 20, 50, 101.325)
    delay = 2 / 343.2 / (2 * 293.15)
    rows = [("ρ = 50 dB: {} dB", error(50), 3), ("ρ = 40 dB: +{} dB", PER_NEPER / 1e4, 4),
            ("under 0.01 dB from T = {} Q/f₀ on", np.ceil(100 * np.log(868.6) / np.pi) / 100, 2),
            ("D = 40 dB: {} dB", 20 * np.log10(1.01), 3), ("rms {} dB |", 8.686 * 0.01 / np.sqrt(2), 3),
            ("5 mm at 2 m: {} dB", 20 * np.log10(1 + 0.005 / 2), 3), ("1 K: {} dB", 20 * np.log10(1 + 1 / 293.15), 3),
            ("1 kPa: {} dB", 20 * np.log10(1 + 1 / 101.325), 3), ("1 K at 2 m: {} µs", 1e6 * delay, 1),
            ("µs, {}° at 10 kHz", 360e4 * delay, 0), ("20 °C, 50 %: {} dB at 4 kHz", air(4000), 3),
            ("{} dB at 10 kHz", air(10000), 2), ("{} dB at 16 kHz |", air(16000), 2), ("0.5 %: {} dB", 20 * np.log10(1.005), 3),
            ("0.5° of resolution: {}° rms", 0.5 / np.sqrt(12), 2),
            ("{} dB for 3 s", gain(3, 0.02), 1), ("−{} dB with 150 ms", -gain(3, 0.15), 1),
            ("is −{} dB in the third octave at 1 kHz", -third_noise(1000), 1), ("and {} dB at 16", third_noise(16000), 1),
            ("has ρ = {} dB at 1 kHz", rho(1000), 0), ("and {} dB at 16 kHz in a window", rho(16000), 0),
            ("{} and 0.004 dB rms.", error(rho(1000)), 3), ("and {} dB rms. A", error(rho(16000)), 3),
            ("20 dB weaker: {} and", error(rho(1000) - 20), 3), ("0.010 and {} dB", error(rho(16000) - 20), 3),
            ("2 m it is {}° and", np.degrees(np.arcsin(0.075)), 1), ("and {} to 0.68 dB", 20 * np.log10(1.075), 2),
            ("to {} dB. Known", -20 * np.log10(1 - 0.075), 2), ("5 mm at 2 m is {}°", np.degrees(0.0025), 2),
            ("° and {} dB.\n", 20 * np.log10(1.0025), 3)]
    for f0, q in ((40, 0.7), (40, 1), (100, 2), (1000, 5), (3000, 10)):
        hz = f"{f0 // 1000} kHz" if f0 >= 1000 else f"{f0} Hz"
        rows.append((f"| {hz} | {q:g} | {{}} ms |", 1000 * np.log(868.6) / np.pi * q / f0, 0))
    for ka in (3, 5, 10, 20):
        (a3, s3), (a6, s6) = piston_slope(ka, 3), piston_slope(ka, 6)
        rows += [(f"| {ka} | {{}}° |", a3, 1), (f"| {ka} | {a3:.1f}° | {{}} dB/° |", s3, 2),
                 (f"{s3:.2f} dB/° | {{}}° |", a6, 1), (f"| {a6:.1f}° | {{}} dB/° |", s6, 2)]
    return rows


def in_page(page):
    plain = re.sub(r"\s+", " ", page)
    results = []
    for words, value, digits in examples():
        text = re.sub(r"\s+", " ", words.replace("{}", f"{value:.{digits}f}"))
        results.append((f"the page says: {text.strip()}", 0 if text in plain or text.strip() in plain else 1, 0))
    return results


def table_rows(setting):
    """The page's table of what is predicted, line by line."""
    heard = single_responses(setting)
    parts = [predict(setting, (name,)) for name in CONTRIBUTIONS] + [predict(setting)]
    for curve in ("responses",) + CURVES:
        where = heard if curve == "responses" else True
        yield f"| {curve} | " + " | ".join(f"{rms(*p[curve], where):.3f}" for p in parts)


def table_in_page(setting, page):
    return [(f"the page's row: {row}", 0 if row in page else 1, 0) for row in table_rows(setting)]


def self_check():
    setting = Setting(PLAN, RECIPE)
    page = PAGE.read_text(encoding="utf-8")
    results = laws(setting) + chance(setting) + in_page(page) + table_in_page(setting, page)
    for name, error, limit in results:
        print(f"{'ok  ' if error <= limit else 'FAIL'} {name}" + (f": {error:.2e} (limit {limit:.0e})" if limit else ""))
    passed = [error <= limit for _, error, limit in results]
    print(f"{sum(passed)} passed, {len(passed) - sum(passed)} failed")
    return all(passed)


if __name__ == "__main__":
    sys.exit(0 if self_check() else 1)
