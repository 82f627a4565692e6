#include "pages/setups.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "adjust/statistics.h"
#include "measure/decimal.h"
#include "report/instrument_text.h"
#include "report/words.h"
#include "stages/along_runs.h"

namespace deckmark {

namespace {

std::string_view mark_name(const SetupsStated& stated, const StatedSetup& s) {
  if (s.over) return *s.over;
  return s.control ? std::string_view(stated.control[*s.control].name) : std::string_view();
}

SightNames names_of(const SetupsStated& stated, const Setups& found, const StatedSetup& s,
                    const SetupFound& f) {
  const auto& all = stated.instrument.setups;
  return {
      s.name,
      [&s, &f](std::size_t sight) { return std::string_view(s.targets[f.reduction.sights[sight].target]); },
      [&stated](const Point<Site>& at) {
        const SideShot there{0, at, {}, std::nullopt, std::nullopt};
        std::vector<ControlMark> control;
        for (const ControlPoint& c : stated.control) control.push_back({c.at, c.elevation, c.sd});
        const auto here = control_at(there, control);
        return here ? std::string_view(stated.control[*here].name) : std::string_view();
      },
      [&stated](std::size_t setup) { return std::string_view(stated.instrument.setups[setup].name); },
      [&all, &found](std::size_t setup, std::size_t sight) {
        const auto& other = found.setups[setup];
        return other ? std::string_view(all[setup].targets[other->reduction.sights[sight].target])
                     : std::string_view();
      },
      static_cast<std::size_t>(&s - all.data())};
}

/// The numbered point that a check sighted.
struct CheckedMark {
  std::uint32_t number;
  std::string_view name;
  std::uint32_t mark = 0;
};
CheckedMark checked_mark(const LaidOut& laid, const SetupFound& f, const SightCheck& check) {
  const TargetMeaning& t = f.targets[f.reduction.sights[check.sight].target];
  return {laid.numbers.at(t.index, t.role == TargetRole::deck), laid.marks->names[t.index], t.index};
}

/// The mark farthest from a place, by squares: there may be a million. Nothing where none lies off it.
std::optional<std::uint32_t> farthest_from(const Point<Site>& place, std::span<const Point<Site>> marks) {
  std::optional<std::uint32_t> out;
  double most = 0;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const double n = (marks[i].at.northing - place.at.northing).metres(),
                 e = (marks[i].at.easting - place.at.easting).metres(), square = n * n + e * e;
    if (square > most) most = square, out = static_cast<std::uint32_t>(i);
  }
  return out;
}

/// What held control hides of one setup. REQUIRES held control and an orientation. `laid` may be null.
HeldControlWords held_control(const SetupResult& now, std::string_view name, const LaidOut* laid) {
  SetupResult then;
  then.orientation = now.orientation;
  then.covariance = now.covariance;
  for (std::size_t a = 0; a < 3; ++a)
    for (std::size_t b = 0; b < 3; ++b) then.covariance[a][b] += now.held->covariance[a][b];
  HeldControlWords w;
  w.setup = name;
  w.orientation = *now.sd_orientation() * kSds95;
  w.orientation_then = *then.sd_orientation() * kSds95;
  const auto farthest = laid ? farthest_from(now.at, laid->placed.marks) : std::nullopt;
  if (!farthest) return w;
  const Point<Site>& mark = laid->placed.marks[*farthest];
  w.mark = std::to_string(laid->numbers.of(*farthest));
  w.away = distance(mark, now.at);
  const Azimuth way = azimuth_of(mark - now.at);
  const auto within = [&](const SetupResult& r) {
    return radius95(point_covariance(r, way, w.away, Length::metres(0), Length::metres(0)));
  };
  w.place = within(now), w.place_then = within(then);
  return w;
}

/// What held control hides, of the setup where it hides the most; nothing where all control states an sd.
std::string held_control_part(const SetupsStated& stated, const Setups& found, const LaidOut* laid) {
  std::optional<HeldControlWords> most;
  for (std::size_t i = 0; i < found.setups.size(); ++i) {
    if (!found.setups[i] || !found.setups[i]->result.held || !found.setups[i]->result.orientation) continue;
    const HeldControlWords w = held_control(found.setups[i]->result, stated.instrument.setups[i].name, laid);
    if (!most || w.orientation_then > most->orientation_then) most = w;
  }
  return most ? "\n" + held_control_lines(*most, stated.site_unit) : "";
}

StakeSheet sheet_of(const StakeWords& words, std::size_t setup, const SetupResult& result,
                    const StakeList& list) {
  const InstrumentJob& instrument = words.stated.instrument;
  const StatedSetup& s = instrument.setups[setup];
  const JobMarks& marks = words.laid.marks;
  StakeSheet sheet;
  sheet.title = words.head.title;
  sheet.revision = words.head.revision;
  sheet.setup = s.name;
  sheet.mark = mark_name(words.stated, s);
  if (words.found.setups[setup]) sheet.verdict = words.found.setups[setup]->verdict;
  sheet.result = &result;
  sheet.options = instrument.stake;
  sheet.options.tolerance = words.stated.plan_tolerance;
  sheet.steep = instrument.options.steep;
  sheet.by_run = instrument.order == StakeOrder::run;
  sheet.walk = list.walk;
  sheet.other_walk = list.other_walk;
  const std::map<std::uint32_t, PairBeside> pairs = pairs_of_runs(marks, words.laid.overhead);
  for (const StakeLine& l : list.lines) {
    StakeEntry e;
    e.level = l.level;
    e.row = &l.row;
    if (l.level == StakeLevel::control) {
      e.point = words.stated.control[l.index].name;
    } else {
      e.number = words.laid.numbers.at(l.index, l.level == StakeLevel::deck);
      e.point = marks->names[l.index];
      e.run = marks->runs[l.index];
      if (const auto pair = pairs.find(marks->runs.number(l.index)); pair != pairs.end())
        e.beside = pair->second.by, e.is_curved = pair->second.is_curved, e.is_all = pair->second.is_all;
      e.in_place_of_drop = in_place_of_drop(marks, words.laid.overhead, l.index);
    }
    sheet.entries.push_back(e);
  }
  return sheet;
}

CheckedPart checked_part(const Sight& sight) {
  if (!sight.horizontal) return CheckedPart::across;
  return sight.circle ? CheckedPart::plan : CheckedPart::along;
}

std::string one_setup(const SetupsStated& stated, const Setups& found, std::size_t setup, const LaidOut* laid,
                      bool details) {
  const StatedSetup& s = stated.instrument.setups[setup];
  const SetupFound& f = *found.setups[setup];
  SetupSheet sheet;
  sheet.details = details;
  sheet.place = s.place;
  sheet.mark = mark_name(stated, s);
  sheet.result = &f.result;
  sheet.reduction = &f.reduction;
  for (const SightCheck& c : f.checks) {
    const CheckedMark mark = checked_mark(*laid, f, c);
    sheet.checks.push_back(
        {mark.number, mark.name, c.miss, c.verdict, checked_part(f.reduction.sights[c.sight])});
  }
  sheet.shots = f.shots;
  sheet.verdict = f.verdict;
  sheet.tolerance = stated.plan_tolerance;
  return setup_text(sheet, names_of(stated, found, s, f), stated.site_unit, stated.instrument.angles);
}

bool has_axes_exchanged(const SetupResult& result) {
  return !result.wrong.empty() && result.wrong.front().kind == WrongKind::axes;
}

/// What several setups see of a control point.
bool is_of_control(const Wrong& w) { return w.kind == WrongKind::moved || w.kind == WrongKind::moved_height; }

/// `setup S1`, or `setups S1 and S3` where either may be the one.
std::string accused_setups(const SetupsStated& stated, const StatedSetup& s, const Wrong& w) {
  std::set<std::size_t> all;
  if (w.setup) all.insert(*w.setup);
  for (const Wrong& other : w.others)
    if (other.setup) all.insert(*other.setup);
  if (all.size() < 2) return "setup " + s.name;
  std::vector<std::string_view> names;
  for (const std::size_t i : all) names.push_back(stated.instrument.setups[i].name);
  return "setups " + names_and(names);
}

/// What is wrong with the setup itself; empty where nothing is.
std::string outside_reason(const SetupsStated& stated, const Setups& found, const StatedSetup& s,
                           const SetupFound& f) {
  const SightNames names = names_of(stated, found, s, f);
  if (has_axes_exchanged(f.result)) return "";                                      // told of the control
  if (!f.result.wrong.empty() && is_of_control(f.result.wrong.front())) return "";  // likewise
  if (!f.result.wrong.empty())
    return fmt::format("{}: {}", accused_setups(stated, s, f.result.wrong.front()),
                       wrong_text(f.result.wrong.front(), names, stated.site_unit));
  if (f.result.verdict != Verdict::outside) return "";
  const auto worst = std::ranges::max_element(
      f.result.rows, {}, [](const SightRow& r) { return std::fabs(r.standardised.value_or(0)); });
  return fmt::format("setup {}: a reading to {} is off by {} times its sd", s.name, names.sight(worst->sight),
                     fixed(std::fabs(worst->standardised.value_or(0)), 1));
}

}  // namespace

