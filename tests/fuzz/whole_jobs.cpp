// A job of several files out of one input: a line `--- file NAME` begins each. Whatever they hold, the job is
// checked or refused as every job is, twice with the same words, and no result is a word for a number that is
// none.
#include <algorithm>
#include <regex>

#include "checked_job.h"
#include "fuzz.h"

using deckmark_test::must;

namespace {

constexpr std::size_t kMostFiles = 16;

bool is_plain_name(std::string_view name) {
  constexpr std::string_view kPlain = "abcdefghijklmnopqrstuvwxyz0123456789-_.";
  return !name.empty() && name.size() <= 40 && name.front() != '.' &&
         name.find_first_not_of(kPlain) == std::string_view::npos;
}

std::map<std::string, std::string> files_of(std::string_view bytes) {
  constexpr std::string_view kBegin = "--- file ";
  std::map<std::string, std::string> out;
  std::string* file = nullptr;
  while (!bytes.empty()) {
    const std::string_view line = bytes.substr(0, std::min(bytes.find('\n'), bytes.size() - 1) + 1);
    bytes.remove_prefix(line.size());
    if (line.starts_with(kBegin) && line.ends_with('\n')) {
      const std::string_view name = line.substr(kBegin.size(), line.size() - kBegin.size() - 1);
      file = is_plain_name(name) && out.size() < kMostFiles ? &out[std::string(name)] : nullptr;
    } else if (file != nullptr) {
      file->append(line);
    }
  }
  return out;
}

bool names_no_number(const std::string& text) {
  static const std::regex words(R"((^|[^a-z0-9])-?(nan|inf)([^a-z0-9]|$))", std::regex::icase);
  return std::regex_search(text, words);
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  const auto files = files_of(bytes);
  const CheckedJob job = check_files(files), again = check_files(files);
  must(job.told == again.told && job.text == again.text && job.line == again.line,
       "a second check says the same as the first", job.text + again.text);
  if (!job.has_problems && !names_no_number(std::string(bytes)))
    must(!names_no_number(job.text), "no result is nan or inf", job.text);
}
