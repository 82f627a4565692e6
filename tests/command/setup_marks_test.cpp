// What setups say of their control, and stations by distances alone, through the real program. Raw readings
// come from a simulated world with its own geometry.
#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>

#include "cases_support.h"
#include "simulation/station_world.h"
#include "support/text.h"

using namespace deckmark_test;
using namespace station_test;

namespace {

const Sds kExact{};

std::size_t count_of(const std::string& all, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = all.find(part); at != std::string::npos; at = all.find(part, at + 1)) ++n;
  return n;
}
/// The page breaks lines.
std::string flat(const std::string& out) {
  std::string all;
  for (const char c : out)
    if (c != '\n' && c != ' ')
      all += c;
    else if (all.empty() || all.back() != ' ')
      all += ' ';
  return all;
}
void check_80_columns(const std::string& out) {
  std::size_t from = 0;
  while (from < out.size()) {
    const std::size_t end = std::min(out.find('\n', from), out.size());
    CHECK_MESSAGE(end - from <= 80, out.substr(from, end - from));
    from = end + 1;
  }
}

struct Target {
  std::string name;
  Spot mark;
  double slope_error = 0;
};
std::vector<Target> control() {
  return {{"CP1", {1020, 500, 100}},
          {"CP2", {1000, 525, 100.1}},
          {"CP3", {985, 495, 100.05}},
          {"CP4", {1010, 480, 99.9}},
          {"CP5", {990, 515, 100.2}}};
}
std::string control_table(const std::string& sd = "") {
  std::string rows =
      sd.empty() ? "point,northing,easting,elevation\n" : "point,northing,easting,elevation,sd\n";
  for (const Target& t : control())
    rows += text("%s,%.4f,%.4f,%.4f", t.name.c_str(), t.mark.n, t.mark.e, t.mark.h) +
            (sd.empty() ? "" : "," + sd) + "\n";
  return rows;
}

const Spot kFirst{1004, 503, 101.6}, kSecond{1012, 518, 101.6};

std::string observed(const std::vector<Target>& targets, const Spot& axis, bool circles = true) {
  Noise noise;
  std::string rows =
      circles ? "target,face,circle,zenith,slope,height\n" : "target,face,zenith,slope,height\n";
  for (const Target& t : targets) {
    Shot shot{.target = 0, .mark = t.mark};
    shot.slope_error = t.slope_error;
    for (const Reading& r : read({.axis = axis, .orientation = 0.7}, shot, kExact, 0.13, noise))
      rows += text("%s,%d,", t.name.c_str(), r.face) + (circles ? text("%.9f,", r.circle->degrees()) : "") +
              text("%.9f,%.6f,1.5\n", r.zenith->degrees(), r.slope->metres());
  }
  return rows;
}

const std::string kJob =
    "[drawing]\npoints = \"d.csv\"\nframe = \"site\"\n[site]\ncontrol = \"c.csv\"\n[floor]\nelevation = "
    "\"100 m\"\n"
    "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\ndistance_ppm = 2\n";
std::string setup(int n) {
  return text("[[setup]]\nname = \"S%d\"\nat = \"free\"\nheight = \"1.6 m\"\nobservations = \"s%d.csv\"\n", n,
              n);
}

struct Folder : JobFolder {
  explicit Folder(const std::string& shots, const std::string& toml = kJob + setup(1)) {
    write("job.toml", toml);
    write("d.csv", "point,x,y,run\nH1,500,1000,R1\nH2,501,1000,R1\nH3,510,1020,R1\n");
    write("c.csv", control_table());
    write("s1.csv", shots);
  }
};

/// CP2 moved away from an instrument, and up.
std::vector<Target> struck(double away, double up, const Spot& from = kFirst) {
  auto targets = control();
  Spot& m = targets[1].mark;
  const double n = m.n - from.n, e = m.e - from.e, hd = std::hypot(n, e);
  m.n += away * n / hd, m.e += away * e / hd, m.h += up;
  return targets;
}

}  // namespace

