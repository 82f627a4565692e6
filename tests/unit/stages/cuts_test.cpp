#include "stages/cuts.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

/// Three hangers, the second without a drop; the third leans 0.5 m over 1.2 m, which makes 1.3 m.
CutInput three(std::optional<Length> stock) {
  CutInput in;
  in.hangers = {{7, m(1)}, {8, std::nullopt}, {9, m(1.2), m(0.5)}};
  in.options.top = mm(100), in.options.stock = stock;
  in.job = Where::whole("job.toml"), in.stock = Where::at("job.toml", {9, 1});
  in.mark = [](std::uint32_t mark) {
    return ToldMark{mark == 7 ? "P7" : mark == 9 ? "P9" : "?", Where::at("drawing.csv", {mark, 1}), "point"};
  };
  return in;
}
Strings problems(const CutInput& in) { return told(cut_hangers(in).told, Grade::problem); }

}  // namespace

TEST_CASE("cuts: allowance, lean by Pythagoras, one hanger without a drop is told") {
  const auto out = cut_hangers(three(m(3)));
  CHECK(out.is_there());
  CHECK(out.value->marks == std::vector<std::uint32_t>{7, 8, 9});
  CHECK(out.value->drops == std::vector<std::optional<Length>>{m(1), std::nullopt, m(1.2)});
  CHECK(out.value->cuts[0]->metres() == doctest::Approx(1.1));
  CHECK_FALSE(out.value->cuts[1]);
  CHECK(out.value->cuts[2]->metres() == doctest::Approx(1.4));
  CHECK(told(out.told, Grade::doubt) ==
        Strings{"job.toml: hangers: 1 hanger without a drop: no deck elevation or no bracket height is "
                "known, so no length to cut"});
  // Both fit into one piece of 3 m.
  CHECK(out.value->list.pieces.size() == 1);
  CHECK(out.value->stock_piece == std::vector<std::optional<std::uint32_t>>{1, std::nullopt, 1});
}

TEST_CASE("cuts: every hanger without a drop is counted, and one with a drop is not") {
  CutInput in = three(std::nullopt);
  in.hangers = {{7, std::nullopt}, {8, m(1)}, {9, std::nullopt}};
  const auto out = cut_hangers(in);
  CHECK(told(out.told, Grade::doubt)[0].find("hangers: 2 hangers without a drop") != std::string::npos);
  in.hangers = {{8, m(1)}};
  CHECK(cut_hangers(in).told.doubts() == 0);
}

TEST_CASE("cuts: no stock, no pieces; a kerf that no longer fits takes a second piece") {
  CHECK(cut_hangers(three(std::nullopt)).value->list.pieces.empty());
  CHECK_FALSE(cut_hangers(three(std::nullopt)).value->stock_piece[2]);
  CutInput in = three(m(2.503));
  in.options.kerf = mm(3);
  CHECK(cut_hangers(in).value->list.pieces.size() == 1);  // 1.1 + 1.4 and one kerf between
  in.options.kerf = mm(4);
  const auto out = cut_hangers(in);
  CHECK(out.value->list.pieces.size() == 2);
  CHECK(out.value->stock_piece == std::vector<std::optional<std::uint32_t>>{1, std::nullopt, 2});
}

TEST_CASE(
    "cuts: a cut as long as the stock is one; a tenth of a millimetre over it is refused at its hanger") {
  CHECK(cut_hangers(three(m(1.4))).is_there());
  const auto out = cut_hangers(three(m(1.3999)));
  CHECK(out.is_spoiled());
  CHECK(told(out.told, Grade::problem) ==
        Strings{"drawing.csv:9:1: point: found P9: a cut of 1.4000 m, drop 1.2000 m and allowances, expected "
                "a cut within the stock length 1.3999 m; try stock = \"1.400 m\""});
  CHECK(out.told.doubts() == 1);  // the other fault is told beside it
  CHECK(out.value->list.pieces.empty());
}

TEST_CASE("cuts: several that are too long are one fault, of the stock; the longest is named once") {
  CHECK(problems(three(m(1))) ==
        Strings{"job.toml:9:1: hangers.stock: found 2 of 3 cuts longer, P7 the first: a cut of 1.1000 m, "
                "drop 1.0000 m and allowances; P9 the longest: 1.4000 m, expected a cut within the stock "
                "length 1.0000 m; try stock = \"1.400 m\""});
  CutInput in = three(m(1));
  std::swap(in.hangers[0], in.hangers[2]);
  CHECK(problems(in)[0].find("P9 the first: a cut of 1.4000 m, drop 1.2000 m and allowances, expected") !=
        std::string::npos);
}

TEST_CASE("cuts: the stock that is suggested is rounded up, to a millimetre or a sixteenth of an inch") {
  CutInput in = three(m(1));
  in.hangers = {{7, m(1.0001)}};
  CHECK(problems(in)[0].ends_with("try stock = \"1.101 m\""));
  in.options.stock = Length::inches(30), in.options.top = std::nullopt;
  in.words = LengthUnit::foot;
  in.hangers = {{7, Length::inches(40.01)}};
  CHECK(problems(in)[0].ends_with("try stock = \"40.0625 in\""));
  in.hangers = {{7, Length::inches(40.0625)}};
  CHECK(problems(in)[0].ends_with("try stock = \"40.0625 in\""));
}

TEST_CASE("drops of hangers: none of a reference point or a bridged hanger, the lean of the mark measured") {
  PlainLaid laid = laid_of({{"P1", 0, 0}, {"REF", 1, 0, "", "reference"}, {"P2", 2, 0}, {"P3", 3, 0}});
  laid.put_deck(4);
  laid.attach_height = m(2.5);
  laid.marks.bridged = {0, 0, 1, 0};
  Plumbed plumb;
  plumb.rows.resize(2);
  plumb.rows[0].offset = mm(7), plumb.rows[1].offset = mm(9);
  plumb.marks = {1, 3};
  const auto drops = hanger_drops(laid.view(), &plumb);
  REQUIRE(drops.size() == 2);
  CHECK(drops[0].mark == 0);
  CHECK(drops[0].drop->metres() == doctest::Approx(1.5));
  CHECK(drops[0].lean == m(0));
  CHECK(drops[1].mark == 3);
  CHECK(drops[1].lean == mm(9));
  CHECK(hanger_drops(laid.view(), nullptr)[1].lean == m(0));
}
