#include "lists/today.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "../issues/plain_ledger.h"
#include "unit/lists/written_text.h"

using namespace deckmark;
using lists_test::written_lines;
using Strings = std::vector<std::string>;

namespace {

/// Issue 1 has three hangers; issue 2 drops 1001 and moves 1002 by 0.05 m to the east.
Ledger ledger() {
  return plain::ledger_of(
      {{plain::hanger("A", 1001), plain::hanger("B", 1002, 2), plain::hanger("C", 1003, 4)},
       {plain::dropped(plain::hanger("A", 1001)), plain::hanger("B", 1002, 2.05)}});
}

TodayRow row(const Ledger& l, std::uint32_t number, TodayThing thing, TodayDo what, TodayWhy why) {
  TodayRow out;
  out.number = number;
  out.ledger_row = l.find(number);
  out.thing = thing;
  out.what = what;
  out.why = why;
  return out;
}
TodayRow at(TodayRow row, double northing, double easting, std::uint32_t issue = 1) {
  Record record;
  record.site = {plain::kept(northing), plain::kept(easting)};
  record.issue = issue;
  row.record = record;
  return row;
}

struct Lists {
  Ledger ledger = ::ledger();
  ListOptions options{};
  GroundJob ground{};

  Lists() {
    options.unit = LengthUnit::metre;
    options.decimals = 3;
    options.crlf = false;
  }
  Strings of(TodayList list, const std::vector<TodayRow>& rows) const {
    return written_lines(*today_list({options, ground, ledger, 5000, false}, list, rows));
  }
};

}  // namespace

TEST_CASE("old places are listed under numbers that no mark has, floor first, at the elevation they had") {
  Lists l;
  std::vector<TodayRow> rows{
      at(row(l.ledger, 1001, TodayThing::deck, TodayDo::void_cross, TodayWhy::dropped), 100.001, 200),
      at(row(l.ledger, 1001, TodayThing::floor, TodayDo::void_cross, TodayWhy::dropped), 100.002, 200),
      at(row(l.ledger, 1002, TodayThing::floor, TodayDo::mark_again, TodayWhy::beyond), 100.003, 202),
      at(row(l.ledger, 1003, TodayThing::floor, TodayDo::leave, TodayWhy::unchanged), 100, 204),
      at(row(l.ledger, 1001, TodayThing::hole, TodayDo::fill, TodayWhy::dropped), 100.004, 200),
      at(row(l.ledger, 1001, TodayThing::hole, TodayDo::stop, TodayWhy::hung), 100.005, 200)};
  CHECK(l.of(TodayList::to_void, rows) == Strings{"1001X,100.002,200.000,1.000,VOID",
                                                  "1002X,100.003,202.000,1.000,VOID",
                                                  "6001X,100.001,200.000,5.000,VOID"});
  CHECK(l.of(TodayList::to_fill, rows) == Strings{"6001X,100.004,200.000,5.000,VOID"});
  CHECK(l.of(TodayList::to_mark, rows) == Strings{"1002,100.000,202.050,1.000,B hanger"});
}

TEST_CASE("a place that was read has its own elevation") {
  Lists l;
  TodayRow read =
      at(row(l.ledger, 1001, TodayThing::floor, TodayDo::void_cross, TodayWhy::dropped), 100, 200);
  read.record->elevation = plain::kept(1.012);
  CHECK(l.of(TodayList::to_void, {read}) == Strings{"1001X,100.000,200.000,1.012,VOID"});
}

TEST_CASE("old places that share a name are known") {
  Lists l;
  const TodayRow one = at(row(l.ledger, 1001, TodayThing::floor, TodayDo::void_cross, TodayWhy::dropped), 100,
                          200),
                 two = at(row(l.ledger, 1001, TodayThing::floor, TodayDo::void_cross, TodayWhy::dropped), 101,
                          200);
  CHECK(l.of(TodayList::to_void, {one, two}) ==
        Strings{"1001X,100.000,200.000,1.000,VOID", "1001X,101.000,200.000,1.000,VOID"});
  const TodayListsInput in{l.options, l.ground, l.ledger, 5000, false};
  CHECK(shared_names(in, TodayList::to_void, std::vector{one, two}) == Strings{"1001X"});
  CHECK(shared_names(in, TodayList::to_void, std::vector{one}).empty());
}

TEST_CASE("no column of an old place names a live mark; the layout is that of [list]") {
  Lists l;
  l.options.columns = {ListColumn::point, ListColumn::number, ListColumn::x,
                       ListColumn::y,     ListColumn::kind,   ListColumn::description};
  l.options.separator = ';';
  l.options.decimal_mark = ',';
  l.options.header = true;
  const TodayRow old =
      at(row(l.ledger, 1002, TodayThing::floor, TodayDo::mark_again, TodayWhy::beyond), 100, 202);
  const Strings lines = l.of(TodayList::to_void, {old});
  REQUIRE(lines.size() == 2);
  CHECK(lines[0] == "point;number;x (m);y (m);kind;description");
  CHECK(lines[1].starts_with("1002X;1002X;"));
  CHECK(lines[1].ends_with(";VOID"));
  CHECK(l.of(TodayList::to_mark, {old})[1].starts_with("B;1002;2,050;0,000;hanger;B hanger"));
}

TEST_CASE("the table of today: figures where something is judged, the way of a rod left open") {
  const Ledger l = ledger();
  TodayRow again = row(l, 1002, TodayThing::floor, TodayDo::mark_again, TodayWhy::beyond);
  again.off = TodayOff{{{.x = Length::millimetres(50), .y = Length::millimetres(-1)}},
                       Length::millimetres(50.01),
                       Length::millimetres(6),
                       Length::millimetres(2)};
  again.up = Length::millimetres(-3);
  TodayRow rod = row(l, 1002, TodayThing::rod, TodayDo::recut, TodayWhy::longer);
  rod.off = TodayOff{
      {{.x = Length::metres(0), .y = Length::metres(0)}}, Length::millimetres(20), Length::millimetres(5)};
  rod.up = Length::millimetres(20);
  TodayRow was = row(l, 1002, TodayThing::deck, TodayDo::renumber, TodayWhy::was);
  was.other = 1001;
  const Strings lines = written_lines(
      *today_table({row(l, 1001, TodayThing::floor, TodayDo::void_cross, TodayWhy::dropped), again, was, rod},
                   l, LengthUnit::metre));
  CHECK(lines == Strings{"number,point,thing,do,dx (m),dy (m),dz (m),distance (m),permitted (m),sd (m),why",
                         "1001,A,floor,void,,,,,,,dropped",
                         "1002,B,floor,mark-again,0.05000,-0.00100,-0.00300,0.05001,0.00600,0.00200,beyond",
                         "1002,B,deck,renumber,,,,,,,was 1001",
                         "1002,B,rod,recut,,,0.02000,0.02000,0.00500,,longer"});
}
