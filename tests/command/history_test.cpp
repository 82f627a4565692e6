// One number through drawing, issues, those who have it, marks, shots and sights.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

const char* const kToml =
    "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[floor]\nelevation = \"10 m\"\n"
    "[deck]\nelevation = \"14 m\"\n";

void write_job(JobFolder& job, const std::string& revision, const std::string& rows,
               const std::string& more = "") {
  job.write("drawing.csv", "point,x,y,run\n" + rows);
  job.write("job.toml", "revision = \"" + revision + "\"\n" + kToml + more);
}

/// Column by its word, of the rows of one step.
std::vector<std::string> cells(const CommandResult& csv, const std::string& step, const std::string& column) {
  const auto rows = csv_rows(csv.out);
  std::vector<std::string> out;
  std::size_t at = 0;
  while (at < rows.at(0).size() && rows[0][at].substr(0, rows[0][at].find(' ')) != column) ++at;
  for (std::size_t i = 1; i < rows.size(); ++i)
    if (rows[i][0] == step) out.push_back(rows[i].at(at));
  return out;
}
using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("a number's way is told from the drawing to what was measured") {
  JobFolder job;
  write_job(job, "A", "A,1,2,R1\nB,1.5,2,R1\nE,9,9,\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  REQUIRE(job.run({"give", ".", "--to", "north", "--on", "2026-11-25"}).exit_code == 0);
  job.write("marks.csv", "point,dx,dy\nB,3 mm,4 mm\nA,1 mm,0\n");
  job.write("shots.csv", "point,x,y\nB,1.5,2.5\nA,1.203,2.004\n");
  write_job(job, "B", "Q,3,3,\nA,1.2,2,R1\nB,1.5,2,R1\n",
            "[plumb]\nmarks = \"marks.csv\"\n[asbuilt]\nshots = \"shots.csv\"\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 1);
  REQUIRE(job.run({"give", ".", "--to", "south", "--on", "2026-11-26"}).exit_code == 0);
  const CommandResult text = job.run({"history", ".", "1001"});
  CHECK(text.exit_code == 0);
  CHECK(text.out ==
        "1001, on the deck 6001: A\n"
        "drawing    drawing.csv:3; northing 2.0000 m, easting 1.2000 m, floor 10.0000 m,\n"
        "           deck 14.0000 m; run R1\n"
        "issue 1    revision A: new; northing 2.0000 m, easting 1.0000 m, floor 10.0000\n"
        "           m, deck 14.0000 m; run R1\n"
        "issue 2    revision B: moved 200.0 mm; northing 2.0000 m, easting 1.2000 m,\n"
        "           floor 10.0000 m, deck 14.0000 m; run R1\n"
        "given      north has issue 1 since 2026-11-25: not as it is now\n"
        "given      south has issue 2 since 2026-11-26: as it is now\n"
        "mark       deck, marks.csv:3: 1.0 mm off (x 1.0 mm, y 0.0 mm): within\n"
        "shot       floor, shots.csv:3: 5.0 mm off (x 3.0 mm, y 4.0 mm): within\n");
  // By name and by deck number it is the same.
  for (const char* typed : {"6001", "a", "A"}) CHECK(job.run({"history", ".", typed}).out == text.out);
  const CommandResult other = job.run({"history", ".", "B", "--csv"});
  CHECK(cells(other, "issue", "issue") == Texts{"1"});
  CHECK(cells(other, "mark", "offset") == Texts{"0.00500"});
  CHECK(cells(other, "shot", "verdict") == Texts{"outside"});
  CHECK(cells(other, "given", "to") == Texts{"north", "south"});
  const CommandResult dropped = job.run({"history", ".", "1003"});
  CHECK(dropped.out.find("drawing    it has no such point now\n") != std::string::npos);
  CHECK(dropped.out.find("issue 2    revision A: dropped; its number stays its own\n") != std::string::npos);
}

TEST_CASE("a name that two numbers had is the live one's, and the other is told") {
  JobFolder job;
  write_job(job, "A", "A,1,2,\nB,1.5,2,\n");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  write_job(job, "B", "B,1.5,2,\nC,1,2,\n");  // C at the place of A
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const CommandResult c = job.run({"history", ".", "C"});
  CHECK(c.out.find("1003, on the deck 6003: C\n") == 0);
  CHECK(job.run({"history", ".", "A"}).out.find("1001, on the deck 6001: A\n") == 0);
}

TEST_CASE("what the ledger has not is refused") {
  JobFolder job;
  write_job(job, "A", "A,1,2,\n");
  CHECK(job.run({"history", ".", "A"}).exit_code == 2);  // no issue yet
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  for (const char* typed : {"77", "5001", "ZZ", "-1", "99999999999"}) {
    const CommandResult r = job.run({"history", ".", typed});
    CHECK(r.exit_code == 2);
    if (typed[0] != '-')
      CHECK(r.err.find("expected a floor number, a deck number or a name") != std::string::npos);
  }
  CHECK(job.run({"history", "."}).exit_code == 2);
}
