#include "work/left_behind.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>
#include <vector>

#include "exporter/batch.h"
#include "measure/shell_word.h"
#include "table/reader.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

fs::path folder_of(const fs::path& file) {
  return file.has_parent_path() ? file.parent_path() : fs::path(".");
}

void tell_kept(const OutputPlace& place, Messages& messages) {
  std::vector<KeptFile> kept;
  for (KeptFile& file : kept_in(place.folder)) {
    const std::string name = file.target.filename().string();
    if (place.made.contains(name) || place.earlier.contains(name)) kept.push_back(std::move(file));
  }
  for (KeptFile& file : kept_in(folder_of(place.ledger)))
    if (file.target.filename() == place.ledger.filename()) kept.push_back(std::move(file));
  for (const KeptFile& file : kept)
    messages.problem(Where::whole(file.kept.string()), "file",
                     Fault{fmt::format("what {} held before a run that failed and could not put it back",
                                       in_quotes(file.target.filename().string())),
                           "it put back or deleted",
                           fmt::format("mv {0} {1} to put it back, or rm {0} to go on without it",
                                       shell_word(file.kept.string()), shell_word(file.target.string()))});
}

void tell_interrupted(const OutputPlace& place, Messages& messages) {
  std::vector<KeptFile> before = interrupted_in(place.folder).stood_before;
  std::error_code none;
  if (!fs::equivalent(place.folder, folder_of(place.ledger), none))
    for (KeptFile& file : interrupted_in(folder_of(place.ledger)).stood_before)
      if (file.target.filename() == place.ledger.filename()) before.push_back(std::move(file));
  for (const KeptFile& file : before)
    messages.doubt("a run that was stopped", Where::whole(file.target.string()), "file",
                   fmt::format("a run was stopped while it put its files in place, and lists of two runs may "
                               "stand side by side: lay out nothing from them before a run has ended; until "
                               "then {} is this file as it stood before",
                               file.kept.string()));
}

void tell_unknown(const OutputPlace& place, std::span<const fs::path> inputs, Messages& messages) {
  std::vector<std::string> names;
  std::error_code ignored;
  for (fs::directory_iterator at(place.folder, ignored), end; !ignored && at != end; at.increment(ignored)) {
    const std::string name = at->path().filename().string();
    std::error_code none;
    const auto is_input = [&](const fs::path& in) { return fs::equivalent(in, at->path(), none); };
    if (name.starts_with('.') || place.made.contains(name) ||
        !fs::is_regular_file(at->symlink_status(none)) || std::ranges::any_of(inputs, is_input) ||
        fs::equivalent(place.ledger, at->path(), none))
      continue;
    names.push_back(name);
  }
  std::ranges::sort(names);
  for (const std::string& name : names)
    messages.doubt(
        "a file that may be an old list", Where::whole((place.folder / name).string()), "file",
        fmt::format("this run does not make it, and {} does not name the files of the run before: if "
                    "it is a list of an earlier run, delete it",
                    place.summary.filename().string()));
}

}  // namespace

void tell_left_behind(const OutputPlace& place, std::span<const fs::path> inputs, Messages& messages) {
  tell_kept(place, messages);
  tell_interrupted(place, messages);
  std::error_code none;
  if (!fs::is_regular_file(place.summary, none)) return;  // none, or in the way and told as that
  const auto read = read_source(place.summary, place.summary.string());
  if (const auto* bad = std::get_if<Unreadable>(&read))
    messages.problem(Where::whole(place.summary.string()), "file",
                     unreadable_fault(bad->reason, *bad,
                                      "the summary of the last run, which names the lists that are to go",
                                      "making it readable, or --out with another folder"));
  else if (!place.summary_tells)
    tell_unknown(place, inputs, messages);
}

}  // namespace deckmark
