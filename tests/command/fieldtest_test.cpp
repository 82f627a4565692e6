// Field tests through the real program. The readings are those of
// tests/unit/station/field_tests_test.cpp, which says where the values are from.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "cases_support.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// The page breaks lines.
std::string one_line(std::string out) {
  for (char& c : out) c = c == '\n' ? ' ' : c;
  while (says(out, "  ")) out.erase(out.find("  "), 1);
  return out;
}

const std::string kDirectionHead = "set,target,circle1 (degrees),circle2 (degrees)\n";
/// Rows of directions: the circle is turned by 60 degrees from set to set, the faces are 14" apart.
std::string directions() {
  const double seconds[3][5] = {{0, 12, 25, 41, 55}, {0, 14.5, 26, 39.5, 56.5}, {0, 11.5, 27, 42, 53}};
  std::string rows = kDirectionHead;
  for (int j = 0; j < 3; ++j)
    for (int k = 0; k < 5; ++k) {
      const double d = 60 * j + 71.5 * k + (seconds[j][k] + 7) / 3600;
      rows +=
          text("%d,T%d,%.9f,%.9f\n", j + 1, k + 1, std::fmod(d, 360), std::fmod(d + 180 - 14.0 / 3600, 360));
    }
  return rows;
}
std::string zeniths() {
  const double one[3][4] = {{10, 22, -14, 5}, {12, 20, -11, 4}, {9, 23, -13, 8}},
               two[3][4] = {{-2, -12, 22, 1}, {-5, -15, 20, 5}, {-3, -14, 25, 2}};
  std::string rows = "set,target,zenith1 (degrees),zenith2 (degrees)\n";
  for (int j = 0; j < 3; ++j)
    for (int k = 0; k < 4; ++k)
      rows += text("%d,T%d,%.9f,%.9f\n", j + 1, k + 1, 90 + one[j][k] / 3600, 270 + two[j][k] / 3600);
  return rows;
}
const std::string kLine =
    "from,to,distance (m)\n1,2,4.5403\n1,3,16.1380\n1,4,34.7904\n1,5,49.9153\n1,6,57.9843\n1,7,58.9987\n"
    "2,3,11.5967\n2,4,30.2491\n2,5,45.3744\n2,6,53.4433\n2,7,54.4573\n3,4,18.6517\n3,5,33.7756\n3,6,41.8465\n"
    "3,7,42.8602\n4,5,15.1241\n4,6,23.1922\n4,7,24.2061\n5,6,8.0677\n5,7,9.0818\n6,7,1.0129\n";
const std::string kPlumb =
    "x1 (mm),x2 (mm),y1 (mm),y2 (mm),height (m)\n1.2,-.4,.3,.1,4.2\n.8,-.9,-.2,-.3,4.2\n1.5,-.2,.1,.4,4.2\n"
    "1.1,-.5,.4,.2,4.2\n.9,-.7,0,-.1,4.2\n";

/// The staff at 2 m and at 38 m, the instrument near one and then near the other, four turns each. Truth: the
/// beam rises by `cone` mm a metre and its plane leans by `tilt`; no noise but `scatter` mm, by turns up and
/// down.
std::string rotating(double cone, double tilt, double scatter) {
  std::string rows = "set,target,reading (mm),distance (m),direction (degrees)\n";
  for (int set = 0; set < 8; ++set)
    for (int target = 0; target < 2; ++target) {
      const double d = (set < 4) == (target == 0) ? 2 : 38;
      const double turn = 90 * (set % 4) + (target == 0 ? 0 : 180);
      const double off = ((set * 7 + target * 3) % 5 - 2) * scatter;
      rows += text("%d,%s,%.4f,%g,%g\n", set + 1, target == 0 ? "A" : "B",
                   1500 + 10 * set - (target == 0 ? 0 : 123.4) +
                       d * (cone + tilt * std::cos(turn * 3.14159265358979 / 180)) + off,
                   d, std::fmod(turn, 360));
    }
  return rows;
}
std::string turned(const std::vector<int>& turns, int sets, double lean) {
  std::string rows = "set,turn (degrees),x (mm),y (mm)\n";
  for (int set = 0; set < sets; ++set)
    for (const int turn : turns) {
      const double w = turn * 3.14159265358979 / 180, off = ((set * 3 + turn / 90) % 3 - 1) * 0.05;
      rows += text("%d,%d,%.5f,%.5f\n", set + 1, turn, lean * std::cos(w) + off, lean * std::sin(w) - off);
    }
  return rows;
}

