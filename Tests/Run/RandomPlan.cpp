#include "Run/RandomPlan.h"

#include <gtest/gtest.h>

#include <tuple>
#include <vector>

namespace volvelle {
namespace {

bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

void expectSameConduct(const Plan& a, const Plan& b) {
    EXPECT_EQ(std::tie(a.angles.set, a.angles.file, a.angles.shortestPath, a.table.countsClockwise,
                       a.table.liesOnLeftSide, a.table.hasTilt, a.simulationJson),
              std::tie(b.angles.set, b.angles.file, b.angles.shortestPath, b.table.countsClockwise,
                       b.table.liesOnLeftSide, b.table.hasTilt, b.simulationJson));
    EXPECT_EQ(std::tie(a.audio.microphoneInput, a.audio.loopbackInput, a.audio.loopbackOutput,
                       a.conduct.repeats, a.conduct.warmUpS, a.conduct.axisCheckEvery, a.conduct.attempts),
              std::tie(b.audio.microphoneInput, b.audio.loopbackInput, b.audio.loopbackOutput,
                       b.conduct.repeats, b.conduct.warmUpS, b.conduct.axisCheckEvery, b.conduct.attempts));
    for (const auto member : {&TablePlan::lowestDeg, &TablePlan::highestDeg, &TablePlan::settleS})
        EXPECT_TRUE(same(a.table.*member, b.table.*member));
    for (const auto member : {&AudioPlan::sampleRateHz, &AudioPlan::silenceBeforeS, &AudioPlan::decayS})
        EXPECT_TRUE(same(a.audio.*member, b.audio.*member));
    for (const auto member : {&ConductPlan::levelLimitDb, &ConductPlan::noiseLimitDb})
        EXPECT_TRUE(same(a.conduct.*member, b.conduct.*member));
}

}  // namespace

void expectEqual(const Plan& a, const Plan& b) {
    EXPECT_EQ(std::tie(a.unitModel, a.unitSerial, a.unitState, a.driveQuantity, a.calibrationId,
                       a.chamberName, a.place, a.engineer, a.measuredOn, a.checkStandard, a.purpose),
              std::tie(b.unitModel, b.unitSerial, b.unitState, b.driveQuantity, b.calibrationId,
                       b.chamberName, b.place, b.engineer, b.measuredOn, b.checkStandard, b.purpose));
    for (const auto member :
         {&Plan::unitSizeM, &Plan::latencyS, &Plan::distanceM, &Plan::pascalPerFullScale,
          &Plan::voltsPerFullScale, &Plan::loopbackVoltsPerFullScale, &Plan::chamberLowestHz})
        EXPECT_TRUE(same(a.*member, b.*member)) << a.*member << " " << b.*member;
    for (std::size_t i = 0; i < 3; ++i) EXPECT_TRUE(same(a.referencePointM[i], b.referencePointM[i]));
    for (const auto member : {&Air::temperatureC, &Air::relativeHumidityPercent, &Air::pressureKPa})
        EXPECT_TRUE(same(a.air.*member, b.air.*member));
    ASSERT_EQ(a.sections.size(), b.sections.size());
    for (std::size_t i = 0; i < a.sections.size(); ++i) {
        const SectionPlan &x = a.sections[i], &y = b.sections[i];
        EXPECT_EQ(std::tie(x.name, x.outputChannels, x.reversed),
                  std::tie(y.name, y.outputChannels, y.reversed));
        for (const auto member : {&SectionPlan::gainDb, &SectionPlan::delayS, &SectionPlan::lowHz,
                                  &SectionPlan::highHz, &SectionPlan::voltageLimit})
            EXPECT_TRUE(same(x.*member, y.*member));
    }
    ASSERT_EQ(a.drives.size(), b.drives.size());
    for (std::size_t i = 0; i < a.drives.size(); ++i) {
        const DrivePlan &x = a.drives[i], &y = b.drives[i];
        EXPECT_EQ(std::tie(x.name, x.sections, x.axisDeg, x.referenceSection),
                  std::tie(y.name, y.sections, y.axisDeg, y.referenceSection));
        for (const auto member :
             {&SweepPlan::startHz, &SweepPlan::endHz, &SweepPlan::durationS, &SweepPlan::peakV})
            EXPECT_TRUE(same(x.sweep.*member, y.sweep.*member));
    }
    expectSameConduct(a, b);
    ASSERT_EQ(a.instruments.size(), b.instruments.size());
    for (std::size_t i = 0; i < a.instruments.size(); ++i) {
        const Instrument &x = a.instruments[i], &y = b.instruments[i];
        EXPECT_EQ(std::tie(x.role, x.model, x.serial, x.certificate, x.calibratedOn),
                  std::tie(y.role, y.model, y.serial, y.certificate, y.calibratedOn));
    }
}

Plan PlanSource::next() {
    Plan p;
    for (const auto member :
         {&Plan::unitModel, &Plan::unitSerial, &Plan::unitState, &Plan::calibrationId, &Plan::chamberName,
          &Plan::place, &Plan::engineer, &Plan::checkStandard, &Plan::purpose})
        p.*member = maybeText();
    p.measuredOn = maybe() ? "2026-02-28T23:59:59+01:00" : "";
    p.unitSizeM = maybeNumber(0.01, 100);
    p.latencyS = maybeNumber(0, 10);
    if (maybe()) p.referencePointM = {number(-100, 100), number(-100, 100), 0};
    p.driveQuantity = static_cast<DriveQuantity>(random_() % 4);
    p.distanceM = maybeNumber(0.01, 1000);
    for (const auto member :
         {&Plan::pascalPerFullScale, &Plan::voltsPerFullScale, &Plan::loopbackVoltsPerFullScale})
        p.*member = maybeNumber(1e-9, 1e9);
    p.chamberLowestHz = maybeNumber(1, 100000);
    p.air = {maybeNumber(-50, 60), maybeNumber(0, 100), maybeNumber(10, 200)};
    addSections(p);
    addDrives(p);
    addConduct(p);
    for (auto count = random_() % 3; count > 0; --count)
        p.instruments.push_back(
            {maybeText(), maybeText(), maybeText(), maybeText(), maybe() ? "2024-02-29" : ""});
    return p;
}

std::string PlanSource::maybeText() {
    static const std::vector<std::string> texts{
        "", "x", "Prüfraum 1", "say \"so\" \\ / \t", "\n", "// no comment", "\x01\x7F", "𝄞 §"};
    return texts[random_() % texts.size()];
}

void PlanSource::addSections(Plan& p) {
    for (auto count = random_() % 4; count > 0; --count) {
        SectionPlan s;
        s.name = "s" + std::to_string(count) + (maybe() ? "-tief_ü" : "");
        for (auto channels = random_() % 3; channels > 0; --channels)
            s.outputChannels.push_back(static_cast<int>(channels));
        s.gainDb = maybeNumber(-120, 60);
        s.delayS = maybeNumber(0, 1);
        s.reversed = maybe();
        if (maybe()) {
            s.lowHz = number(1, 1000);
            s.highHz = number(1001, 1e6);
        }
        s.voltageLimit = maybeNumber(0.1, 1000);
        p.sections.push_back(s);
    }
}

void PlanSource::addDrives(Plan& p) {
    for (std::size_t mask = 1; mask < (std::size_t{1} << p.sections.size()); ++mask) {
        if (maybe()) continue;
        DrivePlan d;
        for (std::size_t i = 0; i < p.sections.size(); ++i)
            if ((mask >> i) % 2 == 1) {
                d.sections.push_back(p.sections[i].name);
                d.name += (d.name.empty() ? "" : "+") + p.sections[i].name;
            }
        if (maybe()) d.name = "drive" + std::to_string(mask);
        d.axisDeg = maybe() ? 180 : 0;
        if (maybe()) d.referenceSection = d.sections.back();
        if (maybe())
            d.sweep = {maybeNumber(1, 100), maybeNumber(101, 1e6), maybeNumber(0.05, 300),
                       maybeNumber(0.1, 1000)};
        p.drives.push_back(d);
    }
}

void PlanSource::addConduct(Plan& p) {
    (maybe() ? p.angles.set : p.angles.file) = maybeText();
    p.angles.shortestPath = maybe();
    p.table.countsClockwise = maybe();
    p.table.liesOnLeftSide = maybe();
    p.table.hasTilt = maybe();
    if (maybe()) {
        p.table.lowestDeg = number(-720, 0);
        p.table.highestDeg = number(1, 720);
    }
    p.table.settleS = maybeNumber(0, 60);
    p.audio = {maybeNumber(8000, 768000),    whole(1, 512),      maybe() ? whole(513, 1024) : 0,
               maybe() ? whole(1, 1024) : 0, maybeNumber(0, 60), maybeNumber(0, 60)};
    p.conduct = {whole(1, 99),        maybe() ? number(0, 86400) : 0, whole(0, 100000), whole(1, 99),
                 maybeNumber(0, 200), maybeNumber(-100, 200)};
    if (maybe()) p.simulationJson = maybe() ? "{}" : R"({"noise": [1, {"x": "say \"so\""}], "seed": 0.1})";
}

}  // namespace volvelle
