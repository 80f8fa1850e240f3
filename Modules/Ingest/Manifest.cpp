#include "Ingest/Manifest.h"

#include "Run/RunRecord.h"
#include "Text/Csv.h"
#include "Text/Error.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

namespace volvelle {

namespace {

const std::vector<std::string> knownColumns{"file",          "drive",  "orbit",  "angle_deg", "azimuth_deg",
                                            "elevation_deg", "repeat", "stance", "distance_m"};
constexpr int highestRepeat = 9999;
constexpr double farthestM = 1000;

enum class Style { orbits, directions };

Style styleOf(const CsvTable& table) {
    const bool onOrbits = table.hasColumn("orbit") || table.hasColumn("angle_deg");
    const bool onSphere = table.hasColumn("azimuth_deg") || table.hasColumn("elevation_deg");
    if (onOrbits && onSphere) {
        throw Error(ErrorKind::input, "columns for orbits and for directions are mixed",
                    fmt::format("{}, line {}", table.source(), table.headerLine()),
                    "Give either orbit and angle_deg, or azimuth_deg and elevation_deg");
    }
    if (!onOrbits && !onSphere) {
        throw Error(ErrorKind::input, "no columns say where the files were captured",
                    fmt::format("{}, line {}", table.source(), table.headerLine()),
                    "Give orbit and angle_deg, or azimuth_deg and elevation_deg");
    }
    if (onOrbits) {
        table.requireColumns({"orbit", "angle_deg"});
        return Style::orbits;
    }
    table.requireColumns({"azimuth_deg", "elevation_deg"});
    return Style::directions;
}

/// Spreadsheets of many countries write semicolons where others write commas.
void refuseOtherSeparators(std::string_view text, const std::string& source) {
    const std::size_t begin = std::min(text.find_first_not_of("\xEF\xBB\xBF\r\n"), text.size());
    const std::string_view header = text.substr(begin, text.find_first_of("\r\n", begin) - begin);
    const auto has = [&](const auto& what) { return header.find(what) != std::string_view::npos; };
    if (has(',') || std::none_of(knownColumns.begin(), knownColumns.end(), has)) return;
    for (const auto& [mark, name] : {std::pair{';', "semicolons"}, std::pair{'\t', "tabs"}}) {
        if (!has(mark)) continue;
        throw Error(ErrorKind::input, fmt::format("is separated by {}, not by commas", name),
                    fmt::format("{}, line {}", source,
                                1 + std::count(text.begin(),
                                               text.begin() + static_cast<std::ptrdiff_t>(begin), '\n')),
                    "Save it as CSV with commas between the cells and a point as decimal mark");
    }
}

std::string requiredText(const CsvRow& row, std::string_view column) {
    const std::string text(row.text(column));
    if (text.empty()) throw row.error(column, "is empty", "Fill it in, or remove the row");
    const bool control = std::any_of(text.begin(), text.end(), [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte < 0x20 || byte == 0x7F;
    });
    if (control)
        throw row.error(column, fmt::format("{} holds control characters", inQuotes(text)), "Remove them");
    return text;
}

/// A direction on both orbits belongs to the one that its stance is used for.
void recogniseOrbit(ManifestRow& row) {
    const std::array orbits = row.stance == Stance::onSide ? std::array{Orbit::vertical, Orbit::horizontal}
                                                           : std::array{Orbit::horizontal, Orbit::vertical};
    row.angleDeg = std::numeric_limits<double>::quiet_NaN();
    for (const Orbit orbit : orbits) {
        const auto angle = angleOn(orbit, row.direction);
        if (!angle) continue;
        row.orbit = orbit;
        row.angleDeg = *angle;
        return;
    }
}

void readPosition(ManifestRow& row, const CsvRow& cells, Style style) {
    const std::vector<std::string> stances{stanceName(Stance::upright), stanceName(Stance::onSide)};
    const Range turn = Range::between(-360, 360);
    if (style == Style::orbits) {
        const std::vector<std::string> orbits{orbitName(Orbit::horizontal), orbitName(Orbit::vertical)};
        row.orbit = cells.choice("orbit", orbits) == 0 ? Orbit::horizontal : Orbit::vertical;
        row.angleDeg = foldedDeg(cells.number("angle_deg", turn));
        row.direction = directionOn(*row.orbit, row.angleDeg);
        if (row.orbit == Orbit::vertical) row.stance = Stance::onSide;
    } else {
        const double azimuth = cells.number("azimuth_deg", turn);
        row.direction = direction(azimuth, cells.number("elevation_deg", Range::between(-90, 90)));
    }
    if (cells.has("stance"))
        row.stance = cells.choice("stance", stances) == 0 ? Stance::upright : Stance::onSide;
    if (style == Style::directions) recogniseOrbit(row);
}

ManifestRow readRow(const CsvRow& cells, Style style, const std::vector<std::string>& columns) {
    ManifestRow row;
    row.line = cells.line();
    row.file = requiredText(cells, "file");
    row.drive = requiredText(cells, "drive");
    readPosition(row, cells, style);
    if (cells.has("repeat")) row.repeat = cells.wholeNumber("repeat", 1, highestRepeat);
    row.distanceM = cells.optionalNumber("distance_m", Range::aboveTo(0, farthestM));
    for (const auto& column : columns) {
        if (std::find(knownColumns.begin(), knownColumns.end(), column) != knownColumns.end()) continue;
        if (cells.has(column)) row.notes.emplace_back(column, std::string(cells.text(column)));
    }
    return row;
}

std::vector<std::string> splitAtPlus(std::string_view drive) {
    std::vector<std::string> names;
    for (;;) {
        const auto plus = drive.find('+');
        names.emplace_back(drive.substr(0, plus));
        if (plus == std::string_view::npos) return names;
        drive.remove_prefix(plus + 1);
    }
}

/// Whether a name may stand in file names, positions and options; letters of all languages may.
bool isSectionName(const std::string& name) {
    const auto isLetter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               static_cast<unsigned char>(c) >= 0x80;
    };
    const auto isLegal = [&](char c) { return isLetter(c) || c == '-' || c == '_' || c == '.'; };
    return name.size() <= 64 && std::all_of(name.begin(), name.end(), isLegal) &&
           std::any_of(name.begin(), name.end(), isLetter);
}

/// Brings the names of drives into one form: "rear+front" is "front+rear", and a name of the plan's own where
/// the drive has one.
class DriveNames {
public:
    explicit DriveNames(const Plan& plan) : plan_(plan), fixed_(!plan.sections.empty()) {
        for (const auto& section : plan.sections) sections_.push_back(section.name);
        for (const auto& drive : plan.drives) drives_.push_back(drive.name);
    }

