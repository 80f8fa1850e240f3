"""The bench of run_safety.py: a small plan in the simulated chamber, an undisturbed run of it, and what runs hold."""

import json
import os
import pty
import re
import signal
import subprocess
import time
from pathlib import Path

import h5py

PLAN = {
    "distance_m": 1.5,
    "unit": {"model": "Dunnock (invented)", "size_m": 0.3, "drive_quantity": "terminal-volts",
             "sections": [{"name": "front", "band_hz": [40, 11000], "voltage_limit_v": 5, "output_channels": [1]},
                          {"name": "rear", "band_hz": [40, 11000], "voltage_limit_v": 5, "output_channels": [2]}]},
    "drives": [{"sections": ["front"], "sweep": {"start_hz": 200, "end_hz": 10000, "duration_s": 0.2, "peak_v": 2}},
               {"sections": ["front", "rear"], "reference_section": "front",
                "sweep": {"start_hz": 200, "end_hz": 10000, "duration_s": 0.2, "peak_v": 2}}],
    "angles": {"set": "horizontal-30"},
    "table": {"settle_s": 0.01},
    "audio": {"sample_rate_hz": 48000, "loopback_input": 2, "loopback_output": 3, "silence_before_s": 0.25, "decay_s": 0.1},
    "conduct": {"axis_check_every": 6},
    "calibration": {"pascal_per_full_scale": 20, "volts_per_full_scale": 10},
    "air": {"temperature_c": 20, "relative_humidity_percent": 50, "pressure_kpa": 101.3},
    "simulation": {"drivers": [{"section": "front", "half_angle_deg": 24, "resonance_hz": 110},
                               {"section": "rear", "azimuth_deg": 180, "half_angle_deg": 18, "resonance_hz": 110}],
                   "microphone_noise": {"level_db": 15, "colour": "white"}, "table": {"speed_deg_per_s": 200}},
}


class Runs:
    """The plan, an undisturbed run of it, and the tally."""

    def __init__(self, command, root, verbose):
        self.command, self.root, self.verbose = command, root, verbose
        self.passed, self.failed, self.skipped, self.number = 0, [], [], 0
        self.plan = root / "plan.json"
        self.plan.write_text(json.dumps(PLAN))
        self.whole = root / "whole.h5"
        started = time.monotonic()
        done = self.call("run", self.plan, "--out", self.whole)
        self.duration = time.monotonic() - started
        if done.returncode != 0:
            raise SystemExit(f"the undisturbed run fails: {done.stderr}\n0 passed, 1 failed")
        self.curves = self.families(self.whole)
        self.samples = samples_of(self.whole)

    def call(self, *words, **more):
        return subprocess.run([str(self.command), *map(str, words)], capture_output=True, text=True, timeout=120, cwd=self.root, **more)

    def record(self, name, problems):
        problems = [p for p in problems if p]
        if problems:
            self.failed.append(name)
            print(f"FAIL {name}: {'; '.join(problems)}", flush=True)
        else:
            self.passed += 1
            if self.verbose:
                print(f"ok   {name}", flush=True)

    def skip(self, name, why):
        self.skipped.append(name)
        print(f"skip {name}: {why}", flush=True)

    def folder(self):
        self.number += 1
        made = self.root / f"try{self.number}"
        made.mkdir()
        return made

    def families(self, run):
        """Curves of both drives, without the lines that name file, fingerprint and time."""
        out = []
        for drive in ("front", "front+rear"):
            csv = run.parent / "curves.csv"
            done = self.call("families", run, "--drive", drive, "--csv", csv, "--force")
            if done.returncode != 0:
                return done.stderr
            out += [line for line in csv.read_text().splitlines() if not re.match(r"#.*(run|fingerprint|time|utc)", line, re.I)]
            csv.unlink()
        return out

    def complete(self, run):
        """Problems of completing what is left there, and of what comes of it."""
        for _ in range(4):
            part = Path(f"{run}.part")
            if run.exists() and not part.exists():
                break
            resume = ["--resume"] if (part / "head.h5").exists() or run.exists() else []
            done = self.call("run", self.plan, "--out", run, *resume)
            if done.returncode != 0 and not (done.returncode == 7 and run.exists() and "sealed" in done.stderr):
                return [f"it does not complete: exit {done.returncode}, {done.stderr}"]
        else:
            return ["it never completes"]
        problems = [] if self.call("verify", run).returncode == 0 else ["the sealed run does not verify"]
        if self.families(run) != self.curves:
            problems.append("its curves differ")
        if samples_of(run) != self.samples:
            problems.append("its captures differ")
        left = [p.name for p in run.parent.iterdir() if p != run]
        return problems + ([f"{left} is left"] if left else [])


def samples_of(run):
    """{id: samples} of the captures of positions that count."""
    out = {}
    with h5py.File(run, "r") as file:
        for drive in file["drives"].values():
            ids, kinds, states = (drive[name].asstr()[:] for name in ("id", "kind", "state"))
            for c, (name, kind, state) in enumerate(zip(ids, kinds, states)):
                if kind == "position" and state != "superseded":
                    out[name] = drive["samples"][c].tobytes()
    return out


def held_in(part):
    """{id: samples} of all captures in a folder of a run under way."""
    out = {}
    for path in sorted(part.glob("*-capture.h5")):
        with h5py.File(path, "r") as file:
            texts = dict(zip(file["text_name"].asstr()[:], file["text"].asstr()[:]))
            out[texts["id"]] = file["samples"][:].tobytes()
    return out


def killed(runs, words, delay, number=signal.SIGKILL, after=None):
    """Starts a command on a terminal and sends it a signal so many seconds later, or after a file was made. Captures
    that it reported as kept, exit code, its text."""
    master, slave = pty.openpty()
    process = subprocess.Popen([str(runs.command), *map(str, words)], stdout=subprocess.PIPE, stderr=slave, cwd=runs.root)
    os.close(slave)
    while after is not None and not after.exists() and process.poll() is None:
        time.sleep(0.0005)
    time.sleep(delay)
    process.send_signal(number)
    out = process.communicate(timeout=60)[0]
    text = b""
    while True:
        try:
            piece = os.read(master, 65536)
        except OSError:
            break
        if not piece:
            break
        text += piece
    os.close(master)
    return text.count(b" left: "), process.returncode, text + out
