#pragma once

#include <clocale>
#include <locale>
#include <string>

namespace volvelle {

/// While it lives, this process speaks German: the C locale is de_DE.UTF-8 (made by localedef in a temporary
/// folder where the system does not have it) and the C++ locale writes a comma as decimal mark and points
/// between thousands.
class CommaLocale {
public:
    CommaLocale();
    ~CommaLocale();
    CommaLocale(const CommaLocale&) = delete;
    CommaLocale& operator=(const CommaLocale&) = delete;

    /// The C locale really has a comma; false only where neither the locale nor localedef with its sources is
    /// installed.
    bool isGerman() const { return std::string(std::localeconv()->decimal_point) == ","; }

private:
    std::locale before_;
    std::string folder_;
};

}  // namespace volvelle
