// Heights serve: measured soffits are the deck at their points and make its plane for the others, they are
// the elevations of deck marks, measured brackets are as-built brackets, and all is told above the datum
// line. The plane is fitted here by normal equations about its middle. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

using Rows = std::vector<std::map<std::string, std::string>>;

constexpr double kFloor = 3.5, kAttach = 6.2, kSoffit = 7.1;
constexpr std::size_t kPoints = 9, kMeasured = 5;
constexpr double kDigit = 0.0000101;  // two roundings meet

struct Shot {
  double x = 0, y = 0, elevation = 0;
};

/// The plane of least squares through shots, at a place.
double plane_at(const std::vector<Shot>& shots, double x, double y) {
  std::vector<Equation> equations;
  double mx = 0, my = 0, me = 0;
  const double n = static_cast<double>(shots.size());
  for (const Shot& s : shots) mx += s.x / n, my += s.y / n, me += s.elevation / n;
  for (const Shot& s : shots)
    equations.push_back({{{0, 1}, {1, s.x - mx}, {2, s.y - my}}, s.elevation - me, 1});
  const Solution found = solve(3, equations);
  REQUIRE(found.solved);
  return me +
         static_cast<double>(found.unknowns[0] + found.unknowns[1] * (x - mx) + found.unknowns[2] * (y - my));
}

/// A floor of nine points on three rows, soffits measured at the first five, brackets at three of them.
struct Floor {
  StaffJob job;
  std::vector<Shot> typed;         ///< deck shots of a table of their own
  double brackets[3] = {};         ///< measured less designed
  double dx = 0.004, dy = -0.003;  ///< of every deck mark
  JobFolder folder;
};

const char* const kMarks[] = {"H1", "6007", "H3"};  // measured; plane; of its own elevation
constexpr double kOwnElevation = 7.15;

void measure(Floor& f, Noise& noise) {
  StaffJob& job = f.job;
  job.floor = stated(kFloor, job.unit);
  job.beam_sd = 0.00005, job.beam_key = "beam_sd = \"10\\\"\"";
  for (std::size_t i = 0; i < kPoints; ++i)
    job.points.push_back({text("H%d", static_cast<int>(i + 1)),
                          static_cast<double>(i % 3) * 3 + (i == 1 ? 0.4 : 0),
                          static_cast<double>(i / 3) * 2});
  const std::size_t bench = job.add_benchmark("BM1", kFloor + 1);
  job.lasers = {"L1"};
  const double beam = kFloor + 1.35;
  const auto read = [&](std::size_t t) {
    const double down = beam - job.targets[t].elevation;
    job.add_laser(0, t, down < 0, std::abs(down), 10);
  };
  read(bench);
  for (std::size_t i = 0; i < kMeasured; ++i) {
    const PlanPoint& p = job.points[i];
    read(job.add_point(i, "deck", kSoffit + 0.004 * p.x - 0.003 * p.y + noise.uniform(-0.008, 0.008)));
  }
  for (std::size_t i = 0; i < 3; ++i) {
    f.brackets[i] = std::round(noise.uniform(-6, 6) * 10) / 10000;
    read(job.add_point(i, "bracket", kAttach + f.brackets[i]));
  }
}

void write_tables(Floor& f, bool with_datum, bool with_shots, Noise& noise) {
  MoreOfStaffJob more;
  more.drawing_columns = ",height";
  more.drawing_cells.assign(kPoints, text(",%.3f", kAttach - kFloor));
  if (with_datum) f.job.datum = stated(1, f.job.unit);
  // A frame of the site that is turned: the plane is of places, whatever they are called.
  const double azimuth = noise.uniform(0, 6.28), north = 412, east = 88;
  const auto site = [&](double x, double y) {
    return text("%.5f,%.5f", north + x * std::cos(azimuth) + y * std::sin(azimuth),
                east + x * std::sin(azimuth) - y * std::cos(azimuth));
  };
  std::string ties = "mark,x,y,northing,easting\n";
  const double corners[4][2] = {{0, 0}, {6, 0}, {0, 4}, {6, 4}};
  for (int i = 0; i < 4; ++i)
    ties += text("T%d,%.0f,%.0f,", i + 1, corners[i][0], corners[i][1]) + site(corners[i][0], corners[i][1]) +
            "\n";
  f.folder.write("ties.csv", ties);
  more.sections =
      "[baselines]\nties = \"ties.csv\"\n[plumb]\nmarks = \"deckmarks.csv\"\ntolerance = \"6 mm\"\n";
  std::string marks = "point,dx,dy,elevation\n";
  for (std::size_t i = 0; i < 3; ++i)
    marks += std::string(kMarks[i]) + text(",%.3f,%.3f,", f.dx, f.dy) +
             (i == 2 ? text("%.2f", kOwnElevation) : "") + "\n";
  f.folder.write("deckmarks.csv", marks);
  if (with_shots) {
    std::string shots = "shot,x,y,elevation\n";
    for (int i = 0; i < 3; ++i) {
      f.typed.push_back(
          {1.0 + 2 * i, i == 1 ? 0.5 : 3.5, std::round((kSoffit + noise.uniform(-0.01, 0.02)) * 1e4) / 1e4});
      shots += text("D%d,%.2f,%.2f,%.4f\n", i, f.typed.back().x, f.typed.back().y, f.typed.back().elevation);
    }
    f.folder.write("deck.csv", shots);
    more.sections += "[deck]\nshots = \"deck.csv\"\n";
  }
  write_staff_job(f.folder, f.job, more);
}

