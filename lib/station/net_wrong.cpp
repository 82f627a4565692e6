#include "station/net_wrong.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "adjust/solve.h"
#include "adjust/statistics.h"

namespace deckmark::net {

namespace {

constexpr double kCharge = 4;  // of one parameter (Schwarz 1978: ln of the observations; from memory)
constexpr double kAlpha = 0.001;
constexpr double kAsGood = 3;         // square sums, charged: accounts nearer than this cannot be told apart
constexpr std::size_t kMost = 4;      // errors named in one net
constexpr std::size_t kRefitted = 3;  // accounts that are fitted again, where errors are small
constexpr std::size_t kRefittedFar = 12;
constexpr double kFar = 25;  // variance factor from which a linear account may be far off

struct Account {
  Wrong wrong;
  std::vector<std::vector<Term>> columns;
  std::optional<std::size_t> freed;  // the columns are of a control point's coordinates: it is freed
  double fall = 0, score = 0;
  Solved solved;  // where it was fitted again
  std::size_t parameters() const { return columns.size(); }
};

bool is_of_sight(WrongKind kind) {
  return kind == WrongKind::circle || kind == WrongKind::distance || kind == WrongKind::height ||
         kind == WrongKind::target;
}

class Search {
 public:
  Search(const Builder& builder, const Solved& solved, const Start& start, double limit)
      : builder_(builder), input_(builder.input()), start_(start), limit_(limit), now_(&solved) {}

  std::vector<Wrong> run() {
    std::vector<Wrong> out;
    while (out.size() < kMost) {
      collect();
      if (accounts_.empty() || !is_suspicious()) break;
      std::stable_sort(accounts_.begin(), accounts_.end(),
                       [](const Account& a, const Account& b) { return a.score < b.score; });
      if (!refit()) break;
      prefer_the_smaller();
      Account best = std::move(accounts_.front());
      if (chance(best) >= kAlpha) break;
      for (std::size_t k = 1; k < accounts_.size(); ++k) {
        if (accounts_[k].score > best.score + kAsGood || covers(best, accounts_[k])) continue;
        best.wrong.certain = false;
        tell(accounts_[k], accounts_[k].solved.solution ? accounts_[k].solved : *now_);
        best.wrong.others.push_back(accounts_[k].wrong);
      }
      tell(best, best.solved);
      hear_others(best.wrong);
      best.wrong.strength = std::sqrt(best.fall);
      out.push_back(best.wrong);
      if (!best.wrong.certain) break;  // going on from a guess would only name more
      held_ = std::move(best.solved);
      now_ = &held_;
    }
    return out;
  }

 private:
  static double chance(const Account& a) {
    return chi_squared_upper_tail(std::max(a.fall, 0.0), static_cast<double>(a.parameters()));
  }

  bool is_suspicious() const {
    const BlockSolution& s = *now_->solution;
    if (s.degrees_of_freedom() == 0) return false;
    std::map<std::size_t, std::size_t> tried;
    for (const Account& a : accounts_) ++tried[a.parameters()];
    for (const Account& a : accounts_)
      if (chance(a) * static_cast<double>(tried[a.parameters()]) < kAlpha) return true;
    return is_over_limit();
  }

  bool is_over_limit() const {
    const BlockSolution& s = *now_->solution;
    for (const Row& row : now_->rows) {
      if (row.kind == RowKind::face) continue;  // told where the sights are reduced
      if (row.count == 1) {
        const double r = s.redundancy(row.first);
        if (r > kNoRedundancy && std::fabs(s.residuals()[row.first]) > limit_ * std::sqrt(r)) return true;
        continue;
      }
      const std::size_t both[2] = {row.first, row.first + 1};
      const Matrix q = s.residual_covariance(both);
      const auto [a, b, d] = row.root;
      const double v[2] = {s.residuals()[row.first], s.residuals()[row.first + 1]};
      const double first = a * a * q(0, 0), second = b * b * q(0, 0) + 2 * b * d * q(0, 1) + d * d * q(1, 1);
      if (first > kNoRedundancy * a * a && std::fabs(a * v[0]) > limit_ * std::sqrt(first)) return true;
      if (second > kNoRedundancy * (b * b + d * d) &&
          std::fabs(b * v[0] + d * v[1]) > limit_ * std::sqrt(second))
        return true;
    }
    return false;
  }

