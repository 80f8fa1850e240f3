#pragma once

#include "Run/DriveLayout.h"
#include "Run/Hdf5.h"
#include "Run/RunRecord.h"
#include "Run/Seal.h"

#include <cstdint>
#include <string>
#include <vector>

namespace volvelle {

/// Throws Error{bug} for records that contradict themselves and Error{input} for drive names that a file
/// cannot hold.
void requireStorable(const RunRecord& run);

/// The user block that is large enough for the run's seal.
std::uint32_t userBlockFor(const RunRecord& run);

/// Writes everything but the samples into the file. Docs/run-file.md describes it. The rows come in the order
/// of the file.
std::vector<StoredRows> writeStructure(const Hdf5File& file, const RunRecord& run);

struct Structure {
    RunRecord record;  ///< without the samples of the excitations
    std::vector<StoredRows> rows;
};

/// Reads what writeStructure wrote. Throws Error{damaged}; Error{input} for a part of a run under way.
Structure readStructure(const Hdf5File& file, const std::string& path);

// The head of a run under way: all but captures and events.

/// The same for the head.
void requireStorableHead(const RunRecord& run);
std::vector<StoredRows> writeHeadStructure(const Hdf5File& file, const RunRecord& run);
Structure readHeadStructure(const Hdf5File& file, const std::string& path);

// What the attribute 'format' of the root says.
constexpr const char* runFormatName = "volvelle run";
constexpr const char* headFormatName = "volvelle run head";
constexpr const char* captureFormatName = "volvelle run capture";
constexpr const char* eventFormatName = "volvelle run event";

}  // namespace volvelle
