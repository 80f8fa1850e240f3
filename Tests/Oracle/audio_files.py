"""Small writers and readers of sound files for the tests: WAV by hand, FLAC and RF64 through libsndfile."""

import ctypes
import ctypes.util
import struct

import numpy as np

FLAC, RF64 = 0x170000, 0x220000
SUBTYPE = {16: 0x0002, 24: 0x0003, 32: 0x0004}


class SoundInfo(ctypes.Structure):
    _fields_ = [("frames", ctypes.c_int64), ("samplerate", ctypes.c_int), ("channels", ctypes.c_int),
                ("format", ctypes.c_int), ("sections", ctypes.c_int), ("seekable", ctypes.c_int)]


def _library():
    library = ctypes.CDLL(ctypes.util.find_library("sndfile") or "libsndfile.so.1")
    library.sf_open.restype = ctypes.c_void_p
    for name in ("sf_writef_int", "sf_readf_int"):
        function = getattr(library, name)
        function.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int64]
        function.restype = ctypes.c_int64
    library.sf_close.argtypes = [ctypes.c_void_p]
    return library


def quantised(samples, bits):
    """Whole numbers of the given depth, rounded; full scale 1.0 clips as a converter does."""
    top = 2 ** (bits - 1)
    return np.clip(np.rint(samples * top), -top, top - 1).astype(np.int32)


def write_wav(path, samples, rate, bits):
    """samples: float [frames, channels] at full scale 1.0; bits: 16, 24, 32 or "float"."""
    samples = np.atleast_2d(np.asarray(samples).T).T
    frames, channels = samples.shape
    if bits == "float":
        width, tag, body = 4, 3, np.ascontiguousarray(samples, "<f4").tobytes()
    else:
        width, tag = bits // 8, 1
        whole = np.ascontiguousarray(quantised(samples, bits), "<i4")
        body = whole.view(np.uint8).reshape(-1, 4)[:, :width].tobytes()
    pad = b"\0" * (len(body) % 2)
    head = struct.pack("<4sI4s4sIHHIIHH", b"RIFF", 36 + len(body) + len(pad), b"WAVE", b"fmt ", 16, tag, channels, rate,
                       rate * channels * width, channels * width, 8 * width)
    with open(path, "wb") as file:
        file.write(head + struct.pack("<4sI", b"data", len(body)) + body + pad)


def write_sound(path, samples, rate, bits, container):
    """FLAC or RF64 through libsndfile."""
    samples = np.atleast_2d(np.asarray(samples).T).T
    library = _library()
    info = SoundInfo(0, rate, samples.shape[1], container | SUBTYPE[bits], 0, 0)
    handle = library.sf_open(str(path).encode(), 0x20, ctypes.byref(info))
    if not handle:
        raise OSError(f"cannot write {path}")
    whole = np.ascontiguousarray(quantised(samples, bits) << (32 - bits))
    written = library.sf_writef_int(handle, whole.ctypes.data, len(whole))
    library.sf_close(handle)
    if written != len(whole):
        raise OSError(f"cannot write {path}")


def write_audio(path, samples, rate, bits):
    """Chooses by the name: .flac, .rf64, else WAV."""
    name = str(path)
    if name.endswith(".flac"):
        write_sound(path, samples, rate, bits, FLAC)
    elif name.endswith(".rf64"):
        write_sound(path, samples, rate, bits, RF64)
    else:
        write_wav(path, samples, rate, bits)


def read_audio(path):
    """(float64 [frames, channels] at full scale 1.0, rate)."""
    with open(path, "rb") as file:
        data = file.read()
    if data[:4] == b"RIFF":
        tag, channels, rate, _, _, bits = struct.unpack("<HHIIHH", data[20:36])
        body = data[44:44 + struct.unpack("<I", data[40:44])[0]]
        if tag == 3:
            return np.frombuffer(body, "<f4").astype(float).reshape(-1, channels), rate
        width = bits // 8
        wide = np.zeros((len(body) // width, 4), np.uint8)
        wide[:, 4 - width:] = np.frombuffer(body, np.uint8).reshape(-1, width)
        return wide.view("<i4").reshape(-1, channels) / 2.0 ** 31, rate
    library = _library()
    info = SoundInfo()
    handle = library.sf_open(str(path).encode(), 0x10, ctypes.byref(info))
    whole = np.empty((info.frames, info.channels), np.int32)
    library.sf_readf_int(handle, whole.ctypes.data, info.frames)
    library.sf_close(handle)
    return whole / 2.0 ** 31, info.samplerate