/// Measured soffits as heights.csv tells them, by point; they must be the job's.
std::vector<Shot> soffits_of(const Floor& f, Findings& findings) {
  std::vector<Shot> out;
  for (const auto& row : named_rows(output_of(f.folder, "heights.csv", findings)))
    for (const PlanPoint& p : f.job.points)
      if (cell_of(row, "level") == "deck" && cell_of(row, "point") == p.name)
        out.push_back({p.x, p.y, cell_metres(row, "elevation", 1, findings)});
  for (const StaffTarget& t : f.job.targets)
    if (t.level == "deck" && std::none_of(out.begin(), out.end(), [&](const Shot& s) {
          return std::abs(s.elevation - t.elevation) < 2 * kDigit;
        }))
      findings.tell("heights.csv has not the soffit of " + t.point);
  return out;
}

void check_points(const Floor& f, const std::vector<Shot>& soffits, const std::vector<Shot>& all,
                  Findings& findings) {
  const std::string points_csv = output_of(f.folder, "points.csv", findings);
  const auto header = csv_rows(points_csv);
  if (!header.empty()) findings.word("points.csv: last column", header[0].back(), "above_datum (m)");
  const Rows points = named_rows(points_csv);
  for (std::size_t i = 0; i < std::min(points.size(), kPoints); ++i) {
    const PlanPoint& p = f.job.points[i];
    const double deck = i < soffits.size() && i < kMeasured ? soffits[i].elevation : plane_at(all, p.x, p.y);
    findings.length(p.name + " deck_elevation", cell_metres(points[i], "deck_elevation", 1, findings), deck,
                    kDigit);
    findings.length(p.name + " rise", cell_metres(points[i], "rise", 1, findings), deck - kFloor, kDigit);
    findings.length(p.name + " drop", cell_metres(points[i], "drop", 1, findings), deck - kAttach, kDigit);
    if (f.job.datum)
      findings.length(p.name + " above_datum", cell_metres(points[i], "above_datum", 1, findings),
                      kAttach - kFloor - f.job.datum->metres, kDigit);
    else
      findings.word(p.name + " above_datum", cell_of(points[i], "above_datum"), "");
  }
}

void check_plumb(const Floor& f, const std::vector<Shot>& soffits, const std::vector<Shot>& all,
                 Findings& findings) {
  const Rows rows = named_rows(output_of(f.folder, "plumb.csv", findings));
  if (rows.size() != 3 || soffits.empty()) return findings.tell("plumb.csv has not three rows");
  const PlanPoint& p = f.job.points[6];
  // The second stands for a point that was not measured: the deck at the mark's own place.
  const double want[] = {soffits[0].elevation, plane_at(all, p.x + f.dx, p.y + f.dy), kOwnElevation};
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string what = std::string("plumb.csv: ") + kMarks[i];
    findings.length(what + " rise", cell_metres(rows[i], "rise", 1, findings), want[i] - kFloor, kDigit);
    findings.length(what + " drop", cell_metres(rows[i], "drop", 1, findings), want[i] - kAttach, kDigit);
  }
}

void check_brackets(const Floor& f, Findings& findings) {
  std::size_t found = 0;
  for (const auto& row : named_rows(output_of(f.folder, "asbuilt.csv", findings))) {
    if (cell_of(row, "level") != "bracket") continue;
    const std::string what = "asbuilt.csv: bracket of " + cell_of(row, "point") + " ";
    const auto at = std::find_if(f.job.points.begin(), f.job.points.end(),
                                 [&](const PlanPoint& p) { return p.name == cell_of(row, "point"); });
    const auto i = static_cast<std::size_t>(at - f.job.points.begin());
    if (i >= 3) {
      findings.tell(what + "was not measured");
      continue;
    }
    ++found;
    findings.word(what + "number", cell_of(row, "number"), std::to_string(1001 + i));
    for (const char* column : {"dx", "dy", "offset", "plan_verdict"})
      findings.word(what + column, cell_of(row, column), "");
    findings.length(what + "dz", cell_metres(row, "dz", 1, findings), f.brackets[i], kDigit);
    findings.word(what + "level_verdict", cell_of(row, "level_verdict"),
                  std::abs(f.brackets[i]) < 0.003 + 1e-9 ? "within" : "outside");
  }
  if (found != 3) findings.tell(text("asbuilt.csv has %d brackets, expected 3", static_cast<int>(found)));
}

}  // namespace

