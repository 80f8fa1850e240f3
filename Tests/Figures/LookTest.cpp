#include "Figures/Figure.h"
#include "Figures/InventedFamily.h"
#include "Figures/InventedPlates.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

namespace volvelle {
namespace {

/// Writes every figure for the eye: into the folder that the environment variable VOLVELLE_LOOK names.
TEST(FiguresForTheEye, everyKindOfEveryInventedFamilyIsAPicture) {
    const char* folder = std::getenv("VOLVELLE_LOOK");
    Family rear = inventedFamily();
    rear.vertical = {};
    rear.curves[8].levelDb.assign(rear.frequencyHz.size(), std::nan(""));
    rear.curves[8].missing = "The positions vertical:10 to vertical:170 are not in the run for this drive.";
    rear.notes = {"Capture front/horizontal:50 is doubtful (clipped for 4 samples) and was used."};
    const std::pair<std::string, Family> families[] = {
        {"full", inventedFamily()},   {"part", rear},
        {"empty", emptyFamily()},     {"random3", randomFamily(3)},
        {"random5", randomFamily(5)}, {"random8", randomFamily(8)}};
    for (const auto& [name, family] : families) {
        for (const FigureKind kind : figureKinds()) {
            FigureOptions options;
            options.scale = 1.25;
            const auto png = asPng(family, kind, options);
            ASSERT_GT(png.size(), 8u);
            EXPECT_EQ(static_cast<int>(png[1]), 'P');
            if (folder == nullptr) continue;
            std::filesystem::create_directories(folder);
            std::ofstream out(std::string(folder) + "/" + name + "-" + figureKindName(kind) + ".png",
                              std::ios::binary);
            out.write(reinterpret_cast<const char*>(png.data()), static_cast<std::streamsize>(png.size()));
            std::ofstream svg(std::string(folder) + "/" + name + "-" + figureKindName(kind) + ".svg",
                              std::ios::binary);
            svg << asSvg(family, kind, {});
        }
    }
}

template <class Plate>
void look(const std::string& name, const Plate& plate) {
    const auto png = asPng(plate, {0, 0, 1.25});
    ASSERT_GT(png.size(), 8u);
    EXPECT_EQ(static_cast<int>(png[1]), 'P');
    const char* folder = std::getenv("VOLVELLE_LOOK");
    if (folder == nullptr) return;
    std::filesystem::create_directories(folder);
    std::ofstream out(std::string(folder) + "/" + name + ".png", std::ios::binary);
    out.write(reinterpret_cast<const char*>(png.data()), static_cast<std::streamsize>(png.size()));
    std::ofstream svg(std::string(folder) + "/" + name + ".svg", std::ios::binary);
    svg << asSvg(plate);
}

TEST(FiguresForTheEye, everyPlateIsAPicture) {
    for (const std::size_t runs : {2u, 3u, 6u}) {
        for (const std::size_t curves : {1u, 2u, 4u})
            look("overlay-" + std::to_string(runs) + "-" + std::to_string(curves),
                 inventedOverlay(runs, curves));
    }
    for (const std::size_t curves : {1u, 3u, 4u, 6u})
        look("sections-" + std::to_string(curves), inventedSections(curves));
    look("interaction", inventedInteraction());
    for (const std::uint64_t seed : {1u, 2u, 3u, 4u}) {
        look("overlay-random" + std::to_string(seed), randomOverlay(seed));
        look("sections-random" + std::to_string(seed), randomSections(seed));
        look("interaction-random" + std::to_string(seed), randomInteraction(seed));
    }
}

}  // namespace
}  // namespace volvelle
