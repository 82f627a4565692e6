// A crew that has nothing but the printed offset sheet and two marks on the floor: it reads the words, finds
// the axes, and lays out every mark and every support of a trapeze. The floor and the places on it are the
// test's own.
//
// Causes (2026-11-27): supports of trapezes stood behind the last hanger of their run, with running distances
// chained through it; a hanger on a trapeze showed a straight drop; the head sent the crew to two marks as if
// a string between them were a baseline.
#include <doctest/doctest.h>

#include <cmath>
#include <regex>
#include <sstream>

#include "overhead_support.h"
#include "support/sheet_text.h"

using namespace deckmark_test;

namespace {

constexpr double kPi = 3.14159265358979323846, kFoot = 0.3048;

struct Spot {
  double x = 0, y = 0;
};
double apart(const Spot& a, const Spot& b) { return std::hypot(a.x - b.x, a.y - b.y); }

struct Row {
  int number = 0;
  std::string point, rest;  // the drop, or what stands in its place, and what to write
  double along = 0, x = 0, y = 0;
};
struct Tie {
  double first = 0, second = 0, crossing = 0;
  std::string side;
};

/// What the sheet says.
struct Sheet {
  double rounding = 0;               // none is over this
  std::string stand, face, look;     // empty where nobody is told to stand on a mark
  std::string side, hand;            // +Y, left
  std::map<std::string, Spot> from;  // places of the marks that it names
  std::string tie_from, tie_to;      // from which the sides of swing ties are seen
  std::vector<std::vector<Row>> runs;
  std::map<std::string, Tie> ties;  // by point
};

Sheet read_sheet(const std::string& text) {
  const std::string length = R"((-?\d+'-\d+(?: \d+/\d+)?\"|-?\d+\.\d+))";
  const std::regex stand(
      R"(Stand on (\S+), face (\S+): (\+[XY]) is on your (left|right)\. You look along ([+-][XY])\.)"),
      look(R"(Look along ([+-][XY]): (\+[XY]) is on your (left|right)\..*)"),
      lies(R"((\S+) lies at X )" + length + ", Y " + length + R"(\.)"),
      rounding(R"(Rounding on this sheet: none over (?:1/(\d+)\"|([\d.]+) mm) .*)"),
      row(R"(\[ \] +(\d+) (\S+) +)" + length + " +" + length + " +" + length + "(?: +(.*))?"),
      tie(R"(\[ \] +(\d+) (\S+) +)" + length + " +" + length + R"( +(left|right|on line) +(\d+) deg.*)"),
      looking(R"(.*: swing ties, looking from (\S+) to (\S+)(?: \(continued\))?)");
  Sheet sheet;
  bool of_ties = false;
  std::string line;
  for (std::istringstream in(text); std::getline(in, line);) {
    CAPTURE(line);
    CHECK(line.size() <= 76);
    std::smatch m;
    if (std::regex_match(line, m, stand))
      sheet.stand = m[1], sheet.face = m[2], sheet.side = m[3], sheet.hand = m[4], sheet.look = m[5];
    else if (std::regex_match(line, m, look))
      sheet.look = m[1], sheet.side = m[2], sheet.hand = m[3];
    else if (std::regex_match(line, m, lies))
      sheet.from[m[1]] = {read_length(m[2]), read_length(m[3])};
    else if (std::regex_match(line, m, rounding))
      sheet.rounding = m[1].matched ? 0.0254 / std::stod(m[1]) : std::stod(m[2]) / 1000;
    else if (std::regex_match(line, m, looking))
      sheet.tie_from = m[1], sheet.tie_to = m[2];
    else if (line.rfind("[ ] no.", 0) == 0) {
      of_ties = line.find("crossing") != std::string::npos;
      if (!of_ties) sheet.runs.emplace_back();
    } else if (of_ties && std::regex_match(line, m, tie))
      sheet.ties[m[2]] = {read_length(m[3]), read_length(m[4]), std::stod(m[6]), m[5]};
    else if (!of_ties && std::regex_match(line, m, row))
      sheet.runs.back().push_back(
          {std::stoi(m[1]), m[2], m[6], read_length(m[3]), read_length(m[4]), read_length(m[5])});
    else  // no left and no right that does not say from where
      CHECK((line.find(" left") == std::string::npos || line.find("ooking from") != std::string::npos ||
             line.find("left or right of the line") != std::string::npos));
  }
  return sheet;
}

/// The floor that a crew finds from the words: where X, Y lies on it.
struct Axes {
  Spot origin, along_x, along_y;
  Spot at(double x, double y) const {
    return {origin.x + x * along_x.x + y * along_y.x, origin.y + x * along_x.y + y * along_y.y};
  }
};
Axes find_axes(const Sheet& sheet, const std::map<std::string, Spot>& floor) {
  REQUIRE(sheet.from.size() == 2);
  const auto [a, place_a] = *sheet.from.begin();
  const auto [b, place_b] = *std::next(sheet.from.begin());
  const Spot fa = floor.at(a), fb = floor.at(b);
  const bool of_y = sheet.look[1] == 'Y';
  // +Y on the left of one who looks along +X, or what says the same.
  bool left = (sheet.hand == "left") == (sheet.look[0] == '+');
  if (of_y) left = !left;
  const double hand = left ? 1 : -1;
  // The way from one mark to the other, as the sheet has it and as the floor has it.
  const double on_sheet = std::atan2(hand * (place_b.y - place_a.y), place_b.x - place_a.x),
               on_floor = std::atan2(fb.y - fa.y, fb.x - fa.x), turn = on_floor - on_sheet;
  Axes out;
  out.along_x = {std::cos(turn), std::sin(turn)};
  out.along_y = {-hand * std::sin(turn), hand * std::cos(turn)};
  out.origin = {fa.x - place_a.x * out.along_x.x - place_a.y * out.along_y.x,
                fa.y - place_a.x * out.along_x.y - place_a.y * out.along_y.y};
  return out;
}

struct Truth {
  Spot at;
  std::string run;
  double along = 0;
  bool bridged = false;
};

/// A job as the test knows it: a line of hangers that passes under a duct, a ring under another, points of
/// the drawing under a third. All in feet.
struct World {
  std::map<std::string, Truth> marks;
  std::string runs = "run,kind,x1,y1,x2,y2\n", ducts = "name,x,y,clearance\n", points = "point,x,y,run\n";

