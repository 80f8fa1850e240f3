#pragma once

#include "Run/CapturesUnderWay.h"
#include "Run/Files.h"
#include "Run/RunRecord.h"

#include <memory>
#include <stop_token>
#include <string>

namespace volvelle {

/// Throws Error{input} at `where` unless both runs' drives play and record the same, sample for sample.
void requireSameShots(const RunRecord& planned, const RunRecord& begun, const std::string& where);

/// Begins a run that takes all captures and events of a sealed one over and names it as its parent. head: that of
/// the new run; its provenance counts, the rest is the parent's. Throws Error{input} where the drives differ, else
/// as CapturesUnderWay::begin and takeOverParent.
std::unique_ptr<CapturesUnderWay> beginFromParent(const ReadableRun& parent, const std::string& runPath,
                                                  const RunRecord& head, Files& files,
                                                  const std::stop_token& stop);

/// Takes over what is missing where that was interrupted; nothing where something was measured since. Throws
/// Error{input} where the run names another parent, Error{stopped} where a stop was asked for (what was taken over
/// stays), Error{output} as CapturesUnderWay::keep.
void takeOverParent(const ReadableRun& parent, CapturesUnderWay& captures, const std::stop_token& stop);

}  // namespace volvelle
