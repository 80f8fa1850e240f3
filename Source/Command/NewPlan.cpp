#include "Command/NewPlan.h"

#include "Run/Plan.h"
#include "Sphere/AngleSet.h"
#include "Text/Error.h"
#include "Text/JsonWriter.h"

#include <fmt/format.h>

namespace volvelle {

namespace {

const char* const head =
    R"(// A plan of a run: what is measured, with what, at which angles. Docs/plan.md explains every key.
// Lines that begin with "// FILL IN" are needed: write your value, and remove what stands before it. Lines that begin
// with "// state:" are better stated than left out. Whatever is left out is stored as 'not stated', never guessed.
// Then: volvelle plan check THIS-FILE
{{
  // state: "purpose": "why the run is made",

  // From the microphone to the unit's reference point at 0 degrees, metres.
  // FILL IN "distance_m": ,

  "unit": {{
{model}
    // state: "serial": "serial number",
    // state: "state": "firmware, preset and volume of its own processing, or: passive",
    // Largest dimension, metres: tells up to where far-field conditions hold.
    // state: "size_m": 0.5,
    // The reference point as seen from the table's axis, metres: x ahead, y left, z up.
    // state: "reference_point_from_axis_m": [0, 0, 0],
    // What a sample of the excitation is turned into: terminal-volts for a passive unit, else input-volts or
    // digital-full-scale.
    // state: "drive_quantity": "terminal-volts",
    "sections": [
)";

const char* const section =
    R"(      {{ "name": {name},
        // What its drivers bear: a bare high-frequency driver is never swept from 20 Hz. Volts are instantaneous peaks.
        // FILL IN "band_hz": [ , ],
        // FILL IN "voltage_limit_v": ,
        "output_channels": [{channel}], "gain_db": 0, "delay_s": 0, "polarity": "normal" }}{comma}
)";

const char* const middle =
    R"(    ]
  }},

  // Which sections play together. A section that faces backwards gets "axis_deg": 180. The sweep of each follows from
  // the limits of its sections; "sweep": {{ "start_hz": , "end_hz": , "duration_s": , "peak_v": }} narrows it.
  "drives": [
{drives}
  ],

  "angles": {{ "set": {angles}, "order": "shortest-path" }},

  "table": {{
    // Which way its angle grows, seen from above.
    "counts": "counter-clockwise",
    // The side that the unit is laid on for the vertical orbit, by two people or a hoist.
    "lies_on": "left-side",
    "has_tilt": {tilt},
    // Soft limits, so that no cable is wound up.
    "limits_deg": [-180, 180],
    "settle_s": 0.5
  }},

  "audio": {{
    "sample_rate_hz": 48000,
    "microphone_input": 1,
    // A channel wired from output to input beside the unit makes time zero common to all captures.
    // state: "loopback_input": 2, "loopback_output": {loopback},
    "silence_before_s": 0.25,
    "decay_s": 0.5
  }},
)";

const char* const tail =
    R"(
  "conduct": {{
    "repeats": 1,
    "warm_up_s": 0,
    "axis_check_every": 18,
    "attempts": 3,
    // Peak at the microphone, dB re 20 uPa, that ends the run. Sweeps can harm hearing and drivers: know your
    // employer's rules and national law.
    // state: "level_limit_db": 110,
    // Noise in any octave, dB re 20 uPa, beyond which a capture is measured again.
    "noise_limit_db": 60
  }},

  // state: "chamber": {{ "name": "its name", "place": "where it is", "lowest_usable_hz": 80 }},
  // state: "people": {{ "engineer": "who answers for the run" }},
  // Where no sensors tell: degrees Celsius, per cent, kilopascal.
  // state: "air": {{ "temperature_c": 20, "relative_humidity_percent": 50, "pressure_kpa": 101.3 }},

  // Instantaneous values at sample value 1.0.
  "calibration": {{
    // FILL IN "pascal_per_full_scale": ,
    // FILL IN "volts_per_full_scale": ,
    // state: "id": "of a calibration that several runs share",
    "instruments": [
      {{
        // state: "serial": "serial number", "certificate": "number", "calibrated_on": "2026-01-31",
        "role": "microphone" }},
      {{
        // state: "serial": "serial number", "certificate": "number", "calibrated_on": "2026-01-31",
        "role": "calibrator" }}
    ]
  }}
}}
)";

std::string drivesText(const std::vector<std::string>& sections) {
    std::vector<std::string> drives;
    for (const auto& name : sections)
        drives.push_back(fmt::format("    {{ \"sections\": [{}] }}", jsonQuoted(name)));
    if (sections.size() > 1) {
        std::vector<std::string> quoted;
        for (const auto& name : sections) quoted.push_back(jsonQuoted(name));
        drives.push_back(fmt::format("    {{ \"sections\": [{}] }}", fmt::join(quoted, ", ")));
    }
    return fmt::format("{}", fmt::join(drives, ",\n"));
}

std::string sectionsText(const std::vector<std::string>& sections) {
    std::string text;
    for (std::size_t i = 0; i < sections.size(); ++i)
        text +=
            fmt::format(fmt::runtime(section), fmt::arg("name", jsonQuoted(sections[i])),
                        fmt::arg("channel", i + 1), fmt::arg("comma", i + 1 < sections.size() ? "," : ""));
    return text;
}

/// What was typed is read as a plan would be; what it refuses is a matter of the option.
void requireReadable(const std::string& text) {
    try {
        parsePlan(text, "--sections");
    } catch (const Error& error) {
        throw Error(ErrorKind::usage, error.problem(), "--sections or --unit", error.advice());
    }
}

}  // namespace

std::string newPlan(const NewPlanOptions& options) {
    const bool sphere = options.angles.starts_with("sphere");
    const AngleSet set = angleSet(options.angles, options.hasTilt || sphere);
    const std::string model = options.model.empty()
                                  ? "    // state: \"model\": \"its type\","
                                  : fmt::format("    \"model\": {},", jsonQuoted(options.model));
    std::string text = fmt::format(fmt::runtime(head), fmt::arg("model", model));
    text += sectionsText(options.sections);
    text += fmt::format(fmt::runtime(middle), fmt::arg("drives", drivesText(options.sections)),
                        fmt::arg("angles", jsonQuoted(set.name)), fmt::arg("tilt", set.hasTilt),
                        fmt::arg("loopback", options.sections.size() + 1));
    text += fmt::format(fmt::runtime(tail));
    requireReadable(text);
    return text;
}

}  // namespace volvelle
