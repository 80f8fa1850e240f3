#pragma once

#include <string>

namespace volvelle {

/// Writes the recordings of the demonstration to an empty folder: sweep.wav, manifest.csv, plan.json and a
/// WAV file of two channels (microphone, loopback) for each drive and position. The unit is invented: "Wren",
/// two sections on a rigid sphere, front and rear, measured on two orbits of 10°. Throws Error{output}.
void makeDemoRecordings(const std::string& folder, int jobs);

}  // namespace volvelle
