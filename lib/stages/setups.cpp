#include "stages/setups.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "measure/letters.h"
#include "report/instrument_words.h"
#include "report/words.h"
#include "stages/setup_names.h"
#include "stages/storeys.h"

namespace deckmark {

namespace {

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

/// Reduces, adjusts and tells one setup after another. What is wrong with one leaves the others to be judged.
class SetupStage {
 public:
  SetupStage(const SetupsStated& stated, const NetFound& net, const SightedMarks& marks)
      : stated_(stated),
        setups_(stated.instrument.setups),
        net_(net),
        laid_(marks.laid),
        marks_(marks),
        options_(setup_options(stated)) {
    for (std::uint32_t i = 0; i < stated.control.size(); ++i) {
      const ControlPoint& c = stated.control[i];
      control_.push_back(control_mark(c));
      control_alike_.emplace(typed_alike(c.name), i);
    }
  }

  Staged<Setups> run() {
    found_.setups.resize(setups_.size());
    found_.plans.resize(setups_.size());
    found_.told.resize(setups_.size());
    for (std::size_t i = 0; i < setups_.size(); ++i) {
      if (!setups_[i].plan.empty() && !setups_[i].is_plan_spoiled) plan(i);
      if (setups_[i].is_planned_only()) continue;
      if (net_.setups[i]) found_.setups[i] = compute(setups_[i], *net_.setups[i]);
      any_spoiled_ = any_spoiled_ || setups_[i].is_spoiled;
      if (!found_.setups[i])
        for (const std::string& name : setups_[i].targets) seen_by_refused_.insert(small_letters(name));
    }
    hear_each_other();
    for (std::size_t i = 0; i < setups_.size(); ++i)
      if (found_.setups[i]) intersections(i);
    for (std::size_t i = 0; i < setups_.size(); ++i)
      if (found_.setups[i]) tell(setups_[i], *found_.setups[i]);
    tell_side_shots_apart();
    return Staged<Setups>::found(std::move(found_), std::move(messages_));
  }

 private:
  SetupMessages& told(const StatedSetup& s) {
    return found_.told[static_cast<std::size_t>(&s - setups_.data())];
  }
  static Where where(const StatedSetup& s, std::size_t reading) { return where_read(s, reading); }
  static Where whole(const StatedSetup& s) { return where_all(s); }
  static SightNames names(const StatedSetup& s, const SetupFound& f) { return sight_names(s, f.reduction); }

  SetupFound compute(const StatedSetup& s, const NetSetupFound& net);
  void rows(SetupFound& f) const;
  void refuse_other_storeys(const StatedSetup& s, const SetupFound& f);
  void plan(std::size_t i);
  void hear_each_other();
  void intersections(std::size_t i);
  void tell(const StatedSetup& s, const SetupFound& f);
  void tell_sights(const StatedSetup& s, const SetupFound& f);
  /// Targets of one setup that are neither control nor numbered points, by what is told of them.
  struct SideNames {
    std::vector<std::string> unknown, no_distance, drawn, no_circle, no_orientation;
  };
  void tell_side_shots(const StatedSetup& s, const SetupFound& f);
  void look_at_side_name(const StatedSetup& s, const Where& place, const std::string& name,
                         const SideShot* shot, SideNames& names);
  void tell_side_names(const StatedSetup& s, SideNames names);
  void tell_side_shots_apart();
  std::string_view name_at(const SideShot& shot, std::size_t but) const;
  /// Marks that all lie farther off than anybody sights.
  void tell_far_marks(const StatedSetup& s, const SetupFound& f);

