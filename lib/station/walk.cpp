#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "station/stake.h"

namespace deckmark {

namespace {

struct Flat {
  double n, e;
};
double apart(const Flat& a, const Flat& b) { return std::hypot(a.n - b.n, a.e - b.e); }

std::vector<Flat> about(std::span<const Point<Site>> points, const Point<Site>& start) {
  std::vector<Flat> out;
  out.reserve(points.size());
  for (const Point<Site>& p : points)
    out.push_back({(p.at.northing - start.at.northing).metres(), (p.at.easting - start.at.easting).metres()});
  return out;
}

double length_of(const std::vector<Flat>& flat, const std::vector<std::size_t>& order, Flat from) {
  double sum = 0;
  for (const std::size_t i : order) sum += apart(from, flat[i]), from = flat[i];
  return sum;
}

// Square cells with a few points each.
class Cells {
 public:
  explicit Cells(const std::vector<Flat>& points) : points_(points) {
    double high_n = -std::numeric_limits<double>::infinity(), high_e = high_n;
    for (const Flat& p : points) {
      low_.n = std::min(low_.n, p.n), low_.e = std::min(low_.e, p.e);
      high_n = std::max(high_n, p.n), high_e = std::max(high_e, p.e);
    }
    const double wide = std::max(high_n - low_.n, high_e - low_.e);
    const double area =
        std::max((high_n - low_.n) * (high_e - low_.e), wide * wide / static_cast<double>(points.size()));
    size_ = std::max(std::sqrt(2 * area / static_cast<double>(points.size())), 1e-6);
    rows_ = cell(high_n - low_.n) + 1;
    cols_ = cell(high_e - low_.e) + 1;
    members_.resize(rows_ * cols_);
    for (std::size_t i = 0; i < points.size(); ++i) members_[of(points[i])].push_back(i);
  }

  void remove(std::size_t i) {
    auto& m = members_[of(points_[i])];
    m.erase(std::find(m.begin(), m.end(), i));
  }

  // Nearest remaining point; ties go to the lower index.
  std::size_t nearest(const Flat& p) const {
    const std::size_t row = clamp(p.n - low_.n, rows_), col = clamp(p.e - low_.e, cols_);
    std::size_t best = points_.size();
    double distance = std::numeric_limits<double>::infinity();
    for (std::size_t ring = 0; ring <= std::max(rows_, cols_); ++ring) {
      // Everything in this ring is at least (ring - 1) cells away from the clamped place.
      if (best < points_.size() && distance < (static_cast<double>(ring) - 1) * size_) break;
      each_in_ring(row, col, ring, [&](std::size_t i) {
        const double d = apart(p, points_[i]);
        if (d < distance || (d == distance && i < best)) distance = d, best = i;
      });
    }
    return best;
  }

  template <class Visit>
  void each_within(const Flat& p, double radius, const Visit& visit) const {
    const std::size_t r0 = clamp(p.n - radius - low_.n, rows_), r1 = clamp(p.n + radius - low_.n, rows_);
    const std::size_t c0 = clamp(p.e - radius - low_.e, cols_), c1 = clamp(p.e + radius - low_.e, cols_);
    for (std::size_t r = r0; r <= r1; ++r)
      for (std::size_t c = c0; c <= c1; ++c)
        for (const std::size_t i : members_[r * cols_ + c])
          if (!visit(i)) return;
  }

 private:
  std::size_t cell(double v) const { return static_cast<std::size_t>(std::max(v, 0.0) / size_); }
  std::size_t clamp(double v, std::size_t count) const { return std::min(cell(v), count - 1); }
  std::size_t of(const Flat& p) const {
    return clamp(p.n - low_.n, rows_) * cols_ + clamp(p.e - low_.e, cols_);
  }

