#include "Run/RunFolder.h"

#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <system_error>

namespace volvelle::testing {

namespace {

std::string firstLineOf(const char* path) {
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);
    return line;
}

}  // namespace

RunFolder::RunFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "volvelle-run-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::system_error(errno, std::generic_category());
    path = name;
}

RunFolder::~RunFolder() {
    std::error_code fault;  // what is mounted there goes first
    std::filesystem::remove_all(path, fault);
}

std::string bootOfThisMachine() {
    return firstLineOf("/proc/sys/kernel/random/boot_id");
}

std::string nameOfThisMachine() {
    return firstLineOf("/proc/sys/kernel/hostname");
}

}  // namespace volvelle::testing
