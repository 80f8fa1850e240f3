#include "Command/Results.h"

#include "Command/Screen.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <set>

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

void addFigures(std::vector<ResultFile>& results, const Family& family, FigureKind kind,
                const std::string& svgPath, const std::string& pngPath) {
    if (!svgPath.empty()) results.push_back({svgPath, asSvg(family, kind)});
    if (pngPath.empty()) return;
    const auto png = asPng(family, kind);
    results.push_back({pngPath, {reinterpret_cast<const char*>(png.data()), png.size()}});
}

void tellWritten(const std::vector<ResultFile>& results) {
    for (const ResultFile& result : results) say(wrapped("Written: " + result.path));
}

}  // namespace volvelle
