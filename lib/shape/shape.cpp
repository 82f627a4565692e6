#include "shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "evenness.h"
#include "marks/near_pairs.h"
#include "mends.h"
#include "parallel_runs.h"
#include "run_shape.h"
#include "seen.h"

namespace deckmark {

using namespace shape_detail;

namespace {

constexpr double kLeastTolerance = 0.003, kMostTolerance = 0.008;
constexpr double kLeastRegular = 0.6;   // of the points of longer runs, where shorter ones are judged
constexpr std::ptrdiff_t kFewTold = 4;  // so many may be told whatever the drawing's size
constexpr double kMostTold = 0.08;      // of the points of runs; more are the design's
constexpr double kNeighbours = 1.5;     // metres
constexpr double kMostMoved = 0.5;      // a hanger moved on purpose stays within this
constexpr double kMostApart = 2.5;      // of the centres of rings about one: further is no slip
constexpr std::size_t kMostRings = 200;
constexpr std::size_t kFamiliesAsked = 8;
constexpr double kTwoPi = 2 * std::numbers::pi;

class Look {
 public:
  explicit Look(const ShapeInput& in)
      : in_(in),
        figure_(in.places, in.unit),
        tolerance_(std::clamp(1.2 * figure_.metres(), kLeastTolerance, kMostTolerance)) {
    for (const ShapeLine& l : in.lines) {
      ends_.push_back(l.from);
      ends_.push_back(l.to);
    }
    for (std::uint32_t i = 0; i < ends_.size(); ++i) end_indexes_.push_back(i);
  }

  std::vector<ShapeBreak> breaks() {
    see_runs();
    for (std::uint32_t i = 0; i < runs_.size(); ++i)
      if (!runs_[i].is_stated) look_along(i);
    learn();
    for (std::uint32_t i = 0; i < runs_.size(); ++i) look_at_three(i);
    for (std::size_t f = 0; f < families_.size(); ++f)
      look_at_family(families_[f], runs_, figure_, tolerance_, f < kFamiliesAsked, candidates_);
    look_at_centres();
    vet();
    std::vector<ShapeBreak> out;
    for (const Candidate& c : candidates_) out.push_back(told(c));
    look_at_heights(out);
    return in_order(std::move(out));
  }

 private:
  void see_runs();
  void look_along(std::uint32_t seen);
  void look_at_three(std::uint32_t seen);
  std::vector<Value> along(const Seen& s) const;
  std::vector<Value> around(const Seen& s) const;
  Plan place(const Seen& s, double value) const;
  void take_bay_of_other_end(Seen& s) const;
  Plan by_spacing(const Seen& s, std::uint32_t k) const;
  void tell_off(std::uint32_t seen);
  Plan third(const Seen& s, std::uint32_t k, bool& is_free) const;
  void learn();
  void vet();
  void join_same();
  static bool is_slip(const ShapeBreak& b);
  void drop_designs();
  void drop_moved_together();
  void drop_moved();
  void look_at_centres();
  void drop_either();
  bool is_step(double step) const;
  ShapeBreak told(const Candidate& c) const;
  void mend(ShapeBreak& b, Plan at, Plan expected) const;
  Plan one_axis(const Candidate& c, Plan at) const;
  void look_at_heights(std::vector<ShapeBreak>& out) const;
  void look_at_heights(const Seen& s, std::vector<ShapeBreak>& out) const;
  std::vector<ShapeBreak> in_order(std::vector<ShapeBreak> found) const;
  /// A pattern without rounding in it says to the half millimetre what was meant.
  double mend_tolerance(double expected) const {
    const bool is_exact = std::abs(figure_.rounded(expected) - expected) <= 0.05 * figure_.metres();
    return is_exact ? 0.0005 : std::max(0.0015, 1.01 * figure_.metres());
  }
  std::optional<ShapeMend> mend_of_coordinate(double found, double expected) const {
    return mend_of(found, expected, in_.unit, mend_tolerance(expected), figure_);
  }

