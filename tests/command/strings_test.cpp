// A crew with laser and tape that lays out from two strings: what is refused, what makes the job READY, and a
// floor laid out from the distances alone. Floor, tape and strings are the test's own geometry.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/noise.h"
#include "support/sheet_text.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr double kFoot = 0.3048, kInch = 0.0254;

struct Spot {
  double x = 0, y = 0;
};
Spot operator-(const Spot& a, const Spot& b) { return {a.x - b.x, a.y - b.y}; }
double apart(const Spot& a, const Spot& b) { return std::hypot(a.x - b.x, a.y - b.y); }

/// Corner marks 2 ft inside the grid, in feet.
const std::map<std::string, Spot>& corners() {
  static const std::map<std::string, Spot> all{
      {"B1", {2, 2}}, {"B2", {38, 2}}, {"B3", {2, 26}}, {"B4", {38, 26}}};
  return all;
}

struct Floor {
  std::map<std::string, Spot> drawn;     // marks, metres
  std::map<std::string, Spot> at, laid;  // corner marks as they stand; marks where they belong, metres
};

Spot metres(const Spot& feet) { return {feet.x * kFoot, feet.y * kFoot}; }

/// Where the drawing lies on the floor: the best stiff fit to the corner marks.
void lay(Floor& floor) {
  Spot of_drawn, of_floor;
  for (const auto& [name, feet] : corners()) {
    const Spot d = metres(feet), f = floor.at.at(name);
    of_drawn = {of_drawn.x + d.x / 4, of_drawn.y + d.y / 4};
    of_floor = {of_floor.x + f.x / 4, of_floor.y + f.y / 4};
  }
  double same = 0, across = 0;
  for (const auto& [name, feet] : corners()) {
    const Spot d = metres(feet) - of_drawn, f = floor.at.at(name) - of_floor;
    same += d.x * f.x + d.y * f.y;
    across += d.x * f.y - d.y * f.x;
  }
  const double turn = std::atan2(across, same), c = std::cos(turn), s = std::sin(turn);
  for (const auto& [name, drawn] : floor.drawn) {
    const Spot d = drawn - of_drawn;
    floor.laid[name] = {of_floor.x + c * d.x - s * d.y, of_floor.y + s * d.x + c * d.y};
  }
}

/// Where a mark comes to lie whose tapes show so much from the strings B1-B3 and B1-B2.
Spot found_by(const Floor& floor, double from_x_string, double from_y_string) {
  const Spot b1 = floor.at.at("B1"), to2 = floor.at.at("B2") - b1, to3 = floor.at.at("B3") - b1;
  const double l2 = std::hypot(to2.x, to2.y), l3 = std::hypot(to3.x, to3.y);
  const Spot nx{to3.y / l3, -to3.x / l3},
      ny{-to2.y / l2, to2.x / l2};  // to the right of B1-B3, left of B1-B2
  const double det = nx.x * ny.y - nx.y * ny.x;
  return {b1.x + (from_x_string * ny.y - from_y_string * nx.y) / det,
          b1.y + (nx.x * from_y_string - ny.x * from_x_string) / det};
}

std::string feet_text(double feet) {
  const int inches = static_cast<int>(std::lround(feet * 12));
  return "\"" + std::to_string(inches / 12) + "'-" + std::to_string(inches % 12) + "\"\"\"";
}

