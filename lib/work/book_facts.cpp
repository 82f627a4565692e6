#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "book/ledger_axes.h"
#include "stages/strings.h"
#include "table/meant_word.h"
#include "work/book.h"
#include "work/computation.h"

namespace deckmark {

namespace {

std::vector<BookTarget> targets_of(const Computation& c) {
  std::vector<BookTarget> out;
  for (const ControlPoint& p : c.job.control) out.push_back({p.name, control_mark(p)});
  const TiesPlaced* const ties = c.ties.get();
  for (std::size_t i = 0; ties && i < ties->ties.size(); ++i) {
    const NamedTie& t = ties->ties[i];
    if (std::any_of(out.begin(), out.end(), [&](const BookTarget& o) { return same_name(o.name, t.name); }))
      continue;
    double variance = std::max(t.tie.shot_sd_northing, t.tie.shot_sd_easting).metres();
    variance *= variance;
    for (const std::size_t axis : {2 * i, 2 * i + 1})
      if (axis < ties->covariance.rows) variance = std::max(variance, ties->covariance(axis, axis));
    const auto sd = variance > 0 ? std::optional(Length::metres(std::sqrt(variance))) : std::nullopt;
    out.push_back({t.name, {t.tie.at, std::nullopt, sd}});
  }
  return out;
}

/// Setups that are placed and turned; the targets of the first are the control's rows.
std::vector<BookSetup> setups_of(const Computation& c) {
  std::vector<BookSetup> out;
  const Setups* const found = c.setups.get();
  const InstrumentOptions& instrument = c.job.instrument.options;
  if (!found || !instrument.angle_sd || !instrument.distance_sd) return out;
  for (const auto& setup : found->setups) {
    if (!setup || !has_stakes(*setup)) continue;
    BookSetup s{c.job.instrument.setups[setup->setup].name, setup->result};
    for (const Sight& sight : setup->reduction.sights) {
      const TargetMeaning& target = setup->targets[sight.target];
      if (target.role == TargetRole::control && std::ranges::find(s.sighted, target.index) == s.sighted.end())
        s.sighted.push_back(target.index);
    }
    out.push_back(std::move(s));
  }
  return out;
}

/// Of two linear forms by their values at three places a metre apart.
template <class Of>
TapeStrings strings_by(const Of& of, const Point<Site>& near, Length sd) {
  const auto step = [&near](double north, double east) {
    return near + Vec<Site>{{.northing = Length::metres(north), .easting = Length::metres(east)}};
  };
  const StringDistances here = of(near), north = of(step(1, 0)), east = of(step(0, 1));
  TapeStrings out{near,
                  {{.northing = north.from_x_string - here.from_x_string,
                    .easting = east.from_x_string - here.from_x_string}},
                  {{.northing = north.from_y_string - here.from_y_string,
                    .easting = east.from_y_string - here.from_y_string}},
                  sd};
  // To where both are zero.
  TypedReading zero;
  zero.kind = TypedReading::Kind::tape;
  zero.from_x_string = -here.from_x_string;
  zero.from_y_string = -here.from_y_string;
  out.at = place_of(zero, out).at;
  return out;
}

/// The strings of the offset sheet; without them the baselines, as the live rows of the ledger have them.
std::optional<TapeStrings> tape_of(const Computation& c) {
  const Ledger& ledger = c.job.ledger.ledger;
  if (ledger.numbers() == 0) return std::nullopt;
  const Point<Site> near = ledger.row(ledger.latest(0)).site.point();
  const Length sd = c.job.checks.tie_sd;
  const OffsetsFound* const offsets = c.offsets.get();
  if (offsets && offsets->strings)
    return strings_by([&](const Point<Site>& p) { return offsets->strings->lines.of(p); }, near, sd);
  const Transform<Drawing, Site> drawing = drawing_from_ledger(ledger);
  const double scale = drawing.parts().scale;
  return strings_by(
      [&](const Point<Site>& p) {
        const Point<Drawing> at = drawing(p);
        return StringDistances{at.at.x * scale, at.at.y * scale};
      },
      near, sd);
}

bool take_crew(const Computation& c, std::string_view name, BookFacts& out, Messages& messages) {
  if (name.empty()) return true;
  std::vector<std::string> names;
  for (const StatedCrew& crew : c.job.crews) {
    names.push_back(crew.name);
    if (!same_name(crew.name, name)) continue;
    out.crew = crew.name;
    const auto does = [&crew](CrewWork work) { return std::ranges::count(crew.does, work) > 0; };
    out.does_floor = does(CrewWork::floor);
    out.does_deck = does(CrewWork::deck);
    return true;
  }
  messages.problem(Where::whole(c.job.file), "crew",
                   Fault{in_quotes(name),
                         names.empty() ? std::string("no crew: the job has none")
                                       : fmt::format("a crew of the job ({})", fmt::join(names, ", ")),
                         meant_word(std::string(name), names).value_or("")});
  return false;
}

bool has_setup(const Computation& c, std::string_view name, const BookFacts& facts, Messages& messages) {
  if (name.empty()) return true;
  std::vector<std::string> names;
  for (const BookSetup& s : facts.setups) {
    if (same_name(s.name, name)) return true;
    names.push_back(s.name);
  }
  messages.problem(Where::whole(c.job.file), "setup",
                   Fault{in_quotes(name),
                         names.empty() ? std::string("a setup that its readings place and turn: the job has "
                                                     "none")
                                       : fmt::format("a setup that its readings place and turn ({})",
                                                     fmt::join(names, ", ")),
                         meant_word(std::string(name), names).value_or("")});
  return false;
}

}  // namespace

std::optional<BookFacts> book_facts(Computation& c, std::string_view setup, std::string_view crew, bool tape,
                                    Messages& messages) {
  const Job& job = c.job;
  BookFacts out;
  out.ledger = &job.ledger.ledger;
  out.issue = job.ledger.ledger.last_issue();
  out.options = job.book.options;
  out.floor_tolerance = c.views.stake.plan_tolerance;
  out.deck_tolerance = job.plumb.tolerance;
  out.instrument = job.instrument.options;
  out.target_height = job.instrument.stake.target_height;
  out.deck_target_height = job.instrument.stake.deck_target_height;
  out.typing.angles.bare = job.instrument.angles;
  out.typing.lengths.bare = job.site_unit;
  out.typing.tape = tape;
  out.targets = targets_of(c);
  out.setups = setups_of(c);
  if (tape) out.tape = tape_of(c);
  const bool is_crew = take_crew(c, crew, out, messages), is_set_up = has_setup(c, setup, out, messages);
  if (!is_crew || !is_set_up) return std::nullopt;
  return out;
}

}  // namespace deckmark
