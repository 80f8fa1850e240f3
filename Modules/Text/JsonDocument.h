#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace volvelle {

/// A JSON value as it was read. The inside of JsonObject, which is what other modules use.
struct JsonValue {
    enum class Kind { null, boolean, number, text, list, object };
    Kind kind = Kind::null;
    bool truth = false;
    double number = 0;
    std::string text = {};
    std::vector<JsonValue> elements = {};                         ///< of a list
    std::vector<std::pair<std::string, JsonValue>> members = {};  ///< of an object, sorted by key

    const JsonValue* member(std::string_view key) const;  ///< null where absent
    std::string described() const;                        ///< "the text 'abc'", "the number 1.5", "a list"
    std::string asText() const;                           ///< on one line, keys sorted
};

/// Parses with comments; see JsonObject::parse for what is refused.
JsonValue parsedDocument(std::string_view text, const std::string& source);

/// A key as it stands in a JSON pointer (RFC 6901: ~ is ~0, / is ~1).
std::string jsonPointerToken(std::string_view key);

}  // namespace volvelle
