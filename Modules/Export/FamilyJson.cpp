#include "Export/FamilyJson.h"

#include "Export/FamilyColumns.h"
#include "Text/Error.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <filesystem>

namespace volvelle {

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json rounded(double value, double perUnit) {
    return std::isfinite(value) ? Json(std::round(value * perUnit) / perUnit) : Json(nullptr);
}

Json roundedAll(const std::vector<double>& values, double scale, double perUnit) {
    Json out = Json::array();
    for (const double v : values) out.push_back(rounded(scale * v, perUnit));
    return out;
}

Json textOrNull(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

/// Nine significant digits, like the table.
Json frequencies(const std::vector<double>& values) {
    Json out = Json::array();
    for (const double v : values) {
        const double unit = std::isfinite(v) && v > 0 ? std::pow(10.0, 8 - std::floor(std::log10(v))) : 1;
        out.push_back(rounded(v, unit));
    }
    return out;
}

const char* unitName(CurveUnit unit) {
    switch (unit) {
        case CurveUnit::pressureLevelDb:
            return "dB as under level";
        case CurveUnit::directivityDb:
            return "dB";
        case CurveUnit::powerLevelDb:
            return "dB re 1 pW";
    }
    return "dB";
}

Json curveJson(const Curve& curve) {
    Json positions = Json::array();
    for (const CurvePosition& p : curve.positions)
        positions.push_back({{"position", p.name}, {"weight", number(p.weight)}});
    return {{"key", curve.key},
            {"title", curve.title},
            {"unit", unitName(curve.unit)},
            {"level_db", roundedAll(curve.levelDb, 1, 1e4)},
            {"positions", positions},
            {"derivation", textOrNull(curve.derivation)},
            {"missing", textOrNull(curve.missing)}};
}

Json validityJson(const Validity& v) {
    const Band band = v.valid();
    return {{"low_hz", number(band.lowHz)},
            {"high_hz", number(band.highHz)},
            {"window_resolves_from_hz", number(v.resolutionHz)},
            {"excited_low_hz", number(v.excited.lowHz)},
            {"excited_high_hz", number(v.excited.highHz)},
            {"chamber_from_hz", number(v.chamberLowestHz)},
            {"far_field_up_to_hz", number(v.farFieldHz)},
            {"noise_per_octave_db", roundedAll(v.noiseDb, 1, 100)}};
}

Json distortionJson(const Distortion& d) {
    Json harmonics = Json::array();
    for (std::size_t k = 0; k < d.orders.size(); ++k) {
        Json harmonic{{"order", d.orders[k]}};
        harmonic["percent"] = k < d.ratio.size() ? roundedAll(d.ratio[k], 100, 1e8) : Json::array();
        harmonic["floor_percent"] = k < d.floor.size() ? roundedAll(d.floor[k], 100, 1e8) : Json::array();
        harmonics.push_back(harmonic);
    }
    return {{"excitation_peak_v", number(d.peakV)},
            {"excitation_peak_full_scale", number(d.peakFullScale)},
            {"harmonics", harmonics},
            {"total_percent", roundedAll(d.total, 100, 1e8)},
            {"missing", textOrNull(d.missing)}};
}

Json mapJson(const DirectivityMap& map) {
    Json levels = Json::array(), widths = Json::array();
    for (const auto& row : map.levelDb)
        levels.push_back(roundedAll(std::vector<double>(row.begin(), row.end()), 1, 1e4));
    for (const double w : map.beamwidthDeg) widths.push_back(std::isinf(w) ? Json("none") : rounded(w, 100));
    return {{"angle_deg", roundedAll(map.angleDeg, 1, 1e6)}, {"level_db", levels}, {"beamwidth_deg", widths}};
}

Json recipeJson(const std::string& text) {
    if (text.empty()) return nullptr;
    Json recipe = Json::parse(text, nullptr, false);
    if (recipe.is_discarded())
        throw Error(ErrorKind::bug, "the family's recipe is no JSON", "export", "Please report this");
    return recipe;
}

Json head(const Family& family) {
    return {{"format", "volvelle family"},
            {"format_version", 1},
            {"program_version", textOrNull(family.programVersion)},
            {"run",
             {{"file", textOrNull(std::filesystem::path(family.runPath).filename().string())},
              {"fingerprint", textOrNull(family.runFingerprint)}}},
            {"unit", {{"model", textOrNull(family.unitModel)}, {"serial", textOrNull(family.unitSerial)}}},
            {"drive", family.drive},
            {"axis_deg", number(family.axisDeg)},
            {"level", textOrNull(family.levelStatement)},
            {"recipe", recipeJson(family.recipeJson)},
            {"earliest_arrival_ms", rounded(1000 * family.earliestArrivalS, 1e4)},
            {"validity", validityJson(family.validity)},
            {"polarity", polarityName(family.polarity)},
            {"notes", family.notes}};
}

std::string dumped(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string familyJson(const Family& family) {
    Json root = head(family);
    root["frequency_hz"] = frequencies(family.frequencyHz);
    Json curves = Json::array();
    for (const Curve& curve : family.curves) curves.push_back(curveJson(curve));
    root["curves"] = curves;
    root["on_axis"] = {{"phase_deg", roundedAll(family.onAxisPhaseDeg, 1, 1e3)},
                       {"group_delay_ms", roundedAll(family.onAxisGroupDelayS, 1000, 1e5)},
                       {"missing", textOrNull(family.onAxisMissing)}};
    root["distortion"] = distortionJson(family.distortion);
    root["directivity"] = {{"horizontal", mapJson(family.horizontal)},
                           {"vertical", mapJson(family.vertical)}};
    std::string out = "{\n";
    for (const auto& [key, value] : root.items())
        out += (out.size() > 2 ? ",\n" : "") + dumped(Json(key)) + ": " + dumped(value);
    return out + "\n}\n";
}

}  // namespace volvelle
