#include "table/reader.h"

#include <doctest/doctest.h>

#include <random>
#include <string>
#include <vector>

#include "support/no_threads.h"

using namespace deckmark;
using deckmark_test::NoThreads;

namespace {

TableSpec spec() {
  return {
      "points",
      {{"point", ColumnKind::name, true}, {"x", ColumnKind::length, true}, {"note", ColumnKind::text, false}},
      {},
      false};
}

struct Taken {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::uint32_t> begins;
  std::vector<std::string> problems;
  std::size_t stretches = 0;
};

Taken read(const std::string& bytes, TableSpec what = spec()) {
  struct Keeper final : Table::Handler {
    std::vector<std::vector<std::string>> rows;
    std::vector<std::uint32_t> begins;
    void row(const Row& r, Messages&) override {
      rows.push_back({std::string(r.text(0)), std::string(r.text(1)), std::string(r.text(2))});
      begins.push_back(r.begin());
    }
  };
  Taken out;
  Messages messages;
  const auto table = Table::open(Source::from_bytes("t.csv", bytes), std::move(what), messages);
  if (table) {
    const auto parts = table->read([] { return std::make_unique<Keeper>(); }, messages);
    out.stretches = parts.size();
    for (const auto& p : parts) {
      const auto& k = static_cast<const Keeper&>(*p);
      out.rows.insert(out.rows.end(), k.rows.begin(), k.rows.end());
      out.begins.insert(out.begins.end(), k.begins.begin(), k.begins.end());
    }
  }
  for (const Message& m : messages.sorted(Grade::problem)) out.problems.push_back(message_line(m));
  return out;
}

using Rows = std::vector<std::vector<std::string>>;

}  // namespace

TEST_CASE("cells are trimmed and unquoted; a quote inside a cell is an ordinary character") {
  CHECK(read("point,x,note\n A1 ,\t1 ,\"say \"\"hi\"\"\"\nA2,2,24\" pier\nA3,3,\" quoted \"\n").rows ==
        Rows{{"A1", "1", "say \"hi\""}, {"A2", "2", "24\" pier"}, {"A3", "3", "quoted"}});
  CHECK(read("point;x;note\nA1;1,5;a, b, c\n").rows == Rows{{"A1", "1,5", "a, b, c"}});
  CHECK(read("note\tpoint\tx\n\tA1\t1\n").rows == Rows{{"A1", "1", ""}});
  CHECK(read("point,x\r\nA1,\xC2\xA0 1\xC2\xA0\r\n").rows == Rows{{"A1", "1", ""}});
  CHECK(read("point,x\rA1,1\rA2,2").rows == Rows{{"A1", "1", ""}, {"A2", "2", ""}});
}

TEST_CASE("cells come back wherever they lie, whatever stands beside them") {
  // The reader takes rows without quotes, blanks at ends and bytes beyond ASCII in a quicker way: all rows
  // are mixed here.
  struct Written {
    std::string text, means;
  };
  std::mt19937 random(1);
  const auto up_to = [&](unsigned most) { return static_cast<std::size_t>(random() % (most + 1)); };
  const auto cell = [&](char separator, bool may_be_empty) -> Written {
    constexpr std::string_view kLetters = "ABCxyz019'-/.#+ \"";
    std::string text;
    for (std::size_t i = up_to(20) + (may_be_empty ? 0 : 1); i > 0; --i)
      text += kLetters[up_to(kLetters.size() - 1)];
    if (random() % 16 == 0) text += "\xC3\xA4";
    if (!may_be_empty) text.insert(0, "A");
    if (const auto a = text.find_first_not_of(' '); a == std::string::npos)
      text.clear();
    else
      text = text.substr(a, text.find_last_not_of(' ') + 1 - a);
    if (!text.empty() && text[0] == '"') text[0] = 'Q';
    if (random() % 8 == 0) {
      std::string quoted = "\"";
      for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
      return {quoted + "\"", text};
    }
    if (random() % 8 == 0)
      return {std::string(up_to(2), ' ') + text + std::string(up_to(2), separator == '\t' ? ' ' : '\t'),
              text};
    return {text, text};
  };
  for (const char separator : {',', ';', '\t'})
    for (const std::string_view line_end : {"\n", "\r\n", "\r"}) {
      std::string file = std::string("point") + separator + "x" + separator + "note" + std::string(line_end);
      Rows expected;
      for (int i = 0; i < 3000; ++i) {
        const Written a = cell(separator, false), b = cell(separator, true), c = cell(separator, true);
        file += a.text + separator + b.text + separator + c.text;
        if (i < 2999 || separator == ',') file += line_end;
        expected.push_back({a.means, b.means, c.means});
        if (random() % 64 == 0) file += line_end;  // a blank line
      }
      CAPTURE(separator);
      CAPTURE(line_end.size());
      const Taken taken = read(file);
      CHECK(taken.problems.empty());
      REQUIRE(taken.rows.size() == expected.size());
      for (std::size_t i = 0; i < expected.size(); ++i) {
        CAPTURE(i);
        REQUIRE(taken.rows[i] == expected[i]);
      }
    }
}

