#include "pages/parts.h"
#include "report/ground_text.h"

namespace deckmark {

namespace {

/// The mark farthest from the base, and what ignoring the factor would do there.
GroundFacts::Farthest farthest_facts(const GroundStated& stated, const LaidOut& laid, std::size_t mark) {
  const GroundJob& g = stated.ground;
  const Length away = distance(stated.control[g.base].at, laid.placed.marks[mark]);
  return {laid.numbers.of(mark), laid.marks->names[mark], away, away * (g.ground->combined_factor() - 1)};
}

}  // namespace

std::string ground_part(const JobHead& head, const GroundStated& stated, const GroundFound& found,
                        const LaidOut* laid, bool in_grid) {
  const GroundJob& g = stated.ground;
  if (!g.ground) return "";
  GroundFacts facts{g.system.get(),
                    g.ground->combined_factor(),
                    stated.control[g.base].name,
                    g.height,
                    {},
                    found.rows,
                    g.base,
                    {},
                    std::nullopt,
                    std::nullopt,
                    std::nullopt,
                    in_grid,
                    head.site_unit};
  if (laid) {
    const SimilarityParts& parts = laid->placed.fit.site_from_drawing.parts();
    facts.azimuth_x = parts.azimuth_x;
    facts.azimuth_y = parts.azimuth_x + Angle::degrees(parts.mirrored ? 90 : -90);
    if (found.placed) facts.farthest = farthest_facts(stated, *laid, found.farthest);
  }
  for (const ControlPoint& c : stated.control) facts.names.push_back(c.name);
  for (const auto& [from, to, check] : found.ways)
    facts.ways.push_back({from, to, check.ground, check.geodesic});
  return ground_text(facts);
}

}  // namespace deckmark
