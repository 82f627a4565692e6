// Deck marks made with the plumb laser turned, through the real program.
#include <cmath>

#include "overhead_support.h"

using namespace deckmark_test;

namespace {

/// P1 and P2 on site as drawn, the floor at 0, the deck at 4.2.
struct Plumbed : JobFolder {
  explicit Plumbed(const std::string& marks, const std::string& more = "") {
    write("drawing.csv", "point,x,y\nP1,10,20\nP2,12,20\n");
    write("marks.csv", marks);
    write("job.toml",
          "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[floor]\nelevation = \"0 "
          "m\"\n[deck]\nelevation = \"4.2 m\"\n[hangers]\nheight = \"3 m\"\n[plumb]\nmarks = "
          "\"marks.csv\"\n" +
              more);
  }
};
/// The page breaks lines.
std::string one_line(std::string out) {
  for (char& c : out) c = c == '\n' ? ' ' : c;
  for (std::size_t at = 0; (at = out.find("  ")) != std::string::npos;) out.erase(at, 1);
  return out;
}
const std::string kHead = "point,northing,easting,turn\n";

}  // namespace

TEST_CASE("the lean of the beam cancels in a pair: one row of plumb.csv, its sd and the lean told") {
  // P1 leans 1.2 mm north at 0, so south at 180: straight up it is 0.5 mm north of the design. P2 was made
  // once.
  const Plumbed job(kHead + "P1,20.0017,10,0\nP2,20,12.001,\nP1,19.9993,10,180\n");
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  const TableRows plumb = table(job, "plumb.csv");
  REQUIRE(plumb.size() == 2);
  CHECK(plumb[0].at("point") == "P1");
  CHECK(number(plumb[0], "dy") == doctest::Approx(0.0005));
  CHECK(number(plumb[0], "dx") == doctest::Approx(0));
  CHECK(number(plumb[0], "sd") == doctest::Approx(0.002 / std::sqrt(2.0)).epsilon(0.01));
  CHECK(number(plumb[1], "dx") == doctest::Approx(0.001));
  CHECK(number(plumb[1], "sd") == doctest::Approx(0.002));
  CHECK(r.err.find("turn:") == std::string::npos);  // what cancels is no news on the screen
  CHECK(one_line(r.out).find(
            "1 mark made with the laser turned: the beam leans 1.2 mm at 4.2 m; turned, it cancels ") !=
        std::string::npos);
}

TEST_CASE("four turns: the mean of both pairs; the second mark of a point is named in the reason") {
  // P1 straight up 7 mm east of the design; P2 leans by 2 mm.
  const Plumbed job(kHead +
                    "P2,20.002,12,0\nP2,19.998,12,180\nP2,20,12.002,90\nP2,20,11.998,270\n"
                    "P1,20,10.0078,0\nP1,20,10.0062,180\nP1,20.0008,10.0072,270\n"
                    "P1,19.9992,10.0068,90\n");
  const CommandResult r = job.run();
  CHECK(r.exit_code == 1);
  const TableRows plumb = table(job, "plumb.csv");
  REQUIRE(plumb.size() == 2);
  CHECK(plumb[0].at("point") == "P2");
  CHECK(number(plumb[0], "offset") == doctest::Approx(0));
  CHECK(number(plumb[0], "sd") == doctest::Approx(0.001));
  CHECK(number(plumb[1], "dx") == doctest::Approx(0.007));
  CHECK(plumb[1].at("verdict") == "outside");
  CHECK(one_line(r.out).find(
            "2 marks made with the laser turned: the beam leans up to 2.0 mm at 4.2 m; turned, it") !=
        std::string::npos);
  CHECK(one_line(r.out).find("agree within 0.0 mm ") != std::string::npos);
  const CommandResult json = job.run({"check", ".", "--json"});
  CHECK(json.out.find("\"line\":6") != std::string::npos);  // the first row of P1
}

TEST_CASE("pairs that disagree and a lean that no laser has are doubts") {
  // sd 2 mm: the difference of two means has 2 mm an axis, 3.717 times that is 7.43 mm.
  for (const auto& [off, disagrees] : {std::pair{"20.0074", false}, {"20.0075", true}}) {
    const Plumbed job(kHead + "P1,20,10,0\nP1,20,10,180\nP1," + off + ",10,90\nP1," + off + ",10,270\n");
    const std::string err = job.run({"check", "."}).err;
    CAPTURE(err);
    CHECK((err.find(
               "doubt: marks.csv:2:10: turn: P1: the mean at turns 0 and 180 lies 7.5 mm from that at 90 and "
               "270, more than their sds allow: mark all four again\n") != std::string::npos) == disagrees);
  }
  for (const auto& [north, south, too_far] :
       {std::tuple{"20.021", "19.979", false}, {"20.0211", "19.9789", true}}) {
    const std::string err =
        Plumbed(kHead + "P1," + north + ",10,0\nP1," + south + ",10,180\n").run({"check", "."}).err;
    CAPTURE(err);
    CHECK(
        (err.find(
             "P1: the beam leans 21.1 mm at 4.2 m, more than 5 mm a metre (common practice, no source): was "
             "a mark keyed wrong, or is the laser knocked?\n") != std::string::npos) == too_far);
  }
}

