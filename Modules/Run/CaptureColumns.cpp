#include "Run/CaptureColumns.h"

#include "Run/FormatError.h"
#include "Run/RunNames.h"
#include "Text/Error.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>

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
};

template <typename Value, auto... path>
constexpr Column<Value> column(const char* name, const char* units) {
    return {name, units, [](const Capture& c) -> const Value& { return member<path...>(c); },
            [](Capture& c) -> Value& { return member<path...>(c); }};
}

using Quality = CaptureQuality;
using Octaves = std::vector<double>;

constexpr Column<double> numberColumns[] = {
    column<double, &Capture::direction, &Direction::azimuthDeg>("azimuth_deg", "deg"),
    column<double, &Capture::direction, &Direction::elevationDeg>("elevation_deg", "deg"),
    column<double, &Capture::angleDeg>("angle_deg", "deg"),
    column<double, &Capture::readBackDeg>("read_back_deg", "deg"),
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
};

constexpr Column<int> countColumns[] = {
    column<int, &Capture::repeat>("repeat", "1"),
    column<int, &Capture::attempt>("attempt", "1"),
};

constexpr Column<std::string> textColumns[] = {
    column<std::string, &Capture::reason>("reason", ""),
    column<std::string, &Capture::utc>("utc", ""),
    column<std::string, &Capture::sourceFile>("source_file", ""),
};

constexpr Column<Octaves> octaveColumns[] = {
    column<Octaves, &Capture::quality, &Quality::noiseDb>("noise_db", "dB re 20 uPa"),
    column<Octaves, &Capture::quality, &Quality::decayS>("decay_s", "s"),
    column<Octaves, &Capture::quality, &Quality::impulseNoiseDb>("impulse_noise_db", "dB"),
};

// ---- writing

using Captures = std::span<const Capture>;

template <typename Get>
std::vector<std::string> wordsOf(Captures captures, Get get) {
    std::vector<std::string> words;
    words.reserve(captures.size());
    for (const Capture& capture : captures) words.push_back(get(capture));
    return words;
}

/// [["name", "value"], ...]: the order stays, and a name may come twice.
std::string notesAsText(const Capture& capture) {
    if (capture.notes.empty()) return {};
    auto notes = nlohmann::json::array();
    for (const auto& [name, value] : capture.notes) notes.push_back(nlohmann::json::array({name, value}));
    return notes.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
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
        drive_.writeTexts("id", wordsOf(captures, [](const Capture& c) { return c.id; }));
        drive_.makeScale("id", "captures");
    }

    void texts(const std::string& name, const std::vector<std::string>& values) const {
        drive_.writeTexts(name, values);
        attach(name);
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

    template <typename Set>
    void texts(const std::string& name, Set set) const {
        auto values = drive_.texts(name);
        requireLength(name, values.size(), 1);
        for (std::size_t i = 0; i < captures_.size(); ++i) set(captures_[i], std::move(values[i]));
    }

    template <typename Enumeration>
    Enumeration word(const std::string& column, const std::string& text) const {
        const auto value = fromWord<Enumeration>(text);
        if (!value) fail(column, "holds the unknown word '" + text + "'");
        return *value;
    }

    void numbers(const Column<double>& column) const {
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

}  // namespace

void writeCaptureColumns(const Hdf5Group& drive, std::span<const Capture> captures, const Hdf5Group& root,
                         const std::string& bands) {
    const ColumnWriter writer(drive, captures);
    writer.texts("kind", wordsOf(captures, [](const Capture& c) { return wordFor(c.kind); }));
    writer.texts("orbit",
                 wordsOf(captures, [](const Capture& c) { return c.orbit ? wordFor(*c.orbit) : ""; }));
    writer.texts("stance", wordsOf(captures, [](const Capture& c) { return wordFor(c.stance); }));
    writer.texts("state", wordsOf(captures, [](const Capture& c) { return wordFor(c.state); }));
    writer.texts("noise_source",
                 wordsOf(captures, [](const Capture& c) { return wordFor(c.quality.noiseSource); }));
    writer.texts("notes", wordsOf(captures, notesAsText));
    for (const auto& column : textColumns) writer.texts(column.name, wordsOf(captures, column.of));
    for (const auto& column : numberColumns) writer.numbers(column);
    for (const auto& column : countColumns) writer.counts(column);
    for (const auto& column : octaveColumns) writer.octaves(column, root, bands);
}

std::vector<Capture> readCaptureColumns(const Hdf5Group& drive, const std::string& where) {
    auto ids = drive.texts("id");
    std::vector<Capture> captures(ids.size());
    for (std::size_t i = 0; i < ids.size(); ++i) captures[i].id = std::move(ids[i]);
    const ColumnReader reader(drive, where, captures);
    reader.texts("kind",
                 [&](Capture& c, const std::string& t) { c.kind = reader.word<CaptureKind>("kind", t); });
    reader.texts("orbit", [&](Capture& c, const std::string& t) {
        if (!t.empty()) c.orbit = reader.word<Orbit>("orbit", t);
    });
    reader.texts("stance",
                 [&](Capture& c, const std::string& t) { c.stance = reader.word<Stance>("stance", t); });
    reader.texts("state",
                 [&](Capture& c, const std::string& t) { c.state = reader.word<CaptureState>("state", t); });
    reader.texts("noise_source", [&](Capture& c, const std::string& t) {
        c.quality.noiseSource = reader.word<NoiseSource>("noise_source", t);
    });
    reader.texts("notes", [&](Capture& c, const std::string& text) {
        if (!setNotes(c, text)) reader.fail("notes", "holds text that is no list of notes");
    });
    for (const auto& column : textColumns)
        reader.texts(column.name, [&](Capture& c, std::string&& text) { column.in(c) = std::move(text); });
    for (const auto& column : numberColumns) reader.numbers(column);
    for (const auto& column : countColumns) reader.counts(column);
    for (const auto& column : octaveColumns) reader.octaves(column);
    return captures;
}

}  // namespace volvelle
