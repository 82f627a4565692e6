#include "stages/overhead.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "stages/shared_faults.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

Strings problems(const Staged<Hung>& h) { return told(h.told, Grade::problem); }
Strings doubts(const Staged<Hung>& h) { return told(h.told, Grade::doubt); }
Strings names(const Staged<Hung>& h) {
  Strings out;
  for (std::size_t i = 0; i < h.value->marks.size(); ++i) out.emplace_back(h.value->marks->names[i]);
  return out;
}
double x_of(const Hung& h, std::size_t mark) { return h.marks->places[mark].at.x.metres(); }
double y_of(const Hung& h, std::size_t mark) { return h.marks->places[mark].at.y.metres(); }
std::string line_of(const Where& where, std::string_view field) {
  Messages m;
  m.problem(where, field, std::string("here"));
  return told(m, Grade::problem)[0];
}

}  // namespace

TEST_CASE("marks: without runs, pieces, bays or outlines the drawing's own pass through, with their index") {
  const auto out = PlainOverhead{}.hung({{"P1", 1, 2, "Q", "", 2.5}, {"R", 3, 4, "", "reference"}});
  REQUIRE(out.is_there());
  const JobMarks& marks = out.value->marks;
  CHECK(names(out) == Strings{"P1", "R"});
  CHECK(marks.drawn == 2);
  CHECK(marks.supports == 2);
  CHECK(marks.index->find("p1") == 0U);
  CHECK_FALSE(marks.is_support(1));
  CHECK(marks.has_deck_point(0));
  CHECK_FALSE(marks.has_deck_point(1));
}

TEST_CASE(
    "marks: a place is told at the cell of the drawing, of the run, or of the hanger that is supported") {
  PlainOverhead o;
  o.runs({line("R1", 0, 1, 2, 1, m(2.5)), line("R2", 0, 2, 2, 2)})
      .obstructions(rectangle("D", 0.9, 0, 1.1, 9));
  const auto out = o.hung({{"P1", 1, 5, "", "", 2.5}, {"P2", 5, 5}});
  REQUIRE(out.is_there());
  REQUIRE(names(out) == Strings{"P1", "P2", "R1-01", "R1-02", "R1-03", "R2-01", "R2-02", "R2-03", "P1-a",
                                "P1-b", "R1-02-a", "R1-02-b", "R2-02-a", "R2-02-b"});
  const JobMarks& marks = out.value->marks;
  const auto told_at = [&](std::size_t mark, MarkCell cell) {
    return line_of(marks.where(mark, cell), marks.field(mark, cell));
  };
  CHECK(told_at(0, MarkCell::point) == "drawing.csv:2:1: point: here");
  CHECK(told_at(0, MarkCell::height) == "drawing.csv:2:24: height: here");
  CHECK(told_at(1, MarkCell::kind) == "drawing.csv:3:25: kind: here");
  CHECK(told_at(6, MarkCell::point) == "runs.csv:3:1: run: here");
  CHECK(told_at(3, MarkCell::height) == "runs.csv:2:19: height: here");
  CHECK(told_at(3, MarkCell::kind) == "runs.csv:2:1: run: here");  // the run's own kind is another thing
  CHECK(told_at(8, MarkCell::point) == "drawing.csv:2:1: point: here");  // the support of P1
  CHECK(told_at(8, MarkCell::height) == "drawing.csv:2:24: height: here");
  CHECK(told_at(8, MarkCell::kind) == "drawing.csv:2:1: point: here");
  CHECK(told_at(12, MarkCell::point) == "runs.csv:3:1: run: here");  // of R2-02
  const Where key = Where::at("job.toml", {13, 1});
  CHECK(height_statement(marks, 5, key).where().known.line == 13);  // R2 states none
  CHECK(height_statement(marks, 5, key).field() == "hangers.height");
  CHECK(height_statement(marks, 2, key).field() == "height");
  CHECK(place_statement(marks, 2).field() == "run");
}

TEST_CASE("faults that marks share are counted by their statement, in the order of their first") {
  PlainOverhead o;
  o.runs({line("R1", 0, 1, 2, 1), line("R2", 0, 2, 2, 2)});
  const auto out = o.hung();
  const JobMarks& marks = out.value->marks;
  SharedFaults faults;
  for (const std::size_t m : {4U, 0U, 5U}) faults.take(place_statement(marks, m), m);
  REQUIRE(faults.all().size() == 2);
  CHECK(faults.all()[0].first == 4);
  CHECK(faults.all()[0].count == 2);
  CHECK(fellows_words(*marks, faults.all()[0], "hangers") == "2 hangers, R2-02 the first");
  CHECK(fellows_words(*marks, faults.all()[1], "hangers") == "R1-01");
}

