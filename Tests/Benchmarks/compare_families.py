"""Speed and memory of `families` against numpy/scipy doing the same work.

    compare_families.py VOLVELLE [--rounds 15] [--keep FOLDER] [--skip-memory] [--only-memory]

Makes a sealed run of three drives of 70 two-channel 3 s sweeps (48 kHz, 3.5 s recorded) and measures, in turn and with cold caches,
the whole process `volvelle families RUN --drive front --csv …` and scipy_families.py, which does the same work with two processors
and is timed without its start-up: in numpy's own and in single precision, with everything on two threads and with scipy.fft's two
workers alone. First it holds the tables against each other: every curve within 0.01 dB where it is valid, the rest within the
tolerances of departures(). Then the peak of private memory at 70 and at 720 positions, and with 1 and 10 repeats averaged.
Targets: at most 0.25 of scipy's time (double precision, two threads); memory within 10 %.
"""

import argparse
import csv
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "Acceptance"), str(ROOT / "Oracle")]


PLAIN = Path(__file__).with_name("scipy_families.py")
WAYS = [(precision, threads) for threads in ("threads", "workers") for precision in ("float64", "float32")]


def read_table(path):
    """Columns of a table as numbers: empty is nan, 'none' is inf."""
    with open(path, encoding="utf-8") as file:
        rows = list(csv.reader(line for line in file if not line.startswith("#")))
    values = [[float({"": "nan", "none": "inf"}.get(cell, cell)) for cell in row] for row in rows[1:]]
    return dict(zip(rows[0], np.array(values).T))


def departure(key, a, b, ours):
    """(largest departure, tolerance) of two columns. Harmonics count where they stand 20 dB out of their noise; floors are means of
    one draw of noise, of which the two sides cut slightly different stretches, and count where a third octave fits on both sides."""
    known = np.isfinite(a)
    off = np.abs(a - b)
    if key == "frequency_hz":
        off, tolerance = off / a, 1e-8
    elif key.endswith("floor_percent"):
        inside = np.flatnonzero(known)
        known[inside[:9]] = known[inside[-9:]] = False
        off, tolerance = off / a, 0.05
    elif key.endswith("percent"):
        floor = ours[key.replace("_percent", "_floor_percent") if key.startswith("harmonic") else "harmonic_5_floor_percent"]
        known &= a > 10 * floor
        off, tolerance = off / a, 0.02
    elif key.endswith("phase_deg"):
        off, tolerance = np.minimum(off, 360 - off), 0.1
    elif key.endswith("delay_ms"):
        tolerance = 0.02
    else:
        tolerance = 0.01 if key.endswith("_db") else 0.05
    return float(off[known].max(initial=0)), tolerance


def departures(ours, theirs):
    """[(column, largest departure, tolerance)] of two tables, which have to have the same columns and the same empty cells."""
    if list(ours) != list(theirs):
        raise ValueError("the tables have different columns")
    found = []
    for key, a in ours.items():
        b = theirs[key]
        alike = (np.isnan(a) == np.isnan(b)).all() and (np.isinf(a) == np.isinf(b)).all()
        with np.errstate(invalid="ignore"):
            found.append((key, *departure(key, a, b, ours)) if alike else (key, np.inf, 0.0))
    return found


# --- measuring ----------------------------------------------------------------------------------------------------------


def make_run(command, folder):
    from recordings import ingest_arguments, make
    from scenarios import BOTH, FRONT_AND_REAR, Loopback, Scenario, Sweep

    scenario = Scenario("speed", FRONT_AND_REAR, BOTH, Sweep(20, 20000, 3, 0.01, 0.005), directions="orbits-70",
                        loopback=Loopback(), tail_s=0.5)
    run_file = folder / "speed.h5"
    if not run_file.exists():
        made = make(scenario, folder / "recordings")
        begun = time.perf_counter()
        subprocess.run([str(command), "ingest", *ingest_arguments(scenario, made), "--out", str(run_file)], check=True,
                       stdout=subprocess.DEVNULL)
        print(f"ingest of 210 captures: {time.perf_counter() - begun:.2f} s, {run_file.stat().st_size / 1e6:.0f} MB")
    return run_file


def make_many(command, folder, rows, name):
    """A run of one drive from a manifest over the same recordings."""
    path, run_file = folder / "recordings" / f"{name}.csv", folder / f"{name}.h5"
    path.write_text("file,drive,orbit,angle_deg,repeat\n" + "".join(",".join(map(str, r)) + "\n" for r in rows))
    if not run_file.exists():
        subprocess.run([str(command), "ingest", str(path), "--excitation", str(folder / "recordings" / "excitation.wav"),
                        "--loopback-channel", "2", "--distance-m", "2", "--pascal-per-full-scale", "0.3",
                        "--volts-per-full-scale", "6", "--out", str(run_file)], check=True, stdout=subprocess.DEVNULL)
    return run_file


def forget(path, everything):
    """Cold caches: the run file always, the whole machine's where allowed and asked for."""
    os.sync()
    handle = os.open(path, os.O_RDONLY)
    os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)
    os.close(handle)
    if everything and os.geteuid() == 0:
        Path("/proc/sys/vm/drop_caches").write_text("1\n")


def timed_command(command, run_file, folder):
    """Seconds, and processor seconds: these tell more where others use the machine."""
    out = folder / "families.csv"
    out.unlink(missing_ok=True)
    begun, before = time.perf_counter(), os.times()
    subprocess.run([str(command), "families", str(run_file), "--drive", "front", "--csv", str(out)], check=True,
                   stdout=subprocess.DEVNULL)
    seconds, after = time.perf_counter() - begun, os.times()
    return seconds, after.children_user + after.children_system - before.children_user - before.children_system


