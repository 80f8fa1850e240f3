#include "Clock/SystemClock.h"
#include "Text/Error.h"
#include "turntable/Dialects.h"
#include "turntable/LineTable.h"
#include "turntable/PlayedTable.h"
#include "turntable/Seeded.h"
#include "turntable/SerialWire.h"
#include "turntable/TcpWire.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <poll.h>
#include <pty.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <thread>

namespace volvelle {

namespace {

using Tongue = PlayedTable::Tongue;

/// A played table at the far end of a descriptor, in a thread of its own and in real time.
class FarEnd {
public:
    explicit FarEnd(PlayedTable& table) : table_(table) {}
    virtual ~FarEnd() = default;
    virtual std::unique_ptr<Wire> wire() const = 0;

protected:
    /// Serves until the table drops its line, the other end goes, or a stop is asked for.
    void serve(int descriptor, const std::stop_token& stop) {
        const SystemClock clock;
        std::array<char, 256> buffer{};
        while (!stop.stop_requested() && !table_.isDropped()) {
            pollfd ready{descriptor, POLLIN, 0};
            if (::poll(&ready, 1, 1) > 0 && (ready.revents & POLLIN) != 0) {
                const ssize_t got = ::read(descriptor, buffer.data(), buffer.size());
                if (got <= 0) return;
                table_.hear({buffer.data(), static_cast<std::size_t>(got)}, clock.nowS());
            }
            const std::string bytes = table_.speak(clock.nowS());
            if (!bytes.empty() && ::write(descriptor, bytes.data(), bytes.size()) < 0) return;
        }
    }
    PlayedTable& table_;
};

class TcpEnd final : public FarEnd {
public:
    explicit TcpEnd(PlayedTable& table) : FarEnd(table), listening_(::socket(AF_INET, SOCK_STREAM, 0)) {
        sockaddr_in address{};
        address.sin_family = AF_INET;
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        socklen_t size = sizeof address;
        auto* any = reinterpret_cast<sockaddr*>(&address);
        if (::bind(listening_, any, size) != 0 || ::listen(listening_, 4) != 0) return;
        ::getsockname(listening_, any, &size);
        port_ = ntohs(address.sin_port);
        thread_ = std::jthread([this](const std::stop_token& stop) { accept(stop); });
    }
    ~TcpEnd() override {
        thread_ = {};
        ::close(listening_);
    }
    std::unique_ptr<Wire> wire() const override { return std::make_unique<TcpWire>(std::to_string(port_)); }

private:
    void accept(const std::stop_token& stop) {
        while (!stop.stop_requested()) {
            pollfd ready{listening_, POLLIN, 0};
            if (::poll(&ready, 1, 5) <= 0) continue;
            const int connection = ::accept(listening_, nullptr, nullptr);
            table_.connect();
            serve(connection, stop);
            ::close(connection);
        }
    }
    int listening_, port_ = 0;
    std::jthread thread_;
};

class PtyEnd final : public FarEnd {
public:
    explicit PtyEnd(PlayedTable& table) : FarEnd(table) {
        int slave = -1;
        std::array<char, 128> name{};
        if (::openpty(&master_, &slave, name.data(), nullptr, nullptr) != 0) return;
        slave_ = slave;
        name_ = name.data();
        thread_ = std::jthread([this](const std::stop_token& stop) {
            serve(master_, stop);
            if (!stop.stop_requested()) hangUp();
        });
    }
    ~PtyEnd() override {
        thread_ = {};
        hangUp();
    }
    std::unique_ptr<Wire> wire() const override { return std::make_unique<SerialWire>(name_, SerialForm{}); }

private:
    void hangUp() {
        for (int* descriptor : {&slave_, &master_}) {
            if (*descriptor >= 0) ::close(*descriptor);
            *descriptor = -1;
        }
    }
    int master_ = -1, slave_ = -1;
    std::string name_;
    std::jthread thread_;
};

/// The dialect for a table that turns quickly, with little patience.
Dialect quick(Tongue tongue) {
    Dialect dialect = shippedDialect(tongue);
    dialect.speedDegPerS = 2000;
    dialect.times = {0.08, 1.0, 0.15, 0.3, 0.02, 0.005, 0.01, 2};
    return dialect;
}

struct Setting {
    const char* name;
    Tongue tongue;
    bool isPty;
};

class RealWire : public testing::TestWithParam<Setting> {
protected:
    std::unique_ptr<FarEnd> farEnd(PlayedTable& table) const {
        if (GetParam().isPty) return std::make_unique<PtyEnd>(table);
        return std::make_unique<TcpEnd>(table);
    }
    SystemClock clock;
};

TEST_P(RealWire, ATableIsSentHomeTurnedAskedAndStopped) {
    PlayedTable table(GetParam().tongue, 2000, [](bool) { return PlayedFault::none; });
    const auto far = farEnd(table);
    Dialect patient = quick(GetParam().tongue);
    patient.times.replyS = patient.times.marginS = patient.times.stallS = 5;
    patient.times.homeS = 20;
    LineTable driver(patient, far->wire(), clock);
    const TableResult home = driver.home({});
    ASSERT_TRUE(home.arrived()) << home.what;
    const TableResult there = driver.moveTo({-120, 0}, {});
    ASSERT_TRUE(there.arrived()) << there.what;
    EXPECT_NEAR(table.standsDeg(clock.nowS()), -120, 0.1);
    EXPECT_NEAR(driver.where().pose.tableDeg, -120, 0.1);
}

/// From another thread, while the table is on its way: it comes to rest before the target.
TEST_P(RealWire, AStopFromAnotherThreadIsObeyedOnTheWay) {
    PlayedTable table(GetParam().tongue, 2, [](bool) { return PlayedFault::none; });
    const auto far = farEnd(table);
    Dialect dialect = quick(GetParam().tongue);
    dialect.speedDegPerS = 2;
    dialect.times.replyS = dialect.times.homeS = 20;
    LineTable driver(dialect, far->wire(), clock);
    ASSERT_TRUE(driver.home({}).arrived());
    std::jthread other([&] {
        while (table.turnsTo() == 0) std::this_thread::yield();
        driver.stop();
    });
    EXPECT_EQ(driver.moveTo({170, 0}, {}).outcome, TableOutcome::stopped);
    const double rest = table.turnsTo();
    EXPECT_LT(rest, 169);
    EXPECT_EQ(table.standsDeg(clock.nowS() + 1000), rest);
    if (dialect.stop.keepsZero) {
        EXPECT_NEAR(driver.where().pose.tableDeg, rest, 0.1);
    } else {
        EXPECT_EQ(driver.moveTo({0, 0}, {}).outcome, TableOutcome::refused);
    }
}

TEST_P(RealWire, FiftyRandomFaultSequencesNeverEndInAFalseArrival) {
    int arrived = 0, failed = 0;
    for (std::uint64_t seed = 1; seed <= 50 && !HasFailure(); ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        Seeded seeded(1000 + seed);
        PlayedTable table(GetParam().tongue, 2000, seeded.faults(120, 40));
        const auto far = farEnd(table);
        LineTable driver(quick(GetParam().tongue), far->wire(), clock);
        Seeded targets(seed);
        bool isHomed = false;
        for (int move = 0; move < 3; ++move) {
            const double target = isHomed ? std::round(targets.between(-180, 180)) : 0;
            const TableResult there = isHomed ? driver.moveTo({target, 0}, {}) : driver.home({});
            isHomed = there.arrived();
            ++(isHomed ? arrived : failed);
            if (isHomed) {
                EXPECT_LE(std::abs(table.standsDeg(clock.nowS()) - target), 0.1 + 1e-9);
            }
        }
    }
    RecordProperty("arrived", arrived);
    RecordProperty("failed", failed);
    EXPECT_GT(arrived + failed, 140);
}

INSTANTIATE_TEST_SUITE_P(Wires, RealWire,
                         testing::Values(Setting{"plainTcp", Tongue::plain, false},
                                         Setting{"plainPty", Tongue::plain, true},
                                         Setting{"rs274Tcp", Tongue::rs274, false},
                                         Setting{"rs274Pty", Tongue::rs274, true}),
                         [](const auto& setting) { return setting.param.name; });

TEST(RealWireOpening, WhatIsNotThereIsNamedWithAdvice) {
    TcpWire nobody("127.0.0.1:1");
    EXPECT_NE(nobody.open().find("cannot connect to 127.0.0.1:1"), std::string::npos);
    EXPECT_FALSE(nobody.send("x"));
    SerialWire nothing("/dev/no-such-port", {});
    EXPECT_NE(nothing.open().find("cannot open /dev/no-such-port: No such file or directory"),
              std::string::npos);
    EXPECT_EQ(TcpWire(":5025").name(), "127.0.0.1:5025");
    EXPECT_EQ(TcpWire("[::1]:5025").name(), "::1:5025");
    EXPECT_THROW(TcpWire("here"), Error);
    EXPECT_THROW(TcpWire("here:70000"), Error);
}

}  // namespace

}  // namespace volvelle
