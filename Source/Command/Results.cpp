#include "Command/Results.h"

#include "Command/Screen.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <set>

namespace volvelle {

namespace {

/// Endings of file names that promise a format.
constexpr std::array formats{"bmp", "csv", "eps", "gif",  "h5",  "hdf5", "jpeg", "jpg",  "json", "ods", "pdf",
                             "png", "ps",  "svg", "tiff", "tif", "tsv",  "wav",  "webp", "xls",  "xlsx"};

void checkEnding(const std::string& option, const std::string& path) {
    std::string ending = std::filesystem::path(path).extension().string();
    if (ending.empty()) return;
    ending.erase(0, 1);
    for (char& c : ending)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (option.ends_with("-" + ending) || std::find(formats.begin(), formats.end(), ending) == formats.end())
        return;
    throw Error(
        ErrorKind::usage, fmt::format("{} does not write files of the kind .{}", option, ending), path,
        fmt::format("Let the name end in .{}, or give another option", option.substr(option.rfind('-') + 1)));
}

}  // namespace

CLI::Option* addText(CLI::App& sub, const char* name, std::string& value, const char* type,
                     const char* meaning) {
    return sub.add_option(name, value, meaning)->type_name(type);
}

void addRunAndDrive(CLI::App& sub, ResultLine& line) {
    sub.add_option("RUN.h5", line.run, "A sealed run")->required();
    addText(sub, "--drive", line.drive, "NAME", "Its drive: front, rear, front+rear ...")->required();
}

void addMaking(CLI::App& sub, ResultLine& line) {
    addText(sub, "--recipe", line.recipe, "RECIPE.json", "Windows, grid, smoothing (Docs/recipe.md)");
    addText(sub, "--jobs", line.jobs, "N", "Threads (where not given: one for each processor)");
    sub.add_flag("--force", line.force, "Replace result files that exist");
}

Recipe recipeFrom(const std::string& path) {
    return path.empty() ? Recipe{} : parseRecipe(readTextFile(path), path);
}

void checkResults(const std::vector<WantedFile>& wanted, bool force) {
    std::set<std::string> known;
    for (const auto& [option, path] : wanted) {
        if (path.empty()) continue;
        if (!known.insert(path).second)
            throw Error(ErrorKind::usage, "two results would be written to one file", path,
                        "Name them apart");
        checkResultFile(path, force);
        checkEnding(option, path);
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
