#include "report/files_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "measure/decimal.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

constexpr std::string_view kHead = "FILES WRITTEN", kIndent = "  ", kDigest = "    sha256 ",
                           kFirst = ", first ", kLast = ", last ";

/// What a file without rows is called, by the end of its name.
std::string_view form_word(std::string_view name) { return name.ends_with(".html") ? "page" : "text"; }

/// Takes the next line off the text.
std::string_view next_line(std::string_view& text) {
  const std::size_t end = std::min(text.find('\n'), text.size());
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return line;
}

std::optional<std::int64_t> number_of(std::string_view text) {
  const auto count = read_count(text, 0, std::numeric_limits<std::int64_t>::max());
  return count ? std::optional(*count) : std::nullopt;
}

/// `40 rows, first 1001, last 1040`; false where it reads otherwise.
bool read_content(std::string_view text, FileLine& line) {
  if (text == form_word(line.name)) return true;
  std::string_view ends;
  if (const std::size_t at = text.find(kFirst); at != std::string_view::npos) {
    ends = text.substr(at + kFirst.size());
    text = text.substr(0, at);
    const std::size_t to = ends.find(kLast);
    if (to == std::string_view::npos) return false;
    const auto first = number_of(ends.substr(0, to)), last = number_of(ends.substr(to + kLast.size()));
    if (!first || !last) return false;
    line.numbers = {*first, *last};
    if (text == form_word(line.name)) return true;
  }
  const std::size_t blank = text.find(' ');
  const auto rows = number_of(text.substr(0, blank));
  if (!rows || text != plural(static_cast<std::size_t>(*rows), "row", "rows")) return false;
  line.rows = static_cast<std::size_t>(*rows);
  return true;
}

}  // namespace

std::string files_text(std::span<const FileLine> files) {
  std::string text = std::string(kHead) + "\n";
  for (const FileLine& f : files) {
    text +=
        fmt::format("{}{}: {}", kIndent, f.name, f.rows ? plural(*f.rows, "row", "rows") : form_word(f.name));
    if (f.numbers) text += fmt::format("{}{}{}{}", kFirst, f.numbers->first, kLast, f.numbers->second);
    text += fmt::format("\n{}{}\n", kDigest, f.sha256);
  }
  return text;
}

std::string sums_text(std::span<const FileLine> files) {
  std::string text;
  for (const FileLine& f : files) {
    // A name with one of these is told by a backslash before the digest.
    std::string name;
    for (const char c : f.name)
      name += c == '\\' ? "\\\\" : c == '\n' ? "\\n" : c == '\r' ? "\\r" : std::string(1, c);
    text += fmt::format("{}{}  {}\n", name == f.name ? "" : "\\", f.sha256, name);
  }
  return text;
}

std::vector<FileLine> read_files_text(std::string_view summary) {
  std::vector<FileLine> files;
  while (!summary.empty() && next_line(summary) != kHead) {
  }
  while (summary.starts_with(kIndent)) {
    std::string_view first = next_line(summary).substr(kIndent.size());
    FileLine line;
    const std::size_t colon = first.rfind(": ");
    if (colon == std::string_view::npos || !summary.starts_with(kDigest)) continue;
    line.name = first.substr(0, colon);
    line.sha256 = next_line(summary).substr(kDigest.size());
    if (read_content(first.substr(colon + 2), line)) files.push_back(std::move(line));
  }
  return files;
}

}  // namespace deckmark