/// 80 marks in eight runs, a duct over one of them, and the corner marks as reference points. The corner
/// marks stand off so that the strings are out of square by two minutes. `b3`: how far B3 stands to the right
/// of its place, metres.
Floor write_job(JobFolder& job, const std::string& more = "", double b3 = 0.0035) {
  Floor floor;
  std::string drawing = "point,x,y,run,kind\n";
  for (const auto& [name, at] : corners())
    drawing += name + "," + feet_text(at.x) + "," + feet_text(at.y) + ",,reference\n";
  for (int run = 0; run < 8; ++run)
    for (int i = 0; i < 10; ++i) {
      const std::string name = "R" + std::to_string(run) + "-" + std::to_string(i);
      const Spot at{1 + 4.25 * i, 1 + 3.5 * run};
      drawing += name + "," + feet_text(at.x) + "," + feet_text(at.y) + ",R" + std::to_string(run) + ",\n";
      floor.drawn[name] = metres(at);
    }
  // R3-4 at 18, 11.5 hangs under a duct along Y: its trapeze stands 3 in clear on both sides.
  floor.drawn["R3-4-a"] = metres({17 - 0.25, 11.5});
  floor.drawn["R3-4-b"] = metres({19 + 0.25, 11.5});
  job.write("drawing.csv", drawing);
  job.write("ducts.csv",
            "name,x,y,clearance\nD,\"17'-0\"\"\",\"10'-0\"\"\",\"3\"\"\"\nD,\"19'-0\"\"\",\"10'-0\"\"\","
            "\"3\"\"\"\nD,\"19'-0\"\"\",\"13'-0\"\"\",\"3\"\"\"\nD,\"17'-0\"\"\",\"13'-0\"\"\",\"3\"\"\"\n");
  const double turn = 0.4;
  for (const auto& [name, feet] : corners()) {
    Spot at = metres(feet);
    if (name == "B3") at.x += b3;
    if (name == "B2") at.y -= 0.001;
    floor.at[name] = {50 + std::cos(turn) * at.x - std::sin(turn) * at.y,
                      90 + std::sin(turn) * at.x + std::cos(turn) * at.y};
  }
  lay(floor);
  std::ostringstream lengths;
  lengths.precision(12);
  lengths << "from,to,measured\n";
  for (auto a = corners().begin(); a != corners().end(); ++a)
    for (auto b = std::next(a); b != corners().end(); ++b)
      lengths << a->first << "," << b->first << "," << apart(floor.at[a->first], floor.at[b->first])
              << " m\n";
  job.write("lengths.csv", lengths.str());
  job.write(
      "job.toml",
      "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[site]\nunit = \"ft\"\n[baselines]\nlengths = "
      "\"lengths.csv\"\ntie_sd = \"1 mm\"\n[floor]\nelevation = 0\n[deck]\nelevation = \"16 ft\"\n[hangers]\n"
      "height = \"9'-6\\\"\"\n[obstructions]\noutlines = \"ducts.csv\"\n[offsets]\nstrings = [\"B1\", "
      "\"B2\", "
      "\"B3\"]\n" +
          more);
  return floor;
}

/// A job of a rectangle of 12 m by 9 m in metres, whose lengths are these.
void write_plain(JobFolder& job, const std::string& lengths,
                 const std::string& offsets = "strings = [\"B1\", \"B2\", \"B3\"]\n") {
  job.write("drawing.csv",
            "point,x,y,kind\nB1,0,0,reference\nB2,12,0,reference\nB3,0,9,reference\nB4,12,9,reference\n"
            "LEAN,8.4572,3.0782,reference\nFAR,20,0,reference\nP,3,4,\nQ,-1,2,\n");
  if (!lengths.empty()) job.write("lengths.csv", "from,to,measured\n" + lengths);
  job.write("job.toml", std::string("[drawing]\npoints = \"drawing.csv\"\nunit = \"m\"\n") +
                            (lengths.empty() ? "" : "[baselines]\nlengths = \"lengths.csv\"\n") +
                            "[offsets]\n" + offsets);
}
constexpr const char* kBraced = "B1,B2,12\nB1,B3,9\nB2,B4,9\nB3,B4,12\nB1,B4,15\nB2,B3,15\n";

/// What a job says that must not be laid out from.
struct Stopped {
  CommandResult result;
  std::vector<std::vector<std::string>> corners;  // rows of corners.csv, its head too
  std::string sheet;                              // on one line
};
Stopped run_stopped(JobFolder& job) {
  CommandResult result = job.run();
  CAPTURE(result.err);
  CHECK(result.exit_code == 1);
  CHECK(says(result.err, "DO NOT LAY OUT: "));
  return {std::move(result), csv_rows(job.read("out/corners.csv")),
          on_one_line(job.read("out/offset-sheet.txt"))};
}

}  // namespace