TEST_CASE("hangers along a run: places, names, height and run, behind the drawing's own") {
  PlainOverhead o;
  o.job.hangers.end_distance = m(0.2);
  o.runs({line("R1", 1, 3, 4.4, 3, m(2.75))});
  const auto out = o.hung({{"P1", 0, 9}});
  REQUIRE(out.is_there());
  // 3.4 less two ends of 0.2: three spaces of 1.
  CHECK(names(out) == Strings{"P1", "R1-01", "R1-02", "R1-03", "R1-04"});
  const Hung& h = *out.value;
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(x_of(h, 1 + i) == doctest::Approx(1.2 + static_cast<double>(i)));
    CHECK(y_of(h, 1 + i) == doctest::Approx(3));
    CHECK(h.marks->heights[1 + i] == m(2.75));
    CHECK(h.marks->runs[1 + i] == "R1");
    CHECK(h.marks->kind(1 + i) == "hanger");
    CHECK(h.overhead.runs[0].hangers[i].mark == 1 + i);
    CHECK(h.overhead.runs[0].hangers[i].along.metres() == doctest::Approx(0.2 + static_cast<double>(i)));
  }
  CHECK(h.marks.drawn == 1);
  CHECK(h.marks.supports == 5);
  CHECK(h.marks.from_run == std::vector<std::uint32_t>{0, 0, 0, 0});
  CHECK(h.marks.index->find("r1-04") == 4U);
  CHECK(out.told.doubts() == 0);
}

TEST_CASE("hangers along a run: without an end distance they stand at its ends; a ring begins at its start") {
  PlainOverhead o;
  o.runs(
      {line("R1", 0, 0, 2, 0), ring("O1", xy(12, 5), xy(8, 5)), arc("A1", xy(2, 20), xy(0, 22), xy(-2, 20))});
  const auto out = o.hung();
  const Hung& h = *out.value;
  CHECK(h.overhead.runs[0].spacing.at == std::vector<Length>{m(0), m(1), m(2)});
  // Round the ring 12.57 m: 13 spaces, the first at its first point. Half the arc's circle 6.28 m: 7 spaces.
  CHECK(h.overhead.runs[1].hangers.size() == 13);
  CHECK(x_of(h, 3) == doctest::Approx(12));
  CHECK(h.overhead.runs[2].hangers.size() == 8);
  CHECK(x_of(h, 16) == doctest::Approx(2));
  CHECK(x_of(h, 23) == doctest::Approx(-2));
}

TEST_CASE(
    "runs, pieces, outlines and counts are all refused in one round, and the drawing's names are known") {
  PlainOverhead o;
  o.job.hangers.joint_every = mm(0.01);
  o.job.hangers.max_spacing = mm(0.01);
  o.runs({line("R1", 1, 3, 1, 3), arc("A1", xy(0, 0), xy(1, 0), xy(2, 0)), ring("O1", xy(1, 1), xy(1, 1)),
          line("R2", 0, 0, 8, 0)})
      .pieces({{"K1", "R9", m(2)}, {"K2", "r1", m(2)}})
      .bays({{"B", xy(0, 0), {}, {}, {}}, {"B", xy(1, 1), {}, {}, {}}})
      .obstructions({{"D", xy(0, 0), {}, {}, {}}, {"D", xy(1, 0), {}, {}, {}}, {"D", xy(1, 0), {}, {}, {}}});
  const auto out = o.hung({{"P1", 1, 1}});
  CHECK(out.is_spoiled());
  CHECK(
      problems(out) ==
      Strings{"bays.csv:3:1: bay: found outline B with 2 corners, expected three or more",
              "ducts.csv:4:1: name: found corner 3 of D in the place of corner 2, expected each corner once, "
              "the first perhaps again at the end",
              "runs.csv:2:9: x1: found line R1 of no length, expected two different places",
              "runs.csv:3:16: xm: found arc A1, whose three points lie on one line or in one place, expected "
              "a point well off the straight line between the ends; try line as kind, if it is one",
              "runs.csv:4:9: x1: found ring O1 of no length, expected two different places",
              "runs.csv:5:1: run: found more than 100000 pieces along R2, 8.0000 m long, expected a longer "
              "joint_every",
              "runs.csv:5:1: run: found more than 100000 hangers along R2, 8.0000 m long, expected a wider "
              "max_spacing",
              "pieces.csv:2:4: run: found \"R9\", expected a run of the runs table"});
  REQUIRE(out.value);
  CHECK(names(out) == Strings{"P1"});
  CHECK(out.value->marks.index->find("p1") == 0U);
  CHECK(out.value->marks.drawn == 1);
}

