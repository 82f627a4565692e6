// Slips of the pen in random lines: told, and never laid on a set-up that does not hold them.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "heights_support.h"

using namespace heights_test;

namespace {

const int kJobs = static_cast<int>(repeats(400));

constexpr HeightSlip kSlips[] = {HeightSlip::hundred_millimetres, HeightSlip::metre, HeightSlip::foot,
                                 HeightSlip::exchanged, HeightSlip::read_in_feet};

/// A line that a crew levels with noise: two to eight set-ups, a loop or between benchmarks, with a laser
/// that reads turning points or without, with a second line that leaves it under way or without. Readings 2 s
/// and 2 s + 1 are back and fore of set-up s, noise is so many times what is stated.
struct Levelled {
  Book book;
  std::size_t setups = 0;
};
Levelled levelled(std::mt19937& random, double noisier = 1) {
  std::normal_distribution<double> noise;
  std::uniform_real_distribution<double> staff(0.3, 2.8);
  const auto up_to = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n)(random); };
  Levelled out;
  out.setups = 2 + up_to(6);
  const bool is_loop = up_to(1) == 0;
  const double sd = 0.0004 * noisier;
  out.book.options.reading_sd = mm(0.4);
  out.book.options.beam_sd = Angle::arc_seconds(5);
  std::vector<double> heights = {10};
  for (std::size_t s = 0; s < out.setups; ++s) {
    const bool is_last = s + 1 == out.setups;
    const double back = staff(random), sight = heights.back() + back;
    const double next = is_last && is_loop ? 10 : sight - staff(random);
    out.book.back(s, s, back + sd * noise(random));
    out.book.fore(s, is_last && is_loop ? 0 : s + 1, sight - next + sd * noise(random));
    if (!(is_last && is_loop)) heights.push_back(next);
  }
  out.book.benchmark(0, 10);
  if (!is_loop) out.book.benchmark(out.setups, heights.back());
  if (up_to(1) == 0) {
    for (std::size_t t = 0; t < heights.size(); ++t)
      if (up_to(2) > 0) out.book.laser(0, t, 20 - heights[t] + sd * noise(random), false, 2);
  }
  if (out.setups > 2 && up_to(1) == 0) {
    const std::size_t middle = 1 + up_to(out.setups - 3);
    const Length sight = m(heights[middle]) + out.book.readings.level[2 * middle].reading;
    const double turn = sight.metres() - staff(random), end = turn + staff(random) - 1.5;
    out.book.fore(middle, 50, sight.metres() - turn + sd * noise(random));
    out.book.back(out.setups, 50, 1.5 + sd * noise(random));
    out.book.fore(out.setups, 60, turn + 1.5 - end + sd * noise(random));
    out.book.benchmark(60, end);
  }
  return out;
}

bool all_within(const HeightsResult& r) {
  return std::all_of(r.lines.begin(), r.lines.end(), [](const HeightLine& l) { return l.is_within(); });
}

/// Writes a slip into a set-up; false where it would not be seen.
bool slip_into(Levelled& job, HeightSlip slip, std::size_t setup, bool back, bool up) {
  Length& b = job.book.readings.level[2 * setup].reading;
  Length& f = job.book.readings.level[2 * setup + 1].reading;
  const double side = up ? 1 : -1;
  switch (slip) {
    case HeightSlip::hundred_millimetres:
      (back ? b : f) += m(0.1 * side);
      return true;
    case HeightSlip::metre:
      (back ? b : f) += m(side);
      return true;
    case HeightSlip::foot:
      (back ? b : f) += m(0.3048 * side);
      return true;
    case HeightSlip::inch:
      (back ? b : f) += m(0.0254 * side);
      return true;
    case HeightSlip::exchanged:
      std::swap(b, f);
      return abs(b - f) > mm(10);
    case HeightSlip::read_in_feet:
      for (LevelReading& r : job.book.readings.level)
        if (r.setup == setup) r.reading = r.reading / 0.3048;
      return abs(b - f) > mm(30);
  }
  return false;
}

}  // namespace

