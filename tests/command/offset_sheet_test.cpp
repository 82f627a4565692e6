// A floor laid out from nothing but the numbers that the printed sheet shows.
#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <sstream>
#include <string>

#include "job_folder.h"
#include "support/sheet_text.h"

using namespace deckmark_test;

namespace {

struct Spot {
  double x = 0, y = 0;
};
double apart(const Spot& a, const Spot& b) { return std::hypot(a.x - b.x, a.y - b.y); }

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out(1);
  for (const char c : text) {
    if (c == '\n' || c == '\f')
      out.emplace_back();
    else
      out.back() += c;
  }
  return out;
}

/// Cells of a row that stand under the words of its head, each from where its word begins.
std::map<std::string, std::string> cells(const std::string& head, const std::string& row,
                                         const std::vector<std::string>& words) {
  std::map<std::string, std::string> out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::size_t begin = head.find(words[i]),
                      end = i + 1 < words.size() ? head.find(words[i + 1]) : row.size();
    REQUIRE(begin != std::string::npos);
    std::string cell = begin < row.size() ? row.substr(begin, end - begin) : "";
    cell.erase(cell.find_last_not_of(' ') + 1);
    out[words[i]] = cell;
  }
  return out;
}

/// The same where decimals stand under one another from the right: no name here holds a blank.
std::map<std::string, std::string> blank_cells(const std::string& row, std::vector<std::string> words,
                                               std::size_t with_all) {
  std::istringstream in(row);
  std::vector<std::string> tokens;
  for (std::string t; in >> t;) tokens.push_back(t);
  std::map<std::string, std::string> out;
  std::size_t at = 4;  // behind the box, the number and the name
  for (const std::string& w : words)
    out[w] = w == "from zero" && tokens.size() < with_all ? "" : tokens.at(at++);
  return out;
}

/// What the sheet says, by number.
struct Sheet {
  struct Mark {
    Spot by_xy;
    double along = 0, first = 0, second = 0, crossing = 0;
    std::string side;
    bool has_along = false;
  };
  std::map<int, Mark> marks;
  struct Check {
    int from, to;
    double span;
  };
  std::vector<Check> checks;
};

Sheet read_sheet(const std::string& text, double unit, bool feet) {
  Sheet sheet;
  std::string head;
  bool ties = false;
  for (const std::string& line : lines_of(text)) {
    CHECK(line.size() <= 76);
    if (line.rfind("[ ] no.", 0) == 0) {
      head = line;
      ties = line.find("crossing") != std::string::npos;
    } else if (line.rfind("[ ] check", 0) == 0) {
      const std::size_t comma = line.find(", "), to = line.find(" to ", comma), colon = line.find(':');
      sheet.checks.push_back({std::stoi(line.substr(comma + 2)), std::stoi(line.substr(to + 4)),
                              read_length(line.substr(colon + 2, line.find("   found") - colon - 2), unit)});
    } else if (line.rfind("[ ]", 0) == 0) {
      Sheet::Mark& m = sheet.marks[std::stoi(line.substr(3))];
      if (ties) {
        const auto c = feet ? cells(head, line, {"from P", "from Q", "side"})
                            : blank_cells(line, {"from P", "from Q", "side"}, 0);
        m.first = read_length(c.at("from P"), unit);
        m.second = read_length(c.at("from Q"), unit);
        m.side = c.at("side").substr(0, c.at("side").find(' '));
        const std::size_t degrees = line.find(" deg");
        m.crossing = std::stod(line.substr(degrees - 3));
      } else {
        const auto c = feet ? cells(head, line, {"from zero", "X", "Y", "drop"})
                            : blank_cells(line, {"from zero", "X", "Y", "drop"}, 10);
        m.by_xy = {read_length(c.at("X"), unit), read_length(c.at("Y"), unit)};
        m.has_along = !c.at("from zero").empty();
        if (m.has_along) m.along = read_length(c.at("from zero"), unit);
      }
    }
  }
  return sheet;
}

