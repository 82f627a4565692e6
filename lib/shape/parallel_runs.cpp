#include "shape/parallel_runs.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace deckmark::shape_detail {

namespace {

constexpr double kMostTurn = 0.26;  // a run turned further than 15 degrees is meant so
constexpr double kMostAside = 2.5;  // nor is one further aside than this a slip
constexpr double kNowhere = 1e300;
constexpr double kMostFrom = 12;  // a first point stands no further from the second

/// Rows of a family: runs as far across as one another are one row.
struct Row {
  double at;
  std::vector<std::uint32_t> seen;  // in the order of the drawing
};

double across_of(const Family& f, const Seen& s) {
  double sum = 0, n = 0;
  for (std::uint32_t k = 0; k < s.points.size(); ++k)
    if (!s.shape.is_off(k)) sum += f.across(s.points[k]), n += 1;
  return sum / n;
}

std::vector<Row> rows_of(const Family& f, std::span<const Seen> runs, double tolerance) {
  std::vector<std::pair<double, std::uint32_t>> across;
  for (const std::uint32_t m : f.members) across.push_back({across_of(f, runs[m]), m});
  std::sort(across.begin(), across.end());
  std::vector<Row> rows;
  for (const auto& [at, m] : across) {
    if (!rows.empty() && at - rows.back().at <= tolerance)
      rows.back().seen.push_back(m);
    else
      rows.push_back({at, {m}});
  }
  for (Row& r : rows) std::sort(r.seen.begin(), r.seen.end());
  return rows;
}

/// A run that no family holds, by its nearness to this one's direction.
bool is_loose(const Seen& s, const Family& f) {
  if (s.family) return false;
  const std::size_t n = s.points.size();
  if (n == 1) return !s.is_stated;
  if (n == 2) return true;  // how far one wrong end turns it is not limited
  if (s.shape.kind != RunShape::Kind::line) return false;
  const Plan way = s.points[n - 1] - s.points[0];
  return size(way) >= 0.1 && std::abs(cross(f.way, way)) <= std::sin(kMostTurn) * size(way);
}

/// Holds the rows of a family against their pitch.
class Rows {
 public:
  Rows(const Family& f, std::span<const Seen> runs, double tolerance, bool takes_loose)
      : f_(f),
        runs_(runs),
        tolerance_(tolerance),
        takes_loose_(takes_loose),
        rows_(rows_of(f, runs, tolerance)) {}

  void look(std::vector<Candidate>& out) {
    if (rows_.size() < 3) return;  // of three that differ in pitch none can be told to be the wrong one
    const Evenness by_place = in_order();
    for (const OddValue& o : by_place.odd) {
      const Row* row = at_[o.index];
      if (row->seen.size() != 1 || std::abs(o.at - o.expected) > kMostAside) continue;
      tell(row->seen.front(), o.expected - o.at, by_place.is_weak, o, out);
    }
    if (by_place.kind == Evenness::Kind::even)
      for (const auto& [index, seen] : loose_) place_loose(seen, by_place.lattice->at(index), out);
  }

