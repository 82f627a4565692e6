#include "book/today.h"

#include <doctest/doctest.h>

#include "floor_of_today.h"

using namespace by_hand;
using plain::dropped;
using plain::hanger;
using plain::without_deck;

namespace {

/// As many millimetres to the east.
LedgerRow moved(std::uint32_t number, double millimetres, double x = 0) {
  return hanger("A", number, x + millimetres * kMillimetre);
}
/// The floor alone: the number has no deck point.
LedgerRow floor_alone(std::uint32_t number, double x = 0) { return without_deck(hanger("A", number, x)); }
LedgerRow floor_alone_moved(std::uint32_t number, double millimetres) {
  return without_deck(moved(number, millimetres));
}
LedgerRow of_run(std::string_view run, LedgerRow row) {
  row.run = run;
  return row;
}
LedgerRow with_cut(double metres, LedgerRow row) {
  row.cut = plain::kept(metres);
  return row;
}
constexpr auto kFloor = EntryLevel::floor;
constexpr auto kDeck = EntryLevel::deck;
using Off = Floor::Off;

struct Case {
  std::string_view name;
  void (*make)(Floor&);
  std::vector<std::string> wanted;
};

void expect(const std::vector<Case>& cases) {
  for (const Case& c : cases) {
    Floor floor;
    c.make(floor);
    CAPTURE(c.name);
    CHECK(floor.lines() == c.wanted);
  }
}

/// A floor alone whose issue 2 moved 1001 by 20 mm, with a cross that far short of the new place.
void floor_short_by(Floor& f, double millimetres, double sd) {
  f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 20)});
  f.floor(1001, 1, Off{0, 20 - millimetres, sd});
}
/// A hole that lies as far from where it is wanted.
void hole_short_by(Floor& f, double millimetres, double sd) {
  f.issue({hanger("A", 1001)}).issue({moved(1001, 20)});
  f.floor(1001, 2);
  f.hole(1001, 1, Off{0, 20 - millimetres, sd});
}
/// 1001 is dropped with a cross on the floor, 1002 lies as far from it and has none.
void dropped_beside_new(Floor& f, double millimetres, double sd) {
  f.issue({floor_alone(1001)})
      .issue({dropped(floor_alone(1001)), floor_alone(1002, millimetres * kMillimetre)});
  f.floor(1001, 1, Off{0, 0, sd});
}
/// 1002 is to be drilled so far from a hole of 1001 that was filled.
void drill_beside_filled(Floor& f, double millimetres) {
  f.issue({hanger("A", 1001), hanger("B", 1002, millimetres * kMillimetre)})
      .issue({dropped(hanger("A", 1001))});
  f.hole(1001, 1);
  f.act(Act::filled, 1001);
  f.floor(1002, 1);
  f.deck(1002, 1);
}

}  // namespace

