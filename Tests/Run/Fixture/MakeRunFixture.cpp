// Makes the small invented run that Datasets/runs/ keeps one of for each version of the format:
//
//   MakeRunFixture FILE.h5
//
// Files of earlier versions stay as they are and are opened by the tests for ever; this program makes one of
// the present version.
#include "Run/InventedRun.h"
#include "Text/Error.h"

#include <iostream>

int main(int argc, char** argv) {
    if (argc != 2) {
        std::cerr << "usage: MakeRunFixture FILE.h5\n";
        return 2;
    }
    try {
        volvelle::testing::writeInvented(volvelle::diskFiles(), argv[1], volvelle::testing::inventedRun());
        return 0;
    } catch (const volvelle::Error& error) {
        std::cerr << error.what() << '\n';
        return volvelle::exitCode(error.kind());
    }
}
