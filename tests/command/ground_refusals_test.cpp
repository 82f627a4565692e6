// Control in a map projection that is refused or doubted, through the real program: heights, compass letters,
// systems that are no plain projection, and places outside the area of use with the reason that is told.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <tuple>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

const std::string kUtm32 = "crs = \"EPSG:32632\"\nground_at = \"A\"\n";

void write_job(JobFolder& job, const std::string& site, const std::string& control) {
  job.write(
      "job.toml",
      "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = \"control.csv\"\n" +
          site);
  job.write("control.csv", control);
  job.write("drawing.csv", "point,x,y\nD1,500000,5100000\n");
}

CommandResult ground(const std::string& site, const std::string& control) {
  JobFolder job;
  write_job(job, site, control);
  return job.run({"ground", ".", "--csv"});
}

std::string crs(const std::string& definition) {
  return "crs = \"" + definition + "\"\nground_at = \"A\"\nelevation = \"0 m\"\n";
}
std::string plane(const std::string& cells) { return "point,northing,easting\nA," + cells + "\n"; }
std::string place(const std::string& cells) { return "point,latitude,longitude\nA," + cells + "\n"; }

/// Every word stands in one line of standard error.
bool has_line(const std::string& err, const std::vector<std::string>& words) {
  std::size_t begin = 0;
  while (begin < err.size()) {
    const std::size_t end = std::min(err.find('\n', begin), err.size());
    const std::string line = err.substr(begin, end - begin);
    bool all = true;
    for (const std::string& w : words) all = all && line.find(w) != std::string::npos;
    if (all) return true;
    begin = end + 1;
  }
  return false;
}

double number(const CommandResult& result, const std::string& column) {
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  return std::strtod(named_rows(result.out).at(0).at(column).c_str(), nullptr);
}

}  // namespace

TEST_CASE("ground: an ellipsoidal height that no work has is a problem of its row") {
  for (const auto& [cell, good] : std::vector<std::pair<std::string, bool>>{{"-9999", false},
                                                                            {"-1000.001", false},
                                                                            {"9000.001", false},
                                                                            {"99999", false},
                                                                            {"-1000", true},
                                                                            {"9000", true}}) {
    CAPTURE(cell);
    JobFolder job;
    write_job(job, kUtm32,
              "point,northing,easting,ellipsoidal_height\nA,5100000,500000," + cell + "\nB,5100100,500000," +
                  cell + "\n");
    const auto before = job.snapshot();
    const CommandResult result = job.run({"run", "."});
    CAPTURE(result.err);
    if (good) {
      CHECK(result.exit_code == 0);
      continue;
    }
    check_refused(job, before, result);
    const auto told = problem_lines(result.err);
    REQUIRE(told.size() == 2);
    CHECK(place_of(told[0]) == "control.csv:2:18: ellipsoidal_height");
    CHECK(place_of(told[1]) == "control.csv:3:18: ellipsoidal_height");
    CHECK(told[0].text.find("from -1000 m to 9000 m") != std::string::npos);
    write_job(job, kUtm32 + "elevation = \"400 m\"\n",
              "point,northing,easting,ellipsoidal_height\nA,5100000,500000,\nB,5100100,500000,400\n");
    CHECK(job.run({"ground", "."}).err.find("ellipsoid") == std::string::npos);  // as proposed
    CHECK(result.err.find("taken to lie on the ellipsoid") == std::string::npos);
  }
}

