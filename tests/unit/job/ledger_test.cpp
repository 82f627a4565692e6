// The ledger as it is read: what was handed out, what was not, and what is refused.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "job/read_ledger.h"
#include "support/temp_folder.h"
#include "table/digest.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

using Strings = std::vector<std::string>;

const std::string kHeader =
    "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m),issue,floor_elevation (m),"
    "attach_elevation (m),deck_elevation (m),cut (m),kind,run,crew,told_in,told_in_deck,told_in_bracket,"
    "told_in_cut\n";
const std::string kOldHeader =
    "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n";
const std::string kIssuedHeader = "issue,revision,job,storey,live,rows,folder,before,digest\n";

std::string row(const std::string& point, int number, const std::string& x, int issue, int told) {
  const std::string t = std::to_string(told);
  return point + "," + std::to_string(number) + ",live," + x + ",2.000000,5000,A,102.000000,201.000000," +
         std::to_string(issue) + ",1.000000,3.500000,5.000000,,hanger,R1,," + t + "," + t + "," + t + "," +
         t + "\n";
}

/// Two issues, of two rows and of one; digests worked out here.
struct Files {
  std::string numbers = kHeader, issued = kIssuedHeader;
  Files() {
    const std::string rows[] = {row("A", 1001, "1.000000", 1, 1) + row("B", 1002, "-7.123456", 1, 1),
                                row("A", 1001, "1.500000", 2, 2)};
    const std::string heads[] = {"1,A,job.toml,,2,2,out", "2,B,job.toml,level 3,2,1,out"};
    std::string before;
    for (int i = 0; i < 2; ++i) {
      const std::string digest = sha256_hex(before + "\n" + heads[i] + "\n" + rows[i]).substr(0, 16);
      numbers += rows[i];
      issued += heads[i] + "," + before + "," + digest + "\n";
      before = digest;
    }
  }
};

/// Takes the place of a text that stands there.
void put(std::string& text, const std::string& what, const std::string& in_place_of) {
  const std::size_t at = text.find(in_place_of);
  REQUIRE(at != std::string::npos);
  text.replace(at, in_place_of.size(), what);
}
std::size_t start_of_last_line(const std::string& text) { return text.rfind('\n', text.size() - 2) + 1; }

/// A folder with the files of a ledger, and what is read of them. An empty text: no such file.
class Reading {
 public:
  Reading(const std::string& numbers, const std::string& issued, const NumberOptions& options = {}) {
    if (!numbers.empty()) write_bytes(folder_ / "numbers.csv", numbers);
    if (!issued.empty()) write_bytes(folder_ / "issued.csv", issued);
    found = LedgerReader({folder_.path(), "numbers.csv"}, "job.toml", "../a job.toml", options)
                .read(Where::whole("job.toml"), messages_);
  }
  explicit Reading(const Files& files, const NumberOptions& options = {})
      : Reading(files.numbers, files.issued, options) {}
  Strings told(Grade grade) const {
    Strings out;
    for (const Message& m : messages_.sorted(grade)) out.push_back(message_line(m));
    return out;
  }
  std::optional<LedgerFound> found;

 private:
  TempFolder folder_;
  Messages messages_;
};

}  // namespace

TEST_CASE("what was handed out is read issue by issue") {
  const Files files;
  const Reading reading(files);
  CHECK(reading.told(Grade::problem).empty());
  CHECK(reading.told(Grade::notice).empty());
  REQUIRE(reading.found);
  const Ledger& ledger = reading.found->ledger;
  REQUIRE(ledger.last_issue() == 2);
  REQUIRE(ledger.rows() == 3);
  CHECK(ledger.issues()[1].revision == "B");
  CHECK(ledger.issues()[1].storey == "level 3");
  CHECK(ledger.issues()[1].before == ledger.issues()[0].digest);
  const LedgerRow b = ledger.row(1), a = ledger.row(2);
  CHECK(b.point == "B");
  CHECK(b.number == 1002);
  CHECK(b.drawing.x == Kept::micrometres(-7'123'456));
  CHECK(b.drawing.y == Kept::micrometres(2'000'000));
  CHECK(b.site.northing == Kept::micrometres(102'000'000));
  CHECK(b.site.easting == Kept::micrometres(201'000'000));
  CHECK(b.floor == Kept::micrometres(1'000'000));
  CHECK(b.attach == Kept::micrometres(3'500'000));
  CHECK(b.deck == Kept::micrometres(5'000'000));
  CHECK(b.cut.is_none());
  CHECK(b.told == ToldIn{1, 1, 1, 1});
  CHECK(a.issue == 2);
  CHECK(a.told == ToldIn{2, 2, 2, 2});
  CHECK_FALSE(reading.found->is_from_before);
  CHECK(reading.found->numbers.covered == files.numbers.size());
  CHECK(reading.found->issued.covered == files.issued.size());
  CHECK(reading.found->numbers.ends_in_line);
  CHECK(reading.found->issued.ends_in_line);
}

