// Bays, runs, crossings, trapezes, pieces, cuts and parts in words.
#include <fmt/format.h>

#include <algorithm>

#include "pages/parts.h"
#include "report/overhead_text.h"
#include "stages/along_runs.h"
#include "stages/member_marks.h"
#include "stages/parts.h"

namespace deckmark {

namespace {

std::string bays_words(const BaysStated& stated, const LaidOut& laid, LengthUnit unit) {
  const Decks* decks = laid.heights.decks();
  if (!decks || !decks->fitted.by_bay) return "";
  std::vector<BayLine> bays;
  for (std::size_t b = 0; b < stated.names.size(); ++b) {
    const auto& fit = decks->fitted.fits[b];
    const Point<Site> corner = laid.placed.fit.site_from_drawing(stated.outlines[b].corners()[0]);
    bays.push_back({stated.names[b], fit ? fit->residuals.size() : 0,
                    decks->fitted.decks[b].elevation_at(corner).above_datum()});
  }
  std::vector<StepLine> steps;
  for (const BayStep& s : decks->steps)
    steps.push_back({stated.names[s.first], stated.names[s.second], s.up});
  return bays_text(bays, steps, unit);
}

/// The widest space between hangers of a run; none with one hanger, but round a ring.
std::optional<Length> widest_space(const RunFound& run) {
  std::optional<Length> out;
  const auto take = [&](Length space) { out = std::max(out.value_or(Length::metres(0)), space); };
  for (std::size_t i = 1; i < run.hangers.size(); ++i) take(run.hangers[i].along - run.hangers[i - 1].along);
  if (run.path.is_closed() && !run.hangers.empty())
    take(run.hangers.front().along + run.path.length() - run.hangers.back().along);
  return out;
}

HungRunLine run_line(const OverheadJob& stated, const LaidOut& laid, std::size_t r) {
  const RunFound& run = laid.overhead.runs[r];
  HungRunLine line{stated.runs[r].name,
                   kRunKindWords[static_cast<std::size_t>(stated.runs[r].kind)],
                   run.path.length(),
                   run.hangers.size(),
                   0,
                   widest_space(run),
                   run.path.radius()};
  for (const HangerOnRun& h : run.hangers) line.bridged += !laid.marks.has_deck_point(h.mark);
  line.hangers -= line.bridged;
  if (run.path.radius()) line.chord = run.path.chord(), line.rise = run.path.rise();
  const auto members = laid.overhead.members.of(r);
  if (members.size() > 1 || std::ranges::any_of(members, [&](const Member& m) {
        return abs(m.length() - run.path.length()) > Length::millimetres(0.5);
      }))
    for (const Member& m : members)
      line.members.push_back({word_of(m.side), m.length(), word_of(m.start), word_of(m.finish),
                              hanging_order(stated, laid.overhead, m)});
  return line;
}

std::string runs_words(const OverheadJob& stated, const LaidOut& laid, LengthUnit unit) {
  std::vector<HungRunLine> lines;
  for (std::size_t r = 0; r < laid.overhead.runs.size(); ++r) lines.push_back(run_line(stated, laid, r));
  return lines.empty() ? "" : runs_text(lines, unit);
}

/// At a corner of two pairs that turn alike: how far one member ends before it and the other behind it.
std::optional<Length> corner_reach(const Overhead& overhead, const Crossing& c) {
  const auto reach = [&](std::size_t run, AtEnd end) -> std::optional<Length> {
    const auto members = overhead.members.of(run);
    if (members.size() < 2) return std::nullopt;
    const auto beyond = [&](const Member& m) {
      return end == AtEnd::start ? -m.from : m.to - overhead.runs[run].path.length();
    };
    if (abs(beyond(members[0]) + beyond(members[1])) > Length::millimetres(0.01)) return std::nullopt;
    return abs(beyond(members[0]));
  };
  const auto one = reach(c.first, *c.first_end), other = reach(c.second, *c.second_end);
  if (!one || !other || abs(*one - *other) > Length::millimetres(0.01)) return std::nullopt;
  return one;
}

std::string crossings_words(const OverheadJob& stated, const Overhead& overhead, LengthUnit unit) {
  std::vector<CrossingLine> lines;
  for (const Crossing& c : overhead.crossings) {
    lines.push_back({stated.runs[c.first].name, stated.runs[c.second].name, c.along_first, c.along_second,
                     c.angle, c.mitre});
    CrossingLine& line = lines.back();
    if (c.is_corner()) line.allowance = corner_reach(overhead, c);
    if (c.through) line.through = stated.runs[*c.through].name;
    line.is_tee = c.is_tee();
  }
  return crossings_text(lines, unit);
}

std::string trapezes_words(const LaidOut& laid, LengthUnit unit) {
  std::vector<TrapezeLine> lines;
  for (const TrapezeFound& t : laid.overhead.trapezes)
    lines.push_back({laid.numbers.of(t.hanger), laid.marks->names[t.hanger],
                     laid.overhead.obstruction_names[t.trapeze.obstruction],
                     t.trapeze.supports ? std::optional(t.trapeze.span) : std::nullopt});
  return trapezes_text(lines, unit);
}

/// A hanger's number, and whether it hangs on a trapeze.
std::string hanger_words(const LaidOut& laid, std::uint32_t mark) {
  const std::string_view other = in_place_of_drop(laid.marks, laid.overhead, mark);
  return fmt::format("{}{}{}", laid.numbers.of(mark), other.empty() ? "" : " ", other);
}

std::string piece_mark_words(const OverheadJob& stated, const LaidOut& laid, std::size_t m,
                             const PieceMark& mark) {
  const Overhead& overhead = laid.overhead;
  const auto other_run = [&] {
    const MemberMeeting& at = overhead.members.meetings[mark.index];
    return stated.runs[overhead.members.members[at.through == m ? at.cut : at.through].run].name;
  };
  switch (mark.what) {
    case PieceMark::What::hanger:
      return hanger_words(laid, overhead.runs[overhead.members.members[m].run].hangers[mark.index].mark);
    case PieceMark::What::joint:
      return "joint";
    case PieceMark::What::crossing:
      return "crossing " + other_run();
    case PieceMark::What::notch:
      return "notch " + other_run();
    case PieceMark::What::end:
      return "end";
  }
  return {};
}

std::string pieces_words(const OverheadJob& stated, const LaidOut& laid, LengthUnit unit) {
  std::vector<PieceLine> lines;
  const Overhead& overhead = laid.overhead;
  for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
    const MemberPieces& of = overhead.pieces[m];
    const Member& member = overhead.members.members[m];
    const std::size_t first = lines.size();
    for (std::size_t p = 0; p < of.names.size(); ++p)
      lines.push_back({of.names[p],
                       stated.runs[member.run].name,
                       word_of(member.side),
                       (of.laid.pieces[p].to - of.laid.pieces[p].from) * member.stretch,
                       {}});
    for (const PieceMark& k : of.marks)
      lines[first + k.piece].marks.push_back({piece_mark_words(stated, laid, m, k), k.along_piece});
  }
  return pieces_text(lines, unit);
}

std::string cuts_words(const CutOptions& options, const MarkTable& marks, const CutsFound* found,
                       LengthUnit unit) {
  if (!found) return "";
  std::vector<CutLine> cuts;
  for (std::size_t i = 0; i < found->marks.size(); ++i)
    if (found->cuts[i]) cuts.push_back({marks.runs[found->marks[i]], *found->cuts[i]});
  const CutListResult& list = found->list;
  return cut_text(
      cuts,
      {list.pieces.size(), list.lower_bound, list.pieces.empty() ? std::nullopt : options.stock, list.waste},
      unit);
}

}  // namespace

std::string overhead_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                          const CutsFound* cuts, const BillFound* bill) {
  std::string text;
  const auto add = [&](const std::string& part) {
    if (!part.empty()) text += (text.empty() ? "" : "\n") + part;
  };
  add(bays_words(laid.overhead.bays, laid, head.site_unit));
  add(runs_words(stated, laid, head.drawing_unit));
  add(crossings_words(stated, laid.overhead, head.drawing_unit));
  add(trapezes_words(laid, head.drawing_unit));
  add(pieces_words(stated, laid, head.drawing_unit));
  add(cuts_words(stated.cut, *laid.marks, cuts, head.site_unit));
  add(parts_text(all_parts(stated, laid.marks, laid.overhead, cuts, bill), head.site_unit));
  return text;
}

}  // namespace deckmark
