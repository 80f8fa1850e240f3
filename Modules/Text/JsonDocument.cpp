#include "Text/JsonDocument.h"

#include "Text/Error.h"
#include "Text/InQuotes.h"
#include "Text/JsonWriter.h"
#include "Text/Number.h"
#include "Text/TextFile.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <set>
#include <vector>

namespace volvelle {
namespace {

using nlohmann::json;

constexpr std::size_t deepest = 64;

/// "line 3, column 7" of the byte that ends the first `byteCount` bytes; columns count characters.
std::string placeOf(std::string_view text, std::size_t byteCount) {
    const std::size_t last = std::min(byteCount == 0 ? 0 : byteCount - 1, text.size());
    const std::string_view before = text.substr(0, last);
    const auto line = 1 + std::count(before.begin(), before.end(), '\n');
    const auto lineStart = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
    const auto isStart = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; };
    const auto inLine = before.substr(lineStart);
    return fmt::format("line {}, column {}", line, 1 + std::count_if(inLine.begin(), inLine.end(), isStart));
}

/// What the parser says without its own prefix: "unexpected '}'; expected string literal".
std::string reason(const std::string& message) {
    for (const std::string_view mark : {" - ", "parse error: ", "] "}) {
        const auto at = message.find(mark);
        if (at != std::string::npos) return message.substr(at + mark.size());
    }
    return message;
}

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

/// The number with a decimal comma whose second part was refused there: "2,5"; empty where it is none.
std::string_view commaNumber(std::string_view text, std::size_t position) {
    std::size_t end = std::min(position, text.size());
    if (end > 0 && !isDigit(text[end - 1])) --end;  // the parser looks a character ahead
    std::size_t comma = end;
    while (end < text.size() && isDigit(text[end])) ++end;  // of 2,05 it has read 0
    while (comma > 0 && isDigit(text[comma - 1])) --comma;
    if (comma < 2 || text[comma - 1] != ',' || !isDigit(text[comma - 2])) return {};
    std::size_t start = comma - 2;
    while (start > 0 && (isDigit(text[start - 1]) || text[start - 1] == '-')) --start;
    return text.substr(start, end - start);
}

/// Builds the document and refuses what the plain parser lets pass: a key that stands twice, and deep
/// nesting.
class DocumentBuilder : public nlohmann::json_sax<json> {
public:
    DocumentBuilder(std::string_view text, const std::string& source) : text_(text), source_(source) {}

    JsonValue document;

    bool null() override { return add({}); }
    bool boolean(bool value) override { return add({.kind = Kind::boolean, .truth = value}); }
    bool number_integer(number_integer_t value) override { return number(static_cast<double>(value)); }
    bool number_unsigned(number_unsigned_t value) override { return number(static_cast<double>(value)); }
    bool number_float(number_float_t value, const string_t&) override { return number(value); }
    bool string(string_t& value) override { return add({.kind = Kind::text, .text = std::move(value)}); }
    bool binary(binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(Kind::object); }
    bool start_array(std::size_t) override { return open(Kind::list); }
    bool end_array() override { return close(); }

    bool end_object() override {
        auto& members = open_.back().value.members;
        std::sort(members.begin(), members.end(),
                  [](const auto& a, const auto& b) { return a.first < b.first; });
        return close();
    }

    bool key(string_t& value) override {
        Open& object = open_.back();
        if (!object.keys.insert(value).second)
            throw Error(ErrorKind::input, fmt::format("{} has the key {} twice", pointer(), inQuotes(value)),
                        source_, "Keep one of them");
        object.key = std::move(value);
        return true;
    }

    bool parse_error(std::size_t position, const std::string&,
                     const nlohmann::detail::exception& fault) override {
        const std::string why = reason(fault.what());
        if (std::string number(commaNumber(text_, position));
            !number.empty() && why.starts_with("unexpected number literal; expected string literal")) {
            const std::string problem = fmt::format("{} is written with a decimal comma", number);
            std::replace(number.begin(), number.end(), ',', '.');
            throw Error(
                ErrorKind::input, problem, source_ + ", " + placeOf(text_, position),
                fmt::format("Write a point, {}, or quote the next key where the comma ends the member",
                            number));
        }
        const std::string shown = inQuotes(why);
        throw Error(ErrorKind::input, "the JSON cannot be read: " + shown.substr(1, shown.size() - 2),
                    source_ + ", " + placeOf(text_, position), "Check it and what stands just before");
    }

private:
    using Kind = JsonValue::Kind;

