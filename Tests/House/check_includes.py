#!/usr/bin/env python3
"""Every #include "Module/File.h" obeys the arrows that Modules/CMakeLists.txt declares.

A module may include headers of the modules that it names itself: the headers are direct dependencies, so the declaration
says what the code uses, and a module that stops using another one can drop it without breaking a third that leaned on it.
(Transitive permission would let Figures reach into Run because Families does, and the declared arrows would say nothing.)
  - a header of a module: itself and DEPENDS
  - a .cpp of a module: those and PRIVATE_MODULES
  - libraries: the same with PUBLIC, and PRIVATE in .cpp files only
  - a test program: whatever its libraries hand on publicly (a test makes values for the module under test), and Tests/
  - Source/: every module; nothing in Modules/ includes anything of Source/ or Tests/
The arrows must not go round in a circle.
"""
import argparse
import json
import pathlib
import re
import sys
import tempfile

INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*(?:"([^"]+)"|<([^>]+)>)', re.M)

# The first part of a library's header path, and the targets of which one must be declared.
LIBRARIES = [
    (re.compile(r"^fmt/"), ["fmt::fmt"]),
    (re.compile(r"^nlohmann/"), ["nlohmann_json::nlohmann_json"]),
    (re.compile(r"^(hdf5|H5)"), ["hdf5::hdf5", "hdf5::hdf5_hl"]),
    (re.compile(r"^fftw3"), ["PkgConfig::FFTW", "PkgConfig::FFTWF"]),
    (re.compile(r"^sndfile"), ["PkgConfig::SNDFILE"]),
    (re.compile(r"^cairo"), ["PkgConfig::CAIRO"]),
    (re.compile(r"^openssl/"), ["OpenSSL::Crypto"]),
    (re.compile(r"^Eigen/"), ["Eigen3::Eigen"]),
    (re.compile(r"^spdlog/"), ["spdlog::spdlog"]),
    (re.compile(r"^CLI/"), ["CLI11::CLI11"]),
    (re.compile(r"^libserialport"), ["PkgConfig::SERIALPORT"]),
    (re.compile(r"^(thread|future|mutex|shared_mutex|condition_variable)$"), ["Threads::Threads"]),
]
ANYBODYS = {"mutex", "shared_mutex"}  # need no library


def sources(folder):
    return sorted(p for p in folder.rglob("*") if p.suffix in (".h", ".cpp", ".hpp", ".cc", ".c"))


def includes(path):
    for match in INCLUDE.finditer(path.read_text(encoding="utf-8")):
        yield match.group(1), match.group(2)


def handed_on(arrows, name):
    """Modules and libraries whose headers a user of this module sees: itself and its DEPENDS, with their PUBLIC libraries."""
    modules, libraries, todo = set(), set(), [name]
    while todo:
        module = todo.pop()
        if module in modules:
            continue
        modules.add(module)
        libraries.update(arrows[module]["public"])
        todo += arrows[module]["depends"]
    return modules, libraries


def circle(arrows):
    """Names along a circle of arrows, or nothing."""
    done, path = set(), []

    def visit(name):
        if name in path:
            return path[path.index(name):] + [name]
        if name in done:
            return None
        path.append(name)
        for other in arrows[name]["depends"] + arrows[name]["private_modules"]:
            found = visit(other)
            if found:
                return found
        path.pop()
        done.add(name)
        return None

    for name in arrows:
        found = visit(name)
        if found:
            return found
    return None


def check_file(path, shown, allowed_modules, allowed_libraries, module_names, findings, extra=()):
    for quoted, angled in includes(path):
        if quoted is not None:
            first = quoted.split("/")[0]
            if "/" not in quoted:
                findings.append(f'{shown}: "{quoted}" names no folder: write the module, as in "Sphere/AngleSet.h"')
            elif first in extra and first not in module_names:
                pass
            elif first not in module_names:
                findings.append(f'{shown}: "{quoted}": there is no module {first} that this file may use')
            elif first not in allowed_modules and first not in extra:
                findings.append(f'{shown}: "{quoted}": {first} is not among the declared dependencies')
            continue
        for pattern, targets in LIBRARIES:
            if pattern.match(angled) and angled not in ANYBODYS and allowed_libraries is not None:
                if not any(t in allowed_libraries for t in targets):
                    findings.append(f"{shown}: <{angled}>: none of {', '.join(targets)} is declared for this file")


def check_module(root, name, arrows, module_names, findings):
    arrow = arrows[name]
    for path in sources(root / "Modules" / name) + (sources(root / name) if name == "turntable" else []):
        modules = {name, *arrow["depends"]}
        libraries = set(arrow["public"])
        for other in arrow["depends"]:
            libraries |= handed_on(arrows, other)[1]
        if path.suffix != ".h":
            modules |= set(arrow["private_modules"])
            libraries |= set(arrow["private"])
            for other in arrow["private_modules"]:
                libraries |= handed_on(arrows, other)[1]
        check_file(path, path.relative_to(root), modules, libraries, module_names, findings)


def check_test(root, folder, arrow, arrows, module_names, findings):
    modules, libraries = set(), {"Threads::Threads"} | {x for x in arrow["private"] if not x.startswith("Volvelle::")}
    for target in arrow["private"]:
        if target.startswith("Volvelle::"):
            more_modules, more_libraries = handed_on(arrows, target.removeprefix("Volvelle::"))
            modules |= more_modules
            libraries |= more_libraries
    test_folders = {p.name for p in (root / "Tests").iterdir() if p.is_dir()}
    for path in sources(root / folder):
        check_file(path, path.relative_to(root), modules, libraries, module_names, findings, extra=test_folders)