  template <class Visit>
  void each_in_ring(std::size_t row, std::size_t col, std::size_t ring, const Visit& visit) const {
    const auto low = [&](std::size_t at) { return at < ring ? std::size_t{0} : at - ring; };
    const std::size_t r1 = std::min(row + ring, rows_ - 1), c1 = std::min(col + ring, cols_ - 1);
    for (std::size_t r = low(row); r <= r1; ++r) {
      const bool edge = r + ring == row || r == row + ring;
      for (std::size_t c = low(col); c <= c1; ++c) {
        if (!edge && c + ring != col && c != col + ring) continue;
        for (const std::size_t i : members_[r * cols_ + c]) visit(i);
      }
    }
  }

  const std::vector<Flat>& points_;
  Flat low_{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  double size_ = 1;
  std::size_t rows_ = 1, cols_ = 1;
  std::vector<std::vector<std::size_t>> members_;
};

std::vector<std::size_t> nearest_neighbour(const std::vector<Flat>& flat) {
  Cells cells(flat);
  std::vector<std::size_t> order;
  Flat at{0, 0};
  for (std::size_t k = 0; k < flat.size(); ++k) {
    const std::size_t next = cells.nearest(at);
    cells.remove(next);
    order.push_back(next);
    at = flat[next];
  }
  return order;
}

// 2-opt of an open path that begins at the origin: every pair of edges is judged, not only near ones, since a
// move can help only where one of the two new edges is shorter than one that it replaces.
class TwoOpt {
 public:
  TwoOpt(const std::vector<Flat>& flat, std::vector<std::size_t>& order)
      : flat_(flat), order_(order), place_(flat.size()), cells_(flat), idle_(flat.size(), false) {
    for (std::size_t k = 0; k < order.size(); ++k) place_[order[k]] = k;
  }

  void run() {
    for (bool moved = true; moved;) {
      moved = false;
      for (std::size_t k = 0; k < order_.size(); ++k) {
        const std::size_t point = order_[k];
        while (!idle_[point] && improve(point)) moved = true;
        idle_[point] = true;
      }
    }
  }

 private:
  static constexpr double kGain = 1e-9;  // m: less is rounding, and would go round in circles

  Flat before(std::size_t k) const { return k == 0 ? Flat{0, 0} : flat_[order_[k - 1]]; }
  double edge(std::size_t k) const { return apart(before(k), flat_[order_[k]]); }  // into place k

  // Reverses the places first to last. The last edge has no other end when last is the end of the path.
  void reverse(std::size_t first, std::size_t last) {
    for (const std::size_t k :
         {first, last, first == 0 ? first : first - 1, last + 1 < order_.size() ? last + 1 : last})
      idle_[order_[k]] = false;
    for (std::size_t a = first, b = last; a < b; ++a, --b) {
      std::swap(order_[a], order_[b]);
      place_[order_[a]] = a, place_[order_[b]] = b;
    }
  }

  // Replaces the edges into `first` and into `last + 1` by turning what lies between; true if that is
  // shorter.
  bool try_turn(std::size_t first, std::size_t last) {
    if (first >= last && last + 1 < order_.size()) return false;
    const Flat a = before(first), b = flat_[order_[first]], c = flat_[order_[last]];
    double gain = apart(a, b) - apart(a, c);
    if (last + 1 < order_.size()) {
      const Flat d = flat_[order_[last + 1]];
      gain += apart(c, d) - apart(b, d);
    }
    if (gain <= kGain) return false;
    reverse(first, last);
    return true;
  }

  bool improve(std::size_t point) {
    const std::size_t k = place_[point];
    const Flat p = flat_[point];
    bool done = false;
    // New edge from here to a later or earlier point, in place of the edge that leaves here.
    const double out = k + 1 < order_.size() ? edge(k + 1) : 0;
    if (out > 0)
      cells_.each_within(p, out, [&](std::size_t other) {
        const std::size_t j = place_[other];
        if (j == k || apart(p, flat_[other]) >= out) return true;
        done = j > k ? try_turn(k + 1, j) : try_turn(j + 1, k);
        return !done;
      });
    if (done) return true;
    // The same in place of the edge that arrives here: the places before both are joined.
    const double in = edge(k);
    cells_.each_within(p, in, [&](std::size_t other) {
      const std::size_t j = place_[other];
      if (j == k || apart(p, flat_[other]) >= in) return true;
      done = j > k ? try_turn(k, j - 1) : try_turn(j, k - 1);
      return !done;
    });
    if (done) return true;
    // From the origin, and with the free end.
    if (try_turn(0, k)) return true;
    return try_turn(k, order_.size() - 1);
  }

