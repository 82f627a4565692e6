#include "report/today_text.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "../issues/plain_ledger.h"
#include "report/release_text.h"

using namespace deckmark;

namespace {

Ledger ledger() {
  const auto of = [](std::string_view run, LedgerRow row) {
    row.run = run;
    return row;
  };
  return plain::ledger_of({{of("R1", plain::hanger("A", 1001)), of("R1", plain::hanger("B", 1002, 2)),
                            of("R1", plain::hanger("C", 1003, 4)), of("R2", plain::hanger("D", 1004, 6)),
                            plain::hanger("E", 1005, 8)}});
}

TodayRow row(std::uint32_t number, TodayThing thing, TodayDo what, TodayWhy why) {
  TodayRow out;
  out.number = number;
  out.ledger_row = number - 1001;
  out.thing = thing;
  out.what = what;
  out.why = why;
  return out;
}
TodayRow off(TodayRow row, double dx, double dy, double permitted = 6, double sd = 1) {
  row.off = TodayOff{{{.x = Length::millimetres(dx), .y = Length::millimetres(dy)}},
                     hypot(Length::millimetres(dx), Length::millimetres(dy)),
                     Length::millimetres(permitted),
                     Length::millimetres(sd)};
  return row;
}

std::string text_of(std::vector<TodayRow> rows, TodayHead head = {}) {
  const Ledger l = ledger();
  head.ledger = &l;
  if (head.issue == 0) head.issue = 3;
  return today_text(head, rows);
}
/// What is said below the head of one run.
std::string said(const TodayRow& row, TodayHead head = {}) {
  const std::string text = text_of({row}, std::move(head));
  const std::size_t at = text.find("\n\n");
  return at == std::string::npos ? text : text.substr(at + 2);
}

}  // namespace

TEST_CASE("today says first how far the books and the issue are") {
  struct Row {
    std::string_view name;
    TodayHead head;
    std::string first;
  };
  TodayHead none, one, two, issued;
  none.issue = one.issue = two.issue = issued.issue = 3;
  one.books = {{"book.csv", 412}};
  two.books = {{"book.csv", 412}, {"book-north.csv", 31}};
  issued.as_issued = 2;
  const Row rows[] = {
      {"no book", none, "as of entry 0, issue 3\n"},
      {"one book", one, "as of entry 412, issue 3\n"},
      {"two books", two, "as of entry 412 of book.csv, entry 31 of book-north.csv, issue 3\n"},
      {"an issue in its place", issued, "as if issue 2 were marked, issue 3\n"}};
  for (const Row& r : rows) {
    CAPTURE(r.name);
    CHECK(text_of({}, r.head).starts_with(r.first));
  }
}

TEST_CASE("progress stands behind it, a line a run") {
  const RunProgress runs[] = {{"R1", 12, 12, 9, 4, 0}, {"", 1, 0, 0, 0, 0}};
  TodayHead head;
  head.progress = runs;
  CHECK(
      text_of({}, head).starts_with("as of entry 0, issue 3\n"
                                    "R1: marked 12 of 12, deck 9, drilled 4, hung 0\n"
                                    "no run: marked 0 of 1, deck 0, drilled 0, hung 0\n"));
}

