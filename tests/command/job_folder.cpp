#include "job_folder.h"

#include <doctest/doctest.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <cstdlib>
#include <utility>

#include "support/text.h"

namespace deckmark_test {

namespace {

// Every run flushes its files: thousands of runs take minutes on a disk, so that the jobs lie in memory where
// they can.
[[maybe_unused]] const int kInMemory =
    ::access("/dev/shm", W_OK | X_OK) == 0 ? ::setenv("TMPDIR", "/dev/shm", 0) : 0;

/// Takes `:digits` off the front.
std::optional<std::size_t> take_number(std::string_view& text) {
  if (text.empty() || text.front() != ':') return std::nullopt;
  std::size_t value = 0;
  const auto [end, bad] = std::from_chars(text.data() + 1, text.data() + text.size(), value);
  if (bad != std::errc{}) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

bool is_doubt_or_notice(const std::string& line) {
  return line.rfind("doubt: ", 0) == 0 || line.rfind("notice: ", 0) == 0;
}

}  // namespace

std::vector<ToldLine> problem_lines(const std::string& err) {
  std::vector<ToldLine> out;
  for (const std::string& line : lines_of(err)) {
    if (is_doubt_or_notice(line)) continue;
    ToldLine told;
    std::string_view rest = line;
    const std::size_t file_end = rest.find(':');
    if (file_end == std::string_view::npos) continue;
    told.file = std::string(rest.substr(0, file_end));
    rest.remove_prefix(file_end);
    if (const auto number = take_number(rest)) {
      told.line = *number;
      told.column = take_number(rest).value_or(0);
    }
    if (rest.rfind(": ", 0) != 0) continue;
    rest.remove_prefix(2);
    const std::size_t field_end = rest.find(": ");
    if (field_end == std::string_view::npos) continue;
    told.field = std::string(rest.substr(0, field_end));
    told.text = std::string(rest.substr(field_end + 2));
    out.push_back(std::move(told));
  }
  return out;
}

std::string place_of(const ToldLine& line) {
  const std::string place =
      line.line > 0 ? ":" + std::to_string(line.line) + ":" + std::to_string(line.column) : "";
  return line.file + place + ": " + line.field;
}

std::string suggestion_of(const ToldLine& line) {
  const std::size_t at = line.text.find("; try ");
  return at == std::string::npos ? "" : line.text.substr(at + 6);
}

bool has_doubt_or_notice(const std::string& err) {
  const auto lines = lines_of(err);
  return std::any_of(lines.begin(), lines.end(), is_doubt_or_notice);
}

std::vector<std::vector<std::string>> csv_rows(const std::string& bytes, char separator) {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row(1);
  bool quoted = false, begun = false;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    const char c = bytes[i];
    begun = true;
    if (quoted) {
      if (c != '"')
        row.back() += c;
      else if (i + 1 < bytes.size() && bytes[i + 1] == '"')
        row.back() += bytes[++i];
      else
        quoted = false;
    } else if (c == '"' && row.back().empty()) {
      quoted = true;
    } else if (c == separator) {
      row.emplace_back();
    } else if (c == '\n') {
      rows.push_back(std::exchange(row, std::vector<std::string>(1)));
      begun = false;
    } else if (c != '\r') {
      row.back() += c;
    }
  }
  if (begun) rows.push_back(row);
  return rows;
}

std::string csv_cell(const std::string& text, char separator) {
  const std::string special = std::string("\"\r\n") + separator;
  if (text.find_first_of(special) == std::string::npos &&
      (text.empty() || (text.front() != ' ' && text.back() != ' ')))
    return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

std::vector<std::map<std::string, std::string>> named_rows(const std::string& bytes) {
  const auto rows = csv_rows(bytes);
  std::vector<std::map<std::string, std::string>> out;
  for (std::size_t r = 1; r < rows.size(); ++r) {
    REQUIRE(rows[r].size() == rows[0].size());
    std::map<std::string, std::string> named;
    for (std::size_t c = 0; c < rows[0].size(); ++c)
      named[rows[0][c].substr(0, rows[0][c].find(" ("))] = rows[r][c];
    out.push_back(std::move(named));
  }
  return out;
}

CommandRun JobFolder::prepared(std::vector<std::string> args) const {
  CommandRun run;
  run.program = DECKMARK_PROGRAM;
  run.args = std::move(args);
  run.folder = folder_.path();
  run.env = {{"LC_ALL", "C"}};
  run.seconds = 60;
  return run;
}

CommandResult JobFolder::run(std::vector<std::string> args) const { return prepared(std::move(args)).run(); }

void check_refused(const JobFolder& job, const std::map<std::string, std::string>& before,
                   const CommandResult& result) {
  CHECK(result.exit_code == 2);
  CHECK(result.out.empty());
  CHECK((job.snapshot() == before));
  CHECK(!result.err.empty());
  CHECK(std::none_of(result.err.begin(), result.err.end(),
                     [](char c) { return (c >= 0 && c < 0x20 && c != '\n') || c == 0x7F; }));
  const auto problems = problem_lines(result.err);
  CHECK(!problems.empty());
  for (const ToldLine& p : problems) {
    CAPTURE(p.text);
    if (p.text.rfind("and ", 0) == 0) continue;
    CHECK(p.text.rfind("found ", 0) == 0);
    CHECK(p.text.find(", expected ") != std::string::npos);
  }
}

}  // namespace deckmark_test
