#include "report/instrument_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "measure/verdict.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// A place or a distance as an instrument shows it, without its unit.
std::string shown(Length value, LengthUnit unit) {
  const int decimals = unit == LengthUnit::millimetre   ? 0
                       : unit == LengthUnit::centimetre ? 1
                       : unit == LengthUnit::inch       ? 2
                                                        : 3;
  return fixed(in_unit(value, unit), decimals);
}
std::string height_words(Length rise, LengthUnit unit) {
  const std::string text = shown(abs(rise), unit);
  if (text.find_first_of("123456789") == std::string::npos) return "level with the axis";
  return fmt::format("{} {} the axis", text, rise < Length::metres(0) ? "below" : "above");
}

std::string place_text(const SetupPlace place, std::string_view mark) {
  switch (place) {
    case SetupPlace::known:
      return fmt::format("over {}", mark);
    case SetupPlace::free:
      return "free station";
    case SetupPlace::own:
      return "at its own coordinates";
  }
  return "";
}

std::string notation_words(std::optional<AngleNotation> notation) {
  if (!notation) return "degrees-minutes-seconds";
  switch (*notation) {
    case AngleNotation::degrees:
      return "decimal degrees";
    case AngleNotation::gon:
      return "gon";
    case AngleNotation::packed:
      return "DDD.MMSS";
  }
  return "";
}

/// What an observation is off by, in words, and the smallest error of it that would have shown.
struct OffWords {
  std::string off, finds;
};
OffWords off_words(const SightRow& r, Length reach, LengthUnit unit) {
  const auto along = [&](double amount) {
    return r.quantity == Quantity::circle ? Length::metres(amount * reach.metres()) : Length::metres(amount);
  };
  const Length off = r.quantity == Quantity::circle ? along(r.circle_residual.radians()) : r.length_residual;
  std::string_view more = "clockwise", less = "anticlockwise";
  if (r.quantity == Quantity::distance) more = "long", less = "short";
  if (r.quantity == Quantity::height) more = "high", less = "low";
  const std::string size = short_length(abs(off), unit);
  const bool nothing = size.find_first_of("123456789") == std::string::npos;
  return {nothing ? "nothing"
                  : fmt::format("{} {} {}", size, short_unit(unit), off < Length::metres(0) ? less : more),
          r.least_found ? short_length(along(*r.least_found), unit) : "-"};
}
std::string_view quantity_word(Quantity q) {
  return q == Quantity::circle ? "circle" : q == Quantity::distance ? "distance" : "height";
}

/// How far away the target of a sight is.
Length reach_of_sight(const SetupSheet& sheet, std::size_t sight) {
  const Sight& s = sheet.reduction->sights[sight];
  return s.horizontal.value_or(Length::metres(0));
}

std::string quality_lines(const SetupSheet& sheet, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  const std::string_view small = short_unit(unit);
  std::string text =
      fmt::format("  good to (95 %): place {} {}", short_length(radius95(r.plan_covariance()), unit), small);
  if (r.elevation_sd)
    text += fmt::format(", height {} {}", short_length(1.96 * *r.elevation_sd, unit), small);
  if (const auto sd = r.sd_orientation()) text += fmt::format(", orientation {}", turn_words(*sd * 1.96));
  const ErrorEllipse e = error_ellipse(r.plan_covariance());
  text += fmt::format("\n  error ellipse of the place (1 sd): {} by {} {}, long towards azimuth {}\n",
                      short_length(e.semi_major, unit), short_length(e.semi_minor, unit), small,
                      fixed(e.azimuth.degrees(), 0));
  if (r.degrees_of_freedom > 0)
    text += fmt::format("  {} more than needed, variance factor {}\n",
                        plural(r.degrees_of_freedom, "observation", "observations"),
                        fixed(r.variance_factor.value_or(0), 2));
  else
    text += "  nothing more than needed: NOT CHECKED by any other sight\n";
  return text;
}

std::string error_lines(const InstrumentErrors& e) {
  std::vector<std::string> parts;
  const auto add = [&](std::string_view what, const std::optional<Angle>& value,
                       const std::optional<Angle>& sd) {
    if (value && sd)
      parts.push_back(fmt::format("{} {}{} (sd {})", what, *value < Angle::degrees(0) ? "-" : "",
                                  turn_words(*value), turn_words(*sd)));
  };
  add("collimation", e.collimation, e.collimation_sd);
  add("tilting axis", e.trunnion, e.trunnion_sd);
  add("index", e.index, e.index_sd);
  if (parts.empty()) return "";
  return fmt::format("  errors of the instrument, taken out where two faces were read:\n    {}\n",
                     fmt::join(parts, ", "));
}