TEST_CASE("today of a cross on the floor") {
  expect({
      {"none is marked", [](Floor& f) { f.issue({floor_alone(1001)}); }, {"1001 floor mark not made"}},
      {"one without reading from the issue's own place is left",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1);
       },
       {"1001 floor leave unchanged"}},
      {"one read at 6 mm, kept within T of its own issue, is left whatever its sd",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1, Off{0, 6, 9});
       },
       {"1001 floor leave unchanged"}},
      {"one kept 6.001 mm off is not unchanged",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1, Off{0, 6.001, 1});
       },
       {"1001 floor measure near-limit"}},
      {"its own issue has it 1 mm away",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 1)});
         f.floor(1001, 1, Off{0, -6, 9});
       },
       {"1001 floor leave unchanged"}},
      {"its own issue has it 1.001 mm away",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 1.001)});
         f.floor(1001, 1, Off{0, 0, 1});
       },
       {"1001 floor leave within"}},
      {"a number that moved and came back is unchanged",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 50)}).issue({floor_alone(1001)});
         f.floor(1001, 1);
       },
       {"1001 floor leave unchanged"}},
      {"exactly T - 2u", [](Floor& f) { floor_short_by(f, 4, 1); }, {"1001 floor leave within"}},
      {"a hundredth over T - 2u",
       [](Floor& f) { floor_short_by(f, 4.01, 1); },
       {"1001 floor measure near-limit"}},
      {"exactly T + 2u", [](Floor& f) { floor_short_by(f, 8, 1); }, {"1001 floor measure near-limit"}},
      {"a hundredth over T + 2u",
       [](Floor& f) { floor_short_by(f, 8.01, 1); },
       {"1001 floor mark-again beyond"}},
      {"the larger sd counts", [](Floor& f) { floor_short_by(f, 4.5, 0.7); }, {"1001 floor leave within"}},
      {"u without a reading is the key's",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 2)});
         f.floor(1001, 1);
       },
       {"1001 floor leave within"}},
      {"a hundredth beyond what that leaves",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({floor_alone_moved(1001, 2.01)});
         f.floor(1001, 1);
       },
       {"1001 floor measure near-limit"}},
      {"where 2u is T only d of none is within",
       [](Floor& f) { floor_short_by(f, 0, 3); },
       {"1001 floor leave within"}},
      {"where 2u is over T nothing is within",
       [](Floor& f) { floor_short_by(f, 0, 3.01); },
       {"1001 floor measure near-limit"}},
      {"one that somebody doubts",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1);
         f.doubt(1001, kFloor);
       },
       {"1001 floor measure doubtful"}},
      {"one that is beyond and doubted is measured first",
       [](Floor& f) {
         floor_short_by(f, 15, 1);
         f.doubt(1001, kFloor);
       },
       {"1001 floor measure doubtful"}},
      {"of two the newest that is left counts",
       [](Floor& f) {
         floor_short_by(f, 1, 1);
         f.floor(1001, 2, Off{0, 20, 1});
       },
       {"1001 floor leave within", "1001 floor void second"}},
      {"of two that are both left the newest counts",
       [](Floor& f) {
         floor_short_by(f, 1, 1);
         f.floor(1001, 2);
       },
       {"1001 floor void second", "1001 floor leave unchanged"}},
      {"of two of which none is left the newest is judged",
       [](Floor& f) {
         floor_short_by(f, 15, 1);
         f.floor(1001, 1, Off{0, 13, 1});
       },
       {"1001 floor void second", "1001 floor measure near-limit"}},
      {"the newest that is left, not one that is doubted",
       [](Floor& f) {
         floor_short_by(f, 1, 1);
         f.floor(1001, 2);
         f.doubt(1001, kFloor);
       },
       {"1001 floor leave within", "1001 floor void second"}},
      {"a voided one is none",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1);
         f.act(Act::voided, 1001);
       },
       {"1001 floor mark not made"}},
      {"a dropped number's is voided",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({dropped(floor_alone(1001))});
         f.floor(1001, 1);
       },
       {"1001 floor void dropped"}},
      {"both of a dropped number are",
       [](Floor& f) {
         f.issue({floor_alone(1001)}).issue({dropped(floor_alone(1001))});
         f.floor(1001, 1);
         f.floor(1001, 1, Off{0, 3, 1});
       },
       {"1001 floor void dropped", "1001 floor void dropped"}},
      {"a dropped number without any has no row",
       [](Floor& f) { f.issue({floor_alone(1001)}).issue({dropped(floor_alone(1001))}); },
       {}},
      {"of one that no issue knows it is voided",
       [](Floor& f) {
         f.issue({floor_alone(1001)});
         f.floor(1001, 1);
         f.floor(999, 1, std::nullopt);
         f.floor(2000, 1, std::nullopt);
       },
       {"999 floor void dropped", "1001 floor leave unchanged", "2000 floor void dropped"}},
  });
}

