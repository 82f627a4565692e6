// Ten soffits shot from one standing, the datum read again at its end: soffits, drops and cuts that need no
// sum by hand; a datum that was bumped between is told, one that was not is not. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kSoffits = 10, kJobs = 1000;
constexpr double kFloor = 12, kAttach = 14.9, kTop = 0.15, kBottom = 0.1, kBump = 0.010;

/// What holds the heights of the standing, and how it is looked at again.
enum class Datum { benchmark, datum_mark, second_benchmark, staff };
constexpr std::size_t kDatums = 4;
const char* word_of(Datum datum) {
  constexpr const char* words[] = {"benchmark", "datum mark", "second benchmark", "staff"};
  return words[static_cast<std::size_t>(datum)];
}

/// A reading is off by `noise_sd`, or, where it is bounded, by that at most.
struct Shots {
  Datum datum = Datum::benchmark;
  double sd = 0.001;
  bool bounded = false;
  double bump = 0;  ///< of the instrument, before the datum is looked at again
};

/// The datum is read first and again at the end, the soffits between.
class Standing {
 public:
  Standing(const Shots& shots, Noise& noise) : shots_(shots), noise_(noise) {
    job.floor = stated(kFloor, job.unit);
    job.datum = stated(1, job.unit);
    job.beam_sd = 0.0001 / 10 / 2, job.beam_key = "beam = \"0.1 mm at 10 m\"";
    job.reading_sd = shots.sd;
    for (std::size_t i = 0; i < kSoffits; ++i)
      job.points.push_back({text("H%d", static_cast<int>(i + 1)), static_cast<double>(i % 5) * 1.2,
                            static_cast<double>(i / 5) * 2.4});
    const std::size_t first = job.add_benchmark("BM1", kFloor + 0.8);
    std::size_t again = first;
    if (shots.datum == Datum::second_benchmark) again = job.add_benchmark("BM2", kFloor + 1.1);
    (shots.datum == Datum::staff ? job.setups : job.lasers) = {"ST1"};
    read(first);
    if (shots.datum == Datum::datum_mark) read(again = job.add_free("DATUM", kFloor + 1));
    for (std::size_t i = 0; i < kSoffits; ++i)
      // A ribbed soffit: off the plane by up to 8 mm, so that a plane alone would not do.
      read(job.add_point(i, "deck",
                         kFloor + 3.8 + 0.002 * static_cast<double>(i) + noise.uniform(-0.008, 0.008)));
    beam_ += shots.bump;
    read(again);
    if (shots.datum == Datum::staff) {
      job.lines.push_back({{{0, job.level.size() - 1}}, true});
    }
  }

  CommandResult run() {
    write();
    return folder.run();
  }
  /// The same verdict and doubts, without a file written.
  CommandResult check() {
    write();
    return folder.run({"check", "."});
  }

  StaffJob job;
  JobFolder folder;

 private:
  void write() {
    write_staff_job(
        folder, job,
        {"", "",
         text("[hangers]\ncut_top = \"%.0f mm\"\ncut_bottom = \"%.0f mm\"\n", kTop * 1000, kBottom * 1000),
         ",height", std::vector<std::string>(kSoffits, text(",%.1f", kAttach - kFloor))});
  }
  void read(std::size_t target) {
    const double off = shots_.bounded ? noise_.uniform(-shots_.sd, shots_.sd) : shots_.sd * noise_.normal();
    const double down = beam_ - job.targets[target].elevation + off;
    if (shots_.datum == Datum::staff)
      job.add_level(0, target, job.level.empty(), down);
    else
      job.add_laser(0, target, down < 0, std::abs(down), 10);
  }

  const Shots& shots_;
  Noise& noise_;
  double beam_ = kFloor + 1.35;
};

/// Deck, drop and cut of every hanger, from the soffit that was measured below its point.
void check_hangers(const Standing& s, Findings& findings) {
  const auto heights = named_rows(output_of(s.folder, "heights.csv", findings)),
             points = named_rows(output_of(s.folder, "points.csv", findings)),
             hangers = named_rows(output_of(s.folder, "hangers.csv", findings));
  if (points.size() != kSoffits || hangers.size() != kSoffits)
    return findings.tell(text("%d points and %d hangers, expected 10", static_cast<int>(points.size()),
                              static_cast<int>(hangers.size())));
  constexpr double kDigit = 0.0000101;  // two roundings meet
  for (std::size_t i = 0; i < kSoffits; ++i) {
    const std::string point = "H" + std::to_string(i + 1);
    const auto at = std::find_if(heights.begin(), heights.end(),
                                 [&](const auto& row) { return row.at("point") == point; });
    if (at == heights.end()) {
      findings.tell("heights.csv has no " + point);
      continue;
    }
    const double soffit = cell_metres(*at, "elevation", 1, findings);
    findings.length(point + " deck_elevation", cell_metres(points[i], "deck_elevation", 1, findings), soffit,
                    kDigit);
    findings.length(point + " drop of points.csv", cell_metres(points[i], "drop", 1, findings),
                    soffit - kAttach, kDigit);
    findings.length(point + " drop", cell_metres(hangers[i], "drop", 1, findings), soffit - kAttach, kDigit);
    findings.length(point + " cut", cell_metres(hangers[i], "cut", 1, findings),
                    soffit - kAttach + kTop + kBottom, kDigit);
    findings.length(point + " above_datum", cell_metres(points[i], "above_datum", 1, findings),
                    kAttach - kFloor - 1, kDigit);
  }
}

