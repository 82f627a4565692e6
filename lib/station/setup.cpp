#include "station/setup.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <numbers>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "station/conclude.h"
#include "station/plan_fit.h"
#include "station/setup_facts.h"
#include "station/setup_witness.h"
#include "station/setup_wrong.h"

namespace deckmark {

namespace {

using Kind = PlanObservation::Kind;

constexpr double kFixedHeight = 1e-6;

// Elevation of the ground mark: linear, on its own.
class HeightFit {
 public:
  HeightFit(const SetupInput& input, const SetupOptions& options) : input_(input), options_(options) {
    for (std::size_t s = 0; s < input.sights.size(); ++s) add_sight(s);
    if (input.place != SetupPlace::free && input.mark && input.mark->elevation) add_mark();
  }

  void run(SetupResult& out) {
    if (sights_.empty()) {
      if (!marked_) return;
      out.elevation = input_.mark->elevation;
      out.elevation_sd = Length::metres(mark_sd());
      return;
    }
    problem_.design = Matrix(problem_.observed.size(), 1 + slots_.size());
    for (std::size_t row = 0; row < problem_.observed.size(); ++row)
      for (const auto& [column, value] : entries_[row]) problem_.design(row, column) = value;
    const Solution s = solve(problem_);
    if (!s.full_rank) return;
    out.elevation = reference_ + Length::metres(s.parameters[0]);
    out.elevation_sd = Length::metres(std::sqrt(s.covariance(0, 0)));
    out.height_degrees_of_freedom = s.degrees_of_freedom;
    out.height_variance_factor = s.variance_factor;
    for (std::size_t k = 0; k < sights_.size(); ++k) out.rows.push_back(row_of(k, s));
    name_wrong(out, s);
  }

 private:
  double mark_sd() const {
    const double own = input_.mark->sd                   ? input_.mark->sd->metres()
                       : input_.place == SetupPlace::own ? kOwnSd
                                                         : 0.0;
    const double measured = input_.place == SetupPlace::known ? options_.instrument.height_sd.metres() : 0.0;
    return std::max(std::hypot(own, measured), kFixedHeight);
  }

  void add_sight(std::size_t index) {
    const Sight& s = input_.sights[index];
    const auto& target = input_.targets[s.target];
    if (!s.rise || !target || !target->elevation) return;
    if (sights_.empty()) reference_ = *target->elevation;
    const Length difference = *s.rise + input_.instrument_height - s.target_height;
    const double read = rise_sd(s, options_.instrument.distance_ppm).metres();
    const double heights = options_.instrument.height_sd.metres();
    const double sd = std::max(std::sqrt(read * read + 2 * heights * heights), kFixedHeight);
    const std::size_t row = problem_.observed.size();
    entries_.resize(row + 1);
    entries_[row].emplace_back(0, 1.0);
    sights_.push_back(index);
    differences_.push_back(difference);
    if (!target->sd || target->sd->metres() <= 0) {
      problem_.observed.push_back((*target->elevation - reference_ - difference).metres());
      problem_.sds.push_back(sd);
      return;
    }
    // Setup less control = minus the difference read; the control's elevation is one more unknown, about its
    // own value.
    const auto found = std::find(slots_.begin(), slots_.end(), s.target);
    const std::size_t column = 1 + static_cast<std::size_t>(found - slots_.begin());
    entries_[row].emplace_back(column, -1.0);
    problem_.observed.push_back((*target->elevation - reference_ - difference).metres());
    problem_.sds.push_back(sd);
    if (found != slots_.end()) return;
    slots_.push_back(s.target);
    entries_.push_back({{column, 1.0}});
    problem_.observed.push_back(0);
    problem_.sds.push_back(std::max(target->sd->metres(), kFixedHeight));
    other_rows_.push_back(row + 1);
  }

  void add_mark() {
    marked_ = true;
    if (sights_.empty()) return;
    mark_row_ = problem_.observed.size();
    entries_.push_back({{0, 1.0}});
    problem_.observed.push_back((*input_.mark->elevation - reference_).metres());
    problem_.sds.push_back(mark_sd());
  }

  // Row of the problem of the k-th sight: control rows stand between.
  std::size_t problem_row(std::size_t k) const {
    std::size_t row = k;
    for (const std::size_t other : other_rows_)
      if (other <= row) ++row;
    return row;
  }

