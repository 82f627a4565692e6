// Lengths, dimensions, building lines and squareness without ties, through the real program.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

std::vector<std::map<std::string, std::string>> checks(const JobFolder& job) {
  return named_rows(job.read("out/checks.csv"));
}
double number(const std::string& text) { return std::stod(text); }

constexpr const char* kDrawing =
    "point,x,y,kind\nB1,0,0,reference\nB2,30,0,reference\nB3,0,20,reference\nB4,30,20,reference\nH1,6,8,\n";
// Two baselines that are exactly square, found 1000 / 2000 away without a turn.
constexpr const char* kTies =
    "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\nB3,0,20,2020,1000\nB4,30,20,2020,1030\n";

std::string toml(const std::string& drawing, const std::string& baselines) {
  return "[drawing]\npoints = \"drawing.csv\"\n" + drawing + "[baselines]\n" + baselines;
}

}  // namespace

TEST_CASE("a length is the tape at its temperature, then level, against the drawing") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  job.write("ties.csv", kTies);
  // 11.6 ppm a degree (common practice): 30 m at 30 degrees C reads 3.48 mm short; 20 m along a rise of 0.4
  // m.
  const std::string level = "B1,B3,20.0040,,,0.4\n";
  job.write(
      "lengths.csv",
      "from,to,measured,sd,temperature,slope_rise\nB1,B2,29.99652,0.001,30,\nB1,B2,29.99652,0.001,86 F,\n" +
          level + "B1,B4,36.060,,,\nB1,H1,10.0,,,\n");
  job.write("job.toml", toml("", "ties = \"ties.csv\"\nlengths = \"lengths.csv\"\n"));
  const CommandResult result = job.run();
  CHECK(result.exit_code == 0);
  const auto rows = checks(job);
  REQUIRE(rows.size() == 6);
  CHECK(rows[0].at("check") == "square");
  CHECK(std::abs(number(rows[1].at("measured")) - 29.99652 * (1 + 11.6e-6 * 10)) <= 0.5001e-5);
  CHECK(rows[1].at("measured") == rows[2].at("measured"));
  CHECK(rows[1].at("sd") == "0.00100");
  CHECK(std::abs(number(rows[3].at("measured")) - std::sqrt(20.004 * 20.004 - 0.16)) <= 0.5001e-5);
  CHECK(rows[3].at("sd") == "0.00150");
  // 1.5 sqrt(36.06) = 9.0 mm; under 28.4 m the least is 8 mm (ISO 4463-1, from memory).
  CHECK(number(rows[4].at("permitted")) ==
        doctest::Approx(0.0015 * std::sqrt(std::hypot(30, 20))).epsilon(1e-3));
  CHECK(rows[5].at("permitted") == "0.00800");
  CHECK(rows[4].at("source") == "ISO 4463-1:1989 secondary (from memory)");
  CHECK(number(rows[4].at("deviation")) == doctest::Approx(36.060 - std::hypot(30, 20)).epsilon(1e-2));
}

TEST_CASE(
    "a length outside decides the status and the first line; tolerances and figures of the job decide where "
    "they are tighter") {
  struct Case {
    const char *keys, *source;
    int exit;
    const char* permitted;
  };
  for (const Case& c :
       {Case{"", "ISO 4463-1:1989 secondary (from memory)", 0, "0.00822"},
        Case{"setout = \"primary\"\n", "ISO 4463-1:1989 primary (from memory)", 1, "0.00411"},
        Case{"tolerance = \"5 mm\"\n", "job tolerance", 1, "0.00500"},
        Case{"tolerance = \"50 mm\"\n", "ISO 4463-1:1989 secondary (from memory)", 0, "0.00822"},
        Case{"setout_length = \"1 mm\"\nsetout_least = \"3 mm\"\n", "job set-out figures", 1, "0.00548"},
        Case{"setout_length = \"4 mm\"\n", "job set-out figures", 0, "0.02191"}}) {
    CAPTURE(c.keys);
    JobFolder job;
    job.write("drawing.csv", kDrawing);
    job.write("ties.csv", kTies);
    job.write("lengths.csv", "from,to,measured\nB1,B2,30.006\n");
    job.write("job.toml", toml("", std::string("ties = \"ties.csv\"\nlengths = \"lengths.csv\"\n") + c.keys));
    const CommandResult result = job.run();
    CHECK(result.exit_code == c.exit);
    CHECK((result.err.find("DO NOT LAY OUT: length B1 to B2 is off by 6.0 mm") != std::string::npos) ==
          (c.exit == 1));
    CHECK(checks(job)[1].at("permitted") == c.permitted);
    CHECK(checks(job)[1].at("source") == c.source);
    CHECK(checks(job)[1].at("verdict") == (c.exit == 1 ? "outside" : "within"));
    CHECK(job.run({"baseline", "."}).exit_code == c.exit);
  }
}

