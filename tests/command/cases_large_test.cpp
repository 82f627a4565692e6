// Large tables of tests/cases: one very long line, and a million rows.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "cases_support.h"

using namespace deckmark_test;

TEST_CASE("csv-45: one very long line") {
  JobFolder job;
  write_plain_job(job);
  job.write("control.csv", "point,northing,easting,elevation,note\nA1,100.000,200.000,10.000,\"" +
                               std::string(8 << 20, 'x') + "\"\nA2,101.500,202.250,10.125,\n");
  const CommandResult result = job.run();
  REQUIRE(result.exit_code == 0);
  const auto rows = listed(job);
  REQUIRE(rows.size() == 3);
  check_length(rows[1].at("northing"), "101.5");
  check_length(rows[1].at("easting"), "202.25");
  check_length(rows[1].at("elevation"), "10.125");
}

TEST_CASE("csv-46: a million rows") {
  constexpr int kRows = 1000000;
  JobFolder job;
  write_plain_job(job);
  std::string table = "point,northing,easting,elevation\n";
  table.reserve(40u << 20);
  char line[80];
  for (int i = 1; i <= kRows; ++i) {
    std::snprintf(line, sizeof line, "P%d,%d.%03d,%d.%03d,0\n", i, i / 1000, i % 1000, 2 * i / 1000,
                  2 * i % 1000);
    table += line;
  }
  job.write("control.csv", table);
  const CommandResult result = job.run();
  REQUIRE(result.exit_code == 0);
  const auto rows = csv_rows(job.read("out/list.csv"));
  REQUIRE(rows.size() == kRows + 2);
  for (const int i : {1, 499999, 500000, 500001, kRows}) {
    const auto& row = rows[static_cast<std::size_t>(i)];
    CHECK(row[0] == "P" + std::to_string(i));
    CHECK(std::abs(std::strtod(row[1].c_str(), nullptr) - i * 0.001) < 1e-9);
    CHECK(std::abs(std::strtod(row[2].c_str(), nullptr) - i * 0.002) < 1e-9);
  }
}
