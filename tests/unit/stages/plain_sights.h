#pragma once
/// Setups by hand: level sights that are read without any error from where the instrument is said to stand.

#include <cmath>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "stages/setups.h"
#include "stages/stake.h"
#include "unit/stages/plain.h"

namespace plain {

/// One target as it was sighted, in two faces; its place need not be where the job thinks.
struct PlainSight {
  std::string target;
  Point<Site> at;
  bool circle = true, distance = true, both_faces = true;
};

/// A free setup, level, at `stand`; `orientation` in degrees: azimuth = circle + orientation. Its
/// observations stand in `NAME.csv`, two lines a target.
inline StatedSetup setup_at(std::string name, const Point<Site>& stand, const std::vector<PlainSight>& sights,
                            double orientation = 30) {
  StatedSetup s;
  s.name = std::move(name);
  s.where = Where::whole("job.toml");
  std::string text = "target,circle\n";
  for (const PlainSight& sight : sights) {
    auto known = std::find(s.targets.begin(), s.targets.end(), sight.target);
    if (known == s.targets.end()) known = s.targets.insert(known, sight.target);
    for (int face = 1; face <= (sight.both_faces ? 2 : 1); ++face) {
      Reading r;
      r.target = static_cast<std::size_t>(known - s.targets.begin());
      r.face = face;
      const double azimuth = azimuth_of(sight.at - stand).degrees();
      if (sight.circle) r.circle = CircleReading::degrees(azimuth - orientation + (face == 2 ? 180 : 0));
      if (sight.distance) {
        r.zenith = Angle::degrees(face == 2 ? 270 : 90);
        r.slope = distance(stand, sight.at);
      }
      s.readings.push_back(r);
      text += sight.target + ",\n";
    }
  }
  ReadTable table = table_of(s.name + ".csv", {{"target", ColumnKind::name, true}, {"circle"}}, text);
  s.table = table.table;
  s.begins = std::move(table.begins);
  return s;
}

inline ControlPoint control(std::string name, const Point<Site>& at,
                            std::optional<Elevation> elevation = std::nullopt,
                            std::optional<Length> sd = std::nullopt) {
  return {std::move(name), at, elevation, sd};
}

/// What a job says of its setups, owned: sds of 5" and 2 mm, 6 mm in plan.
struct PlainSetups {
  InstrumentJob instrument{};
  std::vector<ControlPoint> control{};
  std::set<std::string> used{};
  Length plan_tolerance = mm(6);
  std::optional<Elevation> floor{};

  PlainSetups() {
    instrument.options.angle_sd = Angle::degrees(5.0 / 3600);
    instrument.options.distance_sd = mm(2);
  }
  SetupsStated view() const { return {instrument, control, used, plan_tolerance, floor, LengthUnit::metre}; }
};

/// The net and what the marks make of it: what both tell of a setup stands together.
inline deckmark::Staged<deckmark::Setups> set_up_all(const deckmark::SetupsStated& stated,
                                                     const deckmark::SightedMarks& marks) {
  deckmark::NamedMarks named;
  if (marks.laid) named = {&marks.laid->marks, &marks.laid->numbers};
  deckmark::Staged<deckmark::NetFound> net = deckmark::find_net(stated, named);
  if (!net.get()) return {net.came, std::nullopt, std::move(net.told)};
  deckmark::Staged<deckmark::Setups> out = deckmark::set_up(stated, *net.value, marks);
  for (std::size_t i = 0; out.value && i < out.value->told.size(); ++i) {
    deckmark::SetupMessages first = std::move(net.value->told[i]), &all = out.value->told[i];
    first.place.merge(std::move(all.place));
    first.readings.merge(std::move(all.readings));
    first.plan.merge(std::move(all.plan));
    all = std::move(first);
  }
  return out;
}

}  // namespace plain
