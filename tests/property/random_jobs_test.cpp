// Random jobs, written as files and run with the real program, against an independent computation: 0.01 mm in
// coordinates and heights, 1 % in sds, printed digits in residuals, standardised residuals and redundancies.
// Seed 1.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <stdexcept>

#include "independent_job.h"
#include "support/command.h"
#include "support/temp_folder.h"

using namespace deckmark_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kJobs = 15;  // sanitizer builds run a twentieth
#else
constexpr int kJobs = 300;
#endif

/// Rows of a comma-separated table without quotes, by column name with its unit.
struct Rows {
  std::vector<std::map<std::string, std::string>> rows;
  explicit Rows(const std::string& bytes) {
    std::vector<std::string> head;
    for (std::size_t at = 0; at < bytes.size();) {
      const std::size_t end = bytes.find('\n', at);
      if (end == std::string::npos) throw std::runtime_error("a line without an end");
      std::vector<std::string> cells(1);
      for (const char c : bytes.substr(at, end - at)) {
        if (c == ',')
          cells.emplace_back();
        else
          cells.back() += c;
      }
      at = end + 1;
      if (head.empty()) {
        head = cells;
        continue;
      }
      if (cells.size() != head.size()) throw std::runtime_error("a row of another length than the header");
      auto& row = rows.emplace_back();
      for (std::size_t i = 0; i < head.size(); ++i) row[head[i]] = cells[i];
    }
  }
};

/// Collects what differs in one job.
class Comparison {
 public:
  Comparison(const RandomJob& job, std::string& wrong) : unit_(job.list), wrong_(wrong) {}
  using Row = std::map<std::string, std::string>;

  /// A length in the list unit, to a bound in metres.
  void length(const Row& row, const std::string& what, const std::string& column, Real want, Real bound) {
    const Real got = real(row, column + " (" + unit_.word + ")") * unit_.metres;
    tell(std::abs(got - want) <= bound, what + " " + column, got, want);
  }
  /// What printing alone may change.
  Real half_digit() const { return unit_.step * unit_.metres / 2 * 1.0001L; }
  void coordinate(const Row& row, const std::string& what, const std::string& column, Real want) {
    length(row, what, column, want, 1e-5L);
  }
  void sd(const Row& row, const std::string& what, Real want) {
    length(row, what, "sd", want, 0.01L * want + half_digit());
  }
  void number(const Row& row, const std::string& what, const std::string& column, Real want, Real bound) {
    const Real got = real(row, column);
    tell(std::abs(got - want) <= bound, what + " " + column, got, want);
  }
  void text(const Row& row, const std::string& what, const std::string& column, const std::string& want) {
    const auto at = row.find(column);
    if (at == row.end() || at->second != want)
      wrong_ += what + " " + column + ": " + (at == row.end() ? "no column" : at->second) + ", expected " +
                want + "\n";
  }

 private:
  Real real(const Row& row, const std::string& column) {
    const auto at = row.find(column);
    if (at == row.end()) {
      wrong_ += "no column " + column + "\n";
      return 0;
    }
    char* end = nullptr;
    const Real value = std::strtold(at->second.c_str(), &end);
    if (at->second.empty() || *end != '\0') wrong_ += column + ": \"" + at->second + "\" is no number\n";
    return value;
  }
  void tell(bool good, const std::string& what, Real got, Real want) {
    if (!good) wrong_ += what + ": " + std::to_string(got) + ", expected " + std::to_string(want) + "\n";
  }
  UnitChoice unit_;
  std::string& wrong_;
};

void compare_ties(const Expected& expected, const Rows& table, Comparison c, std::string& wrong) {
  if (table.rows.size() != expected.ties.size()) {
    wrong += "baseline.csv: " + std::to_string(table.rows.size()) + " rows\n";
    return;
  }
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const auto& row = table.rows[i];
    const ExpectedTie& e = expected.ties[i];
    const std::string what = "tie " + e.mark + " " + e.axis;
    c.text(row, what, "mark", e.mark);
    c.text(row, what, "axis", std::string(1, e.axis));
    c.coordinate(row, what, "stated", e.stated);
    c.coordinate(row, what, "computed", e.computed);
    // To the printed digits; 1e-8 m is what coordinates of nine million metres leave in a double.
    c.length(row, what, "residual", e.residual, c.half_digit() + 1e-8L);
    c.number(row, what, "standardised", e.standardised, 0.5001e-4L + 3e-5L);
    c.number(row, what, "redundancy", e.redundancy, 0.5001e-4L + 1e-8L);
    if (!e.near_limit) c.text(row, what, "verdict", e.verdict);
  }
}

void compare_points(const RandomJob& job, const Expected& expected, const Rows& table, Comparison c,
                    std::string& wrong) {
  if (table.rows.size() != job.points.size()) {
    wrong += "points.csv: " + std::to_string(table.rows.size()) + " rows\n";
    return;
  }
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const auto& row = table.rows[i];
    const ExpectedPoint& e = expected.points[i];
    const std::string what = "point " + job.points[i].name;
    c.text(row, what, "number", std::to_string(1001 + i));
    c.text(row, what, "point", job.points[i].name);
    c.coordinate(row, what, "x", job.points[i].x.metres);
    c.coordinate(row, what, "y", job.points[i].y.metres);
    c.coordinate(row, what, "northing", e.northing);
    c.coordinate(row, what, "easting", e.easting);
    c.coordinate(row, what, "floor_elevation", job.floor);
    c.coordinate(row, what, "deck_elevation", e.deck);
    c.coordinate(row, what, "rise", e.rise);
    c.coordinate(row, what, "drop", e.drop);
    c.sd(row, what, e.sd);
  }
}

