#include "Run/Unfinished.h"

#include <algorithm>
#include <filesystem>
#include <mutex>
#include <system_error>
#include <utility>
#include <vector>

namespace volvelle {

namespace {

struct Register {
    std::mutex mutex;
    std::vector<std::string> paths;
};

/// Never destroyed: a signal may come while the process ends.
Register& unfinished() {
    static Register& all = *new Register;
    return all;
}

}  // namespace

Unfinished::Unfinished(std::string path, const std::function<void()>& make) : path_(std::move(path)) {
    const std::scoped_lock lock(unfinished().mutex);
    unfinished().paths.reserve(unfinished().paths.size() + 1);
    make();
    unfinished().paths.push_back(path_);
}

Unfinished::~Unfinished() {
    const std::scoped_lock lock(unfinished().mutex);
    auto& paths = unfinished().paths;
    if (const auto mine = std::find(paths.begin(), paths.end(), path_); mine != paths.end())
        paths.erase(mine);
}

void removeUnfinished() {
    unfinished().mutex.lock();  // and never unlocked
    for (const std::string& path : unfinished().paths) {
        // Others may be writing into a folder at this moment: what they add is removed the next time.
        std::error_code fault = std::make_error_code(std::errc::directory_not_empty);
        for (int attempt = 0; fault && attempt < 50; ++attempt) std::filesystem::remove_all(path, fault);
    }
}

}  // namespace volvelle
