#include "issues/chain.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "table/digest.h"

using namespace deckmark;

namespace {

const std::string kHeader = "point,number\n", kRows[] = {"P1,1\n", "P2,2\n", "\"P,3\",3\n", "P4,4\n"};

/// Digests worked out here, with nothing of the room: issue 1 has two rows, 2 one, 3 none, 4 one.
struct Chain {
  std::vector<IssuedRow> issues;
  std::vector<std::string> heads;
  Chain() {
    const std::string heads_by_hand[] = {"1,A,job.toml,,2,2,out", "2,A,job.toml,level 3,3,1,out",
                                         "3,B,job.toml,level 3,3,0,issued/B",
                                         "4,\"B, again\",job.toml,,4,1,out"};
    const std::string rows[] = {kRows[0] + kRows[1], kRows[2], "", kRows[3]};
    const std::uint32_t counts[] = {2, 1, 0, 1};
    std::string before;
    for (std::uint32_t i = 0; i < 4; ++i) {
      heads.push_back(heads_by_hand[i]);
      IssuedRow row;
      row.issue = i + 1;
      row.rows = counts[i];
      row.before = before;
      before = sha256_hex(before + "\n" + heads[i] + "\n" + rows[i]).substr(0, 16);
      row.digest = before;
      issues.push_back(std::move(row));
    }
  }
  ChainFound follow(std::string_view text) const { return follow_chain(text, issues, heads); }
};

const std::string kText = kHeader + kRows[0] + kRows[1] + kRows[2] + kRows[3];

std::string put(std::string text, std::string_view what, std::string_view in_place_of) {
  const std::size_t at = text.find(in_place_of);
  REQUIRE(at != std::string::npos);
  return text.replace(at, in_place_of.size(), what);
}

}  // namespace

TEST_CASE("the head of an issue is its row of the table up to its folder") {
  IssuedRow row{4, "B, again", "../job.toml", "level \"3\"", 1200, 17, "issued/B", "aaaa", "bbbb"};
  CHECK(issued_head(row) == "4,\"B, again\",../job.toml,\"level \"\"3\"\"\",1200,17,issued/B");
  row.revision.clear(), row.storey.clear(), row.folder.clear();
  CHECK(issued_head(row) == "4,,../job.toml,,1200,17,");
}

TEST_CASE("rows as they were handed out give their digests, however their lines end") {
  const Chain chain;
  std::string crlf;
  for (const char c : kText) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
  struct Case {
    std::string why;
    std::string text;
    std::size_t uncovered = 0;
    std::string behind = {};  // what is not covered
  };
  for (const Case& c :
       {Case{"as written", kText}, Case{"CRLF", crlf},
        Case{"no line end at the end", kText.substr(0, kText.size() - 1)},
        Case{"no line end, CRLF", crlf.substr(0, crlf.size() - 1)},
        Case{"blank lines", put(kText, "\n  \t\n\r\nP2,2\n", "P2,2\n")},
        Case{"comments", "# by hand\n" + put(kText, "# and here\nP2,2\n", "P2,2\n")},
        Case{"a row behind", kText + "P9,9\n", 1, "P9,9\n"}, Case{"torn", kText + "P9,9\nP1", 2, "P9,9\nP1"},
        Case{"only blanks behind", kText + "\n \n# so\n", 0, "\n \n# so\n"}}) {
    CAPTURE(c.why);
    const ChainFound found = chain.follow(c.text);
    CHECK_FALSE(found.broken.has_value());
    CHECK(found.uncovered == c.uncovered);
    CHECK(c.text.substr(found.covered) == c.behind);
  }
}

TEST_CASE("without an issue no row is covered") {
  const ChainFound found = follow_chain(kText, {}, {});
  CHECK_FALSE(found.broken.has_value());
  CHECK(found.covered == kHeader.size());
  CHECK(found.uncovered == 4);
}

