#include "issues/changes.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "unit/issues/plain_ledger.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;
using Issues = std::vector<std::vector<LedgerRow>>;

constexpr double kMicrometre = 1e-6;

/// What is handed out now, against a ledger.
class Compared {
 public:
  Compared(Ledger ledger, std::uint32_t since, std::vector<LedgerRow> now)
      : ledger_(std::move(ledger)), now_(std::move(now)) {
    std::ranges::sort(now_, {}, &LedgerRow::number);
    for (std::uint32_t i = 0; i < now_.size(); ++i) {
      const std::uint32_t row = ledger_.find(now_[i].number);
      candidates_.push_back({now_[i].number, row == kNone32 ? row : ledger_.as_of(row, since), i});
    }
    changes_ = changes_of(ledger_, since, candidates_, row_now());
  }
  RowNow row_now() const {
    return [this](std::uint32_t i) { return now_[i]; };
  }
  const std::vector<ChangeRow>& changes() const { return changes_; }
  /// `1001 floor moved 0`: number, what, change, the row by which it was told.
  Lines lines() const {
    Lines out;
    for (const ChangeRow& c : changes_) {
      CHECK(now_[c.now].number == c.number);
      out.push_back(std::to_string(c.number) + " " + std::string(what_word(c.what)) + " " +
                    std::string(change_word(c.change)) +
                    (c.told == kNone32 ? std::string() : " " + std::to_string(c.told)));
    }
    return out;
  }
  ChangeBy by(std::size_t change = 0) const {
    REQUIRE(change < changes_.size());
    return change_by(ledger_, changes_[change], row_now());
  }
  std::vector<ToldIn> told(std::uint32_t issue) const {
    return told_by(ledger_, issue, candidates_, changes_);
  }

 private:
  Ledger ledger_;
  std::vector<LedgerRow> now_;
  std::vector<Candidate> candidates_;
  std::vector<ChangeRow> changes_;
};

using Change1 = std::function<void(LedgerRow&)>;
LedgerRow with(LedgerRow row, const Change1& change) {
  change(row);
  return row;
}
/// A place in the drawing and on site.
void shift(LedgerRow& r, double dx, double dy = 0) {
  r.drawing = {kept(r.drawing.x.metres() + dx), kept(r.drawing.y.metres() + dy)};
  r.site = {kept(r.site.northing.metres() + dy), kept(r.site.easting.metres() + dx)};
}

}  // namespace

