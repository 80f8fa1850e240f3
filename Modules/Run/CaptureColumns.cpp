#include "Run/CaptureColumns.h"

#include "Run/FormatError.h"
#include "Run/RunNames.h"
#include "Text/Error.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <string>
#include <utility>

namespace volvelle {

namespace {

/// object.first.second ... for a path of pointers to members.
template <auto first, auto... rest>
auto& member(auto& object) {
    if constexpr (sizeof...(rest) == 0)
        return object.*first;
    else
        return member<rest...>(object.*first);
}

template <typename Value>
struct Column {
    const char* name;
    const char* units;
    const Value& (*of)(const Capture&);
    Value& (*in)(Capture&);
    int since = 1;  ///< version of the format
};

template <typename Value, auto... path>
constexpr Column<Value> column(const char* name, const char* units, int since = 1) {
    return {name, units, [](const Capture& c) -> const Value& { return member<path...>(c); },
            [](Capture& c) -> Value& { return member<path...>(c); }, since};
}

using Quality = CaptureQuality;
using Octaves = std::vector<double>;

constexpr Column<double> numberColumns[] = {
    column<double, &Capture::direction, &Direction::azimuthDeg>("azimuth_deg", "deg"),
    column<double, &Capture::direction, &Direction::elevationDeg>("elevation_deg", "deg"),
    column<double, &Capture::angleDeg>("angle_deg", "deg"),
    column<double, &Capture::tableDeg>("table_deg", "deg", 2),
    column<double, &Capture::tiltDeg>("tilt_deg", "deg", 2),
    column<double, &Capture::readBackDeg>("read_back_deg", "deg"),
    column<double, &Capture::tiltReadBackDeg>("tilt_read_back_deg", "deg", 2),
    column<double, &Capture::distanceM>("distance_m", "m"),
    column<double, &Capture::monotonicS>("monotonic_s", "s"),
    column<double, &Capture::air, &Air::temperatureC>("temperature_c", "degC"),
    column<double, &Capture::air, &Air::relativeHumidityPercent>("relative_humidity", "%"),
    column<double, &Capture::air, &Air::pressureKPa>("pressure_kpa", "kPa"),
    column<double, &Capture::quality, &Quality::clippedSamples>("clipped_samples", "1"),
    column<double, &Capture::quality, &Quality::residueDb>("residue_db", "dB"),
    column<double, &Capture::quality, &Quality::loopbackDelayS>("loopback_delay_s", "s"),
    column<double, &Capture::quality, &Quality::arrivalS>("arrival_s", "s"),
    column<double, &Capture::quality, &Quality::polarity>("polarity", "1"),
    column<double, &Capture::quality, &Quality::peakPa>("peak_pa", "Pa"),
    column<double, &Capture::quality, &Quality::repeatDifferenceDb>("repeat_difference_db", "dB"),
    column<double, &Capture::quality, &Quality::driftDb>("drift_db", "dB", 2),
    column<double, &Capture::quality, &Quality::driftS>("drift_s", "s", 2),
};

constexpr Column<int> countColumns[] = {
    column<int, &Capture::repeat>("repeat", "1"),
    column<int, &Capture::attempt>("attempt", "1"),
};

/// [["name", "value"], ...]: the order stays, and a name may come twice.
std::string notesAsText(const Capture& capture) {
    if (capture.notes.empty()) return {};
    auto notes = nlohmann::json::array();
    for (const auto& [name, value] : capture.notes) notes.push_back(nlohmann::json::array({name, value}));
    return notes.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

/// False where the text is not what notesAsText writes.
bool setNotes(Capture& capture, const std::string& text) {
    if (text.empty()) return true;
    const auto notes = nlohmann::json::parse(text, nullptr, false);
    if (!notes.is_array()) return false;
    for (const auto& note : notes) {
        if (!note.is_array() || note.size() != 2 || !note[0].is_string() || !note[1].is_string())
            return false;
        capture.notes.emplace_back(note[0].get<std::string>(), note[1].get<std::string>());
    }
    return true;
}

/// A column of texts; some stand for something else.
struct TextColumn {
    const char* name;
    std::string (*of)(const Capture&);
    bool (*set)(Capture&, const std::string&);  ///< false for a text that the column cannot hold
};

template <auto... path>
constexpr TextColumn textColumn(const char* name) {
    return {name, [](const Capture& c) { return std::string(member<path...>(c)); },
            [](Capture& c, const std::string& text) {
                member<path...>(c) = text;
                return true;
            }};
}

template <typename Enumeration, auto... path>
constexpr TextColumn wordColumn(const char* name) {
    return {name, [](const Capture& c) { return wordFor(member<path...>(c)); },
            [](Capture& c, const std::string& text) {
                const auto value = fromWord<Enumeration>(text);
                if (value) member<path...>(c) = *value;
                return value.has_value();
            }};
}

constexpr TextColumn orbitColumn = {"orbit", [](const Capture& c) { return c.orbit ? wordFor(*c.orbit) : ""; },
                                    [](Capture& c, const std::string& text) {
                                        c.orbit = fromWord<Orbit>(text);
                                        return text.empty() || c.orbit;
                                    }};

constexpr TextColumn idColumn = textColumn<&Capture::id>("id");

/// All but the id, which is the others' scale.
constexpr TextColumn textColumns[] = {
    wordColumn<CaptureKind, &Capture::kind>("kind"),
    orbitColumn,
    wordColumn<Stance, &Capture::stance>("stance"),
    wordColumn<CaptureState, &Capture::state>("state"),
    wordColumn<NoiseSource, &Capture::quality, &Quality::noiseSource>("noise_source"),
    {"notes", notesAsText, setNotes},
    textColumn<&Capture::reason>("reason"),
    textColumn<&Capture::utc>("utc"),
    textColumn<&Capture::sourceFile>("source_file"),
};

constexpr Column<Octaves> octaveColumns[] = {
    column<Octaves, &Capture::quality, &Quality::noiseDb>("noise_db", "dB re 20 uPa"),
    column<Octaves, &Capture::quality, &Quality::decayS>("decay_s", "s"),
    column<Octaves, &Capture::quality, &Quality::impulseNoiseDb>("impulse_noise_db", "dB"),
};

// ---- writing

using Captures = std::span<const Capture>;

std::vector<std::string> textsOf(Captures captures, const TextColumn& column) {
    std::vector<std::string> texts;
    texts.reserve(captures.size());
    for (const Capture& capture : captures) texts.push_back(column.of(capture));
    return texts;
}

std::vector<double> octaveTable(Captures captures, const Column<Octaves>& column) {
    const std::size_t bands = judgedOctavesHz().size();
    std::vector<double> table;
    table.reserve(bands * captures.size());
    for (const Capture& capture : captures) {
        const Octaves& values = column.of(capture);
        if (!values.empty() && values.size() != bands)
            throw Error(ErrorKind::bug, "has another number of octaves than are judged", column.name,
                        "Report this");
        table.insert(table.end(), values.begin(), values.end());
        table.resize(table.size() + bands - values.size(), notStated);
    }
    return table;
}

/// Columns of a drive's group; each one written is attached to the scale 'id'.
class ColumnWriter {
public:
    ColumnWriter(const Hdf5Group& drive, Captures captures) : drive_(drive), captures_(captures) {
        drive_.writeTexts("id", textsOf(captures, idColumn));
        drive_.makeScale("id", "captures");
    }

    void texts(const TextColumn& column) const {
        drive_.writeTexts(column.name, textsOf(captures_, column));
        attach(column.name);
    }

    void numbers(const Column<double>& column) const {
        std::vector<double> values;
        for (const Capture& capture : captures_) values.push_back(column.of(capture));
        drive_.writeNumbers(column.name, values, {values.size()}, column.units);
        attach(column.name);
    }

    void counts(const Column<int>& column) const {
        std::vector<std::int32_t> values;
        for (const Capture& capture : captures_) values.push_back(column.of(capture));
        drive_.writeIntegers(column.name, values, column.units);
        attach(column.name);
    }

    void octaves(const Column<Octaves>& column, const Hdf5Group& root, const std::string& bands) const {
        drive_.writeNumbers(column.name, octaveTable(captures_, column),
                            {captures_.size(), judgedOctavesHz().size()}, column.units);
        attach(column.name);
        drive_.attachScale(column.name, 1, root, bands);
    }

private:
    void attach(const std::string& name) const { drive_.attachScale(name, 0, drive_, "id"); }

    const Hdf5Group& drive_;
    Captures captures_;
};

// ---- reading

/// Columns of a drive's group, put into the captures.
class ColumnReader {
public:
    ColumnReader(const Hdf5Group& drive, std::string where, std::vector<Capture>& captures)
        : drive_(drive), where_(std::move(where)), captures_(captures) {}

    [[noreturn]] void fail(const std::string& column, const std::string& what) const {
        failFormat(where_, "column '" + column + "' " + what);
    }

    void texts(const TextColumn& column) const {
        const auto values = drive_.texts(column.name);
        requireLength(column.name, values.size(), 1);
        for (std::size_t i = 0; i < captures_.size(); ++i)
            if (!column.set(captures_[i], values[i])) fail(column.name, "holds the unknown word '" + values[i] + "'");
    }

    void numbers(const Column<double>& column) const {
        if (column.since > 1 && !drive_.has(column.name)) return;
        const auto values = drive_.numbers(column.name);
        requireLength(column.name, values.size(), 1);
        for (std::size_t i = 0; i < captures_.size(); ++i) column.in(captures_[i]) = values[i];
    }

    void counts(const Column<int>& column) const {
        const auto values = drive_.integers(column.name);
        requireLength(column.name, values.size(), 1);
        for (std::size_t i = 0; i < captures_.size(); ++i) column.in(captures_[i]) = values[i];
    }

    void octaves(const Column<Octaves>& column) const {
        const auto values = drive_.numbers(column.name);
        const std::size_t bands = judgedOctavesHz().size();
        requireLength(column.name, values.size(), bands);
        for (std::size_t i = 0; i < captures_.size(); ++i) {
            const auto row = std::span(values).subspan(i * bands, bands);
            const bool stated = std::any_of(row.begin(), row.end(), [](double v) { return !std::isnan(v); });
            if (stated) column.in(captures_[i]).assign(row.begin(), row.end());
        }
    }

private:
    void requireLength(const std::string& column, std::size_t length, std::size_t perCapture) const {
        if (length != captures_.size() * perCapture) fail(column, "has another length than 'id'");
    }

    const Hdf5Group& drive_;
    std::string where_;
    std::vector<Capture>& captures_;
};

/// One capture's row, as names and values.
class RowReader {
public:
    RowReader(const Hdf5Group& group, std::string where) : where_(std::move(where)) {
        collect(group.texts("number_name"), group.numbers("number"), numbers_);
        collect(group.texts("text_name"), group.texts("text"), texts_);
    }

    void text(const TextColumn& column, Capture& capture) const {
        const auto found = texts_.find(column.name);
        if (found == texts_.end() || !column.set(capture, found->second)) fail(column.name);
    }

    void number(const Column<double>& column, Capture& capture) const {
        const auto found = numbers_.find(column.name);
        if (found == numbers_.end()) fail(column.name);
        column.in(capture) = found->second;
    }

    void count(const Column<int>& column, Capture& capture) const {
        const auto found = numbers_.find(column.name);
        if (found == numbers_.end() || !(std::abs(found->second) < 1e9)) fail(column.name);
        column.in(capture) = static_cast<int>(found->second);
    }

    [[noreturn]] void fail(const std::string& column) const {
        failFormat(where_, "'" + column + "' is not there, or is not what it can be");
    }

private:
    template <typename T>
    void collect(const std::vector<std::string>& names, std::vector<T> values, std::map<std::string, T>& all) {
        if (names.size() != values.size()) failFormat(where_, "names and values differ in number");
        for (std::size_t i = 0; i < names.size(); ++i) all[names[i]] = std::move(values[i]);
    }

    std::string where_;
    std::map<std::string, double> numbers_;
    std::map<std::string, std::string> texts_;
};

}  // namespace

void writeCaptureColumns(const Hdf5Group& drive, std::span<const Capture> captures, const Hdf5Group& root,
                         const std::string& bands) {
    const ColumnWriter writer(drive, captures);
    for (const auto& column : textColumns) writer.texts(column);
    for (const auto& column : numberColumns) writer.numbers(column);
    for (const auto& column : countColumns) writer.counts(column);
    for (const auto& column : octaveColumns) writer.octaves(column, root, bands);
}

std::vector<Capture> readCaptureColumns(const Hdf5Group& drive, const std::string& where) {
    auto ids = drive.texts("id");
    std::vector<Capture> captures(ids.size());
    for (std::size_t i = 0; i < ids.size(); ++i) captures[i].id = std::move(ids[i]);
    const ColumnReader reader(drive, where, captures);
    for (const auto& column : textColumns) reader.texts(column);
    for (const auto& column : numberColumns) reader.numbers(column);
    for (const auto& column : countColumns) reader.counts(column);
    for (const auto& column : octaveColumns) reader.octaves(column);
    return captures;
}

void writeCaptureRow(const Hdf5Group& group, const Capture& capture) {
    std::vector<std::string> names, units, textNames{idColumn.name}, texts{idColumn.of(capture)};
    std::vector<double> values;
    const auto add = [&](const auto& column) {
        names.emplace_back(column.name);
        units.emplace_back(column.units);
        values.push_back(column.of(capture));
    };
    for (const auto& column : numberColumns) add(column);
    for (const auto& column : countColumns) add(column);
    for (const auto& column : textColumns) {
        textNames.emplace_back(column.name);
        texts.push_back(column.of(capture));
    }
    group.writeTexts("number_name", names);
    group.writeTexts("number_units", units);
    group.writeNumbers("number", values, {values.size()}, "of each: number_units");
    group.writeTexts("text_name", textNames);
    group.writeTexts("text", texts);
    for (const auto& column : octaveColumns)
        if (!column.of(capture).empty())
            group.writeNumbers(column.name, octaveTable({&capture, 1}, column), {judgedOctavesHz().size()},
                               column.units);
}

Capture readCaptureRow(const Hdf5Group& group, const std::string& where) {
    const RowReader reader(group, where);
    Capture capture;
    reader.text(idColumn, capture);
    for (const auto& column : textColumns) reader.text(column, capture);
    for (const auto& column : numberColumns) reader.number(column, capture);
    for (const auto& column : countColumns) reader.count(column, capture);
    for (const auto& column : octaveColumns) {
        if (!group.has(column.name)) continue;
        column.in(capture) = group.numbers(column.name);
        if (column.in(capture).size() != judgedOctavesHz().size()) reader.fail(column.name);
    }
    return capture;
}

}  // namespace volvelle
