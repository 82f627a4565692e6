#include "pages/heights_part.h"

#include <fmt/format.h>

#include <cmath>
#include <set>

#include "report/words.h"
#include "stages/heights_words.h"

namespace deckmark {

namespace {

void add_closures(const HeightsFound& found, HeightsPage& page) {
  for (const HeightLine& l : found.result.lines)
    page.closures.push_back({line_words(found, l), l.closure, l.limit, l.is_within()});
  for (const PlaneClosure& p : found.result.planes)
    page.closures.push_back({plane_words(found, p), p.closure, p.limit, p.is_within()});
  for (const HousingTilt& t : found.result.tilts) {
    const LaserReading& r = found.readings.laser[t.straight];
    page.tilts.push_back({fmt::format("laser {} at {}", found.lasers[r.laser], found.targets[r.target].name),
                          r.distance * std::tan(std::abs(t.tilt.degrees()) * std::acos(-1.0) / 180),
                          r.distance});
  }
}

}  // namespace

HeightsPage heights_page(const JobHead& head, const HeightsStated& stated, const HeightsFound& found,
                         const Numbers* numbers, const BracketsJudged* brackets,
                         const AsbuiltOptions& options, const JobMarks* marks) {
  HeightsPage page;
  page.unit = head.site_unit;
  page.small = small_unit(head.site_unit, head.drawing_unit);
  page.benchmarks = found.readings.benchmarks.size();
  page.spare = found.result.spare;
  add_closures(found, page);
  for (std::size_t l = 0; l < found.lasers.size(); ++l)
    if (const auto& plane = found.result.beams[l]) page.planes.push_back({found.lasers[l], *plane});
  page.datum = stated.datum_line();
  page.datum_height = stated.datum;
  for (std::size_t t = 0; t < found.targets.size(); ++t) {
    const HeightTarget& target = found.targets[t];
    const TargetHeight& height = found.result.targets[t];
    HeightLineOf line{.point = target.name, .elevation = *height.elevation, .sd = height.sd};
    if (target.mark && numbers) line.number = numbers->at(*target.mark, target.level == AsbuiltLevel::deck);
    if (target.level) line.level = level_word(*target.level);
    page.heights.push_back(line);
  }
  page.bracket_limit = options.elevation;
  if (brackets && numbers && marks)
    for (const BracketRow& b : brackets->rows)
      page.brackets.push_back({numbers->of(b.mark), (*marks)->names[b.mark], b.up, b.sd, b.verdict});
  return page;
}

}  // namespace deckmark
