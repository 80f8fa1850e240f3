#include "Sections/Interaction.h"

#include "Families/DerivedCurves.h"
#include "Families/FamilyNotes.h"
#include "Quantities/Level.h"
#include "Sections/InteractionFloor.h"
#include "Sections/Superposition.h"
#include "Signal/Smoothing.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <utility>

namespace volvelle {

namespace {

using Powers = std::vector<double>;

/// Not a number where the reference is nothing.
double relativeDb(double power, double reference) {
    return reference > 0 ? decibels(power / reference) : notStated;
}

double degrees(std::complex<double> value) {
    return std::arg(value) * 180 / std::numbers::pi;
}

/// Drives from outside, in one list: the parts, then the whole.
std::vector<const HeldDrive*> drivesOf(const HeldSections& held) {
    std::vector<const HeldDrive*> drives;
    for (const HeldDrive& part : held.parts) drives.push_back(&part);
    drives.push_back(&held.whole);
    return drives;
}

/// One sum of one held set, on the way to its interaction.
class Work {
public:
    Work(const HeldSections& held, std::span<const SectionSetting> settings)
        : held_(held),
          drives_(drivesOf(held)),
          points_(held.grids.computedHz.size()),
          superposition_(held) {
        superposition_.add(settings, sums_);
        for (const SectionSetting& setting : settings) gains_.push_back(std::pow(10, setting.gainDb / 10));
        for (const double wanted : held.grids.wantedHz)
            wantedAt_.push_back(
                static_cast<std::size_t>(std::lower_bound(held.grids.computedHz.begin(),
                                                          held.grids.computedHz.end(), wanted * (1 - 1e-9)) -
                                         held.grids.computedHz.begin()));
        findLoudest();
    }

    SummedPosition position(std::size_t p) const;
    std::vector<SummedCurve> curves() const;

private:
    Powers smoothed(std::size_t p, const std::function<double(std::size_t at, std::size_t f)>& power) const;
    Powers wholePower(std::size_t p) const;
    Powers floorPowers(std::size_t p) const;
    void findLoudest();
    void compare(SummedPosition& out, std::size_t p, const Powers& whole, const Powers& sum) const;
    std::vector<double> wholeLevel(const HeldCurve& curve) const;

