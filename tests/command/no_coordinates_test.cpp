// A crew with laser and tape has no coordinates: everything is measured along the two baselines, all the way.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr const char* kToml =
    "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[floor]\nelevation = \"0 m\"\n[deck]\nshots = "
    "\"deck.csv\"\n[hangers]\nheight = \"8'-0\\\"\"\n[plumb]\nmarks = \"marks.csv\"\n[offsets]\n";

void write_job(JobFolder& job, const std::string& marks) {
  job.write("job.toml", kToml);
  job.write("drawing.csv", "point,x,y,run\nA,4'-0\",3'-0\",R1\nB,12'-0\",3'-0\",R1\nC,20'-0\",3'-0\",R1\n");
  // A deck that rises 1 in for every 10 ft of X: 13'-0" over the origin.
  job.write("deck.csv",
            "shot,x,y,elevation\nS1,0'-0\",0'-0\",13'-0\"\nS2,30'-0\",0'-0\",13'-3\"\nS3,0'-0\",20'-0\",13'-"
            "0\"\nS4,30'-0\",20'-0\",13'-3\"\n");
  job.write("marks.csv", marks);
}

}  // namespace

TEST_CASE(
    "deck shots and deck marks along the baselines give drops, plumb check and offset sheet without "
    "coordinates") {
  JobFolder job;
  for (const char* marks : {"point,x,y\nA,4'-0\",3'-0\"\nB,12'-0 1/8\",3'-0\"\nC,20'-0\",2'-11 1/2\"\n",
                            "point,dx,dy\nA,0,0\nB,1/8\",0\nC,0,-1/2\"\n"}) {
    CAPTURE(marks);
    write_job(job, marks);
    const CommandResult result = job.run();
    CHECK(result.exit_code == 1);  // C is 1/2" off, permitted 6 mm
    CHECK(result.err.find("DO NOT LAY OUT: deck mark of 1003 (C) is out of plumb by 12.7 mm") !=
          std::string::npos);
    CHECK(result.out.find("6.0 mm is the default where the job states none: common practice, no source") !=
          std::string::npos);
    const auto plumb = csv_rows(job.read("out/plumb.csv"));
    REQUIRE(plumb.size() == 4);
    CHECK(plumb[1][9] == "within");
    CHECK(std::abs(number(plumb[2][2]) - 0.003175) < 0.00001);  // 1/8"
    CHECK(plumb[2][9] == "within");
    CHECK(std::abs(number(plumb[3][3]) + 0.0127) < 0.00001);  // 1/2" towards the X baseline
    CHECK(plumb[3][9] == "outside");
    // Drops by hand: 13'-0" less 8'-0", and 0.4", 1.2", 2" for the slope; to the sixteenth.
    const auto offsets = csv_rows(job.read("out/offsets.csv"));
    REQUIRE(offsets.size() == 4);
    CHECK(offsets[1][10] == "5'-0 3/8\"");
    CHECK(offsets[2][10] == "5'-1 3/16\"");
    CHECK(offsets[3][10] == "5'-2\"");
    CHECK(offsets[2][3] == "8'-0\"");
    CHECK(job.read("out/deck-list.csv").find("6001,") == 0);
  }
  write_job(job, "point,dx,dy\nA,0,0\n");
  const CommandResult plain = job.run();
  CHECK(plain.exit_code == 0);
  CHECK(plain.err.find("BASELINES NOT CHECKED: ") !=
        std::string::npos);  // no ties: nothing says where the lines are
}
