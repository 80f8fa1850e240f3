#include "Ingest/ResponseText.h"

#include "Text/Csv.h"
#include "Text/Error.h"
#include "Text/Number.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

namespace volvelle {

namespace {

constexpr std::string_view blanks = " \t";
constexpr double highestHz = 1e6, largestLevelDb = 400, largestPhaseDeg = 1e7;

std::string_view trimmed(std::string_view text) {
    const auto from = text.find_first_not_of(" \t\r");
    if (from == std::string_view::npos) return {};
    return text.substr(from, text.find_last_not_of(" \t\r") - from + 1);
}

std::vector<std::string_view> splitAt(std::string_view line, char separator) {
    std::vector<std::string_view> fields;
    for (;;) {
        const auto end = line.find(separator);
        fields.push_back(trimmed(line.substr(0, end)));
        if (end == std::string_view::npos) return fields;
        line.remove_prefix(end + 1);
    }
}

std::vector<std::string_view> splitAtBlanks(std::string_view line) {
    std::vector<std::string_view> fields;
    while (!(line = trimmed(line)).empty()) {
        const auto end = std::min(line.find_first_of(blanks), line.size());
        fields.push_back(line.substr(0, end));
        line.remove_prefix(end);
    }
    return fields;
}

/// The fields of a row. A comma separates only where nothing else does: "100,5 80,3" are decimal commas.
std::vector<std::string_view> fieldsOf(std::string_view line) {
    if (line.find(';') != std::string_view::npos) return splitAt(line, ';');
    if (line.find('\t') != std::string_view::npos) return splitAt(line, '\t');
    if (line.find(',') != std::string_view::npos) {
        auto fields = splitAt(line, ',');
        const bool holdsBlanks = std::any_of(fields.begin(), fields.end(), [](std::string_view f) {
            return f.find_first_of(blanks) != std::string_view::npos;
        });
        if (!holdsBlanks) return fields;
    }
    return splitAtBlanks(line);
}

bool isComment(std::string_view line) {
    return line.starts_with("//") || std::string_view("#*;\"'").find(line.front()) != std::string_view::npos;
}

bool isHeading(std::string_view line) {
    const char c = line.front();
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '[';
}

class Rows {
public:
    explicit Rows(const std::string& source) : source_(source) {}

    void take(std::string_view line, std::size_t number);
    ResponseText finished();

private:
    std::string where(std::size_t line) const { return fmt::format("{}, line {}", source_, line); }
    double value(std::string_view text, const Range& range, const char* field, const char* unit,
                 std::size_t line) const;
    void requireColumns(const std::vector<std::string_view>& fields, std::size_t line);

