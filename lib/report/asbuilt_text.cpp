#include "report/asbuilt_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kWorstTold = 20, kRunsTold = 8, kNamesTold = 8;

std::string signed_short(Length value, LengthUnit unit) {
  const std::string text = short_length(value, unit);
  return text.front() == '-' || text.find_first_not_of("0.") == std::string::npos ? text : "+" + text;
}
std::string rows_text(const AsbuiltPage& page) {
  const std::string_view u = short_unit(page.unit);
  std::string text = fmt::format(
      "\n  {:>9} {} {} {:>7} {:>7} {:>7} {:>7} {:>4}  {}\n", "no.", column("point", 10), column("on", 7),
      fmt::format("dx {}", u), fmt::format("dy {}", u), "offset", fmt::format("up {}", u), "sure", "verdict");
  const std::vector<std::size_t> order = worst_first(page);
  for (std::size_t k = 0; k < order.size() && k < kWorstTold; ++k) {
    const AsbuiltLine& l = page.lines[order[k]];
    const AsbuiltRow& r = *l.row;
    text += fmt::format("  {:>9} {} {} {:>7} {:>7} {:>7} {:>7} {:>4}  {}\n", l.number, column(l.point, 10),
                        column(level_word(r.level), 7), short_length(r.off.by.x, page.unit),
                        short_length(r.off.by.y, page.unit), short_length(r.offset, page.unit),
                        r.up ? short_length(*r.up, page.unit) : "-", sure_words(r) + "%",
                        asbuilt_verdict_words(r));
  }
  if (order.size() > kWorstTold)
    text += fmt::format("  worst first; {} more in asbuilt.csv\n", order.size() - kWorstTold);
  return text +
         "  dx, dy: as built minus design along +X, +Y. sure: chance that the true place\n  is within the "
         "tolerance, from the sds.\n";
}

std::string quality_text(const AsbuiltPage& page) {
  Length sd = Length::metres(0);
  for (const LevelStatistics& s : page.levels) sd = std::max(sd, s.largest_sd);
  const std::string_view u = short_unit(page.unit);
  std::string text =
      fmt::format("  permitted in plan: {} {}, {} acceptance", short_length(page.options.plan, page.unit), u,
                  page.options.guarded ? "guarded" : "simple");
  if (page.options.guarded) text += " (unsure within 2 sd of the limit)";
  if (2.0 * sd > page.options.plan)
    return text + fmt::format(
                      "\n  this check is good to {} {} (95 %), more than the tolerance: in plan it decides\n "
                      " nothing\n",
                      short_length(2.0 * sd, page.unit), u);
  return text + fmt::format("\n  half the tolerance is {} {}, this check is good to {} {} (95 %)\n",
                            short_length(0.5 * page.options.plan, page.unit), u,
                            short_length(2.0 * sd, page.unit), u);
}

std::string level_text(const AsbuiltPage& page, const LevelStatistics& s) {
  const LengthUnit unit = page.unit;
  const std::string_view u = short_unit(unit);
  std::string text = fmt::format("\n  {}: {}, {} within, {} outside{}\n", level_word(s.level),
                                 plural(s.shots, "shot", "shots"), s.within, s.outside,
                                 s.unsure ? fmt::format(", {} unsure", s.unsure) : "");
  const auto axis = [&](std::string_view name, const AxisStatistics& a) {
    return fmt::format("    {} mean {} {}, sd {}, rms {}\n", column(name, 3), signed_short(a.bias, unit), u,
                       a.sd ? short_length(*a.sd, unit) : "-", short_length(a.rms, unit));
  };
  text += axis("X", s.x) + axis("Y", s.y);
  const AsbuiltLine& worst = page.lines[s.worst];
  const CountedWithin most = counted_within(page, s);
  text += fmt::format("    in plan rms {} {}; {} of {} within {} {}\n    worst in plan: {} ({}), {} {}\n",
                      short_length(s.rms_plan, unit), u, most.shots, plural(most.all, "shot", "shots"),
                      short_length(most.distance, unit), u, worst.number, worst.point,
                      short_length(worst.row->offset, unit), u);
  if (s.up) {
    text += axis("up", *s.up);
    if (s.heights > 0) {
      const AsbuiltLine& high = page.lines[s.worst_up];
      text += fmt::format(
          "    elevation: permitted {} {}, {} outside{}\n    worst in elevation: {} ({}), {} {}\n",
          short_length(s.level == AsbuiltLevel::deck ? page.flatness : page.options.elevation, unit), u,
          s.heights_outside, s.heights_unsure ? fmt::format(", {} unsure", s.heights_unsure) : "",
          high.number, high.point, signed_short(*high.row->up, unit), u);
    }
  }
  return text;
}

