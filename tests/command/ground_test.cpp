// Tables that are declared to be in the grid, through the real program: the same job stated in ground and in
// grid coordinates gives the same lists. Grid coordinates come from the list frame "grid", which goes the
// other way.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/TransverseMercator.hpp>
#include <regex>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

using Rows = std::vector<std::map<std::string, std::string>>;

const std::string kSite =
    "[site]\ncontrol = \"control.csv\"\ncrs = \"EPSG:2193\"\nground_at = \"C1\"\nelevation = \"940 m\"\n";
const std::string kHead = "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n" + kSite;

double value(const std::map<std::string, std::string>& row, const std::string& column) {
  CAPTURE(column);
  REQUIRE(row.count(column) == 1);
  return std::strtod(row.at(column).c_str(), nullptr);
}

/// Grid coordinates of ground points, by a job that has no ties: there x is the easting and y the northing.
Rows to_grid(const Rows& ground) {
  JobFolder job;
  job.write("job.toml", std::string(kHead) + "[list]\nframe = \"grid\"\nheader = true\ndecimals = 5\n");
  job.write("control.csv", "point,northing,easting\nC1,5427890.123,1748123.456\n");
  std::string drawing = "point,x,y\n";
  for (const auto& row : ground)
    drawing += fmt::format("{},{},{}\n", row.at("point"), row.at("easting"), row.at("northing"));
  job.write("drawing.csv", drawing);
  const CommandResult result = job.run({"run", "."});
  CAPTURE(result.err);
  REQUIRE(result.exit_code <= 1);
  const auto listed = csv_rows(job.read("out/floor-list-grid.csv"));
  REQUIRE(listed.at(0).at(1) == "grid_northing (m)");
  Rows out;
  for (std::size_t i = 1; i < listed.size(); ++i)
    out.push_back({{"point", ground.at(i - 1).at("point")},
                   {"northing", listed[i].at(1)},
                   {"easting", listed[i].at(2)}});
  REQUIRE(out.size() == ground.size());
  return out;
}

/// The drawing lies at 700 m from C1, turned by 30 degrees: places of ties, shots and marks on site.
struct Site {
  static std::map<std::string, std::string> at(const std::string& name, double x, double y) {
    const double c = std::cos(M_PI / 6), s = std::sin(M_PI / 6);
    return {{"point", name},
            {"northing", fmt::format("{:.5f}", 5428390.0 + x * c + y * s)},
            {"easting", fmt::format("{:.5f}", 1748623.0 + x * s - y * c)},
            {"x", fmt::format("{}", x)},
            {"y", fmt::format("{}", y)}};
  }
};

std::string table(const std::string& header, const Rows& drawn, const Rows& on_site,
                  const std::string& more = "") {
  std::string out = header + "\n";
  for (std::size_t i = 0; i < on_site.size(); ++i) {
    out += on_site[i].at("point");
    if (!drawn.empty()) out += "," + drawn[i].at("x") + "," + drawn[i].at("y");
    out += "," + on_site[i].at("northing") + "," + on_site[i].at("easting") + more + "\n";
  }
  return out;
}

std::string framed(const std::string& file, bool grid) {
  return fmt::format("{{ file = \"{}\", frame = \"{}\" }}", file, grid ? "grid" : "ground");
}

}  // namespace

