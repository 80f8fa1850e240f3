"""Speed and memory of `families` against numpy/scipy doing the same work.

    compare_families.py VOLVELLE [--rounds 15] [--keep FOLDER] [--skip-memory] [--only-memory]

Makes a sealed run of three drives of 70 two-channel 3 s sweeps (48 kHz, 3.5 s recorded) and measures, in turn and with cold caches,
the whole process `volvelle families RUN --drive front --csv …` and this file's scipy_families() with two workers, timed after its
imports. Then the peak of private memory at 70 and at 720 positions, and with 1 and 10 repeats averaged.
Targets: at most 0.25 of scipy's time; memory within 10 %.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import h5py
import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "Acceptance"), str(ROOT / "Oracle")]


def scipy_families(run_file, drive, out, real):
    """What one would write with numpy and scipy: batches of 8, two workers, in the given precision. Seconds that it took."""
    begun = time.perf_counter()
    rate, window, batch = 48000, 16384, 8
    with h5py.File(run_file) as file:
        group = file["drives"][drive]
        samples = group["samples"][...]
        pascal, volts, distance = 0.3, 6.0, 2.0
        positions = position_table(group, len(samples))
    n = next_fast_len(samples.shape[-1], real=True)
    f = np.fft.rfftfreq(n, 1 / rate)
    shape = (((f / 18) ** 4 / (1 + (f / 18) ** 4)) * np.clip((21000 - f) / 1000, 0, 1)).astype(real)
    taper = np.ones(window, real)
    taper[:48] = 0.5 - 0.5 * np.cos(np.pi * np.arange(48) / 48)
    taper[window // 2:] = 0.5 + 0.5 * np.cos(np.pi * np.arange(window - window // 2) / (window - window // 2))
    start = int((distance / 343.2 - 0.0015) * rate)
    grid = 20 * 2 ** (np.arange(479) / 48)
    bins = np.fft.rfftfreq(window, 1 / rate)
    power = np.empty((len(samples), len(grid)))
    for i in range(0, len(samples), batch):
        block = samples[i:i + batch].astype(real) * real(1 / 2 ** 31)
        spectra = rfft(block, n, axis=-1, workers=2)
        heard, played = spectra[:, 0], spectra[:, -1]
        size = played.real ** 2 + played.imag ** 2
        quotient = heard * np.conj(played) * (shape / (size + 1e-8 * size.max()))
        impulse = irfft(quotient, n, axis=-1, workers=2)[:, start:start + window] * taper
        response = rfft(impulse, axis=-1, workers=2)
        squared = response.real ** 2 + response.imag ** 2
        for k, row in enumerate(squared):
            power[i + k] = np.interp(grid, bins, row)
    power *= (2.83 * distance * pascal / volts) ** 2
    curves = plain_curves(power, positions)
    table = np.column_stack([grid, *[10 * np.log10(c / 4e-10) for c in curves]])
    np.savetxt(out, table, delimiter=",", fmt="%.4f")
    return time.perf_counter() - begun


def position_table(group, count):
    """[(orbit, angle)] in the order that this benchmark measured them."""
    from recordings import ORBIT_ANGLES

    both = [("horizontal", a) for a in ORBIT_ANGLES] + [("vertical", a) for a in ORBIT_ANGLES if a not in (0, 180)]
    if count != len(both):
        raise ValueError(f"{count} captures")
    return both


def plain_curves(power, positions):
    h = {a: power[i] for i, (o, a) in enumerate(positions) if o == "horizontal"}
    v = {a: power[i] for i, (o, a) in enumerate(positions) if o == "vertical"}

    def mean(*curves):
        return np.mean(curves, axis=0)

    window = mean(h[0], v[-10], v[10], h[-10], h[10], h[-20], h[20], h[-30], h[30])
    floor, ceiling = mean(v[-20], v[-30], v[-40]), mean(v[40], v[50], v[60])
    front = mean(*[h[a] for a in range(-30, 31, 10)])
    side = mean(*[h[s * a] for a in range(40, 90, 10) for s in (1, -1)])
    rear = mean(h[180], h[90], h[-90])
    early = mean(floor, ceiling, front, side, rear)
    weights = np.array([np.sin(np.radians(max(abs(a), 5 if abs(a) < 5 else 0) if abs(a) < 180 else 5)) for _, a in positions])
    sound = weights @ power / weights.sum()
    room = 0.12 * window + 0.44 * early + 0.44 * sound
    return [h[0], window, floor, ceiling, front, side, rear, early, sound, window / early * 4e-10, window / sound * 4e-10, room]


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
    out = folder / "families.csv"
    out.unlink(missing_ok=True)
    begun = time.perf_counter()
    subprocess.run([str(command), "families", str(run_file), "--drive", "front", "--csv", str(out)], check=True,
                   stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def timed_scipy(run_file, folder, precision):
    done = subprocess.run([sys.executable, __file__, "--scipy", str(run_file), str(folder / "scipy.csv"), precision], check=True,
                          capture_output=True, text=True)
    return float(done.stdout)


def compare(command, run_file, folder, rounds):
    """The target counts against numpy's own precision; against single precision the ratio is printed beside it."""
    ok = True
    for everything in (False, True):
        ours, theirs = [], {"float64": [], "float32": []}
        for _ in range(rounds):
            forget(run_file, everything)
            ours.append(timed_command(command, run_file, folder))
            for precision, seconds in theirs.items():
                forget(run_file, everything)
                seconds.append(timed_scipy(run_file, folder, precision))
        title = "all caches dropped" if everything else "run file cold"
        print(f"{title:20s} families {np.median(ours):.3f} s ({min(ours):.3f} to {max(ours):.3f})")
        for precision, seconds in theirs.items():
            ratio = np.median(ours) / np.median(seconds)
            pairs = np.array(ours) / np.array(seconds)
            ok = ok and (precision != "float64" or ratio <= 0.25)
            print(f"{'':20s} scipy {precision} {np.median(seconds):.3f} s ({min(seconds):.3f} to {max(seconds):.3f}), ratio {ratio:.3f} "
                  f"(quartiles {np.percentile(pairs, 25):.3f} to {np.percentile(pairs, 75):.3f}; target 0.25)", flush=True)
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
    if arguments[:1] == ["--scipy"]:
        print(scipy_families(arguments[1], "front", arguments[2], np.dtype(arguments[3]).type))
        return 0
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
            results.append(compare(command, run_file, folder, options.rounds))
        if not options.skip_memory:
            results.append(memory(command, folder))
    print(f"{sum(results)} passed, {len(results) - sum(results)} failed")
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
