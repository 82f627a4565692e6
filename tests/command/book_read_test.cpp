// `book --read`: a day in one file that the instrument stored.
#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"
#include "piped_dialogue.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// Marks in rows of twenty, issued once.
void begin(JobFolder& job, int points = 40) {
  write_book_job(job.path(), points);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code <= 1);
}

/// A row of the file: a mark of the job at its place, `off` metres further north.
std::string stored(int number, int minute, double off = 0) {
  const int i = number - 1001;
  return text("%d,%.4f,%.4f,S1,2026-11-28T07:%02d:00+01:00\n", number, 105 + i / 20 + off, 105.0 + i % 20,
              minute);
}
std::string control(const std::string& name, int minute, double turned = 0) {
  // As an instrument over CP1 at 100/100 computes it when it is turned by so many seconds.
  const double angle = turned / 206264.806;
  const double north = name == "CP2" ? 40 : 50 * angle, east = name == "CP2" ? -40 * angle : 50;
  return text("%s,%.4f,%.4f,S1,2026-11-28T07:%02d:00+01:00\n", name.c_str(), 100 + north, 100 + east, minute);
}
const std::string kHeader = "point,northing,easting,setup,time\n";

CommandResult read(JobFolder& job, const std::string& rows, std::vector<std::string> more = {}) {
  job.write("day.csv", kHeader + rows);
  std::vector<std::string> args = {"book", ".", "--by", "Ada", "--read", "day.csv"};
  args.insert(args.end(), more.begin(), more.end());
  return job.run(args);
}
/// Cells of a column, row by row, of the book.
std::vector<std::string> of_book(const JobFolder& job, std::size_t column) {
  std::vector<std::string> out;
  const auto rows = csv_rows(job.read("book.csv"));
  for (std::size_t i = 1; i < rows.size(); ++i) out.push_back(rows[i].at(column));
  return out;
}
bool has(const CommandResult& ran, const std::string& words) {
  return ran.out.find(words) != std::string::npos;
}
using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("a day of 120 marks is taken from one file, nothing typed beyond the command") {
  JobFolder job;
  begin(job, 120);
  std::string rows = control("CP2", 0);
  for (int i = 0; i < 120; ++i) rows += stored(1001 + i, i / 3, 0.001);
  rows += control("CP3", 41) + "a note,101,102,S1,\n";
  const CommandResult ran = read(job, rows);
  CHECK_MESSAGE(ran.exit_code == 0, ran.out << ran.err);
  CHECK(has(ran, "check CP2 within"));
  CHECK(has(ran, "kept 3 marked 1001 floor -\n"));
  CHECK(has(ran, "bye 124\n"));
  const Texts acts = of_book(job, 3);
  REQUIRE(acts.size() == 124);
  CHECK(acts[0] == "set-up");
  CHECK(acts[1] == "check");
  CHECK(acts[2] == "marked");
  CHECK(acts[122] == "check");
  CHECK(acts[123] == "note");
  CHECK(of_book(job, 1)[123] == "2026-11-28T07:41:00+01:00");  // as the row before
  CHECK(of_book(job, 13)[2] == "file");
  CHECK(of_book(job, 16)[2] == "c 105.0010 105.0000");
  const std::string before = job.read("book.csv");
  // The same file again: nothing is written twice.
  const CommandResult again = read(job, rows);
  CHECK(again.exit_code == 0);
  CHECK(job.read("book.csv") == before);
  CHECK(has(again, "again 1001\n"));
  CHECK(has(again, "again CP2\n"));
}

TEST_CASE("what cannot be taken is told at its cell, all in one round, and nothing is written") {
  JobFolder job;
  begin(job);
  job.write("day.csv", kHeader + control("CP2", 0) + stored(1001, 1) + "7777,105,105,S1,\n" +
                           stored(1002, 3, 0.26) + "1004,105,108,S9,\n1005,105,109,S1,half past\n");
  const CommandResult ran = job.run({"book", ".", "--by", "Ada", "--read", "day.csv"});
  CHECK(ran.exit_code == 2);
  CHECK_FALSE(job.has("book.csv"));
  CHECK(ran.err.find("day.csv:7:17: time: found \"half past\"") != std::string::npos);
  job.write("day.csv", kHeader + control("CP2", 0) + stored(1001, 1) + "7777,105,105,S1,\n" +
                           stored(1002, 3, 0.26) + "1004,105,108,S9,\n1003,105,104.999,S1,\n");
  const CommandResult other = job.run({"book", ".", "--by", "Ada", "--read", "day.csv"});
  CHECK(other.exit_code == 2);
  CHECK(other.err.find("day.csv:4:1: point: 7777 is no number of issue 1") != std::string::npos);
  CHECK(other.err.find("day.csv:5:6: northing: 0.26 m from 1002: no mark is kept over 0.25 m off") !=
        std::string::npos);
  CHECK(other.err.find("day.csv:6:14: setup: \"S9\": no setup of the job") != std::string::npos);
  CHECK(other.err.find("day.csv:7:6: northing: 2.00 m from 1003") != std::string::npos);
  CHECK(other.err.find("that is 1001's place") != std::string::npos);
  CHECK_FALSE(job.has("book.csv"));
}

