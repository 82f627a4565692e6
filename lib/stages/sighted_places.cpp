#include "stages/sighted_places.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "marks/mark_finder.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "report/instrument_words.h"
#include "report/words.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

constexpr double kApart = 3;  // times their sd

std::string coordinates(const Point<Site>& p, LengthUnit unit) {
  const int decimals = unit == LengthUnit::millimetre ? 1 : 4;
  return fmt::format("N {} E {} {}", fixed(in_unit(p.at.northing, unit), decimals),
                     fixed(in_unit(p.at.easting, unit), decimals), unit_word(unit));
}
std::string height(Elevation e, LengthUnit unit) {
  return fmt::format("{} {}", fixed(in_unit(e.above_datum(), unit), unit == LengthUnit::millimetre ? 1 : 4),
                     unit_word(unit));
}

PlanCovariance<Site> beyond(const PlanCovariance<Site>& whole, const PlanCovariance<Site>& part) {
  return {std::max(0.0, part.first - whole.first), 0, std::max(0.0, part.second - whole.second)};
}

bool has_target(const StatedSetup& s, std::string_view name) {
  return std::ranges::any_of(s.targets, [&](const std::string& t) { return same_name(t, name); });
}

/// The readings of a name hold a direction.
bool has_circle(const StatedSetup& s, std::string_view name) {
  return std::ranges::any_of(
      s.readings, [&](const Reading& r) { return r.circle && same_name(s.targets[r.target], name); });
}

}  // namespace

SightedPlaces::SightedPlaces(const PointsSighted& in, Messages& told) : in_(in), told_(told) {}
SightedPlaces::~SightedPlaces() = default;

Where SightedPlaces::where(const SightedRow& row, std::string_view column) const {
  const auto& columns = row.table.table->spec().columns;
  const auto at = std::ranges::find(columns, column, &ColumnSpec::name);
  return row.table.table->where(row.begin, static_cast<std::size_t>(at - columns.begin()));
}

void SightedPlaces::refuse(const SightedRow& row, std::string_view column, const Fault& fault) {
  spoiled_ = true;
  told_.problem(where(row, column), column, fault);
}

std::string SightedPlaces::setups_words(const std::vector<std::size_t>& setups) const {
  std::vector<std::string_view> names;
  for (const std::size_t s : setups) names.push_back(in_.setups[s].name);
  return names_and(names);
}

std::nullopt_t SightedPlaces::hidden() {
  spoiled_ = by_setups_ = true;
  return std::nullopt;
}

/// Readings of such a setup are not all known, or have no place for want of that of the setup.
bool SightedPlaces::may_hide(const std::vector<std::size_t>& setups) const {
  return std::ranges::any_of(
      setups, [this](std::size_t s) { return in_.setups[s].is_spoiled || in_.sighted->is_spoiled(s); });
}
bool SightedPlaces::any_hidden() const { return std::ranges::any_of(in_.setups, &StatedSetup::is_spoiled); }

/// REQUIRES a row that names a setup. Problem: one that the job does not have.
std::optional<std::size_t> SightedPlaces::chosen_setup(const SightedRow& row) {
  std::vector<std::string> known;
  for (std::size_t s = 0; s < in_.setups.size(); ++s) {
    if (same_name(in_.setups[s].name, row.setup)) return s;
    known.push_back(in_.setups[s].name);
  }
  if (std::ranges::count(known, "") > 0) return hidden();  // a name that could not be read
  const auto near = meant_word(row.setup, known);
  refuse(
      row, "setup",
      {in_quotes(row.setup), fmt::format("a setup of the job ({}), or an empty cell", fmt::join(known, ", ")),
       near.value_or("")});
  return std::nullopt;
}

/// The row's name, before it the deck number of the mark that it means where that counts: what was sighted by
/// the name or the floor number is the floor mark.
std::vector<std::string> SightedPlaces::names_of(const SightedRow& row) {
  std::vector<std::string> out = {std::string(row.name)};
  if (row.level != AsbuiltLevel::deck || !row.may_be_mark || !in_.marks || !in_.numbers) return out;
  if (!in_.numbers->deck_offset) return out;
  if (!finder_) finder_ = std::make_unique<MarkFinder>(finder_of(*in_.marks, *in_.numbers));
  const MarkMeaning meaning = finder_->find(row.name);
  if (!meaning.is_double() && meaning.mark())
    out.insert(out.begin(), std::to_string(in_.numbers->on_deck(*meaning.mark())));
  return out;
}

/// The name by which the setups, or the one, know what the row means; told where they do not.
std::optional<std::string> SightedPlaces::sighted_name(const SightedRow& row,
                                                       std::optional<std::size_t> setup) {
  const Sighted& sighted = *in_.sighted;
  const auto is_seen = [&](std::string_view name) {
    if (!sighted.has(name)) return false;
    const auto seen = sighted.seen_from(name);
    return !setup || std::ranges::count(seen, *setup) > 0;
  };
  const std::vector<std::string> names = names_of(row);
  for (const std::string& name : names)
    if (is_seen(name)) return name;
  if (setup && may_hide({*setup})) return hidden();
  for (const std::string& name : names)
    if (sighted.has(name)) {
      tell_not_from(row, sighted.seen_from(name));
      return std::nullopt;
    }
  if (any_hidden()) return hidden();
  tell_never(row);
  return std::nullopt;
}

