#pragma once

#include "Run/Plan.h"

#include <cmath>
#include <cstdint>
#include <random>
#include <string>

namespace volvelle {

/// Fails for every field that differs, so that a field left out on the way is found.
void expectEqual(const Plan& a, const Plan& b);

/// Draws plans with any part stated or not.
class PlanSource {
public:
    explicit PlanSource(std::uint64_t seed) : random_(seed) {}

    Plan next();

private:
    bool maybe() { return random_() % 2 == 0; }
    double number(double low, double high) {
        return low + (high - low) * static_cast<double>(random_() >> 11) * 0x1p-53;
    }
    double maybeNumber(double low, double high) { return maybe() ? number(low, high) : std::nan(""); }
    int whole(int low, int high) {
        return low + static_cast<int>(random_() % static_cast<unsigned>(high - low + 1));
    }
    std::string maybeText();
    void addSections(Plan& p);
    void addDrives(Plan& p);
    void addConduct(Plan& p);

    std::mt19937_64 random_;
};

}  // namespace volvelle