TEST_CASE("a floor laid out from strings that are out of square lands where the drawing has it") {
  JobFolder job;
  const Floor floor = write_job(job);
  const CommandResult result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  CHECK(says(result.err, "READY TO LAY OUT"));
  const auto rows = csv_rows(job.read("out/offsets.csv"));
  REQUIRE(rows[0].size() == 13);
  CHECK(rows[0][11] == "from_x_string (ft-in)");
  CHECK(rows[0][12] == "from_y_string (ft-in)");
  Noise tape;
  std::size_t marks = 0;
  double worst = 0;
  for (const auto& mark : floor.laid) {
    const std::string& name = mark.first;
    const Spot& want = mark.second;
    CAPTURE(name);
    const auto row = std::find_if(rows.begin(), rows.end(), [&](const auto& r) { return r[1] == name; });
    REQUIRE(row != rows.end());
    const double from_x = read_length((*row)[11]), from_y = read_length((*row)[12]);
    // Each distance is rounded once; strings out of square by two minutes carry a thousandth of it over.
    const double exact = kInch / 32 + 1e-6;
    const Spot stated = found_by(floor, from_x, from_y);
    CHECK(apart(stated, want) <= std::sqrt(2.0) * exact * 1.001);
    if (name.ends_with("-a") || name.ends_with("-b")) {
      CHECK(apart(stated, want) <= kInch / 16);
      continue;
    }
    ++marks;
    const Spot laid = found_by(floor, from_x + 0.001 * tape.normal(), from_y + 0.001 * tape.normal());
    worst = std::max(worst, apart(laid, stated));
  }
  CHECK(marks == 80);
  CHECK(worst < kInch / 8);
}

TEST_CASE("a job laid out from strings has no list for an instrument, and says what to do instead") {
  JobFolder job;
  write_job(job, "[[crew]]\nname = \"north\"\nruns = [\"R1\"]\n");
  const CommandResult result = job.run({"run", "."});
  CHECK(result.exit_code == 0);
  CHECK(says(result.out, "deckmark offsets "));
  CHECK(says(result.out, "print offset-sheet.txt"));
  CHECK(says(on_one_line(result.out), "B1 to B2 is 36'-0\""));
  // 80 points and two supports; the four corner marks stand and have no box to tick.
  CHECK(says(result.out, "(82 marks)"));
  const std::string sheet = on_one_line(job.read("out/offset-sheet.txt"));
  CHECK(says(sheet, "B1, B2, B3 and B4 stand already"));
  CHECK_FALSE(says(sheet, "POINTS WITHOUT A RUN"));
  CHECK(csv_rows(job.read("out/offsets.csv")).size() == 1 + 4 + 82);
  CHECK_FALSE(says(result.out, "Load "));
  for (const char* list : {"list.csv", "floor-list.csv", "deck-list.csv", "floor-list-north.csv"})
    CHECK_FALSE(job.has(std::string("out/") + list));
  CHECK(job.has("out/points.csv"));
  CHECK(job.has("out/corners.csv"));
  CHECK(job.has("out/offsets-north.csv"));
}

TEST_CASE("lengths that do not check one another: what to tape") {
  struct Row {
    const char *lengths, *says;
  };
  for (const Row& r : {Row{"", "no lengths fix the strings: tape B1 to B2, B1 to B3 and B2 to B3"},
                       Row{"B1,B2,12\nB1,B3,9\n", "no lengths fix the strings: tape B2 to B3"},
                       Row{"B1,B2,12\nB1,B3,9\nB2,B3,15\n",
                           "no other length checks B1 to B2, B1 to B3 and B2 to B3: tape from a fourth mark "
                           "to B1, B2 and B3 too"},
                       Row{"B1,B2,12\nB1,B3,9\nB2,B3,15\nB2,B4,9\nB3,B4,12\n",
                           "no other length checks B1 to B2, B1 to B3 and B2 to B3: tape B1 to B4 too"}}) {
    JobFolder job;
    write_plain(job, r.lengths);
    const CommandResult result = job.run();
    CAPTURE(result.err);
    CHECK(result.exit_code == 0);
    CHECK(says(result.err, std::string("BASELINES NOT CHECKED: ") + r.says));
    CHECK_FALSE(job.has("out/floor-list.csv"));
  }
  JobFolder job;
  write_plain(job, kBraced);
  CHECK(says(job.run().err, "READY TO LAY OUT"));
  // Ties, control or setups place the drawing: strings are then a way to tape alone.
  job.forget_issues();
  job.write("ties.csv", "mark,x,y,northing,easting\nT1,0,0,0,0\nT2,12,0,0,12\nT3,0,9,9,0\nT4,12,9,9,12\n");
  job.write("job.toml", job.read("job.toml") + "[site]\nunit = \"m\"\n");
  std::string toml = job.read("job.toml");
  toml.insert(toml.find("lengths ="), "ties = \"ties.csv\"\n");
  job.write("job.toml", toml);
  CHECK(says(job.run().err, "READY TO LAY OUT"));
  CHECK(job.has("out/floor-list.csv"));
  CHECK(csv_rows(job.read("out/offsets.csv"))[7][11] == "3.000");
}