TEST_CASE("ground: heights that do not belong together are doubted") {
  struct Row {
    std::vector<std::string> heights;
    std::string elevation;
    std::vector<int> doubted;  ///< lines of control.csv
    bool elevation_doubted;
  };
  for (const Row& r :
       {Row{{"500", "500", "1640"}, "", {4}, false}, Row{{"500", "1640", "501", "499"}, "", {3}, false},
        Row{{"500", "520", "599"}, "", {}, false}, Row{{"500", "500", "600.001"}, "", {4}, false},
        Row{{"500", "1640"}, "", {2, 3}, false}, Row{{"500", "", "1640", "500"}, "", {4}, false},
        Row{{"500", "510"}, "500 m", {}, false}, Row{{"500", "500"}, "550 m", {}, false},
        Row{{"500", "500"}, "450 m", {}, false}, Row{{"500", "500"}, "551 m", {}, true},
        Row{{"500", "500"}, "1640 m", {}, true}, Row{{"48", ""}, "0 m", {}, false},
        Row{{"", "500"}, "12 m", {}, true}}) {
    CAPTURE(fmt::format("{} {}", r.heights.front(), r.elevation));
    std::string control = "point,northing,easting,ellipsoidal_height\n";
    for (std::size_t i = 0; i < r.heights.size(); ++i)
      control += fmt::format("{},{},500000,{}\n", static_cast<char>('A' + i), 5100000 + 10 * i, r.heights[i]);
    const CommandResult result =
        ground(kUtm32 + (r.elevation.empty() ? "" : "elevation = \"" + r.elevation + "\"\n"), control);
    CAPTURE(result.err);
    CHECK(result.exit_code == 0);
    for (int line = 2; line < 2 + static_cast<int>(r.heights.size()); ++line) {
      CAPTURE(line);
      const bool wanted = std::find(r.doubted.begin(), r.doubted.end(), line) != r.doubted.end();
      CHECK(has_line(result.err, {fmt::format("doubt: control.csv:{}:", line),
                                  "ellipsoidal_height: ", "the middle of all heights"}) == wanted);
    }
    CHECK(has_line(result.err, {"doubt: job.toml:7:13: site.elevation", "height above the sea"}) ==
          r.elevation_doubted);
  }
}

TEST_CASE("ground: a compass letter is told from the marks of a notation") {
  struct Row {
    std::string cells;
    double latitude, longitude;
  };
  const std::string south = crs("EPSG:2193"), north = crs("EPSG:32632");
  for (const Row& r :
       {Row{"48d30m00s,9d00m00s", 48.5, 9}, Row{"48D30M00S,9D00M00S", 48.5, 9},
        Row{"53.88888889 gon,10 gon", 48.5, 9}, Row{"53.88888889gon,10gon", 48.5, 9},
        Row{"48.5 degrees,9 degrees", 48.5, 9}, Row{"48d30m00s N,9d00m00sE", 48.5, 9},
        Row{"48d30m00sN,E 9d00m00s", 48.5, 9}, Row{"48.5 degN,9 degE", 48.5, 9},
        Row{"53.88888889 gon N,10gonE", 48.5, 9}, Row{"N 48.5 degrees,9 degrees e", 48.5, 9},
        Row{"48-30-00n,9-00-00s", 48.5, 9}, Row{"48:30:00 N,9 00 00", 48.5, 9},
        Row{"48°30'00\" N,9°", 48.5, 9}, Row{"41d30m00sS,174d45m00s", -41.5, 174.75},
        Row{"S41d30m00s,174-45-00", -41.5, 174.75}, Row{"41-30-00S,174-45-00", -41.5, 174.75},
        Row{"41.5 degrees s,174-45-00", -41.5, 174.75}, Row{"46.11111111 gon S,174-45-00", -41.5, 174.75},
        Row{"41°30'00\"s,174-45-00", -41.5, 174.75}}) {
    CAPTURE(r.cells);
    const CommandResult result = ground(r.latitude < 0 ? south : north, place(r.cells));
    CHECK(std::abs(number(result, "latitude") - r.latitude) <= 1e-8);
    CHECK(std::abs(number(result, "longitude") - r.longitude) <= 1e-8);
  }
  struct Refused {
    std::string cells;
    std::vector<std::string> words;
  };
  for (const Refused& r :
       {Refused{"48-30-00s,9-00-00",
                {"latitude: found \"48-30-00s\"", "clearly south",
                 ": 48-30-00 S for south, or 48-30-00 for north"}},
        Refused{"48:30:00 s,9-00-00",
                {"latitude: found \"48:30:00 s\"", ": 48:30:00 S for south, or 48:30:00 for north"}},
        Refused{"48 30 00s,9-00-00", {"latitude: found \"48 30 00s\"", ": 48 30 00 S for south"}},
        Refused{"48d30m00S,9-00-00",
                {"latitude: found \"48d30m00S\"", ": 48d30m00s S for south, or 48d30m00s for north"}},
        Refused{"48°30'00S,9-00-00",
                {"latitude: found \"48°30'00S\"", ": 48°30'00\" S for south, or 48°30'00\" for north"}},
        Refused{"48-30-00 E,9-00-00", {"latitude: found \"48-30-00 E\"", "E belongs to the longitude"}},
        Refused{"W 48-30-00,9-00-00", {"latitude: found \"W 48-30-00\"", "W belongs to the longitude"}},
        Refused{"48-30-00,9-00-00 N", {"longitude: found \"9-00-00 N\"", "N belongs to the latitude"}},
        Refused{"48-30-00,9-00-00 S", {"longitude: found \"9-00-00 S\"", "S belongs to the latitude"}},
        Refused{"48.5x N,9-00-00", {"latitude: found \"48.5x N\""}},
        Refused{"48-60-00 N,9-00-00", {"latitude: found \"48-60-00 N\", with 60 minutes", "try 49-00-00 N"}},
        Refused{"48.5 N,9-00-00", {"latitude: found \"48.5 N\", a bare number"}},
        Refused{"99 deg,9 deg",
                {"latitude: found \"99 deg\"", "try latitude and longitude the other way round"}}}) {
    CAPTURE(r.cells);
    const CommandResult result = ground(north, place(r.cells));
    CAPTURE(result.err);
    CHECK(result.exit_code == 2);
    CHECK(has_line(result.err, r.words));
  }
  const std::string packed = north + "[instrument]\nangles = \"packed\"\n";
  CHECK(std::abs(number(ground(packed, place("48.3000 N,9.0000")), "latitude") - 48.5) <= 1e-8);
  CHECK(has_line(ground(packed, place("48.3000s,9.0000")).err,
                 {"latitude: found \"48.3000s\"", ": 48.3000 S for south, or 48.3000 for north"}));
  // Exchanged they would be no better.
  for (const char* cells : {"369.25 deg,9 deg", "99 deg,98 deg"}) {
    CAPTURE(cells);
    const CommandResult result = ground(north, place(cells));
    CHECK(result.exit_code == 2);
    CHECK(has_line(result.err, {"latitude: found", "from -90 to 90 degrees"}));
    CHECK(result.err.find("other way round") == std::string::npos);
  }
}