TEST_CASE("every thing to be done in its words") {
  struct Row {
    std::string_view name;
    TodayRow row;
    std::string words;
  };
  using T = TodayThing;
  using D = TodayDo;
  using W = TodayWhy;
  TodayRow was = off(row(1002, T::hole, D::renumber, W::was), 1, 0);
  was.other = 1001;
  TodayRow old = row(1002, T::hole, D::stop, W::old_hole);
  old.other = 1001;
  TodayRow zone = row(1002, T::hole, D::stop, W::zone);
  zone.zone = "T1";
  TodayRow longer = off(row(1002, T::rod, D::recut, W::longer), 0, 0);
  longer.off->distance = Length::millimetres(20);
  TodayRow there = off(row(1002, T::floor, D::mark_again, W::beyond), -12, 3.04);
  there.if_it_is_there = true;
  const Row rows[] = {
      {"a rod of a dropped number", row(1002, T::rod, D::stop, W::dropped),
       "STOP        rod 1002: the drawing has no such point now: take it down, do not\n"
       "              hang it\n"},
      {"a hole under a rod that hangs", row(1002, T::hole, D::stop, W::hung),
       "STOP        6002: to be filled, but the rod hangs: take the rod down first,\n"
       "              then fill\n"},
      {"a hole too near to an old one", old,
       "STOP        6002: do not drill, the old hole of 6001 is too near: ask the\n"
       "              engineer\n"},
      {"a hole in a zone", zone,
       "STOP        6002: do not drill, no-drill zone T1 (scan 7): ask the engineer\n"},
      {"a hole that nobody released", row(1002, T::hole, D::stop, W::not_released),
       "STOP        6002: do not drill, nobody released it\n"},
      {"a cross of a dropped number", row(1002, T::floor, D::void_cross, W::dropped),
       "void        1002, cross on the floor: the drawing has no such point now\n"},
      {"a cross on the deck that is no more", row(1002, T::deck, D::void_cross, W::gone),
       "void        6002, cross on the deck: no deck point any more\n"},
      {"a second cross", row(1002, T::floor, D::void_cross, W::second),
       "void        1002, cross on the floor: another one of the number counts\n"},
      {"a hole that is too far off", off(row(1002, T::hole, D::fill, W::beyond), 9, 0),
       "fill        6002, the hole: too far from where it is wanted now\n"},
      {"a hole of a dropped number", row(1002, T::hole, D::fill, W::dropped),
       "fill        6002, the hole: the drawing has no such point now\n"},
      {"a hole that another number takes", was,
       "renumber    6001 is 6002 now: the hole stays, write the new number\n"},
      {"a cross to be marked again", off(row(1002, T::deck, D::mark_again, W::beyond), 12, -3.04),
       "mark again  6002 on the deck: 12.4 mm from the old cross: 12.0 mm along +X,\n"
       "              3.0 mm along -Y; void the old one\n"},
      {"one that nobody noted", there,
       "mark again  1002 on the floor: 12.4 mm from the old cross: 12.0 mm along -X,\n"
       "              3.0 mm along +Y; void the old one, if it is there\n"},
      {"a rod that is too short", longer, "cut anew    rod 1002: it has to be 20.0 mm longer\n"},
      {"a cross in doubt", off(row(1002, T::floor, D::measure, W::doubtful), 1, 0),
       "measure     1002, the cross on the floor: in doubt, read it again\n"},
      {"a hole near its limit", off(row(1002, T::hole, D::measure, W::near_limit), 5, 0),
       "measure     6002, the hole: 5.0 mm off, 6.0 mm permitted, good to 2.0 mm (95\n"
       "              in 100): too near to tell, read it again\n"},
      {"a cross that is none", row(1002, T::deck, D::mark, W::not_made), "mark        6002 on the deck\n"},
      {"a hole that is none", row(1002, T::hole, D::drill, W::not_made),
       "drill       6002 at the cross on the deck\n"}};
  TodayHead head;
  head.references = {{"T1", "scan 7"}};
  for (const Row& r : rows) {
    CAPTURE(r.name);
    const std::string text = said(r.row, head);
    CHECK_MESSAGE(text.find("R1\n  " + r.words) != std::string::npos, text);
  }
}

TEST_CASE("of a run the most urgent first, numbers that are alike in one line, runs apart") {
  using T = TodayThing;
  const std::string text = text_of({row(1001, T::floor, TodayDo::mark, TodayWhy::not_made),
                                    row(1001, T::deck, TodayDo::mark, TodayWhy::not_made),
                                    row(1002, T::floor, TodayDo::void_cross, TodayWhy::dropped),
                                    row(1003, T::floor, TodayDo::mark, TodayWhy::not_made),
                                    row(1003, T::rod, TodayDo::leave, TodayWhy::unchanged),
                                    row(1004, T::hole, TodayDo::stop, TodayWhy::not_released),
                                    row(1005, T::floor, TodayDo::mark, TodayWhy::not_made)});
  CHECK(text ==
        "as of entry 0, issue 3\n"
        "\nR1\n"
        "  void        1002, cross on the floor: the drawing has no such point now\n"
        "  mark        1001, 1003 on the floor\n"
        "              6001 on the deck\n"
        "\nR2\n"
        "  STOP        6004: do not drill, nobody released it\n"
        "\nno run\n"
        "  mark        1005 on the floor\n"
        "\nAll else stays as it is: 1 mark, hole or rod\n");
}

