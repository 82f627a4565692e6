#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "marks/mark_finder.h"
#include "measure/letters.h"
#include "report/instrument_words.h"
#include "report/words.h"
#include "work/stages.h"

namespace deckmark {

namespace {

ControlMark control_mark(const ControlPoint& c) { return {c.at, c.elevation, c.sd}; }

/// Letters, digits without leading zeros, without blanks, dashes and the letters that are taken for digits:
/// names that a hand may type one for the other.
std::string typed_alike(std::string_view name) {
  std::string out;
  for (char c : name) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c == 'O') c = '0';
    if (c == 'I' || c == 'L') c = '1';
    if (c == ' ' || c == '-' || c == '_' || c == '.') continue;
    const bool leads = out.empty() || out.back() < '0' || out.back() > '9';
    if (c == '0' && leads && !out.empty()) continue;
    out += c;
  }
  return out;
}

/// Reduces, adjusts and tells one setup after another.
class SetupStage {
 public:
  SetupStage(const Job& job, Found& found, Messages& messages)
      : job_(job), found_(found), into_(found.instrument), messages_(messages) {
    options_.instrument = job.instrument.options;
    options_.position_tolerance = job.asbuilt.options.plan;
    for (std::uint32_t i = 0; i < job.control.size(); ++i) {
      const ControlPoint& c = job.control[i];
      control_.push_back(control_mark(c));
      control_named_.emplace(small_letters(c.name), i);
      control_alike_.emplace(typed_alike(c.name), i);
    }
    for (const auto& tie : job.ties) used_.insert(small_letters(tie.name));
    for (const auto& shot : job.shots) used_.insert(small_letters(shot.name));
    for (const StatedSetup& s : job.instrument.setups)
      if (s.table && has_site_place(job)) {
        finder_.emplace(job.marks, *job.mark_index, found.issue.numbers,
                        found.deck ? std::optional(job.numbers.deck_offset) : std::nullopt);
        break;
      }
  }

  void run() {
    const auto& setups = job_.instrument.setups;
    into_.setups.resize(setups.size());
    into_.plans.resize(setups.size());
    for (std::size_t i = 0; i < setups.size(); ++i) {
      if (!setups[i].plan.empty()) plan(i);
      if (!setups[i].is_planned_only()) into_.setups[i] = compute(setups[i]);
    }
    if (messages_.has_problems()) return;
    hear_each_other();
    for (std::size_t i = 0; i < setups.size(); ++i)
      if (into_.setups[i]) intersections(i);
    for (std::size_t i = 0; i < setups.size(); ++i)
      if (into_.setups[i]) tell(setups[i], *into_.setups[i]);
    tell_side_shots_apart();
  }

 private:
  Where where(const StatedSetup& s, std::size_t reading) const {
    return s.table->where(s.begins[reading], 0);
  }
  Where whole(const StatedSetup& s) const { return s.table ? s.table->whole() : s.where; }
  SightNames names(const StatedSetup& s, const SetupFound& f) const {
    return {s.name, [&s, &f](std::size_t sight) {
              return std::string_view(s.targets[f.reduction.sights[sight].target]);
            }};
  }

  std::optional<TargetMeaning> meaning(const StatedSetup& s, std::size_t target);
  SetupFound compute(const StatedSetup& s);
  void rows(const StatedSetup& s, SetupFound& f);
  void refuse(const StatedSetup& s, const SetupFound& f);
  void plan(std::size_t i);
  void hear_each_other();
  void intersections(std::size_t i);
  void tell(const StatedSetup& s, const SetupFound& f);
  void tell_sights(const StatedSetup& s, const SetupFound& f);
  void tell_side_shots(const StatedSetup& s, const SetupFound& f);
  void tell_side_shots_apart();