struct Table : JobFolder {
  explicit Table(const std::string& bytes) { write("t.csv", bytes); }
  CommandResult test(std::vector<std::string> more = {}) const {
    std::vector<std::string> args{"fieldtest", "t.csv"};
    args.insert(args.end(), more.begin(), more.end());
    return run(args);
  }
  /// Rows of --csv by item.
  std::map<std::string, std::map<std::string, std::string>> items(std::vector<std::string> more = {}) const {
    more.push_back("--csv");
    const CommandResult r = test(more);
    CAPTURE(r.err);
    CHECK(!r.out.empty());
    std::map<std::string, std::map<std::string, std::string>> out;
    for (const auto& row : named_rows(r.out)) out[row.at("item")] = row;
    return out;
  }
};
void check_value(const std::map<std::string, std::string>& row, double value, double within) {
  CAPTURE(row.at("item"));
  CHECK(std::fabs(number(row.at("value")) - value) <= within);
}
void check_80(const std::string& out) {
  std::size_t from = 0;
  while (from < out.size()) {
    const std::size_t end = std::min(out.find('\n', from), out.size());
    CHECK_MESSAGE(end - from <= 80, out.substr(from, end - from));
    from = end + 1;
  }
}

}  // namespace

TEST_CASE("field test of directions: a worked example, held against two stated sds") {
  const Table table(directions());
  auto items = table.items({"--sd", "1\""});
  check_value(items.at("scatter"), 1.3723, 1e-4);
  CHECK(items.at("scatter").at("degrees_of_freedom") == "8");
  CHECK(items.at("scatter as stated").at("answer") == "yes");
  CHECK(number(items.at("scatter as stated").at("upper")) == doctest::Approx(1.392).epsilon(5e-4));
  CHECK(table.test({"--sd", "1\""}).exit_code == 0);
  const CommandResult worse = table.test({"--sd", "0.9\""});
  CHECK(worse.exit_code == 1);
  CHECK(worse.err == "SCATTER WORSE THAN STATED: directions\n");
  CHECK(says(worse.out,
             "Is the scatter no worse than the stated 0.9\"? NO.\n    The scatter of 1.37\" is worse"));
  CHECK(says(worse.out, "15 readings, 8 more than the unknowns"));
  CHECK(says(worse.out, "do not\nsay that the instrument conforms to any standard"));
  check_80(worse.out);
  const CommandResult bare = table.test();
  CHECK(bare.exit_code == 0);
  CHECK(says(bare.out, "no sd was stated"));
  // a dropped row costs one degree of freedom
  std::string dropped = directions();
  dropped.erase(dropped.rfind("3,T5"));
  CHECK(Table(dropped).items().at("scatter").at("degrees_of_freedom") == "7");
}

TEST_CASE("field test of zenith angles: a worked example, alone and beside directions") {
  auto items = Table(zeniths()).items({"--sd", "1\""});
  check_value(items.at("scatter"), 1.5138, 1e-4);
  check_value(items.at("index error"), 4.125, 1e-4);
  CHECK(std::fabs(number(items.at("index error").at("sd")) - 0.4370) < 1e-4);
  CHECK(items.at("index error is chance").at("answer") == "no");
  CHECK(items.at("scatter as stated").at("answer") == "no");
  CHECK(says(Table(zeniths()).test().out, "the zenith circle reads 4.1"));
  // both angles in one table; the fifth target has no zenith angle
  const auto circles = csv_rows(directions()), heights = csv_rows(zeniths());
  std::string both = "set,target,circle1 (degrees),circle2 (degrees),zenith1 (degrees),zenith2 (degrees)\n";
  std::size_t next = 1;
  for (std::size_t i = 1; i < circles.size(); ++i) {
    const auto& c = circles[i];
    both += c[0] + "," + c[1] + "," + c[2] + "," + c[3] + ",";
    both += c[1] == "T5" ? "," : heights[next][2] + "," + heights[next][3];
    next += c[1] == "T5" ? 0U : 1U;
    both += "\n";
  }
  const CommandResult r = Table(both).test({"--sd", "1.5\""});
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "scatter (s) 1.37\""));
  CHECK(says(r.out, "scatter (s) 1.51\""));
}

