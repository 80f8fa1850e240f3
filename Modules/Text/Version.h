#pragma once

namespace volvelle {

/// The program's version, as CMakeLists.txt states it: "0.1.0".
const char* programVersion();

}  // namespace volvelle