  /// One accuses what the other accuses, more or less of it.
  static bool covers(const Account& a, const Account& b) {
    if (is_of_sight(a.wrong.kind) && is_of_sight(b.wrong.kind))
      return a.wrong.setup == b.wrong.setup && a.wrong.sight == b.wrong.sight &&
             (a.wrong.kind == WrongKind::target || b.wrong.kind == WrongKind::target);
    const auto is_place = [](const Account& x) {
      return x.wrong.kind == WrongKind::moved || x.wrong.kind == WrongKind::moved_height;
    };
    return is_place(a) && is_place(b) && a.wrong.point == b.wrong.point;
  }

  /// Of two accounts of which one accuses more than the other, the larger one must do better than by chance.
  void prefer_the_smaller() {
    const Account& best = accounts_.front();
    for (std::size_t k = 1; k < accounts_.size(); ++k) {
      const Account& part = accounts_[k];
      if (!covers(best, part) || part.parameters() >= best.parameters()) continue;
      const double more = static_cast<double>(best.parameters() - part.parameters());
      if (chi_squared_upper_tail(std::max(best.fall - part.fall, 0.0), more) < kAlpha) continue;
      std::rotate(accounts_.begin(), accounts_.begin() + static_cast<std::ptrdiff_t>(k),
                  accounts_.begin() + static_cast<std::ptrdiff_t>(k) + 1);
      return;
    }
  }

  /// Another setup that sights the same control would have seen it moved: the net weighed that.
  void hear_others(Wrong& w) const {
    if (!w.certain || !is_of_sight(w.kind) || w.kind == WrongKind::height || !builder_.control(*w.point))
      return;
    for (const std::size_t i : by_point_.at(*w.point))
      if (now_->rows[i].setup != *w.setup) {
        w.witness = MarkWitness::setup_stands;
        w.witness_setup = now_->rows[i].setup;
        return;
      }
  }

  // ---- accounts
  void collect() {
    accounts_.clear();
    by_setup_.assign(input_.setups.size(), {});
    by_point_.clear();
    for (std::size_t i = 0; i < now_->rows.size(); ++i) {
      const Row& row = now_->rows[i];
      if (is_sight(row.kind)) {
        by_setup_[row.setup].push_back(i);
        by_point_[row.point].push_back(i);
      }
    }
    for (std::size_t s = 0; s < by_setup_.size(); ++s) {
      of_sights(s);
      of_distances(s);
      of_turning(s);
    }
    of_marks();
    for (const auto& [p, rows] : by_point_)
      if (builder_.control(p)) of_control(p, rows);
  }

  /// Sine and cosine of the zenith angle: the shares of a slope distance in reach and rise.
  std::pair<double, double> slant(const Row& row) const {
    const Sight& sight = input_.setups[row.setup].sights[row.sight];
    if (!sight.zenith || row.kind != RowKind::reach) return {1, 0};
    const double z = sight.zenith->radians();
    if (sight.reduced) return {1, std::cos(z) / std::sin(z)};
    return {std::sin(z), std::cos(z)};
  }
  /// Reach by `along`, rise by `up`, in the weighted equations of a row.
  static void put(std::vector<Term>& column, const Row& row, double along, double up) {
    const auto [a, b, d] = row.root;
    column.push_back({row.first, along / a});
    if (row.count == 2) column.push_back({row.first + 1, (up - b / a * along) / d});
  }

  void add(Wrong wrong, std::vector<std::vector<Term>> columns, std::optional<std::size_t> freed = {}) {
    Fall fall = now_->solution->fall(columns);
    if (!fall.determined) return;
    Account a;
    a.wrong = std::move(wrong);
    a.columns = std::move(columns);
    a.freed = freed;
    a.fall = fall.square_sum;
    a.score = kCharge * static_cast<double>(a.parameters()) - a.fall;
    a.wrong.strength = std::sqrt(std::max(a.fall, 0.0));
    accounts_.push_back(std::move(a));
  }
  static Wrong account(WrongKind kind, std::size_t setup, std::size_t sight, std::size_t point) {
    Wrong w;
    w.kind = kind;
    w.setup = setup;
    w.sight = sight;
    w.point = point;
    return w;
  }