TEST_CASE("field test of distances on a line: a worked example, and three points alone") {
  auto items = Table(kLine).items({"--sd", "0.5 mm"});
  check_value(items.at("scatter"), 0.4892, 1e-4);
  CHECK(items.at("scatter").at("degrees_of_freedom") == "14");
  check_value(items.at("constant"), 1.2171, 1e-4);
  CHECK(std::fabs(number(items.at("constant").at("sd")) - 0.2188) < 1e-4);
  CHECK(items.at("constant is chance").at("answer") == "no");
  CHECK(items.at("scatter as stated").at("answer") == "yes");
  CHECK(says(Table(kLine).test().out, "constant: add 1.217 mm to every distance"));
  const Table three("from,to,distance (m)\n2,1,4.5403\n2,3,11.5967\n1,3,16.1380\n");
  check_value(three.items().at("constant"), 1.0, 1e-4);
  CHECK(says(three.test().out, "nothing checks it"));
  const Table neighbours("from,to,distance (m)\n1,2,5.000\n2,3,5.000\n1,2,5.001\n2,3,5.001\n");
  CHECK(says(neighbours.test().out, "the constant: these distances cannot tell it"));
}

TEST_CASE("field test of a rotating laser: cone and tilt come back") {
  auto items = Table(rotating(0.04, 0.07, 0.01)).items({"--sd", "0.1 mm"});
  check_value(items.at("cone"), 0.04, 0.002);
  check_value(items.at("tilt"), 0.07, 0.002);
  CHECK(items.at("scatter").at("degrees_of_freedom") == "4");
  CHECK(items.at("cone is chance").at("answer") == "no");
  CHECK(items.at("tilt is chance").at("answer") == "no");
  CHECK(says(Table(rotating(-0.04, 0.07, 0.01)).test().out, "the beam falls 0.0"));
  items = Table(rotating(0, 0, 0.01)).items();
  CHECK(items.at("cone is chance").at("answer") == "yes");
  CHECK(items.at("tilt is chance").at("answer") == "yes");
  // known heights: four staffs, three sets
  std::string known = "set,target,reading (mm),distance (m),direction (degrees),height (mm)\n";
  for (int set = 1; set < 4; ++set)
    for (int t = 0; t < 4; ++t)
      known += text("%d,S%d,%.3f,%d,%d,%d\n", set, t, 1400 + set - 5.0 * t + 0.02 * ((set * 3 + t * 5) % 7),
                    10 + 8 * t, (90 * t + 70 * set) % 360, 5 * t);
  CHECK(Table(known).items().at("scatter").at("degrees_of_freedom") == "6");  // 12, less 3 beams, less 3
}

TEST_CASE("field test of a plumbing instrument: a worked example, four turns and one") {
  auto items = Table(kPlumb).items({"--sd", "0.2 mm"});
  check_value(items.at("scatter"), 0.2525, 1e-4);
  CHECK(items.at("scatter").at("degrees_of_freedom") == "8");
  check_value(items.at("lean along x"), 0.820, 1e-4);
  check_value(items.at("lean along y"), 0.030, 1e-4);
  CHECK(items.at("lean along x is chance").at("answer") == "no");
  CHECK(items.at("lean along y is chance").at("answer") == "yes");
  CHECK(items.at("axes alike").at("answer") == "yes");
  CHECK(number(items.at("axes alike").at("upper")) == doctest::Approx(9.605).epsilon(1e-4));
  CHECK(says(Table(kPlumb).test().out, "0.0601 mm a metre"));
  const Table four(turned({0, 90, 180, 270}, 3, 0.9));
  items = four.items();
  CHECK(items.at("scatter").at("degrees_of_freedom") == "16");  // 24, less 6 of the places, less the lean's 2
  check_value(items.at("lean along x"), 0.9, 0.05);
  const Table one(turned({0}, 6, 0.9));
  items = one.items();
  CHECK(items.at("scatter").at("degrees_of_freedom") == "10");
  CHECK(items.count("lean along x") == 0);
  CHECK(says(one.test().out, "one turn cannot tell it; turn the instrument half round"));
}

