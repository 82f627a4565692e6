// Heights by hand, from a book, and against a dense adjustment of the test's own.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <numeric>
#include <random>

#include "dense_heights.h"
#include "heights_support.h"

using namespace heights_test;

namespace {

const int kJobs = static_cast<int>(repeats(1000));

/// A random job in which benchmarks tie all together, and its observations as the test sees them.
struct RandomJob {
  Book book;
  std::vector<DenseRow> rows;
  std::vector<std::size_t> row_of_level, row_of_laser;
};

RandomJob random_job(std::mt19937& random) {
  const auto up_to = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n)(random); };
  std::normal_distribution<double> noise;
  std::uniform_real_distribution<double> place(-3, 3), away(2, 30);
  RandomJob job;
  Book& book = job.book;
  book.options.reading_sd = mm(0.5 + static_cast<double>(up_to(20)) / 10);
  book.options.beam_sd = Angle::arc_seconds(5 + static_cast<double>(up_to(20)));
  const double sd = book.options.reading_sd.metres(), beam = book.options.beam_sd.radians();
  const std::size_t targets = 3 + up_to(12), setups = up_to(6), lasers = 1 + up_to(3);
  std::vector<double> truth;
  for (std::size_t t = 0; t < targets; ++t) truth.push_back(100 + place(random));
  for (std::size_t b = 0; b <= up_to(2); ++b) {
    const bool held = b == 0 || up_to(1) == 0;
    book.benchmark(b, truth[b] + (held ? 0 : 0.002 * noise(random)), held ? std::optional<Length>() : mm(2));
  }
  book.readings.setups = setups;
  for (std::size_t s = 0; s < setups; ++s) {
    const double height = 101 + place(random);
    for (std::size_t k = 0; k <= 2 + up_to(3); ++k) {
      // Every set-up is tied: laser 0 reads all targets.
      const std::size_t t = k == 0 ? up_to(1) : up_to(targets - 1);
      const double value = height - truth[t] + sd * noise(random);
      job.row_of_level.push_back(job.rows.size());
      job.rows.push_back({s, t, value, sd});
      book.level(s, t, up_to(1) == 0, value, {});
    }
  }
  for (std::size_t l = 0; l < lasers; ++l) {
    const double height = 101 + place(random);
    for (std::size_t t = 0; t < targets; ++t) {
      if (t > 0 && l > 0 && up_to(2) == 0) continue;
      const double d = away(random);
      const double error = std::hypot(sd, d * beam);
      const double value = height - truth[t] + error * noise(random);
      const bool is_above = value < 0;
      job.row_of_laser.push_back(job.rows.size());
      if (up_to(3) == 0) {
        const double tilt = 0.003 * noise(random);
        const bool first = up_to(1) == 0;
        job.row_of_laser.push_back(job.rows.size());
        job.rows.push_back({setups + l, t, value, sd / std::sqrt(2.0)});
        for (const double part : {tilt, -tilt})
          book.laser(l, t, std::fabs(value) + (is_above ? -part : part), is_above, d,
                     (part == tilt) == first ? Housing::straight : Housing::turned);
      } else {
        job.rows.push_back({setups + l, t, value, error});
        book.laser(l, t, std::fabs(value), is_above, d);
      }
    }
  }
  return job;
}

}  // namespace

TEST_CASE("heights are the sums that a crew makes by hand") {
  Book book;
  book.benchmark(0, 100.000).way(0, 0, 1.500, 1, 1.200).fore(0, 2, -2.345);
  book.laser(0, 1, 0.700).laser(0, 3, 1.250, true).laser(0, 4, 0.100);
  const HeightsResult r = book.run();
  CHECK(height(r, 0) == 100.000);
  CHECK(height(r, 1) == doctest::Approx(100.300).epsilon(1e-15));
  CHECK(height(r, 2) == doctest::Approx(103.845).epsilon(1e-15));  // a staff held upside down
  CHECK(height(r, 3) == doctest::Approx(102.250).epsilon(1e-15));  // beam 101.000
  CHECK(height(r, 4) == doctest::Approx(100.900).epsilon(1e-15));
  CHECK(r.setups[0]->above_datum().metres() == doctest::Approx(101.500).epsilon(1e-15));
  CHECK(r.beams[0]->above_datum().metres() == doctest::Approx(101.000).epsilon(1e-15));
  CHECK(r.targets[0].sd == mm(0));
  CHECK(r.targets[1].sd.millimetres() == doctest::Approx(std::sqrt(2.0)));
  CHECK(r.targets[3].sd.millimetres() == doctest::Approx(2));  // four readings
  CHECK(r.spare == 0);
  CHECK_FALSE(r.variance_factor);
}

