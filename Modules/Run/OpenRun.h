#pragma once

#include "Run/Files.h"
#include "Run/ReadableRun.h"

#include <memory>
#include <string>

namespace volvelle {

/// Opens a run for reading: the sealed file, or where there is none the captures under way beside it
/// (`RUN.h5.part`; the folder's own name is accepted too). Throws as SealedRun and CapturesUnderWay::look do.
std::unique_ptr<ReadableRun> openRun(const std::string& path, Files& files);

/// Results say it: no digest vouches yet for the whole.
inline bool isUnsealed(const ReadableRun& run) { return run.fingerprint().empty(); }

}  // namespace volvelle
