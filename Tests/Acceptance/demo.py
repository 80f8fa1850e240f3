"""The demonstration, end to end: its clean recordings raise no doubt, and every result is there.

    demo.py VOLVELLE
"""

import subprocess
import sys
import tempfile
from pathlib import Path


def main(command):
    passed = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        demo = Path(folder) / "demo"
        done = subprocess.run([command, "demo", "--out", str(demo)], capture_output=True, text=True)
        kinds = ("family", "map", "polar", "impulse", "distortion")
        wanted = [f"{drive}{ending}" for drive in ("front", "rear", "front-rear")
                  for ending in (".csv", ".json", *[f"-{k}.{e}" for k in kinds for e in ("svg", "png")])]
        checks = {"it ends well": done.returncode == 0,
                  "clean recordings raise no doubt": "No capture is doubtful" in done.stdout,
                  "nothing is complained about": done.stderr == "",
                  "every result is there": all((demo / name).stat().st_size > 1000 for name in wanted if (demo / name).exists())
                  and all((demo / name).exists() for name in wanted)}
        run = subprocess.run([command, "verify", str(demo / "run.h5")], capture_output=True, text=True)
        checks["the run verifies"] = run.returncode == 0
        for name, held in checks.items():
            passed, failed = passed + held, failed + (not held)
            print(("passed " if held else "FAILED ") + name)
        if failed:
            print(done.stdout, done.stderr)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
