#include "stages/strings.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "adjust/solve.h"
#include "baseline/length_slips.h"
#include "baseline/moves.h"
#include "report/words.h"
#include "stages/length_slips.h"

namespace deckmark {

namespace {

constexpr std::string_view kField = "offsets.strings";
constexpr Angle kOneLine = Angle::degrees(1);  // strings that cross flatter lie on one line

/// `B1 to B2, B1 to B3 and B2 to B3`.
std::string listed(const std::vector<std::string>& items) {
  if (items.size() < 2) return items.empty() ? "" : items.front();
  return fmt::format("{} and {}", fmt::join(items.begin(), items.end() - 1, ", "), items.back());
}

std::string pair_words(std::string_view a, std::string_view b) { return fmt::format("{} to {}", a, b); }

/// The marks of the strings in the net; nothing where one is in no length.
std::optional<std::vector<std::size_t>> in_net(const std::vector<std::string>& names, const TapedNet& net) {
  std::vector<std::size_t> out;
  for (const std::string& name : names) {
    const auto mark = net.find(name);
    if (!mark) return std::nullopt;
    out.push_back(*mark);
  }
  return out;
}

bool is_taped(const TapedNet& net, std::size_t a, std::size_t b) {
  return std::ranges::any_of(net.sides, [&](const MeasuredSide& s) {
    return (s.from == a && s.to == b) || (s.from == b && s.to == a);
  });
}

/// Of the three lengths between the marks those that nobody taped.
std::vector<std::string> not_taped(const std::vector<std::string>& names, const TapedNet& net) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < names.size(); ++i)
    for (std::size_t j = i + 1; j < names.size(); ++j) {
      const auto a = net.find(names[i]), b = net.find(names[j]);
      if (!a || !b || !is_taped(net, *a, *b)) out.push_back(pair_words(names[i], names[j]));
    }
  return out;
}

