#include "Ingest/Scenario.h"

#include "Signal/Excitation.h"

#include <gtest/gtest.h>
#include <sndfile.h>

#include <cmath>

namespace volvelle::test {

const int Scenario::wav24 = SF_FORMAT_WAV | SF_FORMAT_PCM_24;
const int Scenario::wav16 = SF_FORMAT_WAV | SF_FORMAT_PCM_16;
const int Scenario::flac24 = SF_FORMAT_FLAC | SF_FORMAT_PCM_24;
const int Scenario::wavFloat = SF_FORMAT_WAV | SF_FORMAT_FLOAT;

std::vector<double> Scenario::excitation() {
    const ExponentialSweep sweep{100, 20000, 0.18, 0.01};
    std::vector<double> samples = sweepSamples(sweep, rate, 0.005, 0.002);
    samples.resize(excitationLength);
    for (double& sample : samples) sample *= 0.5;
    return samples;
}

Channels Scenario::recorded(std::uint32_t number) {
    const auto played = excitation();
    Channels channels(2);
    channels[0] = noise(length, number + 1);
    for (double& sample : channels[0]) sample *= 1e-4;
    channels[1].resize(length);
    const std::size_t loopbackDelay = 100, flight = 280;  // 280 samples at 48 kHz: 2 m
    for (std::size_t i = 0; i < played.size(); ++i) {
        channels[0][i + loopbackDelay + flight] += played[i] * 0.1 / (1 + number);
        channels[1][i + loopbackDelay] += played[i];
    }
    return channels;
}

Scenario::Scenario() {
    writeSound(path("sweep.wav"), wav24, rate, Channels{excitation()});
    for (std::uint32_t i = 0; i < 5; ++i) writeRecording("rec/" + std::to_string(i) + ".wav", recorded(i));
    writeManifest(
        "rec/0.wav,front,horizontal,0\nrec/1.wav,front,horizontal,50\nrec/2.wav,front,vertical,-30\n"
        "rec/3.wav,rear,horizontal,0\nrec/4.wav,rear,horizontal,180\n");
    options.manifestPath = path("MANIFEST.csv");
    options.outputPath = path("RUN.h5");
    options.excitationPath = path("sweep.wav");
    options.loopbackChannel = 2;
    options.distanceM = 2;
    options.pascalPerFullScale = 20;
    options.voltsPerFullScale = 10;
    options.jobs = 2;
    options.commandLine = "volvelle ingest";
    options.programVersion = "0.0.test";
}

void Scenario::writeManifest(const std::string& rows, const std::string& columns) {
    writeBytes(path("MANIFEST.csv"), columns + "\n" + rows);
}

void Scenario::writeRecording(const std::string& name, const Channels& channels, int format,
                              int sampleRateHz) {
    writeSound(path(name), format, sampleRateHz, channels);
}

Error Scenario::refusal() {
    const auto before = folder.contents();
    const Error error = errorOf([&] { run(); });
    EXPECT_EQ(folder.contents() == before, true) << "the folder has changed: " << error.what();
    EXPECT_FALSE(error.advice().empty()) << error.what();
    EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos);
    return error;
}

}  // namespace volvelle::test
