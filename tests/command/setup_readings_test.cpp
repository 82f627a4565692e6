// Rows of observations with horizontal distances and sds of their own, without curvature, and without a
// drawing, through the real program. Raw readings come from a simulated world with its own geometry.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "cases_support.h"
#include "simulation/station_world.h"
#include "support/text.h"

using namespace deckmark_test;
using namespace station_test;

namespace {

struct Target {
  std::string name;
  Spot mark;
};
const Spot kAxis{1004, 503, 101.6};
std::vector<Target> targets() {
  return {{"CP1", {1320, 500, 100}},
          {"CP2", {1000, 825, 130}},
          {"CP3", {785, 495, 60}},
          {"W1", {1100, 700, 112}}};
}
std::string control_table() {
  std::string rows = "point,northing,easting,elevation\n";
  for (const Target& t : targets())
    if (t.name != "W1") rows += text("%s,%.4f,%.4f,%.4f\n", t.name.c_str(), t.mark.n, t.mark.e, t.mark.h);
  return rows;
}

std::vector<std::pair<std::string, Reading>> readings(double refraction) {
  Noise noise;
  std::vector<std::pair<std::string, Reading>> out;
  for (const Target& t : targets())
    for (const Reading& r :
         read({.axis = kAxis, .orientation = 0.7}, {.mark = t.mark}, Sds{}, refraction, noise))
      out.emplace_back(t.name, r);
  return out;
}

const std::string kJob =
    "[site]\ncontrol = \"c.csv\"\n[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = "
    "\"2 mm\"\n";
const std::string kSetup =
    "[[setup]]\nname = \"S1\"\nat = \"free\"\nheight = \"1.6 m\"\nobservations = \"s1.csv\"\n";

struct Folder : JobFolder {
  Folder(const std::string& toml, const std::string& shots) {
    write("job.toml", toml);
    write("c.csv", control_table());
    write("s1.csv", shots);
  }
};

}  // namespace

