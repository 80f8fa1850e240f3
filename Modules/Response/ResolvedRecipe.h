#pragma once

#include "Response/Recipe.h"
#include "Run/RunRecord.h"
#include "Signal/Window.h"

#include <optional>
#include <string>
#include <vector>

namespace volvelle {

/// A recipe with nothing left open, and its windows on the run's time.
struct ResolvedRecipe {
    Recipe recipe;        ///< every optional is set (the low window's only where there is one)
    double arrivalS = 0;  ///< earliest arrival of the run: what the recipe's window times are relative to
    Window window{};      ///< seconds after time zero
    std::optional<Window> lowWindow;
    std::vector<std::string> notes;  ///< what could not be had as wished

    /// Frequency below which the windows resolve nothing.
    double resolutionHz() const;
};

/// Resolves what a recipe leaves open from the noise and the decay times of all captures of the run, so that
/// every drive of a run gets the same windows. The right edge is where the decay of the slowest octave meets
/// the noise: octaves from 2 kHz on decide the window, those below the low window; where one window serves
/// both (the low one would be no more than one and a half times as long) there is one. Throws Error{input}
/// for windows that reach beyond what was recorded or the start of impulse responses.
ResolvedRecipe resolveRecipe(const RunRecord& run, const Recipe& recipe);

}  // namespace volvelle
