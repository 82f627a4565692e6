#include "stages/strings.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

#include "stages/offsets.h"
#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// A rectangle of 12 m by 9 m laid out at N = 100 + y, E = 200 + x; strings from its first corner.
struct Job {
  OffsetJob offsets{.wanted = true, .options = {}, .from = {}, .strings = {}};
  PlainBaselines baselines{};
  std::vector<ControlPoint> control{};
  PlainLaid laid = laid_of({{"B1", 0, 0}, {"B2", 12, 0}, {"B3", 0, 9}, {"B4", 12, 9}, {"P", 3, 4}});
  std::optional<Checked> checked{};
  std::uint32_t marks_made = 0;

  Job() { strings({"B1", "B2", "B3"}); }
  void strings(std::vector<std::string> names) {
    offsets.strings = {{Where::at("job.toml", {9, 11}), true}, std::move(names)};
  }
  /// Nothing places the drawing.
  void stand_alone() {
    laid.placed.by = SitePlace::as_drawn;
    laid.placed.fit = {drawing_is_site(false), {}};
    laid.map();
  }
  /// The corner marks as taped on a floor where they stand there; both diagonals.
  void tape(const std::vector<std::array<double, 2>>& floor) {
    Checked& c = checked.emplace();
    c.net.names = {"B1", "B2", "B3", "B4"};
    for (std::size_t a = 0; a < 4; ++a) c.net.places.push_back(laid.marks->places[a]);
    for (std::size_t a = 0; a < floor.size(); ++a)
      for (std::size_t b = a + 1; b < floor.size(); ++b)
        c.net.sides.push_back(
            {a, b, {m(std::hypot(floor[b][0] - floor[a][0], floor[b][1] - floor[a][1])), mm(1)}});
    c.together = hold_together(c.net.sides, c.net.places);
  }
  Staged<OffsetsFound> look() const {
    return look_at_offsets({offsets, baselines.view(), control, Where::whole("job.toml"), marks_made},
                           laid.view(), checked ? &*checked : nullptr);
  }
};

}  // namespace

TEST_CASE("strings run between marks as found: a tie, a drawing point, control") {
  Job j;
  j.control = {{"C", at(109, 200.5), {}, {}}};
  j.baselines.ties = {tie("B1", 0, 0, at(100.25, 200))};
  j.strings({"b1", "B2", "C"});
  const auto found = j.look();
  REQUIRE(found.is_there());
  const StringsFound& s = *found.value->strings;
  CHECK(s.marks[0].at.at.northing.metres() == 100.25);
  CHECK(s.marks[1].at.at.easting.metres() == 212);
  CHECK(s.marks[2].at.at.easting.metres() == 200.5);
  CHECK_FALSE(s.alone);
  CHECK(s.not_checked.empty());
  j.offsets.strings = {};
  CHECK_FALSE(j.look().value->strings);
}

TEST_CASE("by lengths alone the strings run where the marks were found, and P lies so far from them") {
  Job j;
  j.stand_alone();
  // The whole floor is turned and shifted, which the lengths do not show; B3 stands 4 mm too far along X.
  j.tape({{0, 0}, {12, 0}, {0.004, 9}, {12, 9}});
  const auto found = j.look();
  REQUIRE(found.is_there());
  CHECK(found.value->strings->alone);
  CHECK(found.value->strings->not_checked.empty());
  const auto p = from_strings(*found.value, j.laid.placed, 4);
  REQUIRE(p);
  // The drawing lies 1 mm along X on the four marks, turned by 4 * 4.5 mm m over 4 * 56.25 m2, clockwise;
  // about the centre P lies (-3, -0.5): 3.001 + turn * -0.5 m along X, at y 4 the string is at 1.78 mm.
  const double turn = -0.004 * 4.5 / (4 * (36 + 20.25));
  CHECK(p->from_x_string.metres() == doctest::Approx(3.001 + turn * 0.5 - 0.004 * 4 / 9).epsilon(2e-6));
  CHECK(p->from_y_string.metres() == doctest::Approx(4 - turn * 3).epsilon(2e-6));
}