TEST_CASE("a sum by hand is kept to its last bit, however many set-ups it is made of") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> staff(0.3, 2.8);
  Book book;
  book.benchmark(0, 2345.678);
  std::vector<double> heights = {2345.678};
  for (std::size_t s = 0; s < 300; ++s) {
    const double back = staff(random), fore = staff(random);
    book.way(s, s, back, s + 1, fore);
    heights.push_back(heights.back() + back - fore);
  }
  const HeightsResult r = book.run();
  for (std::size_t t = 0; t < heights.size(); ++t) CHECK(height(r, t) == heights[t]);
}

TEST_CASE("sds are of the readings: staff, beam over its distance, two housings, benchmark") {
  Book book;
  book.options.reading_sd = mm(1);
  book.options.beam_sd = Angle::radians(1e-4);  // 2 mm over 20 m
  book.benchmark(0, 10, mm(3));
  book.laser(0, 0, 1, false, 0).laser(0, 1, 1, false, 20);
  book.pair(0, 2, 1.001, 0.999, 20);
  const HeightsResult r = book.run();
  CHECK(r.targets[0].sd.millimetres() == doctest::Approx(3));
  CHECK(r.targets[1].sd.millimetres() == doctest::Approx(std::sqrt(9 + 1 + 1 + 4.0)));
  CHECK(r.targets[2].sd.millimetres() == doctest::Approx(std::sqrt(9 + 1 + 0.5)));
  CHECK(height(r, 2) == doctest::Approx(10.000));
}

TEST_CASE("a levelling net of a textbook, without weights and by the lengths of its lines") {
  // C. D. Ghilani, Adjustment Computations, chapter on levelling nets (from memory): two benchmarks, seven
  // lines, feet; lengths in miles, here as many set-ups of equal readings. Tolerance: half of the last digit.
  struct Line {
    std::size_t from, to;
    double rise;
    int length;
  };
  constexpr std::size_t x = 0, y = 1, a = 2, b = 3, c = 4;
  const std::vector<Line> lines = {{x, a, 5.10, 4},  {a, y, 2.34, 3},  {y, c, -1.25, 2}, {c, x, -6.13, 3},
                                   {a, b, -0.68, 2}, {y, b, -3.00, 2}, {b, c, 1.70, 2}};
  struct Row {
    bool by_length;
    double a, b, c;
  };
  for (const Row& want : {Row{false, 105.141, 104.483, 106.188}, Row{true, 105.150, 104.489, 106.197}}) {
    Book book;
    book.benchmark(x, 100.00).benchmark(y, 107.50);
    std::size_t setup = 0, between = 5;
    for (const Line& l : lines) {
      const int n = want.by_length ? l.length : 1;
      for (int k = 0; k < n; ++k) {
        book.back(setup, k == 0 ? l.from : between++, 5 + l.rise / n);
        book.fore(setup, k == n - 1 ? l.to : between, 5);
        ++setup;
      }
      ++between;
    }
    const HeightsResult r = book.run();
    CHECK(std::fabs(height(r, a) - want.a) < 0.00051);
    CHECK(std::fabs(height(r, b) - want.b) < 0.00051);
    CHECK(std::fabs(height(r, c) - want.c) < 0.00051);
    CHECK(r.spare == 4);
  }
}

TEST_CASE("random jobs come out as a dense adjustment by normal equations has them") {
  std::mt19937 random(1);
  double worst = 0, worst_sd = 0;
  for (int k = 0; k < kJobs; ++k) {
    CAPTURE(k);
    const RandomJob job = random_job(random);
    const auto& book = job.book.readings;
    const HeightsResult r = job.book.run();
    const DenseResult d = dense_heights(job.rows, book.setups + book.lasers, book.targets, book.benchmarks);
    for (std::size_t t = 0; t < book.targets; ++t) {
      worst = std::max(worst, std::fabs(height(r, t) - d.targets[t]));
      worst_sd = std::max(worst_sd, std::fabs(r.targets[t].sd.metres() - d.sds[t]));
    }
    for (std::size_t s = 0; s < book.setups; ++s)
      worst = std::max(worst, std::fabs(r.setups[s]->above_datum().metres() - d.stations[s]));
    for (std::size_t l = 0; l < book.lasers; ++l)
      worst = std::max(worst, std::fabs(r.beams[l]->above_datum().metres() - d.stations[book.setups + l]));
    for (std::size_t i = 0; i < book.level.size(); ++i) {
      const std::size_t row = job.row_of_level[i];
      worst = std::max(worst, std::fabs(r.level_residuals[i].metres() - d.residuals[row]));
      CHECK(r.level_redundancy[i] == doctest::Approx(d.redundancy[row]).scale(1).epsilon(1e-9));
    }
    for (std::size_t i = 0; i < book.laser.size(); ++i) {
      const std::size_t row = job.row_of_laser[i];
      const double side = book.laser[i].is_above ? -1 : 1;
      worst = std::max(worst, std::fabs(r.laser_residuals[i].metres() - side * d.residuals[row]));
      CHECK(r.laser_redundancy[i] == doctest::Approx(d.redundancy[row]).scale(1).epsilon(1e-9));
    }
    CHECK(r.spare == d.spare);
    if (d.spare > 0)
      CHECK(*r.variance_factor ==
            doctest::Approx(d.square_sum / static_cast<double>(d.spare)).scale(1).epsilon(1e-6));
  }
  CHECK(worst < 1e-9);
  CHECK(worst_sd < 1e-9);
}

