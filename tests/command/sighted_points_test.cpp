// Readings are keyed once: ties, deck shots, deck marks and as-built shots whose rows hold a name and no
// coordinates, through the real program. Raw readings come from the geometry below.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include "cases_support.h"
#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// Metres: x, y of the drawing, elevation. On site E = 1748100 + x, N = 5427900 + y.
struct Spot {
  double x, y, h;
};
constexpr double kNorth = 5427900, kEast = 1748100, kPi = 3.14159265358979323846;

/// One sight in one face, with the target on the mark; curvature less refraction at 0.13 over a sphere.
std::string sight(const std::string& target, const Spot& axis, const Spot& mark) {
  const double dx = mark.x - axis.x, dy = mark.y - axis.y, far = std::hypot(dx, dy);
  double circle = std::atan2(dx, dy) * 180 / kPi;
  if (circle < 0) circle += 360;
  const double up = mark.h - axis.h - (1 - 0.13) * far * far / (2 * 6371000.0);
  return target + text(",%.8f,%.8f,%.6f\n", circle, std::atan2(far, up) * 180 / kPi, std::hypot(far, up));
}
std::string direction(const std::string& target, const Spot& axis, const Spot& mark) {
  const std::string whole = sight(target, axis, mark);
  return whole.substr(0, whole.find(',', target.size() + 1)) + ",,\n";
}

constexpr Spot kCp1{0, 0, 10}, kCp2{0, 20, 10}, kCp3{30, 0, 10};
constexpr Spot kS1{0, 0, 11.5}, kS2{30, 0, 11.5};
constexpr Spot kB1{1, 1, 10.5}, kB2{29, 1, 10.5}, kB3{1, 19, 10.5}, kB4{29, 19, 10.5};

const std::string kHead = "target,circle,zenith,slope\n";
std::string control_of_s1() { return sight("CP2", kS1, kCp2) + sight("CP3", kS1, kCp3); }
std::string control_of_s2() { return sight("CP1", kS2, kCp1) + sight("CP2", kS2, kCp2); }
std::string ties_of_s1() {
  return sight("B1", kS1, kB1) + sight("B2", kS1, kB2) + sight("B3", kS1, kB3) + sight("B4", kS1, kB4);
}
const std::string kTies = "mark,x,y\nB1,1,1\nB2,29,1\nB3,1,19\nB4,29,19\n";

/// Two setups over control; all of what `tables` adds comes behind.
void put_job(JobFolder& job, const std::string& sections = "", const std::string& ties = kTies) {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n[baselines]\nties = "
            "\"ties.csv\"\n[floor]\nelevation = \"10 m\"\n" +
                sections +
                "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"1 mm\"\n"
                "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s1.csv\"\n"
                "[[setup]]\nname = \"S2\"\nat = \"CP3\"\nheight = \"1.5 m\"\nobservations = \"s2.csv\"\n");
  job.write("drawing.csv", "point,x,y,run\nR-1,8,4,R\nR-2,6,4,R\nR-3,4,4,R\nC,27,16,\n");
  job.write("control.csv",
            "point,northing,easting,elevation\nCP1,5427900,1748100,10\nCP2,5427920,1748100,10\n"
            "CP3,5427900,1748130,10\n");
  job.write("ties.csv", ties);
  job.write("s1.csv", kHead + control_of_s1() + ties_of_s1());
  job.write("s2.csv", kHead + control_of_s2());
}
const std::string kDeck = "[deck]\nelevation = \"14 m\"\n", kPlumb = "[plumb]\nmarks = \"marks.csv\"\n",
                  kAsbuilt = "[asbuilt]\nshots = \"asbuilt.csv\"\n",
                  kShots = "[deck]\nshots = \"deck.csv\"\n";

std::map<std::string, std::string> row_of(const JobFolder& job, const std::string& file,
                                          const std::string& key, const std::string& value) {
  for (const auto& row : named_rows(job.read("out/" + file)))
    if (row.at(key) == value) return row;
  FAIL(file, " has no row of ", value);
  return {};
}
double number(const std::map<std::string, std::string>& row, const std::string& column) {
  return std::strtod(row.at(column).c_str(), nullptr);
}
/// The lines of standard error that hold a text.
std::size_t lines_with(const std::string& err, const std::string& part) {
  std::size_t n = 0, from = 0;
  while (from < err.size()) {
    const std::size_t end = std::min(err.find('\n', from), err.size());
    if (err.substr(from, end - from).find(part) != std::string::npos) ++n;
    from = end + 1;
  }
  return n;
}

}  // namespace