  const Job& job_;
  Found& found_;
  InstrumentFound& into_;
  Messages& messages_;
  SetupOptions options_;
  std::vector<ControlMark> control_;
  std::map<std::string, std::uint32_t> control_named_, control_alike_;  // rows of control by name
  std::set<std::string> used_;        // names of ties and deck shots: side shots that were meant
  std::optional<MarkFinder> finder_;  // where marks have a place on site, to be held against what was sighted
};

std::optional<TargetMeaning> SetupStage::meaning(const StatedSetup& s, std::size_t target) {
  const std::string& name = s.targets[target];
  if (const auto c = control_named_.find(small_letters(name)); c != control_named_.end()) {
    const auto also = finder_ ? finder_->find(name) : MarkMeaning{};
    if (also.by_name || also.by_number) {
      const auto at = std::ranges::find(s.readings, target, &Reading::target) - s.readings.begin();
      messages_.doubt(
          "control named like a point", where(s, static_cast<std::size_t>(at)), "target",
          fmt::format("{} is a control point and a point of the list too; it is taken for the control point",
                      in_quotes(name)));
    }
    return TargetMeaning{TargetRole::control, c->second};
  }
  if (!finder_) return TargetMeaning{};
  const auto found = finder_->find(name);
  if (found.is_double()) {
    const auto at = std::ranges::find(s.readings, target, &Reading::target) - s.readings.begin();
    messages_.problem(
        where(s, static_cast<std::size_t>(at)), "target",
        Fault{fmt::format("{}, the name of one point and the number of {}", in_quotes(name),
                          in_quotes(job_.marks.names[*found.by_number])),
              "a text with one meaning",
              fmt::format("{} for the one, {} for the other", found_.issue.numbers[*found.by_name],
                          job_.marks.names[*found.by_number])});
    return std::nullopt;
  }
  if (found.by_name) return TargetMeaning{TargetRole::floor, *found.by_name};
  if (found.by_number)
    return TargetMeaning{found.is_deck_number ? TargetRole::deck : TargetRole::floor, *found.by_number};
  return TargetMeaning{};
}

SetupFound SetupStage::compute(const StatedSetup& s) {
  SetupFound f;
  std::vector<std::optional<ControlMark>> targets(s.targets.size());
  for (std::size_t t = 0; t < s.targets.size(); ++t) {
    f.targets.push_back(meaning(s, t).value_or(TargetMeaning{}));
    if (f.targets[t].role == TargetRole::control) targets[t] = control_[f.targets[t].index];
  }
  if (messages_.has_problems()) return f;
  if (!s.readings.empty()) f.reduction = reduce(s.readings, options_.instrument);
  SetupInput input;
  input.place = s.place;
  input.mark = s.control ? std::optional(control_[*s.control]) : s.own;
  input.instrument_height = s.height;
  input.orientation = s.orientation;
  input.sights = f.reduction.sights;
  input.targets = targets;
  f.result = adjust_setup(input, options_);
  if (f.result.status != SetupStatus::solved && f.result.status != SetupStatus::place_only)
    refuse(s, f);
  else
    rows(s, f);
  return f;
}

void SetupStage::rows(const StatedSetup&, SetupFound& f) {
  f.rows = f.result.rows;
  f.verdict = f.result.verdict;
  for (std::size_t i = 0; i < f.reduction.sights.size(); ++i) {
    const Sight& sight = f.reduction.sights[i];
    const TargetMeaning& target = f.targets[sight.target];
    if (target.role == TargetRole::control) continue;
    if (target.role == TargetRole::side) {
      if (auto shot = side_shot(f.result, sight, i, options_.instrument)) f.shots.push_back(*shot);
      continue;
    }
    if (!f.result.orientation) continue;
    const Point<Site>& at = found_.placed.marks[target.index];
    const auto elevation =
        target.role == TargetRole::deck ? heights_at(job_, found_, target.index).deck : job_.floor;
    const auto seen = check_sight(f.result, sight, i, {at, elevation, std::nullopt},
                                  options_.position_tolerance, options_.instrument);
    if (seen.empty()) continue;
    f.rows.insert(f.rows.end(), seen.begin(), seen.end());
    f.checks.push_back({i, miss_of(f.result, sight, at), seen.front().verdict});
    if (seen.front().verdict == Verdict::outside) f.verdict = Verdict::outside;
  }
  std::ranges::stable_sort(f.rows, {}, &SightRow::sight);
}