TEST_CASE("lengths that contradict stop the job; a corner off its place is moved") {
  JobFolder job;
  write_plain(job, "B1,B2,12\nB1,B3,9\nB2,B4,9\nB3,B4,12\nB1,B4,15\nB2,B3,15.040\n");
  const Stopped wrong = run_stopped(job);
  CHECK(says(wrong.result.err, "DO NOT LAY OUT: length B2 to B3 is off by 40.0 mm"));
  CHECK(wrong.corners.size() == 1);
  CHECK(says(wrong.sheet, "tape them again before a mark is moved"));
  // B3 stands 20 mm too far along X.
  job.forget_issues();
  write_plain(job, "B1,B2,12\nB1,B3,9.00002\nB2,B4,9\nB3,B4,11.980\nB1,B4,15\nB2,B3,14.98401\n");
  const Stopped off = run_stopped(job);
  const auto& rows = off.corners;
  REQUIRE(rows.size() == 2);
  CHECK(rows[0] == std::vector<std::string>{"mark", "toward", "move (m)"});
  CHECK(rows[1][0] == "B3");
  CHECK(rows[1][1] == "B4");
  CHECK(std::abs(std::stod(rows[1][2]) + 0.020) < 0.0005);
  CHECK(says(on_one_line(off.result.out), "Move B3 20.0 mm away from B4, then tape again."));
  CHECK(says(off.sheet, "Move B3 20.0 mm away from B4, then tape again."));
  CHECK(says(on_one_line(job.run({"run", "."}).out), "Move B3 20.0 mm away from B4, then tape again."));
  CHECK(says(on_one_line(job.run({"baseline", "."}).out), "Move B3 20.0 mm away from B4"));
}

/// The same rectangle on a tape of feet and inches; sd of a length 1/16 in, permitted 3/16.
void write_feet(JobFolder& job, const std::string& lengths) {
  job.write("drawing.csv",
            "point,x,y,kind\nB1,2 ft,2 ft,reference\nB2,58 ft,2 ft,reference\nB3,2 ft,38 ft,reference\n"
            "B4,58 ft,38 ft,reference\nP,10 ft,10 ft,\n");
  job.write("lengths.csv", "from,to,measured\n" + lengths);
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[site]\nunit = \"ft\"\n[baselines]\n"
            "lengths = \"lengths.csv\"\ntolerance = \"3/16\\\"\"\ntie_sd = \"1/16\\\"\"\n[offsets]\nunit = "
            "\"ft-in\"\nstrings = [\"B1\", \"B2\", \"B3\"]\n");
}

TEST_CASE("a misread length that nothing checks moves no mark: tape again, and what else to tape") {
  JobFolder job;
  write_feet(job,
             "B1,B2,\"57'-0\"\"\"\nB1,B3,\"36'-0 1/16\"\"\"\nB2,B4,\"35'-11 15/16\"\"\"\n"
             "B3,B4,\"56'-0 1/16\"\"\"\nB1,B4,\"66'-6 7/8\"\"\"\n");
  const Stopped off = run_stopped(job);
  CHECK(off.corners.size() == 1);
  for (const std::string& text : {on_one_line(off.result.out), off.sheet}) {
    CAPTURE(text);
    CHECK(says(text,
               "B1 to B2 is off by more than a mark is moved (100 mm; common practice, no source): misread, "
               "or held to another mark? Tape it again."));
    CHECK(says(text,
               "Move no mark yet: no other length checks B1 to B2, B1 to B3, B2 to B4 and 2 more: tape B2 "
               "to B3 too."));
    CHECK_FALSE(says(text, "toward B1 and"));
  }
  CHECK(says(
      off.sheet,
      "As found: B1 to B2 57'-0\", B1 to B3 36'-0 1/16\". By the other lengths: B2 to B3 67'-4 15/16\"."));
}