  // The problem's observation is the setup's elevation; a height difference that is too large lowers it.
  SightRow row_of(std::size_t k, const Solution& s) const {
    const std::size_t row = problem_row(k);
    SightRow out;
    out.sight = sights_[k];
    out.quantity = Quantity::height;
    out.length = differences_[k];
    out.length_residual = Length::metres(-s.residuals[row]);
    std::optional<double> w = s.standardised[row];
    if (w) w = -*w;
    set_quality(out, problem_.sds[row], s.redundancy[row], w);
    return out;
  }

  void name_wrong(SetupResult& out, const Solution& s) const {
    for (const WrongObservation& w : find_wrong(problem_, 3)) {
      Wrong wrong;
      wrong.length = Length::metres(-w.error);
      wrong.strength = std::fabs(w.standardised);
      if (w.index == mark_row_) {
        wrong.kind = WrongKind::mark_height;
        wrong.length = Length::metres(w.error);
      } else {
        wrong.kind = WrongKind::height;
        std::size_t k = 0;
        while (k < sights_.size() && problem_row(k) != w.index) ++k;
        // A control's own row: its sights all read against it.
        if (k == sights_.size()) k = sight_of_control_row(w.index);
        wrong.sight = sights_[k];
      }
      wrong.certain = s.degrees_of_freedom > 1;  // with one to spare every observation is as likely
      for (std::size_t k = 0; !wrong.certain && k < sights_.size(); ++k) {
        if (wrong.kind == WrongKind::height && wrong.sight == sights_[k]) continue;
        Wrong other;
        other.kind = WrongKind::height;
        other.sight = sights_[k];
        wrong.others.push_back(other);
      }
      out.wrong.push_back(wrong);
      if (!wrong.certain) return;
    }
  }

  std::size_t sight_of_control_row(std::size_t row) const {
    std::size_t k = 0;
    while (k + 1 < sights_.size() && problem_row(k) + 1 != row) ++k;
    return k;
  }

