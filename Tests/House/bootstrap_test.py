#!/usr/bin/env python3
"""./bootstrap against stand-ins for dpkg, apt-get, cmake and ctest that write down how they are called."""
import argparse
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

REAL = ["bash", "cat", "dirname", "env", "find", "getconf", "grep", "head", "id", "mkdir", "nproc", "printf", "pwd", "rm", "sed", "sort", "tr"]

JUNIT = """<?xml version="1.0" encoding="UTF-8"?>
<testsuite name="x"
\ttests="3"
\t>
\t<testcase name="one" classname="one" time="0.1" status="run">
\t\t<system-out>status="fail" &lt;testcase name=</system-out>
\t</testcase>
%s</testsuite>
"""
CASE = '\t<testcase name="%s" classname="%s" time="0" status="%s">\n\t\t%s\n\t</testcase>\n'


class Machine:
    """A copy of bootstrap in a folder whose path has blanks, on a machine made of stand-ins."""

    def __init__(self, bootstrap, folder):
        self.tree = pathlib.Path(folder) / "a tree with blanks"
        self.bin = pathlib.Path(folder) / "bin"
        self.log = pathlib.Path(folder) / "calls"
        self.junit = {"release": JUNIT % "", "sanitizers": JUNIT % ""}
        self.tree.mkdir()
        self.bin.mkdir()
        shutil.copy(bootstrap, self.tree / "bootstrap")
        for tool in REAL:
            where = shutil.which(tool, path="/usr/bin:/bin")
            if where:
                (self.bin / tool).symlink_to(where)
        text = bootstrap.read_text(encoding="utf-8")
        self.packages = re.findall(r"^([a-z0-9][a-z0-9.+-]+) +\| [a-z]+:", text, re.M)
        self.stand_in("cmake", 'case "$*" in *--build*release*) mkdir -p build/release; printf "#!/bin/sh\\necho \\"volvelle $*\\" >>'
                      f'\\"{self.log}\\"; mkdir -p build/demo; echo x >build/demo/family.png" '
                      '>build/release/volvelle; /bin/chmod +x build/release/volvelle;; esac')
        self.stand_in("ctest", f'/bin/cp "{folder}/$2.xml" build/$2/results/ctest.xml 2>/dev/null; exit 8')

    def stand_in(self, name, script=":"):
        path = self.bin / name
        path.unlink(missing_ok=True)
        path.write_text(f'#!/bin/bash\necho "{name} $*" >>"{self.log}"\n{script}\n', encoding="utf-8")
        path.chmod(0o755)

    def debian(self, missing=(), user=0, candidate=True):
        there = "\n".join(f"{p} installed" for p in self.packages if p not in missing)
        self.stand_in("dpkg-query", f"cat <<'END'\n{there}\nremoved-one config-files\nEND")
        self.stand_in("apt-get")
        self.stand_in("apt-cache", f'echo "  Candidate: {"1.0" if candidate else "(none)"}"')
        self.stand_in("sudo", '[ "$1" = -n ] && shift; exec "$@"')
        self.stand_in("id", f"echo {user}")
        return self

    def elsewhere(self, complete=True):
        for tool in ("c++", "ninja", "ccache", "pkg-config", "h5cc", "python3", "localedef"):
            self.stand_in(tool)
        self.stand_in("fc-list", "echo DejaVu")
        if not complete:
            self.stand_in("pkg-config", '[ "$2" != fftw3f ]')
        return self

    def run(self, *arguments):
        for preset, text in self.junit.items():
            (self.log.parent / f"{preset}.xml").write_text(text, encoding="utf-8")
        environment = {"PATH": str(self.bin), "CI": "true"}  # no HOME, no terminal
        return subprocess.run([str(self.tree / "bootstrap"), *arguments], cwd="/", env=environment, stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, timeout=60, check=False)

    def calls(self, name):
        lines = self.log.read_text(encoding="utf-8").splitlines() if self.log.exists() else []
        return [line for line in lines if line.split()[0] == name]


def last(done):
    return done.stdout.rstrip("\n").split("\n")[-1]


# ---- laws: each takes a fresh machine and returns nothing, or raises AssertionError ----

def nothing_missing_means_no_call_of_apt(m):
    done = m.debian().run("test")
    assert m.calls("apt-get") == [], m.calls("apt-get")
    assert done.returncode == 0 and last(done) == "2 passed, 0 failed", done.stdout + done.stderr


def every_test_suite_is_built_and_run(m):
    m.debian().run("test")
    assert [c.split()[2] for c in m.calls("ctest")] == ["release", "sanitizers"], m.calls("ctest")


def missing_packages_are_installed_once_by_name_with_their_reasons(m):
    done = m.debian(missing=["libfftw3-dev", "python3-h5py"]).run("test")
    calls = m.calls("apt-get")
    assert len(calls) == 1 and calls[0].endswith("install -y --no-install-recommends libfftw3-dev python3-h5py"), calls
    assert re.search(r"libfftw3-dev +transforms", done.stdout) and re.search(r"python3-h5py +reads run files", done.stdout)


