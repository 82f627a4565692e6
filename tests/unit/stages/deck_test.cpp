#include "stages/deck.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

const FittedTransform kFit = shifted_fit();  // N = 100 + y, E = 200 + x

/// Four shots round a field of 10 m by 6 m, on site, on a plane that rises 10 mm a metre to the north.
std::vector<StatedShot> sloping() {
  return {shot("S1", at(100, 200), 5), shot("S2", at(100, 210), 5), shot("S3", at(106, 200), 5.06),
          shot("S4", at(106, 210), 5.06)};
}
std::vector<StatedShot> level_shots(std::vector<double> heights) {
  std::vector<StatedShot> out;
  for (std::size_t i = 0; i < heights.size(); ++i)
    out.push_back(shot("S" + std::to_string(i + 1),
                       at(100 + 3.0 * static_cast<double>(i / 3), 200 + 4.0 * static_cast<double>(i % 3)),
                       heights[i]));
  return out;
}
double height(const Deck& deck, double northing, double easting) {
  return deck.elevation_at(at(northing, easting)).above_datum().metres();
}
Strings problems(const Messages& m) { return told(m, Grade::problem); }
Strings doubts(const Messages& m) { return told(m, Grade::doubt); }

/// Four shots that stand off the plane of all eight, which is level at 5 m.
std::vector<StatedShot> saddle(double by) {
  return {shot("S1", at(0, 0), 5 + by),   shot("S2", at(0, 10), 5 - by), shot("S3", at(10, 0), 5 - by),
          shot("S4", at(10, 10), 5 + by), shot("S5", at(2, 5), 5),       shot("S6", at(8, 5), 5),
          shot("S7", at(5, 2), 5),        shot("S8", at(5, 8), 5)};
}

Strings fit_doubts(std::vector<StatedShot> shots) {
  PlainDeck deck;
  return doubts(fit_decks(deck.shot_by(std::move(shots)).view(), {}, nullptr).told);
}

}  // namespace

TEST_CASE("decks: none is absent; a stated level needs no shots and no place of the drawing") {
  PlainDeck deck;
  deck.level = Elevation::metres(16.2);
  const auto out = fit_decks(deck.view(), {}, nullptr);
  REQUIRE(out.is_there());
  REQUIRE(out.value->decks.size() == 1);
  CHECK(height(out.value->decks[0], 7, 8) == 16.2);
  CHECK(out.value->fits.size() == 1);
  CHECK_FALSE(out.value->fits[0]);
  CHECK_FALSE(out.value->by_bay);
  deck.has_deck = false;
  CHECK(fit_decks(deck.view(), {}, nullptr).came == Came::absent);
}

TEST_CASE("decks: a plane through shots on site is found where nothing places the drawing") {
  PlainDeck deck;
  const auto out = fit_decks(deck.shot_by(sloping()).view(), {}, nullptr);
  REQUIRE(out.is_there());
  CHECK(height(out.value->decks[0], 103, 205) == doctest::Approx(5.03));
  CHECK(height(out.value->decks[0], 106, 200) == doctest::Approx(5.06));
  REQUIRE(out.value->fits[0]);
  CHECK(out.value->fits[0]->residuals.size() == 4);
  CHECK(out.told.doubts() == 0);
}

TEST_CASE("decks: shots in the drawing are mapped; without a fit they spoil the decks without a word") {
  PlainDeck deck;
  deck.shot_by({shot("S1", xy(0, 0), 5), shot("S2", xy(10, 0), 5.1), shot("S3", xy(0, 6), 5)});
  const auto out = fit_decks(deck.view(), {}, &kFit);
  REQUIRE(out.is_there());
  CHECK(height(out.value->decks[0], 100, 205) == doctest::Approx(5.05));  // x 5, y 0
  CHECK(height(out.value->decks[0], 106, 200) == doctest::Approx(5));     // x 0, y 6
  const auto unplaced = fit_decks(deck.view(), {}, nullptr);
  CHECK(unplaced.is_spoiled());
  CHECK_FALSE(unplaced.value);
  CHECK(problems(unplaced.told).empty());
}

