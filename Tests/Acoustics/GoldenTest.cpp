#include "Acoustics/SphereField.h"
#include "Text/Number.h"

#include <gtest/gtest.h>

#include <fstream>
#include <map>

namespace volvelle {
namespace {

using Complex = std::complex<double>;

struct Row {
    double radius, distance, frequency;
    Cap first, second;
    Complex firstGain, secondGain;
    Direction where;
    Complex pressure;
};

std::vector<double> numbersOf(const std::string& line) {
    std::vector<double> numbers;
    for (std::size_t from = 0; from <= line.size();) {
        const std::size_t to = std::min(line.find(',', from), line.size());
        numbers.push_back(parseNumber(line.substr(from, to - from)).value());
        from = to + 1;
    }
    return numbers;
}

Row rowOf(const std::vector<double>& n) {
    return {n[2],
            n[3],
            n[4],
            {direction(n[5], n[6]), n[7]},
            {direction(n[10], n[11]), n[12]},
            {n[8], n[9]},
            {n[13], n[14]},
            direction(n[15], n[16]),
            {n[17], n[18]}};
}

std::map<int, std::vector<Row>> goldenCases() {
    std::ifstream file(VOLVELLE_DATASETS "/oracle/caps.csv");
    std::map<int, std::vector<Row>> cases;
    std::string line;
    while (std::getline(file, line)) {
        if (line.empty() || line[0] == '#' || line[0] == 'c') continue;
        const auto numbers = numbersOf(line);
        cases[static_cast<int>(numbers.at(0))].push_back(rowOf(numbers));
    }
    return cases;
}

// Datasets/oracle/caps.csv comes from scipy's Bessel functions and Legendre polynomials
// It leaves terms out below 3e-9 at 100 m.
// (Tests/Oracle/make_golden.py).
TEST(SphereField, AgreesWithTheGoldenPressuresOfScipy) {
    const auto cases = goldenCases();
    ASSERT_GE(cases.size(), 20u);
    constexpr double c = 343.2, rho = 1.2041;
    for (const auto& [number, rows] : cases) {
        double largest = 0;
        for (const Row& row : rows) largest = std::max(largest, std::abs(row.pressure));
        const SphereField field({rows[0].radius, c, rho}, {rows[0].frequency}, rows[0].distance);
        for (const Row& row : rows) {
            const Complex sum = row.firstGain * field.pressure(row.first, row.where)[0] +
                                row.secondGain * field.pressure(row.second, row.where)[0];
            EXPECT_LT(std::abs(sum / (rho * c) - row.pressure), 1e-8 * largest)
                << "case " << number << ' ' << positionName(row.where);
        }
    }
}

}  // namespace
}  // namespace volvelle
