#include "Run/InventedRun.h"

#include <algorithm>
#include <cmath>

namespace volvelle::testing {

namespace {

bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}
bool same(const std::vector<double>& a, const std::vector<double>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](double x, double y) { return same(x, y); });
}
bool same(const Air& a, const Air& b) {
    return same(a.temperatureC, b.temperatureC) &&
           same(a.relativeHumidityPercent, b.relativeHumidityPercent) && same(a.pressureKPa, b.pressureKPa);
}
template <typename T>
bool same(const T& a, const T& b) {
    return a == b;
}

/// Notes the first thing that differs.
class Differ {
public:
    template <typename T>
    void hold(const std::string& name, const T& a, const T& b) {
        if (result.empty() && !same(a, b)) result = where + name;
    }
    std::string where, result;
};

void holdQuality(Differ& d, const CaptureQuality& a, const CaptureQuality& b) {
    d.hold("clippedSamples", a.clippedSamples, b.clippedSamples);
    d.hold("noiseSource", a.noiseSource, b.noiseSource);
    d.hold("noiseDb", a.noiseDb, b.noiseDb);
    d.hold("decayS", a.decayS, b.decayS);
    d.hold("impulseNoiseDb", a.impulseNoiseDb, b.impulseNoiseDb);
    d.hold("residueDb", a.residueDb, b.residueDb);
    d.hold("loopbackDelayS", a.loopbackDelayS, b.loopbackDelayS);
    d.hold("arrivalS", a.arrivalS, b.arrivalS);
    d.hold("polarity", a.polarity, b.polarity);
    d.hold("peakPa", a.peakPa, b.peakPa);
    d.hold("repeatDifferenceDb", a.repeatDifferenceDb, b.repeatDifferenceDb);
    d.hold("driftDb", a.driftDb, b.driftDb);
    d.hold("driftS", a.driftS, b.driftS);
}

void holdCapture(Differ& d, const Capture& a, const Capture& b) {
    d.hold("id", a.id, b.id);
    d.hold("kind", a.kind, b.kind);
    d.hold("azimuth", a.direction.azimuthDeg, b.direction.azimuthDeg);
    d.hold("elevation", a.direction.elevationDeg, b.direction.elevationDeg);
    d.hold("orbit", a.orbit, b.orbit);
    d.hold("angleDeg", a.angleDeg, b.angleDeg);
    d.hold("tableDeg", a.tableDeg, b.tableDeg);
    d.hold("tiltDeg", a.tiltDeg, b.tiltDeg);
    d.hold("readBackDeg", a.readBackDeg, b.readBackDeg);
    d.hold("tiltReadBackDeg", a.tiltReadBackDeg, b.tiltReadBackDeg);
    d.hold("stance", a.stance, b.stance);
    d.hold("distanceM", a.distanceM, b.distanceM);
    d.hold("repeat", a.repeat, b.repeat);
    d.hold("attempt", a.attempt, b.attempt);
    d.hold("state", a.state, b.state);
    d.hold("reason", a.reason, b.reason);
    d.hold("utc", a.utc, b.utc);
    d.hold("monotonicS", a.monotonicS, b.monotonicS);
    d.hold("air", a.air, b.air);
    holdQuality(d, a.quality, b.quality);
    d.hold("sourceFile", a.sourceFile, b.sourceFile);
    d.hold("notes", a.notes, b.notes);
}

void holdDrive(Differ& d, const DriveRecord& a, const DriveRecord& b) {
    d.where = a.name + ": ";
    d.hold("name", a.name, b.name);
    d.hold("form", a.form, b.form);
    d.hold("sampleRateHz", a.sampleRateHz, b.sampleRateHz);
    d.hold("sampleType", a.sampleType, b.sampleType);
    d.hold("bitsPerSample", a.bitsPerSample, b.bitsPerSample);
    d.hold("channelRoles", a.channelRoles, b.channelRoles);
    d.hold("samplesPerChannel", a.samplesPerChannel, b.samplesPerChannel);
    d.hold("frequencyHz", a.frequencyHz, b.frequencyHz);
    d.hold("excitation", a.excitation.samples, b.excitation.samples);
    d.hold("excitation rate", a.excitation.sampleRateHz, b.excitation.sampleRateHz);
    d.hold("excitation file", a.excitation.sourceFile, b.excitation.sourceFile);
    d.hold("number of captures", a.captures.size(), b.captures.size());
    for (std::size_t i = 0; i < std::min(a.captures.size(), b.captures.size()); ++i) {
        d.where = a.captures[i].id + ": ";
        holdCapture(d, a.captures[i], b.captures[i]);
    }
}

void holdRest(Differ& d, const RunRecord& a, const RunRecord& b) {
    d.hold("plan", planAsJson(a.plan), planAsJson(b.plan));
    d.hold("plan document", a.plan.text, b.plan.text);
    d.hold("pascal", a.calibration.pascalPerFullScale, b.calibration.pascalPerFullScale);
    d.hold("volts", a.calibration.voltsPerFullScale, b.calibration.voltsPerFullScale);
    d.hold("loopback volts", a.calibration.loopbackVoltsPerFullScale,
           b.calibration.loopbackVoltsPerFullScale);
    const MicrophoneResponse &m = a.calibration.microphone, &n = b.calibration.microphone;
    d.hold("microphone frequency", m.frequencyHz, n.frequencyHz);
    d.hold("microphone level", m.levelDb, n.levelDb);
    d.hold("microphone phase", m.phaseDeg, n.phaseDeg);
    d.hold("microphone file", m.sourceFile, n.sourceFile);
    d.hold("timeZero", a.timeZero, b.timeZero);
    d.hold("nominalDistanceM", a.nominalDistanceM, b.nominalDistanceM);
    d.hold("unitSizeM", a.unitSizeM, b.unitSizeM);
    d.hold("air", a.air, b.air);
    d.hold("programVersion", a.provenance.programVersion, b.provenance.programVersion);
    d.hold("commandLine", a.provenance.commandLine, b.provenance.commandLine);
    d.hold("utc", a.provenance.utc, b.provenance.utc);
    d.hold("parentRun", a.provenance.parentRun, b.provenance.parentRun);
    d.hold("number of events", a.events.size(), b.events.size());
    for (std::size_t i = 0; i < std::min(a.events.size(), b.events.size()); ++i) {
        d.hold("event time", a.events[i].utc, b.events[i].utc);
        d.hold("event text", a.events[i].text, b.events[i].text);
    }
}

}  // namespace

std::string firstDifference(const RunRecord& a, const RunRecord& b) {
    Differ d;
    holdRest(d, a, b);
    d.hold("number of drives", a.drives.size(), b.drives.size());
    for (std::size_t i = 0; i < std::min(a.drives.size(), b.drives.size()); ++i)
        holdDrive(d, a.drives[i], b.drives[i]);
    return d.result;
}

}  // namespace volvelle::testing