TEST_CASE("today gives a thing to a number that wants it") {
  expect({
      {"a dropped cross exactly T - 2u from a new number",
       [](Floor& f) { dropped_beside_new(f, 4, 1); },
       {"1002 floor renumber was 1001"}},
      {"a hundredth over T - 2u",
       [](Floor& f) { dropped_beside_new(f, 4.01, 1); },
       {"1001 floor void dropped", "1002 floor mark not made"}},
      {"not one that is doubted",
       [](Floor& f) {
         dropped_beside_new(f, 1, 1);
         f.doubt(1001, kFloor);
       },
       {"1001 floor void dropped", "1002 floor mark not made"}},
      {"not one whose rod hangs",
       [](Floor& f) {
         dropped_beside_new(f, 1, 1);
         f.hang(1001);
       },
       {"1001 floor void dropped", "1001 rod stop dropped", "1002 floor mark not made"}},
      {"a rod that is only cut does not keep it",
       [](Floor& f) {
         dropped_beside_new(f, 1, 1);
         f.act(Act::cut, 1001);
       },
       {"1001 rod stop dropped", "1002 floor renumber was 1001"}},
      {"not to a number that has one, however bad",
       [](Floor& f) {
         dropped_beside_new(f, 1, 1);
         f.floor(1002, 2, Off{0, 30, 1});
       },
       {"1001 floor void dropped", "1002 floor mark-again beyond"}},
      {"the nearest pair first over all",
       [](Floor& f) {
         f.issue({floor_alone(1001), floor_alone(1002, 0.003)})
             .issue(
                 {dropped(floor_alone(1001)), dropped(floor_alone(1002, 0.003)), floor_alone(1003, 0.002)});
         f.floor(1001, 1, Off{0, 0, 1});
         f.floor(1002, 1, Off{0, 0, 1});
       },
       {"1001 floor void dropped", "1003 floor renumber was 1002"}},
      {"and what that leaves to the next",
       [](Floor& f) {
         f.issue({floor_alone(1001), floor_alone(1002, 0.003)})
             .issue({dropped(floor_alone(1001)), dropped(floor_alone(1002, 0.003)), floor_alone(1003, 0.002),
                     floor_alone(1004, -0.003)});
         f.floor(1001, 1, Off{0, 0, 1});
         f.floor(1002, 1, Off{0, 0, 1});
       },
       {"1003 floor renumber was 1002", "1004 floor renumber was 1001"}},
      {"two of one dropped number go to two",
       [](Floor& f) {
         f.issue({floor_alone(1001)})
             .issue({dropped(floor_alone(1001)), floor_alone(1002, 0.05), floor_alone(1003, 0.1)});
         f.floor(1001, 1, Off{0, 50, 1});
         f.floor(1001, 1, Off{0, 100, 1});
       },
       {"1002 floor renumber was 1001", "1003 floor renumber was 1001"}},
      {"of as near the lower number",
       [](Floor& f) {
         f.issue({floor_alone(1001)})
             .issue({dropped(floor_alone(1001)), floor_alone(1002, 0.001), floor_alone(1003, -0.001)});
         f.floor(1001, 1, Off{0, 0, 1});
       },
       {"1002 floor renumber was 1001", "1003 floor mark not made"}},
      {"a hole of a dropped number, and then no cross is wanted on the deck",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001)), hanger("B", 1002, 0.001)});
         f.floor(1001, 1, Off{0, 0, 1});
         f.hole(1001, 1, Off{0, 0, 1});
         f.deck(1001, 1, Off{0, 0, 1});
       },
       {"1001 deck void dropped", "1002 floor renumber was 1001", "1002 hole renumber was 1001"}},
      {"a cross on the deck, from which it is drilled",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001)), hanger("B", 1002, 0.001)});
         f.floor(1002, 2);
         f.deck(1001, 1, Off{0, 0, 1});
       },
       {"1002 floor leave unchanged", "1002 deck renumber was 1001", "1002 hole drill not made"}},
      {"a hole of a deck point that is gone",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({without_deck(hanger("A", 1001)), hanger("B", 1002, 0.001)});
         f.floor(1001, 1);
         f.floor(1002, 2);
         f.hole(1001, 1, Off{0, 0, 1});
       },
       {"1001 floor leave unchanged", "1002 floor leave unchanged", "1002 hole renumber was 1001"}},
      {"not to a number without a deck point",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001)), floor_alone(1002, 0.001)});
         f.floor(1002, 2);
         f.hole(1001, 1, Off{0, 0, 1});
       },
       {"1001 hole fill dropped", "1002 floor leave unchanged"}},
  });
}