TEST_CASE("of strings alone their marks stand already, and reference points taped with them") {
  Job j;
  const auto stand = [&j] { return j.look().value->strings->stand; };
  using Marks = std::vector<std::uint32_t>;
  CHECK(stand().empty());  // placed by ties: what stands nobody knows
  j.stand_alone();
  CHECK(stand() == Marks{0, 1, 2});  // nobody taped B4
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  CHECK(stand() == Marks{0, 1, 2});  // B4 is a hanger, which needs its row
  j.laid = laid_of({{"B1", 0, 0},
                    {"B2", 12, 0},
                    {"B3", 0, 9},
                    {"B4", 12, 9, "", "reference"},
                    {"P", 3, 4, "", "reference"}});
  j.stand_alone();
  CHECK(stand() == Marks{0, 1, 2, 3});  // nobody taped P
  const auto found = j.look();
  CHECK(found.value->stands(3));
  CHECK_FALSE(found.value->stands(4));
  j.strings({"B4", "B3", "b2"});
  CHECK(stand() == Marks{1, 2, 3});  // B1, taped with them, hangs something
}

TEST_CASE("corner moves by lengths; none of lengths that contradict") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12, 0}, {0.020, 9}, {12, 9}});
  const auto found = j.look();
  REQUIRE(found.is_there());
  REQUIRE(found.value->corners.moves.size() == 1);
  const NamedMove& move = found.value->corners.moves[0];
  CHECK(move.mark == "B3");
  CHECK(move.toward == "B4");
  CHECK(move.move.millimetres() == doctest::Approx(-20).epsilon(0.02));
  CHECK_FALSE(found.value->corners.any_outside);
  j.checked->outside.push_back({.text = "a length"});
  CHECK(j.look().value->corners.any_outside);
  j.checked->net.sides[5].length.value = m(14.9);
  j.checked->together = hold_together(j.checked->net.sides, j.checked->net.places);
  const auto wrong = j.look();
  CHECK(wrong.value->corners.moves.empty());
  CHECK(wrong.value->corners.instead.find("tape them again") != std::string::npos);
  CHECK(wrong.value->strings->not_checked == "the taped lengths contradict one another");
}

TEST_CASE("once marks were laid out from the strings their corners stay, and it is doubted") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12, 0}, {0.020, 9}, {12, 9}});
  REQUIRE(j.look().value->corners.moves.size() == 1);
  CHECK(told(j.look().told, Grade::doubt).empty());
  j.marks_made = 1;
  const auto found = j.look();
  CHECK(found.value->corners.moves.empty());
  CHECK(found.value->corners.instead ==
        "Move no corner: 1 mark on the floor was laid out from these strings.");
  const auto doubts = told(found.told, Grade::doubt);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].starts_with("job.toml:9:11: offsets.strings: the tape says that corner marks stand off"));
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  CHECK(told(j.look().told, Grade::doubt).empty());  // nothing would be moved
}

TEST_CASE("without lengths ties of the strings say which corner to move") {
  Job j;
  j.baselines.ties = {tie("B1", 0, 0, at(100, 200)), tie("B2", 12, 0, at(100, 212)),
                      tie("B3", 0, 9, at(109, 200.030)), tie("B4", 12, 9, at(109, 212))};
  std::string rows = "mark,x,northing\n";  // whose units are asked for
  for (const NamedTie& t : j.baselines.ties) rows += t.name + ",,\n";
  j.baselines.ties_table = table_of(
      "ties.csv",
      {{"mark", ColumnKind::name, true}, {"x", ColumnKind::length}, {"northing", ColumnKind::length}}, rows);
  j.laid.placed = std::move(*place(j.baselines.view(), SitePlace::by_fit, j.laid.marks).value);
  const auto found = j.look();
  REQUIRE(found.is_there());
  REQUIRE_FALSE(found.value->corners.moves.empty());
  CHECK(found.value->corners.any_outside);
  // Followed on the floor, the three marks stand as drawn towards one another.
  std::map<std::string, std::array<double, 2>> floor{{"B1", {0, 0}}, {"B2", {12, 0}}, {"B3", {0.030, 9}}};
  for (const NamedMove& move : found.value->corners.moves) {
    auto& mark = floor.at(move.mark);
    const auto to = floor.at(move.toward);
    const double way = std::hypot(to[0] - mark[0], to[1] - mark[1]), by = move.move.metres() / way;
    mark = {mark[0] + by * (to[0] - mark[0]), mark[1] + by * (to[1] - mark[1])};
  }
  const auto apart = [&](const char* a, const char* b) {
    return std::hypot(floor.at(a)[0] - floor.at(b)[0], floor.at(a)[1] - floor.at(b)[1]);
  };
  CHECK(std::abs(apart("B1", "B2") - 12) < 0.001);
  CHECK(std::abs(apart("B1", "B3") - 9) < 0.001);
  CHECK(std::abs(apart("B2", "B3") - 15) < 0.001);
}

