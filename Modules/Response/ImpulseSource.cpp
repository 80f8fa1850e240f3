#include "Response/ImpulseSource.h"

#include "Text/Error.h"

#include <algorithm>

namespace volvelle {

namespace {

std::optional<std::size_t> channelWith(const DriveRecord& drive, const char* role) {
    const auto at = std::find(drive.channelRoles.begin(), drive.channelRoles.end(), role);
    if (at == drive.channelRoles.end()) return std::nullopt;
    return static_cast<std::size_t>(at - drive.channelRoles.begin());
}

}  // namespace

ImpulseSource::ImpulseSource(const ReadableRun& run, std::size_t drive) : run_(run), drive_(drive) {
    const DriveRecord& record = run.record().drives.at(drive);
    if (record.form == CaptureForm::textResponse)
        throw Error(ErrorKind::input, "text responses have no impulse", "drive " + record.name,
                    "Use families or responses");
    const auto microphone = channelWith(record, "microphone");
    if (!microphone) throw Error(ErrorKind::input, "no channel is a microphone", "drive " + record.name, "");
    microphone_ = *microphone;
    loopback_ = channelWith(record, "loopback");
    samplesPerChannel_ = record.samplesPerChannel;
    channels_ = record.channelRoles.size();
    sampleRateHz_ = record.sampleRateHz;
    if (record.form == CaptureForm::recording)
        deconvolution_.emplace(record.excitation.samples, sampleRateHz_, samplesPerChannel_);
    // Behind a plain impulse as much silence again, for its negative times.
    length_ = deconvolution_ ? deconvolution_->length() : 2 * samplesPerChannel_;
}

std::complex<double> ImpulseSource::shape(double frequencyHz) const {
    return deconvolution_ ? deconvolution_->shape().at(frequencyHz) : 1.0;
}

Band ImpulseSource::band() const {
    return deconvolution_ ? deconvolution_->band() : Band{0, sampleRateHz_ / 2};
}

ImpulseSource::Workspace::Workspace(const ImpulseSource& source)
    : samples(source.channels_ * source.samplesPerChannel_), impulse(source.length_, 0.0F) {
    if (source.deconvolution_) deconvolution.emplace(*source.deconvolution_);
}

std::span<const float> ImpulseSource::impulse(std::size_t capture, Workspace& w) const {
    run_.readCapture(drive_, capture, w.samples);
    const auto channel = [&](std::size_t number) {
        return std::span<const float>(w.samples).subspan(number * samplesPerChannel_, samplesPerChannel_);
    };
    const auto recording = channel(microphone_);
    if (deconvolution_) {
        const auto loopback = loopback_ ? channel(*loopback_) : std::span<const float>();
        deconvolution_->impulse(recording, loopback, *w.deconvolution, w.impulse);
    } else {
        std::copy(recording.begin(), recording.end(), w.impulse.begin());
    }
    return w.impulse;
}

}  // namespace volvelle
