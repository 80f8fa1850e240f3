#pragma once

#include "Run/Files.h"
#include "Run/ReadableRun.h"

#include <memory>
#include <string>

namespace volvelle {

/// Opens a run for reading: the sealed file, or where there is none the captures under way beside it
/// (`RUN.h5.part`; the folder's own name is accepted too). Throws as SealedRun and CapturesUnderWay::look do.
std::unique_ptr<ReadableRun> openRun(const std::string& path, Files& files);

/// What openRun opens: the sealed file's path, or the folder's. The path as it is where there is neither.
std::string pathOfOpenRun(const std::string& path, const Files& files);
bool isPartFolder(const std::string& path);

/// Results say it: no digest vouches yet for the whole.
inline bool isUnsealed(const ReadableRun& run) { return run.fingerprint().empty(); }

inline const std::string unsealedNote = "the run is unsealed: its captures are under way";

/// The fingerprint, or "unsealed": what results say of where they come from.
inline std::string fingerprintOrUnsealed(const ReadableRun& run) {
    return isUnsealed(run) ? "unsealed" : run.fingerprint();
}

}  // namespace volvelle