  const ShapeInput& in_;
  Figure figure_;
  double tolerance_;
  std::vector<Point<Drawing>> ends_;  // of the lines
  std::vector<std::uint32_t> end_indexes_;
  std::vector<Seen> runs_;
  std::vector<Family> families_;
  std::vector<Candidate> candidates_;
  std::vector<double> steps_;           // of the runs that have one, sorted
  std::size_t points_ = 0;              // of runs
  std::size_t patterns_ = 0;            // runs with a strong one
  std::size_t whole_ = 0, uneven_ = 0;  // runs that keep to theirs, and those that half do
  double regular_ = 0;                  // share of the points of longer runs in such
};

void Look::see_runs() {
  const auto count = static_cast<std::uint32_t>(in_.begins.empty() ? 0 : in_.begins.size() - 1);
  runs_.reserve(count + in_.lines.size());
  for (std::uint32_t r = 0; r < count; ++r) {
    const auto points = in_.points.subspan(in_.begins[r], in_.begins[r + 1] - in_.begins[r]);
    if (points.empty()) continue;
    points_ += points.size();
    runs_.push_back({r, {in_.places, points}, false});
  }
  for (std::uint32_t l = 0; l < in_.lines.size(); ++l)
    runs_.push_back({count + l, {ends_, std::span(end_indexes_).subspan(2 * l, 2)}, true});
  for (Seen& s : runs_) s.shape = shape_of(s.points, tolerance_);
  families_ = families_of(runs_, tolerance_);
}

std::vector<Value> Look::along(const Seen& s) const {
  std::vector<Value> out;
  for (std::uint32_t k = 0; k < s.points.size(); ++k)
    if (!s.shape.is_off(k)) out.push_back({k, dot(s.points[k] - s.shape.at, s.shape.way)});
  return out;
}

/// Along the circle, angles carried on from point to point.
std::vector<Value> Look::around(const Seen& s) const {
  std::vector<Value> out;
  double last = 0;
  for (std::uint32_t k = 0; k < s.points.size(); ++k) {
    if (s.shape.is_off(k)) continue;
    const Plan p = s.points[k] - s.shape.at;
    const double angle = std::atan2(p.y, p.x);
    const double at = out.empty() ? angle : last + std::remainder(angle - last, kTwoPi);
    out.push_back({k, at * s.shape.radius});
    last = at;
  }
  return out;
}

Plan Look::place(const Seen& s, double value) const {
  if (s.shape.kind == RunShape::Kind::line) return s.shape.at + value * s.shape.way;
  const double angle = value / s.shape.radius;
  return s.shape.at + s.shape.radius * Plan{std::cos(angle), std::sin(angle)};
}

void Look::look_along(std::uint32_t seen) {
  Seen& s = runs_[seen];
  if (s.shape.kind == RunShape::Kind::none) return;
  const bool is_line = s.shape.kind == RunShape::Kind::line;
  const std::vector<Value> row = is_line ? along(s) : around(s);
  bool closed = false;
  if (!is_line && row.size() >= 4) {
    // Closed where the way back to the first point is one more space.
    const double gap = kTwoPi * s.shape.radius - std::abs(row.back().at - row.front().at);
    const double space = std::abs(row.back().at - row.front().at) / (row.back().index - row.front().index);
    closed = gap < 1.8 * space;
  }
  s.is_closed = closed;
  s.even = evenness_of(row, tolerance_, closed);
  take_bay_of_other_end(s);
  for (const OddValue& o : s.even.odd) {
    Candidate c{seen, o.index};
    c.expected = place(s, o.expected);
    c.is_weak = s.even.is_weak || s.shape.is_weak, c.is_end = o.is_end, c.is_either = o.is_either;
    candidates_.push_back(c);
  }
  tell_off(seen);
}

/// Where one end has left the line, the other's space, if it differs from the rest, is an end bay by design.
void Look::take_bay_of_other_end(Seen& s) const {
  if (s.shape.kind != RunShape::Kind::line || s.even.kind != Evenness::Kind::even) return;
  const auto last = static_cast<std::uint32_t>(s.points.size() - 1);
  for (const auto& [off, other] : {std::pair(std::uint32_t{0}, last), std::pair(last, std::uint32_t{0})}) {
    if (!s.shape.is_off(off)) continue;
    const std::uint32_t odd_index = other;
    const auto odd = std::find_if(s.even.odd.begin(), s.even.odd.end(),
                                  [&](const OddValue& o) { return o.index == odd_index; });
    if (odd == s.even.odd.end()) continue;
    s.even.end_bays = {std::abs(odd->at - s.even.lattice->at(other == 0 ? 1 : other - 1.0))};
    s.even.odd.erase(odd);
  }
}

/// Where a point of the run stands by its spacing.
Plan Look::by_spacing(const Seen& s, std::uint32_t k) const {
  const Lattice& l = *s.even.lattice;
  const auto last = static_cast<std::uint32_t>(s.points.size() - 1);
  if (s.even.end_bays.empty() || (k != 0 && k != last)) return place(s, l.at(k));
  const double bay = std::copysign(s.even.end_bays.front(), l.step);
  return place(s, k == 0 ? l.at(1) - bay : l.at(last - 1.0) + bay);
}

/// Points that do not keep to the line or circle of their run.
void Look::tell_off(std::uint32_t seen) {
  const Seen& s = runs_[seen];
  for (const std::uint32_t k : s.shape.off) {
    Candidate c{seen, k};
    c.why = s.shape.kind == RunShape::Kind::line ? ShapeWhy::line : ShapeWhy::circle;
    c.is_weak = s.shape.is_weak;
    if (s.even.kind == Evenness::Kind::even)
      c.expected = by_spacing(s, k);
    else if (s.points.size() == 3)
      c.expected = third(s, k, c.is_free);
    else
      c.expected = foot(s.shape, s.points[k]), c.is_free = true;
    candidates_.push_back(c);
  }
}

/// Where the third point of a run of three belongs, the other two being right: as far from them as they from
/// one another, where one coordinate brings it there; else the foot.
Plan Look::third(const Seen& s, std::uint32_t k, bool& is_free) const {
  const Plan a = s.points[k == 0 ? 1 : 0], b = s.points[k == 2 ? 1 : 2], at = s.points[k];
  const Plan even = k == 0 ? 2 * a - b : k == 1 ? 0.5 * (a + b) : 2 * b - a;
  const Plan by = even - at;
  is_free = std::min(std::abs(by.x), std::abs(by.y)) > 2 * tolerance_;
  return is_free ? foot(s.shape, at) : even;
}

/// Which spaces runs have, and how regular the drawing is.
void Look::learn() {
  double all = 0, regular = 0;
  for (const Seen& s : runs_) {
    if (s.is_stated) continue;
    const auto n = static_cast<double>(s.points.size());
    const bool is_even = s.even.kind == Evenness::Kind::even;
    const bool is_whole = is_even && s.even.odd.empty() && s.shape.off.empty();
    if (n >= 3) all += n;
    if ((s.even.kind != Evenness::Kind::none && !s.even.is_weak) || is_whole) {
      regular += n;
      ++patterns_;
    }
    whole_ += is_whole || (s.even.kind == Evenness::Kind::parts && s.even.odd.empty() && s.shape.off.empty());
    // A run that half keeps to one space was even until hangers were moved on purpose.
    uneven_ +=
        s.points.size() >= 5 && s.even.kind == Evenness::Kind::none && 2 * s.even.kept >= s.points.size();
    if (is_even && (s.even.kept >= 4 || is_whole)) steps_.push_back(std::abs(s.even.lattice->step));
  }
  for (const Family& f : families_) {  // runs of two have no spaces: that several lie alike is their pattern
    if (f.members.size() < 3) continue;
    patterns_ += 2;
    whole_ +=
        static_cast<std::size_t>(std::count_if(f.members.begin(), f.members.end(), [this](std::uint32_t m) {
          return !runs_[m].is_stated && runs_[m].points.size() == 2;
        }));
  }
  regular_ = all > 0 ? regular / all : 1;
  std::sort(steps_.begin(), steps_.end());
}

bool Look::is_step(double step) const {
  const auto at = std::lower_bound(steps_.begin(), steps_.end(), step - 2 * tolerance_);
  return at != steps_.end() && *at <= step + 2 * tolerance_;
}

/// A run of three on a line whose spaces differ: other runs' spaces say which point is wrong, else how round
/// they are.
void Look::look_at_three(std::uint32_t seen) {
  const Seen& s = runs_[seen];
  if (s.is_stated || s.points.size() != 3 || s.shape.kind != RunShape::Kind::line || !s.shape.off.empty() ||
      s.even.kind != Evenness::Kind::none)
    return;
  const std::vector<Value> row = along(s);
  const double first = std::abs(row[1].at - row[0].at), last = std::abs(row[2].at - row[1].at),
               mean = std::abs(row[2].at - row[0].at) / 2;
  const bool ways[] = {is_step(last), is_step(mean), is_step(first)};
  std::optional<std::uint32_t> odd;
  if (std::count(std::begin(ways), std::end(ways), true) == 1)
    odd = static_cast<std::uint32_t>(std::find(std::begin(ways), std::end(ways), true) - std::begin(ways));
  else
    odd = rounder(figure_, first, last);
  if (!odd) return;
  const double meant[] = {2 * row[1].at - row[2].at, (row[0].at + row[2].at) / 2, 2 * row[1].at - row[0].at};
  const std::uint32_t k = *odd;
  Candidate c{seen, k};
  c.expected = place(s, meant[k]), c.is_weak = true, c.is_end = k != 1;
  candidates_.push_back(c);
}

/// What several runs have alike is the design's: points moved at one station, ends that differ.
void Look::drop_designs() {
  std::vector<bool> drop(candidates_.size());
  std::vector<std::pair<std::uint32_t, std::pair<double, std::size_t>>> at;  // family, station, candidate
  std::size_t ends = 0;
  for (std::size_t i = 0; i < candidates_.size(); ++i) {
    const Candidate& c = candidates_[i];
    if (c.why != ShapeWhy::spacing || !c.at) continue;
    ends += c.is_end && !c.is_either;
    const Seen& s = runs_[c.seen];
    if (s.family) at.push_back({*s.family, {families_[*s.family].along(s.points[*c.at]), i}});
  }
  std::sort(at.begin(), at.end());
  for (std::size_t i = 0; i + 1 < at.size(); ++i)
    if (at[i].first == at[i + 1].first && at[i + 1].second.first - at[i].second.first <= 2 * tolerance_ &&
        candidates_[at[i].second.second].seen != candidates_[at[i + 1].second.second].seen)
      drop[at[i].second.second] = drop[at[i + 1].second.second] = true;
  if (ends >= 2 && ends * 5 >= std::max<std::size_t>(patterns_, 1))
    for (std::size_t i = 0; i < candidates_.size(); ++i)
      if (candidates_[i].why == ShapeWhy::spacing && candidates_[i].is_end && !candidates_[i].is_either)
        drop[i] = true;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < candidates_.size(); ++i)
    if (!drop[i]) candidates_[kept++] = candidates_[i];
  candidates_.resize(kept);
}

/// Of two ends that differ the one is wrong whose space no other run has.
void Look::drop_either() {
  std::vector<double> bays;
  for (const Seen& s : runs_) bays.insert(bays.end(), s.even.end_bays.begin(), s.even.end_bays.end());
  std::sort(bays.begin(), bays.end());
  const auto is_bay = [&](const Candidate& c) {
    const Seen& s = runs_[c.seen];
    const auto next = static_cast<std::uint32_t>(*c.at == 0 ? 1 : *c.at - 1);
    const double bay = size(s.points[next] - s.points[*c.at]);
    const auto at = std::lower_bound(bays.begin(), bays.end(), bay - 2 * tolerance_);
    const bool shared = s.family && families_[*s.family].shared(families_[*s.family].along(s.points[*c.at]),
                                                                c.seen, tolerance_) > 0;
    return shared || (at != bays.end() && *at <= bay + 2 * tolerance_);
  };
  // Where other runs differ at their last point alone, this one's does so by design.
  std::size_t firsts = 0, lasts = 0;
  for (const Candidate& c : candidates_)
    if (c.is_end && !c.is_either && c.at && c.why == ShapeWhy::spacing) ++(*c.at == 0 ? firsts : lasts);
  const bool differ_first = firsts >= 2 && lasts == 0, differ_last = lasts >= 2 && firsts == 0;
  std::vector<Candidate> kept;
  for (std::size_t i = 0; i < candidates_.size(); ++i) {
    const Candidate& c = candidates_[i];
    const bool has_other = c.is_either && c.at && i + 1 < candidates_.size() &&
                           candidates_[i + 1].is_either && candidates_[i + 1].seen == c.seen &&
                           candidates_[i + 1].at;
    if (!has_other) {
      if (!c.is_either) kept.push_back(c);
      continue;
    }
    const bool first = is_bay(c) || differ_first, last = is_bay(candidates_[i + 1]) || differ_last;
    if (first != last) kept.push_back(first ? candidates_[i + 1] : c);
    ++i;
  }
  candidates_ = std::move(kept);
}

/// Neighbours that are off are moved round something on purpose, unless a slip of the pen explains them.
void Look::drop_moved_together() {
  std::vector<Plan> places;
  std::vector<std::size_t> of;
  for (std::size_t i = 0; i < candidates_.size(); ++i) {
    const Candidate& c = candidates_[i];
    if (!c.at || is_slip(told(c))) continue;
    places.push_back(c.expected);
    of.push_back(i);
  }
  std::vector<Point<Drawing>> at;
  for (const Plan& p : places) at.push_back(point(p));
  std::vector<bool> drop(candidates_.size());
  for (const PairWithin& pair : pairs_within(at, at, Length::metres(kNeighbours)))
    if (pair.of != pair.among) drop[of[pair.of]] = true;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < candidates_.size(); ++i)
    if (!drop[i]) candidates_[kept++] = candidates_[i];
  candidates_.resize(kept);
}

