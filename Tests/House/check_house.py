#!/usr/bin/env python3
"""Rules of the house that a compiler does not check. --only code: the sources; --only text: words and links.

Exceptions stand in the list below, each with its reason; one that is no longer needed is a finding too.
"""
import argparse
import ast
import pathlib
import re
import subprocess
import sys
import tempfile

LONGEST_FILE = 600
LONGEST_FUNCTION = 60

# (rule, file, reason). For function-length the file is followed by the function: "Modules/X/Y.cpp:name".
EXCEPTIONS = [
]

CPP = (".h", ".cpp", ".hpp", ".cc", ".c")

# In files other than those of Modules/Text and its tests.
TEXT_FUNCTIONS = re.compile(
    r"\b(?:std\s*::\s*)?(strto(?:d|f|ld|l|ll|ul|ull|imax|umax)|sto(?:d|f|ld|i|l|ll|ul|ull)|ato(?:f|i|l|ll)"
    r"|v?(?:f|s|sn|d|as)?printf(?:_s)?|v?(?:f|s)?scanf)\s*\(")
TO_STRING = re.compile(r"\bstd\s*::\s*to_string\s*\(")
TEXT_STREAMS = re.compile(
    r"#\s*include\s*<(?:sstream|iomanip|strstream)>|\b(?:i|o)?stringstream\b|\bstd\s*::\s*set(?:precision|w|fill)\b"
    r"|\bstd\s*::\s*(?:put|get)_money\b")
STREAM_HEADERS = re.compile(r"#\s*include\s*<(?:iostream|istream|ostream|fstream)>")
OWN_NUMBERS = re.compile(r"\bstd\s*::\s*(?:from_chars|to_chars)\s*\(")
JUCE = re.compile(r"#\s*include\s*[<\"][^>\"]*juce|\bjuce\s*::|\bjuce_\w+", re.I)
C_LIBRARIES = re.compile(r"#\s*include\s*<(nlohmann/|hdf5|H5|cairo|fftw3|sndfile|openssl/|libserialport)")
MATHS_FLAGS = re.compile(
    r"-(?:ffast-math|Ofast|funsafe-math-optimizations|fassociative-math|freciprocal-math|ffinite-math-only|march=|mtune=native|mavx|msse|mfma)"
    r"|#\s*pragma\s+(?:GCC|clang)\s+(?:optimize|target|fp)|__attribute__\s*\(\(\s*(?:target|optimize)")

# Words that speak of how the project came about instead of the project, and places on one machine. Written so that this file
# does not hold them itself.
WORDS = [
    (r"\bseed\s+document", "names a document outside the project"),
    (r"\b[s]ession(?:s|_|\b)", "use run, shot or visit"),
    (r"\btranscrip[t]s?\b", "not of the project"),
    (r"\b(?:large\s+)?lang(?:uage)\s+mode[l]s?\b|\bL[L]Ms?\b|\bA[I]\b|\b[a]gentic\b|\b[c]haracter\s+artificial", "who wrote what is not said"),
    (r"\b[C]laude\b|\b[C]opilot\b|\b[C]hat[G]PT\b|\b[a]nthropic\b|\b[o]penai\b", "who wrote what is not said"),
    (r"\bco-authored[-]by\b|\bgenerated\s+wit[h]\b", "who wrote what is not said"),
    (r"\bissue\s*#?\d+", "say what it is, not where it was asked for"),
    (r"(?<![\w.])/(?:work|home|Users)/\w|(?<![\w.])/root/\w", "a path of one machine"),
    (r"\b(?:pypi\.org|pythonhosted\.\w+|npmjs\.(?:com|org)|crates\.io|deb\.debian\.\w+|proxy\.golang\.\w+|conan\.\w+|rubygems\.\w+)", "a host of packages"),
]
WORDS = [(re.compile(pattern, re.I if "A[I]" not in pattern else 0), why) for pattern, why in WORDS]


