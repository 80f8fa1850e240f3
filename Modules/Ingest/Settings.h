#pragma once

#include "Ingest/Ingest.h"
#include "Quality/Judge.h"

#include <string>
#include <vector>

namespace volvelle {

/// The options and the plan, brought together and checked.
struct IngestSettings {
    CaptureForm form = CaptureForm::recording;
    RunRecord run;  ///< everything of the run but its drives and provenance
    std::vector<int>
        channels;  ///< of the files that are kept, from 1 on: the microphone's, then the loopback's
    int jobs = 1;
    bool planStatesLoopback = false;  ///< the plan has the loopback's volts per full scale
};

/// Throws Error{usage} naming the option for every value or combination that makes no sense. Reads no file.
void checkOptions(const IngestOptions& options);

/// Throws Error{output} where the output exists or its folder does not take files.
void checkOutput(const std::string& path, const Files& files);

/// Reads plan and microphone response and lets the options override the plan. Throws Error{usage} for what
/// neither states, Error{input} for what is wrong in the files.
IngestSettings resolveSettings(const IngestOptions& options);

/// What the run states that judging needs.
JudgeSettings judgeSettings(const RunRecord& run);

}  // namespace volvelle
