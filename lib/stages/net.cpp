#include "stages/net.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/letters.h"
#include "report/instrument_words.h"
#include "report/words.h"
#include "stages/setup_names.h"

namespace deckmark {

namespace {

/// A meaning as text: what means the same has the same.
std::string key_of(const TargetMeaning& means, std::string_view name) {
  switch (means.role) {
    case TargetRole::control:
      return fmt::format("c{}", means.index);
    case TargetRole::floor:
      return fmt::format("f{}", means.index);
    case TargetRole::deck:
      return fmt::format("d{}", means.index);
    case TargetRole::side:
      break;
  }
  return "s" + small_letters(name);
}

std::optional<MarkFinder> finder_of(const NamedMarks& marks) {
  if (!marks.marks || !marks.marks->index || !marks.numbers) return std::nullopt;
  return finder_of(*marks.marks, *marks.numbers);
}

TargetMeaning meaning_of_mark(const MarkMeaning& found) {
  return {found.is_deck_number && !found.by_name ? TargetRole::deck : TargetRole::floor, *found.mark()};
}

std::map<std::string, std::size_t> control_by_name(const SetupsStated& stated) {
  std::map<std::string, std::size_t> out;
  for (std::size_t i = 0; i < stated.control.size(); ++i)
    out.emplace(small_letters(stated.control[i].name), i);
  return out;
}

/// Zenith angles that are all near 100 or 300 are told where they are read.
bool is_level_in_gon(const StatedSetup& s) {
  constexpr double kNear = 3;
  const auto has_zenith = [](const Reading& r) { return r.zenith.has_value(); };
  return std::ranges::any_of(s.readings, has_zenith) && std::ranges::all_of(s.readings, [](const Reading& r) {
           return !r.zenith || std::fabs(r.zenith->degrees() - (r.face == 2 ? 300 : 100)) < kNear;
         });
}

/// Setups of a net by their numbers in the job.
void number_as_job(Wrong& w, const std::vector<std::size_t>& of) {
  if (w.setup) w.setup = of[*w.setup];
  if (w.setup && w.witness_setup) w.witness_setup = of[*w.witness_setup];
  for (std::size_t& s : w.seen_by) s = of[s];
  for (Wrong& other : w.others) number_as_job(other, of);
}

class NetStage {
 public:
  NetStage(const SetupsStated& stated, const NamedMarks& marks)
      : stated_(stated),
        setups_(stated.instrument.setups),
        marks_(marks),
        options_(setup_options(stated)),
        control_(control_by_name(stated)),
        finder_(finder_of(marks)) {}

  Staged<NetFound> run() {
    found_.setups.resize(setups_.size());
    found_.place_in_net.resize(setups_.size());
    found_.told.resize(setups_.size());
    for (const ControlPoint& c : stated_.control) {
      points_.emplace(fmt::format("c{}", found_.names.size()), found_.names.size());
      found_.names.push_back(c.name);
    }
    found_.sighted.assign(found_.names.size(), false);
    for (std::size_t i = 0; i < setups_.size(); ++i)
      if (!setups_[i].is_planned_only() && !setups_[i].is_spoiled) read(i);
    adjust();
    return Staged<NetFound>::found(std::move(found_));
  }

 private:
  SetupMessages& told(const StatedSetup& s) {
    return found_.told[static_cast<std::size_t>(&s - setups_.data())];
  }
  std::optional<TargetMeaning> meaning(const StatedSetup& s, std::size_t target);
  bool tell_angles(const StatedSetup& s, const SetupInput& input, const SetupResult& result);
  void read(std::size_t i);
  void adjust();
  void refuse(const StatedSetup& s, const NetSetupFound& f);
  void tell_own_frame(const std::vector<std::size_t>& of);
  void refuse_all(const std::vector<std::size_t>& of);
  std::optional<std::size_t> over(const StatedSetup& s);
  std::size_t point(const TargetMeaning& means, const std::string& name);

