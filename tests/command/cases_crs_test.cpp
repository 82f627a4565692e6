// Coordinate systems and scale factors of tests/cases, through the real program. Values come from the rows.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

void write_job(JobFolder& job, const std::string& site, const std::string& control,
               const std::string& more = "") {
  job.write("job.toml",
            "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = "
            "\"control.csv\"\nelevation = \"0 m\"\n" +
                site + more);
  job.write("control.csv", control);
  job.write("drawing.csv", "point,x,y\nD1,0,0\n");
}

std::map<std::string, std::string> row_of(const CommandResult& result, const std::string& point) {
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  for (const auto& row : named_rows(result.out))
    if (row.at("point") == point) return row;
  FAIL("no row of " << point);
  return {};
}

void check_near(const std::map<std::string, std::string>& row, const std::string& column, double wanted,
                double tolerance) {
  CAPTURE(column);
  CHECK(std::abs(std::strtod(row.at(column).c_str(), nullptr) - wanted) <= tolerance);
}

std::map<std::string, std::string> ground(const std::string& site, const std::string& control) {
  JobFolder job;
  write_job(job, site, control);
  return row_of(job.run({"ground", ".", "--csv"}), "A");
}

/// The row is refused at that place, nothing is written, and each word is in the message.
void refused(const std::string& site, const std::string& control, const Refusal& refusal,
             const std::map<std::string, std::string>& env = {}) {
  JobFolder job;
  write_job(job, site, control);
  const auto before = job.snapshot();
  CommandRun run = job.prepared({"run", "."});
  run.env = env;
  const CommandResult result = run.run();
  check_refused(job, before, result);
  check_told(result.err, refusal);
  for (const char* bad : {"inf", "nan", "*"}) CHECK(result.out.find(bad) == std::string::npos);
}

std::string plane(const std::string& northing, const std::string& easting) {
  return "point,northing,easting\nA," + northing + "," + easting + "\n";
}
std::string geographic(const std::string& latitude, const std::string& longitude) {
  return "point,latitude (deg),longitude (deg)\nA," + latitude + "," + longitude + "\n";
}

constexpr double kMetres = 0.0002,
                 kDegrees = 1e-8;  // of the rows: 0.0002 of the unit, nine decimals of a degree