TEST_CASE("a length that no other checks moves no mark") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12.020, 0}, {0, 9}, {12, 9}});
  REQUIRE(j.look().value->corners.moves.size() == 1);
  // One diagonal less: four marks, five lengths. A misread length then looks like a mark that stands off.
  j.checked->net.sides.erase(j.checked->net.sides.begin() + 3);
  j.checked->together = hold_together(j.checked->net.sides, j.checked->net.places);
  j.checked->outside.push_back({.text = "a length"});
  const auto five = j.look();
  CHECK(five.value->corners.moves.empty());
  CHECK(
      five.value->corners.instead ==
      "Move no mark yet: no other length checks B1 to B2, B1 to B3, B1 to B4 and 2 more: tape B2 to B3 too. "
      "Tape again what is off.");
  // Within all is well: why nothing is checked is told elsewhere.
  j.checked->outside.clear();
  CHECK(j.look().value->corners.instead.empty());
}

TEST_CASE("strings in a network of lengths that is too large are not checked, and that is told") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  TapedNet& net = j.checked->net;
  const auto look = [&] {
    j.checked->together = hold_together(net.sides, net.places);
    return j.look().value->strings->not_checked;
  };
  while (net.names.size() < LengthsTogether::kMostMarks) {
    net.names.push_back("X" + std::to_string(net.names.size()));
    net.places.push_back(xy(12 + static_cast<double>(net.names.size()), 9));
    net.sides.push_back({net.names.size() - 2,
                         net.names.size() - 1,
                         {distance(net.places[net.names.size() - 2], net.places.back()), mm(1)}});
  }
  CHECK(look().empty());
  net.names.push_back("Y");
  net.places.push_back(xy(12, 10));
  net.sides.push_back({3, net.names.size() - 1, {m(1), mm(1)}});
  CHECK(look() == "too many marks hang together by lengths to hold them against one another");
}

TEST_CASE("what is off by more than marks are moved is taped again") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12.120, 0}, {0, 9}, {12, 9}});
  const auto far = j.look();
  CHECK(far.value->corners.moves.empty());
  CHECK(far.value->corners.instead.find(
            "B1 to B2 is off by more than a mark is moved (100 mm; common practice, "
            "no source): misread, or held to another mark? Tape it again.") == 0);
  j.tape({{0, 0}, {12.095, 0}, {0, 9}, {12, 9}});
  REQUIRE(j.look().value->corners.moves.size() == 1);
  // One slip that explains the lengths is told in place of both.
  j.checked->slip = "names exchanged?";
  CHECK(j.look().value->corners.moves.empty());
  CHECK(j.look().value->corners.instead == "Move no mark yet: names exchanged?.");
}

TEST_CASE("where no few corners explain what was taped, the tape is looked at first") {
  Job j;
  j.stand_alone();
  // A tape that reads one part in five hundred long: with two marks as drawn their distance is off.
  j.tape({{0, 0}, {12.024, 0}, {0, 9.018}, {12.024, 9.018}});
  CHECK(j.look().value->corners.moves.empty());
  CHECK(j.look().value->corners.instead.empty());  // within: nothing is to do
  j.checked->outside.push_back({.text = "a length"});
  CHECK(j.look().value->corners.moves.empty());
  CHECK(j.look().value->corners.instead ==
        "Moving a few corners would not put it right: hold the tape against another one first.");
}

