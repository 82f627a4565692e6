// Marks of a leaning beam at four turns, by a geometry of our own: the lean goes out, what is left scatters
// as stated, and sound marks are hardly ever doubted.
#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <vector>

#include "lift/turned.h"
#include "support/noise.h"

using namespace deckmark;
using namespace deckmark_test;

TEST_CASE("turned marks: the lean cancels whichever way the housing stood and turned") {
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  const std::size_t runs = repeats(10000);
  std::size_t inside = 0, doubted = 0;
  double lean = 0;
  for (std::size_t k = 0; k < runs; ++k) {
    const std::complex<double> up(0.3 * normal(random), 0.3 * normal(random)),
        leans = std::polar(0.006, 6 * normal(random));
    const double sense = k % 2 ? 1 : -1, sd = 0.001;
    std::vector<MarkAtTurn> marks;
    for (std::size_t q = 0; q < 4; ++q) {
      const auto at = up + leans * std::polar(1.0, sense * static_cast<double>(q) * std::numbers::pi / 2) +
                      std::complex<double>(sd * normal(random), sd * normal(random));
      marks.push_back({q,
                       {{.northing = Length::metres(at.real()), .easting = Length::metres(at.imag())}},
                       Length::metres(sd)});
    }
    const TurnsResult r = mean_of_turns(marks);
    const double off =
        std::hypot(r.mean.by.northing.metres() - up.real(), r.mean.by.easting.metres() - up.imag());
    inside += off * off <= 5.991 * r.sd.metres() * r.sd.metres();  // chi-square of 2, 95 %
    doubted += r.pairs_disagree;
    lean += r.lean.metres();
  }
  MESSAGE("inside: " << inside << ", doubted: " << doubted << " of " << runs);
  CHECK(lean / static_cast<double>(runs) == doctest::Approx(0.006).epsilon(0.02));
  if (kSanitized) return;
  CHECK((inside >= 9430 && inside <= 9570));
  CHECK((doubted >= 1 && doubted <= 20));  // 10 expected, three sds of sqrt 10
}
