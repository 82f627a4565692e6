// The drawing held against itself, by the real program: a doubt at the point's cell, a row of shape.csv, a
// block of the text.
#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

constexpr const char* kTies =
    "mark,x,y,northing,easting\nA,0,0,1000,2000\nB,20 m,0,1000,2020\nC,0,12 m,1012,2000\nD,20 m,12 "
    "m,1012,2020\n";

/// Four runs of eight at 1.2 m, 1.5 m apart, with `line` in place of that point's row.
std::string drawing_with(const std::string& point, const std::string& line) {
  std::string text = "point,x,y,run,height\n";
  for (int r = 1; r <= 4; ++r)
    for (int k = 1; k <= 8; ++k) {
      const std::string name = "R" + std::to_string(r) + "-" + std::to_string(k);
      const auto mm = [](int v) {
        const std::string all = std::to_string(10000 + v);
        return all.substr(1, all.size() - 4) + "." + all.substr(all.size() - 3);
      };
      text += name == point
                  ? line + "\n"
                  : name + "," + mm(1200 * k) + "," + mm(1500 * r) + ",R" + std::to_string(r) + ",2.75\n";
    }
  return text;
}

struct Ran {
  CommandResult check, run;
  std::string shape;
};
Ran ran(JobFolder& job, const std::string& drawing, const std::string& more = "",
        const std::string& unit = "m") {
  job.write("drawing.csv", drawing);
  job.write("ties.csv", kTies);
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\nunit = \"" + unit +
                            "\"\n[baselines]\nties = \"ties.csv\"\n" + more);
  Ran out{job.run({"check", "."}), job.run(), ""};
  CHECK(out.check.exit_code == 0);
  CHECK(out.run.exit_code == 0);
  if (job.has("out/shape.csv")) out.shape = job.read("out/shape.csv");
  return out;
}

constexpr const char* kHeader = "run,point,expected_x (m),expected_y (m),off (m),why\n";

}  // namespace

TEST_CASE("a drawing that keeps to its pattern: an empty table, no block, no word") {
  JobFolder job;
  const Ran r = ran(job, drawing_with("", ""));
  CHECK(r.shape == kHeader);
  CHECK(r.check.err == "READY TO LAY OUT\n");
  CHECK(r.check.out.find("THE DRAWING AGAINST ITSELF") == std::string::npos);
}

TEST_CASE("one slip each: the doubt at the point, the row, the block of the text") {
  struct Row {
    const char *point, *line, *doubt, *row, *text;
  };
  for (const Row& row :
       {Row{"R2-3", "R2-3,6.300,3.000,R2,2.75",
            "drawing.csv:12:1: point: R2-3: x 6.300 m breaks the even spacing of R2 by 2.700 m; digits "
            "exchanged? "
            "3.600 m would fit: look at the drawing",
            "R2,R2-3,3.60000,3.00000,2.70000,\"spacing: x 6.300 m, digits exchanged: 3.600 m\"\n",
            "R2-3: x 6.300 m breaks the even spacing of R2, digits exchanged; 3.600 m"},
        Row{"R1-1", "R1-1,1.200,1.733,R1,2.75",
            "drawing.csv:2:1: point: R1-1: y 1.733 m leaves the line of R1 by 0.233 m; 1.500 m would fit: "
            "look "
            "at the drawing",
            "R1,R1-1,1.20000,1.50000,0.23300,line\n",
            "R1-1: y 1.733 m leaves the line of R1; 1.500 m would fit"},
        Row{"R4-8", "R4-8,9.9048,6.000,R4,2.75",
            "drawing.csv:33:1: point: R4-8: x 9.9048 m breaks the even spacing of R4 by 0.3048 m; a foot "
            "off? "
            "9.600 m would fit: look at the drawing",
            "R4,R4-8,9.60000,6.00000,0.30480,\"spacing: x 9.9048 m, a foot off: 9.600 m\"\n", "a foot off"},
        Row{"R3-5", "R3-5,6.000,4.500,R3,2.57",
            "drawing.csv:22:21: height: R3-5: height 2.570 m differs from the rest of R3 by 0.180 m; digits "
            "exchanged? 2.750 m would fit: look at the drawing",
            "R3,R3-5,6.00000,4.50000,-0.18000,\"height: height 2.570 m, digits exchanged: 2.750 m\"\n",
            "R3-5: height 2.570 m differs from the rest of R3, digits exchanged;"}}) {
    CAPTURE(row.point);
    JobFolder job;
    const Ran r = ran(job, drawing_with(row.point, row.line));
    CHECK(r.shape == std::string(kHeader) + row.row);
    CHECK_MESSAGE(r.check.err.find(std::string("doubt: ") + row.doubt + "\n") != std::string::npos,
                  r.check.err);
    CHECK(r.run.err.find(std::string(row.point) + ": ") != std::string::npos);
    CHECK(r.check.out.find("THE DRAWING AGAINST ITSELF: look these up in the drawing\n") !=
          std::string::npos);
    CHECK(r.check.out.find(row.text) != std::string::npos);
    CHECK(r.run.out.find("THE DRAWING AGAINST ITSELF") != std::string::npos);  // with --details
  }
}