TEST_CASE("every change of a number that was live, one at a time and together") {
  struct Case {
    std::string why;
    Change1 change;
    Lines want;
  };
  const auto none = Kept::none();
  for (const Case& c : std::vector<Case>{
           {"nothing", [](LedgerRow&) {}, {}},
           {"1 mm", [](LedgerRow& r) { shift(r, 0.001); }, {}},
           {"over 1 mm", [](LedgerRow& r) { shift(r, 0.001 + kMicrometre); }, {"1001 floor moved 0"}},
           {"over 1 mm on the slant",
            [](LedgerRow& r) { shift(r, -0.0006, 0.000801); },
            {"1001 floor moved 0"}},
           {"site alone", [](LedgerRow& r) { r.site.easting = kept(201.001002); }, {"1001 floor refit 0"}},
           {"site alone, 1 mm", [](LedgerRow& r) { r.site.easting = kept(201.001001); }, {}},
           {"drawing alone", [](LedgerRow& r) { r.drawing.y = kept(2.1); }, {"1001 floor moved 0"}},
           {"another name", [](LedgerRow& r) { r.point = "Q1"; }, {"1001 floor renamed 0"}},
           {"another name and place",
            [](LedgerRow& r) { r.point = "Q1", shift(r, 1); },
            {"1001 floor renamed 0"}},
           {"the name in another case", [](LedgerRow& r) { r.point = "p1"; }, {}},
           {"dropped", [](LedgerRow& r) { r.live = false; }, {"1001 floor dropped 0"}},
           {"dropped, and all else",
            [](LedgerRow& r) { r.live = false, shift(r, 1), r.deck = kept(9); },
            {"1001 floor dropped 0"}},
           {"deck 1 mm up", [](LedgerRow& r) { r.deck = kept(5.001); }, {}},
           {"deck up", [](LedgerRow& r) { r.deck = kept(5.001001); }, {"1001 deck raised 0"}},
           {"deck down", [](LedgerRow& r) { r.deck = kept(4.998999); }, {"1001 deck lowered 0"}},
           {"deck gone", [none](LedgerRow& r) { r.deck = none; }, {"1001 deck gone 0"}},
           {"bracket up", [](LedgerRow& r) { r.attach = kept(3.501001); }, {"1001 bracket raised 0"}},
           {"bracket down", [](LedgerRow& r) { r.attach = kept(3); }, {"1001 bracket lowered 0"}},
           {"bracket gone", [none](LedgerRow& r) { r.attach = none; }, {"1001 bracket gone 0"}},
           {"longer", [](LedgerRow& r) { r.cut = kept(1.501001); }, {"1001 cut longer 0"}},
           {"shorter", [](LedgerRow& r) { r.cut = kept(1.498999); }, {"1001 cut shorter 0"}},
           {"cut gone", [none](LedgerRow& r) { r.cut = none; }, {"1001 cut gone 0"}},
           {"floor", [](LedgerRow& r) { r.floor = kept(2); }, {}},
           {"kind, run, crew, offset",
            [](LedgerRow& r) { r.kind = "support", r.run = "R9", r.crew = "north", r.deck_offset = 7; },
            {}},
           {"all",
            [none](LedgerRow& r) { shift(r, 1), r.deck = kept(6), r.attach = kept(3), r.cut = none; },
            {"1001 floor moved 0", "1001 deck raised 0", "1001 bracket lowered 0", "1001 cut gone 0"}}}) {
    CAPTURE(c.why);
    const LedgerRow row = hanger("P1", 1001, 1, 2);
    CHECK(Compared(ledger_of({{row}}), 1, {with(row, c.change)}).lines() == c.want);
  }
  const LedgerRow bare = with(hanger("P1", 1001), [none](LedgerRow& r) { r.deck = r.attach = r.cut = none; });
  CHECK(Compared(ledger_of({{bare}}), 1, {hanger("P1", 1001)}).lines() ==
        Lines{"1001 deck new 0", "1001 bracket new 0", "1001 cut new 0"});
}

TEST_CASE("a number that is new has its floor row alone, and on the first issue all are") {
  CHECK(Compared(Ledger(), 0, {hanger("P2", 1002), hanger("P1", 1001, 5)}).lines() ==
        Lines{"1001 floor new", "1002 floor new"});
  CHECK(Compared(ledger_of({{hanger("P1", 1001)}}), 0, {hanger("P1", 1001)}).lines() ==
        Lines{"1001 floor new"});
}

TEST_CASE("dropped and back, within what is compared and across it") {
  const LedgerRow row = hanger("P1", 1001, 1, 2);
  const Issues issues = {{row}, {dropped(row)}};
  const LedgerRow higher = with(row, [](LedgerRow& r) { r.deck = kept(6); });
  CHECK(Compared(ledger_of(issues), 2, {row}).lines() == Lines{"1001 floor returned 1"});
  CHECK(Compared(ledger_of(issues), 2, {higher}).lines() ==
        Lines{"1001 floor returned 1", "1001 deck raised 1"});
  CHECK(Compared(ledger_of(issues), 1, {row}).lines().empty());
  CHECK(Compared(ledger_of(issues), 1, {higher}).lines() == Lines{"1001 deck raised 0"});
  CHECK(Compared(ledger_of(issues), 2, {dropped(row)}).lines().empty());
  CHECK(Compared(ledger_of({{hanger("P0", 1000)}, {row}}), 1, {dropped(row)})
            .lines()
            .empty());  // came and went
}

