#include "Ingest/Intake.h"
#include "Ingest/Recording.h"
#include "Ingest/ResponseText.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <algorithm>
#include <filesystem>
#include <limits>
#include <system_error>

namespace volvelle {

namespace {

ResponseText readResponse(const IncomingFile& file) {
    refuseIrregularFile(file.path, file.where);
    std::error_code ignored;
    if (!std::filesystem::exists(file.path, ignored)) {
        throw Error(ErrorKind::input, "is missing", file.where,
                    "Check its name; names in a manifest count from the manifest's folder");
    }
    return parseResponseText(readTextFile(file.path), file.where);
}

class TextIntake final : public Intake {
public:
    using Intake::Intake;

    void describe(RunRecord& run) override {
        for (std::size_t d = 0; d < run.drives.size(); ++d) {
            DriveRecord& drive = run.drives[d];
            drive.frequencyHz = readResponse(file(d, 0)).frequencyHz;
            drive.samplesPerChannel = drive.frequencyHz.size();
            drive.sampleType = SampleType::float32;
            drive.bitsPerSample = 32;
            drive.channelRoles = {"level", "phase"};
        }
        grids_.resize(run.drives.size());
        for (std::size_t d = 0; d < run.drives.size(); ++d) grids_[d] = run.drives[d].frequencyHz;
    }

    std::vector<std::string> judge(RunRecord& run, const std::function<void()>& finished) override {
        for (std::size_t d = 0; d < run.drives.size(); ++d) {
            for (std::size_t c = 0; c < run.drives[d].captures.size(); ++c) {
                requireSameGrid(grids_[d], file(d, 0).where, readResponse(file(d, c)), file(d, c).where);
                finished();
            }
        }
        return {};
    }

    void read(std::size_t, std::size_t, std::span<std::int32_t>) override {
        throw Error(ErrorKind::bug, "text responses read as integers", "ingest", "");
    }

    void read(std::size_t drive, std::size_t capture, std::span<float> out) override {
        const ResponseText response = readResponse(file(drive, capture));
        requireSameGrid(grids_[drive], file(drive, 0).where, response, file(drive, capture).where);
        const auto toFloat = [](double x) { return static_cast<float>(x); };
        const auto phases =
            std::transform(response.levelDb.begin(), response.levelDb.end(), out.begin(), toFloat);
        if (response.phaseDeg.empty()) {
            std::fill(phases, out.end(), std::numeric_limits<float>::quiet_NaN());
        } else {
            std::transform(response.phaseDeg.begin(), response.phaseDeg.end(), phases, toFloat);
        }
    }

private:
    std::vector<std::vector<double>> grids_;
};

}  // namespace

std::unique_ptr<Intake> textIntake(std::vector<std::vector<IncomingFile>> incoming) {
    return std::make_unique<TextIntake>(std::move(incoming));
}

}  // namespace volvelle