  void duct(const std::string& name, double x0, double y0, double x1, double y1) {
    for (const auto& [x, y] : {std::pair(x0, y0), {x1, y0}, {x1, y1}, {x0, y1}}) {
      std::ostringstream row;
      row << name << "," << x << "'-0\"," << y << "'-0\",3\"\n";
      ducts += row.str();
    }
  }
  void support(const std::string& of, const std::string& which, Spot at, double along) {
    marks[of + which] = {at, marks[of].run, along};
  }
};

World world() {
  World w;
  char name[8];
  // R1: 40 ft along X at y 10 from x 4, hangers every 4 ft from its start; the duct from x 19 to 21 takes
  // R1-05.
  w.runs += "R1,line,4'-0\",10'-0\",44'-0\",10'-0\"\n";
  for (int i = 0; i <= 10; ++i) {
    std::snprintf(name, sizeof name, "R1-%02d", i + 1);
    w.marks[name] = {{4 + 4.0 * i, 10}, "R1", 4.0 * i};
  }
  w.duct("D1", 19, 5, 21, 15);
  w.marks["R1-05"].bridged = true;
  w.support("R1-05", "-a", {18.75, 10}, 14.75);
  w.support("R1-05", "-b", {21.25, 10}, 17.25);
  // O1: a ring of radius 6 about 30, 30, from x 36 counter-clockwise; hangers at equal spaces of 4 ft at
  // most. A duct along X over its right side takes the first hanger: one support lies before the ring's
  // start.
  w.runs += "O1,ring,36'-0\",30'-0\",24'-0\",30'-0\"\n";
  const double round = 2 * kPi * 6;
  const int n = static_cast<int>(std::ceil(round / 4));
  for (int i = 0; i < n; ++i) {
    std::snprintf(name, sizeof name, "O1-%02d", i + 1);
    const double a = 2 * kPi * i / n;
    w.marks[name] = {{30 + 6 * std::cos(a), 30 + 6 * std::sin(a)}, "O1", round * i / n};
  }
  w.duct("D2", 35, 29, 45, 31);
  w.marks["O1-01"].bridged = true;
  const double half = std::atan2(1.25, 6);
  w.support("O1-01", "-a", {36, 28.75}, round - 6 * half);
  w.support("O1-01", "-b", {36, 31.25}, 6 * half);
  // K: points of the drawing along Y at x 50, a duct along Y beside which K3 and K4 hang: supports left and
  // right.
  for (int i = 0; i < 6; ++i) {
    const std::string k = "K" + std::to_string(i + 1);
    w.points += k + ",50'-0\"," + std::to_string(2 + 4 * i) + "'-0\",K\n";
    w.marks[k] = {{50, 2 + 4.0 * i}, "K", 4.0 * i};
  }
  w.duct("D3", 49, 9, 51, 15);
  for (const char* k : {"K3", "K4"}) {
    w.marks[k].bridged = true;
    const double along = w.marks[k].along, y = w.marks[k].at.y;
    w.support(k, "-a", {48.75, y}, along);
    w.support(k, "-b", {51.25, y}, along);
  }
  return w;
}

}  // namespace