def tree_files(root):
    """Every file of the project: what git knows or would add, else everything outside build."""
    listed = subprocess.run(["git", "-C", str(root), "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
                            capture_output=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        names = [n for n in listed.stdout.decode().split("\0") if n]
        return sorted(root / n for n in set(names) if (root / n).is_file())
    skipped = {"build", ".git", ".cache", "demo", "__pycache__"}
    return sorted(p for p in root.rglob("*") if p.is_file() and p.relative_to(root).parts[0] not in skipped
                  and "__pycache__" not in p.parts)


def text_of(path):
    """The text, or nothing for binary files."""
    data = path.read_bytes()
    if b"\0" in data[:4096]:
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def without_comments(text):
    """C++ with comments and the insides of literals blanked; lines and columns stay."""
    pattern = re.compile(
        r'//[^\n]*|/\*.*?\*/|R"([^()\s\\]{0,16})\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|(?<![0-9a-fA-F])\'(?:\\.|[^\'\\\n])+\'', re.S)

    def blank(match):
        piece = match.group(0)
        kept = piece[0] + '"' if piece.startswith('R"') else piece[0]
        if piece.startswith("/"):
            return re.sub(r"[^\n]", " ", piece)
        return kept + re.sub(r"[^\n]", " ", piece[len(kept):-1]) + piece[-1]

    return pattern.sub(blank, text)


def without_comments_keeping_includes(text):
    bare = without_comments(text).split("\n")
    for number, line in enumerate(text.split("\n")):
        if re.match(r"\s*#\s*include", line):
            bare[number] = line
    return "\n".join(bare)


def line_of(text, offset):
    return text.count("\n", 0, offset) + 1


# ---- lengths ----

NOT_A_FUNCTION = re.compile(r"^\s*(?:if|for|while|switch|catch|do|else|try|return)\b|\b(?:namespace|class|struct|union|enum)\b(?![^{]*\))")
FUNCTION_HEAD = re.compile(r"\)\s*(?:const|noexcept(?:\s*\([^)]*\))?|override|final|mutable|try|&&?|->\s*[\w:<>,\s*&]+|:\s*[\w<>:]+\s*\(.*)*\s*$", re.S)


def cpp_functions(text):
    """(name, first line, number of lines) of every function that is not inside another one."""
    bare = re.sub(r"^[ \t]*#[^\n]*(?:\\\n[^\n]*)*", lambda m: re.sub(r"[^\n]", " ", m.group(0)), without_comments(text), flags=re.M)
    found, stack, head_start, inside = [], [], 0, None
    for match in re.finditer(r"[{};]", bare):
        token, at = match.group(0), match.start()
        if token == "{":
            head = bare[head_start:at]
            is_function = inside is None and not NOT_A_FUNCTION.search(head) and bool(FUNCTION_HEAD.search(head))
            if is_function:
                inside = (len(stack), head_start + len(head) - len(head.lstrip()), head)
            stack.append(at)
        elif token == "}" and stack:
            stack.pop()
            if inside is not None and len(stack) == inside[0]:
                name = re.search(r"([\w:~]+)\s*\(([^(]*)", inside[2])
                shown = name.group(1) if name else "?"
                if name and re.fullmatch(r"TEST(_[FP])?|RC_GTEST_\w+|BENCHMARK\w*", shown):
                    shown = ".".join(x.strip() for x in name.group(2).rstrip(") ").split(",")[:2])
                first = line_of(bare, inside[1])
                found.append((shown, first, line_of(bare, at) - first + 1))
                inside = None
        head_start = match.end()
    return found


def python_functions(text):
    tree = ast.parse(text)
    return [(n.name, n.lineno, n.end_lineno - n.lineno + 1) for n in ast.walk(tree)
            if isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]


def check_lengths(path, name, text):
    if path.suffix in CPP + (".py", ".cmake") or path.name in ("CMakeLists.txt", "bootstrap"):
        lines = text.count("\n")
        if lines > LONGEST_FILE:
            yield "file-length", name, f"{name}: {lines} lines, more than {LONGEST_FILE}"
    functions = cpp_functions(text) if path.suffix in CPP else python_functions(text) if path.suffix == ".py" else []
    for function, line, length in functions:
        if length > LONGEST_FUNCTION:
            yield "function-length", f"{name}:{function}", f"{name}:{line}: {function} has {length} lines, more than {LONGEST_FUNCTION}"


# ---- code ----

def check_cpp(path, name, text):
    code = without_comments_keeping_includes(text)

    def each(pattern, rule, what):
        for match in pattern.finditer(code):
            yield rule, name, f"{name}:{line_of(code, match.start())}: {match.group(0).strip()}: {what}"

    if not name.startswith(("Modules/Text/", "Tests/Text/")):
        yield from each(TEXT_FUNCTIONS, "number-text", "numbers become text, and text numbers, only in Modules/Text")
        yield from each(TEXT_STREAMS, "number-text", "no numeric streams: use Modules/Text or fmt")
        yield from each(OWN_NUMBERS, "number-text", "use parseNumber or shortestText of Modules/Text")
    if not name.startswith(("Modules/Text/", "Tests/")):  # in tests it makes names of whole numbers
        yield from each(TO_STRING, "number-text", "use shortestText or fixedText of Modules/Text, or fmt for whole numbers")
    if name.startswith("Modules/") and not name.startswith("Modules/Text/"):
        yield from each(STREAM_HEADERS, "streams", "modules read and write through Files or Modules/Text")
    if name.startswith(("Modules/", "turntable/")):
        yield from each(JUCE, "juce", "nothing here knows JUCE")
    if path.suffix in (".h", ".hpp") and not name.startswith("Tests/"):
        yield from each(C_LIBRARIES, "library-in-header", "belongs in .cpp files only")
    if path.suffix in (".h", ".hpp"):
        if "#pragma once" not in text:
            yield "pragma-once", name, f"{name}: has no #pragma once"


TYPE = re.compile(r"^(?:template\s*<[^>]*>\s*)?(?:struct|class|enum\s+class|enum)\s+(\w+)[^;{]*\{", re.M)


def check_type_names(root, files):
    """Two headers of the modules that give one name to two types: one program may not have both."""
    first = {}
    for path in files:
        name = path.relative_to(root).as_posix()
        if path.suffix != ".h" or not name.startswith("Modules/"):
            continue
        for match in TYPE.finditer(without_comments(text_of(path) or "")):
            other = first.setdefault(match.group(1), name)
            if other != name:
                yield "one-name", name, f"{name}: {match.group(1)} is also defined in {other}"


def check_code(root, files):
    yield from check_type_names(root, files)
    for path in files:
        name = path.relative_to(root).as_posix()
        text = text_of(path)
        if text is None or name.startswith(("Datasets/", "LICENSE")):
            continue
        yield from check_lengths(path, name, text)
        if path.suffix in CPP:
            yield from check_cpp(path, name, text)
        is_build = path.suffix in CPP + (".cmake",) or path.name in ("CMakeLists.txt", "CMakePresets.json", "bootstrap")
        if is_build:
            for match in MATHS_FLAGS.finditer(text):
                yield "maths-flags", name, f"{name}:{line_of(text, match.start())}: {match.group(0)}: changes what sums give"


# ---- words and links ----

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)(?:\s+\"[^\"]*\")?\)")
NAMED_PATH = re.compile(r"`((?:Modules|Source|Tests|Docs|Datasets|turntable|\.ci)/[\w./+-]*)`")
PLACEHOLDER = re.compile(r"NAME|MODULE|THING")
HEADING = re.compile(r"^#+\s+(.*?)\s*#*$", re.M)


def anchors(text):
    """The anchors that headings get: lower case, punctuation dropped, blanks to hyphens."""
    return {re.sub(r"[^\w\- ]", "", h.replace("`", "").lower()).replace(" ", "-") for h in HEADING.findall(without_fences(text))}


def without_fences(text):
    return re.sub(r"^(```|~~~).*?^\1[^\n]*$", lambda m: re.sub(r"[^\n]", " ", m.group(0)), text, flags=re.S | re.M)


def check_links(root, path, name, text):
    bare = without_fences(text)
    for match in LINK.finditer(bare):
        target, _, anchor = match.group(1).partition("#")
        where = f"{name}:{line_of(bare, match.start())}"
        if re.match(r"[a-z]+:", target):
            continue
        there = path.parent / target if target else path
        if re.fullmatch(r"L\d+(-L?\d+)?", anchor):
            yield "line-link", name, f"{where}: {match.group(1)}: link to names, never to line numbers"
        elif not there.exists():
            yield "dead-link", name, f"{where}: {target} does not exist"
        elif anchor and there.suffix == ".md" and anchor not in anchors(there.read_text(encoding="utf-8")):
            yield "dead-link", name, f"{where}: {target or name} has no heading #{anchor}"
    for match in NAMED_PATH.finditer(bare):
        if not PLACEHOLDER.search(match.group(1)) and not (root / match.group(1)).exists():
            yield "dead-link", name, f"{name}:{line_of(bare, match.start())}: {match.group(1)} does not exist"


def check_text(root, files):
    for path in files:
        name = path.relative_to(root).as_posix()
        if name == "LICENSE":
            continue
        for pattern, why in WORDS:
            if pattern.search(name):
                yield "words", name, f"{name}: the name of the file: {why}"
        text = text_of(path)
        if text is None:
            continue
        for pattern, why in WORDS:
            for match in pattern.finditer(text):
                yield "words", name, f"{name}:{line_of(text, match.start())}: '{match.group(0)}': {why}"
        if path.suffix == ".md":
            yield from check_links(root, path, name, text)


def unexcused(findings, exceptions, rules_run):
    """Lines of the findings that no exception covers, and of the exceptions that cover nothing."""
    used, lines = set(), []
    for rule, name, line in findings:
        matching = [e for e in exceptions if e[0] == rule and e[1] == name]
        if matching:
            used.update(matching)
        else:
            lines.append(f"[{rule}] {line}")
    for exception in exceptions:
        if exception not in used and exception[0] in rules_run:
            lines.append(f"[exceptions] {exception[0]} of {exception[1]} is no longer needed: take it off the list")
    return lines


CODE_RULES = {"one-name", "file-length", "function-length", "number-text", "streams", "juce", "library-in-header", "pragma-once", "maths-flags"}
TEXT_RULES = {"words", "dead-link", "line-link"}


# ---- the checks checked ----

LONG_FUNCTION = "int f(int a) {\n" + "    a += 1;\n" * 70 + "    return a;\n}\n"
LONG_METHOD = "struct S : T {\n    S(int a) : a_{a}, b_(a) {\n" + "        g(a);\n" * 61 + "    }\n};\n"
CASES = [  # (file, text, rule that must fire or nothing)
    ("Modules/Run/A.cpp", "auto x = std::stod(t);", "number-text"),
    ("Modules/Run/A.cpp", "auto x = strtod (t, nullptr);", "number-text"),
    ("Modules/Run/A.cpp", 'std::snprintf(b, 9, "%f", x);', "number-text"),
    ("Tests/Run/A.cpp", "#include <sstream>\n", "number-text"),
    ("Tests/Run/A.cpp", "std::cout << std::setprecision(3);", "number-text"),
    ("Modules/Run/A.cpp", "auto s = std::to_string(x);", "number-text"),
    ("Tests/Run/A.cpp", "auto s = std::to_string(i);", None),
    ("Tests/Run/A.h", "#pragma once\n#include <nlohmann/json.hpp>\n", None),
    ("Modules/Text/A.cpp", "auto r = std::from_chars(a, b, x);", None),
    ("Modules/Run/A.cpp", "// std::stod(t) would obey the locale\nauto s = \"printf(\";", None),
    ("Modules/Run/A.cpp", 'const char* s = R"(std::stod(x))"; fmt::print("{}", s); int customstod_(1);', None),
    ("Modules/Run/A.cpp", "#include <fstream>\n", "streams"),
    ("Modules/Run/A.cpp", "#include <juce_core/juce_core.h>\n", "juce"),
    ("Modules/Run/A.h", "#pragma once\n#include <hdf5.h>\n", "library-in-header"),
    ("Source/Command/A.h", "#pragma once\n#include <nlohmann/json.hpp>\n", "library-in-header"),
    ("Modules/Run/A.cpp", "#include <hdf5.h>\n", None),
    ("Modules/Run/A.h", "int f();\n", "pragma-once"),
    ("CMakeLists.txt", "add_compile_options(-ffast-mat" + "h)\n", "maths-flags"),
    ("Modules/Run/A.cpp", "int a;\n" * 601, "file-length"),
    ("Modules/Run/A.cpp", "int a;\n" * 600, None),
    ("Modules/Run/A.cpp", "namespace v {\n" + LONG_FUNCTION + "}\n", "function-length"),
    ("Modules/Run/A.cpp", LONG_METHOD, "function-length"),
    ("Modules/Run/A.cpp", "class C {\n" + "    int a() { return 1; }\n" * 70 + "};\n", None),
    ("Modules/Run/A.cpp", "TEST(Thing, holds) {\n" + "    a();\n" * 61 + "}\n", "function-length"),
    ("Tests/A.py", "def f():\n" + "    a()\n" * 61, "function-length"),
    ("Docs/a.md", "[x](missing.md)", "dead-link"),
    ("Docs/a.md", "see `Modules/Nothing/Here.h`", "dead-link"),
    ("Docs/a.md", "[x](a.md#L12)", "line-link"),
    ("Docs/a.md", "# One thing\n[x](a.md#one-thing) [y](https://example.org/)", None),
    ("Docs/a.md", "# One thing\n[x](a.md#another)", "dead-link"),
    ("Docs/a.md", "the last s" + "ession", "words"),
    ("Docs/a.md", "/wor" + "k/main/x", "words"),
    ("Docs/a.md", "obsession with a network/work/thing, AIR and aim", None),
]


def self_test():
    failures = 0
    for name, text, expected in CASES:
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder)
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_text(text, encoding="utf-8")
            found = [*check_code(root, [root / name]), *check_text(root, [root / name])]
        rules = {f[0] for f in found}
        if rules != ({expected} if expected else set()):
            failures += 1
            print(f"{name} {text[:60]!r}: expected {expected}, found {found}")
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        headers = {"Modules/A/X.h": "#pragma once\nstruct One {\n};\nstruct Other;\n", "Modules/B/Y.h": "#pragma once\nclass One final {\n};\n",
                   "Modules/C/Z.h": "#pragma once\nstruct Other {\n};\nstruct One;\n"}
        for name, text in headers.items():
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_text(text, encoding="utf-8")
        found = list(check_code(root, [root / name for name in headers]))
    if [f[:2] for f in found] != [("one-name", "Modules/B/Y.h")]:
        failures += 1
        print(f"type names: {found}")
    stale = unexcused([], [("juce", "Modules/Run/A.cpp", "reason")], CODE_RULES)
    excused = unexcused([("juce", "A", "line")], [("juce", "A", "reason")], CODE_RULES)
    if len(stale) != 1 or excused:
        failures += 1
        print(f"exceptions: {stale} {excused}")
    print(f"{len(CASES) + 2 - failures} of {len(CASES) + 2} cases are judged as they should be")
    return 1 if failures else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--root", type=pathlib.Path)
    parser.add_argument("--only", choices=["code", "text"])
    parser.add_argument("--self-test", action="store_true")
    options = parser.parse_args()
    if options.self_test:
        return self_test()
    files = tree_files(options.root)
    lines = []
    if options.only != "text":
        lines += unexcused(check_code(options.root, files), EXCEPTIONS, CODE_RULES)
    if options.only != "code":
        lines += unexcused(check_text(options.root, files), EXCEPTIONS, TEXT_RULES)
    for line in lines:
        print(line)
    print(f"{len(files)} files read, {len(lines)} findings")
    return 1 if lines else 0


if __name__ == "__main__":
    sys.exit(main())
