#pragma once

#include "turntable/ReplyPattern.h"
#include "turntable/TurningPath.h"
#include "turntable/Turntable.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

/// How lines are put on the wire.
struct LineForm {
    std::string ends = "\n";  ///< after each line that is sent
    bool hasCheck =
        false;  ///< each line ends with `*` and the exclusive or of its bytes as two hexadecimal digits
    std::size_t longest = 256;  ///< bytes of a line that is received; a longer one is garbage
};

/// Settings of a serial port.
struct SerialForm {
    enum class Parity { none, even, odd };
    enum class Flow { none, lines, characters };
    int baud = 115200, dataBits = 8, stopBits = 1;
    Parity parity = Parity::none;
    Flow flow = Flow::none;
};

/// The table's counts and the angle: angle = sign * count * degreesPerCount + zeroDeg.
struct CountForm {
    double degreesPerCount = 1;
    int sign = 1;
    double zeroDeg = 0;                ///< angle at count 0, where homing ends
    int decimals = 3;                  ///< of a count that is sent
    std::optional<int> replyDecimals;  ///< of a count that is received: one with fewer or more was cut

    double countAt(double angleDeg) const;  ///< rounded to `decimals`
    double angleAt(double count) const;
    double resolutionDeg() const;  ///< of what can be sent
};

/// Up to when replies are waited for.
enum class Patience { reply, arrival, homing };

/// One line sent, and the lines that have to come back, in order; others in between are passed over.
struct DialectStep {
    CommandTemplate send;
    std::vector<ReplyPattern> expect;
    Patience within = Patience::reply;
};

/// A reply that means that something went wrong.
struct DialectError {
    ReplyPattern reply;
    TableOutcome outcome = TableOutcome::lost;  ///< refused, stalled or lost
    std::string means;                          ///< in plain words
};

struct DialectStates {
    std::vector<std::string> idle, moving, notHomed, fault;
    bool any() const { return !idle.empty(); }
};

struct DialectTimes {
    double replyS = 1, homeS = 180, stallS = 3, marginS = 5, quietS = 0.2, pollS = 0.2, settleS = 0.5;
    int tries = 3;  ///< of a question without a sensible answer
};

struct DialectStop {
    std::string send;
    bool hasLineEnd = true;
    bool keepsZero = true;              ///< false: it has to be homed after a stop
    std::vector<ReplyPattern> replies;  ///< passed over wherever they come
};

/// How one make of table is spoken to, wholly: a line protocol.
struct Dialect {
    std::string name;
    LineForm line;
    SerialForm serial;
    CountForm count;
    TurningRules turning;  ///< limits, approach, way round
    double speedDegPerS = 5;
    double speedPerDegPerS = 1;  ///< what {speed} is at 1 °/s
    int speedDecimals = 1;
    double toleranceDeg = 0.1, overshootDeg = 3;
    DialectTimes times;
    std::vector<DialectStep> begin, home, move, where;  ///< where: empty, it cannot be asked
    DialectStop stop;
    DialectStates states;
    std::vector<ReplyPattern> busy, restart, ignored;
    std::vector<DialectError> errors;

    bool readsBack() const { return !where.empty(); }
    /// {count} and {speed} for an angle.
    CommandValues valuesAt(double angleDeg) const;
};

/// A dialect file (JSON, see Docs/turntable.md). Throws Error{input} with the JSON pointer of what is wrong.
Dialect parseDialect(std::string_view json, const std::string& source);

}  // namespace volvelle