const std::map<std::string, std::function<void()>>& tests() {
  static const std::map<std::string, std::function<void()>> all = {
      {"crs-01",
       [] {
         const auto a = ground("crs = \"EPSG:2193\"\n", plane("5427890.123", "1748123.456"));
         check_near(a, "latitude", -41.286849826, kDegrees);
         check_near(a, "longitude", 174.768900093, kDegrees);
         // The order of the columns decides nothing, their names do.
         const auto b =
             ground("crs = \"EPSG:2193\"\n", "easting,point,northing\n1748123.456,A,5427890.123\n");
         CHECK(a.at("latitude") == b.at("latitude"));
       }},
      {"crs-02",
       [] {
         refused("crs = \"EPSG:2193\"\n", plane("1748123.456", "5427890.123"),
                 {"control.csv:2:1: row", {"area of use of EPSG:2193", "other way round"}});
       }},
      {"crs-03",
       [] {
         const auto a = ground("crs = \"EPSG:32632\"\n", geographic("46", "10"));
         check_near(a, "grid_northing", 5094533.5911, kMetres);
         check_near(a, "grid_easting", 577432.1826, kMetres);
       }},
      {"crs-04",
       [] {
         refused("crs = \"EPSG:32632\"\n", geographic("10", "46"),
                 {"control.csv:2:1: row", {"area of use", "latitude and longitude the other way round"}});
       }},
      {"crs-05",
       [] {
         refused("crs = \"EPSG:32632\"\n", geographic("46", "171"),
                 {"control.csv:2:1: row", {"area of use", "171.00"}});
       }},
      {"crs-06",
       [] {
         refused("crs = \"EPSG:32633\"\n",
                 "point,northing,easting,latitude (deg),longitude (deg)\nA,5094533.591,577432.183,46,10\n",
                 {"control.csv:2:1: row", {"\"A\"", "another zone", "6 degrees"}});
       }},
      {"crs-07",
       [] {
         const auto a = ground("unit = \"us-ft\"\ncrs = \"EPSG:2263\"\n", geographic("40.75", "-73.98"));
         check_near(a, "grid_northing", 212522.5192, kMetres);
         check_near(a, "grid_easting", 989791.4573, kMetres);
         // In metres the same place.
         const auto b = ground("crs = \"EPSG:2263\"\n", geographic("40.75", "-73.98"));
         check_near(b, "grid_northing", 64776.9934, kMetres);
         check_near(b, "grid_easting", 301689.0396, kMetres);
       }},
      {"crs-08",
       [] {
         const auto a = ground("unit = \"us-ft\"\ncrs = \"EPSG:2263\"\n",
                               plane("212522.5192 us-ft", "989791.4573 us-ft"));
         check_near(a, "longitude", -73.98, kDegrees);
         JobFolder job;
         write_job(job, "unit = \"us-ft\"\ncrs = \"EPSG:2263\"\n", plane("212522.5192", "989791.4573"),
                   "[list]\nunit = \"m\"\n");
         check_near(row_of(job.run({"ground", ".", "--csv"}), "A"), "grid_easting", 301689.039563, 1e-5);
         refused("unit = \"ft\"\ncrs = \"EPSG:2263\"\n", plane("212522.5192", "989791.4573"),
                 {"job.toml:6:8: site.unit", {"us-ft"}});
       }},
      {"crs-09",
       [] {
         refused("unit = \"ft\"\ncrs = \"EPSG:2193\"\n", plane("5427890", "1748123"),
                 {"control.csv:2:1: row", {"area of use", "unit = \"m\""}});
       }},
      {"crs-10",
       [] {
         refused("crs = \"EPSG:27700\"\ngeographic = \"EPSG:4258\"\n", geographic("51.5", "-0.13"),
                 {"job.toml:7:14: site.geographic", {"OSTN15", "not installed"}});
       }},
      {"crs-11",
       [] {
         refused("crs = \"EPSG:999999\"\n", plane("1", "1"), {"job.toml:6:7: site.crs", {"no known code"}});
       }},
      {"crs-12",
       [] {
         const auto a = ground("crs = \"epsg:32632\"\n", geographic("46", "10"));
         check_near(a, "grid_northing", 5094533.5911, kMetres);
         check_near(a, "grid_easting", 577432.1826, kMetres);
       }},
      {"crs-13",
       [] {
         refused("crs = \"EPSG:2193\"\n", plane("5427890.123", "1748123.456"),
                 {"job.toml:6:7: site.crs", {"proj.db", "not found", "PROJ_LIB"}},
                 {{"PROJ_LIB", "/nowhere"}, {"PROJ_DATA", "/nowhere"}});
       }},
      {"crs-14",
       [] {
         refused("crs = \"EPSG:32632\"\n", geographic("46.0x", "10"),
                 {"control.csv:2:3: latitude", {"46.0x"}});
       }},
      {"crs-15",
       [] {
         const auto a = ground("crs = \"EPSG:2180\"\n", geographic("52", "21"));
         check_near(a, "grid_northing", 461197.2429, kMetres);
         check_near(a, "grid_easting", 637253.1611, kMetres);
       }},
      {"crs-16",
       [] {
         refused("crs = \"EPSG:5513\"\n", plane("1", "1"),
                 {"job.toml:6:7: site.crs", {"south", "EPSG:5514"}});
       }},
      {"crs-17",
       [] {
         refused("unit = \"us-ft\"\ncrs = \"EPSG:2263\"\n", plane("0", "0"),
                 {"control.csv:2:1: row", {"area of use", "missing value"}});
       }},
      {"crs-18",
       [] {
         // On the central meridian of this system the point scale is 0.9996.
         JobFolder job;
         write_job(job, "crs = \"EPSG:32632\"\nground_at = \"A\"\n", plane("5000000", "500000"),
                   "[list]\nframe = \"grid\"\nheader = true\ndecimals = 5\nline_end = \"lf\"\n");
         job.write("drawing.csv", "point,x,y\nB,500000,5000100\n");
         REQUIRE(job.run().exit_code == 0);
         const auto rows = csv_rows(job.read("out/floor-list-grid.csv"));
         REQUIRE(rows.size() == 2);
         CHECK(rows[0][1] == "grid_northing (m)");
         CHECK(rows[0][2] == "grid_easting (m)");
         CHECK(rows[1][1] == "5000099.96000");
         CHECK(rows[1][2] == "500000.00000");
         CHECK_FALSE(job.has("out/floor-list.csv"));
       }},
      {"crs-19",
       [] {
         JobFolder job;
         write_job(job, "crs = \"EPSG:32632\"\nground_at = \"A\"\n",
                   plane("5000000", "500000") + "B,5000099.96,500000\n");
         check_near(row_of(job.run({"ground", ".", "--csv"}), "B"), "ground_northing", 5000100, 1e-5);
       }},
      {"crs-20",
       [] {
         refused("crs = \"EPSG:32632\"\n",
                 plane("4999950", "500020") + "B,5000030,499960\nC,5002000.8003,500200.0800\n",
                 {"control.csv:4:1: row", {"\"C\"", "scaled about the origin"}});
       }},
      {"crs-21",
       [] {
         refused("crs = \"EPSG:32632\"\n", geographic("95", "10"),
                 {"control.csv:2:3: latitude", {"95", "90"}});
       }},
      {"crs-22",
       [] {
         refused("crs = \"EPSG:25831\"\ngeographic = \"EPSG:4230\"\n", geographic("41.5", "2.5"),
                 {"job.toml:7:14: site.geographic", {"ED50"}});
       }},
      {"crs-23",
       [] {
         refused("crs = \"32632\"\n", plane("1", "1"),
                 {"job.toml:6:7: site.crs", {"without its authority", "EPSG:32632"}});
       }},
      {"crs-24",
       [] {
         refused("crs = \"EPSG:2193\"\n", plane("a", "b"), {"control.csv:2:3: northing", {"\"a\""}});
       }},
      {"crs-25",
       [] {
         // World Mercator at 60 degrees: conformal, and twice as large as the ground.
         refused("crs = \"EPSG:3395\"\n", geographic("60", "10"),
                 {"job.toml:6:7: site.crs", {"combined factor of 1.99", "0.98 to 1.02"}});
       }},
  };
  return all;
}

}  // namespace

TEST_CASE("coordinate systems and factors of the cases") {
  check_all_are_met("crs", tests());
  run_all(tests());
}