TEST_CASE("benchmarks that are all higher make all heights higher, and change nothing else") {
  std::mt19937 random(1);
  for (int k = 0; k < 50; ++k) {
    RandomJob job = random_job(random);
    const HeightsResult before = job.book.run();
    for (Benchmark& b : job.book.readings.benchmarks) b.elevation = b.elevation + m(1234.5);
    const HeightsResult after = job.book.run();
    for (std::size_t t = 0; t < before.targets.size(); ++t) {
      CHECK(height(after, t) - height(before, t) == doctest::Approx(1234.5).epsilon(1e-12));
      CHECK(after.targets[t].sd.metres() == doctest::Approx(before.targets[t].sd.metres()));
    }
    CHECK(after.spare == before.spare);
    CHECK(after.wrong.size() == before.wrong.size());
  }
}

TEST_CASE("the order of readings is no matter to heights, and sds scale with those of the readings") {
  std::mt19937 random(1);
  for (int k = 0; k < 50; ++k) {
    CAPTURE(k);
    const RandomJob job = random_job(random);
    const HeightsResult before = job.book.run();
    Book other = job.book;
    std::shuffle(other.readings.level.begin(), other.readings.level.end(), random);
    std::reverse(other.readings.benchmarks.begin(), other.readings.benchmarks.end());
    // Readings of one pair keep together whatever stands between: each target has one pair at most.
    std::reverse(other.readings.laser.begin(), other.readings.laser.end());
    const HeightsResult shuffled = other.run();
    other.options.reading_sd = other.options.reading_sd * 2;
    other.options.beam_sd = other.options.beam_sd * 2;
    for (Benchmark& b : other.readings.benchmarks)
      if (b.sd) b.sd = *b.sd * 2;
    const HeightsResult doubled = other.run();
    for (std::size_t t = 0; t < before.targets.size(); ++t) {
      CHECK(std::fabs(height(shuffled, t) - height(before, t)) < 1e-9);
      CHECK(shuffled.targets[t].sd.metres() == doctest::Approx(before.targets[t].sd.metres()));
      CHECK(std::fabs(height(doubled, t) - height(before, t)) < 1e-9);
      CHECK(doubled.targets[t].sd.metres() == doctest::Approx(2 * before.targets[t].sd.metres()));
    }
    if (before.variance_factor)
      CHECK(*doubled.variance_factor ==
            doctest::Approx(*before.variance_factor / 4).scale(0.1).epsilon(1e-6));
  }
}

TEST_CASE("stated heights hold the truth as often as they say") {
  // 10,000 heights, each of a job of its own: 95 % with sd 0.22 %, the band is three of them.
  std::mt19937 random(1);
  std::normal_distribution<double> noise;
  int within = 0;
  const int kHeights = static_cast<int>(repeats(10000));
  for (int k = 0; k < kHeights; ++k) {
    Book book;
    book.options.beam_sd = Angle::arc_seconds(20);
    const double beam = book.options.beam_sd.radians();
    const auto staff = [&](double reading) { return reading + 0.001 * noise(random); };
    const auto plane = [&](double reading, double away) {
      return reading + 0.001 * noise(random) + away * beam * noise(random);
    };
    // Truth: benchmarks 10 and 12, a turning point at 11, a soffit at 14.
    book.benchmark(0, 10).benchmark(1, 12 + 0.002 * noise(random), mm(2));
    book.back(0, 0, staff(2)).fore(0, 2, staff(1)).back(1, 2, staff(1.5)).fore(1, 1, staff(0.5));
    book.laser(0, 2, plane(1.2, 8), false, 8).laser(0, 1, plane(0.2, 15), false, 15);
    book.laser(0, 3, plane(1.8, 12), true, 12);
    const HeightsResult r = book.run();
    within += std::fabs(height(r, 3) - 14) <= 1.959964 * r.targets[3].sd.metres() ? 1 : 0;
  }
  CHECK(within > kHeights * 9 / 10);
  if (kSanitized) return;
  CHECK(within >= 9430);
  CHECK(within <= 9570);
}

