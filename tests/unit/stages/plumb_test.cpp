#include "stages/plumb.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;

/// Deck marks as their table `deckmarks.csv` states them: the first stands on line 2. `up` in metres.
struct PlainDeckMark {
  std::string point;
  std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>> at = xy(0, 0);
  std::optional<double> up = {};
  std::optional<Length> sd = {};
};
Vec<Drawing> off(double x, double y) { return {{.x = mm(x), .y = mm(y)}}; }

struct Case {
  PlainLaid laid;
  std::vector<StatedDeckMark> marks;
  ReadTable table;
  PlumbOptions options;
  Length flatness = mm(20);
  LengthUnit list_unit = LengthUnit::metre;

  Case(const std::vector<PlainMark>& drawing, const std::vector<PlainDeckMark>& rows)
      : laid(laid_of(drawing)) {
    std::string text = "point,elevation\n";
    for (const PlainDeckMark& r : rows) {
      text += r.point + "," + (r.up ? std::to_string(*r.up) : "") + "\n";
      marks.push_back(
          {r.point, r.at, r.up ? std::optional(Elevation::metres(*r.up)) : std::nullopt, r.sd, std::nullopt});
    }
    table = table_of("deckmarks.csv",
                     {{"point", ColumnKind::name, true}, {"elevation", ColumnKind::length, false}}, text);
  }
  PlumbStated stated() const {
    return {marks, table, options, flatness, list_unit, LengthUnit::metre, Where::whole("job.toml")};
  }
  Staged<DeckMarksNamed> named() const { return name_deck_marks(stated(), laid.marks, &laid.numbers); }
  Staged<Plumbed> plumbed() const { return check_plumb(stated(), named().value.value(), laid.view()); }
};

using Marks = std::vector<std::optional<std::uint32_t>>;

}  // namespace

TEST_CASE("deck marks: none, none to judge") {
  const Case c({{"A", 0, 0}}, {});
  CHECK(c.named().came == Came::absent);
  CHECK(check_plumb(c.stated(), {}, c.laid.view()).came == Came::absent);
}

TEST_CASE("a deck mark is meant by name, floor number or deck number") {
  Case c({{"A", 0, 0}, {"B", 1, 0}, {"C", 2, 0}, {"REF", 3, 0, "", "reference"}},
         {{"6002"}, {"a"}, {"1003"}, {"ref"}});
  c.laid.put_deck(3);
  const auto named = c.named();
  CHECK(named.is_there());
  CHECK(named.value->marks == Marks{1, 0, 2, 3});
  c.laid.numbers.deck_offset = std::nullopt;  // then 6002 is nothing
  CHECK(told(c.named().told, Grade::problem) ==
        Lines{"deckmarks.csv:2:1: point: found \"6002\", expected the name, floor number or deck number of "
              "a drawing point"});
}

TEST_CASE("all that is wrong with the names is told at once, each row for its own fault") {
  Case c({{"A", 0, 0}, {"1004", 1, 0}, {"T", 2, 0}, {"D", 3, 0}},
         {{"X"}, {"D"}, {"1004"}, {"A"}, {"d"}, {"T"}, {"Y"}});
  c.laid.marks.bridged = {0, 0, 1, 0};
  const auto named = c.named();
  CHECK(named.is_spoiled());
  CHECK(named.value->marks == Marks{{}, 3, {}, 0, {}, {}, {}});
  CHECK(told(named.told, Grade::problem) ==
        Lines{"deckmarks.csv:2:1: point: found \"X\", expected the name, floor number or deck number of a "
              "drawing point",
              "deckmarks.csv:4:1: point: found \"1004\", the name of one point and the number of \"D\", "
              "expected a text with one meaning; try 1002 for the one, D for the other",
              "deckmarks.csv:6:1: point: found \"d\", the point of line 3 again, expected each point once",
              "deckmarks.csv:7:1: point: found \"T\", a hanger that a trapeze bridges, expected a point with "
              "a deck point of its own; try the supports of the trapeze, -a and -b",
              "deckmarks.csv:8:1: point: found \"Y\", expected the name, floor number or deck number of a "
              "drawing point"});
}

TEST_CASE("a reference point has no deck point, but is none that a trapeze bridges") {
  Case c({{"REF", 0, 0, "", "reference"}, {"A", 1, 0}}, {{"REF"}});
  c.laid.marks.bridged = {0, 0};
  CHECK(c.named().is_there());
}

TEST_CASE("where numbers are not known, what may be one is not judged, and all else is") {
  const Case c({{"A", 0, 0}, {"7", 1, 0}}, {{"1001"}, {"A"}, {"7"}, {"0007"}, {"10O1"}});
  const auto named = name_deck_marks(c.stated(), c.laid.marks, nullptr);
  CHECK(named.value->marks == Marks{{}, 0, {}, {}, {}});
  CHECK(told(named.told, Grade::problem) ==
        Lines{"deckmarks.csv:6:1: point: found \"10O1\", expected the name, floor number or deck number of "
              "a drawing point"});
}

