#include "report/heights_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "adjust/statistics.h"
#include "measure/decimal.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kWordsWidth = 32;  // so that the whole row keeps to 80 columns

/// At the head of a row no article is wanted.
std::string_view without_the(std::string_view words) {
  return words.starts_with("the ") ? words.substr(4) : words;
}

std::string_view above_word(Length up) { return up < Length::metres(0) ? "below" : "above"; }

std::string elevation_text(Elevation e, LengthUnit unit) {
  const int decimals = unit == LengthUnit::millimetre ? 1 : 4;
  return fixed(in_unit(e.above_datum(), unit), decimals);
}

std::string closure_line(const ClosureLine& c, LengthUnit small) {
  if (!c.closure) return folded("  ", "    ", c.words + ": open, " + c.open);
  const Verdict verdict = c.is_within ? Verdict::within : Verdict::outside;
  const ClosureText text = closure_text(c, small);
  const std::string_view words = without_the(c.words);
  const bool has_room = shown_width(words) <= kWordsWidth,
             is_none = text.by == short_length(Length::metres(0), small);
  return (has_room ? "" : folded("  ", "    ", words)) +
         fmt::format("  {} {:>7} {} {:<4} permitted {} {}  {}\n",
                     column(has_room ? words : std::string_view(), kWordsWidth), text.by, short_unit(small),
                     is_none                          ? ""
                     : *c.closure < Length::metres(0) ? "low"
                                                      : "high",
                     text.limit, short_unit(small), verdict_word(verdict));
}

/// Above or below the datum line, as a tape or a staff shows it.
std::string level_text(Length up, const HeightsPage& page) {
  return page.small == LengthUnit::feet_inches ? length_words(up, page.small)
                                               : elevation_text(Elevation::at(up), page.unit);
}

std::string tilt_line(const TiltLine& t, const HeightsPage& page) {
  const auto words = [&](Length l) {
    return short_length(l, page.small) + " " + std::string(short_unit(page.small));
  };
  const Length apart = abs(t.apart);
  const std::string over = fmt::format("{} {}", fixed(in_unit(t.over, page.unit), 1), unit_word(page.unit));
  const std::string head = fmt::format(
      "{}: turned half round it reads {} {} otherwise, permitted {}", t.words,
      t.is_within ? short_length(apart, page.small) : short_length_beyond(apart, t.limit, page.small),
      short_unit(page.small), words(t.limit));
  return folded("  ", "    ",
                t.is_within ? fmt::format("{}, so its plane is off by {} over {}; the mean counts", head,
                                          words(apart / 2), over)
                            : fmt::format("{}, over {}: {}; a reading is wrong, or the laser wants adjusting",
                                          head, over, verdict_word(Verdict::outside)));
}

std::string closures_text(const HeightsPage& page) {
  std::string text = fmt::format("HEIGHTS  {}, {}; ", plural(page.benchmarks, "benchmark", "benchmarks"),
                                 plural(page.heights.size(), "height", "heights"));
  text += page.spare == 0 ? "nothing checks them\n"
                          : plural(page.spare, "reading", "readings") + " more than needed\n";
  for (const ClosureLine& c : page.closures) text += closure_line(c, page.small);
  for (const TiltLine& t : page.tilts) text += tilt_line(t, page);
  for (const std::string& words : page.contradicted)
    text += folded("  ", "    ", fmt::format("{}: {}", verdict_word(Verdict::outside), words));
  return text;
}

/// Without a datum line the planes themselves are what heights are measured from.
std::string planes_text(const HeightsPage& page) {
  if (page.planes.empty()) return "";
  std::string text = "\nPLANES\n";
  for (const PlaneLine& p : page.planes)
    text += folded(
        "  ", "    ",
        fmt::format("laser {}: its plane is at elevation {} {}{}", p.name, elevation_text(p.plane, page.unit),
                    unit_word(page.unit), p.is_contradicted ? ", which hangs on what is outside above" : ""));
  return text;
}

std::size_t contradicted_heights(const HeightsPage& page) {
  return static_cast<std::size_t>(
      std::ranges::count_if(page.heights, [](const HeightLineOf& h) { return h.is_contradicted; }));
}

/// How many heights hang on what is contradicted; empty where none does.
std::string contradicted_text(const HeightsPage& page, std::string_view head, std::string_view tail) {
  const std::size_t n = contradicted_heights(page);
  if (n == 0) return "";
  return folded("  ", "    ",
                fmt::format("{}{} on what is outside above{}", head,
                            n == 1 ? "1 height hangs" : fmt::format("{} heights hang", n), tail));
}