TEST_CASE("a record over several lines counts its cells on their own lines") {
  const Taken t = read("point,note,x\nA1,\"first\nsecond\",1\nA2,ok\nA3,\"a\nb\nc\",\xB0\n");
  REQUIRE(t.problems.size() == 2);
  CHECK(t.problems[0] == "t.csv:4:1: row: found 2 cells, expected 3 as in the header");
  CHECK(t.problems[1].starts_with("t.csv:7:4: x: found byte 0xB0"));
}

TEST_CASE("quotes that do not close are told where they open, and later rows are still read") {
  const Taken open = read("point,x,note\nA1,1,\"open\nA2,2,x\nA3,3,y\n");
  REQUIRE(open.problems.size() == 1);
  CHECK(open.problems[0].starts_with("t.csv:2:6: note: found a quoted cell that is not closed properly"));
  CHECK(open.rows == Rows{{"A2", "2", "x"}, {"A3", "3", "y"}});
  const Taken after = read("point,x,note\nA1,1,\"note\" more\nA2,2,x\n");
  CHECK(after.problems.size() == 1);
  CHECK(after.rows == Rows{{"A2", "2", "x"}});
}

TEST_CASE("two threads read what one reads, also where a quoted line break stands at the middle") {
  std::mt19937 random(1);
  for (const bool breaks : {false, true}) {
    std::string bytes = "point,x,note\n";
    Rows want;
    for (int i = 0; i < 120000; ++i) {
      std::string note = random() % 7 ? "n" : "";
      // Every note near the middle holds line breaks that look like rows.
      if (breaks && i > 59000 && i < 61000) note = "a\nfake,1,z\nb";
      want.push_back({"P" + std::to_string(i), std::to_string(random() % 1000), note});
      bytes +=
          want.back()[0] + "," + want.back()[1] + "," + (note.size() > 1 ? "\"" + note + "\"" : note) + "\n";
    }
    const Taken t = read(bytes);
    CHECK(t.stretches == 2);
    CHECK(t.problems.empty());
    CHECK(t.rows == want);
    for (std::size_t i = 1; i < t.begins.size(); ++i) REQUIRE(t.begins[i] > t.begins[i - 1]);
    const NoThreads none;
    CHECK(read(bytes).rows == want);
    CHECK(none.refused() == 1);
  }
}

TEST_CASE("a quote opened near the middle of a long file and never closed is one problem") {
  std::string bytes = "point,x,note\n";
  for (int i = 0; i < 120000; ++i) bytes += i == 59999 ? "P,1,\"open\n" : "P" + std::to_string(i) + ",1,n\n";
  const Taken t = read(bytes);
  REQUIRE(t.problems.size() == 1);
  CHECK(t.problems[0].starts_with("t.csv:60001:5: note:"));
  CHECK(t.rows.size() == 119999);
}

TEST_CASE("an exception of a handler on either thread reaches the caller") {
  struct Thrower final : Table::Handler {
    void row(const Row& r, Messages&) override {
      if (r.text(0) == "P90000") throw std::runtime_error("stop");
    }
  };
  std::string bytes = "point,x\n";
  for (int i = 0; i < 120000; ++i) bytes += "P" + std::to_string(i) + ",1\n";
  Messages messages;
  const auto table = Table::open(Source::from_bytes("t.csv", bytes), spec(), messages);
  REQUIRE(table);
  CHECK_THROWS_WITH(table->read([] { return std::make_unique<Thrower>(); }, messages), "stop");
  const NoThreads none;
  CHECK_THROWS_WITH(table->read([] { return std::make_unique<Thrower>(); }, messages), "stop");
}

TEST_CASE("random bytes never crash the reader, and every problem has a place in the file") {
  std::mt19937 random(1);
  const std::string alphabet = "point,x note\"\"\n\r;\t#=0123'-\xC2\xA0\xE2\x80\x8B";
  for (int round = 0; round < 3000; ++round) {
    std::string bytes = round % 3 ? "point,x,note\n" : "";
    for (auto i = random() % 200; i > 0; --i) bytes += alphabet[random() % alphabet.size()];
    if (random() % 5 == 0 && !bytes.empty()) bytes[random() % bytes.size()] = '\0';
    Messages messages;
    const auto source = Source::from_bytes("t.csv", bytes);
    const auto table = Table::open(source, spec(), messages);
    if (table) {
      struct Asker final : Table::Handler {
        const Table* table;
        void row(const Row& r, Messages& told) override {
          (void)read_name(*table, r, 0, told);
          REQUIRE(table->cell_offset(r.begin(), 1) == r.offset(1));
        }
      };
      (void)table->read(
          [&] {
            auto a = std::make_unique<Asker>();
            a->table = &*table;
            return a;
          },
          messages);
    }
    for (const Message& m : messages.sorted(Grade::problem)) CHECK(m.file == "t.csv");
  }
}
