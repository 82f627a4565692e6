#include "station/setup_wrong.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "adjust/statistics.h"

namespace deckmark {

namespace {

using Kind = PlanObservation::Kind;
using Extra = PlanVariant::Extra;

constexpr double kCharge = 10.83;  // of one unknown: the square of 3.29
constexpr double kGlobalAlpha = 0.001;
constexpr double kAlpha = 0.001;  // of one account
constexpr std::size_t kMost = 3;  // errors named in one setup

struct Account {
  Wrong wrong;
  PlanVariant variant;
  PlanSolution solution;
  double unknowns = 1, explained = 0, score = 0;
};

class Search {
 public:
  Search(const PlanFit& plan, const PlanVariant& variant, const PlanSolution& base, const SetupInput& input)
      : plan_(plan), input_(input), base_(base), variant_(variant) {}

  std::vector<Wrong> run() {
    std::vector<Wrong> out;
    while (out.size() < kMost && suspicious()) {
      collect();
      if (accounts_.empty()) break;
      std::stable_sort(accounts_.begin(), accounts_.end(),
                       [](const Account& a, const Account& b) { return a.score < b.score; });
      Account best = std::move(accounts_.front());
      if (chi_squared_upper_tail(best.explained, best.unknowns) >= kAlpha) break;
      for (std::size_t k = 1; k < accounts_.size(); ++k) {
        if (accounts_[k].score > best.score + kAsGood || covers(best, accounts_[k])) continue;
        best.wrong.certain = false;
        best.wrong.others.push_back(accounts_[k].wrong);
      }
      out.push_back(std::move(best.wrong));
      const bool placed = out.back().certain;
      variant_ = std::move(best.variant);
      base_ = std::move(best.solution);
      if (!placed) break;  // going on from a guess would only name more
    }
    return out;
  }

 private:
  // A target and its circle or its distance alone accuse one sight: no doubt of which.
  static bool covers(const Account& best, const Account& other) {
    const auto single = [](const Account& a) {
      return a.wrong.kind == WrongKind::circle || a.wrong.kind == WrongKind::distance;
    };
    return other.wrong.sight == best.wrong.sight &&
           ((other.wrong.kind == WrongKind::target && single(best)) ||
            (best.wrong.kind == WrongKind::target && single(other)));
  }

  bool suspicious() const {
    if (base_.fit.degrees_of_freedom == 0) return false;
    for (const auto& w : base_.fit.standardised)
      if (w && std::fabs(*w) > kWrongLimit) return true;
    return chi_squared_upper_tail(base_.fit.square_sum, static_cast<double>(base_.fit.degrees_of_freedom)) <
           kGlobalAlpha;
  }

  void collect() {
    accounts_.clear();
    const auto& obs = plan_.observations();
    std::vector<std::size_t> sights;
    for (std::size_t i = 0; i < obs.size(); ++i) {
      const bool circle = obs[i].kind == Kind::circle;
      if (!circle && obs[i].kind != Kind::distance) continue;
      if (circle) sights.push_back(obs[i].sight);
      if (variant_.kept[i]) leave_out({i}, circle ? WrongKind::circle : WrongKind::distance, obs[i].sight);
    }
    for (const std::size_t s : sights) {
      const auto circle = plan_.observation_of(s, Kind::circle),
                 distance = plan_.observation_of(s, Kind::distance);
      if (circle && distance && variant_.kept[*circle] && variant_.kept[*distance])
        leave_out({*circle, *distance}, WrongKind::target, s);
    }
    if (input_.place != SetupPlace::free && variant_.kept[0]) leave_out({0, 1}, WrongKind::mark, 0);
    if (variant_.extra != Extra::none) return;
    constants();
    // One direction beside the rest is that direction; a turned instrument leaves two on either side.
    for (std::size_t k = 2; k + 2 <= sights.size(); ++k) add_unknown(Extra::turned, sights[k], std::nullopt);
  }

  void constants() {
    std::vector<std::optional<Length>> reflectors;
    std::vector<std::size_t> counts;
    for (const PlanObservation& o : plan_.observations()) {
      if (o.kind != Kind::distance) continue;
      const auto reflector = input_.sights[o.sight].reflector;
      const auto found = std::find(reflectors.begin(), reflectors.end(), reflector);
      if (found == reflectors.end())
        reflectors.push_back(reflector), counts.push_back(1);
      else
        ++counts[static_cast<std::size_t>(found - reflectors.begin())];
    }
    std::size_t distances = 0;
    for (const std::size_t c : counts) distances += c;
    if (distances >= 2) add_unknown(Extra::constant, 0, std::nullopt);
    if (reflectors.size() < 2) return;
    for (std::size_t k = 0; k < reflectors.size(); ++k)
      if (counts[k] >= 2 && reflectors[k]) add_unknown(Extra::constant, 0, reflectors[k]);
  }