TEST_CASE("decks: a table of shots that could not be read spoils them without a word") {
  const auto out = fit_decks(PlainDeck{}.view(), {}, &kFit);
  CHECK(out.is_spoiled());
  CHECK(problems(out.told).empty());
}

TEST_CASE("decks: shots too few or on one line, told without a place of the drawing") {
  PlainDeck deck;
  deck.shot_by({shot("S1", at(0, 0), 5), shot("S2", at(0, 10), 5), shot("S3", at(0, 20), 5)});
  const auto line = fit_decks(deck.view(), {}, nullptr);
  CHECK(line.is_spoiled());
  CHECK(problems(line.told) ==
        Strings{"deck.csv: file: found deck shots on one line, expected three or more deck shots, not on one "
                "line; try adding a shot well to the side"});
  deck.shot_by({shot("S1", at(0, 0), 5), shot("S2", at(0, 10), 5)});
  CHECK(problems(fit_decks(deck.view(), {}, nullptr).told)[0].find("found 2 deck shots, expected") !=
        std::string::npos);
}

TEST_CASE("decks: a stray shot is told at its row, and which way it stands") {
  const auto line_of_stray = [](double fifth) {
    return fit_doubts(level_shots({5, 5.001, 5, 5.001, fifth, 5, 5.001, 5, 5})).at(0);
  };
  // The fifth shot, on line 6; the elevation stands behind name and bay. It stands amid the others, whose
  // plane there is their mean, 5.000375 m.
  CHECK(line_of_stray(5.3) ==
        "deck.csv:6:5: elevation: shot S5 stands 299.6 mm above the plane of the others");
  CHECK(line_of_stray(4.7) ==
        "deck.csv:6:5: elevation: shot S5 stands 300.4 mm below the plane of the others");
}

TEST_CASE("decks: shots off the fitted deck are held against the flatness") {
  const Strings told = fit_doubts(saddle(0.03));
  REQUIRE(told.size() == 4);
  CHECK(told[0] ==
        "deck.csv:2:5: elevation: shot S1 stands 30.0 mm above the fitted deck; more than the flatness, 20.0 "
        "mm");
  CHECK(told[1].starts_with("deck.csv:3:5: elevation: shot S2 stands 30.0 mm below the fitted deck"));
  CHECK(fit_doubts(saddle(0.019)).empty());
}

TEST_CASE("decks: two levels are told, and nothing else of these shots") {
  std::vector<StatedShot> shots;
  for (int i = 0; i < 16; ++i)
    shots.push_back(shot("S" + std::to_string(i), at(i / 4, i % 4), i % 3 == 0 ? 5.075 : 5));
  const Strings told = fit_doubts(shots);
  REQUIRE(told.size() == 1);
  CHECK(
      told[0].starts_with("deck.csv: elevation: the shots stand on two levels 75.0 mm apart: 10 on the "
                          "lower, 6 on the upper"));
}

TEST_CASE("decks: a slope of 1:4 is believed, a steeper one is not; shots near one line are told") {
  const auto rising = [](double by) {
    return std::vector{shot("S1", at(0, 0), 5), shot("S2", at(0, 4), 5), shot("S3", at(4, 0), 5 + by),
                       shot("S4", at(4, 4), 5 + by)};
  };
  CHECK(fit_doubts(rising(0.99)).empty());
  const Strings steep = fit_doubts(rising(1.25));
  REQUIRE(steep.size() == 1);
  CHECK(steep[0].starts_with("deck.csv: elevation: the deck rises 1:3.2, steeper than 1:4"));
  const Strings narrow =
      fit_doubts({shot("S1", at(0, 0), 5), shot("S2", at(0, 20), 5), shot("S3", at(0.3, 10), 5)});
  REQUIRE(narrow.size() == 1);
  CHECK(narrow[0].starts_with("deck.csv: elevation: the shots lie near one line"));
}

namespace {

/// Bays A and B beside one another along X, 5 m wide each; what `heights` states of them.
PlainOverhead two_bays(std::optional<double> a, std::optional<double> b,
                       std::optional<StatedFlutes> flutes_of_b = {}) {
  PlainOverhead out;
  out.bays(all<StatedCorner>({bay("A", 0, 5, a), bay("B", 5, 10, b, flutes_of_b)}));
  return out;
}
struct InBaysCase {
  PlainOverhead overhead;
  PlainDeck deck{};
  Staged<DecksFitted> fitted() {
    deck.bays_table = overhead.job.bays_table;
    Messages none;
    return fit_decks(deck.view(), read_bays(overhead.job, none), &kFit);
  }
};

}  // namespace

