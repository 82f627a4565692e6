#include "report/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

std::string deck_text(const Deck& deck, const DeckResult* shots, DeckMeasured measured, Elevation floor,
                      LengthUnit unit, std::string_view towards) {
  std::string text = "DECK\n";
  const int decimals = unit == LengthUnit::millimetre ? 1 : 4;
  if (!shots && !measured.alone) {
    const Elevation level =
        deck.elevation_at(Point<Site>{{.northing = Length::metres(0), .easting = Length::metres(0)}});
    text += fmt::format("  stated level {} {}\n", fixed(in_unit(level.above_datum(), unit), decimals),
                        unit_word(unit));
  } else if (shots) {
    text += fmt::format("  plane through {}, rms {} {}", plural(shots->residuals.size(), "shot", "shots"),
                        short_length(shots->rms, unit), short_unit(unit));
    if (deck.slope() > 1e-6)
      text += fmt::format("\n  it rises 1:{} towards {}", fixed(1 / deck.slope(), 0), towards);
    text += "\n";
    if (!shots->far.empty())
      text += fmt::format("  {} further from the fitted deck than the flatness\n",
                          plural(shots->far.size(), "shot stands", "shots stand"));
  }
  if (measured.marks > 0)
    text += fmt::format("  measured at {}: there it counts as measured\n",
                        plural(measured.marks, "point", "points"));
  text += fmt::format("  floor {} {} (the design floor, not the slab under the mark)\n",
                      fixed(in_unit(floor.above_datum(), unit), decimals), unit_word(unit));
  return text;
}

namespace {

/// What this check can tell: twice its largest sd against the tolerance.
std::string how_good(std::span<const PlumbLine> lines, const PlumbOptions& options, LengthUnit unit) {
  Length sd = Length::metres(0);
  for (const PlumbLine& l : lines) sd = std::max(sd, l.row->sd);
  const std::string_view small = short_unit(unit);
  if (2.0 * sd > options.tolerance)
    return fmt::format("  good to {} {} (95 %), more than the tolerance: this check decides nothing\n",
                       short_length(2.0 * sd, unit), small);
  return fmt::format("  good to {} {} (95 %), where half the tolerance is {} {}\n",
                     short_length(2.0 * sd, unit), small, short_length(0.5 * options.tolerance, unit), small);
}

/// The marks that were made with the housing turned, and the worst of them.
std::string turns_text(std::span<const PlumbLine> lines, LengthUnit unit) {
  std::size_t count = 0;
  const PlumbLine* most = nullptr;
  std::optional<Length> apart;
  for (const PlumbLine& l : lines) {
    if (!l.turns) continue;
    ++count;
    if (!most || l.turns->lean > most->turns->lean) most = &l;
    if (l.turns->apart) apart = std::max(apart.value_or(Length::metres(0)), *l.turns->apart);
  }
  if (count == 0) return "";
  std::string text = fmt::format("{} made with the laser turned: the beam leans {}{}{}; turned, it cancels",
                                 plural(count, "mark", "marks"), count == 1 ? "" : "up to ",
                                 length_words(most->turns->lean, unit),
                                 most->row->rise ? " at " + spoken_length(*most->row->rise, unit) : "");
  if (apart)
    text += fmt::format("; the means of 0, 180 and of 90, 270 agree within {}", length_words(*apart, unit));
  return folded("  ", "    ", text);
}

}  // namespace

std::string plumb_text(std::span<const PlumbLine> lines, const PlumbOptions& options, LengthUnit unit) {
  const std::string_view small = short_unit(unit);
  std::string text = "PLUMB CHECK: deck mark against floor mark\n";
  text += fmt::format("  permitted: {} {}", short_length(options.tolerance, unit), small);
  text += options.slope ? fmt::format(", and a slope of {} over the drop (a bigger n is better)\n",
                                      slope_words(*options.slope))
                        : "; no slope over the drop is stated\n";
  if (!options.own_tolerance)
    text += fmt::format("  {} {} is the default where the job states none: common practice, no source\n",
                        short_length(options.tolerance, unit), small);
  text +=
      fmt::format("  {:>9} {} {:>8} {:>8} {:>8} {:>7} {:>8}  {}\n", "no.", column("point", 14),
                  "dx " + std::string(small), "dy " + std::string(small), "offset", "sd", "slope", "verdict");
  for (const PlumbLine& l : lines) {
    const PlumbRow& r = *l.row;
    text += fmt::format("  {:>9} {} {:>8} {:>8} {:>8} {:>7} {:>8}  {}\n", l.number, column(l.point, 14),
                        short_length(r.off.by.x, unit), short_length(r.off.by.y, unit),
                        r.by_tolerance == Verdict::outside
                            ? short_length_beyond(r.offset, options.tolerance, unit)
                            : short_length(r.offset, unit),
                        short_length(r.sd, unit),
                        r.ratio ? fmt::format("1:{}", *r.ratio >= 1000 ? "1000+" : fixed(*r.ratio, 1)) : "-",
                        verdict_word(r.verdict));
  }
  text += turns_text(lines, unit);
  text += how_good(lines, options, unit);
  return text;
}

