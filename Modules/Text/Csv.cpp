#include "Text/Csv.h"

#include "Text/InQuotes.h"
#include "Text/Nearest.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace volvelle {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::string lineOf(const std::string& source, std::size_t line) {
    return fmt::format("{}, line {}", source, line);
}

/// Takes one row after the other off a text.
class RowScanner {
public:
    RowScanner(std::string_view text, const std::string& source, const CsvOptions& options)
        : text_(text), source_(source), options_(options) {}

    std::size_t line() const { return rowLine_; }

    /// The next row that is neither blank nor a comment; false at the end.
    bool next(std::vector<std::string>& cells) {
        while (at_ < text_.size()) {
            rowLine_ = line_;
            if (skipsLine()) continue;
            cells.clear();
            do {
                cells.push_back(cell());
            } while (take(','));
            takeLineEnd();
            return true;
        }
        return false;
    }

private:
    [[noreturn]] void refuse(const std::string& problem, const std::string& advice) const {
        throw Error(ErrorKind::input, problem, lineOf(source_, rowLine_), advice);
    }

    bool atLineEnd() const {
        if (at_ >= text_.size() || text_[at_] == '\n') return true;
        return text_[at_] == '\r' && (at_ + 1 == text_.size() || text_[at_ + 1] == '\n');
    }

    bool take(char c) {
        if (at_ >= text_.size() || text_[at_] != c) return false;
        ++at_;
        return true;
    }

    void takeLineEnd() {
        take('\r');
        if (take('\n')) ++line_;
    }

    bool skipsLine() {
        const auto end = std::min(text_.find('\n', at_), text_.size());
        const std::string_view content = text_.substr(at_, end - at_);
        const bool blank = content.find_first_not_of(" \t\r") == std::string_view::npos;
        if (!blank && !(options_.hashComments && content.starts_with('#'))) return false;
        at_ = end;
        takeLineEnd();
        return true;
    }

    std::string cell() {
        const std::size_t start = at_;
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
        if (take('"')) return quotedContent();
        at_ = start;
        while (!atLineEnd() && text_[at_] != ',') ++at_;
        return std::string(text_.substr(start, at_ - start));
    }

    std::string quotedContent() {
        std::string content;
        while (true) {
            if (at_ >= text_.size()) refuse("a quoted field has no closing quote", "Close it with \"");
            const char c = text_[at_++];
            if (c == '"' && !take('"')) break;
            if (c == '\n') ++line_;
            content += c;
        }
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
        if (!atLineEnd() && text_[at_] != ',')
            refuse("text follows the closing quote of a field",
                   "Write \"\" for a quote within a quoted field");
        return content;
    }

    std::string_view text_;
    const std::string& source_;
    const CsvOptions& options_;
    std::size_t at_ = 0, line_ = 1, rowLine_ = 1;
};

std::vector<std::string> namesOf(const std::vector<std::string>& cells, const std::string& where) {
    std::vector<std::string> names;
    for (const auto& cell : cells) {
        const std::string name(trimmed(cell));
        if (name.empty())
            throw Error(ErrorKind::input, fmt::format("column {} has no name", names.size() + 1), where,
                        "The first row names the columns, with commas between");
        if (std::any_of(name.begin(), name.end(),
                        [](char c) { return static_cast<unsigned char>(c) < 0x20; }))
            throw Error(ErrorKind::input,
                        fmt::format("the name of column {}, {}, holds a line break or control character",
                                    names.size() + 1, inQuotes(name)),
                        where, "The first row names the columns; check its quotes");
        if (std::find(names.begin(), names.end(), name) != names.end())
            throw Error(ErrorKind::input, fmt::format("column {} stands twice", inQuotes(name)), where,
                        "Keep one of them");
        names.push_back(name);
    }
    return names;
}

bool contains(const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

}  // namespace

CsvTable CsvTable::parse(std::string_view text, const std::string& source, const CsvOptions& options) {
    requireUtf8(text, source);
    CsvTable table;
    table.source_ = source;
    RowScanner scanner(withoutByteOrderMark(text), source, options);
    std::vector<std::string> cells;
    if (!scanner.next(cells))
        throw Error(ErrorKind::input, "holds no table", source,
                    "The first row names the columns, with commas between");
    table.headerLine_ = scanner.line();
    table.columns_ = namesOf(cells, lineOf(source, table.headerLine_));
    while (scanner.next(cells)) {
        if (cells.size() != table.columns_.size())
            throw Error(ErrorKind::input,
                        fmt::format("{} field{} in a table of {} column{}", cells.size(),
                                    cells.size() == 1 ? "" : "s", table.columns_.size(),
                                    table.columns_.size() == 1 ? "" : "s"),
                        lineOf(source, scanner.line()), "Give every row one field for each column");
        CsvRow row;
        row.line_ = scanner.line();
        row.cells_ = std::move(cells);
        table.rows_.push_back(std::move(row));
    }
    table.adoptRows();
    return table;
}

CsvTable CsvTable::read(const std::string& path, const CsvOptions& options) {
    return parse(readTextFile(path), path, options);
}