TEST_CASE("what creeps is told against the place last told, each thing for itself") {
  const LedgerRow one = hanger("P1", 1001, 1, 2);
  LedgerRow two = one;
  shift(two, 0.0007);
  two.deck = kept(5.0007), two.cut = kept(1.4993);
  two.told.fill(1);  // nothing was told in issue 2
  LedgerRow three = two;
  shift(three, 0.0007);
  three.deck = kept(5.0014), three.cut = kept(1.4986);
  const auto lines = [&](const LedgerRow& second, std::uint32_t since) {
    return Compared(ledger_of({{one}, {second}}), since, {three}).lines();
  };
  const Lines all = {"1001 floor moved 0", "1001 deck raised 0", "1001 cut shorter 0"};
  CHECK(lines(two, 2) == all);
  CHECK(lines(two, 1) == all);
  LedgerRow told = two;
  told.told = {2, 2, 2, 2};
  CHECK(lines(told, 2).empty());
  told.told = {1, 2, 1, 2};
  CHECK(lines(told, 2) == Lines{"1001 floor moved 0"});
  told.told = {2, 1, 1, 1};
  CHECK(lines(told, 2) == Lines{"1001 deck raised 0", "1001 cut shorter 0"});
  CHECK(lines(told, 1) == all);  // as of issue 1, whatever was told later
}

TEST_CASE("a place told in an issue in which the number has no row is its own") {
  LedgerRow row = hanger("P1", 1001);
  row.told = {0, 7, 999999999, 1};
  const Ledger ledger = ledger_of({{hanger("P0", 1000)}, {row}});
  for (const What what : {What::floor, What::deck, What::bracket, What::cut})
    CHECK(told_row(ledger, 1, what) == 1);
}

TEST_CASE("a new point in the place of one that is gone is that one renamed, nearest first") {
  struct Case {
    std::string why;
    Issues issues;
    std::vector<LedgerRow> now;
    Lines want;
  };
  const LedgerRow p1 = hanger("P1", 1001, 1, 2), p2 = hanger("P2", 1002, 1.0006, 2);
  const auto fresh = [](std::uint32_t number, double x) { return hanger("Q", number, x, 2); };
  for (const Case& c : std::vector<Case>{
           {"in its place", {{p1}}, {dropped(p1), fresh(1009, 1)}, {"1009 floor renamed 0"}},
           {"1 mm away", {{p1}}, {dropped(p1), fresh(1009, 1.001)}, {"1009 floor renamed 0"}},
           {"over 1 mm away",
            {{p1}},
            {dropped(p1), fresh(1009, 1.001001)},
            {"1001 floor dropped 0", "1009 floor new"}},
           {"one of two that are gone",
            {{p1, p2}},
            {dropped(p1), dropped(p2), fresh(1009, 1.0004)},
            {"1001 floor dropped 0", "1009 floor renamed 1"}},
           {"two for one",
            {{p1}},
            {dropped(p1), fresh(1008, 1.0005), fresh(1009, 1.0001)},
            {"1008 floor new", "1009 floor renamed 0"}},
           {"two for two",
            {{p1, p2}},
            {dropped(p1), dropped(p2), fresh(1008, 1.0006), fresh(1009, 1)},
            {"1008 floor renamed 1", "1009 floor renamed 0"}},
           {"dropped long ago", {{p1, p2}, {dropped(p1)}}, {fresh(1009, 1)}, {"1009 floor renamed 2"}},
           {"dropped now before dropped long ago",
            {{p1, hanger("P2", 1002, 1, 2)}, {dropped(p1)}},
            {dropped(hanger("P2", 1002, 1, 2)), fresh(1009, 1)},
            {"1009 floor renamed 1"}},
           {"the one in its place is back",
            {{p1}, {dropped(p1)}},
            {p1, fresh(1009, 1)},
            {"1001 floor returned 1", "1009 floor new"}},
           {"the one in its place is live", {{p1}}, {fresh(1009, 1)}, {"1009 floor new"}}}) {
    CAPTURE(c.why);
    CHECK(Compared(ledger_of(c.issues), static_cast<std::uint32_t>(c.issues.size()), c.now).lines() ==
          c.want);
  }
}

TEST_CASE("the place of a renamed point is that which was told, not where it crept to") {
  const LedgerRow one = hanger("P1", 1001, 1, 2);
  LedgerRow two = hanger("P1", 1001, 1.0008, 2);
  two.told.fill(1);
  const auto lines = [&](double x) {
    return Compared(ledger_of({{one}, {two}}), 2, {dropped(two), hanger("Q", 1009, x, 2)}).lines();
  };
  CHECK(lines(0.9995) == Lines{"1009 floor renamed 0"});
  CHECK(lines(1.0015) == Lines{"1001 floor dropped 0", "1009 floor new"});
}