TEST_CASE("where nothing was handed out yet there is no issue") {
  struct Case {
    std::string why, numbers, issued;
  };
  for (const Case& c : std::vector<Case>{{"no files", "", ""},
                                         {"issues made first", "", kIssuedHeader},
                                         {"both, headers alone", kHeader, kIssuedHeader}}) {
    CAPTURE(c.why);
    const Reading reading(c.numbers, c.issued);
    CHECK(reading.told(Grade::problem).empty());
    REQUIRE(reading.found);
    CHECK(reading.found->ledger.last_issue() == 0);
  }
}

TEST_CASE("what was never handed out is not read, and is where the next run writes") {
  struct Case {
    std::string why;
    std::function<void(Files&)> change;
    std::uint32_t issues;
    std::size_t numbers_left, issued_left;  // bytes behind what counts
    std::size_t notices;
  };
  const Files whole;
  const std::size_t last_issue = whole.issued.size() - start_of_last_line(whole.issued),
                    last_row = whole.numbers.size() - start_of_last_line(whole.numbers);
  for (const Case& c : std::vector<Case>{
           {"a row", [](Files& f) { f.numbers += row("C", 1003, "1.000000", 3, 3); }, 2, last_row, 0, 1},
           {"a torn row", [](Files& f) { f.numbers += "C,10"; }, 2, 4, 0, 1},
           {"an issue torn in its digest", [](Files& f) { f.issued.resize(f.issued.size() - 3); }, 1,
            last_row, last_issue - 3, 2},
           {"an issue torn before its digest", [](Files& f) { f.issued.resize(f.issued.size() - 18); }, 1,
            last_row, last_issue - 18, 2},
           {"an issue torn in its first cell", [](Files& f) { f.issued += "3"; }, 2, 0, 1, 1},
           {"an issue of which the line end is missing", [](Files& f) { f.issued.pop_back(); }, 2, 0, 0,
            0}}) {
    CAPTURE(c.why);
    Files files;
    c.change(files);
    const Reading reading(files);
    CHECK(reading.told(Grade::problem).empty());
    CHECK(reading.told(Grade::notice).size() == c.notices);
    REQUIRE(reading.found);
    CHECK(reading.found->ledger.last_issue() == c.issues);
    CHECK(reading.found->numbers.size == files.numbers.size());
    CHECK(reading.found->numbers.covered == files.numbers.size() - c.numbers_left);
    CHECK(reading.found->issued.covered == files.issued.size() - c.issued_left);
    CHECK(reading.found->issued.ends_in_line == (c.why != "an issue of which the line end is missing"));
  }
}

