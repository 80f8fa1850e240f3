#pragma once

#include "Run/Files.h"

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace volvelle {

/// What goes wrong at the chosen call.
enum class Fault {
    fail,      ///< the call does nothing and throws: Error{input} for reading, Error{output} for the others
    shorten,   ///< a write or read does half of it, then throws; other calls: as fail
    drop,      ///< a write or sync does nothing and says nothing; a read gives zeros; other calls: no fault
    flipBit,   ///< a write or read changes one bit of the data and says nothing; other calls: no fault
    powerLoss  ///< the power fails before the call: `onPowerLoss`, then this and all later calls throw
};

/// Files that go wrong once, at the n-th call (counted from 1 over all methods of it and its open files; 0:
/// never). Holds the other files by reference: they have to live longer. Not thread-safe.
class FaultyFiles final : public Files {
public:
    FaultyFiles(Files& inner, Fault fault, std::size_t atCall, std::function<void()> onPowerLoss = {});
    ~FaultyFiles() override;

    bool exists(const std::string& path) const override;
    std::unique_ptr<OpenFile> openForReading(const std::string& path) const override;
    std::unique_ptr<OpenFile> create(const std::string& path) override;
    void rename(const std::string& from, const std::string& to) override;
    void remove(const std::string& path) override;
    void syncFolderOf(const std::string& path) override;
    void makeFolder(const std::string& path) override;
    void removeFolder(const std::string& path) override;
    std::vector<std::string> listFolder(const std::string& path) const override;
    std::uint64_t roomLeft(const std::string& path) const override;
    std::unique_ptr<FileLock> lock(const std::string& path) override;

    std::size_t calls() const;              ///< how many there have been
    const std::string& faultyCall() const;  ///< "sync RUN.h5.writing"; empty where none has gone wrong yet

private:
    struct Script;
    class File;
    class Lock;
    Files& inner_;
    std::shared_ptr<Script> script_;
};

}  // namespace volvelle
