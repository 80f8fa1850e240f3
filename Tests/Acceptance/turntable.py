#!/usr/bin/env python3
"""The command turns a table that is played here, after Docs/turntable.md and without any code of the program."""
import argparse
import contextlib
import functools
import json
import pathlib
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time

SPEED = 200.0  # degrees a second


def framed(body):
    return f"{body}*{functools.reduce(lambda a, b: a ^ b, body.encode(), 0):02X}\n".encode()


class Table:
    """The plain protocol, byte by byte."""

    def __init__(self, speed=SPEED):
        self.speed, self.homed, self.start, self.target, self.began, self.stops = speed, False, 33.0, 33.0, 0.0, 0
        self.server = socket.create_server(("127.0.0.1", 0))
        self.port = self.server.getsockname()[1]
        threading.Thread(target=self.serve, daemon=True).start()

    def place(self):
        way = min(abs(self.target - self.start), self.speed * (time.monotonic() - self.began))
        return self.start + (way if self.target > self.start else -way)

    def turn(self, target):
        self.start, self.target, self.began = self.place(), target, time.monotonic()

    def serve(self):
        while True:
            connection, _ = self.server.accept()
            with contextlib.suppress(ConnectionError), connection, connection.makefile("rb") as lines:
                for line in lines:
                    body = line.decode().rstrip("\r\n").rsplit("*", 1)[0]
                    if framed(body).rstrip() == line.rstrip():
                        connection.sendall(framed(self.answer(body)))

    def answer(self, body):
        if body == "STOP":
            self.stops += 1
            self.turn(self.place())
            return "STOPPED"
        number, word, *rest = body.split(" ")
        if word == "HELLO":
            return f"{number} PLAIN 1"
        if word == "HOME":
            self.homed = True
            self.turn(0.0)
        elif word == "TO":
            if not self.homed:
                return f"{number} NO HOME"
            self.turn(float(rest[0]))
        elif word == "AT":
            state = "NOTHOMED" if not self.homed else "IDLE" if self.place() == self.target else "MOVING"
            return f"{number} AT {self.place():.3f} {state}"
        return f"{number} OK"


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--command", required=True)
    parser.add_argument("--datasets", type=pathlib.Path, required=True)
    options = parser.parse_args()
    findings = []
    text = (options.datasets / "dialects" / "plain.json").read_text(encoding="utf-8")
    dialect = json.loads("\n".join(x for x in text.split("\n") if not x.startswith("//")))
    dialect["speed"]["deg_per_s"] = SPEED
    table, slow = Table(), Table(speed=2.0)

    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "table.json"
        file.write_text(json.dumps(dialect), encoding="utf-8")

        def command(port, *words):
            return [options.command, "turntable", *words, "--host", str(port), "--dialect", str(file)]

        def expect(words, code, *parts, port=table.port):
            done = subprocess.run(command(port, *words), capture_output=True, text=True, timeout=120, check=False)
            said = " ".join((done.stdout + done.stderr).split())
            if done.returncode != code or not all(p in said for p in parts):
                findings.append(f"{words}: expected {code} and {parts}, got {done.returncode}: {said}")
            if any(len(line) > 80 for line in done.stdout.split("\n")):
                findings.append(f"{words}: wider than 80 columns")

        cautions = ("nobody is in the chamber", "emergency stop is a switch in hardware", "Local codes and licensed practice")
        expect(["to", "45"], 8, "does not know where it stands", "send it home")
        expect(["home"], 0, "stands at 0.00°", *cautions)
        expect(["to", "-45"], 0, "stands at -45.00°", *cautions)
        expect(["where"], 0, "stands at -45.00°")
        expect(["to", "181"], 2, "from -180 to 180")
        expect(["stop"], 0, "The stop was sent")
        if table.place() != -45.0 or table.stops < 1:
            findings.append(f"the table stands at {table.place()} after {table.stops} stops")
        expect(["where"], 8, "cannot connect", port=1)

        slow.homed, slow.start, slow.target = True, 0.0, 0.0
        running = subprocess.Popen(command(slow.port, "to", "90"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        while slow.target == 0.0 and running.poll() is None:
            time.sleep(0.01)
        running.send_signal(signal.SIGINT)
        said = running.communicate(timeout=60)
        if running.returncode != 9 or "a stop was asked for" not in said[1] or slow.place() != slow.target or slow.target > 80:
            findings.append(f"a stop on the way ended with {running.returncode}, {said}, the table at {slow.place()}")

    for finding in findings:
        print(finding)
    print(f"{len(findings)} findings")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