  const std::vector<Flat>& flat_;
  std::vector<std::size_t>& order_;
  std::vector<std::size_t> place_;
  Cells cells_;
  std::vector<bool> idle_;
};

// Points of a run along their main direction.
std::vector<std::size_t> along_main(const std::vector<Flat>& flat, std::vector<std::size_t> members) {
  double n = 0, e = 0, nn = 0, ne = 0, ee = 0;
  for (const std::size_t i : members) n += flat[i].n, e += flat[i].e;
  n /= static_cast<double>(members.size()), e /= static_cast<double>(members.size());
  for (const std::size_t i : members) {
    const double a = flat[i].n - n, b = flat[i].e - e;
    nn += a * a, ne += a * b, ee += b * b;
  }
  const double way = 0.5 * std::atan2(2 * ne, nn - ee), c = std::cos(way), s = std::sin(way);
  std::stable_sort(members.begin(), members.end(), [&](std::size_t a, std::size_t b) {
    return flat[a].n * c + flat[a].e * s < flat[b].n * c + flat[b].e * s;
  });
  return members;
}

}  // namespace

Walk walk_by_run(std::span<const Point<Site>> points, std::span<const std::uint32_t> runs,
                 const Point<Site>& start) {
  Walk out;
  const std::vector<Flat> flat = about(points, start);
  std::vector<std::vector<std::size_t>> groups;
  std::vector<std::size_t> group_of;  // by run number, one too large
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::size_t run = i < runs.size() ? runs[i] : 0;
    if (run >= group_of.size()) group_of.resize(run + 1, 0);
    if (run == 0 || group_of[run] == 0) {
      groups.emplace_back();
      group_of[run] = groups.size();
    }
    groups[group_of[run] - 1].push_back(i);
  }
  for (auto& members : groups) {
    if (members.size() < 3) continue;
    std::vector<std::size_t> sorted = along_main(flat, members);
    if (length_of(flat, sorted, flat[sorted[0]]) < length_of(flat, members, flat[members[0]]) - 1e-9)
      members = std::move(sorted);
  }
  // Ends of all runs, first and last in turn; the nearest remaining one begins the next run.
  std::vector<Flat> ends;
  for (const auto& members : groups)
    ends.push_back(flat[members.front()]), ends.push_back(flat[members.back()]);
  if (ends.empty()) return out;
  Cells cells(ends);
  Flat at{0, 0};
  for (std::size_t k = 0; k < groups.size(); ++k) {
    const std::size_t end = cells.nearest(at);
    auto& members = groups[end / 2];
    if (end % 2 == 1) std::reverse(members.begin(), members.end());
    out.order.insert(out.order.end(), members.begin(), members.end());
    at = flat[members.back()];
    cells.remove(end / 2 * 2);
    cells.remove(end / 2 * 2 + 1);
  }
  out.length = Length::metres(length_of(flat, out.order, {0, 0}));
  return out;
}

Walk walk_shortest(std::span<const Point<Site>> points, std::span<const std::uint32_t> runs,
                   const Point<Site>& start) {
  Walk best = walk_by_run(points, runs, start);
  if (points.empty()) return best;
  const std::vector<Flat> flat = about(points, start);
  const auto take = [&](std::vector<std::size_t> order) {
    TwoOpt(flat, order).run();
    const Length length = Length::metres(length_of(flat, order, {0, 0}));
    if (length < best.length) best = {std::move(order), length};
  };
  // Where runs lie side by side, to and fro along them is hard to beat, and nearest neighbour leaves marks
  // behind that cost long ways back: both are starts.
  std::vector<std::size_t> by_run = best.order;
  take(std::move(by_run));
  take(nearest_neighbour(flat));
  return best;
}

}  // namespace deckmark