void compare_plumb(const RandomJob& job, const Expected& expected, const Rows& table, Comparison c,
                   std::string& wrong) {
  if (table.rows.size() != expected.plumb.size()) {
    wrong += "plumb.csv: " + std::to_string(table.rows.size()) + " rows\n";
    return;
  }
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const auto& row = table.rows[i];
    const ExpectedPlumb& e = expected.plumb[i];
    const std::string what = "deck mark " + job.points[job.marks[i].point].name;
    c.text(row, what, "point", job.points[job.marks[i].point].name);
    c.coordinate(row, what, "dx", e.dx);
    c.coordinate(row, what, "dy", e.dy);
    c.coordinate(row, what, "offset", e.offset);
    c.coordinate(row, what, "rise", e.rise);
    c.coordinate(row, what, "drop", e.drop);
    if (!e.near_limit) {
      c.sd(row, what, e.sd);
      c.text(row, what, "verdict", e.verdict);
    }
    c.number(row, what, "ratio", e.drop / e.offset, e.drop / e.offset * (1e-4L + 1e-7L / e.offset) + 0.0006L);
  }
}

/// 1 where a check is outside, 0 where all are not, -1 where one hangs on the last bits.
int expected_exit(const Expected& expected) {
  int exit = 0;
  for (const ExpectedTie& t : expected.ties) {
    if (t.near_limit) return -1;
    if (t.verdict == "outside") exit = 1;
  }
  for (const ExpectedPlumb& p : expected.plumb) {
    if (p.near_limit) return -1;
    if (p.verdict == "outside") exit = 1;
  }
  return exit;
}

std::string what_differs(const RandomJob& job, const Expected& expected) {
  const TempFolder folder;
  for (const auto& [name, bytes] : job.files) write_bytes(folder / name, bytes);
  CommandRun run;
  run.program = DECKMARK_PROGRAM;
  run.args = {"run", ".", "--quiet"};
  run.folder = folder.path();
  const CommandResult result = run.run();
  std::string wrong;
  int exit = expected_exit(expected);
  // Squareness and lengths are judged elsewhere; one of them may be outside where ties and deck marks are
  // not.
  if (exit == 0 && std::filesystem::exists(folder / "out/checks.csv") &&
      read_bytes(folder / "out/checks.csv").find(",outside,") != std::string::npos)
    exit = 1;
  if (result.exit_code != exit && (exit >= 0 || result.exit_code > 1))
    wrong += "exit " + std::to_string(result.exit_code) + "\n" + result.err;
  if (result.exit_code != 0 && result.exit_code != 1) return wrong;
  const Comparison c(job, wrong);
  compare_ties(expected, Rows(read_bytes(folder / "out/baseline.csv")), c, wrong);
  compare_points(job, expected, Rows(read_bytes(folder / "out/points.csv")), c, wrong);
  compare_plumb(job, expected, Rows(read_bytes(folder / "out/plumb.csv")), c, wrong);
  return wrong;
}

}  // namespace

TEST_CASE("random jobs agree with an independent computation") {
  // In memory where that is at hand: hundreds of flushed files, and it is numbers that are asked for here.
  if (std::filesystem::is_directory("/dev/shm")) ::setenv("TMPDIR", "/dev/shm", 1);
  std::mt19937_64 random(1);
  std::map<std::string, int> met;
  for (int trial = 0; trial < kJobs; ++trial) {
    const RandomJob job = random_job(random);
    const Expected expected = computed_independently(job);
    const std::string wrong = what_differs(job, expected);
    CHECK_MESSAGE(wrong.empty(), "job ", trial, "\n", job.files.at("job.toml"), wrong);
    ++met[job.mirrored ? "mirrored" : "plain"];
    ++met[job.free_scale ? "free scale" : "fixed scale"];
    ++met["hold " + std::to_string(static_cast<int>(job.held))];
    ++met[job.sloping ? "sloping deck" : "level deck"];
    ++met[job.feet_inches ? "feet-inches" : std::string("drawing ") + job.drawing.word];
    if (job.comma) ++met["decimal comma"];
    if (std::abs(job.ties[0].northing.metres) > 1e6L) ++met["northings in the millions"];
    for (const JobTie& t : job.ties)
      if (!t.x || !t.y) ++met["ties on one axis"];
    for (const ExpectedTie& t : expected.ties) ++met["tie " + t.verdict];
    for (const ExpectedPlumb& p : expected.plumb) ++met["plumb " + p.verdict];
  }
  if (kJobs < 300) return;
  for (const char* kind :
       {"mirrored",         "plain",      "free scale",    "fixed scale",   "hold 0",
        "hold 1",           "hold 2",     "sloping deck",  "level deck",    "feet-inches",
        "drawing m",        "drawing mm", "drawing us-ft", "decimal comma", "northings in the millions",
        "ties on one axis", "tie within", "tie outside",   "plumb within",  "plumb outside"}) {
    CAPTURE(kind);
    CHECK(met[kind] >= 15);
  }
}
