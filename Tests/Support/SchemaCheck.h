#pragma once

#include "Text/Error.h"

#include <nlohmann/json.hpp>

#include <functional>
#include <string>
#include <vector>

namespace volvelle {

// Holds a published JSON schema and the reader that it describes against each other.

/// A JSON file with comments.
nlohmann::json loadJson(const std::string& path);

/// What a value violates of a schema, "" where nothing: the part of JSON Schema 2020-12 that our schemas use.
/// A keyword that this check does not know is a violation too, so that it cannot be passed over.
std::string violationOf(const nlohmann::json& schema, const nlohmann::json& value,
                        const std::string& pointer = {});

/// Each place that a schema speaks of: its JSON pointer in a document (list elements by index 0) and its
/// schema.
struct SchemaPlace {
    std::string pointer;
    const nlohmann::json& schema;
};
std::vector<SchemaPlace> placesOf(const nlohmann::json& schema);

/// A reader under test: throws Error for what it refuses.
using ReaderUnderTest = std::function<void(const std::string& text)>;

/// At each object of the schema the reader knows exactly the keys that the schema names. Returns the number
/// of objects.
int expectSameKeys(const nlohmann::json& schema, const nlohmann::json& complete,
                   const ReaderUnderTest& reader);

/// Puts values at, beside and beyond each bound, of each wrong type, into a complete document: what the
/// schema refuses, the reader refuses; what the schema allows, the reader allows but for rules between
/// fields, which `isRuleBetweenFields` tells by the error. Returns the number of values tried.
int expectSameValues(const nlohmann::json& schema, const nlohmann::json& complete,
                     const ReaderUnderTest& reader,
                     const std::function<bool(const Error&)>& isRuleBetweenFields);

/// Each key of the schema has a row "| `unit.sections[].gain_db` | range | ..." in a document, whose range
/// names the schema's bounds and words. Each such row has its key in the schema. Returns the number of rows.
int expectDocumented(const nlohmann::json& schema, const std::string& markdown);

}  // namespace volvelle
