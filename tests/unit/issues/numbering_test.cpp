#include "issues/numbering.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "unit/issues/plain_ledger.h"

using namespace plain;

namespace {

struct Spec {
  std::string name, was = {}, kind = {};
};
using Issues = std::vector<std::vector<LedgerRow>>;
using Numbers1 = std::vector<std::uint32_t>;

/// A drawing; a copy of its names stays with it.
struct Drawn {
  MarkTable marks;
  explicit Drawn(const std::vector<Spec>& specs) {
    for (const Spec& s : specs) {
      const std::size_t i = marks.size();
      marks.names.push_back(s.name);
      marks.places.push_back({{.x = Length::metres(static_cast<double>(i)), .y = Length::metres(0)}});
      marks.begins.push_back(0);
      if (!s.was.empty()) marks.was.put(i, s.was);
      if (!s.kind.empty()) marks.kinds.put(i, s.kind);
    }
  }
  LedgerJoin join(const Ledger& ledger) const { return join_ledger(marks, NameIndex(marks.names), ledger); }
  IssueResult issue(const Ledger& ledger, const NumberOptions& options = {}, bool has_deck = true) const {
    return issue_numbers(marks, ledger, join(ledger), options, has_deck);
  }
  Numbers1 numbers(const Ledger& ledger) const {
    const auto numbers = issue(ledger).numbers;
    return {numbers.begin(), numbers.end()};
  }
};

std::vector<Spec> row_of(int n) {
  std::vector<Spec> specs;
  for (int i = 0; i < n; ++i) specs.push_back({"P" + std::to_string(i + 1)});
  return specs;
}

/// The ledger after one more issue, in which every number that is or was live has a row.
Ledger grown(const Ledger& before, const Drawn& d) {
  const LedgerJoin join = d.join(before);
  const IssueResult issue = issue_numbers(d.marks, before, join, {}, true);
  REQUIRE(issue.status == IssueStatus::issued);
  Issues issues(before.last_issue() + 1);
  for (std::uint32_t r = 0; r < before.rows(); ++r) issues[before.issue_of(r) - 1].push_back(before.row(r));
  for (std::size_t m = 0; m < d.marks.size(); ++m)
    issues.back().push_back(hanger(d.marks.names[m], issue.numbers[m]));
  for (const std::uint32_t row : join.unmatched)
    if (before.columns().is_live(row)) issues.back().push_back(dropped(before.row(row)));
  return ledger_of(issues);
}

}  // namespace

TEST_CASE("on the first issue numbers run from start by step") {
  const IssueResult r = Drawn(row_of(4)).issue({}, {100, 10, 5000});
  CHECK(r.status == IssueStatus::issued);
  CHECK(Numbers1(r.numbers.begin(), r.numbers.end()) == Numbers1{100, 110, 120, 130});
}

TEST_CASE("new numbers go on by step above all that were ever given, dropped ones too") {
  struct Case {
    std::uint32_t highest;
    std::int64_t start, want;
  };
  for (const Case& c : {Case{50, 100, 100}, Case{99, 100, 100}, Case{100, 100, 110}, Case{101, 100, 110},
                        Case{109, 100, 110}, Case{110, 100, 120}}) {
    CAPTURE(c.highest);
    const Ledger ledger = ledger_of({{without_deck(dropped(hanger("Gone", c.highest)))}});
    CHECK(Drawn(row_of(1)).issue(ledger, {c.start, 10, 5000}).numbers[0] == c.want);
  }
}

TEST_CASE("numbers survive reordering, dropping, coming back and another issue") {
  const Ledger one = grown({}, Drawn(row_of(6)));
  std::vector<Spec> specs = row_of(6);
  std::reverse(specs.begin(), specs.end());
  CHECK(Drawn(specs).numbers(one) == Numbers1{1006, 1005, 1004, 1003, 1002, 1001});

  specs = row_of(6);
  specs.erase(specs.begin() + 2);  // P3 goes
  const Drawn without(specs);
  const LedgerJoin join = without.join(one);
  REQUIRE(join.unmatched.size() == 1);
  CHECK(one.row(join.unmatched[0]).number == 1003);
  const Ledger two = grown(one, without);

  specs.push_back({"P7"});  // a new point never takes the dropped number
  const Drawn more(specs);
  CHECK(more.numbers(two).back() == 1007);
  const Ledger three = grown(two, more);

  specs.push_back({"p3"});  // back under its name, in another letter case
  CHECK(Drawn(specs).numbers(three) == Numbers1{1001, 1002, 1004, 1005, 1006, 1007, 1003});
}

TEST_CASE("of two numbers that had one name the live one counts, else the later") {
  struct Case {
    std::string why;
    LedgerRow first, later;
    std::uint32_t want;
  };
  const LedgerRow one = hanger("A", 1), two = hanger("a", 2);
  for (const Case& c :
       {Case{"the later is live", dropped(one), two, 2}, Case{"the first is live", one, dropped(two), 1},
        Case{"none is live", dropped(one), dropped(two), 2}}) {
    CAPTURE(c.why);
    const Ledger ledger = ledger_of({{c.first}, {c.later}});
    const Drawn d({{"A"}});
    CHECK(d.numbers(ledger) == Numbers1{c.want});
    const LedgerJoin join = d.join(ledger);
    CHECK(join.same_names.empty());
    REQUIRE(join.unmatched.size() == 1);
    CHECK(ledger.row(join.unmatched[0]).number == 3 - c.want);
  }
}