TEST_CASE("printed dimensions find what was keyed wrongly") {
  JobFolder job;
  job.write("drawing.csv", "point,x,y\nA,0'-0\",0'-0\"\nB,12'-6 1/2\",0'-0\"\n");
  job.write("dimensions.csv", "from,to,distance\nA,B,12'-6 1/2\"\nA,B,12'-6 9/16\"\nB,A,12'-5 1/2\"\n");
  job.write("job.toml", toml("unit = \"ft-in\"\ndimensions = \"dimensions.csv\"\n", ""));
  const CommandResult result = job.run();
  CHECK(result.exit_code == 1);
  CHECK(result.err.find("DO NOT LAY OUT: dimension B to A is printed 12'-5 1/2\" and keyed 12'-6 1/2\"") !=
        std::string::npos);
  const auto rows = checks(job);
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].at("verdict") == "within");
  CHECK(rows[1].at("verdict") == "within");  // exactly at 1/16"
  CHECK(rows[2].at("verdict") == "outside");
  CHECK(rows[2].at("deviation") == "0.02540");
  CHECK(rows[2].at("sd").empty());
  job.write("job.toml",
            toml("unit = \"ft-in\"\ndimensions = \"dimensions.csv\"\ndimension_tolerance = \"1 in\"\n", ""));
  CHECK(job.run().exit_code == 0);
}

TEST_CASE("without ties, lengths alone give the squareness") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  job.write("job.toml", toml("", "lengths = \"lengths.csv\"\n"));
  SUBCASE("a triangle") {
    // The same corner seen from four sides: 36.055 513 m is the square diagonal, 3 mm more opens it.
    for (const char* legs : {"B1,B2,30,0.001\nB1,B3,20,0.001\nB2,B3,36.058513,0.001\n",
                             "B4,B3,30,0.001\nB4,B2,20,0.001\nB2,B3,36.058513,0.001\n"}) {
      job.write("lengths.csv", std::string("from,to,measured,sd\n") + legs);
      CHECK(job.run().exit_code == 0);
      // c dc / (a b) = 36.0555 x 0.003 / 600 rad (law of cosines), over 20 m: 3.6 mm.
      CHECK(number(checks(job)[0].at("measured")) ==
            doctest::Approx(90 + 36.0555 * 0.003 / 600 * 180 / M_PI).epsilon(1e-7));
      CHECK(checks(job)[0].at("deviation") == "0.00361");
      CHECK(checks(job)[0].at("verdict") == "within");
    }
    // From the other two corners the same long diagonal closes the angle between +X and +Y.
    job.write("lengths.csv", "from,to,measured,sd\nB2,B1,30,0.001\nB2,B4,20,0.001\nB1,B4,36.058513,0.001\n");
    CHECK(job.run().exit_code == 0);
    CHECK(checks(job)[0].at("deviation") == "-0.00361");
  }
  SUBCASE("a rectangle with both diagonals") {
    job.write("lengths.csv",
              "from,to,measured,sd\nB1,B2,30,0.001\nB2,B4,20,0.001\nB4,B3,30,0.001\nB3,B1,20,0.001\nB1,B4,36."
              "0405,0.001\nB2,B3,36.0705,0.001\n");
    const CommandResult result = job.run();
    // d1 - d2 = 2 a b eps / sqrt(a^2 + b^2) (skew parallelogram): 30 mm is 18.0 mm over 20 m.
    CHECK(result.exit_code == 1);
    CHECK(result.err.find("DO NOT LAY OUT: the baselines are out of square by 18.0 mm") != std::string::npos);
    CHECK(number(checks(job)[0].at("deviation")) ==
          doctest::Approx(0.030 * std::hypot(30, 20) / 1200 * 20).epsilon(1e-3));
  }
  SUBCASE("a small triangle decides nothing and says so") {
    job.write("drawing.csv", "point,x,y\nO,0,0\nP,3,0\nQ,0,4\nH,30,40\n");
    job.write("lengths.csv", "from,to,measured\nO,P,3\nO,Q,4\nP,Q,5\n");
    const CommandResult result = job.run();
    CHECK(result.exit_code == 0);
    CHECK(checks(job)[0].at("verdict") == "unsure");
    CHECK(result.err.find("too small for baselines of 30.0000 m") != std::string::npos);
    CHECK(result.err.find("BASELINES NOT CHECKED: ") != std::string::npos);
  }
}