/// Rings about one centre, and one that is not.
void Look::look_at_centres() {
  std::vector<std::uint32_t> rings;
  for (std::uint32_t i = 0; i < runs_.size() && rings.size() <= kMostRings; ++i)
    if (runs_[i].is_closed && runs_[i].shape.off.empty() && runs_[i].points.size() >= 6) rings.push_back(i);
  if (rings.size() < 3 || rings.size() > kMostRings) return;
  for (const std::uint32_t r : rings) {
    std::size_t near = 0, same = 0;
    Plan centre{};
    for (const std::uint32_t o : rings) {
      if (o == r) continue;
      const double apart = size(runs_[o].shape.at - runs_[r].shape.at);
      near += apart <= 2 * tolerance_;
      if (apart > kMostApart) continue;
      if (same == 0) centre = runs_[o].shape.at;
      if (size(runs_[o].shape.at - centre) > 2 * tolerance_) same = rings.size();
      ++same;
    }
    if (near > 0 || same < 2 || same >= rings.size()) continue;
    Candidate c{r};
    c.expected = runs_[r].points[0] + (centre - runs_[r].shape.at);
    c.why = ShapeWhy::pitch;
    candidates_.push_back(c);
  }
}

/// One candidate a point; a run that stands aside across and along is told once.
void Look::join_same() {
  std::size_t kept = 0;
  for (const Candidate& c : candidates_) {
    if (kept == 0 || candidates_[kept - 1].seen != c.seen || candidates_[kept - 1].at != c.at) {
      candidates_[kept++] = c;
      continue;
    }
    Candidate& first = candidates_[kept - 1];
    if (!c.at) first.expected = first.expected + (c.expected - runs_[c.seen].points[0]);
  }
  candidates_.resize(kept);
}