std::string row_lines(const SetupSheet& sheet, const SightNames& names, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  if (r.rows.empty()) return "";
  std::string text = fmt::format("\n  {} {} {} {:>8} {:>7} {:>7}  {}\n", column("sighted", 11),
                                 column("read", 8), column("off", 21), "times sd", "checked",
                                 fmt::format("finds {}", short_unit(unit)), "verdict");
  std::size_t last = static_cast<std::size_t>(-1);
  for (const SightRow& row : r.rows) {
    Length reach = reach_of_sight(sheet, row.sight);
    const OffWords words = off_words(row, reach, unit);
    text += fmt::format("  {} {} {} {:>8} {:>7} {:>7}  {}\n",
                        column(row.sight == last ? "" : names.sight(row.sight), 11),
                        column(quantity_word(row.quantity), 8), column(words.off, 21),
                        row.standardised ? fixed(std::fabs(*row.standardised), 1) : "-",
                        fixed(row.redundancy, 2), words.finds, verdict_word(row.verdict));
    last = row.sight;
  }
  return text +
         "  off: as read against the setup; clockwise seen from above, at the target.\n"
         "  checked: 0 where no other sight would show an error, up to 1.\n"
         "  finds: the smallest error of this reading that the others would show.\n";
}

/// A sentence in lines of 80 columns, with what begins the first and the others.
std::string wrapped_text(const std::string& text, std::string_view first, std::string_view next) {
  std::string out(first), line;
  std::size_t room = 80 - first.size();
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (!line.empty() && line.size() + 1 + word.size() > room) {
      out += line + "\n" + std::string(next);
      line.clear();
      room = 80 - next.size();
    }
    line += (line.empty() ? "" : " ") + word;
    at = end + 1;
  }
  return out + line + "\n";
}

std::string shot_lines(const SetupSheet& sheet, const SightNames& names, LengthUnit unit) {
  if (sheet.shots.empty()) return "";
  std::string text =
      fmt::format("\n  {} {:>14} {:>14} {:>10} {:>9}\n", column("side shot", 16),
                  fmt::format("northing {}", unit_word(unit)), fmt::format("easting {}", unit_word(unit)),
                  "elevation", fmt::format("good {}", short_unit(unit)));
  for (const SideShot& s : sheet.shots)
    text += fmt::format("  {} {:>14} {:>14} {:>10} {:>9}\n", column(names.sight(s.sight), 16),
                        shown(s.at.at.northing, unit), shown(s.at.at.easting, unit),
                        s.elevation ? shown(s.elevation->above_datum(), unit) : "-",
                        short_length(radius95(s.covariance), unit));
  return text;
}

std::string check_lines(const SetupSheet& sheet, LengthUnit unit) {
  if (sheet.checks.empty()) return "";
  std::string text = fmt::format("\n  marks of the list that were sighted, permitted {} {} in plan:\n",
                                 short_length(sheet.tolerance, unit), short_unit(unit));
  for (const CheckLine& c : sheet.checks)
    text += fmt::format("  {:>9} {} off by {} {}  {}\n", c.number, column(c.point, 16),
                        short_length(c.miss, unit), short_unit(unit), verdict_word(c.verdict));
  return text;
}

std::string fact_lines(std::span<const SetupFact> facts, const SightNames& names, LengthUnit unit) {
  std::string text;
  for (const SetupFact& f : facts) text += wrapped_text(setup_fact_text(f, names, unit), "  LOOK: ", "    ");
  return text;
}

}  // namespace

std::string direction_text(Azimuth a, std::optional<AngleNotation> notation) {
  if (!notation) return dms_text(a, 0);
  switch (*notation) {
    case AngleNotation::degrees:
      return degrees_text(a, 5);
    case AngleNotation::gon:
      return gon_text(a, 4);
    case AngleNotation::packed:
      return packed_text(a, 0);
  }
  return "";
}

