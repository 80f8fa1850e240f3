"""A run of a plan that is killed, stopped, out of room or not alone loses nothing that it said was saved.

    run_safety.py VOLVELLE [--kills N] [--seed S] [--verbose]

Kills (SIGKILL) fall at times drawn over starting, capturing and sealing, of runs and of their resumptions. After
each, every capture that was reported as kept is in the folder and equal to that of an undisturbed run, `verify` finds
nothing wrong, --resume completes the run, and `families` writes the same CSV byte for byte but for the lines that
name the file, its fingerprint and the time.
"""

import argparse
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import h5py
from runs import PLAN, Runs, held_in, killed


def phase_of(run):
    part = Path(f"{run}.part")
    if run.exists():
        return "removing" if part.exists() else "done"
    if not (part / "head.h5").exists():
        return "starting"
    return "sealing" if (part / "sealed.h5.writing").exists() else "capturing"


def kill_once(runs, run, resume, delay, after):
    """Problems of one kill, and the phase that it fell into."""
    part = Path(f"{run}.part")
    before = held_in(part) if part.exists() else {}
    reported, _, _ = killed(runs, ["run", runs.plan, "--out", run, *(["--resume"] if resume else [])], delay, after=after)
    phase = phase_of(run)
    if phase in ("done", "removing"):
        return [], phase, reported
    if phase == "starting":
        return ["captures were reported before there was a folder"] if reported or before else [], phase, reported
    held = held_in(part)
    problems = [f"{reported} captures were reported, but {len(held) - len(before)} are there"] if len(held) - len(before) < reported else []
    problems += [f"{name} is lost or changed" for name, samples in before.items() if held.get(name) != samples]
    problems += [f"{name} is not that of an undisturbed run" for name, samples in held.items()
                 if name in runs.samples and runs.samples[name] != samples]
    if runs.call("verify", f"{run}.part").returncode != 0:
        problems.append("the folder does not verify")
    return problems, phase, reported


def try_kills(runs, kills, draw):
    phases, done, acknowledged = {}, 0, 0
    while done < kills:
        folder = runs.folder()
        run, resume = folder / "run.h5", False
        story = []
        problems = []
        for _ in range(draw.choice((1, 2, 3))):
            aim = draw.choice(("starting", "capturing", "capturing", "sealing"))
            delay = {"starting": draw.uniform(0, 0.15), "capturing": draw.uniform(0.1, 1.0),
                     "sealing": draw.uniform(0, 0.1)}[aim] * runs.duration
            after = Path(f"{run}.part") / "sealed.h5.writing" if aim == "sealing" else None
            found, phase, reported = kill_once(runs, run, resume, delay, after)
            problems += found
            phase = ("resume: " if resume else "") + phase
            phases[phase] = phases.get(phase, 0) + 1
            acknowledged += reported
            story.append(f"{phase} {delay * 1000:.0f} ms")
            resume = (Path(f"{run}.part") / "head.h5").exists()
            if phase.endswith("done"):  # it was faster than the kill, which does not count
                break
            done += 1
        problems += runs.complete(run)
        runs.record(f"killed: {', '.join(story)}", problems)
        if problems:
            print(f"     left in {folder}")
        else:
            shutil.rmtree(folder)
    print(f"{done} kills, {acknowledged} captures reported before them; " + ", ".join(f"{n} {p}" for p, n in sorted(phases.items())))
    runs.record("a capture was acknowledged before a kill", [] if acknowledged > 0 else ["none was"])


def try_stops(runs, draw):
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        run = runs.folder() / "run.h5"
        delay = draw.uniform(3.0, 6.0)
        reported, code, text = killed(runs, ["run", runs.plan, "--out", run, "--pace", "real"], delay, number)
        text = " ".join(text.decode(errors="replace").split())
        problems = [] if code == 9 else [f"exit {code}, not 9"]
        for words in ("a stop was asked for", "every capture is saved", "--resume", "stopping: outputs first", "outputs are silent, the table is stopped"):
            problems += [] if words in text else [f"it does not say {words!r}"]
        held = held_in(Path(f"{run}.part"))
        problems += [] if len(held) >= reported > 0 else [f"{reported} captures reported, {len(held)} there"]
        problems += [] if not (Path(f"{run}.part") / "lock").exists() else ["the lock is left"]
        runs.record(f"{number.name} after {delay:.2f} s", problems + runs.complete(run))


