#pragma once

#include "Run/Files.h"
#include "Run/RunRecord.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

/// What the options may be; of each, 0 < value.
inline constexpr double longestM = 1000, largestPerFullScale = 1e6;
inline constexpr int mostJobs = 64, highestChannel = 1024;

/// What `ingest` is asked to do. Empty strings and absent values: not given; then the plan's value counts.
struct IngestOptions {
    std::string manifestPath, outputPath;

    // What the files of the manifest are: exactly one of these three.
    std::string excitationPath;     ///< --excitation: they are recordings of this excitation
    bool impulseResponses = false;  ///< --impulse-responses: they begin at the instant of excitation
    bool textResponses = false;     ///< --text-responses: they are text files of frequency, level, phase

    std::optional<int> loopbackChannel;        ///< --loopback-channel, from 2 on; recordings only
    std::optional<double> distanceM;           ///< --distance-m: microphone to reference point at 0°
    std::optional<double> pascalPerFullScale;  ///< --pascal-per-full-scale
    std::optional<double> voltsPerFullScale;   ///< --volts-per-full-scale
    std::optional<double>
        loopbackVoltsPerFullScale;  ///< --loopback-volts-per-full-scale; volts per full scale where absent
    std::optional<double> textDriveVolts;  ///< --text-drive-volts: RMS volts that text levels were taken
                                           ///< at; 2.83, or 1 for units with an input of their own
    std::optional<DriveQuantity> driveQuantity;  ///< --drive-quantity
    std::string planPath;                        ///< --plan
    std::optional<double> unitSizeM;             ///< --unit-size-m
    std::string microphoneResponsePath;          ///< --microphone-response
    std::optional<Air> air;                      ///< --air

    int jobs = 0;  ///< threads; 0: one for each processor
    std::string commandLine, programVersion;
    std::function<void(std::size_t done, std::size_t total)> progress;  ///< called by one thread at a time
};

struct IngestSummary {
    RunRecord run;                     ///< as it was written, with the quality of each capture
    std::vector<std::string> remarks;  ///< what judging found about the run as a whole, one sentence each
    std::vector<std::string>
        warnings;  ///< what to beware of when using it, one sentence each; both are events of the run too
};

/// Reads the manifest and its files, judges each capture, and writes the sealed run.
///
/// Option values are checked before any file is read (Error{usage} naming the option), then the output
/// (Error{output} where it exists or its folder cannot be written), then plan, manifest, excitation and the
/// headers of all recordings, then their samples (Error{input} with file, line and field; of several bad
/// recordings the manifest's first is named). The output's folder is left as it was on every failure. Memory
/// does not grow with the number of captures: each file is decoded once to be judged and once more to be
/// written.
///
/// Text responses: levels are kept as they are (pascalPerFullScale is 1), voltsPerFullScale is
/// textDriveVolts, so the response in Pa per V is 20 µPa · 10^(level / 20) / voltsPerFullScale.
IngestSummary ingest(const IngestOptions& options, Files& files = diskFiles());

/// "terminal-volts", "input-volts", "digital-full-scale". Throws Error{usage}.
DriveQuantity parseDriveQuantity(const std::string& text);

/// "20,50,101.325": degrees Celsius, percent, kilopascal. Throws Error{usage}.
Air parseAirOption(const std::string& text);

}  // namespace volvelle
