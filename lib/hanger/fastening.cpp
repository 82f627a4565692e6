#include "hanger/fastening.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lift/bays.h"
#include "measure/extent.h"
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

namespace {

constexpr std::size_t kNoBay = static_cast<std::size_t>(-1);  // none, or more than one

/// Bays that a run comes near to: the others cannot hold a place of it.
std::vector<Outline> bays_near(const Path& run, std::span<const Outline> bays) {
  constexpr Length kRise = Length::millimetres(10), kMargin = Length::millimetres(20);
  Extent<Drawing> box;
  for (const Point<Drawing>& p : polyline(run, kRise)) box.take(p);
  const Point<Drawing> low = box.least(), high = box.most();
  std::vector<Outline> out;
  for (const Outline& b : bays) {
    Extent<Drawing> of_bay;
    for (const Point<Drawing>& p : b.corners()) of_bay.take(p);
    // The joins of a large circle stand further off it: a part of its size serves all.
    const Length margin = kMargin + (run.radius() ? 0.001 * *run.radius() : Length::metres(0));
    if (of_bay.least().at.x <= high.at.x + margin && of_bay.most().at.x >= low.at.x - margin &&
        of_bay.least().at.y <= high.at.y + margin && of_bay.most().at.y >= low.at.y - margin)
      out.push_back(b);
  }
  return out;
}

std::size_t one_bay(const Point<Drawing>& p, std::span<const Outline> bays) {
  const BayOf in = bay_of(p, bays);
  return in.bay && !in.another ? *in.bay : kNoBay;
}

/// Places along the run where it meets an edge, its ends too, in order.
std::vector<Length> meets_edges(const Path& run, std::span<const Outline> bays) {
  constexpr Length kSame = Length::metres(2e-6);  // places are known to a micrometre
  std::vector<Length> cuts{Length::metres(0), run.length()};
  for (const Outline& b : bays) {
    const auto& c = b.corners();
    for (std::size_t i = 0; i < c.size(); ++i)
      if (const auto edge = Path::line(c[i], c[(i + 1) % c.size()]))
        for (const Meeting& m : meetings(run, *edge, kNear).places) cuts.push_back(m.along_first);
  }
  std::sort(cuts.begin(), cuts.end());
  std::vector<Length> out{Length::metres(0)};
  for (const Length c : cuts)
    if (c > out.back() + kSame && c < run.length() - kSame) out.push_back(c);
  out.push_back(run.length());
  return out;
}

}  // namespace

std::vector<BayBreak> bay_breaks(const Path& run, std::span<const Outline> all) {
  using Kind = BayBreak::Kind;
  std::vector<BayBreak> out;
  if (all.empty()) return out;
  const std::vector<Outline> bays = bays_near(run, all);
  const std::vector<Length> cuts = meets_edges(run, bays);
  struct Part {
    Stretch stretch;
    std::size_t bay;
  };
  std::vector<Part> parts;  // with one bay or none, each as long as may be
  std::vector<Length> touched;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const std::size_t bay = one_bay(run.at(0.5 * (cuts[i] + cuts[i + 1])), bays);
    if (i > 0 && bay != kNoBay && parts.back().bay == bay && one_bay(run.at(cuts[i]), bays) != bay)
      touched.push_back(cuts[i]);  // the corner of another
    if (!parts.empty() && parts.back().bay == bay)
      parts.back().stretch.to = cuts[i + 1];
    else
      parts.push_back({{cuts[i], cuts[i + 1]}, bay});
  }
  for (const Length t : touched) out.push_back({{t, t}, Kind::edge});
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const bool is_end = i == 0 || i + 1 == parts.size();
    if (parts[i].bay == kNoBay && !(run.is_closed() && is_end))
      out.push_back({parts[i].stretch, is_end ? Kind::beyond : Kind::between});
    if (i > 0 && parts[i].bay != kNoBay && parts[i - 1].bay != kNoBay)
      out.push_back({{parts[i].stretch.from, parts[i].stretch.from}, Kind::edge});
  }
  const std::size_t first = parts.front().bay, last = parts.back().bay;
  if (run.is_closed()) {
    if (parts.size() == 1 && first == kNoBay)
      out.push_back({parts[0].stretch, Kind::beyond});
    else if (first == kNoBay || last == kNoBay)
      out.push_back({{last == kNoBay ? parts.back().stretch.from : run.length(),
                      first == kNoBay ? run.length() + parts.front().stretch.to : run.length()},
                     Kind::between});
    else if (first != last || one_bay(run.at(Length::metres(0)), bays) != first)
      out.push_back({{Length::metres(0), Length::metres(0)}, Kind::edge});
  } else {
    for (const auto& [at, bay] : {std::pair(Length::metres(0), first), std::pair(run.length(), last)}) {
      if (bay == kNoBay) continue;
      if (one_bay(run.at(at), bays) != bay)
        out.push_back({{at, at}, Kind::edge});
      else if (bays[bay].side_of(run.at(at)) == Outline::Side::edge)
        out.push_back({{at, at}, Kind::outer_edge});
    }
  }
  std::sort(out.begin(), out.end(),
            [](const BayBreak& a, const BayBreak& b) { return a.stretch.from < b.stretch.from; });
  return out;
}

std::vector<Stretch> kept_off(const Path& run, std::span<const Outline> bays, Length max_spacing,
                              Length end_distance) {
  using Kind = BayBreak::Kind;
  std::vector<Stretch> out;
  for (const BayBreak& b : bay_breaks(run, bays))
    if (b.kind == Kind::edge || (b.kind == Kind::between && b.stretch.to - b.stretch.from <= max_spacing) ||
        (b.kind == Kind::outer_edge && end_distance > kRoomBeside))
      out.push_back(b.stretch);
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
      for (double k = std::ceil((low - kHair - lines.first) / lines.pitch);
           lines.first + k * lines.pitch <= high + kHair; ++k)
        add_places(run, lines, lines.first + k * lines.pitch, {near - margin, far + margin},
                   f.fastening.places);
    std::sort(f.fastening.places.begin(), f.fastening.places.end());
    std::erase_if(f.fastening.places, [&](Length p) { return p < s.from - kNear || p > s.to + kNear; });
    out.push_back(std::move(f));
  }
  return out;
}

}  // namespace deckmark