def mounted(place, size):
    place.mkdir(exist_ok=True)
    return subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(place)], capture_output=True).returncode == 0


def fill_disk(runs, place, run, ballast):
    """Somebody else takes so much of the disk once the run has begun. Problems of how it ends, and of resuming it then."""
    part = Path(f"{run}.part")
    process = subprocess.Popen([str(runs.command), "run", str(runs.plan), "--out", str(run)], stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, text=True, cwd=runs.root)
    while not (part / "head.h5").exists() and process.poll() is None:
        time.sleep(0.0005)
    try:
        with open(place / "ballast", "wb", buffering=0) as file:
            for _ in range(ballast // 65536):
                file.write(bytes(65536))
    except OSError:
        pass
    stderr = process.communicate(timeout=120)[1]
    problems = [] if process.returncode == 7 else [f"exit {process.returncode}, not 7: {stderr}"]
    problems += [] if "run.h5" in stderr else [f"the message names no file: {stderr}"]
    problems += [] if "--resume" in stderr else [f"it does not say how to go on: {stderr}"]
    problems += ["a run is there"] if run.exists() else []
    problems += [f"{n} is not that of an undisturbed run" for n, s in held_in(part).items()
                 if n in runs.samples and runs.samples[n] != s]
    done = runs.call("run", runs.plan, "--out", run, "--resume")
    said = " ".join(done.stderr.split())
    problems += [] if done.returncode == 7 and "MB are left" in said and "--resume" in said else [f"resumed without room: exit {done.returncode}, {said}"]
    (place / "ballast").unlink()
    return problems


def try_full_disks(runs):
    place = runs.root / "disk"
    whole = runs.whole.stat().st_size
    sizes = {"nothing fits": 4096, "the head only": 48 * 1024, "a third of the captures": whole // 3,
             "almost all captures": int(whole * 0.95), "captures but no sealed run": int(whole * 1.5)}
    for name, size in sizes.items():
        if not mounted(place, size):
            runs.skip(f"too little room: {name}", "cannot mount a tmpfs (not root)")
            continue
        try:
            run = place / "run.h5"
            done = runs.call("run", runs.plan, "--out", run)
            problems = [] if done.returncode == 7 else [f"exit {done.returncode}, not 7: {done.stderr}"]
            problems += [] if re.search(r"run\.h5.*needs [\d.]+ MB .* MB are left", " ".join(done.stderr.split())) else [f"it does not say what is needed: {done.stderr}"]
            problems += [f"{p.name} was begun" for p in place.iterdir()]
            subprocess.run(["mount", "-o", f"remount,size={whole * 4}", str(place)], check=True)
            runs.record(f"too little room: {name}", problems + runs.complete(run))
        finally:
            subprocess.run(["umount", str(place)], check=False)
    for name, size in list(sizes.items())[2:]:
        if not mounted(place, whole * 4):
            runs.skip(f"disk that fills: {name}", "cannot mount a tmpfs (not root)")
            continue
        try:
            (place / "try").mkdir()
            problems = fill_disk(runs, place, place / "try" / "run.h5", whole * 4 - size)
            runs.record(f"disk that fills: {name}", problems + runs.complete(place / "try" / "run.h5"))
        finally:
            subprocess.run(["umount", str(place)], check=False)
    title = "read-only folder"
    if not mounted(place, whole * 4):
        runs.skip(title, "cannot mount a tmpfs (not root)")
        return
    try:
        subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)
        done = runs.call("run", runs.plan, "--out", place / "run.h5")
        runs.record(title, [] if done.returncode == 7 and "run.h5" in done.stderr else [f"exit {done.returncode}: {done.stderr}"])
    finally:
        subprocess.run(["umount", str(place)], check=False)


