#pragma once

#include "Run/Hdf5.h"
#include "Run/RunNames.h"
#include "Text/Error.h"

#include <string>

namespace volvelle {

/// A run whose bytes are those that were sealed, but that says what its format does not allow:
/// Error{damaged}.
[[noreturn]] inline void failFormat(const std::string& where, const std::string& what) {
    throw Error(ErrorKind::damaged, what, where,
                "The file is not what its format says: restore it from a copy");
}

/// The enumerator that a group's attribute names. Throws failFormat's error for unknown words.
template <typename Enumeration>
Enumeration attributeWord(const Hdf5Group& group, const std::string& name, const std::string& where) {
    const std::string text = group.attributeText(name);
    const auto value = fromWord<Enumeration>(text);
    if (!value) failFormat(where, "attribute '" + name + "' holds the unknown word '" + text + "'");
    return *value;
}

}  // namespace volvelle
