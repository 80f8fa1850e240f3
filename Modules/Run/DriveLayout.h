#pragma once

#include "Run/Hdf5.h"
#include "Run/RunRecord.h"

#include <cstdint>
#include <string>
#include <vector>

namespace volvelle {

/// A dataset of a drive that HDF5 only describes: its rows are written and read without it.
struct StoredRows {
    enum class What { samples, level, phase, time, excitation, excitationTime };
    What what = What::samples;
    std::size_t drive = 0;
    std::string name;  ///< "drives/front/samples": the seal's entry of the same name holds its digests
    std::uint64_t offset = 0, rowLength = 0;  ///< bytes
    std::size_t rows = 0;                     ///< samples, level, phase: one for each capture; else 1

    bool isPerCapture() const { return what <= What::phase; }
};

/// Writes the columns and tables of a drive into its group. `root` holds the scale 'octave_band'.
void writeDriveTables(const Hdf5Group& root, const Hdf5Group& group, const DriveRecord& drive);

/// Makes the datasets of a drive whose rows are written without HDF5.
std::vector<StoredRows> reserveDriveRows(const Hdf5Group& group, const DriveRecord& drive, std::size_t index);

/// What a drive is before it has captures: its excitation, and in attributes what the captures' samples will be.
void writeDriveHead(const Hdf5Group& group, const DriveRecord& drive);
std::vector<StoredRows> reserveHeadRows(const Hdf5Group& group, const DriveRecord& drive, std::size_t index);
DriveRecord readDriveHead(const Hdf5Group& group, const std::string& name, std::size_t index,
                          const std::string& path, std::vector<StoredRows>& rows);

/// Reads what writeDriveTables and reserveDriveRows wrote, all but the rows; adds where these lie. Throws Error{damaged} where numbers of
/// captures, channels and samples do not agree.
DriveRecord readDrive(const Hdf5Group& group, const std::string& name, std::size_t index,
                      const std::string& path, std::vector<StoredRows>& rows);

}  // namespace volvelle