 private:
  /// Evenness in the order of the drawing, with places kept for runs that no family holds; without them; and
  /// by place.
  Evenness in_order() {
    for (const bool with_loose : {takes_loose_, false}) {
      number(with_loose);
      Evenness e = evenness_of(values_, tolerance_, false);
      if (e.kind != Evenness::Kind::none) return e;
      if (loose_.empty()) break;
    }
    values_.clear(), at_.clear(), loose_.clear();
    for (const Row& r : rows_) {
      values_.push_back({static_cast<std::uint32_t>(at_.size()), r.at});
      at_.push_back(&r);
    }
    return evenness_of(values_, tolerance_, false);
  }
  void number(bool with_loose) {
    values_.clear(), at_.clear(), loose_.clear();
    std::map<std::uint32_t, const Row*> by_first;
    for (const Row& r : rows_) by_first[r.seen.front()] = &r;
    const auto size = [this] { return static_cast<std::uint32_t>(at_.size()); };
    const auto take_loose = [&](std::uint32_t from, std::uint32_t to) {
      for (std::uint32_t i = from; with_loose && i < to; ++i)
        if (is_loose(runs_[i], f_)) loose_.push_back({size(), i}), at_.push_back(nullptr);
    };
    std::uint32_t next = by_first.begin()->first > 0 ? by_first.begin()->first - 1 : 0;
    for (const auto& [first, row] : by_first) {
      take_loose(next, first);
      values_.push_back({size(), row->at});
      at_.push_back(row);
      next = first + 1;
    }
    take_loose(next, std::min(next + 1, static_cast<std::uint32_t>(runs_.size())));
  }
  void tell(std::uint32_t seen, double by, bool weak, const OddValue& o, std::vector<Candidate>& out) const {
    const Seen& s = runs_[seen];
    const Plan first = s.points[0];
    Candidate c{seen};
    c.expected = first + by * Plan{-f_.way.y, f_.way.x};
    c.why = ShapeWhy::pitch, c.is_weak = weak || rows_.size() < 5;
    c.is_end = o.is_end, c.is_either = o.is_either;
    c.is_square = !shares_stations(seen);
    if (s.points.size() == 1) c.at = 0;
    out.push_back(c);
  }
  /// Whether another run begins or ends where this one does, or half of its points stand at stations of
  /// others.
  bool shares_stations(std::uint32_t seen) const {
    const RunPoints& points = runs_[seen].points;
    const double ends[] = {f_.along(points[0]), f_.along(points[points.size() - 1])};
    for (const std::uint32_t m : f_.members) {
      const RunPoints& other = runs_[m].points;
      for (const std::size_t end : {std::size_t{0}, other.size() - 1})
        for (const double at : ends)
          if (m != seen && std::abs(f_.along(other[end]) - at) <= 2 * tolerance_) return true;
    }
    std::size_t shared = 0;
    for (std::size_t k = 0; k < points.size(); ++k)
      shared += f_.shared(f_.along(points[k]), seen, tolerance_) > 0;
    return 2 * shared > points.size();
  }
  /// A run that is turned, or whose one point is: some of it stands where its row is expected.
  void place_loose(std::uint32_t seen, double row, std::vector<Candidate>& out) const {
    const Seen& s = runs_[seen];
    const std::size_t n = s.points.size();
    const auto off = [&](std::size_t k) { return row - f_.across(s.points[k]); };
    const auto told = [&](std::optional<std::uint32_t> at, double by) {
      Candidate c{seen, at};
      c.expected = s.points[at.value_or(0)] + by * Plan{-f_.way.y, f_.way.x};
      c.why = ShapeWhy::pitch, c.is_free = true;
      c.is_weak = rows_.size() < 4;
      c.is_far = std::abs(by) > kMostAside;
      if (!at) c.turned = std::max(std::abs(off(0)), std::abs(off(n - 1)));
      if (s.is_stated) c.is_far = c.turned > kMostAside;
      out.push_back(c);
    };
    const bool first = std::abs(off(0)) <= 2 * tolerance_, last = std::abs(off(n - 1)) <= 2 * tolerance_;
    if (n == 1)
      place_single(seen, row, out);
    else if (n == 2 && first != last && s.is_stated)
      told(std::nullopt, first ? 0 : off(0));
    else if (n == 2 && first != last)
      told(first ? 1 : 0, off(first ? 1 : 0));
    else if (n > 2 && first != last)
      told(std::nullopt, first ? 0 : off(0));
    else if (n > 2 && !first && std::abs(off(n / 2)) <= 2 * tolerance_)
      told(std::nullopt, off(0));
  }
  /// Further along than other runs go, but at their space.
  bool is_on_step(double along) const {
    for (const std::uint32_t m : f_.members) {
      const Evenness& e = runs_[m].even;
      if (e.kind != Evenness::Kind::even || e.is_weak || f_.common.empty()) continue;
      return std::abs(std::remainder(along - f_.common.front(), e.lattice->step)) <= 2 * tolerance_;
    }
    return false;
  }
  /// A run of one point: one coordinate brings it to its row and to the nearest station that others share.
  void place_single(std::uint32_t seen, double row, std::vector<Candidate>& out) const {
    const Plan at = runs_[seen].points[0];
    const double along = f_.along(at);
    if (std::abs(f_.across(at) - row) <= 2 * tolerance_ &&
        (is_on_step(along) || f_.shared(along, seen, tolerance_) > 0))
      return;
    std::optional<Plan> best;
    for (auto i = std::lower_bound(f_.common.begin(), f_.common.end(), along - kMostFrom);
         i != f_.common.end() && *i <= along + kMostFrom; ++i) {
      const Plan to = f_.at(*i, row), by = to - at;
      if (std::min(std::abs(by.x), std::abs(by.y)) > 2 * tolerance_) continue;
      if (!best || size(by) < size(*best - at)) best = to;
    }
    if (!best || size(*best - at) <= 4 * tolerance_) return;
    Candidate c{seen, 0};
    c.expected = *best;
    c.why = std::abs(f_.across(at) - row) > 2 * tolerance_ ? ShapeWhy::pitch : ShapeWhy::spacing;
    c.is_weak = rows_.size() < 4;
    c.is_far = size(*best - at) > kMostAside;
    out.push_back(c);
  }

  const Family& f_;
  std::span<const Seen> runs_;
  double tolerance_;
  bool takes_loose_;
  std::vector<Row> rows_;
  std::vector<Value> values_;
  std::vector<const Row*> at_;                                  // by index; null: loose
  std::vector<std::pair<std::uint32_t, std::uint32_t>> loose_;  // index, run
};

/// Holds the points of runs against stations that other runs of their family share.
class Stations {
 public:
  Stations(const Family& f, std::span<const Seen> runs, double tolerance)
      : f_(f), runs_(runs), tolerance_(tolerance) {}