// 2026-11-27: a single set was refused as too few readings; the tilt went with a cone that could not be told.
TEST_CASE("what the readings determine is told though no scatter is, and what they cannot judge is said") {
  const std::string all = zeniths();
  const Table one(all.substr(0, all.find("\n2,") + 1));  // the first set: indices of 4, 5, 4, 3 seconds
  auto items = one.items({"--sd", "1\""});
  CHECK(items.count("scatter") == 0);
  CHECK(items.count("scatter as stated") == 0);
  check_value(items.at("index error"), 4, 1e-4);
  CHECK(std::fabs(number(items.at("index error").at("sd")) - 0.40825) < 1e-5);
  CHECK(items.at("index error").at("degrees_of_freedom") == "3");
  CHECK(items.at("index error is chance").at("answer") == "no");
  CommandResult r = one.test({"--sd", "1\""});
  CHECK(r.exit_code == 0);
  CHECK(r.err == "SCATTER NOT TOLD: no reading is left over to tell it\n");
  CHECK(says(r.out, "index: the zenith circle reads 4.00\" too much in both faces (sd 0.41\")"));
  CHECK(says(
      one_line(r.out),
      "the scatter (s) of one zenith angle, the mean of both faces: these readings cannot tell it; read one "
      "set more"));
  check_80(r.out);
  // beside directions of the same single set, which tell nothing by themselves
  std::string both = "set,target,circle1 (degrees),circle2 (degrees),zenith1 (degrees),zenith2 (degrees)\n";
  for (const auto& row : csv_rows(one.read("t.csv")))
    if (row[0] == "1") both += "1," + row[1] + ",10,190," + row[2] + "," + row[3] + "\n";
  r = Table(both).test();
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "FIELD TEST: directions"));
  CHECK(says(r.out, "reads 4.00\" too much"));
  // all staffs at 20 m: no cone, but the tilt
  std::string laser = "set,target,reading (mm),distance (m),direction (degrees)\n";
  for (int set = 0; set < 4; ++set)
    for (int t = 0; t < 4; ++t)
      laser += text("%d,S%d,%.4f,20,%d\n", set + 1, t,
                    1500 + 7 * set - 11 * t +
                        20 * 0.118 * std::cos((90 * (t + set) + 40) * 3.14159265358979 / 180) +
                        0.01 * ((set * 5 + t * 3) % 7 - 3),
                    90 * (t + set) % 360);
  items = Table(laser).items();
  check_value(items.at("tilt"), 0.118, 0.002);
  CHECK(items.at("tilt").at("unit") == "mm/m");
  CHECK(items.count("cone") == 0);
  CHECK(says(Table(laser).test().out,
             "the cone: these readings cannot tell it; read one target near and one far"));
  // one component: two staffs in one line, the housing turned half round
  std::string line = "set,target,reading (mm),distance (m),direction (degrees)\n";
  for (int set = 0; set < 2; ++set)
    for (int t = 0; t < 2; ++t)
      line += text("%d,S%d,%.4f,20,%d\n", set + 1, t,
                   1500 + 7 * set - 11 * t + 20 * 0.118 * ((t + set) % 2 ? -1 : 1), 180 * ((t + set) % 2));
  const CommandResult half = Table(line).test();
  CAPTURE(half.err);
  CHECK(half.exit_code == 0);
  CHECK(says(half.out, "tilt: towards the mark on the housing, the beam rises 0.1180 mm a metre\n"));
  CHECK(says(one_line(half.out),
             "the rest of the tilt: these readings cannot tell it; turn the housing a quarter too"));
  check_80(half.out);
}

