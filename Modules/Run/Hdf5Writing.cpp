#include "Run/Hdf5.h"
#include "Run/Hdf5Driver.h"

#include <hdf5.h>
#include <hdf5_hl.h>

#include <algorithm>
#include <mutex>
#include <utility>

namespace volvelle {

namespace {

using Guard = std::lock_guard<std::recursive_mutex>;

hid_t textType(std::size_t length) {
    const hid_t type = H5Tcopy(H5T_C_S1);
    if (type < 0) return type;
    const bool made = H5Tset_size(type, std::max<std::size_t>(length, 1)) >= 0 &&
                      H5Tset_cset(type, H5T_CSET_UTF8) >= 0 &&
                      (length == H5T_VARIABLE || H5Tset_strpad(type, H5T_STR_NULLPAD) >= 0);
    if (made) return type;
    H5Tclose(type);
    return -1;
}

/// The text, or 'not stated'.
const std::string& stated(const std::string& text) {
    return text.empty() ? hdf5NotStated : text;
}

}  // namespace

Hdf5Group Hdf5Group::createGroup(const std::string& name) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle list = checked(H5Pcreate(H5P_GROUP_CREATE), "make", name);
    // All links and attributes in the object's header: a group is read in one piece.
    check(H5Pset_link_phase_change(list.id(), 256, 128), "make", name);
    check(H5Pset_attr_phase_change(list.id(), 256, 128), "make", name);
    // Times of change would make two files of the same run differ.
    check(H5Pset_obj_track_times(list.id(), false), "make", name);
    Hdf5Handle group =
        checked(H5Gcreate2(handle_.id(), name.c_str(), H5P_DEFAULT, list.id(), H5P_DEFAULT), "make", name);
    return {std::move(group), kind_, where_ + "/" + name};
}

void Hdf5Group::setAttributeAt(std::int64_t object, const std::string& name, std::int64_t type,
                               std::size_t count, bool isScalar, const void* data) const {
    const hsize_t dims[1] = {count};
    const Hdf5Handle space =
        checked(isScalar ? H5Screate(H5S_SCALAR) : H5Screate_simple(1, dims, nullptr), "write", name);
    const Hdf5Handle attribute =
        checked(H5Acreate2(object, name.c_str(), type, space.id(), H5P_DEFAULT, H5P_DEFAULT), "write", name);
    check(H5Awrite(attribute.id(), type, data), "write", name);
}

void Hdf5Group::setTextAt(std::int64_t object, const std::string& name, const std::string& text) const {
    // Of variable length: other readers get these as text, not as padded bytes.
    const Hdf5Handle type = checked(textType(H5T_VARIABLE), "write", name);
    const char* value = stated(text).c_str();
    setAttributeAt(object, name, type.id(), 1, true, &value);
}

void Hdf5Group::setAttribute(const std::string& name, const std::string& text) const {
    const Guard guard(hdf5Mutex());
    setTextAt(handle_.id(), name, text);
}

void Hdf5Group::setAttribute(const std::string& name, double value) const {
    const Guard guard(hdf5Mutex());
    setAttributeAt(handle_.id(), name, H5T_IEEE_F64LE, 1, true, &value);
}

void Hdf5Group::setAttribute(const std::string& name, std::span<const double> values) const {
    const Guard guard(hdf5Mutex());
    setAttributeAt(handle_.id(), name, H5T_IEEE_F64LE, values.size(), false, values.data());
}

void Hdf5Group::setAttribute(const std::string& name, std::int32_t value) const {
    const Guard guard(hdf5Mutex());
    setAttributeAt(handle_.id(), name, H5T_STD_I32LE, 1, true, &value);
}

Hdf5Handle Hdf5Group::makeDataset(const std::string& name, std::int64_t type,
                                  const std::vector<std::uint64_t>& dims, bool filled) const {
    const std::vector<hsize_t> sizes(dims.begin(), dims.end());
    const Hdf5Handle space =
        checked(dims.empty() ? H5Screate(H5S_SCALAR)
                             : H5Screate_simple(static_cast<int>(sizes.size()), sizes.data(), nullptr),
                "make", name);
    const Hdf5Handle list = checked(H5Pcreate(H5P_DATASET_CREATE), "make", name);
    check(H5Pset_layout(list.id(), H5D_CONTIGUOUS), "make", name);
    check(H5Pset_alloc_time(list.id(), H5D_ALLOC_TIME_EARLY), "make", name);
    // Without this the library would fill gigabytes with zeros.
    check(H5Pset_fill_time(list.id(), filled ? H5D_FILL_TIME_IFSET : H5D_FILL_TIME_NEVER), "make", name);
    // Times of change would make two files of the same run differ.
    check(H5Pset_obj_track_times(list.id(), false), "make", name);
    check(H5Pset_attr_phase_change(list.id(), 256, 128), "make", name);
    return checked(
        H5Dcreate2(handle_.id(), name.c_str(), type, space.id(), H5P_DEFAULT, list.id(), H5P_DEFAULT), "make",
        name);
}

