#include "Response/Recipe.h"
#include "Text/Error.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

/// Any bytes are a recipe or bad input; a recipe is written as a text that is read back to the same text.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace volvelle;
    const std::string text(reinterpret_cast<const char*>(data), size);
    Recipe recipe;
    try {
        recipe = parseRecipe(text, "input");
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
        return 0;
    }
    const std::string written = recipeAsJson(recipe);
    if (recipeAsJson(parseRecipe(written, "written")) != written) std::abort();
    return 0;
}
