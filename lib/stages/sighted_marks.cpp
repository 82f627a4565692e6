#include "stages/sighted_marks.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "stages/along_runs.h"

namespace deckmark {

namespace {

/// Way and length of a difference in the drawing; nothing under 1 mm.
std::optional<Vec<Drawing>> way(const Point<Drawing>& from, const Point<Drawing>& to) {
  const double x = (to.at.x - from.at.x).metres(), y = (to.at.y - from.at.y).metres(), n = std::hypot(x, y);
  if (n < 0.001) return std::nullopt;
  return Vec<Drawing>{{.x = Length::metres(x / n), .y = Length::metres(y / n)}};
}

/// Which way runs lead at their marks, along +X, +Y; of length 1.
class RunWays {
 public:
  RunWays(const LaidOut& laid, const std::vector<StatedRun>& runs) : laid_(laid), runs_(runs) {}

  std::optional<Vec<Drawing>> at(std::uint32_t mark) {
    const std::uint32_t word = laid_.marks->runs.number(mark);
    if (word == 0) return std::nullopt;
    if (const Path* line = line_of_run(laid_.marks, laid_.overhead, runs_, word))
      return line->direction_at(line->nearest(laid_.marks->places[mark]).along);
    return along_points(mark, chain(word));
  }

 private:
  /// The run's points in the order of the drawing.
  const std::vector<std::uint32_t>& chain(std::uint32_t word) {
    const auto [at, fresh] = chains_.try_emplace(word);
    if (fresh)
      for (std::uint32_t m = 0; m < laid_.marks.supports && m < laid_.marks.size(); ++m)
        if (laid_.marks->runs.number(m) == word) at->second.push_back(m);
    return at->second;
  }
  /// From end to end where the points lie on a line, else from the point before to the one behind.
  std::optional<Vec<Drawing>> along_points(std::uint32_t mark, const std::vector<std::uint32_t>& points) {
    constexpr double kOnLine = 0.05;  // metres
    if (points.size() < 2) return std::nullopt;
    const auto& places = laid_.marks->places;
    const auto straight = way(places[points.front()], places[points.back()]);
    const auto is_on_line = [&](std::uint32_t m) {
      const double x = (places[m].at.x - places[points.front()].at.x).metres(),
                   y = (places[m].at.y - places[points.front()].at.y).metres();
      return std::fabs(straight->by.x.metres() * y - straight->by.y.metres() * x) <= kOnLine;
    };
    if (straight && std::ranges::all_of(points, is_on_line)) return straight;
    const auto at = std::ranges::find(points, mark);
    if (at == points.end()) return std::nullopt;  // a support of a trapeze
    const auto before = at == points.begin() ? at : at - 1, behind = at + 1 == points.end() ? at : at + 1;
    return way(places[*before], places[*behind]);
  }

  const LaidOut& laid_;
  const std::vector<StatedRun>& runs_;
  std::map<std::uint32_t, std::vector<std::uint32_t>> chains_;
};

}  // namespace

std::vector<SightedMark> sighted_marks(const SetupFound& setup, const LaidOut& laid,
                                       const std::vector<StatedRun>& runs, std::optional<Elevation> floor,
                                       const InstrumentOptions& instrument) {
  std::vector<SightedMark> out;
  std::set<std::pair<std::uint32_t, bool>> seen;
  RunWays ways(laid, runs);
  const Transform<Site, Drawing>& to_site = laid.placed.fit.site_from_drawing;
  const Transform<Drawing, Site> to_drawing = to_site.inverse();
  for (const SightCheck& check : setup.checks) {
    const Sight& sight = setup.reduction.sights[check.sight];
    const TargetMeaning& target = setup.targets[sight.target];
    const bool on_deck = target.role == TargetRole::deck;
    const auto shot = side_shot(setup.result, sight, check.sight, instrument);
    if (!shot || !seen.emplace(target.index, on_deck).second) continue;
    const Vec<Site> off = shot->at - laid.placed.marks[target.index];
    SightedMark mark{target.index, on_deck, to_drawing.turn(off), {}, semi_major(shot->covariance),
                     check.verdict};
    const auto design = on_deck ? laid.heights.at(target.index).deck : floor;
    if (design && shot->elevation) mark.up = *shot->elevation - *design;
    if (const auto on_paper = ways.at(target.index)) {
      const Vec<Site> on_site = to_site.turn(*on_paper);  // of length 1
      const double n = on_site.by.northing.metres(), e = on_site.by.easting.metres();
      mark.along_run = n * off.by.northing + e * off.by.easting;
      mark.left_of_run = e * off.by.northing - n * off.by.easting;
    }
    out.push_back(mark);
  }
  return out;
}

}  // namespace deckmark
