"""Reading of a sealed run for scipy_families.py: the numbers in the head of a table, and rows held against the seal's digests."""

import hashlib
import json
import os
import re
import struct
from dataclasses import dataclass
from pathlib import Path

import h5py
import numpy as np

# --- the recipe in force, from the head of a table ---------------------------------------------------------------------


@dataclass
class Given:
    """Numbers that both sides use."""

    recipe: dict
    excited: tuple


def given_by(table):
    head = [line[2:] for line in Path(table).read_text(encoding="utf-8").splitlines() if line.startswith("# ")]
    recipe = next(line[len("recipe: "):] for line in head if line.startswith("recipe: "))
    excited = next(re.search(r"excited ([\d.]+) Hz to ([\d.]+) Hz", line) for line in head if line.startswith("limits: "))
    return Given(json.loads(recipe), tuple(float(v) for v in excited.groups()))


# --- the file ----------------------------------------------------------------------------------------------------------


class Seal:
    """The digests of a run file, and reading against them."""

    def __init__(self, path):
        self.file = os.open(path, os.O_RDONLY)
        head = os.pread(self.file, 1 << 16, 0)
        length, count = struct.unpack_from("<II", head, 32)
        if length > len(head):
            head = os.pread(self.file, length, 0)
        if hashlib.sha256(head[:length - 32]).digest() != head[length - 32:length]:
            raise ValueError("damaged seal")
        self.entries, at = {}, 40
        for _ in range(count):
            kind, size = struct.unpack_from("<BH", head, at)
            name = head[at + 3:at + 3 + size].decode()
            at += 3 + size
            offset, row, rows = struct.unpack_from("<QQI", head, at)
            digests = [head[at + 20 + 32 * i:at + 52 + 32 * i] for i in range(rows)]
            self.entries[name] = (kind, offset, row, digests)
            at += 20 + 32 * rows

    def read(self, name, row, buffer):
        _, offset, length, digests = self.entries[name]
        if os.preadv(self.file, [buffer], offset + row * length) != length or hashlib.sha256(buffer).digest() != digests[row]:
            raise ValueError(f"{name}, row {row}: damaged")

    def check_structure(self):
        for name, (kind, _, length, _) in self.entries.items():
            if kind == 0 or name.endswith("/excitation"):
                self.read(name, 0, bytearray(length))


@dataclass
class Drive:
    rate: float
    samples: tuple  # captures, channels, samples
    excitation: np.ndarray
    scale: float  # pascal at full scale over volts at full scale, for 2.83 V
    orbit: list
    angle: np.ndarray
    distance: np.ndarray
    arrival: np.ndarray
    polarity: np.ndarray
    earliest: float
    impedance: float


def read_drive(path, name, seal):
    seal.check_structure()
    os.posix_fadvise(seal.file, *seal.entries[f"drives/{name}/samples"][1:3], os.POSIX_FADV_SEQUENTIAL)
    with h5py.File(path) as file:
        group = file["drives"][name]
        if set(group["state"][...]) != {b"kept"} or set(group["kind"][...]) != {b"position"}:
            raise ValueError("this yardstick knows kept positions only")
        earliest = min(other["arrival_s"][...].min() for other in file["drives"].values())
        calibration, conditions = file["calibration"], file["conditions"]
        scale = 2.83 * calibration["pascal_per_full_scale"][()] / calibration["loopback_volts_per_full_scale"][()]
        kelvin = conditions["temperature_c"][()] + 273.15
        impedance = 1.2041 * conditions["pressure_kpa"][()] / 101.325 * 293.15 / kelvin * 343.2 * np.sqrt(kelvin / 293.15)
        return Drive(group.attrs["sample_rate_hz"], group["samples"].shape, group["excitation"][...], scale,
                     [orbit.decode() for orbit in group["orbit"][...]], group["angle_deg"][...], group["distance_m"][...],
                     group["arrival_s"][...], group["polarity"][...], earliest, impedance)
