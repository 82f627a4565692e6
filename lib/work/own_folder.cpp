#include "work/own_folder.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

namespace deckmark {

namespace fs = std::filesystem;

bool keep_others(const fs::path& out, const std::vector<std::string>& names, Messages& messages) {
  std::error_code none;
  const fs::file_status stands = fs::status(out, none);
  if (fs::exists(stands) && !fs::is_directory(stands)) {
    messages.problem(Where{}, "--out", Fault{in_quotes(out.string()) + ", a file", "a folder", ""});
    return false;
  }
  std::vector<std::string> others;
  for (fs::directory_iterator at(out, none), end; !none && at != end; at.increment(none)) {
    const std::string name = at->path().filename().string();
    if (!name.starts_with(".deckmark-") && std::ranges::count(names, name) == 0) others.push_back(name);
  }
  if (others.empty()) return true;
  messages.problem(Where::whole((out / *std::ranges::min_element(others)).string()), "file",
                   Fault{others.size() == 1 ? std::string("another file in the folder")
                                            : fmt::format("{} other files in the folder", others.size()),
                         "a folder that is new, or holds these lists alone", "--out with another folder"});
  return false;
}

}  // namespace deckmark
