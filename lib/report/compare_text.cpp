#include "report/compare_text.h"

#include <fmt/format.h>

#include <cmath>
#include <vector>

#include "measure/decimal.h"
#include "measure/visible_lines.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

std::string issue_name(const CompareWords& w) {
  const IssuedRow& r = w.issues[w.result.issue - 1];
  return r.revision.empty() ? fmt::format("issue {}", r.issue)
                            : fmt::format("issue {}, revision {}", r.issue, visible(r.revision));
}

bool is_last(const CompareWords& w) { return w.result.issue == w.issues.size(); }

std::string value_text(double value, int decimals) {
  return std::isnan(value) ? std::string("nothing") : fixed(value, decimals);
}

std::string who_has(const CompareWords& w) {
  std::string who;
  for (const GivenRow& g : w.given)
    if (g.issue == w.result.issue) who += fmt::format("{}{} on {}", who.empty() ? "" : ", ", g.to, g.on);
  return who.empty() ? "given to nobody that is noted" : "given to " + who;
}

/// What holds for the whole file.
std::vector<std::string> whole_lines(const CompareWords& w) {
  const CompareResult& r = w.result;
  std::vector<std::string> out;
  const LengthUnit list = w.list_unit == LengthUnit::feet_inches ? LengthUnit::foot : w.list_unit;
  if (r.axes_exchanged)
    out.emplace_back(
        "Northing and easting are exchanged in the whole list: swap the two columns and load it again.");
  if (r.unit != list)
    out.push_back(fmt::format("The whole list is in {}; the job's lists are in {}.", unit_word(r.unit),
                              unit_word(list)));
  if (r.control > 0)
    out.push_back(
        fmt::format("{} without a number: control, not looked at.", plural(r.control, "row", "rows")));
  return out;
}

constexpr std::size_t kSlipsTold = 60;

}  // namespace

std::string list_words(const CompareResult& result) {
  const std::string_view level = result.level == ListLevel::floor  ? "floor list"
                                 : result.level == ListLevel::deck ? "deck list"
                                                                   : "list of floor and deck";
  if (result.of_no_run) return fmt::format("{} of the points without a run", level);
  if (!result.run.empty()) return fmt::format("{} of run {}", level, visible(result.run));
  if (!result.crew.empty()) return fmt::format("{} of crew {}", level, visible(result.crew));
  return std::string(level);
}

std::string slip_words(const RowSlip& s) {
  const std::string values = fmt::format("{} {}, listed {}", axis_word(s.axis),
                                         value_text(s.found, s.decimals), value_text(s.listed, s.decimals));
  switch (s.slip) {
    case Slip::digit:
      return fmt::format("one digit changed: {}", values);
    case Slip::rows:
      return fmt::format("exchanged with {}: each has the other's values", s.other);
    case Slip::axes:
      return "northing and easting exchanged";
    case Slip::elevation:
      return fmt::format("the elevation alone: {}", values);
    case Slip::values:
      return fmt::format("another place: {}", values);
    case Slip::gone:
      return "gone: the file has no such row";
    case Slip::extra:
      return "too many: the list has no such row";
    case Slip::twice:
      return "a second row with this number";
  }
  return "";
}

std::string compare_line(const CompareWords& w) {
  const CompareResult& r = w.result;
  const std::string list = fmt::format("the {} of {}", list_words(r), issue_name(w));
  if (r.agrees && is_last(w)) return fmt::format("THE LAST ISSUE: {}", list);
  if (r.agrees) return fmt::format("AN OLD ISSUE: {}; issue {} is the last", list, w.issues.size());
  if (!r.is_known) return "NO LIST OF THIS JOB: no row agrees with any issue";
  if (r.slips.empty()) return fmt::format("NORTHING AND EASTING EXCHANGED: {}", list);
  return fmt::format("NOT AS HANDED OUT: nearest to {}", list);
}

std::string compare_text(const CompareWords& w) {
  const CompareResult& r = w.result;
  std::string out = folded("", "", compare_line(w));
  if (!r.is_known && !r.agrees)
    return out +
           folded("", "",
                  fmt::format("{} with a number were looked for in {}, in every unit.",
                              plural(r.numbers, "row", "rows"), plural(w.issues.size(), "issue", "issues")));
  std::string columns;
  for (std::size_t a = 0; a < kAxes; ++a)
    if (r.has[a])
      columns += fmt::format("{}{}", columns.empty() ? "" : ", ", axis_word(static_cast<Axis>(a)));
  out += folded("", "",
                fmt::format("{} of {} agree in {}, to half the last digit.", r.agreeing,
                            plural(r.numbers, "row", "rows"), columns));
  for (const std::string& line : whole_lines(w)) out += folded("", "", line);
  if (!is_last(w)) {
    out += folded("", "", fmt::format("Issue {} was {}.", r.issue, who_has(w)));
    out += folded("", "",
                  w.changed == 0 ? std::string("None of its numbers has changed since.")
                                 : fmt::format("{} of its numbers {} changed since: load the last issue.",
                                               w.changed, w.changed == 1 ? "has" : "have"));
  }
  for (std::size_t i = 0; i < r.slips.size() && i < kSlipsTold; ++i)
    out += folded(fmt::format("  {}: ", r.slips[i].number), "      ", slip_words(r.slips[i]));
  if (r.slips.size() > kSlipsTold)
    out += fmt::format("  and {} more: --csv has all\n", r.slips.size() - kSlipsTold);
  return out;
}

}  // namespace deckmark
