#include "book_world.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr Micro kMetre = 1000000;
constexpr Micro kDuctAlong = 300000, kDuctAcross = 120000, kDuctClear = 50000;
constexpr Micro kDeckOver = 4200000, kFloor = 12000000;

std::string length(Micro value) { return "\"" + metres_cell(value) + " m\""; }

void on_site(const BookWorld& w, Micro x, Micro y, Micro& northing, Micro& easting) {
  const int hand = w.mirrored ? -1 : 1;
  // from above +Y lies to the left of +X, of a mirrored drawing to its right
  northing = w.north + (x * w.along + y * hand * w.across) / 5;
  easting = w.east + (x * w.across - y * hand * w.along) / 5;
}

std::string ties_csv(const BookWorld& w) {
  std::string out = "mark,x,y,northing,easting\n";
  int mark = 0;
  for (const Micro y : {Micro{0}, 30 * kMetre})
    for (const Micro x : {Micro{0}, 40 * kMetre}) {
      Micro northing = 0, easting = 0;
      on_site(w, x, y, northing, easting);
      out += "T" + std::to_string(++mark) + "," + metres_cell(x) + "," + metres_cell(y) + "," +
             metres_cell(northing) + "," + metres_cell(easting) + "\n";
    }
  return out;
}

std::string box(const std::string& name, Micro x1, Micro y1, Micro x2, Micro y2, const std::string& last) {
  std::string out;
  for (const auto& [x, y] : {std::pair(x1, y1), std::pair(x2, y1), std::pair(x2, y2), std::pair(x1, y2)})
    out += name + "," + metres_cell(x) + "," + metres_cell(y) + "," + last + "\n";
  return out;
}

constexpr Micro kWest = 4100000;  // where one bay ends and the other begins
constexpr Micro kFar = 60 * kMetre;

std::string ducts_csv(const BookWorld& w) {
  std::string out = "name,x,y,clearance\n";
  int i = 0;
  for (const auto& [x, y] : w.ducts)
    out += box("D" + std::to_string(++i), x - kDuctAlong, y - kDuctAcross, x + kDuctAlong, y + kDuctAcross,
               metres_cell(kDuctClear));
  return out;
}

std::string zones_csv(const BookWorld& w) {
  std::string out = "zone,x,y,clearance,reference\n";
  for (const DrillZone& zone : w.zones)
    for (const Corner& c : zone.corners)
      out += zone.name + text(",%.6f,%.6f,%.6f,scan 7\n", c.x, c.y, zone.clearance);
  return out;
}

std::string job_toml(const BookWorld& w) {
  std::string out = "revision = \"" + w.revision + "\"\n[drawing]\npoints = \"drawing.csv\"\n";
  if (w.mirrored) out += "mirrored = true\n";
  if (w.ties) out += "[baselines]\nties = \"ties.csv\"\n";
  out += "[floor]\nelevation = " + length(kFloor) + "\n";
  if (w.deck) {
    out += "[deck]\n";
    out += w.bays ? "bays = \"bays.csv\"\n" : "elevation = " + length(kFloor + kDeckOver) + "\n";
    if (!w.zones.empty()) out += "no_drill = \"nodrill.csv\"\n";
    if (!w.released.empty()) out += "released = \"released.csv\"\n";
    if (!w.ducts.empty()) out += "[obstructions]\noutlines = \"ducts.csv\"\n";
    if (w.cuts) out += "[hangers]\ncut_top = \"0.050 m\"\n";
  }
  out += "[asbuilt]\nplan = " + length(w.plan) + "\n[plumb]\ntolerance = " + length(w.plumb) +
         "\n[book]\nrod = " + length(w.rod) + "\nold_hole = " + length(w.old_hole) +
         "\nsd = " + length(w.sd) + "\n";
  out += "[numbers]\nstart = " + std::to_string(w.start) + "\nstep = " + std::to_string(w.step) +
         "\ndeck_offset = " + std::to_string(w.deck_offset) + "\n[list]\nunit = \"" +
         (w.millimetres ? "mm\"\ndecimals = 2\n" : "m\"\ndecimals = 5\n");
  return out;
}

}  // namespace

double Dice::normal() {
  return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * std::numbers::pi * uniform());
}

DrawingAxes BookWorld::axes() const {
  const double hand = mirrored ? -1 : 1;
  if (!ties) return {0, 1, hand, 0, 0, 0};
  return {along / 5.0,
          across / 5.0,
          hand * across / 5.0,
          -hand * along / 5.0,
          static_cast<double>(north) / 1e6,
          static_cast<double>(east) / 1e6};
}

TodayRules BookWorld::rules() const {
  TodayRules r;
  const auto metres = [](Micro value) { return static_cast<double>(value) / 1e6; };
  r.plan = metres(plan);
  r.plumb = metres(plumb);
  r.rod = metres(rod);
  r.old_hole = metres(old_hole);
  r.axes = axes();
  r.zones = zones;
  r.released = {released.begin(), released.end()};
  if (bays) {
    const double west = metres(kWest), far = metres(kFar);
    r.bays = {{"west", {{-far, -far}, {west, -far}, {west, far}, {-far, far}}},
              {"east", {{west, -far}, {far, -far}, {far, far}, {west, far}}}};
  }
  return r;
}

BookPoint* BookWorld::named(const std::string& name) {
  const auto at = std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.name == name; });
  return at == points.end() ? nullptr : &*at;
}

