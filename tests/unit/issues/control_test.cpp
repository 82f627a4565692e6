#include "issues/control.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace deckmark;

namespace {

using Control = std::vector<KeptControl>;
using Rows = std::vector<IssuedControl>;

Kept mm(double v) { return Kept::of(Length::millimetres(v)); }

/// Millimetres; without a height where none is given.
KeptControl at(std::string point, double n, double e, Kept h = Kept::none()) {
  return {std::move(point), {mm(n), mm(e)}, h};
}
std::string told(const std::vector<ControlMove>& moves) {
  std::string out;
  for (const ControlMove& m : moves) {
    out += std::to_string(m.point) + ":";
    for (const Kept k : {m.north, m.east, m.up})
      out += k.is_none() ? "-," : std::to_string(k.micrometres()) + ",";
    out += std::to_string(m.since) + " ";
  }
  return out;
}

}  // namespace

TEST_CASE("an issue adds the points that are new or lie elsewhere than their last row says") {
  const Rows kept{{1, at("A", 0, 0)}, {1, at("B", 10, 10, mm(5))}, {2, at("A", 7, 0)}};
  const auto added = [&](const Control& now) {
    std::string out;
    for (const IssuedControl& row : control_to_add(kept, now, 3))
      out += std::to_string(row.issue) + row.control.point + " ";
    return out;
  };
  CHECK(added({at("A", 7, 0), at("b", 10, 10, mm(5))}).empty());  // letter case aside
  CHECK(added({at("A", 0, 0)}) == "3A ");                         // as its first row, not its last
  CHECK(added({at("A", 7, 0.001)}) == "3A ");                     // whatever the size
  CHECK(added({at("A", 7, 0, mm(1))}) == "3A ");                  // a height that it had not
  CHECK(added({at("B", 10, 10)}) == "3B ");                       // nor has now
  CHECK(added({at("C", 1, 1), at("A", 7, 1)}) == "3C 3A ");       // as the control stands
  CHECK(added({}).empty());                                       // one that is gone has no row
  CHECK(control_to_add({}, Control{at("A", 0, 0)}, 1).size() == 1);
}

TEST_CASE("more than 3 mm in plan or in height is a move") {
  struct Row {
    KeptControl now;
    bool moved;
  };
  const Control kept{at("A", 1000, 2000, mm(50))};
  for (const Row& r :
       {Row{at("A", 1000, 2000, mm(50)), false}, Row{at("A", 1003, 2000, mm(50)), false},
        Row{at("A", 1003.001, 2000, mm(50)), true}, Row{at("A", 1000, 1996.999, mm(50)), true},
        Row{at("A", 1002.2, 2002.2, mm(50)), true}, Row{at("A", 1002.1, 2002.1, mm(50)), false},
        Row{at("A", 1000, 2000, mm(53)), false}, Row{at("A", 1000, 2000, mm(46.999)), true},
        Row{at("A", 1000, 2000), false}, Row{at("a", 1090, 2000), true}, Row{at("B", 1090, 2000), false},
        Row{at("A", 9e11, -9e11), true}}) {
    CAPTURE(r.now.at.northing.micrometres());
    CAPTURE(r.now.at.easting.micrometres());
    CHECK(control_moves(kept, Control{r.now}).moved.size() == (r.moved ? 1U : 0U));
  }
  const ControlMoves found = control_moves(kept, Control{at("N", 0, 0), at("A", 1090, 1988, mm(45))});
  CHECK(told(found.moved) == "1:90000,-12000,-5000,0 ");
  CHECK(found.compared == 1);
}

TEST_CASE("an issue is held against those before it, in its own run and in every run again") {
  const Control now{at("A", 90, 0)};
  const Rows before{{1, at("A", 0, 0)}};
  // Control changed, and no issue was made of it yet: against the last one.
  CHECK(told(control_moves(before, now, 2, 2).moved) == "0:90000,0,-,2 ");
  // The run that makes issue 3, and that issue again, which holds the new place.
  const std::string want = "0:90000,0,-,2 ";
  CHECK(told(control_moves(before, now, 3, 2).moved) == want);
  const Rows after{{1, at("A", 0, 0)}, {3, at("A", 90, 0)}};
  CHECK(told(control_moves(after, now, 3, 3).moved) == want);
  // The issue after it has nothing to tell, made or again.
  CHECK(told(control_moves(after, now, 4, 3).moved).empty());
  CHECK(told(control_moves(after, now, 4, 4).moved).empty());
  // Put back after issue 3 was made with it: that issue lies elsewhere now.
  CHECK(told(control_moves(after, Control{at("A", 0, 0)}, 3, 3).moved) == "0:-90000,0,-,3 ");
  // First seen in the issue itself.
  const ControlMoves fresh = control_moves(Rows{{2, at("A", 0, 0)}}, Control{at("A", 0, 0)}, 2, 2);
  CHECK(fresh.moved.empty());
  CHECK(fresh.compared == 0);
}

TEST_CASE("what creeps from issue to issue is told once it adds up, and then from there") {
  Rows rows{{1, at("A", 0, 0)}, {2, at("A", 2, 0)}};
  CHECK(told(control_moves(rows, Control{at("A", 2, 0)}, 2, 2).moved).empty());
  CHECK(told(control_moves(rows, Control{at("A", 4, 0)}, 3, 2).moved) == "0:4000,0,-,2 ");
  rows.push_back({3, at("A", 4, 0)});
  CHECK(told(control_moves(rows, Control{at("A", 4, 0)}, 3, 3).moved) == "0:4000,0,-,2 ");
  CHECK(told(control_moves(rows, Control{at("A", 6, 0)}, 4, 3).moved).empty());  // 2 mm from what was told
  // A height that was stated later is held on to.
  const Rows high{{1, at("A", 0, 0)}, {2, at("A", 0, 0, mm(10))}, {3, at("A", 0, 0)}};
  CHECK(told(control_moves(high, Control{at("A", 0, 0, mm(14))}, 4, 3).moved) == "0:0,0,4000,3 ");
}

TEST_CASE("most of the control by one vector is one move") {
  const auto common = [](const Control& kept, const Control& now) {
    const auto found = common_move(control_moves(kept, now));
    return found ? told({*found}).substr(2) : std::string();
  };
  const Control kept{at("A", 0, 0), at("B", 0, 1000), at("C", 1000, 0), at("D", 500, 500)};
  const auto moved = [&](std::vector<double> north, double east) {
    Control out = kept;
    for (std::size_t i = 0; i < north.size(); ++i)
      if (north[i] != 0)
        out[i].at = {mm(1000 * out[i].at.northing.metres() + north[i]),
                     mm(1000 * out[i].at.easting.metres() + east)};
    return out;
  };
  CHECK(common(kept, moved({90, 90, 90, 90}, 12)) == "90000,12000,-,0 ");
  CHECK(common(kept, moved({90, 89, 91, 0}, 12)) == "90000,12000,-,0 ");
  CHECK(common(kept, moved({90, 90, 0, 0}, 12)).empty());     // half is not most
  CHECK(common(kept, moved({90, 90, -90, 40}, 12)).empty());  // most moved, not alike
  CHECK(common(kept, moved({90, 90, 90, -500}, 12)) == "90000,12000,-,0 ");
  CHECK(common(Control{at("A", 0, 0)}, Control{at("A", 90, 0)}).empty());  // one point is itself
}