def timed_scipy(run_file, folder, way):
    done = subprocess.run([sys.executable, str(PLAIN), str(run_file), "front", str(folder / "families.csv"), str(folder / "scipy.csv"),
                           *way], check=True, capture_output=True, text=True)
    return tuple(float(v) for v in done.stdout.split())


def same_work(command, run_file, folder):
    """Whether all of scipy's tables say what ours says."""
    timed_command(command, run_file, folder)
    ours, ok = read_table(folder / "families.csv"), True
    for way in WAYS:
        timed_scipy(run_file, folder, way)
        found = departures(ours, read_table(folder / "scipy.csv"))
        wrong = [f"{key} by {off:.2g} (at most {tolerance:g})" for key, off, tolerance in found if not off <= tolerance]
        curves = max(off for key, off, _ in found if key.endswith("_db"))
        print(f"scipy {' '.join(way):16s} {len(found)} columns, curves within {curves:.4f} dB of ours"
              + (", DEPARTS: " + "; ".join(wrong) if wrong else ""), flush=True)
        ok = ok and not wrong
    return ok


def told(measured):
    seconds, work = np.array(measured).T
    return f"{np.median(seconds):.3f} s ({seconds.min():.3f} to {seconds.max():.3f}), processor {np.median(work):.3f} s"


def compare(command, run_file, folder, rounds):
    """The target counts against numpy's own precision with everything on two threads; the other ratios are printed beside it."""
    ok = True
    for everything in (False, True):
        ours, theirs = [], {way: [] for way in WAYS}
        for _ in range(rounds):
            forget(run_file, everything)
            ours.append(timed_command(command, run_file, folder))
            for way, seconds in theirs.items():
                forget(run_file, everything)
                seconds.append(timed_scipy(run_file, folder, way))
        title = "all caches dropped" if everything else "run file cold"
        print(f"{title:18s} families {told(ours)}, load {os.getloadavg()[0]:.1f}")
        for way, measured in theirs.items():
            ratio, work = (np.median(ours, axis=0) / np.median(measured, axis=0)).tolist()
            ok = ok and (way != WAYS[0] or ratio <= 0.25)
            print(f"{'':18s} scipy {' '.join(way):15s} {told(measured)}; ratio {ratio:.3f}, of processor time {work:.3f}", flush=True)
    return ok


def peak_private_kb(command, run_file, folder, recipe=None):
    """Largest RssAnon seen (polled all the time) and the system's own VmHWM of everything resident."""
    out = folder / "memory.csv"
    out.unlink(missing_ok=True)
    extra = ["--recipe", str(recipe)] if recipe else []
    process = subprocess.Popen([str(command), "families", str(run_file), "--drive", "front", "--csv", str(out), *extra],
                               stdout=subprocess.DEVNULL)
    private, resident = 0, 0
    while process.poll() is None:
        try:
            with open(f"/proc/{process.pid}/status", encoding="ascii") as file:
                for line in file:
                    if line.startswith("RssAnon:"):
                        private = max(private, int(line.split()[1]))
                    elif line.startswith("VmHWM:"):
                        resident = max(resident, int(line.split()[1]))
        except (FileNotFoundError, ProcessLookupError):
            break
    if process.wait() != 0:
        raise RuntimeError("families failed")
    return private, resident


def memory(command, folder):
    from recordings import ORBIT_ANGLES

    def file_at(orbit, angle):
        near = 10 * round(angle / 10)
        near = 180 if abs(near) == 180 else near
        if orbit == "vertical" and near in (0, 180):
            orbit = "horizontal"
        return f"front/{orbit[0]}{near:+04d}.wav"

    few = [(o, a) for o in ("horizontal", "vertical") for a in ORBIT_ANGLES if not (o == "vertical" and a in (0, 180))]
    many = [(o, a) for o in ("horizontal", "vertical") for a in range(-179, 181)]
    recipe = folder / "mean.json"
    recipe.write_text('{"repeats": "complex-mean"}\n')
    runs = {"70 positions": ([(file_at(o, a), "front", o, a, 1) for o, a in few], "few", None),
            "720 positions": ([(file_at(o, a), "front", o, a, 1) for o, a in many], "many", None),
            "70 positions, mean of 1": (None, "few", recipe),
            "70 positions, mean of 10": ([(file_at(o, a), "front", o, a, k) for k in range(1, 11) for o, a in few], "tens", recipe)}
    ok, first = True, None
    for title, (rows, name, chosen) in runs.items():
        run_file = make_many(command, folder, rows, name) if rows else folder / f"{name}.h5"
        measured = [peak_private_kb(command, run_file, folder, chosen) for _ in range(3)]
        private, resident = max(m[0] for m in measured), max(m[1] for m in measured)
        if first is None or title.endswith("mean of 1"):
            first = private
        ok = ok and abs(private / first - 1) <= 0.10
        print(f"{title:26s} peak private {private / 1024:7.1f} MB ({private / first:.3f} of the first), resident {resident / 1024:.1f} MB",
              flush=True)
    return ok


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("volvelle", type=Path)
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--skip-memory", action="store_true")
    parser.add_argument("--only-memory", action="store_true")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="compare-") as temporary:
        folder = options.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        command = options.volvelle.resolve()
        run_file = make_run(command, folder)
        results = []
        if not options.only_memory:
            results.append(same_work(command, run_file, folder))
            results.append(compare(command, run_file, folder, options.rounds))
        if not options.skip_memory:
            results.append(memory(command, folder))
    print(f"{sum(results)} passed, {len(results) - sum(results)} failed")
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
