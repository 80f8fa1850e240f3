#!/usr/bin/env python3
"""Runs the commands that README.md, DEVELOPERS.md and Docs/ show, so that they stay true.

Every ```console block says in the line above it what is to become of it:

    <!-- run -->                   its commands run here, in order, in a folder of the document's own
    <!-- not run: the reason -->   they do not

A block without either is an error, and so is a block of another kind that shows `volvelle`: nothing is left out silently.
Lines that begin with "$ " are commands (a backslash at the end continues them); "# exit 6" at their end says which exit code
is right where it is not 0. The other lines are expected output: each must appear, in this order; blanks are compared as one,
and "…" stands for anything. `volvelle SUBCOMMAND --option` anywhere in the text may name only options that its --help knows.
"""
import argparse
import os
import pathlib
import re
import shutil
import stat
import subprocess
import sys
import tempfile

FENCE = re.compile(r"^(```+)[ \t]*([\w-]*)[^\n]*\n(.*?)^\1[ \t]*$", re.S | re.M)
DIRECTIVE = re.compile(r"<!--\s*(run|not run)\s*(?::\s*(.*?))?\s*-->")
SHOWN = re.compile(r"(?:^|[\s`$])volvelle((?:[ \t]+(?:[a-z][a-z-]*))?)((?:[ \t]+[^`\n]*)?)")
SECONDS = 300


def documents(root):
    return sorted([*root.glob("*.md"), *(root / "Docs").rglob("*.md")])


def line_before(text, offset):
    before = text[:offset].rstrip("\n").split("\n")
    return before[-1].strip() if before else ""


def blocks(text):
    """(line, language, directive, reason, content) of every fenced block."""
    for match in FENCE.finditer(text):
        directive = DIRECTIVE.fullmatch(line_before(text, match.start()))
        yield (text.count("\n", 0, match.start()) + 1, match.group(2), directive.group(1) if directive else None,
               directive.group(2) if directive else None, match.group(3))


def steps(content):
    """[(command, expected exit code, expected lines)]"""
    result, lines = [], content.split("\n")
    while lines:
        line = lines.pop(0)
        if line.startswith("$ "):
            command = line[2:]
            while command.endswith("\\") and lines:
                command = command[:-1].rstrip() + " " + lines.pop(0).strip()
            code = re.search(r"\s+#\s*exit\s+(\d+)\s*$", command)
            result.append((command[:code.start()] if code else command, int(code.group(1)) if code else 0, []))
        elif line.strip() and result:
            result[-1][2].append(line)
        elif line.strip():
            result.append((None, 0, [line]))
    return result


def first_missing(expected, output):
    """The first expected line that the output does not have in its place, or nothing."""
    have = [" ".join(line.split()) for line in output.split("\n")]
    at = 0
    for line in expected:
        pattern = ".*".join(re.escape(" ".join(piece.split())) for piece in line.split("…"))
        while at < len(have) and not re.fullmatch(r"\s*" + pattern + r"\s*", have[at]):
            at += 1
        if at == len(have):
            return line
        at += 1
    return None


def run_block(content, folder, environment, where):
    """Problems, as lines; nothing when all went as shown."""
    for command, code, expected in steps(content):
        if command is None:
            return [f"{where}: output before the first command: {expected[0]}"]
        try:
            done = subprocess.run(["bash", "-c", command], cwd=folder, env=environment, stdin=subprocess.DEVNULL,
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=SECONDS, check=False)
        except subprocess.TimeoutExpired:
            return [f"{where}: $ {command}\n  did not end within {SECONDS} s"]
        output = done.stdout.decode("utf-8", "replace")
        if done.returncode != code:
            return [f"{where}: $ {command}\n  ended with {done.returncode}, not {code}:\n{output}"]
        missing = first_missing(expected, output)
        if missing is not None:
            return [f"{where}: $ {command}\n  does not print: {missing}\n  it prints:\n{output}"]
    return []


def help_of(command, words, environment, known):
    key = tuple(words)
    if key not in known:
        done = subprocess.run([command, *words, "--help"], env=environment, stdin=subprocess.DEVNULL, capture_output=True,
                              timeout=60, check=False)
        known[key] = done.stdout.decode("utf-8", "replace") if done.returncode == 0 else None
    return known[key]


def check_options(command, name, text, environment, known):
    """Options that the text shows and the command does not know."""
    joined = re.sub(r"\\\n\s*", " ", text)
    for match in SHOWN.finditer(joined):
        words = match.group(1).split()
        options = re.findall(r"(?<![\w-])--[a-z][a-z-]*", match.group(2).split("#")[0])
        if not options:
            continue
        below = re.match(r"[ \t]+([a-z][a-z-]*)", match.group(2))
        if words and below and "COMMAND ..." in (help_of(command, words, environment, known) or ""):
            words.append(below.group(1))  # a command that has commands of its own
        helped = help_of(command, words, environment, known)
        for option in options:
            if helped is None:
                yield f"{name}: volvelle {' '.join(words)} is no subcommand"
            elif not re.search(re.escape(option) + r"(?![\w-])", helped):
                yield f"{name}: volvelle {' '.join(words)} {option}: its --help does not know this option"