/// The corner marks, which are taped before anything is marked. One that belongs to a hanger is marked anew
/// with its run, unless a string hangs on it.
std::vector<std::uint32_t> standing_marks(const std::vector<std::string>& strings, const FoundBy& by) {
  std::vector<std::uint32_t> out;
  const JobMarks& marks = by.laid.marks;
  for (const std::string& name : strings)
    if (const auto m = marks.index->find(name)) out.push_back(*m);
  if (by.figure)
    for (const std::size_t taped : by.figure->marks)
      if (const auto m = marks.index->find(by.net->names[taped]); m && marks->is_reference(*m))
        out.push_back(*m);
  std::ranges::sort(out);
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

/// The network of a mark. REQUIRES a mark that a length begins or ends at.
std::size_t network_of(const Checked& checked, std::size_t mark) {
  for (std::size_t s = 0; s < checked.net.sides.size(); ++s)
    if (checked.net.sides[s].from == mark || checked.net.sides[s].to == mark)
      return checked.together.network[s];
  return 0;
}

/// A length that, taped too, lets every other one be checked.
std::string more_to_tape(const std::vector<std::string>& names, const TapedNet& net,
                         const std::vector<std::size_t>& marks, const LengthFigure& figure) {
  constexpr std::size_t kMostMarks = 12;  // beyond, the search is felt
  if (figure.marks.size() <= kMostMarks)
    for (const std::size_t a : figure.marks)
      for (const std::size_t b : figure.marks) {
        if (a >= b || is_taped(net, a, b)) continue;
        std::vector<MeasuredSide> sides = net.sides;
        sides.push_back({a, b, {distance(net.places[a], net.places[b]), sides.front().length.sd}});
        const auto more = length_figure(sides, net.places, marks);
        if (more && more->is_fixed && more->unchecked.empty())
          return fmt::format("tape {} too", pair_words(net.names[a], net.names[b]));
      }
  return fmt::format("tape from a fourth mark to {} too", listed(names));
}

/// Why the lengths do not check the strings, and what to tape; empty where they do.
std::string not_checked(const std::vector<std::string>& names, const Checked* checked,
                        const LengthFigure* figure) {
  const TapedNet none;
  const TapedNet& net = checked ? checked->net : none;
  if (const auto missing = not_taped(names, net); !missing.empty() && !(figure && figure->is_fixed))
    return fmt::format("no lengths fix the strings: tape {}", listed(missing));
  if (!figure)
    return checked->together.all_tested ? "the taped lengths contradict one another"
                                        : "too many marks hang together by lengths to hold them against one "
                                          "another";
  const std::vector<std::size_t> marks = *in_net(names, net);
  if (checked->together.contradicts[network_of(*checked, marks.front())])
    return "the taped lengths contradict one another";
  if (!figure->unchecked.empty())
    return fmt::format("no other length checks {}: {}", sides_words(net, figure->unchecked),
                       more_to_tape(names, net, marks, *figure));
  return "";
}

/// What is wrong with three marks that are known.
std::optional<Fault> fault_of(const std::vector<FromMark>& m, const StringLines& lines) {
  const auto string_of = [&](std::size_t end) { return fmt::format("{}-{}", m[0].name, m[end].name); };
  if (lines.crossing() < kOneLine)
    return Fault{fmt::format("{}, {} and {} on one line", m[0].name, m[1].name, m[2].name),
                 "three marks that make a corner", ""};
  if (lines.crossing() < StringLines::kLeastCrossing)
    return Fault{fmt::format("strings {} and {} that cross at {} degrees", string_of(1), string_of(2),
                             degrees_words(lines.crossing())),
                 fmt::format("strings that cross at {:.0f} degrees or more (common practice, no source): "
                             "flatter ones make much of a tape's error",
                             StringLines::kLeastCrossing.degrees()),
                 ""};
  if (lines.are_exchanged())
    return Fault{
        fmt::format("string {} along Y and {} along X", string_of(1), string_of(2)),
        "where the strings cross, the end of the one along X, the end of the one along Y",
        fmt::format("[{}, {}, {}]", in_quotes(m[0].name), in_quotes(m[2].name), in_quotes(m[1].name))};
  return std::nullopt;
}

/// A taped mark that lies as far as two degrees off the axis from where the strings cross; of several the one
/// that lies farthest.
std::string meant_mark(const std::vector<FromMark>& m, std::size_t end, const FoundBy& by,
                       const Checked* checked) {
  constexpr Angle kAlong = Angle::degrees(2);
  std::string best;
  Length farthest = kHair;
  for (const std::string& name : checked ? checked->net.names : std::vector<std::string>{}) {
    const auto mark = find_mark(by, name);
    if (!mark || same_name(name, m[end].name) || distance(mark->at, m[0].at) <= farthest) continue;
    // The other end does not matter for the angle asked.
    const StringLines lines(m[0].at, mark->at, mark->at, by.laid.placed.fit.site_from_drawing);
    if ((end == 1 ? lines.off_x() : lines.off_y()) > kAlong) continue;
    best = mark->name;
    farthest = distance(mark->at, m[0].at);
  }
  return best;
}

/// Strings that run off the drawing's axes: a mark's name is mistyped, or a diagonal was taken.
void doubt_leaning(const std::vector<FromMark>& m, const StringLines& lines, const FoundBy& by,
                   const Checked* checked, const Where& where, Messages& told) {
  constexpr Angle kLeans = Angle::degrees(5);  // common practice, no source
  const Angle off[] = {lines.off_x(), lines.off_y()};
  const auto tell = [&](std::string text) {
    told.doubt("strings off the axes", where, kField, std::move(text));
  };
  if (off[0] > kLeans && off[1] > kLeans && lines.crossing() > Angle::degrees(90) - kLeans)
    return tell(
        fmt::format("strings {0}-{1} and {0}-{2} run {3} degrees off X and Y: distances are square to "
                    "the strings, not along X and Y; are these marks meant?",
                    m[0].name, m[1].name, m[2].name, degrees_words(off[0])));
  for (const std::size_t end : {std::size_t{1}, std::size_t{2}}) {
    if (off[end - 1] <= kLeans) continue;
    const std::string meant = meant_mark(m, end, by, checked);
    tell(fmt::format("string {}-{} runs {} degrees off {}: is {} meant?", m[0].name, m[end].name,
                     degrees_words(off[end - 1]), end == 1 ? "X" : "Y", meant.empty() ? m[end].name : meant));
  }
}

/// Where the distance between two marks of the strings comes from.
SpanFrom span_from(const std::string& a, const std::string& b, const StringsFound& strings, const FoundBy& by,
                   const Checked* checked) {
  if (!strings.alone) {
    const auto is_measured = [&](const std::string& name) {
      return std::ranges::any_of(by.baselines.ties,
                                 [&](const NamedTie& t) { return same_name(t.name, name); }) ||
             !by.laid.marks.index->find(name);  // else control
    };
    return is_measured(a) && is_measured(b) ? SpanFrom::found : SpanFrom::nothing;
  }
  if (!by.figure || !checked->slip.empty()) return SpanFrom::nothing;
  const std::size_t from = *checked->net.find(a), to = *checked->net.find(b);
  if (checked->together.contradicts[network_of(*checked, from)]) return SpanFrom::nothing;
  if (is_taped(checked->net, from, to)) return SpanFrom::found;
  return by.figure->is_fixed ? SpanFrom::other_lengths : SpanFrom::nothing;
}

/// Lengths between marks, with the marks' names.
struct Corners {
  std::vector<MeasuredSide> sides;
  std::vector<Point<Drawing>> places;
  std::vector<std::string> names;
};

/// The lengths of the network that holds the strings' marks, as far as others check them: one that nothing
/// checks moves no mark.
Corners taped_corners(const Checked& checked, std::size_t network) {
  Corners out{{}, checked.net.places, checked.net.names};
  for (std::size_t s = 0; s < checked.net.sides.size(); ++s)
    if (checked.together.network[s] == network && checked.together.redundancy[s] > kNoRedundancy)
      out.sides.push_back(checked.net.sides[s]);
  return out;
}

/// The lengths between the strings' marks as the ties found them; nothing where one is no tie.
std::optional<Corners> tied_corners(const StringsFound& strings, const FoundBy& by) {
  const Placed& placed = by.laid.placed;
  if (!placed.baseline) return std::nullopt;
  Corners out;
  std::vector<const Tie*> ties;
  for (const FromMark& m : strings.marks) {
    const auto tie =
        std::ranges::find_if(by.baselines.ties, [&](const NamedTie& t) { return same_name(t.name, m.name); });
    if (tie == by.baselines.ties.end()) return std::nullopt;
    ties.push_back(&tie->tie);
    out.places.push_back(place_of(tie->tie, *placed.baseline));
    out.names.push_back(m.name);
  }
  const double scale = placed.fit.site_from_drawing.parts().scale;
  for (std::size_t i = 0; i < ties.size(); ++i)
    for (std::size_t j = i + 1; j < ties.size(); ++j)
      out.sides.push_back({i,
                           j,
                           {distance(ties[i]->at, ties[j]->at) / scale,
                            hypot(hypot(ties[i]->sd_x, ties[i]->sd_y) / std::sqrt(2.0),
                                  hypot(ties[j]->sd_x, ties[j]->sd_y) / std::sqrt(2.0))}});
  return out;
}

/// Whether lengths are within what is permitted, and the squareness that they give.
AllWithin within_of(const Corners& corners, const FoundBy& by, const Checked* checked) {
  const SquarenessResult* square = squareness_of(&by.laid.placed, checked);
  const SquarenessOptions& options = by.baselines.square;
  return [&corners, &options, square](std::span<const MeasuredSide> after) {
    for (const MeasuredSide& s : after) {
      const Length drawn = distance(corners.places[s.from], corners.places[s.to]);
      if (abs(s.length.value - drawn) > length_limit(options.setout, drawn, options.tolerance).permitted)
        return false;
    }
    if (!square || !(square->shorter > kHair)) return true;
    LengthsTogether agreeing;
    agreeing.network.assign(after.size(), 0);
    agreeing.contradicts.assign(1, false);
    const auto corner = find_corner(after, agreeing, corners.places, square->shorter, options);
    return !corner || abs(*corner->square.deviation_over) <= corner->square.limit.permitted;
  };
}

/// Lengths that are off by more than marks are moved.
std::string far_off(const Checked& checked, std::size_t network) {
  std::vector<std::size_t> far;
  const TapedNet& net = checked.net;
  for (std::size_t s = 0; s < net.sides.size(); ++s) {
    const MeasuredSide& side = net.sides[s];
    const Length off = side.length.value - distance(net.places[side.from], net.places[side.to]);
    if (checked.together.network[s] == network && abs(off) > kMostMove) far.push_back(s);
  }
  if (far.empty()) return "";
  return fmt::format(
      "{} {} off by more than a mark is moved ({:.0f} mm; common practice, no source): misread, or "
      "held to another mark? Tape {} again.",
      sides_words(net, far), far.size() == 1 ? "is" : "are", kMostMove.millimetres(),
      far.size() == 1 ? "it" : "them");
}

/// The moves of the fewest marks, or what to do in their place.
void advise(const Corners& corners, const FoundBy& by, const Checked* checked, CornersFound& out) {
  if (corners.sides.empty()) return;
  const MovesResult found = marks_to_move(corners.sides, corners.places,
                                          out.any_outside ? within_of(corners, by, checked) : AllWithin{});
  const bool is_far =
      std::ranges::any_of(found.moves, [](const MarkMove& m) { return abs(m.move) > kMostMove; });
  if (!is_far)
    for (const MarkMove& m : found.moves)
      out.moves.push_back({corners.names[m.mark], corners.names[m.toward], m.move});
  if (out.any_outside && (is_far || !found.is_explained))
    out.instead = "Moving a few corners would not put it right: hold the tape against another one first.";
}

bool any_outside(const Placed& placed, const Checked* checked) {
  const SquarenessResult* square = squareness_of(&placed, checked);
  return (checked && !checked->outside.empty()) || (square && square->verdict == Verdict::outside) ||
         (placed.baseline && has_outside(*placed.baseline));
}

}  // namespace