TEST_CASE("a name twice in one issue is found, whether or not a mark has it") {
  const Ledger ledger = ledger_of({{hanger("A", 1), hanger("Gone", 2), hanger("a", 3), hanger("GONE", 4)}});
  const auto same = Drawn({{"A"}}).join(ledger).same_names;
  using Pairs = std::vector<std::pair<std::uint32_t, std::uint32_t>>;
  CHECK(same == Pairs{{0, 2}, {1, 3}});

  // One that is dropped where its name is given on stands beside the other, but on the first issue.
  const std::vector<LedgerRow> rows = {hanger("A", 1), hanger("Gone", 2),
                                       from_before(dropped(hanger("A", 3))), dropped(hanger("GONE", 4))};
  CHECK(Drawn({{"A"}}).join(ledger_of({rows})).same_names == Pairs{{0, 2}, {1, 3}});
  CHECK(Drawn({{"A"}}).join(ledger_of({{}, rows})).same_names.empty());
}

TEST_CASE("a point that says which name it had keeps that number") {
  using Fault = FormerName::Fault;
  struct Case {
    std::string why;
    std::vector<Spec> specs;
    Numbers1 want;                         // from 4 on: new
    std::vector<std::uint32_t> unmatched;  // numbers
    std::vector<std::tuple<Fault, std::uint32_t, std::uint32_t>> faults = {};
  };
  // A 1, B 2, C 3, D dropped 9
  const Ledger ledger = ledger_of(
      {{hanger("A", 1), hanger("B", 2), hanger("C", 3), hanger("D", 9)}, {dropped(hanger("D", 9))}});
  const std::uint32_t next = 1001;
  for (const Case& c : std::vector<Case>{
           {"a new name", {{"X", "A"}, {"B"}, {"C"}}, {1, 2, 3}, {9}},
           {"in another case", {{"X", "a"}}, {1}, {2, 3, 9}},
           {"one that is dropped", {{"A"}, {"B"}, {"C"}, {"X", "D"}}, {1, 2, 3, 9}, {}},
           {"its own name", {{"A", "a"}, {"B"}, {"C"}}, {1, 2, 3}, {9}},
           {"a chain", {{"B", "A"}, {"C", "B"}}, {1, 2}, {3, 9}},
           {"a chain the other way round", {{"C", "B"}, {"B", "A"}}, {2, 1}, {3, 9}},
           {"an exchange", {{"A", "B"}, {"B", "A"}, {"C"}}, {2, 1, 3}, {9}},
           {"a ring", {{"A", "B"}, {"B", "C"}, {"C", "A"}}, {2, 3, 1}, {9}},
           {"a name that another has", {{"A"}, {"X", "A"}}, {1, next}, {2, 3, 9}, {{Fault::taken, 1, 0}}},
           {"a name that two say they had",
            {{"X", "A"}, {"Y", "A"}},
            {1, next},
            {2, 3, 9},
            {{Fault::taken, 1, 0}}},
           {"a name that nobody had",
            {{"X", "Z"}, {"B"}},
            {next, 2},
            {1, 3, 9},
            {{Fault::unknown, 0, kNone32}}},
           // Else the next run would find the name taken.
           {"a name that a new point has",
            {{"Z"}, {"X", "z"}},
            {next, next + 1},
            {1, 2, 3, 9},
            {{Fault::taken, 1, 0}}},
           {"a name that another gets now",
            {{"Q", "A"}, {"X", "Q"}},
            {1, next},
            {2, 3, 9},
            {{Fault::taken, 1, 0}}},
           {"its own number is freed", {{"B", "A"}}, {1}, {2, 3, 9}}}) {
    CAPTURE(c.why);
    const Drawn d(c.specs);
    CHECK(d.numbers(ledger) == c.want);
    const LedgerJoin join = d.join(ledger);
    std::vector<std::uint32_t> unmatched;
    for (const std::uint32_t row : join.unmatched) unmatched.push_back(ledger.row(row).number);
    std::sort(unmatched.begin(), unmatched.end());
    CHECK(unmatched == c.unmatched);
    REQUIRE(join.former.size() == c.faults.size());
    for (std::size_t i = 0; i < c.faults.size(); ++i)
      CHECK(std::tuple(join.former[i].fault, join.former[i].mark, join.former[i].other) == c.faults[i]);
  }
}

