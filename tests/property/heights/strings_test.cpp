// What a mark is away from the strings, in offsets.csv, against the geometry of the marks as found: measured
// by ties, or the free adjustment of taped lengths. Every cell must be the true distance rounded once.
// Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "command/findings.h"
#include "command/job_folder.h"
#include "strings_truth.h"
#include "support/noise.h"
#include "support/sheet_text.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kJobs = 300;

struct OffsetUnit {
  const char* word;
  double metres, half_digit;  ///< half of what the sheet is rounded to, m
};
constexpr OffsetUnit kUnits[] = {
    {"m", 1, 0.0005}, {"mm", 0.001, 0.0005}, {"ft-in", 0.3048, 0.0254 / 32}, {"ft", 0.3048, 0.0005 * 0.3048}};
constexpr double kPlaceDigit = 0.000012;  // places are read from points.csv, in two coordinates
constexpr double kScaledDigit = 0.00006;  // likewise, over the distance by which the scale is found
constexpr double kSecondOrder = 0.00002;  // of a free adjustment: how a turn is held

/// Marks B1, B2, B3 and others of a floor; `strings` names three of them, first corner first.
struct Strung {
  std::vector<Place> drawn;
  std::vector<std::string> names;
  std::vector<Place> points;
  OffsetUnit unit = kUnits[0];
  double north = 0, east = 0, azimuth = 0;
  bool mirrored = false, named = true;
  double scale = 1;  ///< of the floor as it stands; freed where it is not 1

  Place x_way() const { return {std::cos(azimuth), std::sin(azimuth)}; }  // northing, easting
  Place y_way() const {
    const double side = mirrored ? 1 : -1;
    return {-side * std::sin(azimuth), side * std::cos(azimuth)};
  }
  Place site(const Place& p) const {
    return {north + scale * (p.x * x_way().x + p.y * y_way().x),
            east + scale * (p.x * x_way().y + p.y * y_way().y)};
  }
};

double rounded(double value, double step) { return std::round(value / step) * step; }

/// Strings up to 8 degrees out of square, as an old wall may have them; the marks are drawn where they are.
Strung random_strung(std::size_t marks, std::size_t number, Noise& noise) {
  Strung s;
  s.unit = kUnits[number % 4];
  s.mirrored = number % 3 == 0, s.named = number % 5 != 0;
  s.azimuth = noise.uniform(0, 6.28), s.north = noise.uniform(0, 900), s.east = noise.uniform(0, 900);
  const double width = noise.uniform(8, 40), depth = noise.uniform(8, 30),
               lean = depth * std::tan(noise.uniform(-8, 8) * 3.14159 / 180);
  const Place corners[] = {{0, 0}, {width, noise.uniform(-0.6, 0.6)}, {lean, depth}, {width, depth}};
  for (std::size_t i = 0; i < marks; ++i) {
    Place p = i < 4 ? corners[i] : Place{width * noise.uniform(0.3, 0.7), depth * noise.uniform(0.3, 0.7)};
    if (i == 5) p.y = -2;
    s.drawn.push_back({rounded(p.x, 0.001), rounded(p.y, 0.001)});
    s.names.push_back(text("B%d", static_cast<int>(i + 1)));
  }
  for (int i = 0; i < 8; ++i)
    s.points.push_back({rounded(noise.uniform(-3, width + 3), 0.001) + 0.0003 * i,
                        rounded(noise.uniform(-3, depth + 3), 0.001) + 0.05 * i});
  return s;
}

std::string points_rows(const Strung& s) {
  std::string out;
  for (std::size_t i = 0; i < s.points.size(); ++i)
    out += text("P%d,%.4f,%.4f,\n", static_cast<int>(i + 1), s.points[i].x, s.points[i].y);
  return out;
}

std::string offsets_section(const Strung& s) {
  return std::string("[offsets]\nunit = \"") + s.unit.word + "\"\n" +
         (s.named ? "strings = [\"B1\", \"B2\", \"B3\"]\n" : "");
}

