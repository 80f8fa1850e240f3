#pragma once

#include <cstddef>
#include <string>

namespace volvelle {

/// What the runs of a comparison are called, in their order: "A", "B" ... "Z".
inline std::string runLabel(std::size_t number) {
    return std::string(1, static_cast<char>('A' + static_cast<int>(number)));
}

}  // namespace volvelle
