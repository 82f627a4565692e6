#include "report/instrument_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "adjust/statistics.h"
#include "measure/decimal.h"
#include "measure/verdict.h"
#include "report/instrument_pieces.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

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

/// What an observation is off by, in words, and the smallest error of it that would have shown.
struct OffWords {
  std::string off, finds;
};
OffWords off_words(const SightRow& r, LengthUnit unit) {
  const auto along = [&](double amount) {
    return r.quantity == Quantity::circle ? r.reach * amount : Length::metres(amount);
  };
  const Length off = r.quantity == Quantity::circle ? along(r.circle_residual.radians()) : r.length_residual;
  std::string_view more = "right", less = "left";
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

/// What a setup has of spare readings: in a net a share of them.
std::string spare_words(double share, std::size_t count) {
  if (share == 0 || std::fabs(share - static_cast<double>(count)) < 0.05)
    return plural(count, "spare reading", "spare readings");
  return fmt::format("{} spare readings", fixed(share, 1));
}

/// How the readings beyond those needed agree.
std::string spare_line(const SetupResult& r, bool details) {
  const auto is = [&](SetupFactKind kind) {
    return std::ranges::any_of(r.facts, [kind](const SetupFact& f) { return f.kind == kind; });
  };
  const double factor = r.variance_factor.value_or(0);
  std::string text =
      fmt::format("  {} in plan; they {}", spare_words(r.share ? r.share->plan : 0, r.degrees_of_freedom),
                  agreement_words(factor, is(SetupFactKind::misfit_high)  ? Agreement::worse
                                          : is(SetupFactKind::misfit_low) ? Agreement::better
                                                                          : Agreement::as_stated));
  if (details) text += fmt::format(" (variance factor {})", fixed(factor, 2));
  if (r.height_degrees_of_freedom > 0)
    text += fmt::format("\n  {} in height",
                        spare_words(r.share ? r.share->height : 0, r.height_degrees_of_freedom));
  return text + "\n";
}

std::string quality_lines(const SetupSheet& sheet, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  const std::string_view small = short_unit(unit);
  std::string text =
      fmt::format("  good to (95 %): place {} {}", short_length(radius95(r.plan_covariance()), unit), small);
  if (r.axis())
    text += fmt::format(", height of the axis {} {}", short_length(kSds95 * r.sd_axis(), unit), small);
  if (const auto sd = r.sd_orientation())
    text += *sd == Angle::degrees(0) ? std::string(", orientation as stated")
                                     : fmt::format(", orientation {}", turn_words(*sd * kSds95));
  const ErrorEllipse e = error_ellipse(r.plan_covariance());
  text += fmt::format("\n  error ellipse of the place (1 sd): {} by {} {}, long towards azimuth {}\n",
                      short_length(e.semi_major, unit), short_length(e.semi_minor, unit), small,
                      fixed(e.azimuth.degrees(), 0));
  if (r.degrees_of_freedom > 0)
    text += spare_line(r, sheet.details);
  else
    text += "  no spare reading: NOT CHECKED by any other sight\n";
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
  return "  errors of the instrument, taken out where two faces were read:\n" +
         folded("    ", "    ", fmt::format("{}", fmt::join(parts, ", ")));
}

std::string row_lines(const SetupSheet& sheet, const SightNames& names, LengthUnit unit) {
  const SetupResult& r = *sheet.result;
  if (r.rows.empty()) return "";
  std::string text = fmt::format("\n  {} {} {} {:>8} {:>7} {:>7}  {}\n", column("sighted", 11),
                                 column("read", 8), column("off", 21), "times sd", "checked",
                                 fmt::format("finds {}", short_unit(unit)), "verdict");
  std::size_t last = static_cast<std::size_t>(-1);
  for (const SightRow& row : r.rows) {
    const OffWords words = off_words(row, unit);
    text += fmt::format("  {} {} {} {:>8} {:>7} {:>7}  {}\n",
                        column(row.sight == last ? "" : names.sight(row.sight), 11),
                        column(quantity_word(row.quantity), 8), column(words.off, 21),
                        row.standardised ? fixed(std::fabs(*row.standardised), 1) : "-",
                        fixed(row.redundancy, 2), words.finds, verdict_word(row.verdict));
    last = row.sight;
  }
  return text +
         "  off: as read against the setup, at the target; right or left as you look.\n"
         "  checked: 0 where no other sight would show an error, up to 1.\n"
         "  finds: the smallest error of this reading that the others would show.\n";
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

std::string_view part_words(CheckedPart part) {
  return part == CheckedPart::across  ? " across the sight alone"
         : part == CheckedPart::along ? " along the sight alone"
                                      : "";
}

std::string check_lines(const SetupSheet& sheet, LengthUnit unit) {
  if (sheet.checks.empty()) return "";
  std::string text = fmt::format("\n  marks of the list that were sighted, permitted {} {} in plan:\n",
                                 short_length(sheet.tolerance, unit), short_unit(unit));
  for (const CheckLine& c : sheet.checks)
    text += fmt::format("  {:>9} {} off by {} {}{}  {}\n", c.number, column(c.point, 16),
                        short_length(c.miss, unit), short_unit(unit), part_words(c.part),
                        verdict_word(c.verdict));
  return text;
}

}  // namespace

std::string setup_text(const SetupSheet& sheet, const SightNames& names, LengthUnit unit,
                       std::optional<AngleNotation> notation) {
  const SetupResult& r = *sheet.result;
  std::string text = fmt::format("SETUP {}, {}: {}\n", names.setup, place_text(sheet.place, sheet.mark),
                                 verdict_word(sheet.verdict));
  for (const Wrong& w : r.wrong) text += folded("  WRONG: ", "    ", wrong_text(w, names, unit));
  std::vector<SetupFact> facts = r.facts;
  // What is wrong has been said; that the sights disagree then says no more.
  if (!r.wrong.empty())
    std::erase_if(facts, [](const SetupFact& f) { return f.kind == SetupFactKind::misfit_high; });
  text += fact_lines(facts, names, unit);
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
    text += "  no orientation is known: no stake list, no side shots from here\n";
  text += quality_lines(sheet, unit);
  text += error_lines(sheet.reduction->errors);
  return text + row_lines(sheet, names, unit) + check_lines(sheet, unit) + shot_lines(sheet, names, unit);
}

}  // namespace deckmark
