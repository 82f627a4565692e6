// Numbers and names in output, and feet and inches in words, of tests/cases.
#include <doctest/doctest.h>

#include <algorithm>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

/// A drawing of one point without control, listed as the row says; extra keys of [list] may be given.
void write_list_job(JobFolder& job, const std::string& point_row, const std::string& list) {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[list]\nheader = false\nline_end = \"lf\"\n" + list);
  job.write("drawing.csv", "point,x,y,kind\n" + point_row + "\n");
}

/// The cells of out/floor-list.csv's only row.
std::vector<std::string> only_row(const JobFolder& job, char separator = ',') {
  const auto rows = csv_rows(job.read("out/floor-list.csv"), separator);
  REQUIRE(rows.size() == 1);
  return rows[0];
}

/// The northing of a point at that y, as the list prints it.
std::string printed(const std::string& y, int decimals) {
  JobFolder job;
  write_list_job(job, "P1,0," + y + ",hanger",
                 "columns = [\"northing\"]\ndecimals = " + std::to_string(decimals) + "\n");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  return only_row(job)[0];
}

/// A name through every table that holds it: what points.csv, the list and the ledger say.
struct NameOut {
  std::string points, list, ledger;
};
NameOut name_out(const std::string& cell) {
  JobFolder job;
  write_list_job(job, cell + ",0,0,hanger", "columns = [\"point\"]\n");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  return {named_rows(job.read("out/points.csv"))[0].at("point"), only_row(job)[0],
          named_rows(job.read("numbers.csv"))[0].at("point")};
}

void same_everywhere(const std::string& cell, const std::string& name) {
  const NameOut out = name_out(cell);
  CHECK(out.points == name);
  CHECK(out.list == name);
  CHECK(out.ledger == name);
}

void locale_does_not_matter() {
  std::string bytes[2];
  for (int i = 0; i < 2; ++i) {
    JobFolder job;
    write_list_job(job, "P1,0,100.5,hanger", "columns = [\"northing\"]\ndecimals = 3\n");
    CommandRun run = job.prepared({"run", "."});
    run.env = {{"LC_ALL", i == 0 ? "C" : "de_DE.UTF-8"}, {"LANG", i == 0 ? "C" : "de_DE.UTF-8"}};
    const CommandResult result = run.run();
    REQUIRE(result.exit_code == 0);
    CHECK(only_row(job)[0] == "100.500");
    bytes[i] = job.read("out/points.csv") + job.read("out/summary.txt") + result.out + result.err;
  }
  CHECK(bytes[0] == bytes[1]);
}

/// What is written reads back, and reading it back writes the same bytes.
void written_twice() {
  JobFolder job;
  write_list_job(job,
                 "\"P7, \"\"old\"\"\",1.23456,-0.5,hanger\n-A1,2,3,hanger\n@C,3,4,hanger\n007,4,5,hanger\n\" "
                 "A1 \",1e3,-2e-3,hanger",
                 "columns = [\"number\", \"northing\", \"easting\", \"elevation\", \"description\"]\n");
  REQUIRE(job.run().exit_code == 0);
  const std::string points = job.read("out/points.csv"), ledger = job.read("numbers.csv");
  job.write("drawing.csv", points);
  REQUIRE(job.run().exit_code == 0);
  CHECK(job.read("out/points.csv") == points);
  CHECK(job.read("numbers.csv") == ledger);
}

void half_a_unit() {
  CHECK(printed("0.125", 2) == "0.13");  // half away from zero, whatever the sign
  CHECK(printed("-0.125", 2) == "-0.13");
  CHECK(printed("0.5", 0) == "1");
  CHECK(printed("-2.5", 0) == "-3");
}

void separator_is_mark() {
  JobFolder job;
  write_list_job(job, "P1,0,100.5,hanger", "separator = \",\"\ndecimal_mark = \",\"\n");
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  check_refused(job, before, result);
  check_told(result.err, {"job.toml:6:13: list.separator", {"decimal_mark"}});
}

void cut_by_characters() {
  JobFolder job;
  const std::string accents = unescape("\\u00E9\\u00E9\\u00E9\\u00E9\\u00E9\\u00E9\\u00E9");
  write_list_job(job, accents + ",0,0,hanger",
                 "columns = [\"description\"]\ndescription_length = 5\nascii = false\n");
  REQUIRE(job.run().exit_code == 0);
  CHECK(only_row(job)[0] == accents.substr(0, 10));
}

