"""Reads an invented run with h5py alone: every value, unit and dimension scale (h5py is the trusted partner).

check_with_h5py.py MAKER SCRATCH
"""
import json
import math
import os
import shutil
import subprocess
import sys

import h5py
import numpy as np

failures = []


def hold(condition, what):
    if not condition:
        failures.append(what)


def text(value):
    return value.decode("utf-8") if isinstance(value, bytes) else value


def texts(dataset):
    return [text(v) for v in dataset[()]]


def invented_sample(drive, capture, index):
    mixed = (index.astype(np.uint64) * 2654435761 + capture * 40503 + drive * 7) & 0xFFFFFFFF
    return mixed.astype(np.uint32).view(np.int32)


def invented_float(drive, capture, index):
    sample = invented_sample(drive, capture, index).astype(np.float64)
    return (np.trunc(sample / 65536) / 32768).astype(np.float32)


def check_every_dataset(name, item):
    if not isinstance(item, h5py.Dataset):
        return
    numeric = item.dtype.kind in "iuf"
    hold(item.dtype.names is None, f"{name}: is compound")
    hold(numeric or item.dtype.kind == "S", f"{name}: type {item.dtype}")
    units = item.attrs.get("units")
    hold(not numeric or (isinstance(units, str) and units != ""), f"{name}: has no units")
    hold(item.chunks is None and item.compression is None, f"{name}: is not contiguous")
    if h5py.h5ds.is_scale(item.id) or name == "drive_names":
        return
    for i, dim in enumerate(item.dims):
        hold(len(dim) == 1, f"{name}: dimension {i} has {len(dim)} scales")
        if len(dim) == 1:
            hold(dim[0].shape == (item.shape[i],), f"{name}: the scale of dimension {i} has another length")


def check_recordings(drive):
    hold(text(drive.attrs["form"]) == "recording", "form")
    hold(drive.attrs["sample_rate_hz"] == 48000.0, "rate")
    hold(drive.attrs["bits_per_sample"] == 24, "bits")
    hold(texts(drive["channel"]) == ["microphone", "loopback"], "channels")
    samples = drive["samples"]
    hold(samples.dtype == np.dtype("<i4") and samples.shape == (3, 2, 150), "samples' type and shape")
    hold(samples.attrs["full_scale"] == 2.0**31, "full scale")
    for capture in range(3):
        hold((samples[capture].ravel() == invented_sample(0, capture, np.arange(300))).all(), f"samples {capture}")
    hold([samples.dims[i][0].name.split("/")[-1] for i in range(3)] == ["id", "channel", "time"], "scales of samples")
    hold(np.allclose(drive["time"][()], np.arange(150) / 48000, rtol=0, atol=1e-12), "time")
    hold(text(drive["time"].attrs["units"]) == "s", "units of time")
    k = np.arange(100)
    hold((drive["excitation"][()] == (k * k % 101 - 50) / 64.0).all(), "excitation")


def check_captures(drive):
    hold(texts(drive["id"]) == ["front/horizontal:0/1", "front/horizontal:10/1", "front/vertical:-20/1"], "ids")
    hold(list(drive["azimuth_deg"]) == [0, 10, 0] and list(drive["elevation_deg"]) == [0, 0, -20], "directions")
    hold(texts(drive["orbit"]) == ["horizontal", "horizontal", "not stated"], "orbits")
    hold(texts(drive["stance"]) == ["upright", "upright", "on-side"], "stances")
    hold(texts(drive["state"]) == ["kept", "doubtful", "kept"], "states")
    hold(texts(drive["kind"]) == ["position", "axis-check", "position"], "kinds")
    hold(texts(drive["reason"])[1] == "a door was heard: \u00b5", "reason (UTF-8)")
    hold(list(drive["repeat"]) == [1, 2, 1] and list(drive["attempt"]) == [1, 3, 1], "repeats")
    expected = {"angle_deg": 10, "read_back_deg": 10.02, "table_deg": -10, "tilt_deg": 0.5, "tilt_read_back_deg": 0.48,
                "drift_db": -0.03, "drift_s": 1.5e-6, "distance_m": 2.0, "monotonic_s": 1234.5,
                "temperature_c": 21.5, "relative_humidity": 48.0, "pressure_kpa": 100.9, "clipped_samples": 4,
                "residue_db": -71.25, "loopback_delay_s": 0.0123, "arrival_s": 0.00583, "polarity": -1,
                "peak_pa": 1.5, "repeat_difference_db": 0.01}
    for name, value in expected.items():
        hold(drive[name][1] == value, name)
    hold(math.isnan(drive["temperature_c"][0]), "a temperature that is not stated")
    noise = drive["noise_db"]
    hold(noise.shape == (3, 10) and list(noise[1]) == [10.0 + i for i in range(10)], "noise")
    hold(text(noise.attrs["units"]) == "dB re 20 uPa", "units of noise")
    bands = noise.dims[1][0][()]
    hold(np.allclose(bands, 1000 * 10 ** (0.3 * np.arange(-5, 5)), rtol=1e-12), "octave bands")
    notes = json.loads(texts(drive["notes"])[1])
    hold(notes == [["remark", 'net, "tight"'], ["remark", ""], ["by", "K."]], "notes")