def run_document(path, name, command, scratch, environment):
    """(problems, blocks run, blocks not run with their reasons)"""
    problems, ran, left_out = [], 0, []
    text = path.read_text(encoding="utf-8")
    folder = scratch / re.sub(r"\W", "-", name)
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for line, language, directive, reason, content in blocks(text):
        where = f"{name}:{line}"
        if language != "console":
            if re.search(r"^\s*\$?\s*volvelle ", content, re.M):
                problems.append(f"{where}: shows the command in a block that is not ```console")
        elif directive is None:
            problems.append(f"{where}: says neither <!-- run --> nor <!-- not run: reason --> in the line above it")
        elif directive == "not run":
            if not reason:
                problems.append(f"{where}: is not run, without a reason")
            left_out.append(f"{where}: {reason}")
        else:
            problems += run_block(content, folder, environment, where)
            ran += 1
    problems += check_options(str(command), name, text, environment, {})
    return problems, ran, left_out


def run_all(root, command, scratch):
    environment = {**os.environ, "PATH": f"{command.parent}{os.pathsep}{os.environ.get('PATH', '/usr/bin:/bin')}", "COLUMNS": "120"}
    problems, ran = [], 0
    for path in documents(root):
        name = path.relative_to(root).as_posix()
        more, count, left_out = run_document(path, name, command, scratch, environment)
        problems += more
        ran += count
        for line in left_out:
            print(f"not run: {line}")
    if ran == 0:
        problems.append("no block at all was run: the documents show no command that could be")
    for problem in problems:
        print(problem)
    print(f"{ran} blocks run, {len(problems)} problems")
    return problems


# ---- the runner checked ----

STAND_IN = """#!/bin/sh
case "$1 $2" in
    "greet --help") echo "greet: --name TEXT" ;;
    "greet --name") echo "hello, $3"; echo "   done   in 3 s" ;;
    "fail "*) echo "broken" >&2; exit 6 ;;
    *) exit 2 ;;
esac
"""


def self_test():
    def console(body, directive="<!-- run -->"):
        return f"{directive}\n```console\n{body}\n```\n"

    good = console("$ volvelle greet --name you\nhello, you\ndone in … s")
    cases = [
        (good, None),
        (good + console("$ volvelle greet \\\n    --name you > made.txt\n$ cat made.txt\nhello, you"), None),
        (good + console("$ volvelle fail   # exit 6\nbroken"), None),
        (good + console("$ volvelle fail"), "ended with 6, not 0"),
        (good + console("$ volvelle greet --name you   # exit 6"), "ended with 0, not 6"),
        (good + console("$ volvelle greet --name you\nhello, me"), "does not print: hello, me"),
        (good + console("$ volvelle greet --name you\ndone in 3 s\nhello, you"), "does not print: hello, you"),
        (good + console("$ volvelle greet --name you", ""), "says neither"),
        (good + console("$ volvelle greet --name you", "<!-- not run -->"), "without a reason"),
        (good + console("$ volvelle anything", "<!-- not run: needs a chamber -->"), None),
        (good + "```sh\nvolvelle greet\n```\n", "not ```console"),
        (good + "so `volvelle greet --nmae you` greets", "does not know this option"),
        (good + "so `volvelle great --name you` greets", "is no subcommand"),
        ("nothing to run", "no block at all"),
    ]
    failures = 0
    for text, expected in cases:
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder) / "with blank"
            (root / "Docs").mkdir(parents=True)
            (root / "README.md").write_text(text, encoding="utf-8")
            command = root / "bin" / "volvelle"
            command.parent.mkdir()
            command.write_text(STAND_IN, encoding="utf-8")
            command.chmod(command.stat().st_mode | stat.S_IXUSR)
            problems = run_all(root, command, root / "scratch")
        if (expected is None) != (not problems) or (expected and not any(expected in p for p in problems)):
            failures += 1
            print(f"FAILED: {text!r}: expected {expected!r}, found {problems}")
    print(f"{len(cases) - failures} of {len(cases)} cases are judged as they should be")
    return 1 if failures else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--root", type=pathlib.Path)
    parser.add_argument("--command", type=pathlib.Path)
    parser.add_argument("--scratch", type=pathlib.Path)
    parser.add_argument("--self-test", action="store_true")
    options = parser.parse_args()
    if options.self_test:
        return self_test()
    return 1 if run_all(options.root, options.command.resolve(), options.scratch.resolve()) else 0


if __name__ == "__main__":
    sys.exit(main())
