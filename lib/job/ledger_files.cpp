#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "job/folder_words.h"
#include "job/ledger_job.h"
#include "measure/shell_word.h"

namespace deckmark {

namespace fs = std::filesystem;

std::string LedgerFiles::beside(std::string_view word) const {
  const fs::path named(file);
  const std::string stem = named.stem().string();
  const std::string name =
      stem == "numbers" ? fmt::format("{}.csv", word) : fmt::format("{}-{}.csv", stem, word);
  return (named.parent_path() / name).string();
}

std::string LedgerFiles::begin_anew(const fs::path& job, std::int64_t above,
                                    const std::vector<fs::path>& also) const {
  const auto is_there = [](const fs::path& path) {
    std::error_code none;
    return fs::exists(fs::symlink_status(path, none));
  };
  fs::path to = folder / kPutAside;
  for (int i = 2; is_there(to); ++i) to = folder / fmt::format("{}-{}", kPutAside, i);
  // The ledger first: what is left of a line that was half done is then a lost ledger, and refused.
  std::vector<fs::path> all = {path()};
  for (const std::string_view word : kBesideLedger) all.push_back(path_beside(word));
  for (const char* word : {kWorkingFolder, kIssuedFolder}) all.push_back(folder / word);
  for (const fs::path& more : also) all.push_back(more);
  // Another copy's folders are not this job's to move, nor twice what lies in a folder that is moved.
  const auto real = [](const fs::path& path) {
    std::error_code bad;
    return fs::weakly_canonical(fs::absolute(path, bad), bad);
  };
  const auto is_inside = [](const fs::path& path, const fs::path& of) {
    const fs::path inside = path.lexically_relative(of);
    return !inside.empty() && *inside.begin() != "..";
  };
  std::vector<fs::path> moved;
  std::vector<std::string> names;
  std::string together, apart;
  const std::string word = shell_word(to.string());
  for (const fs::path& path : all) {
    const fs::path at = real(path);
    if (!is_there(path) || !is_inside(at, real(folder.empty() ? fs::path(".") : folder)) ||
        std::ranges::any_of(moved, [&](const fs::path& m) { return is_inside(at, m); }))
      continue;
    moved.push_back(at);
    std::string name = at.filename().string();
    if (std::ranges::find(names, name) == names.end()) {
      together += " " + shell_word(path.string());
    } else {
      for (int i = 2; std::ranges::find(names, name) != names.end(); ++i)
        name = fmt::format("{}-{}", at.filename().string(), i);
      apart += fmt::format(" && mv {} {}", shell_word(path.string()), shell_word((to / name).string()));
    }
    names.push_back(name);
  }
  return fmt::format("mkdir {} && {}{}deckmark run {} --above {}", word,
                     together.empty() ? "" : fmt::format("mv{} {}", together, word),
                     together.empty() ? "" : apart + " && ", shell_word(job.string()), above);
}

fs::path LedgerFiles::torn() const {
  const fs::path named(file);
  return folder / named.parent_path() / (named.stem().string() + ".torn");
}

}  // namespace deckmark
