#pragma once

#include <string>

namespace volvelle {

/// Throws Error{output} at `path` where its folder is missing or does not take new files. For a look before
/// long work; nothing is changed.
void requireWritableFolder(const std::string& path);

}  // namespace volvelle
