#include "Clock/SimulatedClock.h"
#include "Text/Error.h"
#include "turntable/Dialect.h"
#include "turntable/LineTable.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <string>

namespace {

using namespace volvelle;

/// Hands out the replies a few bytes at a time, whatever it is told, and drops at their end.
class Replies final : public Wire {
public:
    Replies(std::string bytes, Clock& clock) : bytes_(std::move(bytes)), clock_(clock) {}
    const std::string& name() const override { return name_; }
    std::string open() override { return {}; }
    bool send(std::string_view) noexcept override { return true; }
    WireState receive(double seconds, std::string& into) override {
        clock_.waitFor(std::max(seconds, 0.001), {});
        if (at_ >= bytes_.size()) return WireState::dropped;
        const std::size_t some = std::min<std::size_t>(1 + at_ % 9, bytes_.size() - at_);
        into += bytes_.substr(at_, some);
        at_ += some;
        return WireState::arrived;
    }

private:
    std::string name_ = "replies", bytes_;
    std::size_t at_ = 0;
    Clock& clock_;
};

void hurry(DialectTimes& times) {
    for (double* seconds :
         {&times.replyS, &times.homeS, &times.stallS, &times.marginS, &times.quietS, &times.settleS})
        *seconds = std::min(*seconds, 2.0);
    times.pollS = std::max(times.pollS, 0.1);
}

}  // namespace

/// Any bytes are a dialect or bad input; and whatever a table replies, the driver comes to an end and says
/// what became of it. The replies stand behind a line of "---".
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    const std::string line = "\n---\n";
    const std::size_t end = std::min(text.find(line), text.size());
    Dialect dialect;
    try {
        dialect = parseDialect(text.substr(0, end), "input");
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
        return 0;
    }
    hurry(dialect.times);
    dialect.speedDegPerS = std::max(dialect.speedDegPerS, 10.0);
    SimulatedClock clock(0);
    const double tolerance = dialect.toleranceDeg;
    LineTable table(dialect,
                    std::make_unique<Replies>(end < text.size() ? text.substr(end + line.size()) : "", clock),
                    clock);
    for (const TableResult& result :
         {table.home({}), table.moveTo({dialect.turning.highestDeg / 2, 0}, {}), table.where()})
        if (!result.arrived() && result.what.empty()) std::abort();
    const TableResult there = table.moveTo({0, 0}, {});
    if (there.arrived() && !(std::abs(there.pose.tableDeg) <= tolerance + 1e-9)) std::abort();
    return 0;
}
