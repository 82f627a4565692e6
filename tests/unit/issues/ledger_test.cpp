#include "issues/ledger.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "unit/issues/plain_ledger.h"

using namespace plain;

namespace {

using Pairs = std::vector<std::pair<std::uint32_t, std::uint32_t>>;

/// Three issues: 1001, 1002 moved twice, 1003, 1004 from issue 2 on, 1001 dropped in issue 3.
Ledger history() {
  return ledger_of({{hanger("P1", 1001), hanger("P2", 1002), hanger("P3", 1003)},
                    {hanger("P2", 1002, 1), hanger("P4", 1004)},
                    {dropped(hanger("P1", 1001)), hanger("P2", 1002, 2)}});
}

/// Equal in all that a row of a file has.
bool is_same(const LedgerRow& a, const LedgerRow& b) {
  return a.hands_out_as(b) && a.number == b.number && a.revision == b.revision && a.told == b.told;
}

}  // namespace

TEST_CASE("the last row of a number is its state, and its rows before are found issue by issue") {
  const Ledger ledger = history();
  REQUIRE(ledger.numbers() == 4);
  const std::uint32_t latest[] = {5, 6, 2, 4};
  for (std::size_t i = 0; i < 4; ++i) CHECK(ledger.latest(i) == latest[i]);
  CHECK(ledger.highest() == 1004);
  CHECK(ledger.last_issue() == 3);
  CHECK(ledger.first_row(2) == 3);
  CHECK(ledger.first_row(4) == 7);
  struct Row {
    std::uint32_t number, issue, row, as_of, in_issue;
  };
  constexpr std::uint32_t none = kNone32;
  for (const Row& r :
       {Row{1001, 0, 5, none, none}, Row{1001, 1, 5, 0, 0}, Row{1001, 2, 5, 0, none}, Row{1001, 3, 5, 5, 5},
        Row{1002, 1, 6, 1, 1}, Row{1002, 2, 6, 3, 3}, Row{1002, 3, 6, 6, 6}, Row{1003, 1, 2, 2, 2},
        Row{1003, 3, 2, 2, none}, Row{1004, 1, 4, none, none}, Row{1004, 2, 4, 4, 4},
        Row{1000, 0, none, 0, 0}, Row{1005, 0, none, 0, 0}}) {
    CAPTURE(r.number);
    CAPTURE(r.issue);
    REQUIRE(ledger.find(r.number) == r.row);
    if (r.row == none) continue;
    CHECK(ledger.as_of(r.row, r.issue) == r.as_of);
    CHECK(ledger.in_issue(r.row, r.issue) == r.in_issue);
  }
  CHECK(ledger.as_of(3, 1) == 1);  // from a row in the middle of a history too
  CHECK(ledger.row(3).issue == 2);
  CHECK(ledger.row(3).drawing.x == kept(1));
}

TEST_CASE("rows of an issue that is not there yet are none") {
  const Ledger ledger = history();
  CHECK(ledger.in_issue(6, 4) == kNone32);
  CHECK(ledger.in_issue(6, 999999999) == kNone32);
}

TEST_CASE("nothing was handed out yet") {
  for (const Ledger& ledger : {Ledger(), Ledger({}, {})}) {
    CHECK(ledger.numbers() == 0);
    CHECK(ledger.last_issue() == 0);
    CHECK(ledger.find(1001) == kNone32);
    CHECK(ledger.highest() == 0);
    CHECK(ledger.same_numbers().empty());
  }
}

TEST_CASE("rows of an earlier version in any order, and issues without rows") {
  const Ledger ledger =
      ledger_of({{hanger("P3", 30), hanger("P1", 10), hanger("P2", 20)}, {}, {hanger("P1", 10, 1)}});
  REQUIRE(ledger.numbers() == 3);
  CHECK(ledger.latest(0) == 3);
  CHECK(ledger.latest(1) == 2);
  CHECK(ledger.latest(2) == 0);
  CHECK(ledger.before(3) == 1);
  CHECK(ledger.issue_of(2) == 1);
  CHECK(ledger.issue_of(3) == 3);
  CHECK(ledger.find(20) == 2);

  const Ledger late = ledger_of({{}, {hanger("P2", 2), hanger("P1", 1)}});
  REQUIRE(late.numbers() == 2);
  CHECK(late.find(1) == 1);
  CHECK(late.issue_of(0) == 2);
}

TEST_CASE("a number twice is told within one issue alone") {
  struct Case {
    std::string why;
    std::vector<std::vector<std::uint32_t>> issues;
    Pairs want;
  };
  for (const Case& c : {Case{"once each", {{1, 2}, {3}}, {}}, Case{"over issues", {{1, 2}, {2}, {1, 2}}, {}},
                        Case{"neighbours", {{1, 1}}, {{0, 1}}}, Case{"apart", {{1, 2, 1}}, {{0, 2}}},
                        Case{"three times", {{5}, {7, 7, 7}}, {{1, 2}, {2, 3}}},
                        Case{"in two issues", {{1, 1}, {1, 1}}, {{0, 1}, {2, 3}}}}) {
    CAPTURE(c.why);
    std::vector<std::vector<LedgerRow>> issues;
    for (const auto& numbers : c.issues) {
      issues.emplace_back();
      for (const std::uint32_t n : numbers) issues.back().push_back(hanger("P", n));
    }
    CHECK(ledger_of(issues).same_numbers() == c.want);
  }
}

