#include "work/asbuilt_causes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "baseline/blunders.h"

namespace deckmark {

namespace {

constexpr Length kLeastBay = Length::millimetres(300);
constexpr std::size_t kMostGaps = 5;  // of one axis

/// The commonest spaces between marks that were shot, along one axis: what a crew can be off by when it
/// counts bays.
void add_common_gaps(std::vector<double> places, std::set<double>& out) {
  std::ranges::sort(places);
  std::map<std::int64_t, std::size_t> count;  // by millimetre
  for (std::size_t i = 1; i < places.size(); ++i) {
    const double gap = places[i] - places[i - 1];
    if (gap >= kLeastBay.metres()) ++count[std::llround(gap * 1000)];
  }
  std::vector<std::pair<std::size_t, std::int64_t>> common;
  for (const auto& [gap, n] : count) common.emplace_back(n, -gap);
  std::ranges::sort(common, std::greater{});
  for (std::size_t i = 0; i < common.size() && i < kMostGaps; ++i)
    out.insert(static_cast<double>(-common[i].second) / 1000);
}

std::vector<Length> bays_of(const Job& job, const Found& found) {
  std::set<double> metres;
  std::vector<Tie> ties;
  for (const NamedTie& t : job.ties) ties.push_back(t.tie);
  for (const Length q : quanta_of(ties))
    if (q >= kLeastBay) metres.insert(q.metres());
  std::vector<double> x, y;
  for (const AsbuiltRow& r : found.asbuilt.rows) {
    x.push_back(job.marks.places[r.mark].at.x.metres());
    y.push_back(job.marks.places[r.mark].at.y.metres());
  }
  add_common_gaps(std::move(x), metres);
  add_common_gaps(std::move(y), metres);
  std::vector<Length> out;
  for (const double m : metres)
    if (out.empty() || m > out.back().metres() + 0.001) out.push_back(Length::metres(m));
  return out;
}

/// Where a setup stood: as computed, else as stated.
std::optional<KnownStation> station_of_setup(const Job& job, const Found& found, std::size_t i) {
  const StatedSetup& stated = job.instrument.setups[i];
  if (const auto& setup = found.instrument.setups[i]) {
    const SetupStatus s = setup->result.status;
    if (s == SetupStatus::solved || s == SetupStatus::place_only || s == SetupStatus::no_orientation)
      return KnownStation{setup->result.at, stated.has_height ? setup->result.axis() : std::nullopt};
  }
  if (stated.own) return KnownStation{stated.own->at};
  if (stated.control) return KnownStation{job.control[*stated.control].at};
  return std::nullopt;
}

/// Where the instrument stood: a setup of that name, or a control point.
std::optional<KnownStation> station_of(const Job& job, const Found& found, std::string_view name) {
  for (std::size_t i = 0; i < job.instrument.setups.size(); ++i)
    if (same_name(job.instrument.setups[i].name, name))
      if (const auto at = station_of_setup(job, found, i)) return at;
  for (const ControlPoint& c : job.control)
    if (same_name(c.name, name)) return KnownStation{c.at};
  return std::nullopt;
}

std::vector<std::optional<KnownStation>> stations_of(const Job& job, const Found& found, const Words& words) {
  std::vector<std::optional<KnownStation>> out(words.size());
  for (std::uint32_t w = 1; w < words.size(); ++w) out[w] = station_of(job, found, words[w]);
  return out;
}

std::vector<CauseShot> shots_of(const Job& job, const Found& found) {
  const AsbuiltShots& shots = job.asbuilt.shots;
  std::vector<CauseShot> out;
  out.reserve(found.asbuilt.rows.size());
  for (const AsbuiltRow& r : found.asbuilt.rows) {
    const StatedAsbuilt& s = shots.rows[r.shot];
    CauseShot c{r.mark, r.design, r.at};
    c.elevation = s.elevation;
    c.up = r.up;
    c.level = r.level;
    c.sd = s.sd.value_or(job.asbuilt.options.sd);
    c.setup = shots.setups.number(r.shot);
    c.marked_from = shots.marked_from.number(r.shot);
    c.reflector = shots.reflectors.number(r.shot);
    c.crew = shots.crews.number(r.shot);
    c.time = s.time;
    c.run = job.marks.runs.number(r.mark);
    out.push_back(c);
  }
  return out;
}

}  // namespace

std::vector<std::string_view> unplaced_setups(const Job& job, const Found& found) {
  std::vector<std::string_view> out;
  for (const WordColumn* column : {&job.asbuilt.shots.setups, &job.asbuilt.shots.marked_from})
    for (std::uint32_t w = 1; w < column->words().size(); ++w) {
      const std::string_view name = column->words()[w];
      if (!station_of(job, found, name) && std::ranges::find(out, name) == out.end()) out.push_back(name);
    }
  return out;
}

CausesResult asbuilt_causes(const Job& job, const Found& found) {
  const AsbuiltShots& shots = job.asbuilt.shots;
  const std::vector<CauseShot> list = shots_of(job, found);
  const auto setups = stations_of(job, found, shots.setups.words()),
             marking = stations_of(job, found, shots.marked_from.words());
  const std::vector<Length> bays = bays_of(job, found);
  std::vector<Point<Drawing>> typed;
  for (const AsbuiltRow& r : found.asbuilt.rows)
    if (const auto* p = std::get_if<Point<Drawing>>(&shots.rows[r.shot].at)) typed.push_back(*p);
  const Transform<Site, Drawing>& map = found.placed.fit->site_from_drawing;
  CausesInput in{list, setups, marking, found.placed.marks,
                 map(Point<Drawing>{{.x = Length::metres(0), .y = Length::metres(0)}})};
  in.azimuth_x = map.parts().azimuth_x;
  in.mirrored = map.parts().mirrored;
  in.bays = bays;
  in.by_nearest = job.asbuilt.options.by_nearest;
  const bool on_site = typed.size() != list.size();
  in.typed_unit = on_site ? job.site_unit : job.drawing_unit;
  if (!on_site) in.typed = typed;
  return find_causes(in);
}

std::vector<CauseLine> cause_lines(const Job& job, const Found& found) {
  const AsbuiltShots& shots = job.asbuilt.shots;
  const bool by_time = found.asbuilt.causes.in_order_of_time;
  const auto moment = [&](std::size_t row) {
    const std::size_t shot = found.asbuilt.rows[row].shot;
    if (by_time) return std::string(shots.times[shot]);
    return fmt::format("line {}", job.asbuilt.table->source()->places({shots.begins[shot]})[0].line);
  };
  const auto word = [&](GroupKind kind, std::uint32_t w) -> std::string {
    switch (kind) {
      case GroupKind::setup:
        return std::string(shots.setups.words()[w]);
      case GroupKind::marked_from:
        return std::string(shots.marked_from.words()[w]);
      case GroupKind::reflector:
        return std::string(shots.reflectors.words()[w]);
      case GroupKind::crew:
        return std::string(shots.crews.words()[w]);
      case GroupKind::level:
        return std::string(level_word(static_cast<AsbuiltLevel>(w - 1)));
      case GroupKind::run:
        return std::string(job.marks.runs.words()[w]);
      case GroupKind::all:
      case GroupKind::stretch:
      case GroupKind::marks:
        break;
    }
    return "";
  };
  const Transform<Drawing, Site> drawing_from_site = found.placed.fit->site_from_drawing.inverse();
  std::vector<CauseLine> out;
  for (const Cause& c : found.asbuilt.causes.causes) {
    CauseLine line;
    line.cause = &c;
    const GroupKind kind = c.group.kind == GroupKind::stretch ? c.group.within : c.group.kind;
    line.group = {kind, word(kind, c.group.word), c.group.level};
    if (c.group.kind == GroupKind::stretch || c.kind == CauseKind::bump) line.from = moment(c.group.first);
    if (c.group.kind == GroupKind::stretch) line.to = moment(c.group.last);
    for (const GroupRef& r : c.also) line.also.push_back({r.kind, word(r.kind, r.word), r.level});
    if (c.by) line.by = drawing_from_site.turn(*c.by);
    if (c.centre) line.centre = drawing_from_site(*c.centre);
    for (const std::size_t row : c.shots)
      line.numbers.push_back(asbuilt_number(job, found, found.asbuilt.rows[row]));
    out.push_back(std::move(line));
  }
  return out;
}

}  // namespace deckmark