TEST_CASE("a ledger that is not as it was handed out is refused, with the place and a way out") {
  struct Case {
    std::string why;
    std::function<void(Files&)> change;
    std::string begins;
  };
  for (const Case& c : std::vector<Case>{
           {"a cell of issue 1", [](Files& f) { put(f.numbers, "-7.123457", "-7.123456"); },
            "numbers.csv:2:1: row: found rows of issue 1 of 2 that are not those that were handed out, "},
           {"a cell of issue 2", [](Files& f) { put(f.numbers, "1.500001", "1.500000"); },
            "numbers.csv:4:1: row: found rows of issue 2 of 2 that are not those that were handed out, "},
           {"the last row", [](Files& f) { f.numbers.resize(start_of_last_line(f.numbers)); },
            "numbers.csv:4:1: row: found 0 rows of issue 2 of 2, fewer than were handed out, "},
           {"no numbers", [](Files& f) { f.numbers.clear(); },
            "issued.csv: file: found 2 issues and no numbers.csv beside it, which holds their numbers, "
            "expected both files; take back what a run kept (deckmark restore); try "},
           {"no issues", [](Files& f) { f.issued.clear(); },
            "numbers.csv: file: found 3 rows and no issued.csv beside it, which names their issues, expected "
            "both "
            "files; take back what a run kept (deckmark restore); try mkdir "},
           {"an issue taken out", [](Files& f) { f.issued.erase(kIssuedHeader.size(), 40); }, "issued.csv:"},
           {"the first issue again", [](Files& f) { put(f.issued, "\n3,B,", "\n2,B,"); },
            "issued.csv:3:1: issue: found issue 3 where issue 2 stood, "},
           {"another issue before", [](Files& f) { f.issued[f.issued.size() - 19] ^= 1; },
            "issued.csv:3:1: issue: found issue 2 where issue 2 stood, after another issue than this one "
            "before it, "},
           {"a digest", [](Files& f) { f.issued[f.issued.size() - 2] ^= 1; },
            "numbers.csv:4:1: row: found rows of"},
           {"a revision", [](Files& f) { put(f.issued, "2,C,", "2,B,"); },
            "numbers.csv:4:1: row: found rows of"},
           {"a comma too many", [](Files& f) { put(f.issued, "2,B,,", "2,B,"); },
            "issued.csv:3:1: row: found 10 cells, expected the issues as the runs left them, "},
           {"no header over the issues", [](Files& f) { f.issued.erase(0, kIssuedHeader.size()); },
            "issued.csv:1:1: header: found another header than the program wrote, "},
           {"issues of before beside newer rows",
            [](Files& f) {
              f.issued.resize(kIssuedHeader.size()), f.numbers += row("C", 1003, "1.000000", 3, 3);
            },
            "numbers.csv:2:1: issue: found rows of issue 2, while issued.csv ends with issue 0, "},
           {"rows in UTF-16",
            [](Files& f) {
              std::string wide = "\xFF\xFE";
              for (const char ch : f.numbers) wide += {ch, '\0'};
              f.numbers = wide;
            },
            "numbers.csv: file: found a file in UTF-16, saved by another program, "},
           {"issues that end their lines with CR alone",
            [](Files& f) { std::ranges::replace(f.issued, '\n', '\r'); },
            "issued.csv: file: found lines that end with CR alone, saved by another program, "},
           {"blank issues", [](Files& f) { f.issued = " "; },
            "issued.csv:1:1: header: found another header than the program wrote, "},
           {"x and y exchanged in the header", [](Files& f) { put(f.numbers, "y (m),x (m)", "x (m),y (m)"); },
            "numbers.csv:1:1: header: found another header than the program wrote, "},
           {"another unit in the header", [](Files& f) { put(f.numbers, "northing (ft)", "northing (m)"); },
            "numbers.csv:1:1: header: found another header than the program wrote, "}}) {
    CAPTURE(c.why);
    Files files;
    c.change(files);
    const Reading reading(files);
    CHECK_FALSE(reading.found.has_value());
    const Strings lines = reading.told(Grade::problem);
    REQUIRE_FALSE(lines.empty());
    CHECK_MESSAGE(lines[0].starts_with(c.begins), lines[0]);
  }
  Files files;
  put(files.numbers, "-7.123457", "-7.123456");
  // Numbers go on above all floor and deck numbers that stand there, and all that the issues can have given.
  for (const auto& [start, above] : {std::pair(1, 6002), std::pair(2001, 7004)}) {
    const std::string line = Reading(files, {start, 1, 5000}).told(Grade::problem)[0];
    CHECK_MESSAGE(line.ends_with(" && deckmark run '../a job.toml' --above " + std::to_string(above)), line);
  }
}

