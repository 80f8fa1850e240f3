#pragma once

#include <filesystem>
#include <string>

namespace volvelle::testing {

/// A folder on disk that is removed afterwards.
class RunFolder {
public:
    RunFolder();
    ~RunFolder();
    RunFolder(const RunFolder&) = delete;
    RunFolder& operator=(const RunFolder&) = delete;
    std::string operator/(const std::string& name) const { return (path / name).string(); }
    std::filesystem::path path;
};

/// As the system tells them.
std::string bootOfThisMachine();
std::string nameOfThisMachine();

}  // namespace volvelle::testing
