#pragma once

#include "Run/DriveLayout.h"
#include "Run/Hdf5Bytes.h"
#include "Run/RunRecord.h"
#include "Run/Seal.h"

#include <cstddef>
#include <span>
#include <string>

namespace volvelle {

// Bytes of a sealed file, a run or a part of one under way, that are held against their digests while they are
// read. All throw Error{damaged} naming `name` where they do not agree; what `out` holds counts for nothing then.

/// The bytes of one row.
void readCheckedRow(const OpenFile& file, const SealEntry& entry, std::size_t row, std::span<std::byte> out,
                    const std::string& name);

/// Samples of one capture, scaled to full scale 1.0: `out` holds float32 afterwards, whatever is stored.
void readCheckedSamples(const OpenFile& file, const SealEntry& entry, std::size_t row, std::span<std::byte> out,
                        SampleType stored, const std::string& name);

/// All that HDF5 may parse.
CheckedBytes readCheckedBytes(const OpenFile& file, const Seal& seal, const std::string& path);

/// The entry that holds a dataset's digests; it has to say of it what HDF5 says, else Error{damaged}.
const SealEntry& entryOf(const StoredRows& rows, const Seal& seal, const std::string& path);

}  // namespace volvelle