  const SetupsStated& stated_;
  const std::vector<StatedSetup>& setups_;
  const NetFound& net_;
  const LaidOut* laid_;
  const SightedMarks& marks_;
  Setups found_;
  Messages messages_;
  SetupOptions options_;
  std::vector<ControlMark> control_;
  std::map<std::string, std::uint32_t> control_alike_;  // rows of control by name
  bool any_spoiled_ = false;                            // a setup whose readings are not all known
  std::set<std::string> seen_by_refused_;  // targets of setups that could not be computed, in small letters
};

SetupFound SetupStage::compute(const StatedSetup& s, const NetSetupFound& net) {
  SetupFound f;
  f.setup = static_cast<std::size_t>(&s - setups_.data());
  f.targets = net.targets;
  f.reduction = net.reduction;
  f.result = net.result;
  if (!laid_)  // a mark whose place on site nothing says yet is a side shot
    for (TargetMeaning& target : f.targets)
      if (target.role != TargetRole::control) target = {};
  rows(f);
  refuse_other_storeys(s, f);
  return f;
}

void SetupStage::rows(SetupFound& f) const {
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
    const Point<Site>& at = laid_->placed.marks[target.index];
    const auto elevation =
        target.role == TargetRole::deck ? laid_->heights.at(target.index).deck : stated_.floor;
    const auto seen = check_sight(f.result, sight, i, {at, elevation, std::nullopt},
                                  options_.position_tolerance, options_.instrument);
    if (seen.empty()) continue;
    f.rows.insert(f.rows.end(), seen.begin(), seen.end());
    f.checks.push_back({i, miss_of(f.result, sight, at), seen.front().verdict});
  }
  std::ranges::stable_sort(f.rows, {}, &SightRow::sight);
}

/// A numbered point that was sighted at the height of another storey of the building is one of that.
void SetupStage::refuse_other_storeys(const StatedSetup& s, const SetupFound& f) {
  if (!stated_.storeys || stated_.storeys->empty() || !laid_) return;
  const StoreyHeights heights(*stated_.storeys, *laid_, stated_.site_unit);
  for (const SightCheck& check : f.checks) {
    const Sight& sight = f.reduction.sights[check.sight];
    const auto seen = side_shot(f.result, sight, check.sight, options_.instrument);
    if (!seen || !seen->elevation) continue;
    if (const auto fault = heights.refused("a sight", *seen->elevation))
      told(s).readings.problem(
          where(s, sight.readings.front()), "target",
          Fault{fmt::format("{} at {}", in_quotes(s.targets[sight.target]), fault->found), fault->expected,
                fault->suggestion});
  }
}

void SetupStage::plan(std::size_t i) {
  const StatedSetup& s = setups_[i];
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
    told(s).plan.problem(
        s.where, "setup.plan",
        Fault{fmt::format("a plan of setup {} that leaves its place or orientation open", in_quotes(s.name)),
              s.control ? "a control point other than its own mark"
                        : "two control points or more, at different places",
              ""});
    return;
  }
  out.setup = as_setup(out.planned, spot.at, spot.elevation, s.height);
  found_.plans[i] = std::move(out);
}

/// A control point that two setups sighted: each may say whether it moved, of what the other names wrong.
void SetupStage::hear_each_other() {
  std::vector<std::vector<std::optional<std::size_t>>> control(found_.setups.size());
  std::vector<SetupInJob> setups(found_.setups.size());
  for (std::size_t i = 0; i < setups.size(); ++i) {
    if (!found_.setups[i] || found_.setups[i]->result.status != SetupStatus::solved) continue;
    SetupFound& f = *found_.setups[i];
    for (const TargetMeaning& t : f.targets)
      control[i].push_back(t.role == TargetRole::control ? std::optional<std::size_t>(t.index)
                                                         : std::nullopt);
    setups[i] = {&f.result, f.reduction.sights, control[i]};
  }
  hear_other_setups(setups, control_, options_.instrument);
}

