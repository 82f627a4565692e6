#include "report/cause_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kRangesTold = 8;
constexpr double kUsualConstants[] = {-0.0344, -0.030, -0.0175, 0.0175,
                                      0.030,   0.0344, 0.040,   -0.040};  // common practice, no source

bool is_length(CauseKind k) {
  switch (k) {
    case CauseKind::shift:
    case CauseKind::reflector_constant:
    case CauseKind::height:
    case CauseKind::bump:
    case CauseKind::one_bay:
    case CauseKind::wavy_run:
    case CauseKind::digits:
    case CauseKind::one_point:
      return true;
    default:
      return false;
  }
}

std::string small_words(double metres, LengthUnit unit) {
  return fmt::format("{} {}", short_length(Length::metres(metres), unit), short_unit(unit));
}

/// Long ones as on a tape, small ones to a tenth of a millimetre.
std::string size_words(double metres, LengthUnit unit) {
  return std::abs(metres) < 0.5 ? small_words(metres, unit) : length_words(Length::metres(metres), unit);
}

std::string turn_words(double degrees) {
  const double seconds = degrees * 3600;
  if (std::abs(seconds) < 600) return fmt::format("{}\"", fixed(seconds, 0));
  return fmt::format("{} degrees", fixed(degrees, 4));
}

std::string whose_at_all_levels(const NamedGroup& g) {
  switch (g.kind) {
    case GroupKind::setup:
      return "shots from " + g.name;
    case GroupKind::marked_from:
      return "marks set out from " + g.name;
    case GroupKind::reflector:
      return "shots to reflector " + g.name;
    case GroupKind::crew:
      return "shots of crew " + g.name;
    case GroupKind::run:
      return "marks of run " + g.name;
    case GroupKind::level:
      return "shots on the " + g.name;
    case GroupKind::all:
    case GroupKind::stretch:
    case GroupKind::marks:
      break;
  }
  return "all shots";
}

/// Whose shots: `all shots`, `shots from S2`, `marks set out from S1 on the deck`.
std::string whose(const NamedGroup& g) {
  return whose_at_all_levels(g) + (g.level ? fmt::format(" on the {}", level_word(*g.level)) : "");
}

std::string whose(const CauseLine& l) {
  if (l.group.kind == GroupKind::marks) return plural(l.cause->points, "mark", "marks");
  std::string text = whose(l.group);
  if (l.cause->kind == CauseKind::bump || l.from.empty()) return text;
  return text + fmt::format(", {} to {}", l.from, l.to);
}

bool is_marking(const CauseLine& l) { return l.group.kind == GroupKind::marked_from; }

std::string along_words(const CauseLine& l, LengthUnit unit) {
  if (!l.by) return "";
  const auto part = [&](Length v, std::string_view axis) {
    return fmt::format("{}{} along {}", v < Length::metres(0) ? "" : "+", size_words(v.metres(), unit), axis);
  };
  return fmt::format(" ({}, {})", part(l.by->by.x, "X"), part(l.by->by.y, "Y"));
}

std::string centre_words(const CauseLine& l, LengthUnit unit) {
  if (!l.centre) return "";
  const auto at = [&](Length v) {
    return fmt::format("{} {}", fixed(in_unit(v, unit), unit == LengthUnit::millimetre ? 0 : 2),
                       unit_word(unit));
  };
  return fmt::format(" about X {}, Y {}", at(l.centre->at.x), at(l.centre->at.y));
}

std::string usual_constant(const Cause& c) {
  for (const double k : kUsualConstants)
    if (std::abs(c.value - k) <= std::max(2 * c.sd, 0.0003))
      return fmt::format("; {} mm is a usual constant", fixed(std::abs(k) * 1000, 1));
  return "";
}

