// Outlines, and bays with what they state.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "stages/overhead.h"

namespace deckmark {

namespace {

constexpr double kMostFlutes = 100000;

/// What is wrong with a corner, in words.
Fault outline_fault(const std::string& name, const OutlineFault& f) {
  using Kind = OutlineFault::Kind;
  const std::size_t c = f.corner + 1, other = f.other + 1;
  switch (f.kind) {
    case Kind::too_few:
      return {fmt::format("outline {} with {} corner{}", name, c, c == 1 ? "" : "s"), "three or more", ""};
    case Kind::too_many:
      return {fmt::format("outline {} with more than {} corners", name, kMostCorners),
              fmt::format("{} at most", kMostCorners), ""};
    case Kind::repeated:
      return {fmt::format("corner {} of {} in the place of corner {}", c, name, other),
              "each corner once, the first perhaps again at the end", ""};
    case Kind::folds_back:
      return {fmt::format("edges of {} that fold back on one another at corner {}", name, c),
              "an outline with room inside", ""};
    case Kind::crosses:
      return {fmt::format("the edge from corner {} of {}, which crosses that from corner {}", c, name, other),
              "an outline that does not cross itself; corners in order", ""};
    case Kind::touches:
      return {fmt::format("corner {} of {}, which touches the edge from corner {}", c, name, other),
              "an outline that does not touch itself", ""};
    case Kind::no_area:
      return {fmt::format("outline {} without area", name), "an outline with room inside", ""};
  }
  return {};
}

/// An outline that a corner or two can belong to, by its name.
std::optional<std::string> whole_name(const NamedOutline& few, const std::vector<NamedOutline>& all) {
  std::vector<std::string> names;
  for (const NamedOutline& n : all)
    if (n.rows.size() > few.rows.size()) names.push_back(n.name);
  return nearest_word(few.name, names);
}

void few_corners(const NamedOutline& few, const std::vector<NamedOutline>& all, TwoCorners two, Fault& told) {
  if (two == TwoCorners::line) told.expected = "two of a line, three or more of an outline";
  if (const auto other = whole_name(few, all)) told.expected += fmt::format("; or the name {}", *other);
}

void read_line(NamedOutline& n, const std::vector<Point<Drawing>>& places, const ReadTable& table,
               std::string_view field, const RefusedNames& refused, Messages& messages) {
  if (refused.may_hold(n.name)) return;
  n.is_line = distance(places[0], places[1]) > Length::millimetres(1);
  if (!n.is_line)
    messages.problem(cell_of(table, n.rows[1], field), field,
                     Fault{fmt::format("line {} of no length", n.name), "two different places", ""});
}

}  // namespace

std::optional<Length> clearance_of(const NamedOutline& outline, const std::vector<StatedCorner>& corners,
                                   const ReadTable& table, Messages& messages) {
  std::optional<Length> stated;
  for (const std::size_t row : outline.rows) {
    const auto& c = corners[row].clearance;
    if (c && stated && *c != *stated)
      messages.problem(
          cell_of(table, row, "clearance"), "clearance",
          Fault{fmt::format("another clearance of {}", outline.name), "one clearance for an outline", ""});
    if (c) stated = c;
  }
  return stated;
}

std::vector<NamedOutline> gather_outlines(const std::vector<StatedCorner>& corners, const ReadTable& table,
                                          std::string_view field, Messages& messages,
                                          const RefusedNames& refused, TwoCorners two) {
  std::vector<NamedOutline> out;
  std::map<std::string, std::size_t, std::less<>> by_name;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const auto [at, fresh] = by_name.emplace(corners[i].name, out.size());
    if (fresh) out.push_back({corners[i].name, i, {}, std::nullopt});
    out[at->second].rows.push_back(i);
  }
  for (NamedOutline& n : out) {
    std::vector<Point<Drawing>> places;
    for (const std::size_t row : n.rows) places.push_back(corners[row].at);
    if (two == TwoCorners::line && places.size() == 2) {
      read_line(n, places, table, field, refused, messages);
      continue;
    }
    auto made = Outline::make(places);
    if (auto* outline = std::get_if<Outline>(&made))
      n.outline = std::move(*outline);
    else if (!refused.may_hold(n.name)) {
      const OutlineFault& fault = std::get<OutlineFault>(made);
      const std::size_t row = n.rows[std::min(fault.corner, n.rows.size() - 1)];
      Fault told = outline_fault(n.name, fault);
      if (fault.kind == OutlineFault::Kind::too_few) few_corners(n, out, two, told);
      messages.problem(cell_of(table, row, field), field, told);
    }
  }
  return out;
}

namespace {

bool are_same(const StatedFlutes& a, const StatedFlutes& b) {
  return a.along_x == b.along_x && a.pitch == b.pitch && a.first == b.first;
}

/// What the rows of a bay say of it; of two that contradict one another (told) the later.
struct BayRows {
  std::optional<Elevation> level;
  std::optional<StatedFlutes> flutes;
};
BayRows read_rows(const NamedOutline& n, const OverheadJob& o, Messages& messages) {
  BayRows out;
  for (const std::size_t row : n.rows) {
    const StatedCorner& c = o.bays[row];
    if (c.elevation && out.level && *c.elevation != *out.level)
      messages.problem(cell_of(o.bays_table, row, "elevation"), "elevation",
                       Fault{fmt::format("another elevation of bay {}", n.name),
                             "one elevation for a bay, or shots that name it", ""});
    if (c.flutes && out.flutes && !are_same(*c.flutes, *out.flutes))
      messages.problem(cell_of(o.bays_table, row, "flutes"), "flutes",
                       Fault{fmt::format("other flutes of bay {}", n.name), "one statement for a bay", ""});
    if (c.elevation) out.level = c.elevation;
    if (c.flutes) out.flutes = c.flutes;
  }
  return out;
}

bool has_too_many_flutes(const Outline& outline, Length pitch) {
  Length reach = Length::metres(0);
  for (const Point<Drawing>& p : outline.corners())
    reach = std::max(reach, distance(p, outline.corners()[0]));
  return 2.0 * reach / pitch > kMostFlutes;
}

}  // namespace

BaysStated read_bays(const OverheadJob& o, Messages& messages) {
  BaysStated out;
  for (const NamedOutline& n : gather_outlines(o.bays, o.bays_table, "bay", messages, o.refused_bays)) {
    const BayRows stated = read_rows(n, o, messages);
    if (!n.outline) {
      out.refused.push_back(n.name);
      continue;
    }
    if (stated.flutes && has_too_many_flutes(*n.outline, stated.flutes->pitch))
      messages.problem(
          cell_of(o.bays_table, n.first_row, "flute_pitch"), "flute_pitch",
          Fault{"a pitch far too small for its bay", "the distance from flute to flute", "200 mm"});
    out.names.push_back(n.name);
    out.outlines.push_back(*n.outline);
    out.first_row.push_back(n.first_row);
    out.levels.push_back(stated.level);
    out.flutes.push_back(stated.flutes);
  }
  return out;
}

}  // namespace deckmark