TEST_CASE("no coordinate is typed: ties, deck shots, deck marks and as-built shots come from the readings") {
  JobFolder job;
  put_job(job, kShots + kPlumb + kAsbuilt);
  // The deck rises 1:100 along X; a deck mark stands 3 mm off along X, a floor mark 4 mm along -Y.
  const auto deck = [](double x, double y) { return Spot{x, y, 14 + x / 100}; };
  job.write("s2.csv", kHead + control_of_s2() + sight("D1", kS2, deck(2, 2)) + sight("D2", kS2, deck(28, 2)) +
                          sight("D3", kS2, deck(2, 18)) + sight("D4", kS2, deck(28, 18)) +
                          sight("6001", kS2, {8.003, 4, 14.08}) + sight("1002", kS2, {6, 3.996, 10}));
  job.write("deck.csv", "shot\nD1\nD2\nD3\nD4\n");
  job.write("marks.csv", "point\n6001\n");
  job.write("asbuilt.csv", "point\n1002\n6001\n");
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  for (const auto& row : named_rows(job.read("out/points.csv"))) {
    CAPTURE(row.at("point"));
    CHECK(number(row, "northing") == doctest::Approx(kNorth + number(row, "y")).epsilon(1e-10));
    CHECK(number(row, "easting") == doctest::Approx(kEast + number(row, "x")).epsilon(1e-10));
    CHECK(std::fabs(number(row, "deck_elevation") - (14 + number(row, "x") / 100)) < 0.0003);
  }
  const auto plumb = row_of(job, "plumb.csv", "point", "R-1");
  CHECK(std::fabs(number(plumb, "dx") - 0.003) < 0.0003);
  CHECK(std::fabs(number(plumb, "dy")) < 0.0003);
  CHECK(std::fabs(number(plumb, "rise") - 4.08) < 0.0003);
  const auto floor = row_of(job, "asbuilt.csv", "number", "1002");
  CHECK(floor.at("level") == "floor");
  CHECK(std::fabs(number(floor, "dy") + 0.004) < 0.0003);
  CHECK(std::fabs(number(floor, "dz")) < 0.0003);
  CHECK(row_of(job, "asbuilt.csv", "number", "6001").at("level") == "deck");
}

TEST_CASE("what a row calls by name may be sighted by number, and the other way round") {
  struct Row {
    const char *target, *point;
    bool deck;
  };
  for (const Row& row : {Row{"1002", "R-2", false}, Row{"R-2", "1002", false}, Row{"r-2", "R-2", false},
                         Row{"6002", "R-2", true}, Row{"6002", "1002", true}, Row{"6002", "6002", true},
                         // By its name, but up on the deck.
                         Row{"R-2", "R-2", true}}) {
    CAPTURE(row.target);
    CAPTURE(row.point);
    JobFolder job;
    put_job(job, kDeck + (row.deck ? kPlumb : kAsbuilt));
    job.write(row.deck ? "marks.csv" : "asbuilt.csv", std::string("point\n") + row.point + "\n");
    job.write("s2.csv", kHead + control_of_s2() + sight(row.target, kS2, {6.002, 4, row.deck ? 14.0 : 10.0}));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    const auto found = row_of(job, row.deck ? "plumb.csv" : "asbuilt.csv", "point", "R-2");
    CHECK(std::fabs(number(found, "dx") - 0.002) < 0.0003);
  }
}

TEST_CASE("a tie may be a point of the list that was sighted by its number") {
  JobFolder job;
  put_job(job, "", "mark,x,y\nC,27,16\nB1,1,1\nB2,29,1\nB3,1,19\n");
  job.write("s1.csv", kHead + control_of_s1() + ties_of_s1() + sight("1004", kS1, {27, 16, 10}));
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(std::fabs(number(row_of(job, "baseline.csv", "mark", "C"), "residual")) < 0.0003);
}

TEST_CASE("column setup chooses whose sights count") {
  const auto residual = [](const std::string& setup) {
    JobFolder job;
    put_job(job, "", "mark,x,y,setup\nB1,1,1,S1\nB2,29,1,S1\nB3,1,19,\nB4,29,19," + setup + "\n");
    job.write("s2.csv", kHead + control_of_s2() + sight("B4", kS2, {29.008, 19, 10.5}));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code != 2);
    const auto row = row_of(job, "baseline.csv", "mark", "B4");
    CHECK(row.at("axis") == "x");
    return number(row, "residual");
  };
  const double first = residual("S1"), both = residual(""), second = residual("s2");
  CHECK(std::fabs(first) < 0.002);
  CHECK(second < -0.002);
  CHECK(both < first - 0.0005);
  CHECK(both > second + 0.0005);
}

