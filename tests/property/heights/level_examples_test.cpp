// Worked examples of levelling through the whole program: published elevations from a line of sight, the
// curvature that is not applied, and lines whose closure a hand shares out.
#include <doctest/doctest.h>

#include <cmath>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"
#include "support/vector_file.h"

using namespace deckmark_test;

namespace {

constexpr double kDegree = 3.14159265358979323846 / 180;

/// `4:24:10` or `-6:00:25`, in degrees.
double angle_of(const std::string& text) {
  const bool minus = text[0] == '-';
  double degrees = 0, minutes = 0, seconds = 0;
  REQUIRE(std::sscanf(text.c_str() + (minus ? 1 : 0), "%lf:%lf:%lf", &degrees, &minutes, &seconds) == 3);
  const double size = degrees + minutes / 60 + seconds / 3600;
  return minus ? -size : size;
}

std::map<std::string, double> elevations_of(const StaffJob& job, CommandResult& ran) {
  JobFolder folder;
  write_staff_job(folder, job);
  ran = folder.run();
  REQUIRE_MESSAGE(ran.exit_code <= 1, ran.err);
  std::map<std::string, double> out;
  for (const auto& row : named_rows(folder.read("out/heights.csv")))
    out[row.at("point")] = number(row.at("elevation"));
  return out;
}

StaffJob floor_alone(const SiteUnit& unit) {
  StaffJob job;
  job.unit = unit;
  job.floor = stated(0, unit);
  job.points = {{"P1", 0, 0}};
  return job;
}

}  // namespace

TEST_CASE(
    "published elevations: the sight's rise over the line of the instrument is a minus reading of a staff") {
  std::size_t rows = 0;
  for (const auto& row : read_vectors("vectors/reference/levelling_tape_examples.csv")) {
    if (row.at("calc") != "trig_level" || row.at("output") != "elev") continue;
    CAPTURE(row.at("id"));
    ++rows;
    auto in = split_inputs(row.at("inputs"));
    const double rise = number(in["S"]) * std::sin(angle_of(in["va"]) * kDegree);
    StaffJob job = floor_alone(kFeet);
    const double foot = job.unit.metres;
    const std::size_t bench = job.add_benchmark("BM1", number(in["elev"]) * foot),
                      target = job.add_free("A", 0);
    job.setups = {"S1"};
    job.add_level(0, bench, true, number(in["hi"]) * foot);
    job.add_level(0, target, false, (number(in["hr"]) - rise) * foot);
    CommandResult ran;
    const double got = elevations_of(job, ran)["A"];
    CHECK(std::abs(got - number(row.at("expected"))) <= number(row.at("tol")));
  }
  CHECK(rows == 3);
}

TEST_CASE(
    "curvature is not applied, and what it would be at the longest sight without a doubt is under 1 mm") {
  double per_square = 0;  // m over the square of km, as published
  for (const auto& row : read_vectors("vectors/reference/levelling_tape_examples.csv"))
    if (row.at("calc") == "curv" && row.at("output") == "c" && row.at("id") == "LEV-01")
      per_square = number(row.at("expected"));
  REQUIRE(per_square == doctest::Approx(0.0785));
  for (const double distance : {100.0, 101.0, 1000.0}) {
    CAPTURE(distance);
    StaffJob job = floor_alone(kMetres);
    const std::size_t bench = job.add_benchmark("BM1", 10), target = job.add_free("A", 0);
    job.setups = {"S1"};
    job.add_level(0, bench, true, 1.5, 5);
    job.add_level(0, target, false, 1.25, distance);
    CommandResult ran;
    CHECK(elevations_of(job, ran)["A"] == doctest::Approx(10.25).epsilon(1e-9));
    CHECK(says(ran.err, "100 m") == (distance > 100));
    if (distance <= 100) CHECK(per_square * std::pow(distance / 1000, 2) < 0.001);
  }
}

TEST_CASE("a line of equal set-ups, its closure shared out by hand") {
  // After each set-up the closure's share of the set-ups so far; sd from both ends' variances.
  for (std::size_t setups = 2; setups <= 12; ++setups) {
    CAPTURE(setups);
    const double closure = 0.0024, n = static_cast<double>(setups);
    StaffJob job = line_job(setups, closure, 25);
    job.datum = stated(1, job.unit);
    JobFolder folder;
    write_staff_job(folder, job);
    const CommandResult ran = folder.run();
    REQUIRE_MESSAGE(ran.exit_code == 0, ran.err);
    for (const auto& row : named_rows(folder.read("out/heights.csv"))) {
      if (row.at("point")[0] != 'T') continue;
      const double k = std::stod(row.at("point").substr(1));
      const double want = 10 + 0.1 * k - closure * k / n;
      CHECK(std::abs(number(row.at("elevation")) - want) <= 0.0000051);
      CHECK(std::abs(number(row.at("above_datum")) - (want - 1)) <= 0.0000051);
      CHECK(std::abs(number(row.at("sd")) - 0.001 * std::sqrt(2 * k * (n - k) / n)) <= 0.0000051);
    }
  }
}

TEST_CASE("a line is within up to its limit and outside beyond: by set-ups, by its length, as stated") {
  struct Limit {
    std::size_t setups;
    double distance;  ///< of every sight, m; 0: none
    double limit;     ///< m
    double stated;    ///< loop_limit, m; 0: none
  };
  for (const Limit& row :
       {Limit{1, 0, 0.003, 0}, Limit{4, 0, 0.003, 0}, Limit{4, 60, 0.003, 0},
        Limit{5, 0, 0.003 * std::sqrt(5.0 / 4), 0}, Limit{16, 0, 0.006, 0},
        Limit{5, 10, 0.012 * std::sqrt(0.1), 0}, Limit{5, 5, 0.003, 0},
        Limit{9, 50, 0.012 * std::sqrt(0.9), 0}, Limit{9, 50, 0.002, 0.002}, Limit{2, 0, 0.0045, 0.0045}})
    for (const double more : {-0.00002, 0.00002}) {
      CAPTURE(row.setups);
      CAPTURE(row.distance);
      CAPTURE(more);
      StaffJob job = line_job(row.setups, row.limit + more,
                              row.distance > 0 ? std::optional(row.distance) : std::nullopt);
      if (row.stated > 0) job.loop_limit = row.stated;
      JobFolder folder;
      write_staff_job(folder, job);
      const CommandResult ran = folder.run();
      CHECK_MESSAGE(ran.exit_code == (more > 0 ? 1 : 0), ran.err);
      CHECK(prints_length(folder.run({"heights", "."}).out, row.limit));
    }
}

TEST_CASE("one sight of a long line without its distance: the limit is by the set-ups") {
  for (const double more : {-0.00002, 0.00002}) {
    StaffJob job = line_job(9, 0.0045 + more, 50);
    job.level[7].distance.reset();
    JobFolder folder;
    write_staff_job(folder, job);
    CHECK(folder.run().exit_code == (more > 0 ? 1 : 0));
  }
}
