// What a floor needs today, from books that a crew kept, and from none.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "book/book.h"
#include "job_folder.h"

using namespace deckmark_test;
using deckmark::Act;
using deckmark::Entry;
using deckmark::EntryLevel;

namespace {

const std::string kDrawing = "point,x,y,run\nA,0,0,R1\nB,2,0,R1\nC,4,0,R1\nD,0,3,R2\nE,2,3,R2\n";
/// B is gone, C moved by 50 mm, F is new where B was.
const std::string kRevised = "point,x,y,run\nA,0,0,R1\nC,4.05,0,R1\nF,2.001,0,R1\nD,0,3,R2\nE,2,3,R2\n";

void write_job(JobFolder& job, const std::string& drawing, const std::string& deck = "",
               const std::string& more = "") {
  job.write("drawing.csv", drawing);
  job.write(
      "job.toml",
      "[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = \"1 m\"\n[deck]\nelevation = \"5 m\"\n" +
          deck + "[hangers]\nheight = \"2.5 m\"\ncut_top = \"100 mm\"\n[list]\nline_end = \"lf\"\n" + more);
}

/// A job with two issues, of which the first was marked.
void write_revised(JobFolder& job, const std::string& deck = "", const std::string& more = "") {
  write_job(job, kDrawing, deck, more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  write_job(job, kRevised, deck, more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
}

/// A book that a crew kept, an entry a minute.
class BookOf {
 public:
  explicit BookOf(const JobFolder& job, std::string crew = "")
      : book_(std::move(crew), named_rows(job.read("issued.csv")).at(0).at("digest")) {}
  BookOf& act(Act what, std::uint32_t number, EntryLevel level = EntryLevel::none, std::uint32_t issue = 1) {
    Entry e;
    e.act = what;
    e.number = number;
    e.level = level;
    e.issue = issue;
    return add(e);
  }
  BookOf& floor(std::uint32_t number) { return act(Act::marked, number, EntryLevel::floor); }
  BookOf& deck(std::uint32_t number) { return act(Act::marked, number, EntryLevel::deck); }
  std::string text() const { return text_; }

 private:
  BookOf& add(Entry e) {
    const std::string minute = std::to_string(100 + book_.size()).substr(1);
    const std::string time = "2026-11-28T07:" + minute + ":00+00:00";
    e.time = time;
    e.at = *deckmark::instant_of(time);
    e.by = "Ada";
    text_ += book_.add(e);
    return *this;
  }
  deckmark::Book book_;
  std::string text_ = deckmark::Book::header();
};

/// `1001 floor leave unchanged` of every row.
std::vector<std::string> lines_of(const std::string& csv) {
  std::vector<std::string> out;
  for (const auto& row : named_rows(csv))
    out.push_back(row.at("number") + " " + row.at("thing") + " " + row.at("do") + " " + row.at("why"));
  return out;
}
using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("a revision over a book: the table, the text, the status") {
  JobFolder job;
  job.write("released.csv", "what,by,on,reference\nR1,A. Voss,2026-11-25,letter 12\n");
  write_revised(job, "released = \"released.csv\"\n");
  BookOf book(job);
  for (const std::uint32_t n : {1001U, 1002U, 1003U, 1004U}) book.floor(n);
  book.deck(1001).deck(1004).deck(1003).act(Act::drilled, 1003, EntryLevel::deck);
  job.write("book.csv", book.text());
  const auto before = job.snapshot();
  const CommandResult csv = job.run({"today", ".", "--csv"});
  CHECK_MESSAGE(csv.exit_code == 1, csv.err);
  CHECK(lines_of(csv.out) ==
        Lines{"1001 floor leave unchanged", "1001 deck leave unchanged", "1001 hole drill not made",
              "1003 floor mark-again beyond", "1003 deck mark not made", "1003 hole fill beyond",
              "1004 floor leave unchanged", "1004 deck leave unchanged", "1004 hole stop not released",
              "1005 floor mark not made", "1005 deck mark not made", "1006 floor renumber was 1002",
              "1006 deck mark not made"});
  const CommandResult text = job.run({"today", "."});
  CHECK(text.exit_code == 1);
  CHECK(text.out ==
        "as of entry 8, issue 2\n"
        "R1: marked 2 of 3, deck 2, drilled 1, hung 0\n"
        "R2: marked 1 of 2, deck 1, drilled 0, hung 0\n"
        "\n"
        "Released for drilling: run R1, by A. Voss on 2026-11-25 (letter 12)\n"
        "Zones are as scanned. If the drill meets anything, stop.\n"
        "\n"
        "R1\n"
        "  fill        6003, the hole: too far from where it is wanted now\n"
        "  renumber    1002 is 1006 now: the cross stays, write the new number\n"
        "  mark again  1003 on the floor: 50.0 mm from the old cross: 50.0 mm along +X;\n"
        "              void the old one\n"
        "  mark        6003, 6006 on the deck\n"
        "  drill       6001 at the cross on the deck\n"
        "\n"
        "R2\n"
        "  STOP        6004: do not drill, nobody released it\n"
        "  mark        1005 on the floor\n"
        "              6005 on the deck\n"
        "\n"
        "All else stays as it is: 4 marks, holes and rods\n");
  CHECK(job.snapshot() == before);
}

TEST_CASE("its lists lead to old places under numbers that no mark has") {
  JobFolder job;
  write_revised(job);
  BookOf book(job);
  for (const std::uint32_t n : {1001U, 1003U}) book.floor(n);
  book.floor(1002).act(Act::doubtful, 1002, EntryLevel::floor);
  book.deck(1003).act(Act::drilled, 1003, EntryLevel::deck);
  job.write("book.csv", book.text());
  const CommandResult result = job.run({"today", ".", "--out", "now"});
  CHECK_MESSAGE(result.exit_code == 1, result.err);
  CHECK(result.out.ends_with("now: today.csv, void-list.csv, mark-list.csv, fill-list.csv\n"));
  CHECK(job.read("now/void-list.csv") ==
        "1002X,0.0000,2.0000,1.0000,VOID\n1003X,0.0000,4.0000,1.0000,VOID\n");
  CHECK(job.read("now/fill-list.csv") == "6003X,0.0000,4.0000,5.0000,VOID\n");
  CHECK(job.read("now/mark-list.csv") ==
        "1003,0.0000,4.0500,1.0000,C hanger\n1004,3.0000,0.0000,1.0000,D hanger\n"
        "1005,3.0000,2.0000,1.0000,E hanger\n1006,0.0000,2.0010,1.0000,F hanger\n"
        "6001,0.0000,0.0000,5.0000,A hanger\n6003,0.0000,4.0500,5.0000,C hanger\n"
        "6004,3.0000,0.0000,5.0000,D hanger\n6005,3.0000,2.0000,5.0000,E hanger\n"
        "6006,0.0000,2.0010,5.0000,F hanger\n");
  CHECK(job.read("now/today.csv") == job.run({"today", ".", "--csv"}).out);
  book.floor(1004);
  job.write("book.csv", book.text());
  CHECK(job.run({"today", ".", "--out", "now"}).exit_code == 1);  // the lists of another day are replaced
  CHECK(job.read("now/mark-list.csv").find("1004,") == std::string::npos);
  job.write("now/notes.txt", "mine\n");
  const auto before = job.snapshot();
  check_refused(job, before, job.run({"today", ".", "--out", "now"}));
}

TEST_CASE("a floor on which all stands as the issue has it needs nothing, and that is status 0") {
  JobFolder job;
  write_job(job, "point,x,y,kind\nA,0,0,reference\nB,2,1,reference\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  job.write("book.csv", BookOf(job).floor(1001).floor(1002).text());
  const CommandResult result = job.run({"today", "."});
  CHECK(result.exit_code == 0);
  CHECK(result.out ==
        "as of entry 2, issue 1\nno run: marked 2 of 2, deck 0, drilled 0, hung 0\n\n"
        "Nothing is to be done: 2 stay as they are\n");
}

TEST_CASE("two crews' books count together, each named; without any nothing stands") {
  JobFolder job;
  write_job(job, kDrawing);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  CHECK(job.run({"today", "."}).out.starts_with("as of entry 0, issue 1\nR1: marked 0 of 3,"));
  job.write("book.csv", BookOf(job).floor(1001).floor(1002).text());
  job.write("book-north.csv", BookOf(job, "north").floor(1004).text());
  const CommandResult result = job.run({"today", "."});
  CHECK(result.exit_code == 0);
  CHECK(
      result.out.starts_with("as of entry 2 of book.csv, entry 1 of book-north.csv, issue 1\n"
                             "R1: marked 2 of 3, deck 0, drilled 0, hung 0\n"
                             "R2: marked 1 of 2, deck 0, drilled 0, hung 0\n"));
}

TEST_CASE("without a book an issue is taken to be marked: the floor alone, as far as it is there") {
  JobFolder job;
  write_revised(job);
  const CommandResult csv = job.run({"today", ".", "--as-issued", "1", "--csv"});
  CHECK_MESSAGE(csv.exit_code == 1, csv.err);
  CHECK(lines_of(csv.out) ==
        Lines{"1001 floor leave unchanged if it is there", "1003 floor mark-again beyond if it is there",
              "1004 floor leave unchanged if it is there", "1005 floor leave unchanged if it is there",
              "1006 floor renumber was 1002 if it is there"});
  CHECK(job.run({"today", ".", "--as-issued", "1"}).out.starts_with("as if issue 1 were marked, issue 2\n"));
  CHECK(job.run({"today", ".", "--as-issued", "2"}).exit_code == 0);
}

TEST_CASE("of an issue that is taken to be marked a list says what is done") {
  JobFolder job;
  write_revised(job);
  const CommandResult some =
      job.run({"today", ".", "--as-issued", "1", "--done", "1001-1004 but 1002", "--csv"});
  CHECK_MESSAGE(some.exit_code == 1, some.err);
  CHECK(lines_of(some.out) == Lines{"1001 floor leave unchanged if it is there",
                                    "1003 floor mark-again beyond if it is there",
                                    "1004 floor leave unchanged if it is there", "1005 floor mark not made",
                                    "1006 floor mark not made"});
  struct Row {
    std::string_view list;
    std::string told;
  };
  const Row rows[] = {
      {"1001-", "--done: found \"1001-\", expected floor numbers of issue 1, as 1041-1052 1060 but 1047\n"},
      {"1001 1999", "--done: found \"1001 1999\" (1999 is no number of issue 1), expected floor numbers"},
      {"6001", "--done: found 6001, a number on the deck, expected floor numbers; of the deck"},
      {"1001 but 1001", "--done: found \"1001 but 1001\" (nothing is left), expected floor numbers"}};
  for (const Row& row : rows) {
    CAPTURE(row.list);
    const auto before = job.snapshot();
    const CommandResult result = job.run({"today", ".", "--as-issued", "1", "--done", std::string(row.list)});
    CHECK(result.exit_code == 2);
    CHECK(result.out.empty());
    CHECK(job.snapshot() == before);
    CHECK_MESSAGE(result.err.find(row.told) != std::string::npos, result.err);
  }
  // Of a range those that the issue had dropped are not meant.
  const CommandResult range = job.run({"today", ".", "--as-issued", "2", "--done", "1001-1003", "--csv"});
  CHECK_MESSAGE(range.exit_code == 0, range.err);
  CHECK(lines_of(range.out).at(0) == "1001 floor leave unchanged if it is there");
  CHECK(lines_of(range.out).at(1) == "1003 floor leave unchanged if it is there");
  const CommandResult dropped = job.run({"today", ".", "--as-issued", "2", "--done", "1002"});
  CHECK(dropped.exit_code == 2);
  CHECK_MESSAGE(dropped.err.find("found 1002, which issue 2 had dropped") != std::string::npos, dropped.err);
}

TEST_CASE("what is typed of today") {
  JobFolder job;
  write_job(job, kDrawing);
  const auto refuses = [&job](std::vector<std::string> args, const std::string& part) {
    const auto before = job.snapshot();
    args.insert(args.begin(), {"today", "."});
    const CommandResult result = job.run(args);
    CHECK(result.exit_code == 2);
    CHECK_MESSAGE(result.err.find(part) != std::string::npos, result.err);
    CHECK(job.snapshot() == before);
  };
  refuses({}, "numbers.csv: file: found no issue");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  refuses({"--as-issued", "2"}, "--as-issued: found \"2\", expected issue 1, the only one");
  refuses({"--done", "1001"}, "--done LIST needs --as-issued N");
  job.write("book.csv", BookOf(job).floor(1001).text() + "2,x\n");
  refuses({}, "book.csv:3:1: row: found");
}

TEST_CASE("no-drill zones: hangers are bridged, today stops, all of it by name") {
  JobFolder job;
  job.write("zones.csv", "zone,x,y,clearance,reference\nT7,1.9,-1,50 mm,scan 3\nT7,1.9,1,,\n");
  job.write("released.csv", "what,by,on\nall,A. Voss,2026-11-25\n");
  write_job(job, kDrawing, "released = \"released.csv\"\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  BookOf book(job);
  // Marked 80 mm off: the cross lies in the strip, its place does not.
  job.write("book.csv", book.floor(1002).deck(1002).text());
  CHECK(lines_of(job.run({"today", ".", "--csv"}).out).at(4) == "1002 hole drill not made");
  write_job(job, kDrawing, "released = \"released.csv\"\nno_drill = \"zones.csv\"\n");
  CHECK(lines_of(job.run({"today", ".", "--csv"}).out).at(4) == "1002 hole drill not made");  // 100 mm away
  job.write("zones.csv", "zone,x,y,clearance,reference\nT7,1.9,-1,150 mm,scan 3\nT7,1.9,1,,\n");
  const CommandResult text = job.run({"today", "."});
  CHECK(text.out.find("STOP        6002: do not drill, no-drill zone T7 (scan 3): ask the engineer\n") !=
        std::string::npos);
  CHECK(lines_of(job.run({"today", ".", "--csv"}).out).at(4) == "1002 hole stop zone T7");
  const CommandResult run = job.run({"run", ".", "--details"});
  CHECK_MESSAGE(run.exit_code == 0, run.err);
  CHECK(run.out.find("no-drill zone T7") != std::string::npos);
  const auto trapezes = csv_rows(job.read("out/trapeze.csv"));
  REQUIRE(trapezes.size() == 2);
  CHECK(job.read("out/trapeze.csv").find("no-drill zone T7") != std::string::npos);
}

TEST_CASE("every head that says drill has the release, or that there is none") {
  JobFolder job;
  job.write("released.csv", "what,by,on,reference\nall,A. Voss,25 November 2026,letter 12\n");
  const std::string more = "[offsets]\nunit = \"m\"\n";
  const std::string told = "Released for drilling: all, by A. Voss on 25 November 2026 (letter 12)",
                    scanned = "Zones are as scanned. If the drill meets anything, stop.";
  write_job(job, kDrawing, "released = \"released.csv\"\n", more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  for (const char* file : {"out/summary.txt", "out/report.html", "out/offset-sheet.txt"}) {
    CAPTURE(file);
    CHECK(job.read(file).find(told) != std::string::npos);
    CHECK(job.read(file).find(scanned) != std::string::npos);
  }
  for (const char* command : {"baseline", "offsets"}) {
    CAPTURE(command);
    CHECK(job.run({command, "."}).out.find(told) != std::string::npos);
  }
  job.write("zones.csv", "zone,x,y,clearance\nT7,9,-1,50 mm\nT7,9,1,\n");
  write_job(job, kDrawing, "no_drill = \"zones.csv\"\n", more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  CHECK(job.read("out/offset-sheet.txt").find("Nothing is released for drilling.") != std::string::npos);
  write_job(job, kDrawing, "", more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  CHECK(job.read("out/offset-sheet.txt").find("released for drilling") == std::string::npos);
}

TEST_CASE("a release that is none is told at its cell") {
  struct Row {
    std::string_view name;
    std::string rows, told;
  };
  const Row rows[] = {
      {"no run, no bay", "R9,A,2026-11-25\n",
       "released.csv:2:1: what: found \"R9\", expected a run of the drawing, a bay of the deck, or all"},
      {"a date that reads two ways", "R1,A,11/12/26\n",
       "released.csv:2:6: on: found \"11/12/26\", expected a date that reads one way"},
      {"a day that is none", "R1,A,2026-02-30\n",
       "released.csv:2:6: on: found \"2026-02-30\", expected a date"},
      {"no date", "R1,A,\n", "released.csv:2:6: on: found an empty cell, expected a date that reads one way"},
      {"nobody", "R1,,2026-11-25\n", "released.csv:2:4: by: found an empty"},
      {"nothing", ",A,2026-11-25\n", "released.csv:2:1: what: found an empty"}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    JobFolder job;
    job.write("released.csv", "what,by,on\n" + row.rows);
    write_job(job, kDrawing, "released = \"released.csv\"\n");
    const auto before = job.snapshot();
    const CommandResult result = job.run({"run", "."});
    check_refused(job, before, result);
    CHECK_MESSAGE(result.err.find(row.told) != std::string::npos, result.err);
  }
  JobFolder job;
  job.write("released.csv", "what,by,on\nr1,A,25 November 2026\n ALL ,B,2026-11-25\n");
  write_job(job, kDrawing, "released = \"released.csv\"\n");
  CHECK(job.run({"run", ".", "--quiet"}).exit_code == 0);
}

TEST_CASE("what a zone table lacks is told beside other faults of the job") {
  JobFolder job;
  job.write("zones.csv", "zone,x,y,clearance\nT1,1,1,50 mm\nT2,x,0,\nT3,0,0,-1 mm\nT3,1,0,\n");
  job.write("released.csv", "what,by,on\nR9,A,2026-11-25\n");
  write_job(job, kDrawing, "released = \"released.csv\"\nno_drill = \"zones.csv\"\n");
  const auto before = job.snapshot();
  const CommandResult result = job.run({"run", "."});
  check_refused(job, before, result);
  for (const char* told : {"zones.csv:2:1: zone: found outline T1 with 1 corner, expected two of a line",
                           "zones.csv:3:4: x: found", "zones.csv:4:8: clearance: found"})
    CHECK_MESSAGE(result.err.find(told) != std::string::npos, result.err);
}

TEST_CASE("once marks are in a book the corners of their strings stay") {
  JobFolder job;
  job.write(
      "drawing.csv",
      "point,x,y,kind\nB1,0,0,reference\nB2,12,0,reference\nB3,0,9,reference\nB4,12,9,reference\nP,3,4,\n");
  job.write("lengths.csv",
            "from,to,measured\nB1,B2,12\nB1,B3,9\nB2,B3,14.984\nB1,B4,15\nB2,B4,9\nB3,B4,11.98\n");
  job.write(
      "job.toml",
      "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nlengths = \"lengths.csv\"\n[offsets]\nunit = \"m\"\n"
      "strings = [\"B1\", \"B2\", \"B3\"]\n");
  const CommandResult first = job.run({"run", ".", "--details"});
  REQUIRE(first.exit_code < 2);
  REQUIRE(csv_rows(job.read("out/corners.csv")).size() > 1);
  const std::string number = named_rows(job.read("out/points.csv")).at(4).at("number");
  job.write("book.csv", BookOf(job).floor(static_cast<std::uint32_t>(std::stoul(number))).text());
  const CommandResult later = job.run({"run", ".", "--details"});
  CHECK(later.err.find(
            "doubt: job.toml:7:11: offsets.strings: the tape says that corner marks stand off, and 1 "
            "mark on the floor was laid out from their strings") != std::string::npos);
  CHECK(csv_rows(job.read("out/corners.csv")).size() == 1);
}