void plain_ascii() {
  JobFolder job;
  write_list_job(job, unescape("St\\u00FCtze 5\\u2032-0\\u2033,0,0,hanger\nStutze 5'-0\"\"\",1,0,hanger"),
                 "columns = [\"description\"]\n");
  job.write("drawing.csv",
            unescape("point,x,y\nSt\\u00FCtze 5\\u2032-0\\u2033,0,0\n\"Stutze 5'-0\"\"\",1,0\n"));
  const CommandResult result = job.run();
  REQUIRE(result.exit_code == 0);
  const std::string list = job.read("out/floor-list.csv");
  CHECK(std::all_of(list.begin(), list.end(), [](char c) { return c == '\n' || (c >= 32 && c <= 126); }));
  CHECK(csv_rows(list)[0][0] == "Stutze 5'-0\" hanger");
  CHECK(result.err.find("doubt: drawing.csv:3:1: point: ") !=
        std::string::npos);  // two names have become equal
}

void separator_inside() {
  JobFolder job;
  write_list_job(job, "\"P7, old\",0,0,hanger", "columns = [\"number\", \"description\"]\n");
  const CommandResult result = job.run();
  REQUIRE(result.exit_code == 0);
  CHECK(job.read("out/floor-list.csv") == "1001,P7  old hanger\n");
  CHECK(result.err.find("notice: drawing.csv:2:1: point: ") != std::string::npos);
}

/// Feet and inches as the summary words them: a point of a feet-inch drawing that moved by so much along x.
std::string moved_by(const std::string& from, const std::string& to, const std::string& unit) {
  JobFolder job;
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n");
  job.write("drawing.csv", "point,x (" + unit + "),y\nP1," + csv_cell(from) + ",0\n");
  REQUIRE(job.run().exit_code == 0);
  job.write("drawing.csv", "point,x (" + unit + "),y\nP1," + csv_cell(to) + ",0\n");
  const CommandResult result = job.run();
  REQUIRE(result.exit_code == 0);
  const std::size_t at = result.out.find("moved by ");
  REQUIRE(at != std::string::npos);
  return result.out.substr(at + 9, result.out.find(" (", at) - at - 9);
}

const std::map<std::string, std::function<void()>>& out_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"out-01", [] { CHECK(printed("6561666.6667", 4) == "6561666.6667"); }},
      {"out-02", [] { CHECK(printed("0.0000001", 3) == "0.000"); }},
      {"out-03", [] { CHECK(printed("-0.0004", 3) == "0.000"); }},
      {"out-04", [] { CHECK(printed("4900000.123", 3) == "4900000.123"); }},
      {"out-05", locale_does_not_matter},
      {"out-06", [] { same_everywhere("\"P7, \"\"old\"\"\"", "P7, \"old\""); }},
      {"out-07",
       [] {
         same_everywhere("007", "007");
         same_everywhere("1E5", "1E5");
       }},
      {"out-08", written_twice},
      {"out-09", half_a_unit},
      {"out-10", separator_is_mark},
      {"out-11", cut_by_characters},
      {"out-12", plain_ascii},
      {"out-13", separator_inside},
      {"out-14", [] { same_everywhere("\" A1 \"", "A1"); }},
  };
  return tests;
}

const std::map<std::string, std::function<void()>>& lenout_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"lenout-01", [] { CHECK(moved_by("0", "1.8287 m", "ft-in") == "6'-0\""); }},
      {"lenout-02", [] { CHECK(moved_by("0", "1.8272 m", "ft-in") == "5'-11 15/16\""); }},
      {"lenout-04", [] { CHECK(moved_by("1 m", "4.6576 m", "ft-in") == "12'-0\""); }},
      {"lenout-05", [] { CHECK(moved_by("0", "0'-0 8/16\"", "ft-in") == "0'-0 1/2\""); }},
      {"lenout-08", [] { CHECK(moved_by("0", "12.6'", "ft-in") == "12'-7 3/16\""); }},
      {"lenout-10",
       [] {
         JobFolder job;  // decimal feet hold the drawing's 1/32 inch: at least four decimals
         job.write("job.toml",
                   "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[list]\nunit = \"ft\"\n");
         job.write("drawing.csv", "point,x,y\nP1,5'-6 3/4\",0\n");
         REQUIRE(job.run().exit_code == 0);
         CHECK(named_rows(job.read("out/points.csv"))[0].at("x").rfind("5.5625", 0) == 0);
         CHECK(csv_rows(job.read("out/floor-list.csv"))[0][2] == "5.5625");
       }},
  };
  return tests;
}

}  // namespace

TEST_CASE("numbers and names in output") {
  check_all_are_met("out", out_tests());
  run_all(out_tests());
}

TEST_CASE("feet and inches in words") {
  check_all_are_met("lenout", lenout_tests());
  run_all(lenout_tests());
}
