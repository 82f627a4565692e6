// Setups, stake lists, side shots and plans through the real program. Raw readings come from a simulated
// world with its own geometry.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "cases_support.h"
#include "simulation/station_world.h"
#include "support/text.h"

using namespace deckmark_test;
using namespace station_test;

namespace {

const Sds kExact{.angle = 0, .distance = 0, .ppm = 0, .target = 0, .centring = 0, .height = 0};
const Spot kAxis{1004, 503, 101.6};
constexpr double kOrientation = 0.7;  // rad

struct Target {
  std::string name;
  Spot mark;
  double height = 1.5;
  double slope_error = 0, circle_error = 0, height_error = 0;
};

std::vector<Target> control() {
  return {{"CP1", {1020, 500, 100}},
          {"CP2", {1000, 525, 100.1}},
          {"CP3", {985, 495, 100.05}},
          {"CP4", {1010, 480, 99.9}}};
}

/// Rows of a table of observations, two faces, full precision.
std::string observed(const std::vector<Target>& targets, const Sds& sd = kExact, Spot axis = kAxis,
                     double orientation = kOrientation) {
  Noise noise;
  std::string rows = "target,face,circle,zenith,slope,height\n";
  Instrument in{.axis = axis, .orientation = orientation, .collimation = 5e-5, .index = -3e-5};
  for (const Target& t : targets) {
    Shot shot{.target = 0, .mark = t.mark, .target_height = t.height};
    shot.slope_error = t.slope_error, shot.circle_error = t.circle_error, shot.height_error = t.height_error;
    for (const Reading& r : read(in, shot, sd, 0.13, noise))
      rows += text("%s,%d,%.9f,%.9f,%.6f,%.3f\n", t.name.c_str(), r.face, r.circle->degrees(),
                   r.zenith->degrees(), r.slope->metres(), t.height);
  }
  return rows;
}

std::string control_table(double sd = 0) {
  std::string rows = sd > 0 ? "point,northing,easting,elevation,sd\n" : "point,northing,easting,elevation\n";
  for (const Target& t : control())
    rows += text("%s,%.4f,%.4f,%.4f", t.name.c_str(), t.mark.n, t.mark.e, t.mark.h) +
            (sd > 0 ? text(",%.4f\n", sd) : "\n");
  return rows;
}

const std::string kJob =
    "drawing.points = \"d.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = \"c.csv\"\n[floor]\nelevation = "
    "\"100 "
    "m\"\n[deck]\nelevation = \"104 m\"\n"
    "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\ndistance_ppm = 2\n";
const std::string kFree =
    "[[setup]]\nname = \"S1\"\nat = \"free\"\nheight = \"1.6 m\"\nobservations = \"s1.csv\"\n";
/// x is easting, y northing: there are no ties.
const std::string kPoints =
    "point,x,y,run\nH1,500,1000,R1\nH2,501,1000,R1\nH3,502,1000,R1\nH4,502,1003,R2\nH5,501,1003,R2\n";

struct Folder : JobFolder {
  explicit Folder(const std::string& shots, const std::string& toml = kJob + kFree) {
    write("job.toml", toml);
    write("d.csv", kPoints);
    write("c.csv", control_table());
    write("s1.csv", shots);
  }
};

using Rows = std::vector<std::map<std::string, std::string>>;
Rows table(const JobFolder& job, const std::string& name) { return named_rows(job.read("out/" + name)); }

void check_columns(const JobFolder& job, const std::string& name, const std::string& header) {
  const std::string bytes = job.read("out/" + name);
  CHECK(bytes.substr(0, bytes.find('\n')) == header);
}
void check_80_columns(const std::string& out) {
  std::size_t from = 0;
  while (from < out.size()) {
    const std::size_t end = std::min(out.find('\n', from), out.size());
    const std::string line = out.substr(from, end - from);
    CHECK_MESSAGE(line.size() <= 80, line);
    from = end + 1;
  }
}

}  // namespace

