#include "Run/Hdf5.h"
#include "Run/Hdf5Driver.h"

#include <hdf5.h>

#include <algorithm>
#include <cstring>
#include <memory>
#include <mutex>
#include <utility>

namespace volvelle {

namespace {

using Guard = std::lock_guard<std::recursive_mutex>;

constexpr hssize_t mostNumbers = hssize_t{1} << 28;  // of a dataset that is read as a whole

std::string unpadded(const char* begin, std::size_t length) {
    while (length > 0 && begin[length - 1] == '\0') --length;
    std::string text(begin, length);
    return text == hdf5NotStated ? std::string() : text;
}

}  // namespace

bool Hdf5Group::has(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    return H5Lexists(handle_.id(), name.c_str(), H5P_DEFAULT) > 0;
}

Hdf5Group Hdf5Group::openGroup(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    Hdf5Handle group = checked(H5Gopen2(handle_.id(), name.c_str(), H5P_DEFAULT), "open", name);
    return {std::move(group), kind_, where_ + "/" + name};
}

std::string Hdf5Group::text(const std::string& name) const {
    auto all = texts(name);
    if (all.size() != 1) fail("read one text from", name);
    return std::move(all.front());
}

std::string Hdf5Group::attributeText(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle attribute = checked(H5Aopen(handle_.id(), name.c_str(), H5P_DEFAULT), "read", name);
    const Hdf5Handle type = checked(H5Aget_type(attribute.id()), "read", name);
    const Hdf5Handle space = checked(H5Aget_space(attribute.id()), "read", name);
    if (H5Tget_class(type.id()) != H5T_STRING || H5Tis_variable_str(type.id()) <= 0 ||
        H5Sget_simple_extent_npoints(space.id()) != 1)
        fail("read a text from", name);
    char* value = nullptr;
    check(H5Aread(attribute.id(), type.id(), &value), "read", name);
    if (value == nullptr) return {};
    const std::unique_ptr<char, herr_t (*)(void*)> owned(value, [](void* p) { return H5free_memory(p); });
    return unpadded(value, std::strlen(value));
}

double Hdf5Group::attributeNumber(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle attribute = checked(H5Aopen(handle_.id(), name.c_str(), H5P_DEFAULT), "read", name);
    if (H5Aget_storage_size(attribute.id()) != sizeof(double)) fail("read a number from", name);
    double value = 0;
    check(H5Aread(attribute.id(), H5T_NATIVE_DOUBLE, &value), "read", name);
    return value;
}

std::int32_t Hdf5Group::attributeInteger(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle attribute = checked(H5Aopen(handle_.id(), name.c_str(), H5P_DEFAULT), "read", name);
    if (H5Aget_storage_size(attribute.id()) != sizeof(std::int32_t)) fail("read a whole number from", name);
    std::int32_t value = 0;
    check(H5Aread(attribute.id(), H5T_NATIVE_INT32, &value), "read", name);
    return value;
}

std::vector<std::string> Hdf5Group::texts(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle dataset = checked(H5Dopen2(handle_.id(), name.c_str(), H5P_DEFAULT), "open", name);
    const Hdf5Handle type = checked(H5Dget_type(dataset.id()), "read", name);
    const Hdf5Handle space = checked(H5Dget_space(dataset.id()), "read", name);
    const hssize_t count = H5Sget_simple_extent_npoints(space.id());
    const std::size_t width = H5Tget_size(type.id());
    if (count < 0 || width == 0 || H5Tget_class(type.id()) != H5T_STRING ||
        H5Tis_variable_str(type.id()) != 0 || static_cast<std::uint64_t>(count) > mostNumbers / width)
        fail("read texts from", name);
    std::vector<char> cells(static_cast<std::size_t>(count) * width);
    check(H5Dread(dataset.id(), type.id(), H5S_ALL, H5S_ALL, H5P_DEFAULT, cells.data()), "read", name);
    std::vector<std::string> all;
    all.reserve(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < static_cast<std::size_t>(count); ++i)
        all.push_back(unpadded(cells.data() + i * width, width));
    return all;
}

template <typename T>
std::vector<T> Hdf5Group::read(const std::string& name, std::int64_t memoryType) const {
    const Hdf5Handle dataset = checked(H5Dopen2(handle_.id(), name.c_str(), H5P_DEFAULT), "open", name);
    const Hdf5Handle space = checked(H5Dget_space(dataset.id()), "read", name);
    const hssize_t count = H5Sget_simple_extent_npoints(space.id());
    if (count < 0 || count > mostNumbers) fail("read", name);
    std::vector<T> values(static_cast<std::size_t>(count));
    check(H5Dread(dataset.id(), memoryType, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), "read", name);
    return values;
}

std::vector<double> Hdf5Group::numbers(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    return read<double>(name, H5T_NATIVE_DOUBLE);
}

std::vector<std::int32_t> Hdf5Group::integers(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    return read<std::int32_t>(name, H5T_NATIVE_INT32);
}

double Hdf5Group::number(const std::string& name) const {
    const auto values = numbers(name);
    if (values.size() != 1) fail("read one number from", name);
    return values.front();
}

Hdf5Extent Hdf5Group::extent(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle dataset = checked(H5Dopen2(handle_.id(), name.c_str(), H5P_DEFAULT), "open", name);
    const Hdf5Handle type = checked(H5Dget_type(dataset.id()), "read", name);
    const Hdf5Handle space = checked(H5Dget_space(dataset.id()), "read", name);
    Hdf5Extent extent;
    const auto kinds = {Hdf5Number::int32, Hdf5Number::float32, Hdf5Number::float64};
    const auto* kind = std::find_if(kinds.begin(), kinds.end(),
                                    [&](Hdf5Number n) { return H5Tequal(type.id(), hdf5FileType(n)) > 0; });
    if (kind == kinds.end()) fail("know the numbers of", name);
    extent.type = *kind;
    const int rank = H5Sget_simple_extent_ndims(space.id());
    if (rank < 0 || rank > H5S_MAX_RANK) fail("read", name);
    std::vector<hsize_t> dims(static_cast<std::size_t>(rank));
    check(H5Sget_simple_extent_dims(space.id(), dims.data(), nullptr), "read", name);
    extent.dims.assign(dims.begin(), dims.end());
    const haddr_t offset = H5Dget_offset(dataset.id());
    if (offset == HADDR_UNDEF) fail("find", name);
    extent.offset = offset;
    return extent;
}

}  // namespace volvelle
