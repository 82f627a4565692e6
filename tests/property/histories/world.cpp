#include "world.h"

#include <algorithm>

namespace deckmark_test {

namespace {

constexpr Micro kMetre = 1000000;
constexpr int kColumns = 8;  // cells stand in rows of so many, a metre apart
constexpr Micro kBayEdge = 4500000;
/// A duct reaches so far from the middle of its cell; its supports stand that much and the clearance off.
constexpr Micro kDuctAcross = 120000, kDuctAlong = 300000, kDuctClear = 50000;

std::string number_of(Micro value, int decimals = 6) {
  std::string digits = std::to_string(value < 0 ? -value : value);
  if (digits.size() < 7) digits.insert(0, 7 - digits.size(), '0');
  digits.insert(digits.size() - 6, ".");
  digits.resize(digits.size() - static_cast<std::size_t>(6 - decimals));
  return (value < 0 ? "-" : "") + digits;
}
std::string length(Micro value) { return "\"" + number_of(value) + " m\""; }

bool has_duct(const World& world, const WorldPoint& p) {
  return world.deck != WorldDeck::none && p.kind != "reference" &&
         std::find(world.ducts.begin(), world.ducts.end(), p.cell) != world.ducts.end();
}

MaybeMicro deck_at(const World& world, Micro x) {
  if (world.deck == WorldDeck::none) return std::nullopt;
  return world.deck == WorldDeck::level || x < kBayEdge ? world.deck_low : world.deck_high;
}

std::string crews_at(const World& world, const WorldPoint& p) {
  std::string out;
  for (std::size_t i = 0; i < world.crews.size(); ++i) {
    const WorldCrew& crew = world.crews[i];
    const auto at = world.crew_of.find(p.name);
    const bool has = crew.by_runs ? std::find(crew.runs.begin(), crew.runs.end(), p.run) != crew.runs.end()
                                  : at != world.crew_of.end() && (at->second >> i & 1) != 0;
    if (has) out += (out.empty() ? "" : " ") + crew.name;
  }
  return out;
}

/// Height, deck and cut of a point that is fastened straight to the deck.
void hang(const World& world, const WorldPoint& p, HandedPoint& out) {
  const MaybeMicro height = p.height ? p.height : world.height;
  if (height) out.attach = world.floor + *height;
  out.deck = deck_at(world, p.x);
  if (out.deck && out.attach && (world.cut_top || world.cut_bottom))
    out.cut = *out.deck - *out.attach + world.cut_top.value_or(0) + world.cut_bottom.value_or(0);
}

HandedPoint handed(const World& world, const WorldPoint& p) {
  HandedPoint out;
  out.name = p.name;
  out.was = p.was;
  if (!p.kind.empty()) out.kind = p.kind;
  out.run = p.run;
  out.crew = crews_at(world, p);
  out.x = p.x;
  out.y = p.y;
  put_on_site(world, p.x, p.y, out.northing, out.easting);
  if (out.kind == "reference") return out;
  hang(world, p, out);
  if (!has_duct(world, p)) return out;
  out.deck.reset();
  out.cut.reset();
  return out;
}

/// The duct's narrow way is along Y: the supports stand beside it, below and above the hanger.
HandedPoint support(const World& world, const WorldPoint& p, bool second) {
  WorldPoint s = p;
  const Micro off = kDuctAcross + kDuctClear;
  s.name += second ? "-b" : "-a";
  s.was.clear();
  s.kind = "support";
  s.y = cell_y(p.cell) + (second ? off : -off);
  HandedPoint out;
  out.name = s.name;
  out.kind = s.kind;
  out.run = s.run;
  out.x = s.x;
  out.y = s.y;
  put_on_site(world, s.x, s.y, out.northing, out.easting);
  hang(world, s, out);
  return out;
}

std::string drawing_csv(const World& world) {
  std::string out = "point,x,y,height,kind,run,was\n";
  for (const WorldPoint& p : world.points)
    out += p.name + "," + number_of(p.x) + "," + number_of(p.y) + "," +
           (p.height ? number_of(*p.height) : "") + "," + p.kind + "," + p.run + "," + p.was + "\n";
  return out;
}

std::string ties_csv(const World& world) {
  std::string out = "mark,x,y,northing,easting\n";
  int mark = 0;
  for (const Micro y : {Micro{0}, 30 * kMetre})
    for (const Micro x : {Micro{0}, 40 * kMetre}) {
      Micro northing = 0, easting = 0;
      put_on_site(world, x, y, northing, easting);
      out += "T" + std::to_string(++mark) + "," + number_of(x) + "," + number_of(y) + "," +
             number_of(northing) + "," + number_of(easting) + "\n";
    }
  return out;
}

std::string outline(const std::string& name, Micro x1, Micro y1, Micro x2, Micro y2,
                    const std::string& last) {
  std::string out;
  for (const auto& [x, y] : {std::pair(x1, y1), std::pair(x2, y1), std::pair(x2, y2), std::pair(x1, y2)})
    out += name + "," + number_of(x) + "," + number_of(y) + "," + last + "\n";
  return out;
}

std::string bays_csv(const World& world) {
  const Micro low = -20 * kMetre, high = 60 * kMetre;
  return "bay,x,y,elevation\n" + outline("west", low, low, kBayEdge, high, number_of(world.deck_low)) +
         outline("east", kBayEdge, low, high, high, number_of(world.deck_high));
}

std::string ducts_csv(const World& world) {
  std::string out = "name,x,y,clearance\n";
  for (const int cell : world.ducts) {
    const Micro x = cell_x(cell), y = cell_y(cell);
    out += outline("D" + std::to_string(cell), x - kDuctAlong, y - kDuctAcross, x + kDuctAlong,
                   y + kDuctAcross, number_of(kDuctClear));
  }
  return out;
}

std::string crews_text(const World& world) {
  std::string out;
  for (std::size_t i = 0; i < world.crews.size(); ++i) {
    const WorldCrew& crew = world.crews[i];
    std::string names;
    const auto add = [&](const std::string& name) { names += (names.empty() ? "\"" : ", \"") + name + "\""; };
    if (crew.by_runs) {
      for (const std::string& run : crew.runs) add(run);
    } else {
      for (const WorldPoint& p : world.points)
        if (const auto at = world.crew_of.find(p.name);
            at != world.crew_of.end() && (at->second >> i & 1) != 0)
          add(p.name);
    }
    out += "[[crew]]\nname = \"" + crew.name + "\"\n" + (crew.by_runs ? "runs" : "points") + " = [" + names +
           "]\n";
  }
  return out;
}

std::string job_toml(const World& world) {
  std::string out;
  if (!world.revision.empty()) out += "revision = \"" + world.revision + "\"\n";
  out += "[drawing]\npoints = \"drawing.csv\"\n";
  if (world.mirrored) out += "mirrored = true\n";
  if (world.ties) out += "[baselines]\nties = \"ties.csv\"\n";
  out += "[floor]\nelevation = " + length(world.floor) + "\n";
  if (world.deck == WorldDeck::level) out += "[deck]\nelevation = " + length(world.deck_low) + "\n";
  if (world.deck == WorldDeck::bays) out += "[deck]\nbays = \"bays.csv\"\n";
  if (world.height || world.cut_top || world.cut_bottom) out += "[hangers]\n";
  if (world.height) out += "height = " + length(*world.height) + "\n";
  if (world.cut_top) out += "cut_top = " + length(*world.cut_top) + "\n";
  if (world.cut_bottom) out += "cut_bottom = " + length(*world.cut_bottom) + "\n";
  if (!world.ducts.empty() && world.deck != WorldDeck::none)
    out += "[obstructions]\noutlines = \"ducts.csv\"\n";
  if (!world.storey.empty()) out += "[storey]\nname = \"" + world.storey + "\"\n";
  out += "[numbers]\nstart = " + std::to_string(world.start) + "\nstep = " + std::to_string(world.step) +
         "\ndeck_offset = " + std::to_string(world.deck_offset) + "\n";
  const WorldLayout& l = world.layout;
  out += std::string("[list]\nunit = \"") + l.unit.word + "\"\ndecimals = " + std::to_string(l.decimals) +
         "\nline_end = \"" + (l.lf ? "lf" : "crlf") + "\"\n";
  if (l.header) out += "header = true\n";
  if (l.by_run) out += "order = \"run\"\n";
  if (l.split) out += "split = \"run\"\n";
  return out + crews_text(world);
}

}  // namespace

Micro cell_x(int cell) { return (cell % kColumns + 1) * kMetre; }
Micro cell_y(int cell) { return (cell / kColumns + 1) * kMetre; }

SiteAxes axes_of(const World& world) {
  const int hand = world.mirrored ? -1 : 1;
  if (!world.ties) return {0, 5, 5 * hand, 0};
  return {world.along, world.across, hand * world.across, -hand * world.along};
}

void put_on_site(const World& world, Micro x, Micro y, Micro& northing, Micro& easting) {
  const SiteAxes a = axes_of(world);
  northing = world.site_north + (x * a.x_north + y * a.y_north) / 5;
  easting = world.site_east + (x * a.x_east + y * a.y_east) / 5;
}

std::map<std::string, std::string> files_of(const World& world) {
  std::map<std::string, std::string> files = {{"job.toml", job_toml(world)},
                                              {"drawing.csv", drawing_csv(world)}};
  if (world.ties) files["ties.csv"] = ties_csv(world);
  if (world.deck == WorldDeck::bays) files["bays.csv"] = bays_csv(world);
  if (!world.ducts.empty()) files["ducts.csv"] = ducts_csv(world);
  return files;
}

HandedOut handed_out(const World& world) {
  HandedOut out;
  out.revision = world.revision;
  out.storey = world.storey;
  out.folder = world.folder;
  out.floor = world.floor;
  out.deck_offset = world.deck_offset;
  out.start = world.start;
  out.step = world.step;
  out.axes = axes_of(world);
  for (const WorldPoint& p : world.points) out.points.push_back(handed(world, p));
  for (const WorldPoint& p : world.points)
    if (has_duct(world, p))
      for (const bool second : {false, true}) out.points.push_back(support(world, p, second));
  return out;
}

}  // namespace deckmark_test
