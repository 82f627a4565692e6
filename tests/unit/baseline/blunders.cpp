#include "baseline/blunders.h"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <random>

#include "simulation/tie_jobs.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

/// Ties on columns of a 6 m by 8 m grid, stated to the millimetre as drawings are, in a local site.
std::vector<Tie> column_ties(std::mt19937& random) {
  std::uniform_int_distribution<int> column(0, 5), row(0, 3);
  std::uniform_real_distribution<double> turn(0, 360), offset(0.3, 1.5);
  std::normal_distribution<double> noise(0, 0.0015);
  Floor floor = random_floor(random, false);
  floor.origin_northing = 2345.678;
  floor.origin_easting = 6123.401;
  std::vector<Tie> out;
  for (int i = 0; i < 8; ++i) {
    const double x = std::round(1000 * (6 * column(random) + (i == 0 ? 0.457 : offset(random)))) / 1000;
    const double y = std::round(1000 * (8 * row(random) + (i == 1 ? 0.612 : offset(random)))) / 1000;
    Point<Site> at = floor.at(x, y);
    at.at.northing += m(noise(random));
    at.at.easting += m(noise(random));
    out.push_back({m(x), m(y), at, mm(1.5), mm(1.5), mm(5)});
  }
  return out;
}

const std::vector<Length> kBays{m(6), m(8), m(0.914)};

struct Score {
  int named = 0, tried = 0;
};

Score score(TieBlunder blunder, const std::function<bool(std::vector<Tie>&, std::size_t)>& spoil) {
  std::mt19937 random(1);
  Score s;
  for (int trial = 0; trial < 100; ++trial) {
    auto set = column_ties(random);
    const std::size_t wrong = static_cast<std::size_t>(trial) % 8;
    if (!spoil(set, wrong)) continue;
    ++s.tried;
    const auto found = find_blunders(set, {}, {.quanta = kBays});
    const bool whole = blunder == TieBlunder::all_swapped || blunder == TieBlunder::mirrored ||
                       blunder == TieBlunder::all_units;
    for (const BlunderFinding& f : found) {
      if (f.blunder != blunder || (!whole && f.tie != wrong && f.other_tie != wrong)) continue;
      if (blunder == TieBlunder::names && f.tie != (wrong + 3) % 8 && f.other_tie != (wrong + 3) % 8)
        continue;
      ++s.named;
      break;
    }
  }
  return s;
}

/// Exchanges the tenths and hundredths of a metre; false where they are equal or differ by too little to
/// matter.
bool exchange(Length& value) {
  const long long n = std::llround(value.millimetres());
  const long long tens = n / 10 % 10, hundreds = n / 100 % 10;
  if (tens == hundreds) return false;
  value = mm(static_cast<double>(n + (tens - hundreds) * 90));
  return true;
}

}  // namespace

TEST_CASE("everyday blunders of one tie are named") {
  struct Row {
    TieBlunder blunder;
    std::function<bool(std::vector<Tie>&, std::size_t)> spoil;
  };
  const Row rows[] = {
      {TieBlunder::bay,
       [](auto& t, std::size_t i) {
         t[i].x = *t[i].x + m(6);
         return true;
       }},
      {TieBlunder::bay,
       [](auto& t, std::size_t i) {
         t[i].y = *t[i].y - m(0.914);
         return true;
       }},
      {TieBlunder::swapped,
       [](auto& t, std::size_t i) {
         std::swap(t[i].at.at.northing, t[i].at.at.easting);
         return true;
       }},
      {TieBlunder::digits, [](auto& t, std::size_t i) { return exchange(*t[i].x); }},
      {TieBlunder::feet_as_metres,
       [](auto& t, std::size_t i) {
         t[i].x = *t[i].x / 0.3048;
         t[i].y = *t[i].y / 0.3048;
         return true;
       }},
      {TieBlunder::axes,
       [](auto& t, std::size_t i) {
         std::swap(t[i].x, t[i].y);
         return true;
       }},
      {TieBlunder::names,
       [](auto& t, std::size_t i) {
         std::swap(t[i].at, t[(i + 3) % 8].at);
         return true;
       }},
      {TieBlunder::sign,
       [](auto& t, std::size_t i) {
         t[i].x = -*t[i].x;
         return true;
       }},
  };
  for (const Row& row : rows) {
    CAPTURE(tie_blunder_words(row.blunder));
    const Score s = score(row.blunder, row.spoil);
    CAPTURE(s.named);
    CAPTURE(s.tried);
    CHECK(s.tried >= 80);
    CHECK(s.named >= 0.95 * s.tried);
  }
}

TEST_CASE("everyday blunders of the whole table are named") {
  const auto swapped = score(TieBlunder::all_swapped, [](auto& t, std::size_t) {
    for (Tie& tie : t) std::swap(tie.at.at.northing, tie.at.at.easting);
    return true;
  });
  CHECK(swapped.named >= 95);
  const auto mirrored = score(TieBlunder::mirrored, [](auto& t, std::size_t) {
    for (Tie& tie : t) tie.y = -*tie.y;
    return true;
  });
  CHECK(mirrored.named >= 95);
  const auto units = score(TieBlunder::all_units, [](auto& t, std::size_t) {
    for (Tie& tie : t) {
      tie.x = *tie.x / 0.3048;
      tie.y = *tie.y / 0.3048;
    }
    return true;
  });
  CHECK(units.named >= 95);
}

TEST_CASE("ties without fault, and misfits without a name, get none") {
  std::mt19937 random(1);
  int clean = 0, plain = 0;
  for (int trial = 0; trial < 200; ++trial) {
    auto set = column_ties(random);
    clean += find_blunders(set, {}, {.quanta = kBays}).empty() ? 0 : 1;
    set[3].x = *set[3].x + m(0.2371);  // no bay, no nine
    plain += find_blunders(set, {}, {.quanta = kBays}).empty() ? 0 : 1;
  }
  CHECK(clean <= 2);
  CHECK(plain <= 10);
}

TEST_CASE("two wrong ties are each named") {
  std::mt19937 random(1);
  int both = 0;
  for (int trial = 0; trial < 50; ++trial) {
    auto set = column_ties(random);
    set[2].x = *set[2].x + m(6);
    set[5].y = *set[5].y - m(0.914);
    bool first = false, second = false;
    for (const BlunderFinding& f : find_blunders(set, {}, {.quanta = kBays})) {
      first = first || (f.blunder == TieBlunder::bay && f.tie == 2u && f.cell == TieCell::x);
      second = second || (f.blunder == TieBlunder::bay && f.tie == 5u && f.cell == TieCell::y);
    }
    both += first && second ? 1 : 0;
  }
  CHECK(both >= 40);
}

TEST_CASE("bays and offsets that the ties themselves show") {
  const auto q = quanta_of(ties({{0.9, 0, 0, 0}, {6.9, std::nullopt, 0, 0}, {6.9, 8, 0, 0}}));
  REQUIRE(q.size() == 4);
  CHECK(q[0].metres() == doctest::Approx(0.9));
  CHECK(q[1].metres() == doctest::Approx(6));
  CHECK(q[2].metres() == doctest::Approx(6.9));
  CHECK(q[3].metres() == doctest::Approx(8));
}
