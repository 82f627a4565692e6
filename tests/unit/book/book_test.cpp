#include "book/book.h"

#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <vector>

#include "table/digest.h"

using namespace deckmark;

namespace {

const std::string kFirst = "0123456789abcdef";

Entry row(Act act, std::string_view time = "2026-11-28T07:00Z") {
  Entry out;
  out.time = time;
  out.at = *instant_of(time);
  out.by = "Ada";
  out.act = act;
  out.issue = 1;
  return out;
}

/// A book of three rows, and its bytes.
struct Three {
  Book book{"", kFirst};
  std::vector<std::string> lines{Book::header()};
  Three() {
    Entry set = row(Act::set_up);
    set.setup = "S1";
    set.reading = "12.5";
    lines.push_back(book.add(set));
    Entry mark = row(Act::marked, "2026-11-28T07:01:00+00:00");
    mark.number = 1001;
    mark.level = EntryLevel::floor;
    mark.site = {Kept::micrometres(-1'500'000), Kept::micrometres(2'000'001)};
    mark.sd_along = Kept::micrometres(1100);
    mark.sd_across = Kept::micrometres(900);
    mark.setup = "S1";
    mark.reading = "45.1 12.345";
    mark.note = "says \"here\", he";
    lines.push_back(book.add(mark));
    Entry note = row(Act::note, "2026-11-28T07:02Z");
    note.note = "=knocked";
    note.of = {7, false, "north"};
    lines.push_back(book.add(note));
  }
  std::string text() const {
    std::string out;
    for (const std::string& line : lines) out += line;
    return out;
  }
};

BookFound read(const std::string& text, const std::string& first = kFirst) {
  return read_book(std::make_shared<const std::string>(text), "", first);
}

}  // namespace

TEST_CASE("a row is written as the contract has it, and its chain is of all before") {
  const Three three;
  CHECK(three.lines[0] ==
        "entry,time,by,act,number,level,northing (m),easting (m),elevation (m),sd_along (m),sd_across "
        "(m),setup,"
        "issue,source,of,verdict,reading,note,chain\n");
  std::string before = kFirst;
  const std::string heads[] = {"1,2026-11-28T07:00Z,Ada,set-up,,,,,,,,S1,1,live,,,12.5,",
                               "2,2026-11-28T07:01:00+00:00,Ada,marked,1001,floor,-1.500000,2.000001,,0."
                               "001100,0.000900,S1,1,live,,,45.1 "
                               "12.345,\"says \"\"here\"\", he\"",
                               "3,2026-11-28T07:02Z,Ada,note,,,,,,,,,1,live,north:7,,,'=knocked"};
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string chain = sha256_hex(before + "\n" + heads[i]).substr(0, 16);
    CHECK(three.lines[i + 1] == heads[i] + "," + chain + "\n");
    CHECK(three.book.entries()[i].chain == chain);
    before = chain;
  }
}

TEST_CASE("what was written is read back as it was, and can be gone on with") {
  Three three;
  BookFound found = read(three.text());
  REQUIRE_FALSE(found.broken);
  CHECK(found.covered == three.text().size());
  CHECK_FALSE(found.lacks_line_feed);
  REQUIRE(found.book.size() == 3);
  const Entry& mark = found.book.entries()[1];
  CHECK(mark.number == 1001);
  CHECK(mark.level == EntryLevel::floor);
  CHECK(mark.site.northing.micrometres() == -1'500'000);
  CHECK(mark.site.easting.micrometres() == 2'000'001);
  CHECK(mark.elevation.is_none());
  CHECK(mark.sd().micrometres() == 1100);
  CHECK(mark.note == "says \"here\", he");
  CHECK(found.book.entries()[2].note == "=knocked");
  CHECK(found.book.entries()[2].of.book == "north");
  CHECK(found.book.entries()[2].of.entry == 7);
  const Entry more = row(Act::check, "2026-11-28T07:03Z");
  CHECK(found.book.add(more) == three.book.add(more));
}

TEST_CASE("a tail that was not written to its end does not count; a whole row without its line feed does") {
  const Three three;
  const std::string text = three.text();
  const std::size_t third = text.size() - three.lines[3].size();
  for (std::size_t end = 0; end <= text.size(); ++end) {
    CAPTURE(end);
    const BookFound found = read(text.substr(0, end));
    REQUIRE_FALSE(found.broken);
    std::size_t whole = 0, bytes = 0;
    for (const std::string& line : three.lines) {
      if (bytes + line.size() > end) break;
      bytes += line.size();
      ++whole;
    }
    const bool lacks = whole < 4 && end == bytes + three.lines[whole].size() - 1;
    CHECK(found.lacks_line_feed == lacks);
    CHECK(found.covered == (lacks ? end : bytes));
    CHECK(found.book.size() == (whole + (lacks ? 1U : 0U) <= 1 ? 0 : whole + (lacks ? 1U : 0U) - 1));
  }
  // Half a row that was torn in its chain looks whole but for the digest.
  const BookFound torn = read(text.substr(0, text.size() - 2));
  CHECK(torn.covered == third);
  CHECK(torn.book.size() == 2);
}

TEST_CASE("any other change of a byte is told at its line") {
  const Three three;
  const std::string text = three.text();
  std::size_t line = 1;
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    std::string changed = text;
    changed[i] = text[i] == '7' ? '8' : '7';
    CAPTURE(i);
    const BookFound found = read(changed);
    // A line feed that is gone joins two rows; in the last row it leaves a tail.
    REQUIRE(found.broken);
    CHECK(found.broken->line == line);
    line += text[i] == '\n' ? 1U : 0U;
  }
}

TEST_CASE("rows that are dropped, doubled, exchanged or of another job do not hold") {
  const Three three;
  const auto& l = three.lines;
  const struct {
    std::string text;
    std::size_t line;
  } kRows[] = {{l[0] + l[2] + l[3], 2},        {l[0] + l[1] + l[3], 3}, {l[0] + l[1] + l[1], 3},
               {l[0] + l[2] + l[1] + l[3], 2}, {l[1] + l[2], 1},        {l[0] + l[1] + "\n" + l[2], 3}};
  for (const auto& r : kRows) {
    const BookFound found = read(r.text);
    REQUIRE(found.broken);
    CHECK(found.broken->line == r.line);
  }
  const BookFound other = read(three.text(), "fedcba9876543210");
  REQUIRE(other.broken);
  CHECK(other.broken->line == 2);
}

TEST_CASE("books merge by time, name and entry, a clock that went back aside") {
  Book plain("", kFirst), north("north", kFirst);
  for (const std::string_view time : {"2026-11-28T07:00Z", "2026-11-28T07:10Z", "2026-11-28T07:05Z"})
    plain.add(row(Act::note, time));
  for (const std::string_view time : {"2026-11-28T07:00Z", "2026-11-28T07:06Z", "2026-11-28T07:10Z"})
    north.add(row(Act::note, time));
  const Book* const books[] = {&north, &plain};
  std::vector<std::pair<std::uint32_t, std::uint32_t>> got;
  for (const MergedEntry& m : merged(books)) got.emplace_back(m.book, m.row);
  const std::vector<std::pair<std::uint32_t, std::uint32_t>> want = {{1, 0}, {0, 0}, {0, 1},
                                                                     {1, 1}, {1, 2}, {0, 2}};
  CHECK(got == want);
}