/// Where two arcs meet, on the given side of the line from p to q.
Spot swing(const Spot& p, const Spot& q, double first, double second, bool left) {
  const double d = apart(p, q), a = (first * first - second * second + d * d) / (2 * d),
               h = std::sqrt(std::max(0.0, first * first - a * a)) * (left ? 1 : -1);
  const double ux = (q.x - p.x) / d, uy = (q.y - p.y) / d;
  return {p.x + a * ux - h * uy, p.y + a * uy + h * ux};
}

struct UnitCase {
  const char *unit, *fraction;
  double metres, step;  // of the unit; of the last digit
};

}  // namespace

TEST_CASE("a floor laid out from the printed sheet alone lands within the stated rounding") {
  for (const UnitCase& u :
       {UnitCase{"ft-in", "1/16\\\"", 0.0254, 0.0254 / 16}, UnitCase{"ft-in", "1/8\\\"", 0.0254, 0.0254 / 8},
        UnitCase{"m", "1/16\\\"", 1, 0.001}, UnitCase{"mm", "1/16\\\"", 0.001, 0.001},
        UnitCase{"ft", "1/16\\\"", 0.3048, 0.0003048}}) {
    for (const bool mirrored : {false, true}) {
      CAPTURE(u.unit);
      CAPTURE(u.fraction);
      CAPTURE(mirrored);
      const bool feet = std::string(u.unit) == "ft-in";
      std::mt19937 random(1);
      std::uniform_real_distribution<double> place(-8, 25), step(0.3, 1.4), turn(0, 6.28);
      const double azimuth = turn(random), hand = mirrored ? -1 : 1;
      // Site place of a drawing place: the truth that the crew stands on.
      const auto on_site = [&](const Spot& p) {
        return Spot{500 + p.x * std::sin(azimuth) - hand * p.y * std::cos(azimuth),
                    900 + p.x * std::cos(azimuth) + hand * p.y * std::sin(azimuth)};
      };
      JobFolder job;
      std::map<int, Spot> truth;
      std::ostringstream drawing, ties;
      drawing.precision(9);
      ties.precision(12);
      drawing << "point,x,y,run,kind\n";
      int number = 1001;
      for (int run = 0; run < 6; ++run) {
        Spot at{place(random), place(random)};
        const double way = turn(random);
        for (int i = 0; i < 14; ++i) {
          truth[number++] = at;
          drawing << "R" << run << "-" << i << "," << at.x << "," << at.y << ","
                  << (run == 5 ? "" : "R" + std::to_string(run)) << ",hanger\n";
          const double gap = step(random);
          at = {at.x + gap * std::cos(way), at.y + gap * std::sin(way)};
        }
      }
      const Spot p{-3, 1}, q{22, 4};
      ties << "mark,x,y,northing,easting\n";
      for (const auto& [name, s] : {std::pair{"P", p}, {"Q", q}, {"T", Spot{3, 20}}, {"U", Spot{18, 17}}})
        ties << name << "," << s.x << "," << s.y << "," << on_site(s).y << "," << on_site(s).x << "\n";
      job.write("drawing.csv", drawing.str());
      job.write("ties.csv", ties.str());
      job.write("job.toml", std::string("[drawing]\npoints = \"drawing.csv\"\nmirrored = ") +
                                (mirrored ? "true" : "false") +
                                "\n[baselines]\nties = \"ties.csv\"\n[hangers]\nheight = \"2.5 "
                                "m\"\n[floor]\nelevation = 0\n[deck]\nelevation = \"4.2 m\"\n" +
                                "[offsets]\nunit = \"" + u.unit + "\"\nfraction = \"" + u.fraction +
                                "\"\nfrom = [\"P\", \"Q\"]\n");
      const CommandResult result = job.run();
      REQUIRE(result.exit_code == 0);
      const std::string text = job.read("out/offset-sheet.txt");
      // P and Q lie off the baselines: nobody is told to stand there.
      CHECK(text.find(mirrored ? "Look along +X: +Y is on your right."
                               : "Look along +X: +Y is on your left.") != std::string::npos);
      CHECK(text.find("Stand on") == std::string::npos);
      const Sheet sheet = read_sheet(text, u.metres, feet);
      REQUIRE(sheet.marks.size() == truth.size());
      const double half = u.step / 2 + 2e-8;
      for (const auto& [no, mark] : sheet.marks) {
        CAPTURE(no);
        const Spot& want = truth.at(no);
        CHECK(std::abs(mark.by_xy.x - want.x) <= half);
        CHECK(std::abs(mark.by_xy.y - want.y) <= half);
        // Along the true line of the run from its first mark: one rounding, however far.
        const int first = 1001 + (no - 1001) / 14 * 14;
        if (mark.has_along && no != first) {
          const Spot a = truth.at(first), b = truth.at(first + 13);
          const Spot laid{a.x + mark.along * (b.x - a.x) / apart(a, b),
                          a.y + mark.along * (b.y - a.y) / apart(a, b)};
          CHECK(apart(laid, want) <= half);
        }
        CHECK(mark.has_along == (no < 1071));
        // Swung on site: two roundings through the sine of the crossing, a hair for the curvature of the
        // arcs.
        const bool left = mark.side == "left";
        const Spot swung = swing(on_site(p), on_site(q), mark.first, mark.second, left);
        const double sine = std::sin(std::max(1.0, mark.crossing - 0.5) * 3.14159265 / 180);
        if (mark.crossing >= 30) CHECK(apart(swung, on_site(want)) <= 2 * half / sine * 1.01);
      }
      for (const Sheet::Check& c : sheet.checks)
        CHECK(std::abs(c.span - apart(truth.at(c.from), truth.at(c.to))) <= half);
      CHECK(sheet.checks.size() == 11);
    }
  }
}