  const SetupsStated& stated_;
  const std::vector<StatedSetup>& setups_;
  const NamedMarks& marks_;
  SetupOptions options_;
  std::map<std::string, std::size_t> control_, points_;
  std::optional<MarkFinder> finder_;
  NetFound found_;
};

std::size_t NetStage::point(const TargetMeaning& means, const std::string& name) {
  const auto [at, fresh] = points_.emplace(key_of(means, name), found_.names.size());
  if (fresh) {
    found_.names.push_back(name);
    found_.sighted.push_back(false);
  }
  return at->second;
}

std::optional<TargetMeaning> NetStage::meaning(const StatedSetup& s, std::size_t target) {
  const std::string& name = s.targets[target];
  const auto first = [&] {
    const auto at = std::ranges::find(s.readings, target, &Reading::target) - s.readings.begin();
    return where_read(s, static_cast<std::size_t>(at));
  };
  const MarkMeaning found = finder_ ? finder_->find(name) : MarkMeaning{};
  if (const auto c = control_.find(small_letters(name)); c != control_.end()) {
    if (found.mark())
      told(s).readings.doubt(
          "control named like a point", first(), "target",
          fmt::format("{} is a control point and a point of the list too; it is taken for the control point",
                      in_quotes(name)));
    return TargetMeaning{TargetRole::control, static_cast<std::uint32_t>(c->second)};
  }
  if (found.is_double()) {
    told(s).readings.problem(first(), "target", two_meanings(name, found, *marks_.marks, *marks_.numbers));
    return std::nullopt;
  }
  return found.mark() ? meaning_of_mark(found) : TargetMeaning{};
}

/// Tells angles that were all keyed in another notation than they are read in; false where they were not.
bool NetStage::tell_angles(const StatedSetup& s, const SetupInput& input, const SetupResult& result) {
  const auto read_as = stated_.instrument.angles;
  if (!read_as || (result.status == SetupStatus::solved && result.wrong.empty())) return false;
  const auto meant = angles_meant(s.readings, input, options_, *read_as);
  if (!meant || (*meant == AngleNotation::gon && is_level_in_gon(s))) return false;
  const auto word = [](AngleNotation n) {
    return n == AngleNotation::degrees ? "degrees" : n == AngleNotation::gon ? "gon" : "packed";
  };
  told(s).readings.problem(
      where_all(s), "circle",
      Fault{
          fmt::format("angles of setup {} that contradict one another as {}", s.name, word(*read_as)),
          fmt::format("angles = \"{0}\" under [instrument]: read as {0} all its sights agree", word(*meant)),
          ""});
  return true;
}

/// What a setup sighted; nothing where a target has two meanings, or the angles another notation (told).
void NetStage::read(std::size_t i) {
  const StatedSetup& s = setups_[i];
  NetSetupFound f;
  bool named = true;
  std::vector<std::optional<ControlMark>> targets(s.targets.size());
  for (std::size_t t = 0; t < s.targets.size(); ++t) {
    const auto means = meaning(s, t);
    named = named && means;
    f.targets.push_back(means.value_or(TargetMeaning{}));
    f.points.push_back(point(f.targets[t], s.targets[t]));
    if (f.targets[t].role == TargetRole::control)
      targets[t] = control_mark(stated_.control[f.targets[t].index]);
  }
  if (!named) return;
  if (!s.readings.empty()) f.reduction = reduce(s.readings, options_.instrument);
  SetupInput input;
  input.place = s.over ? SetupPlace::free : s.place;  // alone nothing is known of a point that others sight
  input.mark = s.control ? std::optional(control_mark(stated_.control[*s.control])) : s.own;
  input.instrument_height = s.height;
  input.orientation = s.orientation;
  input.sights = f.reduction.sights;
  input.targets = targets;
  const auto reads = [](const StatedSetup& other) { return !other.readings.empty(); };
  const bool has_others = std::ranges::count_if(setups_, reads) > 1;
  f.result = has_others ? adjust_setup_of_net(input, options_) : adjust_setup(input, options_);
  if (tell_angles(s, input, f.result)) return;
  for (const std::size_t p : f.points) found_.sighted[p] = true;
  found_.setups[i] = std::move(f);
}

/// The net point that a setup stands over.
std::optional<std::size_t> NetStage::over(const StatedSetup& s) {
  if (s.control) return *s.control;
  if (!s.over) return std::nullopt;
  const MarkMeaning found = finder_ ? finder_->find(*s.over) : MarkMeaning{};
  return point(found.mark() ? meaning_of_mark(found) : TargetMeaning{}, *s.over);
}

void NetStage::adjust() {
  std::vector<NetSetup> setups;
  std::vector<std::size_t> of;
  for (std::size_t i = 0; i < setups_.size(); ++i) {
    if (!found_.setups[i]) continue;
    const StatedSetup& s = setups_[i];
    const NetSetupFound& f = *found_.setups[i];
    NetSetup one;
    one.place = s.place;
    one.over = over(s);
    one.own = s.own;
    one.instrument_height = s.height;
    one.orientation = s.orientation;
    one.sights = f.reduction.sights;
    one.halves = f.reduction.halves;
    one.points = f.points;
    one.alone = &f.result;
    found_.place_in_net[i] = setups.size();
    of.push_back(i);
    setups.push_back(std::move(one));
  }
  std::vector<NetPoint> points(found_.names.size());
  for (std::size_t c = 0; c < stated_.control.size(); ++c)
    points[c].control = control_mark(stated_.control[c]);
  NetOptions options;
  options.setup = options_;
  options.control_sd = stated_.instrument.control_sd;
  if (!setups.empty()) found_.net = adjust_net({setups, points}, options);
  if (!found_.net.converged) return refuse_all(of);
  if (found_.net.own_frame) tell_own_frame(of);
  for (std::size_t k = 0; k < of.size(); ++k) {
    NetSetupFound& f = *found_.setups[of[k]];
    f.alone = std::exchange(f.result, found_.net.setups[k]);
    for (Wrong& w : f.result.wrong) number_as_job(w, of);
    if (f.result.status == SetupStatus::solved || f.result.status == SetupStatus::place_only) continue;
    refuse(setups_[of[k]], f);
    found_.setups[of[k]].reset();
  }
}

/// Sights that together fit no place: told once, at the first setup that reads.
void NetStage::refuse_all(const std::vector<std::size_t>& of) {
  std::vector<std::string_view> names;
  for (const std::size_t i : of) {
    names.push_back(setups_[i].name);
    found_.setups[i].reset();
  }
  const StatedSetup& first = setups_[of.front()];
  told(first).readings.problem(
      where_all(first), first.table ? "file" : "setup",
      Fault{fmt::format("setup{} {}, whose sights fit no place{}", names.size() == 1 ? "" : "s",
                        names_and(names), names.size() == 1 ? "" : " together"),
            "targets under their own names, circles and distances as read",
            names.size() == 1 ? "" : "take out one [[setup]] after another until the others fit"});
}

/// No control at all: places are those of a frame of its own.
void NetStage::tell_own_frame(const std::vector<std::size_t>& of) {
  for (std::size_t k = 0; k < of.size(); ++k) {
    if (found_.net.setups[k].status != SetupStatus::solved) continue;
    const StatedSetup& s = setups_[of[k]];
    told(s).readings.doubt(
        "no control", where_all(s), "setup",
        fmt::format("no control: all places are in the frame of setup {}, its mark N 0 E 0 and "
                    "height 0, {}; it is no building's frame",
                    s.name, s.orientation ? "turned as stated" : "its circle the azimuth"));
    return;
  }
}

void NetStage::refuse(const StatedSetup& s, const NetSetupFound& f) {
  std::vector<std::string> unknown;
  std::set<std::uint32_t> sighted;
  for (std::size_t t = 0; t < f.targets.size(); ++t) {
    if (f.targets[t].role == TargetRole::control)
      sighted.insert(f.targets[t].index);
    else
      unknown.push_back(s.targets[t]);
  }
  const SetupRefusal why = setup_refusal(f.result, sight_names(s, f.reduction), sighted.size());
  Fault fault{why.found, why.expected, ""};
  if (!unknown.empty() && f.result.status != SetupStatus::two_places)
    fault.found += fmt::format(" (no control: {})", listed_names(std::move(unknown)));
  if (f.result.status == SetupStatus::too_few && !stated_.control.empty()) {
    std::vector<std::string> names;
    for (const ControlPoint& c : stated_.control) names.push_back(c.name);
    fault.suggestion = "names of the control table: " + listed_names(std::move(names));
  }
  if (f.result.status == SetupStatus::too_few && setups_.size() > 1)
    fault.expected += ", or two points at different places that a setup with a place sights too";
  told(s).readings.problem(where_all(s), s.table ? "file" : "setup", fault);
}

}  // namespace

SetupOptions setup_options(const SetupsStated& stated) {
  SetupOptions out;
  out.instrument = stated.instrument.options;
  out.position_tolerance = stated.plan_tolerance;
  return out;
}

Staged<NetFound> find_net(const SetupsStated& stated, const NamedMarks& marks) {
  if (stated.instrument.setups.empty()) return Staged<NetFound>::absent();
  return NetStage(stated, marks).run();
}

Sighted::Sighted(const SetupsStated& stated, const NetFound& net, const NamedMarks& marks)
    : stated_(stated), net_(net), finder_(finder_of(marks)), control_(control_by_name(stated)) {
  for (std::size_t i = 0; i < stated.instrument.setups.size(); ++i) {
    const StatedSetup& s = stated.instrument.setups[i];
    for (std::size_t t = 0; t < s.targets.size(); ++t) {
      const std::string k = key(s.targets[t]);
      auto& from = seen_from_[k];
      if (from.empty()) names_.push_back(s.targets[t]);
      if (from.empty() || from.back() != i) from.push_back(i);
      if (net.setups[i]) points_.emplace(k, net.setups[i]->points[t]);
    }
  }
}

std::string Sighted::key(std::string_view name) const {
  if (const auto c = control_.find(small_letters(name)); c != control_.end())
    return key_of({TargetRole::control, static_cast<std::uint32_t>(c->second)}, name);
  const MarkMeaning found = finder_ ? finder_->find(name) : MarkMeaning{};
  return key_of(found.mark() && !found.is_double() ? meaning_of_mark(found) : TargetMeaning{}, name);
}

std::vector<std::size_t> Sighted::seen_from(std::string_view name) const {
  const auto at = seen_from_.find(key(name));
  return at == seen_from_.end() ? std::vector<std::size_t>{} : at->second;
}

std::optional<SeenPlace> Sighted::find(std::string_view name) const {
  const auto at = points_.find(key(name));
  if (at == points_.end()) return std::nullopt;
  const auto& place = net_.net.points[at->second];
  if (!place) return std::nullopt;
  SeenPlace out{*place, at->second, {}};
  for (const std::size_t s : seen_from(name))
    if (net_.setups[s]) out.setups.push_back(s);
  return out;
}

std::optional<SeenPlace> Sighted::find(std::string_view name, std::size_t setup) const {
  const auto at = points_.find(key(name));
  if (at == points_.end() || !net_.setups[setup]) return std::nullopt;
  const NetSetupFound& f = *net_.setups[setup];
  for (std::size_t k = 0; k < f.reduction.sights.size(); ++k) {
    const Sight& sight = f.reduction.sights[k];
    if (f.points[sight.target] != at->second) continue;
    const auto shot = side_shot(f.result, sight, k, stated_.instrument.options);
    if (!shot) continue;
    NetPlace place;
    place.at = shot->at;
    place.covariance = shot->covariance;
    place.elevation = shot->elevation;
    place.elevation_sd = shot->elevation_sd;
    place.sights = 1;
    return SeenPlace{place, std::nullopt, {setup}};
  }
  return std::nullopt;
}

std::optional<std::size_t> Sighted::setup_named(std::string_view name) const {
  const auto& all = stated_.instrument.setups;
  for (std::size_t i = 0; i < all.size(); ++i)
    if (same_name(all[i].name, name)) return i;
  return std::nullopt;
}

std::vector<std::string> Sighted::names() const { return names_; }

}  // namespace deckmark