TEST_CASE("what was changed, dropped, added or moved breaks the chain at its issue") {
  const Chain chain;
  struct Case {
    std::string why;
    std::string text;
    std::uint32_t issue;
    std::string first;  // its rows begin with it; empty: nothing is left
    std::size_t rows;
    bool ends_early = false;
  };
  for (const Case& c :
       {Case{"a cell", put(kText, "P2,7", "P2,2"), 1, "P1,1", 2},
        Case{"a blank at the end of a row", put(kText, "P2,2 \n", "P2,2\n"), 1, "P1,1", 2},
        Case{"quotes", put(kText, "\"P4\",4", "P4,4"), 4, "\"P4\"", 1},
        Case{"dropped first", put(kText, "", "P1,1\n"), 1, "P2,2", 2},
        Case{"dropped in issue 2", put(kText, "", kRows[2]), 2, "P4,4", 1},
        Case{"added at the head", put(kText, "P0,0\nP1,1", "P1,1"), 1, "P0,0", 2},
        Case{"added between issues", put(kText, "P2,2\nP0,0\n", "P2,2\n"), 2, "P0,0", 1},
        Case{"exchanged in an issue", put(kText, "P2,2\nP1,1\n", "P1,1\nP2,2\n"), 1, "P2,2", 2},
        Case{"exchanged over issues", put(kText, kRows[3] + kRows[2], kRows[2] + kRows[3]), 2, "P4,4", 1},
        Case{"a row made two lines", put(kText, "P1\n,1\n", "P1,1\n"), 1, "P1\n", 2},
        Case{"last row gone", put(kText, "", kRows[3]), 4, "", 0, true},
        Case{"within issue 1", kHeader + kRows[0], 1, "P1,1", 1, true},
        Case{"the header alone", kHeader, 1, "", 0, true},
        Case{"torn within its row", kText.substr(0, kText.size() - 2), 4, "P4,", 1}}) {
    CAPTURE(c.why);
    const ChainFound found = chain.follow(c.text);
    REQUIRE(found.broken.has_value());
    CHECK(found.broken->issue == c.issue);
    CHECK(c.text.substr(found.broken->begin).starts_with(c.first));
    CHECK((c.first.empty() ? found.broken->begin == c.text.size() : true));
    CHECK(found.broken->rows == c.rows);
    CHECK(found.broken->ends_early == c.ends_early);
  }
}

TEST_CASE("an issue's own row is part of what does not change") {
  struct Case {
    std::string why;
    void (*change)(Chain&);
    std::uint32_t broken;
  };
  for (const Case& c :
       {Case{"revision", [](Chain& x) { x.heads[1] = "2,B,job.toml,level 3,3,1,out"; }, 2},
        Case{"folder", [](Chain& x) { x.heads[2] += "2"; }, 3},
        Case{"digest", [](Chain& x) { x.issues[0].digest[0] = x.issues[0].digest[0] == '0' ? '1' : '0'; }, 1},
        Case{"digits of the digest", [](Chain& x) { x.issues[3].digest.pop_back(); }, 4},
        Case{"an issue taken out",
             [](Chain& x) {
               x.issues.erase(x.issues.begin() + 2);
               x.heads.erase(x.heads.begin() + 2);
             },
             4},
        Case{"a row given to the issue before", [](Chain& x) { ++x.issues[0].rows, --x.issues[1].rows; },
             1}}) {
    CAPTURE(c.why);
    Chain chain;
    c.change(chain);
    const ChainFound found = chain.follow(kText);
    REQUIRE(found.broken.has_value());
    CHECK(found.broken->issue == c.broken);
  }
}

TEST_CASE("records are lines that are neither blank nor comments") {
  RecordLines lines("# c\n\nhead\r\n \t\n a\n#\nb");
  const auto next = [&lines] { return std::string(lines.next().value_or("none")); };
  CHECK(next() == "head");
  CHECK(lines.end() == 11);
  CHECK(lines.is_whole());
  CHECK(next() == " a");
  CHECK(lines.is_whole());
  CHECK(next() == "b");
  CHECK_FALSE(lines.is_whole());
  CHECK(lines.end() == 20);
  CHECK(next() == "none");
}
