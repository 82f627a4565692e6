// Cut lists of every kind that a job has: near the lower bound, every cut once, no stock piece over its
// length.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "hanger/cut_list.h"
#include "hanger_support.h"

using namespace hanger_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kLists = 40;
#else
constexpr int kLists = 1000;
#endif

/// Every cut is in one piece, what is in a piece fits its stock, and offcuts and waste add up.
void check_sound(const std::vector<Length>& cuts, const CutListResult& out, double stock, double kerf) {
  std::vector<int> seen(cuts.size(), 0);
  double waste = 0;
  for (std::size_t p = 0; p < out.pieces.size(); ++p) {
    double used = 0;
    CHECK_FALSE(out.pieces[p].cuts.empty());
    for (const std::size_t c : out.pieces[p].cuts) {
      REQUIRE(c < cuts.size());
      ++seen[c];
      CHECK(out.piece_of[c] == p);
      used += cuts[c].metres();
    }
    // A saw takes its kerf between two cuts, and behind the last one where something is left.
    const double n = static_cast<double>(out.pieces[p].cuts.size()), blades = kerf * (n - 1);
    CHECK(used + blades <= stock + 1e-7);
    CHECK(out.pieces[p].offcut.metres() ==
          doctest::Approx(std::max(0.0, stock - used - kerf * n)).scale(stock).epsilon(1e-9));
    waste += stock - used;
  }
  CHECK(std::ranges::all_of(seen, [](int n) { return n == 1; }));
  CHECK(out.waste.metres() == doctest::Approx(waste).epsilon(1e-6));
}

/// The fewest pieces by trying every place for every cut.
std::size_t fewest(const std::vector<double>& cuts, double stock, double kerf, std::size_t i,
                   std::vector<double>& room, std::size_t best) {
  if (i == cuts.size()) return std::min(best, room.size());
  if (room.size() >= best) return best;
  for (std::size_t p = 0; p < room.size(); ++p)
    if (cuts[i] + kerf <= room[p] + 1e-9) {
      room[p] -= cuts[i] + kerf;
      best = fewest(cuts, stock, kerf, i + 1, room, best);
      room[p] += cuts[i] + kerf;
    }
  room.push_back(stock - cuts[i]);
  best = fewest(cuts, stock, kerf, i + 1, room, best);
  room.pop_back();
  return best;
}

}  // namespace

TEST_CASE("1,000 random lists of 200 cuts stay within a stock piece or 2 % of the lower bound") {
  std::mt19937 random(1);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  int at_bound = 0, over = 0;
  double worst = 0;
  for (int list = 0; list < kLists; ++list) {
    CAPTURE(list);
    const double stock = std::vector<double>{3.0, 3.6576, 6.0}[static_cast<std::size_t>(list) % 3],
                 kerf = list % 2 ? 0.003 : 0;
    const double low = between(0.05, 0.6) * stock, high = std::min(stock, low + between(0.02, 0.9) * stock);
    // To the millimetre, to a sixteenth of an inch, to 5 cm (many alike), and as they come.
    const double step = std::vector<double>{0.001, 0.0254 / 16, 0.05, 0}[static_cast<std::size_t>(list) % 4];
    std::vector<Length> cuts;
    double sum = 0;
    for (int i = 0; i < 200; ++i) {
      double cut = between(low, high);
      if (step > 0) cut = std::min(stock, std::ceil(cut / step) * step);
      cuts.push_back(m(cut));
      sum += cut;
    }
    const CutListResult out = cut_list(cuts, m(stock), m(kerf));
    check_sound(cuts, out, stock, kerf);
    CHECK(out.lower_bound >= static_cast<std::size_t>(std::ceil(sum / stock - 1e-9)));
    CHECK(out.lower_bound <= out.pieces.size());
    const double allowed = std::max(1.0, 0.02 * static_cast<double>(out.lower_bound));
    const auto above = static_cast<double>(out.pieces.size() - out.lower_bound);
    CHECK(above <= allowed);
    at_bound += above == 0;
    over += above > allowed;
    worst = std::max(worst, above / static_cast<double>(out.lower_bound));
  }
  MESSAGE(at_bound << " of " << kLists << " lists at the lower bound, " << over
                   << " over what is allowed, the worst " << 100 * worst << " % above");
}

TEST_CASE("short lists take the fewest pieces, and no bound is above them") {
  std::mt19937 random(2);
  for (int list = 0; list < 2000; ++list) {
    CAPTURE(list);
    const double kerf = list % 2 ? 0.004 : 0;
    const std::size_t n = 2 + static_cast<std::size_t>(list) % 7;
    std::vector<double> values;
    std::vector<Length> cuts;
    for (std::size_t i = 0; i < n; ++i) {
      values.push_back(std::round(std::uniform_real_distribution<double>(0.2, 3.0)(random) * 100) / 100);
      cuts.push_back(m(values.back()));
    }
    std::vector<double> room;
    const std::size_t best = fewest(values, 3, kerf, 0, room, n);
    const CutListResult out = cut_list(cuts, m(3), m(kerf));
    check_sound(cuts, out, 3, kerf);
    CHECK(out.pieces.size() == best);
    CHECK(out.lower_bound <= best);
  }
}
