"""Families and responses of the command against the exact field, on recordings of units that it has not seen.

    exactness.py VOLVELLE [--short] [--keep FOLDER] [SCENARIO ...]

Limits: every curve within 0.05 dB from 100 Hz to 10 kHz and 0.1 dB from 60 Hz to 16 kHz wherever it is within 20 dB of the
loudest level of any of the drive's curves; single responses within 60° of the drive's axis as closely in level, where they are
within 20 dB of the loudest, and within 1° of phase up to 10 kHz. For information the same is printed for curves within 20 dB of the
loudest at the same frequency, and for responses within 90°.
"""

import argparse
import csv
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from scenarios import SCENARIOS, SHORT, named

from families_oracle import family_levels
from recordings import at_one_metre, exact_responses, ingest_arguments, make
from reference_chain import axis_distance, split

INNER, OUTER = (100, 10000, 0.05), (60, 16000, 0.1)
PHASE_LIMIT = 1.0
SUMS = {"horizontal_reflections": "horizontal_total", "vertical_reflections": "vertical_total"}


class Failure(Exception):
    """The command did not do its work."""


def run(command, allowed=(0,)):
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True)
    if done.returncode not in allowed:
        raise Failure(f"exit {done.returncode} from {' '.join(map(str, command[:3]))}: {done.stderr.strip()[:400]}")
    return done


def rows_of(path):
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def number(cell):
    return float(cell) if cell not in ("", "none") else np.nan


def read_family(path):
    rows = rows_of(path)
    grid = np.array([float(r["frequency_hz"]) for r in rows])
    return grid, {k[:-3]: np.array([number(r[k]) for r in rows]) for k in rows[0] if k.endswith("_db")}


def read_responses(path):
    """{(orbit, angle): (frequency, level, phase)}."""
    found = {}
    for row in rows_of(path):
        found.setdefault(row["position"], []).append(
            (float(row["frequency_hz"]), number(row["level_db"]), number(row["phase_deg"])))
    out = {}
    for name, values in found.items():
        orbit, _, angle = name.partition(":")
        if orbit in ("horizontal", "vertical"):
            out[orbit, int(float(angle))] = np.array(values).T
    return out


class Worst:
    """The error that leaves the least margin, by band."""

    def __init__(self):
        self.values = {INNER: (0.0, "", 0.0), OUTER: (0.0, "", 0.0)}
        self.points = 0

    def add(self, name, grid, error, where):
        for limit in self.values:
            inside = where & (grid >= limit[0] * 0.999) & (grid <= limit[1] * 1.001)
            if not inside.any():
                continue
            bad = np.where(inside, np.where(np.isfinite(error), np.abs(error), np.inf), 0)
            at = int(np.argmax(bad))
            self.points += int(inside.sum()) if limit is OUTER else 0
            if bad[at] > self.values[limit][0]:
                self.values[limit] = (float(bad[at]), name, float(grid[at]))

    def passed(self):
        return self.points > 0 and all(v[0] <= limit[2] for limit, v in self.values.items())

    def text(self):
        return "  ".join(f"{v[0]:.3f}/{limit[2]:.2f} {v[1]}@{v[2]:.0f}" for limit, v in self.values.items())


def judge_curves(grid, got, exact):
    """(gated, for information): within 20 dB of the loudest of all, and of the loudest at that frequency."""
    keys = [k for k in exact if not k.endswith("_di")]
    inside = (grid >= 60) & (grid <= 16000)
    table = np.stack([exact[k] for k in keys])
    loudest, loudest_here = np.max(table[:, inside]), np.max(table, axis=0)
    gated, here = Worst(), Worst()
    for key, want in exact.items():
        column = SUMS.get(key, key)
        if column not in got:
            raise Failure(f"there is no column {column}_db")
        if key.endswith("_di"):
            lower = np.minimum(exact["listening_window"], exact[key[:-3]])
        else:
            lower = want
        gated.add(key, grid, got[column] - want, lower >= loudest - 20)
        here.add(key, grid, got[column] - want, lower >= loudest_here - 20)
    return gated, here


def judge_responses(found, exact, axis, within, made):
    """Levels as Worst; the largest phase error (degrees, name, frequency) up to 10 kHz."""
    near = [s for s in found if axis_distance(s, axis) <= within]
    loudest = max(np.max(20 * np.log10(np.abs(exact[s]) / 20e-6)[(g >= 60) & (g <= 16000)])
                  for s, (g, _, _) in ((s, found[s]) for s in near))
    level, phase = Worst(), (0.0, "", 0.0)
    for spot in near:
        grid, db, degrees = found[spot]
        want = 20 * np.log10(np.abs(exact[spot]) / 20e-6)
        heard = want >= loudest - 20
        name = f"{spot[0][0]}{spot[1]:+d}"
        level.add(name, grid, db - want, heard)
        turned = degrees + 360 * grid * made.latency_s - np.degrees(np.angle(exact[spot] * made.limit(grid)))
        error = np.abs((turned + 180) % 360 - 180)
        judged = heard & (grid >= 60) & (grid <= 10010)
        error = np.where(judged, np.where(np.isfinite(error), error, np.inf), 0.0)
        at = int(np.argmax(error))
        if error[at] > phase[0]:
            phase = (float(error[at]), name, float(grid[at]))
    return level, phase, len(near)


