#include "baseline/moves.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "adjust/solve.h"
#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kAgree = 0.99;
constexpr double kStays = 10;  // metres: sd of a move that nothing fixes, so that it is the least one
// Sine of the angle between the two lines of one mark; the least one where no marks do with more.
constexpr double kGoodCrossing = 0.5, kLeastCrossing = 0.02;
constexpr std::size_t kMostTrials = 20000;  // sets of marks; beyond, the search takes seconds

/// A difference in plan, metres.
struct Move {
  double x = 0, y = 0;
};
/// What the lengths from one mark would show of a move of it alone: the sum of their squares over their sds.
struct Shown {
  double xx = 0, xy = 0, yy = 0;
  double square(const Move& v) const { return xx * v.x * v.x + 2 * xy * v.x * v.y + yy * v.y * v.y; }
  /// The share of u that leaves the least of v.
  double share(const Move& v, const Move& u) const {
    return (xx * u.x * v.x + xy * (u.x * v.y + u.y * v.x) + yy * u.y * v.y) / square(u);
  }
};

/// Marks that are free, and what is then left.
struct Trial {
  std::vector<std::size_t> marks;  // into the marks of the network
  std::vector<Move> moves;
  double square_sum = 0, way = 0;
  bool agrees = false;
  std::vector<double> residuals{};  // of the lengths that have a direction
  std::vector<MarkMove> rows{};
  std::vector<Move> left{};  // of each mark, where it comes to lie after its rows less where it is drawn
  bool is_clean = true;      // its lines cross well
};

