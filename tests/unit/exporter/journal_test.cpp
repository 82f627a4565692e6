// A journal: every row on the disk before it is acknowledged, whatever fails and whenever it is killed.
#include "exporter/journal.h"

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <string>

#include "journal_scene.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

constexpr int kRows = 4;

/// Opens the journal and adds rows up to `kRows`; how many are acknowledged in all.
int add_rows(const TempFolder& folder, int acknowledged, const fs::path& copy, bool& copy_lost) {
  HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
  const HeldJournal::Begun begun = begin(journal, folder, copy);
  copy_lost |= !begun.copy_lost.empty();
  for (int k = acknowledged + 1; k <= kRows; ++k) {
    copy_lost |= !journal.append(row(k)).empty();
    acknowledged = k;
  }
  return acknowledged;
}

/// Rows that are whole, in their order and none twice; -1 where it holds anything else.
int whole_rows(const fs::path& path) {
  std::string text = read_bytes(path);
  for (int k = kRows; k >= 0; --k)
    if (text == rows(k)) return k;
  return -1;
}

}  // namespace

TEST_CASE("rows are added behind what stands, and a journal without rows leaves no file") {
  const TempFolder folder;
  faults().reset();
  {
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    CHECK(read_bytes(folder / "book.csv") == kHeader);
    CHECK(!begin(journal, folder).refused);
  }
  CHECK(snapshot(folder.path()).empty());
  for (int k = 1; k < 4; ++k) {
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    const HeldJournal::Begun begun = begin(journal, folder);
    CHECK(begun.torn == 0);
    CHECK(begun.copy_lost.empty());
    CHECK(journal.append(row(k)).empty());
    CHECK(read_bytes(folder / "book.csv") == rows(k));
  }
  CHECK(snapshot(folder.path()).size() == 1);
}

TEST_CASE("the end of the file is mended: a line feed is added, what is torn is set aside") {
  struct Case {
    std::string text, mended, torn;
  };
  const std::string no_line_feed = rows(2).substr(0, rows(2).size() - 1);
  for (const Case& c :
       {Case{no_line_feed, rows(2), ""}, Case{rows(2) + "3,as", rows(2), "3,as"}, Case{"", kHeader, ""},
        Case{"entry,wh", kHeader, "entry,wh"}, Case{"entry,what", kHeader, ""}}) {
    CAPTURE(c.text);
    const TempFolder folder;
    faults().reset();
    write_bytes(folder / "book.csv", c.text);
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    CHECK(begin(journal, folder).torn == c.torn.size());
    CHECK(read_bytes(folder / "book.csv") == c.mended);
    CHECK(fs::exists(folder / "book.torn") == !c.torn.empty());
    if (!c.torn.empty()) CHECK(read_bytes(folder / "book.torn") == c.torn);
  }
}

TEST_CASE("one alone holds it, readers and those who come after do not wait") {
  const TempFolder folder;
  faults().reset();
  {
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    REQUIRE(!begin(journal, folder).refused);
    REQUIRE(journal.append(row(1)).empty());
    try {
      const HeldJournal second(folder / "book.csv", kHeader, failing_calls());
      FAIL("two dialogues on one book");
    } catch (const SystemFailure& why) {
      CHECK(std::string(why.what()).find("another dialogue holds this book") != std::string::npos);
    }
    CHECK(read_bytes(folder / "book.csv") == rows(1));
    CHECK(journal.append(row(2)).empty());
  }
  HeldJournal after(folder / "book.csv", kHeader, failing_calls());
  CHECK(!begin(after, folder).refused);
  CHECK(after.append(row(3)).empty());
  CHECK(read_bytes(folder / "book.csv") == rows(3));
}

TEST_CASE("what was replaced or changed meanwhile takes no row") {
  for (const bool is_replaced : {true, false}) {
    const TempFolder folder;
    faults().reset();
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    REQUIRE(!begin(journal, folder).refused);
    REQUIRE(journal.append(row(1)).empty());
    if (is_replaced) fs::rename(folder / "book.csv", folder / "old.csv");
    write_bytes(folder / "book.csv", is_replaced ? rows(1) : rows(1) + "x");
    CHECK_THROWS_AS((void)journal.append(row(2)), SystemFailure);
    CHECK_THROWS_AS((void)journal.append(row(2)), SystemFailure);
    CHECK(read_bytes(folder / "book.csv") == (is_replaced ? rows(1) : rows(1) + "x"));
  }
}