TEST_CASE("a free station without noise comes back, with the contract's columns") {
  const Folder job = Folder(observed(control()));
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  check_columns(job, "setup.csv",
                "setup,northing (m),easting (m),elevation (m),orientation,sd_northing (m),sd_easting "
                "(m),sd_elevation (m),sd_orientation,"
                "redundancy,variance_factor,verdict");
  check_columns(job, "sights.csv",
                "setup,target,quantity,observed (m),residual (m),standardised,redundancy,verdict");
  check_columns(
      job, "shots-S1.csv",
      "setup,target,northing (m),easting (m),elevation (m),sd_northing (m),sd_easting (m),sd_elevation (m)");
  check_columns(job, "stake-S1.csv",
                "number,point,level,circle,zenith,slope (m),horizontal (m),rise_from_axis (m),sd_along "
                "(m),sd_across (m),sd_up (m),flag");
  const auto setup = table(job, "setup.csv").at(0);
  CHECK(std::abs(number(setup.at("northing")) - kAxis.n) <= 1e-5);
  CHECK(std::abs(number(setup.at("easting")) - kAxis.e) <= 1e-5);
  CHECK(std::abs(number(setup.at("elevation")) - 100) <= 1e-5);
  CHECK(std::abs(number(setup.at("orientation")) - kOrientation * 180 / std::numbers::pi) <= 0.01 / 3600);
  CHECK(setup.at("redundancy") == "8.0000");
  CHECK(setup.at("verdict") == "within");
  const auto sights = table(job, "sights.csv");
  CHECK(sights.size() == 12);
  double redundancy = 0;
  for (const auto& row : sights) {
    CHECK(std::abs(number(row.at("residual"))) < 2e-5);
    if (row.at("quantity") != "height") redundancy += number(row.at("redundancy"));
  }
  CHECK(redundancy == doctest::Approx(5).epsilon(1e-3));
}

TEST_CASE("what is staked, turned to and measured again is the mark") {
  const Folder job = Folder(observed(control()));
  job.run();
  const auto rows = table(job, "stake-S1.csv");
  REQUIRE(rows.size() == 4 + 5 + 5 + 4);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CAPTURE(i);
    const bool check = i < 4 || i >= 14;
    CHECK((rows[i].at("level") == (check ? "control" : i < 9 ? "floor" : "deck")));
    CHECK(rows[i].at("number").empty() == check);
    CHECK(says(rows[i].at("flag"), "check") == check);
    // Truth by the simulation's own geometry: where the mark is, how the line arrives there.
    Spot mark{0, 0, i < 9 ? 100.0 : 104.0};
    if (check) {
      for (const Target& t : control())
        if (t.name == rows[i].at("point")) mark = t.mark;
    } else {
      const auto points = named_rows(kPoints);
      for (const auto& p : points)
        if (p.at("point") == rows[i].at("point")) mark.n = number(p.at("y")), mark.e = number(p.at("x"));
    }
    const Pointing p = point_at(kAxis, mark, 0.13);
    const double circle = std::remainder(
        (p.azimuth - kOrientation) * 180 / std::numbers::pi - number(rows[i].at("circle")), 360);
    CHECK(std::abs(circle) * p.slope * std::numbers::pi / 180 < 2e-5);
    CHECK(std::abs(p.zenith * 180 / std::numbers::pi - number(rows[i].at("zenith"))) * p.slope *
              std::numbers::pi / 180 <
          3e-5);
    CHECK(std::abs(p.slope - number(rows[i].at("slope"))) < 3e-5);
    CHECK(std::abs(mark.h - kAxis.h - number(rows[i].at("rise_from_axis"))) < 3e-5);
  }
  // Run by run: the nearest end first, to and fro.
  std::string order;
  for (std::size_t i = 4; i < 9; ++i) order += rows[i].at("point");
  CHECK(order == "H4H5H1H2H3");
}

