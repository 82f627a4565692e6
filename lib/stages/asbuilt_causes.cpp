#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "baseline/blunders.h"
#include "stages/asbuilt.h"

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
  common.reserve(count.size());
  for (const auto& [gap, n] : count) common.emplace_back(n, -gap);
  std::ranges::sort(common, std::greater{});
  for (std::size_t i = 0; i < common.size() && i < kMostGaps; ++i)
    out.insert(static_cast<double>(-common[i].second) / 1000);
}

std::vector<Length> bays_of(const std::vector<NamedTie>& stated_ties, const MarkTable& marks,
                            const std::vector<AsbuiltRow>& rows) {
  std::set<double> metres;
  std::vector<Tie> ties;
  ties.reserve(stated_ties.size());
  for (const NamedTie& t : stated_ties) ties.push_back(t.tie);
  for (const Length q : quanta_of(ties))
    if (q >= kLeastBay) metres.insert(q.metres());
  std::vector<double> x, y;
  for (const AsbuiltRow& r : rows) {
    x.push_back(marks.places[r.mark].at.x.metres());
    y.push_back(marks.places[r.mark].at.y.metres());
  }
  add_common_gaps(std::move(x), metres);
  add_common_gaps(std::move(y), metres);
  std::vector<Length> out;
  for (const double m : metres)
    if (out.empty() || m > out.back().metres() + 0.001) out.push_back(Length::metres(m));
  return out;
}

/// Where instruments stood.
class Stations {
 public:
  Stations(const AsbuiltStated& stated, const Setups* found) : stated_(stated), found_(found) {}

  /// A setup of that name, or a control point.
  std::optional<KnownStation> named(std::string_view name) const {
    const auto& setups = stated_.instrument.setups;
    for (std::size_t i = 0; i < setups.size(); ++i)
      if (same_name(setups[i].name, name))
        if (const auto at = of_setup(i)) return at;
    for (const ControlPoint& c : stated_.control)
      if (same_name(c.name, name)) return KnownStation{c.at};
    return std::nullopt;
  }
  std::vector<std::optional<KnownStation>> of_words(const Words& words) const {
    std::vector<std::optional<KnownStation>> out(words.size());
    for (std::uint32_t w = 1; w < words.size(); ++w) out[w] = named(words[w]);
    return out;
  }

 private:
  /// As computed, else as stated.
  std::optional<KnownStation> of_setup(std::size_t i) const {
    const StatedSetup& stated = stated_.instrument.setups[i];
    if (found_ && found_->setups[i]) {
      const SetupResult& r = found_->setups[i]->result;
      return KnownStation{r.at, stated.has_height ? r.axis() : std::nullopt};
    }
    if (stated.own) return KnownStation{stated.own->at};
    if (stated.control) return KnownStation{stated_.control[*stated.control].at};
    return std::nullopt;
  }

  const AsbuiltStated& stated_;
  const Setups* found_;
};

std::vector<CauseShot> shots_of(const AsbuiltJob& stated, const MarkTable& marks,
                                const std::vector<AsbuiltRow>& rows) {
  const AsbuiltShots& shots = stated.shots;
  std::vector<CauseShot> out;
  out.reserve(rows.size());
  for (const AsbuiltRow& r : rows) {
    const StatedAsbuilt& s = shots.rows[r.shot];
    CauseShot c{r.mark, r.design, r.at};
    c.elevation = s.elevation;
    c.up = r.up;
    c.level = r.level;
    c.sd = s.sd.value_or(stated.options.sd);
    c.setup = shots.setups.number(r.shot);
    c.marked_from = shots.marked_from.number(r.shot);
    c.reflector = shots.reflectors.number(r.shot);
    c.crew = shots.crews.number(r.shot);
    c.time = s.time;
    c.run = marks.runs.number(r.mark);
    out.push_back(c);
  }
  return out;
}

}  // namespace

std::vector<std::string_view> unplaced_setups(const AsbuiltStated& stated, const Setups* setups) {
  const Stations stations(stated, setups);
  std::vector<std::string_view> out;
  for (const WordColumn* column : {&stated.asbuilt.shots.setups, &stated.asbuilt.shots.marked_from})
    for (std::uint32_t w = 1; w < column->words().size(); ++w) {
      const std::string_view name = column->words()[w];
      if (!stations.named(name) && std::ranges::find(out, name) == out.end()) out.push_back(name);
    }
  return out;
}

CausesResult asbuilt_causes(const AsbuiltStated& stated, const LaidOut& laid, const Setups* setups,
                            const std::vector<AsbuiltRow>& rows) {
  const AsbuiltShots& shots = stated.asbuilt.shots;
  const Stations stations(stated, setups);
  const std::vector<CauseShot> list = shots_of(stated.asbuilt, *laid.marks, rows);
  const auto shot_from = stations.of_words(shots.setups.words()),
             marked_from = stations.of_words(shots.marked_from.words());
  const std::vector<Length> bays = bays_of(stated.ties, *laid.marks, rows);
  std::vector<Point<Drawing>> typed;
  for (const AsbuiltRow& r : rows)
    if (const auto* p = std::get_if<Point<Drawing>>(&shots.rows[r.shot].at)) typed.push_back(*p);
  const Transform<Site, Drawing>& map = laid.placed.fit.site_from_drawing;
  CausesInput in{list, shot_from, marked_from, laid.placed.marks,
                 map(Point<Drawing>{{.x = Length::metres(0), .y = Length::metres(0)}})};
  in.azimuth_x = map.parts().azimuth_x;
  in.mirrored = map.parts().mirrored;
  in.bays = bays;
  in.by_nearest = stated.asbuilt.options.by_nearest;
  const bool on_site = typed.size() != list.size();
  in.typed_unit = on_site ? stated.site_unit : stated.drawing_unit;
  if (!on_site) in.typed = typed;
  return find_causes(in);
}

std::vector<CauseLine> cause_lines(const AsbuiltStated& stated, const LaidOut& laid,
                                   const AsbuiltFound& found) {
  const AsbuiltShots& shots = stated.asbuilt.shots;
  const bool by_time = found.causes.in_order_of_time;
  const auto moment = [&](std::size_t row) {
    const std::size_t shot = found.rows[row].shot;
    if (by_time) return std::string(shots.times[shot]);
    return fmt::format("line {}", stated.asbuilt.table->source()->places({shots.begins[shot]})[0].line);
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
        return std::string(laid.marks->runs.words()[w]);
      case GroupKind::all:
      case GroupKind::stretch:
      case GroupKind::marks:
        break;
    }
    return "";
  };
  const Transform<Drawing, Site> drawing_from_site = laid.placed.fit.site_from_drawing.inverse();
  std::vector<CauseLine> out;
  for (const Cause& c : found.causes.causes) {
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
      line.numbers.push_back(asbuilt_number(laid.numbers, found.rows[row]));
    out.push_back(std::move(line));
  }
  return out;
}

}  // namespace deckmark