// 2026-11-27: a direction without a distance was multiplied by a distance of 0: `nothing`, `finds 0.0`.
TEST_CASE("directions alone: off and finds stand in millimetres at the target") {
  // The published resection of tests/unit/station/marks_test.cpp.
  Folder job("",
             "[drawing]\npoints = \"d.csv\"\nframe = \"site\"\n[site]\ncontrol = "
             "\"c.csv\"\n[instrument]\nangles = \"degrees\"\n"
             "angle_sd = \"8.1\\\"\"\ndistance_sd = \"2 mm\"\ntarget_sd = 0\n" +
                 setup(1));
  job.write("d.csv", "point,x,y\nH1,8400,76600\n");
  job.write("c.csv",
            "point,northing,easting\nA,78594.91,9498.26\nB,75913.25,10367.59\nC,75306.80,9300.43\n"
            "E,78907.88,7206.65\n");
  job.write("s1.csv",
            "target,face,circle\nA,1,0\nA,2,180\nB,1,80.56971\nB,2,260.56971\nC,1,116.48304\nC,2,296.48304\n"
            "E,1,303.65172\nE,2,123.65172\n");
  const CommandResult r = job.run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(says(flat(r.out), " A circle 68.1 mm right 1.5 0.27 703.5 within "));
  CHECK(says(flat(r.out), " B circle 82.3 mm left 1.5 0.47 491.0 within "));
  CHECK(!says(r.out, "nothing "));
}

TEST_CASE("a numbered mark that is sighted by circle alone is checked across the sight, and that is said") {
  auto targets = control();
  targets.push_back({"1002", {1000, 501.004, 100}});
  std::string shots = observed(targets, kFirst), kept;
  for (const auto& row : csv_rows(shots))
    kept += row[0] + "," + row[1] + "," + row[2] + "," + row[3] + "," + (row[0] == "1002" ? "" : row[4]) +
            "," + row[5] + "\n";
  const CommandResult r = Folder(kept).run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, " mm across the sight alone  within\n"));
  CHECK(!says(Folder(shots).run({"setup", "."}).out, "the sight alone"));
}

// 2026-11-27: a control point that was struck was told as `distance too long, look at its reflector`.
TEST_CASE("a reading or the mark: both are told, the one with a witness first, and what would decide") {
  const auto told = [](const std::vector<Target>& targets) {
    const CommandResult r = Folder(observed(targets, kFirst)).run({"setup", "."});
    CHECK(r.exit_code == 1);
    check_80_columns(r.out);
    return r.err;
  };
  CHECK(says(
      told(struck(0.03, 0)),
      "DO NOT LAY OUT: setup S1: the distance to CP2 is 30.0 mm too long, or CP2 has moved 30.0 mm away from "
      "the instrument: measure it again with another reflector; if it reads the same, look at the mark"));
  CHECK(says(told(struck(-0.03, -0.02)),
             "DO NOT LAY OUT: setup S1: CP2 has moved 30.0 mm towards the instrument and 20.0 mm down, or "
             "the distance "
             "to CP2 is 30.0 mm too short (its height, off too, speaks for the mark): measure it again"));
  auto wrong = control();
  wrong[1].slope_error = 0.03;
  CHECK(says(told(wrong), "setup S1: the distance to CP2 is 30.0 mm too long, or CP2 has moved"));
  wrong[1].slope_error = 1;  // no mark is struck by that
  CHECK(says(told(wrong),
             "1.0000 m too long, or the coordinates of CP2 are off by 1.0000 m away from the instrument"));
  // across: a direction
  auto across = control();
  across[1].mark.n += 0.02 * 22 / 22.361, across[1].mark.e += 0.02 * 4 / 22.361;
  CHECK(says(told(across), "or CP2 has moved 20.0 mm to the left as seen from here: sight it again"));
}