// 2026-11-27: lengths that contradict one another gave a squareness as if they agreed, and none was named.
TEST_CASE("lengths that contradict one another: no squareness, and what to measure again first") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  job.write("job.toml", toml("", "lengths = \"lengths.csv\"\n"));
  SUBCASE("one more than needed") {
    // sqrt(30^2 + 20^2) = 36.0555; the diagonal B1 to B4 reads 8 mm more, 26 sds of its residual, and is
    // within what ISO 4463-1 permits (9.0 mm).
    job.write("lengths.csv",
              "from,to,measured,sd\nB1,B2,30,0.00015\nB2,B4,20,0.00015\nB4,B3,30,0.00015\nB3,B1,20,0.00015\n"
              "B1,B4,36.063513,0.00015\nB2,B3,36.055513,0.00015\n");
    const CommandResult result = job.run();
    CHECK(result.exit_code == 0);
    CHECK(result.err.find("BASELINES NOT CHECKED: ") != std::string::npos);
    CHECK(result.err.find("; the lengths contradict one another, so no squareness is stated") !=
          std::string::npos);
    CHECK(
        result.err.find("doubt: lengths.csv:6:7: measured: 6 lengths contradict one another and cannot tell "
                        "which is wrong: B1 to B4, ") != std::string::npos);
    CHECK(result.err.find(
              "Measure B1 to B4 again first: if it is the one, it will read 36.0555 m (it is 8.0 mm "
              "too long now)") != std::string::npos);
    const auto rows = checks(job);
    CHECK(rows[0].at("check") == "square");
    CHECK(rows[0].at("verdict") == "unsure");
    for (const char* empty : {"measured", "deviation", "sd"}) CHECK(rows[0].at(empty).empty());
    const std::string page = job.run({"baseline", "."}).out;
    CHECK(page.find("  Squareness: not stated. The lengths between B1, B2, B4, B3 contradict one\n    "
                    "another; measure "
                    "B1 to B4 again first.\n") != std::string::npos);
    CHECK(page.find("square, X to Y    90-00-00          -       -") != std::string::npos);
    // Measured again it agrees, and the squareness is there.
    job.write("lengths.csv",
              "from,to,measured,sd\nB1,B2,30,0.00015\nB2,B4,20,0.00015\nB4,B3,30,0.00015\nB3,B1,20,0.00015\n"
              "B1,B4,36.055513,0.00015\nB2,B3,36.055513,0.00015\n");
    const CommandResult again = job.run();
    CHECK(again.err.find("contradict") == std::string::npos);
    CHECK(checks(job)[0].at("measured") == "90.00000");
  }
  SUBCASE("enough to tell which, with ties too") {
    bool with_ties = false;
    SUBCASE("without ties") {}
    SUBCASE("with ties") { with_ties = true; }
    if (with_ties) {
      job.write("ties.csv", kTies);
      job.write("job.toml", toml("", "ties = \"ties.csv\"\nlengths = \"lengths.csv\"\n"));
    }
    // Four marks on one line and all lengths between them; P2 to P4 reads 7 mm short.
    job.write("drawing.csv", std::string(kDrawing) + "P1,1,5,\nP2,9,5,\nP3,20,5,\nP4,29,5,\n");
    job.write("lengths.csv",
              "from,to,measured\nP1,P2,8\nP1,P3,19\nP1,P4,28\nP2,P3,11\nP2,P4,19.993\nP3,P4,9\n");
    const CommandResult result = job.run();
    CHECK(result.exit_code == 0);
    CHECK(result.err.find(
              "doubt: lengths.csv:6:7: measured: P2 to P4 is contradicted by the other lengths: it "
              "reads 7.0 mm too short, they give 20.0000 m; measure it again") != std::string::npos);
    CHECK((result.err.find("READY TO LAY OUT") != std::string::npos) == with_ties);
  }
  SUBCASE("one pair, two readings") {
    job.write("lengths.csv", "from,to,measured\nB1,B2,30\nB2,B1,30.020\n");
    CHECK(job.run().err.find(
              "B2 to B1 was measured more than once, and the readings differ by 20.0 mm: measure it "
              "again to see which holds") != std::string::npos);
  }
}

