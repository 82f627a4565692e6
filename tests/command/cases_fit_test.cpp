// Fits of ties, baselines and lifted marks of tests/cases.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <sstream>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

/// `A local x=0 y=0 site E=5000 N=2000; ...; then P local x=10 y=20`.
struct FitInput {
  std::string ties, points;
};

FitInput fit_input(const std::string& text) {
  FitInput out{"mark,x,y,northing,easting\n", "point,x,y\n"};
  std::istringstream parts(text);
  for (std::string part; std::getline(parts, part, ';');) {
    std::istringstream words(part);
    std::string name;
    std::map<std::string, std::string> values;
    for (std::string word; words >> word;) {
      if (const std::size_t eq = word.find('='); eq != std::string::npos)
        values[word.substr(0, eq)] = word.substr(eq + 1);
      else if (word != "then" && word != "local" && word != "site" && name.empty())
        name = word;
    }
    if (values.count("E"))
      out.ties += name + "," + values["x"] + "," + values["y"] + "," + values["N"] + "," + values["E"] + "\n";
    else
      out.points += name + "," + values["x"] + "," + values["y"] + "\n";
  }
  if (out.points == "point,x,y\n") out.points += "P,1,1\n";
  return out;
}

std::string fit_toml(const std::string& id, const std::string& more) {
  const bool free = case_of(id).at("setting").find("scale free") != std::string::npos;
  return "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n" +
         std::string(free ? "scale = \"free\"\n" : "") + more +
         "[list]\nheader = true\ndecimals = 9\ncolumns = [\"point\", \"northing\", \"easting\"]\n";
}

CommandResult run_fit(JobFolder& job, const std::string& id, const std::string& more = "",
                      const std::string& points = "") {
  const FitInput in = fit_input(case_of(id).at("input"));
  job.write("job.toml", fit_toml(id, more));
  job.write("ties.csv", in.ties);
  job.write("drawing.csv", points.empty() ? in.points : points);
  return job.run();
}

void check_place(const JobFolder& job, std::size_t row, double easting, double northing, double within) {
  const auto rows = named_rows(job.read("out/floor-list.csv"));
  REQUIRE(rows.size() > row);
  CHECK(std::abs(std::strtod(rows[row].at("easting").c_str(), nullptr) - easting) <= within);
  CHECK(std::abs(std::strtod(rows[row].at("northing").c_str(), nullptr) - northing) <= within);
}

double number_of(const std::map<std::string, std::string>& row, const std::string& column) {
  return std::strtod(row.at(column).c_str(), nullptr);
}

void check_residuals(const JobFolder& job, double most) {
  for (const auto& row : named_rows(job.read("out/baseline.csv"))) {
    CAPTURE(row.at("mark"));
    CHECK(std::abs(number_of(row, "residual")) <= most);
  }
}

bool says(const CommandResult& result, const std::string& word) {
  return (result.err + result.out).find(word) != std::string::npos;
}

/// The row's `fail`: exit 1 or 2, and the words said.
void check_fails(const JobFolder& job, const CommandResult& result, const std::vector<std::string>& words) {
  CAPTURE(result.err);
  CHECK((result.exit_code == 1 || result.exit_code == 2));
  CHECK(job.has("out/points.csv") == (result.exit_code == 1));
  for (const std::string& word : words) {
    CAPTURE(word);
    CHECK(says(result, word));
  }
}

void check_error(JobFolder& job, const std::string& id, const Refusal& refusal) {
  const FitInput in = fit_input(case_of(id).at("input"));
  job.write("job.toml", fit_toml(id, ""));
  job.write("ties.csv", in.ties);
  job.write("drawing.csv", in.points);
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  check_refused(job, before, result);
  check_told(result.err, refusal);
}

void two_points() {
  JobFolder job;
  const CommandResult result = run_fit(job, "fit-01");
  CHECK(result.exit_code == 0);
  check_place(job, 0, 4996, 2022, 1e-9);
  check_residuals(job, 1e-9);
  CHECK(has_doubt_or_notice(result.err));
  CHECK(result.err.find("BASELINES NOT CHECKED: ") != std::string::npos);
}

void shared_mismatch() {
  for (const bool tight : {true, false}) {
    JobFolder job;
    const CommandResult result =
        run_fit(job, "fit-02", tight ? "tolerance = \"3 mm\"\n" : "tolerance = \"20 mm\"\n",
                "point,x,y\nA,0,0\nB,100,0\n");
    CAPTURE(result.err);
    CHECK(result.exit_code == (tight ? 1 : 0));
    check_place(job, 0, 5000.008, 2000.006, 1e-9);
    check_place(job, 1, 5080.008, 2060.006, 1e-9);
    const auto rows = named_rows(job.read("out/baseline.csv"));
    REQUIRE(rows.size() == 4);
    for (const std::size_t r : {0U, 2U}) {
      CHECK(rows[r].at("axis") == "x");
      CHECK(std::abs(std::abs(number_of(rows[r], "residual")) - 0.010) < 1e-5);
      CHECK(rows[r].at("verdict") == (tight ? "outside" : "within"));
    }
    if (tight) CHECK(result.err.find("DO NOT LAY OUT: tie A x") != std::string::npos);
  }
}

