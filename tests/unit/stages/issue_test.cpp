#include "stages/issue.h"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "unit/issues/plain_ledger.h"
#include "unit/stages/plain.h"

using namespace plain;

namespace {

using Strings = std::vector<std::string>;
using Marks = std::vector<PlainMark>;

/// What a job says of its issues, and what was handed out so far.
struct PlainIssues {
  Ledger ledger;
  std::vector<GivenRow> given;
  std::string revision = "A", storey, job = "job.toml";
  std::int64_t deck_offset = 5000;

  IssueStated view() const {
    return {ledger,
            given,
            revision,
            storey,
            deck_offset,
            job,
            Where::whole("numbers.csv"),
            Where::at("job.toml", {2, 1}),
            Where::at("job.toml", {8, 1}),
            LengthUnit::metre};
  }
  /// Takes up a new issue, as a run writes it.
  void take(const IssueFound& found) {
    if (!found.is_new) return;
    std::vector<IssuedRow> issues = ledger.issues();
    IssuedRow issue;
    issue.issue = found.number;
    issue.revision = revision, issue.storey = storey, issue.job = job;
    issue.live = found.live;
    issue.rows = static_cast<std::uint32_t>(found.rows.size());
    issues.push_back(std::move(issue));
    LedgerRows rows;
    for (std::uint32_t r = 0; r < ledger.rows(); ++r) rows.add(ledger.row(r));
    for (std::size_t i = 0; i < found.rows.size(); ++i) rows.add(found.new_row(i));
    ledger = Ledger(std::move(issues), std::move(rows));
  }
};

/// Marks under a deck at 5, brackets 2.5 above a floor at 1.
PlainLaid laid(const Marks& marks) {
  PlainLaid out = laid_of(marks);
  out.floor = Elevation::metres(1);
  out.attach_height = m(2.5);
  out.put_deck(5);
  return out;
}
const Marks kThree = {{"P1", 0, 0, "R1"}, {"P2", 4, 0, "R1"}, {"P3", 4, 3, "R2"}};

/// One run: marks with the numbers that the ledger has for them, and the issue that they make.
class Run {
 public:
  Run(const PlainIssues& issues, PlainLaid l, const std::string& since = "", const CutsFound* cuts = nullptr,
      std::vector<StatedCrew> crews = {})
      : laid_(numbered(issues, std::move(l))),
        view_(laid_.view()),
        stated_(issues.view()),
        stated_crews_(std::move(crews)),
        crews_(find_crews({stated_crews_, {}}, laid_.marks)),
        found(find_issue(stated_, view_, cuts, stated_crews_.empty() ? nullptr : crews_.get(), since)) {}
  Run(const Run&) = delete;
  Run& operator=(const Run&) = delete;

 private:
  static PlainLaid numbered(const PlainIssues& issues, PlainLaid l) {
    const NumberOptions options{};
    const std::string file = "numbers.csv";
    auto numbers =
        number_marks({issues.ledger, nullptr, options, file, true, Where::whole("job.toml")}, l.marks);
    REQUIRE(numbers.is_there());
    l.numbers = std::move(*numbers.value);
    return l;
  }
  PlainLaid laid_;
  LaidOut view_;
  IssueStated stated_;
  std::vector<StatedCrew> stated_crews_;
  Staged<Crews> crews_;

 public:
  Staged<IssueFound> found;
  const IssueFound* operator->() const {
    REQUIRE(found.is_there());
    return &*found.value;
  }
  /// New rows: `1001 P1 live told 2 1 1 1`.
  Strings rows() const {
    Strings out;
    for (std::size_t i = 0; i < found.value->rows.size(); ++i) {
      const LedgerRow r = found.value->new_row(i);
      std::string line =
          std::to_string(r.number) + " " + std::string(r.point) + (r.live ? " live" : " dropped") + " told";
      for (const std::uint32_t told : r.told) line += " " + std::to_string(told);
      CHECK(r.issue == found.value->number);
      out.push_back(line);
    }
    return out;
  }
  static Strings words(const std::vector<ChangeRow>& changes) {
    Strings out;
    for (const ChangeRow& c : changes)
      out.push_back(std::to_string(c.number) + " " + std::string(what_word(c.what)) + " " +
                    std::string(change_word(c.change)));
    return out;
  }
  Strings changes() const { return words(found.value->changes); }
  Strings shown() const { return words(found.value->shown); }
  Strings of_crew(std::size_t crew) const { return words(found.value->crews.at(crew).changes); }
};

/// Runs one after another, each of which is taken up.
PlainIssues after(const std::vector<std::pair<std::string, Marks>>& runs) {
  PlainIssues issues;
  for (const auto& [revision, marks] : runs) {
    issues.revision = revision;
    issues.take(*Run(issues, laid(marks)).operator->());
  }
  return issues;
}

/// A crew that has these points.
StatedCrew crew(const std::string& name, const Strings& points) {
  StatedCrew out{name, {}, {}, {}, {}, {}, {CrewWork::floor}};
  for (const std::string& p : points) out.points.push_back({p, {}});
  return out;
}

Marks moved(std::size_t mark, double by) {
  Marks out = kThree;
  out[mark].x += by;
  return out;
}

}  // namespace