TEST_CASE("today of the deck and its holes") {
  expect({
      {"nothing is made",
       [](Floor& f) { f.issue({hanger("A", 1001)}); },
       {"1001 floor mark not made", "1001 deck mark not made"}},
      {"a cross that stays is drilled",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.deck(1001, 1);
       },
       {"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole drill not made"}},
      {"a cross that is beyond is not",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({moved(1001, 20)});
         f.floor(1001, 2);
         f.deck(1001, 1, Off{0, 0, 1});
       },
       {"1001 floor leave unchanged", "1001 deck mark-again beyond"}},
      {"a cross that is measured is not",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.deck(1001, 1);
         f.doubt(1001, kDeck);
       },
       {"1001 floor leave unchanged", "1001 deck measure doubtful"}},
      {"a hole that stays wants no cross",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
       },
       {"1001 floor leave unchanged", "1001 hole leave unchanged"}},
      {"a hole exactly T - 2u off stays",
       [](Floor& f) { hole_short_by(f, 4, 1); },
       {"1001 floor leave unchanged", "1001 hole leave within"}},
      {"a hole that is measured wants no cross",
       [](Floor& f) { hole_short_by(f, 8, 1); },
       {"1001 floor leave unchanged", "1001 hole measure near-limit"}},
      {"a hole beyond is filled, and the cross marked",
       [](Floor& f) { hole_short_by(f, 8.01, 1); },
       {"1001 floor leave unchanged", "1001 deck mark not made", "1001 hole fill beyond"}},
      {"the deck's own T counts",
       [](Floor& f) {
         f.options.deck = Length::millimetres(9);
         hole_short_by(f, 7, 1);
       },
       {"1001 floor leave unchanged", "1001 hole leave within"}},
      {"a hole that somebody doubts is measured",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.doubt(1001, kDeck);
       },
       {"1001 floor leave unchanged", "1001 hole measure doubtful"}},
      {"a hole to fill under a rod that hangs stops, and wants no cross",
       [](Floor& f) {
         hole_short_by(f, 15, 1);
         f.hang(1001);
       },
       {"1001 floor leave unchanged", "1001 hole stop hung", "1001 rod leave unchanged"}},
      {"a hole of a dropped number is filled",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001))});
         f.hole(1001, 1);
       },
       {"1001 hole fill dropped"}},
      {"under a rod that hangs it stops",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001))});
         f.hole(1001, 1);
         f.hang(1001);
       },
       {"1001 hole stop hung", "1001 rod stop dropped"}},
      {"of a deck point that is gone cross and hole go",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({floor_alone(1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.deck(1001, 1);
       },
       {"1001 floor leave unchanged", "1001 deck void gone", "1001 hole fill gone"}},
      {"of two holes the one that stays counts, the other is filled",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.hole(1001, 1, Off{0, 40, 1});
       },
       {"1001 floor leave unchanged", "1001 hole leave unchanged", "1001 hole fill second"}},
      {"under a rod that hangs the other stops",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.hole(1001, 1, Off{0, 40, 1});
         f.hang(1001);
       },
       {"1001 floor leave unchanged", "1001 hole leave unchanged", "1001 hole stop hung",
        "1001 rod leave unchanged"}},
      {"a hole that was filled is none",
       [](Floor& f) {
         f.options.book.old_hole = Length::metres(0);
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.act(Act::filled, 1001);
         f.deck(1001, 1);
       },
       {"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole drill not made"}},
  });
}