TEST_CASE("squareness on the page: what moves, and where") {
  JobFolder job;
  // Marks on two lines that enclose 90 degrees and 30 mm over 30 m: each is turned by half of it about the
  // middle of its marks, (15, 0) and (0, 15). At (40, 30) that is 0.0005 x 25 in y, 0.0005 x 15 in x.
  job.write("drawing.csv", "point,x,y\nN,10,10\nFAR,40,30\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting,tolerance\nX1,,0,2000,1000,25 mm\nX2,,0,2000,1030,25 mm\n"
            "Y1,0,,2000,1000,25 mm\nY2,0,,2030,999.970,25 mm\n");
  job.write("job.toml", toml("", "ties = \"ties.csv\"\nazimuth_near = \"90°\"\ntolerance = \"50 mm\"\n"));
  const std::string page = job.run({"baseline", "."}).out;
  std::string flat;  // lines joined
  for (std::size_t i = 0; i < page.size(); ++i)
    if (page[i] != '\n')
      flat += page[i];
    else if (page.compare(i + 1, 4, "    ") == 0)
      flat += ' ', i += 4;
  const std::string told =
      "open by 30.0 mm over 30.0075 m. With each baseline on its own FAR would move most, by ";
  const std::size_t at = flat.find(told);
  REQUIRE(at != std::string::npos);
  CHECK(std::stod(flat.substr(at + told.size())) == doctest::Approx(0.5 * std::hypot(25, 15)).epsilon(0.01));
}

TEST_CASE("a freed scale says which side counts as right") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  // 30 m drawn are 30.003 m on site: 100 ppm.
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030.003\nB3,0,20,2020.002,1000\n"
            "B4,30,20,2020.002,1030.003\n");
  job.write("job.toml", toml("", "ties = \"ties.csv\"\nscale = \"free\"\n"));
  CHECK(job.run({"baseline", "."})
            .out.find("  site lengths count as right: the drawing is stretched by 10.0 mm "
                      "per 100 m\n") != std::string::npos);
  job.write("job.toml", toml("", "ties = \"ties.csv\"\nscale = \"fixed\"\n"));
  CHECK(job.run({"baseline", "."}).out.find("count as right") == std::string::npos);
}