TEST_CASE("a deck mark against its floor mark: where it was found, its sd, its drop") {
  // Design N 100 + y, E 200 + x; bracket 3 m over a floor at 1 m, deck at 6 m: a drop of 2 m.
  Case c({{"A", 10, 20}, {"B", 30, 20}, {"C", 50, 20}, {"D", 70, 20, "", "", 3.5}},
         {{"A", at(120.003, 210.004)},
          {"B", xy(30.002, 19.999), {}, mm(1)},
          {"C", off(-3, 1), 5.99},
          {"1004", off(0, 7)}});
  c.laid.floor = Elevation::metres(1);
  c.laid.attach_height = m(3);
  c.laid.put_deck(6);
  c.options.slope = 300;
  const auto r = c.plumbed();
  CHECK(r.is_there());
  REQUIRE(r.value->rows.size() == 4);
  CHECK(r.value->marks == std::vector<std::uint32_t>{0, 1, 2, 3});
  const auto& rows = r.value->rows;
  CHECK(rows[0].off.by.x.millimetres() == doctest::Approx(4));
  CHECK(rows[0].off.by.y.millimetres() == doctest::Approx(3));
  CHECK(rows[0].sd.millimetres() == doctest::Approx(2));  // of the job
  CHECK(rows[0].rise->metres() == doctest::Approx(5));
  CHECK(rows[0].drop->metres() == doctest::Approx(2));
  CHECK(rows[0].ratio == doctest::Approx(400));
  CHECK(rows[0].by_slope == Verdict::within);
  CHECK(rows[1].off.by.x.millimetres() == doctest::Approx(2));
  CHECK(rows[1].off.by.y.millimetres() == doctest::Approx(-1));
  CHECK(rows[1].sd.millimetres() == doctest::Approx(1));   // its own
  CHECK(rows[2].drop->metres() == doctest::Approx(1.99));  // its own elevation
  CHECK(rows[3].drop->metres() == doctest::Approx(1.5));   // its own bracket
  CHECK(rows[3].verdict == Verdict::outside);
  CHECK(told(r.told, Grade::doubt).empty());
}

TEST_CASE("a reference point has no bracket; the last place of the list decides what has a ratio") {
  Case c({{"REF", 0, 0, "", "reference", 2.0}, {"A", 1, 0}}, {{"REF", off(0.3, 0)}, {"A", off(0.3, 0)}});
  c.laid.attach_height = m(3);
  c.laid.put_deck(6);
  CHECK_FALSE(c.plumbed().value->rows[0].drop.has_value());
  CHECK(c.plumbed().value->rows[1].ratio == doctest::Approx(3 / 0.0003));
  // The last place is 0.00001 m, or 0.00001 ft (0.003 mm): an offset under half of it prints as zero.
  c.marks[1].at = off(0.004, 0);
  CHECK_FALSE(c.plumbed().value->rows[1].ratio.has_value());
  c.list_unit = LengthUnit::foot;
  CHECK(c.plumbed().value->rows[1].ratio.has_value());
}

TEST_CASE("a slope that cannot be judged is told once, with its count") {
  Case c({{"A", 0, 0}, {"B", 1, 0}, {"C", 2, 0, "", "", 2.0}}, {{"A"}, {"B"}, {"C"}});
  for (StatedDeckMark& s : c.marks) s.at = off(1, 1);
  c.laid.put_deck(6);
  CHECK(told(c.plumbed().told, Grade::doubt).empty());  // no limit is stated
  c.options.slope = 6;
  CHECK(told(c.plumbed().told, Grade::doubt) ==
        Lines{"job.toml: plumb.slope: 2 deck marks: no bracket height or deck elevation is known, so the "
              "slope of the hanger is not judged"});
  c.marks.erase(c.marks.begin() + 1, c.marks.end());
  CHECK(told(c.plumbed().told, Grade::doubt) ==
        Lines{"job.toml: plumb.slope: 1 deck mark: no bracket height or deck elevation is known, so the "
              "slope of the hanger is not judged"});
}

TEST_CASE("a deck mark further than 100 mm from the deck is told, or further than the flatness") {
  Case c({{"A", 0, 0}, {"B", 1, 0}, {"C", 2, 0}, {"D", 3, 0}},
         {{"A", off(1, 0), 6.1}, {"B", off(1, 0), 6.101}, {"C", off(1, 0), 5.8}, {"D", off(1, 0)}});
  c.laid.put_deck(6);
  CHECK(
      told(c.plumbed().told, Grade::doubt) ==
      Lines{"deckmarks.csv:3:3: elevation: the deck mark of B stands 101.0 mm above the deck there, further "
            "than 100 mm (common practice, no source): check its elevation and unit",
            "deckmarks.csv:4:3: elevation: the deck mark of C stands 200.0 mm below the deck there, further "
            "than 100 mm (common practice, no source): check its elevation and unit"});
  c.flatness = mm(200);
  CHECK(told(c.plumbed().told, Grade::doubt).empty());
  c.flatness = mm(150);  // then that is what it is held against, and told
  CHECK(
      told(c.plumbed().told, Grade::doubt) ==
      Lines{"deckmarks.csv:4:3: elevation: the deck mark of C stands 200.0 mm below the deck there, further "
            "than 150.0 mm ([deck] flatness): check its elevation and unit"});
  c.laid.decks.reset();
  c.flatness = mm(20);
  CHECK(told(c.plumbed().told, Grade::doubt).empty());
}