TEST_CASE("squareness outside names a corner, be the lengths all within") {
  Job j;
  j.stand_alone();
  j.tape({{0, 0}, {12, 0}, {0.004, 9}, {12, 9}});
  for (MeasuredSide& s : j.checked->net.sides) s.length.sd = mm(1.6);
  j.checked->together = hold_together(j.checked->net.sides, j.checked->net.places);
  CHECK(j.look().value->corners.moves.empty());  // less than single lengths can tell
  j.baselines.square.tolerance = mm(3);
  j.checked->corner =
      find_corner(j.checked->net.sides, j.checked->together, j.checked->net.places, m(9), j.baselines.square);
  j.checked->square = j.checked->corner->square;
  REQUIRE(abs(*j.checked->square->deviation_over) > mm(3));
  j.checked->square->verdict = Verdict::outside;
  const auto found = j.look();
  REQUIRE(found.value->corners.moves.size() == 1);
  CHECK(found.value->corners.moves[0].mark == "B3");
  CHECK(found.value->corners.moves[0].move.millimetres() == doctest::Approx(-4).epsilon(0.05));
}

TEST_CASE("distances of the strings are as found only where they were taped and nothing contradicts") {
  using Spans = std::array<SpanFrom, 3>;
  constexpr SpanFrom found = SpanFrom::found, others = SpanFrom::other_lengths, nothing = SpanFrom::nothing;
  Job j;
  j.stand_alone();
  const auto spans = [&] { return j.look().value->strings->spans; };
  CHECK(spans() == Spans{nothing, nothing, nothing});
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  CHECK(spans() == Spans{found, found, found});
  auto& sides = j.checked->net.sides;
  sides.erase(sides.begin() + 3);  // B2 to B3
  j.checked->together = hold_together(sides, j.checked->net.places);
  CHECK(spans() == Spans{found, found, others});
  sides.pop_back();  // B3 to B4: nothing holds B3 then
  j.checked->together = hold_together(sides, j.checked->net.places);
  CHECK(spans() == Spans{found, found, nothing});
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  sides[3].length.value = m(15.3);
  j.checked->together = hold_together(sides, j.checked->net.places);
  CHECK(spans() == Spans{nothing, nothing, nothing});
  // By ties, and by control: what is placed by the fit alone nobody measured.
  Job tied;
  tied.control = {{"C", at(109, 200), {}, {}}};
  tied.baselines.ties = {tie("B1", 0, 0, at(100, 200))};
  tied.strings({"B1", "B2", "C"});
  CHECK(tied.look().value->strings->spans == Spans{nothing, found, nothing});
}

TEST_CASE("strings that run off the drawing's axes are doubted, with the mark that may be meant") {
  Job j;
  j.laid = laid_of({{"B1", 0, 0}, {"B2", 12, 0}, {"B3", 0, 9}, {"B4", 12, 9}, {"N", 12, 1}, {"T", 4, 11}});
  j.stand_alone();
  const auto doubts = [&](std::vector<std::string> names) {
    j.strings(std::move(names));
    return told(j.look().told, Grade::doubt);
  };
  CHECK(doubts({"B1", "B2", "B3"}).empty());
  CHECK(doubts({"B1", "N", "B3"}).empty());  // 4.8 degrees
  CHECK(doubts({"B1", "B4", "B3"}) ==
        std::vector<std::string>{
            "job.toml:9:11: offsets.strings: string B1-B4 runs 36.9 degrees off X: is B4 meant?"});
  j.tape({{0, 0}, {12, 0}, {0, 9}, {12, 9}});
  CHECK(doubts({"B1", "B4", "B3"}) ==
        std::vector<std::string>{
            "job.toml:9:11: offsets.strings: string B1-B4 runs 36.9 degrees off X: is B2 meant?"});
  CHECK(doubts({"B2", "B1", "T"}) ==
        std::vector<std::string>{
            "job.toml:9:11: offsets.strings: string B2-T runs 36.0 degrees off Y: is B4 meant?"});
  // A drawing whose axes lie askew to the building.
  j.laid = laid_of({{"B1", 0, 0}, {"B2", 8, 6}, {"B3", -3, 4}});
  j.stand_alone();
  j.checked.reset();
  CHECK(doubts({"B1", "B2", "B3"}) ==
        std::vector<std::string>{"job.toml:9:11: offsets.strings: strings B1-B2 and B1-B3 run 36.9 degrees "
                                 "off X and Y: distances are "
                                 "square to the strings, not along X and Y; are these marks meant?"});
}