TEST_CASE("the two faces of a column may be sighted, or one of them typed") {
  for (const std::string typed : {",", "5427918.7,1748129"}) {
    CAPTURE(typed);
    JobFolder job;
    put_job(job, "",
            "mark,x,y,face_of,northing,easting\nB1,1,1,,,\nB2,29,1,,,\nB3,1,19,,,\nF1,29,19,C4," + typed +
                "\nF2,29,19,C4,,\n");
    job.write("s1.csv", kHead + control_of_s1() + ties_of_s1() + sight("F1", kS1, {29, 18.7, 10.5}) +
                            sight("F2", kS1, {29, 19.3, 10.5}));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(std::fabs(number(row_of(job, "baseline.csv", "mark", "C4"), "residual")) < 0.0003);
  }
}

TEST_CASE("the sd of a tie that is read is of the building alone: what the setup leaves comes on top") {
  const auto sd = [](const std::string& ties) {
    JobFolder job;
    put_job(job, "", ties);
    REQUIRE(job.run().exit_code == 0);
    return number(row_of(job, "points.csv", "point", "C"), "sd");
  };
  const double
      read = sd("mark,x,y,sd\nB1,1,1,0.001\nB2,29,1,0.001\nB3,1,19,0.001\nB4,29,19,0.001\n"),
      typed =
          sd("mark,x,y,sd,northing,easting\nB1,1,1,0.001,5427901,1748101\nB2,29,1,0.001,5427901,1748129\n"
             "B3,1,19,0.001,5427919,1748101\nB4,29,19,0.001,5427919,1748129\n");
  CHECK(read > 1.2 * typed);
}

TEST_CASE("deck shots typed and read make one deck") {
  JobFolder job;
  put_job(job, kShots);
  job.write("s1.csv", kHead + control_of_s1() + ties_of_s1() + sight("D1", kS1, {2, 2, 14.1}));
  job.write("deck.csv",
            "shot,northing,easting,elevation\nD1,,,\nD2,5427902,1748128,14.1\nD3,5427918,1748102,14.1\n");
  CHECK(job.run().exit_code == 0);
  CHECK(std::fabs(number(row_of(job, "points.csv", "point", "C"), "deck_elevation") - 14.1) < 0.0003);
}

