#include "pages/asbuilt.h"

#include <algorithm>

namespace deckmark {

AsbuiltPage asbuilt_page(const AsbuiltStated& stated, const LaidOut& laid, const AsbuiltFound& found) {
  const AsbuiltShots& shots = stated.asbuilt.shots;
  const MarkTable& marks = *laid.marks;
  AsbuiltPage page{stated.asbuilt.options, stated.site_unit};
  page.flatness = stated.flatness;
  page.shots = shots.size();
  for (const AsbuiltRow& r : found.rows)
    page.lines.push_back({asbuilt_number(laid.numbers, r), marks.names[r.mark], &r, shots.setups[r.shot],
                          shots.marked_from[r.shot]});
  page.own = own_readings(found);
  page.levels = found.levels;
  page.runs = &found.runs;
  page.run_name = [&marks](std::uint32_t run) { return marks.runs.words()[run]; };
  for (const std::size_t i : found.unmatched) page.unmatched.push_back(shots.points[i]);
  for (const AsbuiltPair& p : found.ambiguous) page.ambiguous.push_back(shots.points[p.shot]);
  for (const std::uint32_t m : found.missing) page.missing.push_back(marks.names[m]);
  for (const auto& [first, later] : found.doubled) {
    const std::string_view name = marks.names[found.rows[later].mark];
    if (std::ranges::find(page.doubled, name) == page.doubled.end()) page.doubled.push_back(name);
  }
  page.other_floors = found.other_floors;
  page.causes = cause_lines(stated, laid, found);
  page.unplaced = found.unplaced;
  page.looked_for_causes = found.looked_for_causes;
  page.noise = found.causes.noise;
  page.tried = found.causes.tried;
  return page;
}

std::string asbuilt_part(const AsbuiltStated& stated, const LaidOut& laid, const AsbuiltFound& found) {
  return asbuilt_text(asbuilt_page(stated, laid, found));
}

}  // namespace deckmark
