#include "report/overhead_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>

#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kTold = 60;  // lines of one kind, then a count
constexpr std::size_t kName = 18;  // characters of a name where two stand in one line

std::string more(std::size_t all, std::string_view file) {
  return all > kTold ? fmt::format("  and {} more: see {}\n", all - kTold, file) : "";
}

/// A length for a saw or a tape: feet-inches to 1/16, or three decimals of a metre.
std::string taped(Length value, LengthUnit unit) {
  if (unit == LengthUnit::metre) return fixed(value.metres(), 3);
  if (unit == LengthUnit::feet_inches || unit == LengthUnit::foot) return feet_inches_text(value, 16);
  return fixed(in_unit(value, unit), unit == LengthUnit::millimetre ? 0 : 2);
}
std::string_view taped_unit(LengthUnit unit) {
  return unit == LengthUnit::foot || unit == LengthUnit::feet_inches ? "feet-inches" : unit_word(unit);
}

}  // namespace

namespace {

/// `    members: left 14.300, right 14.500; hang from R2`, and how they end.
std::string members_text(const HungRunLine& run, LengthUnit unit) {
  std::string text = "    members:";
  for (const MemberLine& m : run.members)
    text += fmt::format("{} {}{}{}", &m == run.members.data() ? "" : ",", m.member,
                        m.member.empty() ? "" : " ", taped(m.length, unit));
  const MemberLine& first = run.members.front();
  text += first.order == "first"    ? run.members.size() > 1 ? "; hang the inside one first" : ""
          : first.order == "middle" ? "; hang from the middle"
                                    : "; hang " + cut(first.order, kName);
  text += "\n";
  if (run.kind != "ring") text += fmt::format("    start {}, finish {}\n", first.start, first.finish);
  return text;
}

}  // namespace

std::string runs_text(std::span<const HungRunLine> runs, LengthUnit unit) {
  std::string text =
      fmt::format("RUNS: lengths in {}; space is the widest\n  {} {} {:>14} {:>8} {:>14}\n", taped_unit(unit),
                  column("run", 16), column("kind", 5), "length", "hangers", "space");
  for (std::size_t i = 0; i < runs.size() && i < kTold; ++i) {
    const HungRunLine& r = runs[i];
    text += fmt::format("  {} {} {:>14} {:>8} {:>14}\n", column(r.run, 16), column(r.kind, 5),
                        taped(r.length, unit), r.hangers, r.space ? taped(*r.space, unit) : "-");
    if (r.bridged > 0)
      text += fmt::format("    and {} in an obstruction: TRAPEZES below\n",
                          plural(r.bridged, "hanger", "hangers"));
    if (r.radius)
      text += fmt::format("    radius {}, {} {}, rise {}{}\n", taped(*r.radius, unit),
                          r.kind == "ring" ? "diameter" : "chord", taped(*r.chord, unit),
                          taped(*r.rise, unit), ": check on the floor");
    if (!r.members.empty()) text += members_text(r, unit);
  }
  return text + more(runs.size(), "points.csv");
}

std::string crossings_text(std::span<const CrossingLine> crossings, LengthUnit unit) {
  if (crossings.empty()) return "";
  std::string text = "CROSSINGS AND CORNERS: distances along each run from its start\n";
  for (std::size_t i = 0; i < crossings.size() && i < kTold; ++i) {
    const CrossingLine& c = crossings[i];
    const std::string where =
        fmt::format("  {} at {} and {} at {}:", cut(c.first, kName), taped(c.along_first, unit),
                    cut(c.second, kName), taped(c.along_second, unit));
    const std::string what =
        c.mitre ? fmt::format("corner of {} degrees, mitre {}", fixed(c.angle.degrees(), 2),
                              fixed(c.mitre->degrees(), 2))
                : fmt::format("{} at {} degrees; {} goes through", c.is_tee ? "meet" : "cross",
                              fixed(c.angle.degrees(), 2), cut(c.through, kName));
    text += fmt::format("{}{}{}\n", where, shown_width(where) + what.size() + 1 > kColumns ? "\n    " : " ",
                        what);
    if (c.allowance)
      text += fmt::format("    members: the inside one ends {} before the corner, the outside one beyond\n",
                          taped(*c.allowance, unit));
  }
  return text + more(crossings.size(), "crossings.csv");
}

std::string trapezes_text(std::span<const TrapezeLine> trapezes, LengthUnit unit) {
  if (trapezes.empty()) return "";
  std::string text = "TRAPEZES: hangers whose deck point lies in an obstruction\n";
  for (std::size_t i = 0; i < trapezes.size() && i < kTold; ++i) {
    const TrapezeLine& t = trapezes[i];
    text += fmt::format("  {:>9} {} in {}", t.number, column(t.point, 16), column(t.obstruction, 16));
    text +=
        t.span ? fmt::format(" span {}, -a to -b\n", taped(*t.span, unit)) : " no clear place within reach\n";
  }
  return text + more(trapezes.size(), "trapeze.csv") +
         "  Spans are geometry: structural adequacy belongs to the engineer of record.\n";
}