TEST_CASE("decks in bays: a level, or a plane through the shots that name the bay") {
  InBaysCase c{two_bays(4, std::nullopt)};
  std::vector<StatedShot> shots = sloping();
  for (StatedShot& s : shots) s.bay = "b";  // names are the same in small letters
  c.deck.shot_by(shots);
  const auto out = c.fitted();
  REQUIRE(out.is_there());
  CHECK(out.value->by_bay);
  REQUIRE(out.value->decks.size() == 2);
  CHECK(height(out.value->decks[0], 106, 200) == 4);
  CHECK(height(out.value->decks[1], 106, 200) == doctest::Approx(5.06));
  CHECK_FALSE(out.value->fits[0]);
  REQUIRE(out.value->fits[1]);
}

TEST_CASE("decks in bays: every fault of bays and shots is told, each at its row") {
  InBaysCase c{two_bays(4, std::nullopt)};
  c.deck.shot_by({shot("S1", at(100, 200), 5, "A"), shot("S2", at(100, 210), 5, "C"),
                  shot("S3", at(100, 200), 5), shot("S4", at(100, 201), 5, "B")});
  const auto out = c.fitted();
  CHECK(out.is_spoiled());
  CHECK(
      problems(out.told) ==
      Strings{"deck.csv:2:4: bay: found shot S1 on bay A, which states its elevation, expected another bay; "
              "or a bay without an elevation, for its shots to give it",
              "deck.csv:3:4: bay: found \"C\", expected the bay on whose deck it stands",
              "deck.csv:4:4: bay: found shot S3 without a bay, expected the bay on whose deck it stands",
              "bays.csv:6:1: bay: found bay B with 1 shots, too few or on one line, expected an elevation, "
              "or three or more shots that are not on one line"});
  InBaysCase bare{two_bays(4, std::nullopt)};
  CHECK(problems(bare.fitted().told)[0].find("bays.csv:6:1: bay: found bay B without elevation and without "
                                             "shots, expected an elevation") != std::string::npos);
}

TEST_CASE(
    "decks in bays: a bay without a deck spoils them; the doubts of another's shots are told at their rows") {
  const auto with = [](std::vector<StatedShot> of_b) {
    InBaysCase c{two_bays(std::nullopt, std::nullopt)};
    std::vector<StatedShot> shots{shot("A1", at(0, 0), 5, "A")};
    for (StatedShot& s : of_b) s.bay = "B", shots.push_back(s);
    c.deck.shot_by(shots);
    return c.fitted();
  };
  const auto out = with(saddle(0.03));
  CHECK(out.is_spoiled());
  CHECK_FALSE(out.value);
  CHECK(problems(out.told).size() == 1);
  REQUIRE(out.told.doubts() == 4);
  CHECK(doubts(out.told)[0].starts_with(
      "deck.csv:3:6: elevation: shot S1 stands 30.0 mm above the fitted deck"));
  const auto stray = with(level_shots({5, 5.001, 5, 5.001, 5.3, 5, 5.001, 5, 5}));
  CHECK(doubts(stray.told)
            .at(0)
            .starts_with("deck.csv:7:6: elevation: shot S5 stands 299.6 mm above the plane"));
}

TEST_CASE("decks in bays: a shot on a bay whose outline is none is not told, and the decks are spoiled") {
  InBaysCase c{{}};
  std::vector<StatedCorner> corners = bay("A", 0, 5, 4);
  for (StatedCorner& k : bay("X", 5, 10, 4)) corners.push_back(k);
  corners.erase(corners.begin() + 6, corners.end());  // two corners of X
  c.overhead.bays(corners);
  c.deck.shot_by({shot("S1", at(100, 200), 5, "X")});
  const auto out = c.fitted();
  CHECK(out.is_spoiled());
  CHECK(problems(out.told).empty());
}

