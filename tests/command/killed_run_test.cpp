// The real program, killed at random moments of a real job.

#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

namespace {

namespace fs = std::filesystem;

constexpr int kPoints = 20000;
#ifdef DECKMARK_SANITIZED
constexpr int kKills = 6;  // a twentieth
#else
constexpr int kKills = 110;
#endif
/// A machine with other work beside may start a program late or end it early: the rounds go on until so many
/// have met the signal at work. Twenty times as many rounds without that would be a fault of the program.
constexpr int kRounds = 20 * kKills;

std::string text_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

/// Revision k of the drawing: every point stands k metres further along X, so that each written row tells its
/// revision.
void write_revision(const fs::path& folder, int k) {
  std::ofstream drawing(folder / "drawing.csv");
  drawing << "point,x,y\n";
  for (int i = 0; i < kPoints; ++i) drawing << "P" << i << "," << k << "," << i << "\n";
  std::ofstream(folder / "job.toml")
      << "revision = \"" << k
      << "\"\n[drawing]\npoints = \"drawing.csv\"\n[numbers]\ndeck_offset = 100000\n"
         "[deck]\nelevation = \"5 m\"\n[list]\nline_end = \"lf\"\n";
}

pid_t start(const fs::path& folder, const fs::path& told = "/dev/null") {
  fflush(stdout);  // or the child would print it again
  // Until it is the program, the child must not answer a signal as this test would.
  sigset_t both, before;
  sigemptyset(&both);
  sigaddset(&both, SIGINT);
  sigaddset(&both, SIGTERM);
  sigprocmask(SIG_BLOCK, &both, &before);
  const pid_t child = fork();
  if (child != 0) sigprocmask(SIG_SETMASK, &before, nullptr);
  if (child == 0) {
    for (const int signal : {SIGINT, SIGTERM}) {
      struct sigaction now {};
      sigaction(signal, nullptr, &now);
      if (now.sa_handler != SIG_IGN) std::signal(signal, SIG_DFL);
    }
    sigprocmask(SIG_SETMASK, &before, nullptr);
    (void)!freopen("/dev/null", "w", stdout);
    (void)!freopen(told.c_str(), "w", stderr);
    execl(DECKMARK_PROGRAM, "deckmark", "run", folder.c_str(), "--quiet", static_cast<char*>(nullptr));
    _exit(127);
  }
  return child;
}

int finish(pid_t child) {
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

/// The revision that every row of a file tells, in the cell `column`; -1 where the file is missing, -2 where
/// it is incomplete or holds two revisions.
int revision_of(const fs::path& path, int column, bool header) {
  if (!fs::exists(path)) return -1;
  const std::string text = text_of(path);
  if (text.empty() || text.back() != '\n') return -2;
  std::istringstream in(text);
  std::string line;
  int rows = 0, found = -3;
  if (header) std::getline(in, line);
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string cell;
    for (int c = 0; c <= column; ++c) std::getline(cells, cell, ',');
    const int k = static_cast<int>(std::strtod(cell.c_str(), nullptr));
    if (found == -3) found = k;
    if (k != found) return -2;
    ++rows;
  }
  return rows == kPoints ? found : -2;
}

/// The revision of the last issue that the ledger holds; -1 where there is none, -2 where its rows are
/// missing.
int issued_revision(const fs::path& folder) {
  const std::string issued = text_of(folder / "issued.csv"), numbers = text_of(folder / "numbers.csv");
  const std::size_t end = issued.rfind('\n');  // a torn row counts for nothing
  if (end == std::string::npos || issued.find('\n') == end) return -1;
  const std::size_t from = issued.rfind('\n', end - 1) + 1;
  const int issue = std::atoi(issued.c_str() + from),
            revision = std::atoi(issued.c_str() + issued.find(',', from) + 1);
  const auto lines = std::count(numbers.begin(), numbers.end(), '\n');
  return lines < 1 + issue * kPoints ? -2 : revision;
}

}  // namespace

