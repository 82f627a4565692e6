#include "book/state.h"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "../issues/plain_ledger.h"

using namespace deckmark;

namespace {

/// Books that are typed by hand, an entry a minute.
class Day {
 public:
  Day()
      : ledger_(plain::ledger_of({{plain::hanger("A", 1001), plain::hanger("B", 1002, 2),
                                   plain::hanger("C", 1003, 4), plain::hanger("D", 1004, 6)},
                                  {moved()}})) {}
  std::uint32_t add(Act act, std::uint32_t number = 0, EntryLevel level = EntryLevel::none,
                    std::uint32_t of = 0, std::size_t book = 0) {
    Entry e;
    e.act = act;
    e.number = number;
    e.level = level;
    e.of.entry = of;
    return add(e, book);
  }
  std::uint32_t mark(std::uint32_t number, EntryLevel level = EntryLevel::floor, std::uint32_t of = 0,
                     double off = 0.001) {
    Entry e;
    e.act = Act::marked;
    e.number = number;
    e.level = level;
    e.of.entry = of;
    e.site = {plain::kept(100 + off), plain::kept(200 + 2 * (number - 1001.0))};
    e.sd_along = plain::kept(0.002);
    e.sd_across = plain::kept(0.001);
    e.setup = "S1";
    return add(e);
  }
  std::uint32_t check(std::string_view target, Verdict verdict) {
    Entry e;
    e.act = Act::check;
    e.target = target;
    e.verdict = verdict;
    e.setup = "S1";
    return add(e);
  }
  std::uint32_t set_up() {
    Entry e;
    e.act = Act::set_up;
    e.setup = "S1";
    return add(e);
  }
  std::uint32_t add(Entry e, std::size_t book = 0) {
    const std::string time = "2026-11-28T07:" + std::to_string(10 + minute_++) + "Z";
    e.time = time;
    e.at = *instant_of(time);
    e.by = "Ada";
    if (e.issue == 0) e.issue = 1;
    Book& to = book == 0 ? plain_ : north_;
    to.add(e);
    if (grown_) grown_->add(static_cast<std::uint32_t>(book));
    return to.size();
  }
  /// From now on a state takes every row as it comes.
  void grow() { grown_.emplace(std::vector<const Book*>{&plain_, &north_}, ledger_); }
  BookState state() const { return BookState({&plain_, &north_}, ledger_); }
  const BookState& grown() const { return *grown_; }

 private:
  static LedgerRow moved() {
    LedgerRow row = plain::hanger("D", 1004, 6, 0.5);
    row.cut = plain::kept(1.25);
    return row;
  }
  Ledger ledger_;
  Book plain_{"", "0123456789abcdef"}, north_{"north", "0123456789abcdef"};
  std::optional<BookState> grown_;
  int minute_ = 0;
};

const BookThing& floor_of(const BookState& state, std::uint32_t number) {
  const NumberState* const n = state.find(number);
  REQUIRE(n);
  REQUIRE(n->floor.size() == 1);
  return n->floor.front();
}

}  // namespace

TEST_CASE("a cross stands where it was read, else where its issue has it") {
  Day day;
  day.set_up();
  day.mark(1001);
  day.add(Act::marked, 1004, EntryLevel::floor);
  Entry later;
  later.act = Act::marked;
  later.number = 1004;
  later.level = EntryLevel::deck;
  later.issue = 2;
  day.add(later);
  const BookState state = day.state();
  CHECK(state.find(1002) == nullptr);
  const Record& read = floor_of(state, 1001).record;
  CHECK(read.is_read);
  CHECK(read.site.northing.metres() == 100.001);
  CHECK(read.sd.metres() == 0.002);
  CHECK(read.standing == 0U);
  const NumberState* const d = state.find(1004);
  REQUIRE(d);
  CHECK_FALSE(d->floor.at(0).record.is_read);
  CHECK(d->floor.at(0).record.sd.is_none());
  CHECK(d->floor.at(0).record.site.northing.metres() == 100);
  CHECK(d->deck.at(0).record.site.northing.metres() == 100.5);
  CHECK(state.numbers() == std::vector<std::uint32_t>{1001, 1004});
}

