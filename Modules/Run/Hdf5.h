#pragma once

#include "Run/Hdf5Bytes.h"
#include "Text/Error.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

// The one thin layer over the HDF5 library. Every call into it holds one mutex (the library is not made for
// threads), its own error printing is off, each return code is checked, and no type of it is seen outside
// Hdf5.cpp. Datasets are of one plain type each: float64, float32, int32, or text of fixed length (UTF-8,
// padded with NUL).

/// An owned identifier of the library.
class Hdf5Handle {
public:
    Hdf5Handle() = default;
    explicit Hdf5Handle(std::int64_t id) : id_(id) {}
    ~Hdf5Handle();
    Hdf5Handle(Hdf5Handle&& other) noexcept;
    Hdf5Handle& operator=(Hdf5Handle&& other) noexcept;
    std::int64_t id() const { return id_; }

private:
    std::int64_t id_ = -1;
};

enum class Hdf5Number { int32, float32, float64 };

/// Where the numbers of a dataset lie that is read or written without the library.
struct Hdf5Extent {
    Hdf5Number type = Hdf5Number::float64;
    std::vector<std::uint64_t> dims;
    std::uint64_t offset = 0;  ///< bytes from the beginning of the file
};

/// A group of an open file, for writing or reading. Errors: Error{damaged} in files that are read, Error{bug}
/// in those that are written; both name the file and the object.
class Hdf5Group {
public:
    Hdf5Group createGroup(const std::string& name) const;
    void setAttribute(const std::string& name, const std::string& text) const;  ///< empty: 'not stated'
    void setAttribute(const std::string& name, double value) const;
    void setAttribute(const std::string& name, std::span<const double> values) const;
    void setAttribute(const std::string& name, std::int32_t value) const;
    void writeText(const std::string& name,
                   const std::string& text) const;  ///< one text; empty: 'not stated'
    void writeTexts(const std::string& name, std::span<const std::string> texts) const;
    void writeNumber(const std::string& name, double value, const std::string& units) const;  ///< one number
    void writeNumbers(const std::string& name, std::span<const double> values,
                      const std::vector<std::uint64_t>& dims, const std::string& units) const;
    void writeIntegers(const std::string& name, std::span<const std::int32_t> values,
                       const std::string& units) const;
    /// Makes a dataset, in one stretch and not filled, whose numbers the caller writes; returns where.
    Hdf5Extent reserve(const std::string& name, Hdf5Number type, const std::vector<std::uint64_t>& dims,
                       const std::string& units) const;
    /// An attribute of a dataset of this group.
    void setAttributeOf(const std::string& dataset, const std::string& name, double value) const;
    /// Makes a dataset a dimension scale and attaches it to a dimension of another one.
    void makeScale(const std::string& dataset, const std::string& scaleName) const;
    void attachScale(const std::string& dataset, unsigned dimension, const Hdf5Group& group,
                     const std::string& scale) const;

    bool has(const std::string& name) const;
    Hdf5Group openGroup(const std::string& name) const;
    std::string text(const std::string& name) const;           ///< a dataset of one text
    std::string attributeText(const std::string& name) const;  ///< 'not stated' is empty
    double attributeNumber(const std::string& name) const;
    std::int32_t attributeInteger(const std::string& name) const;
    std::vector<std::string> texts(const std::string& name) const;
    double number(const std::string& name) const;
    std::vector<double> numbers(
        const std::string& name) const;  ///< all of the dataset, whatever its dimensions
    std::vector<std::int32_t> integers(const std::string& name) const;
    Hdf5Extent extent(const std::string& name) const;

private:
    friend class Hdf5File;
    Hdf5Group(Hdf5Handle handle, ErrorKind kind, std::string where);
    void fail(const std::string& act, const std::string& name) const;  ///< throws
    Hdf5Handle checked(std::int64_t id, const std::string& act, const std::string& name) const;
    void check(int status, const std::string& act, const std::string& name) const;
    Hdf5Handle makeDataset(const std::string& name, std::int64_t type, const std::vector<std::uint64_t>& dims,
                           bool filled) const;
    void setAttributeAt(std::int64_t object, const std::string& name, std::int64_t type, std::size_t count,
                        bool isScalar, const void* data) const;
    void setTextAt(std::int64_t object, const std::string& name, const std::string& text) const;
    void writeDataset(const std::string& name, std::int64_t type, const std::vector<std::uint64_t>& dims,
                      const void* data, const std::string* units) const;
    template <typename T>
    std::vector<T> read(const std::string& name, std::int64_t memoryType) const;

    Hdf5Handle handle_;
    ErrorKind kind_;
    std::string where_;
};

/// A file in memory, open for writing or reading.
class Hdf5File {
public:
    /// Begins an empty file behind a user block (a power of two, 512 at least). `name` is for messages.
    static Hdf5File create(Hdf5Bytes& bytes, std::uint64_t userBlock, const std::string& name);
    static Hdf5File open(Hdf5Bytes& bytes, const std::string& name);  ///< Error{damaged}

    const Hdf5Group& root() const { return root_; }
    /// Finishes writing; groups of the file may not be used afterwards. bytes.length is then the file's
    /// length.
    void close();

private:
    Hdf5File(Hdf5Handle file, Hdf5Group root) : file_(std::move(file)), root_(std::move(root)) {}
    Hdf5Handle file_;
    Hdf5Group root_;
};

}  // namespace volvelle