TEST_CASE("offsets from the floor mark, places in the drawing and measured floor marks are turned alike") {
  const auto row_with = [](const std::string& marks) {
    const Plumbed job(marks);
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    return table(job, "plumb.csv").at(0);
  };
  TableRow row = row_with("point,dx (mm),dy (mm),turn\nP1,3,1,90\nP1,1,2,270\n");
  CHECK(number(row, "dx") == doctest::Approx(0.002));
  CHECK(number(row, "dy") == doctest::Approx(0.0015));
  CHECK(number(row, "sd") == doctest::Approx(0.00141).epsilon(0.01));
  row = row_with("point,x,y,turn,elevation\nP1,10.003,20,0,4.19\nP1,10.001,20.002,180,4.21\n");
  CHECK(number(row, "dx") == doctest::Approx(0.002));
  CHECK(number(row, "dy") == doctest::Approx(0.001));
  CHECK(number(row, "rise") == doctest::Approx(4.2));
  // The floor mark was measured once, 1 mm east of the design: its sd is that of one mark.
  row = row_with(
      "point,northing,easting,turn,floor_northing,floor_easting\n"
      "P1,20,10.003,0,20,10.001\nP1,20,10.001,180,20,10.001\n");
  CHECK(number(row, "dx") == doctest::Approx(0.001));
  CHECK(number(row, "sd") == doctest::Approx(std::sqrt(0.002 * 0.002 * 1.5)).epsilon(0.01));
}

TEST_CASE("turns that are none, or no full pairs, are refused at their rows") {
  struct Row {
    std::string what, rows;
    std::vector<std::string> told;
  };
  for (const Row& row : {
           Row{"a turn of 45",
               "P1,20,10,45\nP1,20,10,180\n",
               {"marks.csv:2:10: turn: found \"45\", expected 0, 90, 180 or 270: the turn of the laser's "
                "housing "
                "in degrees"}},
           Row{"a turn twice",
               "P1,20,10,0\np1,20,10,180\n1001,20,10,180\n",
               {"marks.csv:4:1: point: found \"1001\" at turn 180, as in line 3, expected each turn of a "
                "point once"}},
           Row{"a quarter alone",
               "P1,20,10,90\n",
               {"marks.csv:2:10: turn: found turn 90 of \"P1\" without turn 270, expected the mark at turn "
                "270 "
                "too, so that the lean of the beam cancels; or no turn, for one mark alone"}},
           Row{"two quarters that are no pair",
               "P1,20,10,0\nP1,20,10,90\n",
               {"marks.csv:2:10: turn: found turn 0 of \"P1\" without turn 180, expected the mark at turn "
                "180 "
                "too, so that the lean of the beam cancels; or no row at turn 0",
                "marks.csv:3:10: turn: found turn 90 of \"P1\" without turn 270, expected the mark at turn "
                "270 "
                "too, so that the lean of the beam cancels; or no row at turn 90"}},
           Row{"a row without a turn beside others",
               "P1,20,10,0\nP1,20,10,180\n1001,20,10,\n",
               {"marks.csv:4:1: point: found \"1001\" without a turn, beside line 2 at one, expected a turn "
                "of 0, "
                "90, 180 or 270 in every row of a point that was marked more than once"}},
           Row{"and before them",
               "P1,20,10,\nP1,20,10,180\n",
               {"marks.csv:3:1: point: found \"P1\" at a turn, beside line 2 without one, expected a turn of "
                "0, 90, "
                "180 or 270 in every row of a point that was marked more than once"}},
           Row{"a bad row hides the lack of its fellow",
               "P1,20,10,0\nP1,20,ten,180\n",
               {"marks.csv:3:7: easting: found \"ten\""}},
           Row{"an unknown point hides the lack too",
               "P1,20,10,0\nP7,20,10,180\n",
               {"marks.csv:3:1: point: found \"P7\", expected the name"}},
       }) {
    CAPTURE(row.what);
    const Plumbed job(kHead + row.rows);
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 2);
    std::vector<std::string> problems;
    std::size_t from = 0;
    for (std::size_t end = r.err.find('\n'); end != std::string::npos;
         from = end + 1, end = r.err.find('\n', from)) {
      const std::string line = r.err.substr(from, end - from);
      if (line.find("marks.csv:") == 0) problems.push_back(line);
    }
    REQUIRE(problems.size() == row.told.size());
    for (std::size_t i = 0; i < problems.size(); ++i) CHECK(problems[i].find(row.told[i]) == 0);
  }
}

TEST_CASE("a point that setups sighted has no turns of its own") {
  Plumbed job("point,northing,easting,turn\n6001,,,0\n6001,,,180\n",
              "[site]\ncontrol = \"cp.csv\"\n[instrument]\nangles = \"degrees\"\nangle_sd = "
              "\"2\\\"\"\ndistance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"C1\"\nheight "
              "= \"1.5 m\"\nobservations = \"s1.csv\"\n");
  job.write("cp.csv", "point,northing,easting,elevation\nC1,0,0,0\nC2,30,0,0\n");
  job.write("s1.csv", "target,circle,zenith,slope,height\nC2,0,90,30,1.5\n6001,26.56505,83.11,22.52,0\n");
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 2);
  CHECK(r.err.find(
            "marks.csv:2:8: turn: found turn 0 without a place, expected northing and easting (x and y, or "
            "dx and dy) of the mark at this turn: sights of one name are one point") != std::string::npos);
}