TEST_CASE("a ledger that grows by any rows agrees with a look at all of them") {
  std::mt19937 random(1);
  std::vector<std::vector<LedgerRow>> issues;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> all;  // number, issue
  for (std::uint32_t issue = 1; issue <= 12; ++issue) {
    std::vector<std::uint32_t> numbers;
    for (std::uint32_t n = 1; n <= 30; ++n)
      if (random() % 4 == 0) numbers.push_back(n);
    if (issue % 3 == 1) std::shuffle(numbers.begin(), numbers.end(), random);
    issues.emplace_back();
    for (const std::uint32_t n : numbers) {
      issues.back().push_back(hanger("P", n));
      all.emplace_back(n, issue);
    }
    const Ledger ledger = ledger_of(issues);
    const auto last = [&](std::uint32_t number, std::uint32_t up_to) {
      std::uint32_t out = kNone32;
      for (std::uint32_t r = 0; r < all.size(); ++r)
        if (all[r].first == number && all[r].second <= up_to) out = r;
      return out;
    };
    std::size_t i = 0;
    for (std::uint32_t n = 0; n <= 31; ++n) {
      const std::uint32_t row = last(n, issue);
      REQUIRE(ledger.find(n) == row);
      if (row == kNone32) continue;
      REQUIRE(ledger.latest(i++) == row);
      for (std::uint32_t at = 0; at <= issue; ++at) {
        const std::uint32_t then = last(n, at);
        REQUIRE(ledger.as_of(row, at) == then);
        REQUIRE(ledger.in_issue(row, at) == (then != kNone32 && all[then].second == at ? then : kNone32));
      }
      REQUIRE(ledger.before(row) == last(n, all[row].second - 1));
    }
    CHECK(ledger.numbers() == i);
  }
}

TEST_CASE("what is handed out with a row: all but its issue, its revision and by what it was told") {
  const LedgerRow row = hanger("P1", 1001);
  struct Case {
    std::string what;
    void (*change)(LedgerRow&);
    bool same;
  };
  for (const Case& c : {Case{"issue", [](LedgerRow& r) { r.issue = 9; }, true},
                        Case{"revision", [](LedgerRow& r) { r.revision = "B"; }, true},
                        Case{"told", [](LedgerRow& r) { r.told.fill(9); }, true},
                        Case{"point", [](LedgerRow& r) { r.point = "p1"; }, false},
                        Case{"live", [](LedgerRow& r) { r.live = false; }, false},
                        Case{"x", [](LedgerRow& r) { r.drawing.x = kept(0.000001); }, false},
                        Case{"y", [](LedgerRow& r) { r.drawing.y = kept(0.000001); }, false},
                        Case{"northing", [](LedgerRow& r) { r.site.northing = kept(99.999999); }, false},
                        Case{"easting", [](LedgerRow& r) { r.site.easting = kept(200.000001); }, false},
                        Case{"offset", [](LedgerRow& r) { r.deck_offset = 1; }, false},
                        Case{"floor", [](LedgerRow& r) { r.floor = kept(2); }, false},
                        Case{"bracket", [](LedgerRow& r) { r.attach = kept(2); }, false},
                        Case{"deck", [](LedgerRow& r) { r.deck = Kept::none(); }, false},
                        Case{"cut", [](LedgerRow& r) { r.cut = kept(2); }, false},
                        Case{"kind", [](LedgerRow& r) { r.kind = "support"; }, false},
                        Case{"run", [](LedgerRow& r) { r.run = "R1"; }, false},
                        Case{"crew", [](LedgerRow& r) { r.crew = "north"; }, false}}) {
    CAPTURE(c.what);
    LedgerRow other = row;
    c.change(other);
    CHECK(row.hands_out_as(other) == c.same);
    CHECK(other.hands_out_as(row) == c.same);
  }
}

TEST_CASE("rows that were read in two parts are the same as read in one, wherever they were parted") {
  std::vector<LedgerRow> rows;
  for (std::uint32_t i = 0; i < 6; ++i) rows.push_back(hanger(i % 2 ? "P" : "Q", 1001 + i, i, 2 * i));
  rows[0] = without_deck(rows[0]);
  rows[1].told = {1, 2, 3, 4};
  rows[2].revision = "B", rows[2].attach = Kept::none();
  rows[3] = from_before(rows[3]), rows[3].deck_offset = 7;
  rows[4] = without_deck(dropped(rows[4]));
  rows[4].run = "R1", rows[4].crew = "north";
  rows[5].run = "R2", rows[5].floor = kept(2);
  for (std::size_t cut = 0; cut <= rows.size(); ++cut) {
    CAPTURE(cut);
    LedgerRows parts[2];
    for (std::size_t i = 0; i < rows.size(); ++i)
      parts[i < cut ? 0 : 1].add(rows[i], static_cast<std::uint32_t>(10 * i));
    parts[0].append(std::move(parts[1]));
    REQUIRE(parts[0].size() == rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      CAPTURE(i);
      CHECK(is_same(parts[0].at(i), rows[i]));
      CHECK(parts[0].begin(i) == 10 * i);
      CHECK(parts[0].deck_offset(i) == rows[i].deck_offset);
      CHECK(parts[0].has_deck(i) == !rows[i].deck.is_none());
    }
  }
}