def try_names(runs):
    def refusal(title, code, words, *arguments):
        done = runs.call(*arguments)
        problems = [] if done.returncode == code else [f"exit {done.returncode}, not {code}"]
        problems += [f"it does not say {w!r}: {done.stderr}" for w in words if w not in done.stderr]
        runs.record(title, problems)

    before = runs.whole.read_bytes()
    refusal("the run exists", 7, ["whole.h5"], "run", runs.plan, "--out", runs.whole)
    refusal("resuming a sealed run", 7, ["sealed"], "run", runs.plan, "--out", runs.whole, "--resume")
    runs.record("a run that exists stays as it is", [] if runs.whole.read_bytes() == before else ["it was changed"])
    folder = runs.folder()
    refusal("resuming what was never begun", 4, ["never.h5"], "run", runs.plan, "--out", folder / "never.h5", "--resume")
    refusal("no such folder", 7, ["nowhere"], "run", runs.plan, "--out", folder / "nowhere" / "run.h5")
    refusal("a position that is not in the set", 2, ["horizontal:7"], "run", runs.plan, "--out", folder / "a.h5", "--resume", "--redo", "horizontal:7")
    refusal("a redo of nothing", 2, ["--from"], "run", runs.plan, "--out", folder / "a.h5", "--redo", "horizontal:30")
    refusal("a parent without a redo", 2, ["--redo"], "run", runs.plan, "--out", folder / "a.h5", "--from", runs.whole)
    refusal("an odd pace", 2, ["--pace"], "run", runs.plan, "--out", folder / "a.h5", "--pace", "fast")
    refusal("an odd seed", 2, ["--seed"], "run", runs.plan, "--out", folder / "a.h5", "--seed", "-1")
    (folder / "bad.json").write_text(json.dumps(PLAN | {"distance_m": -1}))
    refusal("a bad plan", 4, ["/distance_m"], "run", folder / "bad.json", "--out", folder / "a.h5")
    real = {k: v for k, v in PLAN.items() if k != "simulation"}
    (folder / "real.json").write_text(json.dumps(real))
    refusal("no simulated chamber", 8, ["real.json", "simulat"], "run", folder / "real.json", "--out", folder / "a.h5")
    refusal("no simulated chamber for a shot", 8, ["real.json", "simulat"], "shot", folder / "real.json")
    other = PLAN | {"purpose": "another"}
    (folder / "other.json").write_text(json.dumps(other))
    killed(runs, ["run", runs.plan, "--out", folder / "b.h5", "--pace", "real"], 2.0)
    refusal("another plan than the run was begun with", 4, ["begun with"], "run", folder / "other.json", "--out", folder / "b.h5", "--resume")
    refusal("a run that is under way", 7, ["--resume"], "run", runs.plan, "--out", folder / "b.h5")
    limited = PLAN | {"conduct": {"level_limit_db": 60}}
    (folder / "limited.json").write_text(json.dumps(limited))
    refusal("over the level limit", 9, ["over the plan's limit", "every capture is saved"], "run", folder / "limited.json", "--out", folder / "c.h5")
    dead = json.loads(json.dumps(PLAN))
    dead["simulation"]["faults"] = [{"kind": "section-dead", "section": "front", "at_shot": 1, "times": 0}]
    (folder / "dead.json").write_text(json.dumps(dead))
    refusal("nothing is heard", 8, ["nothing is heard of front"], "run", folder / "dead.json", "--out", folder / "d.h5")
    stalled = json.loads(json.dumps(PLAN))
    stalled["simulation"]["faults"] = [{"kind": "stalled", "at_shot": 5, "times": 0}]
    (folder / "stalled.json").write_text(json.dumps(stalled))
    refusal("a device that never comes back", 8, ["asks for no more samples", "every capture is saved"], "run", folder / "stalled.json", "--out", folder / "e.h5")
    runs.record("refusals make no files", [f"{n} is there" for n in ("a.h5", "a.h5.part", "never.h5.part") if (folder / n).exists()])
    shot = runs.call("shot", runs.plan)
    runs.record("a shot on the axis", [] if shot.returncode == 0 and "front+rear" in shot.stdout else [shot.stdout + shot.stderr])


