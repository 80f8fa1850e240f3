"""Plans end to end: what `plan check` refuses, what it says of a good one, and that `plan new` leads to one."""

import json
import re


def complete():
    """A plan that can be carried out."""
    return {
        "distance_m": 2,
        "unit": {"drive_quantity": "terminal-volts", "size_m": 0.4, "sections": [
            {"name": "front", "output_channels": [1], "band_hz": [40, 20000], "voltage_limit_v": 10},
            {"name": "rear", "output_channels": [2], "band_hz": [60, 20000], "voltage_limit_v": 5}]},
        "drives": [{"sections": ["front"]}, {"sections": ["rear"], "axis_deg": 180}, {"sections": ["front", "rear"]}],
        "angles": {"set": "two-orbits-10"}, "table": {"settle_s": 0.5}, "audio": {"sample_rate_hz": 48000},
        "conduct": {"axis_check_every": 18}, "calibration": {"pascal_per_full_scale": 20, "volts_per_full_scale": 10}}


GONE = object()

# (pointer, value, words of the message)
BAD_VALUES = [
    ("distance_m", GONE, ["/distance_m is missing"]), ("distance_m", 0, ["/distance_m"]), ("distance_m", "2", ["/distance_m"]),
    ("distance_m", -1, ["/distance_m"]), ("distance_m", 1e9, ["/distance_m"]), ("distance_m", None, ["/distance_m"]),
    ("distence_m", 2, ["distence_m", "distance_m"]),
    ("unit/sections/0/band_hz", GONE, ["/unit/sections/0/band_hz"]),
    ("unit/sections/0/band_hz", [2000, 20], ["/unit/sections/0/band_hz"]),
    ("unit/sections/0/band_hz", [0, 20], ["/unit/sections/0/band_hz"]),
    ("unit/sections/0/voltage_limit_v", GONE, ["/unit/sections/0/voltage_limit_v"]),
    ("unit/sections/0/output_channels", GONE, ["/unit/sections/0/output_channels", "front"]),
    ("unit/sections/0/output_channels", [2], ["/unit/sections/1/output_channels", "channel 2", "front"]),
    ("unit/sections/0/output_channels", [0], ["/unit/sections/0/output_channels"]),
    ("unit/sections/0/name", "a b", ["/unit/sections/0/name"]), ("unit/sections/0/gain_db", 61, ["gain_db"]),
    ("unit/sections/0/polarity", "reversd", ["polarity", "reversed"]),
    ("unit/reference_point_from_axis_m", [3, 0, 0], ["reference point", "3 m"]),
    ("unit/reference_point_from_axis_m", [0, 0], ["reference_point_from_axis_m"]),
    ("unit/drive_quantity", "watts", ["drive_quantity"]),
    ("unit/sections", GONE, ["section"]), ("drives", GONE, ["/drives"]), ("drives", [], ["/drives"]),
    ("drives/0/sections", ["frnt"], ["/drives/0/sections", "front"]), ("drives/1/axis_deg", 90, ["/drives/1/axis_deg"]),
    ("drives/2/sections", ["front"], ["second drive"]),
    ("drives/0/sweep", {"start_hz": 20}, ["/drives/0/sweep/start_hz", "band of section front"]),
    ("drives/2/sweep", {"start_hz": 50}, ["/drives/2/sweep/start_hz", "band of section rear"]),
    ("drives/0/sweep", {"end_hz": 21000}, ["/drives/0/sweep/end_hz"]),
    ("drives/0/sweep", {"start_hz": 500, "end_hz": 400}, ["/drives/0/sweep/end_hz"]),
    ("drives/0/sweep", {"peak_v": 10.5}, ["/drives/0/sweep/peak_v"]), ("drives/1/sweep", {"peak_v": 6}, ["/drives/1/sweep/peak_v", "rear"]),
    ("drives/0/sweep", {"duration_s": 0}, ["/drives/0/sweep/duration_s"]),
    ("drives/0/sweep", {"duration": 3}, ["duration", "duration_s"]),
    ("angles", GONE, ["/angles/set is missing", "two-orbits-10"]), ("angles/set", "two-orbits-12", ["/angles/set", "two-orbits-10"]),
    ("angles/set", "sphere-10", ["/angles/set", "tilt"]), ("angles/set", "horizontal-7", ["/angles/set", "180"]),
    ("angles/set", "", ["/angles/set"]), ("angles/order", "random", ["/angles/order"]), ("angles/file", "x.csv", ["/angles/file"]),
    ("angles", {"file": "none.csv"}, ["none.csv"]),
    ("table/limits_deg", [-90, 90], ["/table", "horizontal"]), ("table/limits_deg", [10, 300], ["/table/limits_deg"]),
    ("table/limits_deg", [180, -180], ["/table/limits_deg"]), ("table/counts", "left", ["/table/counts"]),
    ("table/lies_on", "back", ["/table/lies_on"]), ("table/has_tilt", 1, ["/table/has_tilt"]), ("table/settle_s", -1, ["/table/settle_s"]),
    ("audio/sample_rate_hz", 30000, ["/drives/0/sweep/end_hz"]), ("audio/sample_rate_hz", 100, ["/audio/sample_rate_hz"]),
    ("audio/loopback_input", 1, ["/audio/loopback_input"]), ("audio/loopback_output", 2, ["channel 2"]),
    ("audio/microphone_input", 0, ["/audio/microphone_input"]), ("audio/decay_s", 61, ["/audio/decay_s"]),
    ("conduct/repeats", 0, ["/conduct/repeats"]), ("conduct/repeats", 1.5, ["/conduct/repeats"]), ("conduct/attempts", 0, ["/conduct/attempts"]),
    ("conduct/axis_check_every", -1, ["/conduct/axis_check_every"]), ("conduct/warm_up_s", -1, ["/conduct/warm_up_s"]),
    ("conduct/level_limit_db", 300, ["/conduct/level_limit_db"]), ("conduct/noise_limit_db", "low", ["/conduct/noise_limit_db"]),
    ("calibration/pascal_per_full_scale", GONE, ["pascal_per_full_scale"]), ("calibration/volts_per_full_scale", GONE, ["volts_per_full_scale"]),
    ("calibration/instruments", [{"calibrated_on": "yesterday"}], ["calibrated_on"]), ("air", {"temperature_c": 99}, ["/air/temperature_c"]),
    ("measured_on", "2026-02-30", ["/measured_on"]), ("simulation", [], ["/simulation"]), ("simulation", {"drivrs": []}, ["simulation"]),
    ("simulation", {}, ["/simulation"]),
]