def try_drive(command, scenario, made, run_file, drive, axis, folder):
    """Prints the lines of one drive and returns its results [(name, passed)]."""
    family_csv, responses_csv = folder / f"{drive}.csv", folder / f"{drive}-responses.csv"
    run([command, "families", run_file, "--drive", drive, "--csv", family_csv])
    run([command, "responses", run_file, "--drive", drive, "--csv", responses_csv])
    grid, got = read_family(family_csv)
    exact = {s: at_one_metre(scenario, p) for s, p in exact_responses(scenario, drive, grid).items()}
    gated, here = judge_curves(grid, got, family_levels(*split(exact), axis))
    found = read_responses(responses_csv)
    if len(found) < 70:
        raise Failure(f"responses hold {len(found)} of 70 positions")
    grids = next(iter(found.values()))[0]
    if len(grids) != len(grid) or np.max(np.abs(grids / grid - 1)) > 1e-9:
        exact = {s: at_one_metre(scenario, p) for s, p in exact_responses(scenario, drive, grids).items()}
    level, phase, count = judge_responses(found, exact, axis, 60, made)
    wide_level, wide_phase, _ = judge_responses(found, exact, axis, 80, made)
    results = [("curves", gated.passed()), ("responses", level.passed()), ("phase", phase[0] <= PHASE_LIMIT)]
    title = f"{scenario.name} {drive}"
    mark = {True: "ok", False: "FAIL"}
    print(f"{title:32s} curves    {mark[results[0][1]]:4s} {gated.text()}")
    print(f"{'':32s} responses {mark[results[1][1]]:4s} {level.text()} ({count} within 60°)")
    print(f"{'':32s} phase     {mark[results[2][1]]:4s} {phase[0]:.2f}°/{PHASE_LIMIT:g}° {phase[1]}@{phase[2]:.0f}")
    print(f"{'':32s} (same-frequency curves {here.text()}; within 80°: {wide_level.text()}, "
          f"{wide_phase[0]:.2f}° {wide_phase[1]}@{wide_phase[2]:.0f})", flush=True)
    return [(f"{title} {name}", passed) for name, passed in results]


def try_other_power(command, scenario, run_file, drive, axis, folder):
    """The other reading of the sound power, by recipe."""
    recipe, out = folder / "recipe.json", folder / "other.csv"
    recipe.write_text('{"power_weights": "each-curve-once"}\n')
    run([command, "families", run_file, "--drive", drive, "--recipe", recipe, "--csv", out])
    grid, got = read_family(out)
    exact = {s: at_one_metre(scenario, p) for s, p in exact_responses(scenario, drive, grid).items()}
    want = family_levels(*split(exact), axis, weights="each-curve-once")
    gated, _ = judge_curves(grid, got, want)
    print(f"{scenario.name + ' ' + drive:32s} each curve once {'ok' if gated.passed() else 'FAIL'} {gated.text()}", flush=True)
    return [(f"{scenario.name} {drive} each-curve-once", gated.passed())]


def try_scenario(command, scenario, folder, other_power):
    begun = time.time()
    made = make(scenario, folder / "recordings")
    rendered = time.time()
    run_file = folder / "run.h5"
    results = []
    try:
        run([command, "ingest", *ingest_arguments(scenario, made), "--out", run_file])
        ingested = time.time()
        for drive, axis in scenario.drives.items():
            results += try_drive(command, scenario, made, run_file, drive, axis, folder)
        if other_power:
            drive, axis = list(scenario.drives.items())[-1]
            results += try_other_power(command, scenario, run_file, drive, axis, folder)
    except (Failure, OSError, KeyError, ValueError) as problem:
        print(f"{scenario.name:32s} FAIL {type(problem).__name__}: {problem}")
        return results + [(f"{scenario.name} done", False)]
    print(f"{'':32s} interpolation {made.interpolation_error:.0e}, rendered {rendered - begun:.1f} s, "
          f"ingested {ingested - rendered:.1f} s, all {time.time() - begun:.1f} s", flush=True)
    return results


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("volvelle", type=Path)
    parser.add_argument("scenario", nargs="*")
    parser.add_argument("--short", action="store_true", help="two scenarios, within a minute")
    parser.add_argument("--keep", type=Path, help="folder for recordings and results; else temporary")
    options = parser.parse_intermixed_args(arguments)
    chosen = [named(n) for n in options.scenario or (SHORT if options.short else [s.name for s in SCENARIOS])]
    print("worst error/limit curve@Hz: 100 Hz to 10 kHz, then 60 Hz to 16 kHz")
    results = []
    for number_, scenario in enumerate(chosen):
        with tempfile.TemporaryDirectory(prefix="exactness-") as temporary:
            folder = (options.keep or Path(temporary)) / scenario.name
            folder.mkdir(parents=True, exist_ok=True)
            results += try_scenario(options.volvelle.resolve(), scenario, folder, number_ == 0)
    failed = [name for name, passed in results if not passed]
    for name in failed:
        print("FAILED", name)
    print(f"{len(results) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed or not results else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