void blunder_of_a_foot() {
  JobFolder job;
  const CommandResult result = run_fit(job, "fit-08");
  check_fails(job, result, {"C"});
  REQUIRE(result.exit_code == 1);
  const auto rows = named_rows(job.read("out/baseline.csv"));
  REQUIRE(rows.size() == 8);
  // X runs east and Y north here: residual x = dE, y = dN of the row, stated minus computed in the drawing.
  const double wanted[4][2] = {{0, 0}, {-0.0762, 0.0762}, {0.1524, 0}, {-0.0762, -0.0762}};
  for (std::size_t t = 0; t < 4; ++t)
    for (std::size_t a = 0; a < 2; ++a) {
      CAPTURE(rows[2 * t + a].at("mark"));
      // The row shares the misfit out on site, the program in the drawing: with a freed scale 0.2 mm apart.
      CHECK(std::abs(std::abs(number_of(rows[2 * t + a], "residual")) - std::abs(wanted[t][a])) < 5e-4);
    }
  // Without C the rest fits: a person is told which tie to look at first, and only that one.
  CHECK(result.err.find("doubt: ties.csv:4:1: mark: without C the other ties fit within 0.0 mm") !=
        std::string::npos);
  CHECK(result.err.find("doubt: ties.csv:4:3: x: x of tie C is contradicted") != std::string::npos);
  for (const char* other : {"without A", "without B", "without D"}) CHECK(!says(result, other));
}

void large_coordinates() {
  JobFolder job;
  CHECK(run_fit(job, "fit-09").exit_code == 0);
  check_place(job, 0, 500000.123, 4900025.456, 1e-8);
  check_residuals(job, 1e-6);
  CHECK(!has_doubt_or_notice(job.run({"check", "."}).err));
}

void short_base() {
  JobFolder job;
  const CommandResult result = run_fit(job, "fit-12");
  CHECK(result.exit_code == 0);
  check_place(job, 0, 99.999202, 0.399997, 1e-6);
  CHECK(result.err.find("doubt: ") != std::string::npos);
}

void not_a_number() {
  JobFolder job;
  job.write("job.toml", fit_toml("fit-14", ""));
  job.write("ties.csv", "mark,x,y,northing,easting\nA,0,0,2000,5000\nB,100,0,2060,5080\nC,0,100,2080,nan\n");
  job.write("drawing.csv", "point,x,y\nP,1,1\n");
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  check_refused(job, before, result);
  check_told(result.err, {"ties.csv:4:14: easting", {"\"nan\""}});
}

void survey_feet() {
  JobFolder job;
  const CommandResult result = run_fit(job, "fit-15");
  CHECK(result.exit_code == 0);
  CHECK(result.err.find("survey foot") != std::string::npos);
  CHECK(says(result, "2.0 ppm"));
}

/// Observed A, B, C, X; control A, B, C, D.
void unknown_target() {
  JobFolder job;
  job.write("job.toml",
            "drawing.points = \"drawing.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = "
            "\"control.csv\"\n[instrument]\nangles = "
            "\"degrees\"\n"
            "angle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = "
            "\"free\"\nobservations = \"s1.csv\"\n");
  job.write("drawing.csv", "point,x,y\nP,1,1\n");
  job.write("control.csv", "point,northing,easting\nA,10,0\nB,0,10\nC,-10,0\nD,0,-10\n");
  job.write("s1.csv", "target,circle,zenith,slope\nA,0,90,10\nB,90,90,10\nC,180,90,10\nX,225,90,5\n");
  const CommandResult result = job.run();
  CHECK(result.exit_code == 0);
  CHECK(result.err.find("doubt: ") != std::string::npos);
  CHECK(result.err.find(": X;") != std::string::npos);
  const auto setup = named_rows(job.read("out/setup.csv"));
  REQUIRE(setup.size() == 1);
  CHECK(std::abs(std::strtod(setup[0].at("northing").c_str(), nullptr)) < 1e-4);
  CHECK(std::abs(std::strtod(setup[0].at("easting").c_str(), nullptr)) < 1e-4);
  CHECK(job.read("out/shots-S1.csv").find(",X,") != std::string::npos);
}

