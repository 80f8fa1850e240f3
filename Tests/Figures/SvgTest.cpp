#include "Figures/Figure.h"
#include "Figures/InventedFamily.h"
#include "Figures/SvgDocument.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

/// What is not well-formed in a document, or nothing: tags nest, attributes are quoted, entities are the five
/// of XML or numbers. XML 1.0, sections 2.1, 3.1 and 4.1 as far as drawings use them.
std::string wrongIn(const std::string& xml) {
    std::vector<std::string> open;
    std::size_t at = 0, roots = 0;
    while (at < xml.size()) {
        if (xml[at] == '&') {
            const std::size_t end = xml.find(';', at);
            const std::string name = end == std::string::npos ? "" : xml.substr(at + 1, end - at - 1);
            const bool known = name == "amp" || name == "lt" || name == "gt" || name == "quot" ||
                               name == "apos" || (!name.empty() && name[0] == '#');
            if (!known) return "entity " + name;
        }
        if (static_cast<unsigned char>(xml[at]) < 0x20 && xml[at] != '\n' && xml[at] != '\t' &&
            xml[at] != '\r')
            return "control character";
        if (xml[at] != '<') {
            ++at;
            continue;
        }
        const std::size_t end = xml.find('>', at);
        if (end == std::string::npos) return "unclosed tag";
        const std::string tag = xml.substr(at + 1, end - at - 1);
        at = end + 1;
        if (tag.empty() || tag.find('<') != std::string::npos ||
            std::count(tag.begin(), tag.end(), '"') % 2 != 0)
            return "tag " + tag;
        if (tag[0] == '?' || tag[0] == '!') continue;
        const std::string name =
            tag.substr(tag[0] == '/' ? 1 : 0, tag.find_first_of(" \n/", 1) - (tag[0] == '/' ? 1 : 0));
        if (tag[0] == '/') {
            if (open.empty() || open.back() != tag.substr(1)) return "end of " + tag;
            open.pop_back();
        } else if (tag.back() != '/') {
            if (open.empty()) ++roots;
            open.push_back(name);
        }
    }
    return open.empty() && roots == 1 ? "" : "unclosed " + (open.empty() ? "root" : open.back());
}

TEST(WellFormedness, isFoundWanting) {
    EXPECT_EQ(wrongIn("<a><b x=\"1\"/>t &amp; u</a>"), "");
    for (const char* bad :
         {"<a><b></a>", "<a>&nbsp;</a>", "<a", "<a x=\"1></a>", "<a></a><b></b>", "<a>\x01</a>"})
        EXPECT_NE(wrongIn(bad), "") << bad;
}

TEST(Svg, isWellFormedForEveryKindAndRandomFamily) {
    for (const FigureKind kind : figureKinds()) {
        EXPECT_EQ(wrongIn(asSvg(inventedFamily(), kind)), "");
        for (std::uint64_t seed = 1; seed <= 12; ++seed)
            EXPECT_EQ(wrongIn(asSvg(randomFamily(seed), kind)), "") << "seed " << seed;
    }
}

TEST(Svg, holdsItsTextsForSearchAndScreenReaders) {
    const std::string svg = asSvg(inventedFamily(), FigureKind::family);
    for (const char* text : {">Listening window</text>", ">10 k</text>", ">Sound power index</text>",
                             "<title>Family of curves: Invented two-way 1, drive front</title>"}) {
        EXPECT_THAT(svg, HasSubstr(text));
    }
}

TEST(Svg, tellsNothingOfTimeOrMachine) {
    for (const FigureKind kind : figureKinds()) {
        const std::string svg = asSvg(inventedFamily(), kind);
        for (const char* word : {"date", "cairo", "2026-", "/tmp"}) EXPECT_THAT(svg, Not(HasSubstr(word)));
        EXPECT_THAT(svg, Not(HasSubstr("<metadata")));
    }
}

TEST(Svg, escapesWhatXmlReserves) {
    EXPECT_EQ(xmlEscaped("a<b>&\"c\""), "a&lt;b&gt;&amp;&quot;c&quot;");
    Family family = inventedFamily();
    family.unitModel = "A & <B>";
    EXPECT_THAT(asSvg(family, FigureKind::polar), HasSubstr("A &amp; &lt;B&gt;"));
}

}  // namespace
}  // namespace volvelle