TEST_CASE("two setups that sighted the mark: the second decides") {
  for (const bool moved : {true, false}) {
    auto first = moved ? struck(0.03, 0) : control(), second = moved ? struck(0.03, 0) : control();
    if (!moved) first[1].slope_error = 0.03;
    Folder job(observed(first, kFirst), kJob + setup(1) + setup(2));
    job.write("s2.csv", observed(second, kSecond));
    const CommandResult r = job.run({"setup", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 1);
    if (moved)
      CHECK(says(r.err,
                 "DO NOT LAY OUT: control point CP2 has moved 30.0 mm, to N 999.995 E 525.030 m, where "
                 "setups S1 and "
                 "S2 see it; take it out of the control, or give it that place\n"));
    else
      CHECK(
          says(r.err,
               "the distance to CP2 is 30.0 mm too long (setup S2 sees CP2 in its place): measure it again"));
  }
}

TEST_CASE("suspects are sights, each with its mark") {
  auto two = control();
  two.resize(2);
  two[1].slope_error = 0.05;
  const std::string err = Folder(observed(two, kFirst)).run({"setup", "."}).err;
  CHECK(says(err, "these sights cannot tell which: "));
  CHECK(says(err, "the distance to CP1, or its mark; or the distance to CP2, or its mark; or all distances"));
}

TEST_CASE("control that states no sd: what it hides is said once, for this job") {
  Folder job(observed(control(), kFirst), kJob + setup(1) + setup(2));
  job.write("s2.csv", observed(control(), kSecond));
  const CommandResult r = job.run({"setup", "."});
  CHECK(r.exit_code == 0);
  check_80_columns(r.out);
  const std::string all = flat(r.out);
  CHECK(count_of(all, "control that states no sd is held as exact") == 1);
  const std::size_t at = all.find("the orientation of S");
  REQUIRE(at != std::string::npos);
  // The mark that lies farthest: N 1020 E 510 from the first, N 1000 E 500 from the second.
  const bool first = says(all, "the orientation of S1");
  CHECK(says(all, first
                      ? text("a mark at 1003, %.3f m away", std::hypot(1020 - kFirst.n, 510 - kFirst.e))
                      : text("a mark at 1001, %.3f m away", std::hypot(1000 - kSecond.n, 500 - kSecond.e))));
  CHECK(job.run().exit_code == 0);
  CHECK(count_of(flat(job.read("out/summary.txt")), "control that states no sd is held as exact") == 1);
  job.write("c.csv", control_table("0.001"));
  CHECK(!says(job.run({"setup", "."}).out, "held as exact"));
  job.write("c.csv", control_table("0"));  // a statement too
  CHECK(!says(job.run({"setup", "."}).out, "held as exact"));
}

TEST_CASE(
    "distances alone: a place without an orientation, no stake list, no side shots, and all that is said") {
  auto targets = control();
  targets.push_back({"W1", {1000, 510, 101}});
  targets.push_back({"1002", {1000, 501, 100}});
  const Folder job(observed(targets, kFirst, false));
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  const auto row = named_rows(job.read("out/setup.csv")).at(0);
  CHECK(std::abs(number(row.at("northing")) - kFirst.n) <= 1e-5);
  CHECK(std::abs(number(row.at("easting")) - kFirst.e) <= 1e-5);
  CHECK(std::abs(number(row.at("elevation")) - 100) <= 1e-5);
  CHECK(row.at("orientation").empty());
  CHECK(row.at("sd_orientation").empty());
  CHECK(row.at("redundancy") == "7.0000");  // five distances, two unknowns
  CHECK(row.at("verdict") == "within");
  CHECK(!job.has("out/stake-S1.csv"));
  for (const auto& s : named_rows(job.read("out/sights.csv"))) CHECK(s.at("quantity") != "circle");
  CHECK(says(r.err,
             "distances alone tell its place and no orientation: no stake list and no side shots from here"));
  CHECK(says(r.err,
             "setup S1: nothing tells its orientation, so these get no coordinates and no check: W1, 1002"));
  CHECK(!says(r.err, "no coordinates without a distance"));
  CHECK(!says(r.err, "one face"));
  CHECK(says(r.out, "no orientation is known"));

  // one circle to control turns it; the side shot that lacks one is told
  std::string one = observed(targets, kFirst);
  std::string kept;
  for (const auto& cells : csv_rows(one))
    kept += cells[0] + "," + cells[1] + "," + (cells[0] == "CP1" || cells[0] == "target" ? cells[2] : "") +
            "," + cells[3] + "," + cells[4] + "," + cells[5] + "\n";
  const Folder turned(kept);
  const CommandResult t = turned.run();
  CAPTURE(t.err);
  CHECK(t.exit_code == 0);
  CHECK(std::abs(number(named_rows(turned.read("out/setup.csv")).at(0).at("orientation")) -
                 0.7 * 180 / std::numbers::pi) < 1e-5);
  CHECK(turned.has("out/stake-S1.csv"));
  CHECK(says(t.err, "setup S1: no coordinates without a circle reading: W1"));
  CHECK(says(t.out, " mm along the sight alone  within\n"));
}

TEST_CASE("two distances: both places are told, and what would decide") {
  auto two = control();
  two.resize(2);
  const Folder job(observed(two, kFirst, false));
  const CommandResult r = job.run({"setup", "."});
  CHECK(r.exit_code == 2);
  CHECK(says(r.err, "s1.csv: file: found setup \"S1\", which may stand at N "));
  CHECK(says(r.err, "N 1004.000 E 503.000 m"));
  CHECK(says(r.err, ", or at N "));
  CHECK(says(r.err,
             "expected one more target, or the circle or the distance to one that lacks it; or northing"));
  // the rough place, in place of at
  std::string toml = kJob + setup(1);
  toml.replace(toml.find("at = \"free\""), 11, "northing = \"1005 m\"\neasting = \"502 m\"\nsd = \"1 m\"");
  const CommandResult rough = Folder(observed(two, kFirst, false), toml).run({"setup", ".", "--csv"});
  CAPTURE(rough.err);
  CHECK(rough.exit_code == 0);
  CHECK(std::abs(number(named_rows(rough.out).at(0).at("northing")) - 1004) < 1e-4);
  two[1].slope_error = -15;
  const CommandResult apart = Folder(observed(two, kFirst, false)).run({"setup", "."});
  CHECK(apart.exit_code == 2);
  CHECK(says(apart.err, "found setup \"S1\", whose two distances do not meet"));
}

// 2026-11-27: `distance` was answered with `distance_sd is`, under which 25 m was an sd and no distance was
// read.
TEST_CASE("a column distance is answered with slope, and an sd of metres is doubted") {
  std::string shots = observed(control(), kFirst);
  shots.replace(shots.find("slope"), 5, "distance");
  const CommandResult r = Folder(shots).run({"setup", "."});
  CHECK(says(r.err, "column \"distance\" is not known and not used; slope is"));
  CHECK(!says(r.err, "distance_sd"));
  std::string bare = observed(control(), kFirst, false);
  bare.replace(bare.find("slope"), 5, "distance");
  const CommandResult none = Folder(bare).run({"setup", "."});
  CHECK(none.exit_code == 2);
  CHECK(
      says(none.err,
           "s1.csv:1:1: header: found columns \"target, face, zenith, distance, height\", expected "
           "observations column circle, slope or horizontal beside zenith; try slope in place of distance"));
  for (const auto& [sd, doubted] : {std::pair{"0.010", false}, {"0.011", true}, {"25.3", true}}) {
    CAPTURE(sd);
    std::string with = "target,face,circle,zenith,slope,height,distance_sd\n";
    for (const auto& row : csv_rows(observed(control(), kFirst)))
      if (row[0] != "target")
        with += row[0] + "," + row[1] + "," + row[2] + "," + row[3] + "," + row[4] + "," + row[5] + "," + sd +
                "\n";
    const std::string err = Folder(with).run({"setup", "."}).err;
    CHECK(says(err, "A distance that was read goes under slope") == doubted);
  }
}