/// Leaves what the rest of the drawing speaks for, one a point.
void Look::vet() {
  std::stable_sort(candidates_.begin(), candidates_.end(), [](const Candidate& a, const Candidate& b) {
    return std::pair(a.seen, a.at) < std::pair(b.seen, b.at);
  });
  join_same();
  drop_either();
  drop_designs();
  drop_moved_together();
  const bool believes_weak = regular_ >= kLeastRegular && patterns_ >= 2;
  std::erase_if(candidates_, [&](const Candidate& c) {
    return (c.is_weak && !believes_weak) || (c.is_far && !is_slip(told(c)));
  });
  const auto points = std::count_if(candidates_.begin(), candidates_.end(),
                                    [](const Candidate& c) { return c.at.has_value(); });
  if (points > kFewTold && static_cast<double>(points) > kMostTold * static_cast<double>(points_))
    std::erase_if(candidates_, [&](const Candidate& c) { return c.at && !is_slip(told(c)); });
  drop_moved();
}

/// Hangers are moved along their run on purpose, to clear something: where runs with one that may be are not
/// few beside those without, that is how the drawing is made.
void Look::drop_moved() {
  const auto may_be_moved = [&](const Candidate& c) {
    return c.at && c.why == ShapeWhy::spacing &&
           size(c.expected - runs_[c.seen].points[*c.at]) <= kMostMoved && !is_slip(told(c));
  };
  std::size_t moved = 0;
  for (std::size_t i = 0; i < candidates_.size(); ++i)
    moved += may_be_moved(candidates_[i]) && (i == 0 || candidates_[i - 1].seen != candidates_[i].seen);
  if ((uneven_ > 0 || moved >= 2) && whole_ < 2 * (moved + uneven_)) std::erase_if(candidates_, may_be_moved);
}

