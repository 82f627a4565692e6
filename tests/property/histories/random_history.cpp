#include "random_history.h"

#include <algorithm>
#include <cstdlib>
#include <set>
#include <utility>

namespace deckmark_test {

namespace {

/// Points stay so near to the middle of their cell: what is bridged stays within its duct.
constexpr Micro kRoam = 60000;
/// Two points nearer than this would have a claim to one place.
constexpr Micro kApart = 3000;

bool near(const WorldPoint& a, const WorldPoint& b) {
  return std::llabs(a.x - b.x) < kApart && std::llabs(a.y - b.y) < kApart;
}
std::mt19937 of_seed_1(std::uint32_t index) {
  std::seed_seq seed{std::uint32_t{1}, index};
  return std::mt19937(seed);
}
/// Prints to a hundredth of a millimetre without a half.
bool prints_plainly(Micro value) { return value % 10 != 5 && value % 10 != -5; }

}  // namespace

RandomHistory::RandomHistory(std::uint32_t index) : random_(of_seed_1(index)) {
  static constexpr std::pair<int, int> kTurns[] = {{5, 0},  {0, 5},  {-5, 0}, {3, 4},
                                                   {4, -3}, {-3, 4}, {-4, -3}};
  world_.mirrored = chance(25);
  world_.ties = chance(60);
  if (world_.ties) {
    std::tie(world_.along, world_.across) = kTurns[below(std::size(kTurns))];
    world_.site_north = 50 * static_cast<Micro>(below(40000000));
    world_.site_east = 50 * static_cast<Micro>(below(40000000));
  }
  has_crews_ = chance(30);
  if (chance(15)) world_.start = 11;
  if (chance(15)) world_.step = 10;
  if (chance(20)) world_.revision.clear();
  world_.deck = static_cast<WorldDeck>(below(3));
  if (chance(80)) world_.height = 3000000 + fifties(400);
  if (chance(60)) world_.cut_top = 50000;
  if (chance(30)) world_.cut_bottom = 30000;
  const std::size_t count = 10 + below(15);
  for (std::size_t i = 0; i < count; ++i) add();
  for (int i = 0; i < 4; ++i) change_run();
  for (int i = 0; i < 3; ++i)
    creeping_.push_back({any().name, {50 * Micro(below(13)), -50 * Micro(below(13))}});
  if (has_crews_) {
    const bool by_runs = chance(40);
    for (const char* name : {"north", "south"}) world_.crews.push_back({name, by_runs, {}});
    if (by_runs) {
      world_.points[0].run = "R1";
      world_.points[1].run = "R2";
      world_.crews[0].runs = {"R1"};
      world_.crews[1].runs = {"R2"};
    } else {
      world_.crew_of[world_.points[0].name] = 1;
      world_.crew_of[world_.points[1].name] = 2;
    }
  }
  had_deck_ = world_.deck != WorldDeck::none;
}

const std::vector<RandomHistory::Weighed>& RandomHistory::steps() {
  using H = RandomHistory;
  static const std::vector<Weighed> all = {{&H::move, 16},
                                           {&H::drop, 8},
                                           {&H::bring_back, 7},
                                           {&H::rename_at_place, 5},
                                           {&H::rename_at_grave, 3},
                                           {&H::rename_by_was, 5},
                                           {&H::clear_was, 3},
                                           {&H::rename_dropped_by_was, 2},
                                           {&H::add, 7},
                                           {&H::change_deck, 4},
                                           {&H::raise_deck, 7},
                                           {&H::change_floor, 2},
                                           {&H::change_height, 4},
                                           {&H::change_kind, 4},
                                           {&H::change_own_height, 5},
                                           {&H::change_run, 3},
                                           {&H::change_cuts, 4},
                                           {&H::change_duct, 7},
                                           {&H::change_crew, 5},
                                           {&H::refit, 5},
                                           {&H::change_revision, 6},
                                           {&H::change_storey, 1},
                                           {&H::change_numbers, 1}};
  return all;
}

void RandomHistory::change() {
  static const std::size_t kSum = [] {
    std::size_t sum = 0;
    for (const Weighed& w : steps()) sum += w.weight;
    return sum;
  }();
  const World before = world_;
  const auto freed = freed_;
  if (chance(60)) creep();
  for (std::size_t left = below(5); left > 0; --left) {
    std::size_t at = below(kSum), i = 0;
    while (at >= steps()[i].weight) at -= steps()[i++].weight;
    (this->*steps()[i].step)();
  }
  if (!is_sound()) {
    world_ = before;
    freed_ = freed;
  }
  if (world_.deck != WorldDeck::none) had_deck_ = true;
}

void RandomHistory::lay_out_anew() {
  for (std::size_t i = world_.points.size(); i > 1; --i)
    std::swap(world_.points[i - 1], world_.points[below(i)]);
  WorldLayout& l = world_.layout;
  static constexpr TableUnit kUnits[] = {kMetres, kMillimetres, kCentimetres};
  l.unit = kUnits[below(3)];
  l.decimals = static_cast<int>(3 + below(3));
  l.header = chance(50);
  l.by_run = chance(50);
  l.lf = chance(50);
  l.split = chance(30);
}

void RandomHistory::choose_folder(int issue) {
  world_.folder = chance(10) ? "issued/" + std::to_string(issue) : "out";
}

void RandomHistory::move_one() {
  WorldPoint& p = world_.points[0];
  p.x += p.x > cell_x(p.cell) ? -5000 : 5000;
}

WorldPoint RandomHistory::at_cell(int cell) {
  WorldPoint p;
  p.cell = cell;
  Micro northing = 0, easting = 0;
  do {
    p.x = cell_x(cell) + static_cast<Micro>(world_.ties ? 5 * below(10) : below(50));
    p.y = cell_y(cell) + static_cast<Micro>(world_.ties ? 5 * below(10) : below(50));
    put_on_site(world_, p.x, p.y, northing, easting);
  } while (!prints_plainly(northing) || !prints_plainly(easting));
  return p;
}

/// Turned back where it would leave its cell.
void RandomHistory::shift(WorldPoint& p, Micro x, Micro y) {
  p.x += std::llabs(p.x + x - cell_x(p.cell)) > kRoam ? -x : x;
  p.y += std::llabs(p.y + y - cell_y(p.cell)) > kRoam ? -y : y;
}

bool RandomHistory::is_free(const WorldPoint& p) const {
  return std::none_of(world_.points.begin(), world_.points.end(),
                      [&](const WorldPoint& other) { return other.cell == p.cell || near(other, p); });
}

bool RandomHistory::is_sound() const {
  if (world_.points.size() < 4) return false;
  std::set<std::string> names;
  for (const WorldPoint& p : world_.points)
    if (!names.insert(p.name).second) return false;
  for (std::size_t i = 0; i < world_.crews.size(); ++i) {
    const WorldCrew& crew = world_.crews[i];
    const bool has_one = std::any_of(world_.points.begin(), world_.points.end(), [&](const WorldPoint& p) {
      if (crew.by_runs) return std::find(crew.runs.begin(), crew.runs.end(), p.run) != crew.runs.end();
      const auto at = world_.crew_of.find(p.name);
      return at != world_.crew_of.end() && (at->second >> i & 1) != 0;
    });
    if (!has_one) return false;
  }
  const HandedOut out = handed_out(world_);
  return std::all_of(out.points.begin(), out.points.end(), [](const HandedPoint& p) {
    return prints_plainly(p.northing) && prints_plainly(p.easting);
  });
}

WorldPoint RandomHistory::take_out(std::size_t i) {
  const WorldPoint p = world_.points[i];
  world_.points.erase(world_.points.begin() + static_cast<std::ptrdiff_t>(i));
  world_.gone.push_back(p);
  return p;
}

// Places.

void RandomHistory::creep() {
  for (const auto& [name, by] : creeping_)
    for (WorldPoint& p : world_.points)
      if (p.name == name) shift(p, by.first, by.second);
}

void RandomHistory::move() {
  static constexpr std::pair<Micro, Micro> kMillimetre[] = {{1000, 0}, {0, -1000}, {600, 800}, {-800, 600}};
  const std::size_t kind = below(10);
  for (std::size_t left = 1 + below(3); left > 0; --left) {
    WorldPoint& p = any();
    if (kind == 0) {
      const auto& [x, y] = kMillimetre[below(4)];
      shift(p, x, y);
    } else {
      const std::size_t most = kind < 5 ? 24 : 600;  // in 0.05 mm
      shift(p, fifties(most), chance(30) ? 0 : fifties(most));
    }
  }
}

void RandomHistory::refit() {
  if (!world_.ties) return;
  const std::size_t most = chance(15) ? 800 : 30;
  world_.site_north += fifties(most);
  world_.site_east += fifties(most);
}

// Names.

void RandomHistory::add() {
  for (std::size_t left = 1 + below(world_.points.size() < 8 ? 1 : 2); left > 0; --left) {
    if (world_.points.size() > 26) return;
    WorldPoint p = at_cell(cells_++);
    p.name = fresh_name();
    if (!freed_.empty() && chance(20)) {
      const std::string name = freed_.back();
      if (std::none_of(world_.points.begin(), world_.points.end(),
                       [&](const WorldPoint& o) { return o.was == name || o.name == name; })) {
        p.name = name;
        freed_.pop_back();
      }
    }
    if (chance(30)) p.kind = chance(50) ? "reference" : "bracket";
    if (chance(40)) p.height = 2800000 + fifties(4000);
    if (has_crews_ && chance(80)) give_crew(p.name);
    world_.points.insert(world_.points.begin() + static_cast<std::ptrdiff_t>(below(world_.points.size() + 1)),
                         p);
  }
}

void RandomHistory::drop() {
  for (std::size_t left = 1 + below(2); left > 0; --left)
    if (world_.points.size() > 5) take_out(below(world_.points.size()));
}

void RandomHistory::bring_back() {
  if (world_.gone.empty()) return;
  const std::size_t i = below(world_.gone.size());
  WorldPoint p = world_.gone[i];
  const std::string name = p.name;
  if (chance(40)) shift(p, fifties(30), fifties(30));
  if (!is_free(p) || chance(10)) {
    // Whole metres off, so that what it moved by prints without a half.
    const int cell = cells_++;
    p.x += cell_x(cell) - cell_x(p.cell);
    p.y += cell_y(cell) - cell_y(p.cell);
    p.cell = cell;
  }
  std::erase_if(world_.gone, [&](const WorldPoint& g) { return g.name == name; });
  p.was.clear();
  world_.points.push_back(p);
}

void RandomHistory::rename_at_place() {
  WorldPoint p = take_out(below(world_.points.size()));
  p.name = fresh_name();
  p.was.clear();
  if (chance(30)) shift(p, fifties(8), fifties(8));
  if (has_crews_) give_crew(p.name);
  world_.points.push_back(p);
}

void RandomHistory::rename_at_grave() {
  if (world_.gone.empty()) return;
  WorldPoint p = world_.gone[below(world_.gone.size())];
  if (!is_free(p)) return;
  p.name = fresh_name();
  p.was.clear();
  world_.points.push_back(p);
}

void RandomHistory::rename_by_was() {
  WorldPoint& p = any();
  freed_.push_back(p.name);
  p.was = p.name;
  p.name = fresh_name();
  if (const auto at = world_.crew_of.find(p.was); at != world_.crew_of.end()) {
    const int crews = at->second;
    world_.crew_of[p.name] = crews;
  }
  if (chance(30)) shift(p, fifties(100), fifties(100));
}

void RandomHistory::rename_dropped_by_was() {
  if (world_.gone.empty()) return;
  WorldPoint p = world_.gone[below(world_.gone.size())];
  if (!is_free(p)) return;
  std::erase_if(world_.gone, [&](const WorldPoint& g) { return g.name == p.name; });
  p.was = p.name;
  p.name = fresh_name();
  world_.points.push_back(p);
}

void RandomHistory::clear_was() {
  for (WorldPoint& p : world_.points) p.was.clear();
}

// Heights.

void RandomHistory::change_deck() { world_.deck = static_cast<WorldDeck>(below(3)); }

void RandomHistory::raise_deck() {
  Micro& deck = chance(50) ? world_.deck_low : world_.deck_high;
  deck += fifties(chance(40) ? 24 : 1000);
}

void RandomHistory::change_floor() { world_.floor += fifties(chance(40) ? 24 : 400); }

void RandomHistory::change_height() {
  if (world_.height && chance(20))
    world_.height.reset();
  else
    world_.height = world_.height.value_or(3000000) + fifties(chance(40) ? 24 : 1000);
}

void RandomHistory::change_own_height() {
  for (std::size_t left = 1 + below(3); left > 0; --left) {
    WorldPoint& p = any();
    if (p.height && chance(20))
      p.height.reset();
    else
      p.height = p.height.value_or(2900000) + fifties(chance(40) ? 24 : 1000);
  }
}

void RandomHistory::change_cuts() {
  MaybeMicro& cut = chance(50) ? world_.cut_top : world_.cut_bottom;
  if (cut && chance(40))
    cut.reset();
  else
    cut = std::max<Micro>(0, cut.value_or(50000) + fifties(chance(40) ? 24 : 300));
}

void RandomHistory::change_duct() {
  if (has_crews_) return;  // nothing says whose the supports are
  const int cell = any().cell;
  if (const auto at = std::find(world_.ducts.begin(), world_.ducts.end(), cell); at != world_.ducts.end())
    world_.ducts.erase(at);
  else if (world_.ducts.size() < 4 || chance(50))
    world_.ducts.push_back(cell);
  if (world_.ducts.size() > 4) world_.ducts.erase(world_.ducts.begin());
}

// The rest.

void RandomHistory::change_kind() {
  static constexpr const char* kKinds[] = {"", "", "reference", "bracket"};
  any().kind = kKinds[below(4)];
}

void RandomHistory::change_run() {
  static constexpr const char* kRuns[] = {"", "R1", "R2", "R3"};
  for (std::size_t left = 1 + below(3); left > 0; --left) any().run = kRuns[below(4)];
}

void RandomHistory::change_crew() {
  if (!has_crews_) return;
  for (std::size_t left = 1 + below(4); left > 0; --left)
    world_.crew_of[any().name] = static_cast<int>(below(4));
  if (chance(10)) std::swap(world_.crews[0].runs, world_.crews[1].runs);
}

void RandomHistory::change_revision() {
  ++revisions_;
  world_.revision = chance(20) ? "rev " + std::to_string(revisions_) + ", issued"
                               : std::string(1, static_cast<char>('A' + revisions_ % 26));
}

void RandomHistory::change_storey() {
  world_.storey = world_.storey.empty() || chance(50) ? "level 3" : "level 4";
}

void RandomHistory::change_numbers() {
  if (!had_deck_)
    world_.deck_offset += 1000;
  else
    world_.start += static_cast<std::int64_t>(below(3));
}

}  // namespace deckmark_test
