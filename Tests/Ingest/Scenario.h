#pragma once

#include "Ingest/Ingest.h"
#include "Ingest/SoundFiles.h"

#include <string>
#include <vector>

namespace volvelle::test {

/// An invented lab's folder: an excitation, recordings of two drives with a loopback on channel 2, and their
/// manifest.
class Scenario {
public:
    static constexpr int rate = 48000;
    static constexpr std::size_t excitationLength = 9600, length = 14400;

    Scenario();

    std::string path(const std::string& name) const { return folder.path(name); }
    /// Microphone and loopback as they were recorded: capture 0, 1, 2 of front, then of rear.
    static Channels recorded(std::uint32_t number);
    static std::vector<double> excitation();

    void writeManifest(const std::string& rows, const std::string& columns = "file,drive,orbit,angle_deg");
    void writeRecording(const std::string& name, const Channels& channels, int format = wav24,
                        int sampleRateHz = rate);

    /// Runs the ingest, which has to fail and to leave every file as it was.
    Error refusal();
    IngestSummary run() { return ingest(options); }

    static const int wav24, wav16, flac24, wavFloat;
    TemporaryFolder folder;
    IngestOptions options;  ///< good ones
};

}  // namespace volvelle::test