TEST_CASE("field test of a level: two pegs, the fault over the farthest sight") {
  // The readings of tests/unit/station/field_tests_test.cpp: the line rises 0.1 mm a metre.
  const std::string once =
      "setup,staff,reading (mm),distance (m)\nI1,A,1500.2,2\nI1,B,1384.2,42\nI2,A,1614.2,42\ni2,b,1490.2,2\n";
  const Table table(once);
  auto items = table.items();
  check_value(items.at("line of sight"), 0.1, 1e-5);
  CHECK(items.at("line of sight").at("unit") == "mm/m");
  CHECK(items.at("line of sight").at("sd").empty());
  CHECK(items.size() == 1);
  const CommandResult r = table.test();
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "FIELD TEST: line of sight of a level\n  4 readings, none more than the unknowns\n"));
  CHECK(says(
      r.out,
      "line of sight: rises 4.2 mm over 42.0 m, the farthest sight\n    (0.1000 mm a metre; nothing checks "
      "it)"));
  check_80(r.out);
  CHECK(says(
      Table(
          "setup,staff,reading (mm),distance (m)\n1,A,1499.8,2\n1,B,1375.8,42\n2,A,1605.8,42\n2,B,1489.8,2\n")
          .test()
          .out,
      "line of sight: falls 4.2 mm over 42.0 m"));
  // set up again: a scatter, its degrees of freedom and limits
  const Table twice(once + "I3,A,1502.2,2\nI3,B,1386.0,42\nI4,A,1616.3,42\nI4,B,1492.2,2\n");
  items = twice.items({"--sd", "0.5 mm"});
  CHECK(items.at("scatter").at("degrees_of_freedom") == "2");  // 8, less 4 set-ups, a staff and the slope
  CHECK(items.at("line of sight is chance").at("degrees_of_freedom") == "2");
  CHECK(items.at("scatter as stated").at("answer") == "yes");
  const CommandResult midway =
      Table("setup,staff,reading (m),distance (m)\n1,A,1.5,20\n1,B,1.4,20\n2,A,1.6,20\n2,B,1.5,20\n").test();
  CHECK(midway.exit_code == 0);
  CHECK(says(midway.out, "the line of sight: these readings cannot tell it"));
  CHECK(says(Table("setup,staff,reading (mm)\n1,A,1500\n").test().err, "header: found no column distance"));
  CHECK(says(Table("setup,staff,reading,distance (m)\n1,A,1500,2\n").test().err, "reading: found no unit"));
}

TEST_CASE("field test of a cross-line laser: two standings, the error in seconds and over the room") {
  // The readings of tests/unit/station/field_tests_test.cpp.
  const std::string head = "ab (m),cd (m),ac (m)\n";
  const Table table(head + "6,6.0019,12\n6,6.0024,12\n6,6.0027,12\n");
  auto items = table.items({"--sd", "0.5 mm"});
  check_value(items.at("scatter"), 0.28577, 1e-4);
  check_value(items.at("error of the right angle"), 20.054, 1e-3);
  CHECK(items.at("error of the right angle").at("unit") == "second");
  CHECK(items.at("error of the right angle").at("degrees_of_freedom") == "2");
  CHECK(items.at("error of the right angle is chance").at("answer") == "no");
  CHECK(items.at("scatter as stated").at("answer") == "yes");
  CommandResult r = table.test();
  CHECK(says(r.out, "FIELD TEST: right angle of a cross-line laser\n  3 readings, 2 more than the unknowns"));
  CHECK(says(one_line(r.out),
             "right angle: 20.05\" too wide (sd 2.01\") at 12.0 m, the farthest, the line from A "
             "lands 1.2 mm away from B"));
  check_80(r.out);
  r = Table(head + "6,5.9976,12\n").test();
  CHECK(says(one_line(r.out),
             "20.63\" too narrow (nothing checks it) at 12.0 m, the farthest, the line from A "
             "lands 1.2 mm towards B"));
  CHECK(says(one_line(r.out), "stand over A and B once more, set up anew"));
  r = Table(head + "6,5.9976,12\n").test({"--sd", "1 mm"});
  CHECK(says(one_line(r.out), "20.63\" too narrow (sd 12.15\")"));
  CHECK(says(r.out, "Could the error of the right angle be chance alone? YES."));
  check_80(r.out);
  // two readings alike are no scatter of 0, and no sure NO
  const Table alike(head + "6,6.0024,12\n6,6.0024,12\n");
  r = alike.test();
  CHECK(r.exit_code == 0);
  CHECK(says(one_line(r.out), "2 readings, 1 more than the unknowns (degrees of freedom) all read alike: "));
  CHECK(says(one_line(r.out), "20.63\" too wide (how good that is, is not known) at 12.0 m"));
  CHECK(!says(r.out, "QUESTIONS"));
  CHECK(!says(r.out, "sd 0.00"));
  CHECK(says(r.err, "SCATTER NOT TOLD: all readings say the same\n"));
  check_80(r.out);
  CHECK(says(alike.test({"--sd", "1 mm"}).out, "20.63\" too wide (sd 8.59\")"));
  // a metre keyed wrong is no laser's error
  CHECK(says(
      Table(head + "6,7.0024,12\n").test().err,
      "cd: a right angle 2.39 degrees off, over 5 mm a metre (common practice, no source), is no laser's"));
  CHECK(!says(Table(head + "6,6.0024,12\n").test().err, "doubt"));
}

