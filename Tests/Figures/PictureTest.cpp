#include "Figures/Figure.h"
#include "Figures/InventedFamily.h"
#include "Figures/InventedPlates.h"

#include <cairo.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace volvelle {
namespace {

/// Red, green and blue of every pixel, 0 ... 1, row after row.
struct Picture {
    std::size_t columns = 0, rows = 0;
    std::vector<double> values;
};

Picture decoded(const std::vector<std::byte>& png) {
    struct Source {
        const std::vector<std::byte>& bytes;
        std::size_t at = 0;
    } source{png};
    const auto read = [](void* closure, unsigned char* out, unsigned int length) {
        auto& s = *static_cast<Source*>(closure);
        if (s.at + length > s.bytes.size()) return CAIRO_STATUS_READ_ERROR;
        std::memcpy(out, s.bytes.data() + s.at, length);
        s.at += length;
        return CAIRO_STATUS_SUCCESS;
    };
    cairo_surface_t* surface = cairo_image_surface_create_from_png_stream(read, &source);
    Picture p;
    if (cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
        p.columns = static_cast<std::size_t>(cairo_image_surface_get_width(surface));
        p.rows = static_cast<std::size_t>(cairo_image_surface_get_height(surface));
        const unsigned char* data = cairo_image_surface_get_data(surface);
        const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
        for (std::size_t r = 0; r < p.rows; ++r) {
            for (std::size_t c = 0; c < p.columns; ++c) {
                for (std::size_t k = 0; k < 3; ++k)
                    p.values.push_back(data[r * stride + 4 * c + 2 - k] / 255.0);
            }
        }
    }
    cairo_surface_destroy(surface);
    return p;
}

struct Difference {
    double rms = 1, block = 1;
};

/// rms: root of the mean square over all pixels and colours. block: largest difference of the means of two
/// fields of 16 · 16 pixels.
Difference difference(const Picture& a, const Picture& b) {
    if (a.columns != b.columns || a.rows != b.rows || a.values.empty()) return {};
    double sum = 0, worst = 0;
    for (std::size_t i = 0; i < a.values.size(); ++i) sum += std::pow(a.values[i] - b.values[i], 2);
    for (std::size_t top = 0; top < a.rows; top += 16) {
        for (std::size_t left = 0; left < a.columns; left += 16) {
            for (std::size_t k = 0; k < 3; ++k) {
                double field = 0;
                for (std::size_t r = top; r < std::min(top + 16, a.rows); ++r) {
                    for (std::size_t c = left; c < std::min(left + 16, a.columns); ++c) {
                        const std::size_t i = 3 * (r * a.columns + c) + k;
                        field += (a.values[i] - b.values[i]) / 256;
                    }
                }
                worst = std::max(worst, std::abs(field));
            }
        }
    }
    return {std::sqrt(sum / static_cast<double>(a.values.size())), worst};
}

// Two builds of the drawing and letter libraries blur the rims of letters and lines differently, each pixel
// by up to a tenth or so, but put the same ink on the paper: means of fields agree. A curve that is half a
// decibel off, or a label that is gone, changes the mean of some field by more; the test below holds the
// comparison itself to that.
constexpr double rmsLimit = 0.02, blockLimit = 0.02;

bool alike(const Difference& d) {
    return d.rms < rmsLimit && d.block < blockLimit;
}

std::vector<std::byte> smallPicture(const Family& family, FigureKind kind) {
    FigureOptions options;
    options.scale = 0.625;
    return asPng(family, kind, options);
}

std::vector<std::byte> fileBytes(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    const auto* begin = reinterpret_cast<const std::byte*>(text.data());
    return {begin, begin + text.size()};
}

void writeBytes(const std::string& path, const std::vector<std::byte>& bytes) {
    std::ofstream out(path, std::ios::binary);
    out.write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
}

/// VOLVELLE_WRITE_PICTURES=1 in the environment makes the stored pictures anew; look at them before you keep
/// them.
void expectStored(const std::vector<std::byte>& drawn, const std::string& name) {
    const std::string stored = std::string(VOLVELLE_DATASETS) + "/pictures/" + name + ".png";
    if (std::getenv("VOLVELLE_WRITE_PICTURES") != nullptr) writeBytes(stored, drawn);
    const Difference d = difference(decoded(fileBytes(stored)), decoded(drawn));
    if (alike(d)) return;
    const std::string failing = (std::filesystem::current_path() / ("failing-" + name + ".png")).string();
    writeBytes(failing, drawn);
    ADD_FAILURE() << name << " differs from " << stored << " (r.m.s. " << d.rms << ", field " << d.block
                  << "); drawn now: " << failing;
}

TEST(Picture, everyKindLooksAsItDid) {
    for (const FigureKind kind : figureKinds())
        expectStored(smallPicture(inventedFamily(), kind), figureKindName(kind));
}

TEST(Picture, aFamilyOfWhichNothingIsKnownLooksAsItDid) {
    expectStored(smallPicture(emptyFamily(), FigureKind::family), "family-empty");
    expectStored(smallPicture(emptyFamily(), FigureKind::map), "map-empty");
}

TEST(Picture, platesOfRunsAndSectionsLookAsTheyDid) {
    const PictureSize small{0, 0, 0.625};
    expectStored(asPng(inventedOverlay(6, 2), small), "overlay");
    expectStored(asPng(inventedSections(4), small), "sections");
    expectStored(asPng(inventedInteraction(), small), "interaction");
}

TEST(PictureComparison, seesACurveMovedByHalfADecibelAndALabelThatIsGone) {
    const Picture whole = decoded(smallPicture(inventedFamily(), FigureKind::family));
    Family moved = inventedFamily(), renamed = inventedFamily(), mirrored = inventedFamily();
    for (double& v : moved.curves[0].levelDb) v += 0.5;
    renamed.curves[8].title = " ";
    std::reverse(mirrored.vertical.levelDb.begin(), mirrored.vertical.levelDb.end() - 1);
    EXPECT_TRUE(alike(difference(whole, whole)));
    EXPECT_FALSE(alike(difference(whole, decoded(smallPicture(moved, FigureKind::family)))));
    EXPECT_FALSE(alike(difference(whole, decoded(smallPicture(renamed, FigureKind::family)))));
    const Picture polar = decoded(smallPicture(inventedFamily(), FigureKind::polar));
    EXPECT_FALSE(alike(difference(polar, decoded(smallPicture(mirrored, FigureKind::polar)))));
}

TEST(PictureComparison, overlooksRimsThatAreBlurredAnotherWay) {
    Picture p = decoded(smallPicture(inventedFamily(), FigureKind::family)), blurred = p;
    for (std::size_t r = 0; r < p.rows;
         ++r) {  // a twelfth of every pixel's difference moves to its neighbour
        for (std::size_t c = 1; c < p.columns; ++c) {
            for (std::size_t k = 0; k < 3; ++k) {
                const std::size_t i = 3 * (r * p.columns + c) + k;
                blurred.values[i] += (p.values[i - 3] - p.values[i]) / 12;
            }
        }
    }
    EXPECT_TRUE(alike(difference(p, blurred)))
        << difference(p, blurred).rms << ' ' << difference(p, blurred).block;
}

}  // namespace
}  // namespace volvelle