/// Digits exchanged or a foot explain it to the millimetre: hardly a hanger that was moved on purpose.
bool Look::is_slip(const ShapeBreak& b) {
  return b.mend && b.mend->kind != MendKind::one_digit && b.mend->kind != MendKind::inch;
}

/// Places that a change of one coordinate alone brings onto the run.
Plan Look::one_axis(const Candidate& c, Plan at) const {
  const Seen& s = runs_[c.seen];
  if (s.shape.kind != RunShape::Kind::line) return c.expected;
  const Plan way = s.shape.way;
  if (std::min(std::abs(way.x), std::abs(way.y)) < 0.02) return c.expected;
  const double aside = cross(way, at - s.shape.at);  // way.x dy - way.y dx
  const Plan by_x{at.x + aside / way.y, at.y}, by_y{at.x, at.y - aside / way.x};
  const bool x = mend_of_coordinate(at.x, by_x.x).has_value(),
             y = mend_of_coordinate(at.y, by_y.y).has_value();
  return x == y ? c.expected : x ? by_x : by_y;
}

/// Says which coordinate is off, and rounds what is expected of it as the drawing is; where a slip of the pen
/// explains it, what was meant.
void Look::mend(ShapeBreak& b, Plan at, Plan expected) const {
  const bool is_x = std::abs(expected.x - at.x) > tolerance_, is_y = std::abs(expected.y - at.y) > tolerance_;
  Plan e = at;
  b.axis = is_x && is_y ? ShapeAxis::both : is_x ? ShapeAxis::x : ShapeAxis::y;
  if (is_x && is_y && std::abs(at.x - expected.y) <= tolerance_ &&
      std::abs(at.y - expected.x) <= tolerance_) {
    e = {at.y, at.x};
    b.mend = ShapeMend{MendKind::exchanged_xy, Length::metres(at.y)};
  } else {
    if (is_x) e.x = figure_.rounded(expected.x);
    if (is_y) e.y = figure_.rounded(expected.y);
    if (is_x != is_y) {
      b.mend = mend_of_coordinate(is_x ? at.x : at.y, is_x ? expected.x : expected.y);
      if (b.mend) (is_x ? e.x : e.y) = b.mend->meant.metres();
    }
  }
  b.expected = point(e);
  b.off = Length::metres(size(e - at));
}

