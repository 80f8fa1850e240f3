#include "Figures/FamilyWords.h"
#include "Figures/Kinds.h"
#include "Figures/MapPanel.h"
#include "Figures/OrbitField.h"
#include "Figures/Plate.h"

#include <string>
#include <vector>

namespace volvelle {

namespace {

constexpr double leftRoom = 66, rightRoom = 84, gapBetween = 26, bottomRoom = 34, headRoom = 20;

const std::vector<ContourStyle>& contourStyles() {
    static const std::vector<ContourStyle> styles{{-3, {Palette::paper(), 1.3, {}}},
                                                  {-6, {Palette::paper(), 1.5, {5, 2.5}}},
                                                  {-12, {Palette::ink(), 1.4, {2.4, 2}}}};
    return styles;
}

void drawPanel(Canvas& canvas, const Family& family, const DirectivityMap& map, Orbit orbit,
               const MapPanel& p) {
    const OrbitField field(family.frequencyHz, map);
    std::string title = orbit == Orbit::horizontal ? "Horizontal orbit" : "Vertical orbit";
    const bool drawable = !field.empty() && family.frequencyHz.size() >= 2;
    if (drawable && field.reference() == OrbitField::Reference::largest)
        title += ", level re the largest (0\xC2\xB0 was not measured)";
    TextStyle head{9.5, Palette::ink(), Align::left, true, 0, false};
    canvas.text({p.plot.left, p.plot.top - 10}, title, head);
    if (drawable) {
        const auto rows = field.rows(mapRowStepDeg);
        drawMapField(canvas, p, field.frequencyHz(), rows, LevelColours::rgbAt);
        drawMapLines(canvas, p, drawnBand(family.validity.valid(), p.frequency));
        drawMapContours(canvas, p, field.frequencyHz(), rows, contourStyles());
    } else {
        drawGround(canvas, p.plot, p.frequency, drawnBand(family.validity.valid(), p.frequency));
        drawMapLines(canvas, p, {p.frequency.lowHz, p.frequency.highHz});
        sayInstead(canvas, p.plot, "No map of the " + orbitName(orbit) + " orbit",
                   family.frequencyHz.size() < 2 ? "The family has no frequencies."
                                                 : "None of its positions is in the run for this drive.");
    }
    drawMapAngles(canvas, p, field.measuredDeg(), orbit);
}

}  // namespace

void drawDirectivityMaps(const Family& family, Canvas& canvas) {
    const std::string statement =
        "Levels relative to the level on the axis, in steps of 3 dB (louder than the axis: from +1 dB); "
        "between "
        "the measured angles (ticks at the right rim) interpolated.";
    const Box content = drawPlate(canvas, wordsOf(family, FigureKind::map, {statement}), "Directivity map");
    const double left = content.left + leftRoom, right = content.right - rightRoom;
    const double height = (content.height() - 2 * headRoom - gapBetween - bottomRoom) / 2;
    const auto panelAt = [&](double top) { return MapPanel::at({left, top, right, top + height}); };
    const MapPanel upper = panelAt(content.top + headRoom),
                   lower = panelAt(content.top + 2 * headRoom + height + gapBetween);
    drawPanel(canvas, family, family.horizontal, Orbit::horizontal, upper);
    drawPanel(canvas, family, family.vertical, Orbit::vertical, lower);
    drawFrequencyLabels(canvas, upper.frequency, upper.plot.bottom, "");
    drawFrequencyLabels(canvas, lower.frequency, lower.plot.bottom, "Frequency, Hz");
    const double keyTop = upper.plot.top + 40, keyBottom = lower.plot.bottom - 40;
    drawMapKey(canvas, {right + 24, keyTop, right + 40, keyBottom}, LevelColours::edgesDb(), LevelColours::at,
               contourStyles(), "Level re axis, dB");
}

}  // namespace volvelle
