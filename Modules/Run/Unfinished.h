#pragma once

#include <functional>
#include <string>

namespace volvelle {

/// A file or folder on disk that is being made and is worth nothing until it is finished. While an object of
/// this class lives, removeUnfinished removes what bears its name. Any thread.
class Unfinished {
public:
    /// Calls `make` and takes the name down; no removal comes between the two. Where `make` throws, nothing
    /// is taken down.
    Unfinished(std::string path, const std::function<void()>& make);
    ~Unfinished();  ///< forgets the name: what bears it is finished, or was removed
    Unfinished(const Unfinished&) = delete;
    Unfinished& operator=(const Unfinished&) = delete;

private:
    std::string path_;
};

/// Removes all that is unfinished and lets nothing begin or finish any more: whoever tries waits for ever.
/// For the thread that is about to end the process. Throws nothing.
void removeUnfinished();

}  // namespace volvelle