ShapeBreak Look::told(const Candidate& c) const {
  const Seen& s = runs_[c.seen];
  const std::uint32_t k = c.at.value_or(0);
  const Plan at = s.points[k];
  ShapeBreak b{s.run, std::nullopt, point(at), Length::metres(0), c.why, ShapeAxis::x, std::nullopt};
  if (c.at) b.point = s.points.index(k);
  mend(b, at, c.is_free ? one_axis(c, at) : c.expected);
  return b;
}

/// Heights of one run: where most state the same one, those few that do not.
void Look::look_at_heights(const Seen& s, std::vector<ShapeBreak>& out) const {
  std::vector<double> heights;
  for (std::size_t k = 0; k < s.points.size(); ++k)
    if (const auto h = in_.heights[s.points.index(k)]) heights.push_back(h->metres());
  if (heights.size() < 4) return;
  std::vector<double> sorted = heights;
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  const double meant = *middle;
  const auto is_off = [&](double h) { return std::abs(h - meant) > kLeastTolerance; };
  const auto off = static_cast<std::size_t>(std::count_if(heights.begin(), heights.end(), is_off));
  if (off == 0 || off > may_break(heights.size())) return;
  for (std::size_t k = 0; k < s.points.size(); ++k) {
    const std::uint32_t p = s.points.index(k);
    const auto h = in_.heights[p];
    if (!h || !is_off(h->metres())) continue;
    ShapeBreak b{s.run, p, in_.places[p], *h - Length::metres(meant), ShapeWhy::height, ShapeAxis::height,
                 {}};
    b.mend = mend_of(h->metres(), meant, in_.unit, 0.0005, figure_);
    out.push_back(b);
  }
}

void Look::look_at_heights(std::vector<ShapeBreak>& out) const {
  if (in_.heights.empty()) return;
  std::vector<ShapeBreak> found;
  for (const Seen& s : runs_)
    if (!s.is_stated) look_at_heights(s, found);
  if (static_cast<std::ptrdiff_t>(found.size()) <= kFewTold ||
      static_cast<double>(found.size()) <= kMostTold * static_cast<double>(points_))
    out.insert(out.end(), found.begin(), found.end());
}

std::vector<ShapeBreak> Look::in_order(std::vector<ShapeBreak> found) const {
  const auto place = [this](const ShapeBreak& b) {
    const std::size_t runs = in_.begins.size() - 1;
    if (b.point) return std::pair(std::size_t{*b.point}, 1);
    return std::pair(b.run < runs ? std::size_t{in_.points[in_.begins[b.run]]} : in_.places.size() + b.run,
                     0);
  };
  std::stable_sort(found.begin(), found.end(),
                   [&](const ShapeBreak& a, const ShapeBreak& b) { return place(a) < place(b); });
  return found;
}

}  // namespace

std::vector<ShapeBreak> look_at_shape(const ShapeInput& input) { return Look(input).breaks(); }

}  // namespace deckmark