std::string datum_text(const HeightsPage& page) {
  if (!page.datum) return planes_text(page);
  std::string text = fmt::format("\nDATUM LINE  {} above the floor, elevation {} {}\n",
                                 length_words(*page.datum_height, page.small),
                                 elevation_text(*page.datum, page.unit), unit_word(page.unit));
  for (const PlaneLine& p : page.planes) {
    if (p.is_contradicted) {
      text += folded(
          "  ", "    ",
          fmt::format("laser {}: its plane hangs on what is outside above: mark no line from it", p.name));
      continue;
    }
    const Length up = p.plane - *page.datum;
    text += folded(
        "  ", "    ",
        fmt::format("laser {}: its plane is {} {} the line: mark the line that far {} it", p.name,
                    length_words(abs(up), page.small), above_word(up), above_word(Length::metres(0) - up)));
  }
  return text;
}

}  // namespace

ClosureText closure_text(const ClosureLine& c, LengthUnit small) {
  const Length by = abs(*c.closure);
  ClosureText text{short_length(by, small), short_length(c.limit, small)};
  if (c.is_within || text.by != text.limit) return text;
  if (small == LengthUnit::feet_inches)
    return {short_length_beyond(by, c.limit, small), short_length_beyond(c.limit, by, small)};
  const LengthUnit unit = short_unit(small) == "mm" ? LengthUnit::millimetre : LengthUnit::inch;
  for (int decimals = 2; decimals <= 6 && text.by == text.limit; ++decimals)
    text = {fixed(in_unit(by, unit), decimals), fixed(in_unit(c.limit, unit), decimals)};
  return text;
}

std::string heights_text(const HeightsPage& page, std::size_t most) {
  std::string text = closures_text(page) + datum_text(page);
  const bool has_datum = page.datum.has_value();
  text += fmt::format("\n  {} {:>8} {:<8}{:>13} {:>14} {:>9}\n", column("point", 20), "number", "level",
                      fmt::format("elevation {}", unit_word(page.unit)), has_datum ? "above the line" : "",
                      fmt::format("\u00b1 95 % {}", short_unit(page.small)));
  for (std::size_t i = 0; i < std::min(most, page.heights.size()); ++i) {
    const HeightLineOf& h = page.heights[i];
    text += fmt::format("  {} {:>8} {:<8}{:>13} {:>14} {:>9}{}\n", column(h.point, 20),
                        h.number ? fmt::format("{}", *h.number) : "", h.level,
                        elevation_text(h.elevation, page.unit),
                        has_datum ? level_text(h.elevation - *page.datum, page) : "",
                        short_length(h.sd * kSds95, page.small), h.is_contradicted ? " ?" : "");
  }
  if (page.heights.size() > most)
    text += fmt::format("  and {} more, in heights.csv\n", page.heights.size() - most);
  text += contradicted_text(page, "? ", ": use none of them before that is cleared");
  if (!page.brackets.empty()) text += "\n" + brackets_text(page);
  return text;
}

std::string heights_short_text(const HeightsPage& page) {
  return closures_text(page) + contradicted_text(page, "", ": deckmark heights marks them");
}

std::string brackets_text(const HeightsPage& page) {
  if (page.brackets.empty()) return "";
  constexpr std::size_t kMost = 60;
  const auto within = std::ranges::count(page.brackets, Verdict::within, &BracketLine::verdict);
  std::string text = fmt::format("BRACKETS  {} measured, {} within {} {}; the worst first, \u00b1 95 %\n",
                                 page.brackets.size(), within, short_length(page.bracket_limit, page.small),
                                 short_unit(page.small));
  if (!page.do_close()) text += "  The heights do not close: move no bracket by these.\n";
  const auto least_sure = std::ranges::max_element(page.brackets, {}, &BracketLine::sd);
  if (least_sure->sd * kSds95 * 2 > page.bracket_limit)
    text += fmt::format("  good to {} {} (95 %), where half of what is permitted is {} {}\n",
                        short_length(least_sure->sd * kSds95, page.small), short_unit(page.small),
                        short_length(page.bracket_limit * 0.5, page.small), short_unit(page.small));
  for (std::size_t i = 0; i < std::min(kMost, page.brackets.size()); ++i) {
    const BracketLine& b = page.brackets[i];
    const std::string off = b.verdict == Verdict::within
                                ? short_length(abs(b.up), page.small)
                                : short_length_beyond(abs(b.up), page.bracket_limit, page.small);
    text += fmt::format("  {:>8} {}  {:>9} {} too {:<4}  \u00b1 {:<7} {}\n", b.number, column(b.point, 20),
                        off, short_unit(page.small), b.up < Length::metres(0) ? "low" : "high",
                        short_length(b.sd * kSds95, page.small), verdict_word(b.verdict));
  }
  if (page.brackets.size() > kMost)
    text += fmt::format("  and {} more, in asbuilt.csv\n", page.brackets.size() - kMost);
  return text;
}

}  // namespace deckmark
