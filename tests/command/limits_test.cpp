// What is too long, too large or too small is told as itself, at its cell or key.
#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

const std::string kTables =
    "[drawing]\npoints = \"drawing.csv\"\nruns = \"runs.csv\"\npieces = \"pieces.csv\"\nlines = "
    "\"lines.csv\"\n"
    "[site]\ncontrol = \"control.csv\"\n[baselines]\nties = \"ties.csv\"\n[floor]\nelevation = \"12 m\"\n"
    "[deck]\nshots = \"deck.csv\"\nbays = \"bays.csv\"\n[hangers]\nmax_spacing = \"2 m\"\nheight = \"2 m\"\n"
    "[obstructions]\noutlines = \"ducts.csv\"\n";

void write_tables(JobFolder& job) {
  job.write("drawing.csv", "point,x,y,run\nA,0,0,Q1\nB,9,1,Q1\nC,1,1,Q2\n");
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\nR1,line,0,5,6,5\n");
  job.write("pieces.csv", "piece,run,length\nP1,R1,3\nP2,R1,3\n");
  job.write("lines.csv", "line,axis,at\nL1,x,0\n");
  job.write("control.csv", "point,northing,easting\nCP1,0,0\nCP2,0,30\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting,sd\nB1,0,0,0,0,0.002\nB2,20,0,0,20,0.002\nB3,0,20,20,0,0.002\n");
  job.write("deck.csv", "shot,x,y,elevation,bay\nS1,0,0,16,\nS2,20,0,16,\nS3,0,20,16,\n");
  job.write("bays.csv", "bay,x,y\nE1,-5,-5\nE1,30,-5\nE1,30,30\nE1,-5,30\n");
  job.write("ducts.csv", "name,x,y\nD1,12,12\nD1,13,12\nD1,13,13\n");
}

std::string with_cell(const std::string& table, std::size_t row, std::size_t column,
                      const std::string& cell) {
  auto rows = csv_rows(table);
  rows.at(row).at(column) = cell;
  std::string bytes;
  for (const auto& r : rows)
    for (std::size_t k = 0; k < r.size(); ++k) bytes += csv_cell(r[k]) + (k + 1 < r.size() ? "," : "\n");
  return bytes;
}

std::string times(const std::string& text, std::size_t n) {
  std::string out;
  for (std::size_t i = 0; i < n; ++i) out += text;
  return out;
}

}  // namespace

TEST_CASE("limits: a name of over 200 characters is told at its cell, in every table") {
  // 2026-11-27: a run's name of 300 letters became a file name, and the run ended as a failure of the system.
  struct Row {
    const char* file;
    std::size_t row, column;
    const char* place;
  };
  for (const Row& r : {Row{"drawing.csv", 1, 0, "drawing.csv:2:1: point"},
                       {"drawing.csv", 3, 3, "drawing.csv:4:7: run"},
                       {"runs.csv", 1, 0, "runs.csv:2:1: run"},
                       {"pieces.csv", 1, 0, "pieces.csv:2:1: piece"},
                       {"lines.csv", 1, 0, "lines.csv:2:1: line"},
                       {"control.csv", 1, 0, "control.csv:2:1: point"},
                       {"ties.csv", 1, 0, "ties.csv:2:1: mark"},
                       {"deck.csv", 1, 0, "deck.csv:2:1: shot"},
                       {"deck.csv", 1, 4, "deck.csv:2:11: bay"},
                       {"bays.csv", 1, 0, "bays.csv:2:1: bay"},
                       {"ducts.csv", 1, 0, "ducts.csv:2:1: name"}})
    for (const std::string letter : {"n", "\u00E9"}) {
      CAPTURE(r.place);
      JobFolder job;
      write_tables(job);
      job.write("job.toml", kTables);
      const std::string good = job.read(r.file);
      job.write(r.file, with_cell(good, r.row, r.column, times(letter, 200)));
      const CommandResult fits = job.run({"check", "."});
      CAPTURE(fits.err);
      CHECK(fits.err.find("characters") == std::string::npos);
      job.write(r.file, with_cell(good, r.row, r.column, times(letter, 201)));
      const auto before = job.snapshot();
      const CommandResult result = job.run();
      check_refused(job, before, result);
      const auto told = problem_lines(result.err);
      REQUIRE(!told.empty());
      bool found = false;
      for (const ToldLine& t : told)
        found = found || (place_of(t) == r.place &&
                          t.text.find("a name of 201 characters, expected a name of up to 200 characters") !=
                              std::string::npos);
      CHECK_MESSAGE(found, result.err);
    }
}