  void leave_out(std::initializer_list<std::size_t> observations, WrongKind kind, std::size_t sight) {
    Account a;
    a.variant = variant_;
    for (const std::size_t i : observations) a.variant.kept[i] = false;
    a.wrong.kind = kind;
    a.wrong.sight = sight;
    a.unknowns = static_cast<double>(observations.size());
    if (!solve(a)) return;
    const std::size_t first = *observations.begin();
    if (kind == WrongKind::circle) {
      a.wrong.angle = Angle::radians(plan_.misfit(a.solution, first));
      a.wrong.length = distance(plan_.place(a.solution), plan_.control(sight).at) * a.wrong.angle->radians();
    } else if (kind == WrongKind::distance) {
      a.wrong.length = Length::metres(plan_.misfit(a.solution, first));
    } else if (kind == WrongKind::target) {
      a.wrong.seen_at = plan_.shot(a.solution, sight);
      a.wrong.length = distance(*a.wrong.seen_at, plan_.control(sight).at);
    } else {
      a.wrong.seen_at = plan_.place(a.solution);
      a.wrong.length = distance(*a.wrong.seen_at, input_.mark->at);
    }
    const bool single = kind == WrongKind::circle || kind == WrongKind::distance;
    if (single && input_.sights[sight].circle && input_.sights[sight].horizontal)
      a.wrong.seen_at = plan_.shot(a.solution, sight);
    accounts_.push_back(std::move(a));
  }

  void add_unknown(Extra extra, std::size_t from, std::optional<Length> reflector) {
    Account a;
    a.variant = variant_;
    a.variant.extra = extra;
    a.variant.from = from;
    a.variant.reflector = reflector;
    a.wrong.kind = extra == Extra::constant ? WrongKind::all_distances : WrongKind::turned;
    a.wrong.sight = from;
    if (!solve(a)) return;
    const double value = a.solution.fit.parameters[3];
    if (extra == Extra::constant)
      a.wrong.length = Length::metres(value);
    else
      a.wrong.angle = Angle::radians(std::remainder(value, 2 * std::numbers::pi));
    accounts_.push_back(std::move(a));
  }

  bool solve(Account& a) const {
    a.solution = plan_.run(a.variant, &base_);
    if (!a.solution.enough || !a.solution.fit.converged || a.solution.places.size() > 1) return false;
    a.explained = base_.fit.square_sum - a.solution.fit.square_sum;
    a.score = a.solution.fit.square_sum + kCharge * a.unknowns;
    a.wrong.strength = std::sqrt(std::max(a.explained, 0.0));
    return a.explained > 0;
  }

  const PlanFit& plan_;
  const SetupInput& input_;
  PlanSolution base_;
  PlanVariant variant_;
  std::vector<Account> accounts_;
};

}  // namespace

std::vector<Wrong> find_wrong_plan(const PlanFit& plan, const PlanVariant& variant, const PlanSolution& base,
                                   const SetupInput& input) {
  return Search(plan, variant, base, input).run();
}

std::optional<WithoutOne> leave_exchanged_out(const PlanFit& plan, const Wrong& exchanged) {
  WithoutOne w{exchanged, plan.everything(), {}};
  for (const std::size_t s :
       {exchanged.sight, exchanged.other_sight, exchanged.third_sight.value_or(exchanged.sight)})
    for (const Kind kind : {Kind::circle, Kind::distance})
      if (const auto i = plan.observation_of(s, kind)) w.variant.kept[*i] = false;
  w.solution = plan.run(w.variant);
  if (!w.solution.enough || !w.solution.fit.converged || w.solution.places.size() > 1) return std::nullopt;
  return w;
}

std::optional<WithoutOne> leave_one_out(const PlanFit& plan, const SetupInput& input) {
  std::vector<WithoutOne> found;
  for (std::size_t s = 0; s < input.sights.size(); ++s) {
    if (!plan.is_control(s)) continue;
    WithoutOne w{{}, plan.everything(), {}};
    for (const Kind kind : {Kind::circle, Kind::distance})
      if (const auto i = plan.observation_of(s, kind)) w.variant.kept[*i] = false;
    w.solution = plan.run(w.variant);
    if (!w.solution.enough || !w.solution.fit.converged || w.solution.places.size() > 1 ||
        w.solution.fit.degrees_of_freedom == 0)
      continue;
    w.wrong.kind = WrongKind::target;
    w.wrong.sight = s;
    if (input.sights[s].horizontal && input.sights[s].circle) {
      w.wrong.seen_at = plan.shot(w.solution, s);
      w.wrong.length = distance(*w.wrong.seen_at, plan.control(s).at);
    }
    double explained = 0;
    for (const Kind kind : {Kind::circle, Kind::distance})
      if (const auto i = plan.observation_of(s, kind)) {
        const double sd =
            kind == Kind::circle ? input.sights[s].circle_sd.radians() : plan.observations()[*i].sd;
        explained += std::pow(plan.misfit(w.solution, *i) / sd, 2);
      }
    w.wrong.strength = std::sqrt(explained);
    found.push_back(std::move(w));
  }
  if (found.empty()) return std::nullopt;
  std::stable_sort(found.begin(), found.end(), [](const WithoutOne& a, const WithoutOne& b) {
    return a.solution.fit.square_sum < b.solution.fit.square_sum;
  });
  for (std::size_t k = 1; k < found.size(); ++k) {
    if (found[k].solution.fit.square_sum > found[0].solution.fit.square_sum + kAsGood) continue;
    found[0].wrong.certain = false;
    found[0].wrong.others.push_back(found[k].wrong);
  }
  return std::move(found[0]);
}

}  // namespace deckmark