def check(root, declared):
    """All findings as lines of text."""
    findings = []
    arrows = {name: a for name, a in declared.items() if not name.startswith("Tests/")}
    tests = {name: a for name, a in declared.items() if name.startswith("Tests/")}
    module_names = set(arrows)
    for name, arrow in arrows.items():
        for other in arrow["depends"] + arrow["private_modules"]:
            if other not in arrows:
                findings.append(f"Modules/CMakeLists.txt: {name} depends on {other}, which is not a module")
    if findings:
        return findings
    round_trip = circle(arrows)
    if round_trip:
        return ["Modules/CMakeLists.txt: the arrows go round in a circle: " + " -> ".join(round_trip)]

    for folder in sorted(p for p in (root / "Modules").iterdir() if p.is_dir()):
        if folder.name not in arrows:
            findings.append(f"Modules/{folder.name} is not declared by volvelle_module")
            continue
        check_module(root, folder.name, arrows, module_names, findings)
    if "turntable" in arrows:  # the one target that lies beside Modules/
        check_module(root, "turntable", arrows, module_names, findings)
    for folder, arrow in tests.items():
        check_test(root, folder, arrow, arrows, module_names, findings)
    if (root / "Source").is_dir():
        shells = {p.name for p in (root / "Source").iterdir() if p.is_dir()}
        for path in sources(root / "Source"):
            check_file(path, path.relative_to(root), module_names, None, module_names, findings, extra=shells)
    return findings


# ---- the check checked ----

def self_test():
    def arrow(depends=(), private_modules=(), public=(), private=()):
        return {"depends": list(depends), "private_modules": list(private_modules), "public": list(public),
                "private": list(private)}

    good = {
        "Text": arrow(public=["fmt::fmt"], private=["nlohmann_json::nlohmann_json"]),
        "Sphere": arrow(["Text"]),
        "Run": arrow(["Sphere"], ["Text"], private=["hdf5::hdf5"]),
        "Figures": arrow(["Run"]),
        "Tests/Run": arrow(private=["Volvelle::Run"]),
    }
    files = {
        "Modules/Text/A.h": "#pragma once\n#include <fmt/format.h>\n",
        "Modules/Text/A.cpp": '#include "Text/A.h"\n#include <nlohmann/json.hpp>\n',
        "Modules/Sphere/B.h": '#include "Text/A.h"\n',
        "Modules/Run/C.h": '#include "Sphere/B.h"\n',
        "Modules/Run/C.cpp": '#include "Run/C.h"\n#include "Text/A.h"\n#include <hdf5.h>\n',
        "Modules/Figures/D.h": '#include "Run/C.h"\n',
        "Tests/Run/CTest.cpp": '#include "Run/C.h"\n#include "Sphere/B.h"\n#include "Oracle/O.h"\n',
        "Tests/Oracle/O.h": "",
        "Source/Command/Main.cpp": '#include "Command/X.h"\n#include "Figures/D.h"\n',
    }
    # (what is changed, what must be said of it)
    cases = [
        ({}, {}, None),
        ({"Modules/Figures/D.cpp": '#include "Sphere/B.h"\n'}, {}, "Sphere is not among the declared"),      # only transitive
        ({"Modules/Sphere/B.cpp": '  #  include "Run/C.h"\n'}, {}, "Run is not among the declared"),          # backwards
        ({"Modules/Run/C.h": '#include "Text/A.h"\n'}, {}, "Text is not among the declared"),                 # private, in a header
        ({"Modules/Run/C.cpp": '#include "C.h"\n'}, {}, "names no folder"),
        ({"Modules/Run/C.cpp": '#include "Command/X.h"\n'}, {}, "no module Command"),
        ({"Modules/Run/C.h": "#include <hdf5.h>\n"}, {}, "hdf5::hdf5"),                                       # private, in a header
        ({"Modules/Sphere/B.cpp": "#include <nlohmann/json.hpp>\n"}, {}, "nlohmann_json"),
        ({"Modules/Sphere/B.cpp": "#include <thread>\n"}, {}, "Threads::Threads"),
        ({"Modules/Stray/E.h": ""}, {}, "Modules/Stray is not declared"),
        ({"Tests/Run/CTest.cpp": '#include "Figures/D.h"\n'}, {}, "Figures is not among the declared"),
        ({}, {"Text": arrow(["Figures"])}, "go round in a circle"),
        ({}, {"Sphere": arrow(["Txet"])}, "which is not a module"),
    ]
    failures = 0
    for changed, declared, expected in cases:
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder)
            for name, text in {**files, **changed}.items():
                (root / name).parent.mkdir(parents=True, exist_ok=True)
                (root / name).write_text(text, encoding="utf-8")
            findings = check(root, {**good, **declared})
        right = not findings if expected is None else len(findings) >= 1 and any(expected in f for f in findings)
        if not right:
            failures += 1
            print(f"for {changed or declared or 'the good tree'} expected {expected!r}, found {findings}")
    print(f"{len(cases) - failures} of {len(cases)} cases are judged as they should be")
    return 1 if failures else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--root", type=pathlib.Path)
    parser.add_argument("--arrows", type=pathlib.Path)
    parser.add_argument("--self-test", action="store_true")
    options = parser.parse_args()
    if options.self_test:
        return self_test()
    findings = check(options.root, json.loads(options.arrows.read_text(encoding="utf-8")))
    for finding in findings:
        print(finding)
    print(f"{len(findings)} includes break the arrows of Modules/CMakeLists.txt")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
