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

/// Reads what writeStructure wrote. Throws Error{damaged}.
Structure readStructure(const Hdf5File& file, const std::string& path);

}  // namespace volvelle