TEST_CASE("marks and supports laid out by the printed words alone land within the stated rounding") {
  const World truth = world();
  struct Case {
    const char* what;
    Spot b1, b2;  // feet
    const char *stand, *look;
  };
  for (const Case& c : {Case{"off the baselines", {2, 2}, {22, 2}, "", "+X"},
                        Case{"on the X baseline, looking back", {22, 0}, {2, 0}, "B1", "-X"},
                        Case{"on the Y baseline", {0, 2}, {0, 30}, "B1", "+Y"},
                        Case{"one on, one off", {0, 0}, {20, 3}, "", "+X"}})
    for (const bool mirrored : {false, true})
      for (const bool feet : {true, false}) {
        CAPTURE(c.what);
        CAPTURE(mirrored);
        CAPTURE(feet);
        const double azimuth = 0.7, hand = mirrored ? -1 : 1;
        const auto on_floor = [&](const Spot& p) {  // metres east and north of where the job lies
          const double x = p.x * kFoot, y = p.y * kFoot;
          return Spot{300 + x * std::sin(azimuth) - hand * y * std::cos(azimuth),
                      700 + x * std::cos(azimuth) + hand * y * std::sin(azimuth)};
        };
        JobFolder job;
        job.write("runs.csv", truth.runs);
        job.write("ducts.csv", truth.ducts);
        job.write("drawing.csv", truth.points);
        std::ostringstream ties;
        ties.precision(12);
        ties << "mark,x,y,northing,easting\n";
        for (const auto& [name, s] :
             {std::pair{"B1", c.b1}, {"B2", c.b2}, {"T", Spot{3, 40}}, {"U", Spot{45, 35}}})
          ties << name << "," << s.x << "'-0\"," << s.y << "'-0\"," << on_floor(s).y << "," << on_floor(s).x
               << "\n";
        job.write("ties.csv", ties.str());
        job.write("job.toml",
                  std::string("[drawing]\npoints = \"drawing.csv\"\nruns = \"runs.csv\"\nunit = "
                              "\"ft-in\"\nmirrored = ") +
                      (mirrored ? "true" : "false") +
                      "\n[baselines]\nties = \"ties.csv\"\n[floor]\nelevation = 0\n[deck]\nelevation = "
                      "\"16'-0\\\"\"\n[hangers]\nheight = \"9'-0\\\"\"\nmax_spacing = \"4'-0\\\"\"\n"
                      "[obstructions]\noutlines = \"ducts.csv\"\n[offsets]\nfrom = [\"B1\", \"B2\"]\n" +
                      (feet ? "" : "unit = \"m\"\n"));
        const CommandResult r = job.run();
        CAPTURE(r.err);
        REQUIRE(r.exit_code == 0);
        const Sheet sheet = read_sheet(job.read("out/offset-sheet.txt"));
        CHECK(sheet.stand == c.stand);
        CHECK(sheet.look == c.look);
        CHECK(sheet.rounding == doctest::Approx(feet ? 0.0254 / 32 : 0.0005));
        const double half = sheet.rounding + 1e-7;
        const std::map<std::string, Spot> floor{{"B1", on_floor(c.b1)}, {"B2", on_floor(c.b2)}};
        // Nobody is sent to a mark that is not where the words say.
        for (const auto& [name, at] : sheet.from) {
          const Spot want = name == "B1" ? c.b1 : c.b2;
          CHECK(std::abs(at.x - want.x * kFoot) <= half);
          CHECK(std::abs(at.y - want.y * kFoot) <= half);
        }
        // The two places are rounded too: over their distance that turns the axes a little.
        const double turned = 2 * half / (apart(c.b1, c.b2) * kFoot) * 25 + 2 * half;
        const Axes axes = find_axes(sheet, floor);
        CHECK(sheet.tie_from == "B1");
        CHECK(sheet.tie_to == "B2");
        std::size_t rows = 0;
        for (const std::vector<Row>& run : sheet.runs) {
          REQUIRE_FALSE(run.empty());
          rows += run.size();
          for (std::size_t i = 0; i < run.size(); ++i) {
            const Row& row = run[i];
            CAPTURE(row.point);
            REQUIRE(truth.marks.count(row.point) == 1);
            const Truth& t = truth.marks.at(row.point);
            CHECK(std::abs(row.x - t.at.x * kFoot) <= half);
            CHECK(std::abs(row.y - t.at.y * kFoot) <= half);
            CHECK(apart(axes.at(row.x, row.y), on_floor(t.at)) <=
                  std::sqrt(2.0) * half + (feet ? 1e-6 : turned));
            CHECK(std::abs(row.along - t.along * kFoot) <= half);
            if (i > 0) CHECK(row.along >= run[i - 1].along);
            if (t.run == "O1") CHECK(row.along <= 2 * kPi * 6 * kFoot);
            CHECK((row.rest.find("trapeze -a -b") != std::string::npos) == t.bridged);
            CHECK((row.rest.find(feet ? "7'-0\"" : "2.134") != std::string::npos) == !t.bridged);
            REQUIRE(sheet.ties.count(row.point) == 1);
            const Tie& tie = sheet.ties.at(row.point);
            if (tie.crossing < 30) continue;
            const Spot p = floor.at("B1"), q = floor.at("B2");
            const double d = apart(p, q),
                         a = (tie.first * tie.first - tie.second * tie.second + d * d) / (2 * d),
                         h = std::sqrt(std::max(0.0, tie.first * tie.first - a * a)) *
                             (tie.side == "left" ? 1 : -1),
                         ux = (q.x - p.x) / d, uy = (q.y - p.y) / d;
            CHECK(apart({p.x + a * ux - h * uy, p.y + a * uy + h * ux}, on_floor(t.at)) <=
                  2 * half / std::sin((tie.crossing - 0.5) * kPi / 180) * 1.01);
          }
        }
        CHECK(rows == truth.marks.size());
        // The table has the same distances, and no drop where there is none.
        for (const TableRow& t : table(job, "offsets.csv")) {
          const Truth& want = truth.marks.at(t.at("point"));
          CHECK(std::abs(read_length(t.at("along_run")) - want.along * kFoot) <= half);
          CHECK(t.at("drop").empty() == want.bridged);
        }
      }
}