TEST_CASE("pieces and hangers that are too many on several runs are one fault of the key") {
  PlainOverhead o;
  o.job.hangers.joint_every = mm(0.01), o.job.hangers.max_spacing = mm(0.01);
  o.runs({line("R1", 0, 0, 0.5, 0), line("R2", 0, 1, 8, 1), line("R3", 0, 2, 9, 2)});
  CHECK(problems(o.hung()) ==
        Strings{"job.toml:21:1: hangers.max_spacing: found 2 runs with more than 100000 hangers along R2, "
                "8.0000 m long, the first, expected a wider max_spacing",
                "job.toml:22:1: hangers.joint_every: found 2 runs with more than 100000 pieces along R2, "
                "8.0000 m long, the first, expected a longer joint_every"});
}

TEST_CASE("pieces: those of the table, or of one length, up to 100000; joints where they meet") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(2);
  o.runs({line("R1", 0, 0, 5, 0), line("R2", 0, 1, 4, 1)})
      .pieces({{"K1", "R2", m(2.5)}, {"K2", "r2", m(1.5)}});
  const auto out = o.hung();
  REQUIRE(out.is_there());
  const auto& pieces = out.value->overhead.pieces;
  CHECK(pieces[0].names == Strings{"R1/1", "R1/2", "R1/3"});
  CHECK(pieces[0].laid.joints == std::vector<Length>{m(2), m(4)});
  CHECK(pieces[1].names == Strings{"K1", "K2"});
  CHECK(pieces[1].laid.joints == std::vector<Length>{m(2.5)});
  CHECK(doubts(out).empty());  // joint_every makes those of R1

  PlainOverhead many;
  many.job.hangers.joint_every = mm(1);
  many.job.hangers.max_spacing = m(50);
  many.runs({line("R1", 0, 0, 100, 0)});
  CHECK(many.hung().is_there());
  many.runs({line("R1", 0, 0, 100.002, 0)});
  CHECK(many.hung().is_spoiled());
}

TEST_CASE("pieces that do not add up are told at the length of the one that shows it") {
  const auto with = [](std::vector<StatedPiece> pieces) {
    PlainOverhead o;
    return doubts(o.runs({line("R1", 0, 0, 5, 0)}).pieces(std::move(pieces)).hung());
  };
  CHECK(with({{"K1", "R1", m(2)}, {"K2", "R1", m(3)}}).empty());
  CHECK(with({{"K1", "R1", m(2)}, {"K2", "R1", m(2.9)}}) ==
        Strings{"pieces.csv:3:7: length: the pieces of R1 end 100.0 mm before the run does, behind K2",
                "runs.csv:2:1: run: no piece of R1 reaches R1-06"});
  CHECK(with({{"K1", "R1", m(2)}, {"K2", "R1", m(3.2)}, {"K3", "R1", m(1)}}) ==
        Strings{"pieces.csv:3:7: length: the pieces of R1 are longer than the run: cut K2 by 200.0 mm at "
                "its finish, and 1 piece behind it finds no place: K3"});
  CHECK(with({{"K1", "R1", m(5)}, {"K2", "R1", m(3)}, {"K3", "R1", m(1)}}) ==
        Strings{"pieces.csv:2:7: length: the pieces of R1 are longer than the run, which ends with K1, and 2 "
                "pieces behind it find no place: K2, K3"});
}

TEST_CASE("hangers keep clear of joints, and stand near joints and crossings of both runs") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(2);
  o.job.hangers.joint_clear = m(0.2);
  o.runs({line("R1", 0, 0, 4, 0)});
  auto out = o.hung();
  for (const Length l : out.value->overhead.runs[0].spacing.at) CHECK(abs(l - m(2)) > m(0.1999));
  CHECK(out.value->overhead.runs[0].spacing.at.size() == 6);  // one more than equal spaces take
  o.job.hangers.joint_clear = m(0), o.job.hangers.joint_every = std::nullopt;
  o.job.hangers.crossing_support = m(0.05);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1.5, -2.3, 1.5, 2.7)});
  out = o.hung();
  // They cross 1.5 m along R1 and 2.3 m along R2, where equal spaces put no hanger.
  CHECK(out.value->overhead.crossings.size() == 1);
  for (std::size_t r = 0; r < 2; ++r) {
    CAPTURE(r);
    Length nearest = m(9);
    for (const Length l : out.value->overhead.runs[r].spacing.at)
      nearest = std::min(nearest, abs(l - m(r == 0 ? 1.5 : 2.3)));
    CHECK(nearest < m(0.0501));
  }
  o.job.hangers.joint_support = m(0.05), o.job.hangers.joint_every = m(1.5);
  o.job.hangers.crossing_support = std::nullopt;
  o.runs({line("R1", 0, 0, 4, 0)});
  out = o.hung();
  for (const double joint : {1.5, 3.0}) {
    Length nearest = m(9);
    for (const Length l : out.value->overhead.runs[0].spacing.at)
      nearest = std::min(nearest, abs(l - m(joint)));
    CHECK(nearest < m(0.0501));
  }
}

TEST_CASE("runs that lie on one another are told at the later") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1, 0, 6, 0)});
  CHECK(doubts(o.hung()) == Strings{"runs.csv:3:1: run: R1 and R2 lie on one another over a stretch"});
}

