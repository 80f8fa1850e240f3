#include "Run/Plan.h"
#include "Run/PlanFaults.h"
#include "Text/Error.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

/// Any bytes are a plan or bad input; a plan is written as a text that is read back to the same text, and
/// what keeps it from being carried out is bad input too.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace volvelle;
    const std::string text(reinterpret_cast<const char*>(data), size);
    Plan plan;
    try {
        plan = parsePlan(text, "input");
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
        return 0;
    }
    const std::string written = planAsJson(plan);
    plan.angles.file.clear();  // no other files than the input
    for (const Error& fault : faultsOf(plan, "input"))
        if (fault.kind() != ErrorKind::input || fault.advice().empty()) std::abort();
    if (planAsJson(parsePlan(written, "written")) != written) std::abort();
    return 0;
}
