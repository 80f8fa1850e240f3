#pragma once

#include "Run/Files.h"
#include "Run/ReadableRun.h"
#include "Run/RunFile.h"

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// A run that is being carried out: its captures lie one by one in the folder `RUN.h5.part` beside the file
/// that it will become. One process writes at a time: a lock in the folder names it; one that no longer
/// lives has lost its lock. The writer's methods are called by one thread. readCapture() is thread-safe and
/// sees what was kept before the call; record() changes with every capture and is for the writer's thread, or
/// for when nothing is written: others look() for themselves.
///
/// What was kept is on the disk for good: keep() and note() return only after the data, and the folder that
/// names it, were synced. Of several attempts at one capture (same drive, kind, direction, orbit, stance,
/// repeat) the last that is not doubtful counts, else the last; the others are superseded.
class CapturesUnderWay final : public ReadableRun {
public:
    /// A new run. `head` holds everything but captures and events: its drives' captures and events are
    /// empty; the excitations are there; text responses are not captured. Throws Error{output} where the run or
    /// its folder exists (naming what to do: --resume) or cannot be made; then nothing is left behind. A folder
    /// without a head, left by a process that was stopped within this call, is taken over.
    static std::unique_ptr<CapturesUnderWay> begin(const std::string& runPath, const RunRecord& head,
                                                   Files& files);

    /// Goes on with a run that was stopped. Parts that were never finished are removed. Throws Error{input}
    /// where there is none, Error{output} where a living process holds its lock (naming it) and where the run
    /// is sealed already (what was left of its parts is removed then, if the sealed run is intact and holds
    /// them), Error{damaged} naming parts whose digests do not agree. Samples are checked when they are read.
    static std::unique_ptr<CapturesUnderWay> resume(const std::string& runPath, Files& files);

    /// Reads without a lock, also while another process writes. Throws as resume does.
    static std::unique_ptr<CapturesUnderWay> look(const std::string& runPath, Files& files);

    ~CapturesUnderWay() override;  ///< gives up the lock; the captures stay

    /// Keeps a capture of a drive: channel after channel, samplesPerChannel each, at full scale 1.0 (rounded to
    /// integers where the drive's samples are int32). Returns once it is safe. Throws Error{output} where it is
    /// not; the run goes on as if it had not been called.
    void keep(std::size_t drive, const Capture& capture, std::span<const float> samples);

    /// Adds an event. Returns once it is safe. Throws Error{output}.
    void note(const Event& event);

    /// Judgements that only the whole run allows (repeats, drift, jumps of noise): replaces the qualities,
    /// states and reasons of a drive's captures before sealing, and decides anew which attempts count (of one
    /// that is superseded the judgement of its own stays). In memory only.
    void restate(std::size_t drive, std::span<const Capture> captures);

    /// Makes the sealed run of all captures and events, and removes the folder once that has succeeded (what
    /// cannot be removed then is left and harmless: resume and begin say that the run is sealed). Throws as
    /// writeSealedRun, and Error{input} naming a drive without captures; then the folder is as it was.
    /// Afterwards only record() and path() are of use.
    void seal();

    // ReadableRun: record() holds what was kept so far, superseded captures marked; fingerprint() is empty;
    // path() is the folder's.
    const RunRecord& record() const override;
    const std::string& fingerprint() const override;
    const std::string& path() const override;
    void readCapture(std::size_t drive, std::size_t capture, std::span<float> out) const override;
    void readAhead(std::size_t drive) const override;

private:
    struct State;
    explicit CapturesUnderWay(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

/// Reads every byte of the head and the parts and holds it against their digests: one report for each file.
/// Throws Error{input} where there is no such folder.
std::vector<PieceReport> verifyCapturesUnderWay(const std::string& runPath, Files& files);

}  // namespace volvelle
