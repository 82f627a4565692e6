// The list of files that a run writes: what it names, how an earlier run's are known again.
#include "work/outputs.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "report/files_text.h"

using namespace deckmark;

namespace {

/// A name that the pattern can make.
std::string made_by(std::string_view pattern) {
  std::string name(pattern);
  if (const std::size_t at = name.find("NAME"); at != std::string::npos) name.replace(at, 4, "S-1_b");
  return name;
}

bool is_same(const FileLine& a, const FileLine& b) {
  return a.name == b.name && a.rows == b.rows && a.numbers == b.numbers && a.sha256 == b.sha256;
}

}  // namespace

// Cause, 2026-11-27: the reader of the summary knew tables, `-sheet.txt` and the page by the ends of their
// names; `stake-S1.txt` was none of these, so that a second run doubted its own sheet and a renamed setup
// left it standing.
TEST_CASE("what the summary says of every file reads back the same") {
  std::vector<FileLine> lines;
  for (const OutputSpec* spec : outputs()) {
    if (spec->is_journal || !spec->is_of_run) continue;
    FileLine line{.name = made_by(spec->name), .sha256 = std::string(64, 'a')};
    if (spec->name.ends_with(".csv")) line.rows = lines.size();  // 1 row, 2 rows
    if (lines.size() % 2 == 0) line.numbers = {1001, 1000 + static_cast<std::int64_t>(lines.size())};
    lines.push_back(line);
  }
  const std::string text = files_text(lines);
  for (const std::string& summary :
       {text, "READY TO LAY OUT\n\nCHANGES\n  first issue: the point is new\n\n" + text +
                  "\nBASELINES\n  a.csv: 1 row\n"}) {
    const std::vector<FileLine> read = read_files_text(summary);
    REQUIRE(read.size() == lines.size());
    for (std::size_t i = 0; i < lines.size(); ++i) {
      CAPTURE(lines[i].name);
      CHECK(is_same(read[i], lines[i]));
      CHECK(output_of(read[i].name) != nullptr);
    }
  }
  CHECK(read_files_text("").empty());
  CHECK(read_files_text("FILES WRITTEN\n").empty());
  CHECK(
      read_files_text("FILES WRITTEN\n  a.csv: 3 rows\n  b.csv: 3 row\n    sha256 x\n  c.csv\n    sha256 x\n")
          .empty());
}

TEST_CASE("only a name that the list can make is a run's own") {
  for (const OutputSpec* spec : outputs()) {
    CAPTURE(spec->name);
    CHECK((output_of(made_by(spec->name)) != nullptr) == (!spec->is_journal && spec->is_of_run));
  }
  for (const char* name : {"",
                           "notes.csv",
                           "signed.toml",
                           "numbers.csv",
                           "issued.csv",
                           "given.csv",
                           "today.csv",
                           "void-list.csv",
                           "POINTS.csv",
                           "points.csv.bak",
                           "stake-.txt",
                           "stake-S1.pdf",
                           "stake-S 1.txt",
                           "stake-../x.txt",
                           "stake-a/b.txt",
                           "../points.csv",
                           "sub/points.csv",
                           "floor-list-.csv",
                           "floor-list-R.1.csv",
                           ".deckmark-1-1.part"}) {
    CAPTURE(name);
    CHECK(output_of(name) == nullptr);
  }
}

TEST_CASE("the list names every file once, the ledger and its issues first, page and summary last") {
  std::set<std::string_view> names;
  for (const OutputSpec* spec : outputs()) {
    CAPTURE(spec->name);
    CHECK(names.insert(spec->name).second);
    CHECK(!spec->meaning.empty());
  }
  CHECK(outputs().front()->name == "numbers.csv");
  CHECK(outputs()[1]->name == "issued-control.csv");
  CHECK(outputs()[2]->name == "issued.csv");
  CHECK(outputs()[3]->name == "given.csv");
  CHECK(outputs()[4]->name == "book.csv");
  CHECK(std::ranges::count_if(outputs(), &OutputSpec::is_journal) == 5);
  CHECK(outputs().back()->name == kSummaryFile);
  CHECK(outputs()[outputs().size() - 2]->name == kSumsFile);
  CHECK(outputs()[outputs().size() - 3]->name == kPageFile);
}

TEST_CASE("the sums are as sha256sum writes them, odd names escaped") {
  const std::string b(64, 'b'), c(64, 'c');
  CHECK(sums_text(std::vector<FileLine>{{.name = "points.csv", .sha256 = b},
                                        {.name = "o\\d\nd\r.csv", .sha256 = c}}) ==
        b + "  points.csv\n\\" + c + "  o\\\\d\\nd\\r.csv\n");
  CHECK(sums_text({}).empty());
}