namespace {

/// Marks under a deck, on site by `kFit`.
struct LiftCase {
  PlainDeck deck{};
  Hung hung{};
  Placed placed{SitePlace::by_fit, {}, {}, shifted_fit(), {}, {}, {}};

  LiftCase(const PlainOverhead& overhead, const std::vector<PlainMark>& marks) {
    auto h = overhead.hung(marks);
    REQUIRE(h.is_there());
    hung = std::move(*h.value);
    for (const Point<Drawing>& p : hung.marks->places) placed.marks.push_back(kFit.site_from_drawing(p));
    deck.bays_table = overhead.job.bays_table;
  }
  Staged<Decks> lifted() const {
    const auto fitted = fit_decks(deck.view(), hung.overhead.bays, &placed.fit);
    REQUIRE(fitted.is_there());
    return lift(deck.view(), hung, placed, *fitted.value);
  }
};
LiftCase under_level(double elevation, std::optional<double> bracket, const std::vector<PlainMark>& marks) {
  LiftCase out({}, marks);
  out.deck.level = Elevation::metres(elevation);
  if (bracket) out.deck.attach_height = m(*bracket);
  return out;
}

}  // namespace

TEST_CASE("heights: rise from the floor, drop from the bracket; a mark's own height before the job's") {
  LiftCase c = under_level(4, 2.5, {{"P1", 1, 1}, {"P2", 2, 1, "", "", 2.75}, {"R", 3, 1, "", "reference"}});
  c.deck.floor = Elevation::metres(0.25);
  const auto out = c.lifted();
  REQUIRE(out.is_there());
  CHECK(out.value->of_mark.empty());
  const Heights heights(c.hung.marks, c.placed, &*out.value, c.deck.view().floor_or_zero(),
                        c.deck.attach_height);
  CHECK(heights.at(0).rise == m(3.75));
  CHECK(heights.at(0).drop == m(1.25));
  CHECK(heights.at(1).drop == m(1));
  CHECK(heights.at(1).attach == Elevation::metres(3));
  CHECK_FALSE(heights.at(2).rise);
  CHECK_FALSE(heights.attach_height(2));
  CHECK(heights.floor() == Elevation::metres(0.25));
  const Heights none(c.hung.marks, c.placed, nullptr, heights.floor(), c.deck.attach_height);
  CHECK_FALSE(none.has_deck());
  CHECK_FALSE(none.at(0).rise);
  CHECK(none.at(0).attach == Elevation::metres(2.75));
}

TEST_CASE("heights: a deck that is not above the floor is one fault of its key") {
  LiftCase c = under_level(4, std::nullopt, {{"P1", 1, 1}, {"P2", 2, 1}});
  c.deck.floor = Elevation::metres(10);
  const auto out = c.lifted();
  CHECK(out.is_spoiled());
  CHECK(problems(out.told) ==
        Strings{"job.toml:11:1: deck.elevation: found 2 points, P1 the first: deck 4.000 m, floor 10.000 m, "
                "expected a deck above the floor; try checking floor and deck elevations"});
  CHECK(out.told.doubts() == 0);
  c.deck.level = std::nullopt;
  c.deck.shot_by(level_shots({5, 5, 5, 5}));
  CHECK(problems(c.lifted().told)[0].starts_with("job.toml:11:1: deck.shots: found 2 points, P1 the first"));
}

TEST_CASE("heights: brackets in the deck are one fault of the key, and one of each row that states its own") {
  LiftCase c =
      under_level(4, 4, {{"P1", 1, 1}, {"P2", 2, 1}, {"P3", 3, 1, "", "", 5.0}, {"P4", 4, 1, "", "", 1.0}});
  CHECK(
      problems(c.lifted().told) ==
      Strings{"job.toml:13:1: hangers.height: found 2 hangers, P1 the first: attach elevation 4.000 m, "
              "deck 4.000 m there, expected a deck above the attach elevation; try checking height, floor "
              "and deck elevations",
              "drawing.csv:4:24: height: found P3: attach elevation 5.000 m, deck 4.000 m there, expected a "
              "deck above the attach elevation; try checking height, floor and deck elevations"});
}

