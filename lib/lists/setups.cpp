#include "lists/setups.h"

#include <cmath>
#include <utility>

#include "lists/in_unit.h"

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

std::vector<std::size_t> computed(const Setups& found) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < found.setups.size(); ++i)
    if (found.setups[i]) out.push_back(i);
  return out;
}

/// Number, point and level of a line.
struct LineCells {
  const std::vector<ControlPoint>& control;
  const MarkTable& marks;
  const Numbers& numbers;

  template <class Sink>
  void put(Sink& sink, const StakeLine& line) const {
    if (line.level == StakeLevel::control) {
      sink.empty();
      sink.text(control[line.index].name);
    } else {
      sink.integer(numbers.at(line.index, line.level == StakeLevel::deck));
      sink.text(marks.names[line.index]);
    }
    sink.text(stake_level_word(line.level));
  }
};

/// Of a point that was sighted.
constexpr OutColumn kSiteNorthing{"northing", OutKind::length, "its place on site"};
constexpr OutColumn kSiteEasting{"easting", OutKind::length, "its place on site"};
constexpr OutColumn kMarkElevation{"elevation", OutKind::length, "of the mark under the target"};
constexpr OutColumn kSdNorthing{"sd_northing", OutKind::length, "standard deviation of the northing"};
constexpr OutColumn kSdEasting{"sd_easting", OutKind::length, "standard deviation of the easting"};
constexpr OutColumn kSdElevation{"sd_elevation", OutKind::length, "standard deviation of the elevation"};

constexpr OutColumn kSetupColumns[] = {
    {"setup", OutKind::text, "setup"},
    {"northing", OutKind::length, "where the instrument stood"},
    {"easting", OutKind::length, "where the instrument stood"},
    {"elevation", OutKind::length, "of the ground mark under the instrument"},
    {"orientation", OutKind::decimal, "azimuth where the circle reads 0, in degrees"},
    kSdNorthing,
    kSdEasting,
    kSdElevation,
    {"sd_orientation", OutKind::decimal, "standard deviation of the orientation, in degrees"},
    {"redundancy", OutKind::decimal, "spare readings: the sum over its own sights"},
    {"variance_factor", OutKind::decimal,
     "how far all readings of the net disagree, squared; 1 is as stated"},
    {"verdict", OutKind::text, "within, outside or unsure"},
};
constexpr OutColumn kSightColumns[] = {
    {"setup", OutKind::text, "setup"},
    {"target", OutKind::text, "what was sighted: control, what other setups see too, a list mark"},
    {"quantity", OutKind::text, "circle, distance or height"},
    {"observed", OutKind::length, "what was read, reduced; a circle in degrees"},
    {"residual", OutKind::length, "observed minus computed; of a circle in degrees"},
    {"standardised", OutKind::decimal, "the residual over its own sd"},
    {"redundancy", OutKind::decimal, "how far the others check it: 0 not at all, 1 wholly"},
    {"verdict", OutKind::text, "within, outside or unsure"},
};
constexpr OutColumn kNetColumns[] = {
    {"point", OutKind::text, "what was sighted"},
    kSiteNorthing,
    kSiteEasting,
    kMarkElevation,
    kSdNorthing,
    kSdEasting,
    kSdElevation,
    {"sd_max", OutKind::length, "of its place, the way it is known worst"},
    {"sights", OutKind::number, "that hold it, from all setups"},
    {"redundancy", OutKind::decimal, "how far its readings are checked, their sum"},
};
constexpr OutColumn kMarkColumns[] = {
    {"number", OutKind::number, "floor number; the deck number of a mark on the deck"},
    {"point", OutKind::text, "name in the drawing"},
    {"level", OutKind::text, "floor or deck"},
    {"dx", OutKind::length, "sighted minus design along +X"},
    {"dy", OutKind::length, "sighted minus design along +Y"},
    {"dz", OutKind::length, "sighted minus design in elevation, + too high"},
    {"sd", OutKind::length, "standard deviation of its place as sighted"},
    {"verdict", OutKind::text, "within or outside, in plan"},
    {"run_dx", OutKind::length, "sighted minus design towards the last point of its run"},
    {"run_dy", OutKind::length, "the same to the left of that way"},
};
constexpr OutColumn kShotColumns[] = {
    {"setup", OutKind::text, "setup"},
    {"target", OutKind::text, "name of the side shot"},
    kSiteNorthing,
    kSiteEasting,
    kMarkElevation,
    kSdNorthing,
    kSdEasting,
    kSdElevation,
};
constexpr OutColumn kStakeColumns[] = {
    {"number", OutKind::number, "floor or deck number; empty for control"},
    {"point", OutKind::text, "name in the drawing, or of the control point"},
    {"level", OutKind::text, "control, floor or deck"},
    {"circle", OutKind::decimal, "what the circle has to read, in degrees"},
    {"zenith", OutKind::decimal, "zenith angle to the target, in degrees"},
    {"slope", OutKind::length, "slope distance to the target"},
    {"horizontal", OutKind::length, "horizontal distance"},
    {"rise_from_axis", OutKind::length, "target above the instrument's axis"},
    {"sd_along", OutKind::length, "standard deviation along the line of sight"},
    {"sd_across", OutKind::length, "standard deviation across it"},
    {"sd_up", OutKind::length, "standard deviation of the height"},
    {"flag", OutKind::text, "check, steep, near, weak, far-deck"},
};
constexpr OutColumn kPlanColumns[] = {
    {"number", OutKind::number, "floor or deck number"},
    {"point", OutKind::text, "name in the drawing"},
    {"level", OutKind::text, "floor or deck"},
    {"horizontal", OutKind::length, "horizontal distance from the spot"},
    {"sd_along", OutKind::length, "standard deviation along the line of sight"},
    {"sd_across", OutKind::length, "standard deviation across it"},
    {"radius_95", OutKind::length, "radius that holds the mark 95 times in 100"},
    {"permitted", OutKind::length, "permitted radius"},
    {"verdict", OutKind::text, "within or outside"},
    {"flag", OutKind::text, "steep, near, weak, far-deck"},
};

}  // namespace

