#include "Support/SchemaCheck.h"

#include "Text/TextFile.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <regex>
#include <set>

namespace volvelle {

using nlohmann::json;

namespace {

const std::set<std::string> knownKeywords{"$schema",
                                          "title",
                                          "description",
                                          "type",
                                          "enum",
                                          "minimum",
                                          "exclusiveMinimum",
                                          "maximum",
                                          "minLength",
                                          "maxLength",
                                          "pattern",
                                          "minItems",
                                          "maxItems",
                                          "items",
                                          "uniqueItems",
                                          "properties",
                                          "required",
                                          "additionalProperties",
                                          "oneOf"};

bool isOfType(const std::string& type, const json& value) {
    if (type == "number") return value.is_number();
    if (type == "integer") return value.is_number() && value.get<double>() == std::floor(value.get<double>());
    if (type == "string") return value.is_string();
    if (type == "boolean") return value.is_boolean();
    if (type == "array") return value.is_array();
    return type == "object" && value.is_object();
}

std::string numberViolation(const json& schema, double x) {
    if (schema.contains("minimum") && x < schema["minimum"].get<double>()) return "is below its minimum";
    if (schema.contains("exclusiveMinimum") && x <= schema["exclusiveMinimum"].get<double>())
        return "is not above its minimum";
    if (schema.contains("maximum") && x > schema["maximum"].get<double>()) return "is above its maximum";
    return {};
}

std::string textViolation(const json& schema, const std::string& text) {
    if (text.size() < schema.value("minLength", std::size_t{0})) return "is too short";
    if (text.size() > schema.value("maxLength", std::numeric_limits<std::size_t>::max()))
        return "is too long";
    if (schema.contains("pattern") &&
        !std::regex_search(text, std::regex(schema["pattern"].get<std::string>())))
        return "does not match its pattern";
    return {};
}

std::string listViolation(const json& schema, const json& list, const std::string& pointer) {
    if (list.size() < schema.value("minItems", std::size_t{0})) return pointer + " has too few elements";
    if (list.size() > schema.value("maxItems", std::numeric_limits<std::size_t>::max()))
        return pointer + " has too many elements";
    if (schema.value("uniqueItems", false) && std::set<json>(list.begin(), list.end()).size() != list.size())
        return pointer + " has an element twice";
    for (std::size_t i = 0; i < list.size(); ++i)
        if (const auto fault = violationOf(schema["items"], list[i], fmt::format("{}/{}", pointer, i));
            !fault.empty())
            return fault;
    return {};
}

std::string objectViolation(const json& schema, const json& object, const std::string& pointer) {
    if (schema.contains("required"))
        for (const std::string key : schema["required"])
            if (!object.contains(key)) return pointer + " lacks " + key;
    for (const auto& [key, value] : object.items()) {
        if (!schema["properties"].contains(key)) {
            if (!schema.value("additionalProperties", true)) return pointer + " has an unknown key " + key;
            continue;
        }
        if (const auto fault = violationOf(schema["properties"][key], value, pointer + "/" + key);
            !fault.empty())
            return fault;
    }
    return {};
}

/// What a reader says to a document; nothing where it takes it.
std::optional<Error> refusalOf(const ReaderUnderTest& reader, const json& document) {
    try {
        reader(document.dump());
        return std::nullopt;
    } catch (const Error& error) {
        return error;
    }
}

json with(const json& document, const std::string& pointer, const json& value) {
    json changed = document;
    changed[json::json_pointer(pointer)] = value;
    return changed;
}

std::vector<json> numberProbes(const json& schema) {
    std::vector<json> probes{0, 1, 2, 0.5, -1, 1e12, -1e12};
    constexpr double infinity = std::numeric_limits<double>::infinity();
    for (const char* key : {"minimum", "exclusiveMinimum", "maximum"}) {
        if (!schema.contains(key)) continue;
        const auto bound = schema[key].get<double>();
        for (const double value :
             {bound, std::nextafter(bound, infinity), std::nextafter(bound, -infinity), bound + 1, bound - 1})
            probes.emplace_back(value);
    }
    return probes;
}

std::vector<json> textProbes(const json& schema) {
    std::vector<json> probes{"",
                             "x",
                             "a b",
                             "a+b",
                             "a.b",
                             "a/b",
                             "a#b",
                             "Hochtöner",
                             "2026-01-31",
                             "31.1.2026",
                             "2026-01-31T10:30:00Z"};
    if (const auto longest = schema.value("maxLength", std::size_t{0}); longest > 0) {
        probes.emplace_back(std::string(longest, 'x'));
        probes.emplace_back(std::string(longest + 1, 'x'));
    }
    return probes;
}

std::vector<json> listProbes(const json& schema, const json& present) {
    std::vector<json> probes{json::array()};
    const json element = present.is_array() && !present.empty() ? present[0] : json(1);
    for (const char* key : {"minItems", "maxItems"})
        for (const int more : {-1, 0, 1}) {
            const auto count = schema[key].get<int>() + more;
            if (count >= 0) probes.emplace_back(json(static_cast<std::size_t>(count), element));
        }
    return probes;
}

std::vector<json> probesOf(const json& schema, const json& present) {
    std::vector<json> probes{nullptr,       true, false, 7, -0.25, "text", json::array(), json::array({1, 2}),
                             json::object()};
    const auto add = [&](const std::vector<json>& more) {
        probes.insert(probes.end(), more.begin(), more.end());
    };
    const std::string type = schema.value("type", "");
    if (type == "number" || type == "integer") add(numberProbes(schema));
    if (type == "string") add(textProbes(schema));
    if (type == "array") add(listProbes(schema, present));
    if (schema.contains("enum")) {
        add(schema["enum"].get<std::vector<json>>());
        add({5, 90, -180, 4, "Normal", "unknown"});
    }
    return probes;
}

void collect(const json& schema, const std::string& pointer, std::vector<SchemaPlace>& places) {
    places.push_back({pointer, schema});
    if (schema.contains("properties"))
        for (const auto& [key, child] : schema["properties"].items())
            collect(child, pointer + "/" + key, places);
    if (schema.contains("items")) collect(schema["items"], pointer + "/0", places);
    if (schema.contains("oneOf"))
        for (const auto& child : schema["oneOf"])
            if (child.contains("properties"))
                for (const auto& [key, grandchild] : child["properties"].items())
                    collect(grandchild, pointer + "/" + key, places);
}

/// The properties of a place that is an object, or of the alternative that is one.
std::optional<json> propertiesOf(const json& schema) {
    if (schema.contains("properties")) return schema["properties"];
    if (schema.contains("oneOf"))
        for (const auto& child : schema["oneOf"])
            if (child.contains("properties")) return child["properties"];
    return std::nullopt;
}

std::set<std::string> keysListedIn(const std::string& advice) {
    const std::string mark = "Known are ";
    const auto at = advice.find(mark);
    std::set<std::string> keys;
    if (at == std::string::npos) return keys;
    static const std::regex separator(", ");
    const std::string list = advice.substr(at + mark.size());
    for (std::sregex_token_iterator it(list.begin(), list.end(), separator, -1), end; it != end; ++it)
        keys.insert(*it);
    return keys;
}

/// "/unit/sections/0/gain_db" is "unit.sections[].gain_db".
std::string documentedName(const std::string& pointer) {
    std::string name = std::regex_replace(pointer.substr(1), std::regex("/0"), "[]");
    std::replace(name.begin(), name.end(), '/', '.');
    return name;
}

/// Ranges by key, of the rows that begin with a key.
std::map<std::string, std::string> rangesIn(const std::string& markdown) {
    static const std::regex row("\\| `([^`]+)` \\| ([^|]*) \\|[^\n]*");
    std::map<std::string, std::string> ranges;
    for (std::sregex_iterator it(markdown.begin(), markdown.end(), row), end; it != end; ++it)
        EXPECT_TRUE(ranges.emplace((*it)[1], (*it)[2]).second) << (*it)[1] << " has two rows";
    return ranges;
}

/// What a range has to name: the bounds and words of a schema.
std::vector<std::string> boundsOf(const json& schema) {
    std::vector<std::string> bounds;
    const auto addNumber = [&](const char* key) {
        if (schema.contains(key)) bounds.push_back(schema[key].dump());
    };
    for (const char* key : {"minimum", "maximum", "minItems", "maxItems"}) addNumber(key);
    if (schema.contains("exclusiveMinimum")) bounds.push_back("above " + schema["exclusiveMinimum"].dump());
    if (schema.contains("enum"))
        for (const auto& word : schema["enum"])
            bounds.push_back(word.is_string() ? word.get<std::string>() : word.dump());
    if (schema.contains("items"))
        for (const auto& bound : boundsOf(schema["items"])) bounds.push_back(bound);
    if (schema.contains("oneOf"))
        for (const auto& child : schema["oneOf"])
            for (const auto& bound : boundsOf(child)) bounds.push_back(bound);
    return bounds;
}

/// The words of a text: parted by blanks and commas, without the quotes of code.
bool names(const std::string& range, const std::string& bound) {
    const std::regex whole("(^|[ ,`])" + std::regex_replace(bound, std::regex("[-.+]"), "\\$&") +
                           "($|[ ,`])");
    return std::regex_search(range, whole);
}

}  // namespace

json loadJson(const std::string& path) {
    return json::parse(readTextFile(path), nullptr, true, true);
}

std::string violationOf(const json& schema, const json& value, const std::string& pointer) {
    for (const auto& [key, unused] : schema.items())
        if (!knownKeywords.contains(key))
            return "the schema of " + pointer + " has the keyword " + key + ", which this check lacks";
    if (schema.contains("type") && !isOfType(schema["type"], value)) return pointer + " is of another type";
    if (schema.contains("enum")) {
        const auto& names = schema["enum"];
        if (std::find(names.begin(), names.end(), value) == names.end())
            return pointer + " is none of its names";
    }
    std::string fault;
    if (value.is_number()) fault = numberViolation(schema, value.get<double>());
    if (value.is_string()) fault = textViolation(schema, value.get<std::string>());
    if (!fault.empty()) return pointer + " " + fault;
    if (value.is_array() && schema.contains("items")) return listViolation(schema, value, pointer);
    if (value.is_object() && schema.contains("properties")) return objectViolation(schema, value, pointer);
    if (!schema.contains("oneOf")) return {};
    int matches = 0;
    for (const auto& child : schema["oneOf"]) matches += violationOf(child, value, pointer).empty() ? 1 : 0;
    return matches == 1 ? "" : pointer + " is none of its alternatives";
}

std::vector<SchemaPlace> placesOf(const json& schema) {
    std::vector<SchemaPlace> places;
    collect(schema, "", places);
    return places;
}

int expectSameKeys(const json& schema, const json& complete, const ReaderUnderTest& reader) {
    int objects = 0;
    for (const auto& place : placesOf(schema)) {
        const auto properties = propertiesOf(place.schema);
        if (!properties) continue;
        ++objects;
        const auto refusal = refusalOf(reader, with(complete, place.pointer + "/qqqqqqqqqqqq", 1));
        if (!refusal) {
            ADD_FAILURE() << "an unknown key passes at " << place.pointer;
            continue;
        }
        std::set<std::string> keys;
        for (const auto& [key, unused] : properties->items()) keys.insert(key);
        EXPECT_EQ(keysListedIn(refusal->advice()), keys)
            << "at '" << place.pointer << "': " << refusal->what();
    }
    return objects;
}

int expectSameValues(const json& schema, const json& complete, const ReaderUnderTest& reader,
                     const std::function<bool(const Error&)>& isRuleBetweenFields) {
    int tried = 0;
    for (const auto& place : placesOf(schema)) {
        if (place.pointer.empty()) continue;
        const json::json_pointer at(place.pointer);
        const json present = complete.contains(at) ? complete[at] : json();
        for (const auto& probe : probesOf(place.schema, present)) {
            const json document = with(complete, place.pointer, probe);
            const std::string violation = violationOf(schema, document);
            const auto refusal = refusalOf(reader, document);
            ++tried;
            if (!violation.empty())
                EXPECT_TRUE(refusal) << place.pointer << " = " << probe.dump() << " passes, but "
                                     << violation;
            else if (refusal && !isRuleBetweenFields(*refusal))
                ADD_FAILURE() << "the schema allows " << place.pointer << " = " << probe.dump() << ", but "
                              << refusal->what();
        }
    }
    return tried;
}

int expectDocumented(const json& schema, const std::string& markdown) {
    auto ranges = rangesIn(markdown);
    int rows = 0;
    for (const auto& place : placesOf(schema)) {
        if (place.pointer.empty() || place.pointer.ends_with("/0")) continue;
        const std::string name = documentedName(place.pointer);
        const auto row = ranges.find(name);
        if (row == ranges.end()) {
            ADD_FAILURE() << name << " has no row";
            continue;
        }
        for (const auto& bound : boundsOf(place.schema))
            EXPECT_TRUE(names(row->second, bound))
                << name << ": '" << row->second << "' does not name " << bound;
        ranges.erase(row);
        ++rows;
    }
    for (const auto& [name, range] : ranges) ADD_FAILURE() << name << " is documented but not in the schema";
    return rows;
}

}  // namespace volvelle
