#pragma once

#include "Run/RunRecord.h"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace volvelle {

// The words that stand for enumerations in run files and on screens, in the order of the enumerators.

constexpr std::array<std::string_view, 4> wordsFor(CaptureKind) {
    return {"position", "axis-check", "low-sweep", "background"};
}
constexpr std::array<std::string_view, 3> wordsFor(CaptureState) {
    return {"kept", "superseded", "doubtful"};
}
constexpr std::array<std::string_view, 3> wordsFor(NoiseSource) {
    return {"unknown", "silence", "tail"};
}
constexpr std::array<std::string_view, 3> wordsFor(CaptureForm) {
    return {"recording", "impulse-response", "text-response"};
}
constexpr std::array<std::string_view, 2> wordsFor(SampleType) {
    return {"int32", "float32"};
}
constexpr std::array<std::string_view, 4> wordsFor(TimeZero) {
    return {"loopback", "excitation-file", "impulse", "text-phase"};
}
constexpr std::array<std::string_view, 4> wordsFor(DriveQuantity) {
    return {"not stated", "terminal-volts", "input-volts", "digital-full-scale"};
}
constexpr std::array<std::string_view, 2> wordsFor(Orbit) {
    return {"horizontal", "vertical"};
}
constexpr std::array<std::string_view, 2> wordsFor(Stance) {
    return {"upright", "on-side"};
}

/// "excitation-file" for TimeZero::excitationFile, and so on.
template <typename Enumeration>
std::string wordFor(Enumeration value) {
    return std::string(wordsFor(value).at(static_cast<std::size_t>(value)));
}

/// The enumerator of a word; nothing for other words.
template <typename Enumeration>
std::optional<Enumeration> fromWord(std::string_view word) {
    constexpr auto words = wordsFor(Enumeration{});
    for (std::size_t i = 0; i < words.size(); ++i)
        if (words[i] == word) return static_cast<Enumeration>(i);
    return std::nullopt;
}

}  // namespace volvelle