TEST_CASE("heights: a height above the deck is told at the cell of its run") {
  PlainOverhead o;
  o.runs({line("R1", 1, 1, 3, 1, m(4.5)), line("R2", 1, 2, 3, 2)});
  LiftCase c(o, {});
  c.deck.level = Elevation::metres(4);
  CHECK(problems(c.lifted().told)[0].starts_with(
      "runs.csv:2:19: height: found 3 hangers, R1-01 the first: attach elevation 4.500 m"));
}

TEST_CASE("heights: rises of 2 m to 30 m are believed, and no others") {
  CHECK(doubts(under_level(2, std::nullopt, {{"P1", 1, 1}}).lifted().told).empty());
  CHECK(doubts(under_level(30, std::nullopt, {{"P1", 1, 1}}).lifted().told).empty());
  CHECK(doubts(under_level(1.99, std::nullopt, {{"R", 1, 1, "", "reference"}, {"P1", 1, 1}}).lifted().told) ==
        Strings{"drawing.csv:3:1: point: 1 point with a rise outside 2 m to 30 m (common practice, no "
                "source), P1 the first, 1.9900 m: check floor and deck elevations and their units"});
  CHECK(doubts(under_level(30.01, std::nullopt, {{"P1", 1, 1}, {"P2", 2, 1}}).lifted().told)[0].starts_with(
      "drawing.csv:2:1: point: 2 points with a rise outside 2 m to 30 m (common practice, no source), P1 the "
      "first, 30.0100 m"));
}

TEST_CASE("heights: drops from 100 mm to 80 % of the rise are believed, and no others") {
  CHECK(doubts(under_level(4, 3.9, {{"P1", 1, 1}}).lifted().told).empty());
  CHECK(doubts(under_level(4, 0.8, {{"P1", 1, 1}}).lifted().told).empty());
  CHECK(doubts(under_level(4, 3.91, {{"P1", 1, 1}}).lifted().told) ==
        Strings{"drawing.csv:2:1: point: 1 hanger shorter than 100 mm (common practice, no source), P1 the "
                "first, 90.0 mm: check height and elevations"});
  CHECK(
      doubts(under_level(4, 0.79, {{"P1", 1, 1}, {"P2", 2, 1}}).lifted().told) ==
      Strings{"drawing.csv:2:1: point: 2 hangers longer than 80 % of the rise (common practice, no source), "
              "P1 the first, 3.2100 m: check height and elevations"});
}

TEST_CASE(
    "heights: a mark as far from the shots as they are from one another is believed, one further is not") {
  // Shots over 8 m by 6 m, so 10 m at most from one another; S2 and S4 stand 8 m east, 3 m to either side.
  const auto told_at = [](double x, double turned) {
    const auto turn = [turned](double n, double e) {
      return at(103 + (n - 103) * std::cos(turned) - (e - 204) * std::sin(turned),
                204 + (n - 103) * std::sin(turned) + (e - 204) * std::cos(turned));
    };
    LiftCase c({}, {{"R", 99, 3, "", "reference"}, {"P1", 4, 3}, {"P2", x, 3}});
    c.placed.marks[2] = turn(103, 200 + x);
    c.deck.shot_by({shot("S1", turn(100, 200), 5), shot("S2", turn(100, 208), 5),
                    shot("S3", turn(106, 200), 5), shot("S4", turn(106, 208), 5)});
    return doubts(c.lifted().told);
  };
  const double just = 8 + std::sqrt(91.0);  // 10 m from S2
  for (const double turned : {0.0, 0.7}) {
    CAPTURE(turned);
    CHECK(told_at(just - 0.001, turned).empty());
    const Strings far = told_at(8 + std::sqrt(10.5 * 10.5 - 9), turned);
    REQUIRE(far.size() == 1);
    CHECK(far[0].starts_with(
        "deck.csv: elevation: P2 lies 10.5000 m from the nearest deck shot, further than the shots from one "
        "another, 10.0000 m at most: its deck is a guess"));
  }
}

namespace {

/// Four corners and the middle of a level field of 10 m by 6 m at 5 m, the second shot as given.
std::vector<StatedShot> with_second(double elevation) {
  return {shot("S1", at(100, 200), 5), shot("S2", at(100, 210), elevation), shot("S3", at(106, 200), 5),
          shot("S4", at(106, 210), 5), shot("S5", at(103, 205), 5)};
}

}  // namespace