const std::map<std::string, std::function<void()>>& fit_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"fit-01", two_points},
      {"fit-02", shared_mismatch},
      {"fit-03",
       [] {
         JobFolder job;
         check_error(job, "fit-03", {"ties.csv: file", {"rotation"}});
       }},
      {"fit-04",
       [] {
         JobFolder job;
         check_error(job, "fit-04", {"ties.csv: file", {"rotation"}});
       }},
      {"fit-05",
       [] {
         JobFolder job;
         CHECK(run_fit(job, "fit-05").exit_code == 0);
         check_place(job, 0, 5034, 2038, 1e-9);
         check_residuals(job, 1e-9);
       }},
      {"fit-07",
       [] {
         JobFolder job;
         const auto result = run_fit(job, "fit-07");
         check_fails(job, result, {"mirrored", "ties.csv"});
       }},
      {"fit-08", blunder_of_a_foot},
      {"fit-09", large_coordinates},
      {"fit-10",
       [] {
         JobFolder job;
         const auto result = run_fit(job, "fit-10");
         check_fails(job, result, {"millimetre", "metre"});
       }},
      {"fit-11",
       [] {
         JobFolder job;
         const auto result = run_fit(job, "fit-11");
         check_fails(job, result, {"inch", "metre"});
       }},
      {"fit-12", short_base},
      {"fit-13", unknown_target},
      {"fit-14", not_a_number},
      {"fit-15", survey_feet},
      {"fit-16",
       [] {
         JobFolder job;
         const auto result = run_fit(job, "fit-16");
         check_fails(job, result, {"C", "missing"});
       }},
  };
  return tests;
}

/// Runs a job of ties that state x or y alone.
CommandResult run_lines(JobFolder& job, const std::string& ties, const std::string& points,
                        const std::string& more = "") {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n" + more +
                "[list]\nheader = true\ndecimals = 9\ncolumns = [\"point\", \"northing\", \"easting\"]\n");
  job.write("ties.csv", "mark,x,y,northing,easting\n" + ties);
  job.write("drawing.csv", "point,x,y\n" + points);
  return job.run();
}

void parallel_lines() {
  JobFolder job;  // the X baseline through A, B; the Y baseline through C, D, beside it
  const auto result = run_lines(job, "A,,0,0,0\nB,,0,0,100\nC,0,,20,0\nD,0,,20,100\n", "P,1,1\n");
  CAPTURE(result.err);
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("ties.csv: file: ") != std::string::npos);
  CHECK(result.err.find("parallel") != std::string::npos);
  CHECK(!job.has("out"));
}

void equal_ends() {
  JobFolder job;
  const auto result = run_lines(job, "A,,0,10,10\nB,,0,10,10\nC,0,,10,10\n", "P,1,1\n");
  CAPTURE(result.err);
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("ties.csv: file: ") != std::string::npos);
  CHECK(result.err.find("rotation") != std::string::npos);
}

void square_lines() {
  JobFolder job;  // x = 0 on the line E = 1000, y = 0 on the line N = 2000; +X runs east
  const auto result = run_lines(job, "A,0,,1990,1000\nB,0,,2030,1000\nC,,0,2000,1000\nD,,0,2000,1040\n",
                                "P,\"12'-6\"\"\",\"-3'-4\"\"\"\n", "azimuth_near = \"90°\"\n");
  CAPTURE(result.err);
  CHECK(result.exit_code == 0);
  check_place(job, 0, 1003.81, 1998.984, 1e-9);
}

void hardly_square() {
  JobFolder job;  // the Y line leans 30" towards +X: 8.7 mm in 60 m, shared by both lines
  const double off = 60 * std::tan(30.0 / 3600 * std::acos(-1.0) / 180);
  char top[80];
  std::snprintf(top, sizeof top, "B,0,,60,%.6f\n", off);
  const auto result = run_lines(job, "A,0,,0,0\n" + std::string(top) + "C,,0,0,0\nD,,0,0,60\n", "P,60,60\n",
                                "azimuth_near = \"90°\"\n");
  CAPTURE(result.err);
  CHECK(result.exit_code == 0);
  CHECK(has_doubt_or_notice(result.err));
  CHECK(says(result, "Neither baseline is held; both give a little."));  // which reading of an offset is used
}

const std::map<std::string, std::function<void()>>& base_tests() {
  static const std::map<std::string, std::function<void()>> tests = {{"base-01", parallel_lines},
                                                                     {"base-02", equal_ends},
                                                                     {"base-03", square_lines},
                                                                     {"base-04", hardly_square}};
  return tests;
}

std::string toml_text(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\\\"") : std::string(1, c);
  return out + "\"";
}

/// The attach elevation over a floor, in metres.
std::string attached(const std::string& floor, const std::string& height) {
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[floor]\nelevation = " +
                            toml_text(floor) + "\n[hangers]\nheight = " + toml_text(height) + "\n");
  job.write("drawing.csv", "point,x,y\nP,0,0\n");
  const auto result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  return named_rows(job.read("out/points.csv"))[0].at("attach_elevation");
}

const std::map<std::string, std::function<void()>>& lift_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"lift-01", [] { check_length(attached("100'-0\"", "13'-4 1/2\""), "34.5567"); }},
      {"lift-02", [] { check_length(attached("9'-11 15/16\"", "0'-0 1/16\""), "3.048"); }},
      {"lift-03", [] { check_length(attached("31.400 m", "13'-6\""), "35.5148"); }},
  };
  return tests;
}

}  // namespace

TEST_CASE("fits of ties") {
  check_all_are_met("fit", fit_tests());
  run_all(fit_tests());
}

TEST_CASE("building baselines") {
  check_all_are_met("base", base_tests());
  run_all(base_tests());
}

TEST_CASE("lifted marks") {
  check_all_are_met("lift", lift_tests());
  run_all(lift_tests());
}
