#include "turntable/ReplyPattern.h"

#include "Text/Error.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <span>

namespace volvelle {

namespace {

constexpr std::size_t mostStars = 4;

const std::array<std::string, 3> commandFields{"count", "speed", "id"};
const std::array<std::string, 4> replyFields{"count", "state", "id", "*"};

/// Calls `literal` for text and `field` for the names in braces.
void forEachPiece(const std::string& text, std::span<const std::string> known,
                  const std::function<void(std::string)>& literal,
                  const std::function<void(std::string)>& field) {
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t open = std::min(text.find('{', at), text.size());
        if (open > at) literal(text.substr(at, open - at));
        if (open == text.size()) return;
        const std::size_t close = text.find('}', open);
        if (close == std::string::npos)
            throw Error(ErrorKind::input, "has a { without its }", "", "Fields are written as in {count}");
        const std::string name = text.substr(open + 1, close - open - 1);
        if (std::find(known.begin(), known.end(), name) == known.end())
            throw Error(ErrorKind::input, "has the field {" + name + "}, which there is not", "",
                        suggestion(name, known));
        field(name);
        at = close + 1;
    }
}

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

std::size_t digitsFrom(std::string_view line, std::size_t at) {
    while (at < line.size() && isDigit(line[at])) ++at;
    return at;
}

/// The end of the number at `at`, or `at` itself where there is none.
std::size_t numberFrom(std::string_view line, std::size_t at, ReplyFields& fields) {
    std::size_t begin = at;
    if (begin < line.size() && (line[begin] == '-' || line[begin] == '+')) ++begin;
    const std::size_t whole = digitsFrom(line, begin);
    std::size_t end = whole;
    int decimals = 0;
    if (end < line.size() && line[end] == '.') {
        end = digitsFrom(line, end + 1);
        decimals = static_cast<int>(end - whole - 1);
    }
    const auto value = parseNumber(line.substr(at, end - at));
    if (!value) return at;
    fields.count = value;
    fields.countDecimals = decimals;
    return end;
}

std::size_t wordFrom(std::string_view line, std::size_t at, ReplyFields& fields) {
    const auto isOfWord = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; };
    std::size_t end = at;
    while (end < line.size() && isOfWord(line[end])) ++end;
    fields.state = line.substr(at, end - at);
    return end;
}

std::size_t idFrom(std::string_view line, std::size_t at, ReplyFields& fields) {
    const std::size_t end = digitsFrom(line, at);
    fields.id = parseWholeNumber(line.substr(at, end - at));
    return fields.id ? end : at;
}

}  // namespace

CommandTemplate::CommandTemplate(std::string text) : text_(std::move(text)) {
    forEachPiece(
        text_, commandFields, [](const std::string&) {}, [](const std::string&) {});
}

bool CommandTemplate::has(std::string_view field) const {
    return text_.find("{" + std::string(field) + "}") != std::string::npos;
}

std::string CommandTemplate::filled(const CommandValues& values) const {
    std::string line;
    forEachPiece(
        text_, commandFields, [&](const std::string& literal) { line += literal; },
        [&](const std::string& field) {
            if (field == "count") line += fixedText(values.count, values.countDecimals);
            if (field == "speed") line += fixedText(values.speed, values.speedDecimals);
            if (field == "id") line += fmt::format("{}", values.id);
        });
    return line;
}

ReplyPattern::ReplyPattern(std::string text) : text_(std::move(text)), segments_(1) {
    std::string before;  // the field that ends where the next piece begins
    std::vector<std::string> seen;
    const auto add = [&](const std::string& name) {
        if (!before.empty() && (name != "*" || before == "*"))
            throw Error(ErrorKind::input, "has two fields that touch", "",
                        "Put what stands between them there");
        before = name;
        if (name == "*") return void(segments_.emplace_back());
        if (std::find(seen.begin(), seen.end(), name) != seen.end())
            throw Error(ErrorKind::input, "has {" + name + "} twice", "", "Write {*} for what is not needed");
        seen.push_back(name);
        const auto kind = name == "count" ? Piece::count : name == "state" ? Piece::state : Piece::id;
        segments_.back().push_back({kind, {}});
    };
    forEachPiece(
        text_, replyFields,
        [&](std::string literal) {
            segments_.back().push_back({Piece::literal, std::move(literal)});
            before.clear();
        },
        add);
    if (segments_.size() > mostStars + 1)
        throw Error(ErrorKind::input, "has more than four {*}", "", "Four are the most");
}

bool ReplyPattern::has(std::string_view field) const {
    return text_.find("{" + std::string(field) + "}") != std::string::npos;
}

std::optional<std::size_t> ReplyPattern::matchAt(const Segment& segment, std::string_view line,
                                                 std::size_t at, ReplyFields& fields) {
    for (const Piece& piece : segment) {
        if (piece.kind == Piece::literal) {
            if (line.substr(at).substr(0, piece.text.size()) != piece.text) return std::nullopt;
            at += piece.text.size();
            continue;
        }
        const std::size_t end = piece.kind == Piece::count   ? numberFrom(line, at, fields)
                                : piece.kind == Piece::state ? wordFrom(line, at, fields)
                                                             : idFrom(line, at, fields);
        if (end == at) return std::nullopt;
        at = end;
    }
    return at;
}

std::optional<std::size_t> ReplyPattern::findFrom(const Segment& segment, std::string_view line,
                                                  std::size_t from, bool toTheEnd, ReplyFields& fields) {
    if (toTheEnd && segment.empty()) return line.size();
    for (std::size_t at = from; at <= line.size(); ++at) {
        ReplyFields tried = fields;
        const auto end = matchAt(segment, line, at, tried);
        if (!end || (toTheEnd && *end != line.size())) continue;
        fields = tried;
        return end;
    }
    return std::nullopt;
}

std::optional<ReplyFields> ReplyPattern::match(std::string_view line) const {
    ReplyFields fields;
    auto at = matchAt(segments_.front(), line, 0, fields);
    if (!at) return std::nullopt;
    if (segments_.size() == 1) return *at == line.size() ? std::optional(fields) : std::nullopt;
    for (std::size_t i = 1; i < segments_.size(); ++i) {
        at = findFrom(segments_[i], line, *at, i + 1 == segments_.size(), fields);
        if (!at) return std::nullopt;
    }
    return fields;
}

}  // namespace volvelle
