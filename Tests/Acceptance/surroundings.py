"""Parts of bad_input.py: disks, locale, signals, the screen, and changed bits of a sealed run."""

import json
import os
import random
import re
import shutil
import signal
import subprocess
import time
from pathlib import Path

from bench import FORBIDDEN, snapshot

from audio_files import read_audio, write_wav


def mounted(path, options):
    path.mkdir(exist_ok=True)
    return subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(path)], capture_output=True).returncode == 0


def try_disks(bench):
    b = bench
    needed = b.run_file.stat().st_size
    place = b.root / "disk"
    csv_size = 200_000
    for name, size in (("small", 256 * 1024), ("half", needed // 2), ("just too small", needed - 8192), ("empty file only", 4096)):
        title = f"disk full ({name})"
        if not b.wanted(title):
            continue
        if not mounted(place, f"size={size}"):
            b.skip(title, "cannot mount a tmpfs (not root)")
            continue
        try:
            before = snapshot(place)
            done = b.call("ingest", b.good / "manifest.csv", *b.options(b.good), "--out", place / "run.h5")
            b.judge(title, done, 7, ["run.h5"], before, place)
        finally:
            subprocess.run(["umount", str(place)], check=False)
    for option, name in (("--csv", "f.csv"), ("--svg", "f.svg"), ("--png", "f.png"), ("--json", "f.json")):
        title = f"disk full for families {option}"
        if not b.wanted(title):
            continue
        if not mounted(place, "size=12k"):
            b.skip(title, "cannot mount a tmpfs (not root)")
            continue
        try:
            before = snapshot(place)
            done = b.call("families", b.run_file, "--drive", "front", option, place / name)
            b.judge(title, done, 7, [name], before, place)
        finally:
            subprocess.run(["umount", str(place)], check=False)
    title = "disk full for the second of two results"
    if b.wanted(title) and mounted(place, "size=300k"):
        try:
            (place / "f.json").write_text("mine\n")
            before = snapshot(place)
            done = b.call("families", b.run_file, "--drive", "front", "--csv", place / "f.csv", "--json", place / "f.json", "--force")
            b.judge(title, done, 7, ["f.json"], before, place)
        finally:
            subprocess.run(["umount", str(place)], check=False)
    title = "disk full for demo"
    if b.wanted(title) and mounted(place, "size=20m"):
        try:
            b.judge(title, b.call("demo", "--out", place / "made"), 7, ["made"], {}, place)
        finally:
            subprocess.run(["umount", str(place)], check=False)
    title = "read-only folder"
    if b.wanted(title) and mounted(place, f"size={needed * 2 + csv_size}"):
        try:
            (place / "neighbour.txt").write_text("stays\n")
            subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)
            before = snapshot(place)
            done = b.call("ingest", b.good / "manifest.csv", *b.options(b.good), "--out", place / "run.h5")
            b.judge(title + ": ingest", done, 7, ["run.h5"], before, place)
            done = b.call("families", b.run_file, "--drive", "front", "--csv", place / "f.csv")
            b.judge(title + ": families", done, 7, ["f.csv"], before, place)
        finally:
            subprocess.run(["umount", str(place)], check=False)
    elif b.wanted(title):
        b.skip(title, "cannot mount a tmpfs (not root)")


def try_streams(b):
    """Text to the screen that cannot be written must not pass for success; a reader that has seen enough is no failure."""
    if not b.wanted("standard streams"):
        return
    show = [str(b.command), "show", "--captures", str(b.run_file)]

    def shell(line, code, words, silent=False):
        done = subprocess.run(["bash", "-o", "pipefail", "-c", line, *show], capture_output=True, text=True, timeout=60)
        problems = [] if done.returncode == code else [f"exit {done.returncode}, not {code}"]
        problems += [f"stderr lacks {w!r}: {done.stderr[:150]!r}" for w in words if w not in done.stderr]
        problems += [f"stderr has {done.stderr[:150]!r}"] * (silent and done.stderr != "")
        b.record(f"standard streams: {line}", problems)

    for command in ('"$0" "$@"', '"$0" --help', '"$0" --version'):
        shell(f"{command} >/dev/full", 7, ["standard output"])
        shell(f"{command} >&-", 7, ["standard output"])
        shell(f"{command} | head -n 1", 0, [], silent=True)
    shell('"$0" "$@" | true', 0, [], silent=True)
    shell('"$0" "$@" 2>&- >/dev/null', 0, [])
    shell('"$0" show nowhere.h5 2>&-', 4, [])
    shell('"$0" show nowhere.h5 2>/dev/full', 4, [])
    out = b.output()
    shell(f'"$0" families "${{@: -1}}" --drive front --csv {out}/f.csv >&- <&- 2>&-', 7, [])
    good = b.output()
    b.call("families", b.run_file, "--drive", "front", "--csv", good / "f.csv")
    same = (out / "f.csv").exists() and (out / "f.csv").read_bytes() == (good / "f.csv").read_bytes()
    b.record("standard streams: closed ones never mix text into a result", [] if same else ["the result differs"])
    (out / "link").symlink_to(out / "f.csv")
    done = b.call("families", b.run_file, "--drive", "front", "--csv", out / "link", "--force")
    b.record("a link is written through, not replaced", [] if done.returncode == 0 and (out / "link").is_symlink() else [done.stderr])


def try_names(b):
    """Names with blanks, quotes, commas, dashes and letters of all languages are no bad input."""
    if not b.wanted("odd names"):
        return
    place = b.root / "Ünit 1 – 机"
    shutil.copytree(b.good, place, copy_function=os.link)
    first = b.lines[1].split(",")[0]
    odd = '-a "quoted", ünd.wav'
    (place / first).rename(place / odd)
    quoted = '"' + odd.replace('"', '""') + '"'
    (place / "-män ifest.csv").write_bytes(("\ufeff" + "\r\n".join(b.lines).replace(first, quoted, 1)).encode())
    out = b.output()
    done = b.call("ingest", place / "-män ifest.csv", *b.options(place), "--out", out / "-r ü.h5")
    problems = [done.stderr] if done.returncode else []
    for words in (["show", "--", "-r ü.h5"], ["verify", "./-r ü.h5"],
                  ["families", "./-r ü.h5", "--drive", "front", "--csv", "./-f ö.csv", "--json", "./-f ö.json", "--svg=-f.svg"]):
        done = subprocess.run([str(b.command), *words], capture_output=True, text=True, cwd=out)
        problems += [f"{words}: {done.stderr}"] if done.returncode else []
    problems += [f"{n} was not made" for n in ("-f ö.csv", "-f ö.json", "-f.svg") if not (out / n).exists()]
    b.record("odd names", problems)


# --- locale, kill, screen, bits -----------------------------------------------------------------------------------------


def try_locale(b):
    if not b.wanted("German locale"):
        return
    place = b.root / "locales"
    place.mkdir()
    made = subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", str(place / "de_DE.UTF-8")], capture_output=True, text=True)
    env = {**os.environ, "LOCPATH": str(place), "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"}
    probe = subprocess.run(["locale", "decimal_point"], capture_output=True, text=True, env=env).stdout.strip()
    if probe != ",":
        return b.skip("German locale", f"localedef does not make it: {made.stderr.strip()[:100]}")
    out, problems = b.output(), []
    plain = {**os.environ, "LC_ALL": "C"}
    for name, e in (("de", env), ("c", plain)):
        for arguments in (["ingest", b.good / "manifest.csv", *b.options(b.good), "--out", out / f"{name}.h5"],
                          ["families", b.run_file, "--drive", "front", "--csv", out / f"{name}.csv", "--json", out / f"{name}.json",
                           "--svg", out / f"{name}.svg"],
                          ["responses", b.run_file, "--drive", "rear", "--position", "horizontal:170", "--csv", out / f"{name}-r.csv"],
                          ["families", out / f"{name}.h5", "--drive", "front", "--csv", out / f"{name}-2.csv"]):
            done = b.call(*arguments, env=e)
            if done.returncode:
                problems.append(f"{arguments[0]} under {name}: exit {done.returncode} {done.stderr.strip()[:150]}")
    for suffix in (".csv", "-r.csv", "-2.csv", ".svg"):
        texts = [(out / f"{n}{suffix}") for n in ("de", "c")]
        if all(t.exists() for t in texts):
            rows = [[r for r in t.read_text().splitlines() if not r.startswith("#")] for t in texts]
            if rows[0] != rows[1]:
                problems.append(f"{suffix} differs")
    if (out / "de.json").exists():
        json.loads((out / "de.json").read_text())
    b.record("German locale", problems)


def try_kill(b, trials=24):
    if not b.wanted("killed during ingest"):
        return
    begun = time.time()
    whole = b.output()
    b.call("ingest", b.good / "manifest.csv", *b.options(b.good), "--out", whole / "run.h5")
    usual = time.time() - begun
    problems, complete, killed, left = [], 0, 0, 0
    for trial in range(trials):
        out = b.output()
        target = out / "run.h5"
        process = subprocess.Popen([str(b.command), "ingest", str(b.good / "manifest.csv"), *b.options(b.good), "--out", str(target)],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=b.root)
        time.sleep(usual * 1.05 * (trial + 0.5) / trials)
        process.send_signal(signal.SIGKILL)
        killed += process.wait() == -signal.SIGKILL
        left += len([p for p in out.iterdir() if p.name not in ("run.h5", "neighbour.txt")]) > 0
        if target.exists():
            complete += 1
            if b.call("verify", target).returncode != 0:
                problems.append(f"trial {trial}: a broken file under the final name")
        else:
            again = b.call("ingest", b.good / "manifest.csv", *b.options(b.good), "--out", target)
            if again.returncode != 0 or b.call("verify", target).returncode != 0:
                problems.append(f"trial {trial}: cannot ingest again: {again.stderr.strip()[:120]}")
        shutil.rmtree(out)
    if not killed:
        problems.append("no trial was killed in time")
    print(f"     killed {killed} of {trials}, {complete} complete, {left} left a temporary behind")
    b.record("killed during ingest", problems)
    for number, name in ((signal.SIGINT, "interrupted"), (signal.SIGTERM, "terminated"), (signal.SIGHUP, "hung up")):
        for trial in range(4):
            out = b.output()
            words = ["ingest", b.good / "manifest.csv", *b.options(b.good), "--out", out / "run.h5"]
            stop_softly(b, f"{name} during ingest ({trial})", out, words, number, usual * (0.2 + 0.25 * trial), "run.h5")
    out = b.output()
    stop_softly(b, "interrupted during demo", out, ["demo", "--out", out / "made"], signal.SIGINT, 1.5, "made")


def stop_softly(b, name, out, words, number, after_s, made):
    """A signal that asks to stop: nothing is left but what is complete."""
    before = snapshot(out)
    process = subprocess.Popen([str(b.command), *map(str, words)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
                               cwd=b.root)
    time.sleep(after_s)
    process.send_signal(number)
    said = process.communicate(timeout=60)[1]
    after = snapshot(out)
    if process.returncode == 0:  # it was quicker
        return b.record(name, [] if made in after else ["ended well and made nothing"])
    problems = [] if process.returncode == -number else [f"exit {process.returncode} instead of the signal"]
    if made in after and made.endswith(".h5"):  # complete already, about to end
        problems += [] if b.call("verify", out / made).returncode == 0 else ["a broken run under the final name"]
        after.pop(made)
    problems += [f"left behind: {sorted(set(after) - set(before))[:4]}"] if after != before else []
    problems += [f"stderr: {said[:150]!r}"] if said and said.count("volvelle:") != 1 else []
    b.record(name, problems)


def try_screen(b):
    if not b.wanted("80 columns"):
        return
    out = b.output()
    calls = {"ingest": b.good_ingest, "show": b.call("show", b.run_file), "verify": b.call("verify", b.run_file),
             "show --captures": b.call("show", "--captures", b.run_file),
             "families": b.call("families", b.run_file, "--drive", "front", "--csv", out / "f.csv")}
    for option in ("--help",):
        for command in ("", "ingest", "show", "verify", "families", "responses", "figure", "demo"):
            calls[f"{command} {option}"] = b.call(*[a for a in (command, option) if a])
    for name, done in calls.items():
        paths = (str(b.root), str(out))
        wide = [line for line in done.stdout.splitlines() if len(line) > 80 and not any(p in line for p in paths)]
        problems = [f"exit {done.returncode}"] * (done.returncode != 0) + [f"{len(wide)} lines over 80: {line!r}" for line in wide[:1]]
        if name in ("ingest", "show", "verify") and not done.stdout.strip():
            problems.append("nothing on screen")
        b.record(f"80 columns: {name}", problems)


def try_long_run(b, doubtful=30):
    """Many doubts, long names and notes of the manifest stay within 80 columns, and every one of them is shown."""
    if not b.wanted("a long run"):
        return
    place = b.root / "long"
    shutil.copytree(b.good, place, copy_function=os.link)
    drive, notes = "a-section-with-a-long-name-of-its-own+another-section-with-a-still-longer-name", []
    rows = [b.lines[0] + ",weather,remark"]
    for number, line in enumerate(b.lines[1:]):
        cells = line.split(",")
        notes.append(f"note {number} " + "a word and another " * 6)
        if number < doubtful:  # clipped, each by another number of samples
            samples, rate = read_audio(place / cells[0])
            samples[1000:1003 + number] = 1
            (place / cells[0]).unlink()
            write_wav(place / cells[0], samples, rate, 24)
        cells[1] = drive if cells[1] == "front" else "rear"
        rows.append(",".join([*cells, "dry", notes[-1].strip()]))
    (place / "manifest.csv").unlink()
    (place / "manifest.csv").write_text("\n".join(rows) + "\n")
    run = b.root / "long.h5"
    made = b.call("ingest", place / "manifest.csv", *b.options(place, plan=None), "--out", run)
    shown, all_shown = b.call("show", run), b.call("show", "--captures", run)
    problems = [f"exit {d.returncode}: {d.stderr[:200]}" for d in (made, shown, all_shown) if d.returncode]
    for done in (made, shown, all_shown):
        problems += [f"over 80 columns: {line!r}" for line in done.stdout.splitlines() if len(line) > 80 and str(b.root) not in line][:1]
    words = " ".join(all_shown.stdout.split())
    problems += [f"{n!r} is not shown" for n in notes if f"weather: dry; remark: {n.strip()}" not in words][:1]
    problems += [f"{n} clipped samples are not shown" for n in range(3, 3 + doubtful) if f"clipped: {n} consecutive" not in words][:1]
    brief = " ".join(shown.stdout.split())
    counts = [int(n) for n in re.findall(r"… ?, (\d+) captures \(", brief)]
    problems += [f"the doubts are not put together: {counts}"] * (sum(counts) != doubtful or len(counts) > 4)
    b.record("a long run within 80 columns", problems)


def rows_only(path):
    return [r for r in path.read_text().splitlines() if not r.startswith("#")]


def try_bits(b, flips=60):
    """Changed bits, cuts and additions."""
    if not b.wanted("bits"):
        return
    data = b.run_file.read_bytes()
    draw = random.Random(2026)
    place = b.root / "bits"
    place.mkdir()
    path = place / "run.h5"
    out = b.output()
    reference = out / "reference.csv"
    b.call("families", b.run_file, "--drive", "front", "--csv", reference)
    shown = b.call("show", b.run_file).stdout.replace(str(b.run_file), "RUN")
    spots = [0, 3, 9, 17, 40, 63, 100, 200, 511, 512, 520, 1024, 2047, 2048, len(data) - 1, len(data) - 100]
    spots += [draw.randrange(0, min(len(data), 200_000)) for _ in range(flips // 3)]
    spots += [draw.randrange(0, len(data)) for _ in range(flips - flips // 3)]
    changes = [(f"bit at {at}", data[:at] + bytes([data[at] ^ (1 << draw.randrange(8))]) + data[at + 1:], at) for at in spots]
    cuts = [1, 2, 511, 512, 4096, len(data) // 2, len(data) - 2048, len(data) - 100, len(data) - 1]
    changes += [(f"cut by {n}", data[:-n], -1) for n in cuts]
    changes += [(f"{n} bytes added", data + bytes(n), -1) for n in (1, 512, 4096)] + [("text added", data + b"x", -1)]
    changes += [("two bytes swapped", swapped(data), -1)]
    found = {"verify": 0, "families": 0, "show": 0}
    problems = []
    for name, content, at in changes:
        path.write_bytes(content)
        early = 0 <= at < 64 or len(content) < 2048
        allowed = (4, 6) if early else (6,)
        done = b.call("verify", path)
        found["verify"] += done.returncode in allowed
        if done.returncode not in allowed:
            problems.append(f"verify misses {name} (exit {done.returncode})")
        if any(bad in done.stderr for bad in FORBIDDEN):
            problems.append(f"verify, {name}: {done.stderr.strip()[:120]!r}")
        made = place / "f.csv"
        done = b.call("families", path, "--drive", "front", "--csv", made)
        found["families"] += done.returncode in allowed
        if done.returncode == 0:
            if rows_only(made) != rows_only(reference):
                problems.append(f"families of {name} differ and are not refused")
        elif done.returncode not in allowed or any(bad in done.stderr for bad in FORBIDDEN):
            problems.append(f"families, {name}: exit {done.returncode} {done.stderr.strip()[:120]!r}")
        elif made.exists():
            problems.append(f"families, {name}: refused but left a file")
        made.unlink(missing_ok=True)
        done = b.call("show", path)
        found["show"] += done.returncode in allowed
        if done.returncode == 0 and done.stdout.replace(str(path), "RUN") != shown:
            problems.append(f"show of {name} differs and is not refused")
        elif done.returncode not in (0, *allowed):
            problems.append(f"show, {name}: exit {done.returncode} {done.stderr.strip()[:120]!r}")
    print(f"     {len(changes)} changes: refused by verify {found['verify']}, families {found['families']}, show {found['show']}")
    b.record("bits: changed, cut and added bytes are found", problems[:8])


def swapped(data):
    at = next(i for i in range(len(data) // 2, len(data)) if data[i] != data[i + 1])
    return data[:at] + bytes([data[at + 1], data[at]]) + data[at + 2:]
