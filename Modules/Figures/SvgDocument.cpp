#include "Figures/SvgDocument.h"

#include "Figures/Words.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <map>

namespace volvelle {

namespace {

/// "surface12" and "image12" get numbers that depend on this document only.
std::string withOwnNumbers(const std::string& document) {
    std::map<std::string, std::string> names;
    std::string out;
    std::size_t at = 0;
    while (at < document.size()) {
        std::size_t word = 0;
        for (const std::string stem : {"surface", "image"}) {
            const bool begins = document.compare(at, stem.size(), stem) == 0 && at > 0 &&
                                (document[at - 1] == '"' || document[at - 1] == '#');
            if (begins) word = stem.size();
        }
        std::size_t end = at + word;
        while (word > 0 && end < document.size() && document[end] >= '0' && document[end] <= '9') ++end;
        if (word == 0 || end == at + word) {
            out += document[at++];
            continue;
        }
        const auto [entry, isNew] = names.try_emplace(document.substr(at, end - at), "");
        if (isNew) entry->second = fmt::format("{}-{}", document.substr(at, word), names.size());
        out += entry->second;
        at = end;
    }
    return out;
}

std::string textElement(const PlacedText& t) {
    const double length = t.style.turnDeg == 0 ? t.box.width() : t.box.height();
    const std::string place =
        t.style.turnDeg == 0
            ? fmt::format(R"(x="{}" y="{}")", fixedText(t.baseline.x, 2), fixedText(t.baseline.y, 2))
            : fmt::format(R"x(transform="translate({} {}) rotate({})")x", fixedText(t.baseline.x, 2),
                          fixedText(t.baseline.y, 2), fixedText(-t.style.turnDeg, 0));
    return fmt::format(R"(<text {} font-size="{}" textLength="{}">{}</text>)"
                       "\n",
                       place, fixedText(t.style.size, 2), fixedText(length, 2), xmlEscaped(t.text));
}

}  // namespace

std::string xmlEscaped(const std::string& text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            default:
                out += c;
        }
    }
    return out;
}

std::string finishedSvg(const std::string& document, const std::string& title, const std::string& description,
                        const std::vector<PlacedText>& texts) {
    std::string out = withOwnNumbers(document);
    const std::size_t open = out.find("<svg");
    const std::size_t head = open == std::string::npos ? open : out.find('>', open);
    const std::size_t foot = out.rfind("</svg>");
    if (head == std::string::npos || foot == std::string::npos) {
        throw Error(ErrorKind::bug, "the drawing library gave no SVG document", "figure",
                    "Please report this");
    }
    std::string layer = "<g font-family=\"'DejaVu Sans', sans-serif\" fill=\"#000000\" fill-opacity=\"0\">\n";
    for (const PlacedText& t : texts) layer += textElement(t);
    out.insert(foot, layer + "</g>\n");
    out.insert(head + 1, fmt::format("\n<title>{}</title>\n<desc>{}</desc>", xmlEscaped(drawable(title)),
                                     xmlEscaped(drawable(description))));
    return out;
}

}  // namespace volvelle