void compare(const std::map<std::string, std::string>& row, const std::string& column, double want,
             const Strung& s, double slack, Findings& findings) {
  const auto at = row.find(column);
  const std::string what = row.at("point") + " " + column;
  if (at == row.end() || at->second.empty()) return findings.tell(what + " is empty");
  findings.length(what, read_length(at->second, s.unit.metres), want, s.unit.half_digit + slack);
}

/// Rows of offsets.csv by point, and that the columns end with those of the strings.
std::map<std::string, std::map<std::string, std::string>> offsets_of(const JobFolder& folder,
                                                                     Findings& findings) {
  const std::string bytes = output_of(folder, "offsets.csv", findings);
  std::map<std::string, std::map<std::string, std::string>> out;
  if (bytes.empty()) return out;
  const std::vector<std::string> header = csv_rows(bytes).front();
  if (!says(header[header.size() - 2], "from_x_string (") || !says(header.back(), "from_y_string ("))
    findings.tell("offsets.csv does not end with from_x_string, from_y_string");
  for (const auto& row : named_rows(bytes)) out[row.at("point")] = row;
  return out;
}

void write_tied(const Strung& s, const std::vector<Place>& found, JobFolder& folder) {
  std::string ties = "mark,x,y,northing,easting\n";
  for (std::size_t i = 0; i < s.drawn.size(); ++i)
    ties += s.names[i] + text(",%.3f,%.3f,%.5f,%.5f\n", s.drawn[i].x, s.drawn[i].y, found[i].x, found[i].y);
  folder.write("ties.csv", ties);
  folder.write("drawing.csv", "point,x,y,kind\n" + points_rows(s));
  folder.write("job.toml", std::string("[drawing]\npoints = \"drawing.csv\"\n") +
                               (s.mirrored ? "mirrored = true\n" : "") +
                               "[baselines]\nties = \"ties.csv\"\ntolerance = \"30 mm\"\n" +
                               (s.scale != 1 ? "scale = \"free\"\n" : "") + offsets_section(s));
}

/// Metres on site of one of the drawing, by the two points that lie farthest apart.
double scale_of(const std::vector<std::map<std::string, std::string>>& points) {
  double drawn = 0, scale = 1;
  for (const auto& a : points)
    for (const auto& b : points) {
      const auto apart = [&](const char* one, const char* other) {
        return std::hypot(number(a.at(one)) - number(b.at(one)), number(a.at(other)) - number(b.at(other)));
      };
      if (apart("x", "y") <= drawn) continue;
      drawn = apart("x", "y");
      scale = apart("northing", "easting") / drawn;
    }
  return scale;
}

}  // namespace