TEST_CASE("squareness alone outside names the corner to move, with one number wherever it is told") {
  JobFolder job;
  write_feet(job,
             "B1,B2,\"56'-0\"\"\"\nB1,B3,\"36'-0 1/16\"\"\"\nB2,B4,\"35'-11 15/16\"\"\"\n"
             "B3,B4,\"56'-0 3/16\"\"\"\nB1,B4,\"66'-6 7/8\"\"\"\nB2,B3,\"66'-7\"\"\"\n");
  const Stopped off = run_stopped(job);
  CHECK(says(off.result.err,
             "DO NOT LAY OUT: the baselines are out of square by 0'-0 7/32\" over 36'-0\", permitted "
             "0'-0 3/16\""));
  const auto& rows = off.corners;
  REQUIRE(rows.size() == 2);
  CHECK(rows[1][0] == "B3");
  CHECK(rows[1][1] == "B4");
  CHECK(says(on_one_line(off.result.out), "Move B3 3/16\" toward B4, then tape again."));
  CHECK(says(on_one_line(job.run({"baseline", "."}).out), "open by 7/32 in over 36.0000 ft"));
  // Moved so on the floor: lengths and squareness are within.
  job.forget_issues();
  write_feet(job,
             "B1,B2,\"56'-0\"\"\"\nB1,B3,\"36'-0 1/16\"\"\"\nB2,B4,\"35'-11 15/16\"\"\"\n"
             "B3,B4,\"56'-0\"\"\"\nB1,B4,\"66'-6 7/8\"\"\"\nB2,B3,\"66'-6 27/32\"\"\"\n");
  CHECK(says(job.run().err, "READY TO LAY OUT"));
}

TEST_CASE("rows pasted twice make no job READY; slips of the table are told before a mark is moved") {
  struct Row {
    const char *lengths, *verdict, *says;
  };
  const std::string three = "B1,B2,12.001\nB1,B3,9\nB2,B3,15\n";
  const std::string twice = three + three, again = three + "B1,B2,12.002\nB1,B3,9.001\nB2,B3,15.001\n";
  for (const Row& r :
       {Row{twice.c_str(), "BASELINES NOT CHECKED: no other length checks B1 to B2, B1 to B3 and B2 to B3",
            "B1 to B2, B1 to B3 and B2 to B3 again, alike to the last digit"},
        Row{again.c_str(), "READY TO LAY OUT", ""},
        Row{"B1,B3,12\nB1,B2,9\nB3,B4,9\nB2,B4,12\nB1,B4,15\nB2,B3,15\n", "DO NOT LAY OUT",
            "names exchanged? With B1 and B4, or B2 and B3 exchanged all lengths agree with the drawing"},
        Row{"B1,B2,39.370\nB1,B3,9\nB2,B4,9\nB3,B4,12\nB1,B4,15\nB2,B3,15\n", "DO NOT LAY OUT",
            "B1 to B2 keyed in feet? Read in feet in place of metres it agrees with the drawing"}}) {
    CAPTURE(r.lengths);
    JobFolder job;
    write_plain(job, r.lengths);
    const CommandResult result = job.run();
    CAPTURE(result.err);
    CHECK(says(result.err, r.verdict));
    CHECK(says(result.err, r.says));
    CHECK(csv_rows(job.read("out/corners.csv")).size() == 1);
    if (says(r.verdict, "DO NOT")) {
      CHECK(says(on_one_line(result.out), std::string("Move no mark yet: ") + r.says));
      CHECK(says(on_one_line(job.read("out/offset-sheet.txt")), std::string("Move no mark yet: ") + r.says));
      CHECK_FALSE(says(job.read("out/offset-sheet.txt"), "As found"));
    }
  }
}