// 2026-11-27: sd_northing and sd_easting of side shots were read over in silence.
TEST_CASE("ties taken from side shots have the sds of the shots") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  job.write("job.toml", toml("", "ties = \"ties.csv\"\n"));
  const auto rows_of = [&](const std::string& ties) {
    job.write("ties.csv", ties);
    CHECK(job.run().exit_code == 0);
    return csv_rows(job.read("out/baseline.csv"));
  };
  // +X runs east: its sd is that of the easting, with the 1.5 mm that a tie has without a word.
  const auto shots = rows_of(
      "setup,mark,x,y,northing,easting,sd_northing,sd_easting\nS1,B1,0,0,2000,1000.002,0.004,0.001\nS1,B2,30,"
      "0,2000,"
      "1030,0.004,0.001\nS1,B3,0,20,2020.002,1000,0.002,0.001\nS1,B4,30,20,2020,1030,,\n");
  const auto typed = rows_of(
      "mark,x,y,northing,easting,sd_x,sd_y\nB1,0,0,2000,1000.002,0.00180278,0.00427200\nB2,30,0,2000,1030,0."
      "00180278,"
      "0.00427200\nB3,0,20,2020.002,1000,0.00180278,0.00250000\nB4,30,20,2020,1030,,\n");
  REQUIRE(shots.size() == 9);
  for (std::size_t i = 1; i < shots.size(); ++i)
    for (const std::size_t column : {3U, 4U, 5U, 6U}) {
      CAPTURE(i);
      CAPTURE(column);
      CHECK(std::abs(number(shots[i][column]) - number(typed[i][column])) <=
            0.00101 * std::max(0.02, std::abs(number(typed[i][column]))));
    }
}

// The README says of the column `angle` that it is the acute one, to 0.01 degree.
TEST_CASE("the arcs of swing ties cross at the acute angle") {
  JobFolder job;
  job.write("drawing.csv", "point,x,y\nB1,0,0\nB2,30,0\nH1,15,5\nH2,15,40\n");
  job.write("ties.csv", kTies);
  job.write("job.toml", toml("", "ties = \"ties.csv\"\n[offsets]\nfrom = [\"B1\", \"B2\"]\n"));
  CHECK(job.run().exit_code == 0);
  const auto rows = named_rows("point" + job.read("out/offsets.csv").substr(6));
  REQUIRE(rows.size() == 4);
  // Seen from H1 the marks are 2 atan(15 / 5) = 143.13 degrees apart, from H2 2 atan(15 / 40) = 41.11.
  CHECK(rows[2].at("angle") == "36.87");
  CHECK(rows[3].at("angle") == "41.11");
}

TEST_CASE("ties from building lines, and two faces of one column averaged") {
  JobFolder job;
  job.write("drawing.csv", kDrawing);
  job.write("lines.csv", "line,axis,at\nA,x,0\nF,x,30\n1,y,0\n5,y,20\n");
  // The column at F-5 is 12 mm thicker than drawn (300 mm): each face is off by 6 mm, their mean is not.
  job.write("ties.csv",
            "mark,x_line,x_off,y_line,y_off,northing,easting,face_of,tolerance\nA1,A,,1,,2000,1000,,\nA5,a,0."
            "5,5,-0.5,2019.5,1000.5,,\nF1,F,,1,,2000,1030,,\n"
            "F5 east,F,0.150,,,2020,1030.156,F5,25 mm\nF5 west,F,-150 mm,,,2020,1029.844,F5,\n");
  job.write("job.toml", toml("lines = \"lines.csv\"\n", "ties = \"ties.csv\"\ntolerance = \"3 mm\"\n"));
  const CommandResult result = job.run();
  CHECK(result.exit_code == 0);
  const auto rows = named_rows("point" + job.read("out/baseline.csv").substr(4));
  REQUIRE(rows.size() == 7);
  CHECK(rows[2].at("stated") == "0.50000");
  CHECK(rows[3].at("stated") == "19.50000");
  CHECK(rows[6].at("point") == "F5");
  CHECK(rows[6].at("axis") == "x");
  CHECK(rows[6].at("stated") == "30.00000");
  for (const auto& row : rows) CHECK(std::abs(number(row.at("residual"))) < 1e-5);
}

