#!/usr/bin/env python3
"""Breaks formulas one at a time, in a copy of the sources, and demands that some test fails for each.

    check_mutations.py --source TREE --scratch FOLDER [--only WORD] [--under "flock FILE"]

The copy, with its own build folder, stays in the scratch folder: the next time only what has changed is built. Each formula
is named by file, exact text and what it becomes; a text that is not found exactly once is a failure too: then the list
below has to follow the code. Exit code 0: every mutation was found.
"""
import argparse
import os
import pathlib
import shlex
import subprocess
import sys
import time

# (what is broken, file in Modules/, exact text, replacement, test program without its "Test")
MUTATIONS = [
    ("solid angle of a quadrangle", "Sphere/AngleSet.cpp", "std::sqrt(1 + s2)", "std::sqrt(1 - s2)", "Sphere"),
    ("weights of half-arcs", "Sphere/AngleSet.cpp", "whole = 4 * 4 * std::numbers::pi", "whole = 2 * 4 * std::numbers::pi", "Standards"),
    ("a drive's axis turns the wrong way round the pole", "Sphere/Direction.cpp",
     "direction(d.azimuthDeg - axisAzimuthDeg, d.elevationDeg)", "direction(d.azimuthDeg - axisAzimuthDeg, -d.elevationDeg)", "Families"),
    ("sign of time in the sphere's field", "Acoustics/SphereField.cpp", "-sphere_.density * sphere_.speedOfSound", "sphere_.density * sphere_.speedOfSound", "Acoustics"),
    ("velocity of a cap", "Acoustics/SphereField.cpp", "(p[n - 1] - p[n + 1]) / 2", "(p[n - 1] + p[n + 1]) / 2", "Acoustics"),
    ("speed of sound", "Quantities/Air.cpp", "343.2 * std::sqrt(kelvin(air) / referenceTemperatureK)", "343.2 * (kelvin(air) / referenceTemperatureK)", "Quantities"),
    ("lead of harmonics", "Signal/Excitation.cpp", "rateS() * std::log(harmonic)", "rateS() * std::log2(harmonic)", "Signal"),
    ("conjugate in the deconvolution", "Signal/Deconvolution.cpp", "shapeOnBins_[k] * std::conj(filter_[k])", "shapeOnBins_[k] * filter_[k]", "Signal"),
    ("loopback's level", "Signal/Deconvolution.cpp", "* (1 / power)", "* (1 / std::sqrt(power))", "Signal"),
    ("fraction of a delay", "Signal/Deconvolution.cpp", "whole - (weights > 0", "whole + (weights > 0", "Signal"),
    ("corner of the band limit", "Signal/Deconvolution.cpp", "cornerHz_(band.lowHz / 2)", "cornerHz_(band.lowHz)", "Signal"),
    ("phase of evaluated spectra", "Signal/SpectrumSampler.cpp", "quarterTurns - 2 * std::numbers::pi", "quarterTurns + 2 * std::numbers::pi", "Signal"),
    ("right edge of a window", "Signal/Window.cpp", "raisedCosine((endS - timeS) / fadeOutS)", "raisedCosine((endS - timeS) / fadeInS)", "Signal"),
    ("width of smoothing", "Signal/Smoothing.cpp", "0.5 / fraction", "1.0 / fraction", "Signal"),
    ("centres of even fractions of an octave", "Signal/FrequencyGrid.cpp", "% 2 == 0 ? 0.5 : 0", "% 2 == 0 ? 0 : 0.5", "Signal"),
    ("distance", "Response/Corrections.cpp", "p *= capture.distanceM", "p /= capture.distanceM", "Response"),
    ("microphone's level", "Response/Corrections.cpp", "value(response.levelDb) / 20", "value(response.levelDb) / 10", "Response"),
    ("calibration the wrong way up", "Response/Corrections.cpp", "c.pascalPerFullScale / volts", "c.pascalPerFullScale * volts", "Response"),
    ("sign of air absorption", "Response/Corrections.cpp", "std::pow(10, absorbed *", "std::pow(10, -absorbed *", "Response"),
    ("side of the cross-fade", "Response/WindowedSpectrum.cpp", "0.5 + 0.5 * std::cos(std::numbers::pi * part)", "0.5 - 0.5 * std::cos(std::numbers::pi * part)", "Response"),
    ("phase of a window's start", "Response/WindowedSpectrum.cpp", "-2 * std::numbers::pi * frequenciesHz[i] * delayS", "2 * std::numbers::pi * frequenciesHz[i] * delayS", "Response"),
    ("window's end before the decay's", "Response/ResolvedRecipe.cpp", "safety * placing.decayS", "0.7 * placing.decayS", "Response"),
    ("which of repeats serves", "Response/Positions.cpp", "a.repeat, -a.attempt", "-a.repeat, -a.attempt", "Response"),
    ("angles of the floor bounce", "Families/CurveDefinitions.cpp", "{-20, -30, -40}", "{20, 30, 40}", "Families"),
    ("angles of the rear wall bounce", "Families/CurveDefinitions.cpp", "{180, 90, -90}", "{180, 100, -100}", "Families"),
    ("weights of the listening window", "Families/CurveDefinitions.cpp", "add(angles, vertical, a, 1.0 / 9)", "add(angles, vertical, a, 1.0 / 7)", "Families"),
    ("weight of 0° and 180°", "Families/CurveDefinitions.cpp", "? 4 * w.weight : w.weight", "? 2 * w.weight : w.weight", "Families"),
    ("mean of pressures instead of their squares", "Families/PositionSums.cpp", "row.power[i] = std::norm(row.pressure[i])", "row.power[i] = std::abs(row.pressure[i])", "Families"),
    ("mean of decibels in the in-room curve", "Families/DerivedCurves.cpp", "std::pow(10, levelDb / 10)", "std::pow(10, levelDb / 20)", "Standards"),
    ("sign of an index", "Families/DerivedCurves.cpp", "window[i] - other[i]", "other[i] - window[i]", "Families"),
    ("impedance in the sound power level", "Families/DerivedCurves.cpp", "std::log10(400 / impedance)", "std::log10(impedance / 400)", "Families"),
    ("drop of the beamwidth", "Families/Beamwidth.cpp", "dropDb = 6", "dropDb = 3", "Families"),
    ("which stance serves at a pole", "Families/OrbitIndex.cpp", "if (const auto found = measuredOn(Orbit::horizontal, angleDeg)) return found;\n    return measuredOn(Orbit::vertical, angleDeg)",
     "if (const auto found = measuredOn(Orbit::vertical, angleDeg)) return found;\n    return measuredOn(Orbit::horizontal, angleDeg)", "Families"),
    ("sign of the group delay", "Families/AxisDetails.cpp", "arrivalS - step /", "arrivalS + step /", "Families"),
    ("lead of a harmonic's window", "Families/Distortion.cpp", "arrivalS - sweep.leadS(n) - lead", "arrivalS - sweep.leadS(n + 1) - lead", "Families"),
    ("noise added instead of subtracted", "Families/PositionSums.cpp", "row.power[i] -= row.noise[i]", "row.power[i] += row.noise[i]", "Families"),
    ("sign of the simulated latency", "Chamber/SimulatedUnit.cpp", "-2 * std::numbers::pi * frequenciesHz_[k] * delayS", "2 * std::numbers::pi * frequenciesHz_[k] * delayS", "Chamber"),
]


