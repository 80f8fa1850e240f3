#include "Run/OpenRun.h"

#include "Run/CapturesUnderWay.h"
#include "Run/PartFolder.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

namespace volvelle {

std::string pathOfOpenRun(const std::string& path, const Files& files) {
    const std::string run = runPathOf(path);
    if (files.exists(run)) return run;
    return files.exists(partFolderOf(run)) ? partFolderOf(run) : path;
}

bool isPartFolder(const std::string& path) {
    return runPathOf(path) != path;
}

std::unique_ptr<ReadableRun> openRun(const std::string& path, Files& files) {
    const std::string found = pathOfOpenRun(path, files);
    if (!isPartFolder(found) || !files.exists(found)) return std::make_unique<SealedRun>(found, files);
    try {
        return CapturesUnderWay::look(found, files);
    } catch (const Error& error) {
        // Its parts go away once it is sealed.
        if (error.kind() != ErrorKind::input || !files.exists(runPathOf(found))) throw;
        return std::make_unique<SealedRun>(runPathOf(found), files);
    }
}

}  // namespace volvelle