TEST_CASE("a rule that no spacing keeps is told once a run: the worst place, and how many there are") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(1);
  o.job.hangers.joint_clear = m(0.6);  // of joints at 1, 2, 3: nothing is left between them
  o.runs({line("R1", 0, 0, 4, 0)});
  const auto out = o.hung();
  CHECK_FALSE(out.value->overhead.runs[0].spacing.solved);
  CHECK(doubts(out) ==
        Strings{"runs.csv:2:1: run: the hanger at 1.0000 m along R1 is 0.0 mm from a joint, nearer than "
                "joint_clear, the worst of 3; no spacing keeps all rules, so the spaces are equal"});
}

TEST_CASE("rules that no spacing keeps, each in its words, with the place that is worst") {
  const std::string at = "runs.csv:2:1: run: ",
                    rest = "; no spacing keeps all rules, so the spaces are equal";
  PlainOverhead joints;
  joints.job.hangers.joint_every = m(1.5), joints.job.hangers.joint_clear = m(0.6);
  // The hangers nearest to the joint at 1.5 stand 0.5 m off it, that at 3 stands on the next.
  CHECK(doubts(joints.runs({line("R1", 0, 0, 4, 0)}).hung()) ==
        Strings{at +
                "the hanger at 3.0000 m along R1 is 0.0 mm from a joint, nearer than joint_clear, the worst "
                "of 2" +
                rest});
  joints.job.hangers.joint_clear = m(0.1), joints.job.hangers.joint_support = m(0.05);
  CHECK(
      doubts(joints.hung()) ==
      Strings{at + "the joint or crossing at 1.5000 m along R1 has its nearest hanger 500.0 mm off" + rest,
              at + "the hanger at 3.0000 m along R1 is 0.0 mm from a joint, nearer than joint_clear" + rest});

  PlainOverhead edge;
  edge.bays(all<StatedCorner>({bay("A", 0, 6, 4), bay("B", 6, 12, 4)}));
  CHECK(doubts(edge.runs({line("R1", 6, 3, 11, 3)}).hung()) ==
        Strings{at + "the hanger at 10.0 mm along R1 is 10.0 mm from the end" + rest});
  edge.job.hangers.max_spacing = mm(1.5);
  CHECK(doubts(edge.runs({line("R1", 5.997, 3, 6.003, 3)}).hung()) ==
        Strings{at + "the hanger at 3.0 mm along R1 is 0.0 mm from the edge of its bay" + rest});

  PlainOverhead flutes;
  flutes.job.hangers.max_spacing = m(1.2);
  // Lines at x 1.7, 2.5, 3.3: the hangers at x 1.5333, 2.5667, 3.6 stand off them, the last by 0.3 m.
  flutes.bays(bay("A", 0, 5, 4, StatedFlutes{false, m(0.4), m(0.1)})).runs({line("R1", 0.5, 1, 3.6, 1)});
  CHECK(doubts(flutes.hung()) ==
        Strings{at +
                "the hanger at 3.1000 m along R1 is 300.0 mm from the nearest fastening line of the deck, "
                "the worst of 3" +
                rest});
  flutes.bays(bay("A", 0, 5, 4, StatedFlutes{false, m(10), m(9)}));
  CHECK(doubts(flutes.hung()) ==
        Strings{at +
                "the hanger at 0.0 mm along R1 has no fastening line of its deck on the run, the worst of 4" +
                rest});
}

TEST_CASE("rings with fewer than three hangers are told; three are enough") {
  const auto with = [](double spacing) {
    PlainOverhead o;
    o.job.hangers.max_spacing = m(spacing);
    return doubts(o.runs({ring("O1", xy(1, 0), xy(0, 0))}).hung());  // 3.1416 m round
  };
  CHECK(with(1.1).empty());
  CHECK(with(1.6) == Strings{"runs.csv:2:1: run: ring O1 has 2 hangers: it hangs level on three or more"});
  CHECK(with(4) == Strings{"runs.csv:2:1: run: ring O1 has 1 hanger: it hangs level on three or more"});
}

TEST_CASE(
    "points of the drawing on a drawn run hang on it where they lie within 5 mm, in the order along it") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 2, 0), line("R2", 0, 5, 2, 5)});
  const auto out = o.hung({{"P1", 1.5, 0.005, "r1"},
                           {"P2", 0.5, 0.006, "R1"},
                           {"P3", 0.5, 0, "R1", "reference"},
                           {"P4", 0.5, 5, "Q"}});
  REQUIRE(out.is_there());
  CHECK(doubts(out) == Strings{"drawing.csv:3:1: point: P2 lies 6.0 mm off run R1",
                               "runs.csv:2:1: run: the drawing has points on R1 already; hangers along the "
                               "run were generated beside them"});
  const auto& hangers = out.value->overhead.runs[0].hangers;
  REQUIRE(hangers.size() == 4);
  CHECK(hangers[2].mark == 0);
  CHECK(hangers[2].along.metres() == doctest::Approx(1.5));
  CHECK(hangers[3].along.metres() == doctest::Approx(2));
  CHECK(out.value->overhead.runs[1].hangers.size() == 3);
}