TEST_CASE("the first issue: a row for every mark with all that is handed out with it") {
  PlainIssues issues;
  CutsFound cuts;
  cuts.marks = {0, 2};
  cuts.drops = {m(1.5), std::nullopt};
  cuts.cuts = {m(1.55), std::nullopt};
  PlainLaid l = laid({{"P1", 1, 2, "R1"}, {"E1", 5, 6, "", "reference"}, {"P3", 3, 4, "R2"}});
  const Run run(issues, std::move(l), "", &cuts, {crew("north", {"P1"})});
  CHECK(run->is_new);
  CHECK(run->number == 1);
  CHECK(run->live == 3);
  CHECK(run.rows() ==
        Strings{"1001 P1 live told 1 1 1 1", "1002 E1 live told 1 1 1 1", "1003 P3 live told 1 1 1 1"});
  LedgerRow want = hanger("P1", 1001, 1, 2);
  want.run = "R1", want.crew = "north", want.cut = kept(1.55);
  CHECK(run->new_row(0).hands_out_as(want));
  CHECK(run->new_row(0).revision == "A");
  want = hanger("E1", 1002, 5, 6);
  want.kind = "reference", want.attach = want.deck = want.cut = Kept::none();
  CHECK(run->new_row(1).hands_out_as(want));
  want = hanger("P3", 1003, 3, 4);
  want.run = "R2", want.cut = Kept::none();
  CHECK(run->new_row(2).hands_out_as(want));
  CHECK(run.changes() == Strings{"1001 floor new", "1002 floor new", "1003 floor new"});
  CHECK(run->since == 0);
  CHECK(run->shown_since == 0);
  CHECK(tells_nothing(run.found.told));
}

TEST_CASE("a bridged hanger has no deck point in the ledger") {
  PlainLaid l = laid(kThree);
  l.marks.bridged = {0, 1, 0};
  const PlainIssues issues;
  const Run run(issues, std::move(l));
  CHECK_FALSE(run->new_row(0).deck.is_none());
  CHECK(run->new_row(1).deck.is_none());
}

TEST_CASE("the same again is the same issue: no row, and its changes are told again") {
  const PlainIssues issues = after({{"A", kThree}, {"B", moved(1, 0.1)}});
  REQUIRE(issues.ledger.last_issue() == 2);
  const Run again(issues, laid(moved(1, 0.1)));
  CHECK_FALSE(again->is_new);
  CHECK(again->number == 2);
  CHECK(again->rows.empty());
  CHECK(again.changes() == Strings{"1002 floor moved"});
  CHECK(again->since == 1);
  Marks other_order = moved(1, 0.1);
  std::swap(other_order[0], other_order[2]);
  CHECK_FALSE(Run(issues, laid(other_order))->is_new);
}

TEST_CASE("revision, storey or job alone make an issue without rows") {
  struct Case {
    std::string why;
    void (*change)(PlainIssues&);
    bool is_new;
  };
  for (const Case& c : std::vector<Case>{{"nothing", [](PlainIssues&) {}, false},
                                         {"revision", [](PlainIssues& i) { i.revision = "B"; }, true},
                                         {"storey", [](PlainIssues& i) { i.storey = "level 3"; }, true},
                                         {"job", [](PlainIssues& i) { i.job = "other.toml"; }, true}}) {
    CAPTURE(c.why);
    PlainIssues issues = after({{"A", kThree}});
    c.change(issues);
    const Run run(issues, laid(kThree));
    CHECK(run->is_new == c.is_new);
    CHECK(run->number == (c.is_new ? 2 : 1));
    CHECK(run->rows.empty());
    CHECK(run->changes.size() == (c.is_new ? 0 : 3));
    CHECK(tells_nothing(run.found.told));
  }
}