/// `in millimetres, read as metres`, from how many times too large the numbers are and the site's unit.
std::string slip_words(double ratio, LengthUnit read_as) {
  struct Unit {
    LengthUnit unit;
    std::string_view words;
  };
  constexpr Unit kUnits[] = {{LengthUnit::metre, "metres"},
                             {LengthUnit::millimetre, "millimetres"},
                             {LengthUnit::centimetre, "centimetres"},
                             {LengthUnit::foot, "feet"},
                             {LengthUnit::inch, "inches"}};
  for (const Unit& meant : kUnits)
    for (const Unit& read : kUnits) {
      const bool is_site = std::abs(metres_in(read.unit) / metres_in(read_as) - 1) < 1e-3;
      if (is_site && std::abs(ratio * metres_in(meant.unit) / metres_in(read.unit) - 1) < 1e-3)
        return fmt::format("in {}, read as {}", meant.words, read.words);
    }
  return fmt::format("in another unit: their numbers are {} times the design's", fixed(ratio, 4));
}

std::string cause_title(const Cause& c) { return std::string(cause_word(c.kind)); }

/// `20 marks: 1006-1010, ...`; a mark that was shot more than once is one mark, so shots are told beside.
std::string marks_words(const CauseLine& l) {
  const std::size_t marks = l.cause->points, shots = l.cause->shots.size();
  return fmt::format("{}{}: {}", plural(marks, "mark", "marks"),
                     shots == marks ? "" : ", " + plural(shots, "shot", "shots"),
                     ranges_text(number_ranges(l.numbers), kRangesTold));
}

/// What a bump did to the marks, and how far the instrument itself went where that is known.
std::string bump_words(const CauseLine& l, const std::string& of, LengthUnit unit) {
  const Cause& c = *l.cause;
  const double off = c.by ? norm(*c.by).metres() : std::abs(c.value);
  std::string text = fmt::format("from {} on the instrument stands elsewhere: {} ", l.from, of);
  if (!c.turned)
    return text + fmt::format("stand {} off the same way{}", size_words(off, unit), along_words(l, unit));
  text += fmt::format("are turned {} {}, and stand {} off in their middle{}", turn_words(std::abs(*c.turned)),
                      *c.turned < 0 ? "counter-clockwise" : "clockwise", size_words(off, unit),
                      along_words(l, unit));
  if (std::abs(off - c.value) > 5e-7)
    text += fmt::format("; the instrument itself moved {}", size_words(std::abs(c.value), unit));
  return text;
}

std::string sd_words(const Cause& c, LengthUnit unit) {
  if (c.sd <= 0 || unit_slip(c)) return "";
  if (is_length(c.kind)) return fmt::format(", sd {}", small_words(c.sd, unit));
  if (c.kind == CauseKind::rotation || c.kind == CauseKind::backsight)
    return fmt::format(", sd {}", turn_words(c.sd));
  return fmt::format(", sd {} ppm", fixed(c.sd, c.kind == CauseKind::survey_foot ? 4 : 0));
}

std::string also_words(const CauseLine& l) {
  std::vector<std::string> names;
  for (const NamedGroup& g : l.also)
    if (g.kind != GroupKind::all && g.kind != GroupKind::level) names.push_back(whose(g));
  return names.empty() ? "" : fmt::format("these are also all {}", fmt::join(names, ", all "));
}

}  // namespace

std::string cause_group_text(const CauseLine& l) {
  std::string text;
  switch (l.group.kind) {
    case GroupKind::all:
      text = "all";
      break;
    case GroupKind::level:
      text = "level " + l.group.name;
      break;
    case GroupKind::setup:
      text = "setup " + l.group.name;
      break;
    case GroupKind::marked_from:
      text = "marked_from " + l.group.name;
      break;
    case GroupKind::reflector:
      text = "reflector " + l.group.name;
      break;
    case GroupKind::crew:
      text = "crew " + l.group.name;
      break;
    case GroupKind::run:
      text = "run " + l.group.name;
      break;
    case GroupKind::marks:
      text = plural(l.cause->points, "mark", "marks");
      break;
    case GroupKind::stretch:
      break;
  }
  if (!l.from.empty()) text += " from " + l.from;
  if (!l.to.empty()) text += " to " + l.to;
  return text;
}

