#include "measure/fault.h"

#include <doctest/doctest.h>

#include <string>

#include "measure/visible_lines.h"

using namespace deckmark;

TEST_CASE("found text is quoted, cut, and shows what cannot be seen") {
  struct Row {
    std::string text, want;
  };
  const std::string forty(40, 'x');
  for (const Row& r : {Row{"12.5", "\"12.5\""},
                       Row{"12'-13\"", "\"12'-13\\\"\""},
                       Row{"", "\"\""},
                       Row{"a\tb", "\"aU+0009b\""},
                       Row{std::string("a\0b", 3), "\"aU+0000b\""},
                       Row{"\x1B[31m", "\"U+001B[31m\""},
                       Row{"\xC2\x92", "\"U+0092\""},
                       Row{"1\xC2\xA0"
                           "2",
                           "\"1U+00A02\""},
                       Row{"x\xE2\x80\x8B", "\"xU+200B\""},
                       Row{"\xE2\x80\xAE"
                           "abc",
                           "\"U+202Eabc\""},
                       Row{"\xEF\xBB\xBF", "\"U+FEFF\""},
                       Row{"\x92", "\"0x92\""},
                       Row{"\xC3", "\"0xC3\""},
                       Row{"\xC3(", "\"0xC3(\""},
                       Row{"\xED\xA0\x80", "\"0xED0xA00x80\""},
                       Row{"\xC0\xAF", "\"0xC00xAF\""},
                       Row{"\xF5\x80\x80\x80", "\"0xF50x800x800x80\""},
                       Row{"\xF3\xA0\x81\x81", "\"U+E0041\""},
                       Row{"caf\xC3\xA9 \xE2\x82\xAC", "\"caf\xC3\xA9 \xE2\x82\xAC\""},
                       Row{forty, "\"" + forty + "\""},
                       Row{forty + "x", "\"" + forty + "...\""}}) {
    CAPTURE(r.want);
    CHECK(in_quotes(r.text) == r.want);
  }
}

TEST_CASE("text of several lines keeps its line feeds, sheets and blanks and nothing else that acts") {
  struct Row {
    std::string text, want;
  };
  for (const Row& r :
       {Row{"", ""}, Row{"plain\n  text\n", "plain\n  text\n"}, Row{"a\x1b[31mb\n", "aU+001B[31mb\n"},
        Row{"a\r\nb", "aU+000D\nb"}, Row{"one\n\ftwo\n", "one\n\ftwo\n"}, Row{"a\fb", "aU+000Cb"},
        Row{"a\tb", "aU+0009b"}, Row{"\x7f", "U+007F"}, Row{"\u009b", "U+009B"},
        Row{"x\u202Ey\u2066\u061C\u200E", "xU+202EyU+2066U+061CU+200E"}, Row{"\u2028", "U+2028"},
        Row{"\u200B\uFEFF", "U+200BU+FEFF"}, Row{"1\u00A02\u202F3", "1\u00A02\u202F3"},
        Row{"\xff\xC3", "0xFF0xC3"}, Row{"caf\u00E9 \u2264 6 mm", "caf\u00E9 \u2264 6 mm"},
        Row{std::string("\0", 1), "U+0000"}}) {
    CAPTURE(r.want);
    CHECK(visible_lines(r.text) == r.want);
    CHECK(visible_lines(r.want) == r.want);  // what shows is left as it is
  }
}

TEST_CASE("the cut counts characters, never half of one") {
  std::string long_text;
  for (int i = 0; i < 50; ++i) long_text += "\xE2\x82\xAC";
  const std::string quoted = in_quotes(long_text);
  CHECK(quoted.size() == 40 * 3 + 5);
  CHECK(quoted.ends_with("\xE2\x82\xAC...\""));
}

TEST_CASE("an outcome is a value or a fault") {
  const Outcome<int> good(3);
  REQUIRE(bool(good));
  CHECK(*good == 3);
  const Outcome<int> bad(Fault{"a", "b", "c"});
  REQUIRE(!bad);
  CHECK(bad.fault().expected == "b");
}