TEST_CASE("the release and the sentence about zones stand over what says drill, and only there") {
  const std::vector<std::string> release =
      release_lines(std::vector<ReleaseLine>{{"run R1", "A. Voss", "2026-11-25", "letter 12"}});
  TodayHead head;
  head.release = release;
  const std::string with = text_of({row(1001, TodayThing::hole, TodayDo::drill, TodayWhy::not_made)}, head);
  CHECK(
      with.starts_with("as of entry 0, issue 3\n\n"
                       "Released for drilling: run R1, by A. Voss on 2026-11-25 (letter 12)\n"
                       "Zones are as scanned. If the drill meets anything, stop.\n\nR1\n"));
  CHECK(text_of({row(1001, TodayThing::floor, TodayDo::mark, TodayWhy::not_made)}, head).find("Released") ==
        std::string::npos);
}

TEST_CASE("that marks are known too badly to be told is said once") {
  std::vector<TodayRow> rows{
      off(row(1001, TodayThing::floor, TodayDo::measure, TodayWhy::near_limit), 1, 0, 6, 3),
      off(row(1002, TodayThing::floor, TodayDo::measure, TodayWhy::near_limit), 1, 0, 6, 4),
      off(row(1003, TodayThing::floor, TodayDo::measure, TodayWhy::near_limit), 5, 0, 6, 2.9)};
  const std::string text = text_of(rows);
  const std::string said = "2 marks are known no better than half of what is permitted";
  CHECK(text.find(said) != std::string::npos);
  CHECK(text.find(said) == text.rfind(said));
  CHECK(text_of({rows[2]}).find("known no better") == std::string::npos);
}

TEST_CASE("today is told in the drawing's unit, in 80 columns, hostile text shown") {
  TodayHead head;
  head.unit = LengthUnit::feet_inches;
  CHECK(said(off(row(1002, TodayThing::floor, TodayDo::mark_again, TodayWhy::beyond), 25.4 * 0.5, 0), head)
            .find("1/2 in from the old cross: 1/2 in along +X") != std::string::npos);
  TodayRow zone = row(1002, TodayThing::hole, TodayDo::stop, TodayWhy::zone);
  zone.zone = "T\x1b[31m";
  CHECK(said(zone).find('\x1b') == std::string::npos);
  std::vector<TodayRow> many;
  for (const TodayWhy why : {TodayWhy::dropped, TodayWhy::gone, TodayWhy::second})
    for (std::uint32_t n = 1001; n <= 1005; ++n)
      many.push_back(row(n, TodayThing::floor, TodayDo::void_cross, why));
  const std::string text = text_of(many);
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = text.find('\n', from);
    CHECK(end - from <= 80);
    from = end + 1;
  }
}

TEST_CASE("nothing is to be done where all stays") {
  CHECK(text_of({row(1001, TodayThing::floor, TodayDo::leave, TodayWhy::unchanged)}) ==
        "as of entry 0, issue 3\n\nNothing is to be done: 1 stays as it is\n");
}

TEST_CASE("of many releases the first are told, and of none that there is none") {
  std::vector<ReleaseLine> many;
  for (int i = 0; i < 8; ++i) many.push_back({"run R" + std::to_string(i), "A", "2026-11-25", ""});
  const auto lines = release_lines(many);
  REQUIRE(lines.size() == 8);
  CHECK(lines[5] == "Released for drilling: run R5, by A on 2026-11-25");
  CHECK(lines[6] == "and 2 more: see the table that [deck] released names");
  CHECK(lines[7] == kAsScanned);
  CHECK(release_lines({}) ==
        std::vector<std::string>{"Nothing is released for drilling.", std::string(kAsScanned)});
}
