#include "Sections/SectionSetting.h"

#include "Text/Error.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>
#include <string_view>
#include <utility>

namespace volvelle {

namespace {

constexpr std::array<std::pair<std::string_view, double>, 4> delayUnits{
    {{"ms", 1e-3}, {"us", 1e-6}, {"µs", 1e-6}, {"s", 1.0}}};
constexpr std::array<std::pair<std::string_view, double>, 1> gainUnits{{{"dB", 1.0}}};
const std::array<std::string, 3> quantities{"gain", "delay", "polarity"};

/// One text taken apart: SECTION.QUANTITY=VALUE.
struct Parts {
    std::string where, section, quantity, value;
};

[[noreturn]] void refuse(const Parts& parts, const std::string& problem, const std::string& advice) {
    throw Error(ErrorKind::usage, problem, parts.where, advice);
}

Parts takenApart(const std::string& text) {
    Parts parts;
    parts.where = "--set " + inQuotes(text);
    const std::size_t equals = text.find('=');
    const std::size_t dot = text.rfind('.', equals);
    if (equals == std::string::npos || dot == std::string::npos)
        refuse(parts, "is no setting of a section",
               "Write it like rear.delay=0.3ms or rear.polarity=reversed");
    parts.section = text.substr(0, dot);
    parts.quantity = text.substr(dot + 1, equals - dot - 1);
    parts.value = text.substr(equals + 1);
    return parts;
}

/// The number ahead of one of these units, times what the unit is worth.
template <typename Units>
double measured(const Parts& parts, const Units& units, double limit, const std::string& example) {
    std::string_view value = parts.value;
    for (const auto& [unit, worth] : units) {
        if (!value.ends_with(unit)) continue;
        value.remove_suffix(unit.size());
        const auto number = parseNumber(value);
        if (!number) break;
        if (!Range::between(-limit, limit).contains(*number * worth))
            refuse(parts, parts.quantity + " " + inQuotes(parts.value) + " is out of range",
                   "Give at most " + shortestText(limit) + " " + std::string(units.back().first) +
                       " either way");
        return *number * worth;
    }
    refuse(parts, parts.quantity + " " + inQuotes(parts.value) + " is no number with its unit",
           "Write it like " + example);
}

void apply(const Parts& parts, SectionSetting& setting) {
    if (parts.quantity == "gain")
        setting.gainDb = measured(parts, gainUnits, 100, "-2dB");
    else if (parts.quantity == "delay")
        setting.delayS = measured(parts, delayUnits, 1, "0.3ms, 300us or 0.0003s");
    else if (parts.quantity != "polarity")
        refuse(parts, inQuotes(parts.quantity) + " cannot be set", suggestion(parts.quantity, quantities));
    else if (parts.value == "normal" || parts.value == "reversed")
        setting.reversed = parts.value == "reversed";
    else
        refuse(parts, "polarity " + inQuotes(parts.value) + " is not known", "Write normal or reversed");
}

}  // namespace

std::complex<double> factorOf(const SectionSetting& setting, double frequencyHz) {
    const double gain = std::pow(10, setting.gainDb / 20) * (setting.reversed ? -1 : 1);
    // Whole turns are taken off before the argument becomes large.
    const double turns = std::remainder(frequencyHz * setting.delayS, 1.0);
    return gain * std::complex<double>(std::cos(2 * std::numbers::pi * turns),
                                       -std::sin(2 * std::numbers::pi * turns));
}

std::vector<SectionSetting> sectionSettings(std::span<const std::string> texts,
                                            std::span<const std::string> sections) {
    std::vector<SectionSetting> settings(sections.size());
    std::set<std::pair<std::string, std::string>> known;
    for (const std::string& text : texts) {
        const Parts parts = takenApart(text);
        const auto section = std::find(sections.begin(), sections.end(), parts.section);
        if (section == sections.end())
            refuse(parts, "the drive has no section " + inQuotes(parts.section),
                   suggestion(parts.section, sections));
        apply(parts, settings[static_cast<std::size_t>(section - sections.begin())]);
        if (!known.insert({parts.section, parts.quantity}).second)
            refuse(parts, "is set twice", "Give each setting once");
    }
    return settings;
}

std::vector<std::string> settingStatements(std::span<const SectionSetting> settings,
                                           std::span<const std::string> sections) {
    std::vector<std::string> statements;
    for (std::size_t s = 0; s < settings.size(); ++s) {
        if (settings[s].isNeutral()) continue;
        std::string text = sections[s] + ":";
        const auto add = [&](const std::string& part) { text += (text.back() == ':' ? " " : ", ") + part; };
        if (settings[s].gainDb != 0) add("gain " + shortestText(settings[s].gainDb) + " dB");
        if (settings[s].delayS != 0) add("delay " + significantText(settings[s].delayS * 1000, 12) + " ms");
        if (settings[s].reversed) add("polarity reversed");
        statements.push_back(text);
    }
    return statements;
}

}  // namespace volvelle