    /// A list or object whose end has not come yet.
    struct Open {
        JsonValue value;
        std::string key;             ///< of the member that comes next
        std::set<std::string> keys;  ///< all so far
    };

    bool number(double value) { return add({.kind = Kind::number, .number = value}); }

    bool add(JsonValue&& value) {
        if (open_.empty())
            document = std::move(value);
        else if (Open& parent = open_.back(); parent.value.kind == Kind::list)
            parent.value.elements.push_back(std::move(value));
        else
            parent.value.members.emplace_back(std::move(parent.key), std::move(value));
        return true;
    }

    bool open(Kind kind) {
        if (open_.size() == deepest)
            throw Error(ErrorKind::input,
                        fmt::format("lists and objects are nested too deep (more than {} levels)", deepest),
                        source_, "Check that it is the right file");
        open_.push_back({{.kind = kind}, {}, {}});
        return true;
    }

    bool close() {
        JsonValue value = std::move(open_.back().value);
        open_.pop_back();
        return add(std::move(value));
    }

    /// Of the innermost list or object that is open.
    std::string pointer() const {
        std::string joined;
        for (std::size_t i = 0; i + 1 < open_.size(); ++i) {
            const Open& parent = open_[i];
            joined += parent.value.kind == Kind::list ? fmt::format("/{}", parent.value.elements.size())
                                                      : "/" + jsonPointerToken(parent.key);
        }
        return joined.empty() ? "the document" : joined;
    }

    std::string_view text_;
    const std::string& source_;
    std::vector<Open> open_;
};

}  // namespace

const JsonValue* JsonValue::member(std::string_view key) const {
    const auto found =
        std::lower_bound(members.begin(), members.end(), key,
                         [](const auto& entry, std::string_view name) { return entry.first < name; });
    return found != members.end() && found->first == key ? &found->second : nullptr;
}

JsonValue parsedDocument(std::string_view text, const std::string& source) {
    requireUtf8(text, source);
    text = withoutByteOrderMark(text);
    DocumentBuilder builder(text, source);
    json::sax_parse(text.begin(), text.end(), &builder, nlohmann::detail::input_format_t::json, true, true);
    return std::move(builder.document);
}

std::string JsonValue::described() const {
    switch (kind) {
        case Kind::null:
            return "null";
        case Kind::boolean:
            return truth ? "true" : "false";
        case Kind::number:
            return "the number " + shortestText(number);
        case Kind::text:
            return "the text " + inQuotes(text);
        case Kind::list:
            return "a list";
        case Kind::object:
            return "an object";
    }
    return {};
}

std::string JsonValue::asText() const {
    const auto joined = [](const auto& values, auto toText) {
        std::string out;
        for (const auto& value : values) out += (out.empty() ? "" : ", ") + toText(value);
        return out;
    };
    switch (kind) {
        case Kind::null:
            return "null";
        case Kind::boolean:
            return truth ? "true" : "false";
        case Kind::number:
            return shortestText(number);
        case Kind::text:
            return jsonQuoted(text);
        case Kind::list:
            return "[" + joined(elements, [](const JsonValue& v) { return v.asText(); }) + "]";
        case Kind::object:
            return "{" +
                   joined(members,
                          [](const auto& m) { return jsonQuoted(m.first) + ": " + m.second.asText(); }) +
                   "}";
    }
    return {};
}

std::string jsonPointerToken(std::string_view key) {
    std::string token;
    for (const char c : key) {
        if (c == '~')
            token += "~0";
        else if (c == '/')
            token += "~1";
        else
            token += c;
    }
    return token;
}

}  // namespace volvelle