def empty_package_lists_are_fetched_first(m):
    m.debian(missing=["ccache"], candidate=False).run("test")
    assert [c.split()[-1] for c in m.calls("apt-get")] == ["update", "ccache"], m.calls("apt-get")


def stale_package_lists_are_fetched_again(m):
    m.debian(missing=["ccache"])
    m.stand_in("apt-get", f'case "$*" in *install*) [ -e "{m.log}.updated" ] || exit 100;; *update*) : >"{m.log}.updated";; esac')
    done = m.run("test")
    assert [c.split()[-1] for c in m.calls("apt-get")] == ["ccache", "update", "ccache"], m.calls("apt-get")
    assert done.returncode == 0, done.stderr


def without_root_sudo_is_asked_and_never_waits_for_a_password(m):
    m.debian(missing=["ccache"], user=1000).run("test")
    assert m.calls("sudo") and all(c.startswith("sudo -n env DEBIAN_FRONTEND=noninteractive") for c in m.calls("sudo")), m.calls("sudo")


def another_system_is_told_the_names(m):
    done = m.elsewhere(complete=False).run("test")
    assert done.returncode == 1 and "libfftw3-dev" in done.stderr and "libcairo2-dev" not in done.stderr, done.stderr
    assert m.calls("ctest") == [] and last(done) == "0 passed, 1 failed"


def another_system_with_everything_goes_on(m):
    done = m.elsewhere().run("test")
    assert done.returncode == 0 and last(done) == "2 passed, 0 failed", done.stdout + done.stderr


def failed_and_not_run_tests_fail_and_skipped_ones_are_named(m):
    m.junit["release"] = JUNIT % (CASE % ("two", "two", "fail", '<failure message=""/><system-out>SKIP_</system-out>')
                                  + CASE % ("three", "three", "notrun", '<skipped message="Unable to find executable"/>')
                                  + CASE % ("four", "four", "notrun", '<skipped message="SKIP_RETURN_CODE=77"/>'))
    done = m.debian().run("test")
    assert done.returncode == 1 and last(done) == "2 passed, 2 failed", done.stdout
    assert "FAILED: two" in done.stdout and "FAILED: three" in done.stdout and "skipped: four" in done.stdout, done.stdout


def results_without_a_test_have_failed(m):
    m.junit["release"] = "<testsuite></testsuite>"
    done = m.debian().run("test")
    assert done.returncode == 1 and last(done) == "1 passed, 1 failed", done.stdout


def a_suite_that_cannot_be_built_has_failed(m):
    m.debian()
    m.stand_in("cmake", 'case "$*" in *--build*sanitizers*) exit 1;; esac')
    done = m.run("test")
    assert done.returncode == 1 and last(done) == "1 passed, 1 failed", done.stdout


def results_of_an_earlier_run_do_not_count(m):
    m.debian().run("test")
    m.stand_in("ctest", "exit 1")
    done = m.run("test")
    assert done.returncode == 1 and last(done) == "0 passed, 2 failed", done.stdout


def the_demonstration_needs_no_package_of_the_tests(m):
    done = m.debian(missing=["libgtest-dev", "python3-scipy"]).run("demo")
    assert done.returncode == 0 and m.calls("apt-get") == [], done.stdout + done.stderr
    assert any("-DVOLVELLE_TESTS=OFF" in c for c in m.calls("cmake")), m.calls("cmake")
    assert "build/demo/family.png" in done.stdout, done.stdout


def an_unknown_word_is_refused(m):
    done = m.debian().run("tset")
    assert done.returncode == 2 and "tset" in done.stderr and m.calls("cmake") == []


LAWS = [nothing_missing_means_no_call_of_apt, every_test_suite_is_built_and_run,
        missing_packages_are_installed_once_by_name_with_their_reasons, empty_package_lists_are_fetched_first,
        stale_package_lists_are_fetched_again, without_root_sudo_is_asked_and_never_waits_for_a_password,
        another_system_is_told_the_names, another_system_with_everything_goes_on,
        results_without_a_test_have_failed, failed_and_not_run_tests_fail_and_skipped_ones_are_named, a_suite_that_cannot_be_built_has_failed,
        results_of_an_earlier_run_do_not_count, the_demonstration_needs_no_package_of_the_tests, an_unknown_word_is_refused]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--root", type=pathlib.Path, required=True)
    options = parser.parse_args()
    os.umask(0o022)
    failures = 0
    for law in LAWS:
        with tempfile.TemporaryDirectory() as folder:
            try:
                law(Machine(options.root / "bootstrap", folder))
            except AssertionError as broken:
                failures += 1
                print(f"FAILED: {law.__name__}: {broken}")
    print(f"{len(LAWS) - failures} of {len(LAWS)} laws hold")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
