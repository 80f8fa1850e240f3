"""Bad input end to end: exit code, one clear message, and an output folder that stays as it was.

    bad_input.py VOLVELLE [--only WORD] [--verbose]

Exit codes: 2 usage and option values, 4 bad input, 5 incomplete, 6 damaged, 7 cannot write or exists.
"""

import argparse
import hashlib
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from bench import Bench
from plans import try_plans
from sections import try_sections
from surroundings import try_bits, try_disks, try_kill, try_locale, try_long_run, try_names, try_screen, try_streams

from audio_files import write_audio, write_wav

# --- manifests ----------------------------------------------------------------------------------------------------------


def replaced(bench, line, column, value):
    """The good manifest with one cell (line 1 is the header) changed."""
    lines = list(bench.lines)
    cells = lines[line - 1].split(",")
    cells[column] = value
    lines[line - 1] = ",".join(cells)
    return "\n".join(lines) + "\n"


def try_manifests(bench):
    lines, b = bench.lines, bench
    text = "\n".join(lines) + "\n"

    def without(column):
        rows = [r.split(",") for r in lines]
        return "\n".join(",".join(c for i, c in enumerate(r) if i != column) for r in rows) + "\n"

    for index, column in enumerate(["file", "drive", "orbit", "angle_deg"]):
        b.ingest(f"manifest without {column}", 4, ["manifest.csv", column], without(index))
    b.ingest("manifest with a misspelt column", 4, ["manifest.csv", "angle_deg"], text.replace("angle_deg", "angel_deg", 1))
    b.ingest("manifest with a column twice", 4, ["manifest.csv", "drive"], text.replace("file,drive,", "drive,drive,", 1))
    b.ingest("manifest with both kinds of direction", 4, ["manifest.csv"],
             "\n".join(r + (",azimuth_deg,elevation_deg" if i == 0 else ",0,0") for i, r in enumerate(lines)) + "\n")
    for value in ("abc", "nan", "inf", "-inf", "1e999", "", "12;5", "0x10", "10 20", "1000", "--5", "٣"):
        b.ingest(f"angle {value!r}", 4, ["manifest.csv", "line 7", "angle_deg"], replaced(b, 7, 3, value))
    b.ingest("angle with a decimal comma", 4, ["line 7", "angle_deg"], replaced(b, 7, 3, '"12,5"'))
    for value in ("diagonal", ""):
        b.ingest(f"orbit {value!r}", 4, ["line 9", "orbit"], replaced(b, 9, 2, value))
    b.ingest("a cell too few", 4, ["line 5"], text.replace(lines[4], lines[4].rsplit(",", 1)[0], 1))
    b.ingest("a cell too many", 4, ["line 5"], text.replace(lines[4], lines[4] + ",x", 1))
    b.ingest("a quote that never ends", 4, ["line 5"], text.replace(lines[4], '"' + lines[4], 1))
    b.ingest("no file named", 4, ["line 6", "file"], replaced(b, 6, 0, ""))
    b.ingest("no drive named", 4, ["line 6", "drive"], replaced(b, 6, 1, ""))
    b.ingest("a drive that the plan does not know", 4, ["line 6", "side"], replaced(b, 6, 1, "side"))
    b.ingest("the same capture twice", 4, ["line 5", "line 74"], text.replace(lines[73], lines[4], 1))
    b.ingest("the same direction as 360 and 0", 4, ["line"], replaced(b, 2, 3, "360"))
    b.ingest("the same direction as -180 and 180", 4, ["line"], replaced(b, 2, 3, "-180"))
    b.ingest("manifest with semicolons", 4, ["line 1", "semicolons"], text.replace(",", ";"))
    b.ingest("manifest of no bytes", 4, ["manifest.csv", ("empty", "no ")], b"")
    b.ingest("manifest with a header only", 4, ["manifest.csv"], lines[0] + "\n")
    b.ingest("manifest of random bytes", 4, ["manifest.csv"], random.Random(5).randbytes(5000))
    b.ingest("manifest in UTF-16", 4, ["manifest.csv"], text.encode("utf-16"))
    b.ingest("manifest in Latin-1", 4, ["manifest.csv"], text.replace("front/h+010", "fr\xf6nt/h+010").encode("latin-1"))
    b.ingest("manifest with a zero byte", 4, ["manifest.csv"], text.encode()[:300] + b"\0" + text.encode()[300:])
    for value in ("0", "-1", "1.5", "x", "nan"):
        b.ingest(f"repeat {value}", 4, ["line 4", "repeat"],
                 "\n".join(r + ("," + ("repeat" if i == 0 else value if i == 3 else "1")) for i, r in enumerate(lines)) + "\n")
    b.ingest("stance sideways", 4, ["line 4", "stance"],
             "\n".join(r + ("," + ("stance" if i == 0 else "sideways" if i == 3 else "upright")) for i, r in enumerate(lines)) + "\n")
    cells = [r.split(",") for r in lines]
    azimuth = ["file,drive,azimuth_deg,elevation_deg"] + [f"{c[0]},{c[1]},{c[3]},0" for c in cells[1:20]]
    for value in ("95", "-91", "nan", "up"):
        bad = list(azimuth)
        bad[4] = bad[4].rsplit(",", 1)[0] + "," + value
        b.ingest(f"elevation {value}", 4, ["line 5", "elevation_deg"], "\n".join(bad) + "\n")
    b.refused("no manifest there", 4, ["nowhere.csv"], "ingest", b.root / "nowhere.csv", *b.options(b.good), "--out", "OUT/run.h5")
    b.refused("a folder as manifest", 4, ["good"], "ingest", b.good, *b.options(b.good), "--out", "OUT/run.h5")