CauseValue cause_value(const Cause& c, LengthUnit unit) {
  if (is_length(c.kind))
    return {c.value / metres_in(unit), c.sd / metres_in(unit), table_decimals(unit), unit_word(unit)};
  switch (c.kind) {
    case CauseKind::rotation:
    case CauseKind::backsight:
      return {c.value, c.sd, 6, "degrees"};
    case CauseKind::scale:
    case CauseKind::survey_foot:
      return {c.value, c.sd, 4, "ppm"};
    case CauseKind::renumbered:
      return {c.value, 0, 0, "points"};
    default:
      return {c.value, 0, 0, ""};
  }
}

std::string cause_sentence(const CauseLine& l, LengthUnit unit) {
  const Cause& c = *l.cause;
  const std::string size = size_words(std::abs(c.value), unit);
  const std::string of = whose(l);
  switch (c.kind) {
    case CauseKind::shift:
      return fmt::format("{} stand {} off the same way{}", of, size, along_words(l, unit));
    case CauseKind::rotation:
      return fmt::format("{} are turned {} {}{}", of, turn_words(std::abs(c.value)),
                         c.value < 0 ? "counter-clockwise" : "clockwise", centre_words(l, unit));
    case CauseKind::scale:
      if (const auto ratio = unit_slip(c)) return fmt::format("{} are {}", of, slip_words(*ratio, unit));
      return fmt::format("{} are {} by {} ppm{}", of, c.value < 0 ? "shrunk" : "stretched",
                         fixed(std::abs(c.value), 0), centre_words(l, unit));
    case CauseKind::survey_foot:
      return fmt::format(
          "{} differ from the design by the ratio of the US survey foot and the international foot ({} 2 ppm "
          "of the coordinates)",
          of, c.value < 0 ? "less by" : "more by");
    case CauseKind::swapped_axes:
      return fmt::format(
          "{} fit when their two coordinates are exchanged (northing with easting, or x with y)", of);
    case CauseKind::mirrored:
      return fmt::format("{} are the mirror image of the design", of);
    case CauseKind::reflector_constant:
      return fmt::format("distances {} {} read {} too {}{}", is_marking(l) ? "for" : "of", of, size,
                         c.value < 0 ? "short" : "long", usual_constant(c));
    case CauseKind::backsight:
      return is_marking(l)
                 ? fmt::format("{} are turned {} {} about it: its orientation was off when they were set out",
                               of, turn_words(std::abs(c.value)),
                               c.value < 0 ? "clockwise" : "counter-clockwise")
                 : fmt::format("{} are turned {} {} about it: its orientation is off", of,
                               turn_words(std::abs(c.value)),
                               c.value < 0 ? "counter-clockwise" : "clockwise");
    case CauseKind::height:
      return fmt::format("elevations of {} read {} too {}{}", of, size, c.value < 0 ? "low" : "high",
                         c.level == AsbuiltLevel::floor ? ", or the slab stands there" : "");
    case CauseKind::bump:
      return bump_words(l, of, unit);
    case CauseKind::one_bay:
      return fmt::format("{} stand a bay or an offset over, {}{}", of, size, along_words(l, unit));
    case CauseKind::renumbered:
      return fmt::format("{} lie on other points than their names say: names shifted or exchanged",
                         plural(c.shots.size(), "shot", "shots"));
    case CauseKind::wavy_run:
      return fmt::format("{} wander, up to {} off", of, size);
    case CauseKind::digits:
      return fmt::format("two neighbouring digits of one coordinate are exchanged: {} off", size);
    case CauseKind::one_point:
      break;
  }
  if (c.in_elevation) return fmt::format("this mark alone is {} too {}", size, c.value < 0 ? "low" : "high");
  return fmt::format("this mark alone is {} off{}", size, along_words(l, unit));
}

