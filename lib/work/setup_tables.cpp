#include <algorithm>
#include <cmath>
#include <numbers>

#include "work/in_unit.h"
#include "work/output_tables.h"

namespace deckmark {

namespace {

constexpr int kQualityDecimals = 4;  // of standardised residuals and redundancies
constexpr int kCircleDecimals = 7;   // of degrees: under a thousandth of a second

/// Degrees in [0, 360): what would print as 360 is 0.
template <class Sink>
void put_circle(Sink& sink, double degrees) {
  const double limit = 360 - 0.5 * std::pow(10.0, -kCircleDecimals);
  sink.fixed(degrees >= limit ? 0 : degrees, kCircleDecimals);
}
template <class Sink>
void put_angle(Sink& sink, const std::optional<Angle>& a) {
  put_number(sink, a ? std::optional(a->degrees()) : std::nullopt, kCircleDecimals);
}

std::string_view quantity_word(Quantity q) {
  switch (q) {
    case Quantity::circle:
      return "circle";
    case Quantity::distance:
      return "distance";
    case Quantity::height:
      return "height";
  }
  return "";
}
std::string_view stake_level_word(StakeLevel level) {
  switch (level) {
    case StakeLevel::control:
      return "control";
    case StakeLevel::floor:
      return "floor";
    case StakeLevel::deck:
      return "deck";
  }
  return "";
}

std::vector<std::size_t> computed(const Found& found) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < found.instrument.setups.size(); ++i)
    if (found.instrument.setups[i]) out.push_back(i);
  return out;
}

/// Number, point and level of a line.
template <class Sink>
void put_line(Sink& sink, const Job& job, const Found& found, const StakeLine& line) {
  if (line.level == StakeLevel::control) {
    sink.empty();
    sink.text(job.control[line.index].name);
  } else {
    sink.integer(found.issue.numbers[line.index] +
                 (line.level == StakeLevel::deck ? job.numbers.deck_offset : 0));
    sink.text(job.marks.names[line.index]);
  }
  sink.text(stake_level_word(line.level));
}

}  // namespace

bool has_setups(const Found& found) { return !computed(found).empty(); }

std::string flag_words(const StakeFlags& flags) {
  std::string text;
  for (const auto& [is, word] : {std::pair{flags.check, "check"},
                                 {flags.steep, "steep"},
                                 {flags.near, "near"},
                                 {flags.weak, "weak"},
                                 {flags.far_deck, "far-deck"}})
    if (is) text += (text.empty() ? "" : " ") + std::string(word);
  return text;
}

std::unique_ptr<WrittenTable> setup_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  const auto setups = computed(found);
  const std::size_t n = setups.size();
  return written_table(TableStyle{},
                       {"setup", u.head("northing"), u.head("easting"), u.head("elevation"), "orientation",
                        u.head("sd_northing"), u.head("sd_easting"), u.head("sd_elevation"), "sd_orientation",
                        "redundancy", "variance_factor", "verdict"},
                       n, [&job, &found, u, setups](auto& sink, std::size_t i) {
                         const SetupFound& f = *found.instrument.setups[setups[i]];
                         const SetupResult& r = f.result;
                         sink.text(job.instrument.setups[setups[i]].name);
                         u.put(sink, r.at.at.northing);
                         u.put(sink, r.at.at.easting);
                         u.put(sink, r.elevation);
                         if (r.orientation)
                           put_circle(sink, r.orientation->degrees());
                         else
                           sink.empty();
                         u.put(sink, r.sd_northing());
                         u.put(sink, r.sd_easting());
                         u.put(sink, r.elevation_sd);
                         put_angle(sink, r.sd_orientation());
                         sink.integer(static_cast<std::int64_t>(r.degrees_of_freedom));
                         put_number(sink, r.degrees_of_freedom > 0 ? r.variance_factor : std::nullopt,
                                    kQualityDecimals);
                         sink.text(verdict_word(f.verdict));
                       });
}

