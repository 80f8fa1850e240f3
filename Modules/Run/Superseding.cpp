#include "Run/Superseding.h"

#include "Text/Number.h"

#include <vector>

namespace volvelle {

bool areAttemptsAtOne(const Capture& a, const Capture& b) {
    return a.kind == b.kind && a.direction.azimuthDeg == b.direction.azimuthDeg &&
           a.direction.elevationDeg == b.direction.elevationDeg && a.orbit == b.orbit && a.stance == b.stance &&
           a.repeat == b.repeat;
}

void markSuperseded(std::span<Capture> captures, std::span<const OwnState> own, std::size_t newest) {
    std::vector<std::size_t> attempts;
    for (std::size_t i = 0; i < captures.size(); ++i)
        if (areAttemptsAtOne(captures[i], captures[newest])) attempts.push_back(i);
    std::size_t counts = attempts.back();
    for (const std::size_t i : attempts)
        if (own[i].state == CaptureState::kept) counts = i;
    if (own[counts].state != CaptureState::kept) counts = attempts.back();
    for (const std::size_t i : attempts) {
        captures[i].state = own[i].state;
        captures[i].reason = own[i].reason;
        if (i == counts) continue;
        captures[i].state = CaptureState::superseded;
        const std::string by = "superseded by attempt " + fixedText(captures[counts].attempt, 0);
        captures[i].reason = own[i].reason.empty() ? by : by + ": " + own[i].reason;
    }
}

}  // namespace volvelle
