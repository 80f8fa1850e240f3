#include "Figures/FamilyWords.h"

#include "Figures/OrbitField.h"
#include "Figures/Words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

std::string statedOr(const std::string& text, const std::string& otherwise) {
    return text.empty() ? otherwise : text;
}

std::string unitWords(const Family& family) {
    const std::string model = statedOr(family.unitModel, "unit not stated");
    return family.unitSerial.empty() ? model + " \xC2\xB7 serial not stated"
                                     : model + " \xC2\xB7 serial " + family.unitSerial;
}

/// Maps and polar curves: relative to the axis, but an orbit without 0 degrees to its largest.
std::string relativeWords(const Family& family) {
    bool axis = false, largest = false;
    for (const DirectivityMap* map : {&family.horizontal, &family.vertical}) {
        const OrbitField field(family.frequencyHz, *map);
        if (field.empty()) continue;
        (field.reference() == OrbitField::Reference::axis ? axis : largest) = true;
    }
    if (axis && largest)
        return "dB re the level on the axis, or the orbit's largest where 0\xC2\xB0 is missing";
    return largest ? "dB re the largest level of the orbit" : "dB re the level on the axis";
}

std::string lowBound(const Validity& v, double low) {
    if (v.chamberLowestHz >= low) return "chamber";
    return v.resolutionHz >= low ? "window" : v.excitedBy;
}

std::string span(double fromS, double toS) {
    return fmt::format("{} \xE2\x80\xA6 {}", milliseconds(fromS), milliseconds(toS));
}

std::string lowWindowWords(double crossFadeHz, double startS, double endS) {
    return fmt::format(", below {} the low window {}", hertz(crossFadeHz), span(startS, endS));
}

/// One reference everywhere, time zero, unless only the arrival is known.
std::string windowWords(const Family& family) {
    const Recipe& r = family.recipe;
    const WindowedImpulse& i = family.impulse;
    const double arrivalS = family.earliestArrivalS;
    const std::string arrival =
        std::isfinite(arrivalS) ? ", earliest arrival " + milliseconds(arrivalS) : std::string{};
    if (i.sampleRateHz > 0)
        return fmt::format("Window {} after time zero", span(i.window.startS, i.window.endS)) +
               (i.hasLowWindow ? lowWindowWords(i.crossFadeHz, i.lowWindow.startS, i.lowWindow.endS) : "") +
               arrival;
    if (family.validity.resolutionHz == 0) return "Responses as the files give them, no window";
    if (!r.window.startS || !r.window.endS) return "Window not stated";
    const double zero = arrival.empty() ? 0 : arrivalS;
    std::string words = fmt::format("Window {} after {}", span(zero + *r.window.startS, zero + *r.window.endS),
                                    arrival.empty() ? "the earliest arrival" : "time zero");
    if (r.lowWindowChoice != Recipe::LowWindow::none && r.crossFadeHz && r.lowWindow.startS && r.lowWindow.endS)
        words += lowWindowWords(*r.crossFadeHz, zero + *r.lowWindow.startS, zero + *r.lowWindow.endS);
    return words + arrival;
}

const char* airWords(Recipe::AirCorrection air) {
    switch (air) {
        case Recipe::AirCorrection::none:
            return "air as it was";
        case Recipe::AirCorrection::lossless:
            return "air absorption taken out";
        case Recipe::AirCorrection::referenceClimate:
            return "air of the reference climate";
    }
    return "air not stated";
}

}  // namespace

std::string axisStatement(const Family& family, FigureKind kind) {
    switch (kind) {
        case FigureKind::family:
            return statedOr(family.levelStatement, "level reference not stated");
        case FigureKind::map:
        case FigureKind::polar:
            return relativeWords(family);
        case FigureKind::impulse:
            return "samples, and levels in dB, re the largest sample";
        case FigureKind::distortion:
            return "% and dB re the fundamental, " +
                   statedOr(family.distortion.drivenAt, "drive level not stated");
    }
    return "";
}

namespace {

/// Notes that concern averages stand with the family alone, those of directions not with what is of the axis.
std::vector<std::string> notesFor(const Family& family, FigureKind kind) {
    std::vector<std::string> notes = family.notes;
    const auto drop = [&](const std::vector<std::string>& others) {
        std::erase_if(notes, [&](const std::string& note) {
            return std::find(others.begin(), others.end(), note) != others.end();
        });
    };
    if (kind != FigureKind::family) drop(family.averageNotes);
    if (kind == FigureKind::impulse || kind == FigureKind::distortion) drop(family.directionNotes);
    return notes;
}

}  // namespace

PlateWords wordsOf(const Family& family, FigureKind kind, std::vector<std::string> statements) {
    PlateWords words;
    words.title = unitWords(family);
    words.subtitle =
        fmt::format("Drive {} \xC2\xB7 axis {} \xC2\xB7 {}", statedOr(family.drive, "not stated"),
                    signedDegrees(family.axisDeg), axisStatement(family, kind));
    words.statements = std::move(statements);
    words.notes = notesFor(family, kind);
    words.always = {validityWords(family), recipeWords(family)};
    words.origin =
        family.runFingerprint.empty() ? "run not stated" : "run " + family.runFingerprint.substr(0, 12);
    words.programVersion = family.programVersion;
    return words;
}

std::string validityWords(const Family& family) {
    const Validity& v = family.validity;
    const Band band = v.valid();
    if (!(band.lowHz < band.highHz)) return "Where the curves hold is not known.";
    const std::string low = lowBound(v, band.lowHz);
    std::string words = low == v.excitedBy ? fmt::format("Valid from {} to {} ({})", hertz(band.lowHz),
                                                         hertz(band.highHz), low)
                                           : fmt::format("Valid from {} ({}) to {} ({})", hertz(band.lowHz),
                                                         low, hertz(band.highHz), v.excitedBy);
    words += ", drawn faint outside.";
    if (std::isfinite(v.farFieldHz)) {
        words += fmt::format(" Far-field conditions up to {}.", hertz(v.farFieldHz));
    } else {
        words += " Far-field limit not stated.";
    }
    if (!std::isfinite(v.chamberLowestHz)) words += " Lowest usable frequency of the chamber not stated.";
    return words;
}

std::string recipeWords(const Family& family) {
    const Recipe& r = family.recipe;
    std::string words = windowWords(family);
    words += r.smoothing > 0 ? fmt::format(" \xC2\xB7 smoothed over 1/{} octave", r.smoothing)
                             : " \xC2\xB7 not smoothed";
    words += std::string(" \xC2\xB7 ") + airWords(r.air);
    return words + (r.subtractNoise ? " \xC2\xB7 noise power subtracted." : ".");
}

}  // namespace volvelle