TEST_CASE("side shots serve as ties and as deck shots") {
  auto targets = control();
  const std::vector<std::pair<std::string, Spot>> walls = {
      {"W1", {1000, 500, 101}}, {"W2", {1000, 510, 101}}, {"W3", {1008, 500, 101}}, {"W4", {1008, 510, 101}}};
  for (const auto& [name, mark] : walls) targets.push_back({name, mark, 0});
  Folder first = Folder(observed(targets));
  const CommandResult r = first.run();
  CHECK(r.exit_code == 0);
  CHECK(says(r.err, "W1, W2, W3, W4; check the names"));
  const std::string shots = first.read("out/shots-S1.csv");
  REQUIRE(csv_rows(shots).size() == 5);

  // As ties: x and y are keyed beside what was shot.
  JobFolder second;
  std::string ties;
  std::size_t line = 0;
  const char* xy[] = {"x (m),y (m)", "0,0", "10,0", "0,8", "10,8"};
  for (std::size_t from = 0; from < shots.size(); ++line) {
    const std::size_t end = shots.find('\n', from);
    ties += shots.substr(from, end - from) + "," + xy[line] + "\n";
    from = end + 1;
  }
  second.write("ties.csv", ties);
  second.write("deck.csv", shots);
  second.write("d.csv", "point,x,y\nP1,5,4\n");
  second.write("job.toml",
               "[drawing]\npoints = \"d.csv\"\n[floor]\nelevation = \"97 m\"\n[baselines]\nties = "
               "\"ties.csv\"\n[deck]\nshots = \"deck.csv\"\n");
  const CommandResult again = second.run();
  CAPTURE(again.err);
  CHECK(again.exit_code == 0);
  CHECK(!says(again.err, "notice"));
  const auto point = table(second, "points.csv").at(0);
  CHECK(says(second.read("out/points.csv"), "P1"));
  const auto cells = csv_rows(second.read("out/points.csv")).at(1);
  CHECK(std::abs(number(cells.at(6)) - 1004) < 5e-5);
  CHECK(std::abs(number(cells.at(7)) - 505) < 5e-5);
  CHECK(std::abs(number(cells.at(10)) - 101) < 5e-5);
}

TEST_CASE("a mistyped control name does not become a side shot unseen") {
  auto targets = control();
  targets[2].name = "CP-3";  // typed alike, and lies there
  const CommandResult typed = Folder(observed(targets)).run({"setup", "."});
  CHECK(typed.exit_code == 0);
  CHECK(says(
      typed.err,
      "s1.csv:6:1: target: \"CP-3\" is taken for a side shot, but it lies where control point CP3 does"));
  targets[2].name = "NORTH";
  CHECK(says(Folder(observed(targets)).run({"setup", "."}).err, "lies where control point CP3 does"));
}

TEST_CASE("a numbered point that is sighted is a check against the list") {
  for (const double off : {0.002, 0.010}) {
    auto targets = control();
    targets.push_back({"1002", {1000 + off, 501, 100}, 0});
    targets.push_back({"6003", {1000, 502, 104}, 0});
    const Folder job = Folder(observed(targets));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    const bool outside = off > 0.006;
    CHECK(r.exit_code == (outside ? 1 : 0));
    CHECK(says(r.err,
               "DO NOT LAY OUT: mark 1002 (H2) is 10.0 mm off as seen from setup S1, permitted 6.0 mm") ==
          outside);
    std::size_t rows = 0;
    for (const auto& row : table(job, "sights.csv")) {
      if (row.at("target") == "1002") CHECK(row.at("verdict") == (outside ? "outside" : "within"));
      if (row.at("target") == "6003") CHECK(row.at("verdict") == "within");
      rows += row.at("target")[0] != 'C';
    }
    CHECK(rows == 6);
    CHECK(!says(job.read("out/shots-S1.csv"), "1002"));
    CHECK(says(r.out, "off by"));
  }
}