// 2026-11-27: the limit stood on 4 degrees of freedom, beside it 8 were printed.
TEST_CASE("every row of the plumbing table states the degrees of freedom of its own limit") {
  auto items = Table(kPlumb).items({"--sd", "0.2 mm"});
  const double t4 = 2.776;  // row STA-t4 of tests/vectors/reference/statistics_tables.csv, p = 0.025
  for (const std::string axis : {"x", "y"}) {
    const auto& value = items.at("lean along " + axis);
    const auto& asked = items.at("lean along " + axis + " is chance");
    CHECK(value.at("degrees_of_freedom") == "4");
    CHECK(asked.at("degrees_of_freedom") == "4");
    CHECK(number(asked.at("upper")) == doctest::Approx(t4 * number(value.at("sd"))).epsilon(1e-3));
  }
  CHECK(items.at("axes alike").at("degrees_of_freedom") == "4");
  CHECK(items.at("scatter as stated").at("degrees_of_freedom") == "8");
}

TEST_CASE("a second table of the same test is compared; another test is refused") {
  Table table(turned({0, 90, 180, 270}, 3, 0.9));
  std::string loose = turned({0, 90, 180, 270}, 3, 0.9);
  table.write("same.csv", loose);
  CHECK(table.items({"--with", "same.csv"}).at("same scatter").at("answer") == "yes");
  loose = "set,turn (degrees),x (mm),y (mm)\n";
  for (int i = 0; i < 12; ++i) loose += text("%d,%d,%d,%d\n", i / 4 + 1, 90 * (i % 4), i * i % 7, i * 5 % 9);
  table.write("loose.csv", loose);
  CHECK(table.items({"--with", "loose.csv"}).at("same scatter").at("answer") == "no");
  CHECK(says(table.test({"--with", "loose.csv"}).out, "Do the two tables scatter alike? NO."));
  table.write("line.csv", kLine);
  const CommandResult r = table.test({"--with", "line.csv"});
  CHECK(r.exit_code == 2);
  check_told(r.err, {"line.csv: file", {"distances on a line", "marks at turns"}});
}

TEST_CASE("a slip in keying is a doubt, not a verdict on the instrument") {
  const auto err = [](const std::string& table) {
    const CommandResult r = Table(table).test();
    CHECK(r.exit_code == 0);
    return r.err;
  };
  CHECK(!says(err(kLine), "slip"));
  CHECK(!says(err(directions()), "slip"));
  std::string line = kLine;
  line.replace(line.find("34.7904"), 7, "37.4904");  // two digits exchanged
  CHECK(says(err(line), "doubt: t.csv: row: 1 to 4 is "));
  std::string circles = directions();
  circles += "4,T1,10.0,190.0\n4,T2,81.6,261.6\n";  // six minutes off
  CHECK(says(err(circles), "seconds off the others: look for a slip in keying or naming"));
  CHECK(says(err("from,to,distance (m)\n1,2,10\n2,3,10\n1,3,2000\n1,2,10\n"),
             "a constant of 1980.000 m is no reflector's"));
  Table table(kLine);
  const CommandResult self = table.test({"--with", "t.csv"});
  CHECK(self.exit_code == 2);
  CHECK(says(self.err, "--with: found \"t.csv\", the table itself, expected another table of the same test"));
}