def changed(pointer, value):
    plan = complete()
    parts = [int(p) if p.isdigit() else p for p in pointer.split("/")]
    where = plan
    for part in parts[:-1]:
        where = where[part]
    if value is GONE:
        del where[parts[-1]]
    else:
        where[parts[-1]] = value
    return plan


def try_values(b):
    for pointer, value, words in BAD_VALUES:
        shown = "gone" if value is GONE else json.dumps(value)
        plan = changed(pointer, value)
        if pointer == "audio/sample_rate_hz" and value == 30000:  # what follows from the rate keeps below half of it
            plan["drives"][0]["sweep"] = {"end_hz": 16000}
        (b.root / "plan.json").write_text(json.dumps(plan))
        b.refused(f"plan check: {pointer} = {shown}", 4, words, "plan", "check", b.root / "plan.json")


def try_texts(b):
    good = json.dumps(complete(), indent=1)
    texts = {"cut": (good[:-20], ["line"]), "comma at the end": (good.replace('"distance_m": 2', '"distance_m": 2,', 1), ["line"]),
             "empty": ("", []), "a list": ("[]", []), "NaN": (good.replace('"distance_m": 2', '"distance_m": NaN'), ["line"]),
             "a key twice": (good.replace('"distance_m": 2', '"distance_m": 2, "distance_m": 3'), ["distance_m"]),
             "decimal comma": (good.replace('"distance_m": 2', '"distance_m": 2,5'), ["line"]),
             "single quotes": (good.replace('"', "'"), ["line 2"]), "deep": ('{"simulation":' + '{"a":' * 100 + "1" + "}" * 101, ["deep"])}
    for name, (text, words) in texts.items():
        (b.root / "plan.json").write_text(text)
        b.refused(f"plan check: {name}", 4, ["plan.json", *words], "plan", "check", b.root / "plan.json")
    (b.root / "plan.json").write_bytes(good.encode("utf-16"))
    b.refused("plan check: UTF-16", 4, ["plan.json"], "plan", "check", b.root / "plan.json")
    b.refused("plan check: missing", 4, ["noplan.json"], "plan", "check", "noplan.json")
    b.refused("plan check: a folder", 4, ["good"], "plan", "check", b.good)
    for name, text, words in (("twice", "orbit,angle_deg\nhorizontal,0\nhorizontal,360\n", ["line 3", "line 2"]),
                              ("off the orbits", "azimuth_deg,elevation_deg\n10,20\n", ["line 2", "tilt"]),
                              ("no rows", "orbit,angle_deg\n", ["positions"]), ("a bad angle", "orbit,angle_deg\nhorizontal,x\n", ["line 2"]),
                              ("a bad weight", "orbit,angle_deg,weight\nhorizontal,0,-1\n", ["line 2", "weight"])):
        (b.root / "angles.csv").write_text(text)
        (b.root / "plan.json").write_text(json.dumps({**complete(), "angles": {"file": "angles.csv"}}))
        b.refused(f"plan check: angles of a file: {name}", 4, ["angles.csv", *words], "plan", "check", b.root / "plan.json")