TEST_CASE("what an earlier version did not know is no change; what it knew is") {
  const LedgerRow row = hanger("P1", 1001, 1, 2);
  const Issues before = {{from_before(row)}};
  CHECK(Compared(ledger_of(before), 1, {row}).lines().empty());
  LedgerRow moved = row;
  shift(moved, 0.1);
  const Compared compared(ledger_of(before), 1, {moved});
  CHECK(compared.lines() == Lines{"1001 floor moved 0"});
  CHECK(compared.by().old_elevation.is_none());
  // From then on the heights count as told.
  CHECK(Compared(ledger_of(before), 1, {row}).told(2) == std::vector<ToldIn>{{1, 2, 2, 2}});
}

TEST_CASE("by which issue each row was told") {
  const LedgerRow p1 = hanger("P1", 1001), p2 = hanger("P2", 1002, 5), p3 = hanger("P3", 1003, 10),
                  p4 = hanger("P4", 1004, 15);
  LedgerRow crept = p2;
  crept.told = {1, 2, 1, 3};
  shift(crept, 0.0001);
  LedgerRow moved = p1, again = crept;
  shift(moved, 1);
  again.cut = kept(9), again.run = "R1";
  const Compared compared(ledger_of({{p1, p2, p3, p4}, {hanger("P2", 1002, 5)}, {crept}}), 3,
                          {moved, again, dropped(p3), with(p4, [](LedgerRow& r) { r.deck = kept(5.5); }),
                           hanger("P5", 1005, 20)});
  CHECK(compared.told(4) ==
        std::vector<ToldIn>{{4, 1, 1, 1}, {1, 2, 1, 4}, {4, 1, 1, 1}, {1, 4, 1, 1}, {4, 4, 4, 4}});
}

TEST_CASE("numbers with a row after an issue, as they stood then") {
  const Ledger ledger = ledger_of({{hanger("P1", 1001), hanger("P2", 1002), hanger("P3", 1003)},
                                   {hanger("P2", 1002, 1), hanger("P4", 1004)},
                                   {dropped(hanger("P1", 1001)), hanger("P2", 1002, 2)}});
  const auto since = [&](std::uint32_t issue) {
    std::vector<std::array<std::uint32_t, 3>> out;
    for (const Candidate& c : candidates_since(ledger, issue)) out.push_back({c.number, c.before, c.now});
    return out;
  };
  using Rows = std::vector<std::array<std::uint32_t, 3>>;
  CHECK(since(3) == Rows{});
  CHECK(since(4) == Rows{});
  CHECK(since(2) == Rows{{1001, 0, 5}, {1002, 3, 6}});
  CHECK(since(1) == Rows{{1001, 0, 5}, {1002, 1, 6}, {1004, kNone32, 4}});
  CHECK(since(0).size() == 4);
  CHECK(candidates_since(Ledger(), 0).empty());
}