    std::string canonical(const std::string& drive, const CsvRow& row) {
        const auto planned = plannedDrives(plan_, drive);
        if (planned.size() == 1) return planned.front()->name;
        if (planned.size() > 1) {
            throw row.error(
                "drive",
                fmt::format("names {}, which more than one drive of the plan plays", inQuotes(drive)),
                fmt::format("Write {} or {}", planned[0]->name, planned[1]->name));
        }
        std::vector<std::string> sections = splitAtPlus(drive);
        for (const auto& name : sections) place(name, drive, row);
        std::sort(sections.begin(), sections.end(),
                  [this](const auto& a, const auto& b) { return at(a) < at(b); });
        const auto twice = std::adjacent_find(sections.begin(), sections.end());
        if (twice != sections.end()) {
            throw row.error("drive", fmt::format("names the section {} twice", inQuotes(*twice)),
                            "Name each section once");
        }
        return fmt::format("{}", fmt::join(sections, "+"));
    }

private:
    std::ptrdiff_t at(const std::string& name) const {
        return std::find(sections_.begin(), sections_.end(), name) - sections_.begin();
    }

    void place(const std::string& name, const std::string& drive, const CsvRow& row) {
        if (at(name) < std::ssize(sections_)) return;
        if (fixed_) {
            std::vector<std::string> known = sections_;
            for (const auto& other : drives_)
                if (at(other) == std::ssize(sections_)) known.push_back(other);
            throw row.error("drive", fmt::format("names {}, which the plan does not have", inQuotes(name)),
                            suggestion(name, known));
        }
        if (!isSectionName(name)) {
            throw row.error(
                "drive",
                fmt::format("is {}, where {} cannot be a section's name", inQuotes(drive), inQuotes(name)),
                "Sections are named with letters, digits, - _ and . and joined by + into drives");
        }
        sections_.push_back(name);
    }

    const Plan& plan_;
    std::vector<std::string> sections_, drives_;
    bool fixed_;
};

/// Two rows at one direction, of one drive, stance and repeat. Sorted along x, equal directions are close
/// neighbours.
void refuseTwice(const Manifest& manifest) {
    struct Place {
        const ManifestRow* row;
        std::array<double, 3> vector;
    };
    std::map<std::tuple<std::string, Stance, int>, std::vector<Place>> groups;
    for (const auto& row : manifest.rows) {
        groups[{row.drive, row.stance, row.repeat}].push_back({&row, unitVector(row.direction)});
    }
    constexpr double nearEnough =
        2e-4;  // chord of a little more than the 0.01° within which directions are the same
    const ManifestRow *first = nullptr, *second = nullptr;
    for (auto& [key, places] : groups) {
        std::stable_sort(places.begin(), places.end(),
                         [](const Place& a, const Place& b) { return a.vector < b.vector; });
        for (std::size_t i = 0; i < places.size(); ++i) {
            for (std::size_t k = i + 1;
                 k < places.size() && places[k].vector[0] - places[i].vector[0] < nearEnough; ++k) {
                if (!sameDirection(places[i].row->direction, places[k].row->direction)) continue;
                const auto [a, b] = std::minmax(places[i].row, places[k].row,
                                                [](auto* x, auto* y) { return x->line < y->line; });
                if (second != nullptr && second->line <= b->line) continue;
                first = a;
                second = b;
            }
        }
    }
    if (second == nullptr) return;
    throw Error(ErrorKind::input,
                fmt::format("the capture of {} at {}, {}, repeat {} stands on line {} already", second->drive,
                            positionName(second->direction, second->orbit), stanceName(second->stance),
                            second->repeat, first->line),
                manifest.where(*second), "Remove one of the two, or number them with a column 'repeat'");
}

}  // namespace

std::string Manifest::where(const ManifestRow& row) const {
    return fmt::format("{}, line {}", source, row.line);
}

Manifest parseManifest(std::string_view text, const std::string& source, const Plan& plan) {
    refuseOtherSeparators(text, source);
    const CsvTable table = CsvTable::parse(text, source);
    table.refuseMisspeltColumns(knownColumns);
    table.requireColumns({"file", "drive"});
    const Style style = styleOf(table);
    Manifest manifest;
    manifest.source = source;
    DriveNames names(plan);
    for (const CsvRow& cells : table.rows()) {
        ManifestRow row = readRow(cells, style, table.columns());
        row.drive = names.canonical(row.drive, cells);
        if (std::find(manifest.drives.begin(), manifest.drives.end(), row.drive) == manifest.drives.end()) {
            manifest.drives.push_back(row.drive);
        }
        manifest.rows.push_back(std::move(row));
    }
    if (manifest.rows.empty()) {
        throw Error(ErrorKind::input, "names no recordings", source, "Give one row for each file");
    }
    refuseTwice(manifest);
    return manifest;
}

}  // namespace volvelle
