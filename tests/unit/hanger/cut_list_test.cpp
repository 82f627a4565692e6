#include "hanger/cut_list.h"

#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("a cut is the drop, leaning or not, and both allowances, rounded up where asked") {
  CHECK(cut_length(m(1.234), m(0), {m(0.15), m(0.1), {}, {}}).metres() ==
        doctest::Approx(1.484).epsilon(1e-12));
  CHECK(cut_length(m(3), m(0.4), {}).metres() == doctest::Approx(std::sqrt(9.16)));
  CutOptions o{m(0.15), m(0.1), {}, m(0.005)};
  CHECK(cut_length(m(1.2341), m(0), o).metres() == doctest::Approx(1.485).epsilon(1e-12));
  CHECK(cut_length(m(1.235), m(0), o).metres() ==
        doctest::Approx(1.485).epsilon(1e-12));  // already a multiple
}

TEST_CASE("packings that are known") {
  struct Row {
    std::vector<Length> cuts;
    double stock, kerf;
    std::size_t pieces, bound;
  };
  for (const Row& r :
       {Row{all({1.22, 1.22, 1.22}), 3.66, 0, 1, 1}, Row{all({1.22, 1.22, 1.22}), 3.66, 0.003, 2, 2},
        Row{all({3.66}), 3.66, 0.003, 1, 1}, Row{all({2, 2, 2}), 3.66, 0, 3, 3},
        // First-fit decreasing needs four here: 6 5 | 6 5 | 5 3 3 | 3 ... of 11.
        Row{all({6, 6, 5, 5, 5, 3, 3}), 11, 0, 3, 3}, Row{all({5, 4, 4, 3, 2, 2}), 10, 0, 2, 2}}) {
    const CutListResult out = cut_list(r.cuts, m(r.stock), m(r.kerf));
    CHECK(out.pieces.size() == r.pieces);
    CHECK(out.lower_bound == r.bound);
  }
  CHECK(cut_list({}, m(3), m(0)).pieces.empty());
}

TEST_CASE("stock pieces are numbered as the cuts first need them, longest cut first in each") {
  const CutListResult out = cut_list(all({1, 3, 2.5, 1.4}), m(4), m(0));
  REQUIRE(out.pieces.size() == 2);
  CHECK(out.piece_of[0] == 0);
  CHECK(out.pieces[0].cuts == std::vector<std::size_t>{1, 0});
  CHECK(out.pieces[1].cuts == std::vector<std::size_t>{2, 3});
  CHECK(out.pieces[1].offcut.metres() == doctest::Approx(0.1));
  CHECK(out.waste.metres() == doctest::Approx(0.1));
}
