"""Sums of sections and comparisons of runs end to end: what `sections` and `compare` refuse, and that they do their work."""


def three_drives(bench, folder, name, **options):
    """A run in which the recordings of one drive stand for front, rear and both together."""
    rows = [row.split(",") for row in (folder / "manifest.csv").read_text().splitlines()]
    front = [row for row in rows[1:] if row[1] == "front"]
    lines = [",".join(rows[0])] + [",".join([row[0], drive, *row[2:]]) for drive in ("front", "rear", "front+rear") for row in front]
    manifest = folder / f"{name}.csv"
    manifest.write_text("\n".join(lines) + "\n")
    run = bench.root / f"{name}.h5"
    done = bench.call("ingest", manifest, *bench.options(folder, plan=None, **options), "--out", run)
    if done.returncode != 0:
        bench.record(f"a run of three drives, {name}, is taken in", [f"exit {done.returncode}", done.stderr[:300]])
        return None
    return run


BAD_SETTINGS = [
    ("side.gain=1dB", ["side", "front, rear"]), ("raer.gain=1dB", ["raer", "Did you mean 'rear'"]),
    ("rear.gian=1dB", ["gian", "gain"]), ("rear", ["--set", "no setting"]), ("rear.gain", ["--set", "no setting"]), ("=", ["--set"]),
    ("rear.gain=", ["--set", "gain"]), ("rear.gain=2", ["gain", "unit"]), ("rear.gain=xdB", ["gain", "unit"]),
    ("rear.gain=nandB", ["gain", "unit"]), ("rear.gain=1,5dB", ["gain", "unit"]), ("rear.gain=500dB", ["gain", "range", "100 dB"]),
    ("rear.delay=0.3", ["delay", "unit"]), ("rear.delay=0.3min", ["delay", "unit"]), ("rear.delay=2s", ["delay", "range", "1 s"]),
    ("rear.delay=1e999ms", ["delay", "unit"]), ("rear.polarity=minus", ["polarity", "normal or reversed"]),
    ("rear.polarity=", ["polarity", "normal or reversed"]), ("rear.gain=\x1b[31m1dB", ["gain"]),
]


def try_sections(bench):
    b = bench
    loop = three_drives(b, b.loop, "three-loop", loopback_channel="2")
    plain = three_drives(b, b.good, "three-plain")
    if loop is None or plain is None:
        return
    for text, words in BAD_SETTINGS:
        b.refused(f"sections --set {text!r}", 2, words, "sections", loop, "--set", text, "--csv", "OUT/s.csv")
    b.refused("sections: a setting twice", 2, ["rear.gain=2dB", "twice"], "sections", loop, "--set", "rear.gain=1dB", "--set",
              "rear.gain=2dB", "--csv", "OUT/s.csv")
    b.refused("sections: --set with nothing", 2, ["--set"], "sections", loop, "--csv", "OUT/s.csv", "--set")
    b.refused("sections of a run without a combined drive", 4, ["good.h5", "front, rear", "together"], "sections", b.run_file, "--csv", "OUT/s.csv")
    b.refused("sections of an unknown drive", 2, ["side", "front+rear"], "sections", loop, "--drive", "side", "--csv", "OUT/s.csv")
    b.refused("sections of a section alone", 2, ["rear", "alone"], "sections", loop, "--drive", "rear", "--csv", "OUT/s.csv")
    b.refused("sections without a common time zero", 4, ["three-plain.h5", "loopback", "--time-zero-is-common"], "sections", plain,
              "--csv", "OUT/s.csv")
    for option, name in (("--csv", "s.csv"), ("--svg", "s.svg"), ("--png", "s.png"), ("--map-svg", "m.svg"), ("--map-png", "m.png")):
        b.refused(f"sections {option} onto a file that exists", 7, [name, "exist"], "sections", loop, option, f"OUT/{name}",
                  prepare=lambda out, name=name: (out / name).write_text("mine\n"))
    b.refused("sections --map-svg to a PNG", 2, ["--map-svg", "m.png", ".svg"], "sections", loop, "--map-svg", "OUT/m.png")
    b.refused("sections into no folder", 7, ["none"], "sections", loop, "--csv", "OUT/none/s.csv")
    b.refused("sections --csv onto the run", (2, 7), ["three-loop.h5"], "sections", loop, "--csv", loop, protect=loop)
    b.refused("sections: no run there", 4, ["nowhere.h5"], "sections", "nowhere.h5", "--csv", "OUT/s.csv")
    accept(b, "sections of a run with a loopback", "sections", loop, "--set", "rear.gain=-2dB", "rear.delay=300us", "--csv", "OUT/s.csv")
    accept(b, "sections that somebody vouches for", "sections", plain, "--time-zero-is-common", "--csv", "OUT/s.csv")
    try_comparison(b, loop, plain)


def accept(bench, name, *arguments):
    """A command that does its work, within 80 columns."""
    if not bench.wanted(name):
        return
    out = bench.output()
    done = bench.call(*[str(a).replace("OUT", str(out)) for a in arguments])
    long = [line for line in done.stdout.splitlines() if len(line) > 80 and str(bench.root) not in line]
    bench.record(name, ([] if done.returncode == 0 and not done.stderr else [f"exit {done.returncode}: {done.stderr[:300]}"]) +
                 [f"longer than 80: {line!r}" for line in long[:2]])


def try_comparison(b, loop, plain):
    run = b.run_file
    b.refused("compare nothing", 2, ["RUN.h5"], "compare")
    b.refused("compare one run", 2, ["nothing to compare"], "compare", run, "--drive", "front")
    b.refused("compare without a drive among several", 2, ["front, rear", "--drive"], "compare", run, plain)
    b.refused("compare a drive that one run lacks", 2, ["good.h5", "front+rear"], "compare", loop, run, "--drive", "front+rear",
              "--csv", "OUT/c.csv")
    b.refused("compare an unknown drive", 2, ["side", "three-loop.h5"], "compare", loop, run, "--drive", "side")
    b.refused("compare: no run there", 4, ["nowhere.h5"], "compare", run, "nowhere.h5", "--drive", "front")
    b.refused("compare onto a file that exists", 7, ["c.csv", "exist"], "compare", run, plain, "--drive", "front", "--csv", "OUT/c.csv",
              prepare=lambda out: (out / "c.csv").write_text("mine\n"))
    b.refused("compare onto one of its runs", (2, 7), ["good.h5"], "compare", run, plain, "--drive", "front", "--csv", run, protect=run)
    b.refused("draw too many runs", 2, ["7 runs", "at most 6"], "compare", *[run] * 7, "--drive", "front", "--svg", "OUT/c.svg")
    b.refused("compare too many runs", 2, ["too many", "26"], "compare", *[run] * 27, "--drive", "front")
    accept(b, "compare two runs", "compare", run, plain, "--drive", "front", "--level-aligned", "--csv", "OUT/c.csv", "--svg", "OUT/c.svg")
