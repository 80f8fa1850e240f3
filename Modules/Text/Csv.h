#pragma once

#include "Text/Error.h"
#include "Text/Number.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

class CsvTable;

/// One row, cells by column name. Valid as long as its table.
class CsvRow {
public:
    std::size_t line() const {
        return line_;
    }                           ///< where the row begins in the file; the first line of the file is 1
    std::string where() const;  ///< "manifest.csv, line 3"

    bool has(std::string_view column) const;  ///< the table has this column and the cell is not empty
    /// The cell without blanks around it; empty where the table has no such column.
    std::string_view text(std::string_view column) const;
    std::string_view cell(std::size_t columnIndex) const { return cells_[columnIndex]; }

    /// The cell as a number. Throws Error{input} with line and column where it is empty, no number, or
    /// outside its range.
    double number(std::string_view column, const Range& range = Range::any()) const;
    int wholeNumber(std::string_view column, int low, int high) const;
    /// The same, but nothing for an empty cell or an absent column.
    std::optional<double> optionalNumber(std::string_view column, const Range& range = Range::any()) const;
    /// The cell, which has to be one of `names`. Returns its index. Throws Error{input} suggesting the
    /// nearest.
    std::size_t choice(std::string_view column, const std::vector<std::string>& names) const;

    /// An Error{input} about one cell, for checks of the caller: throw row.error("file", "is missing", "Check
    /// the path").
    Error error(std::string_view column, const std::string& problem, const std::string& advice) const;

private:
    friend class CsvTable;
    const CsvTable* table_ = nullptr;
    std::size_t line_ = 0;
    std::vector<std::string> cells_;
};

struct CsvOptions {
    bool hashComments = false;  ///< lines that begin with # are skipped (their numbers still count)
};

/// A table with a header row. RFC 4180 with LF or CRLF, optional byte-order mark, quoted fields, blank lines
/// skipped, blanks around the column names ignored.
class CsvTable {
public:
    /// source: how messages call the text, usually its path. Throws Error{input} with the line for an empty
    /// text, rows with more or fewer cells than the header, unclosed quotes, text after a closing quote,
    /// empty or duplicate column names.
    static CsvTable parse(std::string_view text, const std::string& source, const CsvOptions& options = {});
    static CsvTable read(const std::string& path,
                         const CsvOptions& options = {});  ///< of a file, see readTextFile

    CsvTable(CsvTable&&) noexcept;
    CsvTable& operator=(CsvTable&&) noexcept;
    CsvTable(const CsvTable&) = delete;
    CsvTable& operator=(const CsvTable&) = delete;

    const std::string& source() const { return source_; }
    const std::vector<std::string>& columns() const { return columns_; }
    const std::vector<CsvRow>& rows() const { return rows_; }
    std::size_t headerLine() const { return headerLine_; }

    bool hasColumn(std::string_view name) const { return columnIndex(name).has_value(); }
    std::optional<std::size_t> columnIndex(std::string_view name) const;

    /// Throws Error{input} for a missing one, suggesting the column that was probably meant.
    void requireColumns(const std::vector<std::string>& required) const;
    /// Throws Error{input} for a column that is in neither list, suggesting the nearest.
    void refuseOtherColumns(const std::vector<std::string>& known) const;
    /// Throws Error{input} for a column that is not known but so near to a known, absent one that it is
    /// probably a slip of the pen; other columns are fine (they are kept as notes).
    void refuseMisspeltColumns(const std::vector<std::string>& known) const;

private:
    CsvTable() = default;
    void adoptRows();

    std::string source_;
    std::vector<std::string> columns_;
    std::vector<CsvRow> rows_;
    std::size_t headerLine_ = 1;
};

/// Writes rows with LF; quotes only where needed. `# text` lines may stand anywhere.
class CsvWriter {
public:
    void comment(std::string_view text);  ///< "# text"; line breaks in it begin further comment lines
    void row(const std::vector<std::string>& cells);
    const std::string& text() const { return text_; }

private:
    std::string text_;
};

/// The cell as it stands in a file: in quotes where it holds a comma, quote, line break, or blanks at its
/// ends, or begins with #.
std::string quotedCell(std::string_view cell);

}  // namespace volvelle
