// Crosses of the book as as-built shots and deck marks, and readings that are their makers' own.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "book_text.h"
#include "job_folder.h"

using namespace deckmark_test;

namespace {

const char* const kToml =
    "revision = \"A\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[floor]\nelevation = \"10 m\"\n"
    "[deck]\nelevation = \"14 m\"\n[asbuilt]\nshots = \"book\"\n[plumb]\nmarks = \"book\"\n";

/// Points every metre, issued once.
void begin(JobFolder& job) {
  job.write("drawing.csv", "point,x,y,run\nA,1,2,R1\nB,2,2,R1\nC,3,2,R1\nD,4,2,R1\nE,5,2,R1\n");
  job.write("job.toml", kToml);
  const CommandResult ran = job.run({"run", ".", "--quiet"});
  REQUIRE_MESSAGE(ran.exit_code == 0, ran.err);
}

std::string first_line(const CommandResult& ran) { return ran.out.substr(0, ran.out.find('\n')); }

}  // namespace

TEST_CASE("the newest standing crosses that were read are the shots; the rest is counted") {
  JobFolder job;
  begin(job);
  BookText book(job);
  book.mark("1001", "floor", "2.001000", "1.000000");
  book.mark("1001", "floor", "2.003000", "1.000000", {{"by", "Bo"}});
  book.mark("1002", "floor", "2.000000", "2.020000", {{"time", "2026-11-28T07:03+01:00"}});
  book.mark("1002", "deck", "2.002000", "2.000000");
  book.add("drilled", {{"number", "1002"}, {"level", "deck"}});
  book.add("marked", {{"number", "1003"}, {"level", "floor"}});
  book.mark("1004", "floor", "2.000000", "4.000000");
  book.add("doubtful", {{"number", "1004"}, {"level", "floor"}});
  book.mark("1005", "floor", "2.000000", "5.000000");
  book.add("voided", {{"number", "1005"}, {"level", "floor"}});
  job.write("book.csv", book.text());
  const CommandResult ran = job.run({"asbuilt", ".", "--csv"});
  const auto rows = csv_rows(ran.out);
  REQUIRE_MESSAGE(rows.size() == 4, ran.out << ran.err);
  const std::vector<std::vector<std::string>> want = {{"1001", "A", "floor", "0.00000", "0.00300", "own"},
                                                      {"1002", "B", "floor", "0.02000", "0.00000", "outside"},
                                                      {"6002", "B", "deck", "0.00000", "0.00200", "own"}};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto& r = rows[i + 1];
    CHECK(std::vector<std::string>{r.at(0), r.at(1), r.at(2), r.at(3), r.at(4), r.at(8)} == want[i]);
  }
  CHECK(ran.err.find("notice: book.csv: file: not judged of what stands in the book: 1 doubtful, 1 without a "
                     "reading, 1 beside a newer one") != std::string::npos);
  CHECK(ran.exit_code == 1);
  // A message of a shot points at its row of the book.
  const CommandResult text = job.run({"asbuilt", "."});
  CHECK(text.err.find("book.csv:") != std::string::npos);
  CHECK(first_line(text) == "2 are the crew's own readings: not a check");
}

TEST_CASE("a cross that another hand read again from another setup is a check, else it is the crew's own") {
  struct Row {
    const char* what;
    std::map<std::string, std::string> made, read;
    const char* verdict;
  };
  for (const Row& row :
       {Row{"another hand, another setup", {{"setup", "S1"}}, {{"setup", "S2"}, {"by", "Bo"}}, "within"},
        Row{"another hand, the same setup", {{"setup", "S1"}}, {{"setup", "s1"}, {"by", "Bo"}}, "own"},
        Row{"the same hand, another setup", {{"setup", "S1"}}, {{"setup", "S2"}, {"by", "ada"}}, "own"},
        Row{"another hand, no setup", {}, {{"by", "Bo"}}, "within"}}) {
    CAPTURE(row.what);
    JobFolder job;
    begin(job);
    BookText book(job);
    const std::size_t made = book.mark("1001", "floor", "2.001000", "1.000000", row.made);
    auto read = row.read;
    read["of"] = std::to_string(made);
    book.mark("1001", "floor", "2.002000", "1.000000", read);
    job.write("book.csv", book.text());
    const auto rows = csv_rows(job.run({"asbuilt", ".", "--csv"}).out);
    REQUIRE(rows.size() == 2);
    CHECK(rows[1].at(4) == "0.00200");
    CHECK(rows[1].at(8) == row.verdict);
  }
}

TEST_CASE("a job whose marks only their makers read is never ready") {
  JobFolder job;
  begin(job);
  BookText book(job);
  book.mark("1001", "deck", "2.001000", "1.000000", {{"elevation", "14.000000"}});
  job.write("book.csv", book.text());
  const CommandResult ran = job.run({"run", ".", "--json"});
  CHECK(ran.exit_code == 0);
  CHECK(ran.out.find("\"verdict\":\"not-checked\"") != std::string::npos);
  CHECK(ran.out.find("2 are the crew's own readings: not a check") != std::string::npos);
  const auto plumb = csv_rows(job.read("out/plumb.csv"));
  REQUIRE(plumb.size() == 2);
  CHECK(plumb[1].back() == "own");
}

TEST_CASE("typed tables may say who shot a mark and who made it") {
  JobFolder job;
  begin(job);
  job.write("job.toml",
            "revision = \"A\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n"
            "[asbuilt]\nshots = \"shots.csv\"\n");
  job.write(
      "shots.csv",
      "point,x,y,setup,marked_from,by,marked_by\nA,1,2.001,S1,S1,,\nB,2,2.001,S2,S1,,\nC,3,2,,,Ada,ada\n"
      "D,4,2,,,Ada,Bo\nE,5,2.1,S1,S1,Ada,Ada\n");
  const auto rows = csv_rows(job.run({"asbuilt", ".", "--csv"}).out);
  REQUIRE(rows.size() == 6);
  const char* const want[] = {"own", "within", "own", "within", "outside"};
  for (std::size_t i = 0; i < 5; ++i) CHECK(rows[i + 1].at(8) == want[i]);
}

TEST_CASE("a book that does not hold stops what needs it, at its line") {
  JobFolder job;
  begin(job);
  BookText book(job);
  book.mark("1001", "floor", "2.001000", "1.000000");
  book.mark("1002", "floor", "2.001000", "2.000000");
  std::string text = book.text();
  text.replace(text.find("2.001000"), 8, "2.000000");
  job.write("book.csv", text);
  const CommandResult ran = job.run({"asbuilt", "."});
  CHECK(ran.exit_code == 2);
  CHECK(ran.err.find("book.csv:2:1: row: found a row that was changed, or one before it is gone, expected") !=
        std::string::npos);
  CHECK(job.run({"stake", "."}).err.find("book.csv:2") == std::string::npos);
}

TEST_CASE("before anything is in the book there is nothing to judge") {
  JobFolder job;
  begin(job);
  const CommandResult ran = job.run({"asbuilt", "."});
  CHECK(ran.exit_code == 2);
  CHECK(ran.err.find("book.csv: file: found no cross that was read and stands") != std::string::npos);
}