TEST_CASE("what leaves a row without a place is one problem at its row") {
  struct Row {
    std::string sections, file, table, s1, told;
  };
  const std::string b4 = "B1,1,1\nB2,29,1\nB3,1,19\n";
  const std::vector<Row> rows{
      {"", "ties.csv", "mark,x,y\n" + b4 + "B44,29,19\n", "",
       "ties.csv:5:1: mark: found \"B44\", which no setup sighted, expected the name of something that a "
       "setup "
       "sighted (B4 is near), or coordinates in this row"},
      {"", "ties.csv", "mark,x,y\n" + b4 + "BB4,29,19\n", "",
       "ties.csv:5:1: mark: found \"BB4\", which no setup sighted, expected the name of something that a "
       "setup "
       "sighted, or coordinates in this row; try B4"},
      {"", "ties.csv", "mark,x,y\n" + b4 + "W1,29,19\n", direction("W1", kS1, kB4),
       "ties.csv:5:1: mark: found \"W1\", sighted from S1 by its direction alone, so without a place, "
       "expected "
       "a distance to it, or a sight from a second setup; or coordinates in this row"},
      {"", "ties.csv", "mark,x,y,setup\nB1,1,1,S3\nB2,29,1,\nB3,1,19,\n", "",
       "ties.csv:2:8: setup: found \"S3\", expected a setup of the job (S1, S2), or an empty cell"},
      {"", "ties.csv", "mark,x,y,setup\nB1,1,1,SS1\nB2,29,1,\nB3,1,19,\n", "",
       "ties.csv:2:8: setup: found \"SS1\", expected a setup of the job (S1, S2), or an empty cell; try S1"},
      {"", "ties.csv", "mark,x,y,setup\nB1,1,1,S2\nB2,29,1,\nB3,1,19,\n", "",
       "ties.csv:2:8: setup: found \"S2\", which did not sight \"B1\", expected S1, or an empty cell; try "
       "S1"},
      {"", "ties.csv", "mark,x,y,northing,easting\nB1,1,1,5427901,\nB2,29,1,,\nB3,1,19,,\n", "",
       "ties.csv:2:16: easting: found an empty cell, expected a length"},
      {kShots, "deck.csv", "shot\nD1\nD2\nD3\nD4\n",
       sight("D1", kS1, {2, 2, 14}) + sight("D2", kS1, {28, 2, 14}) + sight("D3", kS1, {2, 18, 14}) +
           direction("D4", kS1, {28, 18, 14}),
       "deck.csv:5:1: shot: found \"D4\", sighted from S1 and S2 without an elevation, expected a zenith "
       "angle and "
       "a "
       "distance to it, from a setup whose own elevation is known; or coordinates in this row"},
      {kShots, "deck.csv", "shot,northing,easting,elevation\nD1,,,14\nD2,,,\nD3,,,\nD4,,,\n",
       sight("D1", kS1, {2, 2, 14}) + sight("D2", kS1, {28, 2, 14}) + sight("D3", kS1, {2, 18, 14}) +
           sight("D4", kS1, {28, 18, 14}),
       "deck.csv:2:4: northing: found an empty cell, expected a length"},
      {kDeck + kPlumb, "marks.csv", "point\n1001\n", sight("R-1", kS1, {8, 4, 10}),
       "marks.csv:2:1: point: found \"1001\", sighted as the floor mark, expected a sight to the deck mark: "
       "its target is 6001"},
      {kDeck + kPlumb, "marks.csv", "point,level,dx,dy\nR-1,dek,0,0\n", "",
       "marks.csv:2:5: level: found \"dek\", expected floor, deck or bracket"},
      {kAsbuilt, "asbuilt.csv", "point\n1001\n", "",
       "asbuilt.csv:2:1: point: found \"1001\", which no setup sighted, expected the name of something that "
       "a "
       "setup sighted, or coordinates in this row"}};
  for (const Row& row : rows) {
    CAPTURE(row.told);
    JobFolder job;
    put_job(job, row.sections);
    job.write("s1.csv", kHead + control_of_s1() + ties_of_s1() + row.s1);
    if (row.told.find("S1 and S2") != std::string::npos)
      job.write("s2.csv", kHead + control_of_s2() + direction("D4", kS2, {28, 18, 14}));
    job.write(row.file, row.table);
    const auto before = job.snapshot();
    const CommandResult r = job.run();
    CAPTURE(r.err);
    check_refused(job, before, r);
    CHECK(lines_with(r.err, row.told) == 1);
    const bool both = row.table.find(",14\n") != std::string::npos;  // northing and easting, one each
    CHECK(problem_lines(r.err).size() == (both ? 2 : 1));
  }
}

TEST_CASE("a tie that its setup alone could place is not told beside the setup's own fault") {
  JobFolder job;
  put_job(job);
  job.write("s1.csv", kHead + sight("CP9", kS1, kCp2) + ties_of_s1());
  const CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 2);
  CHECK(problem_lines(r.err).size() == 1);
  CHECK(lines_with(r.err, "ties.csv") == 0);
}

TEST_CASE("a setup whose readings are refused may have sighted any name: none is told as never sighted") {
  JobFolder job;
  put_job(job);
  job.write("s1.csv", kHead + control_of_s1() + "B1,45.0.0,90,2\n");
  const CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 2);
  CHECK(lines_with(r.err, "ties.csv") == 0);
}

TEST_CASE("without any setup coordinates are asked for, or a setup") {
  JobFolder job;
  put_job(job, "", "mark,x,y,northing,easting\nB1,1,1,,\nB2,29,1,5427901,1748129\nB3,1,19,5427919,1748101\n");
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n[site]\ncontrol = "
            "\"control.csv\"\n");
  CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(lines_with(r.err,
                   "ties.csv:2:8: northing: found an empty cell, expected northing and easting, or a "
                   "[[setup]] that sighted \"B1\"") == 1);
  CHECK(problem_lines(r.err).size() == 1);
  job.write("ties.csv", kTies);
  r = job.run({"check", "."});
  CHECK(lines_with(r.err, "ties columns northing and easting") == 1);
}