void SightedPlaces::tell_never(const SightedRow& row) {
  const std::vector<std::string> known = in_.sighted->names();
  const auto meant = meant_word(row.name, known);
  const auto near = meant ? std::nullopt : nearest_word(row.name, known);
  refuse(row, row.column,
         {in_quotes(row.name) + ", which no setup sighted",
          fmt::format("the name of something that a setup sighted{}, or coordinates in this row",
                      near ? fmt::format(" ({} is near)", *near) : ""),
          meant.value_or("")});
}

void SightedPlaces::tell_not_from(const SightedRow& row, const std::vector<std::size_t>& seen) {
  refuse(row, "setup",
         {fmt::format("{}, which did not sight {}", in_quotes(row.setup), in_quotes(row.name)),
          fmt::format("{}, or an empty cell", setups_words(seen)),
          seen.size() == 1 ? in_.setups[seen.front()].name : ""});
}

void SightedPlaces::tell_no_place(const SightedRow& row, const std::string& name,
                                  const std::vector<std::size_t>& setups) {
  const bool by_direction =
      std::ranges::any_of(setups, [&](std::size_t s) { return has_circle(in_.setups[s], name); });
  refuse(row, row.column,
         {fmt::format("{}, sighted from {} by {}, so without a place", in_quotes(row.name),
                      setups_words(setups), by_direction ? "its direction alone" : "its distance alone"),
          by_direction
              ? fmt::format("a distance to it, or a sight from {} setup; or coordinates in this row",
                            setups.size() > 1 ? "one more" : "a second")
              : std::string("a circle reading to it from a setup that has an orientation; or coordinates "
                            "in this row"),
          ""});
}

std::optional<FoundPlace> SightedPlaces::place_of(const std::string& name,
                                                  std::optional<std::size_t> setup) const {
  const Sighted& sighted = *in_.sighted;
  const std::vector<std::size_t> seen = sighted.seen_from(name);
  const auto whole = sighted.find(name);
  if (!setup || (seen.size() == 1 && seen.front() == *setup)) {
    if (!whole) return std::nullopt;
    return FoundPlace{name, whole->place, whole->point,
                      whole->point ? PlanCovariance<Site>{} : whole->place.covariance, whole->setups};
  }
  const auto one = sighted.find(name, *setup);
  if (!one) return std::nullopt;
  const bool shares = whole && whole->point;
  return FoundPlace{name,
                    one->place,
                    shares ? whole->point : std::nullopt,
                    shares ? beyond(whole->place.covariance, one->place.covariance) : one->place.covariance,
                    {*setup}};
}

std::optional<FoundPlace> SightedPlaces::find(const SightedRow& row) {
  if (!in_.sighted) return hidden();
  std::optional<std::size_t> setup;
  if (!row.setup.empty()) {
    setup = chosen_setup(row);
    if (!setup) return std::nullopt;
  }
  const auto name = sighted_name(row, setup);
  if (!name) return std::nullopt;
  auto found = place_of(*name, setup);
  if (found) return found;
  const std::vector<std::size_t> asked = setup ? std::vector{*setup} : in_.sighted->seen_from(*name);
  if (may_hide(asked)) return hidden();
  tell_no_place(row, *name, asked);
  return std::nullopt;
}

void SightedPlaces::compare(const SightedRow& row, const TypedPlace& typed) {
  if (!in_.sighted || row.level == AsbuiltLevel::bracket) return;
  const bool by_deck_number = row.may_be_mark && row.level == AsbuiltLevel::deck;
  const std::string name = by_deck_number ? names_of(row).front() : std::string(row.name);
  if (!in_.sighted->has(name)) return;
  std::optional<std::size_t> setup;
  for (std::size_t s = 0; s < in_.setups.size(); ++s)
    if (!row.setup.empty() && same_name(in_.setups[s].name, row.setup) && has_target(in_.setups[s], name))
      setup = s;
  const auto seen = place_of(name, setup);
  if (!seen) return;
  const auto doubt = [&](std::string_view column, const std::string& is, const std::string& there,
                         Length apart, double sd) {
    told_.doubt(
        "typed and sighted apart", where(row, column), column,
        fmt::format("{} is typed at {}, but {} sighted it at {}: {} apart, more than three times "
                    "their sd, {}; the typed one is used: empty the cells to use the sights",
                    in_quotes(row.name), is, setups_words(seen->setups), there,
                    length_words(apart, in_.site_unit), length_words(Length::metres(sd), in_.site_unit)));
  };
  const Vec<Site> off = typed.at - seen->place.at;
  PlanCovariance<Site> both = seen->place.covariance;
  if (typed.sd) {
    const double own = typed.sd->metres() * typed.sd->metres();
    both = both + PlanCovariance<Site>{own, 0, own};
  } else {
    both = both + both;
  }
  const double sd = offset_sd(off, both).metres();
  if (norm(off) > kHair && norm(off).metres() > kApart * sd)
    doubt(row.column, coordinates(typed.at, in_.site_unit), coordinates(seen->place.at, in_.site_unit),
          norm(off), sd);
  if (!typed.elevation || !seen->place.elevation || !seen->place.elevation_sd) return;
  const Length up = *typed.elevation - *seen->place.elevation;
  const double up_sd =
      std::hypot(seen->place.elevation_sd->metres(), typed.sd.value_or(*seen->place.elevation_sd).metres());
  if (abs(up) > kHair && abs(up).metres() > kApart * up_sd)
    doubt("elevation", "elevation " + height(*typed.elevation, in_.site_unit),
          "elevation " + height(*seen->place.elevation, in_.site_unit), abs(up), up_sd);
}

}  // namespace deckmark
