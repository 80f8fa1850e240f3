#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// What the fields of a command are filled with.
struct CommandValues {
    double count = 0;  ///< position in the table's counts
    double speed = 0;  ///< in the unit that the table wants
    long long id = 0;
    int countDecimals = 0, speedDecimals = 0;
};

/// A command with fields: "G1 A{count} F{speed}". Fields: {count}, {speed}, {id}. Immutable.
class CommandTemplate {
public:
    CommandTemplate() = default;
    /// Throws Error{input} (its place left empty) for fields that there are not.
    explicit CommandTemplate(std::string text);

    std::string filled(const CommandValues& values) const;
    bool has(std::string_view field) const;
    const std::string& text() const { return text_; }

private:
    std::string text_;
};

/// What a reply said.
struct ReplyFields {
    std::optional<double> count;
    int countDecimals = 0;  ///< digits after the point, as they were written
    std::string state;
    std::optional<long long> id;
};

/// A reply with fields: "{id} AT {count} {state}". {count} is a number, {state} a word of letters and `_`,
/// {id} digits,
/// {*} anything, also nothing. Fields take as much as they can. Immutable.
class ReplyPattern {
public:
    /// Throws Error{input} (its place left empty) for fields that there are not, that stand twice, or two of
    /// which touch (but {*} after one is fine), and for more than four {*}.
    explicit ReplyPattern(std::string text);

    /// Nothing where the whole line does not match. Takes time in proportion to the square of the line's
    /// length.
    std::optional<ReplyFields> match(std::string_view line) const;
    bool has(std::string_view field) const;
    const std::string& text() const { return text_; }

private:
    struct Piece {
        enum Kind { literal, count, state, id } kind;
        std::string text;
    };
    using Segment = std::vector<Piece>;  ///< between two {*}
    static std::optional<std::size_t> matchAt(const Segment& segment, std::string_view line, std::size_t at,
                                              ReplyFields& fields);
    static std::optional<std::size_t> findFrom(const Segment& segment, std::string_view line,
                                               std::size_t from, bool toTheEnd, ReplyFields& fields);

    std::string text_;
    std::vector<Segment> segments_;
};

}  // namespace volvelle