TEST_CASE("words of a header that may mean northing and easting are offered, not read over") {
  JobFolder job;
  put_job(job, "", "mark,x,y,n,e\nB1,1,1,5427901,1748101\nB2,29,1,5427901,1748129\n");
  const CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 2);
  CHECK(lines_with(r.err, "rename = { n = \"northing\", e = \"easting\" }") == 1);
}

TEST_CASE("coordinates that are typed and sighted apart are a doubt with both, and the typed ones count") {
  struct Row {
    double off;
    std::size_t doubts;
  };
  // sd of the reading about 1.5 mm, of the tie 1.5 mm: three times both are 6 mm.
  for (const Row& row : {Row{0.0000, 0}, Row{0.0040, 0}, Row{0.0120, 1}}) {
    CAPTURE(row.off);
    JobFolder job;
    put_job(job, "",
            text("mark,x,y,northing,easting\nB1,1,1,,\nB2,29,1,,\nB3,1,19,,\nB4,29,19,%.4f,1748129\n",
                 kNorth + 19 + row.off));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(lines_with(r.err, "doubt: ties.csv:5:1: mark: \"B4\" is typed at N 5427919.") == row.doubts);
    if (row.doubts == 0) continue;
    CHECK(lines_with(r.err,
                     "N 5427919.0120 E 1748129.0000 m, but S1 sighted it at N 5427919.0000 E "
                     "1748129.0000 m: 12.0 mm apart, more than three times their sd, ") == 1);
    for (const auto& tie : named_rows(job.read("out/baseline.csv")))
      if (tie.at("mark") == "B4" && tie.at("axis") == "y") CHECK(number(tie, "residual") < -0.002);
  }
}

TEST_CASE("an elevation that is typed and sighted apart is a doubt of its own") {
  JobFolder job;
  put_job(job, kShots);
  job.write("s1.csv", kHead + control_of_s1() + ties_of_s1() + sight("D1", kS1, {2, 2, 14}));
  job.write("deck.csv",
            "shot,northing,easting,elevation\nD1,5427902,1748102,14.015\nD2,5427902,1748128,14.0\n"
            "D3,5427918,1748102,14.0\n");
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(lines_with(r.err,
                   "deck.csv:2:20: elevation: \"D1\" is typed at elevation 14.0150 m, but S1 sighted it "
                   "at elevation 14.0000 m: 15.0 mm apart") == 1);
  CHECK(lines_with(r.err, "typed at") == 1);
}

TEST_CASE(
    "marks-NAME.csv: along the drawing and along the run, and it serves as deck marks and as-built shots") {
  JobFolder job;
  put_job(job, kDeck);
  // R leads from x = 8 to x = 4: its left hand is -Y.
  job.write("s2.csv", kHead + control_of_s2() + sight("1001", kS2, {8.003, 4.001, 10.002}) +
                          sight("6002", kS2, {6.002, 3.999, 14.003}) + sight("1004", kS2, {27, 16.002, 10}));
  REQUIRE(job.run().exit_code == 0);
  const std::string marks = job.read("out/marks-S2.csv");
  CHECK(marks.substr(0, marks.find('\n')) ==
        "number,point,level,dx (m),dy (m),dz (m),sd (m),verdict,run_dx (m),run_dy (m)");
  const auto first = row_of(job, "marks-S2.csv", "number", "1001"),
             second = row_of(job, "marks-S2.csv", "number", "6002"),
             third = row_of(job, "marks-S2.csv", "number", "1004");
  CHECK(first.at("level") == "floor");
  CHECK(second.at("level") == "deck");
  CHECK(second.at("point") == "R-2");
  const auto near = [](const auto& row, const char* column, double value) {
    CAPTURE(column);
    CHECK(std::fabs(number(row, column) - value) < 0.0004);
  };
  near(first, "dx", 0.003), near(first, "dy", 0.001), near(first, "dz", 0.002);
  near(first, "run_dx", -0.003), near(first, "run_dy", -0.001);
  near(second, "run_dx", -0.002), near(second, "run_dy", 0.001);
  CHECK(third.at("run_dx").empty());
  CHECK(third.at("run_dy").empty());
  CHECK(number(third, "sd") > 0);
  CHECK(!job.has("out/marks-S1.csv"));

  // What was sighted is then keyed nowhere: the file itself is the table.
  job.write("marks.csv", marks);
  job.write("asbuilt.csv", marks);
  put_job(job, kDeck + kPlumb + kAsbuilt);
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(lines_with(r.err, "not known") == 0);
  const auto plumb = named_rows(job.read("out/plumb.csv"));
  REQUIRE(plumb.size() == 1);  // the deck's alone
  CHECK(plumb[0].at("point") == "R-2");
  near(plumb[0], "dx", 0.002), near(plumb[0], "dy", -0.001);
  near(row_of(job, "asbuilt.csv", "number", "1001"), "dx", 0.003);
  near(row_of(job, "asbuilt.csv", "number", "1001"), "dz", 0.002);
  near(row_of(job, "asbuilt.csv", "number", "6002"), "dz", 0.003);
  CHECK(row_of(job, "asbuilt.csv", "number", "6002").at("level") == "deck");
}

