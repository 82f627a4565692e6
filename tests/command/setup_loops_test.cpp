// Full circles through the real program's files, figures printed: readings without noise give the station
// back, and what a stake list says, keyed in as if it had been read, gives the design point back.
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
/// Half the last digit of a length in a table.
constexpr double kPrinted = 0.5e-5;

const std::string kInstrument =
    "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\ndistance_ppm = 2\n";

/// The largest misses of a set of jobs.
struct Worst {
  double plan = 0, height = 0, turn = 0;  // m, m, arc seconds
  void take(double p, double h, double t = 0) {
    plan = std::max(plan, p), height = std::max(height, h), turn = std::max(turn, t);
  }
};

/// One setup somewhere on a site of that size, read without noise; over its first control point, or free.
void read_exactly(Noise& noise, double size, bool known, Worst& worst) {
  const double n0 = 4500000, e0 = 300000;
  Instrument in{.axis = {n0 + size * noise.uniform(-0.3, 0.3), e0 + size * noise.uniform(-0.3, 0.3), 50},
                .orientation = noise.uniform(0, 6.28),
                .collimation = 5e-5,
                .index = -3e-5};
  in.axis.n = std::round(in.axis.n * 1e4) / 1e4, in.axis.e = std::round(in.axis.e * 1e4) / 1e4;
  const double ground = 48.4;
  std::string control =
      text("point,northing,easting,elevation\nST,%.4f,%.4f,%.4f\n", in.axis.n, in.axis.e, ground);
  std::string rows = "target,face,circle,zenith,slope,height\n";
  for (std::size_t t = 0; t < 4; ++t) {
    const double way = 1.57 * static_cast<double>(t) + noise.uniform(-0.5, 0.5),
                 far = size * noise.uniform(0.3, 1);
    Spot spot{in.axis.n + far * std::cos(way), in.axis.e + far * std::sin(way),
              50 + size * noise.uniform(-0.2, 0.2)};
    for (double* v : {&spot.n, &spot.e, &spot.h}) *v = std::round(*v * 1e4) / 1e4;
    control += text("C%d,%.4f,%.4f,%.4f\n", static_cast<int>(t), spot.n, spot.e, spot.h);
    for (const Reading& r : read(in, {.target = t, .mark = spot}, kExact, 0.13, noise))
      rows += text("C%d,%d,%.10f,%.10f,%.7f,1.5\n", static_cast<int>(t), r.face, r.circle->degrees(),
                   r.zenith->degrees(), r.slope->metres());
  }
  JobFolder job;
  job.write("job.toml",
            "drawing.points = \"d.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = \"c.csv\"\n" +
                kInstrument + "[[setup]]\nname = \"S1\"\nat = \"" + (known ? "ST" : "free") +
                "\"\nheight = \"1.6 m\"\nobservations = \"s.csv\"\n");
  job.write("d.csv", "point,x,y\nP1,300000,4500000\n");
  job.write("c.csv", control);
  job.write("s.csv", rows);
  const CommandResult r = job.run({"setup", ".", "--csv"});
  CAPTURE(r.err);
  REQUIRE(r.exit_code == 0);
  const auto found = named_rows(r.out).at(0);
  const double turn =
      std::remainder(number(found.at("orientation")) - in.orientation * 180 / std::numbers::pi, 360) * 3600;
  worst.take(std::hypot(number(found.at("northing")) - in.axis.n, number(found.at("easting")) - in.axis.e),
             std::fabs(number(found.at("elevation")) - ground), std::fabs(turn));
}

}  // namespace

TEST_CASE("readings without noise reduce back to the station, as the program prints it") {
  Noise noise;
  for (const bool known : {false, true}) {
    Worst worst;
    for (const double size : {8.0, 60.0, 500.0})
      for (int k = 0; k < 4; ++k) read_exactly(noise, size, known, worst);
    MESSAGE(std::string(known ? "known point" : "free station")
            << ", 12 setups, sights 2 m to 500 m: plan " << worst.plan * 1000 << " mm, elevation "
            << worst.height * 1000 << " mm, orientation " << worst.turn << " seconds");
    CHECK(worst.plan <= 1e-5);
    CHECK(worst.height <= 1e-5);
    CHECK(worst.turn <= 0.01);
  }
}

