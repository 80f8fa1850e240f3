#pragma once

#include "Figures/Canvas.h"

#include <string>
#include <vector>

namespace volvelle {

/// A document of the drawing library made fit for keeping: names inside it numbered in the order of
/// appearance (the library counts on over the life of the process), title and description for screen readers,
/// and an invisible layer of the texts drawn.
std::string finishedSvg(const std::string& document, const std::string& title, const std::string& description,
                        const std::vector<PlacedText>& texts);

/// Text as it stands in XML.
std::string xmlEscaped(const std::string& text);

}  // namespace volvelle
