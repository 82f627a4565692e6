// What the program places itself over bays: hangers and supports in one bay, over flutes on fastening lines
// or told, and no job refused for a place that nobody keyed. The bays are strips along X that the test knows
// by plain arithmetic.
//
// Cause (2026-11-27): the edge of a bay counted as a place where a hanger may stand, equal spaces were not
// looked at for edges at all, and supports of trapezes neither; points of the drawing were not held against
// the lines.
#include <random>
#include <sstream>

#include "overhead_support.h"

using namespace deckmark_test;

namespace {

struct Strip {
  double from, to;
  bool fluted;
  double pitch, first;
};

std::string bays_table(const std::vector<Strip>& strips) {
  std::ostringstream out;
  out << "bay,x,y,elevation,flutes,flute_pitch,flute_first\n";
  for (std::size_t i = 0; i < strips.size(); ++i) {
    const Strip& s = strips[i];
    out << "B" << i << "," << s.from << ",0," << 4 + 0.1 * static_cast<double>(i);
    if (s.fluted)
      out << ",y," << s.pitch << "," << s.first << "\n";
    else
      out << ",,,\n";
    for (const auto& [x, y] : {std::pair(s.to, 0.0), {s.to, 40.0}, {s.from, 40.0}})
      out << "B" << i << "," << x << "," << y << ",,,,\n";
  }
  return out.str();
}

const std::string kRunHead = "run,kind,x1,y1,x2,y2\n";

}  // namespace

TEST_CASE("fluted runs through the program: on the lines, or equal spaces and a doubt, never on an edge") {
  std::mt19937_64 random(1);
  const auto tenths = [&](int low, int high) {
    return std::uniform_int_distribution(low, high)(random) / 10.0;
  };
  std::size_t on_lines = 0, told = 0;
  for (int j = 0; j < 40; ++j) {
    CAPTURE(j);
    std::vector<Strip> strips;
    double x = 0;
    for (int i = 0; i < 3; ++i) {
      const double wide = tenths(20, 60);
      strips.push_back({x, x + wide, i != 1 || j % 2 == 0, tenths(1, 8), tenths(0, 7) + 0.05});
      x += wide;
    }
    JobFolder job;
    job.write("bays.csv", bays_table(strips));
    std::string runs = kRunHead;
    std::map<std::string, std::vector<double>> at;
    for (int r = 0; r < 4; ++r) {
      std::ostringstream row;
      row << "R" << r << ",line," << tenths(1, 10) << "," << 5 * r + 2 << "," << x - tenths(1, 10) << ","
          << 5 * r + 2 << "\n";
      runs += row.str();
    }
    job.write("runs.csv", runs);
    std::ostringstream keys;
    const double max = tenths(6, 15), end = tenths(0, 4);
    keys << "max_spacing = \"" << max << " m\"\nend_distance = \"" << end << " m\"\n";
    write_overhead(job, {.deck = "bays = \"bays.csv\"\n", .hangers = keys.str(), .more = ""});
    const CommandResult r = job.run();
    CAPTURE(r.err);
    REQUIRE(r.exit_code == 0);
    for (const TableRow& p : table(job, "points.csv")) at[p.at("run")].push_back(number(p, "x"));
    REQUIRE(at.size() == 4);
    for (const auto& [run, places] : at) {
      CAPTURE(run);
      bool fastened = true;
      for (const double h : places)
        for (const Strip& s : strips) {
          if (s.to < x - 0.1) CHECK(std::abs(h - s.to) > 0.0009);  // the edge of two
          if (s.fluted && h > s.from && h < s.to)
            fastened = fastened && std::abs(std::remainder(h - s.first, s.pitch)) < 3e-5;
        }
      if (fastened) {
        ++on_lines;
        continue;
      }
      ++told;
      CHECK(r.err.find("along " + run + " ") != std::string::npos);
      double widest = 0, narrowest = 99;
      for (std::size_t i = 1; i < places.size(); ++i)
        widest = std::max(widest, places[i] - places[i - 1]),
        narrowest = std::min(narrowest, places[i] - places[i - 1]);
      if (r.err.find("beside the edge of a bay") == std::string::npos) CHECK(widest - narrowest < 3e-5);
    }
  }
  MESSAGE(on_lines << " runs on the lines, " << told << " told");
  CHECK(on_lines > 20);
  CHECK(told > 20);
}

TEST_CASE("no hanger on the edge of two bays, none in a gap between them, and the job is not refused") {
  for (const double gap : {0.0, 0.3}) {
    CAPTURE(gap);
    JobFolder job;
    job.write("bays.csv", bays_table({{0, 6, false, 0, 0}, {6 + gap, 12, false, 0, 0}}));
    // Equal spaces of 1 m put a hanger on the edge at x 6.
    job.write("runs.csv", kRunHead + "R1,line,1,3,11,3\n");
    write_overhead(job, {.deck = "bays = \"bays.csv\"\n", .hangers = "max_spacing = \"1 m\"\n", .more = ""});
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    double before = 0;
    for (const TableRow& p : table(job, "points.csv")) {
      const double x = number(p, "x");
      CHECK((x < 6 - 0.0099 || x > 6 + gap + 0.0099));
      if (before > 0) CHECK(x - before < 1 + 1e-5);
      before = x;
    }
    CHECK(before == 11);
    CHECK(r.err.find("rule") == std::string::npos);
  }
}

