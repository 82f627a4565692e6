// What `cmake --install` makes stands on its own, and the build's name for the program comes from its own
// project.
#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "support/command.h"
#include "support/temp_folder.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

CommandResult run_in(const fs::path& folder, const fs::path& program, std::vector<std::string> args) {
  CommandRun run;
  run.program = program;
  run.args = std::move(args);
  run.folder = folder;
  return run.run();
}

CommandResult cmake(std::vector<std::string> args) { return run_in("/", DECKMARK_CMAKE, std::move(args)); }

}  // namespace

TEST_CASE("an installed program finds all that it needs, from any folder") {
  const TempFolder prefix;
  const CommandResult installed =
      cmake({"--install", DECKMARK_BUILD_DIR, "--prefix", prefix.path().string()});
  CHECK_MESSAGE(installed.exit_code == 0, installed.err);
  const fs::path program = prefix / "bin/deckmark", share = prefix / "share";
  const std::vector<std::string> files = {"doc/deckmark/README.md",
                                          "doc/deckmark/changes.txt",
                                          "doc/deckmark/third-party-notes.md",
                                          "man/man1/deckmark.1",
                                          "man/man5/deckmark-job.5",
                                          "man/man5/deckmark-tables.5",
                                          "man/man5/deckmark-files.5",
                                          "bash-completion/completions/deckmark",
                                          "zsh/site-functions/_deckmark",
                                          "fish/vendor_completions.d/deckmark.fish"};
  for (const std::string& file : files) {
    CAPTURE(file);
    REQUIRE(fs::is_regular_file(share / file));
    CHECK(fs::file_size(share / file) > 100);
  }
  CHECK(run_in("/", program, {"--version"}).out == run_in("/", DECKMARK_PROGRAM, {"--version"}).out);
  std::size_t jobs = 0;
  for (const auto& entry : fs::directory_iterator(share / "deckmark/examples")) {
    CAPTURE(entry.path().string());
    const CommandResult looked = run_in("/", program, {"check", entry.path().string()});
    CHECK(looked.exit_code < 2);
    CHECK(looked.exit_code >= 0);
    CHECK(!entry.path().filename().string().starts_with("starter"));
    ++jobs;
  }
  CHECK(jobs >= 6);
  // A map projection is looked up in the system's own data.
  const CommandResult ground =
      run_in("/", program, {"ground", (share / "deckmark/examples/concourse-us-ft").string()});
  CHECK(ground.exit_code < 2);
  CHECK(ground.out.find("EPSG:") != std::string::npos);
  // The overview says how to try an example, and what it says works.
  const TempFolder work;
  const std::string copy =
      "cp -r " + (share / "deckmark/examples/foyer-m").string() + " . && deckmark run foyer-m";
  CHECK(run_in("/", program, {"--help"}).out.find("\n  " + copy + "\n") != std::string::npos);
  CHECK(run_in("/", DECKMARK_PROGRAM, {"--help"}).out.find("cp -r") == std::string::npos);
  const std::string path = "PATH=" + (prefix / "bin").string() + ":$PATH; ";
  CHECK(run_in(work.path(), "/bin/sh", {"-c", path + copy}).exit_code == 0);
  CHECK(run_in(work.path(), program, {"new", "my-job"}).exit_code == 0);
  CHECK(run_in(work.path(), program, {"run", "my-job"}).exit_code == 0);
}

TEST_CASE("no commit is named where the source is no repository of its own") {
  const TempFolder folder;
  const fs::path source = folder / "outer/deckmark";
  fs::create_directories(source);
  const auto named = [&] {
    const fs::path out = folder / "version.cpp";
    fs::remove(out);
    const CommandResult r = cmake({"-DSOURCE=" + source.string(), "-DVERSION=7.8.9", "-DOUT=" + out.string(),
                                   "-P", fs::path(DECKMARK_TESTS_DIR) / "../cmd/version.cmake"});
    REQUIRE_MESSAGE(r.exit_code == 0, r.err);
    return read_bytes(out);
  };
  const std::string without = named();
  CHECK(
      without.find(
          "return \"deckmark 7.8.9\"; }\nstd::string program_and_commit() { return \"deckmark 7.8.9\"; }") !=
      std::string::npos);
  // An archive unpacked within another project does not take that one's commit; a repository of its own has
  // one.
  const auto shell = [&](const std::string& line) {
    return run_in(folder.path(), "/bin/sh", {"-c", line}).exit_code;
  };
  if (shell("command -v git") != 0) return;
  const std::string commit =
      "git init -q . && git -c user.name=a -c user.email=a@localhost.invalid commit -q "
      "--allow-empty -m a";
  REQUIRE(shell("cd outer && " + commit) == 0);
  CHECK(named() == without);
  REQUIRE(shell("cd outer/deckmark && " + commit) == 0);
  CHECK(named().find("\"deckmark 7.8.9 (") != std::string::npos);
}
