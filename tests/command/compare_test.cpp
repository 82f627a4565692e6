// A list that was read back from an instrument, held against what was handed out.
#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

using Cells = std::vector<std::vector<std::string>>;

const std::string kDrawing = "point,x,y,run\nA,1,2,R1\nB,1.5,2,R1\nC,2,4.123,R2\nD,7,3,R2\nE,9,9,\n";

void write_job(JobFolder& job, const std::string& revision, const std::string& drawing,
               const std::string& more = "") {
  job.write("drawing.csv", drawing);
  job.write("job.toml", "revision = \"" + revision +
                            "\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n"
                            "[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"14 m\"\n" +
                            more);
}

std::string text_of(const Cells& cells, char separator = ',') {
  std::string out;
  for (const auto& row : cells) {
    for (std::size_t i = 0; i < row.size(); ++i) out += (i ? std::string(1, separator) : "") + row[i];
    out += "\n";
  }
  return out;
}

/// 1001..1005: number, northing, easting, elevation, description.
Cells floor_list(const JobFolder& job) { return csv_rows(job.read("out/floor-list.csv")); }

}  // namespace

TEST_CASE("a list of the last issue is told, whatever it went through") {
  JobFolder job;
  write_job(job, "A", kDrawing);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const Cells good = floor_list(job);
  Cells other = good;
  for (auto& row : other) std::swap(row[0], row[4]);
  other.insert(other.begin(), {"Description", "Northing", "EASTING (m)", "elevation", "number"});
  std::string commas = text_of(good, ';');
  for (char& c : commas)
    if (c == '.') c = ',';
  Cells short_rows = good;
  for (auto& row : short_rows) row.resize(4);
  for (const std::string& file : {text_of(good), text_of(other), text_of(other, '\t'), text_of(good, '|'),
                                  commas, text_of(short_rows), "\xEF\xBB\xBF" + text_of(good)}) {
    CAPTURE(file);
    job.write("back.csv", file);
    const CommandResult r = job.run({"compare", ".", "back.csv"});
    CHECK_MESSAGE(r.exit_code == 0, r.err);
    CHECK(r.out.find("THE LAST ISSUE: the floor list of issue 1, revision A\n") == 0);
  }
  const CommandResult deck = job.run({"compare", ".", "out/deck-list.csv"});
  CHECK(deck.out.find("THE LAST ISSUE: the deck list of issue 1") == 0);
}

TEST_CASE("each slip is named, with status 1") {
  JobFolder job;
  write_job(job, "A", kDrawing);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  struct Row {
    std::string told;
    std::function<void(Cells&)> slip;
  };
  for (const Row& r :
       {Row{"1003: one digit changed: northing 4.1530, listed 4.1230", [](Cells& c) { c[2][1] = "4.1530"; }},
        Row{"1001: exchanged with 1004",
            [](Cells& c) {
              for (int i : {1, 2, 3})
                std::swap(c[0][static_cast<std::size_t>(i)], c[3][static_cast<std::size_t>(i)]);
            }},
        Row{"1002: gone", [](Cells& c) { c.erase(c.begin() + 1); }},
        Row{"1009: too many", [](Cells& c) { c.push_back(c[0]), c.back()[0] = "1009"; }},
        Row{"1001: a second row", [](Cells& c) { c.push_back(c[0]); }},
        Row{"1004: northing and easting exchanged", [](Cells& c) { std::swap(c[3][1], c[3][2]); }},
        Row{"1002: the elevation alone: elevation 12.3456, listed 10.0000",
            [](Cells& c) { c[1][3] = "12.3456"; }},
        Row{"NORTHING AND EASTING EXCHANGED: the floor list of issue 1",
            [](Cells& c) {
              for (auto& row : c) std::swap(row[1], row[2]);
            }},
        Row{"NO LIST OF THIS JOB", [](Cells& c) {
              for (auto& row : c) row[1] = "77.0", row[2] = "78.0";
            }}}) {
    CAPTURE(r.told);
    Cells cells = floor_list(job);
    r.slip(cells);
    job.write("back.csv", text_of(cells));
    const CommandResult result = job.run({"compare", ".", "back.csv"});
    CHECK(result.exit_code == 1);
    CHECK_MESSAGE(result.out.find(r.told) != std::string::npos, result.out);
  }
  const CommandResult csv = job.run({"compare", ".", "back.csv", "--csv"});
  CHECK(csv.out.find("number,line,slip,column,found,listed,other\n1001,1,values,northing,77.0,2.0,\n") == 0);
}

