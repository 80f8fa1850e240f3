#include "Command/Results.h"

#include "Text/Error.h"
#include "Text/TextFile.h"

#include <set>
#include <string_view>

namespace volvelle {

Recipe recipeFrom(const std::string& path) {
    return path.empty() ? Recipe{} : parseRecipe(readTextFile(path), path);
}

void checkResults(std::initializer_list<std::string> paths, bool force) {
    std::set<std::string> known;
    for (const std::string& path : paths) {
        if (path.empty()) continue;
        if (!known.insert(path).second)
            throw Error(ErrorKind::usage, "two results would be written to one file", path,
                        "Name them apart");
        checkResultFile(path, force);
    }
}

void writeFigures(const Family& family, FigureKind kind, const std::string& svgPath,
                  const std::string& pngPath, bool force) {
    if (!svgPath.empty()) writeResultFile(svgPath, asSvg(family, kind), force);
    if (pngPath.empty()) return;
    const auto png = asPng(family, kind);
    writeResultFile(pngPath, std::string_view(reinterpret_cast<const char*>(png.data()), png.size()), force);
}

}  // namespace volvelle