TEST_CASE("what no reading ties to a benchmark has no height, but its readings are checked") {
  Book book;
  book.benchmark(0, 10).benchmark(5, 20);
  book.way(0, 0, 1, 1, 2);
  // A loop that no benchmark is in, 9 mm open.
  book.way(1, 2, 1.000, 3, 1.500).way(2, 3, 1.200, 4, 1.000).way(3, 4, 1.009, 2, 0.700);
  book.seen(6);
  const HeightsResult r = book.run();
  CHECK(height(r, 1) == doctest::Approx(9));
  for (const std::size_t t : {2u, 3u, 4u, 6u}) CHECK_FALSE(r.targets[t].elevation);
  CHECK(height(r, 5) == 20);  // a benchmark that was not read
  CHECK(r.setups[0]);
  CHECK_FALSE(r.setups[1]);
  CHECK(r.spare == 1);
  // Six readings share it evenly.
  CHECK(r.level_residuals[2].millimetres() == doctest::Approx(1.5));
  CHECK(r.level_residuals[3].millimetres() == doctest::Approx(-1.5));
  CHECK(r.level_redundancy[2] == doctest::Approx(1.0 / 6));
  CHECK(*r.variance_factor == doctest::Approx(81.0 / 6));
  CHECK(r.wrong.size() == 1);
}

TEST_CASE("a job may be empty, hold one reading, or one target read twice") {
  CHECK(Book{}.run().targets.empty());
  Book one;
  one.back(0, 0, 1);
  CHECK_FALSE(one.run().targets[0].elevation);
  CHECK(one.run().level_residuals[0] == mm(0));
  CHECK(one.run().lines.empty());
  Book twice;
  twice.benchmark(0, 10).way(0, 0, 1, 1, 2.000).fore(0, 1, 2.002);
  const HeightsResult r = twice.run();
  CHECK(height(r, 1) == doctest::Approx(8.999));
  CHECK(r.spare == 1);
  CHECK(r.level_residuals[2].millimetres() == doctest::Approx(1));
  Book idle;
  idle.readings.setups = 3;
  idle.readings.lasers = 2;
  idle.benchmark(0, 1);
  CHECK(idle.run().beams.size() == 2);
  CHECK_FALSE(idle.run().setups[2]);
}

TEST_CASE("thousands of soffits from twenty standings, and hundreds from two, take well under a second") {
  std::mt19937 random(1);
  std::normal_distribution<double> noise;
  Book many, shared, stands;
  for (Book* book : {&many, &shared, &stands}) book->options.beam_sd = Angle::arc_seconds(20);
  many.benchmark(0, 10).benchmark(1, 11);
  for (std::size_t l = 0; l < 20; ++l) {
    many.laser(l, 0, 2 + 0.001 * noise(random)).laser(l, 1, 1 + 0.001 * noise(random));
    for (std::size_t k = 0; k < 150; ++k) many.laser(l, 2 + 150 * l + k, 2, true, 15);
  }
  shared.benchmark(0, 10);
  for (std::size_t l = 0; l < 2; ++l) {
    shared.laser(l, 0, 2);
    for (std::size_t k = 0; k < 500; ++k) shared.laser(l, 1 + k, 2 + 0.001 * noise(random), true, 5);
  }
  // A thousand standings that read the same few targets, one of them with an old height.
  stands.benchmark(0, 10).benchmark(1, 10.1).benchmark(2, 12);
  for (std::size_t l = 0; l < 1000; ++l)
    stands.laser(l, 0, 2).laser(l, 1, 2).laser(l, 2, 0).laser(l, 3, 2, true);
  for (const Book* book : {&many, &shared, &stands}) {
    const std::clock_t begun = std::clock();
    const HeightsResult r = book->run();
    const double took = static_cast<double>(std::clock() - begun) / CLOCKS_PER_SEC;
    MESSAGE("CPU seconds: ", took);
    CHECK(r.spare == (book == &many ? 20u : book == &shared ? 500u : 2999u));
    CHECK(height(r, book->readings.targets - 1) == doctest::Approx(14).epsilon(5e-3));
    if (!kSanitized) CHECK(took < 0.5);
  }
}
