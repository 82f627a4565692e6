// Slips of tired people that are told before they cost a day.
#include "job_folder.h"

#include <doctest/doctest.h>

using namespace deckmark_test;

namespace {

void starter(JobFolder& job, const std::string& more = "", const std::string& first = "") {
  job.write("job.toml", first + "[drawing]\npoints = \"drawing.csv\"\n[site]\ncontrol = \"control.csv\"\n" + more);
  job.write("control.csv", "point,northing,easting\nCP1,0,0\nCP2,0,30\n");
  job.write("drawing.csv", "point,x,y\nA,0,0\nB,9,1\nC,1,1\n");
}

}  // namespace

TEST_CASE("slips: a file of one's own in the output folder is a doubt, those of earlier runs are not") {
  JobFolder job;
  starter(job);
  job.write("out/floor-list.csv", "my own file\n");
  CHECK(job.run({"check", "."}).err.find("floor-list.csv: file: a run replaces it, and no earlier run made it") != std::string::npos);
  CHECK(job.read("out/floor-list.csv") == "my own file\n");
  const CommandResult first = job.run();
  CHECK(first.exit_code == 0);
  CHECK(first.err.find("floor-list.csv: file: a run replaces it") != std::string::npos);
  CHECK(first.err.find("points.csv: file") == std::string::npos);
  CHECK(job.run().err.find("a run replaces it") == std::string::npos);
}

TEST_CASE("slips: the pair for the loaded list tells north from east") {
  JobFolder job;
  starter(job);
  const std::string text = job.run().out;
  CHECK(text.find("1001 to 1002: azimuth  83-39-35.3") != std::string::npos);
  CHECK(text.find("would read the same") == std::string::npos);
  job.write("drawing.csv", "point,x,y\nA,0,0\nB,9,9\n");
  CHECK(job.run().out.find("north and east exchanged would read the same here") != std::string::npos);
}

TEST_CASE("slips: the job file is told what to write, or nothing, never what stands or its contrary") {
  struct Row {
    std::string more, first, told, never;
  };
  for (const Row& r : {Row{"", "title = \"a\"\ntitle = \"b\"\n", "job.toml:2:9: file: found \"title = \\\"b\\\"\", expected each key once", "try"},
                       Row{"[drawing]\nunit = \"m\"\n", "", "job.toml:5:1: file: found \"[drawing]\", expected each section once", "try"},
                       Row{"[list]\nheader = \"false\"\n", "", "try header = false", "= true"}, Row{"[list]\nheader = \"no\"\n", "", "list.header: found \"no\", expected true or false, without quotes", "try"}}) {
    JobFolder job;
  starter(job, r.more, r.first);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    CAPTURE(result.err);
    check_refused(job, before, result);
    CHECK(result.err.find(r.told) != std::string::npos);
    CHECK(result.err.find(r.never) == std::string::npos);
  }
}

TEST_CASE("slips: an end distance over max_spacing, a shot kilometres off, a setup that is nearly known") {
  JobFolder job;
  starter(job, "[hangers]\nmax_spacing = \"1.2 m\"\nend_distance = \"9 m\"\n[asbuilt]\nshots = \"built.csv\"\n");
  job.write("built.csv", "point,northing,easting,setup\nA,0,0,CP2\nB,1000,9000,CP9\nC,1,1,tower\n");
  const CommandResult result = job.run({"check", "."});
  CAPTURE(result.err);
  CHECK(result.exit_code == 1);
  CHECK(result.err.find("job.toml:7:16: hangers.end_distance: ends further from a hanger") != std::string::npos);
  CHECK(result.err.find("built.csv:3:1: point: B lies 9046.3298 m") != std::string::npos);
  CHECK(result.err.find("built.csv:3:13: setup: \"CP9\" is neither control nor a [[setup]] of the job, but CP") != std::string::npos);
  CHECK(result.err.find("tower") == std::string::npos);
}
