#pragma once

#include "Run/Plan.h"
#include "Text/JsonReader.h"
#include "Text/JsonWriter.h"

#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

// The inside of parsePlan and planAsJson.

/// What a key says; not a number, or empty, where it is absent.
double stated(const JsonObject& object, std::string_view key, const Range& range);
std::string stated(const JsonObject& object, std::string_view key);

/// Words of a plan, in the order of what they stand for.
extern const std::vector<std::string> driveQuantityNames, polarityNames;

void readUnit(const JsonObject& object, Plan& plan);
void readDrives(const JsonObject& root, Plan& plan);  ///< after the unit

/// The objects angles, table, audio, conduct and simulation.
void readConduct(const JsonObject& root, Plan& plan);
void writeConduct(const Plan& plan, JsonObjectText& root);
JsonObjectText sweepAsJson(const SweepPlan& sweep);

}  // namespace volvelle