void SetupStage::refuse(const StatedSetup& s, const SetupFound& f) {
  std::vector<std::string> unknown;
  std::set<std::uint32_t> sighted;
  for (std::size_t t = 0; t < f.targets.size(); ++t) {
    if (f.targets[t].role == TargetRole::control)
      sighted.insert(f.targets[t].index);
    else
      unknown.push_back(s.targets[t]);
  }
  const SetupRefusal why = setup_refusal(f.result, names(s, f), sighted.size());
  Fault fault{why.found, why.expected, ""};
  if (!unknown.empty() && f.result.status != SetupStatus::two_places)
    fault.found += fmt::format(" (no control: {})", listed_names(std::move(unknown)));
  if (f.result.status == SetupStatus::too_few && !job_.control.empty()) {
    std::vector<std::string> names;
    for (const ControlPoint& c : job_.control) names.push_back(c.name);
    fault.suggestion = "names of the control table: " + listed_names(std::move(names));
  }
  messages_.problem(whole(s), s.table ? "file" : "setup", fault);
}

void SetupStage::plan(std::size_t i) {
  const StatedSetup& s = job_.instrument.setups[i];
  const ControlMark spot = s.control ? control_[*s.control] : *s.own;
  std::vector<PlannedSight> sights;
  for (const std::size_t c : s.plan) {
    PlannedSight sight{.target = control_[c].at};
    sight.target_control_sd = control_[c].sd;
    sight.rounds = s.rounds;
    sights.push_back(sight);
  }
  PlanFound out;
  const auto mark_sd = s.control ? std::optional(spot.sd.value_or(Length::metres(0))) : std::nullopt;
  out.planned = plan_setup(spot.at, mark_sd, sights, options_);
  if (!out.planned.fixed) {
    messages_.problem(
        s.where, "setup.plan",
        Fault{fmt::format("a plan of setup {} that leaves its place or orientation open", in_quotes(s.name)),
              s.control ? "a control point other than its own mark"
                        : "two control points or more, at different places",
              ""});
    return;
  }
  out.setup = as_setup(out.planned, spot.at, spot.elevation, s.height);
  into_.plans[i] = std::move(out);
}

/// A control point that two setups sighted: each may say whether it moved, of what the other names wrong.
void SetupStage::hear_each_other() {
  std::vector<std::vector<std::optional<std::size_t>>> control(into_.setups.size());
  std::vector<SetupInJob> setups(into_.setups.size());
  for (std::size_t i = 0; i < setups.size(); ++i) {
    if (!into_.setups[i] || into_.setups[i]->result.status != SetupStatus::solved) continue;
    SetupFound& f = *into_.setups[i];
    for (const TargetMeaning& t : f.targets)
      control[i].push_back(t.role == TargetRole::control ? std::optional<std::size_t>(t.index)
                                                         : std::nullopt);
    setups[i] = {&f.result, f.reduction.sights, control[i]};
  }
  hear_other_setups(setups, control_, options_.instrument);
}