TEST_CASE("a slip in a random line is told, and never in a set-up that does not hold it") {
  std::mt19937 random(1);
  const auto coin = [&] { return std::uniform_int_distribution<int>(0, 1)(random) == 0; };
  for (const double noisier : {1.0, 1.5}) {
    for (const HeightSlip slip : kSlips) {
      CAPTURE(static_cast<int>(slip));
      CAPTURE(noisier);
      int seen = 0, told = 0, alone = 0, named = 0, wrong = 0;
      for (int k = 0; k < kJobs; ++k) {
        Levelled job = levelled(random, noisier);
        const auto setup = std::uniform_int_distribution<std::size_t>(0, job.setups - 1)(random);
        const bool was_within = all_within(job.book.run());
        if (!slip_into(job, slip, setup, coin(), coin())) continue;
        const HeightsResult r = job.book.run();
        bool has_it = false, has_other = false;
        for (const SlipOfHeight& s : r.slips) {
          (s.slip == slip ? has_it : has_other) = true;
          named += s.setup == setup ? 1 : 0;
          wrong += s.setup && s.setup != setup ? 1 : 0;
          if (s.slip == slip && s.line && noisier == 1)
            CHECK(std::count(s.setups.begin(), s.setups.end(), setup) == 1);
        }
        if (!was_within) continue;  // what the slip leaves is over the limit: nothing need be told
        ++seen;
        told += has_it ? 1 : 0;
        alone += has_it && !has_other ? 1 : 0;
      }
      MESSAGE("slip ", static_cast<int>(slip), ", noise x ", noisier, ": seen ", seen, ", told ", told,
              ", alone ", alone, ", named ", named, ", wrongly ", wrong);
      CHECK(wrong == 0);
      CHECK(alone >= seen * 9 / 10);
      if (noisier > 1) continue;
      CHECK(told == seen);
      if (slip == HeightSlip::exchanged || slip == HeightSlip::read_in_feet) CHECK(named >= seen * 9 / 10);
    }
  }
}

TEST_CASE("of two slips hardly any is named in a set-up that holds neither") {
  std::mt19937 random(1);
  const auto coin = [&] { return std::uniform_int_distribution<int>(0, 1)(random) == 0; };
  int named = 0, wrong = 0;
  for (int k = 0; k < 2 * kJobs; ++k) {
    Levelled job = levelled(random);
    const auto any = [&] { return std::uniform_int_distribution<std::size_t>(0, job.setups)(random); };
    const bool branches = job.book.readings.setups > job.setups;
    const std::size_t one = any() % job.setups, other = branches ? any() : any() % job.setups;
    slip_into(job, kSlips[k % 3], one, coin(), coin());
    if (other < job.setups)
      slip_into(job, kSlips[k / 3 % 5], other, coin(), coin());
    else
      job.book.readings.level.back().reading += m(coin() ? 1 : -0.1);
    for (const SlipOfHeight& s : job.book.run().slips) {
      if (!s.setup) continue;
      (s.setup == one || s.setup == other ? named : wrong) += 1;
    }
  }
  MESSAGE("two slips: named ", named, ", wrongly ", wrong);
  // Two of them together leave any closure: 2 % of such are explained by a third one by chance, as below.
  CHECK(wrong <= kJobs * 4 / 100);
  CHECK((named > 0 || kSanitized));
}

TEST_CASE("no slip is told of lines without fault, and few of blunders that are none of these") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> off(0.01, 2);
  int told = 0;
  for (int k = 0; k < kJobs; ++k) {
    Levelled job = levelled(random);
    CHECK(job.book.run().slips.empty());
    const auto wrong = std::uniform_int_distribution<std::size_t>(0, 2 * job.setups - 1)(random);
    job.book.readings.level[wrong].reading += m(off(random));
    told += job.book.run().slips.empty() ? 0 : 1;
  }
  MESSAGE("of ", kJobs, " other blunders told as a slip: ", told);
  // Three steps with a window of 6 mm in 2 m are 0.9 %; exchanges and units of five set-ups, each with such a
  // window among closures to 2 m, and more of them small ones, another 2 %.
  CHECK(told <= kJobs * 5 / 100);
}

TEST_CASE(
    "a benchmark with an old height never makes a set-up named, also where it is off by a round number") {
  std::mt19937 random(1);
  int named = 0, told = 0;
  for (int k = 0; k < kJobs; ++k) {
    Levelled job = levelled(random);
    if (job.book.readings.benchmarks.size() < 2) continue;
    const double by = k % 2 == 0 ? 0.1 : 0.3048;
    Benchmark& b = job.book.readings.benchmarks[static_cast<std::size_t>(k / 2 % 2)];
    b.elevation = b.elevation + m(by);
    for (const SlipOfHeight& s : job.book.run().slips) {
      ++told;
      named += s.setup || s.reading ? 1 : 0;
    }
  }
  CHECK(told > 0);
  CHECK(named == 0);
}
