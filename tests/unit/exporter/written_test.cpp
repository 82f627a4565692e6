#include "table/written.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "table/digest.h"

using namespace deckmark;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr std::size_t kStride = 20;  // sanitizer builds run a twentieth of the repeats
#else
constexpr std::size_t kStride = 1;
#endif

std::string written(const WrittenTable& table) {
  std::string out;
  table.write([&](const char* data, std::size_t size) { out.append(data, size); });
  return out;
}

/// Hands the bytes out in pieces of `piece`, so that cells are cut at every place.
bool agrees(const WrittenTable& table, const std::string& bytes, std::size_t piece = 1 << 16,
            CheckFailure* failure = nullptr) {
  std::size_t at = 0;
  const auto read = [&](char* data, std::size_t size) {
    const std::size_t got = std::min({size, piece, bytes.size() - at});
    std::memcpy(data, bytes.data() + at, got);
    at += got;
    return got;
  };
  return table.agrees(read, failure);
}

std::unique_ptr<WrittenTable> one_text(const TableStyle& style, std::string text) {
  return written_table(style, {"a", "b"}, 1, [text](auto& sink, std::size_t) {
    sink.text(text);
    sink.text("z");
  });
}

std::unique_ptr<WrittenTable> one_number(const TableStyle& style, double value, int decimals) {
  return written_table(style, {}, 1, [=](auto& sink, std::size_t) { sink.fixed(value, decimals); });
}

TableStyle bare() {
  TableStyle style;
  style.header = false;
  return style;
}

/// Every style that a job may ask for.
std::vector<TableStyle> styles() {
  TableStyle plain;
  TableStyle instrument;
  instrument.crlf = true;
  instrument.header = false;
  instrument.neutralise = false;
  TableStyle semicolon;
  semicolon.separator = ';';
  semicolon.decimal_mark = ',';
  TableStyle tab;
  tab.separator = '\t';
  return {plain, instrument, semicolon, tab};
}

/// Texts that are awkward for a delimited file.
std::vector<std::string> awkward_texts() {
  return {"",
          "R3-01",
          "a,b",
          "a;b",
          "a\tb",
          "say \"hi\"",
          "\"",
          "\"\"",
          " lead",
          "trail ",
          "#12",
          "=1+1",
          "+3",
          "-3",
          "@x",
          "'=1",
          "''-2",
          "'",
          "it's",
          "\ttab",
          "\rcr",
          "a\nb",
          "a\r\nb",
          "'",
          "caf\xC3\xA9",
          "007",
          "1E5",
          "-",
          "'\"=",
          "=\"a\",\"b\"",
          " =1",
          "=1 ",
          "#",
          "'#",
          std::string("a\0b", 3),
          "12'-6 1/2\"",
          "\xE2\x80\xB2",
          std::string(2000, 'x'),
          std::string(2000, '"'),
          "=" + std::string(3000, ','),
          std::string(300000, 'y') + "\"" + std::string(300000, '\n')};
}

}  // namespace

TEST_CASE("digest of published test messages") {
  // source: FIPS 180-4 example messages (NIST), SHA-256 of "abc" and of the empty message
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  Sha256 parts;
  parts.update("a", 1);
  parts.update("bc", 2);
  CHECK(parts.hex() == sha256_hex("abc"));
}

TEST_CASE("text cells are quoted where a reader would take them for something else") {
  struct Row {
    std::string text, want;
  };
  for (const Row& r : {Row{"R3", "R3"}, Row{"a,b", "\"a,b\""}, Row{"6\"", "\"6\"\"\""}, Row{" a", "\" a\""},
                       Row{"a ", "\"a \""}, Row{"a\nb", "\"a\nb\""}, Row{"#12", "\"#12\""}, Row{"=1", "'=1"},
                       Row{"-3", "'-3"}, Row{"'-3", "''-3"}, Row{"@", "'@"}, Row{"'a", "'a"}, Row{"", ""},
                       Row{"=a,b", "\"'=a,b\""}, Row{"\tx", "'\tx"}, Row{"=1 ", "\"'=1 \""}}) {
    CAPTURE(r.text);
    CHECK(written(*one_text(bare(), r.text)) == r.want + ",z\n");
  }
}

TEST_CASE("the mark that keeps a spreadsheet from computing is put on and taken off again") {
  struct Row {
    const char *text, *marked;
  };
  for (const Row& r : {Row{"", ""}, Row{"H-01", "H-01"}, Row{"=1+1", "'=1+1"}, Row{"-3", "'-3"},
                       Row{"'=x", "''=x"}, Row{"'x", "'x"}, Row{"'", "'"}, Row{"\uFF1Da", "'\uFF1Da"}}) {
    CAPTURE(r.text);
    CHECK(with_formula_mark(r.text) == r.marked);
    CHECK(without_formula_mark(r.marked) == r.text);
  }
  CHECK(without_formula_mark("=1+1") == "=1+1");
}

