#include "hanger/trapeze.h"

#include <algorithm>
#include <cmath>

#include "hanger/fastening.h"
#include "measure/extent.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

Point<Drawing> along(const Point<Drawing>& p, const Vec<Drawing>& way, Length by) {
  return p + Vec<Drawing>{{.x = by.metres() * way.by.x, .y = by.metres() * way.by.y}};
}

/// What a disc takes out of a line, as distances from p.
void add_disc(const KeepOff& k, const Point<Drawing>& p, const Vec<Drawing>& way, std::vector<Stretch>& out) {
  const Vec<Drawing> by = k.at - p;
  const double t = by.by.x.metres() * way.by.x.metres() + by.by.y.metres() * way.by.y.metres();
  const double off = by.by.y.metres() * way.by.x.metres() - by.by.x.metres() * way.by.y.metres();
  const double square = k.clear.metres() * k.clear.metres() - off * off;
  if (square > 0)
    out.push_back({Length::metres(t - std::sqrt(square)), Length::metres(t + std::sqrt(square))});
}

/// What the bays take out of a line through p: their edges, and where there is none or more than one. Gives
/// how far the line was looked along, either way.
Length add_bays(std::span<const Outline> bays, const Point<Drawing>& p, const Vec<Drawing>& way,
                std::vector<Stretch>& out) {
  Extent<Drawing> box;
  box.take(p);
  for (const Outline& b : bays)
    for (const Point<Drawing>& c : b.corners()) box.take(c);
  const Length reach = box.diagonal() + Length::metres(1);
  const auto line = Path::line(along(p, way, -reach), along(p, way, reach));
  for (const BayBreak& b : bay_breaks(*line, bays))
    out.push_back({b.stretch.from - reach - kRoomBeside, b.stretch.to - reach + kRoomBeside});
  return reach;
}

}  // namespace

std::optional<Trapeze> bridge(const Point<Drawing>& deck_point, std::span<const Obstruction> obstructions,
                              std::span<const KeepOff> keep_off, const TrapezeOptions& options,
                              std::span<const Outline> bays) {
  const auto in = std::find_if(obstructions.begin(), obstructions.end(), [&](const Obstruction& o) {
    return o.outline.blocks(deck_point, o.clearance);
  });
  if (in == obstructions.end()) return std::nullopt;
  Trapeze out{static_cast<std::size_t>(in - obstructions.begin()), std::nullopt};
  const Vec<Drawing> way = in->outline.narrower_way();
  std::vector<Stretch> taken;
  for (const Obstruction& o : obstructions)
    for (const Stretch& s : o.outline.blocked(deck_point, way, o.clearance)) taken.push_back(s);
  for (const KeepOff& k : keep_off) add_disc(k, deck_point, way, taken);
  const Length looked = bays.empty() ? Length::metres(INFINITY) : add_bays(bays, deck_point, way, taken);
  Length before = Length::metres(0), behind = Length::metres(0);
  for (const Stretch& s : joined(std::move(taken)))
    if (s.from < Length::metres(0) && s.to > Length::metres(0)) before = s.from, behind = s.to;
  out.needed = std::max(-before, behind);
  out.beyond_bays = out.needed > looked;
  if (out.beyond_bays || (options.reach && out.needed > *options.reach + kHair)) return out;
  Point<Drawing> a = along(deck_point, way, before), b = along(deck_point, way, behind);
  const bool swap = abs(a.at.x - b.at.x) > kHair ? a.at.x > b.at.x : a.at.y > b.at.y;
  if (swap) std::swap(a, b);
  out.supports = {a, b};
  out.span = behind - before;
  return out;
}

}  // namespace deckmark
