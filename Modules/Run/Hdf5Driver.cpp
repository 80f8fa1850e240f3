#include "Run/Hdf5Driver.h"

#include <hdf5.h>

#include <exception>
#include <limits>
#include <memory>

namespace volvelle {

namespace {

// A virtual file driver: the library's own door for files that are not files.

struct DriverInfo {
    Hdf5Bytes* bytes;
};

struct DriverFile {
    H5FD_t head;  // has to come first: the library casts
    Hdf5Bytes* bytes;
    haddr_t allocatedTo;
};

DriverFile& own(H5FD_t* file) {
    return *reinterpret_cast<DriverFile*>(file);
}

const DriverFile& own(const H5FD_t* file) {
    return *reinterpret_cast<const DriverFile*>(file);
}

H5FD_t* openFile(const char*, unsigned, hid_t accessList, haddr_t) {
    const auto* info = static_cast<const DriverInfo*>(H5Pget_driver_info(accessList));
    if (info == nullptr) return nullptr;
    auto* file = new (std::nothrow) DriverFile{{}, info->bytes, 0};
    return file != nullptr ? &file->head : nullptr;
}

herr_t closeFile(H5FD_t* file) {
    delete &own(file);
    return 0;
}

herr_t query(const H5FD_t*, unsigned long* flags) {
    *flags = H5FD_FEAT_AGGREGATE_METADATA | H5FD_FEAT_AGGREGATE_SMALLDATA;
    return 0;
}

haddr_t allocatedTo(const H5FD_t* file, H5FD_mem_t) {
    return own(file).allocatedTo;
}

herr_t setAllocatedTo(H5FD_t* file, H5FD_mem_t, haddr_t address) {
    own(file).allocatedTo = address;
    return 0;
}

haddr_t fileLength(const H5FD_t* file, H5FD_mem_t) {
    return own(file).bytes->length;
}

herr_t readFile(H5FD_t* file, H5FD_mem_t type, hid_t, haddr_t at, std::size_t size, void* out) {
    // Tables are read before their length is known; the contents of datasets are not.
    const auto wanted = type == H5FD_MEM_DRAW ? Hdf5Bytes::Wanted::exactly : Hdf5Bytes::Wanted::atMost;
    try {
        return own(file).bytes->read(at, {static_cast<std::byte*>(out), size}, wanted) ? 0 : -1;
    } catch (const std::exception&) {  // none may cross the library
        return -1;
    }
}

herr_t writeFile(H5FD_t* file, H5FD_mem_t, hid_t, haddr_t at, std::size_t size, const void* data) {
    try {
        return own(file).bytes->write(at, {static_cast<const std::byte*>(data), size}) ? 0 : -1;
    } catch (const std::exception&) {
        return -1;
    }
}

herr_t truncateFile(H5FD_t* file, hid_t, hbool_t) {
    own(file).bytes->length = own(file).allocatedTo;
    return 0;
}

H5FD_class_t driverClass() {
    H5FD_class_t driver{};
    driver.name = "volvelle-bytes";
    driver.maxaddr = static_cast<haddr_t>(std::numeric_limits<std::int64_t>::max());
    driver.fc_degree = H5F_CLOSE_STRONG;
    driver.fapl_size = sizeof(DriverInfo);
    driver.open = openFile;
    driver.close = closeFile;
    driver.query = query;
    driver.get_eoa = allocatedTo;
    driver.set_eoa = setAllocatedTo;
    driver.get_eof = fileLength;
    driver.read = readFile;
    driver.write = writeFile;
    driver.truncate = truncateFile;
    const H5FD_mem_t map[H5FD_MEM_NTYPES] = H5FD_FLMAP_DICHOTOMY;
    for (int i = 0; i < H5FD_MEM_NTYPES; ++i) driver.fl_map[i] = map[i];
    return driver;
}

/// Negative where the library refuses it.
hid_t registeredDriver() {
    static const H5FD_class_t driver = driverClass();
    static const hid_t id = H5FDregister(&driver);
    return id;
}

/// Settings that keep the tables together and the file readable for HDF5 1.8 and later.
bool setUp(hid_t list, Hdf5Bytes& bytes) {
    const hid_t driver = registeredDriver();
    const DriverInfo info{&bytes};
    return driver >= 0 && H5Pset_driver(list, driver, &info) >= 0 &&
           H5Pset_libver_bounds(list, H5F_LIBVER_V18, H5F_LIBVER_V18) >= 0 &&
           H5Pset_meta_block_size(list, 16384) >= 0 && H5Pset_small_data_block_size(list, 16384) >= 0 &&
           H5Pset_alignment(list, 65536, 4096) >= 0 && H5Pset_fclose_degree(list, H5F_CLOSE_STRONG) >= 0;
}

}  // namespace

std::recursive_mutex& hdf5Mutex() {
    static std::recursive_mutex mutex;
    return mutex;
}

std::int64_t hdf5AccessList(Hdf5Bytes& bytes) {
    if (H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr) < 0) return -1;
    const hid_t list = H5Pcreate(H5P_FILE_ACCESS);
    if (list < 0) return list;
    if (setUp(list, bytes)) return list;
    H5Pclose(list);
    return -1;
}

std::int64_t hdf5FileType(Hdf5Number type) {
    switch (type) {
        case Hdf5Number::int32:
            return H5T_STD_I32LE;
        case Hdf5Number::float32:
            return H5T_IEEE_F32LE;
        case Hdf5Number::float64:
            return H5T_IEEE_F64LE;
    }
    return -1;
}

}  // namespace volvelle
