#pragma once

#include "Export/ResultFile.h"
#include "Families/Family.h"
#include "Figures/Figure.h"
#include "Response/Recipe.h"

#include <initializer_list>
#include <string>
#include <vector>

namespace volvelle {

/// The recipe in a file, or the default one where no file is named.
Recipe recipeFrom(const std::string& path);

/// Throws Error{output} before any work where one of these (empty: not wanted) could not be written,
/// Error{usage} where two are the same.
void checkResults(std::initializer_list<std::string> paths, bool force);

/// Draws a figure into the files that are named (empty: not wanted).
void addFigures(std::vector<ResultFile>& results, const Family& family, FigureKind kind,
                const std::string& svgPath, const std::string& pngPath);

void tellWritten(const std::vector<ResultFile>& results);

}  // namespace volvelle
