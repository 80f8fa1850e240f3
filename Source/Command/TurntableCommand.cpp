#include "Clock/SystemClock.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Command/Signals.h"
#include "Text/Error.h"
#include "Text/Number.h"
#include "Text/TextFile.h"
#include "turntable/Dialect.h"
#include "turntable/LineTable.h"
#include "turntable/SerialWire.h"
#include "turntable/TcpWire.h"

#include <cmath>
#include <memory>
#include <string>
#include <utility>

namespace volvelle {

namespace {

struct TableOptions {
    std::string port, host, dialect, angle;
    bool isHomed = false;
};

enum class Act { home, to, where, stop };

void sayCautions() {
    sayNow(wrapped(
        "The table is about to turn. It pinches and winds things up: nobody is in the chamber while it "
        "moves; "
        "heavy or tall units are strapped down and centred, and cables have slack for the whole way. The "
        "emergency stop is a switch in hardware, within reach: the program's stop is only a convenience. "
        "Local codes and licensed practice come first. See Docs/safety.md."));
}

std::unique_ptr<Wire> wireFor(const TableOptions& options, const Dialect& dialect) {
    if (options.port.empty() == options.host.empty())
        throw Error(ErrorKind::usage,
                    options.port.empty() ? "names no line to the table" : "names two lines to the table",
                    "volvelle turntable", "Give --port DEVICE for a serial port, or --host HOST:PORT");
    if (!options.port.empty()) return std::make_unique<SerialWire>(options.port, dialect.serial);
    return std::make_unique<TcpWire>(options.host);
}

[[noreturn]] void throwFault(const TableResult& result, const LineTable& table, const std::string& advice) {
    const bool isStopped = result.outcome == TableOutcome::stopped;
    throw Error(isStopped ? ErrorKind::stopped : ErrorKind::device, result.what, table.facts().name, advice);
}

void sayPlace(const TableResult& result) {
    say(wrapped("The table stands at " + fixedText(result.pose.tableDeg, 2) + "°."));
}

void sendHome(LineTable& table) {
    sayCautions();
    const StopOnSignals signals;
    const TableResult there = table.home(signals.token());
    if (!there.arrived())
        throwFault(there, table, "See what holds it, with its power off, and send it home again");
    sayPlace(there);
}

void turnTo(LineTable& table, const TableOptions& options) {
    const Range range = Range::between(table.facts().lowestDeg, table.facts().highestDeg);
    const double target =
        requireNumber(options.angle, range, {ErrorKind::usage, "ANGLE", "angle", "degrees"});
    const TableResult found = options.isHomed ? table.trustItsCount() : table.where();
    if (!options.isHomed && !std::isnan(found.pose.tableDeg))
        throwFault(
            found, table,
            "Send it home (volvelle turntable home), or add --homed if it was since it has power and nobody "
            "turned it by hand");
    if (!found.arrived()) throwFault(found, table, "Look at its line and its power, and send it home");
    sayCautions();
    const StopOnSignals signals;
    const TableResult there = table.moveTo({target, 0}, signals.token());
    if (!there.arrived()) throwFault(there, table, "See what holds it, with its power off, and send it home");
    sayPlace(there);
}

void tellPlace(LineTable& table) {
    const TableResult found = table.where();
    if (std::isnan(found.pose.tableDeg)) throwFault(found, table, "Look at its line and its power");
    sayPlace(found);
    say(wrapped("That is its own count: it is right if the table was sent home since it has power."));
}

void stopIt(LineTable& table, Wire& wire) {
    if (const std::string problem = wire.open(); !problem.empty())
        throw Error(ErrorKind::device, problem, table.facts().name, "Use the emergency stop");
    table.stop();
    say(wrapped(
        "The stop was sent. If the table still turns, use the emergency stop: that is the real one."));
}

void carryOut(Act act, TableOptions options) {
    const Dialect dialect = parseDialect(readTextFile(options.dialect), options.dialect);
    options.isHomed = options.isHomed || !dialect.states.notHomed.empty();  // the table itself tells
    auto wire = wireFor(options, dialect);
    Wire& line = *wire;
    SystemClock clock;
    LineTable table(dialect, std::move(wire), clock);
    switch (act) {
        case Act::home:
            return sendHome(table);
        case Act::to:
            return turnTo(table, options);
        case Act::where:
            return tellPlace(table);
        case Act::stop:
            return stopIt(table, line);
    }
}

void addLine(CLI::App& sub, TableOptions& options) {
    sub.add_option("--port", options.port, "Serial port of the table, as /dev/ttyUSB0")->type_name("DEVICE");
    sub.add_option("--host", options.host,
                   "TCP address of the table; this machine where only a port is named")
        ->type_name("HOST:PORT");
    sub.add_option("--dialect", options.dialect, "How the table is spoken to (JSON, see Docs/turntable.md)")
        ->required()
        ->type_name("FILE");
}

}  // namespace

void addTurntable(CLI::App& app, Shell& shell) {
    auto options = std::make_shared<TableOptions>();
    CLI::App* sub =
        app.add_subcommand("turntable", "Turn a table by itself: to try its line and its dialect");
    sub->require_subcommand(1);
    const auto add = [&](const std::string& name, const std::string& what, Act act) {
        CLI::App* one = sub->add_subcommand(name, what);
        addLine(*one, *options);
        one->callback([options, act, &shell] { shell.chosen = [options, act] { carryOut(act, *options); }; });
        return one;
    };
    add("home", "Find zero and stand there", Act::home);
    CLI::App* to = add("to", "Turn to an angle within the soft limits", Act::to);
    to->add_option("ANGLE", options->angle, "The table's angle in degrees")->required();
    to->add_flag("--homed", options->isHomed, "It was sent home since it has power: its own count is right");
    add("where", "Ask where it stands", Act::where);
    add("stop", "Stop it at once", Act::stop);
}

}  // namespace volvelle