TEST_CASE("ground: a change of datum in a definition is set aside") {
  const std::string plain = "+proj=utm +zone=33 +ellps=bessel";
  const CommandResult wanted = ground(crs(plain), plane("5400000,600000"));
  REQUIRE(wanted.exit_code == 0);
  CHECK(wanted.err.find("change of datum") == std::string::npos);
  for (const char* more : {" +towgs84=598.1,73.7,418.2,0.202,0.045,-2.455,6.7", " +nadgrids=@null",
                           " +towgs84=1,2,3 +vunits=m"}) {
    CAPTURE(more);
    const CommandResult result = ground(crs(plain + more), plane("5400000,600000"));
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(result.out == wanted.out);
    CHECK(has_line(result.err, {"notice: job.toml:5:7: site.crs: ", "change of datum"}));
  }
}

TEST_CASE("ground: polar systems are refused as such") {
  for (const char* definition :
       {"EPSG:5041", "EPSG:32661", "EPSG:3031", "EPSG:3413", "+proj=stere +lat_0=90"}) {
    CAPTURE(definition);
    const CommandResult result = ground(crs(definition), plane("2000000,2000000"));
    CHECK(result.exit_code == 2);
    CHECK(has_line(result.err,
                   {"job.toml:5:7: site.crs: found", "a polar system", "polar ones are not supported"}));
    CHECK(result.err.find("; try ") == std::string::npos);
  }
}

TEST_CASE("ground: local numbers under a projection are told what can be done, and that is accepted") {
  for (const char* control :
       {"control = \"control.csv\"\n", "control = { file = \"control.csv\", frame = \"ground\" }\n"}) {
    CAPTURE(control);
    JobFolder job;
    const auto write = [&](const std::string& site) {
      job.write("job.toml",
                std::string("drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\n") + site);
    };
    job.write("control.csv", plane("5000,2000"));
    job.write("drawing.csv", "point,x,y\nD1,2010,5010\n");
    write(control + crs("EPSG:2056"));
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    CHECK(has_line(result.err, {"try no crs under [site] (nor ground_at, elevation, geographic)",
                                "or control in EPSG:2056"}));
    write("control = \"control.csv\"\n");
    CHECK(job.run().exit_code == 0);
    write(control + crs("EPSG:2056"));
    job.write("control.csv", plane("1200000,2600000"));
    job.write("drawing.csv", "point,x,y\nD1,2600010,1200010\n");
    CHECK(job.run().exit_code == 0);
  }
}

