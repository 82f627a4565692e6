#include "exporter/list_layout.h"

#include <doctest/doctest.h>

#include <string>

using namespace deckmark;

namespace {

std::string utf8_of(char32_t c) {
  const int more = c < 0x80 ? 0 : c < 0x800 ? 1 : c < 0x10000 ? 2 : 3;
  constexpr unsigned lead[] = {0, 0xC0, 0xE0, 0xF0};
  std::string out(1, static_cast<char>(lead[more] | (c >> (6 * more))));
  for (int i = more; i-- > 0;) out += static_cast<char>(0x80 | ((c >> (6 * i)) & 0x3F));
  return out;
}

}  // namespace

TEST_CASE("text is spelt in ASCII as a crew would type it") {
  struct Row {
    const char *text, *want;
  };
  const Row rows[] = {
      {"R3-01", "R3-01"},
      {"Caf\xC3\xA9 na\xC3\xAFve", "Cafe naive"},
      {"e\xCC\x81", "e"},  // e and a combining acute
      {"\xC3\x98"
       "10 rod",
       "O10 rod"},                  // diameter written as O with stroke
      {"\xE2\x8C\x80 10", "O 10"},  // the diameter sign
      {"Stra\xC3\x9F"
       "e \xC3\xA6\xC5\x93\xC5\x82",
       "Strasse aeoel"},
      {"6\xE2\x80\xB2-3\xE2\x80\xB3", "6'-3\""},  // primes
      {"\xE2\x80\x9C"
       "A\xE2\x80\x9D \xE2\x80\x98"
       "b\xE2\x80\x99",
       "\"A\" 'b'"},
      {"1\xE2\x80\x93"
       "2 \xE2\x88\x92"
       "3 \xE2\x80\x94",
       "1-2 -3 -"},
      {"\xC2\xBD in", "1/2 in"},
      {"45\xC2\xB0", "45deg"},
      {"a\xC2\xA0"
       "b",
       "a b"},
      {"2\xC3\x97"
       "4",
       "2x4"},
      {"zero\xE2\x80\x8Bwidth", "zerowidth"},
      {"\xC4\xB0\xC4\xB1\xC5\x9E\xC4\x9F", "IiSg"},
      {"\xE1\xBA\xBF", "e"},  // e with circumflex and acute, one character
      {"\xCE\xB1\xD0\x96\xE6\xBC\xA2\xF0\x9F\x98\x80",
       "????"},  // Greek, Cyrillic, Han, a face: one mark each
      {"bad\xFF"
       "byte",
       "bad?byte"},
      {"cut\xC3", "cut?"},
      {"\xC0\xAF", "??"},  // an overlong form is two bad bytes
  };
  for (const Row& r : rows) {
    CAPTURE(r.text);
    CHECK(to_ascii(r.text) == r.want);
  }
}

TEST_CASE("every character of the Unicode range is spelt with ASCII alone") {
  for (char32_t c = 0x80; c < 0x11000; ++c) {
    if (c >= 0xD800 && c < 0xE000) continue;
    const std::string utf8 = utf8_of(c);
    for (const char out : to_ascii(utf8)) {
      if (out < ' ' || out > '~') FAIL_CHECK("not ASCII for U+" << static_cast<unsigned>(c));
    }
    REQUIRE(first_characters(utf8 + "x", 1).size() == utf8.size());
  }
}

TEST_CASE("a text is cut between characters, never inside one") {
  struct Row {
    const char* text;
    std::size_t most;
    const char* want;
  };
  for (const Row& r : {Row{"abcdef", 3, "abc"}, Row{"abc", 5, "abc"}, Row{"abc", 0, ""}, Row{"", 3, ""},
                       Row{"\xC3\xA9\xC3\xA9\xC3\xA9", 2, "\xC3\xA9\xC3\xA9"},
                       Row{"e\xCC\x81x", 1, "e\xCC\x81"},  // the accent stays with its letter
                       Row{"ae\xCC\x81x", 2, "ae\xCC\x81"},
                       Row{"\xFF\xFE"
                           "a",
                           2, "\xFF\xFE"}}) {
    CAPTURE(r.text);
    CAPTURE(r.most);
    CHECK(first_characters(r.text, r.most) == r.want);
  }
}

TEST_CASE("a run's name becomes a safe part of a file name") {
  struct Row {
    const char *run, *want;
  };
  for (const Row& r :
       {Row{"R3", "R3"}, Row{"run-1_b", "run-1_b"}, Row{"a/b", "a_b"}, Row{"../x", "___x"}, Row{"R 3", "R_3"},
        Row{"\xC3\xA9t\xC3\xA9", "_t_"}, Row{"", ""}, Row{"a.b:c", "a_b_c"}}) {
    CAPTURE(r.run);
    CHECK(safe_file_part(r.run) == r.want);
  }
}

TEST_CASE("a description is its parts, one blank between, spelt, separated, cut") {
  const DescriptionTexts texts = {"H-12", "hanger", "R3", "1.4032"};
  ListOptions options;
  CHECK(list_description(texts, options).text == "H-12 hanger");

  options.description = {DescriptionPart::run, DescriptionPart::drop, DescriptionPart::point};
  CHECK(list_description(texts, options).text == "R3 1.4032 H-12");
  CHECK(list_description({"H-12", "", "", ""}, options).text == "H-12");
  CHECK(list_description({"", "", "", ""}, options).text.empty());

  options.description = {DescriptionPart::point};
  const Description replaced = list_description({"a,b", "", "", ""}, options);
  CHECK(replaced.text == "a b");
  CHECK(replaced.separator_replaced);
  CHECK_FALSE(list_description({"a;b", "", "", ""}, options).separator_replaced);

  options.description_length = 4;
  CHECK(list_description({"abc def", "", "", ""}, options).text == "abc");  // no blank at the end
  CHECK(list_description({"\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9", "", "", ""}, options).text == "eeee");
  CHECK(list_description({"\xC3\x9F\xC3\x9F\xC3\x9F", "", "", ""}, options).text ==
        "ssss");  // cut after it is spelt
  options.ascii = false;
  CHECK(list_description({"\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9", "", "", ""}, options).text ==
        "\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9");
}

TEST_CASE("header cells of a list name the unit of every length") {
  ListOptions options;
  CHECK(list_header(options, LengthUnit::metre) ==
        std::vector<std::string>{"number", "northing (m)", "easting (m)", "elevation (m)", "description"});
  options.columns = {ListColumn::point, ListColumn::kind, ListColumn::run, ListColumn::x, ListColumn::y};
  CHECK(list_header(options, LengthUnit::survey_foot) ==
        std::vector<std::string>{"point", "kind", "run", "x (us-ft)", "y (us-ft)"});
}

TEST_CASE(
    "a list is written with carriage returns, without header, its names as they are, unless told otherwise") {
  const TableStyle style = list_style({});
  CHECK(style.separator == ',');
  CHECK(style.crlf);
  CHECK_FALSE(style.header);
  CHECK_FALSE(style.neutralise);
  CHECK(style.decimal_mark == '.');
}

TEST_CASE("words of columns and parts read back") {
  for (int i = 0; i < 10; ++i) {
    const auto column = static_cast<ListColumn>(i);
    CHECK(list_column_from_word(list_column_word(column)) == column);
  }
  for (int i = 0; i < 4; ++i) {
    const auto part = static_cast<DescriptionPart>(i);
    CHECK(description_part_from_word(description_part_word(part)) == part);
  }
  CHECK_FALSE(list_column_from_word("height"));
}