TEST_CASE(
    "heights: a wrong shot that puts the deck under floor or brackets is told at its row, and nothing else") {
  for (const double wrong : {-40.0, 500.0}) {
    CAPTURE(wrong);
    LiftCase c({}, {{"P1", 1, 1}, {"P2", 9, 1}, {"P3", 1, 5}, {"P4", 9, 5}});
    c.deck.attach_height = m(2.5);
    c.deck.shot_by(with_second(wrong));
    const auto out = c.lifted();
    CHECK(out.is_spoiled());
    REQUIRE(problems(out.told).size() == 1);
    CHECK(problems(out.told)[0].starts_with("deck.csv:3:5: elevation: found shot S2 "));
    CHECK(problems(out.told)[0].find("expected about 5.000 m there") != std::string::npos);
    CHECK(out.told.doubts() == 0);
    // The shots are told once: by what follows, and not where the deck is fitted.
    CHECK(fit_decks(c.deck.view(), {}, &kFit).told.doubts() == 0);
  }
}

TEST_CASE("heights: brackets that the deck without the wrong shot would not clear are told beside it") {
  LiftCase c({}, {{"P1", 1, 1}, {"P2", 9, 5, "", "", 6.0}});
  c.deck.shot_by(with_second(-40));
  const Strings lines = problems(c.lifted().told);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].starts_with("deck.csv:3:5: elevation: found shot S2 "));
  CHECK(lines[1].starts_with("drawing.csv:3:"));
  CHECK(lines[1].find("deck 5.000 m there") != std::string::npos);
}

TEST_CASE("heights: a shot off by 1 m is one doubt; rises and drops are those of the others' deck") {
  LiftCase c({}, {{"P1", 1, 1}, {"P2", 9, 1}, {"P3", 1, 5}, {"P4", 9, 5}});
  c.deck.attach_height = m(2.5);
  c.deck.shot_by(with_second(8.0));
  CHECK(doubts(c.lifted().told) ==
        Strings{"deck.csv:3:5: elevation: shot S2 stands 3.0000 m above the plane of the others"});
}

TEST_CASE("decks: where a slope would explain as much by another shot, it says so") {
  CHECK(fit_doubts(with_second(5.3)) ==
        Strings{
            "deck.csv:3:5: elevation: shot S2 stands 300.0 mm above the plane of the others; 5 shots cannot "
            "tell whether it is wrong or S3 (a deck that rises 1:17.1): shoot one more"});
}

TEST_CASE("decks: a shot apart in plan is told at its row, also where it leaves the others on one line") {
  auto shots = with_second(5);
  shots[1].at = at(210, 100);
  CHECK(fit_doubts(shots) ==
        Strings{"deck.csv:3:1: shot: shot S2 lies 144.2775 m from the nearest other, and the others within "
                "11.6619 m of one another: its northing and easting look exchanged"});
  shots[1].at = at(100000, 210);
  PlainDeck deck;
  const auto out = fit_decks(deck.shot_by(shots).view(), {}, nullptr);
  CHECK(out.is_spoiled());
  REQUIRE(problems(out.told).size() == 1);
  CHECK(problems(out.told)[0].starts_with("deck.csv:3:1: shot: found shot S2 lies "));
  CHECK(problems(out.told)[0].find("check the digits of its northing") != std::string::npos);
}

TEST_CASE("decks: a feet job is told in feet") {
  PlainDeck deck;
  deck.shot_by(with_second(500));
  DeckStated feet = deck.view();
  feet.site_unit = LengthUnit::foot;
  CHECK(doubts(fit_decks(feet, {}, nullptr).told) ==
        Strings{"deck.csv:3:5: elevation: shot S2 stands 1624.0157 ft above the plane of the others"});
}

TEST_CASE("bays: every mark has the deck of its bay, and steps go up from the first to the second") {
  LiftCase c(two_bays(4, 4.2), {{"P1", 1, 1}, {"P2", 6, 1}, {"R", 99, 1, "", "reference"}});
  const auto out = c.lifted();
  REQUIRE(out.is_there());
  CHECK(out.value->of_mark == std::vector<std::uint32_t>{0, 1, 0});
  CHECK(height(*out.value->over(0), 0, 0) == 4);
  CHECK(height(*out.value->over(1), 0, 0) == 4.2);
  REQUIRE(out.value->steps.size() == 1);
  CHECK(out.value->steps[0].first == 0);
  CHECK(out.value->steps[0].second == 1);
  CHECK(out.value->steps[0].up.metres() == doctest::Approx(0.2));
}

