#pragma once

#include "turntable/Wire.h"

#include <mutex>
#include <optional>
#include <string>

namespace volvelle {

/// What a serial port and a TCP connection have in common on systems that give them a descriptor.
class DescriptorWire : public Wire {
public:
    ~DescriptorWire() override;
    DescriptorWire(const DescriptorWire&) = delete;
    DescriptorWire& operator=(const DescriptorWire&) = delete;

    const std::string& name() const override { return name_; }
    std::string open() override;
    bool send(std::string_view bytes) noexcept override;
    WireState receive(double seconds, std::string& into) override;

protected:
    explicit DescriptorWire(std::string name) : name_(std::move(name)) {}

    /// A descriptor that does not block, or what is wrong and what to do.
    virtual std::optional<int> openDescriptor(std::string& problem) = 0;

private:
    void close() noexcept;

    std::string name_;
    std::mutex mutex_;  ///< of the descriptor, while it is sent to, closed or opened
    int descriptor_ = -1;
};

}  // namespace volvelle
