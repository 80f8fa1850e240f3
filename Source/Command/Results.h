#pragma once

#include "Export/ResultFile.h"
#include "Families/Family.h"
#include "Figures/Figure.h"
#include "Response/Recipe.h"

#include <CLI/CLI.hpp>

#include <string>
#include <vector>

namespace volvelle {

/// What every command that makes results of a run is told, as it was written.
struct ResultLine {
    std::string run, drive, recipe, jobs;
    bool force = false;
};

/// Adds an option with a text value.
CLI::Option* addText(CLI::App& sub, const char* name, std::string& value, const char* type,
                     const char* meaning);

/// Adds RUN.h5 and --drive, both needed.
void addRunAndDrive(CLI::App& sub, ResultLine& line);

/// Adds --recipe, --jobs and --force.
void addMaking(CLI::App& sub, ResultLine& line);

/// The recipe in a file, or the default one where no file is named.
Recipe recipeFrom(const std::string& path);

/// A file that is asked for with an option such as --csv, which names its format. Empty path: not wanted.
struct WantedFile {
    std::string option, path;
};

/// Throws Error{output} before any work where one of these could not be written, Error{usage} where two are
/// the same or the name ends like a file of another format.
void checkResults(const std::vector<WantedFile>& wanted, bool force);

/// Draws a figure into the files that are named (empty: not wanted).
void addFigures(std::vector<ResultFile>& results, const Family& family, FigureKind kind,
                const std::string& svgPath, const std::string& pngPath);

/// Draws a plate into the files that are named (empty: not wanted).
template <typename Plate>
void addPlate(std::vector<ResultFile>& results, const Plate& plate, const std::string& svg,
              const std::string& png) {
    if (!svg.empty()) results.push_back({svg, asSvg(plate)});
    if (png.empty()) return;
    const auto bytes = asPng(plate);
    results.push_back({png, {reinterpret_cast<const char*>(bytes.data()), bytes.size()}});
}

void tellWritten(const std::vector<ResultFile>& results);

}  // namespace volvelle