  const SetupInput& input_;
  const SetupOptions& options_;
  Elevation reference_ = Elevation::metres(0);
  LinearProblem problem_;
  std::vector<std::vector<std::pair<std::size_t, double>>> entries_;
  std::vector<std::size_t> sights_, slots_, other_rows_;
  std::vector<Length> differences_;
  std::size_t mark_row_ = static_cast<std::size_t>(-1);
  bool marked_ = false;
};

std::optional<Angle> stated_orientation(const SetupInput& input) {
  if (!input.orientation) return std::nullopt;
  return Angle::degrees(Azimuth::degrees(input.orientation->degrees()).degrees());
}

void set_plan(SetupResult& out, const PlanFit& plan, const PlanSolution& s, const SetupInput& input) {
  out.at = plan.place(s);
  out.orientation = plan.has_circles() ? std::optional(plan.orientation(s)) : stated_orientation(input);
  const std::size_t known = plan.has_circles() ? 3 : 2;
  for (std::size_t i = 0; i < known; ++i)
    for (std::size_t j = 0; j < known; ++j) out.covariance[i][j] = s.fit.covariance(i, j);
  out.degrees_of_freedom = s.fit.degrees_of_freedom;
  out.variance_factor = s.fit.variance_factor;
  const auto& observations = plan.observations();
  for (std::size_t row = 0; row < s.used.size(); ++row) {
    const PlanObservation& o = observations[s.used[row]];
    if (o.kind != Kind::circle && o.kind != Kind::distance) continue;
    SightRow r;
    r.sight = o.sight;
    r.reach = distance(out.at, plan.control(o.sight).at);
    double sd = o.sd;
    if (o.kind == Kind::circle) {
      const Sight& sight = input.sights[o.sight];
      const double hd = sight.horizontal.value_or(r.reach).metres();
      sd = std::hypot(sight.circle_sd.radians(), sight.target_sd.metres() / std::max(hd, 0.01));
      r.quantity = Quantity::circle;
      r.circle = Angle::degrees(sight.circle->degrees());
      r.circle_residual = Angle::radians(s.fit.residuals[row]);
    } else {
      r.quantity = Quantity::distance;
      r.length = Length::metres(o.observed);
      r.length_residual = Length::metres(s.fit.residuals[row]);
    }
    set_quality(r, sd, s.fit.redundancy[row], s.fit.standardised[row]);
    out.rows.push_back(r);
  }
}

// Rows of the sight that had to be left out, against the setup without it.
void add_left_out(SetupResult& out, std::size_t left_out, const SetupInput& input,
                  const SetupOptions& options) {
  const Sight& sight = input.sights[left_out];
  for (SightRow row : check_sight(out, sight, left_out, *input.targets[sight.target],
                                  options.position_tolerance, options.instrument)) {
    if (row.quantity == Quantity::height) continue;
    row.verdict = Verdict::outside;
    out.rows.push_back(row);
  }
}

// Two distances alone to two marks: true where their circles do not meet.
bool is_apart(const SetupInput& input, const PlanFit& plan) {
  std::vector<std::size_t> read;
  for (const PlanObservation& o : plan.observations()) {
    if (o.kind == Kind::distance) read.push_back(o.sight);
    if (o.kind == Kind::circle || o.kind == Kind::mark_north) return false;
  }
  if (read.size() != 2) return false;
  const double base = distance(plan.control(read[0]).at, plan.control(read[1]).at).metres();
  const double one = input.sights[read[0]].horizontal->metres(),
               two = input.sights[read[1]].horizontal->metres();
  return base > 0 && (one + two < base || std::fabs(one - two) > base);
}

bool sights_control(const SetupInput& input) {
  return std::any_of(input.sights.begin(), input.sights.end(),
                     [&](const Sight& s) { return input.targets[s.target].has_value(); });
}

// The exchange that is to be named, with every account that does as well; none where single readings account
// for the misfit better, which then name the exchanges that do as well. `wrong` may be empty: no solution to
// find them from.
std::optional<Wrong> exchange_of(std::vector<Wrong>& wrong, const SetupInput& input,
                                 const SetupOptions& options, const PlanSolution& all) {
  const double single =
      wrong.empty() ? std::numeric_limits<double>::infinity() : score_of(wrong.front(), all.fit.square_sum);
  const std::vector<Exchange> exchanges = find_exchanged(input, options, single + kAsGood);
  if (exchanges.empty()) return std::nullopt;
  std::vector<Wrong> named;
  named.reserve(exchanges.size());
  for (const Exchange& e : exchanges) named.push_back(e.wrong);
  if (!wrong.empty()) {
    const double score = exchanges.front().score;
    if (single < score - kAsGood) return std::nullopt;
    if (single <= score) {
      wrong.front().certain = false;
      wrong.front().others.insert(wrong.front().others.end(), named.begin(), named.end());
      return std::nullopt;
    }
    if (single <= score + kAsGood) {
      named.push_back(wrong.front());
      named.insert(named.end(), wrong.front().others.begin(), wrong.front().others.end());
      for (Wrong& w : named) w.others.clear();
    }
  }
  Wrong best = std::move(named.front());
  best.others.assign(std::make_move_iterator(named.begin() + 1), std::make_move_iterator(named.end()));
  best.certain = best.others.empty();
  return best;
}

// Whether northing and easting of all control are exchanged: it must do better than any account of single
// readings or names, charged as three wrong readings.
bool has_axes_exchanged(const std::vector<Wrong>& wrong, const std::optional<Wrong>& exchange,
                        const SetupInput& input, const SetupOptions& options, const PlanSolution& all) {
  constexpr double kAxesCharge = 3 * 10.83;
  if (exchange || (all.fit.converged && wrong.empty())) return false;
  const auto sum = with_axes_exchanged(input, options);
  if (!sum) return false;
  return !all.fit.converged || *sum + kAxesCharge + kAsGood < score_of(wrong.front(), all.fit.square_sum);
}

Wrong axes_exchanged() {
  Wrong axes;
  axes.kind = WrongKind::axes;
  return axes;
}

// Under exchanged names the elevations are exchanged too: a height that is wrong beside them shows with the
// names put right.
void put_heights_right(SetupResult& out, const SetupInput& input, const Wrong& exchange,
                       const SetupOptions& options) {
  std::erase_if(out.wrong, [](const Wrong& w) {
    return w.kind == WrongKind::height || w.kind == WrongKind::mark_height;
  });
  const auto targets = targets_put_right(input, exchange);
  SetupInput right = input;
  right.targets = targets;
  SetupResult heights;
  HeightFit(right, options).run(heights);
  for (Wrong& w : heights.wrong) out.wrong.push_back(std::move(w));
}

// No control is sighted: the place and the orientation are what was stated.
SetupResult as_stated(const SetupInput& input, const SetupOptions& options) {
  SetupResult out;
  out.instrument_height = input.instrument_height;
  if (input.place == SetupPlace::free) return out;
  out.at = input.mark->at;
  const double own = input.mark->sd                   ? input.mark->sd->metres()
                     : input.place == SetupPlace::own ? kOwnSd
                                                      : 0.0;
  const double centring = input.place == SetupPlace::known ? options.instrument.centring_sd.metres() : 0.0;
  out.covariance[0][0] = out.covariance[1][1] = own * own + centring * centring;
  HeightFit(input, options).run(out);
  if (input.orientation) {
    out.status = SetupStatus::solved;
    out.orientation = stated_orientation(input);
    out.facts.push_back({SetupFactKind::no_check, 0});
  } else {
    out.status = input.place == SetupPlace::own ? SetupStatus::place_only : SetupStatus::no_orientation;
  }
  return out;
}

}  // namespace

Length SetupResult::sd_northing() const { return Length::metres(std::sqrt(covariance[0][0])); }
Length SetupResult::sd_easting() const { return Length::metres(std::sqrt(covariance[1][1])); }
std::optional<Angle> SetupResult::sd_orientation() const {
  if (!orientation) return std::nullopt;
  return Angle::radians(std::sqrt(covariance[2][2]));
}
std::optional<Elevation> SetupResult::axis() const {
  if (adjusted_axis) return adjusted_axis;
  if (!elevation) return std::nullopt;
  return *elevation + instrument_height;
}

namespace {

/// `grave`: variance factor from which on errors are named.
SetupResult adjusted(const SetupInput& input, const SetupOptions& options, double grave) {
  if (!sights_control(input)) return as_stated(input, options);
  SetupResult out;
  out.instrument_height = input.instrument_height;
  const PlanFit plan(input, options);
  const PlanSolution all = plan.run(plan.everything());
  if (!all.enough) return out;
  if (is_apart(input, plan)) {
    out.status = SetupStatus::apart;
    return out;
  }
  std::vector<Wrong> wrong;
  if (all.fit.converged && all.fit.variance_factor.value_or(0) >= grave)
    wrong = find_wrong_plan(plan, plan.everything(), all, input);
  std::optional<Wrong> exchange;
  if (all.fit.converged ? !wrong.empty() : all.fit.full_rank)
    exchange = exchange_of(wrong, input, options, all);
  std::optional<WithoutOne> without;
  if (exchange && (exchange->certain || !all.fit.converged)) without = leave_exchanged_out(plan, *exchange);
  const bool exchanged_out = without.has_value();
  if (!all.fit.converged) {
    out.status = all.fit.full_rank ? SetupStatus::not_converged : SetupStatus::open;
    // Without three in a ring too little may be left: then one sight goes, and the account stays.
    if (all.fit.full_rank && !without) without = leave_one_out(plan, input);
    if (!without) {
      if (has_axes_exchanged({}, exchange, input, options, all)) out.wrong = {axes_exchanged()};
      return out;
    }
  }
  if (all.places.size() > 1) {
    out.status = SetupStatus::two_places;
    out.places = all.places;
    return out;
  }
  out.status = SetupStatus::solved;
  set_plan(out, plan, without ? without->solution : all, input);
  out.held = plan.held_control(without ? without->solution : all);
  if (without) out.left_out = without->wrong.sight;
  if (exchange) {
    wrong = {*exchange};
  } else if (without) {
    wrong = find_wrong_plan(plan, without->variant, without->solution, input);
    wrong.insert(wrong.begin(), without->wrong);
  }
  if (has_axes_exchanged(wrong, exchange, input, options, all)) wrong = {axes_exchanged()};
  out.wrong = std::move(wrong);
  HeightFit(input, options).run(out);
  if (exchange) put_heights_right(out, input, *exchange, options);
  if (out.left_out) add_left_out(out, *out.left_out, input, options);
  if (exchanged_out)
    for (const auto s : {std::optional(exchange->other_sight), exchange->third_sight})
      if (s) add_left_out(out, *s, input, options);
  hear_heights(out, input, options.instrument);
  drop_repeated(out.wrong);
  conclude(out);
  add_facts(out, input, options);
  return out;
}

}  // namespace

SetupResult adjust_setup(const SetupInput& input, const SetupOptions& options) {
  return adjusted(input, options, 0);
}

SetupResult adjust_setup_of_net(const SetupInput& input, const SetupOptions& options) {
  constexpr double kGrave = 100;  // 10 sds: names and axes exchanged are hundreds and more
  return adjusted(input, options, kGrave);
}

}  // namespace deckmark