TEST_CASE("bays: the step is that at the middle of the edge, on site") {
  // B rises 10 mm a metre to the north from 5.0 at N 100; the edge's middle lies at y 3, N 103.
  LiftCase c(two_bays(4, std::nullopt), {{"P1", 1, 1}});
  std::vector<StatedShot> shots = sloping();
  for (StatedShot& s : shots) s.bay = "B";
  c.deck.shot_by(shots);
  CHECK(c.lifted().value->steps[0].up.metres() == doctest::Approx(1.03));
}

TEST_CASE("bays: marks in no bay or in two are told at their rows, and nobody is given their decks") {
  LiftCase c(two_bays(4, 4.2), {{"P1", 1, 1}, {"P2", 5, 1}, {"P3", 11, 1}, {"R", 99, 1, "", "reference"}});
  const auto out = c.lifted();
  CHECK(out.is_spoiled());
  CHECK_FALSE(out.value);
  CHECK(
      problems(out.told) ==
      Strings{"drawing.csv:3:1: point: found P2 in two bays, A and B, on their edge, expected a place in one "
              "bay; try corners that leave it to one of them",
              "drawing.csv:4:1: point: found P3 in no bay, expected a place in one bay; try corners that "
              "reach round it"});
  PlainOverhead over_another;
  over_another.bays(all<StatedCorner>({bay("A", 0, 6, 4), bay("B", 5, 10, 4)}));
  CHECK(problems(LiftCase(over_another, {{"P1", 5.5, 1}}).lifted().told)[0].starts_with(
      "drawing.csv:2:1: point: found P1 in two bays, A and B, expected"));
}

TEST_CASE("bays: hangers of one run in no bay, or on an edge, are one fault of its row") {
  PlainOverhead o = two_bays(4, 4.2);
  o.job.hangers.max_spacing = m(0.5);
  o.runs({line("R1", 9, 1, 12, 1)});
  CHECK(problems(LiftCase(o, {{"P1", 1, 1}}).lifted().told)[0].starts_with(
      "runs.csv:2:1: run: found 4 points, R1-04 the first in no bay"));
  o.runs({line("R1", 5, 1, 5, 2)});
  CHECK(problems(LiftCase(o, {{"P1", 1, 1}}).lifted().told)[0].starts_with(
      "runs.csv:2:1: run: found R1-01 in two bays, A and B, on their edge; 3 points of this row in all"));
}

TEST_CASE(
    "bays: where they reach no mark they are elsewhere, which is one fault; one mark alone is told itself") {
  CHECK(problems(LiftCase(two_bays(4, 4.2), {{"P1", 1001, 1}, {"P2", 1002, 1}, {"R", 1, 1, "", "reference"}})
                     .lifted()
                     .told) ==
        Strings{"job.toml:11:1: deck.bays: found 2 points, all of them in no bay, P1 the first, expected a "
                "place in one bay; try the unit of the bays table, and its x and y"});
  CHECK(problems(LiftCase(two_bays(4, 4.2), {{"P1", 1001, 1}}).lifted().told)[0].starts_with(
      "drawing.csv:2:1: point: found P1 in no bay"));
}

TEST_CASE("bays: a deck under the floor is told of its bay, beside a mark that lies in none") {
  LiftCase c(two_bays(4, 4.2), {{"P1", 1, 1}, {"P2", 6, 1}, {"P3", 11, 1}, {"P4", 2, 1}});
  c.deck.floor = Elevation::metres(4.1);
  CHECK(
      problems(c.lifted().told) ==
      Strings{"drawing.csv:4:1: point: found P3 in no bay, expected a place in one bay; try corners that "
              "reach round it",
              "bays.csv:2:1: bay: found 2 points, P1 the first: deck 4.000 m, floor 4.100 m, expected a deck "
              "above the floor; try checking floor and deck elevations"});
}