TEST_CASE("obstructions: hangers in them get two supports, named, with the hanger's height and run") {
  PlainOverhead o;
  std::vector<StatedCorner> duct = rectangle("D", 0.9, -1, 1.2, 1);
  duct[2].clearance = m(0.1);
  o.runs({line("R1", 0, 0, 2, 0, m(2.5))}).obstructions(duct);
  const auto out = o.hung({{"R", 1, 0, "", "reference"}});
  REQUIRE(out.is_there());
  const Hung& h = *out.value;
  CHECK(names(out) == Strings{"R", "R1-01", "R1-02", "R1-03", "R1-02-a", "R1-02-b"});
  CHECK(h.marks.supports == 4);
  CHECK(h.marks.is_support(4));
  CHECK_FALSE(h.marks.is_support(3));
  CHECK(h.marks.bridged == std::vector<std::uint8_t>{0, 0, 1, 0, 0, 0});
  CHECK_FALSE(h.marks.has_deck_point(2));
  CHECK(h.marks.has_deck_point(4));
  CHECK(x_of(h, 4) == doctest::Approx(0.8));
  CHECK(x_of(h, 5) == doctest::Approx(1.3));
  for (const std::size_t s : {4U, 5U}) {
    CHECK(h.marks->kind(s) == "support");
    CHECK(h.marks->heights[s] == m(2.5));
    CHECK(h.marks->runs[s] == "R1");
    CHECK(h.marks.from_run[s - 1] == (kOfHanger | 2U));
  }
  REQUIRE(h.overhead.trapezes.size() == 1);
  CHECK(h.overhead.trapezes[0].hanger == 2);
  CHECK(h.overhead.trapezes[0].first == 4U);
  CHECK(h.overhead.trapezes[0].second == 5U);
  CHECK(h.overhead.obstruction_names == Strings{"D"});
  CHECK(h.overhead.obstructions.size() == 1);
}

TEST_CASE(
    "obstructions: supports have the trapezes' own height, told at its key; a bar below its bracket is "
    "doubted") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 2, 0, m(2.5))}).obstructions(rectangle("D", 0.8, -1, 1.3, 1));
  o.job.trapeze_height.value = m(2.9);
  o.job.trapeze_height.at = Where::at("job.toml", {31, 1});
  auto out = o.hung({{"P1", 1, 0.5}});
  REQUIRE(names(out) == Strings{"P1", "R1-01", "R1-02", "R1-03", "P1-a", "P1-b", "R1-02-a", "R1-02-b"});
  const JobMarks& marks = out.value->marks;
  for (const std::size_t s : {4U, 5U, 6U, 7U}) CHECK(marks->heights[s] == m(2.9));
  CHECK(marks->heights[2] == m(2.5));
  CHECK_FALSE(marks->heights[0]);
  const Where key = Where::at("job.toml", {13, 1});
  CHECK(height_statement(marks, 6, key).where().known.line == 31);
  CHECK(height_statement(marks, 6, key).field() == "obstructions.trapeze_height");
  CHECK(height_statement(marks, 2, key).field() == "height");
  CHECK(height_statement(marks, 0, key).field() == "hangers.height");
  CHECK(doubts(out).empty());
  o.job.trapeze_height.value = m(2.5);
  CHECK(doubts(o.hung({{"P1", 1, 0.5}})).empty());  // P1 states none, and the job none
  CHECK(
      doubts(o.hung({{"P1", 1, 0.5, "", "", 2.51}, {"P2", 1, 0.7, "", "", 2.6}})) ==
      Strings{"job.toml:31:1: obstructions.trapeze_height: the bar at 2.5000 m would hang below 2 brackets "
              "that it "
              "carries, P1 the first at 2.5100 m: raise trapeze_height, or check the height of the bracket"});
}

TEST_CASE("obstructions: the job's clearance where an outline states none; two clearances are a fault") {
  PlainOverhead o;
  o.job.clearance = m(0.2);
  o.obstructions(rectangle("D", 0.9, -1, 1.2, 1));
  CHECK(x_of(*o.hung({{"P1", 1, 0}}).value, 1) == doctest::Approx(0.7));
  std::vector<StatedCorner> duct = rectangle("D", 0.9, -1, 1.2, 1, {{}, xy(0, 0), {}, {}, m(0.1)});
  duct[1].clearance = m(0.1);
  CHECK(o.obstructions(duct).hung().is_there());
  duct[3].clearance = m(0.2);
  CHECK(problems(o.obstructions(duct).hung()) ==
        Strings{"ducts.csv:5:9: clearance: found another clearance of D, expected one clearance for an "
                "outline"});
}

