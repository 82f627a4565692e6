// A file that replaces none: whole or not there, whatever fails, and one alone of several who try.
#include "exporter/new_file.h"

#include <doctest/doctest.h>

#include <atomic>
#include <thread>
#include <vector>

#include "failing_calls.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;

TEST_CASE("what stands is never replaced, and nothing is left beside it") {
  for (const int link_reason : {0, EPERM}) {
    const TempFolder folder;
    faults().reset();
    faults().only_link = link_reason;
    CHECK(write_new_file(folder / "a/b/signed.toml", "first\n", failing_calls()));
    CHECK(!write_new_file(folder / "a/b/signed.toml", "second\n", failing_calls()));
    write_bytes(folder / "other/note.txt", "kept");
    CHECK(!write_new_file(folder / "other/note.txt", "second\n", failing_calls()));
    const auto files = snapshot(folder.path());
    CHECK(files.size() == 5);
    CHECK(files.at("a/b/signed.toml") == "first\n");
    CHECK(files.at("other/note.txt") == "kept");
  }
}

TEST_CASE("every call failed in turn: the file is there and whole, or nothing is") {
  for (const int link_reason : {0, EPERM}) {
    bool ended = false;
    int thrown = 0;
    for (int k = 0; !ended; ++k) {
      REQUIRE(k < 100);
      const TempFolder folder;
      faults().reset();
      faults().only_link = link_reason;
      faults().fail_from = faults().fail_to = k;
      CAPTURE(k);
      bool made = false;
      try {
        made = write_new_file(folder / "a/signed.toml", "text\n", failing_calls());
      } catch (const SystemFailure&) {
        ++thrown;
      }
      ended = faults().failed == 0;
      const auto files = snapshot(folder.path());
      // A removal that fails leaves a temporary file, which the next run in that folder clears away.
      if (made) CHECK(files.at("a/signed.toml") == "text\n");
      if (!made) CHECK(files.empty());
    }
    CHECK(thrown >= 6);
  }
}

TEST_CASE("of many at once one alone makes the file") {
  for (const int link_reason : {0, EPERM}) {
    faults().reset();
    faults().only_link = link_reason;
    for (int round = 0; round < 50; ++round) {
      const TempFolder folder;
      std::atomic<int> made{0};
      std::string of_winner;
      std::vector<std::thread> threads;
      for (int t = 0; t < 4; ++t)
        threads.emplace_back([&, t] {
          const std::string text(20000, static_cast<char>('a' + t));
          if (!write_new_file(folder / "signed.toml", text, failing_calls())) return;
          ++made;
          of_winner = text;
        });
      for (std::thread& t : threads) t.join();
      CHECK(made == 1);
      CHECK((read_bytes(folder / "signed.toml") == of_winner));
      CHECK(snapshot(folder.path()).size() == 1);
    }
  }
}

TEST_CASE("a temporary file that another job clears away is written again") {
  static int cleared = 0;
  FileCalls calls = system_file_calls();
  calls.link = [](const char* from, const char* to) {
    if (cleared++ < 2) system_file_calls().unlink(from);
    return system_file_calls().link(from, to);
  };
  const TempFolder folder;
  CHECK(write_new_file(folder / "signed.toml", "text\n", calls));
  CHECK(cleared == 3);
  CHECK(read_bytes(folder / "signed.toml") == "text\n");
}
