"""The invented unit and chamber of the accuracy budget's example: every error at once, each large enough to be seen.

    budget_scene.py FOLDER     writes plan.json and recipe.json there
"""

import json
import sys
from pathlib import Path

PLAN = {
    "distance_m": 2.0,
    "unit": {"model": "sphere of 0.14 m, two ways in one section (invented)", "serial": "invented-4", "size_m": 0.28,
             "drive_quantity": "terminal-volts",
             "sections": [{"name": "front", "output_channels": [1], "band_hz": [10, 30000], "voltage_limit_v": 5}]},
    "drives": [{"sections": ["front"], "axis_deg": 0, "reference_section": "front",
                "sweep": {"start_hz": 30, "end_hz": 20000, "duration_s": 0.8, "peak_v": 2}}],
    "angles": {"set": "two-orbits-10"},
    "table": {"settle_s": 0.5},
    "audio": {"sample_rate_hz": 48000, "loopback_input": 2, "loopback_output": 9, "silence_before_s": 0.25, "decay_s": 0.4},
    "calibration": {"pascal_per_full_scale": 20, "volts_per_full_scale": 10},
    "air": {"temperature_c": 20, "relative_humidity_percent": 50, "pressure_kpa": 101.325},
    "simulation": {
        "sphere_radius_m": 0.14,
        "drivers": [
            {"section": "front", "azimuth_deg": 0, "elevation_deg": -14, "half_angle_deg": 22, "acceleration_m_per_s2_per_v": 70,
             "resonance_hz": 50, "quality": 0.7, "low_pass": {"type": "linkwitz-riley", "order": 4, "hz": 2000}},
            {"section": "front", "azimuth_deg": 5, "elevation_deg": 16, "half_angle_deg": 9, "acceleration_m_per_s2_per_v": 380,
             "high_pass": {"type": "linkwitz-riley", "order": 4, "hz": 2000}}],
        "microphone_noise": {"level_db": 36, "colour": "white"},
        "converters": {"latency_ms": 0.7, "start_jitter_ms": 0.02, "bits": 24, "noise_db": -110},
        "reflections": [{"delay_ms": 7.3, "gain_db": -34, "below_hz": 250}, {"delay_ms": 21, "gain_db": -38, "below_hz": 900}],
        "air_absorbs": True,
        "temperature_drift_c_per_hour": 20,
        "turning_the_unit_s": 120,
        "remounting_error_deg": 0.6,
        "table": {"position_error_deg": 0.5, "resolution_deg": 0.35, "speed_deg_per_s": 10},
    },
}

RECIPE = {
    "window": {"start_ms": -2.5, "fade_in_ms": 1.5, "fade_out_ms": 4, "end_ms": 14},
    "low_window": {"start_ms": -10, "fade_in_ms": 8, "fade_out_ms": 30, "end_ms": 120},
    "cross_fade": {"hz": 1400, "octaves": 1},
    "grid": {"kind": "band-centres", "per_octave": 3, "low_hz": 95, "high_hz": 10500},
}


def main(arguments):
    folder = Path(arguments[0])
    for name, document in (("plan.json", PLAN), ("recipe.json", RECIPE)):
        (folder / name).write_text(json.dumps(document, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