std::string check_text(std::uint32_t first, std::uint32_t last, Length apart, std::optional<Azimuth> way,
                       bool shows_exchange, LengthUnit unit, std::string_view north,
                       const std::optional<std::pair<std::uint32_t, Length>>& before) {
  std::string text = "CHECK THE LOADED LIST with the instrument's inverse, floor mark to floor mark\n";
  if (first == last || !way)
    return text + "  one place only: nothing to check against; shoot a control point instead\n";
  const int decimals = unit == LengthUnit::millimetre ? 1 : 4;
  text += fmt::format("  {} to {}: distance {} {}\n", first, last, fixed(in_unit(apart, unit), decimals),
                      unit_word(unit));
  if (before)
    text += fmt::format("  issue {} had {} {} there: a list that shows that is an old one\n", before->first,
                        fixed(in_unit(before->second, unit), decimals), unit_word(unit));
  text += fmt::format("  {} to {}: azimuth  {} from {}\n", first, last, dms_text(*way, 1), north);
  if (!shows_exchange)
    text += "  north and east exchanged would read the same here: shoot a control point too\n";
  return text;
}

std::string sheet_check_text(std::uint32_t first, std::uint32_t last, std::string_view apart,
                             const std::optional<std::pair<std::uint32_t, std::string>>& before,
                             std::string_view offsets) {
  std::string text = "CHECK THE SHEET with the tape, floor mark to floor mark\n";
  if (first == last)
    text += "  one place only: nothing to tape\n";
  else
    text += fmt::format("  {} to {}: {}\n", first, last, apart);
  if (first != last && before)
    text += fmt::format("  issue {} had {} there: a sheet that shows that is an old one\n", before->first,
                        before->second);
  text += fmt::format("  the sheet's head says offsets.csv {}: any other sheet is an old one\n", offsets);
  return text;
}

std::string headed(std::string_view title, std::string_view storey) {
  return fmt::format("{}{}{}", title, title.empty() || storey.empty() ? "" : ", ", storey);
}

std::string storey_line(std::string_view storey) {
  return storey.empty() ? "" : fmt::format("STOREY: {}\n\n", visible(storey));
}

std::string provenance_text(std::string_view program, std::string_view title, std::string_view revision,
                            std::span<const InputLine> inputs) {
  std::string text =
      fmt::format("PROVENANCE\n  made by {}\n  job: {}\n  revision: {}\n  read:\n", program,
                  title.empty() ? "(no title)" : title, revision.empty() ? "(none stated)" : revision);
  for (const InputLine& in : inputs)
    text += fmt::format("  {}\n    sha256 {}\n", visible(in.name), in.sha256);
  return text;
}

std::string check_overview(const JobCounts& counts, std::size_t doubts) {
  std::string text = plural(counts.points, "drawing point", "drawing points");
  if (counts.ties) text += ", " + plural(counts.ties, "tie", "ties");
  if (counts.shots) text += ", " + plural(counts.shots, "deck shot", "deck shots");
  if (counts.deck_marks) text += ", " + plural(counts.deck_marks, "deck mark", "deck marks");
  if (counts.deck_readings > counts.deck_marks) text += fmt::format(" ({} readings)", counts.deck_readings);
  if (counts.control) text += ", " + plural(counts.control, "control point", "control points");
  if (counts.level) text += ", " + plural(counts.level, "level reading", "level readings");
  if (counts.laser) text += ", " + plural(counts.laser, "laser reading", "laser readings");
  return "READ\n" + folded("  ", "  ", text) +
         fmt::format("  {}; nothing was written\n",
                     doubts ? plural(doubts, "doubt", "doubts") + " (see above)" : "no doubts");
}

std::vector<std::string> verdict_lines(std::string_view verdict, std::size_t width) {
  if (verdict.empty() || verdict.starts_with(kReady)) return {};
  constexpr std::size_t kMost = 8;  // a sheet has 60 lines
  std::vector<std::string> lines = wrapped(verdict, width, verdict.size() + 1);
  if (lines.size() > kMost) {
    lines.resize(kMost - 1);
    lines.emplace_back("... the rest of it: deckmark check");
  }
  for (std::size_t i = 1; i < lines.size(); ++i) lines[i].insert(0, "  ");
  return lines;
}

std::string verdict_head(std::string_view verdict) {
  std::string text;
  for (const std::string& line : verdict_lines(verdict)) text += line + "\n";
  return text.empty() ? text : text + "\n";
}

std::string cautions_text() {
  return "CAUTIONS\n"
         "  Anchors are structural: hanger type, load, spacing and anchor belong to the\n"
         "  engineer of record and the local code. Before drilling a deck, locate tendons,\n"
         "  reinforcement and services. Never look into a laser. Work at height under the\n"
         "  site's rules. Numbers are computed; a licensed person signs for them.\n";
}

}  // namespace deckmark
