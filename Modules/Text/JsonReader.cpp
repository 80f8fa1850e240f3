#include "Text/JsonReader.h"

#include "Text/InQuotes.h"
#include "Text/JsonDocument.h"
#include "Text/Nearest.h"

#include <fmt/format.h>

#include <algorithm>

namespace volvelle {

struct JsonObject::Node {
    using Kind = JsonValue::Kind;

    std::shared_ptr<const JsonValue> document;
    const JsonValue* value;
    std::string source, pointer;
    std::vector<std::string> asked;

    /// The value of a key, which is known from now on; null where absent. Throws where the document says
    /// null.
    const JsonValue* find(std::string_view key) {
        std::string name(key);
        if (std::find(asked.begin(), asked.end(), name) == asked.end()) asked.push_back(name);
        const JsonValue* found = value->member(key);
        if (found != nullptr && found->kind == Kind::null)
            throw error(key, "is null", "Leave the key out where nothing is stated");
        return found;
    }

    std::string pointerTo(std::string_view key) const { return pointer + "/" + jsonPointerToken(key); }

    Error error(std::string_view key, const std::string& problem, const std::string& advice) const {
        return errorAt(key.empty() ? pointer : pointerTo(key), problem, advice);
    }

    Error errorAt(const std::string& at, const std::string& problem, const std::string& advice) const {
        const std::string shown = at.empty() ? "the document" : at;
        return {ErrorKind::input, fmt::format("{} {}", shown, problem), source, advice};
    }

    double numberAt(const JsonValue& number, const std::string& at, const Range& range) const {
        const std::string advice = fmt::format("Write a number {}", range.text());
        if (number.kind != Kind::number)
            throw errorAt(at, fmt::format("is {}, not a number", number.described()), advice);
        const double x = number.number;
        if (!range.contains(x))
            throw errorAt(at, fmt::format("is {}, outside its range", shortestText(x)), advice);
        return x;
    }

    int wholeNumberAt(const JsonValue& number, const std::string& at, int low, int high) const {
        const double x = numberAt(number, at, Range::between(low, high));
        const int whole = static_cast<int>(x);
        if (static_cast<double>(whole) != x)
            throw errorAt(at, fmt::format("is {}, not a whole number", shortestText(x)),
                          fmt::format("Write a whole number from {} to {}", low, high));
        return whole;
    }

    std::string textAt(const JsonValue& text, const std::string& at, std::size_t longest) const {
        if (text.kind != Kind::text)
            throw errorAt(at, fmt::format("is {}, not a text", text.described()), "Put it in double quotes");
        const std::string& content = text.text;
        if (content.empty())
            throw errorAt(at, "is an empty text", "Leave the key out where nothing is stated");
        if (content.size() > longest)
            throw errorAt(at, fmt::format("is a text of {} bytes", content.size()),
                          fmt::format("Keep it to {} bytes", longest));
        if (content.find('\0') != std::string::npos)
            throw errorAt(at, "holds a null character", "Remove the escape \\u0000");
        return content;
    }

    const std::vector<JsonValue>& arrayAt(const JsonValue& array, const std::string& at, std::size_t fewest,
                                          std::size_t most) const {
        const std::string count =
            fewest == most ? fmt::format("{}", most) : fmt::format("{} to {}", fewest, most);
        const std::string advice = fmt::format("Write {} of them in square brackets", count);
        if (array.kind != Kind::list)
            throw errorAt(at, fmt::format("is {}, not a list", array.described()), advice);
        if (array.elements.size() < fewest || array.elements.size() > most)
            throw errorAt(at, fmt::format("is a list of {}", array.elements.size()), advice);
        return array.elements;
    }

    JsonObject childAt(const JsonValue& child, const std::string& at) const {
        if (child.kind != Kind::object)
            throw errorAt(at, fmt::format("is {}, not an object", child.described()),
                          "Put its keys in braces { }");
        return JsonObject(std::make_shared<Node>(Node{document, &child, source, at, {}}));
    }

