// The rows of kind ang and angout through the real program: circles of a table, orientations of the job file,
// azimuths that are printed.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

const std::string kControl = "point,northing,easting\nCP1,0,0\nCP2,100,0\n";

std::string notation_of(const std::string& setting) {
  if (setting.starts_with("packed")) return "packed";
  if (setting == "angle" || setting.find("decimal degrees") != std::string::npos) return "degrees";
  return "";  // the text says itself what it is
}
bool is_circle(const std::string& setting) {
  return setting.starts_with("circle reading") || setting.starts_with("azimuth");
}

std::string job_text(const std::string& notation, const std::string& setup) {
  return "drawing.points = \"d.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = "
         "\"c.csv\"\n[instrument]\nangle_sd = \"2\\\"\"\n"
         "distance_sd = \"2 mm\"\n" +
         (notation.empty() ? "\n" : "angles = \"" + notation + "\"\n") +
         "[[setup]]\nname = \"S1\"\nat = \"CP1\"\n" + setup;
}

/// The text as an orientation in the job file, and as a circle in a table; both are set up on CP1.
struct AngleJob : JobFolder {
  AngleJob(const std::string& text, const std::string& notation, bool circle) {
    write("d.csv", "point,x,y\nP1,0,0\nP2,10,5\n");
    write("c.csv", kControl);
    std::string quoted;
    for (const char c : text) quoted += c == '"' ? std::string("\\\"") : std::string(1, c);
    write("job.toml",
          job_text(notation, circle ? "observations = \"s.csv\"\n" : "orientation = \"" + quoted + "\"\n"));
    if (circle) write("s.csv", "target;circle\nCP2;" + csv_cell(text, ';') + "\n");
  }
};

double full_circle(double degrees) { return std::fmod(std::fmod(degrees, 360) + 360, 360); }

void check_taken(const JobFolder& job, const Case& row, bool circle) {
  const auto rows = named_rows(job.read(circle ? "out/sights.csv" : "out/setup.csv"));
  REQUIRE(!rows.empty());
  const std::string cell = circle ? rows[0].at("observed") : rows[0].at("orientation");
  const double off =
      std::strtod(cell.c_str(), nullptr) - full_circle(std::strtod(row.at("value").c_str(), nullptr));
  // Seven decimals of a degree are written; binary noise may turn a circle of 0 into one under 360.
  CHECK(std::abs(std::remainder(off, 360)) <= 0.51e-7);
}

}  // namespace

TEST_CASE("angles of the cases as circles and as orientations") {
  for (const Case& row : cases_of("ang")) {
    const std::string setting = row.at("setting"), text = unescape(row.at("input"));
    const double value = std::strtod(row.at("value").c_str(), nullptr);
    for (const bool circle : {false, true}) {
      // A circle is never negative; a signed angle stands in the job file alone.
      if (circle ? value < 0 : is_circle(setting)) continue;
      if (circle && row.at("id") == "ang-34") continue;  // semicolons let a decimal comma stand
      CAPTURE(row.at("id"));
      CAPTURE(circle);
      AngleJob job = AngleJob(text, notation_of(setting), circle);
      const auto before = job.snapshot();
      const CommandResult result = job.run();
      CAPTURE(result.err);
      const std::string& expect = row.at("expect");
      if (expect == "error" || (expect == "either" && result.exit_code == 2)) {
        check_refused(job, before, result);
        check_told(result.err, {circle ? "s.csv:2:5: circle" : "job.toml:12:15: setup.orientation", {}});
      } else {
        REQUIRE(result.exit_code == 0);
        check_taken(job, row, circle);
      }
    }
  }
}

TEST_CASE("a bare angle is refused where the job does not say how it is read") {
  AngleJob job = AngleJob("45.3000", "", true);
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  check_refused(job, before, result);
  check_told(result.err, {"s.csv:2:5: circle", {"45.3000", "notation"}});
}

namespace {

/// Standard output of a run of a drawing whose two points lie so to one another.
std::string inverse_of(double north, double east, double scale) {
  JobFolder job;
  char points[200];
  std::snprintf(points, sizeof points, "point,x,y\nA,0,0\nB,%.12f,%.12f\n", east * scale, north * scale);
  job.write("d.csv", points);
  job.write("job.toml", "[drawing]\npoints = \"d.csv\"\n");
  return job.run().out;
}
std::string orientation_of(const std::string& text, const std::string& notation) {
  return AngleJob(text, notation, false).run({"setup", "."}).out;
}
bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("printed angles of the cases") {
  const double second = std::acos(-1.0) / 648000;
  const auto azimuth = [](const std::string& text) {
    return "1001 to 1002: azimuth  " + text + " from site north\n";
  };
  // By row: what is printed, and what it must hold. One decimal of a second where the row asks for none.
  const std::map<std::string, std::pair<std::string, std::string>> printed = {
      {"angout-01", {inverse_of(1, -0.04 * second, 1000), azimuth("0-00-00.0")}},
      {"angout-03", {inverse_of(1, 1 - 2 * 0.03 * second, 1000), azimuth("45-00-00.0")}},
      {"angout-04", {orientation_of("3.3166666666666664°", ""), "azimuth 3-19-00 "}},
      {"angout-07", {orientation_of("399.99997 gon", "gon"), "azimuth 0.0000 (gon)"}},
      {"angout-08", {orientation_of("5-03-07", "packed"), "azimuth 5.0307 "}},
      {"angout-09", {inverse_of(1, 0, 1), azimuth("0-00-00.0")}},
      {"angout-10", {inverse_of(0, 1, 1), azimuth("90-00-00.0")}},
      {"angout-11", {inverse_of(1, -0.0000001, 1), azimuth("0-00-00.0")}},
      {"angout-12", {inverse_of(0, 0, 1), "one place only"}},
      {"angout-13", {inverse_of(-1, -1, 1), azimuth("225-00-00.0")}},
      {"angout-14", {inverse_of(-1, -0.0, 1), azimuth("180-00-00.0")}},
      {"angout-15", {inverse_of(1, -1, 1), azimuth("315-00-00.0")}},
  };
  for (const Case& row : cases_of("angout")) {
    CAPTURE(row.at("id"));
    const auto found = printed.find(row.at("id"));
    REQUIRE((found != printed.end()) != (cases_left_out().count(row.at("id")) > 0));
    if (found == printed.end()) continue;
    CAPTURE(found->second.first);
    CHECK(holds(found->second.first, found->second.second));
    CHECK(!holds(found->second.first, "-60"));
    CHECK(!holds(found->second.first, "360-"));
  }
}