/// Side points sighted without a distance: where the directions from two setups meet.
void SetupStage::intersections(std::size_t i) {
  const StatedSetup& first = job_.instrument.setups[i];
  SetupFound& f = *into_.setups[i];
  const auto is_direction = [](const SetupFound& g, std::size_t k) {
    const Sight& sight = g.reduction.sights[k];
    return g.targets[sight.target].role == TargetRole::side && sight.circle && !sight.horizontal;
  };
  for (std::size_t k = 0; k < f.reduction.sights.size(); ++k) {
    if (!is_direction(f, k)) continue;
    for (std::size_t j = i + 1; j < into_.setups.size(); ++j) {
      if (!into_.setups[j]) continue;
      const SetupFound& g = *into_.setups[j];
      const auto& name = first.targets[f.reduction.sights[k].target];
      std::optional<SideShot> shot;
      for (std::size_t l = 0; l < g.reduction.sights.size() && !shot; ++l)
        if (is_direction(g, l) &&
            same_name(job_.instrument.setups[j].targets[g.reduction.sights[l].target], name))
          shot = intersect(f.result, f.reduction.sights[k], k, g.result, g.reduction.sights[l]);
      if (!shot) continue;
      f.shots.push_back(*shot);
      break;
    }
  }
  std::ranges::stable_sort(f.shots, {}, &SideShot::sight);
}

void SetupStage::tell_sights(const StatedSetup& s, const SetupFound& f) {
  for (const auto kind : {SightFactKind::one_face, SightFactKind::slope_without_zenith}) {
    std::vector<SightFact> alike;
    for (const SightFact& fact : f.reduction.facts)
      if (fact.kind == kind) alike.push_back(fact);
    if (!alike.empty())
      messages_.doubt(kind == SightFactKind::one_face ? "one face" : "slope without zenith", whole(s),
                      "observations", sight_facts_text(alike, names(s, f)));
  }
  for (const SightFact& fact : f.reduction.facts)
    if (fact.kind == SightFactKind::faces_disagree || fact.kind == SightFactKind::rounds_disagree)
      messages_.doubt("readings that disagree", where(s, f.reduction.sights[fact.sight].readings.front()),
                      "circle", sight_facts_text({&fact, 1}, names(s, f)));
}

void SetupStage::tell_side_shots(const StatedSetup& s, const SetupFound& f) {
  std::vector<std::string> unknown, without, drawn, no_circle, no_orientation;
  std::vector<const SideShot*> shot_of(s.targets.size(), nullptr);
  for (const SideShot& shot : f.shots)
    if (auto& at = shot_of[f.reduction.sights[shot.sight].target]; !at) at = &shot;
  std::vector<std::size_t> first_of(s.targets.size(), 0);
  for (std::size_t i = s.readings.size(); i-- > 0;) first_of[s.readings[i].target] = i;
  for (std::size_t t = 0; t < f.targets.size(); ++t) {
    if (f.targets[t].role == TargetRole::control) continue;
    const std::string& name = s.targets[t];
    if (!f.result.orientation) no_orientation.push_back(name);
    if (f.targets[t].role != TargetRole::side) continue;
    const Where place = where(s, first_of[t]);
    std::optional<std::size_t> at;
    const auto of_target = [&](const Sight& sight) { return sight.target == t && sight.circle; };
    if (!shot_of[t] && f.result.orientation)
      (std::ranges::any_of(f.reduction.sights, of_target) ? without : no_circle).push_back(name);
    if (shot_of[t]) at = control_at(*shot_of[t], control_);
    const auto alike = control_alike_.find(typed_alike(name));
    if (at)
      messages_.doubt(
          "a side shot at a control point", place, "target",
          fmt::format(
              "{} is taken for a side shot, but it lies where control point {} does: is the name mistyped?",
              in_quotes(name), job_.control[*at].name));
    else if (alike != control_alike_.end())
      messages_.doubt("a side shot named like a control point", place, "target",
                      fmt::format("{} is taken for a side shot; was control point {} meant?", in_quotes(name),
                                  job_.control[alike->second].name));
    else if (!finder_ && job_.mark_index && job_.mark_index->find(name))
      drawn.push_back(name);
    else if (!used_.contains(small_letters(name)))
      unknown.push_back(name);
  }
  if (!drawn.empty())
    messages_.notice(
        "side shots to points of the drawing", whole(s), "target",
        fmt::format("setup {}: side shots to points of the drawing, whose place on site nothing says yet: "
                    "{}; with their drawing X or Y they can be ties",
                    s.name, listed_names(std::move(drawn))));
  const std::size_t count = unknown.size();
  if (count > 0)
    messages_.doubt(
        "side shots", whole(s), "target",
        fmt::format("setup {}: neither control nor a numbered point, so {}: {}; check the names", s.name,
                    count == 1 ? "a side shot" : "side shots", listed_names(std::move(unknown))));
  if (!no_orientation.empty())
    messages_.doubt("sights without an orientation", whole(s), "circle",
                    fmt::format("setup {}: nothing tells its orientation, so these get no coordinates and no "
                                "check: {}",
                                s.name, listed_names(std::move(no_orientation))));
  if (!no_circle.empty())
    messages_.doubt("side shots without a circle reading", whole(s), "circle",
                    fmt::format("setup {}: no coordinates without a circle reading: {}", s.name,
                                listed_names(std::move(no_circle))));
  if (!without.empty())
    messages_.doubt(
        "side shots without a distance", whole(s), "slope",
        fmt::format("setup {}: no coordinates without a distance, or a second setup that sights it: {}",
                    s.name, listed_names(std::move(without))));
}