TEST_CASE("obstructions: supports keep clear of joints") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(0.8), o.job.hangers.joint_clear = m(0.15);
  o.job.hangers.max_spacing = m(1);
  o.runs({line("R1", 0, 0, 1, 0)}).obstructions(rectangle("D", 0.9, -5, 5, 5));
  const auto out = o.hung();  // R1-02 at 1 lies in the duct, the joint at 0.8 near its side
  REQUIRE(out.value->marks.size() == 4);
  CHECK(x_of(*out.value, 2) == doctest::Approx(0.65));
}

TEST_CASE("obstructions: a hanger that no supports reach has none, and it is told") {
  PlainOverhead o;
  o.job.trapezes.reach = m(0.5);
  o.obstructions(rectangle("D", 0.4, -1, 1.2, 1));
  auto out = o.hung({{"P1", 1, 0}, {"P2", 0.8, 0}});
  REQUIRE(out.is_there());
  CHECK(names(out) == Strings{"P1", "P2", "P2-a", "P2-b"});
  CHECK_FALSE(out.value->overhead.trapezes[0].first);
  CHECK_FALSE(out.value->marks.has_deck_point(0));
  CHECK(doubts(out) ==
        Strings{"drawing.csv:2:1: point: P1 lies in D, and a support would stand 600.0 mm off, beyond reach "
                "500.0 mm: it has no deck point; ask the engineer"});
  o.job.trapezes.reach = std::nullopt;
  o.bays(bay("A", 0, 1.205, 4));
  o.obstructions(rectangle("D", 0.4, 1, 1.2, 5));
  CHECK(
      doubts(o.hung({{"P1", 1, 3}})) ==
      Strings{"drawing.csv:2:1: point: P1 lies in D, and the bays end before a support finds a clear place: "
              "it has no deck point; ask the engineer"});
}

TEST_CASE("a generated name that is taken is a fault of its run; all marks are known by name all the same") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 2, 0), line("R2", 0, 1, 2, 1)});
  const auto out = o.hung({{"r1-01", 9, 9}, {"R1-03", 8, 9}, {"R2-02", 7, 9}});
  CHECK(out.is_spoiled());
  CHECK(problems(out) ==
        Strings{
            "runs.csv:2:1: run: found \"R1-01\" for a generated point and 1 more, names that are taken, "
            "expected names that differ, without regard to letter case; try another name of the run or of "
            "the point",
            "runs.csv:3:1: run: found \"R2-02\" for a generated point, a name that is taken, expected names "
            "that differ, without regard to letter case; try another name of the run or of the point"});
  REQUIRE(out.value);
  CHECK(out.value->marks.index->find("r2-03").has_value());
}

TEST_CASE("pieces carry hangers, crossings of both runs and joints; a corner is no crossing") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(3);
  o.job.hangers.max_spacing = m(2);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1.5, -1, 1.5, 3), line("R3", 4, 0, 4, 2)});
  const auto out = o.hung();
  const auto& runs = out.value->overhead.runs;
  const auto& pieces = out.value->overhead.pieces;
  const auto crossing = [](const MemberPieces& member) {
    Strings lines;
    for (const PieceMark& p : member.marks)
      if (p.what == PieceMark::What::crossing)
        lines.push_back(fmt::format("{} on {} at {:g}", p.index, p.piece, p.along_run.metres()));
    return lines;
  };
  CHECK(crossing(pieces[0]) == Strings{"0 on 0 at 1.5"});
  CHECK(crossing(pieces[1]) == Strings{"0 on 0 at 1"});
  CHECK(crossing(pieces[2]).empty());
  std::size_t hangers = 0;
  for (const PieceMark& p : pieces[0].marks) {
    if (p.what != PieceMark::What::hanger) continue;
    CHECK(p.along_run == runs[0].hangers[p.index].along);
    ++hangers;
  }
  CHECK(hangers == 3);
  CHECK(pieces[0].laid.pieces.size() == 2);
}