TEST_CASE("a whole run aside is one word, at its first point; its row names no point") {
  JobFolder job;
  std::string text = drawing_with("", "");
  for (std::size_t at = 0; (at = text.find(",3.000,R2", at)) != std::string::npos;)
    text.replace(at, 9, ",3.300,R2");
  const Ran r = ran(job, text);
  CHECK(r.shape == std::string(kHeader) +
                       "R2,,1.20000,3.00000,0.30000,\"pitch: y 3.300 m, one digit wrong: 3.000 m\"\n");
  CHECK(r.check.err.find(
            "doubt: drawing.csv:10:1: point: run R2 stands aside as a whole by 0.300 m: R2-1 at y 3.300 "
            "m breaks the pitch of the runs beside it; one digit wrong? 3.000 m would fit: look at the "
            "drawing\n") != std::string::npos);
}

TEST_CASE("what follows from a slip is not told again: a space too wide, a point too close") {
  JobFolder job;
  const std::string more = "[hangers]\nmax_spacing = \"1.2 m\"\n";
  const Ran wide = ran(job, drawing_with("R2-3", "R2-3,3.637,3.000,R2,2.75"), more);
  CHECK(wide.check.err.find("R2-3: x 3.637 m breaks the even spacing") != std::string::npos);
  CHECK(wide.check.err.find("max_spacing") == std::string::npos);
  const Ran close = ran(job, drawing_with("R2-3", "R2-3,4.787,3.000,R2,2.75"), more);
  CHECK(close.check.err.find("R2-3: x 4.787 m breaks the even spacing") != std::string::npos);
  CHECK(close.check.err.find("closer than 25 mm") == std::string::npos);
}

TEST_CASE("a hanger moved clear of an obstruction is left alone") {
  JobFolder job;
  job.write("ducts.csv", "name,x,y\nD,3.4,2.8\nD,3.8,2.8\nD,3.8,3.2\nD,3.4,3.2\n");
  const std::string moved = drawing_with("R2-3", "R2-3,3.863,3.000,R2,2.75");
  CHECK(ran(job, moved).shape != kHeader);
  const Ran clear = ran(job, moved, "[obstructions]\noutlines = \"ducts.csv\"\n");
  CHECK(clear.shape == kHeader);
}

TEST_CASE("feet and inches are told as they are keyed") {
  JobFolder job;
  std::string text = "point,x,y,run\n";
  for (int k = 1; k <= 8; ++k)
    text += "H" + std::to_string(k) + ",\"" + std::to_string(k == 3 ? 21 : 4 * k) +
            "'-6 1/2\"\"\",\"6'-0\"\"\",R\n";
  const Ran r = ran(job, text, "", "ft-in");
  CHECK(r.check.err.find("H3: x 21'-6 1/2\"") != std::string::npos);
  CHECK(r.check.err.find("digits exchanged? 12'-6 1/2\" would fit") != std::string::npos);
}

TEST_CASE("no word on the jobs that come with the program") {
  std::size_t jobs = 0;
  for (const auto& entry : std::filesystem::directory_iterator(DECKMARK_DATA_DIR)) {
    if (!entry.is_directory()) continue;
    CAPTURE(entry.path().filename().string());
    JobFolder job;
    const CommandResult r = job.run({"check", entry.path().string()});
    CHECK(r.exit_code <= 1);
    CHECK(r.out.find("THE DRAWING AGAINST ITSELF") == std::string::npos);
    CHECK(r.err.find("look at the drawing") == std::string::npos);
    ++jobs;
  }
  CHECK(jobs >= 9);
}
