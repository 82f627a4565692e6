#include "work/instrument_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "report/instrument_text.h"
#include "report/words.h"
#include "work/along_runs.h"

namespace deckmark {

namespace {

std::string_view mark_name(const Job& job, const StatedSetup& s) {
  return s.control ? std::string_view(job.control[*s.control].name) : std::string_view();
}

SightNames names_of(const Job& job, const StatedSetup& s, const SetupFound& f) {
  return {
      s.name,
      [&s, &f](std::size_t sight) { return std::string_view(s.targets[f.reduction.sights[sight].target]); },
      [&job](const Point<Site>& at) {
        const SideShot there{0, at, {}, std::nullopt, std::nullopt};
        std::vector<ControlMark> control;
        for (const ControlPoint& c : job.control) control.push_back({c.at, c.elevation, c.sd});
        const auto found = control_at(there, control);
        return found ? std::string_view(job.control[*found].name) : std::string_view();
      },
      [&job](std::size_t setup) { return std::string_view(job.instrument.setups[setup].name); }};
}

std::int64_t number_of(const Job& job, const Found& found, std::uint32_t mark, bool deck) {
  return found.issue.numbers[mark] + (deck ? job.numbers.deck_offset : 0);
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

/// What held control hides, of the setup where it hides the most; nothing where all control states an sd.
std::string held_control_part(const Job& job, const Found& found) {
  const auto& marks = found.placed.marks;
  std::optional<HeldControlWords> most;
  for (std::size_t i = 0; i < found.instrument.setups.size(); ++i) {
    if (!found.instrument.setups[i]) continue;
    const SetupResult& now = found.instrument.setups[i]->result;
    if (!now.held || !now.orientation) continue;
    SetupResult then;
    then.orientation = now.orientation;
    then.covariance = now.covariance;
    for (std::size_t a = 0; a < 3; ++a)
      for (std::size_t b = 0; b < 3; ++b) then.covariance[a][b] += now.held->covariance[a][b];
    HeldControlWords w;
    w.setup = job.instrument.setups[i].name;
    w.orientation = *now.sd_orientation() * 1.96;
    w.orientation_then = *then.sd_orientation() * 1.96;
    if (const auto farthest = farthest_from(now.at, marks)) {
      w.mark = std::to_string(number_of(job, found, *farthest, false));
      w.away = distance(marks[*farthest], now.at);
      const Azimuth way = azimuth_of(marks[*farthest] - now.at);
      const auto within = [&](const SetupResult& r) {
        return radius95(point_covariance(r, way, w.away, Length::metres(0), Length::metres(0)));
      };
      w.place = within(now), w.place_then = within(then);
    }
    if (!most || w.orientation_then > most->orientation_then) most = w;
  }
  return most ? "\n" + held_control_lines(*most, job.site_unit) : "";
}

StakeSheet sheet_of(const Job& job, const Found& found, std::size_t setup, const SetupResult& result,
                    const StakeList& list) {
  const StatedSetup& s = job.instrument.setups[setup];
  StakeSheet sheet;
  sheet.title = job.title;
  sheet.revision = job.revision;
  sheet.setup = s.name;
  sheet.mark = mark_name(job, s);
  if (found.instrument.setups[setup]) sheet.verdict = found.instrument.setups[setup]->verdict;
  sheet.result = &result;
  sheet.options = job.instrument.stake;
  sheet.options.tolerance = job.asbuilt.options.plan;
  sheet.steep = job.instrument.options.steep;
  sheet.by_run = job.instrument.order == StakeOrder::run;
  sheet.walk = list.walk;
  sheet.other_walk = list.other_walk;
  for (const StakeLine& l : list.lines) {
    StakeEntry e;
    e.level = l.level;
    e.row = &l.row;
    if (l.level == StakeLevel::control) {
      e.point = job.control[l.index].name;
    } else {
      e.number = number_of(job, found, l.index, l.level == StakeLevel::deck);
      e.point = job.marks.names[l.index];
      e.run = job.marks.runs[l.index];
      e.in_place_of_drop = in_place_of_drop(job, found, l.index);
    }
    sheet.entries.push_back(e);
  }
  return sheet;
}

}  // namespace

std::string setups_part(const Job& job, const Found& found) {
  std::string text;
  for (std::size_t i = 0; i < found.instrument.setups.size(); ++i) {
    if (!found.instrument.setups[i]) continue;
    const StatedSetup& s = job.instrument.setups[i];
    const SetupFound& f = *found.instrument.setups[i];
    SetupSheet sheet;
    sheet.place = s.place;
    sheet.mark = mark_name(job, s);
    sheet.result = &f.result;
    sheet.reduction = &f.reduction;
    for (const SightCheck& c : f.checks) {
      const TargetMeaning& t = f.targets[f.reduction.sights[c.sight].target];
      const Sight& sight = f.reduction.sights[c.sight];
      sheet.checks.push_back({number_of(job, found, t.index, t.role == TargetRole::deck),
                              job.marks.names[t.index], c.miss, c.verdict,
                              !sight.horizontal ? CheckedPart::across
                              : !sight.circle   ? CheckedPart::along
                                                : CheckedPart::plan});
    }
    sheet.shots = f.shots;
    sheet.verdict = f.verdict;
    sheet.tolerance = job.asbuilt.options.plan;
    if (!text.empty()) text += "\n";
    text += setup_text(sheet, names_of(job, s, f), job.site_unit, job.instrument.angles);
  }
  return text + held_control_part(job, found);
}

std::string stake_part(const Job& job, const Found& found, std::size_t setup) {
  const SetupResult& result = found.instrument.setups[setup]->result;
  const StakeList list = stake_list(job, found, setup);
  return stake_text(sheet_of(job, found, setup, result, list), job.site_unit, job.instrument.angles);
}

std::string stake_sheets_of(const Job& job, const Found& found, std::size_t setup, const StakeList& list,
                            std::string_view verdict) {
  StakeSheet sheet = sheet_of(job, found, setup, found.instrument.setups[setup]->result, list);
  sheet.standing = verdict;
  return stake_sheets(sheet, job.site_unit, job.instrument.angles);
}

std::string plan_part(const Job& job, const Found& found, std::size_t setup) {
  const PlanFound& plan = *found.instrument.plans[setup];
  const StatedSetup& s = job.instrument.setups[setup];
  std::vector<std::string_view> targets;
  for (const std::size_t c : s.plan) targets.push_back(job.control[c].name);
  const StakeList list = planned_list(job, found, setup);
  return plan_text(sheet_of(job, found, setup, plan.setup, list), plan.planned, targets, s.rounds,
                   job.site_unit);
}

SetupReasons setup_reasons(const Job& job, const Found& found) {
  SetupReasons out;
  for (std::size_t i = 0; i < found.instrument.setups.size(); ++i) {
    if (!found.instrument.setups[i]) continue;
    const StatedSetup& s = job.instrument.setups[i];
    const SetupFound& f = *found.instrument.setups[i];
    const SightNames names = names_of(job, s, f);
    if (!f.result.wrong.empty()) {
      out.outside.push_back(
          fmt::format("setup {}: {}", s.name, wrong_text(f.result.wrong.front(), names, job.site_unit)));
    } else if (f.result.verdict == Verdict::outside) {
      const auto worst = std::ranges::max_element(
          f.result.rows, {}, [](const SightRow& r) { return std::fabs(r.standardised.value_or(0)); });
      out.outside.push_back(fmt::format("setup {}: a reading to {} is off by {} times its sd", s.name,
                                        names.sight(worst->sight),
                                        fixed(std::fabs(worst->standardised.value_or(0)), 1)));
    }
    for (const SightCheck& c : f.checks) {
      if (c.verdict != Verdict::outside) continue;
      const TargetMeaning& t = f.targets[f.reduction.sights[c.sight].target];
      const Length limit = job.asbuilt.options.plan;
      out.outside.push_back(fmt::format(
          "mark {} ({}) is {} off as seen from setup {}, permitted {}",
          number_of(job, found, t.index, t.role == TargetRole::deck), job.marks.names[t.index],
          length_words_beyond(c.miss, limit, job.site_unit), s.name, length_words(limit, job.site_unit)));
    }
    if (f.result.verdict == Verdict::unsure) out.unsure.push_back(s.name);
  }
  return out;
}

}  // namespace deckmark