def try_options(b):
    b.refused("plan alone", 2, ["volvelle plan --help"], "plan")
    b.refused("plan: an unknown word", 2, ["chek", "check"], "plan", "chek")
    b.refused("plan check without a plan", 2, ["PLAN.json"], "plan", "check")
    b.refused("plan check: an unknown option", 2, ["--quite"], "plan", "check", "p.json", "--quite")
    b.refused("plan check: an empty option", 2, ["--out"], "plan", "check", "p.json", "--out=")
    b.refused("plan check: a word too many", 2, ["volvelle plan check --help"], "plan", "check", "p.json", "q.json")
    for value in ("two-orbit-10", "sphere-7", "horizontal-7", "cube"):
        b.refused(f"plan new --angles {value}", 2, [value], "plan", "new", "--angles", value, "--out", "OUT/p.json")
    for value in ("a b", "front,front", ",", "front,", "a.b", "a+b"):
        b.refused(f"plan new --sections {value}", 2, ["--sections"], "plan", "new", "--sections", value, "--out", "OUT/p.json")
    b.refused("plan new onto a file that exists", 7, ["neighbour.txt", "exist"], "plan", "new", "--out", "OUT/neighbour.txt")
    b.refused("plan new into no folder", 7, ["none"], "plan", "new", "--out", "OUT/none/p.json")


def judge_survey(b, name, path, words):
    done = b.call("plan", "check", path)
    problems = [] if done.returncode == 0 else [f"exit {done.returncode}: {done.stderr[:200]}"]
    text = " ".join(done.stdout.split())
    problems += [f"lacks {word!r}" for word in words if word not in text]
    problems += [f"a line of {len(line)} columns" for line in done.stdout.splitlines() if len(line) > 80][:1]
    b.record(name, problems)
    return text


def filled(text):
    """A new plan's blanks with values; only where their lines are no comments any more."""
    for key, value in (("distance_m", "2"), ("voltage_limit_v", "5"), ("pascal_per_full_scale", "20"), ("volts_per_full_scale", "10")):
        text = text.replace(f'"{key}": ,', f'"{key}": {value},')
    return text.replace('"band_hz": [ , ]', '"band_hz": [50, 20000]')


def try_new_plans(b):
    """Each new plan says what it lacks, and can be carried out once the marked lines are completed."""
    cases = {"default": [], "two sections": ["--sections", "front,rear", "--unit", 'Invented "Lantern"'],
             "sphere": ["--angles", "sphere-10"], "tilt": ["--tilt"], "5 degrees": ["--angles", "two-orbits-5"],
             "horizontal": ["--angles", "horizontal-30"], "on the axis": ["--angles", "on-axis"]}
    positions = {"sphere": "614 positions in 614", "tilt": "70 positions in 70", "5 degrees": "144 positions in 142",
                 "horizontal": "12 positions in 12", "on the axis": "1 position in 1"}
    for name, options in cases.items():
        path = b.root / f"new-{name.replace(' ', '-')}.json"
        done = b.call("plan", "new", *options, "--out", path)
        if done.returncode != 0:
            b.record(f"plan new: {name}", [f"exit {done.returncode}: {done.stderr[:200]}"])
            continue
        b.refused(f"plan new: {name}, as written", 4, ["/distance_m is missing", "faults"], "plan", "check", path)
        printed = b.call("plan", "new", *options).stdout
        b.record(f"plan new: {name}, printed and written alike", [] if printed == path.read_text() else ["differ"])
        for what, mark in (("the needed", r"// FILL IN "), ("everything", r"// (FILL IN|state:) ")):
            done_path = b.root / f"done-{path.name}"
            done_path.write_text(filled(re.sub(mark, "", printed)))
            words = [positions.get(name, "72 positions in 70 directions, 36 with the unit on its left side")]
            text = judge_survey(b, f"plan new: {name}, {what} filled in", done_path, words)
            if (what == "everything") == ("Not stated" in text):
                b.record(f"plan new: {name}, {what} filled in: what is not stated", [text[-300:]])


def try_good(b):
    path = b.root / "plan.json"
    path.write_text(json.dumps(complete()))
    judge_survey(b, "plan check of a good plan", path,
                 ["is complete", "72 positions in 70 directions", "216, further 18 checks on the axis and 6 first sweeps",
                  "rear: 60 Hz to 20000 Hz", "peak 5 V, -6.0 dB re full scale", "its axis is 180°", "far-field conditions hold up to about",
                  "two people or a hoist", "Local codes and licensed practice come first"])
    path.write_text(json.dumps({**complete(), "distance_m": 1}))
    judge_survey(b, "plan check of a microphone too near", path, ["NEARER than three times the unit's size of 0.4 m"])
    (b.root / "angles.csv").write_text("orbit,angle_deg\nhorizontal,0\nhorizontal,90\nvertical,90\n")
    path.write_text(json.dumps({**complete(), "angles": {"file": "angles.csv"}}))
    judge_survey(b, "plan check of angles in a file", path, ["3 positions in 3 directions, 1 with the unit on its left side"])


def try_plans(b):
    try_values(b)
    try_texts(b)
    try_options(b)
    try_new_plans(b)
    try_good(b)
