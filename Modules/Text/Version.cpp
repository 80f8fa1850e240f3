#include "Text/Version.h"

namespace volvelle {

const char* programVersion() { return VOLVELLE_VERSION; }

}  // namespace volvelle