/// Side points sighted without a distance: where the directions from two setups meet.
void SetupStage::intersections(std::size_t i) {
  const StatedSetup& first = setups_[i];
  SetupFound& f = *found_.setups[i];
  const auto is_direction = [](const SetupFound& g, std::size_t k) {
    const Sight& sight = g.reduction.sights[k];
    return g.targets[sight.target].role == TargetRole::side && sight.circle && !sight.horizontal;
  };
  for (std::size_t k = 0; k < f.reduction.sights.size(); ++k) {
    if (!is_direction(f, k)) continue;
    for (std::size_t j = i + 1; j < found_.setups.size(); ++j) {
      if (!found_.setups[j]) continue;
      const SetupFound& g = *found_.setups[j];
      const auto& name = first.targets[f.reduction.sights[k].target];
      std::optional<SideShot> shot;
      for (std::size_t l = 0; l < g.reduction.sights.size() && !shot; ++l)
        if (is_direction(g, l) && same_name(setups_[j].targets[g.reduction.sights[l].target], name))
          shot = intersect(f.result, f.reduction.sights[k], k, g.result, g.reduction.sights[l]);
      if (!shot) continue;
      f.shots.push_back(*shot);
      break;
    }
  }
  std::ranges::stable_sort(f.shots, {}, &SideShot::sight);
}

/// The column of a disagreement; empty where a fact is none.
std::string_view field_of(SightFactKind kind) {
  switch (kind) {
    case SightFactKind::faces_disagree:
    case SightFactKind::rounds_disagree:
      return "circle";
    case SightFactKind::zeniths_disagree:
      return "zenith";
    case SightFactKind::distances_disagree:
      return "slope";
    default:
      return "";
  }
}
bool is_disagreement(SightFactKind kind) { return !field_of(kind).empty(); }

void SetupStage::tell_sights(const StatedSetup& s, const SetupFound& f) {
  for (const auto& [kind, value] : {std::pair{SightFactKind::one_face, 0.0},
                                    {SightFactKind::one_face, 1.0},
                                    {SightFactKind::slope_without_zenith, 0.0}}) {
    std::vector<SightFact> alike;
    for (const SightFact& fact : f.reduction.facts)
      if (fact.kind == kind && fact.value == value) alike.push_back(fact);
    if (!alike.empty())
      told(s).readings.doubt(kind == SightFactKind::one_face ? "one face" : "slope without zenith", whole(s),
                             "observations", sight_facts_text(alike, names(s, f), net_.net.faces_known));
  }
  for (const CircleTurn& turn : f.reduction.turns)
    told(s).readings.doubt("a circle that turned", where(s, turn.reading), "circle",
                           circle_turn_text(turn, s.name));
  for (const SightFact& fact : f.reduction.facts)
    if (is_disagreement(fact.kind))
      told(s).readings.doubt("readings that disagree",
                             where(s, f.reduction.sights[fact.sight].readings.front()), field_of(fact.kind),
                             sight_facts_text({&fact, 1}, names(s, f)));
}

/// The first shot of every target; null where there is none.
std::vector<const SideShot*> shots_by_target(const StatedSetup& s, const SetupFound& f) {
  std::vector<const SideShot*> out(s.targets.size(), nullptr);
  for (const SideShot& shot : f.shots)
    if (auto& at = out[f.reduction.sights[shot.sight].target]; !at) at = &shot;
  return out;
}

/// The first reading of every target.
std::vector<std::size_t> first_readings(const StatedSetup& s) {
  std::vector<std::size_t> out(s.targets.size(), 0);
  for (std::size_t i = s.readings.size(); i-- > 0;) out[s.readings[i].target] = i;
  return out;
}

void SetupStage::tell_side_shots(const StatedSetup& s, const SetupFound& f) {
  SideNames names;
  const std::vector<const SideShot*> shots = shots_by_target(s, f);
  const std::vector<std::size_t> first = first_readings(s);
  for (std::size_t t = 0; t < f.targets.size(); ++t) {
    if (f.targets[t].role == TargetRole::control) continue;
    const std::string& name = s.targets[t];
    if (!f.result.orientation) names.no_orientation.push_back(name);
    if (f.targets[t].role != TargetRole::side) continue;
    const auto has_circle = [&](const Sight& sight) { return sight.target == t && sight.circle; };
    if (!shots[t] && f.result.orientation) {
      if (std::ranges::none_of(f.reduction.sights, has_circle))
        names.no_circle.push_back(name);
      else if (!any_spoiled_ && marks_.are_known && !seen_by_refused_.contains(small_letters(name)))
        names.no_distance.push_back(name);
    }
    look_at_side_name(s, where(s, first[t]), name, shots[t], names);
  }
  tell_side_names(s, std::move(names));
}

