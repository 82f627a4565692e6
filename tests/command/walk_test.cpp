// The way that a stake sheet tells: both lengths are held against the coordinates of points.csv in the order
// of the stake list, by a sum of this file's own.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <utility>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// A length on the sheet, and 20,000 places of points.csv, to their last digits.
constexpr double kPrinted = 0.01;

/// `count` runs of as many marks 2.4 m apart, each a little off its place along the run.
void grid_job(JobFolder& job, int count, const std::string& order) {
  job.write("job.toml",
            "[drawing]\npoints = \"d.csv\"\n[baselines]\nties = \"t.csv\"\n"
            "[floor]\nelevation = \"0 m\"\n[deck]\nelevation = \"4 m\"\n"
            "[numbers]\ndeck_offset = 20000\n[instrument]\nangles = \"degrees\"\nangle_sd = "
            "\"2\\\"\"\ndistance_sd = \"2 mm\"\n"
            "[stake]\norder = \"" +
                order +
                "\"\n[[setup]]\nname = \"S1\"\nnorthing = \"-3 m\"\neasting = \"-2 m\"\n"
                "elevation = \"0 m\"\nsd = \"1 mm\"\nheight = \"1.5 m\"\norientation = \"0°\"\n");
  job.write("t.csv",
            "mark,x,y,northing,easting\nB1,0,0,0,0\nB2,200,0,0,200\nB3,0,200,200,0\nB4,200,200,200,200\n");
  std::string points = "point,x,y,run\n";
  unsigned seed = 1;
  for (int r = 0; r < count; ++r)
    for (int m = 0; m < count; ++m) {
      seed = seed * 1103515245U + 12345U;
      points +=
          text("P%d-%d,%.4f,%.4f,R%d\n", r, m, 2.4 * m + 0.6 * ((seed >> 16U) % 1000) / 1000.0, 2.4 * r, r);
    }
  job.write("d.csv", points);
}

/// The sum of the way through the stake list, from the instrument.
double way_of(const JobFolder& job) {
  std::map<std::string, std::pair<double, double>> at;
  for (const auto& row : named_rows(job.read("out/points.csv")))
    at[row.at("point")] = {std::atof(row.at("northing").c_str()), std::atof(row.at("easting").c_str())};
  std::pair<double, double> from{-3, -2};
  double sum = 0;
  std::size_t marks = 0;
  for (const auto& row : csv_rows(job.read("out/stake-S1.csv"))) {
    if (row[2] != "floor" && row[2] != "deck") continue;
    const auto& to = at.at(row[1]);
    sum += std::hypot(to.first - from.first, to.second - from.second);
    from = to;
    ++marks;
  }
  REQUIRE(marks == 2 * at.size());
  return sum;
}

double told(const std::string& sheet, const std::string& before) {
  const auto at = sheet.find(before);
  CAPTURE(sheet.substr(0, 2000));
  CAPTURE(before);
  REQUIRE(at != std::string::npos);
  return std::atof(sheet.c_str() + at + before.size());
}

}  // namespace

// 2026-11-27: see tests/unit/station/walk_test.cpp; over floor and deck together too, where the walk over the
// floor ends elsewhere than run by run does.
TEST_CASE("a stake sheet tells both ways as they are, and the shortest is never the longer") {
  for (const int count : {4, 11, 30, 100}) {
    CAPTURE(count);
    std::map<std::string, double> way;
    std::map<std::string, std::string> sheet;
    for (const std::string order : {"run", "walk"}) {
      JobFolder job;
      grid_job(job, count, order);
      const CommandResult r = job.run();
      CAPTURE(r.err);
      REQUIRE(r.exit_code == 0);
      way[order] = way_of(job);
      sheet[order] = job.read("out/stake-S1.txt");
    }
    CHECK(way["walk"] <= way["run"] + 1e-6);
    CHECK(std::fabs(told(sheet["run"], "through all marks, run by run: ") - way["run"]) < kPrinted);
    CHECK(std::fabs(told(sheet["walk"], "through all marks, the shortest walk found: ") - way["walk"]) <
          kPrinted);
    if (way["walk"] < way["run"] - 0.01) {
      CHECK(std::fabs(told(sheet["run"], "the shortest walk found is ") - way["walk"]) < kPrinted);
      CHECK(std::fabs(told(sheet["walk"], "run by run it would be ") - way["run"]) < kPrinted);
    } else {
      CHECK(sheet["run"].find("no shorter walk was found") != std::string::npos);
      CHECK(sheet["walk"].find("which is run by run") != std::string::npos);
    }
  }
}
