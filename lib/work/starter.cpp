#include "work/starter.h"

#include <fmt/format.h>

#include <system_error>

#include "exporter/batch.h"
#include "starter_files.h"

namespace deckmark {

namespace fs = std::filesystem;

std::optional<StarterUnits> starter_units(std::string_view word) {
  if (word.empty() || word == "ft-in") return StarterUnits::feet_inches;
  if (word == "m") return StarterUnits::metres;
  return std::nullopt;
}

namespace {

/// Why the folder cannot be used; nothing where it can.
std::optional<std::string> in_the_way(const fs::path& folder) {
  std::error_code bad;
  if (!fs::exists(fs::symlink_status(folder, bad))) return std::nullopt;
  if (!fs::is_directory(folder, bad)) return fmt::format("\"{}\" is not a folder", folder.string());
  if (!fs::is_empty(folder, bad))
    return fmt::format("the folder \"{}\" is not empty; try another name", folder.string());
  return std::nullopt;
}

}  // namespace

std::optional<std::string> make_starter(const fs::path& folder, StarterUnits units) {
  if (auto why = in_the_way(folder)) return why;
  Batch batch;
  batch.hold_folder(folder);
  if (auto why = in_the_way(folder)) return why;  // another may have filled it meanwhile
  std::vector<OutputFile> files;
  for (const EmbeddedFile& f : units == StarterUnits::feet_inches ? starter_ft_in() : starter_m())
    files.push_back({folder / std::string(f.name), std::string(f.text)});
  batch.stage(std::move(files));
  batch.commit({});
  return std::nullopt;
}

}  // namespace deckmark
