// Replays a fuzz entry point: every file of a folder, then mutations of them drawn from a seed.
//
//   FuzzNAME FOLDER MUTATIONS SEED SCRATCH
//
// The input under way lies in SCRATCH while it runs, so that one that ends the process is there to look at,
// and to be added to Datasets. An exception that leaves the entry point is a failure.
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <limits>
#include <random>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

namespace fs = std::filesystem;
using Bytes = std::vector<std::uint8_t>;

constexpr std::size_t largestInput = 1 << 20;

struct Options {
    fs::path corpus, scratch;
    int mutations, seed;
};

Bytes contentOf(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return Bytes(std::istreambuf_iterator<char>(in), {});
}

void keep(const Bytes& input, const fs::path& file) {
    std::ofstream out(file, std::ios::binary | std::ios::trunc);
    out.write(reinterpret_cast<const char*>(input.data()), static_cast<std::streamsize>(input.size()));
}

/// Runs one input from memory of exactly its size, so that a sanitizer sees a read beyond it.
bool survives(const Bytes& input, const fs::path& underWay, const std::string& name) {
    keep(input, underWay);
    const Bytes exact(input.begin(), input.end());
    std::string problem;
    try {
        if (LLVMFuzzerTestOneInput(exact.data(), exact.size()) == 0) return true;
        problem = "did not return 0";
    } catch (const std::exception& e) {
        problem = fmt::format("threw: {}", e.what());
    } catch (...) {
        problem = "threw something that is no std::exception";
    }
    const fs::path kept = underWay.parent_path() / (name + ".failed");
    keep(input, kept);
    std::cout << fmt::format("{} {}\n  the input is kept in {}\n", name, problem, kept.string());
    return false;
}

/// Draws mutations. std::mt19937_64 gives the same numbers everywhere; the distributions of the library do
/// not, so none is used.
class Mutator {
public:
    explicit Mutator(std::uint64_t seed) : random_(seed) {}

    std::size_t below(std::size_t n) { return n == 0 ? 0 : static_cast<std::size_t>(random_() % n); }

    Bytes mutated(const std::vector<Bytes>& corpus) {
        Bytes input = corpus[below(corpus.size())];
        for (std::size_t times = 1 + below(4); times > 0; --times)
            change(input, corpus[below(corpus.size())]);
        if (input.size() > largestInput) input.resize(largestInput);
        return input;
    }

private:
    std::uint8_t byte() { return static_cast<std::uint8_t>(random_()); }

    void change(Bytes& input, const Bytes& other) {
        switch (below(8)) {
            case 0:
                return flipBit(input);
            case 1:
                return replaceByte(input);
            case 2:
                return insertBytes(input);
            case 3:
                return removeRange(input);
            case 4:
                return repeatRange(input);
            case 5:
                return splice(input, other);
            case 6:
                return insertToken(input);
            default:
                return shorten(input);
        }
    }

    void flipBit(Bytes& input) {
        if (!input.empty()) input[below(input.size())] ^= static_cast<std::uint8_t>(1U << below(8));
    }

    void replaceByte(Bytes& input) {
        if (!input.empty()) input[below(input.size())] = byte();
    }

    void insertBytes(Bytes& input) {
        Bytes fresh(1 + below(8));
        std::ranges::generate(fresh, [this] { return byte(); });
        insert(input, fresh);
    }

    void removeRange(Bytes& input) {
        const auto [from, to] = range(input);
        input.erase(at(input, from), at(input, to));
    }

    void repeatRange(Bytes& input) {
        const auto [from, to] = range(input);
        insert(input, Bytes(at(input, from), at(input, to)));
    }

    void splice(Bytes& input, const Bytes& other) {
        const auto [from, to] = range(other);
        insert(input, Bytes(other.begin() + static_cast<std::ptrdiff_t>(from),
                            other.begin() + static_cast<std::ptrdiff_t>(to)));
    }

    void insertToken(Bytes& input) {
        static constexpr std::string_view tokens[] = {
            "nan",  "inf",  "-inf",    "1e309", "-0",   "1e-400", "0x10",         "9223372036854775808",
            ",",    ";",    "\"",      "\"\"",  "\r\n", "\n",     "\xEF\xBB\xBF", "\t",
            "#",    "{",    "}",       "[",     "]",    ":",      "//",           "/*",
            "null", "true", "\\u0000", "-",     ".",    "\xC3",   "\xFF"};
        const std::string_view token = tokens[below(std::size(tokens))];
        insert(input, Bytes(token.begin(), token.end()));
    }

    void shorten(Bytes& input) { input.resize(below(input.size() + 1)); }

    void insert(Bytes& input, const Bytes& fresh) {
        input.insert(at(input, below(input.size() + 1)), fresh.begin(), fresh.end());
    }

    std::pair<std::size_t, std::size_t> range(const Bytes& input) {
        const std::size_t from = below(input.size() + 1);
        return {from, from + below(input.size() - from + 1)};
    }

    static Bytes::iterator at(Bytes& input, std::size_t index) {
        return input.begin() + static_cast<std::ptrdiff_t>(index);
    }

    std::mt19937_64 random_;
};

std::vector<fs::path> filesOf(const fs::path& folder) {
    std::vector<fs::path> files;
    if (fs::is_directory(folder))
        for (const auto& entry : fs::recursive_directory_iterator(folder))
            if (entry.is_regular_file()) files.push_back(entry.path());
    std::ranges::sort(files);
    return files;
}

int replay(const Options& options) {
    const std::vector<fs::path> files = filesOf(options.corpus);
    if (files.empty()) {
        std::cout << fmt::format("{} holds no inputs: nothing to replay\n", options.corpus.string());
        return 1;
    }
    fs::create_directories(options.scratch);
    const fs::path underWay = options.scratch / "input-under-way";

    int failures = 0;
    std::vector<Bytes> corpus{Bytes{}};
    for (const fs::path& file : files) {
        corpus.push_back(contentOf(file));
        failures += survives(corpus.back(), underWay, file.filename().string()) ? 0 : 1;
    }
    failures += survives({}, underWay, "empty-input") ? 0 : 1;

    std::cout << fmt::format("{} inputs replayed; {} mutations from seed {}\n", files.size(),
                             options.mutations, options.seed)
              << std::flush;
    Mutator mutator(static_cast<std::uint64_t>(options.seed));
    for (int i = 0; i < options.mutations && failures < 10; ++i)
        failures +=
            survives(mutator.mutated(corpus), underWay, fmt::format("mutation-{}-{}", options.seed, i)) ? 0
                                                                                                        : 1;
    if (failures == 0) fs::remove(underWay);
    std::cout << fmt::format("{} failures\n", failures);
    return failures == 0 ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    const std::vector<std::string> arguments(argv, argv + argc);
    if (arguments.size() != 5) {
        std::cerr << "usage: " << arguments[0] << " FOLDER MUTATIONS SEED SCRATCH\n";
        return 2;
    }
    try {
        constexpr int largest = std::numeric_limits<int>::max();
        const auto number = [&](std::size_t index, const char* name) {
            return volvelle::requireWholeNumber(arguments[index], 0, largest,
                                                {volvelle::ErrorKind::usage, arguments[0], name});
        };
        return replay({arguments[1], arguments[4], number(2, "MUTATIONS"), number(3, "SEED")});
    } catch (const std::exception& e) {
        std::cerr << e.what() << '\n';
        return 2;
    }
}
