#include "book/typing.h"

#include <doctest/doctest.h>

#include <string>

#include "book/sheet_id.h"

using namespace deckmark;

namespace {

TypingForm degrees() {
  TypingForm form;
  form.angles.bare = AngleNotation::degrees;
  return form;
}

std::string word_of(std::string_view line, const TypingForm& form = degrees()) {
  const auto typed = typed_line(line, form);
  if (const auto* no = std::get_if<Refusal>(&typed)) return std::string(no_word(no->word));
  return "";
}
Typed good(std::string_view line, const TypingForm& form = degrees()) {
  CAPTURE(line);
  const auto typed = typed_line(line, form);
  if (const auto* no = std::get_if<Refusal>(&typed)) FAIL(no->why);
  return std::get<Typed>(typed);
}

}  // namespace

TEST_CASE("a line is what its first character and its words say") {
  const struct {
    const char* line;
    TypedKind kind;
  } rows[] = {{"", TypedKind::nothing},
              {"   ", TypedKind::nothing},
              {"1041", TypedKind::number},
              {" 1041 ", TypedKind::number},
              {"1041\r", TypedKind::number},
              {".", TypedKind::dot},
              {"k", TypedKind::knock},
              {"K", TypedKind::knock},
              {"y", TypedKind::yes},
              {"y ", TypedKind::yes},
              {"123.4 5.6", TypedKind::reading},
              {"c 100 200", TypedKind::reading},
              {"cu 1041", TypedKind::act},
              {"ch", TypedKind::check},
              {"check", TypedKind::check},
              {"check CP1", TypedKind::check},
              {"no a text", TypedKind::note},
              {"ho", TypedKind::hold},
              {"hold: pipe in the way", TypedKind::hold},
              {"ke: pipe", TypedKind::keep},
              {"un", TypedKind::undo},
              {"undo 12", TypedKind::undo},
              {"se S2", TypedKind::setup},
              {"NEXT", TypedKind::next},
              {"end", TypedKind::end},
              {"he", TypedKind::help},
              {"at 2026-11-28T14:40Z", TypedKind::at}};
  for (const auto& row : rows) {
    CAPTURE(row.line);
    CHECK(good(row.line).kind == row.kind);
  }
}

TEST_CASE("what is typed amiss is refused with the word that says what") {
  const struct {
    const char* line;
    const char* word;
  } rows[] = {{"m", "word"},
              {"c", "word"},
              {"markt 1041", "word"},
              {"marked1041", "word"},
              {"next 1041", "word"},
              {"end x", "word"},
              {"1041-1052", "word"},
              {"0", "number"},
              {"99999999999", "number"},
              {"123.4 x", "reading"},
              {"123.4 0", "reading"},
              {"123.4 -5", "reading"},
              {"400 5", "reading"},
              {"1 2 3 4 5", "reading"},
              {"10 180 5", "reading"},
              {"10 0 5", "reading"},
              {"c 100", "reading"},
              {"c 1 2 3 4", "reading"},
              {"marked 1041-", "list"},
              {"marked x", "list"},
              {"marked but 1041", "list"},
              {"marked 1041 but", "list"},
              {"marked 1041-1044 but 1042 but 1043", "list"},
              {"doubtful 1041", "reason"},
              {"doubtful 1041:  ", "reason"},
              {"cleared", "reason"},
              {"undo x", "undo"},
              {"undo 0", "undo"},
              {"setup", "setup"},
              {"at", "time"},
              {"note", "text"},
              {"note 1041:", "text"},
              {"keep", "text"},
              {"keep:", "text"},
              {"keep pipe", "text"},
              {"hold pipe", "text"},
              {"note a\tb", "text"},
              {"note \xE2\x80\xAE", "text"},
              {"note \xE2\x80\x8B", "text"},
              {"note \xFF", "text"},
              {"note \x1b[2J", "text"}};
  for (const auto& row : rows) {
    CAPTURE(row.line);
    CHECK(word_of(row.line) == row.word);
  }
}

TEST_CASE("two letters do where they begin one word alone, one never does") {
  CHECK(good("ma").act == Act::marked);
  CHECK(good("dr").act == Act::drilled);
  CHECK(good("fi").act == Act::filled);
  CHECK(good("cu").act == Act::cut);
  CHECK(good("hu").act == Act::hung);
  CHECK(good("ta").act == Act::taken_down);
  CHECK(good("taken-d 1041").act == Act::taken_down);
  CHECK(good("vo").act == Act::voided);
  CHECK(good("do: bent").act == Act::doubtful);
  CHECK(good("cl: looked").act == Act::cleared);
}