TEST_CASE("what is wrong is named in plain words, and the job may not be laid out") {
  struct Row {
    std::string what, said;
    std::function<void(std::vector<Target>&)> spoil;
  };
  const std::vector<Row> rows = {
      {"a bumped direction", "the direction to CP2 is", [](auto& t) { t[1].circle_error = 0.001; }},
      {"a reflector constant", "all distances are 34.4 mm too long: look at the reflector constant",
       [](auto& t) {
         for (Target& x : t) x.slope_error = 0.0344;
       }},
      {"a target too high", "CP3 is 100.0 mm too high: look at its target height",
       [](auto& t) { t[2].height_error = 0.1; }},
      {"two names exchanged", "CP1 and CP4 are exchanged: each was read under the other's name",
       [](auto& t) { std::swap(t[0].mark, t[3].mark); }},
      {"three names in a ring",
       "CP1, CP2 and CP3 are exchanged: what was read as CP1 is CP2, as CP2 CP3, as CP3 CP1",
       [](auto& t) {
         const auto first = t[0].mark;
         t[0].mark = t[1].mark, t[1].mark = t[2].mark, t[2].mark = first;
       }},
      {"another control point sighted", "what was sighted as CP2 is not there but",
       [](auto& t) {
         t[1].mark = {1013, 507, 100};
       }},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    auto targets = control();
    row.spoil(targets);
    const Folder job = Folder(observed(targets));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 1);
    CHECK(says(r.err, "DO NOT LAY OUT: setup S1: " + row.said));
    std::string flat;  // the page breaks lines
    for (const char c : r.out) flat += c == '\n' ? ' ' : c;
    CHECK(says(r.out, "  WRONG: "));
    CHECK(table(job, "setup.csv").at(0).at("verdict") == "outside");
    CHECK(job.run({"stake", "."}).exit_code == 1);
  }
}

TEST_CASE("a control point taken for another is recognised where it lies") {
  auto targets = control();
  const Spot cp5{1015, 515, 100};
  targets[1].mark = cp5;
  Folder job = Folder(observed(targets));
  job.write("c.csv", control_table() + "CP5,1015,515,100\n");
  CHECK(says(job.run({"setup", "."}).err, "where CP5 is: was CP5 sighted?"));
}

TEST_CASE("known point, first day in a frame of its own, and a place without readings") {
  auto targets = control();
  targets.erase(targets.begin());
  const Spot over{1020, 500, 101.55};
  const Folder known = Folder(
      observed(targets, kExact, over),
      kJob + "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.55 m\"\nobservations = \"s1.csv\"\n");
  CHECK(known.run().exit_code == 0);
  auto setup = table(known, "setup.csv").at(0);
  CHECK(std::abs(number(setup.at("northing")) - 1020) <= 1e-5);
  // Three circles, distances and heights, two coordinates of the mark, the instrument's height, less four;
  // the mark's and the height's shares are not the sights'.
  CHECK(number(setup.at("redundancy")) > 6);
  CHECK(number(setup.at("redundancy")) < 8);

  const Folder day =
      Folder("", kJob +
                     "[[setup]]\nname = \"D1\"\nat = \"CP1\"\nheight = \"1.55 m\"\norientation = "
                     "\"0°\"\n[[setup]]\nname = \"D2\"\nnorthing = \"1 m\"\neasting = \"2 m\"\n");
  const CommandResult r = day.run();
  CHECK(r.exit_code == 0);
  CHECK(says(r.err, "setups D1, D2 not checked by any other sight"));
  CHECK(says(r.err, "BASELINES NOT CHECKED"));
  const auto rows = table(day, "setup.csv");
  REQUIRE(rows.size() == 2);
  CHECK(number(rows[0].at("orientation")) == 0);
  CHECK(rows[1].at("orientation").empty());
  CHECK(rows[1].at("verdict") == "unsure");
  CHECK(rows[1].at("variance_factor").empty());
  CHECK(day.has("out/stake-D1.csv"));
  CHECK(!day.has("out/stake-D2.csv"));
  CHECK(!day.has("out/shots-D1.csv"));
}

