#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "adjust/statistics.h"
#include "measure/decimal.h"
#include "report/instrument_pieces.h"
#include "report/instrument_text.h"
#include "report/overhead_text.h"
#include "report/paper.h"
#include "report/pieces.h"
#include "report/release_text.h"
#include "report/text.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// Widths of the columns that names and numbers need.
struct StakeWidths {
  std::size_t number = 4, point = 5;
};

std::string height_words(Length rise, LengthUnit unit) {
  const std::string text = shown(abs(rise), unit);
  if (text.find_first_of("123456789") == std::string::npos) return "level with the axis";
  return fmt::format("{} {} the axis", text, rise < Length::metres(0) ? "below" : "above");
}

/// A block of a stake list: its entries stand together on one level and, by run, on one run.
std::string heading(const StakeEntry& e, bool by_run, bool first, LengthUnit unit) {
  if (e.level == StakeLevel::control)
    return first ? "CHECK FIRST: turn to each control point; write how far it is off\n"
                 : "CHECK LAST: the same again before the instrument is moved\n";
  const std::string_view level = e.level == StakeLevel::floor ? "FLOOR" : "DECK";
  if (!by_run) return fmt::format("{}\n", level);
  const std::string pair =
      e.beside && e.level == StakeLevel::floor
          ? fmt::format(": {}", pair_words(shown(*e.beside, unit), e.is_curved, e.is_all))
          : std::string();
  return cut(e.run.empty() ? fmt::format("{}, points without a run", level)
                           : fmt::format("{}, run {}", level, cut(e.run, kWidth - 12 - pair.size())) + pair,
             kWidth) +
         "\n";
}

/// What the notes of a list are about, and on how many deck points one of them stands.
struct Notes {
  StakeFlags any;
  std::size_t deck = 0, far_deck = 0;
  /// A note on most of the deck points is said once, above them.
  bool is_said_once() const { return 2 * far_deck > deck; }
};
Notes notes_of(const StakeSheet& sheet) {
  Notes n;
  for (const StakeEntry& e : sheet.entries) {
    const StakeFlags& f = e.row->flags;
    n.any.steep |= f.steep, n.any.near |= f.near, n.any.weak |= f.weak, n.any.far_deck |= f.far_deck;
    if (e.level != StakeLevel::deck) continue;
    ++n.deck;
    if (f.far_deck) ++n.far_deck;
  }
  return n;
}

std::string note_of(const StakeFlags& f, const Notes& notes) {
  std::string text;
  for (const auto& [is, word] : {std::pair{f.steep, "steep"},
                                 {f.near, "near"},
                                 {f.weak, "weak"},
                                 {f.far_deck && !notes.is_said_once(), "far-deck"}})
    if (is) text += (text.empty() ? "" : " ") + std::string(word);
  return text;
}

std::string limit_words(const StakeSheet& sheet, LengthUnit unit) {
  return fmt::format("{} {}", short_length(sheet.options.tolerance, unit), short_unit(unit));
}
bool is_metric(LengthUnit unit) { return short_unit(unit) == "mm"; }

/// What stands in the columns, before the first row.
std::string legend(const StakeSheet& sheet, const Notes& notes, LengthUnit unit) {
  std::string text = fmt::format("  good: how far off a mark may come out, in {}, 19 times out of 20\n",
                                 is_metric(unit) ? "mm" : "inches");
  if (notes.any.steep)
    text += fmt::format("  steep: the sight rises or falls more than {} degrees; read both faces\n",
                        fixed(sheet.steep.degrees(), 0));
  if (notes.any.near)
    text += fmt::format("  near: under {} from the instrument; tape the distance too\n",
                        is_metric(unit) ? "2 m" : "6.6 ft");
  if (notes.any.weak)
    text += fmt::format("  weak: may come out more than {} off; stake it from a better setup\n",
                        limit_words(sheet, unit));
  if (notes.any.far_deck && !notes.is_said_once())
    text += fmt::format("  far-deck: a deck {} higher or lower moves the spot by more than {}\n",
                        is_metric(unit) ? "10 mm" : "0.4 in", limit_words(sheet, unit));
  return text;
}