TEST_CASE("a run that begins on the edge of two bays: the first hanger stands beside it, and it is told") {
  JobFolder job;
  job.write("bays.csv", bays_table({{0, 6, false, 0, 0}, {6, 12, false, 0, 0}}));
  job.write("runs.csv", kRunHead + "R1,line,6,3,11,3\n");
  write_overhead(job, {.deck = "bays = \"bays.csv\"\n", .hangers = "max_spacing = \"1 m\"\n", .more = ""});
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(number(table(job, "points.csv").front(), "x") == doctest::Approx(6.01));
  CHECK(r.err.find("r") != std::string::npos);
  CHECK(
      r.err.find("the hanger at 10.0 mm along R1 is 10.0 mm from the end; no spacing keeps all rules, so the "
                 "spaces are equal") != std::string::npos);
}

TEST_CASE("a hole wider than a space, and a run along an edge, stay the drawing's fault") {
  JobFolder job;
  job.write("bays.csv", bays_table({{0, 6, false, 0, 0}, {8, 12, false, 0, 0}}));
  job.write("runs.csv", kRunHead + "R1,line,1,3,11,3\n");
  write_overhead(job, {.deck = "bays = \"bays.csv\"\n", .hangers = "max_spacing = \"1 m\"\n", .more = ""});
  CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find("in no bay") != std::string::npos);
  job.write("bays.csv", bays_table({{0, 6, false, 0, 0}, {6, 12, false, 0, 0}}));
  job.write("runs.csv", kRunHead + "R1,line,6,3,6,9\n");
  r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find("on their edge") != std::string::npos);
}

TEST_CASE("points keyed over flutes are held against the fastening lines") {
  JobFolder job;
  job.write("bays.csv", bays_table({{0, 6, true, 0.3, 0.05}, {6, 12, false, 0, 0}}));
  // 2.45 is a line; 2.5 is 50 mm off it, 2.554 stands within 5 mm of no line; 9 has no flutes.
  job.write("drawing.csv",
            "point,x,y,kind\nP1,2.45,3,\nP2,2.5,4,\nP3,2.454,5,\nP4,9,6,\nP5,2.6,7,reference\n");
  write_overhead(job, {.drawing = "points = \"drawing.csv\"\n", .deck = "bays = \"bays.csv\"\n", .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  CHECK(r.err.find(
            "drawing.csv:3:1: point: P2 is 50.0 mm from the nearest fastening line of bay B0, x 2.4500 m") !=
        std::string::npos);
  for (const char* fine : {"P1 is", "P3 is", "P4 is", "P5 is"}) CHECK(r.err.find(fine) == std::string::npos);
}

TEST_CASE("supports stand in one bay, off its edges; where the bays end there is none, and it is told") {
  JobFolder job;
  job.write("bays.csv", bays_table({{0, 6, false, 0, 0}, {6, 12, false, 0, 0}}));
  job.write("runs.csv", kRunHead + "R1,line,1,3,11,3\n");
  // Supports at the clearance would stand at x 6 and 5.2: the one goes 10 mm on.
  job.write("ducts.csv", "name,x,y,clearance\nD1,5.3,1,0.1\nD1,5.9,1,\nD1,5.9,9,\nD1,5.3,9,\n");
  const OverheadParts parts{.deck = "bays = \"bays.csv\"\n",
                            .hangers = "max_spacing = \"0.8 m\"\n",
                            .more = "[obstructions]\noutlines = \"ducts.csv\"\n"};
  write_overhead(job, parts);
  CommandResult r = job.run();
  CAPTURE(r.err);
  REQUIRE(r.exit_code == 0);
  TableRows trapezes = table(job, "trapeze.csv");
  REQUIRE_FALSE(trapezes.empty());
  for (const TableRow& t : trapezes) {
    CHECK(number(t, "support1_x") == doctest::Approx(5.2));
    CHECK(number(t, "support2_x") == doctest::Approx(6.01));
  }
  job.write("ducts.csv", "name,x,y,clearance\nD1,10.5,1,0.1\nD1,11.95,1,\nD1,11.95,9,\nD1,10.5,9,\n");
  r = job.run();
  REQUIRE(r.exit_code == 0);
  trapezes = table(job, "trapeze.csv");
  REQUIRE_FALSE(trapezes.empty());
  for (const TableRow& t : trapezes) CHECK(t.at("span").empty());
  CHECK(r.err.find("the bays end before a support finds a clear place: it has no deck point") !=
        std::string::npos);
}