/// A side shot whose name may be a slip.
void SetupStage::look_at_side_name(const StatedSetup& s, const Where& place, const std::string& name,
                                   const SideShot* shot, SideNames& names) {
  const auto at = shot ? control_at(*shot, control_) : std::nullopt;
  const auto alike = control_alike_.find(typed_alike(name));
  if (at)
    told(s).readings.doubt(
        "a side shot at a control point", place, "target",
        fmt::format(
            "{} is taken for a side shot, but it lies where control point {} does: is the name mistyped?",
            in_quotes(name), stated_.control[*at].name));
  else if (alike != control_alike_.end())
    told(s).readings.doubt("a side shot named like a control point", place, "target",
                           fmt::format("{} is taken for a side shot; was control point {} meant?",
                                       in_quotes(name), stated_.control[alike->second].name));
  else if (!marks_.are_known)
    return;
  else if (!laid_ && marks_.drawn && marks_.drawn->index && marks_.drawn->index->find(name))
    names.drawn.push_back(name);
  else if (!stated_.used.contains(small_letters(name)))
    names.unknown.push_back(name);
}

void SetupStage::tell_side_names(const StatedSetup& s, SideNames names) {
  if (!names.drawn.empty())
    told(s).readings.notice(
        "side shots to points of the drawing", whole(s), "target",
        fmt::format("setup {}: side shots to points of the drawing, whose place on site nothing says yet: "
                    "{}; with their drawing X or Y they can be ties",
                    s.name, listed_names(std::move(names.drawn))));
  const auto doubt = [&](std::string_view kind, std::string_view field, std::string_view says,
                         std::vector<std::string>& who, std::string_view then = "") {
    if (who.empty()) return;
    told(s).readings.doubt(
        kind, whole(s), field,
        fmt::format("setup {}: {}: {}{}", s.name, says, listed_names(std::move(who)), then));
  };
  doubt("side shots", "target",
        names.unknown.size() == 1 ? "neither control nor a numbered point, so a side shot"
                                  : "neither control nor a numbered point, so side shots",
        names.unknown, "; check the names");
  doubt("sights without an orientation", "circle",
        "nothing tells its orientation, so these get no coordinates and no check", names.no_orientation);
  doubt("side shots without a circle reading", "circle", "no coordinates without a circle reading",
        names.no_circle);
  doubt("side shots without a distance", "slope",
        "no coordinates without a distance, or a second setup that sights it", names.no_distance);
}