std::string setup_text(const SetupSheet& sheet, const SightNames& names, LengthUnit unit,
                       std::optional<AngleNotation> notation) {
  const SetupResult& r = *sheet.result;
  std::string text = fmt::format("SETUP {}, {}: {}\n", names.setup, place_text(sheet.place, sheet.mark),
                                 verdict_word(sheet.verdict));
  text += fmt::format("  N {} E {} {}", shown(r.at.at.northing, unit), shown(r.at.at.easting, unit),
                      unit_word(unit));
  if (r.elevation)
    text += fmt::format("; ground mark {}, axis {}", shown(r.elevation->above_datum(), unit),
                        shown(r.axis()->above_datum(), unit));
  text += "\n";
  if (r.orientation)
    text += fmt::format("  circle 0 points to azimuth {} ({})\n",
                        direction_text(Azimuth::degrees(r.orientation->degrees()), notation),
                        notation_words(notation));
  else
    text += "  no orientation is known: nothing can be staked out from here\n";
  text += quality_lines(sheet, unit);
  text += error_lines(sheet.reduction->errors);
  for (const Wrong& w : r.wrong) text += wrapped_text(wrong_text(w, names, unit), "  WRONG: ", "    ");
  text += fact_lines(r.facts, names, unit);
  return text + row_lines(sheet, names, unit) + check_lines(sheet, unit) + shot_lines(sheet, names, unit);
}

namespace {

/// A block of a stake list: its entries stand together on one level and, by run, on one run.
std::string heading(const StakeEntry& e, bool by_run, bool first) {
  if (e.level == StakeLevel::control)
    return first ? "CHECK FIRST: turn to control; it must be where the list says\n"
                 : "CHECK LAST: the same again before the instrument is moved\n";
  const std::string_view level = e.level == StakeLevel::floor ? "FLOOR" : "DECK";
  if (!by_run) return fmt::format("{}\n", level);
  return e.run.empty() ? fmt::format("{}, points without a run\n", level)
                       : fmt::format("{}, run {}\n", level, e.run);
}

std::string note_of(const StakeFlags& f) {
  std::string text;
  for (const auto& [is, word] :
       {std::pair{f.steep, "steep"}, {f.near, "near"}, {f.weak, "weak"}, {f.far_deck, "far-deck"}})
    if (is) text += (text.empty() ? "" : " ") + std::string(word);
  return text;
}

std::string legend(const StakeSheet& sheet, LengthUnit unit) {
  StakeFlags any;
  bool deck = false;
  for (const StakeEntry& e : sheet.entries) {
    const StakeFlags& f = e.row->flags;
    any.steep |= f.steep, any.near |= f.near, any.weak |= f.weak, any.far_deck |= f.far_deck;
    deck |= e.level == StakeLevel::deck;
  }
  const std::string limit =
      fmt::format("{} {}", short_length(sheet.options.tolerance, unit), short_unit(unit));
  std::string text = "\nGOOD is how far off a mark may come out, in " + std::string(short_unit(unit)) +
                     ", 19 times out of 20.\n";
  if (deck)
    text +=
        "DECK: turn to the circle, move until the horizontal distance is right; the\n  height is only where "
        "to look.\n";
  if (any.steep)
    text += fmt::format("steep: the sight rises or falls more than {} degrees; read both faces.\n",
                        fixed(sheet.steep.degrees(), 0));
  if (any.near) text += "near: under 2 m from the instrument; measure the distance with a tape too.\n";
  if (any.weak)
    text += fmt::format("weak: may come out more than {} off; stake it from a better setup.\n", limit);
  if (any.far_deck)
    text += fmt::format("far-deck: a deck 10 mm higher or lower moves the spot by more than {}.\n", limit);
  return text;
}

std::string head_lines(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation) {
  const SetupResult& r = *sheet.result;
  std::string text = fmt::format("STAKE OUT from setup {}{}\n", sheet.setup,
                                 sheet.mark.empty() ? "" : fmt::format(", over {}", sheet.mark));
  text += fmt::format("  circle 0 points to azimuth {}{}\n",
                      direction_text(Azimuth::degrees(r.orientation->degrees()), notation),
                      r.elevation ? fmt::format("; the axis is at {} {}",
                                                shown(r.axis()->above_datum(), unit), unit_word(unit))
                                  : "");
  text += fmt::format("  circle in {}; lengths in {}\n", notation_words(notation), unit_word(unit));
  const auto target = [&](Length h) {
    return h == Length::metres(0) ? std::string("on the mark itself")
                                  : fmt::format("{} {} {} the mark", shown(abs(h), unit), unit_word(unit),
                                                h < Length::metres(0) ? "below" : "above");
  };
  text += fmt::format("  target: {}", target(sheet.options.target_height));
  if (sheet.options.deck_target_height != sheet.options.target_height)
    text += fmt::format("; on the deck {}", target(sheet.options.deck_target_height));
  const std::string run_by_run = "run by run", shortest = "by the shortest walk";
  text += fmt::format("\n  the way through all marks, {}: {} {}", sheet.by_run ? run_by_run : shortest,
                      shown(sheet.walk, unit), unit_word(unit));
  if (shown(sheet.walk, unit) != shown(sheet.other_walk, unit))
    text += fmt::format("\n    {} it would be {} {}", sheet.by_run ? shortest : run_by_run,
                        shown(sheet.other_walk, unit), unit_word(unit));
  text += "\n";
  return text;
}

}  // namespace