# --- sound files --------------------------------------------------------------------------------------------------------


def try_sounds(bench):
    b = bench
    file = b.lines[10].split(",")[0]
    whole = (b.good / file).read_bytes()
    length = (len(whole) - 44) // 3
    noise = np.random.default_rng(3).standard_normal(length) * 0.05
    name = Path(file).name

    def wav(samples, rate=48000, bits=24):
        return lambda path: write_wav(path, samples, rate, bits)

    def spoilt(value):
        bad = noise.copy()
        bad[length // 2] = value
        return wav(bad, bits="float")

    b.ingest("a file missing", 4, [name, "line 11"], files={file: None})
    b.ingest("a file of no bytes", 4, [name], files={file: b""})
    b.ingest("a file cut in half", 4, [name], files={file: whole[:len(whole) // 2]})
    b.ingest("a file cut by one sample", 4, [name], files={file: whole[:-3]})
    b.ingest("a file cut in its header", 4, [name], files={file: whole[:30]})
    b.ingest("a file without samples", 4, [name], files={file: wav(noise[:0])})
    b.ingest("a file of random bytes", 4, [name], files={file: random.Random(1).randbytes(len(whole))})
    b.ingest("a silent file", 4, [name, ("silent", "silence")], files={file: wav(noise * 0)})
    b.ingest("a file with NaN", 4, [name], files={file: spoilt(np.nan)})
    b.ingest("a file with infinity", 4, [name], files={file: spoilt(np.inf)})
    b.ingest("a file of another rate", 4, [name, "44100"], files={file: wav(noise, 44100)})
    b.ingest("a longer file", 4, [name], files={file: wav(np.concatenate([noise, noise[:100]]))})
    b.ingest("a shorter file", 4, [name], files={file: wav(noise[:-100])})
    b.ingest("a folder instead of a file", 4, [name], files={file: lambda path: path.mkdir()})
    b.ingest("no second channel", 4, [("channel",), "2"], loopback_channel="2")
    b.ingest("no third channel", 4, [("channel",), "3"], folder=b.loop, loopback_channel="3")
    first = "front/h+000.wav"
    b.ingest("one file without the loopback channel", 4, ["h+000.wav", "channel"], folder=b.loop, loopback_channel="2",
             files={first: wav(noise)})
    b.ingest("a silent loopback channel", 4, ["h+000.wav", ("silent", "silence")], folder=b.loop, loopback_channel="2",
             files={first: wav(np.stack([noise, noise * 0], axis=-1))})
    b.ingest("excitation missing", 4, ["excitation.wav"], files={"excitation.wav": None})
    b.ingest("excitation silent", 4, ["excitation.wav", ("silent", "silence")], files={"excitation.wav": wav(noise * 0)})
    b.ingest("excitation of another rate", 4, [("excitation", name)], files={"excitation.wav": wav(noise, 96000)})
    b.ingest("excitation of random bytes", 4, ["excitation.wav"], files={"excitation.wav": random.Random(2).randbytes(9999)})
    b.ingest("excitation with NaN", 4, ["excitation.wav"], files={"excitation.wav": spoilt(np.nan)})
    b.ingest("excitation without samples", 4, ["excitation.wav"], files={"excitation.wav": wav(noise[:0])})
    flac = b.root / "cut.flac"
    write_audio(flac, noise, 48000, 24)
    body = flac.read_bytes()
    manifest = "\n".join(b.lines).replace(file, file[:-3] + "flac") + "\n"
    b.ingest("a FLAC file cut in half", 4, [name[:-3] + "flac"], manifest, files={file[:-3] + "flac": body[:len(body) // 2]})
    damaged = bytearray(body)
    damaged[len(body) // 2] ^= 0x55
    damaged[len(body) // 2 + 1] ^= 0xFF
    b.ingest("a damaged FLAC file", 4, [name[:-3] + "flac"], manifest, files={file[:-3] + "flac": bytes(damaged)})


def try_texts(b):
    """Responses that exist only as text."""
    good = "Hz dB deg\n100 80 -30\n200 81 -58\n400 80 -121\n"
    folder = b.root / "texts"
    folder.mkdir()
    for name in ("a.txt", "b.txt"):
        (folder / name).write_text(good)
    (folder / "manifest.csv").write_text("file,drive,orbit,angle_deg\na.txt,front,horizontal,0\nb.txt,front,horizontal,30\n")
    spoilt = {"missing": None, "empty": b"", "a heading only": b"Hz dB deg\n", "not a number": b"100 80 x\n200 81 0\n",
              "NaN": b"100 nan 0\n200 81 0\n", "infinite": b"100 1e999 0\n200 81 0\n", "falling": b"200 80 0\n100 81 0\n",
              "a frequency twice": b"100 80 0\n100 81 0\n", "negative frequency": b"-100 80 0\n100 81 0\n",
              "decimal commas": b"100,5 80,1 0\n200,5 81,2 0\n", "other frequencies": b"100 80 0\n300 81 0\n400 81 0\n",
              "a column too few": b"100 80 0\n200 81\n", "one column": b"100\n200\n", "random": random.Random(9).randbytes(4000),
              "sound": (b.good / b.lines[1].split(",")[0]).read_bytes()}
    for name, content in spoilt.items():
        b.ingest(f"text response: {name}", 4, ["b.txt"], folder=folder, files={"b.txt": content}, excitation=None, plan=None,
                 pascal_per_full_scale=None, volts_per_full_scale=None, text_responses=True)


# --- options, plan, recipe ----------------------------------------------------------------------------------------------


def try_options(bench):
    b = bench
    for option in ("distance_m", "pascal_per_full_scale", "volts_per_full_scale"):
        flag = "--" + option.replace("_", "-")
        for value in ("0", "-1", "nan", "inf", "x", "1,5", "", "1e400"):
            b.ingest(f"{flag} {value!r}", 2, [flag], **{option: value})
        b.ingest(f"{flag} not given", 2, [flag], **{option: None})
    for value in ("0", "-2", "nan"):
        b.ingest(f"--unit-size-m {value}", 2, ["--unit-size-m"], unit_size_m=value)
        b.ingest(f"--loopback-volts-per-full-scale {value}", 2, ["--loopback-volts-per-full-scale"], folder=b.loop,
                 loopback_channel="2", loopback_volts_per_full_scale=value)
    for value in ("0", "1", "-2", "2.5", "x"):
        b.ingest(f"--loopback-channel {value}", 2, ["--loopback-channel"], loopback_channel=value)
    for value in ("20,50", "20,50,nan", "20;50;101", "20,150,101.325", "-400,50,101", "20,50,101.325,1"):
        b.ingest(f"--air {value}", 2, ["--air"], air=value)
    b.ingest("--drive-quantity watts", 2, ["--drive-quantity"], drive_quantity="watts")
    for value in ("0", "-1", "x", "1e9"):
        b.ingest(f"--jobs {value}", 2, ["--jobs"], jobs=value)
    b.ingest("neither excitation nor impulses", 2, ["--excitation"], excitation=None)
    b.ingest("both excitation and impulses", 2, ["--impulse-responses"], impulse_responses=True)
    b.ingest("an unknown option", 2, ["--distanse-m"], distanse_m="2")
    b.refused("no subcommand", 2, ["--help"])
    b.refused("an unknown subcommand", 2, ["familys", "families"], "familys", b.run_file)
    for flag in ("unit_size_m", "plan", "microphone_response", "air", "jobs", "drive_quantity", "loopback_channel"):
        b.ingest(f"--{flag.replace('_', '-')} with nothing", 2, ["--" + flag.replace("_", "-"), "empty"], **{flag: ""})
    b.ingest("--loopback-channel without --excitation", 2, ["--loopback-channel"], excitation=None, impulse_responses=True,
             loopback_channel="2")
    b.ingest("--loopback-volts-per-full-scale without a channel", 2, ["--loopback-channel"], loopback_volts_per_full_scale="3")
    b.ingest("--text-drive-volts for recordings", 2, ["--text-drive-volts"], text_drive_volts="2.83")
    b.ingest("--pascal-per-full-scale for texts", 2, ["--pascal-per-full-scale"], excitation=None, text_responses=True)
    for value in ("65", "100000"):
        b.ingest(f"--jobs {value}", 2, ["--jobs", "64"], jobs=value)
    run = b.run_file
    b.refused("an option without its value", 2, ["--csv", "value"], "families", run, "--drive", "front", "--csv")
    b.refused("an option with = and nothing", 2, ["--jobs", "empty"], "families", run, "--drive", "front", "--jobs=", "--csv", "OUT/f.csv")
    b.refused("an option twice", 2, ["--drive", "once"], "families", run, "--drive", "front", "--drive", "rear", "--csv", "OUT/f.csv")
    b.refused("an option misspelt", 2, ["--recepi", "--recipe"], "families", run, "--drive", "front", "--recepi", "x.json")
    b.refused("a word too many", 2, ["extra"], "show", run, "extra")
    b.refused("a file that looks like an option", 2, ["./-f.csv"], "families", run, "--drive", "front", "--csv", "-f.csv")
    b.refused("control characters in a name", 4, ["a?b"], "show", "a\nb\x1b[31m.h5")
    plan = (b.good / "plan.json").read_text()
    for name, text, words in (("cut", plan[:-20], ["line"]), ("a comma too many", plan.replace("]", ",]", 1), ["line"]),
                              ("unknown key", plan.replace('"model"', '"modell"'), ["modell", "model"]),
                              ("axis 90", plan.replace('"axis_deg": 180', '"axis_deg": 90'), ["axis_deg"]),
                              ("number as text", plan.replace('"axis_deg": 180', '"axis_deg": "180"'), ["axis_deg"]),
                              ("an array", "[1, 2]", []), ("empty", "", []), ("NaN", '{"distance_m": NaN}', ["line"])):
        b.ingest(f"plan: {name}", 4, ["plan.json", *words], files={"bad-plan.json": text.encode()},
                 plan=str(b.root / f"in{b.count}" / "bad-plan.json"))
    b.ingest("plan missing", 4, ["nowhere.json"], plan="nowhere.json")
    for name, text in (("empty", ""), ("text", "frequency_hz,level_db\n20,x\n"), ("NaN", "frequency_hz,level_db\n20,nan\n30,1\n"),
                       ("falling", "frequency_hz,level_db\n200,0\n20,0\n"), ("negative", "frequency_hz,level_db\n-20,0\n20,0\n"),
                       ("other columns", "f,l\n20,0\n30,0\n")):
        b.ingest(f"microphone response: {name}", 4, ["mic.csv"], files={"mic.csv": text.encode()},
                 microphone_response=str(b.root / f"in{b.count}" / "mic.csv"))
    b.ingest("microphone response missing", 4, ["nomic.csv"], microphone_response="nomic.csv")
    try_recipes(b)


def try_recipes(b):
    recipes = {
        "unknown key": ('{"smothing": 3}', ["smothing", "smoothing"]),
        "not JSON": ("{", ["recipe"]), "empty": ("", ["recipe"]), "array": ("[]", ["recipe"]),
        "comma at the end": ('{"smoothing": 3,}', ["line 1"]), "NaN": ('{"smoothing": NaN}', ["line 1"]),
        "key twice": ('{"smoothing": 3, "smoothing": 6}', ["smoothing"]),
        "smoothing 5": ('{"smoothing": 5}', ["smoothing"]), "smoothing text": ('{"smoothing": "6"}', ["smoothing"]),
        "window backwards": ('{"window": {"start_ms": 5, "end_ms": 1}}', ["end_ms"]),
        "window far beyond": ('{"window": {"end_ms": 59000}}', ["window"]),
        "window among the harmonics": ('{"window": {"start_ms": -100}}', ["start_ms", "harmonic"]),
        "low window among the harmonics": ('{"low_window": {"start_ms": -900, "end_ms": 200}}', ["low_window", "harmonic"]),
        "window endless": ('{"window": {"end_ms": 1e300}}', ["end_ms"]),
        "fades too long": ('{"window": {"start_ms": 0, "end_ms": 10, "fade_in_ms": 8, "fade_out_ms": 8}}', ["fade"]),
        "low window shorter": ('{"window": {"end_ms": 100}, "low_window": {"end_ms": 50}}', ["low_window"]),
        "grid backwards": ('{"grid": {"low_hz": 2000, "high_hz": 20}}', ["_hz"]),
        "grid beyond half the rate": ('{"grid": {"high_hz": 90000}}', ["grid"]),
        "negative frequency": ('{"grid": {"low_hz": -20}}', ["low_hz"]),
        "zero per octave": ('{"grid": {"per_octave": 0}}', ["per_octave"]),
        "axis 45": ('{"axis_deg": 45}', ["axis_deg"]),
        "other weights": ('{"power_weights": "equal"}', ["power_weights"]),
        "deep nesting": ("[" * 100000, ["recipe"]),
    }
    for name, (text, words) in recipes.items():
        path = b.root / "recipe.json"
        path.write_text(text)
        b.refused(f"recipe: {name}", 4, [*words, "recipe.json"], "families", b.run_file, "--drive", "front", "--recipe", path, "--csv", "OUT/f.csv")
    b.refused("recipe: missing", 4, ["norecipe.json"], "families", b.run_file, "--drive", "front", "--recipe", "norecipe.json",
              "--csv", "OUT/f.csv")


# --- runs and outputs ---------------------------------------------------------------------------------------------------


def try_commands(bench):
    b, run = bench, bench.run_file
    b.refused("families of an unknown drive", 2, ["side", "front", "rear"], "families", run, "--drive", "side", "--csv", "OUT/f.csv")
    b.refused("families without a drive", 2, ["--drive"], "families", run, "--csv", "OUT/f.csv")
    b.refused("responses of an unknown drive", 2, ["side", "front"], "responses", run, "--drive", "side", "--csv", "OUT/r.csv")
    for value in ("horizontal", "horizontal:x", "diagonal:50", "horizontal:nan", "vertical:5000", "azimuth:30", "horizontal:55"):
        b.refused(f"responses at {value}", 2, [value.split(":")[0]], "responses", run, "--drive", "front", "--position", value,
                  "--csv", "OUT/r.csv")
    b.refused("figure of an unknown kind", 2, ["pie"], "figure", run, "--kind", "pie", "--drive", "front", "--svg", "OUT/f.svg")
    b.refused("figure without output", 2, ["--svg"], "figure", run, "--kind", "family", "--drive", "front")
    for command in (["show"], ["verify"], ["families", "--drive", "front", "--csv", "OUT/f.csv"],
                    ["responses", "--drive", "front", "--csv", "OUT/r.csv"],
                    ["figure", "--kind", "family", "--drive", "front", "--svg", "OUT/f.svg"]):
        first, rest = command[0], command[1:]
        b.refused(f"{first}: no run there", 4, ["nowhere.h5"], first, "nowhere.h5", *rest)
        b.refused(f"{first}: a folder as run", 4, ["good"], first, b.good, *rest)
        for name, content in (("no bytes", b""), ("text", b"hello\n" * 2000), ("random", random.Random(7).randbytes(200000)),
                              ("zeros", bytes(100000)), ("HDF5 without a seal", plain_hdf5(b))):
            path = b.root / "not-a-run.h5"
            path.write_bytes(content)
            b.refused(f"{first}: {name}", (4, 6), ["not-a-run.h5"], first, path, *rest)
    newer = bytearray(run.read_bytes())
    newer[16:20] = (99).to_bytes(4, "little")  # the version of the format
    length = int.from_bytes(newer[32:36], "little")  # of the seal, which its own checksum ends
    newer[length - 32:length] = hashlib.sha256(newer[:length - 32]).digest()
    (b.root / "newer.h5").write_bytes(newer)
    for command in ("show", "verify", "families"):
        rest = ["--drive", "front", "--csv", "OUT/f.csv"] if command == "families" else []
        b.refused(f"{command}: a run of a newer version", 4, ["newer.h5", "newer version"], command, b.root / "newer.h5", *rest)
    for jobs in ("0", "-1", "x"):
        b.refused(f"families --jobs {jobs}", 2, ["--jobs"], "families", run, "--drive", "front", "--csv", "OUT/f.csv", "--jobs", jobs)


def plain_hdf5(bench):
    import h5py

    path = bench.root / "plain.h5"
    with h5py.File(path, "w") as file:
        file["x"] = np.arange(1000.0)
    return path.read_bytes()


def try_outputs(bench):
    b, run = bench, bench.run_file

    def occupied(name):
        return lambda out: (out / name).write_text("mine\n")

    b.ingest("ingest onto a file that exists", 7, ["run.h5", "exist"], prepare=occupied("run.h5"))
    b.ingest("ingest onto a folder", 7, ["run.h5"], prepare=lambda out: (out / "run.h5").mkdir())
    for command, option, name in (("families", "--csv", "f.csv"), ("families", "--svg", "f.svg"), ("families", "--png", "f.png"),
                                  ("families", "--json", "f.json"), ("responses", "--csv", "r.csv")):
        b.refused(f"{command} {option} onto a file that exists", 7, [name, "exist"], command, run, "--drive", "front", option,
                  f"OUT/{name}", prepare=occupied(name))
        b.refused(f"{command} {option} into no folder", 7, [name], command, run, "--drive", "front", option, f"OUT/none/{name}")
        b.refused(f"{command} {option} onto the run", 7, ["good.h5"], command, run, "--drive", "front", option, run, protect=run)
    for option in ("--csv", "--svg", "--png", "--json"):
        b.refused(f"families {option} --force onto the run", 7, ["good.h5"], "families", run, "--drive", "front", option, run,
                  "--force", protect=run)
    for option, name in (("--png", "f.jpg"), ("--png", "f.svg"), ("--svg", "f.PNG"), ("--csv", "f.json"), ("--json", "f.csv")):
        b.refused(f"families {option} {name}", 2, [option, name, "." + option[2:]], "families", run, "--drive", "front", option, f"OUT/{name}")
    b.refused("responses --csv r.png", 2, ["--csv", "r.png"], "responses", run, "--drive", "front", "--csv", "OUT/r.png")
    b.refused("figure --svg f.pdf", 2, ["--svg", "f.pdf"], "figure", run, "--kind", "map", "--drive", "front", "--svg", "OUT/f.pdf")
    b.refused("demo onto a folder that exists", 7, ["mine", "exist"], "demo", "--out", "OUT/mine",
              prepare=lambda out: (out / "mine").mkdir())
    b.refused("demo onto a file that exists", 7, ["neighbour.txt", "exist"], "demo", "--out", "OUT/neighbour.txt")
    b.refused("demo into no folder", 7, ["none"], "demo", "--out", "OUT/none/demo")
    b.refused("families --csv onto a full device", 7, ["/dev/full"], "families", run, "--drive", "front", "--csv", "/dev/full")
    b.refused("figure onto a file that exists", 7, ["f.svg", "exist"], "figure", run, "--kind", "family", "--drive", "front",
              "--svg", "OUT/f.svg", prepare=occupied("f.svg"))
    b.refused("ingest into no folder", (4, 7), ["none"], "ingest", b.good / "manifest.csv", *b.options(b.good), "--out", "OUT/none/run.h5")
    b.refused("one good output and one that exists", 7, ["f.svg"], "families", run, "--drive", "front", "--csv", "OUT/f.csv",
              "--svg", "OUT/f.svg", prepare=occupied("f.svg"))


def try_incomplete(b):
    """Missing positions: a sparse family is made, with --complete it is refused."""
    lines = [r for r in b.lines if "horizontal,90" not in r]
    (b.good / "sparse.csv").write_text("\n".join(lines) + "\n")
    sparse = b.root / "sparse.h5"
    done = b.call("ingest", b.good / "sparse.csv", *b.options(b.good), "--out", sparse)
    if done.returncode != 0:
        return b.record("a sparse run is accepted", [f"exit {done.returncode}", done.stderr[:200]])
    b.refused("families --complete of a sparse run", 5, ["horizontal:90"], "families", sparse, "--drive", "front", "--complete",
              "--csv", "OUT/f.csv")
    out = b.output()
    done = b.call("families", sparse, "--drive", "front", "--csv", out / "f.csv")
    problems = [] if done.returncode == 0 else [f"exit {done.returncode}: {done.stderr[:200]}"]
    if not problems:
        text = (out / "f.csv").read_text().splitlines()
        header = next(r for r in text if not r.startswith("#")).split(",")
        rows = [dict(zip(header, r.split(","))) for r in text if not r.startswith("#") and not r.startswith("frequency_hz")]
        empty = ["rear_wall_bounce_db", "early_reflections_db", "sound_power_db", "estimated_in_room_db", "sound_power_di_db"]
        problems += [f"{c} is not empty" for c in empty if any(r[c] for r in rows)]
        problems += [f"{c} is empty" for c in ("on_axis_db", "listening_window_db", "side_wall_bounce_db") if not rows[99][c]]
        if not any(r.startswith("#") and "horizontal:90" in r for r in text):
            problems.append("no # line names horizontal:90")
    b.record("a sparse family leaves cells empty and says why", problems)


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("volvelle", type=Path)
    parser.add_argument("--only", help="cases whose name holds this word")
    parser.add_argument("--verbose", action="store_true")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="bad-input-") as temporary:
        bench = Bench(options.volvelle.resolve(), Path(temporary), options.verbose, options.only)
        for part in (try_plans, try_manifests, try_sounds, try_texts, try_options, try_commands, try_outputs, try_incomplete, try_sections, try_disks, try_streams, try_names,
                     try_locale, try_screen, try_long_run, try_bits, try_kill):
            try:
                part(bench)
            except subprocess.TimeoutExpired as late:
                bench.record(part.__name__, [f"hangs: {late.cmd[:6]}"])
    for name in bench.skipped:
        print("SKIPPED", name)
    print(f"{bench.passed} passed, {len(bench.failed)} failed")
    return 1 if bench.failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