TEST_CASE("what a change says: how far, where it was, how high it was") {
  const LedgerRow row = hanger("P1", 1001, 1, 2);
  const auto by = [&](const Change1& change) {
    return Compared(ledger_of({{row}}), 1, {with(row, change)}).by();
  };
  struct Case {
    std::string why;
    Change1 change;
    std::optional<double> up, old_elevation;
    bool has_place;
  };
  const auto none = Kept::none();
  for (const Case& c : std::vector<Case>{
           {"moved", [](LedgerRow& r) { shift(r, 0.3, -0.4), r.floor = kept(2); }, {}, 1.0, true},
           {"refit",
            [](LedgerRow& r) {
              r.site = {kept(102.3), kept(201.4)};
            },
            {},
            1.0,
            true},
           {"dropped", [](LedgerRow& r) { r.live = false; }, {}, 1.0, true},
           {"renamed", [](LedgerRow& r) { r.point = "Q"; }, {}, 1.0, true},
           {"raised", [](LedgerRow& r) { r.deck = kept(5.25); }, 0.25, 5.0, true},
           {"lowered", [](LedgerRow& r) { r.attach = kept(3); }, -0.5, 3.5, true},
           {"gone", [none](LedgerRow& r) { r.deck = none; }, {}, 5.0, true},
           {"longer", [](LedgerRow& r) { r.cut = kept(1.75); }, 0.25, {}, false},
           {"cut gone", [none](LedgerRow& r) { r.cut = none; }, {}, {}, false}}) {
    CAPTURE(c.why);
    const ChangeBy found = by(c.change);
    CHECK(found.moved.has_value() == (c.why == "moved"));
    CHECK(found.refit.has_value() == (c.why == "refit"));
    REQUIRE(found.up.has_value() == c.up.has_value());
    if (c.up) CHECK(found.up->metres() == doctest::Approx(*c.up));
    REQUIRE(found.old_place.has_value() == c.has_place);
    if (c.has_place) CHECK(*found.old_place == row.site);
    CHECK(found.old_elevation == (c.old_elevation ? kept(*c.old_elevation) : none));
  }
  const ChangeBy moved = by([](LedgerRow& r) { shift(r, 0.3, -0.4); });
  CHECK(moved.moved->by.x.metres() == doctest::Approx(0.3));
  CHECK(moved.moved->by.y.metres() == doctest::Approx(-0.4));
  const ChangeBy refit = by([](LedgerRow& r) { r.site = {kept(102.3), kept(201.4)}; });
  CHECK(refit.refit->by.northing.metres() == doctest::Approx(0.3));
  CHECK(refit.refit->by.easting.metres() == doctest::Approx(0.4));

  const LedgerRow bare = with(row, [none](LedgerRow& r) { r.deck = none; });
  for (const Compared& c : {Compared(ledger_of({{bare}}), 1, {row}), Compared(Ledger(), 0, {row})}) {
    const ChangeBy found = c.by();
    CHECK_FALSE(found.moved.has_value());
    CHECK_FALSE(found.up.has_value());
    CHECK_FALSE(found.old_place.has_value());
    CHECK(found.old_elevation.is_none());
  }
}

TEST_CASE("the words of changes") {
  CHECK(change_word(Change::fresh) == "new");
  CHECK(change_word(Change::refit) == "refit");
  CHECK(change_word(Change::shorter) == "shorter");
  CHECK(change_word(Change::passed) == "passed");
}

// Whoever keeps to the changes from issue to issue stands nowhere over 1 mm off, and is told of nothing else.
TEST_CASE("a mark that follows what is told never lies over 1 mm from where it is handed out") {
  std::mt19937 random(1);
  const auto creep = [&random] { return (static_cast<double>(random() % 1401) - 700) * kMicrometre; };
  std::vector<LedgerRow> now;
  for (std::uint32_t i = 0; i < 5; ++i) now.push_back(hanger("P", 1001 + i, 10.0 * i));
  Issues issues;
  std::map<std::pair<std::uint32_t, What>, LedgerRow> held;
  std::size_t told = 0;
  for (std::uint32_t issue = 1; issue <= 40; ++issue) {
    for (LedgerRow& r : now) {
      shift(r, creep(), creep());
      r.deck = kept(r.deck.metres() + creep()), r.cut = kept(r.cut.metres() + creep());
    }
    const Compared compared(issues.empty() ? Ledger() : ledger_of(issues), issue - 1, now);
    for (const ChangeRow& c : compared.changes()) {
      const LedgerRow& row = now[c.now];
      if (c.change == Change::fresh)
        for (const What what : {What::floor, What::deck, What::cut}) held[{c.number, what}] = row;
      else
        ++told;
      held[{c.number, c.what}] = row;
    }
    for (const LedgerRow& r : now) {
      REQUIRE_FALSE(is_told(r.drawing, held.at({r.number, What::floor}).drawing));
      REQUIRE_FALSE(is_told(r.deck, held.at({r.number, What::deck}).deck));
      REQUIRE_FALSE(is_told(r.cut, held.at({r.number, What::cut}).cut));
    }
    const std::vector<ToldIn> in = compared.told(issue);
    for (std::size_t i = 0; i < now.size(); ++i) now[i].told = in[i];
    issues.push_back(now);
  }
  CHECK(told > 40);
  CHECK(told < 400);
}