TEST_CASE("strings that are none are refused at their key") {
  struct Row {
    const char *key, *says;
  };
  for (const Row& r :
       {Row{"strings = [\"B1\", \"B2\"]\n", "offsets.strings: found 2 marks, expected three marks"},
        Row{"strings = [\"B1\", \"B2\", \"B2\"]\n",
            "offsets.strings: found \"B2\" again, expected three different marks"},
        Row{"strings = [\"B1\", \"B7\", \"B3\"]\n",
            "offsets.strings: found \"B7\", expected a mark of the ties table, a drawing point or control"},
        Row{"strings = [\"B1\", \"B2\", \"FAR\"]\n",
            "offsets.strings: found B1, B2 and FAR on one line, expected three marks that make a corner"},
        Row{"strings = [\"B1\", \"B2\", \"LEAN\"]\n",
            "offsets.strings: found strings B1-B2 and B1-LEAN that cross at 20.0 degrees, expected strings "
            "that cross at 45 degrees or more"},
        Row{"strings = [\"B1\", \"B3\", \"B2\"]\n", "; try [\"B1\", \"B2\", \"B3\"]"}}) {
    JobFolder job;
    write_plain(job, kBraced, r.key);
    const auto before = job.snapshot();
    for (const char* command : {"run", "offsets", "check"}) {
      CAPTURE(command);
      const CommandResult result = job.run({command, "."});
      CAPTURE(result.err);
      CHECK(says(result.err, r.says));
      check_refused(job, before, result);
    }
  }
  JobFolder job;
  write_plain(job, kBraced);
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  const auto before = job.snapshot();
  const CommandResult none = job.run({"offsets", "."});
  CHECK(says(none.err, "offsets: found no section [offsets]"));
  check_refused(job, before, none);
}