TEST_CASE("400 characters are a line, 200 a text, whatever bytes they take") {
  const std::string umlauts = [] {
    std::string out;
    for (int i = 0; i < 200; ++i) out += "\xC3\xA4";
    return out;
  }();
  CHECK(good("note: " + umlauts).text == umlauts);
  CHECK(word_of("note: " + umlauts + "x") == "text");
  const std::string blanks(395, ' ');
  CHECK(word_of("note" + blanks + "x") == "");
  CHECK(word_of("note" + blanks + " x") == "text");
}

TEST_CASE("a reading is parted by blanks, by semicolons where a value holds one") {
  TypingForm form = degrees();
  const TypedReading flat = *good("123.5 6.25", form).reading;
  CHECK(flat.kind == TypedReading::Kind::flat);
  CHECK(flat.circle.degrees() == 123.5);
  CHECK(flat.distance.metres() == 6.25);
  const TypedReading parted = *good("123 30 00; 6.25", form).reading;
  CHECK(parted.kind == TypedReading::Kind::flat);
  CHECK(parted.circle.degrees() == 123.5);
  const TypedReading polar = *good("123-30-00 95.5 6.25 1.3", form).reading;
  CHECK(polar.kind == TypedReading::Kind::polar);
  CHECK(polar.zenith.degrees() == 95.5);
  CHECK(polar.target_height->metres() == 1.3);
  CHECK_FALSE(polar.is_face_two());
  CHECK(good("303.5 264.5 6.25", form).reading->is_face_two());
  const TypedReading place = *good("c 6412.5 3170.25 22.1", form).reading;
  CHECK(place.northing.metres() == 6412.5);
  CHECK(place.easting.metres() == 3170.25);
  CHECK(place.elevation == Elevation::metres(22.1));
  form.lengths.bare = LengthUnit::foot;
  CHECK(good("12' 6\"; 3", TypingForm{{}, {LengthUnit::foot}, true}).reading->from_x_string.metres() ==
        doctest::Approx(3.81));
  CHECK(good("123.5; 12'-6\"", form).reading->distance.metres() == doctest::Approx(3.81));
  form.tape = true;
  CHECK(good("-0.35 2.1", form).reading->from_y_string.metres() == doctest::Approx(0.64008));
  CHECK(word_of("1 2 3", form) == "reading");
  CHECK(word_of("c 1 2", form) == "reading");
}

TEST_CASE("a list has numbers, ranges and what is left out") {
  const TypedList list = *good("marked 1041 - 1052, 1060 but 1047").list;
  REQUIRE(list.take.size() == 2);
  CHECK(list.take[0].first == 1041);
  CHECK(list.take[0].last == 1052);
  CHECK(list.take[1].first == 1060);
  CHECK_FALSE(list.take[1].is_range);
  REQUIRE(list.leave.size() == 1);
  CHECK(list.leave[0].first == 1047);
  CHECK(good("voided 1041: kicked by the lift").text == "kicked by the lift");
  CHECK_FALSE(good("note clear of duct: 20 mm").list.has_value());
  CHECK(good("note clear of duct: 20 mm").text == "clear of duct: 20 mm");
  CHECK(good("note 1041-1043: edge").list.has_value());
}

TEST_CASE("a sheet's number holds every wrong digit and every two that are exchanged against itself") {
  const SheetId id{12, SheetKind::holes, 7};
  const std::string text = sheet_id_text(id);
  // 1230700 is 97 times 12687 and 61.
  CHECK(text == "12307-37");
  REQUIRE(sheet_id_of(text));
  CHECK(*sheet_id_of(text) == id);
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '-') continue;
    for (char c = '0'; c <= '9'; ++c) {
      std::string other = text;
      other[i] = c;
      CHECK(sheet_id_of(other).has_value() == (c == text[i]));
    }
    if (i + 1 < text.size() && text[i + 1] != '-' && text[i] != text[i + 1]) {
      std::string other = text;
      std::swap(other[i], other[i + 1]);
      CHECK_FALSE(sheet_id_of(other));
    }
  }
  for (const char* bad :
       {"", "12307", "12307-", "12307-3", "12307-371", "-37", "012307-37", "12307 37", "1-2"})
    CHECK_FALSE(sheet_id_of(bad));
}
