#include "pages/overhead_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

#include "stages/along_runs.h"

namespace deckmark {

namespace {

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
  for (const Member& m : laid.overhead.members.of(r))
    line.members.push_back({word_of(m.side), m.length(), word_of(m.start), word_of(m.finish), m.order,
                            m.order == HangFirst::from ? stated.runs[m.from_run].name : std::string_view()});
  return line;
}

/// At a corner of two pairs that turn alike: how far one member ends before it and the other behind it.
/// Nothing where they end square.
std::optional<Length> corner_reach(const Overhead& overhead, const Crossing& c) {
  constexpr Length kSquare = Length::millimetres(0.05);
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
  if (!one || !other || abs(*one - *other) > Length::millimetres(0.01) || *one < kSquare) return std::nullopt;
  return one;
}

/// A hanger's number, and whether it hangs on a trapeze.
std::string hanger_words(const LaidOut& laid, std::uint32_t mark) {
  const std::string_view other = in_place_of_drop(laid.marks, laid.overhead, mark);
  return fmt::format("{}{}{}", laid.numbers.of(mark), other.empty() ? "" : " ", other);
}

/// Writes what is marked on the pieces of one member after the other.
class Labels {
 public:
  Labels(const OverheadJob& stated, const LaidOut& laid)
      : stated_(stated), laid_(laid), overhead_(laid.overhead) {
    for (const Crossing& c : overhead_.crossings) {
      if (c.first_end) met_at_.emplace(std::pair(c.first, *c.first_end), &c);
      if (c.second_end) met_at_.emplace(std::pair(c.second, *c.second_end), &c);
    }
    for (const SiteCutFound& c : overhead_.site_cuts) cuts_.emplace(std::tuple(c.run, c.piece, c.member), &c);
  }

  void add(std::size_t m, PieceLines& out) const {
    const MemberPieces& of = overhead_.pieces[m];
    const std::size_t first = out.lines.size();
    for (std::size_t p = 0; p < of.names.size(); ++p)
      if (out.all++ < kLabels) out.lines.push_back(line(m, p));
    for (const PieceMark& k : of.marks)
      if (first + k.piece < out.lines.size())
        out.lines[first + k.piece].marks.push_back({words(m, k), k.along_piece});
  }

 private:
  const Member& member(std::size_t m) const { return overhead_.members.members[m]; }
  std::string_view run_name(std::size_t r) const { return stated_.runs[r].name; }

  PieceLine line(std::size_t m, std::size_t p) const {
    const MemberPieces& of = overhead_.pieces[m];
    const Member& on = member(m);
    PieceLine out{of.names[p], run_name(on.run), word_of(on.side),
                  (of.laid.pieces[p].to - of.laid.pieces[p].from) * on.stretch};
    const auto at = cuts_.find(std::tuple(on.run, of.names[p], on.side));
    if (at == cuts_.end()) return out;
    out.cut = at->second->amount;
    out.is_cut_allowed = at->second->is_allowed;
    out.cut_end = word_of(at->second->end);
    return out;
  }

  std::string words(std::size_t m, const PieceMark& mark) const {
    switch (mark.what) {
      case PieceMark::What::hanger:
        return hanger_words(laid_, overhead_.runs[member(m).run].hangers[mark.index].mark);
      case PieceMark::What::joint: {
        const auto& names = overhead_.pieces[m].names;
        return fmt::format("joint to {}", names[(mark.piece + 1) % names.size()]);
      }
      case PieceMark::What::crossing:
        return fmt::format("crossing {}", other_run(m, mark));
      case PieceMark::What::notch:
        return fmt::format("notch {}", other_run(m, mark));
      case PieceMark::What::end:
        return end_words(member(m), mark.index == 0 ? AtEnd::start : AtEnd::finish);
    }
    return {};
  }

  std::string_view other_run(std::size_t m, const PieceMark& mark) const {
    const MemberMeeting& at = overhead_.members.meetings[mark.index];
    return run_name(member(at.through == m ? at.cut : at.through).run);
  }

  std::string end_words(const Member& on, AtEnd end) const {
    const RunEnd kind = end == AtEnd::start ? on.start : on.finish;
    if (kind != RunEnd::joined) return kind == RunEnd::wall ? "end at the wall" : "free end";
    const auto at = met_at_.find(std::pair(on.run, end));
    if (at == met_at_.end()) return "end";
    const Crossing& c = *at->second;
    return fmt::format("{} {}", c.is_corner() ? "corner" : "end on",
                       run_name(c.first == on.run ? c.second : c.first));
  }

  const OverheadJob& stated_;
  const LaidOut& laid_;
  const Overhead& overhead_;
  std::map<std::pair<std::size_t, AtEnd>, const Crossing*> met_at_;
  std::map<std::tuple<std::size_t, std::string, MemberSide>, const SiteCutFound*> cuts_;
};

}  // namespace

std::vector<HungRunLine> run_lines(const OverheadJob& stated, const LaidOut& laid) {
  std::vector<HungRunLine> lines;
  for (std::size_t r = 0; r < laid.overhead.runs.size(); ++r) lines.push_back(run_line(stated, laid, r));
  return lines;
}

std::vector<CrossingLine> crossing_lines(const OverheadJob& stated, const Overhead& overhead) {
  std::vector<bool> is_notched(overhead.crossings.size(), false);
  for (const MemberMeeting& at : overhead.members.meetings)
    if (!at.through_ends && (overhead.members.members[at.through].side != MemberSide::single ||
                             overhead.members.members[at.cut].side != MemberSide::single))
      is_notched[at.crossing] = true;
  std::vector<CrossingLine> lines;
  for (const Crossing& c : overhead.crossings) {
    lines.push_back({stated.runs[c.first].name, stated.runs[c.second].name, c.along_first, c.along_second,
                     c.angle, c.mitre});
    CrossingLine& line = lines.back();
    if (c.is_corner()) {
      line.allowance = corner_reach(overhead, c);
      line.is_square = c.is_crowded;
      const bool is_pair = overhead.members.of(c.first).size() > 1,
                 is_other_pair = overhead.members.of(c.second).size() > 1;
      if (is_pair != is_other_pair) {
        line.through = is_pair ? line.second : line.first;
        line.cut = is_pair ? line.first : line.second;
      }
    }
    if (c.through) line.through = stated.runs[*c.through].name, line.cut = stated.runs[c.cut()].name;
    line.is_tee = c.is_tee();
    line.is_notched = is_notched[lines.size() - 1];
  }
  return lines;
}

PieceLines piece_lines(const OverheadJob& stated, const LaidOut& laid) {
  PieceLines out;
  const Labels labels(stated, laid);
  for (std::size_t m = 0; m < laid.overhead.pieces.size(); ++m) labels.add(m, out);
  return out;
}

}  // namespace deckmark
