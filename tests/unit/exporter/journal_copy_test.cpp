// The copy on a second disk: it holds what the journal holds, it never costs a row, and its disk may go.
#include <sys/stat.h>
#include <unistd.h>

#include "journal_scene.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

TEST_CASE("a copy is brought up to what the journal holds, what is torn at its end is set aside") {
  struct Case {
    const char* name;
    std::string book, copy, torn;
  };
  const std::string bare = rows(3).substr(0, rows(3).size() - 1);
  for (const Case& c :
       {Case{"new", rows(3), "", ""}, Case{"behind", rows(3), rows(1), ""},
        Case{"header alone", rows(3), kHeader, ""}, Case{"equal", rows(3), rows(3), ""},
        Case{"half a row", rows(3), rows(1) + row(2).substr(0, 5), ""},
        Case{"half of another row", rows(3), rows(1) + "2,ot", "2,ot"},
        Case{"torn behind the last", rows(3), rows(3) + "4,as", "4,as"},
        Case{"journal without its last line feed", bare, rows(3), ""},
        Case{"torn journal", rows(3) + "4,a", rows(2), ""}, Case{"journal of no header", "", kHeader, ""}}) {
    CAPTURE(c.name);
    const TempFolder folder, stick;
    faults().reset();
    write_bytes(folder / "book.csv", c.book);
    if (!c.copy.empty()) write_bytes(stick / "book.csv", c.copy);
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    const HeldJournal::Begun begun = begin(journal, folder, stick.path());
    CHECK(!begun.refused);
    CHECK(begun.copy_lost.empty());
    CHECK(read_bytes(stick / "book.csv") == read_bytes(folder / "book.csv"));
    CHECK(fs::exists(stick / "book.torn") == !c.torn.empty());
    if (!c.torn.empty()) CHECK(read_bytes(stick / "book.torn") == c.torn);
    CHECK(journal.append(row(4)).empty());
    CHECK(read_bytes(stick / "book.csv") == read_bytes(folder / "book.csv"));
    CHECK(read_bytes(stick / "book.csv").ends_with(row(4)));
  }
}

TEST_CASE("a copy longer than a piece that is read at once") {
  const TempFolder folder, stick;
  faults().reset();
  std::string book = kHeader;
  for (int k = 1; book.size() < (5U << 20); ++k) book += row(k);
  for (const std::size_t copied : {std::size_t{1} << 20, std::size_t{3} << 20, (std::size_t{2} << 20) + 1}) {
    write_bytes(folder / "book.csv", book);
    write_bytes(stick / "book.csv", book.substr(0, copied));
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    CHECK(!begin(journal, folder, stick.path()).refused);
    CHECK((read_bytes(stick / "book.csv") == book));
  }
  std::string other = book;
  other[(4U << 20) + 7] ^= 1;
  write_bytes(stick / "book.csv", other);
  HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
  CHECK(begin(journal, folder, stick.path()).refused);
  CHECK((read_bytes(stick / "book.csv") == other));
}

TEST_CASE("a copy with rows that the journal has not is refused, and nothing is changed") {
  struct Case {
    const char* name;
    std::string book, copy, way_out;
  };
  for (const Case& c : {Case{"ahead", rows(1), rows(2), "take them back from there"},
                        Case{"ahead of a torn end", rows(1) + "2,", rows(2), "take them back from there"},
                        Case{"of another book", rows(2), kHeader + "1,other;\n", "move it away"},
                        Case{"of another kind", rows(2), "a letter\n", "move it away"}}) {
    CAPTURE(c.name);
    const TempFolder folder, stick;
    faults().reset();
    write_bytes(folder / "book.csv", c.book);
    write_bytes(stick / "book.csv", c.copy);
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    const HeldJournal::Begun begun = begin(journal, folder, stick.path());
    REQUIRE(begun.refused);
    CHECK(begun.refused->expected.find(c.way_out) != std::string::npos);
    CHECK(begun.refused->expected.find("--from " + stick.path().string()) != std::string::npos);
    CHECK(read_bytes(folder / "book.csv") == c.book);
    CHECK(read_bytes(stick / "book.csv") == c.copy);
    CHECK_THROWS_AS((void)journal.append(row(3)), SystemFailure);
  }
}

TEST_CASE("the journal's own folder is no place for its copy") {
  const TempFolder folder;
  faults().reset();
  write_bytes(folder / "book.csv", rows(1));
  fs::create_directory_symlink(folder.path(), folder / "stick");
  for (const fs::path& copy : {folder.path(), folder / "stick"}) {
    HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
    CHECK(begin(journal, folder, copy).refused);
    CHECK(read_bytes(folder / "book.csv") == rows(1));
  }
}

TEST_CASE("a disk of the copy that is gone is told once, and work goes on") {
  struct Case {
    const char* name;
    void (*pull)(const fs::path& stick);
  };
  for (const Case& c : {Case{"removed", [](const fs::path& stick) { fs::remove_all(stick); }},
                        Case{"emptied", [](const fs::path& stick) { fs::remove(stick / "book.csv"); }},
                        Case{"a file in its place",
                             [](const fs::path& stick) {
                               fs::remove_all(stick);
                               write_bytes(stick, "x");
                             }},
                        Case{"a folder in place of the file",
                             [](const fs::path& stick) {
                               fs::remove(stick / "book.csv");
                               fs::create_directory(stick / "book.csv");
                             }},
                        Case{"changed meanwhile", [](const fs::path& stick) {
                               write_bytes(stick / "book.csv", rows(1) + "x");
                             }}}) {
    for (const bool at_first : {true, false}) {
      CAPTURE(c.name);
      CAPTURE(at_first);
      const TempFolder folder, disk;
      const fs::path stick = disk / "stick";
      fs::create_directory(stick);
      faults().reset();
      if (at_first) {
        write_bytes(stick / "book.csv", kHeader);
        c.pull(stick);
        if (std::string(c.name) == "emptied" || std::string(c.name) == "changed meanwhile") continue;
      }
      HeldJournal journal(folder / "book.csv", kHeader, failing_calls());
      const HeldJournal::Begun begun = begin(journal, folder, stick);
      CHECK(!begun.refused);
      CHECK(begun.copy_lost.empty() == !at_first);
      CHECK(journal.append(row(1)).empty());
      if (!at_first) {
        CHECK(read_bytes(stick / "book.csv") == rows(1));
        c.pull(stick);
        const std::string told = journal.append(row(2));
        CHECK(told.find(stick.string()) != std::string::npos);
      } else {
        CHECK(begun.copy_lost.find(stick.string()) != std::string::npos);
        CHECK(journal.append(row(2)).empty());
      }
      CHECK(journal.append(row(3)).empty());
      CHECK(read_bytes(folder / "book.csv") == rows(3));
      if (std::string(c.name) == "removed") CHECK(!fs::exists(stick));
    }
  }
}