TEST_CASE("limits: the longest name of a run makes a file name, a longer one is a problem") {
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[list]\nsplit = \"run\"\n");
  for (const std::string letter : {"R", "\u00DC"}) {
    job.write("drawing.csv", "point,x,y,run\nA,0,0," + times(letter, 200) + "\nB,1,1,R2\n");
    const CommandResult result = job.run();
    CAPTURE(result.err);
    CHECK(result.exit_code == 0);
    CHECK(job.has("out/floor-list-" + times(letter == "R" ? "R" : "_", 200) + ".csv"));
    job.write("drawing.csv", "point,x,y,run\nA,0,0," + times(letter, 300) + "\nB,1,1,R2\n");
    CHECK(job.run().exit_code == 2);
  }
  job.write("drawing.csv", "point,x,y\nA,0,0\nB,1,1\n");
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[numbers]\nledger = \"" + times("n", 237) + ".csv\"\n");
  const CommandResult ledger = job.run();
  CHECK(ledger.exit_code == 2);
  CHECK(ledger.err.find("job.toml:4:10: numbers.ledger: found ") != std::string::npos);
  CHECK(ledger.err.find("a file name of 241 bytes, expected a file name of up to 240 bytes") !=
        std::string::npos);
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[numbers]\nledger = \"" + times("n", 236) + ".csv\"\n");
  job.forget_issues();  // another ledger would be a lost one
  CHECK(job.run().exit_code == 0);
}

TEST_CASE("limits: a length that no site has is told at its key, with its range") {
  // 2026-11-27: a tie_sd of 1e8 m was told as ties that leave the rotation open, an elevation as a wrong
  // deck.
  struct Row {
    const char* section;
    const char* key;
    const char* value;
    const char* expected;
  };
  constexpr const char* sds = "a standard deviation from 0.001 mm to 10 m";
  for (const Row& r : {Row{"baselines", "tie_sd", "1e8 m", sds},
                       {"baselines", "tie_sd", "10.001 m", sds},
                       {"baselines", "tie_sd", "1e-9 m", sds},
                       {"baselines", "tolerance", "1e8 m", "a tolerance from 0.001 mm to 10 m"},
                       {"baselines", "tolerance", "1e-9 m", "a tolerance from 0.001 mm to 10 m"},
                       {"plumb", "sd", "1e8 m", sds},
                       {"plumb", "tolerance", "11 m", "to 10 m"},
                       {"asbuilt", "sd", "20 m", sds},
                       {"asbuilt", "plan", "1e8 m", "to 10 m"},
                       {"instrument", "distance_sd", "1e8 m", sds},
                       {"instrument", "centring_sd", "1e8 m", sds},
                       {"instrument", "target_sd", "1e8 m", sds},
                       {"instrument", "height_sd", "1e-9 m", sds},
                       {"floor", "elevation", "1e8 m", "an elevation from -10000 m to 10000 m"},
                       {"deck", "elevation", "-1e8 m", "an elevation from -10000 m to 10000 m"},
                       {"hangers", "height", "1e8 m", "a height from -1000 m to 1000 m"},
                       {"hangers", "max_spacing", "1e8 m", "a length up to 10000 m"}}) {
    CAPTURE(r.section);
    CAPTURE(r.key);
    CAPTURE(r.value);
    JobFolder job;
    write_tables(job);
    job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[site]\nunit = \"m\"\n[" +
                              std::string(r.section) + "]\n" + r.key + " = \"" + r.value + "\"\n" +
                              (std::string(r.section) == "baselines" ? "ties = \"ties.csv\"\n" : ""));
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(result.exit_code == 2);
    const auto told = problem_lines(result.err);
    REQUIRE(told.size() == 1);
    CHECK(place_of(told[0]).starts_with("job.toml:6:"));
    CHECK(told[0].field == std::string(r.section) + "." + r.key);
    CHECK(told[0].text.find(r.value) != std::string::npos);
    CHECK(told[0].text.find(r.expected) != std::string::npos);
  }
  JobFolder job;
  write_tables(job);
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n[baselines]\nties = "
            "\"ties.csv\"\n");
  job.write("ties.csv", with_cell(job.read("ties.csv"), 2, 5, "100000000"));
  const CommandResult cell = job.run({"check", "."});
  const auto told = problem_lines(cell.err);
  REQUIRE(told.size() == 1);
  CHECK(place_of(told[0]) == "ties.csv:3:14: sd");
  CHECK(told[0].text.find(sds) != std::string::npos);
}

TEST_CASE("limits: full-width signs at the start of a text are neutralised, and read back as typed") {
  // 2026-11-27: only the ASCII signs were, and some spreadsheets take the full-width ones for them.
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  job.write("drawing.csv", "point,x,y,kind,run\n\uFF1DA,0,0,\uFF0Bk,\uFF20r\n\uFF0DB,1,1,k\uFF1D,'\uFF1D\n");
  for (int again = 0; again < 2; ++again) {
    const CommandResult result = job.run();
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    const auto rows = csv_rows(job.read("out/points.csv"));
    CHECK(rows.at(1).at(1) == "'\uFF1DA");
    CHECK(rows.at(1).at(2) == "'\uFF0Bk");
    CHECK(rows.at(1).at(3) == "'\uFF20r");
    CHECK(rows.at(2).at(1) == "'\uFF0DB");
    CHECK(rows.at(2).at(2) == "k\uFF1D");
    CHECK(rows.at(2).at(3) == "'\uFF1D");  // the apostrophe was a spreadsheet's
    const auto numbers = csv_rows(job.read("numbers.csv"));
    CHECK(numbers.at(1).at(0) == "'\uFF1DA");
    CHECK(numbers.size() == 3);  // the second run knows them again
  }
}
