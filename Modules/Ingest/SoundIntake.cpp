#include "Ingest/Intake.h"
#include "Ingest/Recording.h"
#include "Quality/Judge.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <bit>
#include <exception>
#include <mutex>

namespace volvelle {

namespace {

std::uint64_t mixed(std::uint64_t sum, std::uint32_t word) {
    sum = (sum ^ word) * 0x9E3779B97F4A7C15U;
    return sum ^ sum >> 32U;
}

template <typename T>
std::uint64_t checksumOf(std::span<const T> samples) {
    std::uint64_t sum = samples.size();
    for (const T sample : samples) sum = mixed(sum, std::bit_cast<std::uint32_t>(sample));
    return sum;
}

void requireAlike(const RecordingFormat& format, const RecordingFormat& first, const std::string& where,
                  const std::string& firstWhere, const std::string& drive) {
    const std::string advice =
        fmt::format("All files of drive {} have one rate and one length; the first is {}", drive, firstWhere);
    if (format.sampleRateHz != first.sampleRateHz) {
        throw Error(ErrorKind::input,
                    fmt::format("has a sample rate of {} Hz, others of its drive have {} Hz",
                                shortestText(format.sampleRateHz), shortestText(first.sampleRateHz)),
                    where, advice);
    }
    if (format.frames != first.frames) {
        throw Error(ErrorKind::input,
                    fmt::format("has a length of {} samples, others of its drive have {}", format.frames,
                                first.frames),
                    where, advice);
    }
}

void requireFits(const RecordingFormat& format, const ExcitationRecord& excitation,
                 const std::string& where) {
    if (format.sampleRateHz != excitation.sampleRateHz) {
        throw Error(ErrorKind::input,
                    fmt::format("has a sample rate of {} Hz, the excitation has {} Hz",
                                shortestText(format.sampleRateHz), shortestText(excitation.sampleRateHz)),
                    where,
                    fmt::format("Give the excitation at the rate at which it was played ({})",
                                excitation.sourceFile));
    }
    if (excitation.samples.size() > format.frames) {
        throw Error(
            ErrorKind::input,
            fmt::format("has {} samples, the excitation has {}", format.frames, excitation.samples.size()),
            where,
            "A recording runs from the excitation's start to the end of the decay; record longer, or cut the "
            "silence "
            "at the excitation's end");
    }
}

/// The samples of one file in the forms that are needed; one for each thread.
struct Buffers {
    std::vector<std::int32_t> raw;
    std::vector<float> samples;
};

class SoundIntake final : public Intake {
public:
    SoundIntake(std::vector<std::vector<IncomingFile>> incoming, const IngestSettings& settings,
                const Files& files)
        : Intake(std::move(incoming)),
          channels_(settings.channels),
          form_(settings.form),
          jobs_(settings.jobs),
          files_(files) {}

    void describe(RunRecord& run) override {
        for (std::size_t d = 0; d < run.drives.size(); ++d) describeDrive(run.drives[d], d);
        for (const auto& drive : run.drives) types_.push_back(drive.sampleType);
    }

    std::vector<std::string> judge(RunRecord& run, const std::function<void()>& finished) override {
        std::vector<std::string> remarks;
        for (std::size_t d = 0; d < run.drives.size(); ++d) {
            const auto found = judgeDrive(run, d, finished);
            remarks.insert(remarks.end(), found.begin(), found.end());
        }
        return remarks;
    }

    void read(std::size_t drive, std::size_t capture, std::span<std::int32_t> out) override {
        reopen(drive, capture, out.size()).read(channels_, out);
        requireUnchanged(drive, capture, checksumOf<std::int32_t>(out));
    }

    void read(std::size_t drive, std::size_t capture, std::span<float> out) override {
        reopen(drive, capture, out.size()).read(channels_, out);
        requireUnchanged(drive, capture, checksumOf<float>(out));
    }

private:
    RecordingReader open(const IncomingFile& file) const {
        return openRecording(file.path, files_, file.where);
    }

    RecordingReader reopen(std::size_t drive, std::size_t capture, std::size_t values) const {
        RecordingReader reader = open(file(drive, capture));
        if (reader.format().frames * channels_.size() != values) changed(drive, capture);
        return reader;
    }

    [[noreturn]] void changed(std::size_t drive, std::size_t capture) const {
        throw Error(ErrorKind::input, "changed while it was read", file(drive, capture).where,
                    "Let recording and copying finish first");
    }

    void requireUnchanged(std::size_t drive, std::size_t capture, std::uint64_t checksum) const {
        if (checksum != file(drive, capture).checksum) changed(drive, capture);
    }

    void describeDrive(DriveRecord& drive, std::size_t d) const;
    std::vector<std::string> judgeDrive(RunRecord& run, std::size_t d, const std::function<void()>& finished);
    Judgement judgeCapture(const DriveRecord& drive, std::size_t d, std::size_t c, const Judge& judge,
                           Buffers& buffers);

