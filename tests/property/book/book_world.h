#pragma once
/// A storey that is laid out over days: points in runs, a level deck with ducts, rods; revisions of it; its
/// files for the real program. Places are whole micrometres; sites are turned by fifths, so nothing is
/// rounded but where a turned place needs more digits than the ledger keeps.

#include <map>
#include <random>
#include <string>
#include <vector>

#include "command/job_folder.h"
#include "today_account.h"

namespace deckmark_test {

struct BookPoint {
  std::string name, run;
  Micro x = 0, y = 0, height = 0;
};

/// Whole random numbers alike on every compiler.
class Dice {
 public:
  explicit Dice(std::uint32_t index) : engine_(index * 2654435761u + 1) {}
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(engine_() % n); }
  bool chance(std::size_t percent) { return below(100) < percent; }
  /// Either sign, up to so many micrometres.
  Micro within(Micro most) {
    return static_cast<Micro>(below(static_cast<std::size_t>(2 * most + 1))) - most;
  }
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }
  double normal();

 private:
  std::mt19937_64 engine_;
};

struct BookWorld {
  std::string revision = "A";
  std::vector<BookPoint> points;
  std::vector<std::pair<Micro, Micro>> ducts;  ///< their middles; what hangs under one is bridged
  bool deck = true, bays = false, cuts = true;
  bool ties = false, mirrored = false;
  int along = 0, across = 5;  ///< +X: fifths north and east
  Micro north = 0, east = 0;
  std::int64_t start = 1001, step = 1, deck_offset = 5000;
  bool millimetres = false;  ///< unit of lists
  Micro plan = 6000, plumb = 6000, rod = 5000, old_hole = 300000, sd = 2000;
  std::vector<DrillZone> zones;
  std::vector<std::string> released;  ///< rows of `what`; no table where there are none
  int names = 0, ducts_made = 0;

  DrawingAxes axes() const;
  TodayRules rules() const;
  BookPoint* named(const std::string& name);
};

/// A storey with two to four runs.
BookWorld random_world(Dice& dice);
/// Points move by up to 20 mm, go, come, change places by a few mm under another name; ducts come and go;
/// rods become longer or shorter; zones and releases are made.
void revise(BookWorld& world, Dice& dice);
void lay(JobFolder& folder, const BookWorld& world);

}  // namespace deckmark_test