std::string runs_text(const AsbuiltPage& page) {
  if (!page.runs || (page.runs->spaces.empty() && page.runs->lines.empty())) return "";
  const std::string_view u = short_unit(page.unit);
  std::string text = "\n  ALONG THE RUNS\n";
  if (!page.runs->spaces.empty()) {
    const auto off = [](const NeighbourSpace& s) { return s.built - s.design; };
    const auto worst =
        std::ranges::max_element(page.runs->spaces, {}, [&](const NeighbourSpace& s) { return abs(off(s)); });
    text += folded("    ", "      ",
                   fmt::format("spacing of {}: worst {} to {}, {} {} {} than drawn",
                               plural(page.runs->spaces.size(), "pair of neighbours", "pairs of neighbours"),
                               page.lines[worst->first].number, page.lines[worst->second].number,
                               short_length(abs(off(*worst)), page.unit), u,
                               off(*worst) < Length::metres(0) ? "closer" : "wider"));
  }
  std::vector<const RunLine*> lines;
  for (const RunLine& l : page.runs->lines) lines.push_back(&l);
  std::stable_sort(lines.begin(), lines.end(),
                   [](const RunLine* a, const RunLine* b) { return abs(a->worst) > abs(b->worst) + kHair; });
  for (std::size_t k = 0; k < lines.size() && k < kRunsTold; ++k) {
    const RunLine& l = *lines[k];
    text += fmt::format("    run {} on the {}: {} stands {} {} out of the line of the others\n",
                        page.run_name(l.run), level_word(l.level), page.lines[l.worst_row].number,
                        short_length(abs(l.worst), page.unit), u);
  }
  if (lines.size() > kRunsTold)
    text += fmt::format("    {} more, straighter than these\n", lines.size() - kRunsTold);
  return text;
}

std::string lists_text(const AsbuiltPage& page) {
  std::string text;
  const auto list = [&](std::string_view what, const std::vector<std::string_view>& names) {
    if (!names.empty()) text += fmt::format("  {}: {}\n", what, some_names(names));
  };
  list(page.options.by_nearest ? "too far from every point" : "shots that are not in the drawing",
       page.unmatched);
  list("ambiguous, not judged", page.ambiguous);
  list("points without a shot", page.missing);
  list("shot more than once at one level", page.doubled);
  return text.empty() ? "" : "\n" + text;
}

}  // namespace

std::vector<std::size_t> worst_first(const AsbuiltPage& page) {
  std::vector<std::size_t> order(page.lines.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  const auto rank = [&](std::size_t i) {
    const AsbuiltRow& r = *page.lines[i].row;
    const Verdict v = r.height ? worse(r.plan, *r.height) : r.plan;
    return v == Verdict::outside ? 0 : v == Verdict::unsure ? 1 : 2;
  };
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (rank(a) != rank(b)) return rank(a) < rank(b);
    return page.lines[a].row->offset > page.lines[b].row->offset + kHair;
  });
  return order;
}