std::string cause_check(const CauseLine& l) {
  const std::string at = l.group.kind == GroupKind::setup || l.group.kind == GroupKind::marked_from
                             ? " from " + l.group.name
                             : "";
  switch (l.cause->kind) {
    case CauseKind::shift:
      return "tape one mark to the nearest column face along X and along Y; compare the revision on the "
             "sheet with the file's";
    case CauseKind::rotation:
      return "measure two far marks against a column line: the offsets differ; look which baseline was held";
    case CauseKind::scale:
      if (unit_slip(*l.cause))
        return "look at the unit of the shots: the header of their table, and [site] unit";
      return "measure one long known distance (20 m or more) and compare; read the scale factor and the ppm "
             "on the screen";
    case CauseKind::survey_foot:
      return "look which foot the instrument's job and the list are in; shoot one control point and compare "
             "with its coordinates";
    case CauseKind::swapped_axes:
      return "shoot two known columns and see which coordinate grows to the north";
    case CauseKind::mirrored:
      return "stand on B1, face B2: see on which side +Y lies, on the sheet and on site";
    case CauseKind::reflector_constant:
      return fmt::format("tape one sight of 5 to 10 m{}; read the reflector constant on the screen", at);
    case CauseKind::backsight:
      return fmt::format("sight the backsight again{}, then a second control point", at);
    case CauseKind::height:
      return "measure instrument and target height again by tape; sight a benchmark";
    case CauseKind::bump:
      return fmt::format("sight the backsight again{}, then a second control point; look at bubble and legs",
                         at);
    case CauseKind::one_bay:
      return "tape one mark to the nearest column face along X and along Y";
    case CauseKind::renumbered:
      return "read number and coordinates of two marks aloud against the sheet";
    case CauseKind::wavy_run:
      return "stretch a string from end to end of the run and look along it";
    case CauseKind::digits:
      return "read the coordinates of this mark aloud against the sheet";
    case CauseKind::one_point:
      break;
  }
  return "shoot this mark again, and tape it from its two neighbours";
}

CauseWords cause_words(const CauseLine& l, LengthUnit unit) {
  const Cause& c = *l.cause;
  return {cause_sentence(l, unit) + sd_words(c, unit), marks_words(l),
          fmt::format("rms of one coordinate {} before, {} after", small_words(c.before.metres(), unit),
                      small_words(c.after.metres(), unit)),
          also_words(l), cause_check(l)};
}

std::string causes_left_words(std::span<const CauseLine> lines) {
  if (lines.size() <= kCausesTold) return "";
  const auto rest = lines.subspan(kCausesTold);
  const auto single = static_cast<std::size_t>(
      std::ranges::count_if(rest, [](const CauseLine& l) { return l.cause->points == 1; }));
  return fmt::format("{} more in causes.csv{}", rest.size(),
                     single == 0 ? ""
                     : single == rest.size()
                         ? (single == 1 ? ", a single mark" : ", all of them single marks")
                         : fmt::format(", {} of them single marks", single));
}

std::vector<std::string> no_cause_words(Length noise, std::size_t shots, std::size_t tried, LengthUnit unit) {
  std::vector<std::string> out{
      fmt::format("none: {} explanations tried on {}, none does far better than chance", tried,
                  plural(shots, "shot", "shots"))};
  // The rule that the rms halves: a common shift shows from the root of six times the scatter.
  if (shots >= 10)
    out.push_back(fmt::format("a shift of all marks would be named from about {} on",
                              small_words(std::sqrt(6.0) * noise.metres(), unit)));
  return out;
}

std::string causes_text(std::span<const CauseLine> lines, Length noise, std::size_t shots, std::size_t tried,
                        LengthUnit unit) {
  std::string text = "LIKELY CAUSES (nothing is corrected)\n";
  if (lines.empty())
    for (const std::string& line : no_cause_words(noise, shots, tried, unit))
      text += folded("  ", "  ", line);
  for (std::size_t k = 0; k < lines.size() && k < kCausesTold; ++k) {
    const CauseWords w = cause_words(lines[k], unit);
    text += folded(fmt::format("  {}. ", k + 1), "     ",
                   fmt::format("{}: {}", cause_title(*lines[k].cause), w.what));
    text += folded("     ", "     ", fmt::format("{}; {}", w.marks, w.rms));
    if (!w.also.empty()) text += folded("     ", "     ", w.also);
    text += folded("     ", "     ", "confirm: " + w.confirm);
  }
  if (const std::string left = causes_left_words(lines); !left.empty()) text += "  and " + left + "\n";
  return text;
}

}  // namespace deckmark
