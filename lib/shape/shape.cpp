#include "shape/shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "shape/evenness.h"
#include "shape/mends.h"
#include "shape/parallel_runs.h"
#include "shape/run_shape.h"
#include "shape/seen.h"
#include "shape/telling.h"
#include "shape/vetting.h"

namespace deckmark {

using namespace shape_detail;

namespace {

constexpr double kLeastTolerance = 0.003, kMostTolerance = 0.008;
constexpr double kMostApart = 2.5;    // of the centres of rings about one: further is no slip
constexpr double kLeastApart = 0.05;  // of two hangers of one run
constexpr std::size_t kMostRings = 200;
constexpr std::size_t kFamiliesAsked = 8;
constexpr std::size_t kMostAsked = 10'000'000;  // points against runs; more would be felt
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

  ShapeLook found() {
    see_runs();
    for (std::uint32_t i = 0; i < runs_.size(); ++i)
      if (!runs_[i].is_stated) look_along(i);
    learned_ = learned_of(runs_, families_);
    for (std::uint32_t i = 0; i < runs_.size(); ++i) look_at_three(i);
    for (std::size_t f = 0; f < families_.size(); ++f)
      look_at_family(families_[f], runs_, tolerance_, f < kFamiliesAsked, candidates_);
    look_at_centres();
    const Telling telling(in_, figure_, tolerance_);
    std::vector<ShapeBreak> out = telling.heights(runs_);
    Vetted chosen = vetted(std::move(candidates_), runs_, families_, learned_, telling, tolerance_);
    const bool asks_runs = chosen.told.size() * runs_.size() <= kMostAsked;
    for (Candidate& c : chosen.told) {
      if (asks_runs) c.fits_run = run_with_gap(c);
      out.push_back(telling.told(runs_[c.seen], c));
    }
    return {in_order(std::move(out)), unsure_of(runs_, learned_, std::move(chosen.unsure_ends))};
  }

 private:
  void see_runs();
  void look_along(std::uint32_t seen);
  void look_at_three(std::uint32_t seen);
  Evenness even_by_place(std::vector<Value> row, Evenness by_order) const;
  std::vector<Value> along(const Seen& s) const;
  std::vector<Value> around(const Seen& s) const;
  Plan place(const Seen& s, double value) const;
  void take_bay_of_other_end(Seen& s) const;
  Plan by_spacing(const Seen& s, std::uint32_t k) const;
  void tell_off(std::uint32_t seen);
  Plan third(const Seen& s, std::uint32_t k, bool& is_free) const;
  void look_at_centres();
  std::optional<std::uint32_t> run_with_gap(const Candidate& c) const;
  bool fills_gap(const Seen& s, Plan p) const;
  std::vector<ShapeBreak> in_order(std::vector<ShapeBreak> found) const;