TEST_CASE("an old issue's list says which, who has it and how much has changed since") {
  JobFolder job;
  write_job(job, "A", kDrawing);
  REQUIRE(job.run({"run", ".", "--quiet", "--out", "one"}).exit_code == 0);
  REQUIRE(job.run({"give", ".", "--to", "north", "--on", "2026-11-25"}).exit_code == 0);
  write_job(job, "B", "point,x,y,run\nA,1.2,2,R1\nB,1.5,2,R1\nC,2,4.123,R2\nD,7,3,R2\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const CommandResult r = job.run({"compare", ".", "one/floor-list.csv"});
  CHECK(r.exit_code == 1);
  CHECK(r.out ==
        "AN OLD ISSUE: the floor list of issue 1, revision A; issue 2 is the last\n"
        "5 of 5 rows agree in northing, easting, elevation, to half the last digit.\n"
        "Issue 1 was given to north on 2026-11-25.\n"
        "2 of its numbers have changed since: load the last issue.\n");
  CHECK(job.run({"compare", ".", "out/floor-list.csv"}).exit_code == 0);
}

TEST_CASE("lists of runs and lists with control are told; a list in another unit says so") {
  JobFolder job;
  write_job(job, "A", kDrawing, "[list]\nsplit = \"run\"\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  CHECK(job.run({"compare", ".", "out/floor-list-R2.csv"}).out.find("the floor list of run R2 of issue 1") !=
        std::string::npos);
  CHECK(job.run({"compare", ".", "out/deck-list-none.csv"})
            .out.find("the deck list of the points without a run of issue 1") != std::string::npos);
  write_job(job, "A", kDrawing, "[list]\ntogether = true\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  job.write("back.csv", "CP1,5.0000,6.0000,,CP1 control\n" + job.read("out/list.csv"));
  const CommandResult together = job.run({"compare", ".", "back.csv"});
  CHECK(together.exit_code == 0);
  CHECK(together.out.find("the list of floor and deck of issue 1") != std::string::npos);
  CHECK(together.out.find("1 row without a number: control, not looked at.") != std::string::npos);
  write_job(job, "A", kDrawing, "[list]\nunit = \"ft\"\n");
  const CommandResult feet = job.run({"compare", ".", "back.csv"});
  CHECK(feet.exit_code == 0);
  CHECK(feet.out.find("The whole list is in m; the job's lists are in ft.") != std::string::npos);
}

TEST_CASE("a crew's list is told, and its old one after a change") {
  JobFolder job;
  const std::string crews =
      "[[crew]]\nname = \"north\"\nruns = [\"R1\", \"R2\"]\n[[crew]]\nname = \"south\"\npoints = [\"E\"]\n";
  write_job(job, "A", kDrawing, crews);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  job.write("old.csv", job.read("out/floor-list-north.csv"));
  CHECK(job.run({"compare", ".", "old.csv"})
            .out.find("THE LAST ISSUE: the floor list of crew north of issue 1") == 0);
  CHECK(job.run({"compare", ".", "out/deck-list-north.csv"}).out.find("the deck list of crew north") !=
        std::string::npos);
  write_job(job, "B", "point,x,y,run\nA,1.2,2,R1\nB,1.5,2,R1\nC,2,4.123,R2\nD,7,3,R2\nE,9.5,9,\n", crews);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const CommandResult old = job.run({"compare", ".", "old.csv"});
  CHECK(old.exit_code == 1);
  CHECK(old.out.find("AN OLD ISSUE: the floor list of crew north of issue 1") == 0);
  CHECK(old.out.find("1 of its numbers has changed since") != std::string::npos);  // E is another crew's
  for (const char* to : {"north", "south", "office"})
    REQUIRE(job.run({"give", ".", "--to", to, "--on", "2026-11-25"}).exit_code == 0);
  const std::string history = job.run({"history", ".", "E"}).out;
  CHECK(history.find("south has issue 2") != std::string::npos);
  CHECK(history.find("office has issue 2") != std::string::npos);
  CHECK(history.find("north has") == std::string::npos);
}

TEST_CASE("what is no list is refused, with what it is instead") {
  JobFolder job;
  write_job(job, "A", kDrawing);
  job.write("back.csv", "1001,2,1,10,A\n");
  CHECK(job.run({"compare", ".", "back.csv"}).err.find("no issue: no run handed out numbers yet") !=
        std::string::npos);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  struct Row {
    std::string bytes, told;
  };
  for (const Row& r :
       {Row{"", "back.csv: file: found an empty file"}, Row{"\n \n", "back.csv: file: found an empty file"},
        Row{"hello there\n", "back.csv: file: found a first row of 1 cell"},
        Row{"A,2,1,10,x\nB,2,1,10,y\n", "back.csv:1:1: number: found \"A\", and no row has a number"},
        Row{"1001,2,x,10,A\n1002,2,1,10,B\n", "back.csv:1:8: easting: found \"x\", expected a number"},
        Row{"1001,2,1,10,A\n1002,2\n", "back.csv:2:1: row: found 2 cells, expected 5"},
        Row{"point,x,y\nA,1,2\n", "back.csv: file: found no column of numbers"},
        Row{"number,point\n1001,A\n", "back.csv: file: found no column of a place"},
        Row{"1001,2,1,10,\"A\n", "back.csv:1:13: row: found a quoted cell that is not closed"}}) {
    CAPTURE(r.told);
    job.write("back.csv", r.bytes);
    const auto before = job.snapshot();
    const CommandResult result = job.run({"compare", ".", "back.csv"});
    CHECK(result.exit_code == 2);
    CHECK_MESSAGE(result.err.find(r.told) != std::string::npos, result.err);
    CHECK(result.out.empty());
    CHECK(job.snapshot() == before);
  }
  CHECK(job.run({"compare", ".", "none.csv"}).err.find("\"none.csv\": no such file") != std::string::npos);
  CHECK(job.run({"compare", "."}).exit_code == 2);
}