/// The datum's name, or its standing, in a doubt; or status 1.
bool is_told(const CommandResult& ran, Datum datum) {
  if (ran.exit_code == 1) return true;
  const std::vector<std::string> lines = lines_of(ran.err);
  const char* name = datum == Datum::datum_mark ? "DATUM" : datum == Datum::second_benchmark ? "BM2" : "BM1";
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
    return line.rfind("doubt: ", 0) == 0 && (says(line, name) || says(line, "ST1"));
  });
}

}  // namespace

TEST_CASE("ten soffits of a laser are within 3 mm, and hang rods of that cut without a sum by hand") {
  Noise noise;
  std::vector<std::string> wrong;
  std::size_t far = 0, all = 0;
  double worst_bounded = 0;
  const std::size_t jobs = std::max<std::size_t>(repeats(200), 10);
  for (std::size_t j = 0; j < jobs; ++j) {
    const Shots shots{static_cast<Datum>(j % kDatums), 0.001, j % 2 == 0, 0};
    Standing s(shots, noise);
    Findings findings(text("job %d (%s)", static_cast<int>(j), word_of(shots.datum)));
    const CommandResult ran = s.run();
    if (ran.exit_code > 1) findings.tell(ran.err);
    check_hangers(s, findings);
    for (const auto& row : named_rows(output_of(s.folder, "heights.csv", findings)))
      for (const StaffTarget& t : s.job.targets) {
        if (t.point != row.at("point") || t.level != "deck") continue;
        const double off = cell_metres(row, "elevation", 1, findings) - t.elevation;
        if (shots.bounded) {
          findings.length(t.point + " soffit", t.elevation + off, t.elevation, 0.003);
          worst_bounded = std::max(worst_bounded, std::abs(off));
        }
        far += std::abs(off) > 0.003, ++all;
      }
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  tell_findings(wrong);
  MESSAGE(all << " soffits: worst " << worst_bounded * 1000 << " mm of readings within 1 mm, " << far
              << " of " << all / 2 << " beyond 3 mm of readings with an sd of 1 mm");
  // Noise without a bound: of the difference of two readings 3.4 % lie beyond 3 mm, here less.
  CHECK(all == jobs * kSoffits);
  CHECK(far <= all * 3 / 100);
}

TEST_CASE("a datum that was bumped by 10 mm is told, one that was not is not") {
  Noise noise;
  std::vector<std::string> wrong;
  std::size_t bumped = 0, told = 0, false_words = 0;
  const std::size_t jobs = repeats(kJobs);
  for (std::size_t j = 0; j < 2 * jobs; ++j) {
    Shots shots{static_cast<Datum>(j / 2 % kDatums), 0.001, false, 0};
    if (j % 2 == 0)
      shots.bump = j % 4 == 0 ? kBump : -kBump;
    else
      shots.sd = 0.0007;  // the limit of 3 mm is three sds of two readings: 0.3 % are beyond it by chance
    Standing s(shots, noise);
    const CommandResult ran = s.check();
    const std::string job = text("job %d (%s): ", static_cast<int>(j), word_of(shots.datum));
    if (ran.exit_code > 1) {
      wrong.push_back(job + ran.err);
    } else if (shots.bump != 0) {
      ++bumped, told += is_told(ran, shots.datum);
      if (!is_told(ran, shots.datum)) wrong.push_back(job + "a bump of 10 mm is not told:\n" + ran.err);
    } else {
      false_words += is_told(ran, shots.datum);
    }
  }
  tell_findings(wrong);
  CHECK(bumped == jobs);
  CHECK(told == jobs);
  MESSAGE(told << " bumps told of " << bumped << ", " << false_words << " false words in " << jobs
               << " jobs");
  if (!kSanitized) CHECK(false_words <= jobs / 100);
}