TEST_CASE("what a field test refuses") {
  struct Row {
    std::string what, table;
    std::vector<std::string> args;
    std::vector<Refusal> refusals;
  };
  const std::vector<Row> rows = {
      {"no columns of a test", "a,b\n1,2\n", {}, {{"t.csv:1:1: header", {"a, b", "circle1", "turn"}}}},
      {"columns of two tests",
       "from,to,distance (m),turn (degrees)\n1,2,3,0\n",
       {},
       {{"t.csv:1:1: header", {"two tests", "one test a table"}}}},
      {"half of what it needs",
       "set,target,circle1 (degrees)\n1,A,0\n",
       {},
       {{"t.csv:1:1: header", {"no column circle2"}}}},
      {"a length without a unit",
       "from,to,distance\n1,2,3\n",
       {},
       {{"t.csv:1:9: distance", {"no unit", "distance (m)"}}}},
      {"an angle that may be two things",
       "set,target,zenith1,zenith2 (degrees)\n1,A,90.3015,270\n",
       {},
       {{"t.csv:2:5: zenith1", {"90.3015", "zenith1 (degrees)"}}}},
      {"an empty cell",
       kDirectionHead + "1,A,,180\n",
       {},
       {{"t.csv:2:5: circle1", {"empty", "leave the row out"}}}},
      {"a set that is no number", kDirectionHead + "one,A,0,180\n", {}, {{"t.csv:2:1: set", {"one"}}}},
      {"a target twice in a set",
       kDirectionHead + "1,A,0,180\n1,B,90,270\n1,a,0,180\n",
       {},
       {{"t.csv:4:3: target", {"set 1, target a again"}}}},
      {"another target in face 2",
       kDirectionHead + "1,A,0,185\n",
       {},
       {{"t.csv:2:7: circle2", {"5 degrees off"}}}},
      {"faces exchanged",
       "set,target,zenith1 (degrees),zenith2 (degrees)\n1,A,270,90\n",
       {},
       {{"t.csv:2:5: zenith1", {"face 1", "exchanged"}}}},
      {"a zenith angle that is no pair",
       "set,target,zenith1 (degrees),zenith2 (degrees)\n1,A,80,270\n",
       {},
       {{"t.csv:2:8: zenith2", {"10 degrees off"}}}},
      {"from a point to itself", "from,to,distance (m)\n2,2,3\n", {}, {{"t.csv:2:3: to", {"from 2 to 2"}}}},
      {"a distance of nothing",
       "from,to,distance (m)\n1,2,0\n",
       {},
       {{"t.csv:2:5: distance", {"above zero"}}}},
      {"a point that is no number",
       "from,to,distance (m)\nA,B,3\n",
       {},
       {{"t.csv:2:1: from", {}}, {"t.csv:2:3: to", {}}}},
      {"two heights of one target",
       "set,target,reading (mm),distance (m),direction (degrees),height (mm)\n1,A,1,2,0,5\n2,A,1,2,0,6\n",
       {},
       {{"t.csv:3:11: height", {"another height", "target A"}}}},
      {"a cross-line laser without how far C stands",
       "ab (m),cd (m)\n6,6\n",
       {},
       {{"t.csv:1:1: header", {"no column ac", "cross-line laser"}}}},
      {"a bare length of a cross-line laser",
       "ab (m),cd,ac (m)\n6,6,12\n",
       {},
       {{"t.csv:1:8: cd", {"no unit", "cd (m)"}}}},
      {"C at A", "ab (m),cd (m),ac (m)\n6,6,0\n", {}, {{"t.csv:2:5: ac", {"above zero"}}}},
      {"too few readings",
       kDirectionHead + "1,A,0,180\n1,B,90,270\n",
       {},
       {{"t.csv: file", {"2 readings of directions", "repeat"}}}},
      {"no rows", kDirectionHead, {}, {{"t.csv: file", {"no data rows"}}}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    const Table table(row.table);
    const auto before = table.snapshot();
    const CommandResult r = table.test(row.args);
    CAPTURE(r.err);
    check_refused(table, before, r);
    for (const Refusal& refusal : row.refusals) check_told(r.err, refusal);
    CHECK(problem_lines(r.err).size() == row.refusals.size());
  }
  std::string many = "from,to,distance (m)\n";
  for (int i = 0; i < 2500; ++i) many += "1,2,3\n";
  CHECK(says(Table(many).test().err, "t.csv:2002:1: row: found more rows, expected up to 2000 rows"));
  for (const auto& [sd, found] : {std::pair{"2°", "found \"2°\""},
                                  {"2", "found \"2\", without a unit"},
                                  {"0mm", "above 0, up to 20 mm"},
                                  {"1\"", "the sd of a length, not of an angle"}}) {
    const CommandResult r = Table(kLine).test({"--sd", sd});
    CAPTURE(r.err);
    CHECK(r.exit_code == 2);
    CHECK(says(r.err, found));
    CHECK(says(r.err, "such as --sd 1.5mm\n1 problem; nothing was judged\n"));
  }
  CHECK(says(Table(directions()).test({"--sd", "0\""}).err,
             "--sd: found \"0\\\"\", expected an sd above 0, up to one degree"));
  const JobFolder empty;
  CHECK(says(empty.run({"fieldtest", "nope.csv"}).err, "nope.csv: file: found no such file"));
  CHECK(empty.run({"fieldtest"}).exit_code == 2);
  CHECK(says(empty.run({"fieldtest", "nope.csv", "--sd", ""}).err, "--sd is empty"));
}
