#include "pages/heights_part.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "report/words.h"
#include "stages/heights_words.h"

namespace deckmark {

namespace {

void add_closures(const HeightsStated& stated, const HeightsFound& found, HeightsPage& page) {
  for (const HeightLine& l : found.result.lines)
    if (!is_sight_beside(found, l))
      page.closures.push_back({line_words(found, l), l.closure, l.limit, l.is_within(),
                               l.closure ? "" : std::string(open_line_words(found, l))});
  for (const PlaneClosure& p : found.result.planes)
    page.closures.push_back({plane_words(found, p), p.closure, p.limit, p.is_within()});
  for (const HousingTilt& t : found.result.tilts) {
    const LaserReading& r = found.readings.laser[t.straight];
    page.tilts.push_back({fmt::format("laser {} at {}", found.lasers[r.laser], found.targets[r.target].name),
                          t.apart, t.limit, r.distance, t.is_within()});
  }
  for (const WrongHeight& w : found.wrong_to_tell())
    page.contradicted.push_back(wrong_height_words(stated, found, w));
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
  add_closures(stated, found, page);
  for (std::size_t l = 0; l < found.lasers.size(); ++l)
    if (const auto& plane = found.result.beams[l])
      page.planes.push_back({found.lasers[l], *plane, found.result.beam_is_contradicted[l]});
  page.datum = stated.datum_line();
  page.datum_height = stated.datum;
  for (std::size_t t = 0; t < found.targets.size(); ++t) {
    const HeightTarget& target = found.targets[t];
    const TargetHeight& height = found.result.targets[t];
    HeightLineOf line{.point = target.name,
                      .elevation = *height.elevation,
                      .sd = height.sd,
                      .is_contradicted = height.is_contradicted};
    if (target.mark && numbers) line.number = numbers->at(*target.mark, target.level == AsbuiltLevel::deck);
    if (target.level) line.level = level_word(*target.level);
    page.heights.push_back(line);
  }
  page.bracket_limit = options.elevation;
  if (brackets && numbers && marks)
    for (const BracketRow& b : brackets->rows)
      page.brackets.push_back({numbers->of(b.mark), (*marks)->names[b.mark], b.up, b.sd, b.verdict});
  std::ranges::stable_sort(page.brackets, [](const BracketLine& a, const BracketLine& b) {
    return std::pair(a.verdict == Verdict::within, abs(b.up)) <
           std::pair(b.verdict == Verdict::within, abs(a.up));
  });
  return page;
}

}  // namespace deckmark
