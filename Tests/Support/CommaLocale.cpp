#include "Support/CommaLocale.h"

#include <cstdlib>
#include <filesystem>
#include <random>

namespace volvelle {
namespace {

struct CommaMarks : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
};

}  // namespace

CommaLocale::CommaLocale()
    : before_(std::locale::global(std::locale(std::locale::classic(), new CommaMarks))) {
    if (std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr) return;
    folder_ = (std::filesystem::temp_directory_path() /
               ("volvelle-locale-" + std::to_string(std::random_device{}())))
                  .string();
    std::filesystem::create_directories(folder_);
    const std::string command =
        "localedef -i de_DE -f UTF-8 --no-archive '" + folder_ + "/de_DE.UTF-8' > /dev/null 2>&1";
    if (std::system(command.c_str()) != 0) return;
    ::setenv("LOCPATH", folder_.c_str(), 1);
    std::setlocale(LC_ALL, "de_DE.UTF-8");
}

CommaLocale::~CommaLocale() {
    std::setlocale(LC_ALL, "C");
    std::locale::global(before_);
    if (folder_.empty()) return;
    ::unsetenv("LOCPATH");
    std::filesystem::remove_all(folder_);
}

}  // namespace volvelle