/// How a point of the deck is found, above the first of them.
std::string deck_lines(const StakeSheet& sheet, const Notes& notes, LengthUnit unit) {
  std::string text =
      "DECK POINTS: turn to the circle, move until the horizontal distance is right;\n  the height is only "
      "where to look.";
  if (!notes.is_said_once()) return text + "\n";
  const std::size_t others = notes.deck - notes.far_deck;
  return text +
         fmt::format(
             " Far-deck: read the distance at the deck;\n  {} higher or lower moves the spot by over {}{}.\n",
             is_metric(unit) ? "10 mm" : "0.4 in", limit_words(sheet, unit),
             others == 0 ? std::string(", at every point")
                         : fmt::format(", at all but {}", plural(others, "point", "points")));
}

/// A list from a setup that is outside, or that nothing checks, says so itself: it may be all that the crew
/// holds.
std::string standing_lines(const StakeSheet& sheet) {
  if (sheet.verdict == Verdict::outside)
    return fmt::format("  DO NOT STAKE OUT FROM HERE: setup {} is outside; see the page of the setups\n",
                       cut(sheet.setup, 20));
  if (sheet.verdict == Verdict::unsure)
    return "  NOT CHECKED: no other sight would show an error of this setup\n";
  return "";
}

std::string sheet_name(const StakeSheet& sheet) {
  return fmt::format("STAKE OUT from setup {}{}", sheet.setup,
                     sheet.mark.empty() ? "" : fmt::format(", over {}", sheet.mark));
}
std::string job_name(const StakeSheet& sheet) {
  return fmt::format("{} | revision {}",
                     sheet.title.empty() ? "(no title)" : visible(std::string(sheet.title)),
                     sheet.revision.empty() ? "(none)" : visible(std::string(sheet.revision)));
}
/// Who goes out with it, and what is filled in by hand.
std::vector<std::string> crew_lines(const StakeSheet& sheet) {
  if (sheet.crew.empty()) return {"date __________ crew ______________ instrument ______________"};
  return {fmt::format("for crew {}", cut(sheet.crew, kWidth - 11)),
          "date __________ by ______________ instrument ______________"};
}

/// The setup, what the columns are in, and the way through all marks.
std::string intro(const StakeSheet& sheet, const Notes& notes, LengthUnit unit,
                  std::optional<AngleNotation> notation) {
  const SetupResult& r = *sheet.result;
  std::string text;
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
  // Only ways that were found are told: a shorter one may exist.
  const std::string way = shown(sheet.walk, unit), other = shown(sheet.other_walk, unit);
  const std::string_view u = unit_word(unit);
  text += fmt::format("\n  the way through all marks, {}: {} {}",
                      sheet.by_run ? "run by run" : "the shortest walk found", way, u);
  if (sheet.walk == sheet.other_walk)
    text += sheet.by_run ? "; no shorter walk was found" : ", which is run by run";
  else if (way != other)
    text += fmt::format("\n    {} {} {}",
                        sheet.by_run ? "the shortest walk found is" : "run by run it would be", other, u);
  return text + "\n" + legend(sheet, notes, unit);
}

StakeWidths widths_of(const StakeSheet& sheet) {
  constexpr std::size_t kLongest = 11;  // so that a control row keeps room to write behind it
  StakeWidths w;
  for (const StakeEntry& e : sheet.entries) {
    w.number = std::max(w.number, std::to_string(e.number).size());
    w.point = std::max(w.point, std::min(kLongest, shown_width(e.point)));
  }
  return w;
}