/// One name that two setups see at two places: a name used twice, one typed for another, or a setup that is
/// off. Each as by its own sights to control: together they would meet half way.
void SetupStage::tell_side_shots_apart() {
  constexpr double kApart = 3.29;  // alpha 0.001, two-sided normal
  std::map<std::size_t, std::pair<std::size_t, SideShot>> seen;
  for (std::size_t i = 0; i < found_.setups.size(); ++i) {
    if (!found_.setups[i]) continue;
    const SetupFound& f = *found_.setups[i];
    const NetSetupFound& own = *net_.setups[i];
    if (!own.alone.wrong.empty()) continue;  // bent by what is named, it sees all elsewhere
    for (std::size_t k = 0; k < f.reduction.sights.size(); ++k) {
      const Sight& sight = f.reduction.sights[k];
      if (f.targets[sight.target].role != TargetRole::side) continue;
      const auto shot = side_shot(own.alone, sight, k, options_.instrument);
      if (!shot) continue;
      const auto [at, fresh] = seen.emplace(own.points[sight.target], std::pair(i, *shot));
      if (fresh || at->second.first == i) continue;
      const SideShot& other = at->second.second;
      const Length apart = distance(shot->at, other.at);
      const double sd = std::hypot(error_ellipse(shot->covariance).semi_major.metres(),
                                   error_ellipse(other.covariance).semi_major.metres());
      if (apart <= options_.position_tolerance || apart.metres() <= kApart * sd) continue;
      const StatedSetup& s = setups_[i];
      std::string_view meant = name_at(*shot, own.points[sight.target]), from = s.name;
      if (meant.empty())
        meant = name_at(other, own.points[sight.target]), from = setups_[at->second.first].name;
      messages_.doubt(
          "side shots apart", where(s, sight.readings.front()), "target",
          fmt::format(
              "{} lies {} apart as seen from setups {} and {}: {}", in_quotes(s.targets[sight.target]),
              length_words(apart, stated_.site_unit), setups_[at->second.first].name, s.name,
              meant.empty()
                  ? std::string("one name for two points, or a setup that is off")
                  : fmt::format("from {} it lies where {} is; was that sighted?", from, in_quotes(meant))));
    }
  }
}

/// Another sighted point that lies where a shot fell; empty where none does.
std::string_view SetupStage::name_at(const SideShot& shot, std::size_t but) const {
  for (std::size_t p = 0; p < net_.net.points.size(); ++p) {
    if (p == but || !net_.sighted[p] || !net_.net.points[p]) continue;
    const double sd = 3 * error_ellipse(shot.covariance).semi_major.metres();
    if (distance(shot.at, net_.net.points[p]->at).metres() <= 0.01 + sd) return net_.names[p];
  }
  return {};
}

void SetupStage::tell_far_marks(const StatedSetup& s, const SetupFound& f) {
  constexpr Length kFar = Length::metres(1000);
  if (!laid_ || laid_->placed.marks.empty() || f.result.status != SetupStatus::solved) return;
  std::size_t nearest = 0;
  Length least = Length::metres(std::numeric_limits<double>::infinity());
  for (std::size_t m = 0; m < laid_->placed.marks.size() && least > kFar; ++m)
    if (const Length off = distance(laid_->placed.marks[m], f.result.at); off < least)
      least = off, nearest = m;
  if (least <= kFar) return;
  told(s).readings.doubt(
      "marks far from a setup", whole(s), "setup",
      fmt::format("setup {} stands {} from the nearest mark, {}, farther than 1 km (common practice, no "
                  "source): are ties and control in one unit, with north and east the same way round?",
                  s.name, length_words(least, stated_.site_unit), laid_->marks->names[nearest]));
}

void SetupStage::tell(const StatedSetup& s, const SetupFound& f) {
  tell_sights(s, f);
  tell_far_marks(s, f);
  tell_side_shots(s, f);
  for (const SetupFact& fact : f.result.facts) {
    // What is wrong is named by the last line; that the sights disagree then says no more.
    if (fact.kind == SetupFactKind::misfit_high && !f.result.wrong.empty()) continue;
    const std::string text = setup_fact_text(fact, names(s, f), stated_.site_unit);
    if (fact.kind == SetupFactKind::misfit_low)
      told(s).readings.notice("setups that fit too well", whole(s), "setup", text);
    else
      told(s).readings.doubt("setups", whole(s), "setup", text);
  }
  const bool has_zenith =
      std::ranges::any_of(s.readings, [](const Reading& r) { return r.zenith.has_value(); });
  if (s.place == SetupPlace::known && has_zenith && !s.has_height)
    told(s).readings.doubt(
        "no instrument height", s.where, "setup.height",
        fmt::format("setup {} states no instrument height: 0 is taken, so heights are wrong by it", s.name));
}

}  // namespace

Staged<Setups> set_up(const SetupsStated& stated, const NetFound& net, const SightedMarks& marks) {
  return SetupStage(stated, net, marks).run();
}

}  // namespace deckmark