  void of_sights(std::size_t s) {
    std::map<std::size_t, std::vector<const Row*>> sights;
    for (const std::size_t i : by_setup_[s]) sights[now_->rows[i].sight].push_back(&now_->rows[i]);
    for (const auto& [k, rows] : sights) {
      const Row *circle = nullptr, *length = nullptr;
      for (const Row* row : rows) (row->kind == RowKind::circle ? circle : length) = row;
      const std::size_t p = rows.front()->point;
      if (circle) add(account(WrongKind::circle, s, k, p), {{{circle->first, 1 / circle->root[0]}}});
      if (length && length->kind == RowKind::zenith)
        add(account(WrongKind::height, s, k, p), {{{length->first, 1 / length->root[0]}}});
      if (!length || length->kind == RowKind::zenith) continue;
      std::vector<Term> distance, reach, rise;
      put(distance, *length, slant(*length).first, slant(*length).second);
      put(reach, *length, 1, 0);
      add(account(WrongKind::distance, s, k, p), {distance});
      if (length->kind == RowKind::reach) {
        put(rise, *length, 0, 1);
        std::erase_if(rise, [](const Term& t) { return t.factor == 0; });
        add(account(WrongKind::height, s, k, p), {rise});
      }
      if (!circle) continue;
      std::vector<std::vector<Term>> all{{{circle->first, 1 / circle->root[0]}}, reach};
      if (!rise.empty()) all.push_back(rise);
      add(account(WrongKind::target, s, k, p), std::move(all));
    }
  }

  void of_distances(std::size_t s) {
    std::map<std::optional<double>, std::vector<const Row*>> groups;
    std::vector<const Row*> all;
    for (const std::size_t i : by_setup_[s]) {
      const Row& row = now_->rows[i];
      if (row.kind != RowKind::reach && row.kind != RowKind::distance) continue;
      all.push_back(&row);
      const auto& reflector = input_.setups[s].sights[row.sight].reflector;
      groups[reflector ? std::optional(reflector->metres()) : std::nullopt].push_back(&row);
    }
    const auto constant = [&](const std::vector<const Row*>& rows) {
      if (rows.size() < 2) return;
      std::vector<Term> column;
      for (const Row* row : rows) put(column, *row, slant(*row).first, slant(*row).second);
      add(account(WrongKind::all_distances, s, rows.front()->sight, rows.front()->point), {column});
    };
    constant(all);
    if (groups.size() > 1)
      for (const auto& [reflector, rows] : groups)
        if (reflector) constant(rows);
    if (all.size() < 3) return;
    std::vector<Term> column;
    for (const Row* row : all) {
      const double reach = input_.setups[s].sights[row->sight].horizontal->metres();
      const auto [sine, cosine] = slant(*row);
      put(column, *row, reach, row->kind == RowKind::reach ? reach * cosine / sine : 0);
    }
    add(account(WrongKind::scale, s, all.front()->sight, all.front()->point), {column});
  }

  /// One direction beside the rest is that direction; a turned instrument leaves two on either side.
  void of_turning(std::size_t s) {
    std::vector<const Row*> circles;
    for (const std::size_t i : by_setup_[s])
      if (now_->rows[i].kind == RowKind::circle) circles.push_back(&now_->rows[i]);
    for (std::size_t k = 2; k + 2 <= circles.size(); ++k) {
      std::vector<Term> column;
      for (std::size_t i = k; i < circles.size(); ++i)
        column.push_back({circles[i]->first, 1 / circles[i]->root[0]});
      add(account(WrongKind::turned, s, circles[k]->sight, circles[k]->point), {column});
    }
  }

  void of_marks() {
    const auto& rows = now_->rows;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const Row& row = rows[i];
      const bool is_place = (row.kind == RowKind::mark || row.kind == RowKind::own) && i + 1 < rows.size() &&
                            rows[i + 1].kind == row.kind && rows[i + 1].setup == row.setup;
      if (is_place) {
        add(account(WrongKind::mark, row.setup, 0, row.point),
            {{{row.first, 1 / row.root[0]}}, {{rows[i + 1].first, 1 / rows[i + 1].root[0]}}});
        ++i;
      } else if (row.kind == RowKind::mark_height || row.kind == RowKind::own_height) {
        add(account(WrongKind::mark_height, row.setup, 0, row.point), {{{row.first, 1 / row.root[0]}}});
      }
    }
  }