TEST_CASE("outlines: corners by name, in the order of first mention; every kind of fault at its corner") {
  const auto faults = [](std::vector<StatedCorner> corners) {
    PlainOverhead o;
    return problems(o.obstructions(std::move(corners)).hung());
  };
  const auto corners = [](std::vector<std::pair<double, double>> at) {
    std::vector<StatedCorner> out;
    for (const auto& [x, y] : at) out.push_back({"D", xy(x, y), {}, {}, {}});
    return out;
  };
  CHECK(
      faults(corners({{0, 0}, {2, 0}, {1, 0}, {1, 2}}))[0] ==
      "ducts.csv:3:1: name: found edges of D that fold back on one another at corner 2, expected an outline "
      "with room inside");
  CHECK(
      faults(corners({{0, 0}, {2, 2}, {2, 0}, {0, 2}}))[0] ==
      "ducts.csv:4:1: name: found the edge from corner 3 of D, which crosses that from corner 1, expected an "
      "outline that does not cross itself; corners in order");
  CHECK(faults(corners({{0, 0}, {4, 0}, {4, 2}, {2, 0}, {0, 2}}))[0] ==
        "ducts.csv:5:1: name: found corner 4 of D, which touches the edge from corner 1, expected an outline "
        "that does not touch itself");
  std::vector<std::pair<double, double>> many;
  for (int i = 0; i <= 1000; ++i) many.emplace_back(std::cos(i * 0.006), std::sin(i * 0.006));
  CHECK(faults(corners(many))[0] ==
        "ducts.csv:1002:1: name: found outline D with more than 1000 corners, expected 1000 at most");

  Messages messages;
  PlainOverhead o;
  std::vector<StatedCorner> mixed = rectangle("B", 0, 0, 1, 1);
  for (const StatedCorner& c : rectangle("A", 2, 0, 3, 1)) mixed.push_back(c);
  std::swap(mixed[1], mixed[4]);
  o.obstructions(mixed);
  const auto outlines = gather_outlines(o.job.outlines, o.job.outlines_table, "name", messages);
  REQUIRE(outlines.size() == 2);
  CHECK(outlines[0].name == "B");
  CHECK(outlines[1].name == "A");
  CHECK(outlines[1].first_row == 1);
  CHECK(outlines[0].rows == std::vector<std::size_t>{0, 2, 3, 4});
}

namespace {

struct Read {
  BaysStated bays;
  Strings problems;
};
Read read(std::vector<StatedCorner> corners) {
  PlainOverhead o;
  o.bays(std::move(corners));
  Messages messages;
  BaysStated bays = read_bays(o.job, messages);
  return {std::move(bays), told(messages, Grade::problem)};
}

}  // namespace

TEST_CASE("bays: what one row says holds for the bay, and rows that say the same are one statement") {
  std::vector<StatedCorner> corners = bay("A", 0, 5, std::nullopt);
  corners[2].elevation = corners[3].elevation = Elevation::metres(4);
  corners[1].flutes = corners[3].flutes = StatedFlutes{true, m(0.3), m(0.05)};
  for (const StatedCorner& c : bay("B", 5, 10, 4.2)) corners.push_back(c);
  const Read r = read(corners);
  CHECK(r.problems.empty());
  CHECK(r.bays.names == Strings{"A", "B"});
  CHECK(r.bays.levels == std::vector<std::optional<Elevation>>{Elevation::metres(4), Elevation::metres(4.2)});
  CHECK(r.bays.flutes[0]->pitch == m(0.3));
  CHECK_FALSE(r.bays.flutes[1]);
  CHECK(r.bays.first_row == std::vector<std::size_t>{0, 4});
  CHECK(r.bays.outlines.size() == 2);
  CHECK(r.bays.any());
  CHECK(r.bays.refused.empty());
}

TEST_CASE("bays: statements that contradict one another are told at their cells") {
  std::vector<StatedCorner> corners = bay("A", 0, 5, 4, StatedFlutes{true, m(0.3), m(0.05)});
  corners[1].elevation = Elevation::metres(5);
  corners[2].flutes = StatedFlutes{true, m(0.3), m(0.06)};
  CHECK(
      read(corners).problems ==
      Strings{"bays.csv:3:8: elevation: found another elevation of bay A, expected one elevation for a bay, "
              "or shots that name it",
              "bays.csv:4:3: flutes: found other flutes of bay A, expected one statement for a bay"});
  const auto other = [](StatedFlutes flutes) {
    std::vector<StatedCorner> rows = bay("A", 0, 5, 4, StatedFlutes{true, m(0.3), m(0.05)});
    rows[2].flutes = flutes;
    return read(rows).problems.size();
  };
  CHECK(other({true, m(0.3), m(0.05)}) == 0);
  CHECK(other({false, m(0.3), m(0.05)}) == 1);
  CHECK(other({true, m(0.4), m(0.05)}) == 1);
}

TEST_CASE("bays: a pitch of more than 100000 flutes, and an outline that is none, whose name is kept") {
  // The farthest corner of 8 m by 6 m stands 10 m off: twice that over 100000 is 0.2 mm.
  const auto pitch = [](double mm_) {
    return read(bay("A", 0, 8, 4, StatedFlutes{true, mm(mm_), m(0)})).problems;
  };
  CHECK(pitch(0.2001).empty());
  CHECK(pitch(0.1999) ==
        Strings{"bays.csv:2:11: flute_pitch: found a pitch far too small for its bay, expected the distance "
                "from flute to flute; try 200 mm"});
  std::vector<StatedCorner> corners = bay("A", 0, 5, 4);
  corners.erase(corners.begin() + 2, corners.end());
  corners[1].elevation = Elevation::metres(5);
  const Read r = read(corners);
  CHECK(r.bays.refused == Strings{"A"});
  CHECK_FALSE(r.bays.any());
  CHECK(r.problems.size() == 2);  // the outline, and the elevation all the same
}