TEST_CASE("every call failed in turn: rows that were acknowledged stand, in order, none twice") {
  struct Case {
    std::string before;  // what the book holds
    bool all_after;      // every call after the first that fails fails too: a disk that is gone
    bool has_copy;
    int reason;
  };
  const std::string torn = rows(1) + "2,as it", bare = rows(1).substr(0, rows(1).size() - 1);
  for (const Case& c :
       {Case{"", false, false, EIO}, Case{"", true, false, EIO}, Case{torn, false, true, ENOSPC},
        Case{torn, true, true, ENOSPC}, Case{bare, false, true, EIO}}) {
    const int before = c.before.empty() ? 0 : 1;
    int thrown = 0, lost = 0;
    bool ended = false;
    for (int k = 0; !ended; ++k) {
      REQUIRE(k < 400);
      CAPTURE(c.before);
      CAPTURE(k);
      const TempFolder folder, stick;
      const fs::path copy = c.has_copy ? stick.path() : fs::path();
      if (before > 0) write_bytes(folder / "book.csv", c.before);
      faults().reset();
      faults().short_writes = true;
      faults().fail_from = k;
      faults().fail_to = c.all_after ? 1 << 30 : k;
      faults().reason = c.reason;
      int acknowledged = before;
      bool copy_lost = false, failed = false;
      // As the dialogue does it, but row by row, so that what is acknowledged is known.
      try {
        HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
        copy_lost |= !begin(journal, folder, copy).copy_lost.empty();
        for (int n = before + 1; n <= kRows; ++n) {
          copy_lost |= !journal.append(row(n)).empty();
          acknowledged = n;
        }
      } catch (const SystemFailure&) {
        failed = true;
      }
      ended = faults().failed == 0;
      thrown += failed;
      lost += copy_lost;
      CHECK((failed || acknowledged == kRows));
      const std::string now = fs::exists(folder / "book.csv") ? read_bytes(folder / "book.csv") : "";
      if (acknowledged > before) REQUIRE(now.starts_with(rows(acknowledged)));
      if (!now.starts_with(bare)) REQUIRE(before == 0);
      if (c.has_copy && !copy_lost && acknowledged > before)
        CHECK(read_bytes(stick / "book.csv").starts_with(rows(acknowledged)));
      // One call that failed leaves no half row, unless it was the cutting off itself.
      if (failed && !c.all_after && acknowledged > before)
        CHECK(whole_rows(folder / "book.csv") == acknowledged);
      faults().reset();
      bool none = false;
      if (fs::exists(folder / "book.csv")) {
        const int stands = [&] {
          HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
          REQUIRE(!begin(journal, folder, copy).refused);
          return whole_rows(folder / "book.csv");
        }();
        CHECK((stands == acknowledged || stands == acknowledged + 1));
        CHECK(add_rows(folder, stands, copy, none) == kRows);
      }
      if (fs::exists(folder / "book.csv")) CHECK(whole_rows(folder / "book.csv") == kRows);
      if (c.has_copy) CHECK(read_bytes(stick / "book.csv") == read_bytes(folder / "book.csv"));
      CHECK(!none);
    }
    CHECK(thrown >= 8);
    CHECK((lost >= 8) == c.has_copy);
  }
}

TEST_CASE("killed before any call: rows that were acknowledged stand, and the next dialogue goes on") {
  int kills = 0;
  for (int k = 0;; ++k) {
    CAPTURE(k);
    const TempFolder folder, stick;
    write_bytes(folder / "book.csv", rows(1) + "2,as");
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      faults().reset();
      faults().die_at = k;
      faults().short_writes = true;
      HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
      if (begin(journal, folder, stick.path()).refused) ::_exit(8);
      for (int n = 2; n <= kRows; ++n) {
        (void)journal.append(row(n));
        if (::write(ends[1], "k", 1) != 1) ::_exit(8);
      }
      ::_exit(0);
    }
    ::close(ends[1]);
    char told[kRows];
    int acknowledged = 1;
    while (::read(ends[0], told, 1) == 1) ++acknowledged;
    ::close(ends[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    REQUIRE(WIFEXITED(status));
    if (WEXITSTATUS(status) == 0) break;
    REQUIRE(WEXITSTATUS(status) == 9);
    ++kills;
    faults().reset();
    for (const fs::path& path : {folder / "book.csv", stick / "book.csv"})
      if (fs::exists(path) && acknowledged > 1) CHECK(read_bytes(path).starts_with(rows(acknowledged)));
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    const HeldJournal::Begun begun = begin(journal, folder, stick.path());
    CHECK(!begun.refused);
    CHECK(begun.copy_lost.empty());
    const int stands = whole_rows(folder / "book.csv");
    CHECK((stands == acknowledged || stands == acknowledged + 1));
    CHECK(journal.append(row(9)).empty());
    CHECK(read_bytes(stick / "book.csv") == rows(stands) + row(9));
  }
  CHECK(kills > 40);
}