TEST_CASE("one row for each number that differs, by number, with the issues that told it") {
  PlainIssues issues = after({{"A", kThree}});
  issues.revision = "B";
  Marks marks = {{"P4", 9, 9}, {"P3", 4, 3.0005, "R2"}, {"P2", 4.1, 0, "R1"}};
  const Run run(issues, laid(marks));
  CHECK(run->is_new);
  CHECK(run->live == 3);
  CHECK(run.rows() == Strings{"1001 P1 dropped told 2 1 1 1", "1002 P2 live told 2 1 1 1",
                              "1003 P3 live told 1 1 1 1", "1004 P4 live told 2 2 2 2"});
  CHECK(run.changes() == Strings{"1001 floor dropped", "1002 floor moved", "1004 floor new"});
  // What is dropped keeps the place and the revision that it was handed out with.
  LedgerRow gone = dropped(hanger("P1", 1001));
  gone.run = "R1", gone.cut = Kept::none();
  CHECK(run->new_row(0).hands_out_as(gone));
  CHECK(run->new_row(0).revision == "A");
  CHECK(run->new_row(1).revision == "B");

  issues.take(*run.operator->());
  CHECK_FALSE(Run(issues, laid(marks))->is_new);  // dropped once, and no more
}

TEST_CASE("a height, a run or a crew makes a row, the unit of messages does not") {
  const PlainIssues issues = after({{"A", kThree}});
  PlainLaid higher = laid(kThree);
  higher.put_deck(5.5);
  const Run deck(issues, std::move(higher));
  CHECK(deck->rows.size() == 3);
  CHECK(deck.changes() == Strings{"1001 deck raised", "1002 deck raised", "1003 deck raised"});
  CHECK(deck.rows()[0] == "1001 P1 live told 1 2 1 1");
  Marks other = kThree;
  other[1].run = "R9";
  CHECK(Run(issues, laid(other)).rows() == Strings{"1002 P2 live told 1 1 1 1"});
  const Run crewed(issues, laid(kThree), "", nullptr, {crew("north", {"P1", "P3"})});
  CHECK(crewed.rows() == Strings{"1001 P1 live told 1 1 1 1", "1003 P3 live told 1 1 1 1"});
}

TEST_CASE("since: asked for, the last given, the last of another revision, else the one before") {
  // 1: A; 2: B, P1 moved; 3: B, P2 moved; then C or B with P3 moved
  Marks two = moved(0, 0.1), three = two, four = three;
  three[1].x += 0.1;
  four = three;
  four[2].x += 0.1;
  struct Case {
    std::string why, revision;
    std::vector<std::uint32_t> given;
    std::string asked;
    std::uint32_t since, shown_since;
    SinceWhy reason;
    Strings changes, shown;
  };
  const Strings p1 = {"1001 floor moved", "1002 floor moved", "1003 floor moved"},
                p2 = {"1002 floor moved", "1003 floor moved"}, p3 = {"1003 floor moved"};
  for (const Case& c :
       std::vector<Case>{{"another revision", "C", {}, "", 3, 3, SinceWhy::revision, p3, p3},
                         {"the same revision", "B", {}, "", 3, 1, SinceWhy::revision, p3, p1},
                         {"given", "C", {2, 1}, "", 3, 2, SinceWhy::given, p3, p2},
                         {"given this one", "C", {4, 1}, "", 3, 1, SinceWhy::given, p3, p1},
                         {"asked", "C", {2}, "1", 1, 1, SinceWhy::asked, p1, p1},
                         {"asked for the last", "B", {}, "3", 3, 3, SinceWhy::asked, p3, p3}}) {
    CAPTURE(c.why);
    PlainIssues issues = after({{"A", kThree}, {"B", two}, {"B", three}});
    issues.revision = c.revision;
    for (const std::uint32_t g : c.given) issues.given.push_back({g, "crew", "2026-11-02", ""});
    const Run run(issues, laid(four), c.asked);
    CHECK(run->number == 4);
    CHECK(run->since == c.since);
    CHECK(run->shown_since == c.shown_since);
    CHECK(run->why == c.reason);
    CHECK(run.changes() == c.changes);
    CHECK(run.shown() == c.shown);
    CHECK(run.rows() == Strings{"1003 P3 live told 4 1 1 1"});  // whatever is asked for
  }
  const PlainIssues same = after({{"A", kThree}, {"A", two}});
  const Run before(same, laid(two));
  CHECK(before->why == SinceWhy::before);
  CHECK(before->shown_since == 1);
}