std::optional<LengthFigure> figure_of_strings(const std::vector<std::string>& names, const Checked* checked) {
  if (!checked) return std::nullopt;
  const auto marks = in_net(names, checked->net);
  return marks ? length_figure(checked->net.sides, checked->net.places, *marks) : std::nullopt;
}

std::optional<StringsFound> find_strings(const Stated<std::vector<std::string>>& stated, const FoundBy& by,
                                         const Checked* checked, Messages& told) {
  const auto refuse = [&](const Fault& fault) { told.problem(stated.at, kField, fault); };
  std::vector<FromMark> marks;
  for (const std::string& name : *stated) {
    auto mark = find_mark(by, name);
    const bool again = std::ranges::any_of(marks, [&](const FromMark& m) { return same_name(m.name, name); });
    if (!mark)
      refuse({in_quotes(name), std::string(kFoundMarks), ""});
    else if (again)
      refuse({in_quotes(name) + " again", "three different marks", ""});
    else
      marks.push_back(std::move(*mark));
  }
  if (marks.size() != 3) return std::nullopt;
  for (std::size_t i = 0; i < marks.size(); ++i)
    for (std::size_t j = i + 1; j < marks.size(); ++j)
      if (distance(marks[i].at, marks[j].at) <= kHair) {
        refuse({fmt::format("{} and {} at one place", marks[i].name, marks[j].name),
                "three marks apart from each other", ""});
        return std::nullopt;
      }
  const StringLines lines(marks[0].at, marks[1].at, marks[2].at, by.laid.placed.fit.site_from_drawing);
  if (const auto fault = fault_of(marks, lines)) {
    refuse(*fault);
    return std::nullopt;
  }
  doubt_leaning(marks, lines, by, checked, stated.at, told);
  StringsFound out{std::move(marks), lines, by.laid.placed.by == SitePlace::as_drawn};
  if (out.alone) {
    out.not_checked = not_checked(*stated, checked, by.figure);
    out.stand = standing_marks(*stated, by);
  }
  const auto span = [&](std::size_t a, std::size_t b) {
    return span_from(out.marks[a].name, out.marks[b].name, out, by, checked);
  };
  out.spans = {span(0, 1), span(0, 2), span(1, 2)};
  return out;
}

