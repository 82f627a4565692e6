// No-drill zones among what hangers keep clear of.
#include "job/tables/no_drill.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "stages/overhead.h"

namespace deckmark {

namespace {

/// A line as an outline that is a hair wide; what that takes is left out of its clearance again.
Obstruction strip(const Point<Drawing>& from, const Point<Drawing>& to, Length clearance) {
  const Length half = std::min(Length::metres(1e-6), 0.5 * clearance);
  const Vec<Drawing> along = to - from;
  const double by = half / norm(along);
  const Vec<Drawing> left{{.x = -by * along.by.y, .y = by * along.by.x}},
      right{{.x = by * along.by.y, .y = -by * along.by.x}};
  auto made = Outline::make(std::array{from + right, to + right, to + left, from + left});
  return {std::get<Outline>(std::move(made)), clearance - half};
}

}  // namespace

void read_zones(const OverheadJob& stated, Overhead& out, Messages& messages) {
  constexpr Length kLeast = Length::millimetres(1);  // of a line: less is no strip on any deck
  const std::vector<StatedCorner>& corners = stated.zones;
  const ReadTable& table = stated.zones_table;
  out.first_zone = out.obstructions.size();
  for (const NamedOutline& n : gather_outlines(corners, table, no_drill::zone.name, messages,
                                               stated.refused_zones, TwoCorners::line)) {
    const Length clearance = clearance_of(n, corners, table, messages).value_or(stated.clearance);
    if (!n.outline && !n.is_line) continue;
    if (n.is_line && clearance < kLeast) {
      messages.problem(cell_of(table, n.first_row, no_drill::clearance.name), no_drill::clearance.name,
                       Fault{fmt::format("line {} without a clearance", n.name),
                             "how far to keep from it on either side, 1 mm or more", ""});
      continue;
    }
    NoDrillZone zone{n.name, {}};
    for (const std::size_t row : n.rows)
      if (zone.reference.empty()) zone.reference = corners[row].reference;
    out.obstruction_names.push_back("no-drill zone " + n.name);
    out.obstructions.push_back(n.outline ? Obstruction{*n.outline, clearance}
                                         : strip(corners[n.rows[0]].at, corners[n.rows[1]].at, clearance));
    out.zones.push_back(std::move(zone));
  }
}

std::optional<std::size_t> zone_at(const Overhead& overhead, const Point<Drawing>& place) {
  for (std::size_t z = 0; z < overhead.zones.size(); ++z) {
    const Obstruction& o = overhead.obstructions[overhead.first_zone + z];
    if (o.outline.blocks(place, o.clearance)) return z;
  }
  return std::nullopt;
}

}  // namespace deckmark
