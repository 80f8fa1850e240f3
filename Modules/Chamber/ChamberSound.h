#pragma once

#include "Chamber/DriverSound.h"
#include "Chamber/FieldBank.h"
#include "Chamber/Scene.h"
#include "Chamber/SumOfFields.h"
#include "Conductor/AudioPath.h"
#include "Quantities/Air.h"
#include "Run/Plan.h"

#include <cstdint>
#include <map>
#include <vector>

namespace volvelle {

/// What a shot sounds like: the samples that a plan's inputs record. No time, no table, no outcome. Not
/// thread-safe.
class ChamberSound {
public:
    /// air: for which the fields are made. Throws as checkScene does.
    ChamberSound(const Plan& plan, const Scene& scene, const Air& air, std::uint64_t seed);

    double sampleRateHz() const { return sampleRateHz_; }

    /// Where the microphone is and what is between: seen from the unit.
    struct Place {
        Direction direction;
        double distanceM;
        Air air;
    };

    /// One vector for each input of the shot. faults: those in force; only those that are heard count.
    std::vector<std::vector<float>> record(const AudioShot& shot, const Place& place,
                                           const std::vector<SceneFault>& faults);

private:
    struct Taking;  ///< one shot on its way

    int channelOf(const SceneDriver& driver) const;
    int firstChannel(const std::string& section) const;
    std::size_t lengthFor(const AudioShot& shot) const;
    std::vector<std::vector<float>> heardOutputs(const AudioShot& shot,
                                                 const std::vector<SceneFault>& faults) const;
    void addSections(Taking& take);
    void addReflections(Taking& take);
    void addNoise(Taking& take);
    std::vector<double> microphone(Taking& take);
    std::vector<double> loopback(Taking& take);
    std::vector<double> samplesOf(ChamberSpectrum& spectrum, const Taking& take) const;
    void addDisturbances(Taking& take, std::vector<double>& pressure) const;
    std::vector<float> converted(const std::vector<double>& fullScale) const;

    Plan plan_;
    Scene scene_;
    Air air_;
    std::uint64_t seed_;
    double sampleRateHz_, pascalPerFullScale_, latencyS_;
    DriverSound drivers_;
    FieldBank bank_;
    std::map<std::size_t, std::vector<double>> noiseOfLength_;  ///< amplitude of each bin
    std::map<std::size_t, ChamberSpectrum> reflectionsOfLength_;
};

}  // namespace volvelle
