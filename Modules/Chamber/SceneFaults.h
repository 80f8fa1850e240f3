#pragma once

#include "Chamber/Scene.h"
#include "Text/JsonReader.h"

#include <map>
#include <string>
#include <vector>

namespace volvelle {

/// One entry of a scene's list of faults. Throws Error{input}.
SceneFault readFault(const JsonObject& object);

/// Tells which faults are in force. Counts shots and moves. Not thread-safe.
class FaultScript {
public:
    explicit FaultScript(std::vector<SceneFault> faults) : faults_(std::move(faults)), met_(faults_.size()) {}

    /// Of the next shot, which begins now at this angle of the table.
    std::vector<SceneFault> ofShot(const std::string& label, double tableDeg);

    /// Of the next move, to this angle of the table.
    std::vector<SceneFault> ofMove(double tableDeg);

private:
    bool isInForce(std::size_t fault, int number, int at, double tableDeg);

    std::vector<SceneFault> faults_;
    std::vector<int> met_;  ///< times that each was in force by its angle or label
    int shots_ = 0, moves_ = 0;
};

}  // namespace volvelle