TEST_CASE("ground: every table says the same in ground and in grid coordinates") {
  const Rows ties = {Site::at("T1", 0, 0), Site::at("T2", 60, 0), Site::at("T3", 0, 40),
                     Site::at("T4", 60, 40)};
  const Rows marks = {Site::at("H1", 10, 10), Site::at("H2", 30, 10), Site::at("H3", 50, 30)};
  const Rows shots = {Site::at("S1", 0, 0), Site::at("S2", 60, 0), Site::at("S3", 30, 40)};
  std::map<std::string, std::string> first;
  for (int mask = 0; mask < 16; ++mask) {
    CAPTURE(mask);
    const bool tie_grid = mask & 1, shot_grid = mask & 2, mark_grid = mask & 4, built_grid = mask & 8;
    JobFolder job;
    job.write("job.toml",
              "[drawing]\npoints = \"drawing.csv\"\n" + kSite +
                  "[baselines]\nties = " + framed("ties.csv", tie_grid) +
                  "\n[floor]\nelevation = \"12 m\"\n[deck]\nshots = " + framed("deck.csv", shot_grid) +
                  "\n[plumb]\nmarks = " + framed("marks.csv", mark_grid) +
                  "\n[asbuilt]\nshots = " + framed("built.csv", built_grid) + "\n[list]\nheader = true\n");
    job.write("control.csv", "point,northing,easting\nC1,5427890.123,1748123.456\n");
    job.write("drawing.csv", "point,x,y\nH1,10,10\nH2,30,10\nH3,50,30\n");
    const auto place = [](const Rows& rows, bool grid) { return grid ? to_grid(rows) : rows; };
    job.write("ties.csv", table("mark,x,y,northing,easting", ties, place(ties, tie_grid)));
    job.write("deck.csv", table("shot,northing,easting,elevation", {}, place(shots, shot_grid), ",17.5"));
    job.write("marks.csv", table("point,northing,easting", {}, place(marks, mark_grid)));
    job.write("built.csv", table("point,northing,easting", {}, place(marks, built_grid)));
    const CommandResult result = job.run({"run", "."});
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    for (const char* file : {"floor-list.csv", "deck-list.csv"}) {
      CAPTURE(file);
      const std::string bytes = job.read(std::string("out/") + file);
      if (mask == 0) first[file] = bytes;
      CHECK(bytes == first.at(file));
    }
    // Ground coordinates: 500 m on the ground are not 500 m on the grid.
    const auto points = named_rows(job.read("out/points.csv"));
    REQUIRE(points.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(std::abs(value(points[i], "northing") - value(marks[i], "northing")) <= 0.0001);
      CHECK(std::abs(value(points[i], "easting") - value(marks[i], "easting")) <= 0.0001);
    }
    for (const auto& row : named_rows(job.read("out/asbuilt.csv")))
      CHECK(std::abs(value(row, "offset")) <= 0.0001);
    for (const auto& row : named_rows(job.read("out/plumb.csv")))
      CHECK(std::abs(value(row, "offset")) <= 0.0001);
  }
  // Taken as ground coordinates the grid's are decimetres off here.
  const Rows grid = to_grid(ties);
  CHECK(std::hypot(value(grid[3], "northing") - value(ties[3], "northing"),
                   value(grid[3], "easting") - value(ties[3], "easting")) > 0.1);
}

TEST_CASE("ground: a table that holds no site coordinates is not in the grid") {
  struct Row {
    const char* section;
    const char* key;
    const char* table;
    const char* place;
  };
  for (const Row& r :
       {Row{"[plumb]\nmarks = ", "plumb.marks", "point,dx,dy\nH1,0,0\n", "job.toml:13:9: plumb.marks"},
        Row{"[plumb]\nmarks = ", "plumb.marks", "point,x,y\nH1,10,10\n", "job.toml:13:9: plumb.marks"},
        Row{"[asbuilt]\nshots = ", "asbuilt.shots", "point,x,y\nH1,10,10\n", "job.toml:13:9: asbuilt.shots"},
        Row{"[deck]\nshots = ", "deck.shots", "shot,x,y,elevation\nS1,0,0,17\nS2,60,0,17\nS3,0,40,17\n",
            "job.toml:13:9: deck.shots"}}) {
    CAPTURE(r.table);
    JobFolder job;
    job.write("job.toml",
              std::string(kHead) + "[floor]\nelevation = \"12 m\"\n" +
                  (std::string(r.section) == "[deck]\nshots = " ? "# no deck yet\n\n"
                                                                : "[deck]\nelevation = \"17 m\"\n") +
                  r.section + framed("t.csv", true) + "\n");
    job.write("control.csv", "point,northing,easting\nC1,5427890.123,1748123.456\n");
    job.write("drawing.csv", "point,x,y\nH1,10,10\n");
    job.write("t.csv", r.table);
    const auto before = job.snapshot();
    const CommandResult result = job.run({"run", "."});
    check_refused(job, before, result);
    const auto told = problem_lines(result.err);
    REQUIRE(told.size() == 1);
    CHECK(place_of(told[0]) == r.place);
    CHECK(told[0].text.find("without northing and easting") != std::string::npos);
  }
}

TEST_CASE(
    "ground: latitudes and longitudes in every notation are one place, and what says two things is refused") {
  struct Row {
    const char* header;
    const char* cells;
    const char* told;  ///< empty: accepted
  };
  for (const Row& r :
       {Row{"latitude (deg),longitude (deg)", "-41.5,174.75", ""},
        Row{"latitude (packed),longitude (packed)", "-41.3000,174.4500", ""},
        Row{"latitude,longitude", "41-30-00 S,174-45-00E", ""},
        Row{"latitude,longitude", "S 41-30-00,174-45-00", ""},
        Row{"latitude (gon),longitude (Degrees)", "-46.11111111,174.75", ""},
        Row{"latitude (deg),longitude (deg)", "-41.5 S,174.75",
            "control.csv:2:4: latitude: found \"-41.5 S\", expected an angle with a sign, or with N or S, "
            "not both"},
        Row{"latitude (deg),longitude (deg)", "-41.5,W", "control.csv:2:10: longitude: found \"W\""},
        Row{"latitude (rad),longitude (deg)", "-41.5,174.75",
            "control.csv:1:7: latitude: found unit \"rad\""},
        Row{"latitude,longitude", "-41.5,174.75", "control.csv:2:4: latitude: found"}}) {
    CAPTURE(r.header);
    CAPTURE(r.cells);
    JobFolder job;
    job.write("job.toml", kHead);
    job.write("control.csv", std::string("point,") + r.header + "\nC1," + r.cells + "\n");
    job.write("drawing.csv", "point,x,y\nH1,10,10\n");
    const CommandResult result = job.run({"ground", ".", "--csv"});
    CAPTURE(result.err);
    if (*r.told) {
      CHECK(result.exit_code == 2);
      CHECK(result.err.find(r.told) != std::string::npos);
      continue;
    }
    REQUIRE(result.exit_code == 0);
    const auto rows = named_rows(result.out);
    REQUIRE(rows.size() == 1);
    CHECK(std::abs(value(rows[0], "latitude") + 41.5) <= 1e-8);
    CHECK(std::abs(value(rows[0], "longitude") - 174.75) <= 1e-8);
  }
}