  /// A control point that has moved: every sight to it, and a setup over it, sees it at the new place.
  void of_control(std::size_t p, const std::vector<std::size_t>& rows) {
    std::vector<std::size_t> setups;
    for (const std::size_t i : rows)
      if (std::find(setups.begin(), setups.end(), now_->rows[i].setup) == setups.end())
        setups.push_back(now_->rows[i].setup);
    bool is_over = false;
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      is_over = is_over || (now_->in_net[s] && input_.setups[s].over == p);
    if (setups.size() + (is_over ? 1 : 0) < 2) return;
    Wrong moved =
        account(WrongKind::moved, now_->rows[rows.front()].setup, now_->rows[rows.front()].sight, p);
    moved.seen_by = setups;
    std::vector<std::vector<Term>> plan(2), height(1);
    for (const Row& row : now_->rows) {
      if (row.point != p) continue;
      if (row.kind == RowKind::mark) {
        const std::size_t axis = is_first_of_mark(row) ? 0 : 1;
        plan[axis].push_back({row.first, 1 / row.root[0]});
      } else if (row.kind == RowKind::mark_height) {
        height[0].push_back({row.first, 1 / row.root[0]});
      } else if (is_sight(row.kind)) {
        of_place(row, plan, height[0]);
      }
    }
    if (builder_.control_sd(p) > 0 && !now_->extra.is_freed(p)) {
      // Its stated coordinates are observations: these are what is wrong.
      plan = {{}, {}};
      height[0].clear();
      for (std::size_t i = 0; i < now_->rows.size(); ++i) {
        const Row& row = now_->rows[i];
        if (row.point != p) continue;
        if (row.kind == RowKind::control && plan[1].empty())
          plan[plan[0].empty() ? 0 : 1].push_back({row.first, -1 / row.root[0]});
        if (row.kind == RowKind::control_height) height[0].push_back({row.first, -1 / row.root[0]});
      }
    }
    const auto c = builder_.control(p);
    if (!now_->extra.is_freed(p) && !plan[0].empty() && !plan[1].empty()) add(moved, plan, p);
    if (!c->elevation || height[0].empty()) return;
    moved.kind = WrongKind::moved_height;
    add(moved, height);
  }

  bool is_first_of_mark(const Row& row) const {
    for (const Row& other : now_->rows)
      if (other.kind == RowKind::mark && other.setup == row.setup) return &other == &row;
    return false;
  }

  /// By how much a reading grows where its point lies farther north, east, higher: the derivatives.
  void of_place(const Row& row, std::vector<std::vector<Term>>& plan, std::vector<Term>& height) const {
    const auto& origin = now_->values.setups[row.setup];
    const auto& to = now_->values.points[row.point];
    const double dn = to.n - origin.n, de = to.e - origin.e, reach = std::max(std::hypot(dn, de), 1e-4);
    const double un = dn / reach, ue = de / reach;
    if (row.kind == RowKind::circle) {
      plan[0].push_back({row.first, -ue / reach / row.root[0]});
      plan[1].push_back({row.first, un / reach / row.root[0]});
    } else if (row.kind != RowKind::zenith) {
      put(plan[0], row, un, 0);
      put(plan[1], row, ue, 0);
      if (row.kind == RowKind::reach) height.push_back({row.first + 1, 1 / row.root[2]});
    }
  }

