"""Families and responses of runs in the simulated chamber against the exact field, by the script that shares no code with it.

    run_exactness.py VOLVELLE [--short] [--keep FOLDER]

A plan in, a sealed run out, then the same limits as for recordings brought from elsewhere (exactness.py). The chamber is without
reflections and the table without error; microphone noise 18 dB SPL white, second harmonic 0.2 % made by a curved characteristic of the
voltage, converters with a latency that changes from shot to shot.
"""

import argparse
import json
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from exactness import Failure, run, try_drive
from scenarios import Radiator, Scenario, Section, Stage, Unit, high, low
from recordings import Cap

ROOT_HALF = 0.7071067811865476


def linkwitz(kind, hz):
    return Stage(kind, hz, (ROOT_HALF, ROOT_HALF))


FRONT_AND_REAR = Unit("sphere of 0.12 m, front and rear", 0.12, (
    Section("front", (Radiator(Cap(0, 0, 25), (high(60, 0.7), low(18000, ROOT_HALF)), acceleration=55),)),
    Section("rear", (Radiator(Cap(180, 0, 32), (high(45, 0.9), low(14000, ROOT_HALF)), gain_db=-1.5, acceleration=42),),
            latency_s=0.00031)))

TWO_WAY = Unit("sphere of 0.16 m, two ways", 0.16, (
    Section("low", (Radiator(Cap(0, -16, 20), (high(44, 0.8), linkwitz("low", 1900)), acceleration=75),)),
    Section("high", (Radiator(Cap(0, 18, 8), (high(650, 0.6), linkwitz("high", 1900)), gain_db=1, delay_s=0.00003,
                              acceleration=420),))))

SHORT = [("front-rear-48k", Scenario("run, 48 kHz, 2 m", FRONT_AND_REAR, {"front": 0, "rear": 180, "front+rear": 0}, rate=48000,
                                     distance_m=2.0, seed=31))]
LONG = SHORT + [("two-way-96k", Scenario("run, 96 kHz, 1.5 m", TWO_WAY, {"low": 0, "high": 0, "low+high": 0}, rate=96000,
                                         distance_m=1.5, temperature_c=24, seed=32))]


def driver(section, channel, radiator, volts, scenario):
    """The scene's words for a radiator of the oracle, whose air has the density of 20 °C whatever its speed of sound."""
    thinner = (273.15 + scenario.temperature_c) / 293.15
    out = {"section": section.name, "output_channel": channel, "azimuth_deg": radiator.cap.azimuth_deg,
           "elevation_deg": radiator.cap.elevation_deg, "half_angle_deg": radiator.cap.half_angle_deg,
           "acceleration_m_per_s2_per_v": radiator.acceleration * thinner, "gain_db": radiator.gain_db,
           "delay_ms": 1000 * (radiator.delay_s + section.latency_s), "polarity": "reversed" if radiator.reversed else "normal",
           "nonlinearity": {"a2_per_v": 2 * scenario.harmonic / volts, "place": "voltage"}}
    for stage in radiator.stages:
        if len(stage.q) == 2:
            out[stage.kind + "_pass"] = {"type": "linkwitz-riley", "order": 4, "hz": stage.hz}
        elif stage.kind == "high":
            out |= {"resonance_hz": stage.hz, "quality": stage.q[0]}
        else:
            out["cutoff_hz"] = stage.hz
    return out


def plan_of(scenario, sweep_s, volts=5.0):
    unit = scenario.unit
    sweep = {"start_hz": 20, "end_hz": min(24000, 0.45 * scenario.rate), "duration_s": sweep_s, "peak_v": volts}
    return {
        "distance_m": scenario.distance_m,
        "unit": {"model": unit.name + " (invented)", "serial": "invented-2", "size_m": 2 * unit.radius_m, "drive_quantity": "terminal-volts",
                 "sections": [{"name": s.name, "output_channels": [i + 1], "band_hz": [10, 30000], "voltage_limit_v": volts}
                              for i, s in enumerate(unit.sections)]},
        "drives": [{"sections": d.split("+"), "axis_deg": a, "reference_section": d.split("+")[0], "sweep": sweep}
                   for d, a in scenario.drives.items()],
        "angles": {"set": "two-orbits-10"},
        "audio": {"sample_rate_hz": scenario.rate, "loopback_input": 2, "loopback_output": 9},
        "calibration": {"pascal_per_full_scale": 20, "volts_per_full_scale": 10},
        "air": {"temperature_c": scenario.temperature_c, "relative_humidity_percent": 50, "pressure_kpa": 101.325},
        "simulation": {
            "seed": scenario.seed, "sphere_radius_m": unit.radius_m,
            "drivers": [driver(s, i + 1, r, volts, scenario) for i, s in enumerate(unit.sections) for r in s.radiators],
            "microphone_noise": {"level_db": scenario.noise_db, "colour": "white"},
            "converters": {"latency_ms": 0.7786, "start_jitter_ms": 0.02, "bits": 24, "noise_db": -120}},
    }


def try_run(command, name, scenario, sweep_s, folder):
    folder = folder / name
    folder.mkdir(parents=True)
    plan, run_file = folder / "plan.json", folder / "run.h5"
    plan.write_text(json.dumps(plan_of(scenario, sweep_s), indent=1))
    made = SimpleNamespace(latency_s=0.0, limit=np.ones_like)  # the loopback takes the converters out
    try:
        done = run([command, "run", plan, "--out", run_file])
        results = [(f"{name} raises no doubt", "No capture is doubtful" in done.stdout)]
        print(f"{name:32s} {'ok' if results[0][1] else 'FAIL'} no doubts")
        for drive, axis in scenario.drives.items():
            results += try_drive(command, scenario, made, run_file, drive, axis, folder)
    except (Failure, OSError, KeyError, ValueError) as problem:
        print(f"{name:32s} FAIL {type(problem).__name__}: {problem}")
        return [(f"{name} done", False)]
    return results


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("volvelle", type=Path)
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--keep", type=Path)
    options = parser.parse_args(arguments)
    results = []
    with tempfile.TemporaryDirectory(prefix="run-exactness-") as temporary:
        for name, scenario in SHORT if options.short else LONG:
            results += try_run(options.volvelle.resolve(), name, scenario, 3.0, options.keep or Path(temporary))
    failed = [name for name, passed in results if not passed]
    for name in failed:
        print("failed: " + name)
    print(f"{len(results) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
