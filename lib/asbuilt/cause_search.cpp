#include "asbuilt/cause_search.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "adjust/hypothesis.h"

namespace deckmark::causes {

namespace {

constexpr double kRmsShare = 0.5;   // over the shots that a cause touches
constexpr double kMostWild = 0.25;  // of the shots that a cause is tested on
/// What a parameter must gain: the 0.1 % point of chi-squared with one degree of freedom.
constexpr double kParameterCost = 10.83;
constexpr double kWildCost = 30;  // of a shot that is not explained: about what naming it alone would cost
constexpr std::size_t kFewShots = 6;  // fewer do not tell how large the noise is

double mean_square(double sum, std::size_t shots) {
  return shots == 0 ? 0 : sum / (2.0 * static_cast<double>(shots));
}

}  // namespace

double PlanSearch::noise() const {
  double least = std::numeric_limits<double>::infinity();
  for (const Candidate& c : candidates_)
    if (c.shots.size() >= kFewShots &&
        static_cast<double>(c.fit.kept) >= (1 - kMostWild) * static_cast<double>(c.shots.size()))
      least = std::min(least, c.fit.scatter);
  for (const Group& g : samples_) {
    if (g.shots.size() < kFewShots) continue;
    std::vector<double> lengths;
    for (const std::size_t i : g.shots) lengths.push_back(std::abs(field_.off(i)) / field_.spread[i]);
    least = std::min(least, scatter_of(std::move(lengths)));
  }
  if (!std::isfinite(least)) least = 0;
  return std::max({least, kLeastOfSd * field_.usual_sd, kLeastScatter});
}

PlanSearch::Shots PlanSearch::touched(const Candidate& c, bool all) const {
  Shots out;
  const Shots& from = c.chosen ? *c.chosen : (all ? groups_ : samples_)[c.group].shots;
  for (const std::size_t i : from)
    if ((c.chosen && (all || in_sample_[i])) || (!c.chosen && place_[i] >= c.from && place_[i] < c.to))
      out.push_back(i);
  return out;
}

void PlanSearch::fit(Candidate& c) {
  c.shots = touched(c, false);
  c.model = c.make(c.shots);
  c.fit = fit_robustly(*c.model, field_, c.shots);
}

PlanSearch::Pool PlanSearch::pool(const Candidate& c) const {
  Pool out{c.fit.before, c.fit.after, c.fit.kept};
  const bool is_set = c.ref.kind == GroupKind::marks;
  if (c.chosen && !is_set) return out;
  std::vector<std::uint8_t> own;
  if (is_set) {
    own.assign(place_.size(), 0);
    for (const std::size_t i : c.shots) own[i] = 1;
  }
  for (const std::size_t i : samples_[c.group].shots) {
    if (is_set ? own[i] != 0 : place_[i] >= c.from && place_[i] < c.to) continue;
    const double square = std::norm(field_.off(i)) / (field_.spread[i] * field_.spread[i]);
    if (square > kWild * kWild * c.fit.scatter * c.fit.scatter) continue;
    out.before += square;
    out.after += square;
    ++out.shots;
  }
  return out;
}

/// F test on the group.
bool PlanSearch::passes(const Candidate& c, double& chance) const {
  const std::size_t n = c.shots.size();
  if (n < 2 || static_cast<double>(c.fit.kept) < (1 - kMostWild) * static_cast<double>(n)) return false;
  if (c.fit.after > kRmsShare * kRmsShare * c.fit.before || is_one_mark(input_, c.shots)) return false;
  const Pool on = pool(c);
  const Trial trial{on.after, c.model->parameters() + c.more};
  const auto findings = weigh({on.before, 2 * on.shots, 0}, std::span(&trial, 1), {0.001, 1.0, tried_});
  if (findings.empty()) return false;
  chance = findings.front().chance;
  return true;
}

/// What a candidate leaves over what there was, in squared sds, and what its parameters cost. Less is better.
double PlanSearch::cost(const Candidate& c, double level) const {
  const auto of = [&](Complex off, std::size_t i) {
    return std::min(kWildCost, std::norm(off) / (level * level * field_.spread[i] * field_.spread[i]));
  };
  double sum = static_cast<double>(c.model->parameters() + c.more) * kParameterCost;
  for (std::size_t k = 0; k < c.shots.size(); ++k)
    sum += of(c.fit.left[k], c.shots[k]) - of(field_.off(c.shots[k]), c.shots[k]);
  return sum;
}

PlanSearch::Candidate* PlanSearch::cheapest(double level) {
  Candidate* best = nullptr;
  double least = 0;
  for (Candidate& c : candidates_)
    if (c.passed)
      if (const double sum = cost(c, level); sum < least - 1e-9) {
        least = sum;
        best = &c;
      }
  return best;
}

/// Scatter of all shots that are not wild once this candidate is taken off.
double PlanSearch::noise_under(const Candidate& c, double level) const {
  std::vector<double> square(field_.built.size(), -1);
  for (const std::size_t i : samples_.front().shots)
    square[i] = std::norm(field_.off(i)) / (field_.spread[i] * field_.spread[i]);
  for (std::size_t k = 0; k < c.shots.size(); ++k)
    square[c.shots[k]] = std::norm(c.fit.left[k]) / (field_.spread[c.shots[k]] * field_.spread[c.shots[k]]);
  double sum = 0;
  std::size_t kept = 0;
  for (const std::size_t i : samples_.front().shots)
    if (square[i] <= kWild * kWild * level * level) sum += square[i], ++kept;
  return std::max(level, std::sqrt(mean_square(sum, kept)));
}

std::optional<Cause> PlanSearch::next() {
  gather();
  for (Candidate& c : candidates_) fit(c);
  gather_set();
  if (first_tried_ == 0) first_tried_ = tried_;
  for (Candidate& c : candidates_) c.passed = passes(c, c.chance);
  const double level = noise();
  Candidate* best = cheapest(level);
  // The least scatter of any candidate is a little too small; that of the best tells better.
  if (best != nullptr) best = cheapest(noise_under(*best, level));
  if (best == nullptr) return std::nullopt;
  return take(*best);
}

Cause PlanSearch::take(Candidate& c) {
  // The sample found it; all shots give its value.
  Shots shots = touched(c, true);
  const auto model = c.make(shots);
  const RobustFit fit = fit_robustly(*model, field_, shots);
  const Estimate e = model->estimate(field_, shots, fit.weights);
  const double free =
      std::max(1.0, 2.0 * static_cast<double>(fit.kept) - static_cast<double>(model->parameters()));
  Cause out;
  out.kind = c.kind;
  out.group = c.ref;
  out.value = c.sign * e.value;
  out.sd = e.information > 0 ? std::sqrt(fit.after / free / e.information) : 0;
  // The few marks of a set tell less well how large the noise is than all do.
  if (const Pool on = pool(c); c.ref.kind == GroupKind::marks && on.shots > fit.kept)
    out.sd = std::sqrt(on.after / (2.0 * static_cast<double>(on.shots) - 2) / e.information);
  out.before = Length::metres(std::sqrt(mean_square(fit.before, fit.kept)));
  out.after = Length::metres(std::sqrt(mean_square(fit.after, fit.kept)));
  out.chance = c.chance;
  if (e.by)
    out.by = Vec<Site>{{.northing = Length::metres(e.by->imag()), .easting = Length::metres(e.by->real())}};
  out.turned = e.turned;
  if (e.centre) {
    const Complex at = *e.centre + field_.zero;
    out.centre = Point<Site>{{.northing = Length::metres(at.imag()), .easting = Length::metres(at.real())}};
  }
  const Group& g = groups_[c.group];
  if (!c.chosen && shots.size() == g.shots.size()) {
    for (const GroupRef& r : g.also) out.also.push_back(r);
    out.also.push_back(g.ref);
    std::erase_if(out.also, [&](const GroupRef& r) { return r.is_same_group(c.ref); });
  }
  if (c.kind == CauseKind::reflector_constant) lower(shots, c.marking, out.value);
  for (std::size_t k = 0; k < shots.size(); ++k)
    field_.built[shots[k]] = field_.design[shots[k]] + fit.left[k];
  std::ranges::sort(shots);
  out.shots = std::move(shots);
  count_touched(input_, out);
  if (c.kind == CauseKind::renumbered) out.value = static_cast<double>(out.points);
  return out;
}

/// A distance that reads too long carries a mark along its sight, up or down too. Marks that were set out
/// with it lie on their floor all the same.
void PlanSearch::lower(const Shots& shots, bool marking, double constant) {
  if (marking) return;
  for (const std::size_t i : shots) {
    const auto& at = station(i, false);
    const auto& high = input_.shots[i].elevation;
    if (!at || !at->axis || !high) continue;
    const double up = (*high - *at->axis).metres(),
                 flat = std::abs(field_.design[i] - (plane(at->at) - field_.zero));
    if (flat + std::abs(up) > 0) raised_[i] += constant * up / std::hypot(flat, up);
  }
}

}  // namespace deckmark::causes