TEST_CASE("offsets.csv: the sheet's numbers as a table") {
  JobFolder job;
  job.write("drawing.csv",
            "point,x,y,run\n-A,3'-0\",4'-0\",=R\nB,6'-0 1/32\",4'-0\",=R\nC,-1'-0\",5'-0\",\n");
  job.write(
      "ties.csv",
      "mark,x,y,northing,easting\nP,0'-0\",0'-0\",0,0\nQ,0'-0\",10'-0\",3.048,0\nS,20'-0\",0'-0\",0,6.096\n");
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[baselines]\nties = "
            "\"ties.csv\"\n[offsets]\nfrom = [\"P\", \"Q\"]\n");
  const CommandResult result = job.run();
  CHECK(result.exit_code == 0);
  CHECK(result.err.find("C: the arcs from P and Q cross at") != std::string::npos);
  CHECK(job.read("out/offset-sheet.txt").find("Stand on P, face Q: +X is on your right.") !=
        std::string::npos);
  const auto rows = csv_rows(job.read("out/offsets.csv"));
  REQUIRE(rows.size() == 4);
  CHECK(rows[1] == std::vector<std::string>{"1001", "'-A", "'=R", "0'-0\"", "3'-0\"", "4'-0\"", "5'-0\"",
                                            "6'-8 1/2\"", "right", "63.43", "", "3'-0\"", "4'-0\""});
  CHECK(rows[2][3] == "3'-0 1/16\"");  // half a sixteenth: away from zero
  CHECK(rows[3][3].empty());
  CHECK(rows[3][4] == "-1'-0\"");
  CHECK(rows[3][5] == "5'-0\"");
  CHECK(rows[3][8] == "left");
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[offsets]\nunit = \"m\"\n");
  CHECK(job.run().exit_code == 0);
  const auto plain = csv_rows(job.read("out/offsets.csv"));
  CHECK(plain[1] == std::vector<std::string>{"1001", "'-A", "'=R", "0.000", "0.914", "1.219", "", "", "", "",
                                             "", "0.914", "1.219"});
  // Without the section both go.
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n");
  CHECK(job.run().exit_code == 0);
  CHECK_FALSE(job.has("out/offsets.csv"));
  CHECK_FALSE(job.has("out/offset-sheet.txt"));
}