TEST_CASE("a cross that is read again is the same one; a second one makes two, and the oldest is voided") {
  Day day;
  day.set_up();
  const std::uint32_t first = day.mark(1001);
  day.mark(1001, EntryLevel::floor, first, 0.003);
  CHECK(floor_of(day.state(), 1001).record.site.northing.metres() == 100.003);
  day.mark(1001, EntryLevel::floor, 0, 0.005);
  REQUIRE(day.state().find(1001)->floor.size() == 2);
  day.add(Act::voided, 1001, EntryLevel::floor);
  CHECK(floor_of(day.state(), 1001).record.site.northing.metres() == 100.005);
}

TEST_CASE("a hole takes the place of the newest cross of the deck, which it uses up") {
  Day day;
  day.set_up();
  day.mark(1001, EntryLevel::deck, 0, 0.001);
  day.mark(1001, EntryLevel::deck, 0, 0.004);
  const std::uint32_t hole = day.add(Act::drilled, 1001, EntryLevel::deck);
  const NumberState n = *day.state().find(1001);
  REQUIRE(n.deck.size() == 1);
  CHECK(n.deck[0].record.site.northing.metres() == 100.001);
  REQUIRE(n.holes.size() == 1);
  CHECK(n.holes[0].record.site.northing.metres() == 100.004);
  // Read again, the hole is where it was read; filled, it is open no more.
  day.mark(1001, EntryLevel::deck, hole, 0.006);
  CHECK(day.state().find(1001)->holes.at(0).record.site.northing.metres() == 100.006);
  day.add(Act::filled, 1001, EntryLevel::deck);
  CHECK(day.state().find(1001)->holes.empty());
  CHECK(day.state().find(1001)->filled.size() == 1);
  // Without a cross it is where its issue has it.
  day.add(Act::drilled, 1002, EntryLevel::deck);
  CHECK(day.state().find(1002)->holes.at(0).record.site.easting.metres() == 202);
}

TEST_CASE("a rod has the length of the issue from which it was cut") {
  Day day;
  day.add(Act::cut, 1004);
  CHECK(day.state().find(1004)->rod.kind == RodState::Kind::cut);
  CHECK(day.state().find(1004)->rod.length.metres() == 1.5);
  day.add(Act::hung, 1004);
  CHECK(day.state().find(1004)->rod.kind == RodState::Kind::hung);
  day.add(Act::taken_down, 1004);
  Entry again;
  again.act = Act::cut;
  again.number = 1004;
  again.issue = 2;
  day.add(again);
  CHECK(day.state().find(1004)->rod.kind == RodState::Kind::cut);
  CHECK(day.state().find(1004)->rod.length.metres() == 1.25);
}

TEST_CASE("what is undone counts as not written") {
  Day day;
  day.set_up();
  const std::uint32_t mark = day.mark(1001);
  day.mark(1002);
  day.add(Act::undone, 0, EntryLevel::none, mark);
  const BookState state = day.state();
  CHECK(state.find(1001) == nullptr);
  CHECK(state.find(1002) != nullptr);
}