TEST_CASE("distances from strings between measured marks, mirrored and out of square") {
  Noise noise;
  std::vector<std::string> wrong;
  const std::size_t jobs = repeats(kJobs);
  for (std::size_t j = 0; j < jobs; ++j) {
    Strung s = random_strung(3 + j % 3, j, noise);
    if (!s.named && j % 2 == 0) s.scale = 1.0006;
    std::vector<Place> found;
    for (const Place& p : s.drawn) {
      const Place at = s.site({p.x + 0.002 * noise.normal(), p.y + 0.002 * noise.normal()});
      found.push_back({rounded(at.x, 0.00001), rounded(at.y, 0.00001)});
    }
    JobFolder folder;
    write_tied(s, found, folder);
    Findings findings(text("job %d%s", static_cast<int>(j), s.mirrored ? " (mirrored)" : ""));
    const CommandResult ran = folder.run();
    if (ran.exit_code > 1) findings.tell(ran.err);
    auto offsets = offsets_of(folder, findings);
    if (!offsets.empty()) {
      const auto points = named_rows(output_of(folder, "points.csv", findings));
      const double scale = s.scale == 1 ? 1 : scale_of(points);
      const double slack = s.scale == 1 ? kPlaceDigit : kScaledDigit;
      for (const auto& point : points) {
        auto& row = offsets[point.at("point")];
        const Place at{number(point.at("northing")), number(point.at("easting"))};
        // Without strings: from the baselines themselves, which are the drawing's axes as they were fitted;
        // a freed scale makes them longer.
        compare(row, "from_x_string",
                s.named ? from_string(at, found[0], found[2], s.x_way()) : scale * number(point.at("x")), s,
                slack, findings);
        compare(row, "from_y_string",
                s.named ? from_string(at, found[0], found[1], s.y_way()) : scale * number(point.at("y")), s,
                slack, findings);
      }
    }
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  tell_findings(wrong);
}

namespace {

/// Lengths between all marks but, of five and six, one; of marks that stand up to 6 mm off their places.
std::vector<TapedLength> taped(const Strung& s, Noise& noise) {
  std::vector<Place> stands = s.drawn;
  for (Place& p : stands) p.x += noise.uniform(-0.006, 0.006), p.y += noise.uniform(-0.006, 0.006);
  std::vector<TapedLength> out;
  for (std::size_t a = 0; a < stands.size(); ++a)
    for (std::size_t b = a + 1; b < stands.size(); ++b) {
      if (stands.size() > 4 && a == 1 && b == 4) continue;
      const double sd = (a + b) % 2 == 0 ? 0.001 : 0.002;
      const double length = std::hypot(stands[b].x - stands[a].x, stands[b].y - stands[a].y);
      out.push_back({a, b, rounded(length + sd * noise.normal(), 0.0001), sd});
    }
  return out;
}

void write_taped(const Strung& s, const std::vector<TapedLength>& lengths, JobFolder& folder) {
  std::string drawing = "point,x,y,kind\n", table = "from,to,measured,sd\n";
  for (std::size_t i = 0; i < s.drawn.size(); ++i)
    drawing += s.names[i] + text(",%.3f,%.3f,reference\n", s.drawn[i].x, s.drawn[i].y);
  for (const TapedLength& l : lengths)
    table += s.names[l.from] + "," + s.names[l.to] + text(",%.4f,%.3f\n", l.metres, l.sd);
  folder.write("drawing.csv", drawing + points_rows(s));
  folder.write("lengths.csv", table);
  folder.write("job.toml", std::string("[drawing]\npoints = \"drawing.csv\"\n") +
                               (s.mirrored ? "mirrored = true\n" : "") +
                               "[baselines]\nlengths = \"lengths.csv\"\n" + offsets_section(s));
}

}  // namespace

TEST_CASE("distances from strings whose marks are known by taped lengths alone") {
  Noise noise;
  std::vector<std::string> wrong;
  const std::size_t jobs = repeats(kJobs);
  for (std::size_t j = 0; j < jobs; ++j) {
    Strung s = random_strung(3 + j % 4, j, noise);
    s.named = true;
    const std::vector<TapedLength> lengths = taped(s, noise);
    const FreeMarks found = free_marks(s.drawn, lengths);
    REQUIRE(found.solved);
    JobFolder folder;
    write_taped(s, lengths, folder);
    Findings findings(text("job %d (%d marks)", static_cast<int>(j), static_cast<int>(s.drawn.size())));
    const CommandResult ran = folder.run();
    if (ran.exit_code > 1) findings.tell(ran.err);
    auto offsets = offsets_of(folder, findings);
    for (std::size_t i = 0; i < s.points.size() && !offsets.empty(); ++i) {
      auto& row = offsets[text("P%d", static_cast<int>(i + 1))];
      row.try_emplace("point", text("P%d", static_cast<int>(i + 1)));
      compare(row, "from_x_string", from_string(s.points[i], found.places[0], found.places[2], {1, 0}), s,
              kSecondOrder, findings);
      compare(row, "from_y_string", from_string(s.points[i], found.places[0], found.places[1], {0, 1}), s,
              kSecondOrder, findings);
    }
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  tell_findings(wrong);
}

TEST_CASE("a job of lengths that check one another is ready, and gets no list for an instrument") {
  struct Tape {
    std::string rows;  ///< of the last lengths
    std::string verdict;
    int status;
  };
  const std::string sides = "B1,B2,12\nB1,B3,9\nB2,B4,9\nB3,B4,12\nB1,B4,15\n";
  for (const Tape& t : {Tape{"B2,B3,15\n", "READY TO LAY OUT", 0}, Tape{"", "BASELINES NOT CHECKED", 0},
                        Tape{"B2,B3,15.06\n", "DO NOT LAY OUT", 1}}) {
    CAPTURE(t.rows);
    JobFolder folder;
    folder.write("job.toml",
                 "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nlengths = \"lengths.csv\"\n[offsets]\n"
                 "strings = [\"B1\", \"B2\", \"B3\"]\nunit = \"m\"\n");
    folder.write("drawing.csv",
                 "point,x,y,kind\nB1,0,0,reference\nB2,12,0,reference\nB3,0,9,reference\nB4,12,9,reference\n"
                 "P1,2,3,\nP2,13,-1,\n");
    folder.write("lengths.csv", "from,to,measured\n" + sides + t.rows);
    const CommandResult ran = folder.run();
    CHECK_MESSAGE(ran.exit_code == t.status, ran.err);
    CHECK_MESSAGE(says(last_line(ran.err), t.verdict), ran.err);
    REQUIRE(folder.has("out/offsets.csv"));
    CHECK(!folder.has("out/floor-list.csv"));
    CHECK(!folder.has("out/deck-list.csv"));
    for (const auto& row : named_rows(folder.read("out/offsets.csv")))
      if (row.at("point") == "P2" && t.status == 0) {
        CHECK(read_length(row.at("from_x_string"), 1) == doctest::Approx(13));
        CHECK(read_length(row.at("from_y_string"), 1) == doctest::Approx(-1));
      }
    const CommandResult shown = folder.run({"offsets", "."});
    CHECK_MESSAGE(shown.exit_code == t.status, shown.err);
    CHECK(says(shown.out, "1005"));
  }
}

TEST_CASE("the judge of strings, by hand: sides, feet and inches, a triangle of 3, 4 and 5") {
  CHECK(from_string({2, 3}, {0, 0}, {0, 9}, {1, 0}) == doctest::Approx(2));
  CHECK(from_string({2, 3}, {0, 9}, {0, 0}, {1, 0}) == doctest::Approx(2));
  CHECK(from_string({-2, 3}, {0, 0}, {0, 9}, {1, 0}) == doctest::Approx(-2));
  CHECK(from_string({0, 1}, {0, 0}, {1, 1}, {0, 1}) == doctest::Approx(std::sqrt(0.5)));
  CHECK(read_length("12'-6 1/2\"", 1) == doctest::Approx(150.5 * 0.0254));
  CHECK(read_length("-0'-3\"", 1) == doctest::Approx(-0.0762));
  CHECK(read_length("2.5", 0.3048) == doctest::Approx(0.762));
  const FreeMarks exact = free_marks({{0, 0}, {4.002, 0}, {0, 3.001}}, {{0, 1, 4}, {0, 2, 3}, {1, 2, 5}});
  REQUIRE(exact.solved);
  CHECK(exact.redundancy == 0);
  const Place &a = exact.places[0], &b = exact.places[1], &c = exact.places[2];
  CHECK(std::hypot(b.x - a.x, b.y - a.y) == doctest::Approx(4).epsilon(1e-12));
  CHECK(std::hypot(c.x - b.x, c.y - b.y) == doctest::Approx(5).epsilon(1e-12));
  CHECK(a.x + b.x + c.x == doctest::Approx(4.002).epsilon(1e-12));
  // One length too many, off by 6 mm: an equilateral answer of a square gives each side the same share.
  const double d = std::sqrt(2.0);
  const FreeMarks square =
      free_marks({{0, 0}, {1, 0}, {1, 1}, {0, 1}},
                 {{0, 1, 1}, {1, 2, 1}, {2, 3, 1}, {0, 3, 1}, {0, 2, d + 0.003}, {1, 3, d + 0.003}});
  REQUIRE(square.solved);
  CHECK(square.redundancy == 1);
  // Both diagonals long: a larger square of side s, least 4 (s - 1)^2 + 2 (s d - d - 0.003)^2.
  CHECK(square.places[1].x - square.places[0].x == doctest::Approx(1 + 0.003 * d / 4).epsilon(1e-6));
}