class MoveSearch {
 public:
  MoveSearch(std::span<const MeasuredSide> sides, std::span<const Point<Drawing>> places,
             const AllWithin& within)
      : sides_(sides.begin(), sides.end()), within_(within) {
    std::vector<std::size_t> local(places.size(), places.size());
    for (const MeasuredSide& s : sides)
      for (const std::size_t m : {s.from, s.to})
        if (local[m] == places.size()) local[m] = names_.size(), names_.push_back(m);
    for (const std::size_t m : names_) at_.push_back({places[m].at.x.metres(), places[m].at.y.metres()});
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const MeasuredSide& s = sides[i];
      if (local[s.from] == local[s.to] || span(local[s.from], local[s.to]) < 0.001) continue;
      lengths_.push_back({local[s.from], local[s.to], s.length.value.metres(), s.length.sd.metres(), i});
    }
  }

  MovesResult find() const {
    if (const std::optional<Trial> best = fewest(within_)) return {best->rows, true};
    if (!within_) return {{}, false};
    const std::optional<Trial> best = fewest({});
    return best ? MovesResult{best->rows, !best->rows.empty()} : MovesResult{{}, false};
  }

 private:
  struct Taped {
    std::size_t from, to;
    double measured, sd;
    std::size_t side;  // of all sides
  };

  double span(std::size_t a, std::size_t b) const {
    return std::hypot(at_[b].x - at_[a].x, at_[b].y - at_[a].y);
  }

  std::optional<Trial> fewest(const AllWithin& within) const {
    const std::size_t n = names_.size(), most = std::max<std::size_t>(2, (n + 1) / 2);
    for (std::size_t k = 0; k <= std::min(most, n - 1); ++k)
      if (std::optional<Trial> best = best_of(k, within)) return best;
    return std::nullopt;
  }

  /// The best of all sets of k marks with which the lengths agree.
  std::optional<Trial> best_of(std::size_t k, const AllWithin& within) const {
    double sets = 1;
    for (std::size_t i = 0; i < k; ++i)
      sets *= static_cast<double>(names_.size() - i) / static_cast<double>(i + 1);
    if (sets > kMostTrials) return std::nullopt;
    std::optional<Trial> best;
    std::vector<std::size_t> marks(k);
    for (std::size_t i = 0; i < k; ++i) marks[i] = i;
    do {
      Trial t = trial(marks);
      if (!t.agrees || !settle(t, within)) continue;
      if (!best || is_better(t, *best)) best = std::move(t);
    } while (next(marks));
    return best;
  }

  static bool is_better(const Trial& a, const Trial& b) {
    constexpr double kAlike = 1e-6;
    if (a.is_clean != b.is_clean) return a.is_clean;
    if (std::abs(a.square_sum - b.square_sum) > kAlike) return a.square_sum < b.square_sum;
    return a.way < b.way - kAlike;
  }

  /// The next set in order; false behind the last.
  bool next(std::vector<std::size_t>& marks) const {
    for (std::size_t i = marks.size(); i-- > 0;) {
      if (marks[i] + marks.size() - i >= names_.size()) continue;
      ++marks[i];
      for (std::size_t j = i + 1; j < marks.size(); ++j) marks[j] = marks[j - 1] + 1;
      return true;
    }
    return false;
  }

  /// Adjusts the lengths with these marks free; each move is observed as none too, so loosely that it counts
  /// where nothing else fixes it alone.
  NonlinearSolution adjusted(const std::vector<std::size_t>& marks) const {
    const std::size_t rows = lengths_.size(), unknowns = 2 * marks.size();
    std::vector<double> observed, sds;
    for (const Taped& l : lengths_) observed.push_back(l.measured), sds.push_back(l.sd);
    for (std::size_t u = 0; u < unknowns; ++u) observed.push_back(0), sds.push_back(kStays);
    const auto column = [&](std::size_t mark) {
      return 2 * static_cast<std::size_t>(std::ranges::find(marks, mark) - marks.begin());
    };
    const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
      for (std::size_t i = 0; i < rows; ++i) {
        const std::size_t a = column(lengths_[i].from), b = column(lengths_[i].to);
        const Move from = moved(lengths_[i].from, a, p), to = moved(lengths_[i].to, b, p);
        computed[i] = std::hypot(to.x - from.x, to.y - from.y);
        const double sx = (to.x - from.x) / computed[i], sy = (to.y - from.y) / computed[i];
        for (std::size_t u = 0; u < unknowns; ++u) design(i, u) = 0;
        if (a < unknowns) design(i, a) = -sx, design(i, a + 1) = -sy;
        if (b < unknowns) design(i, b) = sx, design(i, b + 1) = sy;
      }
      for (std::size_t u = 0; u < unknowns; ++u) {
        computed[rows + u] = p[u];
        for (std::size_t v = 0; v < unknowns; ++v) design(rows + u, v) = u == v ? 1 : 0;
      }
    };
    const std::vector<double> start(unknowns, 0.0);
    return solve_nonlinear(observed, sds, start, model, {.most_steps = 30, .settled = 1e-6});
  }
  Move moved(std::size_t mark, std::size_t column, std::span<const double> p) const {
    return column < p.size() ? Move{at_[mark].x + p[column], at_[mark].y + p[column + 1]} : at_[mark];
  }

  Trial trial(const std::vector<std::size_t>& marks) const {
    Trial out{marks, {}, 0, 0, false};
    const std::size_t rows = lengths_.size();
    if (marks.empty()) {
      bool any_large = false;
      for (const Taped& l : lengths_) {
        const double off = (l.measured - span(l.from, l.to)) / l.sd;
        out.square_sum += off * off;
        out.residuals.push_back(l.measured - span(l.from, l.to));
        any_large = any_large || std::abs(off) > wrong_limit(rows);
      }
      out.agrees = !any_large && agrees(out.square_sum, static_cast<double>(rows));
      return out;
    }
    const NonlinearSolution s = adjusted(marks);
    if (!s.converged) return out;
    double spare = static_cast<double>(rows);
    bool any_large = false;
    for (std::size_t i = 0; i < rows; ++i) {
      out.square_sum += std::pow(s.residuals[i] / lengths_[i].sd, 2);
      out.residuals.push_back(s.residuals[i]);
      any_large = any_large || std::abs(s.standardised[i].value_or(0)) > wrong_limit(rows);
    }
    for (std::size_t k = 0; k < marks.size(); ++k) {
      spare -= s.redundancy[rows + 2 * k] + s.redundancy[rows + 2 * k + 1];
      out.moves.push_back({-s.parameters[2 * k], -s.parameters[2 * k + 1]});  // back to where it is drawn
      out.way += std::hypot(out.moves[k].x, out.moves[k].y);
    }
    out.agrees = !any_large && agrees(out.square_sum, std::round(spare));
    return out;
  }
  static bool agrees(double square_sum, double spare) {
    return spare < 1 || square_sum <= chi_squared_quantile(kAgree, spare);
  }

  /// Finds lines for the moves that leave all within: one a mark where that does it, else two.
  bool settle(Trial& t, const AllWithin& within) const {
    if (!put_rows(t, true)) return false;
    if (!within || within(after(t))) return true;
    t.rows.clear(), t.left.clear(), t.is_clean = true;
    return !t.marks.empty() && put_rows(t, false) && within(after(t));
  }

  /// What would be taped after the rows.
  std::vector<MeasuredSide> after(const Trial& t) const {
    std::vector<Move> at = at_;
    for (std::size_t k = 0; k < t.marks.size(); ++k)
      at[t.marks[k]].x += t.left[k].x, at[t.marks[k]].y += t.left[k].y;
    std::vector<MeasuredSide> out = sides_;
    for (std::size_t i = 0; i < lengths_.size(); ++i) {
      const Move &a = at[lengths_[i].from], &b = at[lengths_[i].to];
      out[lengths_[i].side].length.value = Length::metres(std::hypot(b.x - a.x, b.y - a.y) + t.residuals[i]);
    }
    return out;
  }
  /// Where mark k comes to lie after its rows, less where it is drawn.
  Move left_of(const Trial& t, std::size_t k, const std::vector<MarkMove>& rows) const {
    Move out{-t.moves[k].x, -t.moves[k].y};
    for (const MarkMove& r : rows) {
      const auto at = static_cast<std::size_t>(std::ranges::find(names_, r.toward) - names_.begin());
      const Move u = toward(t.marks[k], at);
      out.x += r.move.metres() * u.x, out.y += r.move.metres() * u.y;
    }
    return out;
  }

  /// How the marks are moved along lines; false where some cannot be.
  bool put_rows(Trial& t, bool by_one_line) const {
    for (std::size_t k = 0; k < t.marks.size(); ++k) {
      std::vector<MarkMove> some;
      if (by_one_line) some = along_one(t, k);
      if (some.empty()) some = along_two(t, k, kGoodCrossing);
      if (some.empty()) {
        t.is_clean = false;
        some = along_two(t, k, kLeastCrossing);
      }
      if (some.empty()) return false;
      t.rows.insert(t.rows.end(), some.begin(), some.end());
      t.left.push_back(left_of(t, k, some));
    }
    return true;
  }

  Move toward(std::size_t from, std::size_t to) const {
    const double length = span(from, to);
    return {(at_[to].x - at_[from].x) / length, (at_[to].y - at_[from].y) / length};
  }
  Shown shown_of(std::size_t mark) const {
    Shown out{1 / (kStays * kStays), 0, 1 / (kStays * kStays)};
    for (const Taped& l : lengths_) {
      if (l.from != mark && l.to != mark) continue;
      const Move u = toward(l.from, l.to);
      out.xx += u.x * u.x / (l.sd * l.sd);
      out.xy += u.x * u.y / (l.sd * l.sd);
      out.yy += u.y * u.y / (l.sd * l.sd);
    }
    return out;
  }
  bool can_aim(std::size_t mark, std::size_t at) const { return at != mark && span(mark, at) > 0.001; }
  MarkMove row(std::size_t mark, std::size_t at, double by) const {
    return {names_[mark], names_[at], Length::metres(by)};
  }
  static bool stays(const Trial& t, std::size_t mark) { return std::ranges::count(t.marks, mark) == 0; }

  /// The line along which one move does it; none where none does.
  std::vector<MarkMove> along_one(const Trial& t, std::size_t k) const {
    const double told = chi_squared_quantile(0.95, 1);
    const Shown shown = shown_of(t.marks[k]);
    std::optional<std::pair<MarkMove, double>> best;
    for (const bool staying : {true, false}) {
      for (std::size_t at = 0; at < at_.size(); ++at) {
        if (!can_aim(t.marks[k], at) || stays(t, at) != staying) continue;
        const Move u = toward(t.marks[k], at);
        const double by = shown.share(t.moves[k], u);
        const double left = shown.square({t.moves[k].x - by * u.x, t.moves[k].y - by * u.y});
        if (left <= told && (!best || left < best->second)) best = {row(t.marks[k], at, by), left};
      }
      if (best) return {best->first};
    }
    return {};
  }

  /// The two lines that cross best.
  std::vector<MarkMove> along_two(const Trial& t, std::size_t k, double least) const {
    const std::size_t mark = t.marks[k];
    for (const bool staying : {true, false}) {
      double best = least;
      std::vector<MarkMove> out;
      for (std::size_t a = 0; a < at_.size(); ++a)
        for (std::size_t b = a + 1; b < at_.size(); ++b) {
          if (!can_aim(mark, a) || !can_aim(mark, b)) continue;
          if (staying && (!stays(t, a) || !stays(t, b))) continue;
          const Move u = toward(mark, a), v = toward(mark, b), m = t.moves[k];
          const double cross = u.x * v.y - u.y * v.x;
          if (std::abs(cross) <= best + 1e-9) continue;
          best = std::abs(cross);
          out = {row(mark, a, (m.x * v.y - m.y * v.x) / cross),
                 row(mark, b, (u.x * m.y - u.y * m.x) / cross)};
        }
      if (!out.empty()) return out;
    }
    return {};
  }

  std::vector<MeasuredSide> sides_;
  const AllWithin& within_;
  std::vector<std::size_t> names_;
  std::vector<Move> at_;
  std::vector<Taped> lengths_;
};

}  // namespace

MovesResult marks_to_move(std::span<const MeasuredSide> sides, std::span<const Point<Drawing>> places,
                          const AllWithin& within) {
  return MoveSearch(sides, places, within).find();
}

}  // namespace deckmark
