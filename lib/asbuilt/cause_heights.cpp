#include <algorithm>
#include <cmath>
#include <limits>

#include "adjust/hypothesis.h"
#include "asbuilt/cause_points.h"
#include "asbuilt/common_vector.h"

namespace deckmark::causes {

namespace {

constexpr double kRmsShare = 0.5, kMostWild = 0.25, kWildCost = 30, kCalm = 8, kParameterCost = 10.83;
constexpr std::size_t kMostCauses = 6, kFewShots = 6, kSetParameters = 3;
constexpr double kSetAlpha = 0.001;

/// Robust sd of one coordinate about zero.
double scatter_about_zero(std::vector<double> sizes) {
  constexpr double kMedian = 0.67448975019608171;  // of the size of a normal value
  if (sizes.empty()) return 0;
  for (double& s : sizes) s = std::abs(s);
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::ranges::nth_element(sizes, middle);
  return *middle / kMedian;
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

class HeightSearch {
 public:
  HeightSearch(const CausesInput& input, std::vector<std::size_t> order, std::span<const double> raised)
      : input_(input), off_(input.shots.size(), 0), order_(std::move(order)) {
    std::vector<double> sds;
    for (const std::size_t i : order_) {
      off_[i] = input.shots[i].up->metres() - raised[i];
      sds.push_back(input.shots[i].sd.metres());
    }
    if (!sds.empty()) usual_sd_ = median(sds);
    groups_ = groups_of(input, order_);
  }

  std::optional<Cause> next() {
    candidates_.clear();
    tried_ = 0;
    for (std::size_t g = 0; g < groups_.size(); ++g) gather(g);
    for (std::size_t g = 0; g < groups_.size(); ++g) gather_set(g);
    const double level = noise();
    const auto cost_of = [&](double off) { return std::min(kWildCost, off * off / (level * level)); };
    const Candidate* best = nullptr;
    double best_cost = 0, best_chance = 1;
    for (const Candidate& c : candidates_) {
      double chance = 1;
      if (!passes(c, chance)) continue;
      double cost = static_cast<double>(1 + c.more) * kParameterCost;
      for (const std::size_t i : c.shots) cost += cost_of(off_[i] - c.mean) - cost_of(off_[i]);
      if (cost >= best_cost - 1e-9) continue;
      best_cost = cost;
      best_chance = chance;
      best = &c;
    }
    if (best == nullptr) return std::nullopt;
    return take(*best, best_chance);
  }

  /// Single elevations beyond the scatter of the others at their level. Not of floor marks: a slab is what it
  /// is.
  void single(std::vector<Cause>& out) const {
    for (const AsbuiltLevel level : {AsbuiltLevel::deck, AsbuiltLevel::bracket}) {
      std::vector<double> sizes;
      for (const std::size_t i : order_)
        if (input_.shots[i].level == level) sizes.push_back(off_[i]);
      const double scatter = std::max(scatter_about_zero(sizes), kLeastScatter);
      double calm = 0;
      std::size_t count = 0;
      for (const double s : sizes)
        if (std::abs(s) <= 4 * scatter) calm += s * s, ++count;
      if (count < 3 || count < sizes.size() / 2) continue;
      for (const std::size_t i : order_) {
        if (input_.shots[i].level != level || std::abs(off_[i]) <= 4 * scatter) continue;
        const Trial trial{calm, 1};
        const auto findings = weigh({calm + off_[i] * off_[i], count + 1, 0}, std::span(&trial, 1),
                                    {0.001, 1.0, sizes.size() + tried_});
        if (findings.empty()) continue;
        Cause c;
        c.kind = CauseKind::one_point;
        c.value = off_[i];
        c.sd = std::sqrt(calm / static_cast<double>(count));
        c.shots = {i};
        c.before = Length::metres(std::abs(off_[i]));
        c.chance = findings.front().chance;
        c.in_elevation = true;
        count_touched(input_, c);
        out.push_back(std::move(c));
      }
    }
  }

 private:
  struct Candidate {
    GroupRef ref;
    std::size_t group = 0, more = 0;
    std::vector<std::size_t> shots;
    double mean = 0, scatter = 0, before = 0, after = 0;
    std::size_t kept = 0;
  };

  void add(GroupRef ref, std::size_t group, std::vector<std::size_t> shots, std::size_t more) {
    Candidate c;
    c.ref = ref;
    c.group = group;
    c.more = more;
    c.shots = std::move(shots);
    std::vector<double> values;
    for (const std::size_t i : c.shots) values.push_back(off_[i]);
    c.mean = median(values);
    for (double& v : values) v -= c.mean;
    c.scatter = std::max(scatter_about_zero(values), kLeastScatter);
    double sum = 0;
    std::vector<std::uint8_t> kept;
    for (const double v : values) {
      kept.push_back(std::abs(v) <= kWild * c.scatter);
      if (kept.back()) sum += v, ++c.kept;
    }
    if (c.kept > 0) c.mean += sum / static_cast<double>(c.kept);
    for (std::size_t k = 0; k < kept.size(); ++k)
      if (kept[k]) {
        const double off = off_[c.shots[k]];
        c.before += off * off;
        c.after += (off - c.mean) * (off - c.mean);
      }
    candidates_.push_back(std::move(c));
    ++tried_;
  }

  void gather(std::size_t group) {
    const Group& g = groups_[group];
    add(g.ref, group, g.shots, 0);
    if (g.ref.kind != GroupKind::all && g.ref.kind != GroupKind::setup) return;
    std::vector<double> sizes;
    for (const std::size_t i : g.shots) sizes.push_back(off_[i]);
    const double most = kCalm * std::max(scatter_about_zero(sizes), kLeastScatter);
    std::vector<Complex> calm;
    calm.reserve(sizes.size());
    for (const double s : sizes) calm.emplace_back(std::clamp(s, -most, most), 0);
    const std::vector<std::vector<Complex>> ways = {std::vector<Complex>(calm.size(), Complex(1, 0))};
    const Stretch s = best_stretch(calm, ways, false);
    tried_ += s.tried;
    if (s.to <= s.from) return;
    GroupRef ref{GroupKind::stretch, g.ref.word, g.ref.kind, g.shots[s.from], g.shots[s.to - 1]};
    add(ref, group,
        {g.shots.begin() + static_cast<std::ptrdiff_t>(s.from),
         g.shots.begin() + static_cast<std::ptrdiff_t>(s.to)},
        2);
  }

  /// Points of one level that no column names. Not of floor marks: a slab is what it is.
  void gather_set(std::size_t group) {
    const Group& g = groups_[group];
    const auto is_level = [](const GroupRef& r) {
      return r.kind == GroupKind::level && r.word != static_cast<std::uint32_t>(AsbuiltLevel::floor) + 1;
    };
    if (!is_level(g.ref) && std::ranges::none_of(g.also, is_level)) return;
    std::vector<OffShot> shots;
    for (const std::size_t i : g.shots) shots.push_back({off_[i], 1, input_.shots[i].mark});
    const double level =
        std::min(noise(), std::max(densest_scatter(shots, Ways::up_and_down), least_noise()));
    const CommonVector common = find_common_vector(shots, Ways::up_and_down, level, kSetAlpha);
    tried_ += common.centres;
    if (!common.by) return;
    std::vector<std::size_t> chosen;
    for (std::size_t k = 0; k < shots.size(); ++k)
      if (stands_off_by(shots[k], *common.by, common.level)) chosen.push_back(g.shots[k]);
    add(GroupRef{GroupKind::marks}, group, std::move(chosen), kSetParameters);
  }

  double least_noise() const { return std::max(kLeastOfSd * usual_sd_, kLeastScatter); }
  double noise() const {
    double least = std::numeric_limits<double>::infinity();
    for (const Candidate& c : candidates_)
      if (c.shots.size() >= kFewShots) least = std::min(least, c.scatter);
    return std::max(std::isfinite(least) ? least : 0, least_noise());
  }

  bool passes(const Candidate& c, double& chance) const {
    const auto n = static_cast<double>(c.shots.size());
    if (c.shots.size() < 2 || static_cast<double>(c.kept) < (1 - kMostWild) * n) return false;
    if (c.after > kRmsShare * kRmsShare * c.before || is_one_mark(input_, c.shots)) return false;
    double before = c.before, after = c.after;
    std::size_t count = c.kept;
    if (c.more > 0) {
      std::vector<std::uint8_t> own(off_.size(), 0);
      for (const std::size_t i : c.shots) own[i] = 1;
      for (const std::size_t i : groups_[c.group].shots) {
        if (own[i] || std::abs(off_[i]) > kWild * c.scatter) continue;
        before += off_[i] * off_[i];
        after += off_[i] * off_[i];
        ++count;
      }
    }
    const Trial trial{after, 1 + c.more};
    const auto findings = weigh({before, count, 0}, std::span(&trial, 1), {0.001, 1.0, tried_});
    if (findings.empty()) return false;
    chance = findings.front().chance;
    return true;
  }

  Cause take(const Candidate& c, double chance) {
    Cause out;
    out.kind = CauseKind::height;
    out.group = c.ref;
    out.value = c.mean;
    const auto kept = static_cast<double>(c.kept);
    out.sd = std::sqrt(c.after / std::max(1.0, kept - 1) / kept);
    out.before = Length::metres(std::sqrt(c.before / kept));
    out.after = Length::metres(std::sqrt(c.after / kept));
    out.chance = chance;
    out.in_elevation = true;
    if (c.more == 0) {
      const Group& g = groups_[c.group];
      for (const GroupRef& r : g.also)
        if (r.kind != c.ref.kind || r.word != c.ref.word) out.also.push_back(r);
      if (g.ref.kind != c.ref.kind) out.also.push_back(g.ref);
    }
    out.shots = c.shots;
    for (const std::size_t i : c.shots) off_[i] -= c.mean;
    std::ranges::sort(out.shots);
    count_touched(input_, out);
    return out;
  }

  const CausesInput& input_;
  std::vector<double> off_;
  std::vector<std::size_t> order_;  // shots with a difference
  std::vector<Group> groups_;
  std::vector<Candidate> candidates_;
  std::size_t tried_ = 0;
  double usual_sd_ = 0.002;
};

}  // namespace

std::vector<Cause> find_height_causes(const CausesInput& input, std::span<const std::size_t> order,
                                      std::span<const double> raised) {
  std::vector<std::size_t> with;
  for (const std::size_t i : order)
    if (input.shots[i].up) with.push_back(i);
  std::vector<Cause> out;
  if (with.size() < 2) return out;
  HeightSearch search(input, std::move(with), raised);
  while (out.size() < kMostCauses) {
    auto cause = search.next();
    if (!cause) break;
    out.push_back(std::move(*cause));
  }
  search.single(out);
  return out;
}

}  // namespace deckmark::causes