TEST_CASE("today does not say drill") {
  expect({
      {"nearer than old_hole to a hole that was filled",
       [](Floor& f) { drill_beside_filled(f, 299.9); },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole stop old hole 1001"}},
      {"exactly old_hole away it does",
       [](Floor& f) { drill_beside_filled(f, 300); },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole drill not made"}},
      {"beside a hole of its own that was filled",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.floor(1001, 1);
         f.hole(1001, 1, Off{0, 20, 1});
         f.act(Act::filled, 1001);
         f.deck(1001, 1);
       },
       {"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole stop old hole 1001"}},
      {"beside an open one that is to be filled",
       [](Floor& f) {
         f.issue({hanger("A", 1001), hanger("B", 1002, 0.2)}).issue({dropped(hanger("A", 1001))});
         f.hole(1001, 1);
         f.floor(1002, 1);
         f.deck(1002, 1);
       },
       {"1001 hole fill dropped", "1002 floor leave unchanged", "1002 deck leave unchanged",
        "1002 hole stop old hole 1001"}},
      {"beside an open one that is measured",
       [](Floor& f) {
         f.issue({hanger("A", 1001), hanger("B", 1002, 0.2)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.doubt(1001, kDeck);
         f.floor(1002, 1);
         f.deck(1002, 1);
       },
       {"1001 floor leave unchanged", "1001 hole measure doubtful", "1002 floor leave unchanged",
        "1002 deck leave unchanged", "1002 hole stop old hole 1001"}},
      {"beside a neighbour's good hole it does",
       [](Floor& f) {
         f.issue({hanger("A", 1001), hanger("B", 1002, 0.2)});
         f.floor(1001, 1);
         f.hole(1001, 1);
         f.floor(1002, 1);
         f.deck(1002, 1);
       },
       {"1001 floor leave unchanged", "1001 hole leave unchanged", "1002 floor leave unchanged",
        "1002 deck leave unchanged", "1002 hole drill not made"}},
      {"beside one that gets another number it does",
       [](Floor& f) {
         f.issue({hanger("A", 1001), hanger("B", 1002, 0.2)})
             .issue({dropped(hanger("A", 1001)), hanger("C", 1003, 0.001)});
         f.hole(1001, 1, Off{0, 0, 1});
         f.floor(1002, 1);
         f.deck(1002, 1);
         f.floor(1003, 2);
       },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole drill not made",
        "1003 floor leave unchanged", "1003 hole renumber was 1001"}},
      {"it names the nearest of several old holes",
       [](Floor& f) {
         f.issue({hanger("A", 1001), hanger("B", 1002, 0.2), hanger("C", 1003, 0.3)});
         f.hole(1001, 1);
         f.act(Act::filled, 1001);
         f.hole(1003, 1);
         f.act(Act::filled, 1003);
         f.floor(1002, 1);
         f.deck(1002, 1);
         f.options.book.old_hole = Length::millimetres(250);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1002 floor leave unchanged",
        "1002 deck leave unchanged", "1002 hole stop old hole 1003", "1003 floor mark not made",
        "1003 deck mark not made"}},
      {"the distance is from the cross, not from its place",
       [](Floor& f) {
         drill_beside_filled(f, 299);
         f.marked(1002, kDeck, 1, Off{0, 2, 1}, 5);
       },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole drill not made"}},
      {"in a no-drill zone",
       [](Floor& f) {
         f.zones = {{"T1", {5, 6}}, {"T2", {-1, 1}}};
         f.issue({hanger("A", 1001), hanger("B", 1002, 2)});
         f.floor(1001, 1);
         f.deck(1001, 1);
         f.floor(1002, 1);
         f.deck(1002, 1);
       },
       {"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole stop zone T2",
        "1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole drill not made"}},
      {"where nothing is released",
       [](Floor& f) {
         f.released = {"R2"};
         f.issue({of_run("R1", hanger("A", 1001)), of_run("R2", hanger("B", 1002, 2))});
         f.floor(1001, 1);
         f.deck(1001, 1);
         f.floor(1002, 1);
         f.deck(1002, 1);
       },
       {"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole stop not released",
        "1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole drill not made"}},
      {"an old hole before a zone, a zone before the release",
       [](Floor& f) {
         drill_beside_filled(f, 100);
         f.zones = {{"T", {-1, 1}}};
         f.released = {};
       },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole stop old hole 1001"}},
      {"a zone before the release",
       [](Floor& f) {
         drill_beside_filled(f, 400);
         f.zones = {{"T", {-1, 1}}};
         f.released = {};
       },
       {"1002 floor leave unchanged", "1002 deck leave unchanged", "1002 hole stop zone T"}},
  });
}

TEST_CASE("today of rods") {
  expect({
      {"one of the issue's length is left",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.act(Act::cut, 1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod leave unchanged"}},
      {"exactly rod longer",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({with_cut(1.505, hanger("A", 1001))});
         f.act(Act::cut, 1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod leave unchanged"}},
      {"longer by more, though it hangs",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({with_cut(1.50501, hanger("A", 1001))});
         f.hang(1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod recut longer"}},
      {"shorter by more",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({with_cut(1.49499, hanger("A", 1001))});
         f.act(Act::cut, 1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod recut shorter"}},
      {"of a dropped number",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({dropped(hanger("A", 1001))});
         f.act(Act::cut, 1001);
       },
       {"1001 rod stop dropped"}},
      {"of a deck point that is gone",
       [](Floor& f) {
         f.issue({hanger("A", 1001)}).issue({floor_alone(1001)});
         f.floor(1001, 1);
         f.act(Act::cut, 1001);
       },
       {"1001 floor leave unchanged", "1001 rod stop gone"}},
      {"of a length that the issue has no more",
       [](Floor& f) {
         LedgerRow without = hanger("A", 1001);
         without.cut = Kept::none();
         f.issue({hanger("A", 1001)}).issue({without});
         f.act(Act::cut, 1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod stop gone"}},
      {"one that is taken down is still cut",
       [](Floor& f) {
         f.issue({hanger("A", 1001)});
         f.hang(1001);
         f.act(Act::taken_down, 1001);
       },
       {"1001 floor mark not made", "1001 deck mark not made", "1001 rod leave unchanged"}},
  });
}