CsvTable::CsvTable(CsvTable&& other) noexcept
    : source_(std::move(other.source_)),
      columns_(std::move(other.columns_)),
      rows_(std::move(other.rows_)),
      headerLine_(other.headerLine_) {
    adoptRows();
}

CsvTable& CsvTable::operator=(CsvTable&& other) noexcept {
    source_ = std::move(other.source_);
    columns_ = std::move(other.columns_);
    rows_ = std::move(other.rows_);
    headerLine_ = other.headerLine_;
    adoptRows();
    return *this;
}

void CsvTable::adoptRows() {
    for (auto& row : rows_) row.table_ = this;
}

std::optional<std::size_t> CsvTable::columnIndex(std::string_view name) const {
    const auto found = std::find(columns_.begin(), columns_.end(), name);
    if (found == columns_.end()) return std::nullopt;
    return static_cast<std::size_t>(found - columns_.begin());
}

void CsvTable::requireColumns(const std::vector<std::string>& required) const {
    for (const auto& name : required) {
        if (hasColumn(name)) continue;
        std::string advice = fmt::format("Name it in the first row (the columns are {})", listed(columns_));
        if (const auto nearest = nearestName(name, columns_); nearest && !contains(required, *nearest))
            advice = fmt::format("Did you mean it by {}?", inQuotes(*nearest));
        else if (columns_.size() == 1 && columns_[0].find_first_of(";\t") != std::string::npos)
            advice = "Put commas between the fields";
        throw Error(ErrorKind::input, fmt::format("column {} is missing", inQuotes(name)),
                    lineOf(source_, headerLine_), advice);
    }
}

void CsvTable::refuseOtherColumns(const std::vector<std::string>& known) const {
    for (const auto& name : columns_) {
        if (!contains(known, name))
            throw Error(ErrorKind::input, fmt::format("column {} is not known", inQuotes(name)),
                        lineOf(source_, headerLine_), suggestion(name, known));
    }
}

void CsvTable::refuseMisspeltColumns(const std::vector<std::string>& known) const {
    std::vector<std::string> absent;
    for (const auto& name : known)
        if (!hasColumn(name)) absent.push_back(name);
    for (const auto& name : columns_) {
        if (contains(known, name)) continue;
        const auto nearest = nearestName(name, absent);
        if (nearest && editDistance(name, *nearest) <= std::max<std::size_t>(1, nearest->size() / 4))
            throw Error(ErrorKind::input, fmt::format("column {} is not known", inQuotes(name)),
                        lineOf(source_, headerLine_),
                        fmt::format("Did you mean {}? If not, give it a name that is less alike",
                                    inQuotes(*nearest)));
    }
}

std::string CsvRow::where() const {
    return lineOf(table_->source(), line_);
}

std::string_view CsvRow::text(std::string_view column) const {
    const auto index = table_->columnIndex(column);
    return index ? trimmed(cells_[*index]) : std::string_view{};
}

bool CsvRow::has(std::string_view column) const {
    return !text(column).empty();
}

double CsvRow::number(std::string_view column, const Range& range) const {
    return requireNumber(text(column), range, {ErrorKind::input, where(), std::string(column)});
}

int CsvRow::wholeNumber(std::string_view column, int low, int high) const {
    return requireWholeNumber(text(column), low, high, {ErrorKind::input, where(), std::string(column)});
}

std::optional<double> CsvRow::optionalNumber(std::string_view column, const Range& range) const {
    return has(column) ? std::optional(number(column, range)) : std::nullopt;
}

std::size_t CsvRow::choice(std::string_view column, const std::vector<std::string>& names) const {
    const std::string_view value = text(column);
    const auto found = std::find(names.begin(), names.end(), value);
    if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
    throw error(column,
                value.empty() ? "is empty" : fmt::format("is {}, which is not known", inQuotes(value)),
                suggestion(value, names));
}

Error CsvRow::error(std::string_view column, const std::string& problem, const std::string& advice) const {
    return {ErrorKind::input, fmt::format("{} {}", column, problem), where(), advice};
}

void CsvWriter::comment(std::string_view text) {
    while (true) {
        const auto end = text.find_first_of("\r\n");
        text_ += text.empty() || end == 0 ? "#" : "# ";
        text_ += text.substr(0, end);
        text_ += '\n';
        if (end == std::string_view::npos) return;
        const bool pair = text[end] == '\r' && end + 1 < text.size() && text[end + 1] == '\n';
        text.remove_prefix(end + (pair ? 2 : 1));
    }
}

void CsvWriter::row(const std::vector<std::string>& cells) {
    std::string line;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (i > 0) line += ',';
        line += quotedCell(cells[i]);
    }
    // A row of one empty cell would look like a blank line, which readers skip.
    text_ += line.empty() ? "\"\"" : line;
    text_ += '\n';
}

std::string quotedCell(std::string_view cell) {
    const bool plain = cell.find_first_of(",\"\r\n") == std::string_view::npos && !cell.starts_with('#') &&
                       trimmed(cell).size() == cell.size();
    if (plain) return std::string(cell);
    std::string out = "\"";
    for (const char c : cell) {
        if (c == '"') out += '"';
        out += c;
    }
    return out + "\"";
}

}  // namespace volvelle