TEST_CASE("measured heights are the deck, the elevations of its marks, and brackets as built") {
  Noise noise;
  std::vector<std::string> wrong;
  std::size_t outside = 0;
  const std::size_t jobs = std::max<std::size_t>(repeats(80), 8);
  for (std::size_t j = 0; j < jobs; ++j) {
    Floor f;
    measure(f, noise);
    write_tables(f, j % 3 != 0, j % 2 == 0, noise);
    Findings findings(text("job %d", static_cast<int>(j)));
    const CommandResult ran = f.folder.run();
    const bool is_out = std::any_of(std::begin(f.brackets), std::end(f.brackets),
                                    [](double off) { return std::abs(off) > 0.003 + 1e-9; });
    if (ran.exit_code != (is_out ? 1 : 0))
      findings.tell(text("status %d, expected %d\n", ran.exit_code, is_out ? 1 : 0) + ran.err);
    if (ran.exit_code <= 1) {
      const std::vector<Shot> soffits = soffits_of(f, findings);
      std::vector<Shot> all = soffits;
      all.insert(all.end(), f.typed.begin(), f.typed.end());
      if (all.size() < 3) {
        findings.tell("no soffits");
      } else {
        check_points(f, soffits, all, findings);
        check_plumb(f, soffits, all, findings);
      }
      check_brackets(f, findings);
    }
    outside += is_out;
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  tell_findings(wrong);
  CHECK(outside > 0);
  CHECK(outside < jobs);
}

TEST_CASE(
    "a measured soffit further than the flatness from the plane is a doubt, and the deck all the same") {
  for (const bool far : {false, true}) {
    CAPTURE(far);
    Noise noise;
    Floor f;
    measure(f, noise);
    for (double& off : f.brackets) off = 0;
    for (StaffReading& r : f.job.laser)
      if (f.job.targets[r.target].level == "bracket") r.reading = stated(kAttach - kFloor - 1.35, f.job.unit);
    for (StaffReading& r : f.job.laser)
      if (f.job.targets[r.target].point == "H5" && far)
        r.reading = stated(r.reading.metres + 0.060, f.job.unit);
    write_tables(f, true, true, noise);
    const CommandResult ran = f.folder.run();
    CHECK_MESSAGE(ran.exit_code == 0, ran.err);
    const std::vector<std::string> lines = lines_of(ran.err);
    const bool told = std::any_of(lines.begin(), lines.end(), [](const std::string& line) {
      return line.rfind("doubt: ", 0) == 0 && (says(line, "H5") || says(line, "1005") || says(line, "6005"));
    });
    CHECK_MESSAGE(told == far, ran.err);
    REQUIRE(f.folder.has("out/points.csv"));
    const Rows points = named_rows(f.folder.read("out/points.csv"));
    const double beam = kFloor + 1.35;
    for (const StaffReading& r : f.job.laser)
      if (f.job.targets[r.target].point == "H5")
        CHECK(number(points[4].at("deck_elevation")) ==
              doctest::Approx(beam + r.reading.metres).epsilon(1e-6));
  }
}

TEST_CASE("one or two measured soffits are the deck at their points alone") {
  for (std::size_t measured = 1; measured <= 2; ++measured) {
    CAPTURE(measured);
    StaffJob job;
    job.floor = stated(0, job.unit);
    job.beam_sd = 0.00005, job.beam_key = "beam_sd = \"10\\\"\"";
    job.points = {{"A", 0, 0}, {"B", 3, 0}, {"C", 0, 3}};
    job.lasers = {"L1"};
    job.add_laser(0, job.add_benchmark("BM1", 1), false, 0.35, 10);
    for (std::size_t i = 0; i < measured; ++i)
      job.add_laser(0, job.add_point(i, "deck", 3.3), true, 1.95 + 0.01 * static_cast<double>(i), 10);
    JobFolder folder;
    write_staff_job(folder, job);
    const CommandResult ran = folder.run();
    REQUIRE_MESSAGE(ran.exit_code == 0, ran.err);
    const Rows points = named_rows(folder.read("out/points.csv"));
    for (std::size_t i = 0; i < 3; ++i)
      if (i < measured)
        CHECK(number(points[i].at("deck_elevation")) == doctest::Approx(3.3 + 0.01 * static_cast<double>(i)));
      else
        CHECK(points[i].at("deck_elevation").empty());
  }
}