std::string bays_text(std::span<const BayLine> bays, std::span<const StepLine> steps, LengthUnit unit) {
  std::string text = "DECK in bays\n";
  for (std::size_t i = 0; i < bays.size() && i < kTold; ++i)
    text += fmt::format(
        "  {} {} {}, {}\n", column(bays[i].bay, 16),
        fixed(in_unit(bays[i].elevation, unit), unit == LengthUnit::millimetre ? 1 : 4), unit_word(unit),
        bays[i].shots ? "plane through " + plural(bays[i].shots, "shot", "shots") + ", at its first corner"
                      : "stated level");
  for (std::size_t i = 0; i < steps.size() && i < kTold; ++i)
    text += abs(steps[i].up) < Length::millimetres(0.05)
                ? fmt::format("  no step from {} to {}\n", cut(steps[i].first, kName),
                              cut(steps[i].second, kName))
                : fmt::format("  step from {} to {}: {} {}\n", cut(steps[i].first, kName),
                              cut(steps[i].second, kName), steps[i].up > Length::metres(0) ? "up" : "down",
                              length_words(abs(steps[i].up), unit));
  return text + more(std::max(bays.size(), steps.size()), "points.csv");
}

std::string pieces_text(std::span<const PieceLine> pieces, LengthUnit unit) {
  if (pieces.empty()) return "";
  std::string text =
      fmt::format("PIECES: mark on top before it goes up, from the piece's start, in {}\n", taped_unit(unit));
  for (std::size_t i = 0; i < pieces.size() && i < kTold; ++i) {
    const PieceLine& p = pieces[i];
    text += fmt::format("  {} on {}{}{}, {} long\n", cut(p.piece, kName), cut(p.run, kName),
                        p.member.empty() ? "" : " ", p.member, taped(p.length, unit));
    std::vector<std::string> words;
    for (const PieceMarkLine& m : p.marks)
      words.push_back(fmt::format("{} {}", taped(m.along, unit), cut(m.what, 50)));
    if (!words.empty()) text += word_lines(words, "    ");
  }
  return text + more(pieces.size(), "piece-marks.csv");
}

std::string cut_text(std::span<const CutLine> cuts, const CutSummary& summary, LengthUnit unit) {
  if (cuts.empty()) return "";
  std::string text = fmt::format("CUT LIST: {} in {}, count and length\n", plural(cuts.size(), "cut", "cuts"),
                                 taped_unit(unit));
  if (summary.stock) {
    const Length all = static_cast<double>(summary.pieces) * *summary.stock;
    text += fmt::format("  {} of {}; fewer than {} cannot do; waste {} % of the length\n",
                        plural(summary.pieces, "stock piece", "stock pieces"), taped(*summary.stock, unit),
                        summary.lower_bound, fixed(summary.pieces ? 100 * (summary.waste / all) : 0, 1));
  }
  // By run and by length, the longest first; lengths that read alike are one.
  std::vector<std::string_view> runs;
  std::map<std::string_view, std::map<std::int64_t, std::pair<std::string, std::size_t>, std::greater<>>>
      by_run;
  std::map<std::int64_t, std::pair<std::string, std::size_t>, std::greater<>> by_length;
  std::map<std::string, std::int64_t> first_of;
  for (const CutLine& c : cuts) {
    const std::string words = taped(c.cut, unit);
    const auto key = first_of.emplace(words, static_cast<std::int64_t>(c.cut.metres() * 1e7)).first->second;
    if (!by_run.contains(c.run)) runs.push_back(c.run);
    for (auto* table : {&by_run[c.run], &by_length}) {
      auto& [shown, count] = (*table)[key];
      shown = words;
      ++count;
    }
  }
  const auto listed = [](const auto& table) {
    std::vector<std::string> words;
    words.reserve(table.size());
    for (const auto& [key, line] : table) words.push_back(fmt::format("{} x {}", line.second, line.first));
    if (words.size() > kTold) {
      const std::size_t left = words.size() - kTold;
      words.resize(kTold);
      words.push_back(fmt::format("and {} more lengths", left));
    }
    return word_lines(words, "    ");
  };
  for (std::size_t i = 0; i < runs.size() && i < kTold; ++i)
    text += fmt::format("  {}\n", runs[i].empty() ? std::string("no run") : "run " + cut(runs[i], 60)) +
            listed(by_run[runs[i]]);
  if (runs.size() > 1) text += "  all by length\n" + listed(by_length);
  return text + more(runs.size(), "hangers.csv");
}

std::string parts_text(std::span<const PartLine> parts, LengthUnit unit) {
  std::string text;
  std::size_t width = 10;  // of a name; the program's own words have no more
  for (const PartLine& p : parts) width = std::max(width, std::min<std::size_t>(shown_width(p.part), 40));
  std::size_t all = 0;
  for (const PartLine& p : parts)
    if (p.count > 0 && p.member.empty() && ++all <= kTold)
      text += fmt::format("  {:>7} {} {}\n", p.count, column(p.part, width),
                          p.length ? length_words(*p.length, unit) + " in all" : "");
  // No blank at the end of a line.
  for (std::size_t at = 0; (at = text.find(" \n", at)) != std::string::npos;)
    text.erase(at, 1), at = at > 0 ? at - 1 : 0;
  return text.empty() ? "" : "PARTS: to hold against the bill of materials\n" + text + more(all, "parts.csv");
}

}  // namespace deckmark