  const ShapeInput& in_;
  Figure figure_;
  double tolerance_;
  std::vector<Point<Drawing>> ends_;  // of the lines
  std::vector<std::uint32_t> end_indexes_;
  std::vector<Seen> runs_;
  std::vector<Family> families_;
  std::vector<Candidate> candidates_;
  Learned learned_;
};

void Look::see_runs() {
  const auto count = static_cast<std::uint32_t>(in_.begins.empty() ? 0 : in_.begins.size() - 1);
  runs_.reserve(count + in_.lines.size());
  for (std::uint32_t r = 0; r < count; ++r) {
    const auto points = in_.points.subspan(in_.begins[r], in_.begins[r + 1] - in_.begins[r]);
    if (points.empty()) continue;
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
  if (is_line && (s.even.kind == Evenness::Kind::none || !s.even.odd.empty()))
    s.even = even_by_place(row, std::move(s.even));
  take_bay_of_other_end(s);
  for (const OddValue& o : s.even.odd) {
    Candidate c{seen, o.index};
    c.expected = place(s, o.expected);
    c.is_weak = s.even.is_weak || s.shape.is_weak, c.is_end = o.is_end, c.is_either = o.is_either;
    if (o.is_either) c.by_step = place(s, o.by_step);
    candidates_.push_back(c);
  }
  tell_off(seen);
}

/// A drawing that lists a run's points in no order: their order along the line shows whether they are even.
Evenness Look::even_by_place(std::vector<Value> row, Evenness by_order) const {
  const auto less = [](const Value& a, const Value& b) { return a.at < b.at; };
  if (std::is_sorted(row.begin(), row.end(), less) || std::is_sorted(row.rbegin(), row.rend(), less))
    return by_order;
  std::sort(row.begin(), row.end(), less);
  std::vector<std::uint32_t> index;
  for (Value& v : row) {
    index.push_back(v.index);
    v.index = static_cast<std::uint32_t>(index.size() - 1);
  }
  Evenness e = evenness_of(row, tolerance_, false);
  if (e.kind == Evenness::Kind::none || (by_order.kind != Evenness::Kind::none && e.kept < row.size()))
    return by_order;
  e.kind = Evenness::Kind::parts;  // its lattice counts by place
  e.lattice.reset();
  for (OddValue& o : e.odd) o.index = index[o.index];
  return e;
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
/// one another, where one coordinate brings it there; where x and y exchanged bring it onto the run; else the
/// foot.
Plan Look::third(const Seen& s, std::uint32_t k, bool& is_free) const {
  const Plan a = s.points[k == 0 ? 1 : 0], b = s.points[k == 2 ? 1 : 2], at = s.points[k];
  const Plan even = k == 0 ? 2 * a - b : k == 1 ? 0.5 * (a + b) : 2 * b - a;
  const Plan by = even - at;
  is_free = std::min(std::abs(by.x), std::abs(by.y)) > 2 * tolerance_;
  const Plan exchanged{at.y, at.x};
  if (is_free && std::abs(s.shape.aside(exchanged)) <= tolerance_ && size(exchanged - a) > kLeastApart &&
      size(exchanged - b) > kLeastApart) {
    is_free = false;
    return exchanged;
  }
  return is_free ? foot(s.shape, at) : even;
}

/// A run of three on a line whose spaces differ: other runs' spaces say which point is wrong.
void Look::look_at_three(std::uint32_t seen) {
  const Seen& s = runs_[seen];
  if (s.is_stated || s.points.size() != 3 || s.shape.kind != RunShape::Kind::line || !s.shape.off.empty() ||
      s.even.kind != Evenness::Kind::none)
    return;
  const std::vector<Value> row = along(s);
  const double first = std::abs(row[1].at - row[0].at), last = std::abs(row[2].at - row[1].at),
               mean = std::abs(row[2].at - row[0].at) / 2;
  const auto is_step = [this](double step) { return learned_.is_step(step, tolerance_); };
  const bool ways[] = {is_step(last), is_step(mean), is_step(first)};
  if (std::count(std::begin(ways), std::end(ways), true) != 1) return;
  const auto k =
      static_cast<std::uint32_t>(std::find(std::begin(ways), std::end(ways), true) - std::begin(ways));
  const double meant[] = {2 * row[1].at - row[2].at, (row[0].at + row[2].at) / 2, 2 * row[1].at - row[0].at};
  Candidate c{seen, k};
  c.expected = place(s, meant[k]), c.is_weak = true, c.is_end = k != 1;
  candidates_.push_back(c);
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

/// Of a point that leaves its run: the one run on whose line it stands, in a gap.
std::optional<std::uint32_t> Look::run_with_gap(const Candidate& c) const {
  if (!c.at || (c.why != ShapeWhy::line && c.why != ShapeWhy::circle)) return std::nullopt;
  const Plan p = runs_[c.seen].points[*c.at];
  std::optional<std::uint32_t> found;
  for (std::uint32_t i = 0; i < runs_.size(); ++i) {
    const Seen& s = runs_[i];
    if (i == c.seen || s.is_stated || s.shape.kind != RunShape::Kind::line ||
        std::abs(s.shape.aside(p)) > tolerance_ || !fills_gap(s, p))
      continue;
    if (found) return std::nullopt;  // two: which is meant is not known
    found = s.run;
  }
  return found;
}

/// Whether a place on a run's line is as far from both its neighbours as others of the run are from theirs.
bool Look::fills_gap(const Seen& s, Plan p) const {
  std::vector<double> at;
  for (const Value& v : along(s)) at.push_back(v.at);
  std::sort(at.begin(), at.end());
  const double here = dot(p - s.shape.at, s.shape.way);
  const auto after = std::lower_bound(at.begin(), at.end(), here);
  if (after == at.begin() || after == at.end()) return false;
  const auto gap = static_cast<std::size_t>(after - at.begin()) - 1;
  const double first = here - at[gap], last = *after - here;
  bool has_first = false, has_last = false;
  for (std::size_t i = 0; i + 1 < at.size(); ++i) {
    if (i == gap) continue;
    const double space = at[i + 1] - at[i];
    has_first |= std::abs(space - first) <= 2 * tolerance_;
    has_last |= std::abs(space - last) <= 2 * tolerance_;
  }
  return has_first && has_last && std::min(first, last) > kLeastApart;
}

std::vector<ShapeBreak> Look::in_order(std::vector<ShapeBreak> found) const {
  const auto place = [this](const ShapeBreak& b) {
    const std::size_t runs = in_.begins.empty() ? 0 : in_.begins.size() - 1;
    if (b.point) return std::pair(std::size_t{*b.point}, 1);
    return std::pair(b.run < runs ? std::size_t{in_.points[in_.begins[b.run]]} : in_.places.size() + b.run,
                     0);
  };
  std::stable_sort(found.begin(), found.end(),
                   [&](const ShapeBreak& a, const ShapeBreak& b) { return place(a) < place(b); });
  return found;
}

}  // namespace

ShapeLook look_at_shape(const ShapeInput& input) { return Look(input).found(); }

}  // namespace deckmark
