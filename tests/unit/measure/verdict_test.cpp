#include "measure/verdict.h"

#include <doctest/doctest.h>

#include <limits>
#include <vector>

using namespace deckmark;

namespace {
Length mm(double v) { return Length::millimetres(v); }
}  // namespace

TEST_CASE("simple acceptance: at the limit is within, a deviation under a hair over it too") {
  struct Row {
    double deviation, limit;
    Verdict want;
  };  // mm
  for (const Row& r :
       {Row{5, 5, Verdict::within}, Row{-5, 5, Verdict::within}, Row{5.0000005, 5, Verdict::within},
        Row{5.00001, 5, Verdict::outside}, Row{-5.00001, 5, Verdict::outside},
        Row{3.04, 3.0, Verdict::outside}, Row{0, 0, Verdict::within}, Row{0.1 + 0.2, 0.3, Verdict::within}}) {
    CAPTURE(r.deviation);
    CHECK(judge(mm(r.deviation), mm(r.limit)) == r.want);
  }
  CHECK(judge(Length::metres(std::numeric_limits<double>::quiet_NaN()), mm(5)) == Verdict::outside);
}

// JCGM 106:2012, 8.3: the acceptance interval is shortened by the guard band w = U, with U = 2 sd.
TEST_CASE("guarded acceptance") {
  struct Row {
    double deviation, limit, sd;
    Verdict want;
  };  // mm
  for (const Row& r :
       {Row{4, 6, 1, Verdict::within}, Row{-4, 6, 1, Verdict::within}, Row{4.001, 6, 1, Verdict::unsure},
        Row{6, 6, 1, Verdict::unsure}, Row{8, 6, 1, Verdict::unsure}, Row{8.001, 6, 1, Verdict::outside},
        Row{-8.001, 6, 1, Verdict::outside}, Row{6, 6, 0, Verdict::within},
        Row{6.001, 6, 0, Verdict::outside}, Row{0, 6, 3, Verdict::within}, Row{0, 6, 3.001, Verdict::unsure},
        Row{100, 6, 3.001, Verdict::outside}}) {
    CAPTURE(r.deviation);
    CAPTURE(r.sd);
    CHECK(judge_guarded(mm(r.deviation), mm(r.limit), mm(r.sd)) == r.want);
  }
}

TEST_CASE("the worse of two verdicts") {
  const std::vector<Verdict> rising{Verdict::within, Verdict::own, Verdict::unsure, Verdict::outside};
  for (std::size_t i = 0; i < 4; ++i) {
    for (std::size_t k = 0; k < 4; ++k) CHECK(worse(rising[i], rising[k]) == rising[std::max(i, k)]);
  }
  CHECK(verdict_word(Verdict::within) == "within");
  CHECK(verdict_word(Verdict::outside) == "outside");
  CHECK(verdict_word(Verdict::unsure) == "unsure");
  CHECK(verdict_word(Verdict::own) == "own");
}