TEST_CASE("setup, plan and run need no drawing; what needs one says so") {
  Folder job(kJob +
                 "[[setup]]\nname = \"S1\"\nat = \"free\"\nobservations = \"s1.csv\"\n[[setup]]\nname = "
                 "\"P\"\nnorthing = \"1004 m\"\neasting = \"503 m\"\nplan = [\"CP1\", \"CP2\"]\n",
             "target,circle,zenith,slope\n");
  std::string rows = "target,face,circle,zenith,slope,height\n";
  for (const auto& [name, r] : readings(0.13))
    rows += text("%s,%d,%.9f,%.9f,%.6f,1.5\n", name.c_str(), r.face, r.circle->degrees(), r.zenith->degrees(),
                 r.slope->metres());
  job.write("s1.csv", rows);
  for (const char* command : {"setup", "plan", "run"}) {
    CAPTURE(command);
    const CommandResult r = job.run({command, "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(!says(r.err, "drawing.points"));
  }
  CHECK(job.has("out/setup.csv"));
  CHECK(job.has("out/shots-S1.csv"));
  const CommandResult stake = job.run({"stake", "."});
  CHECK(stake.exit_code == 2);
  CHECK(says(stake.err, "job.toml: drawing.points: found no table of points"));
}

TEST_CASE("horizontal distances give the place and the heights that slopes give") {
  struct Row {
    std::string what, key;
    double refraction;  // with which the readings were made
    bool horizontal, by_faces;
  };
  const std::vector<Target> all = targets();
  for (const Row& row : {Row{"slopes", "", 0.13, false, false}, Row{"horizontal", "", 0.13, true, false},
                         Row{"slope in face 1, horizontal in face 2", "", 0.13, true, true},
                         Row{"another coefficient", "refraction = 0.2\n", 0.2, true, false}}) {
    CAPTURE(row.what);
    std::string rows = "target,face,circle,zenith,slope,horizontal,height\n";
    for (const auto& [name, r] : readings(row.refraction)) {
      const auto at = std::ranges::find(all, name, &Target::name);
      const double hd = std::hypot(at->mark.n - kAxis.n, at->mark.e - kAxis.e);
      const bool is_slope = !row.horizontal || (row.by_faces && r.face == 1);
      rows += text("%s,%d,%.9f,%.9f,", name.c_str(), r.face, r.circle->degrees(), r.zenith->degrees()) +
              (is_slope ? text("%.6f,,1.5\n", r.slope->metres()) : text(",%.6f,1.5\n", hd));
    }
    Folder job(kJob + row.key + kSetup, rows);
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    const auto setup = named_rows(job.read("out/setup.csv")).at(0);
    CHECK(std::abs(number(setup.at("northing")) - kAxis.n) <= 1e-5);
    CHECK(std::abs(number(setup.at("easting")) - kAxis.e) <= 1e-5);
    CHECK(std::abs(number(setup.at("elevation")) - 100) <= 2e-5);
    const auto shot = named_rows(job.read("out/shots-S1.csv")).at(0);
    CHECK(shot.at("target") == "W1");
    CHECK(std::abs(number(shot.at("northing")) - 1100) <= 2e-5);
    CHECK(std::abs(number(shot.at("easting")) - 700) <= 2e-5);
    CHECK(std::abs(number(shot.at("elevation")) - 112) <= 2e-5);
  }
}

TEST_CASE("without curvature and refraction a far sight is a plain triangle") {
  // 300 m level: 300^2 / (2 R) = 7.06 mm, of which refraction takes 13 %
  const std::string shots = "target,circle,zenith,slope\nA,0,90,300\nB,90,90,300\n";
  const std::string control = "point,northing,easting,elevation\nA,300,0,50\nB,0,300,50\n";
  for (const auto& [key, want] : {std::pair<std::string, double>{"refraction = \"none\"\n", 50},
                                  {"refraction = 0\n", 50 - 0.00706},
                                  {"", 50 - 0.00706 * 0.87}}) {
    CAPTURE(key);
    Folder job(
        kJob + key + "[[setup]]\nname = \"S1\"\nat = \"free\"\nheight = 0\nobservations = \"s1.csv\"\n",
        shots);
    job.write("c.csv", control);
    CHECK(job.run().exit_code == 0);
    CHECK(std::abs(number(named_rows(job.read("out/setup.csv")).at(0).at("elevation")) - want) <= 2e-5);
  }
}

TEST_CASE("the sd of a reading is that of its own face") {
  struct Row {
    std::string what, rows;
    double sd;         // of the orientation, seconds
    std::string said;  // of one face
  };
  // over CP1, one direction; centring and target are exact
  for (const Row& row : {Row{"none stated, one face", "CP2,1,90,\n", 2 * std::sqrt(2.0),
                             "only, so good to 1.4 times the stated sd, collimation not taken out: CP2"},
                         Row{"none stated, both faces", "CP2,1,90,\nCP2,2,270,\n", 2, ""},
                         Row{"one face", "CP2,1,90,0-00-05\n", 5, "only, collimation not taken out: CP2"},
                         Row{"both faces", "CP2,1,90,0-00-06\nCP2,2,270,0-00-08\n", 5, ""},
                         Row{"two rounds of one face", "CP2,1,90,0-00-06\nCP2,1,90,0-00-08\n", 4.8,
                             "only, collimation not taken out: CP2"}}) {
    CAPTURE(row.what);
    Folder job(kJob +
                   "centring_sd = 0\ntarget_sd = 0\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\nobservations = "
                   "\"s1.csv\"\n",
               "target,face,circle,circle_sd\n" + row.rows);
    job.write("c.csv", "point,northing,easting\nCP1,0,0\nCP2,0,100\n");
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(says(r.err, "read in one face " + row.said) == !row.said.empty());
    const auto setup = named_rows(job.read("out/setup.csv")).at(0);
    CHECK(number(setup.at("sd_orientation")) * 3600 == doctest::Approx(row.sd).epsilon(0.01));
  }
}