std::string setups_part(const SetupsStated& stated, const Setups& found, const LaidOut* laid, bool details) {
  std::string text;
  for (std::size_t i = 0; i < found.setups.size(); ++i)
    if (found.setups[i]) text += (text.empty() ? "" : "\n") + one_setup(stated, found, i, laid, details);
  return text + held_control_part(stated, found, laid);
}

std::string stake_part(const StakeWords& words, std::size_t setup, const CrewShare& share) {
  const SetupFound& found = *words.found.setups[setup];
  const StakeList list = stake_list(words.stake, found, words.laid, share);
  StakeSheet sheet = sheet_of(words, setup, found.result, list);
  sheet.crew = share.name();
  return stake_text(sheet, words.stated.site_unit, words.stated.instrument.angles);
}

std::string stake_sheets_of(const StakeWords& words, std::size_t setup, const StakeList& list,
                            std::string_view verdict, std::uint32_t issue, std::string_view crew) {
  StakeSheet sheet = sheet_of(words, setup, words.found.setups[setup]->result, list);
  sheet.standing = verdict;
  sheet.issue = issue;
  sheet.release = words.head.release;
  sheet.crew = crew;
  return stake_sheets(sheet, words.stated.site_unit, words.stated.instrument.angles);
}

std::string plan_part(const StakeWords& words, std::size_t setup) {
  const PlanFound& plan = *words.found.plans[setup];
  const StatedSetup& s = words.stated.instrument.setups[setup];
  std::vector<std::string_view> targets;
  for (const std::size_t c : s.plan) targets.push_back(words.stated.control[c].name);
  const StakeList list = planned_list(words.stake, plan, words.laid);
  return plan_text(sheet_of(words, setup, plan.setup, list), plan.planned, targets, s.rounds,
                   words.stated.site_unit);
}