std::string stake_text(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation) {
  if (!sheet.result->orientation)
    return fmt::format(
        "STAKE OUT from setup {}\n  no orientation is known: nothing can be staked out from here\n",
        sheet.setup);
  std::string text = head_lines(sheet, unit, notation);
  std::size_t wide = 6;
  for (const StakeEntry& e : sheet.entries) wide = std::max(wide, std::to_string(e.number).size());
  text += fmt::format("\n[ ] {:>{}} {} {:>11} {:>10}  {} {:>4} {}\n", "no.", wide, column("point", 9),
                      "circle", "horizontal", column("target", 21), "good", "note");
  const StakeEntry* before = nullptr;
  for (const StakeEntry& e : sheet.entries) {
    if (!before || before->level != e.level ||
        (sheet.by_run && e.level != StakeLevel::control && before->run != e.run))
      text += heading(e, sheet.by_run, !before);
    before = &e;
    const StakeRow& r = *e.row;
    const std::string note = note_of(r.flags);
    std::string line =
        fmt::format("[ ] {:>{}} {} {:>11} {:>10}  {} {:>4}", e.number ? std::to_string(e.number) : "", wide,
                    column(e.point, 9), direction_text(Azimuth::degrees(r.circle.degrees()), notation),
                    shown(r.horizontal, unit),
                    column(r.rise_from_axis ? height_words(*r.rise_from_axis, unit) : "height unknown", 21),
                    short_length(radius95(r.covariance), unit));
    if (!note.empty())
      line += line.size() + 1 + note.size() <= 80 ? " " + note : "\n" + std::string(9 + wide, ' ') + note;
    while (line.ends_with(' ')) line.pop_back();
    text += line + "\n";
  }
  return text + legend(sheet, unit);
}

std::string plan_text(const StakeSheet& sheet, const PlannedSetup& planned,
                      std::span<const std::string_view> targets, std::size_t rounds, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  const std::string_view small = short_unit(unit);
  std::string text =
      fmt::format("PLAN of setup {}: {}N {} E {} {}\n", sheet.setup,
                  sheet.mark.empty() ? "" : fmt::format("over {}, ", sheet.mark),
                  shown(r.at.at.northing, unit), shown(r.at.at.easting, unit), unit_word(unit));
  text += wrapped_text(fmt::format("sighting {} in two faces, {}, with distances", fmt::join(targets, ", "),
                                   plural(rounds, "round", "rounds")),
                       "  ", "    ");
  text += fmt::format("  would be good to (95 %): place {} {}, orientation {}\n",
                      short_length(radius95(r.plan_covariance()), unit), small,
                      turn_words(*r.sd_orientation() * 1.96));
  text += fmt::format("  {} more than needed\n",
                      plural(planned.degrees_of_freedom, "observation", "observations"));
  text += fact_lines(planned.facts, {sheet.setup, {}}, unit);
  std::vector<const StakeEntry*> outside;
  const StakeEntry* worst = nullptr;
  for (const StakeEntry& e : sheet.entries) {
    if (e.row->flags.weak) outside.push_back(&e);
    if (!worst || radius95(e.row->covariance) > radius95(worst->row->covariance)) worst = &e;
  }
  text += fmt::format("  {} of {} would come out within {} {} (95 %)\n",
                      sheet.entries.size() - outside.size(), plural(sheet.entries.size(), "mark", "marks"),
                      short_length(sheet.options.tolerance, unit), small);
  if (worst)
    text += fmt::format("  the worst: {} {}, {} {} away, {} {}\n", worst->number, worst->point,
                        shown(worst->row->horizontal, unit), unit_word(unit),
                        short_length(radius95(worst->row->covariance), unit), small);
  constexpr std::size_t kNamed = 30;
  if (!outside.empty()) text += "  outside from here, with what they would be good to:\n";
  for (std::size_t i = 0; i < std::min(outside.size(), kNamed); ++i)
    text += fmt::format("  {:>9} {} {:<5} {:>8} {}\n", outside[i]->number, column(outside[i]->point, 16),
                        outside[i]->level == StakeLevel::deck ? "deck" : "floor",
                        short_length(radius95(outside[i]->row->covariance), unit), small);
  if (outside.size() > kNamed)
    text += fmt::format("  and {} more: see plan-{}.csv\n", outside.size() - kNamed, sheet.setup);
  return text;
}

}  // namespace deckmark