TEST_CASE("ground: a place outside the area of use is told so that it can be seen, with the likely reason") {
  struct Row {
    std::string system;
    std::string cells;
    std::vector<std::string> words;
  };
  for (const Row& r :
       {Row{"EPSG:32633",
            "-66.328,500000",
            {"latitude -0.0006,", "latitude 0.0000 to",
             "the zone next to it; the point lies 66 m outside the edge"}},
        Row{"EPSG:32632",
            "5500000,724000",
            {"longitude 12.", "longitude 6.00", "to 12.00)", "the zone next to it; the point lies"}},
        Row{"EPSG:32632", "5094533,1277432", {"another zone", "longitude 6.00 to 12.00)"}},
        Row{"EPSG:32633",
            "5306.864,2150.781",
            {"no crs under [site]", "numbers so small look like local ones"}},
        Row{"EPSG:32632", "0,850000", {"latitude 0.00,", "longitude 6.00 to 12.00)"}},
        Row{"EPSG:32660",
            "10,834100",
            {"longitude -179.999,", "to 180.000)", "the point lies 121 m outside the edge"}},
        Row{"EPSG:31467",
            "5400000,514691",
            {"try northing 5400000.000, easting 3514691.000 (with the number of the zone in front)"}},
        Row{"EPSG:25832",
            "5400000,32514691",
            {"try northing 5400000.000, easting 514691.000 (without the number of the zone in front)"}},
        Row{"EPSG:5514",
            "1045000,742000",
            {"try northing -1045000.000, easting -742000.000 (southings and westings are negative here)"}},
        Row{"EPSG:5514",
            "742000,1045000",
            {"try northing -1045000.000, easting -742000.000 (southings and westings are negative here)"}},
        Row{"EPSG:5514", "-1045000,742000", {"try northing -1045000.000, easting -742000.000"}},
        Row{"EPSG:5514", "-742000,-1045000", {"other way round"}}}) {
    CAPTURE(r.system);
    CAPTURE(r.cells);
    JobFolder job;
    write_job(job, crs(r.system), plane(r.cells));
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    std::vector<std::string> words = r.words;
    words.push_back("control.csv:2:1: row: found");
    CHECK(has_line(result.err, words));
    CHECK(result.err.find("try another sign") == std::string::npos);
  }
  // A row without a place misses what its table has columns for, once.
  const CommandResult none =
      ground(crs("EPSG:32633"), "point,latitude (deg),longitude (deg)\nA,48,15\nB,,\n");
  CHECK(none.exit_code == 2);
  CHECK(has_line(none.err,
                 {"control.csv:3:", "latitude: found an empty cell", "latitude and longitude, both"}));
  CHECK_FALSE(has_line(none.err, {"control.csv:3:", "northing"}));
  CHECK(none.err.find("1 problem;") != std::string::npos);
  // Far off on the other side of the equator no sign of a number would be right.
  const CommandResult far = ground(crs("EPSG:32633"), plane("-300000,500000"));
  CHECK(far.exit_code == 2);
  CHECK(far.err.find("negative here") == std::string::npos);
  const CommandResult near =
      ground(crs("EPSG:32633"), "point,latitude (deg),longitude (deg)\nA,-0.0006,15\n");
  CHECK(has_line(near.err, {"latitude -0.0006,", "the point lies 66 m outside the edge"}));
  CHECK(near.err.find("another sign") == std::string::npos);
  // The edge itself is a second of arc wide, at the 180th meridian as elsewhere. What is proposed is
  // accepted.
  CHECK(ground(crs("EPSG:32660"), plane("10,833992")).exit_code == 0);
  CHECK(ground(crs("+proj=utm +zone=33 +datum=WGS84"), plane("-66.328,500000")).exit_code == 0);
  CHECK(ground(crs("EPSG:5514"), plane("-1045000,-742000")).exit_code == 0);
  CHECK(ground(crs("EPSG:31467"), plane("5400000,3514691")).exit_code == 0);
}

