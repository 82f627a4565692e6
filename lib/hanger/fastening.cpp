#include "hanger/fastening.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr double kAlong = 0.2588190451;  // sine of 15 degrees; common practice, no source
constexpr Length kNear = Length::millimetres(0.001);

/// How far the run's way leans out of the flutes, as a sine.
double across(const Path& run, Length along, const FasteningLines& lines) {
  const Vec<Drawing> way = run.direction_at(along);
  return std::abs((lines.along_x ? way.by.y : way.by.x).metres());
}

/// The run's places on one fastening line.
void add_places(const Path& run, const FasteningLines& lines, Length at,
                const std::pair<Length, Length>& reach, std::vector<Length>& out) {
  const auto [low, high] = reach;
  const auto end = [&](Length v) {
    return lines.along_x ? Point<Drawing>{{.x = v, .y = at}} : Point<Drawing>{{.x = at, .y = v}};
  };
  const auto line = Path::line(end(low), end(high));
  if (!line) return;
  for (const Meeting& m : meetings(run, *line, kNear).places) out.push_back(m.along_first);
}

}  // namespace

std::vector<Stretch> stretches_inside(const Path& run, const Outline& outline) {
  std::vector<Length> cuts{Length::metres(0), run.length()};
  const auto& c = outline.corners();
  for (std::size_t i = 0; i < c.size(); ++i)
    if (const auto edge = Path::line(c[i], c[(i + 1) % c.size()]))
      for (const Meeting& m : meetings(run, *edge, kNear).places) cuts.push_back(m.along_first);
  std::sort(cuts.begin(), cuts.end());
  std::vector<Stretch> out;
  for (std::size_t i = 1; i < cuts.size(); ++i) {
    if (cuts[i] - cuts[i - 1] <= kHair) continue;
    if (outline.side_of(run.at(0.5 * (cuts[i] + cuts[i - 1]))) != Outline::Side::inside) continue;
    if (!out.empty() && cuts[i - 1] - out.back().to <= kHair)
      out.back().to = cuts[i];
    else
      out.push_back({cuts[i - 1], cuts[i]});
  }
  return out;
}

std::vector<FlutedStretch> fluted_stretches(const Path& run, const Outline& bay,
                                            const FasteningLines& lines) {
  std::vector<FlutedStretch> out;
  Length low = Length::metres(INFINITY), high = -low, near = low,
         far = -low;  // of the bay, across and along the flutes
  for (const Point<Drawing>& p : bay.corners()) {
    const Length off = lines.along_x ? p.at.y : p.at.x, on = lines.along_x ? p.at.x : p.at.y;
    low = std::min(low, off), high = std::max(high, off), near = std::min(near, on), far = std::max(far, on);
  }
  for (const Stretch& s : stretches_inside(run, bay)) {
    FlutedStretch f{{s, {}}, false};
    // A curve is looked at every 5 degrees of its turn: the way out of the flutes is 30 degrees wide.
    const double turn = run.radius() ? (s.to - s.from) / *run.radius() : 0.0;
    const double steps = std::max(1.0, std::ceil(turn / (5 * std::numbers::pi / 180)));
    for (double k = 0; k <= steps; ++k)
      f.along_flutes = f.along_flutes || across(run, s.from + (k / steps) * (s.to - s.from), lines) < kAlong;
    const Length margin = Length::metres(1);
    if (!f.along_flutes)
      for (double k = std::ceil((low - lines.first) / lines.pitch); lines.first + k * lines.pitch <= high;
           ++k)
        add_places(run, lines, lines.first + k * lines.pitch, {near - margin, far + margin},
                   f.fastening.places);
    std::sort(f.fastening.places.begin(), f.fastening.places.end());
    std::erase_if(f.fastening.places, [&](Length p) { return p < s.from || p > s.to; });
    out.push_back(std::move(f));
  }
  return out;
}

}  // namespace deckmark
