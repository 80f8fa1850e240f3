"""The demonstration, end to end: clean simulated runs and recordings raise no doubt, and every result is there.

    demo.py VOLVELLE
"""

import subprocess
import sys
import tempfile
from pathlib import Path

KINDS = ("family", "map", "polar", "impulse", "distortion")
UNITS = {"two-way": ("woofer", "tweeter", "woofer-tweeter"), "front-rear": ("front", "rear", "front-rear")}


def wanted(unit):
    yield from ("plan.json", "run.h5", "account.txt", "sections.csv", "sections.png", "sections.svg", "sections-map.png",
                "sections-map.svg")
    for drive in UNITS[unit]:
        yield from (f"{drive}.csv", f"{drive}.json", *[f"{drive}-{k}.{e}" for k in KINDS for e in ("svg", "png")])


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True)


def checks_of_a_unit(command, folder, unit):
    files = [folder / name for name in wanted(unit)]
    account = (folder / "account.txt").read_text(encoding="utf-8")
    lines = account.splitlines()
    return {f"{unit}: every result is there": all(f.exists() and f.stat().st_size > 800 for f in files),
            f"{unit}: nothing else is there": {f.name for f in folder.iterdir()} == {f.name for f in files},
            f"{unit}: the account is one page of 80 columns": len(lines) <= 60 and all(len(line) <= 80 for line in lines),
            f"{unit}: no capture is doubtful or repeated": "No capture is doubtful" in account and " 0 of them again" in " ".join(account.split()),
            f"{unit}: the plan passes its check": run(command, "plan", "check", folder / "plan.json").returncode == 0,
            f"{unit}: the run verifies": run(command, "verify", folder / "run.h5").returncode == 0}


def check_of_the_recordings(command, demo):
    folder = demo / "recordings"
    done = run(command, "ingest", folder / "manifest.csv", "--out", demo / "ingested.h5", "--excitation", folder / "sweep.wav",
               "--loopback-channel", "2", "--plan", folder / "plan.json")
    return {"recordings are taken in": done.returncode == 0, "and raise no doubt": "No capture is doubtful" in done.stdout}


def main(command):
    checks = {}
    with tempfile.TemporaryDirectory() as temporary:
        demo = Path(temporary) / "demo"
        done = run(command, "demo", "--out", demo)
        checks["it ends well"] = done.returncode == 0
        checks["nothing is complained about"] = done.stderr == ""
        if done.returncode == 0:
            for unit in UNITS:
                checks |= checks_of_a_unit(command, demo / unit, unit)
            checks |= check_of_the_recordings(command, demo)
        failed = [name for name, held in checks.items() if not held]
        for name, held in checks.items():
            print(("passed " if held else "FAILED ") + name)
        if failed:
            print(done.stdout, done.stderr)
    print(f"{len(checks) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
