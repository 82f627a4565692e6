#include <algorithm>
#include <cmath>
#include <set>

#include "asbuilt/cause_search.h"
#include "asbuilt/common_vector.h"
#include "marks/near_pairs.h"
#include "measure/verdict.h"

namespace deckmark::causes {

namespace {

constexpr std::size_t kMostSampled = 4000;  // shots that the search looks at
constexpr std::size_t kLeastForShape = 3;   // shots of a rotation, stretch, reflection
constexpr std::size_t kSetParameters = 3;   // of a set that no column names: what naming its marks costs
constexpr double kSetAlpha = 0.001;
/// Cosines along a run that are tried; a third of its marks at most, so that the curve is a smooth one.
constexpr std::size_t kWaves[] = {3, 5, 7, 9, 12};
constexpr double kNearStation = 0.1;  // metres: a mark under the instrument says nothing of its distances
constexpr double kCalm = 8;           // sds: where a stretch is looked for, nothing counts for more
/// Ratios that come from a wrong unit: feet and metres, inches and metres, feet and inches.
constexpr double kUnitRatios[] = {0.3048, 1 / 0.3048, 0.0254, 1 / 0.0254, 12, 1.0 / 12, 1000, 0.001};
constexpr double kFootRatio = (1200.0 / 3937.0) / 0.3048;

}  // namespace

PlanSearch::PlanSearch(const CausesInput& input, Field field, Frame frame, std::vector<std::size_t> order)
    : input_(input),
      field_(std::move(field)),
      frame_(frame),
      place_(order.size()),
      in_sample_(order.size(), 0),
      raised_(order.size(), 0) {
  std::vector<std::size_t> sample;
  const std::size_t step = std::max<std::size_t>(1, (order.size() + kMostSampled - 1) / kMostSampled);
  for (std::size_t k = 0; k < order.size(); ++k) {
    place_[order[k]] = k;
    if (k % step != 0) continue;
    sample.push_back(order[k]);
    in_sample_[order[k]] = 1;
  }
  groups_ = groups_of(input, order);
  samples_ = groups_;
  for (Group& g : samples_) std::erase_if(g.shots, [&](std::size_t i) { return !in_sample_[i]; });
}

PlanSearch::Candidate& PlanSearch::add(CauseKind kind, std::size_t group, const GroupRef& ref, Make make) {
  Candidate c;
  c.kind = kind;
  c.ref = ref;
  c.group = group;
  c.to = place_.size();
  c.make = std::move(make);
  candidates_.push_back(std::move(c));
  ++tried_;
  return candidates_.back();
}

const std::optional<KnownStation>& PlanSearch::station(std::size_t shot, bool marking) const {
  static const std::optional<KnownStation> none;
  const std::uint32_t word = marking ? input_.shots[shot].marked_from : input_.shots[shot].setup;
  const auto& stations = marking ? input_.marking_setups : input_.setups;
  return word < stations.size() ? stations[word] : none;
}

std::optional<Complex> PlanSearch::one_station(const Shots& shots, bool marking) const {
  if (shots.empty()) return std::nullopt;
  const auto word = [&](std::size_t i) {
    return marking ? input_.shots[i].marked_from : input_.shots[i].setup;
  };
  if (!std::ranges::all_of(shots, [&](std::size_t i) { return word(i) == word(shots.front()); }))
    return std::nullopt;
  const auto& at = station(shots.front(), marking);
  if (!at) return std::nullopt;
  return plane(at->at) - field_.zero;
}

/// What one metre more in the slope distance moves a mark in plan. A mark set out with distances that read
/// too long comes to stand too near.
std::vector<Complex> PlanSearch::ways(const Shots& shots, bool marking) const {
  std::vector<Complex> out;
  out.reserve(shots.size());
  for (const std::size_t i : shots) {
    const auto& at = station(i, marking);
    const Complex sight = at ? field_.design[i] - (plane(at->at) - field_.zero) : Complex{};
    const double flat = std::abs(sight);
    if (flat < kNearStation) {
      out.emplace_back();
      continue;
    }
    const auto& high = input_.shots[i].elevation;
    const double up = at->axis && high ? (*high - *at->axis).metres() : 0;
    out.push_back((marking ? -1.0 : 1.0) * sight / std::hypot(flat, up));
  }
  return out;
}

void PlanSearch::add_along(std::size_t group, const GroupRef& ref, bool marking) {
  add(CauseKind::reflector_constant, group, ref, [this, marking](const Shots& shots) {
    return along_model(ways(shots, marking));
  }).marking = marking;
}

void PlanSearch::add_about(std::size_t group, const GroupRef& ref, bool marking) {
  const auto at = one_station(samples_[group].shots, marking);
  if (!at) return;
  add(CauseKind::backsight, group, ref, [at](const Shots&) { return turn_about_model(*at); }).sign =
      marking ? -1 : 1;
  add(CauseKind::scale, group, ref, [at](const Shots&) { return stretch_about_model(*at); });
}

void PlanSearch::gather_stations(std::size_t group) {
  const Group& g = samples_[group];
  std::vector<GroupRef> names{g.ref};
  names.insert(names.end(), g.also.begin(), g.also.end());
  bool as_setup = false, as_marking = false;
  for (const GroupRef& r : names) {
    if (r.kind != GroupKind::setup && r.kind != GroupKind::marked_from) continue;
    const bool marking = r.kind == GroupKind::marked_from;
    (marking ? as_marking : as_setup) = true;
    if (!one_station(g.shots, marking)) continue;
    add_along(group, r, marking);
    add_about(group, r, marking);
  }
  if (g.ref.kind == GroupKind::setup || g.ref.kind == GroupKind::marked_from) return;
  // Groups that several setups share, or that are a part of one: every shot from its own station.
  for (const bool marking : {false, true}) {
    if (marking ? as_marking : as_setup) continue;
    if (!std::ranges::all_of(g.shots, [&](std::size_t i) { return station(i, marking).has_value(); }))
      continue;
    add_along(group, g.ref, marking);
    add_about(group, g.ref, marking);
  }
}

void PlanSearch::gather_bays(std::size_t group) {
  const Shots& shots = samples_[group].shots;
  const auto model = shift_model();
  const RobustFit fit = fit_robustly(*model, field_, shots);
  const Complex by = *model->estimate(field_, shots, fit.weights).by;
  const double near = kWild * std::max(fit.scatter, field_.usual_sd);
  for (const Length bay : input_.bays)
    for (const Complex way : {frame_.x, -frame_.x, frame_.y, -frame_.y}) {
      ++tried_;
      const Complex whole = bay.metres() * way;
      if (std::abs(by - whole) > near) continue;
      --tried_;
      add(CauseKind::one_bay, group, samples_[group].ref,
          [whole](const Shots&) { return known_shift_model(whole); });
    }
}

void PlanSearch::gather_group(std::size_t group) {
  const Group& g = samples_[group];
  const GroupRef& ref = g.ref;
  const auto plain = [&](CauseKind kind, auto make) {
    add(kind, group, ref, [make](const Shots&) { return make(); });
  };
  if (ref.kind == GroupKind::run) {  // what a string or a baseline can do to one run
    gather_bays(group);
    plain(CauseKind::shift, [] { return shift_model(); });
    if (g.shots.size() >= kLeastForShape) plain(CauseKind::rotation, [] { return turn_model(); });
    return;
  }
  const Complex zero = frame_.site_zero, origin = frame_.origin;
  for (const double ratio : {kFootRatio, 1 / kFootRatio})
    plain(CauseKind::survey_foot, [=] { return known_stretch_model(ratio, zero); });
  plain(CauseKind::swapped_axes, [=] { return swap_model(Complex(1, 0), Complex(0, 1), zero); });
  plain(CauseKind::swapped_axes, [=, f = frame_] { return swap_model(f.x, f.y, f.origin); });
  for (const double ratio : kUnitRatios) {
    plain(CauseKind::scale, [=] { return known_stretch_model(ratio, zero); });
    if (std::abs(zero - origin) > 1e-6)
      plain(CauseKind::scale, [=] { return known_stretch_model(ratio, origin); });
  }
  gather_bays(group);
  plain(CauseKind::shift, [] { return shift_model(); });
  if (g.shots.size() < kLeastForShape) return;
  // Not about the drawing's origin alone: far from it that is a shift with one parameter less.
  plain(CauseKind::rotation, [] { return turn_model(); });
  plain(CauseKind::scale, [] { return stretch_model(); });
  for (const Complex normal : {Complex(1, 0), Complex(0, 1), frame_.x, frame_.y})
    plain(CauseKind::mirrored, [=] { return mirror_model(normal); });
  plain(CauseKind::mirrored, [] { return mirror_free_model(); });
}

/// The marks of a run that wander to both sides of it.
void PlanSearch::gather_waves(std::size_t group) {
  const Group& g = samples_[group];
  std::vector<GroupRef> names{g.ref};
  names.insert(names.end(), g.also.begin(), g.also.end());
  const auto run = std::ranges::find(names, GroupKind::run, &GroupRef::kind);
  if (run == names.end()) return;
  std::set<std::uint32_t> marks;
  for (const std::size_t i : g.shots) marks.insert(input_.shots[i].mark);
  const auto make = [this](std::size_t waves) {
    return [this, waves](const Shots& shots) {
      std::vector<std::uint32_t> order;
      for (const std::size_t i : shots) order.push_back(input_.shots[i].mark);
      std::ranges::sort(order);
      order.erase(std::unique(order.begin(), order.end()), order.end());
      std::vector<double> places;
      for (const std::size_t i : shots) {
        const auto before = std::ranges::lower_bound(order, input_.shots[i].mark) - order.begin();
        places.push_back((static_cast<double>(before) + 0.5) / static_cast<double>(order.size()));
      }
      return wave_model(std::move(places), waves);
    };
  };
  for (const std::size_t waves : kWaves)
    if (3 * waves <= marks.size()) add(CauseKind::wavy_run, group, *run, make(waves));
}

void PlanSearch::gather_set() {
  const auto off_shot = [&](std::size_t i) {
    return OffShot{field_.off(i), field_.spread[i], input_.shots[i].mark};
  };
  std::vector<OffShot> sample;
  for (const std::size_t i : samples_.front().shots) sample.push_back(off_shot(i));
  const double least = std::max(kLeastOfSd * field_.usual_sd, kLeastScatter);
  const double level = std::min(noise(), std::max(densest_scatter(sample, Ways::all_round), least));
  const CommonVector common = find_common_vector(sample, Ways::all_round, level, kSetAlpha);
  tried_ += common.centres;
  if (!common.by) return;
  Shots chosen;
  for (std::size_t i = 0; i < field_.built.size(); ++i)
    if (stands_off_by(off_shot(i), *common.by, common.level)) chosen.push_back(i);
  const auto add_set = [&](CauseKind kind, Make make) {
    Candidate& c = add(kind, 0, GroupRef{GroupKind::marks}, std::move(make));
    c.chosen = chosen;
    c.more = kSetParameters;
    fit(c);
  };
  const double near = kWild * std::max(common.level, field_.usual_sd);
  for (const Length bay : input_.bays)
    for (const Complex way : {frame_.x, -frame_.x, frame_.y, -frame_.y})
      if (const Complex whole = bay.metres() * way; std::abs(*common.by - whole) <= near)
        add_set(CauseKind::one_bay, [whole](const Shots&) { return known_shift_model(whole); });
  add_set(CauseKind::shift, [](const Shots&) { return shift_model(); });
}

/// Misfits with their wild ones drawn in, for finding where a stretch begins.
std::vector<Complex> PlanSearch::calm(const Shots& shots) const {
  std::vector<double> lengths;
  for (const std::size_t i : shots) lengths.push_back(std::abs(field_.off(i)) / field_.spread[i]);
  const double most = kCalm * std::max(scatter_of(std::move(lengths)), kLeastScatter);
  std::vector<Complex> out;
  for (const std::size_t i : shots) {
    const Complex off = field_.off(i) / field_.spread[i];
    out.push_back(std::abs(off) > most ? off * (most / std::abs(off)) : off);
  }
  return out;
}

void PlanSearch::cut(Candidate& c, const Stretch& stretch, std::size_t more) {
  const Shots& shots = samples_[c.group].shots;
  c.from = place_[shots[stretch.from]];
  c.to = stretch.to == shots.size() ? place_.size() : place_[shots[stretch.to]];
  c.more = more;
  c.ref.first = shots[stretch.from];
  c.ref.last = shots[stretch.to - 1];
}

void PlanSearch::gather_stretches(std::size_t group) {
  const Group& g = samples_[group];
  const auto setup =
      std::ranges::find_if(g.also, [](const GroupRef& r) { return r.kind == GroupKind::setup; });
  const bool is_setup = g.ref.kind == GroupKind::setup || setup != g.also.end();
  const bool is_all = g.ref.kind == GroupKind::all,
             no_setups = std::ranges::all_of(input_.shots, [](const CauseShot&s) { return s.setup == 0; });
  if ((!is_all && !is_setup) || g.ref.level) return;
  const GroupRef own = g.ref.kind != GroupKind::setup && setup != g.also.end() ? *setup : g.ref;
  const std::vector<Complex> off = calm(g.shots);
  const std::vector<std::vector<Complex>> plain = {std::vector<Complex>(off.size(), Complex(1, 0)),
                                                   std::vector<Complex>(off.size(), Complex(0, 1))};
  const GroupRef part{GroupKind::stretch, own.word, own.kind, 0, 0};
  if (is_setup || no_setups) {
    const Stretch s = best_stretch(off, plain, true);
    tried_ += s.tried;
    if (s.to > s.from) {
      const auto at = one_station(g.shots, false);
      cut(add(CauseKind::bump, group, own, [](const Shots&) { return shift_model(); }), s, 1);
      cut(add(CauseKind::bump, group, own, [at](const Shots&) { return moved_model(at); }), s, 1);
    }
  }
  const Stretch s = best_stretch(off, plain, false);
  tried_ += s.tried;
  if (s.to > s.from)
    cut(add(CauseKind::shift, group, part, [](const Shots&) { return shift_model(); }), s, 2);
  if (!is_setup || !one_station(g.shots, false)) return;
  const std::vector<std::vector<Complex>> along = {ways(g.shots, false)};
  const Stretch r = best_stretch(off, along, false);
  tried_ += r.tried;
  if (r.to > r.from)
    cut(add(CauseKind::reflector_constant, group, part,
            [this](const Shots& shots) { return along_model(ways(shots, false)); }),
        r, 2);
}

/// Shots that lie on another mark than their own.
void PlanSearch::gather_renumbered() {
  if (input_.by_nearest || input_.marks.size() < 2) return;
  const double near = std::max(4 * field_.usual_sd, 0.006);  // metres
  constexpr double kShare = 0.1;  // another mark is only meant where it is this much nearer than the own
  std::vector<std::size_t> off;
  std::vector<Point<Site>> places;
  for (std::size_t i = 0; i < field_.built.size(); ++i) {
    if (std::abs(field_.off(i)) * kShare < near) continue;
    const Complex at = field_.built[i] + field_.zero;
    off.push_back(i);
    places.push_back({{.northing = Length::metres(at.imag()), .easting = Length::metres(at.real())}});
  }
  ++tried_;
  if (off.size() < 2) return;
  const auto marks = nearest_points(places, input_.marks, Length::metres(near) + kHair);
  Shots chosen;
  std::vector<std::uint32_t> other(field_.built.size(), 0);
  std::set<std::int64_t> steps;
  std::set<std::pair<std::uint32_t, AsbuiltLevel>> taken;
  for (std::size_t k = 0; k < off.size(); ++k) {
    const CauseShot& s = input_.shots[off[k]];
    if (!marks[k] || marks[k]->index == s.mark || !taken.emplace(marks[k]->index, s.level).second) continue;
    chosen.push_back(off[k]);
    other[off[k]] = marks[k]->index;
    steps.insert(static_cast<std::int64_t>(marks[k]->index) - static_cast<std::int64_t>(s.mark));
  }
  // Names are shifted or exchanged in a few ways, or it is chance.
  const std::size_t ways_apart = steps.size();
  if (chosen.size() < 2 || ways_apart > std::max<std::size_t>(2, chosen.size() / 2)) return;
  const auto make = [this, other = std::move(other), ways_apart](const Shots& shots) {
    std::vector<Complex> places_of;
    for (const std::size_t i : shots) places_of.push_back(plane(input_.marks[other[i]]) - field_.zero);
    return other_marks_model(std::move(places_of), ways_apart - 1);
  };
  add(CauseKind::renumbered, 0, samples_.front().ref, make).chosen = std::move(chosen);
}

void PlanSearch::gather() {
  candidates_.clear();
  tried_ = 0;
  gather_renumbered();
  for (std::size_t g = 0; g < samples_.size(); ++g) {
    if (samples_[g].shots.size() < 2) continue;
    gather_group(g);
    gather_stations(g);
    gather_stretches(g);
    gather_waves(g);
  }
}

}  // namespace deckmark::causes
