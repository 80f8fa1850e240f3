#pragma once

#include "Run/ReadableRun.h"

#include <vector>

namespace volvelle {

/// Captures in memory, for timing what is computed of them without disk and digests.
class MemoryRun final : public ReadableRun {
public:
    MemoryRun(RunRecord record, std::vector<std::vector<float>> captures)
        : record_(std::move(record)), captures_(std::move(captures)) {}

    const RunRecord& record() const override { return record_; }
    const std::string& fingerprint() const override { return none_; }
    const std::string& path() const override { return none_; }
    /// Every drive has the same captures.
    void readCapture(std::size_t, std::size_t capture, std::span<float> out) const override {
        std::copy(captures_[capture].begin(), captures_[capture].end(), out.begin());
    }
    void readAhead(std::size_t) const override {}

private:
    RunRecord record_;
    std::vector<std::vector<float>> captures_;
    std::string none_;
};

/// 70 captures of two channels, 3.5 s at 48 kHz, of a 3 s sweep; invented: a decaying impulse in each. As
/// many drives as wanted share them.
MemoryRun benchmarkRun(int drives);

}  // namespace volvelle