  void look(std::vector<Candidate>& out) const {
    for (const std::uint32_t m : f_.members) {
      const Seen& s = runs_[m];
      if (s.is_stated) continue;
      const bool is_whole = s.even.kind == Evenness::Kind::even && s.even.odd.empty();
      if (!is_whole || s.points.size() < 3) look_at_points(m, out);
      if (s.even.odd.empty() && s.shape.off.empty() && s.points.size() >= 2) look_along(m, out);
    }
  }

 private:
  /// One point of the run has its station alone, the others share theirs.
  void look_at_points(std::uint32_t m, std::vector<Candidate>& out) const {
    const Seen& s = runs_[m];
    std::optional<std::uint32_t> alone;
    std::size_t shared = 0;
    for (std::uint32_t k = 0; k < s.points.size(); ++k) {
      if (s.shape.is_off(k)) continue;
      const std::size_t by = f_.shared(f_.along(s.points[k]), m, tolerance_);
      if (by >= 2)
        ++shared;
      else if (by == 1 || alone)
        return;
      else
        alone = k;
    }
    if (!alone || shared == 0) return;
    const auto station = vacant(s, *alone);
    if (!station) return;
    Candidate c{m, *alone};
    c.expected = f_.at(*station, f_.across(s.points[*alone]));
    c.is_weak = shared < 3;
    out.push_back(c);
  }
  /// The shared station nearest beside its neighbour that the run has no point at: between its neighbours, or
  /// beyond the one that an end has.
  std::optional<double> vacant(const Seen& s, std::uint32_t k) const {
    const auto n = static_cast<std::uint32_t>(s.points.size());
    double before = -kNowhere, after = kNowhere;
    for (std::uint32_t i = k; i-- > 0 && before == -kNowhere;)
      if (!s.shape.is_off(i)) before = f_.along(s.points[i]);
    for (std::uint32_t i = k + 1; i < n && after == kNowhere; ++i)
      if (!s.shape.is_off(i)) after = f_.along(s.points[i]);
    const bool up = dot(s.shape.way, f_.way) > 0, is_end = before == -kNowhere || after == kNowhere;
    if (!up) {
      std::swap(before, after);
      if (before == kNowhere) before = -kNowhere;
      if (after == -kNowhere) after = kNowhere;
    }
    if (n == 2) return only_other(f_.along(s.points[k == 0 ? 1 : 0]));
    std::optional<double> found;
    for (auto i = std::lower_bound(f_.common.begin(), f_.common.end(),
                                   (before > -kNowhere ? before : after - kMostFrom) + 2 * tolerance_);
         i != f_.common.end() && *i < after - 2 * tolerance_; ++i) {
      if (!is_end && found) return std::nullopt;  // two: which is meant is not known
      if (before > -kNowhere && found) break;
      found = *i;
    }
    return found;
  }
  /// Of a family that shares two stations the other one.
  std::optional<double> only_other(double station) const {
    if (f_.common.size() != 2) return std::nullopt;
    return f_.common[std::abs(f_.common[0] - station) <= 2 * tolerance_ ? 1 : 0];
  }
  /// A run all of whose stations are its own, while all others begin together.
  void look_along(std::uint32_t m, std::vector<Candidate>& out) const {
    const Seen& s = runs_[m];
    if (f_.members.size() < 4) return;
    for (std::uint32_t k = 0; k < s.points.size(); ++k)
      if (f_.shared(f_.along(s.points[k]), m, tolerance_) > 0) return;
    std::optional<double> begin;
    for (const std::uint32_t other : f_.members) {
      const Seen& o = runs_[other];
      if (other == m || o.is_stated) continue;
      if (o.points.size() < 2 || o.shape.is_off(0)) return;
      const double at = f_.along(o.points[0]);
      if (!begin) begin = at;
      if (std::abs(at - *begin) > 2 * tolerance_) return;
    }
    if (!begin) return;
    const double by = *begin - f_.along(s.points[0]);
    if (std::abs(by) > kMostAside || is_staggered(s, by)) return;
    Candidate c{m};
    c.expected = s.points[0] + by * f_.way;
    c.why = ShapeWhy::spacing, c.is_along = true, c.is_weak = f_.members.size() < 5;
    out.push_back(c);
  }

  /// Half a space aside, or another number of points: laid out so.
  bool is_staggered(const Seen& s, double by) const {
    const auto n = s.points.size();
    const double step = size(s.points[n - 1] - s.points[0]) / static_cast<double>(n - 1);
    if (std::abs(std::abs(by) - step / 2) <= 4 * tolerance_) return true;
    return std::all_of(f_.members.begin(), f_.members.end(),
                       [&](std::uint32_t m) { return &runs_[m] == &s || runs_[m].points.size() != n; });
  }

  const Family& f_;
  std::span<const Seen> runs_;
  double tolerance_;
};

}  // namespace

void look_at_family(Family& family, std::span<const Seen> runs, double tolerance, bool takes_loose,
                    std::vector<Candidate>& out) {
  const bool has_stations = find_stations(family, runs, tolerance, takes_loose);
  Rows(family, runs, tolerance, takes_loose).look(out);
  if (has_stations) Stations(family, runs, tolerance).look(out);
}

}  // namespace deckmark::shape_detail
