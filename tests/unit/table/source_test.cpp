#include "table/source.h"

#include <doctest/doctest.h>

#include <string>

#include "table/digest.h"

using namespace deckmark;

namespace {

LineColumn place(const std::string& bytes, std::size_t offset) {
  return Source::from_bytes("t.csv", bytes)->places({static_cast<std::uint32_t>(offset)})[0];
}

}  // namespace

TEST_CASE("a digest that begins anew is that of a new object") {
  Sha256 digest;
  for (const std::string_view text :
       {"abc", "", "abc", "a longer one than a block of this digest is, which has 64"}) {
    digest.update(text.data(), text.size());
    CHECK(digest.hex_and_begin() == sha256_hex(text));
  }
}

TEST_CASE("lines are counted over LF, CRLF and CR; columns are code points") {
  struct Row {
    const char* text;
    std::size_t offset;
    std::uint32_t line, column;
  };
  for (const Row& r : {Row{"ab\ncd", 3, 2, 1}, Row{"ab\r\ncd", 4, 2, 1}, Row{"ab\rcd", 3, 2, 1},
                       Row{"a\r\rb", 3, 3, 1}, Row{"a\tb", 2, 1, 3}, Row{"é,x", 3, 1, 3},
                       Row{"\xB0,x", 2, 1, 3}, Row{"\xE2\x80,x", 3, 1, 4}, Row{"", 0, 1, 1}}) {
    CAPTURE(std::string(r.text));
    const LineColumn p = place(r.text, r.offset);
    CHECK(p.line == r.line);
    CHECK(p.column == r.column);
  }
}

TEST_CASE("many offsets in one sweep come back in the order given") {
  const auto source = Source::from_bytes("t.csv", "one\ntwo\nthree\n");
  const auto p = source->places({8, 0, 5, 4});
  CHECK(p[0].line == 3);
  CHECK(p[1].line == 1);
  CHECK(p[2].line == 2);
  CHECK(p[2].column == 2);
  CHECK(p[3].column == 1);
}

TEST_CASE("byte-order marks are no text; UTF-16 becomes UTF-8, and the digest is the file's own") {
  // SHA-256 of the empty message and of "abc": FIPS 180-4 examples, published by NIST (values from memory).
  CHECK(Source::from_bytes("a", "abc")->sha256() ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(Source::from_bytes("a", "")->sha256() ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(Source::from_bytes("a", "\xEF\xBB\xBFx")->text() == "x");
  const std::string little(
      "\xFF\xFE"
      "A\0\xE9\0\x3D\xD8\x00\xDE",
      10),
      big("\xFE\xFF"
          "\0A\0\xE9",
          6);
  CHECK(Source::from_bytes("a", little)->text() == "Aé\xF0\x9F\x98\x80");
  CHECK(Source::from_bytes("a", big)->text() == "Aé");
  CHECK(Source::from_bytes("a", std::string("\xFF\xFE"
                                            "A\0\x00\xD8",
                                            6))
            ->text() == "A\xFF");  // a lone surrogate is bad text
}