TEST_CASE("an instrument list keeps a name that begins like a formula") {
  TableStyle style = bare();
  style.neutralise = false;
  style.crlf = true;
  CHECK(written(*one_text(style, "-3")) == "-3,z\r\n");
}

TEST_CASE("'#' is quoted only at the start of a line") {
  const auto table = written_table(bare(), {}, 1, [](auto& sink, std::size_t) {
    sink.text("a");
    sink.text("#1");
  });
  CHECK(written(*table) == "a,#1\n");
}

TEST_CASE("every awkward text is read back under every style, however the file is cut into pieces") {
  for (const TableStyle& style : styles()) {
    for (const std::string& text : awkward_texts()) {
      CAPTURE(text.substr(0, 40));
      CAPTURE(style.separator);
      const auto table = one_text(style, text);
      const std::string bytes = written(*table);
      CHECK(agrees(*table, bytes));
      CHECK(agrees(*table, bytes, 1));
      CHECK(agrees(*table, bytes, 7));
    }
  }
}

TEST_CASE("decimal mark and separator follow the style") {
  TableStyle style = bare();
  style.separator = ';';
  style.decimal_mark = ',';
  const auto table = written_table(style, {}, 1, [](auto& sink, std::size_t) {
    sink.fixed(-12.5, 3);
    sink.integer(-7);
    sink.empty();
    sink.fixed(3.0, 0);
  });
  CHECK(written(*table) == "-12,500;-7;;3\n");
  CHECK(agrees(*table, "-12,500;-7;;3\n"));
  CHECK_FALSE(agrees(*table, "-12.500;-7;;3\n"));
}

TEST_CASE("a number cell must be exactly the nearest decimal in exactly its form") {
  struct Row {
    double value;
    int decimals;
    const char* cell;
    bool same;
  };
  const Row rows[] = {
      {1.5, 3, "1.500", true},
      {1.5, 3, "1.5", false},
      {1.5, 3, "1.5000", false},
      {1.5, 3, "01.500", false},
      {1.5, 3, "+1.500", false},
      {1.5, 3, "1.501", false},
      {1.5, 3, "1.499", false},
      {1.5, 3, "-1.500", false},
      {1.5, 3, "1.5e0", false},
      {1.5, 3, " 1.500", false},
      {1.5, 3, "\"1.500\"", false},
      {-0.0001, 3, "0.000", true},
      {-0.0001, 3, "-0.000", false},
      {0.0, 3, "-0.000", false},
      {-0.0, 0, "0", true},
      {0.125, 2, "0.13", true},
      {0.125, 2, "0.12", false},
      {-0.125, 2, "-0.13", true},
      {-0.125, 2, "-0.12", false},  // ties leave zero
      {1.115, 2, "1.11", true},
      {1.115, 2, "1.12", false},  // the double is 1.11499999999999999112
      {2.5, 0, "3", true},
      {2.5, 0, "2", false},
      {0.5, 0, "1", true},
      {-0.5, 0, "-1", true},
      {0.49999999999999994, 0, "0", true},
      {0.49999999999999994, 0, "1", false},
      {123456789012345680.0, 2, "123456789012345680.00", true},
      {123456789012345680.0, 2, "123456789012345681.00", false},
      {9007199254740993.0, 1, "9007199254740992.0", true},
      {1e22, 0, "10000000000000000000000", true},
      {999999.999996, 5, "1000000.00000", true},
      {12345678.123456789, 12, "12345678.123456789181", true},
      {12345678.123456789, 12, "12345678.123456789180", false},
  };
  for (const Row& r : rows) {
    CAPTURE(r.cell);
    CAPTURE(r.value);
    CHECK(agrees(*one_number(bare(), r.value, r.decimals), std::string(r.cell) + "\n") == r.same);
  }
}

TEST_CASE("an integer cell must be exact") {
  struct Row {
    std::int64_t value;
    const char* cell;
    bool same;
  };
  constexpr std::int64_t least = std::numeric_limits<std::int64_t>::min(),
                         most = std::numeric_limits<std::int64_t>::max();
  for (const Row& r :
       {Row{0, "0", true}, Row{0, "-0", false}, Row{0, "", false}, Row{7, "07", false}, Row{7, "+7", false},
        Row{least, "-9223372036854775808", true}, Row{least, "9223372036854775808", false},
        Row{most, "9223372036854775807", true}, Row{most, "9223372036854775806", false},
        Row{5, "18446744073709551621", false}, Row{5, "5.0", false}, Row{-5, "5", false}}) {
    CAPTURE(r.cell);
    const auto table =
        written_table(bare(), {}, 1, [v = r.value](auto& sink, std::size_t) { sink.integer(v); });
    CHECK(agrees(*table, std::string(r.cell) + "\n") == r.same);
  }
}

