#include "Export/Comments.h"

#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>

namespace volvelle {

namespace {

/// In four digits: the ends of a sweep are recognised to a few parts in ten thousand.
std::string hz(double value) {
    if (!std::isfinite(value)) return "not stated";
    if (!(value > 0)) return significantText(value, 4) + " Hz";
    const double step = std::pow(10, std::floor(std::log10(value)) - 3);
    return significantText(std::round(value / step) * step, 6) + " Hz";
}

std::string validBand(const Validity& validity) {
    const Band band = validity.valid();
    if (band.lowHz > band.highHz) return "nowhere, as the limits leave nothing";
    return hz(band.lowHz) + " to " + hz(band.highHz);
}

}  // namespace

std::string statedOr(const std::string& text) {
    return text.empty() ? "not stated" : text;
}

void commentOrigin(CsvWriter& csv, const TableOrigin& origin) {
    csv.comment("program version: " + statedOr(origin.programVersion));
    csv.comment("run: " + statedOr(std::filesystem::path(origin.runPath).filename().string()));
    csv.comment("run fingerprint: " + statedOr(origin.runFingerprint));
    csv.comment("unit: " + statedOr(origin.unitModel) + ", serial " + statedOr(origin.unitSerial));
    csv.comment("drive: " + statedOr(origin.drive));
}

void commentValidity(CsvWriter& csv, const Validity& v) {
    csv.comment("valid: " + validBand(v));
    csv.comment(
        fmt::format("limits: window resolves down to {}; {} {} to {}; chamber usable from {}; far-field "
                    "conditions up to {}",
                    hz(v.resolutionHz), v.excitedBy == "excitation" ? "excited" : v.excitedBy,
                    hz(v.excited.lowHz), hz(v.excited.highHz), hz(v.chamberLowestHz), hz(v.farFieldHz)));
    if (v.noiseDb.empty()) return;
    std::string noise;
    for (const double db : v.noiseDb)
        noise += (noise.empty() ? "" : " ") + (std::isfinite(db) ? fixedText(db, 1) : std::string("unknown"));
    csv.comment("noise in the on-axis curve re its level, octaves from 31.5 Hz up, dB: " + noise);
}

}  // namespace volvelle