TEST_CASE("what is wrong with lengths, dimensions, lines and the sheet is told at its place") {
  struct Wrong {
    const char *file, *bytes, *place, *found;
  };
  const Wrong wrongs[] = {
      {"lengths.csv", "from,to,measured\nB1,B9,30\n", "lengths.csv:2:4: to", "\"B9\""},
      {"lengths.csv", "from,to,measured\nB1,b1,30\n", "lengths.csv:2:4: to", "\"b1\" again"},
      {"lengths.csv", "from,to,measured\nB1,B2,-30\n", "lengths.csv:2:7: measured", "\"-30\""},
      {"lengths.csv", "from,to,measured,slope_rise\nB1,B2,3,-3\n", "lengths.csv:2:9: slope_rise", "\"-3\""},
      {"lengths.csv", "from,to,measured,temperature\nB1,B2,30,95\n", "lengths.csv:2:10: temperature",
       "\"95\""},
      {"lengths.csv", "from,to,measured,temperature (K)\nB1,B2,30,295\n", "lengths.csv:1:18: header",
       "\"K\""},
      {"dimensions.csv", "from,to,distance\nB1,H9,30\n", "dimensions.csv:2:4: to", "\"H9\""},
      {"lines.csv", "line,axis,at\nA,z,0\n", "lines.csv:2:3: axis", "\"z\""},
      {"ties.csv", "mark,x,y,x_line,northing,easting\nB1,0,0,A,2000,1000\n", "ties.csv:2:8: x_line",
       "x_line beside x"},
      {"ties.csv", "mark,y,x_off,northing,easting\nB1,0,1,2000,1000\n", "ties.csv:2:6: x_off",
       "x_off without x_line"},
      {"ties.csv", "mark,y,x_line,northing,easting\nB1,0,1,2000,1000\n", "ties.csv:2:6: x_line", "\"1\""},
      {"ties.csv", "mark,x,y,northing,easting,face_of\nB1,0,0,2000,1000,C\nB2,30,0,2000,1030,\n",
       "ties.csv:2:18: face_of", "\"C\" once"}};
  for (const Wrong& w : wrongs) {
    CAPTURE(w.bytes);
    JobFolder job;
    job.write("drawing.csv", kDrawing);
    job.write("ties.csv", kTies);
    job.write("lengths.csv", "from,to,measured\nB1,B2,30\n");
    job.write("dimensions.csv", "from,to,distance\nB1,B2,30\n");
    job.write("lines.csv", "line,axis,at\nA,x,0\n1,y,0\n");
    job.write("job.toml", toml("dimensions = \"dimensions.csv\"\nlines = \"lines.csv\"\n",
                               "ties = \"ties.csv\"\nlengths = \"lengths.csv\"\n"));
    CHECK(job.run({"check", "."}).exit_code == 0);
    job.write(w.file, w.bytes);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    const auto told = problem_lines(result.err);
    REQUIRE_FALSE(told.empty());
    CHECK(place_of(told[0]) == w.place);
    CHECK(told[0].text.find(w.found) != std::string::npos);
  }
  for (const auto& [keys, field] : {std::pair{"[offsets]\nfrom = [\"B1\"]\n", "offsets.from"},
                                    {"[offsets]\nfrom = [\"B1\", \"B7\"]\n", "offsets.from"},
                                    {"[offsets]\nfraction = \"1/10\\\"\"\n", "offsets.fraction"},
                                    {"[offsets]\nunits = \"m\"\n", "offsets.units"},
                                    {"[baselines]\ntape_standard = \"warm\"\n", "baselines.tape_standard"},
                                    {"[baselines]\nsetout_angle = \"50°\"\n", "baselines.setout_angle"}}) {
    CAPTURE(keys);
    JobFolder job;
    job.write("drawing.csv", kDrawing);
    job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n" + std::string(keys));
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    CHECK(problem_lines(result.err).at(0).field == field);
  }
}