  // ---- the best are fitted again
  bool refit() {
    const double factor = now_->solution->square_sum() /
                          static_cast<double>(std::max<std::size_t>(now_->solution->degrees_of_freedom(), 1));
    std::size_t most = factor > kFar ? kRefittedFar : kRefitted;
    const double best = accounts_.front().score;
    std::vector<Account> sound;
    for (std::size_t k = 0; k < accounts_.size(); ++k) {
      if (k >= most && accounts_[k].score > best + kAsGood) break;
      if (k >= 2 * kRefittedFar) break;
      Account& a = accounts_[k];
      Extra extra = now_->extra;
      if (a.freed)
        extra.freed.push_back(*a.freed);
      else
        extra.columns.insert(extra.columns.end(), a.columns.begin(), a.columns.end());
      a.solved = builder_.solve(builder_.start_from(*now_, start_), now_->part, extra);
      if (!a.solved.converged) continue;
      a.fall = now_->solution->square_sum() - a.solved.solution->square_sum();
      a.score = kCharge * static_cast<double>(a.parameters()) - a.fall;
      sound.push_back(std::move(a));
    }
    accounts_ = std::move(sound);
    std::stable_sort(accounts_.begin(), accounts_.end(),
                     [](const Account& a, const Account& b) { return a.score < b.score; });
    return !accounts_.empty();
  }

  /// Puts sizes into an account that was fitted again.
  void tell(Account& a, const Solved& by) const {
    Wrong& w = a.wrong;
    const std::size_t first = a.freed ? 0 : by.errors.size() - a.parameters();
    const auto error = [&](std::size_t k) { return by.errors[first + k]; };
    const auto& at = by.values.setups[*w.setup];
    switch (w.kind) {
      case WrongKind::circle:
      case WrongKind::turned: {
        w.angle = Angle::radians(error(0));
        const auto& to = by.values.points[*w.point];
        if (w.kind == WrongKind::circle)
          w.length = Length::metres(std::hypot(to.n - at.n, to.e - at.e) * error(0));
        break;
      }
      case WrongKind::distance:
      case WrongKind::all_distances:
      case WrongKind::mark_height:
      case WrongKind::height:
        w.length = Length::metres(error(0));
        break;
      case WrongKind::scale:
        w.ppm = error(0) * 1e6;
        break;
      case WrongKind::mark:
        w.length = Length::metres(std::hypot(error(0), error(1)));
        break;
      case WrongKind::moved_height:
        w.raised = Length::metres(error(0));
        break;
      case WrongKind::target:
        tell_target(w, by);
        break;
      case WrongKind::moved:
        tell_moved(w, by);
        break;
      default:
        break;
    }
    if (w.kind == WrongKind::mark_height) w.length = -*w.length;
  }

  void tell_target(Wrong& w, const Solved& by) const {
    const Sight& sight = input_.setups[*w.setup].sights[w.sight];
    const auto& at = by.values.setups[*w.setup];
    const auto& to = by.values.points[*w.point];
    const double way = sight.circle->radians() + at.turn, reach = sight.horizontal->metres();
    const Flat seen{at.n + reach * std::cos(way), at.e + reach * std::sin(way)};
    w.seen_at = place(seen, builder_.centre());
    w.length = Length::metres(std::hypot(seen.n - to.n, seen.e - to.e));
  }

  void tell_moved(Wrong& w, const Solved& by) const {
    const auto& v = by.values.points[*w.point];
    const Flat stated = flat(builder_.control(*w.point)->at, builder_.centre());
    w.seen_at = place({v.n, v.e}, builder_.centre());
    w.length = Length::metres(std::hypot(v.n - stated.n, v.e - stated.e));
    const auto& u = by.unknowns.points[*w.point];
    const LinearForm forms[2] = {{{*u[0], 1}}, {{*u[1], 1}}};
    const Matrix q = by.solution->covariance(forms);
    const double own = builder_.control_sd(*w.point);
    w.shift_covariance = PlanCovariance<Site>{q(0, 0) + own * own, q(0, 1), q(1, 1) + own * own};
  }

  const Builder& builder_;
  const NetInput& input_;
  const Start& start_;
  double limit_;
  const Solved* now_;
  Solved held_;
  std::vector<Account> accounts_;
  std::vector<std::vector<std::size_t>> by_setup_;            // rows of sights
  std::map<std::size_t, std::vector<std::size_t>> by_point_;  // likewise
};

}  // namespace

std::vector<Wrong> find_wrong(const Builder& builder, const Solved& solved, const Start& start,
                              double limit) {
  return Search(builder, solved, start, limit).run();
}

}  // namespace deckmark::net