TEST_CASE("since an issue that is not there is a problem") {
  const PlainIssues issues = after({{"A", kThree}, {"B", moved(0, 1)}});
  for (const std::string& since : Strings{"0", "3", "-1", "1x", "B"}) {
    const Run run(issues, laid(kThree), since);
    CHECK(run.found.is_spoiled());
    CHECK(told(run.found.told, Grade::problem) ==
          Strings{"--since: found \"" + since + "\", expected an issue from 1 to 2"});
  }
  CHECK(told(Run(PlainIssues{}, laid(kThree), "1").found.told, Grade::problem) ==
        Strings{"--since: found \"1\", expected an issue, and none was made yet"});
}

TEST_CASE("a crew is told of the numbers that it has or had, since it was given an issue") {
  PlainIssues issues;
  const std::vector<StatedCrew> before = {crew("north", {"P1", "P2"}), crew("south", {"P3"})},
                                now = {crew("north", {"P1"}), crew("south", {"P2", "P3"})};
  issues.take(*Run(issues, laid(kThree), "", nullptr, before).operator->());
  issues.revision = "B";
  Marks two = moved(0, 0.1);
  two[1].x += 0.1;
  {
    const Run run(issues, laid(two), "", nullptr, now);
    CHECK(run.changes() == Strings{"1001 floor moved", "1002 floor moved"});
    CHECK(run.of_crew(0) == Strings{"1001 floor moved", "1002 floor passed"});
    CHECK(run.of_crew(1) == Strings{"1002 floor passed"});
    issues.take(*run.operator->());
  }
  issues.revision = "C";
  Marks three = two;
  three[0].x += 0.1;
  for (const bool given : {false, true}) {
    CAPTURE(given);
    if (given) issues.given.push_back({1, "North", "2026-11-02", ""});
    const Run run(issues, laid(three), "", nullptr, now);
    CHECK(run.of_crew(0) ==
          (given ? Strings{"1001 floor moved", "1002 floor passed"} : Strings{"1001 floor moved"}));
    CHECK(run.of_crew(1).empty());
    const Run asked(issues, laid(three), "1", nullptr, now);
    CHECK(asked.of_crew(1) == Strings{"1002 floor passed"});
  }
  // A new point of another crew in the place of one that is gone.
  Marks other = three;
  other[0].name = "Q1";
  const Run taken(issues, laid(other), "2", nullptr, {crew("north", {"P2"}), crew("south", {"Q1", "P3"})});
  other[0].x = two[0].x;
  const Run renamed(issues, laid(other), "2", nullptr, {crew("north", {"P2"}), crew("south", {"Q1", "P3"})});
  CHECK(taken.changes() == Strings{"1001 floor dropped", "1004 floor new"});
  CHECK(renamed.changes() == Strings{"1004 floor renamed"});
  for (const Run* run : {&taken, &renamed})
    CHECK(run->of_crew(0) == Strings{"1001 floor dropped", "1002 floor passed"});
}

TEST_CASE("a revision that came before with other places is a doubt") {
  struct Case {
    std::string why, before, now;
    double by;
    bool doubted;
  };
  for (const Case& c : std::vector<Case>{{"moved", "A", "A", 0.1, true},
                                         {"crept", "A", "A", 0.0005, false},
                                         {"another revision", "A", "B", 0.1, false},
                                         {"no revision", "", "", 0.1, false}}) {
    CAPTURE(c.why);
    PlainIssues issues = after({{c.before, kThree}});
    issues.revision = c.now;
    const Run run(issues, laid(moved(1, c.by)));
    CHECK(run->number == 2);
    const Strings doubts = told(run.found.told, Grade::doubt);
    REQUIRE(doubts.size() == (c.doubted ? 1 : 0));
    if (c.doubted)
      CHECK(doubts[0] ==
            "job.toml:2:1: revision: \"A\" as in issue 1, with 1 change since: whoever "
            "holds that issue cannot tell them apart; give the drawing a revision of its own");
  }
}

TEST_CASE("another floor is one doubt, and no change of a mark") {
  PlainIssues issues = after({{"A", kThree}});
  issues.revision = "B";
  const auto run_at = [&](double floor, Strings& doubts) {
    PlainLaid l = laid(kThree);
    l.floor = Elevation::metres(floor);
    l.attach_height = m(3.5 - floor);  // the bracket stays where it is
    const Run run(issues, std::move(l));
    doubts = told(run.found.told, Grade::doubt);
    CHECK(run->rows.size() == 3);
    CHECK(run->changes.empty());
  };
  Strings doubts;
  run_at(1.001, doubts);
  CHECK(doubts.empty());
  run_at(0.75, doubts);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0] ==
        "job.toml:8:1: floor.elevation: 750.0 mm where issue 1 had 1.0000 m: no mark moves in plan, rise and "
        "drop do "
        "change");
}
