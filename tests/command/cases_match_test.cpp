// As-built shots of tests/cases, through the real program.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "cases_support.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// A job without ties: E = x, N = y. `points` and `shots` are rows.
struct AsbuiltJob {
  JobFolder folder;
  AsbuiltJob(const std::string& points, const std::string& shots, const std::string& more = "") {
    folder.write("job.toml",
                 "[drawing]\npoints = \"drawing.csv\"\n[asbuilt]\nshots = \"asbuilt.csv\"\n" + more);
    folder.write("drawing.csv", "point,x,y\n" + points);
    folder.write("asbuilt.csv", "point,northing,easting\n" + shots);
  }
  CommandResult asbuilt() const { return folder.run({"asbuilt", "."}); }
  std::vector<std::map<std::string, std::string>> rows() const {
    const CommandResult r = folder.run({"asbuilt", ".", "--csv"});
    return named_rows(r.out);
  }
};

const std::map<std::string, std::function<void()>>& match_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"match-01",
       [] {
         const AsbuiltJob job("A1,200,100\nA2,210,100\n", "A1,100,200\nA2,100,210\nA9,100,220\n");
         const auto r = job.asbuilt();
         CHECK(r.exit_code == 0);
         CHECK(says(r.err, "doubt: asbuilt.csv:4:1: point: \"A9\" is not in the drawing"));
         CHECK(says(r.out, "shots that are not in the drawing: A9"));
         CHECK(job.rows().size() == 2);
       }},
      {"match-02",
       [] {
         const AsbuiltJob job("007,200,100\n", "7,100,200\n");
         const auto r = job.asbuilt();
         CHECK(r.exit_code == 0);
         CHECK(says(r.err, "\"7\" is not in the drawing"));
         CHECK(says(r.err, "no shot of 1 point: 007"));
         CHECK(job.rows().empty());
       }},
      {"match-03",
       [] {
         const AsbuiltJob job("A1,200,100\nA2,210,100\n", "A1,100,200\nA2,100,210\nA1,100.004,200\n");
         const auto r = job.asbuilt();
         CHECK(says(r.err, "A1 was shot twice on the floor, lines 2 and 4, 4.0 mm apart"));
         const auto rows = job.rows();
         REQUIRE(rows.size() == 3);
         CHECK(std::stod(rows[0].at("offset")) == doctest::Approx(0));
         CHECK(std::stod(rows[2].at("offset")) == doctest::Approx(0.004));
       }},
      {"match-04",
       [] {
         const AsbuiltJob job("A1,200,100\n", "A1,100.006,200\n", "plan = \"6 mm\"\n");
         const auto r = job.asbuilt();
         CHECK(r.exit_code == 0);
         CHECK(job.rows().at(0).at("plan_verdict") == "within");
         const AsbuiltJob beyond("A1,200,100\n", "A1,100.00601,200\n", "plan = \"6 mm\"\n");
         CHECK(beyond.asbuilt().exit_code == 1);
       }},
      {"match-05",
       [] {
         const AsbuiltJob job("A1,200,100\n", "A1,99.995,200\n");
         CHECK(std::stod(job.rows().at(0).at("dy")) == doctest::Approx(-0.005));
         CHECK(std::stod(job.rows().at(0).at("dx")) == doctest::Approx(0));
       }},
      {"match-06",
       [] {
         const AsbuiltJob job("A1,200,100\nA2,260,150\n", "A1,200,100\nA2,260,150\n");
         const auto r = job.asbuilt();
         CHECK(r.exit_code == 1);
         CHECK(says(r.out, "swapped-axes"));
         REQUIRE(job.folder.run().exit_code == 1);
         const auto causes = csv_rows(job.folder.read("out/causes.csv"));
         REQUIRE(causes.size() == 2);
         CHECK(causes[1][0] == "swapped-axes");
         CHECK(causes[1][1] == "all");
         CHECK(causes[1][6] == "2");
       }},
      {"match-07",
       [] {
         const AsbuiltJob job("1002,200,100\nB,210,100\n", "1002,100,200\n");
         const auto before = job.folder.snapshot();
         const auto r = job.asbuilt();
         check_refused(job.folder, before, r);
         check_told(r.err, {"asbuilt.csv:2:1: point", {"1002", "name of one point", "number of \"B\""}});
       }},
  };
  return tests;
}

}  // namespace

TEST_CASE("as-built shots") {
  check_all_are_met("match", match_tests());
  run_all(match_tests());
}