constinit const OutputSpec kSetupOutput{
    "setup.csv", "with setups", "where every setup stands, and how good that is", kSetupColumns, true};
constinit const OutputSpec kSightsOutput{"sights.csv", "with setups", "every sight with its residual",
                                         kSightColumns, true};
constinit const OutputSpec kShotsOutput{"shots-NAME.csv", "with setups that have observations",
                                        "side shots of one setup", kShotColumns, true};
constinit const OutputSpec kNetOutput{"net.csv", "with setups that have observations",
                                      "every point that was sighted, from all setups together", kNetColumns,
                                      true};
constinit const OutputSpec kMarksOutput{
    "marks-NAME.csv", "with setups that sighted marks of the list",
    "those marks against their design; it serves as deck marks and as as-built shots", kMarkColumns};
constinit const OutputSpec kStakeSheetOutput{
    "stake-NAME.txt", "with setups that have an orientation",
    "the stake list of one setup to print; with crews also of each crew (S1-north)"};
constinit const OutputSpec kStakeOutput{
    "stake-NAME.csv", "with setups that have an orientation",
    "the stake list of one setup; with crews also of each crew (S1-north)", kStakeColumns};
constinit const OutputSpec kPlanOutput{"plan-NAME.csv", "with planned setups",
                                       "what a planned setup would make of every mark", kPlanColumns};

std::unique_ptr<WrittenTable> setup_table(const SetupsStated& stated, const Setups& found, LengthUnit unit) {
  const InUnit u(unit);
  std::vector<std::size_t> setups = computed(found);
  const std::size_t n = setups.size();
  return declared_table(
      kSetupColumns, unit, n,
      [&all = stated.instrument.setups, &found, u, setups = std::move(setups)](auto& sink, std::size_t i) {
        const SetupFound& f = *found.setups[setups[i]];
        const SetupResult& r = f.result;
        sink.text(all[setups[i]].name);
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
        const NetShare share = r.share.value_or(NetShare{});
        put_number(sink, std::max(share.plan + share.height, 0.0), kQualityDecimals);
        put_number(sink, share.variance_factor, kQualityDecimals);
        sink.text(verdict_word(f.verdict));
      });
}

