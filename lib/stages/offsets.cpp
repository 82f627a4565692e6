#include "stages/offsets.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "report/words.h"

namespace deckmark {

namespace {

/// The marks that ties go out from, in the order of the key.
std::vector<FromMark> find_from(const OffsetsStated& stated, const FoundBy& by, Messages& told) {
  std::vector<FromMark> out;
  for (const std::string& name : stated.offsets.from.value_or({})) {
    if (auto mark = find_mark(by, name))
      out.push_back(std::move(*mark));
    else
      told.problem(stated.offsets.from.at, "offsets.from",
                   Fault{in_quotes(name), std::string(kFoundMarks), ""});
  }
  if (!told.has_problems() && out.size() == 2 && distance(out[0].at, out[1].at) <= kHair)
    told.problem(stated.offsets.from.at, "offsets.from",
                 Fault{fmt::format("{} and {} at one place", out[0].name, out[1].name),
                       "two marks apart from each other", ""});
  return out;
}

/// Corners stay where they are once marks were laid out from their strings: a doubt in place of the moves.
void keep_corners(const OffsetsStated& stated, CornersFound& corners, Messages& told) {
  if (corners.moves.empty() || stated.marks_made == 0) return;
  corners.moves.clear();
  const std::string made = stated.marks_made == 1
                               ? "1 mark on the floor was"
                               : fmt::format("{} marks on the floor were", stated.marks_made);
  corners.instead = fmt::format("Move no corner: {} laid out from these strings.", made);
  told.doubt(
      "corners that marks were laid out from", stated.offsets.strings.at, "offsets.strings",
      fmt::format("the tape says that corner marks stand off, and {} laid out from their strings: leave "
                  "the corners; check these marks against the lengths, or void them all and begin anew",
                  made));
}

/// One doubt, however many there are: they would bury what else is told.
void doubt_flat_ties(const OffsetsFound& found, const LaidOut& laid, Messages& told) {
  if (found.swing_from.empty()) return;
  const auto is_one_of_both = [&](std::size_t m) {  // no arcs cross there
    return std::ranges::any_of(found.swing_from,
                               [&](const FromMark& f) { return same_name(f.name, laid.marks->names[m]); });
  };
  std::size_t flat = 0, flattest = 0;
  Angle least = Angle::degrees(180);
  for (std::size_t m = 0; m < laid.marks.size(); ++m) {
    const SwingTie t = *swing_tie_of(found, laid.placed, m);
    if (!t.weak || is_one_of_both(m)) continue;
    ++flat;
    if (t.crossing < least) least = t.crossing, flattest = m;
  }
  if (flat == 0) return;
  const std::string arcs = fmt::format("the arcs from {} and {} cross", found.swing_from[0].name,
                                       found.swing_from[1].name),
                    use = found.strings ? "the strings" : "X and Y";
  const std::string_view name = laid.marks->names[flattest];
  told.doubt("swing ties that cross flat", laid.marks.where(flattest), laid.marks.field(flattest),
             flat == 1
                 ? fmt::format("{}: {} at {} degrees, under 30 (common practice, no source): use {}, or "
                               "other marks",
                               name, arcs, degrees_words(least), use)
                 : fmt::format("{} marks: {} under 30 degrees (common practice, no source), at {} "
                               "with {} flattest: there use {}, or other marks",
                               flat, arcs, name, degrees_words(least), use));
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

std::optional<StringDistances> from_strings(const OffsetsFound& found, const Placed& placed,
                                            std::size_t mark) {
  if (!found.strings) return std::nullopt;
  return found.strings->lines.of(placed.marks[mark]);
}

StringDistances from_strings_or_baselines(const OffsetsFound& found, const LaidOut& laid, std::size_t mark) {
  if (const auto strings = from_strings(found, laid.placed, mark)) return *strings;
  const double scale = laid.placed.fit.site_from_drawing.parts().scale;
  const auto& at = laid.marks->places[mark].at;
  return {scale * at.x, scale * at.y};
}

Staged<OffsetsFound> look_at_offsets(const OffsetsStated& stated, const LaidOut& laid,
                                     const Checked* checked) {
  const OffsetJob& job = stated.offsets;
  if (!job.wanted) return Staged<OffsetsFound>::absent();
  Messages told;
  FoundBy by{stated.baselines, stated.control, laid};
  std::optional<LengthFigure> figure;
  if (from_strings_alone(job, laid.placed.by)) figure = figure_of_strings(*job.strings, checked);
  if (figure) by.net = &checked->net, by.figure = &*figure;
  OffsetsFound found{find_from(stated, by, told)};
  const bool three = job.strings && job.strings->size() == 3;
  if (three) found.strings = find_strings(job.strings, by, checked, told);
  // A number of marks that is wrong was told where the key was read.
  const bool miscounted = found.swing_from.size() == 1 || (job.strings && !three);
  if (told.has_problems() || miscounted) return Staged<OffsetsFound>::spoiled(std::move(told));
  if (found.strings) {
    found.corners = find_corner_moves(*found.strings, by, checked);
    keep_corners(stated, found.corners, told);
  }
  if (shows_scale(job, laid.marks, laid.placed))
    told.doubt("an offset sheet under a freed scale", stated.job, "offsets",
               "the sheet gives X, Y and running distances of the drawing; with the freed scale the tape "
               "shows others on site: use the swing ties");
  doubt_flat_ties(found, laid, told);
  return Staged<OffsetsFound>::found(std::move(found), std::move(told));
}

}  // namespace deckmark