def copy_sources(source, target):
    """Copies what differs, so that files that did not change keep their times; removes what is gone."""
    target.mkdir(parents=True, exist_ok=True)
    listed = subprocess.run(["git", "-C", str(source), "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
                            capture_output=True, check=True).stdout.decode()
    names = {n for n in listed.split("\0") if n and (source / n).is_file()}
    for name in names:
        wanted = (source / name).read_bytes()
        copy = target / name
        if not copy.is_file() or copy.read_bytes() != wanted:
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(wanted)
    for path in [p for p in target.rglob("*") if p.is_file() and str(p.relative_to(target)) not in names]:
        path.unlink()


class Copy:
    def __init__(self, source, scratch, under):
        self.tree, self.build, self.under = scratch / "tree", scratch / "build", under
        copy_sources(source, self.tree)
        self.environment = dict(os.environ, CCACHE_BASEDIR=str(scratch), CCACHE_NOHASHDIR="1")
        self.run(["cmake", "-S", str(self.tree), "-B", str(self.build), "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Release",
                  "-DVOLVELLE_COMMAND=OFF"])

    def run(self, command):
        return subprocess.run(command, capture_output=True, text=True, env=self.environment, check=False)

    def compile(self, targets):
        result = self.run(self.under + ["cmake", "--build", str(self.build), "--target"] + ["Test" + t for t in targets])
        return result.returncode == 0, result.stdout + result.stderr

    def failing(self, target):
        """Names of the tests that fail, or nothing."""
        program = next(p for p in self.build.rglob("Test" + target) if p.is_file())
        result = self.run([str(program), "--gtest_brief=1"])
        names = []
        for line in result.stdout.splitlines():
            if line.startswith("[  FAILED  ] ") and "(" in line:
                names.append(line[len("[  FAILED  ] "):].split(" (")[0].split(",")[0])
        if result.returncode != 0 and not names:
            names.append("the program ended with %d" % result.returncode)
        return names


def check(copy, mutation):
    """What failed, or a complaint."""
    what, name, text, replacement, target = mutation
    path = copy.tree / "Modules" / name
    before = path.read_text(encoding="utf-8")
    if before.count(text) != 1:
        return None, "the text stands %d times in %s" % (before.count(text), name)
    try:
        path.write_text(before.replace(text, replacement), encoding="utf-8")
        built, output = copy.compile([target])
        if not built:
            return None, "does not compile:\n" + output[-2000:]
        failed = copy.failing(target)
        return failed, "" if failed else "NO TEST FAILS"
    finally:
        path.write_text(before, encoding="utf-8")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--source", required=True, type=pathlib.Path)
    parser.add_argument("--scratch", required=True, type=pathlib.Path)
    parser.add_argument("--only", default="", help="mutations with this word in their name or file")
    parser.add_argument("--under", default="", help="a command that builds are run under")
    options = parser.parse_args()
    if options.scratch.resolve() == options.source.resolve():
        parser.error("the scratch folder must not be the source folder")
    chosen = [m for m in MUTATIONS if options.only in m[0] or options.only in m[1]]
    copy = Copy(options.source.resolve(), options.scratch.resolve(), shlex.split(options.under))
    targets = sorted({m[4] for m in chosen})
    built, output = copy.compile(targets)
    if not built:
        sys.exit("the copy does not build:\n" + output[-4000:])
    for target in targets:
        failed = copy.failing(target)
        if failed:
            sys.exit("Test%s fails unbroken: %s" % (target, ", ".join(failed)))
    bad = 0
    for mutation in chosen:
        began = time.monotonic()
        failed, complaint = check(copy, mutation)
        bad += bool(complaint)
        verdict = complaint or "%s%s" % (failed[0], " and %d more" % (len(failed) - 1) if len(failed) > 1 else "")
        print("%-6s %s (%s): %s  [%.0f s]" % ("MISSED" if complaint else "found", mutation[0], mutation[1], verdict,
                                             time.monotonic() - began), flush=True)
    print("%d mutations, %d found, %d missed" % (len(chosen), len(chosen) - bad, bad))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
