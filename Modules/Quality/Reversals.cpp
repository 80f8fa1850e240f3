#include "Quality/Judge.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace volvelle {
namespace {

constexpr double farthestNeighbourDeg = 30;
constexpr double sameAngleDeg = 0.01;
constexpr double opposite = -0.7;  // correlation; noise of two octaves stays within 0.5 of 0
constexpr std::size_t namesShown = 6;

using Numbers = std::vector<std::size_t>;

/// Who is upside down against whom, among the captures of a drive.
class Polarities {
public:
    Polarities(const DriveRecord& drive, std::span<const Judgement> judgements)
        : captures_(drive.captures), judgements_(judgements) {}

    bool known(std::size_t i) const {
        return captures_[i].kind == CaptureKind::position && captures_[i].state != CaptureState::superseded &&
               std::isfinite(judgements_[i].polarity);
    }

    bool allAlike() const {
        double sum = 0, count = 0;
        for (std::size_t i = 0; i < captures_.size(); ++i) {
            if (!known(i)) continue;
            sum += judgements_[i].polarity;
            ++count;
        }
        return std::abs(sum) == count;
    }

    /// Captures of the same direction and stance.
    Numbers besides(std::size_t i) const {
        return chosen([&](std::size_t j) {
            return j != i && captures_[i].stance == captures_[j].stance &&
                   sameDirection(captures_[i].direction, captures_[j].direction);
        });
    }

    /// The nearest ones on one side of the same orbit, all that stand at that angle.
    Numbers next(std::size_t i, int side) const {
        const auto away = [&](std::size_t j) {
            const bool sameOrbit = captures_[i].orbit && captures_[i].orbit == captures_[j].orbit &&
                                   captures_[i].stance == captures_[j].stance;
            return sameOrbit ? side * std::remainder(captures_[j].angleDeg - captures_[i].angleDeg, 360.0)
                             : -1;
        };
        double nearest = farthestNeighbourDeg;
        for (std::size_t j = 0; j < captures_.size(); ++j)
            if (known(j) && away(j) > sameAngleDeg) nearest = std::min(nearest, away(j));
        return chosen(
            [&](std::size_t j) { return away(j) > sameAngleDeg && away(j) < nearest + sameAngleDeg; });
    }

    bool reversed(std::size_t i, std::size_t j) const {
        return judgements_[i].polarity * judgements_[j].polarity < 0 &&
               lowFrequencyAgreement(judgements_[i].direct, judgements_[j].direct) < opposite;
    }

    bool againstAll(std::size_t i, const Numbers& others) const {
        return !others.empty() &&
               std::all_of(others.begin(), others.end(), [&](std::size_t j) { return reversed(i, j); });
    }

    bool againstBothSides(std::size_t i) const {
        return againstAll(i, next(i, 1)) && againstAll(i, next(i, -1));
    }

private:
    Numbers chosen(const std::function<bool(std::size_t)>& wanted) const {
        Numbers found;
        for (std::size_t j = 0; j < captures_.size(); ++j)
            if (known(j) && wanted(j)) found.push_back(j);
        return found;
    }

    const std::vector<Capture>& captures_;
    std::span<const Judgement> judgements_;
};

std::string namesOf(const DriveRecord& drive, const Numbers& captures) {
    std::string text;
    for (std::size_t i = 0; i < std::min(captures.size(), namesShown); ++i) {
        const Capture& c = drive.captures[captures[i]];
        text += (i == 0 ? "" : ", ") + positionName(c) +
                (c.repeat > 1 ? fmt::format(" (repeat {})", c.repeat) : "");
    }
    if (captures.size() > namesShown) text += fmt::format(" and {} more", captures.size() - namesShown);
    return text;
}

}  // namespace

bool isHeldAgainstOthers(const DriveRecord& drive, std::size_t capture) {
    const Capture& one = drive.captures[capture];
    const auto counts = [](const Capture& c) {
        return c.kind == CaptureKind::position && c.state != CaptureState::superseded;
    };
    if (!counts(one)) return false;
    return std::any_of(drive.captures.begin(), drive.captures.end(), [&](const Capture& other) {
        if (!(one.quality.polarity * other.quality.polarity < 0) || !counts(other) || one.stance != other.stance)
            return false;
        const bool isNear = one.orbit && one.orbit == other.orbit &&
                            std::abs(std::remainder(one.angleDeg - other.angleDeg, 360.0)) <
                                farthestNeighbourDeg + sameAngleDeg;
        return isNear || sameDirection(one.direction, other.direction);
    });
}

std::vector<std::string> remarkOnReversals(const DriveRecord& drive, std::span<const Judgement> judgements) {
    if (judgements.size() != drive.captures.size())
        throw Error(ErrorKind::bug, "one judgement for each capture is needed", "drive " + drive.name,
                    "Please report this");
    const Polarities polarities(drive, judgements);
    if (polarities.allAlike()) return {};
    Numbers alone, unequal;
    for (std::size_t i = 0; i < judgements.size(); ++i) {
        if (!polarities.known(i)) continue;
        const Numbers besides = polarities.besides(i);
        if (!besides.empty() && !polarities.againstAll(i, besides)) continue;
        if (besides.size() > 1 || polarities.againstBothSides(i))
            alone.push_back(i);
        else if (besides.size() == 1 && i < besides.front() && !polarities.againstBothSides(besides.front()))
            unequal.push_back(i);
    }
    std::vector<std::string> remarks;
    if (!alone.empty())
        remarks.push_back("drive " + drive.name + ": upside down against its neighbours or repeats: " +
                          namesOf(drive, alone) + "; look whether something was wired the other way round");
    if (!unequal.empty())
        remarks.push_back("drive " + drive.name +
                          ": two captures of one position are upside down against each other: " +
                          namesOf(drive, unequal) + "; one of the two was wired the other way round");
    return remarks;
}

}  // namespace volvelle
