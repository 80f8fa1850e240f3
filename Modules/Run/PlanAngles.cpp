#include "Run/PlanAngles.h"

#include "Text/Error.h"
#include "Text/TextFile.h"

#include <filesystem>

namespace volvelle {

AngleSet angleSetOf(const Plan& plan, const std::string& planPath) {
    if (!plan.angles.file.empty()) {
        const std::string path =
            (std::filesystem::path(planPath).parent_path() / std::filesystem::path(plan.angles.file))
                .string();
        return angleSetFromCsv(readTextFile(path), path, plan.table.hasTilt);
    }
    if (plan.angles.set.empty())
        throw Error(ErrorKind::input, "/angles/set is missing", planPath,
                    "Name an angle set, two-orbits-10 for the curves of CTA-2034-A, or a file of positions");
    try {
        return angleSet(plan.angles.set, plan.table.hasTilt);
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::usage) throw;
        throw Error(ErrorKind::input, "/angles/set: " + error.problem(), planPath, error.advice());
    }
}

}  // namespace volvelle
