// Makes the small invented run that Datasets/runs/ keeps one of for each version of the format:
//
//   MakeRunFixture FILE.h5
//   MakeRunFixture --under-way FILE.h5     makes the folder FILE.h5.part of a run under way
//
// Files of earlier versions stay as they are and are opened by the tests for ever; this program makes one of
// the present version.
#include "Run/InventedCaptures.h"
#include "Run/InventedRun.h"
#include "Text/Error.h"

#include <iostream>
#include <string>

namespace {

void makeRunUnderWay(const std::string& path) {
    using namespace volvelle;
    const auto run = CapturesUnderWay::begin(path, testing::inventedHead(), diskFiles());
    for (const testing::Step& step : testing::inventedSteps(5)) testing::carryOut(step, *run);
}

}  // namespace

int main(int argc, char** argv) {
    const bool underWay = argc == 3 && std::string(argv[1]) == "--under-way";
    if (argc != 2 && !underWay) {
        std::cerr << "usage: MakeRunFixture [--under-way] FILE.h5\n";
        return 2;
    }
    try {
        if (underWay)
            makeRunUnderWay(argv[2]);
        else
            volvelle::testing::writeInvented(volvelle::diskFiles(), argv[1], volvelle::testing::inventedRun());
        return 0;
    } catch (const volvelle::Error& error) {
        std::cerr << error.what() << '\n';
        return volvelle::exitCode(error.kind());
    }
}