TEST_CASE("the checker refuses what a reader would not give back") {
  struct Row {
    const char *text, *bytes;
  };
  for (const Row& r : {Row{"=1", "=1,z\n"},       // not neutralised
                       Row{" a", " a,z\n"},       // a reader trims it
                       Row{"#1", "#1,z\n"},       // a reader takes it for a comment
                       Row{"a\"b", "a\"b,z\n"},   // a quote outside quotes
                       Row{"a,b", "a,b,z\n"},     // two cells
                       Row{"ab", "\"ab,z\n"},     // quotes never closed
                       Row{"ab", "\"ab\"x,z\n"},  // text behind the quotes
                       Row{"ab", "ab,z"},         // no line end
                       Row{"ab", "ab,z\r\n"},     // the other line end
                       Row{"ab", "ab,z\n\n"},     // a line more
                       Row{"ab", "ab,z,\n"},      // a cell more
                       Row{"ab", "ab\n"},         // a cell less
                       Row{"ab", ""}}) {
    CAPTURE(r.bytes);
    CHECK_FALSE(agrees(*one_text(bare(), r.text), r.bytes));
  }
}

TEST_CASE("a difference is told with its row, cell and what stood there") {
  const auto table = written_table({}, {"number", "x (m)"}, 3, [](auto& sink, std::size_t i) {
    sink.integer(static_cast<std::int64_t>(i) + 1001);
    sink.fixed(1.25, 2);
  });
  CheckFailure failure;
  CHECK_FALSE(agrees(*table, "number,x (m)\n1001,1.25\n1002,1.35\n1003,1.25\n", 3, &failure));
  CHECK(failure.row == 3);
  CHECK(failure.cell == 2);
  CHECK(failure.found == "1.35");
}

TEST_CASE("writer and checker agree on doubles of every size, ties and their neighbours included") {
  std::mt19937_64 random(1);
  std::vector<std::pair<double, int>> values;
  for (int i = 0; i < 20000; ++i) {
    const int decimals = static_cast<int>(random() % 13);
    const double tie = (static_cast<double>(random() % 2000001) - 1000000.0 + 0.5) / std::pow(10.0, decimals);
    for (const double v : {tie, std::nextafter(tie, 1e300), std::nextafter(tie, -1e300)})
      values.emplace_back(v, decimals);
    const double wide =
        std::ldexp(static_cast<double>(random() >> 11) * 0x1p-53, static_cast<int>(random() % 120) - 60);
    values.emplace_back(random() % 2 == 0 ? wide : -wide, decimals);
  }
  for (const double v : {0.0, -0.0, 1e300, -1e300, 5e-324, 0x1p53, 0x1p53 + 2, 0x1p63, 0x1p64}) {
    for (const int d : {0, 5, 12}) values.emplace_back(v, d);
  }
  const auto table = written_table(bare(), {}, values.size(), [&](auto& sink, std::size_t i) {
    sink.fixed(values[i].first, values[i].second);
  });
  CheckFailure failure;
  const bool same = agrees(*table, written(*table), 1 << 16, &failure);
  if (!same) {
    CAPTURE(values[failure.row - 1].first);
    CAPTURE(values[failure.row - 1].second);
    CAPTURE(failure.found);
    CHECK(same);
  }
  CHECK(same);
}

TEST_CASE("a changed byte anywhere in the file is found") {
  std::mt19937_64 random(1);
  for (const TableStyle& style : styles()) {
    const std::vector<std::string> texts = [] {
      std::vector<std::string> out;
      for (const std::string& t : awkward_texts()) {
        if (t.size() < 100) out.push_back(t);
      }
      return out;
    }();
    std::vector<double> values;
    for (std::size_t i = 0; i < texts.size(); ++i)
      values.push_back((static_cast<double>(random() % 400001) - 200000.0) / 128.0);  // many ties
    const auto table =
        written_table(style, {"number", "point, name", "x (m)", "empty", "\xE2\x80\xB2", "repeated"},
                      texts.size(), [&](auto& sink, std::size_t i) {
                        sink.integer(static_cast<std::int64_t>(i * i) - 5);
                        sink.text(texts[i]);
                        sink.fixed(values[i], 5);
                        sink.empty();
                        sink.fixed(values[i], 1);
                        sink.fixed(values[i / 4], i % 8 < 6 ? 3 : 2);
                      });
    const std::string good = written(*table);
    REQUIRE(agrees(*table, good));
    for (std::size_t at = 0; at < good.size(); at += kStride) {
      std::string bad = good;
      for (int change = 0; change < 20; ++change) {
        // One bit at a time, then characters that mean something in such a file.
        bad[at] = change < 8 ? static_cast<char>(static_cast<unsigned char>(good[at]) ^ (1U << change))
                             : "0123456789-+ ,;\"'.\n\r"[change];
        if (bad[at] == good[at]) continue;
        if (agrees(*table, bad)) {
          CAPTURE(at);
          CAPTURE(good.substr(at < 20 ? 0 : at - 20, 40));
          CAPTURE(static_cast<int>(bad[at]));
          FAIL_CHECK("a changed byte was not found");
        }
      }
    }
    for (std::size_t keep = 0; keep < good.size(); keep += kStride)
      CHECK_FALSE(agrees(*table, good.substr(0, keep)));
  }
}