TEST_CASE("gon and packed readings give the same station, and text speaks the job's notation") {
  const Folder degrees = Folder(observed(control()));
  degrees.run();
  std::string gon = "target,face,circle,zenith,slope,height\n";
  for (const auto& row : csv_rows(observed(control())))
    if (row[0] != "target")
      gon += text("%s,%s,%.9f,%.9f,%s,%s\n", row[0].c_str(), row[1].c_str(), number(row[2]) / 0.9,
                  number(row[3]) / 0.9, row[4].c_str(), row[5].c_str());
  std::string toml = kJob + kFree;
  toml.replace(toml.find("\"degrees\""), 9, "\"gon\"");
  const Folder other = Folder(gon, toml);
  CHECK(other.run().exit_code == 0);
  CHECK(other.read("out/setup.csv") == degrees.read("out/setup.csv"));
  CHECK(says(other.run({"stake", "."}).out, "circle in gon"));
  CHECK(says(other.run({"stake", "."}).out, text("azimuth %.4f", kOrientation * 200 / std::numbers::pi)));
}

TEST_CASE("commands print their stage, their table and nothing else") {
  auto targets = control();
  targets.push_back({"1002", {1000, 501, 100}, 0});
  Folder job = Folder(observed(targets), kJob + kFree +
                                             "[[setup]]\nname = \"P1\"\nnorthing = \"1001 m\"\neasting = "
                                             "\"501 m\"\nplan = [\"CP1\", \"CP2\", \"CP3\"]\n");
  const auto before = job.snapshot();
  for (const std::string command : {"setup", "stake", "plan"}) {
    CAPTURE(command);
    const CommandResult shown = job.run({command, "."}), csv = job.run({command, ".", "--csv"});
    CHECK(shown.exit_code == 0);
    check_80_columns(shown.out);
    CHECK(csv.exit_code == 0);
    CHECK(job.run({command, ".", "--quiet"}).out.empty());
    for (const std::string bad : {"->", "<-", "\xE2\x86", "+/-"}) CHECK(!says(shown.out, bad));
    job.run();
    CHECK(csv.out == job.read(command == "setup"   ? "out/setup.csv"
                              : command == "stake" ? "out/stake-S1.csv"
                                                   : "out/plan-P1.csv"));
  }
  CHECK(says(job.run({"stake", "."}).out, "1.600 below the axis"));
  CHECK(says(job.run({"stake", "."}).out, "2.400 above the axis"));
  CHECK(says(job.run({"stake", "."}).out, "[ ] 1001 H1"));
  CHECK(job.run({"stake", ".", "--setup", "s1"}).out == job.run({"stake", ".", "--setup", "S1"}).out);
  const CommandResult unknown = job.run({"stake", ".", "--setup", "S2"});
  CHECK(unknown.exit_code == 2);
  CHECK(says(unknown.err, "found \"S2\", expected a setup of the job (S1, P1)\n"));
  Folder bare = Folder("", kJob);
  for (const std::string command : {"setup", "stake", "plan"}) CHECK(bare.run({command, "."}).exit_code == 2);
  CHECK(before.count("job.toml") == 1);
}

TEST_CASE("a plan says which marks would come out beyond the tolerance") {
  Folder job = Folder("", kJob +
                              "[[setup]]\nname = \"P1\"\nnorthing = \"1004 m\"\neasting = \"503 m\"\nplan "
                              "= [\"CP1\", \"CP2\"]\n[asbuilt]\nplan = \"3 mm\"\n");
  const CommandResult r = job.run({"plan", "."});
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "0 of 10 marks would come out within 3.0 mm"));
  CHECK(says(r.out, "outside from here"));
  job.run();
  for (const auto& row : table(job, "plan-P1.csv")) CHECK(row.at("verdict") == "outside");
  CHECK(!job.has("out/setup.csv"));
  CHECK(!job.has("out/stake-P1.csv"));
}