TEST_CASE("offsets on the screen: the sheet without paper, as CSV the table, for one crew its marks") {
  JobFolder job;
  write_job(job, "[[crew]]\nname = \"north\"\nruns = [\"R1\"]\n");
  const CommandResult text = job.run({"offsets", "."});
  CAPTURE(text.err);
  CHECK(text.exit_code == 0);
  CHECK(says(on_one_line(text.out), "Stand on B1, face B2: B3 is on your left."));
  CHECK(says(on_one_line(text.out),
             "Measure square from string B1-B3 toward B2, and square from string B1-B2 toward B3."));
  CHECK(says(text.out, " away"));  // R0-0 lies a foot outside both
  CHECK_FALSE(says(text.out, "\f"));
  CHECK_FALSE(says(text.out, "date ____"));
  CHECK_FALSE(job.has("out"));
  std::istringstream lines(text.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
  const CommandResult csv = job.run({"offsets", ".", "--csv"});
  CHECK(csv_rows(csv.out).size() == 1 + 4 + 80 + 2);
  const CommandResult crew = job.run({"offsets", ".", "--crew", "north"});
  CHECK(says(crew.out, "for crew north"));
  CHECK(says(crew.out, "R1-0"));
  CHECK_FALSE(says(crew.out, "R2-0"));
  CHECK(csv_rows(job.run({"offsets", ".", "--crew", "north", "--csv"}).out).size() == 1 + 10);
  const CommandResult nobody = job.run({"offsets", ".", "--crew", "nort"});
  CHECK(nobody.exit_code == 2);
  CHECK(says(nobody.err, "try north"));
}

TEST_CASE("the sheet holds 58 lines of 76 columns, and no sheet is empty") {
  JobFolder job;
  write_job(job, "from = [\"B1\", \"B2\"]\n");
  REQUIRE(job.run().exit_code == 0);
  const std::string text = job.read("out/offset-sheet.txt");
  std::vector<std::vector<std::string>> sheets(1, std::vector<std::string>(1));
  for (const char c : text) {
    if (c == '\f')
      sheets.emplace_back(1);
    else if (c == '\n')
      sheets.back().emplace_back();
    else
      sheets.back().back() += c;
  }
  CHECK(sheets.size() >= 4);
  for (std::size_t s = 0; s < sheets.size(); ++s) {
    CAPTURE(s);
    CHECK(sheets[s].back().empty());  // the sheet's last line has its end
    sheets[s].pop_back();
    CHECK(sheets[s].size() <= 58);
    CHECK(std::count_if(sheets[s].begin(), sheets[s].end(), [](const std::string& l) { return !l.empty(); }) >
          8);
    for (const std::string& line : sheets[s]) {
      CAPTURE(line);
      CHECK(line.size() <= 76);
      CHECK_FALSE(std::regex_search(line, std::regex(R"('-\d+,?$)")));  // no length is broken in two
    }
  }
}

// 2026-11-28: a crew without an instrument was sent to its inverse, and told azimuths from a made-up north.
TEST_CASE("a job laid out from strings says nothing of an instrument, of north or of azimuths") {
  JobFolder job;
  write_job(job, "[numbers]\nstart = 2001\n");
  const CommandResult run = job.run();
  REQUIRE(run.exit_code == 0);
  const std::string summary = job.read("out/summary.txt"), page = job.read("out/report.html"),
                    baseline = job.run({"baseline", "."}).out,
                    history = job.run({"history", ".", "2005"}).out;
  for (const std::string& text : {run.out, summary, baseline, history, job.run({"check", "."}).out, page}) {
    CHECK_FALSE(says(text, "inverse"));
    CHECK_FALSE(says(text, "azimuth"));
    CHECK_FALSE(says(text, "serial"));
    CHECK_FALSE(says(text, "northing"));
    CHECK_FALSE(says(text, "site north"));
    CHECK_FALSE(says(text, "baselines cross"));
    CHECK_FALSE(says(text, "floor list"));
  }
  // The first row of the sheet, a foot from both axes, and the last of the last run: 38.25 ft by 24.5 ft.
  CHECK(says(summary, "CHECK THE SHEET with the tape, floor mark to floor mark\n  2005 to 2084: 45'-5"));
  CHECK(says(baseline, "\n  tape and laser ___"));
  CHECK(says(page, "tape and laser"));
  CHECK(says(page, "unit of the tables"));
  CHECK_FALSE(says(page, "unit of the lists"));
  CHECK(says(page, "Laid out from strings: see the offset sheet."));
  CHECK(says(history, "X 1'-0\", Y 1'-0\""));
}

TEST_CASE("the datum line stands on the sheet; paper, screen and points.csv agree") {
  JobFolder job;
  write_job(job);
  std::string toml = job.read("job.toml");
  toml.replace(toml.find("elevation = 0\n"), 14, "elevation = 0\ndatum = \"3'-6\\\"\"\n");
  job.write("job.toml", toml);
  const CommandResult run = job.run({"run", ".", "--csv"});
  REQUIRE(run.exit_code == 0);
  const std::string sheet = job.read("out/offset-sheet.txt"), screen = job.run({"offsets", "."}).out;
  CHECK(says(on_one_line(sheet), "above = bracket above the datum line"));
  CHECK(std::regex_search(sheet, std::regex(R"(1005 R0-0 .* 6'-0"( |\n))")));  // 9'-6" less 3'-6"
  CHECK(run.out == job.read("out/points.csv"));
  // The digest of points.csv, by which a sheet is told to belong to it.
  const std::string digest = sheet.substr(sheet.find("points.csv "), 19);
  CHECK(says(screen, digest));
  CHECK(says(job.read("out/SHA256SUMS"), digest.substr(11)));
}

// 2026-11-28: B3 taped again, the marks stayed where they were: two different sheets had one head.
TEST_CASE("a sheet that changed in one issue has another head, and the run tells what changed and how far") {
  JobFolder job;
  write_job(job);
  const CommandResult first = job.run();
  REQUIRE(first.exit_code == 0);
  CHECK_FALSE(says(first.err, "offset sheet changed"));
  const std::string points = job.read("out/points.csv"), sheet = job.read("out/offset-sheet.txt");
  const auto before = named_rows(job.read("out/offsets.csv"));
  write_job(job, "", -0.0035);
  const CommandResult second = job.run();
  REQUIRE(second.exit_code == 0);
  CHECK(job.read("out/points.csv") == points);
  const auto after = named_rows(job.read("out/offsets.csv"));
  REQUIRE(after.size() == before.size());
  std::size_t count = 0;
  double largest = 0;
  std::string at;
  for (std::size_t i = 0; i < after.size(); ++i) {
    if (corners().count(after[i].at("point"))) continue;  // no rows of the sheet
    for (const char* column : {"along_run", "from_x_string", "from_y_string", "tie1", "tie2", "drop"}) {
      const std::string &was = before[i].at(column), &is = after[i].at(column);
      if (was == is) continue;
      ++count;
      const double by = std::abs(read_length(is) - read_length(was));
      if (by > largest + 1e-9) largest = by, at = after[i].at("number");
    }
  }
  REQUIRE(count > 20);
  const long sixteenths = std::lround(largest / kInch * 16);
  REQUIRE(sixteenths == 3);  // 7 mm at B3, of which the fit leaves the marks two thirds
  CHECK(says(second.err, "out/offsets.csv: file: the offset sheet changed: " + std::to_string(count) +
                             " distances, the largest by 0'-0 3/16\" at " + at +
                             ": take back the sheets that were printed before"));
  // Paper, screen and summary name the table; not one of them is that of the sheet before.
  const auto name_in = [](const std::string& text) {
    const std::size_t begin = text.find("offsets.csv ");
    return begin == std::string::npos ? std::string() : text.substr(begin, 20);
  };
  const std::string name = name_in(job.read("out/offset-sheet.txt"));
  CHECK(says(job.read("out/SHA256SUMS"), name.substr(12)));
  CHECK(name.size() == 20);
  CHECK(name != name_in(sheet));
  CHECK(name_in(job.run({"offsets", "."}).out) == name);
  const std::string summary = job.read("out/summary.txt");
  CHECK(says(summary, "CHECK THE SHEET with the tape, floor mark to floor mark\n  1005 to 1084: "));
  CHECK(says(summary, "\n  the sheet's head says " + name));
  CHECK_FALSE(says(job.run().err, "offset sheet changed"));
  // Another's file is not compared.
  std::filesystem::remove(job.path() / "out/summary.txt");
  write_job(job);
  CHECK_FALSE(says(job.run().err, "offset sheet changed"));
}

TEST_CASE("the sheet has each rod as hangers.csv has it, and none where no rod is cut") {
  JobFolder job;
  write_job(job);
  REQUIRE(job.run().exit_code == 0);
  CHECK_FALSE(says(job.read("out/offset-sheet.txt"), "RODS"));
  std::string toml = job.read("job.toml");
  toml.replace(toml.find("[obstructions]"), 0,
               "cut_top = \"2\\\"\"\ncut_bottom = \"3\\\"\"\ncut_round = \"1/4\\\"\"\n");
  job.write("job.toml", toml);
  REQUIRE(job.run().exit_code == 0);
  const std::string sheet = job.read("out/offset-sheet.txt"), rods = sheet.substr(sheet.find("RODS   "));
  const auto hangers = named_rows(job.read("out/hangers.csv"));
  REQUIRE(hangers.size() == 81);
  std::size_t ticks = 0, found = 0;
  for (std::size_t at = rods.find("[ ]"); at != std::string::npos; at = rods.find("[ ]", at + 1)) ++ticks;
  for (const auto& rod : hangers) {
    CAPTURE(rod.at("number"));
    std::smatch m;
    const bool is_there = std::regex_search(
        rods, m, std::regex("\\[ \\] +" + rod.at("number") + " " + rod.at("point") + " +(\\d+'-[^\"]*\")"));
    CHECK(is_there == !rod.at("cut").empty());
    if (!is_there) continue;
    ++found;
    CHECK(read_length(m[1]) == doctest::Approx(std::stod(rod.at("cut")) * kFoot).epsilon(1e-5));
  }
  CHECK(ticks == found);
  CHECK(found == 81);
  const std::string digest = rods.substr(rods.find("hangers.csv ") + 12, 8);
  CHECK(says(job.read("out/SHA256SUMS"), digest));
  CHECK(says(job.run({"offsets", "."}).out, "RODS   81 rods   hangers.csv " + digest));
}

TEST_CASE("what was read: points marked on the deck, not rows of a turned laser; level and laser") {
  JobFolder job;
  write_job(job,
            "[plumb]\nmarks = \"deckmarks.csv\"\n[heights]\nbenchmarks = \"benchmarks.csv\"\nlevel = "
            "\"level.csv\"\nlaser = \"laser.csv\"\nbeam = \"1/8\\\" at 100 ft\"\n");
  job.write("deckmarks.csv",
            "point,turn,dx,dy\nR0-0,0,\"0'-0\"\"\",\"0'-0\"\"\"\nR0-0,180,\"0'-0\"\"\","
            "\"0'-0\"\"\"\nR1-0,,\"0'-0\"\"\",\"0'-0\"\"\"\n");
  job.write("benchmarks.csv", "point,elevation\nBM,2\n");
  job.write("level.csv", "setup,target,back,fore\nL1,BM,3,\nL1,COL,,1\n");
  job.write("laser.csv", "laser,target,reading,target_is,distance\nA,COL,1,below,10\n");
  const CommandResult check = job.run({"check", "."});
  CAPTURE(check.err);
  CHECK(says(on_one_line(check.out), "2 deck marks (3 readings), 2 level readings, 1 laser reading"));
  std::istringstream lines(check.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
}
