#pragma once

#include "Chamber/SimulatedChamber.h"
#include "Clock/SimulatedClock.h"
#include "Conductor/Conductor.h"
#include "Run/CapturesUnderWay.h"
#include "Run/MemoryFiles.h"

#include <cstddef>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

// A simulated chamber whose every call is written down with its time, and may be made to end otherwise.
namespace volvelle::testing {

/// front on output 1, rear on 2, the loopback from output 3 to input 2; sweeps of 0.2 s at 24 kHz. drives: "front",
/// "rear", "front+rear".
Plan smallPlan(const std::vector<std::string>& drives = {"front"});
/// Two caps on a sphere with the noise of a good microphone.
Scene smallScene();
AngleSet smallSet(const std::string& orbitsCsv);
AngleSet onAxis();
AngleSet fourAround();  ///< horizontal-90
AngleSet twoOrbits();   ///< 4 of the horizontal orbit and 2 of the vertical one, on the side

/// A fault that says when later.
inline SceneFault faultOf(FaultKind kind) {
    SceneFault fault{};
    fault.kind = kind;
    return fault;
}

/// What happened, in order.
struct Entry {
    double atS;
    std::string what;       ///< "home", "move", "wait", "play", "ask", "silence", "stop"
    std::string detail;     ///< a shot's label, a position's table angle, an errand
    double value = 0;       ///< peak of what plays; seconds waited
    std::size_t kept = 0;   ///< captures on the disk at that time
};

class Log {
public:
    explicit Log(Clock& clock) : clock_(clock) {}
    void add(const std::string& what, const std::string& detail, double value = 0);
    std::vector<Entry> entries() const;
    /// What happened, without times: "home, move 0, wait, play first ...".
    std::vector<std::string> words(const std::vector<std::string>& kinds) const;
    std::function<std::size_t()> countKept = [] { return std::size_t{0}; };

private:
    Clock& clock_;
    mutable std::mutex mutex_;
    std::vector<Entry> entries_;
};

/// Asks for a stop within the n-th wait (from 1; 0: never), halfway.
class StoppingClock final : public Clock {
public:
    StoppingClock(std::stop_source& stop, std::size_t atWait) : stop_(stop), atWait_(atWait) {}
    double nowS() const override { return inner_.nowS(); }
    std::string utc() const override { return inner_.utc(); }
    bool waitUntil(double thenS, std::stop_token stop) override;
    std::size_t waits() const { return waits_; }
    Log* log = nullptr;
    bool isInDevice = false;  ///< its waits are its own

private:
    std::stop_source& stop_;
    std::size_t atWait_, waits_ = 0;
    SimulatedClock inner_{1'800'000'000'000};
};

class LoggedTable final : public Turntable {
public:
    LoggedTable(Turntable& inner, Log& log, StoppingClock& clock) : inner_(inner), log_(log), clock_(clock) {}
    const TableFacts& facts() const override { return otherFacts ? *otherFacts : inner_.facts(); }
    TableResult home(std::stop_token stop) override;
    TableResult moveTo(const TablePose& pose, std::stop_token stop) override;
    TableResult where() override { return inner_.where(); }
    void stop() noexcept override;
    /// The outcome of the n-th call of home or moveTo, from 1, instead of its own.
    std::map<std::size_t, TableOutcome> atHome, atMove;
    std::map<std::size_t, double> readsOffAt;  ///< after the n-th move it says that it stands so many degrees off
    std::optional<TableFacts> otherFacts;

private:
    Turntable& inner_;
    Log& log_;
    StoppingClock& clock_;
    std::size_t homes_ = 0, moves_ = 0;
};

class LoggedAudio final : public AudioPath {
public:
    LoggedAudio(AudioPath& inner, Log& log, StoppingClock& clock) : inner_(inner), log_(log), clock_(clock) {}
    const AudioFacts& facts() const override { return inner_.facts(); }
    AudioTake play(const AudioShot& shot, std::stop_token stop) override;
    void silence() noexcept override;
    std::map<std::size_t, AudioOutcome> atPlay;  ///< of the n-th, from 1, instead of its own
    std::function<void(const AudioShot&, AudioTake&)> tamper = [](const AudioShot&, AudioTake&) {};
    /// Takes by label, heard before: time passes, but nothing is computed.
    std::map<std::string, AudioTake>* remembered = nullptr;

private:
    AudioTake heard(const AudioShot& shot, const std::stop_token& stop);
    AudioPath& inner_;
    Log& log_;
    StoppingClock& clock_;
    std::size_t plays_ = 0;
};

class LoggedAttendant final : public Attendant {
public:
    LoggedAttendant(Attendant& inner, Log& log) : inner_(inner), log_(log) {}
    bool ask(Errand errand, const std::string& request, std::stop_token stop) override;
    bool goesOn = true;                 ///< after faults
    std::vector<std::string> requests;  ///< in the words that were put

private:
    Attendant& inner_;
    Log& log_;
};

/// One sitting: equipment that is made anew, as with a new process.
struct Laboratory {
    Laboratory(const Plan& plan, const Scene& scene, MemoryFiles* disk = nullptr, std::size_t stopAtWait = 0);

    Plan plan;
    std::stop_source stop;
    StoppingClock clock;
    SimulatedChamber chamber;
    Log log;
    LoggedTable table;
    LoggedAudio audio;
    LoggedAttendant attendant;

    Equipment equipment();
    RunRecord head();
    /// Begins or resumes "run.h5" and carries it out; seals it where it is complete.
    RunAccount carryOut(const AngleSet& set, Files& files, const std::vector<NamedPosition>& redo = {});
    /// Without sealing.
    RunAccount conductOn(CapturesUnderWay& captures, const AngleSet& set,
                         const std::vector<NamedPosition>& redo = {});
    RunWatcher* watcher = nullptr;
};

extern const std::string runName;

/// What is to be equal of two runs, whatever happened between: captures of positions that count, samples and
/// record (times aside), bit for bit, and the curves that families make of them.
std::string essence(const ReadableRun& run);
std::string essenceOfSealed(Files& files);

/// The captures of a run by their ids, with their samples, as text to compare.
std::map<std::string, std::string> capturesOf(const ReadableRun& run);

/// Made once for each plan, set and scene that the tests use.
std::string undisturbedEssence(const Plan& plan, const Scene& scene, const AngleSet& set);

}  // namespace volvelle::testing