    /// Calls each(element, pointer) for the elements of a list; false where the key is absent.
    template <typename Each>
    bool forEach(std::string_view key, std::size_t fewest, std::size_t most, Each each) {
        const JsonValue* found = find(key);
        if (found == nullptr) return false;
        std::size_t index = 0;
        for (const auto& element : arrayAt(*found, pointerTo(key), fewest, most))
            each(element, fmt::format("{}/{}", pointerTo(key), index++));
        return true;
    }
};

JsonObject::JsonObject(std::shared_ptr<Node> node) : node_(std::move(node)) {
}

JsonObject JsonObject::parse(std::string_view text, const std::string& source) {
    const auto document = std::make_shared<const JsonValue>(parsedDocument(text, source));
    const Node root{document, document.get(), source, "", {}};
    return root.childAt(*document, "");
}

bool JsonObject::has(std::string_view key) const {
    return node_->find(key) != nullptr;
}

std::string JsonObject::pointer(std::string_view key) const {
    return key.empty() ? node_->pointer : node_->pointerTo(key);
}

std::optional<double> JsonObject::number(std::string_view key, const Range& range) const {
    const JsonValue* found = node_->find(key);
    return found ? std::optional(node_->numberAt(*found, node_->pointerTo(key), range)) : std::nullopt;
}

std::optional<int> JsonObject::wholeNumber(std::string_view key, int low, int high) const {
    const JsonValue* found = node_->find(key);
    return found ? std::optional(node_->wholeNumberAt(*found, node_->pointerTo(key), low, high))
                 : std::nullopt;
}

std::optional<bool> JsonObject::boolean(std::string_view key) const {
    const JsonValue* found = node_->find(key);
    if (found == nullptr) return std::nullopt;
    if (found->kind != JsonValue::Kind::boolean)
        throw error(key, fmt::format("is {}, neither true nor false", found->described()),
                    "Write true or false without quotes");
    return found->truth;
}

std::optional<std::string> JsonObject::text(std::string_view key, std::size_t longest) const {
    const JsonValue* found = node_->find(key);
    return found ? std::optional(node_->textAt(*found, node_->pointerTo(key), longest)) : std::nullopt;
}

std::optional<std::size_t> JsonObject::choice(std::string_view key,
                                              const std::vector<std::string>& names) const {
    const JsonValue* found = node_->find(key);
    if (found == nullptr) return std::nullopt;
    if (found->kind != JsonValue::Kind::text)
        throw error(key, fmt::format("is {}, not a text", found->described()), "Known are " + listed(names));
    const std::string& value = found->text;
    const auto match = std::find(names.begin(), names.end(), value);
    if (match == names.end())
        throw error(key, fmt::format("is {}, which is not known", inQuotes(value)), suggestion(value, names));
    return static_cast<std::size_t>(match - names.begin());
}

std::optional<std::vector<double>> JsonObject::numbers(std::string_view key, std::size_t fewest,
                                                       std::size_t most, const Range& range) const {
    std::vector<double> values;
    const bool present =
        node_->forEach(key, fewest, most, [&](const JsonValue& element, const std::string& at) {
            values.push_back(node_->numberAt(element, at, range));
        });
    return present ? std::optional(std::move(values)) : std::nullopt;
}

std::optional<std::vector<int>> JsonObject::wholeNumbers(std::string_view key, std::size_t most, int low,
                                                         int high) const {
    std::vector<int> values;
    const bool present = node_->forEach(key, 1, most, [&](const JsonValue& element, const std::string& at) {
        values.push_back(node_->wholeNumberAt(element, at, low, high));
    });
    return present ? std::optional(std::move(values)) : std::nullopt;
}

std::optional<std::vector<std::string>> JsonObject::texts(std::string_view key, std::size_t most) const {
    std::vector<std::string> values;
    const bool present = node_->forEach(key, 1, most, [&](const JsonValue& element, const std::string& at) {
        values.push_back(node_->textAt(element, at, 4096));
    });
    return present ? std::optional(std::move(values)) : std::nullopt;
}

std::optional<JsonObject> JsonObject::object(std::string_view key) const {
    const JsonValue* found = node_->find(key);
    return found ? std::optional(node_->childAt(*found, node_->pointerTo(key))) : std::nullopt;
}

std::vector<JsonObject> JsonObject::objects(std::string_view key, std::size_t most) const {
    std::vector<JsonObject> children;
    node_->forEach(key, 1, most, [&](const JsonValue& element, const std::string& at) {
        children.push_back(node_->childAt(element, at));
    });
    return children;
}

bool JsonObject::isText(std::string_view key) const {
    const JsonValue* found = node_->find(key);
    return found != nullptr && found->kind == JsonValue::Kind::text;
}

bool JsonObject::isNumber(std::string_view key) const {
    const JsonValue* found = node_->find(key);
    return found != nullptr && found->kind == JsonValue::Kind::number;
}

void JsonObject::finish() const {
    for (const auto& [key, value] : node_->value->members) {
        if (std::find(node_->asked.begin(), node_->asked.end(), key) != node_->asked.end()) continue;
        const std::string place = node_->pointer.empty() ? "the document" : node_->pointer;
        throw Error(ErrorKind::input, fmt::format("{} has a key {} that is not known", place, inQuotes(key)),
                    node_->source, suggestion(key, node_->asked));
    }
}

Error JsonObject::error(std::string_view key, const std::string& problem, const std::string& advice) const {
    return node_->error(key, problem, advice);
}

std::string JsonObject::asText() const {
    return node_->value->asText();
}

}  // namespace volvelle