def check_others(run):
    rear = run["drives/rear"]
    hold(rear["samples"].dtype == np.dtype("<f4"), "type of impulse responses")
    hold((rear["samples"][0, 0] == invented_float(1, 0, np.arange(128))).all(), "impulse response")
    both = run["drives/front+rear"]
    hold(list(both["frequency"]) == [100, 1000, 10000], "frequencies")
    for capture in range(2):
        values = invented_float(2, capture, np.arange(6))
        hold((both["level"][capture] == values[:3]).all() and (both["phase"][capture] == values[3:]).all(), "text")
    hold(text(both["phase"].attrs["units"]) == "deg", "units of phase")


def check_capture_part(part):
    hold(text(part.attrs["format"]) == "volvelle run capture" and part.attrs["format_version"] == 2, "format of a part")
    hold(text(part.attrs["drive"]) == "front", "drive of a part")
    values = dict(zip(texts(part["number_name"]), part["number"][()]))
    units = dict(zip(texts(part["number_name"]), texts(part["number_units"])))
    words = dict(zip(texts(part["text_name"]), texts(part["text"])))
    hold(values["angle_deg"] == 5 and values["table_deg"] == -5 and values["distance_m"] == 2, "numbers of a part")
    hold(values["repeat"] == 1 and values["attempt"] == 1 and math.isnan(values["drift_db"]), "counts of a part")
    hold(units["table_deg"] == "deg" and units["drift_s"] == "s" and units["repeat"] == "1", "units of a part")
    hold(words["id"] == "front/horizontal:5/1" and words["state"] == "kept" and words["notes"] == "not stated",
         "texts of a part")
    hold(part["noise_db"].shape == (10,) and text(part["noise_db"].attrs["units"]) == "dB re 20 uPa", "noise of a part")
    samples = part["samples"]
    hold(samples.dtype == np.dtype("<f4") and samples.shape == (2, 50) and samples.attrs["full_scale"] == 1, "samples")
    hold((samples[()].ravel() == invented_float(0, 0, np.arange(100))).all(), "samples of a part")


def check_parts(folder):
    """The folder of a run under way; no scales there but in its head."""
    names = sorted(os.listdir(folder))
    hold(names == ["000001-capture.h5", "000002-capture.h5", "000003-capture.h5", "000004-capture.h5",
                    "000005-event.h5", "head.h5"], str(names))
    with h5py.File(os.path.join(folder, "head.h5"), "r") as head:
        hold(text(head.attrs["format"]) == "volvelle run head", "format of the head")
        front = head["drives/front"]
        hold(front.attrs["samples_per_channel"] == 50 and text(front.attrs["sample_type"]) == "float32", "head of a drive")
        k = np.arange(100)
        hold((front["excitation"][()] == (k * k % 101 - 50) / 64.0).all(), "excitation in the head")
        head.visititems(check_every_dataset)
    with h5py.File(os.path.join(folder, "000001-capture.h5"), "r") as part:
        check_capture_part(part)
    with h5py.File(os.path.join(folder, "000005-event.h5"), "r") as part:
        hold(text(part["event"][()]) == "event 3", "event")


def check_run(run):
    hold(text(run.attrs["format"]) == "volvelle run" and run.attrs["format_version"] == 2, "format")
    hold(text(run.attrs["time_zero"]) == "loopback", "time zero")
    hold(texts(run["drive_names"]) == ["front", "rear", "front+rear"], "drive names")
    calibration = run["calibration"]
    hold(calibration["pascal_per_full_scale"][()] == 12.5, "Pa per full scale")
    hold(text(calibration["pascal_per_full_scale"].attrs["units"]) == "Pa", "units of Pa per full scale")
    hold(calibration["volts_per_full_scale"][()] == 4.0, "V per full scale")
    hold(math.isnan(calibration["loopback_volts_per_full_scale"][()]), "loopback volts that are not stated")
    hold(list(calibration["microphone_level"]) == [-0.1, 0, 1.5], "microphone level")
    hold(run["conditions/distance_m"][()] == 2 and run["conditions/pressure_kpa"][()] == 101.325, "conditions")
    plan = run["plan"]
    hold(json.loads(text(plan["json"][()]))["unit"]["model"] == "Invented Two-Way", "plan")
    hold(text(plan.attrs["unit_model"]) == "Invented Two-Way" and plan.attrs["unit_size_m"] == 0.4, "plan's facts")
    hold(text(plan.attrs["purpose"]) == "not stated", "what is not stated")
    provenance = run["provenance"]
    hold(text(provenance["command_line"][()]) == "volvelle ingest manifest.csv", "command line")
    hold(texts(provenance["event"]) == ["begun", "an event without a time"], "events")


def main():
    maker, scratch = sys.argv[1:3]
    os.makedirs(scratch, exist_ok=True)
    path = os.path.join(scratch, "h5py.h5")
    if os.path.exists(path):
        os.remove(path)
    subprocess.run([maker, path], check=True)
    shutil.rmtree(os.path.join(scratch, "under-way.h5.part"), ignore_errors=True)
    subprocess.run([maker, "--under-way", os.path.join(scratch, "under-way.h5")], check=True)
    check_parts(os.path.join(scratch, "under-way.h5.part"))
    with h5py.File(path, "r") as run:
        count = [0]
        run.visititems(lambda name, item: (check_every_dataset(name, item), count.__setitem__(0, count[0] + 1))[0])
        hold(count[0] > 100, "hardly anything was visited")
        check_run(run)
        check_recordings(run["drives/front"])
        check_captures(run["drives/front"])
        check_others(run)
    for failure in failures:
        print("FAILED:", failure)
    print(f"{count[0]} objects visited, {len(failures)} failures")
    return 1 if failures else 0


sys.exit(main())