std::vector<std::string> common_error_texts(const AsbuiltPage& page) {
  std::size_t shared = 0, unstated = 0;
  std::string_view of;
  bool several = false;
  for (const AsbuiltLine& l : page.lines) {
    if (l.shot_from.empty() || l.marked_from.empty()) {
      ++unstated;
    } else if (l.shot_from == l.marked_from) {
      several = several || (shared > 0 && of != l.shot_from);
      ++shared, of = l.shot_from;
    }
  }
  std::vector<std::string> texts;
  if (shared > 0)
    texts.push_back(
        folded("  ", "  ",
               fmt::format(
                   "{} from the setup that set out the mark ({}{}): an error of that setup, its backsight or "
                   "its reflector moves mark and shot alike and cannot show here",
                   plural(shared, "shot is", "shots are"), of, several ? " among others" : "")));
  if (unstated > 0)
    texts.push_back(
        fmt::format("  {} of {} do not say from where they were marked and shot: an error that\n  both share "
                    "(setup, backsight, reflector) cannot show here\n",
                    unstated, plural(page.lines.size(), "shot", "shots")));
  return texts;
}

CountedWithin counted_within(const AsbuiltPage& page, const LevelStatistics& level) {
  // The next tenth of a millimetre, or hundredth of an inch, as `short_length` prints it.
  const double step = short_unit(page.unit) == "mm" ? 1e-4 : 0.0254 / 100;
  CountedWithin out{0, level.shots, Length::metres(std::ceil(level.most.metres() / step - 1e-6) * step)};
  for (const AsbuiltLine& l : page.lines)
    if (l.row->level == level.level && !is_own(*l.row) && l.row->offset <= out.distance + kHair) ++out.shots;
  return out;
}

std::string sure_words(const AsbuiltRow& row) {
  const double percent = std::round(100 * row.conforms);
  const bool is_known = row.sd <= Length::metres(0);  // without an sd it is one or the other
  if (percent >= 100) return is_known ? "100" : ">99";
  if (percent <= 0) return is_known ? "0" : "<1";
  return fixed(percent, 0);
}

std::string other_floor_words(const OtherFloor& f, LengthUnit unit) {
  std::string text = fmt::format("{} of {} on the {} read {} too {}", f.off, plural(f.known, "shot", "shots"),
                                 level_word(f.level), length_words(abs(f.up), unit),
                                 f.up < Length::metres(0) ? "low" : "high");
  text += f.datum ? fmt::format(", as far as a datum line {} above the floor: measured to the datum line?",
                                length_words(*f.datum, unit))
                  : ": another floor, another height datum, or a target height that was not keyed";
  if (f.aside > f.off)
    text += fmt::format(" ({} without a known height beside them)", plural(f.aside - f.off, "shot", "shots"));
  return text;
}

std::string other_floor_cure(const OtherFloor& f, LengthUnit unit) {
  if (f.datum)
    return fmt::format("the elevations of the {} itself, {} {}", level_word(f.level),
                       length_words(*f.datum, unit), f.up < Length::metres(0) ? "more" : "less");
  return "the shots of this floor alone, or the elevation of the floor that they were taken on";
}

std::string not_judged_words(std::span<const OtherFloor> floors, LengthUnit unit) {
  std::string text;
  for (const OtherFloor& f : floors)
    text += fmt::format("{}{} on the {}, {} too {}", text.empty() ? "not judged: " : "; ",
                        plural(f.aside, "as-built shot", "as-built shots"), level_word(f.level),
                        length_words(abs(f.up), unit), f.up < Length::metres(0) ? "low" : "high");
  return text;
}

std::string asbuilt_verdict_words(const AsbuiltRow& r) {
  std::string verdict(verdict_word(r.plan));
  if (r.height && *r.height != Verdict::within && *r.height != Verdict::own)
    verdict = r.plan == Verdict::within ? fmt::format("{} up", verdict_word(*r.height)) : verdict + " +up";
  return verdict;
}

std::string some_names(std::span<const std::string_view> names) {
  const std::size_t told = std::min(names.size(), kNamesTold);
  std::string text =
      fmt::format("{}", fmt::join(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(told), ", "));
  if (names.size() > told) text += fmt::format(" and {} more", names.size() - told);
  return text;
}

std::string missing_words(std::span<const std::string_view> names) {
  return fmt::format("no shot of {}: {}", plural(names.size(), "point", "points"), some_names(names));
}

std::string own_words(std::size_t own) {
  return fmt::format("{} the crew's own reading{}: not a check",
                     own == 1 ? "1 is" : fmt::format("{} are", own), own == 1 ? "" : "s");
}

