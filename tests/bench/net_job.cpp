// A whole job: 40 setups of 20 sights each, 500 points, ties by name from what was sighted, 5,000 hangers.
// The answer before the time.
#include <doctest/doctest.h>

#include <chrono>

#include "command/job_folder.h"
#include "simulation/net_world.h"
#include "support/text.h"

using namespace net_test;
using deckmark_test::CommandResult;
using deckmark_test::JobFolder;
using deckmark_test::text;

namespace {

constexpr std::size_t kSetups = 40, kPoints = 500, kSights = 20, kControl = 12, kTies = 8, kHangers = 5000;

std::string name_of(std::size_t point) {
  return point < kControl           ? text("CP%zu", point)
         : point < kControl + kTies ? text("T%zu", point - kControl)
                                    : text("P%zu", point);
}

/// The building lies square on the site, its origin at 1000, 2000.
constexpr double kNorth = 1000, kEast = 2000;

void write_job(JobFolder& job) {
  Noise noise;
  NetWorld world(noise, ordinary_gear());
  for (std::size_t i = 0; i < kControl; ++i) {
    const double way = 2 * std::numbers::pi * static_cast<double>(i) / kControl;
    world.add_control({kNorth + 60 * std::cos(way), kEast + 40 * std::sin(way), 100}, 0.001);
  }
  for (std::size_t i = 0; i < kPoints; ++i)
    world.add_point(
        {kNorth + noise.uniform(-55, 55), kEast + noise.uniform(-35, 35), 100 + noise.uniform(0, 4)});
  std::string control = "point,northing,easting,elevation,sd\n";
  for (std::size_t i = 0; i < kControl; ++i) {
    const deckmark::ControlMark& c = *world.stated(i);
    control += text("CP%zu,%.5f,%.5f,%.5f,0.001\n", i, c.at.at.northing.metres(), c.at.at.easting.metres(),
                    c.elevation->above_datum().metres());
  }
  job.write("control.csv", control);
  std::string ties = "mark,x,y,northing,easting\n";
  for (std::size_t i = kControl; i < kControl + kTies; ++i)  // +X to the north: +Y to the west
    ties += text("%s,%.4f,%.4f,,\n", name_of(i).c_str(), world.truth(i).n - kNorth, kEast - world.truth(i).e);
  job.write("ties.csv", ties);
  std::string drawing = "point,x,y,run\n";
  for (std::size_t i = 0; i < kHangers; ++i)
    drawing += text("H%zu,%.3f,%.3f,R%zu\n", i, -50 + 1.2 * static_cast<double>(i % 80),
                    -30 + 0.95 * static_cast<double>(i / 80), i / 80);
  job.write("drawing.csv", drawing);
  std::string toml =
      "[drawing]\npoints = \"drawing.csv\"\nunit = \"m\"\n[site]\ncontrol = "
      "\"control.csv\"\n[baselines]\nties = "
      "\"ties.csv\"\n[floor]\nelevation = \"100 m\"\n[deck]\nelevation = \"104 m\"\n[numbers]\ndeck_offset = "
      "10000\n[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\ndistance_ppm "
      "= 2\n";
  std::size_t next = 0;
  for (std::size_t s = 0; s < kSetups; ++s) {
    world.stand_at({kNorth + noise.uniform(-40, 40), kEast + noise.uniform(-25, 25), 100});
    for (std::size_t k = 0; k < kSights; ++k)
      world.sight(s, k < 4 ? (s + 3 * k) % kControl : kControl + next++ % kPoints);
    std::string rows = "target,face,circle,zenith,slope,height\n";
    for (const deckmark::Reading& r : world.standing(s).readings)
      rows += text("%s,%d,%.6f,%.6f,%.5f,%.3f\n", name_of(r.target).c_str(), r.face, r.circle->degrees(),
                   r.zenith->degrees(), r.slope->metres(), r.target_height.metres());
    job.write(text("s%zu.csv", s), rows);
    toml +=
        text("[[setup]]\nname = \"S%zu\"\nat = \"free\"\nheight = \"1.55 m\"\nobservations = \"s%zu.csv\"\n",
             s, s);
  }
  job.write("job.toml", toml);
}

}  // namespace

TEST_CASE("a job of 40 setups, 500 points and 5,000 hangers") {
  JobFolder job;
  write_job(job);
  double best = 1e9;
  CommandResult r;
  for (int k = 0; k < 3; ++k) {
    const auto begin = std::chrono::steady_clock::now();
    r = job.run({"run", "."});
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
  }
  CAPTURE(r.err);
  MESSAGE(deckmark_test::first_line(r.out));
  MESSAGE("the whole job " << 1000 * best << " ms");
  CHECK(r.exit_code <= 1);
  CHECK(deckmark_test::named_rows(job.read("out/points.csv")).size() == kHangers);
  CHECK(deckmark_test::named_rows(job.read("out/setup.csv")).size() == kSetups);
  CHECK(best < 0.5);
}
