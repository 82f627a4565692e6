#include "hanger/site_cuts.h"

#include <doctest/doctest.h>

#include <string>

#include "hanger_support.h"

using namespace hanger_test;

namespace {

using enum MayCut;

/// Cuts as `piece end amount`, pieces from 1, amounts in millimetres.
std::string words(const SiteCutResult& r) {
  std::string out;
  for (const SiteCut& c : r.cuts)
    out += (out.empty() ? "" : ", ") + std::to_string(c.piece + 1) +
           (c.end == AtEnd::start ? " start " : " finish ") +
           std::to_string(std::lround(c.amount.millimetres()));
  return out;
}
std::string words(const BrokenCutRules& b) {
  return std::string(b.joint_clear ? "clear " : "") + (b.piece_least ? "least " : "") +
         (b.may_cut ? "may " : "");
}
Stretch beside(double at, double clear) { return {m(at - clear), m(at + clear)}; }

struct Row {
  const char* name;
  SiteCutTask task;
  std::string cuts;
  std::string broken = "";
  std::size_t unused = 0;
};

}  // namespace

TEST_CASE("which pieces are cut on site") {
  const SitePiece p{m(3), both};
  for (const Row& r : {
           Row{"they add up", {{p, p}, m(6), false, {}, {}}, ""},
           Row{"within a millimetre they add up", {{p, p}, m(5.999), false, {}, {}}, ""},
           Row{"a little over a millimetre is cut", {{p, p}, m(5.9988), false, {}, {}}, "2 finish 1"},
           Row{"the last at its finish", {{p, p, p}, m(8.7), false, {}, {}}, "3 finish 300"},
           Row{"a piece alone is the last", {{p}, m(2.5), false, {}, {}}, "1 finish 500"},
           Row{"at its start where only that may be cut",
               {{p, {m(3), start}}, m(5.5), false, {}, {}},
               "2 start 500"},
           Row{"the first at its start", {{p, p, {m(3), no}}, m(8.7), false, {}, {}}, "1 start 300"},
           Row{"the first at its finish where only that may be cut",
               {{{m(3), finish}, {m(3), no}}, m(5.5), false, {}, {}},
               "1 finish 500"},
           Row{"then the one nearest to the finish",
               {{{m(3), no}, p, p, {m(3), no}}, m(11.7), false, {}, {}},
               "3 finish 300"},
           Row{"a hanger beside the joint: the first moves all joints",
               {{p, p, p}, m(8.7), false, {beside(6.05, 0.1)}, {}},
               "1 start 300"},
           Row{"exactly joint_clear from the hanger is clear",
               {{p, p, p}, m(8.7), false, {beside(6.1, 0.1)}, {}},
               "3 finish 300"},
           Row{"what would be left is too short",
               {{p, p, p}, m(6.2), false, {}, m(0.3)},
               "1 start 100, 3 finish 2700"},
           Row{"exactly piece_least is long enough", {{p, p, p}, m(6.3), false, {}, m(0.3)}, "3 finish 2700"},
           Row{"an uncut piece may be shorter than piece_least",
               {{p, p, {m(0.2), both}}, m(6.1), false, {}, m(0.3)},
               "1 start 100"},
           Row{"pieces behind the finish are left whole",
               {{p, p, p, p}, m(5), false, {}, {}},
               "2 finish 1000",
               "",
               2},
           Row{"and where those before add up", {{p, p, p}, m(6), false, {}, {}}, "", "", 1},
           Row{"a hanger just behind a ring's start keeps joints off its end too",
               {{p, p, {m(0.3), both}}, m(6.1), true, {beside(0.02, 0.2)}, {}},
               "1 start 200"},
       }) {
    const std::string name = r.name;
    CAPTURE(name);
    const SiteCutResult got = site_cuts(r.task);
    CHECK(words(got) == r.cuts);
    CHECK(words(got.broken) == r.broken);
    CHECK(got.unused == r.unused);
    CHECK_FALSE(got.too_short);
  }
}

TEST_CASE("a rule is given up where no cuts keep all") {
  const SitePiece p{m(3), both};
  for (const Row& r : {
           Row{"hangers stand round every joint that can be",
               {{p, p}, m(5.5), false, {{m(2.4), m(3.1)}}, {}},
               "2 finish 500",
               "clear "},
           Row{"the piece is shorter than the least whatever is cut",
               {{{m(0.4), both}}, m(0.2), false, {}, m(0.3)},
               "1 finish 200",
               "least "},
           Row{"none may be cut",
               {{{m(3), no}, {m(3), no}}, m(5.5), false, {}, m(0.3)},
               "2 finish 500",
               "may "},
           Row{"the joint rule is given up before what must not be cut",
               {{p, {m(3), no}}, m(5.5), false, {beside(2.5, 0.1)}, {}},
               "1 start 500",
               "clear "},
           Row{"none may be cut, and the last would be short and its joint near",
               {{{m(3), no}, {m(3), no}}, m(3.1), false, {beside(3, 0.1)}, m(0.3)},
               "2 finish 2900",
               "clear least may "},
       }) {
    const std::string name = r.name;
    CAPTURE(name);
    const SiteCutResult got = site_cuts(r.task);
    CHECK(words(got) == r.cuts);
    CHECK(words(got.broken) == r.broken);
  }
}

TEST_CASE("pieces that are too short together are not cut") {
  const SiteCutResult got =
      site_cuts({{{m(3), both}, {m(3), both}}, m(6.4), false, {beside(3, 0.1)}, m(0.3)});
  REQUIRE(got.too_short);
  CHECK(got.too_short->millimetres() == doctest::Approx(400));
  CHECK(got.cuts.empty());
  CHECK_FALSE(got.adds_up());
  CHECK_FALSE(got.broken.any());
}

TEST_CASE("many pieces with many hangers are cut without waiting") {
  // 20,000 pieces of which each may lose 100 mm, 2 m too much: 20 cuts beside the joint rule everywhere.
  SiteCutTask task{std::vector<SitePiece>(20000, {m(3), both}), m(20000 * 3 - 2), false, {}, m(2.9)};
  for (int i = 1; i < 20000; ++i) task.no_joint.push_back(beside(3 * i - 1.95, 0.04));
  const SiteCutResult got = site_cuts(task);
  CHECK_FALSE(got.broken.any());
  CHECK(got.cuts.size() == 20);
  CHECK(got.cuts.front().piece == 0);
  CHECK(got.cuts.back().piece == 19999);
}