TEST_CASE("a mark that is off is no fault of the setup that sighted it") {
  JobFolder job;
  put_job(job);
  job.write("s2.csv", kHead + control_of_s2() + sight("1001", kS2, {8.02, 4, 10}));
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);
  CHECK(row_of(job, "setup.csv", "setup", "S2").at("verdict") == "within");
  CHECK(row_of(job, "marks-S2.csv", "number", "1001").at("verdict") == "outside");
  CHECK(lines_with(r.err, "DO NOT LAY OUT from 1001: mark 1001 (R-1) is 20.0 mm off as seen from setup S2") ==
        1);
  CHECK(job.read("out/stake-S2.txt").find("DO NOT STAKE OUT") == std::string::npos);
}

TEST_CASE("net.csv has every point that was sighted, in the order first sighted") {
  JobFolder job;
  put_job(job);
  job.write("s2.csv", kHead + control_of_s2() + sight("B4", kS2, kB4) + direction("W1", kS2, {5, 18, 12}));
  CHECK(job.run().exit_code == 0);
  const std::string net = job.read("out/net.csv");
  CHECK(net.substr(0, net.find('\n')) ==
        "point,northing (m),easting (m),elevation (m),sd_northing (m),sd_easting (m),sd_elevation (m),sd_max "
        "(m),sights,redundancy");
  std::string order;
  for (const auto& row : named_rows(net)) order += row.at("point") + " ";
  CHECK(order == "CP2 CP3 B1 B2 B3 B4 CP1 W1 ");
  const auto b4 = row_of(job, "net.csv", "point", "B4"), b3 = row_of(job, "net.csv", "point", "B3"),
             w1 = row_of(job, "net.csv", "point", "W1");
  CHECK(std::fabs(number(b4, "northing") - (kNorth + 19)) < 0.0003);
  CHECK(std::fabs(number(b4, "elevation") - 10.5) < 0.0003);
  CHECK(b4.at("sights") == "2");
  CHECK(b3.at("sights") == "1");
  CHECK(number(b4, "redundancy") > 0.5);
  CHECK(number(b3, "redundancy") < 0.01);
  CHECK(number(b4, "sd_max") < number(b3, "sd_max"));
  CHECK(number(b4, "sd_max") >= number(b4, "sd_northing") - 1e-5);
  CHECK(w1.at("northing").empty());
  CHECK(w1.at("sd_max").empty());
}