    std::vector<int> channels_;
    CaptureForm form_;
    int jobs_;
    const Files& files_;
    std::vector<SampleType> types_;
};

void SoundIntake::describeDrive(DriveRecord& drive, std::size_t d) const {
    RecordingFormat first;
    bool anyFloat = false;
    for (std::size_t c = 0; c < drive.captures.size(); ++c) {
        const RecordingReader reader = open(file(d, c));
        const RecordingFormat& format = reader.format();
        if (c == 0) first = format;
        if (channels_.size() > 1) requireChannel(format, channels_[1], "the loopback", reader.where());
        requireAlike(format, first, reader.where(), file(d, 0).where, drive.name);
        if (form_ == CaptureForm::recording) requireFits(format, drive.excitation, reader.where());
        anyFloat = anyFloat || format.isFloat;
        drive.bitsPerSample = std::max(drive.bitsPerSample, format.bitsPerSample);
    }
    drive.sampleRateHz = first.sampleRateHz;
    drive.samplesPerChannel = first.frames;
    drive.sampleType = anyFloat ? SampleType::float32 : SampleType::int32;
    drive.channelRoles = {"microphone"};
    if (channels_.size() > 1) drive.channelRoles.emplace_back("loopback");
}

std::vector<std::string> SoundIntake::judgeDrive(RunRecord& run, std::size_t d,
                                                 const std::function<void()>& finished) {
    DriveRecord& drive = run.drives[d];
    const Judge judge(drive, run.calibration, judgeSettings(run));
    const std::size_t count = drive.captures.size();
    std::vector<Buffers> buffers(static_cast<std::size_t>(jobs_));
    std::vector<Judgement> judgements(count);
    std::vector<std::exception_ptr> failures(count);
    std::atomic<std::size_t> firstBad = count;  // what comes after it need not be read any more
    std::mutex mutex;
    parallelFor(count, jobs_, [&](std::size_t c, int worker) {
        if (c > firstBad) return;
        try {
            judgements[c] = judgeCapture(drive, d, c, judge, buffers[static_cast<std::size_t>(worker)]);
            const std::scoped_lock lock(mutex);
            finished();
        } catch (...) {
            const std::scoped_lock lock(mutex);
            failures[c] = std::current_exception();
            firstBad = std::min(firstBad.load(), c);
        }
    });
    if (firstBad < count) std::rethrow_exception(failures[firstBad]);
    for (std::size_t c = 0; c < count; ++c) accept(drive.captures[c], judgements[c]);
    compareRepeats(drive, judgements);
    std::vector<std::string> remarks = remarkOnReversals(drive, judgements);
    std::vector<double> levelsDb;
    for (const Judgement& judgement : judgements) levelsDb.push_back(judgement.loopbackLevelDb);
    if (auto remark = remarkOnLoopbackLevel(drive.name, levelsDb); !remark.empty())
        remarks.push_back(std::move(remark));
    return remarks;
}

Judgement SoundIntake::judgeCapture(const DriveRecord& drive, std::size_t d, std::size_t c,
                                    const Judge& judge, Buffers& buffers) {
    IncomingFile& file = incoming()[d][c];
    RecordingReader reader = open(file);
    const std::size_t frames = drive.samplesPerChannel;
    if (reader.format().frames != frames) changed(d, c);
    const bool integers = !reader.format().isFloat;
    buffers.samples.resize(frames * channels_.size());
    buffers.raw.resize(integers ? buffers.samples.size() : 0);
    if (integers) {
        reader.read(channels_, std::span(buffers.raw));
        toFullScaleOne(buffers.raw, buffers.samples);
    } else {
        reader.read(channels_, std::span(buffers.samples));
    }
    const std::span<const float> microphone = std::span(buffers.samples).first(frames);
    const std::span<const float> loopback = std::span(buffers.samples).subspan(frames);
    requireSound(microphone, "the microphone's channel", reader.where());
    requireSound(loopback, fmt::format("the loopback's channel {}", channels_.back()), reader.where());
    file.checksum = drive.sampleType == SampleType::int32 ? checksumOf<std::int32_t>(buffers.raw)
                                                          : checksumOf<float>(buffers.samples);
    const IntegerSamples raw{std::span(buffers.raw).first(integers ? frames : 0),
                             reader.format().bitsPerSample};
    return judge.judge(microphone, loopback, raw);
}

}  // namespace

std::unique_ptr<Intake> soundIntake(std::vector<std::vector<IncomingFile>> incoming,
                                    const IngestSettings& settings, const Files& files) {
    return std::make_unique<SoundIntake>(std::move(incoming), settings, files);
}

ExcitationRecord readExcitation(const std::string& path, const Files& files, int& otherChannels) {
    if (!files.exists(path))
        throw Error(ErrorKind::input, "is missing", path, "Check the name that --excitation gives");
    RecordingReader reader = openRecording(path, files, path);
    ExcitationRecord excitation;
    excitation.sourceFile = path;
    excitation.sampleRateHz = reader.format().sampleRateHz;
    excitation.samples.resize(reader.format().frames);
    otherChannels = reader.format().channels - 1;
    const int channel = 1;
    reader.read(std::span(&channel, 1), std::span(excitation.samples));
    requireSound(excitation.samples, "the excitation", path);
    return excitation;
}

}  // namespace volvelle