TEST_CASE("flutes: hangers are moved to the fastening lines, and one that goes far is told") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(1.2);
  // Lines across the run at x 0.1 + n 0.4; equal spaces of 933.3 mm at 0.5, 1.4333, 2.3667, 3.3.
  o.bays(bay("A", 0, 5, 4, StatedFlutes{false, m(0.4), m(0.1)})).runs({line("R1", 0.5, 1, 3.3, 1)});
  o.job.flute_move = mm(133);
  const auto out = o.hung();
  const double lines[] = {0.5, 1.3, 2.5, 3.3};
  REQUIRE(out.value->marks.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) CHECK(x_of(*out.value, i) == doctest::Approx(lines[i]));
  CHECK(doubts(out) ==
        Strings{"runs.csv:2:1: run: R1-02 stands 133.3 mm along the run from its place at equal "
                "spaces, more than flute_move 133.0 mm: its bracket moves with it",
                "runs.csv:2:1: run: R1-03 stands 133.3 mm along the run from its place at equal "
                "spaces, more than flute_move 133.0 mm: its bracket moves with it"});
  o.job.flute_move = mm(134);
  CHECK(doubts(o.hung()).empty());
  o.job.flute_move = std::nullopt;
  CHECK(doubts(o.hung()).empty());
}

TEST_CASE("flutes: a run over several bays meets the lines of each, in whatever order the bays stand") {
  // Lines at x 0.1 + n 0.4 over A, at 5.2 + n 0.5 over B.
  const StatedFlutes of_a{false, m(0.4), m(0.1)}, of_b{false, m(0.5), m(5.2)};
  const auto a = bay("A", 0, 5, 4, of_a), b = bay("B", 5, 10, 4, of_b);
  for (const auto& rows : {all<StatedCorner>({a, b}), all<StatedCorner>({b, a})}) {
    PlainOverhead o;
    o.job.hangers.max_spacing = m(1.2);
    const auto out = o.bays(rows).runs({line("R1", 0.5, 1, 9.7, 1)}).hung();
    CHECK(out.value->overhead.runs[0].spacing.solved);
    CHECK(out.told.doubts() == 0);
    for (std::size_t i = 0; i < out.value->marks.size(); ++i) {
      const double x = x_of(*out.value, i), steps = x < 5 ? (x - 0.1) / 0.4 : (x - 5.2) / 0.5;
      CHECK(std::abs(steps - std::round(steps)) < 1e-6);
    }
  }
}

TEST_CASE(
    "flutes: round a ring a move is counted from the nearest place at equal spaces, over its start too") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(0.9);
  o.job.flute_move = mm(40);
  // The ring begins at y 3; the nearest fastening line, at y 2.95, lies asin(0.05 / 0.5) of its radius
  // before.
  o.bays(all<StatedCorner>({bay("A", 0, 3.3, 4), bay("B", 3.3, 6, 4, StatedFlutes{true, m(0.3), m(0.25)})}))
      .runs({ring("O1", xy(3.5, 3), xy(2.5, 3))});
  const Strings moved = doubts(o.hung());
  CHECK(moved.size() == 4);
  for (const std::string& told : moved)
    CHECK(told.find(" stands 50.1 mm along the run") != std::string::npos);
}

TEST_CASE("flutes: a run along them is told, and its hangers stay at equal spaces") {
  PlainOverhead o;
  o.bays(bay("A", 0, 5, 4, StatedFlutes{true, m(0.4), m(0.1)})).runs({line("R1", 0.5, 1, 3.5, 1)});
  const auto out = o.hung();
  CHECK(out.value->overhead.runs[0].along_flutes);
  CHECK(doubts(out) == Strings{"runs.csv:2:1: run: R1 runs along the flutes of bay A: its hangers are not "
                               "moved across; see that they meet a fastening line"});
  CHECK(out.value->overhead.runs[0].spacing.at == std::vector<Length>{m(0), m(1), m(2), m(3)});
}

TEST_CASE("bays: hangers keep off the edge of two") {
  PlainOverhead o;
  o.bays(all<StatedCorner>({bay("A", 0, 6, 4), bay("B", 6, 12, 4)})).runs({line("R1", 1, 3, 11, 3)});
  const auto out = o.hung();  // equal spaces of 1 m put one on the edge
  REQUIRE(out.value->overhead.runs[0].spacing.solved);
  for (const Length l : out.value->overhead.runs[0].spacing.at) CHECK(abs(l - m(5)) > m(0.0099));
}
