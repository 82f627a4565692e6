#include "marks/ledger.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>

using namespace deckmark;

namespace {

struct Spec {
  std::string name;
  double x, y;
  std::string kind = "";
};

Point<Drawing> at(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }
Point<Site> site(double n, double e) {
  return {{.northing = Length::metres(n), .easting = Length::metres(e)}};
}

/// A drawing, its site places (E = x + shift, N = y), and what an issue makes of it.
struct Drawn {
  MarkTable marks;
  std::vector<Point<Site>> places;
  explicit Drawn(const std::vector<Spec>& specs, double shift = 0) {
    for (const Spec& s : specs) {
      const std::size_t i = marks.size();
      marks.names.push_back(s.name);
      marks.places.push_back(at(s.x, s.y));
      marks.begins.push_back(0);
      if (!s.kind.empty()) marks.kinds.put(i, s.kind);
      places.push_back(site(s.y, s.x + shift));
    }
  }
  IssueResult issue(const LedgerTable& ledger, const NumberOptions& options = {},
                    bool has_deck = true) const {
    const NameIndex index(marks.names);
    return issue_numbers(marks, places, ledger, join_ledger(marks, index, ledger), options, has_deck);
  }
};

/// The ledger that the issue leaves, as the program writes it.
LedgerTable after(const Drawn& d, const IssueResult& r, const LedgerTable& before,
                  std::int64_t offset = 5000) {
  LedgerTable out;
  const auto add = [&](std::string_view name, std::uint32_t number, bool live, const Point<Drawing>& p,
                       const Point<Site>& s) {
    out.names.push_back(name);
    out.numbers.push_back(number);
    out.live.push_back(live ? 1 : 0);
    out.places.push_back(p);
    out.site_places.push_back(s);
    out.begins.push_back(0);
  };
  for (std::size_t m = 0; m < d.marks.size(); ++m)
    add(d.marks.names[m], r.numbers[m], true, d.marks.places[m], d.places[m]);
  const NameIndex index(d.marks.names);
  for (const std::uint32_t e : join_ledger(d.marks, index, before).unmatched)
    add(before.names[e], before.numbers[e], false, before.places[e], before.site_places[e]);
  out.deck_offset = offset;
  return out;
}

std::vector<Spec> row_of(int n) {
  std::vector<Spec> specs;
  for (int i = 0; i < n; ++i) specs.push_back({"P" + std::to_string(i + 1), i * 1.2, 3.0});
  return specs;
}

}  // namespace

TEST_CASE("on the first issue every point is new and numbers run from start by step") {
  const Drawn d(row_of(4));
  const IssueResult r = d.issue({}, {100, 10, 5000});
  CHECK(r.status == IssueStatus::issued);
  CHECK(std::vector<std::uint32_t>(r.numbers.begin(), r.numbers.end()) ==
        std::vector<std::uint32_t>{100, 110, 120, 130});
  REQUIRE(r.changes.size() == 4);
  for (const ChangeRow& c : r.changes) CHECK(c.change == Change::fresh);
}

TEST_CASE("numbers survive reordering, dropping, coming back and renaming") {
  const Drawn first(row_of(6));
  const LedgerTable one = after(first, first.issue({}), {});

  std::vector<Spec> specs = row_of(6);
  std::reverse(specs.begin(), specs.end());
  const Drawn reordered(specs);
  const IssueResult r = reordered.issue(one);
  CHECK(r.changes.empty());
  CHECK(std::vector<std::uint32_t>(r.numbers.begin(), r.numbers.end()) ==
        std::vector<std::uint32_t>{1006, 1005, 1004, 1003, 1002, 1001});

  specs = row_of(6);
  specs.erase(specs.begin() + 2);  // P3 goes
  const Drawn dropped(specs);
  const IssueResult gone = dropped.issue(one);
  REQUIRE(gone.changes.size() == 1);
  CHECK(gone.changes[0].change == Change::dropped);
  CHECK(gone.changes[0].number == 1003);
  const LedgerTable two = after(dropped, gone, one);

  specs.push_back({"P7", 30, 3});  // a new point never takes the dropped number
  const Drawn grown(specs);
  const IssueResult added = grown.issue(two);
  CHECK(added.numbers.back() == 1007);
  const LedgerTable three = after(grown, added, two);

  specs.push_back({"p3", 2.4, 3.0});  // back under its name, in another letter case
  const Drawn back(specs);
  const IssueResult returned = back.issue(three);
  CHECK(returned.numbers.back() == 1003);
  REQUIRE(returned.changes.size() == 1);
  CHECK(returned.changes[0].change == Change::returned);

  specs = row_of(6);
  specs[1].name = "R2";  // P2 renamed in place
  const Drawn renamed(specs);
  const IssueResult moved = renamed.issue(one);
  REQUIRE(moved.changes.size() == 1);  // no dropped row for P2
  CHECK(moved.changes[0].change == Change::renamed);
  CHECK(moved.changes[0].number == 1007);
  CHECK(one.numbers[moved.changes[0].entry] == 1002);
}

