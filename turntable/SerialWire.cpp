#include "turntable/SerialWire.h"

#include "Text/Nearest.h"

#include <fcntl.h>
#include <libserialport.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <memory>
#include <system_error>

namespace volvelle {

namespace {

struct FreePort {
    void operator()(sp_port* port) const { sp_free_port(port); }
};
using Port = std::unique_ptr<sp_port, FreePort>;

std::string lastProblem(sp_return code) {
    if (code != SP_ERR_FAIL) return code == SP_ERR_SUPP ? "not supported by this port" : "not a serial port";
    const std::unique_ptr<char, decltype(&sp_free_error_message)> text(sp_last_error_message(),
                                                                       &sp_free_error_message);
    return text ? text.get() : "unknown";
}

sp_return setUp(sp_port* port, const SerialForm& form) {
    static constexpr sp_parity parities[] = {SP_PARITY_NONE, SP_PARITY_EVEN, SP_PARITY_ODD};
    static constexpr sp_flowcontrol flows[] = {SP_FLOWCONTROL_NONE, SP_FLOWCONTROL_RTSCTS,
                                               SP_FLOWCONTROL_XONXOFF};
    for (const sp_return code :
         {sp_set_baudrate(port, form.baud), sp_set_bits(port, form.dataBits),
          sp_set_stopbits(port, form.stopBits), sp_set_parity(port, parities[static_cast<int>(form.parity)]),
          sp_set_flowcontrol(port, flows[static_cast<int>(form.flow)])})
        if (code != SP_OK) return code;
    return SP_OK;
}

/// A copy of the port's descriptor, which outlives the library's own.
std::optional<int> descriptorOf(sp_port* port) {
    int descriptor = -1;
    if (sp_get_port_handle(port, &descriptor) != SP_OK) return std::nullopt;
    const int copy = ::fcntl(descriptor, F_DUPFD_CLOEXEC, 0);
    return copy < 0 ? std::nullopt : std::optional(copy);
}

/// Without the library: a pseudo terminal has no speed and no parity to set.
std::optional<int> openTerminal(const std::string& device, std::string& problem) {
    const int descriptor = ::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    termios settings{};
    if (descriptor >= 0 && ::tcgetattr(descriptor, &settings) == 0) {
        ::cfmakeraw(&settings);
        if (::tcsetattr(descriptor, TCSANOW, &settings) == 0) return descriptor;
    }
    const int error = errno;
    if (descriptor >= 0) ::close(descriptor);
    problem = "cannot open " + device + ": " + std::generic_category().message(error);
    std::vector<std::string> known;
    for (const SerialPort& port : serialPorts()) known.push_back(port.device);
    problem += error == EACCES
                   ? "; the group dialout may open serial ports"
                   : (known.empty() ? "; this machine has no serial port" : "; there are " + listed(known));
    return std::nullopt;
}

}  // namespace

std::optional<int> SerialWire::openDescriptor(std::string& problem) {
    sp_port* found = nullptr;
    if (sp_get_port_by_name(name().c_str(), &found) != SP_OK) return openTerminal(name(), problem);
    const Port port(found);
    sp_return code = sp_open(port.get(), SP_MODE_READ_WRITE);
    std::optional<int> descriptor;
    if (code == SP_OK) {
        code = setUp(port.get(), form_);
        if (code == SP_OK) descriptor = descriptorOf(port.get());
        if (!descriptor) problem = "cannot set up " + name() + ": " + lastProblem(code);
        sp_close(port.get());
        return descriptor;
    }
    problem = "cannot open " + name() + ": " + lastProblem(code);
    if (code == SP_ERR_FAIL && sp_last_error_code() == EACCES)
        problem += "; the group dialout may open serial ports";
    return std::nullopt;
}

std::vector<SerialPort> serialPorts() {
    sp_port** list = nullptr;
    std::vector<SerialPort> ports;
    if (sp_list_ports(&list) != SP_OK) return ports;
    for (sp_port** one = list; *one != nullptr; ++one) {
        const char* description = sp_get_port_description(*one);
        ports.push_back({sp_get_port_name(*one), description != nullptr ? description : ""});
    }
    sp_free_port_list(list);
    std::sort(ports.begin(), ports.end(), [](const auto& a, const auto& b) { return a.device < b.device; });
    return ports;
}

}  // namespace volvelle