TEST_CASE("an out target makes the marks doubtful since the last group of checks that ended good") {
  Day day;
  day.set_up();
  day.check("T1", Verdict::within);
  day.mark(1001);
  day.check("T1", Verdict::within);
  day.mark(1002);
  day.mark(1003);
  day.check("T1", Verdict::outside);
  const auto doubtful = [&day](std::uint32_t number) {
    const BookState state = day.state();
    return state.is_doubtful(floor_of(state, number));
  };
  CHECK(day.state().standings().at(0).is_out);
  CHECK_FALSE(doubtful(1001));
  CHECK(doubtful(1002));
  CHECK(doubtful(1003));
  SUBCASE("a slip is cured by reading again") {
    day.check("T1", Verdict::within);
    CHECK_FALSE(doubtful(1002));
    CHECK_FALSE(day.state().standings().at(0).is_out);
  }
  SUBCASE("another target alone cures nothing, two do") {
    day.check("T2", Verdict::within);
    day.check("T2", Verdict::within);
    CHECK(doubtful(1002));
    day.check("T3", Verdict::within);
    CHECK_FALSE(doubtful(1002));
  }
  SUBCASE("a mark ends the group: what is read later cures nothing") {
    day.mark(1004);
    day.check("T1", Verdict::within);
    CHECK(doubtful(1002));
    CHECK_FALSE(doubtful(1004));
  }
  SUBCASE("it is lifted by looking, or by reading the cross again") {
    day.add(Act::cleared, 1002, EntryLevel::floor);
    CHECK_FALSE(doubtful(1002));
    day.set_up();
    const BookState state = day.state();
    day.mark(1003, EntryLevel::floor, state.entry(floor_of(state, 1003).made).entry);
    CHECK_FALSE(doubtful(1003));
  }
  SUBCASE("what is marked while it is out is doubtful too, however it was cleared before") {
    day.mark(1004);
    CHECK(doubtful(1004));
    day.add(Act::cleared, 1004, EntryLevel::floor);
    CHECK_FALSE(doubtful(1004));
    const BookState state = day.state();
    day.mark(1004, EntryLevel::floor, state.entry(floor_of(state, 1004).made).entry);
    CHECK(doubtful(1004));
  }
  SUBCASE("a new standing leaves them doubtful") {
    day.set_up();
    day.check("T1", Verdict::within);
    CHECK(doubtful(1002));
  }
}

TEST_CASE("what somebody doubts is doubtful until it is cleared") {
  Day day;
  day.mark(1001);
  day.add(Act::doubtful, 1001, EntryLevel::floor);
  CHECK(day.state().is_doubtful(floor_of(day.state(), 1001)));
  day.add(Act::cleared, 1001, EntryLevel::floor);
  CHECK_FALSE(day.state().is_doubtful(floor_of(day.state(), 1001)));
}

TEST_CASE("an entry of another book is named by its crew") {
  Day day;
  const std::uint32_t mark = day.mark(1001);
  Entry undone;
  undone.act = Act::undone;
  undone.of = {mark, false, ""};
  day.add(undone, 1);
  CHECK(day.state().find(1001) == nullptr);
}

TEST_CASE("a state that grows row by row is the state of all rows") {
  Day day;
  day.grow();
  day.set_up();
  day.check("T1", Verdict::within);
  day.mark(1001);
  const std::uint32_t second = day.mark(1002);
  day.mark(1002, EntryLevel::deck);
  day.add(Act::drilled, 1002, EntryLevel::deck);
  day.add(Act::undone, 0, EntryLevel::none, second);
  day.check("T1", Verdict::outside);
  const BookState whole = day.state();
  const BookState& grown = day.grown();
  CHECK(grown.numbers() == whole.numbers());
  CHECK(grown.rows().size() == whole.rows().size());
  CHECK(grown.find(1002)->floor.empty());
  CHECK(grown.find(1002)->holes.size() == 1);
  CHECK(grown.standings().at(0).is_out);
  CHECK(grown.is_doubtful(floor_of(grown, 1001)));
}

TEST_CASE("targets are out while the last reading of one is outside and not two others were within since") {
  using Row = std::pair<std::string_view, Verdict>;
  constexpr Verdict kIn = Verdict::within, kOut = Verdict::outside;
  const struct {
    std::vector<Row> checks;
    bool want;
  } kRows[] = {{{}, false},
               {{{"T1", kIn}}, false},
               {{{"T1", kOut}}, true},
               {{{"T1", kOut}, {"t1", kIn}}, false},
               {{{"T1", kOut}, {"T2", kIn}}, true},
               {{{"T1", kOut}, {"T2", kIn}, {"t2", kIn}}, true},
               {{{"T1", kOut}, {"T2", kIn}, {"T3", kIn}}, false},
               {{{"T2", kIn}, {"T3", kIn}, {"T1", kOut}}, true},
               {{{"T1", kOut}, {"T2", kIn}, {"T3", kIn}, {"T1", kOut}}, true},
               {{{"T1", kOut}, {"T2", kOut}, {"T1", kIn}}, true}};
  for (const auto& row : kRows) CHECK(are_out(row.checks) == row.want);
}
