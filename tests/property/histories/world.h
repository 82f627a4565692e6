#pragma once
/// A job as it stands on one day: its files as a person writes them, and what a run must hand out, exact in
/// micrometres (sites are turned by whole fifths, decks are level).

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "account.h"

namespace deckmark_test {

struct WorldPoint {
  std::string name, was, kind, run;  ///< kind empty: a hanger
  Micro x = 0, y = 0;
  MaybeMicro height;  ///< of the bracket above the floor; else the job's
  int cell = 0;       ///< where its duct lies, if there is one
};

struct WorldCrew {
  std::string name;
  bool by_runs = false;
  std::vector<std::string> runs;
};

/// How lists and tables are written; of this the account knows the unit alone.
struct WorldLayout {
  TableUnit unit = kMetres;
  int decimals = 4;
  bool header = false, by_run = false, lf = true, split = false;
};

enum class WorldDeck { none, level, bays };

struct World {
  std::string revision = "A", storey, folder = "out";
  std::vector<WorldPoint> points;
  std::vector<WorldPoint> gone;  ///< as they stood last, dropped or renamed; the last is the newest
  Micro floor = 12000000;
  WorldDeck deck = WorldDeck::level;
  Micro deck_low = 16200000, deck_high = 16300000;  ///< level: low; bays: west and east of kBayEdge
  MaybeMicro height, cut_top, cut_bottom;
  std::vector<int> ducts;  ///< the cells whose point is bridged
  std::vector<WorldCrew> crews;
  std::map<std::string, int> crew_of;  ///< by point: a sum of 1 for the first crew, 2 for the second
  bool ties = false, mirrored = false;
  int along = 5, across = 0;  ///< +X: fifths north and east, with ties
  Micro site_north = 0, site_east = 0;
  std::int64_t deck_offset = 5000, start = 1001, step = 1;
  WorldLayout layout;
};

/// Where the point of a cell is drawn first, without what is added by chance.
Micro cell_x(int cell);
Micro cell_y(int cell);

SiteAxes axes_of(const World& world);
/// Northing and easting of a drawing place.
void put_on_site(const World& world, Micro x, Micro y, Micro& northing, Micro& easting);
std::map<std::string, std::string> files_of(const World& world);
HandedOut handed_out(const World& world);

}  // namespace deckmark_test
