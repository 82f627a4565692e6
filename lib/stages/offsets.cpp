#include "stages/offsets.h"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "report/words.h"

namespace deckmark {

namespace {

/// A tie as found, else a drawing point, else control.
std::optional<FromMark> from_mark(const OffsetsStated& stated, const LaidOut& laid, const std::string& name) {
  for (const NamedTie& t : stated.baselines.ties)
    if (same_name(t.name, name)) return FromMark{t.name, t.tie.at};
  if (const auto m = laid.marks.index->find(name))
    return FromMark{std::string(laid.marks->names[*m]), laid.placed.marks[*m]};
  for (const ControlPoint& c : stated.control)
    if (same_name(c.name, name)) return FromMark{c.name, c.at};
  return std::nullopt;
}

/// The marks that ties go out from, in the order of the key.
std::vector<FromMark> find_from(const OffsetsStated& stated, const LaidOut& laid, Messages& told) {
  std::vector<FromMark> out;
  for (const std::string& name : stated.offsets.from.value_or({})) {
    if (auto mark = from_mark(stated, laid, name))
      out.push_back(std::move(*mark));
    else
      told.problem(stated.offsets.from.at, "offsets.from",
                   Fault{in_quotes(name), "a mark of the ties table, a drawing point or control", ""});
  }
  if (!told.has_problems() && out.size() == 2 && distance(out[0].at, out[1].at) <= kHair)
    told.problem(stated.offsets.from.at, "offsets.from",
                 Fault{fmt::format("{} and {} at one place", out[0].name, out[1].name),
                       "two marks apart from each other", ""});
  return out;
}

void doubt_flat_ties(const OffsetsFound& found, const LaidOut& laid, Messages& told) {
  if (found.swing_from.empty()) return;
  for (std::size_t m = 0; m < laid.marks.size(); ++m)
    if (const SwingTie t = *swing_tie_of(found, laid.placed, m); t.weak)
      told.doubt("swing ties that cross flat", laid.marks.where(m), laid.marks.field(m),
                 fmt::format("{}: the arcs from {} and {} cross at {} degrees, under 30 (common practice, no "
                             "source): use X and Y, or other marks",
                             laid.marks->names[m], found.swing_from[0].name, found.swing_from[1].name,
                             degrees_words(t.crossing)));
}

}  // namespace

std::optional<SwingTie> swing_tie_of(const OffsetsFound& found, const Placed& placed, std::size_t mark) {
  if (found.swing_from.empty()) return std::nullopt;
  return swing_tie(found.swing_from[0].at, found.swing_from[1].at, placed.marks[mark]);
}

bool shows_scale(const OffsetJob& offsets, const JobMarks& marks, const Placed& placed) {
  const double scale = placed.fit.site_from_drawing.parts().scale;
  const auto corners = extent_corners(marks->places);
  return std::abs(scale - 1) * norm(corners[2] - corners[0]).metres() >
         0.5 * offset_step(offsets.options.form).metres();
}

Staged<OffsetsFound> look_at_offsets(const OffsetsStated& stated, const LaidOut& laid) {
  if (!stated.offsets.wanted) return Staged<OffsetsFound>::absent();
  Messages told;
  OffsetsFound found{find_from(stated, laid, told)};
  const bool one = found.swing_from.size() == 1;  // which was told where the key was read
  if (told.has_problems() || one) return Staged<OffsetsFound>::spoiled(std::move(told));
  if (shows_scale(stated.offsets, laid.marks, laid.placed))
    told.doubt("an offset sheet under a freed scale", stated.job, "offsets",
               "the sheet gives X, Y and running distances of the drawing; with the freed scale the tape "
               "shows others on site: use the swing ties");
  doubt_flat_ties(found, laid, told);
  return Staged<OffsetsFound>::found(std::move(found), std::move(told));
}

}  // namespace deckmark
