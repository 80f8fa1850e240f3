#pragma once

#include "Ingest/Settings.h"
#include "Run/RunFile.h"

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace volvelle {

/// A file on its way into the run.
struct IncomingFile {
    std::string path;
    std::string where;           ///< "recordings/a.wav (MANIFEST.csv, line 3)"
    std::uint64_t checksum = 0;  ///< of its samples as they were judged
};

/// The files of a run, drive by drive and capture by capture as in RunRecord::drives. What comes out of the
/// steps below is in the run's drives. The steps follow each other; errors are Error{input} and name the
/// first bad file in this order.
class Intake : public CaptureSource {
public:
    explicit Intake(std::vector<std::vector<IncomingFile>> incoming) : incoming_(std::move(incoming)) {}

    /// Looks at the files without decoding them and fills in what the captures of each drive have in common.
    virtual void describe(RunRecord& run) = 0;
    /// Decodes, checks and judges every capture by itself, and compares those of one drive. `finished` is
    /// called after each, by one thread at a time. Returns remarks on drives, one sentence each.
    virtual std::vector<std::string> judge(RunRecord& run, const std::function<void()>& finished) = 0;

protected:
    std::vector<std::vector<IncomingFile>>& incoming() { return incoming_; }
    const IncomingFile& file(std::size_t drive, std::size_t capture) const {
        return incoming_[drive][capture];
    }

private:
    std::vector<std::vector<IncomingFile>> incoming_;
};

/// Sound files. channels: those that are kept, the microphone's first. `files` outlives the intake.
std::unique_ptr<Intake> soundIntake(std::vector<std::vector<IncomingFile>> incoming,
                                    const IngestSettings& settings, const Files& files);

/// Text responses; only their grids are checked.
std::unique_ptr<Intake> textIntake(std::vector<std::vector<IncomingFile>> incoming);

/// Reads the excitation (channel 1 of the file). Throws Error{input} as RecordingReader does, and where it is
/// silent. otherChannels: how many channels the file has beside.
ExcitationRecord readExcitation(const std::string& path, const Files& files, int& otherChannels);

}  // namespace volvelle
