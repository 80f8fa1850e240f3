#include "Run/OutputFolder.h"

#include "Run/Files.h"
#include "Text/Error.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>

namespace volvelle {

void requireWritableFolder(const std::string& path) {
    const std::string folder = folderOf(path);
    std::error_code ignored;
    if (!std::filesystem::is_directory(folder, ignored))
        throw Error(ErrorKind::output, "its folder does not exist", path,
                    "Make the folder " + folder + " first, or choose another");
    if (::faccessat(AT_FDCWD, folder.c_str(), W_OK | X_OK, AT_EACCESS) != 0)
        throw Error(ErrorKind::output,
                    "its folder cannot be written to (" + std::generic_category().message(errno) + ")", path,
                    "Choose another folder, or change its permissions");
}

}  // namespace volvelle