TEST_CASE("a former name that was followed once is not followed again") {
  for (const std::vector<Spec>& specs :
       {std::vector<Spec>{{"A", "B"}, {"B", "A"}, {"C"}}, std::vector<Spec>{{"B", "A"}, {"C", "B"}},
        std::vector<Spec>{{"X", "A"}, {"B"}, {"C"}}}) {
    const Drawn d(specs);
    Ledger ledger = grown({}, Drawn({{"A"}, {"B"}, {"C"}}));
    const Numbers1 want = d.numbers(ledger);
    for (int issue = 2; issue <= 4; ++issue) {
      ledger = grown(ledger, d);
      CAPTURE(issue);
      CHECK(d.numbers(ledger) == want);
      CHECK(d.join(ledger).former.empty());
      CHECK(
          d.join(ledger).same_names.empty());  // a number may be dropped in the issue that gives its name on
    }
  }
}

TEST_CASE("deck and floor numbers never meet, and the smallest offset that works is told") {
  NumberOptions options{1, 1, 5};
  const Drawn d(row_of(9));
  const IssueResult r = d.issue({}, options);
  CHECK(r.status == IssueStatus::numbers_meet);
  CHECK(r.met_floor == 1);
  CHECK(r.met_number == 6);
  CHECK(r.smallest_offset == 9);
  CHECK(r.roomy_offset == 5000);
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

  // The deck number of a point that was dropped stays its own.
  const Ledger gone = ledger_of({{dropped(hanger("Gone", 1))}});
  CHECK(d.issue(gone, {5001, 1, 5000}).status == IssueStatus::numbers_meet);
}

TEST_CASE("the smallest offset agrees with trying every offset") {
  std::mt19937 random(1);
  for (int round = 0; round < 200; ++round) {
    std::vector<LedgerRow> rows;
    std::vector<Spec> specs;
    std::vector<std::int64_t> numbers;
    for (int i = 0; i < 12; ++i) {
      const auto n = static_cast<std::uint32_t>(random() % 40 + 1);
      if (std::find(numbers.begin(), numbers.end(), n) != numbers.end()) continue;
      numbers.push_back(n);
      specs.push_back({"P" + std::to_string(n)});
    }
    for (std::size_t i = 0; i < specs.size(); ++i)
      rows.push_back(without_deck(hanger(specs[i].name, static_cast<std::uint32_t>(numbers[i]))));
    std::int64_t want = 1;
    const auto meets = [&](std::int64_t o) {
      return std::any_of(numbers.begin(), numbers.end(), [&](std::int64_t n) {
        return std::find(numbers.begin(), numbers.end(), n + o) != numbers.end();
      });
    };
    while (meets(want)) ++want;
    const IssueResult r = Drawn(specs).issue(ledger_of({rows}), {1, 1, 1});
    if (meets(1))
      CHECK(r.smallest_offset == want);
    else
      CHECK(r.status == IssueStatus::issued);
  }
}

TEST_CASE("an offset binds from the first issue in which a number had a deck point") {
  const auto under = [](LedgerRow row, std::int64_t offset) {
    row.deck_offset = offset;
    return row;
  };
  const LedgerRow p1 = hanger("P1", 1001), p2 = hanger("P2", 1002);
  struct Case {
    std::string why;
    Issues issues;
    std::optional<std::int64_t> want;
  };
  for (const Case& c : std::vector<Case>{
           {"nothing yet", {}, {}},
           {"no deck", {{without_deck(p1)}, {without_deck(p2)}}, {}},
           {"a deck", {{under(p1, 7)}}, 7},
           {"a deck on one alone", {{without_deck(under(p1, 7)), under(p2, 7)}}, 7},
           {"a deck later", {{without_deck(under(p1, 7))}, {without_deck(under(p1, 8))}, {under(p1, 9)}}, 9},
           {"a deck that is gone", {{under(p1, 7)}, {without_deck(under(p1, 8))}}, 7},
           {"dropped", {{dropped(under(p1, 7))}}, 7},
           {"an earlier version's", {{from_before(under(p1, 7)), from_before(under(p2, 7))}}, 7},
           {"an earlier version's under which numbers meet",
            {{from_before(under(p1, 1)), from_before(under(p2, 1))}},
            {}},
           {"the same, then a deck",
            {{from_before(under(p1, 1)), from_before(under(p2, 1))}, {under(p1, 9)}},
            9}}) {
    CAPTURE(c.why);
    const Ledger ledger = ledger_of(c.issues);
    CHECK(bound_offset(ledger) == c.want);
    const IssueResult other = Drawn(row_of(2)).issue(ledger, {1001, 1, 6000});
    CHECK(other.status == (c.want ? IssueStatus::offset_changed : IssueStatus::issued));
    CHECK(other.bound_offset == c.want);
  }
}

TEST_CASE("numbers end at 999999999, deck numbers too") {
  const Drawn d(row_of(2));
  CHECK(d.issue({}, {kMostNumber - 1, 1, 1}, false).status == IssueStatus::issued);
  CHECK(d.issue({}, {kMostNumber, 1, 1}, false).status == IssueStatus::out_of_numbers);
  CHECK(d.issue({}, {kMostNumber - 11, 1, 10}).status == IssueStatus::issued);
  CHECK(d.issue({}, {kMostNumber - 10, 1, 10}).status == IssueStatus::out_of_numbers);
}
