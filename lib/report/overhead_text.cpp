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

std::string more(std::size_t all, std::size_t told, std::string_view file) {
  return all > told ? fmt::format("  and {} more: see {}\n", all - told, file) : "";
}
std::string more(std::size_t all, std::string_view file) { return more(all, kTold, file); }

}  // namespace

std::string taped(Length value, LengthUnit unit) {
  if (unit == LengthUnit::metre) return fixed(value.metres(), 3);
  if (unit == LengthUnit::feet_inches || unit == LengthUnit::foot) return feet_inches_text(value, 16);
  return fixed(in_unit(value, unit), unit == LengthUnit::millimetre ? 0 : 2);
}
std::string_view taped_unit(LengthUnit unit) {
  return unit == LengthUnit::foot || unit == LengthUnit::feet_inches ? "feet-inches" : unit_word(unit);
}

std::string pair_words(std::string_view by, bool is_curved, bool is_all) {
  return fmt::format("two members{}, {} {}", is_all ? "" : " where they reach", by,
                     is_curved ? "inside and outside" : "left and right");
}

std::string hanging_words(const HungRunLine& run) {
  if (run.members.empty()) return "";
  const MemberLine& one = run.members.front();
  if (one.order == HangFirst::middle) return "begin in the middle";
  if (one.order == HangFirst::from) return fmt::format("begin at {}", cut(one.from_run, kName));
  if (run.members.size() < 2) return "";
  const auto first = std::ranges::find(run.members, HangFirst::first, &MemberLine::order);
  return first == run.members.end() ? "" : fmt::format("hang the {} one first", first->member);
}

namespace {

/// `    left 14.300, right 14.500; start wall, finish joined; begin at R2`. Nothing of a single
/// member as long as its run whose ends are free.
std::string members_text(const HungRunLine& run, LengthUnit unit) {
  if (run.members.empty()) return "";
  const MemberLine& one = run.members.front();
  const bool is_pair = run.members.size() > 1, is_longer = taped(one.length, unit) != taped(run.length, unit);
  if (!is_pair && !is_longer && one.start == "free" && one.finish == "free") return "";
  std::string text;
  for (const MemberLine& m : run.members)
    if (is_pair || is_longer)
      text += fmt::format("{}{} {}", text.empty() ? "" : ", ", m.member.empty() ? "its member" : m.member,
                          taped(m.length, unit));
  const auto add = [&](const std::string& words) {
    if (!words.empty()) text += (text.empty() ? "" : "; ") + words;
  };
  if (run.kind != "ring")
    add(one.start == one.finish ? fmt::format("both ends {}", one.start)
                                : fmt::format("start {}, finish {}", one.start, one.finish));
  add(hanging_words(run));
  return folded("    ", "    ", text);
}

}  // namespace

std::string runs_text(std::span<const HungRunLine> runs, LengthUnit unit) {
  if (runs.empty()) return "";
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
    text += members_text(r, unit);
  }
  return text + more(runs.size(), "points.csv");
}

std::string crossing_words(const CrossingLine& c) {
  const std::string angle = fixed(c.angle.degrees(), 2);
  if (c.is_square) return fmt::format("corner of {} degrees, all end square", angle);
  if (c.mitre && !c.through.empty())
    return fmt::format("corner of {} degrees; members of {} end on {}", angle, cut(c.cut, kName),
                       cut(c.through, kName));
  if (c.mitre) return fmt::format("corner of {} degrees, mitre {}", angle, fixed(c.mitre->degrees(), 2));
  const std::string through = cut(c.through, kName), other = cut(c.cut, kName);
  if (c.is_tee)
    return fmt::format("{} ends on {} at {} degrees{}", other, through, angle,
                       c.is_notched ? fmt::format("; {} is notched", through) : "");
  return fmt::format("cross at {} degrees; {} goes through{}", angle, through,
                     c.is_notched ? ", notched" : "");
}

std::string crossings_text(std::span<const CrossingLine> crossings, LengthUnit unit) {
  if (crossings.empty()) return "";
  std::string text = "CROSSINGS AND CORNERS: distances along each run from its start\n";
  for (std::size_t i = 0; i < crossings.size() && i < kTold; ++i) {
    const CrossingLine& c = crossings[i];
    const std::string where =
        fmt::format("  {} at {} and {} at {}:", cut(c.first, kName), taped(c.along_first, unit),
                    cut(c.second, kName), taped(c.along_second, unit));
    const std::string what = crossing_words(c);
    text += shown_width(where) + shown_width(what) + 1 > kColumns
                ? where + "\n" + folded("    ", "    ", what)
                : fmt::format("{} {}\n", where, what);
    if (c.allowance)
      text += folded("    ", "    ",
                     fmt::format("members: the inside one ends {} before the corner, the outside one beyond",
                                 taped(*c.allowance, unit)));
  }
  return text + more(crossings.size(), "crossings.csv");
}

std::string trapezes_text(std::span<const TrapezeLine> trapezes, LengthUnit unit) {
  if (trapezes.empty()) return "";
  std::string text = "TRAPEZES: hangers whose deck point lies in an obstruction\n";
  for (std::size_t i = 0; i < trapezes.size() && i < kTold; ++i) {
    const TrapezeLine& t = trapezes[i];
    const bool is_long = shown_width(t.obstruction) > 16;  // a no-drill zone: what follows gets its own line
    text += fmt::format("  {:>9} {} in {}", t.number, column(t.point, 16),
                        is_long ? cut(t.obstruction, 48) + "\n           " : column(t.obstruction, 16));
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

std::string label_head(const PieceLine& piece, LengthUnit unit) {
  return fmt::format("{} on {}{}{}, {}", cut(piece.piece, 30), cut(piece.run, kName),
                     piece.member.empty() ? "" : " ", piece.member, taped(piece.length, unit));
}

std::vector<std::string> label_words(const PieceLine& piece, LengthUnit unit) {
  std::vector<std::string> words;
  if (piece.cut && piece.is_cut_allowed)
    words.push_back(fmt::format("from {} cut {} off its {}", taped(piece.length + *piece.cut, unit),
                                taped(*piece.cut, unit), piece.cut_end));
  else if (piece.cut)
    words.push_back(fmt::format("{} too long and not to be cut: ask", taped(*piece.cut, unit)));
  for (const PieceMarkLine& m : piece.marks)
    words.push_back(fmt::format("{} {}", taped(m.along, unit), cut(m.what, 50)));
  return words;
}

std::string pieces_text(const PieceLines& pieces, LengthUnit unit) {
  if (pieces.lines.empty()) return "";
  std::string text = fmt::format("PIECES: lines for labels. Cut, then mark from the piece's start, in {}\n",
                                 taped_unit(unit));
  for (const PieceLine& p : pieces.lines) {
    std::vector<std::string> words = label_words(p, unit);
    const std::string head = label_head(p, unit);
    // The head and its first word stay together where a line holds both.
    if (!words.empty() && shown_width(head) + shown_width(words[0]) + 8 < kColumns) {
      words[0] = head + ": " + words[0];
      text += word_lines(words, "    ").substr(2);
    } else {
      text += fmt::format("  {}{}\n", head, words.empty() ? "" : ":");
      if (!words.empty()) text += word_lines(words, "    ");
    }
  }
  return text + more(pieces.all, pieces.lines.size(), "piece-marks.csv");
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