TEST_CASE("ground: what one factor leaves is told for the two points that it serves worst") {
  // EPSG:32632 is transverse Mercator about 9 degrees east, scale 0.9996, false easting 500 km, on WGS 84.
  // Another library gives places and geodesics; the factor is the ratio that makes ground and geodesic agree
  // about the base.
  const GeographicLib::TransverseMercator zone(6378137, 1 / 298.257223563, 0.9996);
  const GeographicLib::Geodesic& earth = GeographicLib::Geodesic::WGS84();
  struct Place {
    const char* name;
    double northing, easting;  // from the base, on the ground
  };
  const std::vector<Place> places = {{"SW", -900, -1000}, {"SE", -1000, 1000}, {"NE", 1000, 1000},
                                     {"NW", 800, -1000},  {"M1", 100, 200},    {"M2", -300, 50}};
  for (const double easting : {500000.0, 720000.0}) {
    CAPTURE(easting);
    JobFolder job;
    job.write("job.toml",
              "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = "
              "\"control.csv\"\ncrs = "
              "\"EPSG:32632\"\nground_at = \"C1\"\nelevation = \"0 m\"\n");
    job.write("control.csv",
              fmt::format("point,northing,easting\nC1,5100000,{}\nC2,5100100,{}\n", easting, easting + 100));
    std::string drawing = "point,x,y\n";
    for (const Place& p : places)
      drawing += fmt::format("{},{},{}\n", p.name, easting + p.easting, 5100000 + p.northing);
    job.write("drawing.csv", drawing);
    const CommandResult result = job.run({"ground", "."});
    CAPTURE(result.out);
    REQUIRE(result.exit_code == 0);

    double lat = 0, lon = 0, convergence = 0, factor = 0;
    zone.Reverse(9, easting - 500000, 5100000, lat, lon, convergence, factor);
    double worst = 0;
    std::string pair;
    const auto place = [&](const Place& p, double& a, double& b) {
      zone.Reverse(9, easting - 500000 + factor * p.easting, 5100000 + factor * p.northing, a, b);
    };
    for (std::size_t i = 0; i < places.size(); ++i)
      for (std::size_t j = i + 1; j < places.size(); ++j) {
        double a = 0, b = 0, c = 0, d = 0, geodesic = 0;
        place(places[i], a, b);
        place(places[j], c, d);
        earth.Inverse(a, b, c, d, geodesic);
        const double ground =
            std::hypot(places[i].northing - places[j].northing, places[i].easting - places[j].easting);
        if (std::abs(ground - geodesic) > worst)
          worst = std::abs(ground - geodesic),
          pair = fmt::format("{} and {}", places[i].name, places[j].name);
      }
    std::smatch told;
    const bool is_told =
        std::regex_search(result.err, told,
                          std::regex("job.toml:[0-9]+:[0-9]+: site.ground_at: one factor for the whole job "
                                     "leaves ([0-9.]+) mm between (\\w+ and \\w+):"));
    CHECK(is_told == (worst > 0.001));
    if (easting == 500000.0) {
      // The middle of the zone: any two points agree within 0.1 mm and 0.2 ppm.
      CHECK(worst <= 1e-4 + 0.2e-6 * 2000);
      continue;
    }
    REQUIRE(is_told);
    CHECK(std::abs(std::strtod(told[1].str().c_str(), nullptr) - worst * 1000) <= 0.06);
    CHECK(worst > 0.010);  // base to the farthest hanger leaves less than half of it
    const std::string names = told[2].str();
    CHECK((names == pair || names == "NE and SE" || names == "SE and NE"));
    const auto shown = [&](const char* ends) { return result.out.find(ends) != std::string::npos; };
    CHECK((shown("NE to SE") || shown("SE to NE")));
  }
}