    const std::string& source_;
    ResponseText response_;
    std::size_t columns_ = 0;
    bool headed_ = false;
};

double Rows::value(std::string_view text, const Range& range, const char* field, const char* unit,
                   std::size_t line) const {
    if (text.find(',') != std::string_view::npos) {
        throw Error(ErrorKind::input, fmt::format("'{}' is written with a decimal comma", text), where(line),
                    "Write numbers with a decimal point");
    }
    return requireNumber(text, range, {ErrorKind::input, where(line), field, unit});
}

void Rows::requireColumns(const std::vector<std::string_view>& fields, std::size_t line) {
    if (fields.size() < 2 || fields.size() > 3) {
        throw Error(ErrorKind::input,
                    fmt::format("the row has {} column{}", fields.size(), fields.size() == 1 ? "" : "s"),
                    where(line),
                    "A row is frequency in Hz, level in dB and perhaps phase in degrees, numbers with a "
                    "decimal point");
    }
    if (columns_ == 0) columns_ = fields.size();
    if (fields.size() != columns_) {
        throw Error(ErrorKind::input,
                    fmt::format("the row has {} columns, those above have {}", fields.size(), columns_),
                    where(line), "Give every row the same columns");
    }
}

void Rows::take(std::string_view line, std::size_t number) {
    line = trimmed(line);
    if (line.empty() || isComment(line)) return;
    if (isHeading(line) && !headed_ && response_.line.empty()) {
        headed_ = true;
        return;
    }
    auto fields = fieldsOf(line);
    if (fields.size() > 2 && fields.back().empty()) fields.pop_back();  // a separator at the end of the row
    requireColumns(fields, number);
    const double frequency = value(fields[0], Range::aboveTo(0, highestHz), "frequency", "Hz", number);
    if (!response_.line.empty() && frequency <= response_.frequencyHz.back()) {
        throw Error(ErrorKind::input,
                    fmt::format("the frequency {} Hz does not lie above that of the row before, {} Hz",
                                shortestText(frequency), shortestText(response_.frequencyHz.back())),
                    where(number), "Sort the rows by frequency and leave each in once");
    }
    response_.frequencyHz.push_back(frequency);
    response_.levelDb.push_back(
        value(fields[1], Range::between(-largestLevelDb, largestLevelDb), "level", "dB", number));
    if (columns_ == 3) {
        response_.phaseDeg.push_back(
            value(fields[2], Range::between(-largestPhaseDeg, largestPhaseDeg), "phase", "degrees", number));
    }
    response_.line.push_back(number);
}

ResponseText Rows::finished() {
    if (response_.line.size() < 2) {
        throw Error(ErrorKind::input, fmt::format("holds {} rows of numbers", response_.line.size()), source_,
                    "A response needs at least two frequencies");
    }
    return std::move(response_);
}

}  // namespace

ResponseText parseResponseText(std::string_view text, const std::string& source) {
    requireUtf8(text, source);
    text = withoutByteOrderMark(text);
    Rows rows(source);
    for (std::size_t number = 1; !text.empty(); ++number) {
        const auto end = std::min(text.find('\n'), text.size());
        rows.take(text.substr(0, end), number);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return rows.finished();
}

void requireSameGrid(const std::vector<double>& first, const std::string& firstName,
                     const ResponseText& other, const std::string& otherName) {
    const std::size_t common = std::min(first.size(), other.frequencyHz.size());
    for (std::size_t i = 0; i < common; ++i) {
        if (first[i] == other.frequencyHz[i]) continue;
        throw Error(ErrorKind::input,
                    fmt::format("the frequency is {} Hz where {} has {} Hz",
                                shortestText(other.frequencyHz[i]), firstName, shortestText(first[i])),
                    fmt::format("{}, line {}", otherName, other.line[i]),
                    "Export all responses of a drive on the same frequencies");
    }
    if (first.size() == other.frequencyHz.size()) return;
    throw Error(ErrorKind::input,
                fmt::format("holds {} frequencies where {} has {}", other.frequencyHz.size(), firstName,
                            first.size()),
                fmt::format("{}, line {}", otherName, other.line[common - 1]),
                "Export all responses of a drive on the same frequencies");
}

MicrophoneResponse parseMicrophoneResponse(std::string_view text, const std::string& source) {
    const CsvTable table = CsvTable::parse(text, source, {.hashComments = true});
    table.requireColumns({"frequency_hz", "level_db"});
    table.refuseOtherColumns({"frequency_hz", "level_db", "phase_deg"});
    MicrophoneResponse response;
    response.sourceFile = source;
    for (const CsvRow& row : table.rows()) {
        const double frequency = row.number("frequency_hz", Range::aboveTo(0, highestHz));
        if (response.isStated() && frequency <= response.frequencyHz.back()) {
            throw row.error("frequency_hz", "does not lie above that of the row before",
                            "Sort the rows by frequency and leave each in once");
        }
        response.frequencyHz.push_back(frequency);
        response.levelDb.push_back(row.number("level_db", Range::between(-100, 100)));
        if (table.hasColumn("phase_deg")) {
            response.phaseDeg.push_back(
                row.number("phase_deg", Range::between(-largestPhaseDeg, largestPhaseDeg)));
        }
    }
    if (response.frequencyHz.size() < 2) {
        throw Error(ErrorKind::input, "holds fewer than two frequencies", source,
                    "Give the microphone's whole response");
    }
    return response;
}

}  // namespace volvelle