TEST_CASE("issues that name more rows than there are numbers leave room for numbers above") {
  std::string issued = kIssuedHeader, before;
  for (int i = 1; i <= 10; ++i) {
    const std::string digest = sha256_hex(std::to_string(i)).substr(0, 16);
    issued += std::to_string(i) + ",A,job.toml,,1,999999999,out," + before + "," + digest + "\n";
    before = digest;
  }
  const Strings lines = Reading("", issued, {1, kMostNumber, 5000}).told(Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK_MESSAGE(lines[0].ends_with(" --above 499999999"), lines[0]);
}

TEST_CASE("an earlier version's ledger is issue 1, whose digest is that of what will stand there") {
  const std::string old = kOldHeader +
                          "A,1001,live,1,2,5000,A,102,201\n"
                          "B,1002,dropped,-7.123456,2,5000,,102,201\n";
  const std::string head = "1,A,job.toml,,1,2,",
                    rows =
                        "A,1001,live,1.000000,2.000000,5000,A,102.000000,201.000000,1,,,,,,,,1,1,1,1\n"
                        "B,1002,dropped,-7.123456,2.000000,5000,,102.000000,201.000000,1,,,,,,,,1,1,1,1\n";
  const std::string digest = sha256_hex("\n" + head + "\n" + rows).substr(0, 16);
  const std::string issued = kIssuedHeader + head + ",," + digest + "\n";
  // Also where a run was stopped after it had written the issue and before the ledger.
  for (const std::string& beside : {std::string(), issued}) {
    const Reading reading(old, beside);
    CHECK(reading.told(Grade::problem).empty());
    REQUIRE(reading.found);
    CHECK(reading.found->is_from_before);
    const Ledger& ledger = reading.found->ledger;
    REQUIRE(ledger.last_issue() == 1);
    CHECK(ledger.issues()[0].digest == digest);
    CHECK(ledger.issues()[0].live == 1);
    CHECK_FALSE(ledger.row(0).knows_heights());
    CHECK(ledger.row(1).told == ToldIn{1, 1, 1, 1});
    CHECK(ledger.row(1).drawing.x == Kept::micrometres(-7'123'456));
  }
  // What was written then reads as that issue.
  const Reading after(kHeader + rows, issued);
  CHECK(after.told(Grade::problem).empty());
  REQUIRE(after.found);
  CHECK_FALSE(after.found->is_from_before);
  CHECK(after.found->ledger.issues()[0].digest == digest);

  const Reading other(old, Files().issued);
  CHECK_FALSE(other.found.has_value());
  const Strings lines = other.told(Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with(
      "numbers.csv: file: found the ledger of an earlier version beside issued.csv, which names "
      "2 issues of another, "));
}

TEST_CASE("the files beside a ledger have its name") {
  struct Case {
    std::string file, issued, torn;
  };
  for (const Case& c : {Case{"numbers.csv", "issued.csv", "numbers.torn"},
                        Case{"level 3.csv", "level 3-issued.csv", "level 3.torn"},
                        Case{"books/numbers.csv", "books/issued.csv", "books/numbers.torn"},
                        Case{"books/l3.csv", "books/l3-issued.csv", "books/l3.torn"}}) {
    const LedgerFiles files{"/job", c.file};
    CHECK(files.path() == "/job/" + c.file);
    CHECK(files.beside(kIssuedWord) == c.issued);
    CHECK(files.path_beside(kIssuedWord) == "/job/" + c.issued);
    CHECK(files.torn() == "/job/" + c.torn);
  }
}

TEST_CASE("the way to begin anew moves all that is there into a folder that is not, and works in a shell") {
  TempFolder folder;
  const LedgerFiles files{folder / "it's level 3", "numbers.csv"};
  for (const char* name : {"out", "extra", "ledger-before"})
    std::filesystem::create_directories(files.folder / name);
  for (const char* name : {"numbers.csv", "issued.csv"}) write_bytes(files.folder / name, "x");
  const std::string way = files.begin_anew("job.toml", 7000, {files.folder / "extra", files.folder / "none"});
  const std::string end = " && deckmark run job.toml --above 7000";
  REQUIRE(way.ends_with(end));
  REQUIRE(std::system(way.substr(0, way.size() - end.size()).c_str()) == 0);
  for (const char* name : {"out", "extra", "numbers.csv", "issued.csv"}) {
    CAPTURE(std::string(name));
    CHECK_FALSE(std::filesystem::exists(files.folder / name));
    CHECK(std::filesystem::exists(files.folder / "ledger-before-2" / name));
  }
}