std::string asbuilt_text(const AsbuiltPage& page) {
  std::string text = fmt::format("AS-BUILT: {} against the design\n", plural(page.shots, "shot", "shots"));
  if (page.own > 0) text += fmt::format("  {}\n", own_words(page.own));
  for (const OtherFloor& f : page.other_floors)
    text += folded("  not judged: ", "    ", other_floor_words(f, page.unit));
  if (page.lines.empty())
    return text +
           (page.other_floors.empty() ? "  no shot meets a point of the drawing\n"
                                      : "  no shot is judged\n") +
           lists_text(page);
  for (const std::string& shared : common_error_texts(page)) text += shared;
  if (!page.levels.empty()) text += quality_text(page);
  text += rows_text(page);
  for (const LevelStatistics& s : page.levels) text += level_text(page, s);
  text += runs_text(page) + lists_text(page);
  if (!page.looked_for_causes) return text + "\n  likely causes: not looked for\n";
  text += "\n" + causes_text(page.causes, page.noise, page.lines.size(), page.tried, page.unit);
  if (!page.unplaced.empty())
    text += fmt::format(
        "  not looked for: reflector constant and backsight of {};\n  the job does not say where they stood "
        "([[setup]], or a control point)\n",
        some_names(page.unplaced));
  return text;
}

namespace {

/// The marks of these rows, `first` before the others, each once.
template <class Is>
std::vector<std::uint32_t> marks_where(std::span<const AsbuiltRow> rows, AsbuiltLevel level,
                                       const AsbuiltRow* first, Is is) {
  std::vector<std::uint32_t> out;
  if (first) out.push_back(first->mark);
  for (const AsbuiltRow& r : rows)
    if (r.level == level && is(r)) out.push_back(r.mark);
  const auto others = out.begin() + (first ? 1 : 0);
  std::sort(others, out.end());
  out.erase(std::unique(others, out.end()), out.end());
  if (first) out.erase(std::remove(out.begin() + 1, out.end(), first->mark), out.end());
  return out;
}

}  // namespace

AsbuiltStanding asbuilt_standing(std::span<const LevelStatistics> levels, std::span<const AsbuiltRow> rows,
                                 const std::function<std::string(const AsbuiltRow&)>& name,
                                 const AsbuiltOptions& options, Length flatness, LengthUnit unit) {
  AsbuiltStanding out;
  for (const LevelStatistics& s : levels) {
    const AsbuiltRow &worst = rows[s.worst], &high = rows[s.worst_up];
    const Length limit = s.level == AsbuiltLevel::deck ? flatness : options.elevation;
    if (s.outside > 0)
      out.outside.push_back(
          {fmt::format("{} of {} on the {} outside in plan, worst {} by {}, permitted {}", s.outside,
                       plural(s.shots, "as-built shot", "as-built shots"), level_word(s.level), name(worst),
                       length_words_beyond(worst.offset, options.plan, unit),
                       length_words(options.plan, unit)),
           marks_where(rows, s.level, &worst, [](const AsbuiltRow& r) { return r.plan == Verdict::outside; }),
           worst.shot});
    if (s.heights_outside > 0)
      out.outside.push_back(
          {fmt::format("{} of {} on the {} outside in elevation, worst {} by {}, permitted {}",
                       s.heights_outside, plural(s.heights, "as-built shot", "as-built shots"),
                       level_word(s.level), name(high), length_words_beyond(abs(*high.up), limit, unit),
                       length_words(limit, unit)),
           marks_where(rows, s.level, &high,
                       [](const AsbuiltRow& r) { return r.height == Verdict::outside; }),
           high.shot});
    if (options.guarded && s.unsure + s.heights_unsure > 0)
      out.outside.push_back(
          {fmt::format("{} on the {} unsure under guarded acceptance",
                       plural(s.unsure + s.heights_unsure, "as-built verdict is", "as-built verdicts are"),
                       level_word(s.level)),
           marks_where(rows, s.level, nullptr, [](const AsbuiltRow& r) {
             return r.plan == Verdict::unsure || r.height == Verdict::unsure;
           })});
  }
  return out;
}

}  // namespace deckmark