TEST_CASE("a command that shows ties or a deck tells the faults of the setups that they are read from") {
  struct Row {
    std::string command, bad;
    int status;
  };
  for (const Row& row :
       {Row{"baseline", "s1.csv", 2}, Row{"baseline", "s2.csv", 0}, Row{"run", "s1.csv", 2}}) {
    CAPTURE(row.command);
    CAPTURE(row.bad);
    JobFolder job;
    put_job(job);
    job.write(row.bad, kHead + sight("CP9", kS1, kCp2) + (row.bad == "s1.csv" ? ties_of_s1() : ""));
    const CommandResult r = job.run({row.command, "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == row.status);
    CHECK(problem_lines(r.err).size() == (row.status == 2 ? 1 : 0));
    CHECK((lines_with(r.err, row.bad + ": file: ") == 1) == (row.status == 2));
    CHECK((lines_with(r.err, "setup S2 has problems") == 1) == (row.status == 0));
  }
}

TEST_CASE("as-built shots that have coordinates do not take differences beside them") {
  JobFolder job;
  put_job(job, kAsbuilt);
  job.write("asbuilt.csv", "point,northing,easting,dx,dy\nR-1,5427904,1748108,0.5,0.5\n");
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(lines_with(r.err, "notice: asbuilt.csv:1:24: header: column dx is not used beside coordinates") == 1);
  CHECK(std::fabs(number(row_of(job, "asbuilt.csv", "number", "1001"), "dx")) < 0.0003);
}

TEST_CASE("one name seen at two places by two setups stops the job, and names both") {
  // Off by 10 mm, 0.5 m and 56 m at the mark: with the last two the place of the others keeps the name.
  for (const double off : {0.02, 1.0, 180.0}) {
    CAPTURE(off);
    JobFolder job;
    put_job(job);
    const double a = off * kPi / 180;
    Spot far = kB1;
    const double fx = kB1.x - kS2.x, fy = kB1.y - kS2.y;
    far.x = kS2.x + fx * std::cos(a) - fy * std::sin(a), far.y = kS2.y + fx * std::sin(a) + fy * std::cos(a);
    job.write("s2.csv", kHead + control_of_s2() + sight("B1", kS2, far));
    const CommandResult r = job.run({"setup", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 1);
    CHECK(r.err.find("DO NOT LAY OUT") != std::string::npos);
    CHECK(r.err.find("B1") != std::string::npos);
    CHECK(r.err.find("setup S2") != std::string::npos);
  }
}

TEST_CASE("a setup that turned by half a circle is named as turned") {
  JobFolder job;
  put_job(job);
  const auto turned = [](const std::string& name, const Spot& mark) {
    return sight(name, kS2, {2 * kS2.x - mark.x, 2 * kS2.y - mark.y, mark.h});
  };
  job.write("s2.csv", kHead + control_of_s2() + turned("B1", kB1) + turned("B3", kB3) + turned("B4", kB4));
  const CommandResult r = job.run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);
  CHECK(r.err.find("setup S2: from B1 on all directions are 180-00-00 too far") != std::string::npos);
}

TEST_CASE("two sights turned alike are no turned setup where one between them stands") {
  JobFolder job;
  put_job(job);
  const auto turned = [](const std::string& name, const Spot& mark) {
    return sight(name, kS2, {2 * kS2.x - mark.x, 2 * kS2.y - mark.y, mark.h});
  };
  job.write("s2.csv",
            kHead + control_of_s2() + turned("B1", kB1) + sight("B4", kS2, kB4) + turned("B3", kB3));
  const CommandResult r = job.run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);
  CHECK(r.out.find("the instrument moved") == std::string::npos);
  CHECK(r.out.find("B1") != std::string::npos);
  CHECK(r.out.find("B3") != std::string::npos);
}

TEST_CASE("a gross error in a sight to control is named, and all else keeps its place") {
  struct Row {
    std::string seen, said;
  };
  // CP2 as S2 reads it: a quarter turn off, 20 m too far along the same line, and another point in its place.
  const double dx = kCp2.x - kS2.x, dy = kCp2.y - kS2.y, far = std::hypot(dx, dy);
  const double longer = 1 + 20 / far, up = kS2.h + (kCp2.h - kS2.h) * longer;
  for (const Row& row :
       {Row{sight("CP2", kS2, {kS2.x + dy, kS2.y - dx, kCp2.h}),
            "the direction to CP2 is 90-00-00 too far clockwise"},
        {sight("CP2", kS2, {kS2.x + dx * longer, kS2.y + dy * longer, up}), "the distance to CP2 is 20.0"},
        {sight("CP2", kS2, {3, 11, kCp2.h}), "what was sighted as CP2 is not there but 9.4868 m away"}}) {
    CAPTURE(row.said);
    JobFolder job;
    put_job(job);
    job.write("s2.csv", kHead + sight("CP1", kS2, kCp1) + row.seen + sight("B1", kS2, kB1) +
                            sight("B2", kS2, kB2) + sight("B3", kS2, kB3));
    const CommandResult r = job.run({"setup", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 1);
    CHECK(r.err.find("DO NOT LAY OUT: setup S2: " + row.said) != std::string::npos);
    CHECK(r.out.find("SETUP S1, over CP1: within") != std::string::npos);
    CHECK(r.err.find("apart as seen") == std::string::npos);
    const CommandResult run = job.run({"run", "."});
    CAPTURE(run.err);
    CHECK(run.exit_code == 1);
    for (const auto& [name, spot] : {std::pair{"B1", kB1}, {"B2", kB2}, {"B3", kB3}}) {
      const auto point = row_of(job, "net.csv", "point", name);
      CHECK(std::abs(number(point, "northing") - kNorth - spot.y) < 0.001);
      CHECK(std::abs(number(point, "easting") - kEast - spot.x) < 0.001);
    }
  }
}

TEST_CASE("names that either of two setups may have exchanged are told under each setup's own names") {
  JobFolder job;
  put_job(job);
  // S2 has fewer targets than S1, in another order: an index of one is none of the other.
  job.write("s2.csv", kHead + control_of_s2() + sight("B4", kS2, kB1) + sight("B1", kS2, kB4));
  const CommandResult r = job.run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);
  const bool in_s2 = r.err.find("B4 and B1: their names are exchanged in setup S2") != std::string::npos;
  CHECK(in_s2);
  CHECK(r.err.find("B1 and B4: their names are exchanged in setup S1") != std::string::npos);
  CHECK(r.err.find("DO NOT LAY OUT: setups S1 and S2: ") != std::string::npos);
}

TEST_CASE("ties that are read follow control that was issued anew, and nobody is sent to measure them") {
  JobFolder job;
  put_job(job);
  REQUIRE(job.run({"run", "."}).exit_code <= 1);
  job.write(
      "control.csv",
      "point,northing,easting,elevation\nCP1,5427900.076,1748100.046,10\nCP2,5427920.076,1748100.046,10\n"
      "CP3,5427900.076,1748130.046,10\n");
  const CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(r.err.find("the ties follow, since they are read from sights to it") != std::string::npos);
  CHECK(r.err.find("measure the ties again") == std::string::npos);
}

TEST_CASE("a setup whose orientation is stated carries another that shares its points") {
  JobFolder job;
  put_job(job);
  std::string toml = job.read("job.toml");
  const auto put = [&toml](const std::string& old, const std::string& fresh) {
    const auto at = toml.find(old);
    REQUIRE(at != std::string::npos);
    toml.replace(at, old.size(), fresh);
  };
  put("at = \"CP1\"\n", "at = \"CP1\"\norientation = \"0°\"\n");
  put("at = \"CP3\"\n", "at = \"free\"\n");
  job.write("job.toml", toml);
  job.write("s1.csv", kHead + ties_of_s1());
  job.write("s2.csv", kHead + sight("B1", kS2, kB1) + sight("B2", kS2, kB2) + sight("B3", kS2, kB3));
  const CommandResult r = job.run({"setup", ".", "--csv"});
  CAPTURE(r.err);
  REQUIRE(r.exit_code == 0);
  const auto rows = named_rows(r.out);
  REQUIRE(rows.size() == 2);
  CHECK(std::abs(number(rows[1], "northing") - 5427900) < 0.001);
  CHECK(std::abs(number(rows[1], "easting") - 1748130) < 0.001);
}

TEST_CASE("two faces that disagree in the zenith angle or the distance are told at the sight that is bad") {
  const auto face2 = [](const std::string& target, const Spot& mark, double zenith_off, double slope_off) {
    const double dx = mark.x - kS1.x, dy = mark.y - kS1.y, far = std::hypot(dx, dy);
    const double circle = std::fmod(std::atan2(dx, dy) * 180 / kPi + 180, 360);
    const double up = mark.h - kS1.h - (1 - 0.13) * far * far / (2 * 6371000.0);
    return target + text(",2,%.8f,%.8f,%.6f\n", circle, 360 - std::atan2(far, up) * 180 / kPi + zenith_off,
                         std::hypot(far, up) + slope_off);
  };
  struct Row {
    double zenith_off, slope_off;
    std::string said;
  };
  for (const Row& row : {Row{0, 0, ""},
                         {0.2, 0, "the zenith angles of the two faces disagree at B2, by 180.0 times"},
                         {0, 0.05, "distances to B2 disagree"}}) {
    JobFolder job;
    put_job(job);
    std::string shots = "target,face,circle,zenith,slope\n";
    const auto both = [&](const std::string& name, const Spot& mark) {
      std::string first = sight(name, kS1, mark);
      shots += first.insert(name.size(), ",1") +
               face2(name, mark, name == "B2" ? row.zenith_off : 0, name == "B2" ? row.slope_off : 0);
    };
    both("CP2", kCp2), both("CP3", kCp3), both("B1", kB1), both("B2", kB2), both("B3", kB3), both("B4", kB4);
    job.write("s1.csv", shots);
    const CommandResult r = job.run({"setup", "."});
    CAPTURE(r.err);
    CHECK((r.err.find("disagree") != std::string::npos) == !row.said.empty());
    if (!row.said.empty()) CHECK(r.err.find(row.said) != std::string::npos);
    CHECK(r.err.find("at B1") == std::string::npos);
  }
}
