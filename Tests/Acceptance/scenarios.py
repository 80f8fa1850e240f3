"""Invented units and measurements. They are other units than those of the demonstration and the modules' tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "Oracle"))

from recordings import Cap, Loopback, Radiator, Scenario, Section, Stage, Sweep, Unit, replace  # noqa: E402,F401

BUTTERWORTH4 = (0.5412, 1.3066)
LINKWITZ4 = (0.7071, 0.7071)


def high(hz, *q):
    return Stage("high", hz, q or (0.7071,))


def low(hz, *q):
    return Stage("low", hz, q or (0.7071,))


FRONT_AND_REAR = Unit("sphere of 0.12 m, front and rear", 0.12, (
    Section("front", (Radiator(Cap(0, 0, 25), (high(60, 0.7), Stage("low1", 25000)), acceleration=60),)),
    Section("rear", (Radiator(Cap(180, 0, 32), (high(45, 0.9), low(14000, 0.6)), gain_db=-1.5, acceleration=40),),
            latency_s=0.00031)))

TWO_WAY = Unit("sphere of 0.15 m, two ways", 0.15, (
    Section("front", (
        Radiator(Cap(0, -15, 33), (high(40, *BUTTERWORTH4), low(1900, *LINKWITZ4)), acceleration=50),
        Radiator(Cap(0, 22, 9), (high(1900, *LINKWITZ4),), gain_db=11, delay_s=0.00006, acceleration=50))),
    Section("rear", (Radiator(Cap(180, 5, 20), (high(90, 0.5),), reversed=True, acceleration=60),))))

BARE = Unit("sphere of 0.05 m, one bare cap", 0.05, (
    Section("front", (Radiator(Cap(0, 0, 50), (), acceleration=150),)),))

LARGE = Unit("sphere of 0.25 m", 0.25, (
    Section("front", (Radiator(Cap(0, 0, 22), (high(90, 1.2, 0.5), low(17000, 0.8)), acceleration=25),), latency_s=0.0047),
    Section("rear", (Radiator(Cap(180, 0, 40), (high(30, 1.2), low(2500, *BUTTERWORTH4)), acceleration=9),),
            latency_s=0.0047)))

CROOKED = Unit("sphere of 0.1 m, three caps off the axis", 0.1, (
    Section("front", (
        Radiator(Cap(28, 0, 14), (high(75, 0.8),), acceleration=120),
        Radiator(Cap(-35, 10, 18), (high(75, 0.8),), gain_db=-4, delay_s=0.00011, acceleration=120),
        Radiator(Cap(5, -40, 30), (high(35, *BUTTERWORTH4), low(800)), acceleration=60))),
    Section("rear", (Radiator(Cap(165, -8, 22), (high(80, 1.0),), acceleration=120),))))

RINGING = Unit("sphere of 0.18 m, slow bass", 0.18, (
    Section("front", (Radiator(Cap(0, 0, 38), (high(31, 1.2, 1.2),), acceleration=25),)),
    Section("rear", (Radiator(Cap(180, 0, 12), (high(85, 0.5, 1.1),), acceleration=120),))))

BOTH = {"front": 0, "rear": 180, "front+rear": 0}

SCENARIOS = [
    Scenario("plain", FRONT_AND_REAR, BOTH, Sweep(20, 20000, 3, 0.01, 0.005), seed=11),
    Scenario("loopback-96k", TWO_WAY, {"front": 0, "rear": 180}, Sweep(10, 24000, 3, 0.05, 0.01, lead_s=0.25, trail_s=0.5),
             rate=96000, distance_m=1.5, level_db=70, loopback=Loopback(0.62), tail_s=0.1, seed=12),
    Scenario("bare-1m", BARE, {"front": 0}, Sweep(20, 22000, 3, 0.02, 0.003), distance_m=1.0, level_db=76,
             loopback=Loopback(1.0), seed=13),
    Scenario("large-flac", LARGE, BOTH, Sweep(20, 20000, 3, 0.03, 0.02, lead_s=0.1), level_db=74, extension="flac",
             directions="azimuth", temperature_c=24, seed=14),
    Scenario("crooked-short-sweep", CROOKED, {"front": 0, "rear": 180}, Sweep(10, 22000, 1.5, 0.1, 0.002), rate=96000,
             distance_m=1.5, level_db=78, loopback=Loopback(2.2), angles_0_to_350=True, temperature_c=17, seed=15),
    Scenario("ringing-quiet", RINGING, {"front": 0, "rear": 180}, Sweep(10, 24000, 3, 0.02, 0.004, trail_s=0.6),
             level_db=67, tail_s=0.0, loopback=Loopback(0.8), directions="orbits-70", seed=16),
    Scenario("float-44k", FRONT_AND_REAR, {"front": 0, "rear": 180}, Sweep(20, 20000, 3, 0.0, 0.0, lead_s=0.05, trail_s=0.05),
             rate=44100, bits="float", level_db=69, distance_m=1.5, seed=17),
    Scenario("sixteen-bit", TWO_WAY, {"front": 0}, Sweep(20, 22000, 3, 0.01, 0.01), bits=16, level_db=78,
             loopback=Loopback(1.6, noise_dbfs=-100), seed=18),
    Scenario("fast-192k", CROOKED, {"front": 0}, Sweep(20, 24000, 3, 0.005, 0.005), rate=192000, level_db=72,
             loopback=Loopback(0.7), seed=19),
    Scenario("loud-large-96k", LARGE, {"front": 0, "rear": 180}, Sweep(10, 20000, 3, 0.2, 0.05, lead_s=0.5, trail_s=0.2),
             rate=96000, distance_m=2.0, level_db=78, loopback=Loopback(1.0), extension="rf64", seed=20),
    Scenario("ringing-no-loopback", RINGING, BOTH, Sweep(20, 24000, 3, 0.01, 0.001), level_db=73, distance_m=1.5, seed=21),
    Scenario("impulses", TWO_WAY, {"front": 0, "rear": 180}, Sweep(20, 20000, 3), bits="float", impulse_responses=True,
             noise_db=-100, seed=22),
]

SHORT = ["plain", "loopback-96k"]


def named(name):
    return next(s for s in SCENARIOS if s.name == name)
