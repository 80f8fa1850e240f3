#include "Conductor/Laboratory.h"

#include "Families/MakeFamily.h"
#include "Run/RunFile.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <utility>

namespace volvelle::testing {

const std::string runName = "lab/run.h5";

Plan smallPlan(const std::vector<std::string>& drives) {
    Plan plan;
    plan.unitModel = "Dunnock (invented)";
    plan.unitSizeM = 0.3;
    plan.driveQuantity = DriveQuantity::terminalVolts;
    int channel = 0;
    for (const char* name : {"front", "rear"}) {
        SectionPlan section;
        section.name = name;
        section.outputChannels = {++channel};
        section.lowHz = 40;
        section.highHz = 11000;
        section.voltageLimit = 5;
        plan.sections.push_back(section);
    }
    for (const std::string& name : drives) {
        DrivePlan drive;
        drive.name = name;
        for (const SectionPlan& section : plan.sections)
            if (name.find(section.name) != std::string::npos) drive.sections.push_back(section.name);
        drive.referenceSection = drive.sections.front();
        drive.sweep = {200, 10000, 0.2, 2};
        plan.drives.push_back(drive);
    }
    plan.distanceM = 1.5;
    plan.pascalPerFullScale = 20;
    plan.voltsPerFullScale = 10;
    plan.air = {20, 50, 101.3};
    plan.audio.sampleRateHz = 24000;
    plan.audio.loopbackInput = 2;
    plan.audio.loopbackOutput = 3;
    plan.audio.silenceBeforeS = 0.25;
    plan.audio.decayS = 0.1;
    return plan;
}

Scene smallScene() {
    Scene scene;
    scene.drivers.resize(2);
    scene.drivers[0].section = "front";
    scene.drivers[1].section = "rear";
    scene.drivers[1].cap = {{180, 0}, 18};
    for (SceneDriver& driver : scene.drivers) {
        driver.filter.resonanceHz = 110;
        driver.filter.quality = 0.7;
    }
    scene.microphoneNoise.levelDb = 15;
    scene.converters.latencyS = 0.001;
    scene.converters.startJitterS = 2e-5;
    scene.table.positionErrorDeg = 0.05;
    scene.attendantS = 60;
    return scene;
}

AngleSet smallSet(const std::string& orbitsCsv) {
    return angleSetFromCsv("orbit,angle_deg\n" + orbitsCsv, "small.csv", false);
}

AngleSet onAxis() {
    return angleSet("on-axis", false);
}

AngleSet fourAround() {
    return angleSet("horizontal-90", false);
}

AngleSet twoOrbits() {
    return smallSet("horizontal,0\nhorizontal,90\nhorizontal,180\nhorizontal,-90\nvertical,90\nvertical,-90\n");
}

void Log::add(const std::string& what, const std::string& detail, double value) {
    const std::size_t kept = countKept();
    const std::scoped_lock lock(mutex_);
    entries_.push_back({clock_.nowS(), what, detail, value, kept});
}

std::vector<Entry> Log::entries() const {
    const std::scoped_lock lock(mutex_);
    return entries_;
}

std::vector<std::string> Log::words(const std::vector<std::string>& kinds) const {
    std::vector<std::string> words;
    for (const Entry& entry : entries())
        if (std::find(kinds.begin(), kinds.end(), entry.what) != kinds.end())
            words.push_back(entry.detail.empty() ? entry.what : entry.what + " " + entry.detail);
    return words;
}

bool StoppingClock::waitUntil(double thenS, std::stop_token stop) {
    const double from = nowS();
    if (log != nullptr && !isInDevice) log->add("wait", "", thenS - from);
    if (++waits_ == atWait_) {
        inner_.waitUntil(from + (thenS - from) / 2, {});
        stop_.request_stop();
    }
    return inner_.waitUntil(thenS, std::move(stop));
}

namespace {

/// While it lives, waits are the device's own.
struct InDevice {
    explicit InDevice(StoppingClock& theClock) : clock(theClock) { clock.isInDevice = true; }
    ~InDevice() { clock.isInDevice = false; }
    InDevice(const InDevice&) = delete;
    InDevice& operator=(const InDevice&) = delete;
    StoppingClock& clock;
};

TableResult otherwise(TableOutcome outcome) {
    return {outcome, {}, "so the test wants it"};
}

}  // namespace

TableResult LoggedTable::home(std::stop_token stop) {
    log_.add("home", "");
    const InDevice inDevice(clock_);
    if (const auto found = atHome.find(++homes_); found != atHome.end()) return otherwise(found->second);
    return inner_.home(std::move(stop));
}

TableResult LoggedTable::moveTo(const TablePose& pose, std::stop_token stop) {
    log_.add("move", shortestText(pose.tableDeg));
    const InDevice inDevice(clock_);
    if (const auto found = atMove.find(++moves_); found != atMove.end()) return otherwise(found->second);
    TableResult result = inner_.moveTo(pose, std::move(stop));
    if (const auto found = readsOffAt.find(moves_); found != readsOffAt.end()) result.pose.tableDeg += found->second;
    return result;
}

void LoggedTable::stop() noexcept {
    log_.add("stop", "");
    inner_.stop();
}

AudioTake LoggedAudio::heard(const AudioShot& shot, const std::stop_token& stop) {
    if (remembered == nullptr) return inner_.play(shot, stop);
    auto& take = (*remembered)[shot.label];
    if (!take.done()) take = inner_.play(shot, stop);
    return take;
}

AudioTake LoggedAudio::play(const AudioShot& shot, std::stop_token stop) {
    float peak = 0;
    for (const OutputSignal& output : shot.outputs)
        for (const float v : output.samples) peak = std::max(peak, std::abs(v));
    log_.add("play", shot.label, double{peak});
    const InDevice inDevice(clock_);
    if (const auto found = atPlay.find(++plays_); found != atPlay.end())
        return {found->second, {}, "so the test wants it"};
    AudioTake take = heard(shot, stop);
    if (take.done()) tamper(shot, take);
    return take;
}

void LoggedAudio::silence() noexcept {
    log_.add("silence", "");
    inner_.silence();
}

bool LoggedAttendant::ask(Errand errand, const std::string& request, std::stop_token stop) {
    log_.add("ask", errand == Errand::layOnSide ? "lay" : errand == Errand::setUpright ? "upright" : "other");
    requests.push_back(request);
    return inner_.ask(errand, request, std::move(stop)) && (errand != Errand::other || goesOn);
}

Laboratory::Laboratory(const Plan& thePlan, const Scene& scene, MemoryFiles* disk, std::size_t stopAtWait)
    : plan(thePlan),
      clock(stop, stopAtWait),
      chamber(thePlan, scene, static_cast<std::uint64_t>(scene.seed), clock),
      log(clock),
      table(chamber.turntable(), log, clock),
      audio(chamber.audioPath(), log, clock),
      attendant(chamber.attendant(), log) {
    clock.log = &log;
    if (disk == nullptr) return;
    log.countKept = [disk] {
        const auto names = disk->names();
        return static_cast<std::size_t>(std::count_if(names.begin(), names.end(), [](const std::string& name) {
            return name.ends_with("-capture.h5");
        }));
    };
}

Equipment Laboratory::equipment() {
    return {table, audio, attendant, clock, [this] { return chamber.airNow(); }};
}

RunRecord Laboratory::head() {
    return headOf(plan, audio.facts(), {"test", "test", clock.utc(), ""});
}

RunAccount Laboratory::conductOn(CapturesUnderWay& captures, const AngleSet& set,
                                 const std::vector<NamedPosition>& redo) {
    RunWatcher nobody;
    return conduct(plan, set, equipment(), captures, redo, watcher != nullptr ? *watcher : nobody,
                   stop.get_token());
}

RunAccount Laboratory::carryOut(const AngleSet& set, Files& files, const std::vector<NamedPosition>& redo) {
    const auto captures = files.exists(runName + ".part/head.h5") ? CapturesUnderWay::resume(runName, files)
                                                                  : CapturesUnderWay::begin(runName, head(), files);
    RunAccount account = conductOn(*captures, set, redo);
    if (account.ending == Ending::complete) captures->seal();
    return account;
}

namespace {

std::string bits(double value) {
    std::uint64_t image = 0;
    std::memcpy(&image, &value, sizeof image);
    return std::isnan(value) ? "nan " : fmt::format("{:016x} ", image);
}

std::string bits(const std::vector<double>& values) {
    std::string text;
    for (const double v : values) text += bits(v);
    return text;
}

std::string textOf(const Capture& c, bool withState) {
    const CaptureQuality& q = c.quality;
    std::string text = fmt::format("{} {} {} {} {} ", c.id, c.repeat, c.attempt, stanceName(c.stance),
                                   c.orbit ? orbitName(*c.orbit) : "");
    if (withState) text += fmt::format("{} '{}' ", static_cast<int>(c.state), c.reason);
    for (const double v : {c.direction.azimuthDeg, c.direction.elevationDeg, c.angleDeg, c.tableDeg, c.tiltDeg,
                           c.readBackDeg, c.tiltReadBackDeg, c.distanceM, c.air.temperatureC,
                           c.air.relativeHumidityPercent, c.air.pressureKPa, q.clippedSamples, q.residueDb,
                           q.loopbackDelayS, q.arrivalS, q.polarity, q.peakPa, q.repeatDifferenceDb})
        text += bits(v);
    return text + bits(q.noiseDb) + bits(q.decayS) + bits(q.impulseNoiseDb);
}

std::string samplesText(const ReadableRun& run, std::size_t d, std::size_t c) {
    const DriveRecord& drive = run.record().drives[d];
    std::vector<float> samples(drive.channelRoles.size() * drive.samplesPerChannel);
    run.readCapture(d, c, samples);
    return {reinterpret_cast<const char*>(samples.data()), samples.size() * sizeof(float)};
}

std::string familyText(const ReadableRun& run, const std::string& drive) {
    Recipe recipe;
    recipe.lowHz = 200;
    recipe.highHz = 10000;
    const Family family = makeFamily(run, drive, recipe, 1);
    std::string text = bits(family.onAxisPhaseDeg) + bits(family.onAxisGroupDelayS);
    for (const Curve& curve : family.curves) text += curve.key + " " + bits(curve.levelDb);
    for (const DirectivityMap* map : {&family.horizontal, &family.vertical})
        for (const auto& row : map->levelDb)
            text.append(reinterpret_cast<const char*>(row.data()), row.size() * sizeof(float));
    return text;
}

}  // namespace

std::map<std::string, std::string> capturesOf(const ReadableRun& run) {
    std::map<std::string, std::string> captures;
    for (std::size_t d = 0; d < run.record().drives.size(); ++d)
        for (std::size_t c = 0; c < run.record().drives[d].captures.size(); ++c) {
            const Capture& capture = run.record().drives[d].captures[c];
            captures[capture.id] = textOf(capture, false) + samplesText(run, d, c);
        }
    return captures;
}

std::string essence(const ReadableRun& run) {
    std::map<std::string, std::string> captures;
    std::string text;
    for (std::size_t d = 0; d < run.record().drives.size(); ++d) {
        const DriveRecord& drive = run.record().drives[d];
        for (std::size_t c = 0; c < drive.captures.size(); ++c) {
            const Capture& capture = drive.captures[c];
            if (capture.kind == CaptureKind::position && capture.state != CaptureState::superseded)
                captures[capture.id] = textOf(capture, true) + samplesText(run, d, c);
        }
        text += familyText(run, drive.name);
    }
    for (const auto& [id, capture] : captures) text += capture;
    return text;
}

std::string essenceOfSealed(Files& files) {
    return essence(SealedRun(runName, files));
}

std::string undisturbedEssence(const Plan& plan, const Scene& scene, const AngleSet& set) {
    MemoryFiles files;
    Laboratory lab(plan, scene, &files);
    lab.carryOut(set, files);
    return essenceOfSealed(files);
}

}  // namespace volvelle::testing
