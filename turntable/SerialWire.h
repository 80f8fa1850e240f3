#pragma once

#include "turntable/DescriptorWire.h"
#include "turntable/Dialect.h"

#include <string>
#include <vector>

namespace volvelle {

/// A serial port, by libserialport; a pseudo terminal, which that library does not know, by the system
/// itself.
class SerialWire final : public DescriptorWire {
public:
    SerialWire(std::string device, SerialForm form) : DescriptorWire(std::move(device)), form_(form) {}

private:
    std::optional<int> openDescriptor(std::string& problem) override;

    SerialForm form_;
};

/// A serial port of this machine.
struct SerialPort {
    std::string device, description;
};

/// Those that there are, by name.
std::vector<SerialPort> serialPorts();

}  // namespace volvelle