CornersFound find_corner_moves(const StringsFound& strings, const FoundBy& by, const Checked* checked) {
  CornersFound out;
  out.any_outside = any_outside(by.laid.placed, checked);
  std::vector<std::string> names;
  for (const FromMark& m : strings.marks) names.push_back(m.name);
  const auto marks = checked ? in_net(names, checked->net) : std::nullopt;
  if (checked && !checked->slip.empty()) {
    out.instead = fmt::format("Move no mark yet: {}.", checked->slip);
    return out;
  }
  if (!marks || !length_figure(checked->net.sides, checked->net.places, *marks)) {
    if (const auto corners = tied_corners(strings, by)) advise(*corners, by, checked, out);
    return out;
  }
  const std::size_t network = network_of(*checked, marks->front());
  if (checked->together.contradicts[network]) {
    out.instead = "The lengths contradict one another: tape them again before a mark is moved.";
    return out;
  }
  out.instead = far_off(*checked, network);
  if (out.instead.empty()) advise(taped_corners(*checked, network), by, checked, out);
  if (out.moves.empty() && out.any_outside && !strings.not_checked.empty())
    out.instead = out.instead.empty()
                      ? fmt::format("Move no mark yet: {}. Tape again what is off.", strings.not_checked)
                      : fmt::format("{} Move no mark yet: {}.", out.instead, strings.not_checked);
  return out;
}

}  // namespace deckmark