void Hdf5Group::writeDataset(const std::string& name, std::int64_t type,
                             const std::vector<std::uint64_t>& dims, const void* data,
                             const std::string* units) const {
    const Hdf5Handle dataset = makeDataset(name, type, dims, true);
    check(H5Dwrite(dataset.id(), type, H5S_ALL, H5S_ALL, H5P_DEFAULT, data), "write", name);
    if (units != nullptr) setTextAt(dataset.id(), "units", *units);
}

void Hdf5Group::writeText(const std::string& name, const std::string& text) const {
    const Guard guard(hdf5Mutex());
    const std::string& value = stated(text);
    const Hdf5Handle type = checked(textType(value.size()), "write", name);
    writeDataset(name, type.id(), {}, value.data(), nullptr);
}

void Hdf5Group::writeTexts(const std::string& name, std::span<const std::string> texts) const {
    const Guard guard(hdf5Mutex());
    std::size_t width = 1;
    for (const std::string& text : texts) width = std::max(width, stated(text).size());
    std::vector<char> cells(width * texts.size(), '\0');
    for (std::size_t i = 0; i < texts.size(); ++i) {
        const std::string& value = stated(texts[i]);
        std::copy(value.begin(), value.end(), cells.begin() + static_cast<std::ptrdiff_t>(i * width));
    }
    const Hdf5Handle type = checked(textType(width), "write", name);
    writeDataset(name, type.id(), {texts.size()}, cells.data(), nullptr);
}

void Hdf5Group::writeNumber(const std::string& name, double value, const std::string& units) const {
    writeNumbers(name, {&value, 1}, {}, units);
}

void Hdf5Group::writeNumbers(const std::string& name, std::span<const double> values,
                             const std::vector<std::uint64_t>& dims, const std::string& units) const {
    const Guard guard(hdf5Mutex());
    writeDataset(name, H5T_IEEE_F64LE, dims, values.data(), &units);
}

void Hdf5Group::writeIntegers(const std::string& name, std::span<const std::int32_t> values,
                              const std::string& units) const {
    const Guard guard(hdf5Mutex());
    writeDataset(name, H5T_STD_I32LE, {values.size()}, values.data(), &units);
}

Hdf5Extent Hdf5Group::reserve(const std::string& name, Hdf5Number type,
                              const std::vector<std::uint64_t>& dims, const std::string& units) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle dataset = makeDataset(name, hdf5FileType(type), dims, false);
    setTextAt(dataset.id(), "units", units);
    const haddr_t offset = H5Dget_offset(dataset.id());
    if (offset == HADDR_UNDEF) fail("make room for", name);
    return {type, dims, offset};
}

void Hdf5Group::setAttributeOf(const std::string& dataset, const std::string& name, double value) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle object = checked(H5Dopen2(handle_.id(), dataset.c_str(), H5P_DEFAULT), "open", dataset);
    setAttributeAt(object.id(), name, H5T_IEEE_F64LE, 1, true, &value);
}

void Hdf5Group::makeScale(const std::string& dataset, const std::string& scaleName) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle object = checked(H5Dopen2(handle_.id(), dataset.c_str(), H5P_DEFAULT), "open", dataset);
    check(H5DSset_scale(object.id(), scaleName.c_str()), "make a scale of", dataset);
}

void Hdf5Group::attachScale(const std::string& dataset, unsigned dimension, const Hdf5Group& group,
                            const std::string& scale) const {
    const Guard guard(hdf5Mutex());
    const Hdf5Handle object = checked(H5Dopen2(handle_.id(), dataset.c_str(), H5P_DEFAULT), "open", dataset);
    const Hdf5Handle axis = checked(H5Dopen2(group.handle_.id(), scale.c_str(), H5P_DEFAULT), "open", scale);
    check(H5DSattach_scale(object.id(), axis.id(), dimension), "attach a scale to", dataset);
}

}  // namespace volvelle
