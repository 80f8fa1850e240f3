#pragma once

#include "Text/Error.h"
#include "Text/Number.h"

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// One object of a JSON document, read key by key. Every key that is asked for counts as known; finish()
/// refuses the others. Errors are Error{input}: "plan.json: /unit/sections/0/gain_db is ...". An absent key
/// and the value null are the same: nothing. Copies read the same object. Not thread-safe.
class JsonObject {
public:
    /// Reads a whole document, which has to be an object. // and /* */ comments are skipped, a byte-order
    /// mark too. Throws Error{input} with line and column for syntax errors (not UTF-8, comma at the end,
    /// numbers beyond a double), with a JSON pointer for a key that stands twice, and for nesting deeper
    /// than 64.
    static JsonObject parse(std::string_view text, const std::string& source);

    bool has(std::string_view key) const;  ///< present; counts as asked for
    std::string pointer(
        std::string_view key = {}) const;  ///< JSON pointer (RFC 6901) of the object or a key in it

    std::optional<double> number(std::string_view key, const Range& range = Range::any()) const;
    std::optional<int> wholeNumber(std::string_view key, int low, int high) const;
    std::optional<bool> boolean(std::string_view key) const;
    std::optional<std::string> text(std::string_view key, std::size_t longest = 4096) const;
    /// Index of the text in `names`; suggests the nearest.
    std::optional<std::size_t> choice(std::string_view key, const std::vector<std::string>& names) const;
    std::optional<std::vector<double>> numbers(std::string_view key, std::size_t fewest, std::size_t most,
                                               const Range& range = Range::any()) const;
    std::optional<std::vector<int>> wholeNumbers(std::string_view key, std::size_t most, int low,
                                                 int high) const;
    std::optional<std::vector<std::string>> texts(std::string_view key, std::size_t most) const;
    std::optional<JsonObject> object(std::string_view key) const;
    std::vector<JsonObject> objects(std::string_view key, std::size_t most) const;  ///< empty where absent

    bool isText(std::string_view key) const;  ///< for keys that hold a word or an object
    bool isNumber(std::string_view key) const;

    /// Throws for keys that nobody asked for: suggests the nearest and lists those known here.
    void finish() const;

    /// An Error{input} about one key, for checks of the caller: throw object.error("end_ms", "lies before the
    /// start", "...").
    Error error(std::string_view key, const std::string& problem, const std::string& advice) const;

    /// The object on one line, without comments, keys sorted.
    std::string asText() const;

private:
    struct Node;
    explicit JsonObject(std::shared_ptr<Node> node);
    std::shared_ptr<Node> node_;
};

}  // namespace volvelle