TEST_CASE("ground: work may reach a little across the edge that its control lies inside") {
  for (const auto& [shift, good] : std::vector<std::pair<double, bool>>{{0, true}, {60000, false}}) {
    CAPTURE(shift);
    JobFolder job;
    job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n" +
                              crs("EPSG:32632") +
                              "[baselines]\nties = { file = \"ties.csv\", frame = \"grid\" }\n");
    job.write("control.csv", plane("5500000,716000"));  // 12 degrees of longitude lie at easting 716.3 km
    job.write("drawing.csv", "point,x,y\nD1,10,10\n");
    std::string ties = "mark,x,y,northing,easting\n";
    for (const auto& [name, x, y] :
         {std::tuple("T1", 0, 0), std::tuple("T2", 60, 0), std::tuple("T3", 0, 40)})
      ties += fmt::format("{},{},{},{},{}\n", name, x, y, 5500000.0 + y, 718000.0 + shift + x);
    job.write("ties.csv", ties);
    // Ground needs no ties: beside bad ones it leaves the drawing out.
    const CommandResult ground = job.run({"ground", "."});
    CHECK(ground.exit_code < 2);
    CHECK((ground.err.find("the drawing is left out") == std::string::npos) == good);
    const CommandResult result = good ? ground : job.run({"check", "."});
    CAPTURE(result.err);
    CHECK((result.exit_code < 2) == good);
    CHECK(has_line(result.err, {good ? "doubt: ties.csv:2:1: row" : "ties.csv:2:1: row: found",
                                good ? "outside the edge of the area of use of EPSG:32632" : "area of use"}));
  }
}

TEST_CASE("ground: what the factor is worth far away is told") {
  // EPSG:32632 at 46 degrees: on the central meridian 0.9996, 60 km east of it larger by 60^2 / (2 x 6382^2)
  // = 44.2 ppm.
  JobFolder job;
  job.write(
      "job.toml",
      "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = \"control.csv\"\n" +
          crs("EPSG:32632"));
  job.write("control.csv", plane("5100000,500000"));
  job.write("drawing.csv", "point,x,y\nD1,560000,5100000\n");
  const CommandResult result = job.run({"ground", "."});
  const std::size_t at = result.err.find("the factor of A is ");
  CAPTURE(result.err);
  REQUIRE(at != std::string::npos);
  CHECK(std::abs(std::strtod(result.err.c_str() + at + 19, nullptr) - 44.2) <= 0.3);
  CHECK(result.err.find(" ppm off there") != std::string::npos);
}

TEST_CASE("ground: two feet in one pair of columns are refused") {
  struct Row {
    std::string file;
    std::string bytes;
    std::string place;
  };
  for (const Row& r :
       {Row{"ties.csv",
            "mark,x,y,northing (ft),easting (us-ft)\nT1,0,0,0,0\nT2,60,0,0,196.85\nT3,0,40,131.234,0\n",
            "ties.csv:1:24: easting"},
        Row{"ties.csv",
            "mark,x (us-ft),y (ft),northing,easting\nT1,0,0,0,0\nT2,60,0,0,18.288\nT3,0,40,12.192,0\n",
            "ties.csv:1:16: y"},
        Row{"control.csv", "point,northing (us-ft),easting (ft)\nC1,0,0\n", "control.csv:1:24: easting"},
        Row{"drawing.csv", "point,x (ft),y (us-ft)\nD1,1,1\n", "drawing.csv:1:14: y"}}) {
    CAPTURE(r.bytes);
    JobFolder job;
    job.write("job.toml",
              "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n[baselines]\nties = "
              "\"ties.csv\"\n");
    job.write("control.csv", "point,northing,easting\nC1,0,0\n");
    job.write("drawing.csv", "point,x,y\nD1,1,1\n");
    job.write("ties.csv", "mark,x,y,northing,easting\nT1,0,0,0,0\nT2,60,0,0,60\nT3,0,40,40,0\n");
    job.write(r.file, r.bytes);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    const auto told = problem_lines(result.err);
    REQUIRE(told.size() == 1);
    CHECK(place_of(told[0]) == r.place);
    CHECK(told[0].text.find("one foot for both") != std::string::npos);
  }
}