TEST_CASE("a move is told from over 1 mm, a refit where only the site moved") {
  const Drawn first(row_of(3));
  const LedgerTable ledger = after(first, first.issue({}), {});
  std::vector<Spec> specs = row_of(3);
  specs[0].x += 0.0009;
  specs[1].y += 0.0011;
  const IssueResult r = Drawn(specs).issue(ledger);
  REQUIRE(r.changes.size() == 1);
  CHECK(r.changes[0].number == 1002);
  CHECK(r.changes[0].change == Change::moved);
  CHECK(r.changes[0].moved->by.y.millimetres() == doctest::Approx(1.1));

  const IssueResult refit = Drawn(row_of(3), 0.002).issue(ledger);
  REQUIRE(refit.changes.size() == 3);
  for (const ChangeRow& c : refit.changes) CHECK(c.change == Change::refit);
}

TEST_CASE("deck and floor numbers never meet, and the smallest offset that works is told") {
  NumberOptions options{1, 1, 5};
  const Drawn d(row_of(9));
  const IssueResult r = d.issue({}, options);
  CHECK(r.status == IssueStatus::numbers_meet);
  CHECK(r.smallest_offset == 9);
  options.deck_offset = 9;
  CHECK(d.issue({}, options).status == IssueStatus::issued);
  options.deck_offset = 5;
  CHECK(d.issue({}, options, false).status == IssueStatus::issued);  // no deck, no deck numbers

  // Even numbers only: an odd offset keeps apart what 8 would bring together.
  const IssueResult even = Drawn(row_of(9)).issue({}, {2, 2, 8});
  CHECK(even.status == IssueStatus::numbers_meet);
  CHECK(even.smallest_offset == 1);

  // A reference point has no deck number, so nothing meets its floor number plus the offset.
  std::vector<Spec> specs = row_of(2);
  specs[0].kind = "reference";
  CHECK(Drawn(specs).issue({}, {1, 1, 1}).status == IssueStatus::issued);
}

TEST_CASE("the smallest offset agrees with trying every offset") {
  std::mt19937 random(1);
  for (int round = 0; round < 200; ++round) {
    LedgerTable ledger;
    std::vector<Spec> specs;
    std::vector<std::int64_t> numbers;
    for (int i = 0; i < 12; ++i) {
      const auto n = static_cast<std::uint32_t>(random() % 40 + 1);
      if (std::find(numbers.begin(), numbers.end(), n) != numbers.end()) continue;
      numbers.push_back(n);
      specs.push_back({"P" + std::to_string(n), n * 1.0, 0});
      ledger.names.push_back(specs.back().name);
      ledger.numbers.push_back(n);
      ledger.live.push_back(1);
      ledger.places.push_back(at(n, 0));
      ledger.site_places.push_back(site(0, n));
      ledger.begins.push_back(0);
    }
    std::int64_t want = 1;
    const auto meets = [&](std::int64_t o) {
      return std::any_of(numbers.begin(), numbers.end(), [&](std::int64_t n) {
        return std::find(numbers.begin(), numbers.end(), n + o) != numbers.end();
      });
    };
    while (meets(want)) ++want;
    const IssueResult r = Drawn(specs).issue(ledger, {1, 1, 1});
    if (meets(1))
      CHECK(r.smallest_offset == want);
    else
      CHECK(r.status == IssueStatus::issued);
  }
}

TEST_CASE(
    "an offset under which deck numbers were issued may not change; one that never could have does not "
    "bind") {
  const Drawn d(row_of(3));
  const LedgerTable issued = after(d, d.issue({}), {});
  CHECK(d.issue(issued, {1001, 1, 6000}).status == IssueStatus::offset_changed);
  const LedgerTable never = after(d, d.issue({}, {1001, 1, 2}, false), {}, 2);  // 1001 + 2 is a floor number
  CHECK(d.issue(never, {1001, 1, 6000}).status == IssueStatus::issued);
}

TEST_CASE("a ledger that holds a name or a number twice is found out") {
  const Drawn d(row_of(3));
  LedgerTable ledger = after(d, d.issue({}), {});
  ledger.append(after(d, d.issue({}), {}));
  const NameIndex index(d.marks.names);
  const LedgerJoin join = join_ledger(d.marks, index, ledger);
  CHECK(join.same_names.size() == 3);
  CHECK(join.same_numbers.size() == 3);
}