/// One name that two setups see at two places: a name used twice, or a setup that is off.
void SetupStage::tell_side_shots_apart() {
  constexpr double kApart = 3.29;  // alpha 0.001, two-sided normal
  std::map<std::string, std::pair<std::size_t, const SideShot*>> seen;
  for (std::size_t i = 0; i < into_.setups.size(); ++i) {
    if (!into_.setups[i]) continue;
    const SetupFound& f = *into_.setups[i];
    const StatedSetup& s = job_.instrument.setups[i];
    for (const SideShot& shot : f.shots) {
      const std::size_t target = f.reduction.sights[shot.sight].target;
      const auto [at, fresh] = seen.emplace(small_letters(s.targets[target]), std::pair(i, &shot));
      if (fresh || at->second.first == i) continue;
      const SideShot& other = *at->second.second;
      const Length apart = distance(shot.at, other.at);
      const double sd = std::hypot(error_ellipse(shot.covariance).semi_major.metres(),
                                   error_ellipse(other.covariance).semi_major.metres());
      if (apart <= options_.position_tolerance || apart.metres() <= kApart * sd) continue;
      messages_.doubt("side shots apart", where(s, f.reduction.sights[shot.sight].readings.front()), "target",
                      fmt::format("{} lies {} apart as seen from setups {} and {}: one name for two points, "
                                  "or a setup that is off",
                                  in_quotes(s.targets[target]), length_words(apart, job_.site_unit),
                                  job_.instrument.setups[at->second.first].name, s.name));
    }
  }
}

void SetupStage::tell(const StatedSetup& s, const SetupFound& f) {
  tell_sights(s, f);
  tell_side_shots(s, f);
  for (const SetupFact& fact : f.result.facts) {
    // What is wrong is named by the last line; that the sights disagree then says no more.
    if (fact.kind == SetupFactKind::misfit_high && !f.result.wrong.empty()) continue;
    const std::string text = setup_fact_text(fact, names(s, f), job_.site_unit);
    if (fact.kind == SetupFactKind::misfit_low)
      messages_.notice("setups that fit too well", whole(s), "setup", text);
    else
      messages_.doubt("setups", whole(s), "setup", text);
  }
  const bool has_zenith =
      std::ranges::any_of(s.readings, [](const Reading& r) { return r.zenith.has_value(); });
  if (s.place == SetupPlace::known && has_zenith && !s.has_height)
    messages_.doubt(
        "no instrument height", s.where, "setup.height",
        fmt::format("setup {} states no instrument height: 0 is taken, so heights are wrong by it", s.name));
}

}  // namespace

void set_up(const Job& job, Found& found, Messages& messages) {
  if (!job.instrument.setups.empty()) SetupStage(job, found, messages).run();
}

}  // namespace deckmark