BookWorld random_world(Dice& dice) {
  static constexpr std::pair<int, int> kTurns[] = {{5, 0},  {0, 5},  {-5, 0}, {3, 4},
                                                   {4, -3}, {-3, 4}, {-4, -3}};
  BookWorld w;
  w.mirrored = dice.chance(25);
  w.ties = dice.chance(60);
  if (w.ties) {
    std::tie(w.along, w.across) = kTurns[dice.below(std::size(kTurns))];
    w.north = 5 * static_cast<Micro>(dice.below(400000000));
    w.east = 5 * static_cast<Micro>(dice.below(400000000));
  }
  w.deck = dice.chance(90);
  w.bays = dice.chance(30);
  w.cuts = dice.chance(80);
  w.millimetres = dice.chance(50);
  if (dice.chance(20)) w.start = 11;
  if (dice.chance(20)) w.step = 10;
  if (dice.chance(20)) w.deck_offset = 3000;
  if (dice.chance(40)) w.plan = 5000 + static_cast<Micro>(dice.below(6)) * 1100;
  if (dice.chance(40)) w.plumb = 5000 + static_cast<Micro>(dice.below(6)) * 1100;
  if (dice.chance(30)) w.rod = 3300;
  if (dice.chance(30)) w.old_hole = 150000;
  if (dice.chance(30)) w.sd = dice.chance(50) ? 1000 : 4000;
  const std::size_t runs = 2 + dice.below(3);
  for (std::size_t r = 0; r < runs; ++r)
    for (std::size_t i = 0, n = 3 + dice.below(6); i < n; ++i) {
      BookPoint p{"H" + std::to_string(++w.names), "R" + std::to_string(r + 1),
                  static_cast<Micro>(i + 1) * 1200000 + dice.within(20000),
                  static_cast<Micro>(r + 1) * kMetre + dice.within(20000), 3000000 + dice.within(50000)};
      w.points.push_back(p);
      if (!dice.chance(10)) continue;  // a neighbour nearer than an old hole may be
      p.name = "H" + std::to_string(++w.names);
      p.x += 200000 + dice.within(3000);
      w.points.push_back(p);
    }
  if (dice.chance(60)) w.released = {"all"};
  if (dice.chance(30))
    w.released = w.bays ? std::vector<std::string>{"R1", "west"} : std::vector<std::string>{"R1", "R2"};
  return w;
}

namespace {

void move_some(BookWorld& w, Dice& dice) {
  static constexpr Micro kMost[] = {900, 4000, 8000, 14000};  // along each axis: up to 20 mm in all
  for (std::size_t n = dice.below(7); n > 0; --n) {
    BookPoint& p = w.points[dice.below(w.points.size())];
    const Micro most = kMost[dice.below(4)];
    p.x += dice.within(most);
    p.y += dice.within(most);
  }
}

/// With a new one beside it as often as not.
void drop_some(BookWorld& w, Dice& dice) {
  for (std::size_t n = dice.below(5); n > 0 && w.points.size() > 4; --n) {
    const std::size_t at = dice.below(w.points.size());
    BookPoint p = w.points[at];
    w.points.erase(w.points.begin() + static_cast<std::ptrdiff_t>(at));
    if (dice.chance(40)) continue;
    p.name = "H" + std::to_string(++w.names);
    p.x += dice.within(5000);
    p.y += dice.within(5000);
    w.points.push_back(p);
  }
}

void add_some(BookWorld& w, Dice& dice) {
  for (std::size_t n = dice.below(3); n > 0; --n) {
    BookPoint p = w.points[dice.below(w.points.size())];
    p.name = "H" + std::to_string(++w.names);
    p.x += 350000 + dice.within(90000);
    p.y += dice.within(9000);
    w.points.push_back(p);
  }
}

void duct_some(BookWorld& w, Dice& dice) {
  if (!w.ducts.empty() && dice.chance(40)) w.ducts.pop_back();
  if (!dice.chance(40)) return;
  const BookPoint& p = w.points[dice.below(w.points.size())];
  w.ducts.emplace_back(p.x + dice.within(20000), p.y + dice.within(20000));
}

void lengthen_some(BookWorld& w, Dice& dice) {
  for (std::size_t n = dice.below(5); n > 0; --n)
    w.points[dice.below(w.points.size())].height += dice.within(dice.chance(50) ? 20000 : 6000);
}

}  // namespace

void revise(BookWorld& w, Dice& dice) {
  w.revision = std::string(1, static_cast<char>(w.revision[0] + 1));
  move_some(w, dice);
  drop_some(w, dice);
  add_some(w, dice);
  if (w.deck) duct_some(w, dice);
  lengthen_some(w, dice);
  if (dice.chance(20)) w.released = {"all"};
}

void lay(JobFolder& folder, const BookWorld& w) {
  folder.write("job.toml", job_toml(w));
  std::string drawing = "point,x,y,height,kind,run\n";
  for (const BookPoint& p : w.points)
    drawing += p.name + "," + metres_cell(p.x) + "," + metres_cell(p.y) + "," + metres_cell(p.height) + ",," +
               p.run + "\n";
  folder.write("drawing.csv", drawing);
  if (w.ties) folder.write("ties.csv", ties_csv(w));
  if (w.bays)
    folder.write("bays.csv", "bay,x,y,elevation\n" +
                                 box("west", -kFar, -kFar, kWest, kFar, metres_cell(kFloor + kDeckOver)) +
                                 box("east", kWest, -kFar, kFar, kFar, metres_cell(kFloor + kDeckOver)));
  if (!w.ducts.empty()) folder.write("ducts.csv", ducts_csv(w));
  if (!w.zones.empty()) folder.write("nodrill.csv", zones_csv(w));
  if (!w.released.empty()) {
    std::string released = "what,by,on,reference\n";
    for (const std::string& what : w.released) released += what + ",P. Lund,2026-11-27,EN-12\n";
    folder.write("released.csv", released);
  }
}

}  // namespace deckmark_test