TEST_CASE("bays: a floor above all of them is the fault, where it is stated and there are several") {
  LiftCase c(two_bays(4, 4.2), {{"P1", 1, 1}, {"P2", 6, 1}});
  c.deck.floor = Elevation::metres(10);
  CHECK(
      problems(c.lifted().told) ==
      Strings{"job.toml:12:1: floor.elevation: found P1: deck 4.000 m, floor 10.000 m, and no bay above it, "
              "expected a deck above the floor; try checking floor and deck elevations"});
  LiftCase low(two_bays(-4, -4.2), {{"P1", 1, 1}, {"P2", 6, 1}});
  low.deck.floor = std::nullopt;
  CHECK(problems(low.lifted().told).size() == 2);
  PlainOverhead one;
  one.bays(bay("A", 0, 5, 4));
  LiftCase alone(one, {{"P1", 1, 1}});
  alone.deck.floor = Elevation::metres(10);
  CHECK(problems(alone.lifted().told)[0].starts_with("bays.csv:2:1: bay: found P1: deck 4.000 m"));
}

TEST_CASE("flutes: points and supports more than 5 mm from a fastening line are told") {
  // Flutes along y: lines at x 0.05 + n 0.3, of which 5.15, 5.45, 8.45.
  const StatedFlutes along_y{false, m(0.3), m(0.05)};
  const auto told_of = [&](std::vector<PlainMark> marks) {
    return doubts(LiftCase(two_bays(4, 4.2, along_y), marks).lifted().told);
  };
  CHECK(told_of({{"P1", 5.455, 1}, {"P2", 1.2, 1}, {"R", 5.3, 1, "", "reference"}}).empty());
  CHECK(
      told_of({{"P1", 5.444, 1}, {"P2", 5.456, 2}, {"P3", 5.5, 3}}) ==
      Strings{"drawing.csv:2:1: point: P1 is 6.0 mm from the nearest fastening line of bay B, x 5.4500 m",
              "drawing.csv:3:1: point: P2 is 6.0 mm from the nearest fastening line of bay B, x 5.4500 m",
              "drawing.csv:4:1: point: P3 is 50.0 mm from the nearest fastening line of bay B, x 5.4500 m"});
  const StatedFlutes along_x{true, m(0.3), m(0.05)};
  CHECK(
      doubts(LiftCase(two_bays(4, 4.2, along_x), {{"P1", 6, 0.36}}).lifted().told) ==
      Strings{"drawing.csv:2:1: point: P1 is 10.0 mm from the nearest fastening line of bay B, y 350.0 mm"});
}

TEST_CASE("flutes: supports are held against the lines, the hanger that they bridge is not") {
  PlainOverhead o = two_bays(4, 4.2, StatedFlutes{false, m(0.3), m(0.05)});
  // A duct over x 6.9 to 7.1: its supports stand at 6.9 and 7.1, lines at 6.95 and 7.25.
  o.obstructions(rectangle("D", 6.9, 0.5, 7.1, 5.5));
  const Strings told = doubts(LiftCase(o, {{"P1", 7, 1}}).lifted().told);
  CHECK(
      told ==
      Strings{"drawing.csv:2:1: point: P1-a is 50.0 mm from the nearest fastening line of bay B, x 6.9500 m",
              "drawing.csv:2:1: point: P1-b is 150.0 mm from the nearest fastening line of bay B, x 7.2500 "
              "m"});
}

TEST_CASE("flutes: hangers along a run that was told already are not told one by one") {
  // Along the flutes: nothing moves the hangers, and the run is told when they are placed.
  PlainOverhead o = two_bays(4, 4.2, StatedFlutes{true, m(0.3), m(0.05)});
  o.runs({line("R1", 5.5, 1, 9.5, 1)});
  CHECK(doubts(LiftCase(o, {}).lifted().told).empty());
  // Across them, with its ends off the lines: no spacing keeps the rules.
  PlainOverhead across = two_bays(4, 4.2, StatedFlutes{false, m(0.4), m(0.1)});
  across.runs({line("R1", 5.6, 1, 8.6, 1)});
  CHECK_FALSE(across.hung().value->overhead.runs[0].spacing.solved);
  CHECK(doubts(LiftCase(across, {}).lifted().told).empty());
}
