#include "report/book_text.h"

#include <doctest/doctest.h>

#include <sstream>
#include <string>
#include <vector>

using namespace deckmark;

namespace {

MoveWay way(MoveWay::Toward toward, double millimetres, std::uint32_t mark, const char* run = "") {
  MoveWay out;
  out.toward = toward;
  out.by = Length::millimetres(millimetres);
  out.mark = mark;
  out.run = run;
  return out;
}

Said read(double off, double permitted, std::vector<MoveWay> ways) {
  Said out;
  out.kind = SaidKind::read;
  out.typed = 1041;
  out.level = EntryLevel::floor;
  ReadTold told;
  told.ways = std::move(ways);
  told.distance = Length::millimetres(off);
  told.permitted = Length::millimetres(permitted);
  told.radius = Length::millimetres(3.4);
  told.can_keep = off <= permitted;
  told.is_far = off > 250;
  out.read = told;
  return out;
}

std::string told(const Said& s, LengthUnit unit = LengthUnit::metre, std::size_t width = 80) {
  BookWords words;
  words.form.unit = unit;
  words.width = width;
  return book_text({&s, 1}, words);
}

}  // namespace

TEST_CASE("a mark is told toward what it moves, how far it is off, and what to type") {
  using Toward = MoveWay::Toward;
  const std::vector<MoveWay> both = {way(Toward::mark, 5, 1042), way(Toward::run, 3, 0, "R2")};
  CHECK(told(read(5.8, 6, both)) ==
        "1041: 5 mm toward 1042, 3 mm toward run R2; then y\n5.8 mm off, permitted 6.0 mm; good to 3.4 mm "
        "(95 in "
        "100)\n");
  // Just beyond is seen to be beyond.
  CHECK(
      told(read(6.2, 6, both)) ==
      "1041: 5 mm toward 1042, 3 mm toward run R2\n6.2 mm off, permitted 6.0 mm: move it and read again, or "
      "keep: and why\n");
  CHECK(told(read(0.2, 6, {way(Toward::mark, 0.2, 1042)})) ==
        "1041: it is there, good to 3.4 mm (95 in 100); y\n");
  CHECK(
      told(read(1012, 6, {way(Toward::left, 1012, 1042)})) ==
      "1041: 1.012 m to the left, facing 1042\n1.012 m off: another mark? Type its number, or move and read "
      "again\n");
  CHECK(told(read(5.8, 6, both), LengthUnit::feet_inches)
            .starts_with(
                "1041: 3/16\" toward 1042, 1/8\" toward run R2; then y\n15/64\" off, permitted 15/64\""));
}

TEST_CASE("what a check would show is never told smaller than it is") {
  Said s;
  s.text = std::string("a move of ") + kLengthHere + " or more";
  s.lengths = {Length::millimetres(8.4)};
  s.rounds_up = true;
  CHECK(told(s) == "a move of 9 mm or more\n");
  CHECK(told(s, LengthUnit::feet_inches) == "a move of 3/8\" or more\n");
  s.lengths = {Length::millimetres(9)};
  CHECK(told(s) == "a move of 9 mm or more\n");
}

TEST_CASE("no line is wider than the terminal") {
  const Said lines[] = {
      read(5.8, 6, {way(MoveWay::Toward::mark, 5, 1042), way(MoveWay::Toward::run, 3, 0, "R2")}),
      read(41, 6, {way(MoveWay::Toward::from_mark, 38, 1042)})};
  BookWords words;
  words.width = 40;
  std::istringstream in(book_text(lines, words));
  std::size_t count = 0;
  for (std::string line; std::getline(in, line); ++count) CHECK(line.size() <= 40);
  CHECK(count > 4);
}