    const HeldSections& held_;
    std::vector<const HeldDrive*> drives_;
    std::vector<double> gains_;  ///< of the sections' squared pressures
    std::size_t points_;
    Superposition superposition_;
    Superposition::Sums sums_;
    std::vector<std::size_t> wantedAt_;  ///< of each wanted frequency on the computing grid
    Powers loudest_;                     ///< of the whole, on the wanted grid
};

Powers Work::smoothed(std::size_t p,
                      const std::function<double(std::size_t at, std::size_t f)>& power) const {
    Powers values(points_);
    for (std::size_t f = 0; f < points_; ++f) values[f] = power(p * points_ + f, f);
    return smoothedPower(held_.grids.computedHz, values, held_.recipe.smoothing, held_.grids.wantedHz);
}

Powers Work::wholePower(std::size_t p) const {
    return smoothed(p, [&](std::size_t at, std::size_t) { return std::norm(held_.whole.pressure[at]); });
}

void Work::findLoudest() {
    loudest_.assign(wantedAt_.size(), 0);
    for (std::size_t p = 0; p < held_.positions.size(); ++p) {
        if (!held_.whole.isPresent(p)) continue;
        const Powers power = wholePower(p);
        for (std::size_t i = 0; i < power.size(); ++i) loudest_[i] = std::max(loudest_[i], power[i]);
    }
}

double valueOrNot(const std::vector<double>& row, std::size_t i) {
    return row.empty() ? notStated : row[i];
}

/// Largest share of any of the axis checks: each drifted within its own time.
double driftBetween(const HeldDrive& drive, std::size_t f, double apartS) {
    double most = notStated;
    for (const DriftComparison& check : drive.drifts)
        most = std::fmax(most, driftShare(check.departure[f], apartS, check.spanS));
    return most;
}

/// On the computing grid.
Powers Work::floorPowers(std::size_t p) const {
    Powers floor(points_);
    std::vector<FloorShare> shares(drives_.size());
    for (std::size_t f = 0; f < points_; ++f) {
        const std::size_t at = p * points_ + f;
        for (std::size_t d = 0; d < drives_.size(); ++d) {
            const HeldDrive& drive = *drives_[d];
            const double gain = d < gains_.size() ? gains_[d] : 1;
            shares[d] = {gain * std::norm(drive.pressure[at]), gain * valueOrNot(drive.noise, at),
                         gain * valueOrNot(drive.scatter, at),
                         driftBetween(drive, f, drive.timeS[p] - held_.whole.timeS[p]),
                         airPhase(held_.grids.computedHz[f], drive.distanceM[p], drive.temperatureC[p],
                                  held_.whole.temperatureC[p])};
        }
        floor[f] = floorPower(shares);
    }
    return floor;
}

void Work::compare(SummedPosition& out, std::size_t p, const Powers& whole, const Powers& sum) const {
    const Powers difference = smoothed(p, [&](std::size_t at, std::size_t) {
        return std::norm(held_.whole.pressure[at] - sums_.pressure[at]);
    });
    const Powers floor = smoothedPower(held_.grids.computedHz, floorPowers(p), held_.recipe.smoothing,
                                       held_.grids.wantedHz);
    for (std::size_t i = 0; i < wantedAt_.size(); ++i) {
        const std::size_t at = p * points_ + wantedAt_[i];
        // No difference at all is a result, not a gap: it is given as that of numbers of double precision.
        constexpr double least = 1e-32;
        out.differenceDb.push_back(relativeDb(std::max(difference[i], least * loudest_[i]), loudest_[i]));
        out.floorDb.push_back(relativeDb(floor[i], loudest_[i]));
        const bool isCompared = relativeDb(whole[i], loudest_[i]) >= comparedDownToDb && sum[i] > 0;
        out.levelDifferenceDb.push_back(isCompared ? relativeDb(whole[i], sum[i]) : notStated);
        out.phaseDifferenceDeg.push_back(
            isCompared ? degrees(held_.whole.pressure[at] * std::conj(sums_.pressure[at])) : notStated);
    }
}

SummedPosition Work::position(std::size_t p) const {
    SummedPosition out;
    out.at = held_.positions[p];
    std::vector<std::string> lacking;
    for (const HeldDrive* drive : drives_)
        if (!drive->isPresent(p)) lacking.push_back(drive->name);
    if (!lacking.empty()) out.missing = "not measured or left out: " + listed(lacking);
    const std::size_t wanted = wantedAt_.size();
    for (auto* values : {&out.wholeDb, &out.wholeDeg, &out.sumDb, &out.sumDeg, &out.powerSumDb})
        values->assign(wanted, notStated);
    Powers whole, sum;
    if (held_.whole.isPresent(p)) {
        whole = wholePower(p);
        out.wholeDb = levelOf(std::span(held_.whole.pressure), p, held_);
        for (std::size_t i = 0; i < wanted; ++i)
            out.wholeDeg[i] = degrees(held_.whole.pressure[p * points_ + wantedAt_[i]]);
    }
    if (superposition_.isComplete(p)) {
        sum = smoothed(p, [&](std::size_t at, std::size_t) { return std::norm(sums_.pressure[at]); });
        out.sumDb = levelOf(std::span(sums_.pressure), p, held_);
        for (std::size_t i = 0; i < wanted; ++i)
            out.sumDeg[i] = degrees(sums_.pressure[p * points_ + wantedAt_[i]]);
        Powers power(points_);
        for (std::size_t d = 0; d < held_.parts.size(); ++d)
            for (std::size_t f = 0; f < points_; ++f)
                power[f] += gains_[d] * std::norm(held_.parts[d].pressure[p * points_ + f]);
        out.powerSumDb = levelOf(power, held_);
    }
    if (!whole.empty() && !sum.empty()) {
        compare(out, p, whole, sum);
    } else {
        for (auto* values :
             {&out.differenceDb, &out.floorDb, &out.levelDifferenceDb, &out.phaseDifferenceDeg})
            values->assign(wanted, notStated);
    }
    return out;
}

std::vector<double> Work::wholeLevel(const HeldCurve& curve) const {
    if (!curve.missing.empty()) return std::vector<double>(wantedAt_.size(), notStated);
    Powers power(points_);
    for (const auto& [position, weight] : curve.weights)
        for (std::size_t f = 0; f < points_; ++f)
            power[f] += weight * std::norm(held_.whole.pressure[position * points_ + f]);
    return levelOf(power, held_);
}

std::string missingOf(const HeldCurve& curve, const std::string& what) {
    return curve.missing.empty() ? "" : what + ": " + missingPositions(curve.missing);
}

std::vector<SummedCurve> Work::curves() const {
    const auto measured = heldCurves(held_, held_.whole.present);
    std::vector<SummedCurve> out;
    for (const HeldCurve& curve : measured) {
        SummedCurve summed;
        summed.key = curve.definition.key;
        summed.title = curve.definition.title;
        summed.wholeDb = wholeLevel(curve);
        summed.missing = missingOf(curve, held_.whole.name);
        summed.sumDb.assign(wantedAt_.size(), notStated);
        summed.powerSumDb = summed.sumDb;
        const auto& parts = superposition_.curves();
        for (std::size_t c = 0; c < parts.size(); ++c) {
            if (parts[c].definition.key != summed.key) continue;
            summed.sumDb = sums_.levelDb[c];
            summed.powerSumDb = sums_.powerSumDb[c];
            if (const std::string why = missingOf(parts[c], "sum"); !why.empty())
                summed.missing += (summed.missing.empty() ? "" : "; ") + why;
        }
        out.push_back(std::move(summed));
    }
    return out;
}

/// A family of one of the three levels of each curve, with the curves that are made of others.
Family withDerived(const HeldSections& held, const std::vector<SummedCurve>& curves,
                   std::vector<double> SummedCurve::*level) {
    Family family;
    family.frequencyHz = held.grids.wantedHz;
    for (const SummedCurve& curve : curves) {
        Curve& added = family.curves.emplace_back();
        added.key = curve.key;
        added.title = curve.title;
        added.levelDb = curve.*level;
    }
    addDerivedCurves(family, held.air);
    return family;
}

std::vector<SummedCurve> withDerived(const HeldSections& held, const std::vector<SummedCurve>& curves) {
    const Family whole = withDerived(held, curves, &SummedCurve::wholeDb);
    const Family sum = withDerived(held, curves, &SummedCurve::sumDb);
    const Family power = withDerived(held, curves, &SummedCurve::powerSumDb);
    std::vector<SummedCurve> all;
    for (std::size_t c = 0; c < whole.curves.size(); ++c) {
        const Curve& curve = whole.curves[c];
        std::string missing;
        for (const SummedCurve& known : curves)
            if (known.key == curve.key) missing = known.missing;
        all.push_back({curve.key, curve.title, curve.unit, curve.levelDb, sum.curves[c].levelDb,
                       power.curves[c].levelDb, curve.derivation, missing});
    }
    return all;
}

void blankOutside(const Band& excited, const std::vector<double>& frequencyHz,
                  std::initializer_list<std::vector<double>*> rows) {
    const Band band = excitedGrid(excited);
    for (auto* row : rows)
        for (std::size_t i = 0; i < row->size(); ++i)
            if (frequencyHz[i] < band.lowHz || frequencyHz[i] > band.highHz) (*row)[i] = notStated;
}

void blankOutside(Interaction& out) {
    const Band& band = out.head.validity.excited;
    for (SummedPosition& p : out.positions)
        blankOutside(band, out.frequencyHz,
                     {&p.wholeDb, &p.wholeDeg, &p.sumDb, &p.sumDeg, &p.powerSumDb, &p.differenceDb,
                      &p.floorDb, &p.levelDifferenceDb, &p.phaseDifferenceDeg});
    for (SummedCurve& c : out.curves)
        blankOutside(band, out.frequencyHz, {&c.wholeDb, &c.sumDb, &c.powerSumDb});
}

/// At every position that the drive has.
bool knowsNoise(const HeldDrive& drive) {
    if (drive.noise.empty()) return false;
    const std::size_t points = drive.noise.size() / drive.present.size();
    for (std::size_t p = 0; p < drive.present.size(); ++p)
        if (drive.isPresent(p) && std::isnan(drive.noise[p * points])) return false;
    return true;
}

std::string floorStatement(const HeldSections& held) {
    std::vector<std::string> known, unknown;
    const auto drives = drivesOf(held);
    const auto tell = [&](const std::string& what, const std::function<bool(const HeldDrive&)>& has) {
        const bool all = std::all_of(drives.begin(), drives.end(), [&](const auto* d) { return has(*d); });
        (all ? known : unknown).push_back(what);
    };
    tell("noise", knowsNoise);
    tell("repeats", [](const HeldDrive& d) { return !d.scatter.empty(); });
    tell("drift", [](const HeldDrive& d) { return !d.drifts.empty(); });
    tell("air", [](const HeldDrive& d) {
        return std::any_of(d.temperatureC.begin(), d.temperatureC.end(),
                           [](double t) { return std::isfinite(t); });
    });
    return "made of " + (known.empty() ? "nothing" : listed(known)) +
           (unknown.empty() ? "" : "; not known of every drive: " + listed(unknown));
}

}  // namespace

bool Interaction::isTrial() const {
    return std::any_of(settings.begin(), settings.end(),
                       [](const SectionSetting& setting) { return !setting.isNeutral(); });
}

Interaction interactionOf(const HeldSections& held, std::span<const SectionSetting> settings) {
    const Work work(held, settings);
    Interaction out;
    out.sections = held.sections;
    out.settings.assign(settings.begin(), settings.end());
    out.head = held.head;
    out.frequencyHz = held.grids.wantedHz;
    out.curves = withDerived(held, work.curves());
    for (std::size_t p = 0; p < held.positions.size(); ++p) out.positions.push_back(work.position(p));
    blankOutside(out);
    out.floorStatement = floorStatement(held);
    out.notes = held.notes;
    return out;
}

namespace {

/// Mean of squares that are given in dB.
class MeanOfSquares {
public:
    void add(double db) {
        if (!std::isfinite(db)) return;
        sum_ += std::pow(10, db / 10);
        ++count_;
    }
    double db() const { return count_ > 0 ? decibels(sum_ / count_) : notStated; }

private:
    double sum_ = 0, count_ = 0;
};

BandDifference differenceIn(const Band& band, const Interaction& interaction) {
    BandDifference out{band.lowHz, band.highHz, 0, 0, notStated, notStated, 0, ""};
    MeanOfSquares all, floor;
    for (const SummedPosition& position : interaction.positions)
        for (std::size_t i = 0; i < interaction.frequencyHz.size(); ++i) {
            const double f = interaction.frequencyHz[i], difference = position.differenceDb[i];
            if (f < band.lowHz || f >= band.highHz || !std::isfinite(difference)) continue;
            all.add(difference);
            floor.add(position.floorDb[i]);
            if (difference <= out.largestDb) continue;
            out.position = position.at.name;
            out.frequencyHz = f;
            out.largestDb = difference;
            out.floorDb = position.floorDb[i];
        }
    out.rmsDb = all.db();
    out.floorRmsDb = floor.db();
    return out;
}

}  // namespace

std::vector<BandDifference> differencePerOctave(const Interaction& interaction) {
    const Band valid = interaction.head.validity.valid();
    const double half = std::pow(10, 0.15);  // IEC 61260-1: an octave is a ratio of 10^0.3
    std::vector<BandDifference> found;
    for (const double centreHz : judgedOctavesHz()) {
        const Band band{std::max(centreHz / half, valid.lowHz), std::min(centreHz * half, valid.highHz)};
        BandDifference difference = differenceIn(band, interaction);
        if (!difference.position.empty()) found.push_back(std::move(difference));
    }
    return found;
}

}  // namespace volvelle
