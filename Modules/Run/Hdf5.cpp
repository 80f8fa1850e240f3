#include "Run/Hdf5.h"

#include "Run/Hdf5Driver.h"

#include <hdf5.h>

#include <mutex>
#include <type_traits>
#include <utility>

namespace volvelle {

static_assert(std::is_same_v<hid_t, std::int64_t>);

using Guard = std::lock_guard<std::recursive_mutex>;

Hdf5Handle::~Hdf5Handle() {
    if (id_ < 0) return;
    const Guard guard(hdf5Mutex());
    H5Idec_ref(id_);
}

Hdf5Handle::Hdf5Handle(Hdf5Handle&& other) noexcept : id_(std::exchange(other.id_, -1)) {
}

Hdf5Handle& Hdf5Handle::operator=(Hdf5Handle&& other) noexcept {
    std::swap(id_, other.id_);
    return *this;
}

Hdf5Group::Hdf5Group(Hdf5Handle handle, ErrorKind kind, std::string where)
    : handle_(std::move(handle)), kind_(kind), where_(std::move(where)) {
}

void Hdf5Group::fail(const std::string& act, const std::string& name) const {
    throw Error(kind_, "HDF5 cannot " + act + " '" + name + "'", where_,
                kind_ == ErrorKind::damaged ? "The file is not what its format says: restore it from a copy"
                                            : "Report this");
}

Hdf5Handle Hdf5Group::checked(std::int64_t id, const std::string& act, const std::string& name) const {
    if (id < 0) fail(act, name);
    return Hdf5Handle(id);
}

void Hdf5Group::check(int status, const std::string& act, const std::string& name) const {
    if (status < 0) fail(act, name);
}

Hdf5File Hdf5File::create(Hdf5Bytes& bytes, std::uint64_t userBlock, const std::string& name) {
    const Guard guard(hdf5Mutex());
    const Hdf5Group messages({}, ErrorKind::bug, name);
    const Hdf5Handle access = messages.checked(hdf5AccessList(bytes), "prepare", name);
    const Hdf5Handle list = messages.checked(H5Pcreate(H5P_FILE_CREATE), "prepare", name);
    messages.check(H5Pset_userblock(list.id(), userBlock), "make the user block of", name);
    messages.check(H5Pset_link_phase_change(list.id(), 256, 128), "prepare", name);
    messages.check(H5Pset_attr_phase_change(list.id(), 256, 128), "prepare", name);
    messages.check(H5Pset_obj_track_times(list.id(), false), "prepare", name);
    Hdf5Handle file =
        messages.checked(H5Fcreate(name.c_str(), H5F_ACC_TRUNC, list.id(), access.id()), "make", name);
    Hdf5Handle root = messages.checked(H5Gopen2(file.id(), "/", H5P_DEFAULT), "open", "/");
    return {std::move(file), Hdf5Group(std::move(root), ErrorKind::bug, name)};
}

Hdf5File Hdf5File::open(Hdf5Bytes& bytes, const std::string& name) {
    const Guard guard(hdf5Mutex());
    const Hdf5Group messages({}, ErrorKind::damaged, name);
    const Hdf5Handle access = messages.checked(hdf5AccessList(bytes), "prepare", name);
    Hdf5Handle file = messages.checked(H5Fopen(name.c_str(), H5F_ACC_RDONLY, access.id()), "open", name);
    Hdf5Handle root = messages.checked(H5Gopen2(file.id(), "/", H5P_DEFAULT), "open", "/");
    return {std::move(file), Hdf5Group(std::move(root), ErrorKind::damaged, name)};
}

void Hdf5File::close() {
    const Guard guard(hdf5Mutex());
    root_.handle_ = Hdf5Handle();
    const std::int64_t id = file_.id();
    root_.check(H5Fflush(id, H5F_SCOPE_GLOBAL), "finish", root_.where_);
    file_ = Hdf5Handle();
}

}  // namespace volvelle