/// A row with its box to tick; what does not fit behind it goes under it.
std::string entry_lines(const StakeEntry& e, const Notes& notes, const StakeWidths& w, LengthUnit unit,
                        std::optional<AngleNotation> notation) {
  const StakeRow& r = *e.row;
  std::string line =
      fmt::format("[ ] {:>{}} {} {:>11} {:>10}  {} {:>4}", e.number ? std::to_string(e.number) : "", w.number,
                  column(e.point, w.point), direction_text(Azimuth::degrees(r.circle.degrees()), notation),
                  shown(r.horizontal, unit),
                  column(r.rise_from_axis ? height_words(*r.rise_from_axis, unit) : "height unknown", 21),
                  short_length(radius95(r.covariance), unit));
  std::string note = note_of(r.flags, notes);
  if (e.level == StakeLevel::control) note += note.empty() ? "off ____" : " off ____";
  if (!e.in_place_of_drop.empty()) note += (note.empty() ? "" : " ") + std::string(e.in_place_of_drop);
  if (!note.empty())
    line += shown_width(line) + 1 + note.size() <= kWidth ? " " + note
                                                          : "\n" + std::string(5 + w.number, ' ') + note;
  while (line.ends_with(' ')) line.pop_back();
  return line + "\n";
}

std::string table_head(const StakeWidths& w) {
  return fmt::format("[ ] {:>{}} {} {:>11} {:>10}  {} {:>4} {}", "no.", w.number, column("point", w.point),
                     "circle", "horizontal", column("target", 21), "good", "note");
}

/// Rows that stand under one heading, with what is said before it.
struct StakeBlock {
  std::string before, heading;
  std::vector<std::string> rows;
};
std::vector<StakeBlock> blocks_of(const StakeSheet& sheet, const Notes& notes, const StakeWidths& w,
                                  LengthUnit unit, std::optional<AngleNotation> notation) {
  std::vector<StakeBlock> blocks;
  const StakeEntry* before = nullptr;
  for (const StakeEntry& e : sheet.entries) {
    const bool next_level = !before || before->level != e.level;
    if (next_level || (sheet.by_run && e.level != StakeLevel::control && before->run != e.run)) {
      blocks.push_back({"", heading(e, sheet.by_run, !before, unit), {}});
      if (next_level && e.level == StakeLevel::deck) blocks.back().before = deck_lines(sheet, notes, unit);
    }
    before = &e;
    blocks.back().rows.push_back(entry_lines(e, notes, w, unit, notation));
  }
  return blocks;
}

/// Lines of a text that ends each with a line feed.
std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

/// What stands on top of every sheet.
std::vector<std::string> sheet_head(const StakeSheet& sheet, std::size_t page, std::size_t pages) {
  const std::string number = fmt::format("sheet {} of {}", page, pages);
  std::vector<std::string> lines{
      fmt::format("{} | {}", cut(sheet_name(sheet), kWidth - number.size() - 3), number),
      cut(job_name(sheet), kWidth)};
  const bool has_deck = std::any_of(sheet.entries.begin(), sheet.entries.end(),
                                    [](const StakeEntry& e) { return e.level == StakeLevel::deck; });
  if (std::string ticks = tick_words(sheet.issue, page, has_deck); !ticks.empty())
    lines.push_back(std::move(ticks));
  for (std::string& l : crew_lines(sheet)) lines.push_back(std::move(l));
  for (std::string& l : verdict_lines(sheet.standing)) lines.push_back(std::move(l));
  for (std::string& l : release_head(sheet.release, kWidth)) lines.push_back(std::move(l));
  for (const std::string& l : lines_of(standing_lines(sheet))) lines.push_back(l.substr(2));
  lines.emplace_back(kWidth, '=');
  return lines;
}

/// Puts a block on the sheets; where it is parted, its heading and the heads of the columns are said again.
void put_block(Pages& pages, const StakeBlock& block, const std::string& head) {
  const std::vector<std::string> before = lines_of(block.before);
  const std::string heading = block.heading.substr(0, block.heading.size() - 1);
  const std::size_t whole = before.size() + 2 + block.rows.size();
  const std::size_t start = before.size() + 2 + std::min<std::size_t>(block.rows.size(), 3);
  if (!pages.fits(start) || (!pages.fits(whole) && pages.fits_empty(whole))) pages.next();
  for (const std::string& l : before) pages.line(l);
  pages.line(head);
  pages.line(heading);
  for (const std::string& row : block.rows) {
    const std::vector<std::string> lines = lines_of(row);
    if (!pages.fits(lines.size())) {
      pages.next();
      pages.line(head);
      pages.line(cut(heading, kWidth - 12) + " (continued)");
    }
    for (const std::string& l : lines) pages.line(l);
  }
  pages.blank();
}

}  // namespace