def try_redo(runs):
    folder = runs.folder()
    done = runs.call("run", runs.plan, "--out", folder / "later.h5", "--redo", "horizontal:30,horizontal:-60", "--from", runs.whole)
    problems = [] if done.returncode == 0 else [f"exit {done.returncode}: {done.stderr}"]
    if not problems:
        shown = runs.call("verify", runs.whole).stdout.split()[-1]
        with h5py.File(folder / "later.h5", "r") as file:
            text = []
            file.visititems(lambda name, item: text.extend(f"{k}={v}" for k, v in item.attrs.items()))
            text += [f"{k}={v}" for k, v in file.attrs.items()]
            problems += [] if any(shown in t for t in text) else ["it does not name its parent"]
            captures = file["drives"]["front"]
            again = [i for i, s in zip(captures["id"].asstr()[:], captures["state"].asstr()[:]) if s == "superseded"]
            problems += [] if again == ["front/horizontal:30/upright/1", "front/horizontal:-60/upright/1"] or sorted(again) == sorted(
                ["front/horizontal:30/upright/1", "front/horizontal:-60/upright/1"]) else [f"superseded are {again}"]
    runs.record("a redo of a sealed run names its parent", problems)


def try_two(runs):
    run = runs.folder() / "run.h5"
    first = subprocess.Popen([str(runs.command), "run", str(runs.plan), "--out", str(run), "--pace", "real"],
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=runs.root)
    time.sleep(1.5)
    second = runs.call("run", runs.plan, "--out", run, "--resume")
    looked = runs.call("show", run)
    problems = [] if second.returncode == 7 else [f"exit {second.returncode}, not 7"]
    problems += [] if f"process {first.pid}" in second.stderr else [f"it does not name the process: {second.stderr}"]
    problems += [] if looked.returncode == 0 and "unsealed" in looked.stdout else [f"nobody may look: {looked.stderr}"]
    problems += [] if first.poll() is None else ["the first one ended"]
    first.kill()
    first.communicate()
    problems += [] if (Path(f"{run}.part") / "lock").exists() else ["the killed one left no lock: this tests nothing"]
    runs.record("two processes, and the lock of one that was killed", problems + runs.complete(run))
    run = runs.folder() / "run.h5"
    killed(runs, ["run", runs.plan, "--out", run, "--pace", "real"], 1.5)
    lock = Path(f"{run}.part") / "lock"
    lock.write_text("process 1\nstart 1\nboot another\nhost another-machine\n")
    done = runs.call("run", runs.plan, "--out", run, "--resume")
    problems = [] if done.returncode == 7 and "another-machine" in done.stderr else [f"exit {done.returncode}: {done.stderr}"]
    lock.write_text(re.sub(r"process \d+", "process 4000000", f"process 1\nstart 1\nboot before\nhost {os.uname().nodename}\n"))
    runs.record("locks of another machine and of before the last start", problems + runs.complete(run))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("command")
    parser.add_argument("--kills", type=int, default=40)
    parser.add_argument("--seed", type=int, default=None)
    parser.add_argument("--verbose", action="store_true")
    parser.add_argument("--keep", action="store_true")
    options = parser.parse_args()
    seed = options.seed if options.seed is not None else random.SystemRandom().randrange(1 << 31)
    print(f"seed {seed}", flush=True)
    draw = random.Random(seed)
    root = Path(tempfile.mkdtemp(prefix="run-safety-"))
    try:
        runs = Runs(Path(options.command).resolve(), root, options.verbose)
        print(f"an undisturbed run takes {runs.duration:.2f} s", flush=True)
        try_kills(runs, options.kills, draw)
        try_stops(runs, draw)
        try_full_disks(runs)
        try_names(runs)
        try_redo(runs)
        try_two(runs)
    finally:
        if not options.keep:
            shutil.rmtree(root, ignore_errors=True)
    print(f"{runs.passed} passed, {len(runs.failed)} failed" + (f", {len(runs.skipped)} skipped" if runs.skipped else ""))
    return 1 if runs.failed else 0


if __name__ == "__main__":
    sys.exit(main())