TEST_CASE("stake sheets: every mark once, whole pages, heads on each, a bad setup says so itself") {
  std::string points = "point,x,y,run\n";
  for (int i = 0; i < 130; ++i)
    points += text("A rather long name %d,%.2f,%.2f,R%d\n", i, 496 + 0.1 * i, 990 + 0.37 * (i % 40), i / 50);
  for (const bool bad : {false, true}) {
    auto targets = control();
    if (bad) targets[1].circle_error = 0.001;
    Folder job = Folder(observed(targets));
    job.write("d.csv", points);
    CHECK(job.run().exit_code == (bad ? 1 : 0));
    const std::string sheets = job.read("out/stake-S1.txt");
    std::size_t pages = 0, boxes = 0, heads = 0;
    for (std::size_t from = 0; from < sheets.size(); ++pages) {
      const std::size_t end = std::min(sheets.find('\f', from), sheets.size());
      const std::string page = sheets.substr(from, end - from);
      check_80_columns(page);
      CHECK(std::ranges::count(page, '\n') == 60);
      CHECK(says(page.substr(0, 80),
                 text("STAKE OUT from setup S1 | sheet %d of ", static_cast<int>(pages + 1))));
      CHECK(says(page, "\nstop and call: ____"));
      CHECK(says(page, "DO NOT STAKE OUT FROM HERE: setup S1 is outside") == bad);
      for (std::size_t at = page.find("\n[ ] "); at != std::string::npos; at = page.find("\n[ ] ", at + 1))
        (says(page.substr(at, 14), "no.") ? heads : boxes) += 1;
      from = end + 1;
    }
    CHECK(pages >= 5);
    CHECK(heads >= pages - 1);
    CHECK(boxes == 2 * 130 + 2 * 4);
    for (int i = 0; i < 130; ++i) CHECK(says(sheets, text("[ ] %d ", 1001 + i)));
    CHECK(says(sheets, "(continued)"));
    const std::string shown = job.run({"stake", "."}).out;
    CHECK(says(shown, "DO NOT STAKE OUT FROM HERE") == bad);
    CHECK(!says(shown, "\f"));
    check_80_columns(shown);
  }
}

TEST_CASE("a setup for which there is nothing is told by its name") {
  const Folder job = Folder(
      observed(control()),
      kJob + kFree +
          "[[setup]]\nname = \"P1\"\nnorthing = \"1 m\"\neasting = \"1 m\"\nplan = [\"CP1\", \"CP2\"]\n");
  CHECK(says(job.run({"stake", ".", "--setup", "P1"}).err,
             "setup: found setup \"P1\", expected a setup with an orientation"));
  CHECK(says(job.run({"plan", ".", "--setup", "S1"}).err,
             "setup: found setup \"S1\", expected a setup with a plan"));
}

TEST_CASE("a side shot that two setups see at two places, and control named like a point, are doubts") {
  const std::string two =
      kJob + kFree +
      "[[setup]]\nname = \"S2\"\nat = \"free\"\nheight = \"1.6 m\"\nobservations = \"s2.csv\"\n";
  for (const double off : {0.0, 0.004, 0.030}) {
    auto first = control(), second = control();
    first.push_back({"W1", {1000, 510, 101}, 0});
    second.push_back({"w1", {1000 + off, 510, 101}, 0});
    Folder job = Folder(observed(first), two);
    job.write("s2.csv", observed(second, kExact, {998, 500, 101.6}, 2));
    const CommandResult r = job.run({"setup", "."});
    CHECK(r.exit_code == (off > 0.006 ? 1 : 0));  // the two setups hang together by W1
    CHECK(
        says(r.err, "doubt: s2.csv:10:1: target: \"w1\" lies 30.0 mm apart as seen from setups S1 and S2") ==
        (off > 0.006));
  }
  Folder job = Folder(observed(control()));
  job.write("d.csv", kPoints + "CP2,502,1001,R2\n");
  CHECK(says(job.run({"setup", "."}).err,
             "s1.csv:4:1: target: \"CP2\" is a control point and a point of the list too"));
}