TEST_CASE("a check that is outside after the fact makes the marks before it doubtful, told first") {
  JobFolder job;
  begin(job);
  const CommandResult ran = read(job, control("CP2", 0) + stored(1001, 1) + control("CP2", 2) +
                                          stored(1002, 3) + stored(1003, 4) + control("CP2", 5, 120));
  CHECK(ran.exit_code == 1);
  CHECK_MESSAGE(ran.out.starts_with("open 0 1\ndoubtful 1002-1003\nstop S1\n"), ran.out << ran.err);
  CHECK(has(ran, "check CP2 outside\n"));
}

TEST_CASE(
    "a cross marked with a dot from the same setup and issue is completed, one read again is the same") {
  JobFolder job;
  begin(job);
  REQUIRE(read(job, control("CP2", 0)).exit_code == 0);
  job.write("typed.txt", ".\n");
  CommandRun run = job.prepared({});
  run.program = "/bin/sh";
  run.args = {"-c", "exec \"$0\" book . --by Ada --setup S1 --at 2026-11-28T07:01:00+01:00 < typed.txt",
              DECKMARK_PROGRAM};
  REQUIRE(run.run().exit_code == 0);
  const Texts acts = of_book(job, 3);
  REQUIRE(acts.back() == "marked");
  const std::string number = of_book(job, 4).back(), entry = of_book(job, 0).back();
  REQUIRE(read(job, stored(std::stoi(number), 5, 0.002)).exit_code == 0);
  CHECK(of_book(job, 14).back() == entry);
  CHECK(of_book(job, 3) == Texts{"set-up", "check", "marked", "marked"});
  // A centimetre away there are two.
  const CommandResult second = read(job, stored(std::stoi(number), 6, 0.012));
  CHECK(of_book(job, 14).back() == "");
  CHECK(has(second, "has two crosses now, 10.0 mm apart: void one"));
  CHECK(has(second, "is 12.0 mm off, permitted are 6.0 mm"));
}

TEST_CASE("a setup that is set up again in the file stands anew; without one the option counts") {
  JobFolder job;
  begin(job);
  job.write("day.csv", "point,northing,easting\nCP2,140,100\n1001,105,105\n");
  CHECK(job.run({"book", ".", "--by", "Ada", "--read", "day.csv"}).exit_code == 2);
  REQUIRE(job.run({"book", ".", "--by", "Ada", "--read", "day.csv", "--setup", "S1", "--at",
                   "2026-11-28T07:00:00+01:00"})
              .exit_code == 0);
  CHECK(of_book(job, 3) == Texts{"set-up", "check", "marked"});
  CHECK(of_book(job, 1).back() == "2026-11-28T07:00:00+01:00");
  // Within half an hour the same standing goes on, later it is a new one.
  REQUIRE(read(job, stored(1002, 29)).exit_code == 0);
  CHECK(of_book(job, 3).back() == "marked");
  CHECK(of_book(job, 3).size() == 4);
  REQUIRE(read(job, "1003,105,107,S1,2026-11-28T09:00:00+01:00\n").exit_code == 0);
  CHECK(of_book(job, 3) == Texts{"set-up", "check", "marked", "marked", "set-up", "marked"});
}

TEST_CASE(
    "what is read after a check that is out is in doubt, and the setup stands anew only when it is solved "
    "anew") {
  JobFolder job;
  begin(job);
  const CommandResult ran =
      read(job, control("CP2", 0) + stored(1001, 1) + control("CP2", 5, 120) + stored(1002, 6));
  CHECK(ran.exit_code == 1);
  CHECK(ran.out.starts_with("open 0 1\ndoubtful 1001-1002\nstop S1\n"));
  CHECK(has(job.run({"today", "."}), "measure     1001-1002"));
  // Read again from where it stands out it is in doubt all the same.
  REQUIRE(read(job, stored(1002, 8, 0.001)).exit_code == 1);
  CHECK(has(job.run({"today", "."}), "measure     1001-1002"));
  const std::string before = job.read("book.csv");
  const CommandResult later = read(job, "1003,105,107,S1,2026-11-28T09:00:00+01:00\n");
  CHECK(later.exit_code == 2);
  CHECK(later.err.find("day.csv:2:14: setup: S1 is out: key its control anew") != std::string::npos);
  CHECK(job.read("book.csv") == before);
}

TEST_CASE("a name that lies on a target, digits that are no number and times that run back are told") {
  JobFolder job;
  begin(job);
  const CommandResult ran = read(job, control("CP2", 5) + "CP 3,100,150.01,S1,\n1001.0,105,105,S1,\n");
  CHECK(ran.exit_code == 2);
  CHECK(ran.err.find("day.csv:3:1: point: that is CP3's place: is it CP3?") != std::string::npos);
  CHECK(ran.err.find("day.csv:4:1: point: \"1001.0\" is no number: digits alone") != std::string::npos);
  const CommandResult back = read(job, control("CP2", 5) + stored(1001, 4));
  CHECK(back.exit_code == 2);
  CHECK(back.err.find("earlier than the row before") != std::string::npos);
  CHECK_FALSE(job.has("book.csv"));
}

TEST_CASE("a book that has lost what a run kept is not gone on with") {
  JobFolder job;
  begin(job);
  REQUIRE(read(job, control("CP2", 0) + stored(1001, 1)).exit_code == 0);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code <= 1);
  std::filesystem::remove(job.path() / "book.csv");
  const CommandResult ran = read(job, stored(1002, 2));
  CHECK(ran.exit_code == 2);
  CHECK(ran.err.find("deckmark restore") != std::string::npos);
  CHECK_FALSE(job.has("book.csv"));
  CHECK(job.run({"today", "."}).err.find("deckmark restore") != std::string::npos);
}