std::string stake_text(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation) {
  if (!sheet.result->orientation)
    return fmt::format(
        "STAKE OUT from setup {}\n  no orientation is known: nothing can be staked out from here\n",
        sheet.setup);
  const Notes notes = notes_of(sheet);
  const StakeWidths w = widths_of(sheet);
  std::string text = fmt::format("{}\n{}  {}\n", cut(sheet_name(sheet), kWidth), standing_lines(sheet),
                                 cut(job_name(sheet), kWidth - 2));
  for (const std::string& l : crew_lines(sheet)) text += "  " + l + "\n";
  text += intro(sheet, notes, unit, notation) + "\n" + table_head(w) + "\n";
  for (const StakeBlock& b : blocks_of(sheet, notes, w, unit, notation)) {
    if (!b.before.empty()) text += "\n" + b.before;
    text += b.heading;
    for (const std::string& row : b.rows) text += row;
  }
  return text;
}

std::string stake_sheets(const StakeSheet& sheet, LengthUnit unit, std::optional<AngleNotation> notation) {
  const Notes notes = notes_of(sheet);
  const StakeWidths w = widths_of(sheet);
  Pages pages(sheet_head(sheet, 999999, 999999).size());
  for (std::string& l : lines_of(intro(sheet, notes, unit, notation))) pages.line(std::move(l));
  pages.blank();
  const std::string head = table_head(w);
  for (const StakeBlock& b : blocks_of(sheet, notes, w, unit, notation)) put_block(pages, b, head);
  std::vector<std::string> cautions = lines_of(cautions_text());
  if (!pages.fits(cautions.size())) pages.next();
  for (std::string& l : cautions) pages.line(std::move(l));
  return pages.sheets([&](std::size_t page, std::size_t count) { return sheet_head(sheet, page, count); });
}

std::string plan_text(const StakeSheet& sheet, const PlannedSetup& planned,
                      std::span<const std::string_view> targets, std::size_t rounds, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  const std::string_view small = short_unit(unit);
  std::string text =
      fmt::format("PLAN of setup {}: {}N {} E {} {}\n", sheet.setup,
                  sheet.mark.empty() ? "" : fmt::format("over {}, ", sheet.mark),
                  shown(r.at.at.northing, unit), shown(r.at.at.easting, unit), unit_word(unit));
  text += folded("  ", "    ",
                 fmt::format("sighting {} in two faces, {}, with distances", fmt::join(targets, ", "),
                             plural(rounds, "round", "rounds")));
  text += fmt::format("  would be good to (95 %): place {} {}, orientation {}\n",
                      short_length(radius95(r.plan_covariance()), unit), small,
                      turn_words(*r.sd_orientation() * kSds95));
  text += fmt::format("  {}\n", plural(planned.degrees_of_freedom, "spare reading", "spare readings"));
  text += fact_lines(planned.facts, {sheet.setup, {}}, unit);
  std::vector<const StakeEntry*> outside;
  const StakeEntry* worst = nullptr;
  for (const StakeEntry& e : sheet.entries) {
    if (e.row->flags.weak) outside.push_back(&e);
    if (!worst || radius95(e.row->covariance) > radius95(worst->row->covariance)) worst = &e;
  }
  if (sheet.entries.empty())
    text += "  no mark has a place on site yet: none is judged\n";
  else
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
    text += fmt::format(
        "  {:>9} {} {:<5} {:>11}\n", outside[i]->number, column(outside[i]->point, 16),
        outside[i]->level == StakeLevel::deck ? "deck" : "floor",
        length_words_beyond(radius95(outside[i]->row->covariance), sheet.options.tolerance, unit));
  if (outside.size() > kNamed)
    text += fmt::format("  and {} more: see plan-{}.csv\n", outside.size() - kNamed, sheet.setup);
  return text;
}

}  // namespace deckmark