std::unique_ptr<WrittenTable> sights_table(const SetupsStated& stated, const Setups& found, LengthUnit unit) {
  const InUnit u(unit);
  std::vector<std::pair<std::size_t, std::size_t>> rows;  // setup and row
  for (const std::size_t i : computed(found))
    for (std::size_t k = 0; k < found.setups[i]->rows.size(); ++k) rows.emplace_back(i, k);
  const std::size_t n = rows.size();
  return declared_table(
      kSightColumns, unit, n,
      [&all = stated.instrument.setups, &found, u, rows = std::move(rows)](auto& sink, std::size_t i) {
        const StatedSetup& s = all[rows[i].first];
        const SetupFound& f = *found.setups[rows[i].first];
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

std::unique_ptr<WrittenTable> net_table(const Sighted& sighted, LengthUnit unit) {
  std::vector<std::string> names = sighted.names();
  const std::size_t n = names.size();
  return declared_table(kNetColumns, unit, n,
                        [&sighted, u = InUnit(unit), names = std::move(names)](auto& sink, std::size_t i) {
                          sink.text(names[i]);
                          const auto seen = sighted.find(names[i]);
                          if (!seen) {
                            for (int k = 0; k < 7; ++k) sink.empty();
                            sink.integer(0);
                            sink.empty();
                            return;
                          }
                          const NetPlace& p = seen->place;
                          u.put(sink, p.at.at.northing);
                          u.put(sink, p.at.at.easting);
                          u.put(sink, p.elevation);
                          u.put(sink, Length::metres(std::sqrt(p.covariance.first)));
                          u.put(sink, Length::metres(std::sqrt(p.covariance.second)));
                          u.put(sink, p.elevation_sd);
                          u.put(sink, semi_major(p.covariance));
                          sink.integer(static_cast<std::int64_t>(p.sights));
                          sink.fixed(p.redundancy, kQualityDecimals);
                        });
}

std::unique_ptr<WrittenTable> marks_table(const LaidOut& laid, std::vector<SightedMark> marks,
                                          LengthUnit unit) {
  const std::size_t n = marks.size();
  return declared_table(kMarkColumns, unit, n,
                        [&table = *laid.marks, &numbers = laid.numbers, u = InUnit(unit),
                         marks = std::move(marks)](auto& sink, std::size_t i) {
                          const SightedMark& m = marks[i];
                          sink.integer(numbers.at(m.mark, m.on_deck));
                          sink.text(table.names[m.mark]);
                          sink.text(stake_level_word(m.on_deck ? StakeLevel::deck : StakeLevel::floor));
                          u.put(sink, m.off.by.x);
                          u.put(sink, m.off.by.y);
                          u.put(sink, m.up);
                          u.put(sink, m.sd);
                          sink.text(verdict_word(m.verdict));
                          u.put(sink, m.along_run);
                          u.put(sink, m.left_of_run);
                        });
}

std::unique_ptr<WrittenTable> shots_table(const SetupsStated& stated, const Setups& found, LengthUnit unit,
                                          std::optional<std::size_t> setup) {
  const InUnit u(unit);
  std::vector<std::pair<std::size_t, std::size_t>> rows;  // setup and shot
  for (const std::size_t i : setup ? std::vector{*setup} : computed(found))
    for (std::size_t k = 0; k < found.setups[i]->shots.size(); ++k) rows.emplace_back(i, k);
  const std::size_t n = rows.size();
  return declared_table(
      kShotColumns, unit, n,
      [&all = stated.instrument.setups, &found, u, rows = std::move(rows)](auto& sink, std::size_t i) {
        const StatedSetup& s = all[rows[i].first];
        const SetupFound& f = *found.setups[rows[i].first];
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

std::unique_ptr<WrittenTable> stake_table(const SetupsStated& stated, const LaidOut& laid, StakeList list,
                                          LengthUnit unit) {
  const InUnit u(unit);
  const std::size_t n = list.lines.size();
  return declared_table(kStakeColumns, unit, n,
                        [cells = LineCells{stated.control, *laid.marks, laid.numbers}, u,
                         list = std::move(list)](auto& sink, std::size_t i) {
                          const StakeRow& r = list.lines[i].row;
                          cells.put(sink, list.lines[i]);
                          put_circle(sink, r.circle.degrees());
                          put_number(sink, r.zenith ? std::optional(r.zenith->degrees()) : std::nullopt,
                                     kCircleDecimals);
                          u.put(sink, r.slope);
                          u.put(sink, r.horizontal);
                          u.put(sink, r.rise_from_axis);
                          u.put(sink, r.sd_along);
                          u.put(sink, r.sd_across);
                          u.put(sink, r.sd_up);
                          sink.text(flag_words(r.flags));
                        });
}

std::unique_ptr<WrittenTable> plan_table(const SetupsStated& stated, const LaidOut& laid, StakeList list,
                                         LengthUnit unit) {
  const InUnit u(unit);
  const std::size_t n = list.lines.size();
  return declared_table(
      kPlanColumns, unit, n,
      [cells = LineCells{stated.control, *laid.marks, laid.numbers}, u, permitted = stated.plan_tolerance,
       list = std::move(list)](auto& sink, std::size_t i) {
        const StakeRow& r = list.lines[i].row;
        cells.put(sink, list.lines[i]);
        u.put(sink, r.horizontal);
        u.put(sink, r.sd_along);
        u.put(sink, r.sd_across);
        u.put(sink, radius95(r.covariance));
        u.put(sink, permitted);
        sink.text(verdict_word(r.flags.weak ? Verdict::outside : Verdict::within));
        sink.text(flag_words(r.flags));
      });
}

}  // namespace deckmark