TEST_CASE("a run killed at random moments leaves no half file and no list newer than the ledger") {
  const fs::path folder = fs::temp_directory_path() / ("deckmark-killed-" + std::to_string(getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  write_revision(folder, 1);
  const auto begin = std::chrono::steady_clock::now();
  REQUIRE(finish(start(folder)) == 0);
  auto whole =
      std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin).count();
  std::mt19937 random(1);
  int killed = 0, last = 1, newest = 1;
  for (int k = 2; killed < kKills && k <= kRounds; ++k) {
    newest = k;
    write_revision(folder, k);
    const pid_t child = start(folder);
    const long moment = std::uniform_int_distribution<long>(0, whole * 5 / 4)(random);
    std::this_thread::sleep_for(std::chrono::microseconds(moment));
    kill(child, SIGKILL);
    // One that had ended took less than that: beside other tests the first may have taken far longer.
    if (finish(child) == -SIGKILL)
      ++killed;
    else
      whole = std::min<decltype(whole)>(whole, moment);
    CAPTURE(k);
    const int ledger = issued_revision(folder);
    const int floor = revision_of(folder / "out/floor-list.csv", 2, false);  // easting = x
    const int deck = revision_of(folder / "out/deck-list.csv", 2, false);
    const int points = revision_of(folder / "out/points.csv", 4, true);
    for (const int seen : {ledger, floor, deck, points}) REQUIRE((seen >= 1 && seen <= k));
    REQUIRE(ledger >= last);
    for (const int list : {floor, deck, points}) REQUIRE(ledger >= list);
    last = ledger;
  }
  CHECK(killed == kKills);
  // What was left behind does not hinder the next run, which clears it away.
  REQUIRE(finish(start(folder)) == 0);
  CHECK(revision_of(folder / "out/floor-list.csv", 2, false) == newest);
  for (const fs::path& where : {folder, folder / "out"})
    for (const auto& entry : fs::directory_iterator(where))
      CHECK(entry.path().filename().string().front() != '.');
  // Numbers are those of the first run.
  std::istringstream list(text_of(folder / "out/floor-list.csv"));
  std::string first;
  std::getline(list, first);
  CHECK(first.starts_with("1001,"));
  fs::remove_all(folder);
}

TEST_CASE("a run that is asked to stop at random moments leaves all old or all new, and says which") {
  const fs::path folder = fs::temp_directory_path() / ("deckmark-stopped-" + std::to_string(getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  write_revision(folder, 1);
  const auto begin = std::chrono::steady_clock::now();
  REQUIRE(finish(start(folder)) == 0);
  auto whole =
      std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin).count();
  std::mt19937 random(1);
  int stopped = 0, kept = 0, last = 1;
  for (int k = 2; (stopped < kKills || kept < kKills / 2) && k <= kRounds; ++k) {
    CAPTURE(k);
    write_revision(folder, k);
    const bool is_new = k % 5 == 0;  // the output folder is made by the run that is stopped
    if (is_new) fs::remove_all(folder / "out");
    const int signal = k % 2 ? SIGINT : SIGTERM;
    fs::remove(folder / "told.txt");
    const pid_t child = start(folder, folder / "told.txt");
    const long moment = std::uniform_int_distribution<long>(0, whole * 5 / 4)(random);
    std::this_thread::sleep_for(std::chrono::microseconds(moment));
    kill(child, signal);
    const int status = finish(child);
    const std::string told = text_of(folder / "told.txt");
    CAPTURE(told);
    for (const fs::path& where : {folder, folder / "out"})
      if (fs::exists(where))
        for (const auto& entry : fs::directory_iterator(where))
          CHECK(entry.path().filename().string().front() != '.');
    const int ledger = issued_revision(folder);
    const bool is_there = fs::exists(folder / "out");
    if (is_there)
      for (const int seen : {revision_of(folder / "out/floor-list.csv", 2, false),
                             revision_of(folder / "out/deck-list.csv", 2, false),
                             revision_of(folder / "out/points.csv", 4, true)})
        REQUIRE(seen == ledger);
    if (status == 0) {
      CHECK(ledger == k);
      whole = std::min<decltype(whole)>(whole, moment);
    } else if (status == -signal) {
      CHECK(ledger == last);  // before the program had begun to listen
      CHECK(told.empty());
    } else {
      ++stopped;
      REQUIRE(status == 128 + signal);
      CHECK(std::count(told.begin(), told.end(), '\n') >= 1);
      const bool says_new = told.find("deckmark: stopped; the new files stand, all of them\n") != told.npos;
      CHECK(ledger == (says_new ? k : last));
      const bool says_old = told.find("deckmark: stopped; nothing was ") != told.npos;
      CHECK(says_old != says_new);
      if (!says_new) {
        ++kept;
        CHECK(is_there == !is_new);  // what the run had made is gone
      }
    }
    last = ledger;
    if (!is_there) {
      REQUIRE(finish(start(folder)) == 0);
      last = k;
    }
  }
  CHECK(stopped >= kKills);
  CHECK(kept >= kKills / 2);
  fs::remove_all(folder);
}

TEST_CASE("a run that waits for its reader ends at once when it is asked to, and nothing is replaced") {
  const fs::path folder = fs::temp_directory_path() / ("deckmark-waiting-" + std::to_string(getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  write_revision(folder, 1);
  REQUIRE(finish(start(folder)) == 0);
  write_revision(folder, 2);
  int ends[2];
  REQUIRE(pipe(ends) == 0);  // nobody reads: it is full after a while
  fflush(stdout);
  const pid_t child = fork();
  if (child == 0) {
    dup2(ends[1], STDOUT_FILENO);
    (void)!freopen((folder / "told.txt").c_str(), "w", stderr);
    execl(DECKMARK_PROGRAM, "deckmark", "run", folder.c_str(), "--csv", static_cast<char*>(nullptr));
    _exit(127);
  }
  // Its files are there under their temporary names, and it waits.
  std::this_thread::sleep_for(std::chrono::seconds(3));
  CHECK(waitpid(child, nullptr, WNOHANG) == 0);
  kill(child, SIGTERM);
  CHECK(finish(child) == 143);
  const std::string told = text_of(folder / "told.txt");
  CHECK(told.ends_with("\ndeckmark: stopped; nothing was replaced, what stood before still stands\n"));
  CHECK(issued_revision(folder) == 1);
  for (const auto& entry : fs::directory_iterator(folder / "out"))
    CHECK(entry.path().filename().string().front() != '.');
  close(ends[0]);
  close(ends[1]);
  fs::remove_all(folder);
}

TEST_CASE("a signal that the caller has ignored stays ignored") {
  const fs::path folder = fs::temp_directory_path() / ("deckmark-ignored-" + std::to_string(getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  write_revision(folder, 1);
  std::signal(SIGINT, SIG_IGN);
  const pid_t child = start(folder);
  std::signal(SIGINT, SIG_DFL);
  for (int i = 0; i < 20; ++i) {
    kill(child, SIGINT);
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  CHECK(finish(child) == 0);
  CHECK(revision_of(folder / "out/floor-list.csv", 2, false) == 1);
  fs::remove_all(folder);
}

TEST_CASE("a full disk ends with 3 and leaves what stood") {
  const fs::path folder = fs::temp_directory_path() / ("deckmark-full-" + std::to_string(getpid()));
  fs::remove_all(folder);
  fs::create_directories(folder);
  write_revision(folder, 1);
  REQUIRE(finish(start(folder)) == 0);
  const std::vector<std::string> files = {"numbers.csv",    "out/floor-list.csv", "out/deck-list.csv",
                                          "out/points.csv", "out/summary.txt",    "out/changes.csv"};
  std::vector<std::string> before;
  for (const std::string& f : files) before.push_back(text_of(folder / f));
  write_revision(folder, 2);
  // No file may grow beyond the limit: every write past it fails as on a full disk.
  for (const rlim_t limit : {rlim_t{0}, rlim_t{1000}, rlim_t{300000}, rlim_t{700000}, rlim_t{1000000}}) {
    CAPTURE(limit);
    fflush(stdout);
    const pid_t child = fork();
    if (child == 0) {
      const rlimit both{limit, limit};
      setrlimit(RLIMIT_FSIZE, &both);
      (void)!freopen("/dev/null", "w", stdout);
      (void)!freopen("/dev/null", "w", stderr);
      execl(DECKMARK_PROGRAM, "deckmark", "run", folder.c_str(), "--quiet", static_cast<char*>(nullptr));
      _exit(127);
    }
    CHECK(finish(child) == 3);
    for (std::size_t i = 0; i < files.size(); ++i) CHECK(text_of(folder / files[i]) == before[i]);
    for (const auto& entry : fs::directory_iterator(folder / "out"))
      CHECK(entry.path().filename().string().front() != '.');
  }
  CHECK(finish(start(folder)) == 0);
  fs::remove_all(folder);
}