std::unique_ptr<WrittenTable> sights_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  std::vector<std::pair<std::size_t, std::size_t>> rows;  // setup and row
  for (const std::size_t i : computed(found))
    for (std::size_t k = 0; k < found.instrument.setups[i]->rows.size(); ++k) rows.emplace_back(i, k);
  const std::size_t n = rows.size();
  return written_table(TableStyle{},
                       {"setup", "target", "quantity", u.head("observed"), u.head("residual"), "standardised",
                        "redundancy", "verdict"},
                       n, [&job, &found, u, rows = std::move(rows)](auto& sink, std::size_t i) {
                         const StatedSetup& s = job.instrument.setups[rows[i].first];
                         const SetupFound& f = *found.instrument.setups[rows[i].first];
                         const SightRow& r = f.rows[rows[i].second];
                         sink.text(s.name);
                         sink.text(s.targets[f.reduction.sights[r.sight].target]);
                         sink.text(quantity_word(r.quantity));
                         if (r.quantity == Quantity::circle) {
                           put_circle(sink, r.circle.degrees());
                           sink.fixed(r.circle_residual.degrees(), kCircleDecimals);
                         } else {
                           u.put(sink, r.length);
                           u.put(sink, r.length_residual);
                         }
                         put_number(sink, r.standardised, kQualityDecimals);
                         sink.fixed(r.redundancy, kQualityDecimals);
                         sink.text(verdict_word(r.verdict));
                       });
}

std::unique_ptr<WrittenTable> shots_table(const Job& job, const Found& found,
                                          std::optional<std::size_t> setup) {
  const InUnit u(*job.list.unit);
  std::vector<std::pair<std::size_t, std::size_t>> rows;  // setup and shot
  for (const std::size_t i : setup ? std::vector{*setup} : computed(found))
    for (std::size_t k = 0; k < found.instrument.setups[i]->shots.size(); ++k) rows.emplace_back(i, k);
  const std::size_t n = rows.size();
  return written_table(TableStyle{},
                       {"setup", "target", u.head("northing"), u.head("easting"), u.head("elevation"),
                        u.head("sd_northing"), u.head("sd_easting"), u.head("sd_elevation")},
                       n, [&job, &found, u, rows = std::move(rows)](auto& sink, std::size_t i) {
                         const StatedSetup& s = job.instrument.setups[rows[i].first];
                         const SetupFound& f = *found.instrument.setups[rows[i].first];
                         const SideShot& shot = f.shots[rows[i].second];
                         sink.text(s.name);
                         sink.text(s.targets[f.reduction.sights[shot.sight].target]);
                         u.put(sink, shot.at.at.northing);
                         u.put(sink, shot.at.at.easting);
                         u.put(sink, shot.elevation);
                         u.put(sink, Length::metres(std::sqrt(shot.covariance.first)));
                         u.put(sink, Length::metres(std::sqrt(shot.covariance.second)));
                         u.put(sink, shot.elevation_sd);
                       });
}

std::unique_ptr<WrittenTable> stake_table(const Job& job, const Found& found, StakeList list) {
  const InUnit u(*job.list.unit);
  const std::size_t n = list.lines.size();
  return written_table(
      TableStyle{},
      {"number", "point", "level", "circle", "zenith", u.head("slope"), u.head("horizontal"),
       u.head("rise_from_axis"), u.head("sd_along"), u.head("sd_across"), u.head("sd_up"), "flag"},
      n, [&job, &found, u, list = std::move(list)](auto& sink, std::size_t i) {
        const StakeLine& line = list.lines[i];
        const StakeRow& r = line.row;
        put_line(sink, job, found, line);
        put_circle(sink, r.circle.degrees());
        put_number(sink, r.zenith ? std::optional(r.zenith->degrees()) : std::nullopt, kCircleDecimals);
        u.put(sink, r.slope);
        u.put(sink, r.horizontal);
        u.put(sink, r.rise_from_axis);
        u.put(sink, r.sd_along);
        u.put(sink, r.sd_across);
        u.put(sink, r.sd_up);
        sink.text(flag_words(r.flags));
      });
}

std::unique_ptr<WrittenTable> plan_table(const Job& job, const Found& found, StakeList list) {
  const InUnit u(*job.list.unit);
  const std::size_t n = list.lines.size();
  return written_table(TableStyle{},
                       {"number", "point", "level", u.head("horizontal"), u.head("sd_along"),
                        u.head("sd_across"), u.head("radius_95"), u.head("permitted"), "verdict", "flag"},
                       n, [&job, &found, u, list = std::move(list)](auto& sink, std::size_t i) {
                         const StakeRow& r = list.lines[i].row;
                         put_line(sink, job, found, list.lines[i]);
                         u.put(sink, r.horizontal);
                         u.put(sink, r.sd_along);
                         u.put(sink, r.sd_across);
                         u.put(sink, radius95(r.covariance));
                         u.put(sink, job.asbuilt.options.plan);
                         sink.text(verdict_word(r.flags.weak ? Verdict::outside : Verdict::within));
                         sink.text(flag_words(r.flags));
                       });
}

}  // namespace deckmark
