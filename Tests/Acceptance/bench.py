"""The bench of bad_input.py: good recordings, a good run, and how a refusal is judged."""

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

from scenarios import FRONT_AND_REAR, Loopback, Scenario, Sweep

from recordings import make

FORBIDDEN = ["HDF5-DIAG", "#000:", "H5F", "H5D", "what():", "terminate called", "Segmentation", "Sanitizer", "std::",
             "nlohmann", "json.exception", "a fault of the program"]


def snapshot(folder):
    """{name: (kind, size, hash)} of everything below a folder."""
    out = {}
    for path in sorted(Path(folder).rglob("*")):
        name = str(path.relative_to(folder))
        out[name] = ("folder", 0, "") if path.is_dir() else (
            "file", path.stat().st_size, hashlib.sha256(path.read_bytes()).hexdigest())
    return out


class Bench:
    """The good recordings, a good run, and the tally."""

    def __init__(self, command, root, verbose, only):
        self.command, self.root, self.verbose, self.only = command, root, verbose, only
        self.passed, self.failed, self.skipped = 0, [], []
        self.good, self.loop = root / "good", root / "loop"
        small = Sweep(20, 20000, 0.4, 0.01, 0.005, lead_s=0.05)
        self.made = make(Scenario("small", FRONT_AND_REAR, {"front": 0, "rear": 180}, small, tail_s=0.15), self.good)
        make(Scenario("small-loop", FRONT_AND_REAR, {"front": 0}, small, tail_s=0.15, loopback=Loopback()), self.loop)
        self.lines = (self.good / "manifest.csv").read_text().splitlines()
        self.count = 0
        self.run_file = root / "good.h5"
        done = self.call("ingest", str(self.good / "manifest.csv"), *self.options(self.good), "--out", str(self.run_file))
        if done.returncode != 0:
            raise SystemExit(f"the good folder is refused: {done.stderr}\n0 passed, 1 failed")
        self.good_ingest = done

    def options(self, folder, **changed):
        named = {"--excitation": str(folder / "excitation.wav"), "--distance-m": "2",
                 "--pascal-per-full-scale": repr(self.made.pascal_per_full_scale),
                 "--volts-per-full-scale": repr(self.made.volts_per_full_scale), "--plan": str(self.good / "plan.json")}
        for key, value in changed.items():
            named["--" + key.replace("_", "-")] = value
        return [x for k, v in named.items() if v is not None for x in ([k] if v is True else [k, v])]

    def call(self, *arguments, env=None):
        return subprocess.run([str(self.command), *map(str, arguments)], capture_output=True, text=True, errors="replace",
                              env=env, timeout=300, cwd=self.root)

    def record(self, name, problems):
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

    def wanted(self, name):
        return self.only is None or self.only in name

    def judge(self, name, done, codes, words, before, folder):
        problems = []
        codes = codes if isinstance(codes, (tuple, list)) else (codes,)
        if done.returncode not in codes:
            problems.append(f"exit {done.returncode}, not {'/'.join(map(str, codes))}")
        text = done.stderr.strip()
        lines = text.splitlines()
        if not text:
            problems.append("no message")
        if len(lines) > 3 or sum(line.startswith("volvelle:") for line in lines) != 1:
            problems.append(f"not one message of at most three lines ({len(lines)})")
        problems += [f"stderr has {bad!r}" for bad in FORBIDDEN if bad in text]
        for word in words:
            choices = word if isinstance(word, tuple) else (word,)
            if not any(c.lower() in text.lower() for c in choices):
                problems.append(f"message lacks {' or '.join(map(repr, choices))}")
        after = snapshot(folder)
        if after != before:
            changed = sorted(k for k in set(before) | set(after) if before.get(k) != after.get(k))
            problems.append(f"output folder changed: {changed[:4]}")
        self.record(name, [*problems, f"stderr: {text[:300]!r}"] if problems else [])
        if self.verbose and not problems:
            print(f"       {done.returncode}  {text.replace(str(self.root), '...')}")

    def output(self):
        self.count += 1
        folder = self.root / f"out{self.count}"
        folder.mkdir()
        (folder / "neighbour.txt").write_text("stays\n")
        return folder

    def ingest(self, name, codes, words, manifest=None, folder=None, files=None, prepare=None, extra=(), **changed):
        """One refused ingest. manifest: text; files: {name: bytes or function(path)} laid over the good folder."""
        if not self.wanted(name):
            return
        source = folder or self.good
        work = self.root / f"in{self.count}"
        shutil.copytree(source, work, copy_function=os.link)
        if manifest is not None:
            (work / "manifest.csv").unlink()
            (work / "manifest.csv").write_bytes(manifest if isinstance(manifest, bytes) else manifest.encode())
        for file, content in (files or {}).items():
            path = work / file
            path.unlink(missing_ok=True)
            if callable(content):
                content(path)
            elif content is not None:
                path.write_bytes(content)
        out = self.output()
        target = out / "run.h5"
        if prepare:
            prepare(out)
        before = snapshot(out)
        options = self.options(work, **changed)
        done = self.call("ingest", work / "manifest.csv", *options, *extra, "--out", target)
        self.judge(name, done, codes, words, before, out)
        shutil.rmtree(work)

    def refused(self, name, codes, words, *arguments, prepare=None, protect=None):
        """Any refused command; `OUT` in the arguments is the output folder."""
        if not self.wanted(name):
            return
        out = self.output()
        if prepare:
            prepare(out)
        before = snapshot(out)
        guard = hashlib.sha256(protect.read_bytes()).digest() if protect else None
        done = self.call(*[str(a).replace("OUT", str(out)) for a in arguments])
        self.judge(name, done, codes, words, before, out)
        if protect and hashlib.sha256(protect.read_bytes()).digest() != guard:
            self.record(name + " (protected file)", ["was changed"])