TEST_CASE(
    "a stake list keyed in as readings gives the design points back, to 500 m and zenith 5 to 175 degrees") {
  Worst worst;
  double farthest = 0, steepest = 90, lowest = 90;
  std::size_t points = 0;
  for (const double up : {0.5, 6.0, 40.0, 200.0, 497.0}) {
    // The axis is as far above the floor as under the deck; x is easting, y northing.
    std::string drawing = "point,x,y\n";
    int number_of = 0;
    for (const double hd : {2.5, 12.0, 43.7, 150.0, 300.0, 450.0, 499.9})
      for (const double way : {0.3, 1.9, 4.4}) {
        const double zenith = std::atan2(hd, up) * 180 / std::numbers::pi;
        if (std::hypot(hd, up) > 500 || zenith < 5) continue;
        drawing += text("H%d,%.5f,%.5f\n", ++number_of, 3000 + hd * std::sin(way), 7000 + hd * std::cos(way));
      }
    const std::string head =
        "drawing.points = \"d.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = "
        "\"c.csv\"\n[floor]\nelevation = \"1000 "
        "m\"\n[deck]\nelevation = " +
        text("\"%.3f m\"\n", 1000 + 2 * up) + kInstrument +
        text(
            "[[setup]]\nname = \"S1\"\nnorthing = \"7000 m\"\neasting = \"3000 m\"\nelevation = \"%.3f m\"\n"
            "height = \"0.25 m\"\norientation = \"217.3°\"\n",
            1000 + up - 0.25);
    JobFolder job;
    job.write("d.csv", drawing);
    job.write("c.csv", "point,northing,easting,elevation\nCP1,7010,3000,1000\nCP2,7000,3020,1000\n");
    job.write("job.toml", head);
    REQUIRE(job.run().exit_code == 0);
    // The names get a mark in front, so that they are side shots and no checks of the numbered points.
    std::string readings = "target,circle,zenith,slope\n";
    std::map<std::string, std::string> level;
    for (const auto& row : named_rows(job.read("out/stake-S1.csv"))) {
      const std::string name = "as-" + row.at("number");
      readings += name + "," + row.at("circle") + "," + row.at("zenith") + "," + row.at("slope") + "\n";
      farthest = std::max(farthest, number(row.at("slope")));
      steepest = std::min(steepest, number(row.at("zenith"))),
      lowest = std::max(lowest, number(row.at("zenith")));
    }
    job.write("s.csv", readings);
    job.write("job.toml", head + "observations = \"s.csv\"\n");
    const CommandResult again = job.run();
    CAPTURE(again.err);
    REQUIRE(again.exit_code == 0);
    std::map<std::string, std::map<std::string, std::string>> shots;
    for (const auto& row : named_rows(job.read("out/shots-S1.csv"))) shots[row.at("target")] = row;
    for (const auto& row : named_rows(job.read("out/points.csv")))
      for (const bool deck : {false, true}) {
        const auto& shot =
            shots.at("as-" + text("%d", std::atoi(row.at("number").c_str()) + (deck ? 5000 : 0)));
        worst.take(std::hypot(number(shot.at("northing")) - number(row.at("northing")),
                              number(shot.at("easting")) - number(row.at("easting"))),
                   std::fabs(number(shot.at("elevation")) -
                             number(row.at(deck ? "deck_elevation" : "floor_elevation"))));
        ++points;
      }
  }
  MESSAGE(points << " points, slopes to " << farthest << " m, zenith " << steepest << " to " << lowest
                 << " degrees: plan " << worst.plan * 1000 << " mm, elevation " << worst.height * 1000
                 << " mm");
  CHECK(points > 100);
  CHECK(farthest > 498);
  CHECK(steepest < 6);
  CHECK(lowest > 174);
  // 0.01 mm, and what the written places of the list and of both tables round away.
  CHECK(worst.plan <= 1e-5 + 2 * kPrinted);
  CHECK(worst.height <= 1e-5 + kPrinted);
}