namespace {

/// A setup that is wrong in plan: marks that it sees off are its own fault.
bool is_wrong_in_plan(const SetupResult& result) {
  return std::ranges::any_of(result.wrong, [](const Wrong& w) {
    return w.kind != WrongKind::height && w.kind != WrongKind::mark_height;
  });
}

/// Setups of which the exchanged control is all that is wrong; the reason is the control's, told once.
std::string axes_reason(const SetupsStated& stated, const Setups& found) {
  std::vector<std::string_view> names;
  for (std::size_t i = 0; i < found.setups.size(); ++i)
    if (found.setups[i] && has_axes_exchanged(found.setups[i]->result))
      names.push_back(stated.instrument.setups[i].name);
  if (names.empty()) return "";
  return fmt::format(
      "northing and easting of the control are exchanged: the other way round the sights of setup{} {} "
      "agree; "
      "look at the header of the control table",
      names.size() == 1 ? "" : "s", names_and(names));
}

/// Control that several setups see moved, each point once.
std::vector<std::string> moved_reasons(const SetupsStated& stated, const Setups& found) {
  std::vector<std::string> out;
  std::vector<std::pair<WrongKind, std::optional<std::size_t>>> told;
  for (std::size_t i = 0; i < found.setups.size(); ++i) {
    if (!found.setups[i]) continue;
    const SetupFound& f = *found.setups[i];
    for (const Wrong& w : f.result.wrong) {
      const std::pair point(w.kind, w.point);
      if (!is_of_control(w) || std::ranges::count(told, point) > 0) continue;
      told.push_back(point);
      out.push_back((w.certain ? "control point " : "") +
                    wrong_text(w, names_of(stated, found, stated.instrument.setups[i], f), stated.site_unit));
    }
  }
  return out;
}

}  // namespace

SetupReasons setup_reasons(const SetupsStated& stated, const Setups& found, const LaidOut* laid) {
  SetupReasons out;
  const Length limit = stated.plan_tolerance;
  if (std::string reason = axes_reason(stated, found); !reason.empty())
    out.outside.push_back({.text = std::move(reason), .scope = ReasonScope::setup});
  for (std::string& reason : moved_reasons(stated, found))
    out.outside.push_back({.text = std::move(reason), .scope = ReasonScope::setup});
  for (std::size_t i = 0; i < found.setups.size(); ++i) {
    if (!found.setups[i]) continue;
    const StatedSetup& s = stated.instrument.setups[i];
    const SetupFound& f = *found.setups[i];
    if (std::string reason = outside_reason(stated, found, s, f); !reason.empty())
      out.outside.push_back({.text = std::move(reason), .scope = ReasonScope::setup, .setup = s.name});
    for (const SightCheck& c : f.checks) {
      if (c.verdict != Verdict::outside || is_wrong_in_plan(f.result)) continue;
      const CheckedMark mark = checked_mark(*laid, f, c);
      out.outside.push_back(
          {.text = fmt::format("mark {} ({}) is {} off as seen from setup {}, permitted {}", mark.number,
                               mark.name, length_words_beyond(c.miss, limit, stated.site_unit), s.name,
                               length_words(limit, stated.site_unit)),
           .scope = ReasonScope::mark,
           .numbers = {laid->numbers.of(mark.mark)},
           .point = std::string(mark.name),
           .setup = s.name});
    }
    if (f.result.verdict == Verdict::unsure) out.unsure.push_back(s.name);
  }
  return out;
}

}  // namespace deckmark
