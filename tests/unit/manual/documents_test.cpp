// What README, topics of help and the jobs in data name has to be declared. Held strictly: `[section] key`,
// words with an underscore, names of files, columns in the README's table of tables, headers of the tables in
// data. Words of everyday language (`height`, `sd`) cannot be told from keys and are not looked at elsewhere.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <regex>
#include <set>
#include <span>
#include <sstream>
#include <string>
#include <vector>

#include "bill/part_words.h"
#include "hanger/hanger_options.h"
#include "job/key_entries.h"
#include "job/overhead_job.h"
#include "job/tables/needs.h"
#include "job/tables/pieces.h"
#include "job/tables/runs.h"
#include "manual/reference.h"
#include "sample.h"
#include "support/temp_folder.h"
#include "support/text.h"
#include "work/outputs.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

const fs::path kTop = fs::path(DECKMARK_TESTS_DIR).parent_path();

/// Everything that is declared, as it is looked for.
struct Declared {
  std::set<std::string> keys;   ///< `[deck] shots`
  std::set<std::string> words;  ///< of keys, sections and columns
  std::set<std::string> files;  ///< examples of paths

  Declared() {
    for (const auto* entries : {&key_entries(), &table_key_entries()})
      for (const KeyEntry& k : *entries) {
        const std::string head = section_head(k);
        keys.insert(head.empty() ? std::string(k.name) : head + " " + std::string(k.name));
        words.insert(std::string(k.name));
        if (k.example.starts_with('"')) files.insert(std::string(k.example.substr(1, k.example.size() - 2)));
      }
    for (const TableEntry& t : table_entries())
      for (const ColumnEntry& c : t.columns) words.insert(std::string(c.name));
    for (const OutputSpec* f : outputs())
      for (const OutColumn& c : f->columns) words.insert(std::string(c.name));
    for (const auto& entry : fs::recursive_directory_iterator(kTop / "data"))
      files.insert(entry.path().filename().string());
  }
  bool has_file(const std::string& name) const {
    return files.count(name) > 0 || output_of(name) != nullptr ||
           std::ranges::any_of(outputs(), [&](const OutputSpec* f) { return f->name == name; });
  }
};
const Declared& declared() {
  static const Declared all;
  return all;
}

std::vector<std::string> matches(const std::string& text, const char* pattern) {
  const std::regex expression(pattern);
  std::vector<std::string> out;
  for (auto at = std::sregex_iterator(text.begin(), text.end(), expression); at != std::sregex_iterator();
       ++at)
    out.push_back((*at)[1]);
  return out;
}

/// Names in this repository that look like a key.
const std::set<std::string> kOfTheHouse = {"third_party_notes", "bench_whole_run"};

/// What of a text with words in back quotes is not declared.
std::vector<std::string> undeclared(const std::string& text) {
  std::vector<std::string> out;
  const Declared& all = declared();
  for (const std::string& word : matches(text, "`([^`\n]+)`")) {
    static const std::regex key(R"(^\[\[?\w+\]\]? \w+$)"), underscore(R"(^[a-z0-9]+(_[a-z0-9]+)+$)"),
        file(R"(^[\w-]+\.(csv|txt|html)$)");
    if (std::regex_match(word, key) && all.keys.count(word) == 0) out.push_back(word);
    if (std::regex_match(word, underscore) && all.words.count(word) == 0 && kOfTheHouse.count(word) == 0)
      out.push_back(word);
    if (std::regex_match(word, file) && !all.has_file(word)) out.push_back(word);
  }
  return out;
}

/// Keys in the first cells of a table: `[deck] shots`, and behind it further words of that section.
std::vector<std::string> keys_of_rows(const std::string& text) {
  std::vector<std::string> out;
  for (const std::string& line : lines_of(text)) {
    if (!line.starts_with("| `[")) continue;
    std::string section;
    for (const std::string& word : matches(line.substr(0, line.find(" |", 2)), "`([^`]*)`")) {
      const std::size_t bracket = word.rfind("] ");
      if (bracket != std::string::npos) section = word.substr(0, bracket + 2);
      out.push_back(bracket == std::string::npos ? section + word : word);
    }
  }
  return out;
}

/// Columns that rows under `| table | columns` name for a table, outside brackets, and are not declared.
std::vector<std::string> undeclared_columns(const std::string& text) {
  std::vector<std::string> out;
  bool inside = false;
  for (const std::string& line : lines_of(text)) {
    inside = line.starts_with("| table | columns") || (inside && line.starts_with("|"));
    if (!inside || !says(line, "`")) continue;
    const std::size_t bar = line.find(" | ");
    const std::string title = line.substr(2, bar - 2),
                      rest = std::regex_replace(line.substr(bar), std::regex(R"(\([^()]*\))"), "");
    const auto table = std::ranges::find_if(table_entries(), [&](const TableEntry& t) {
      return title == t.title() || (title.starts_with(t.name) && t.where.empty() && !says(title, ","));
    });
    if (table == table_entries().end()) {
      out.push_back(title);
      continue;
    }
    for (const std::string& word : matches(rest, "`([^`]+)`"))
      if (std::ranges::find(table->columns, word, &ColumnEntry::name) == table->columns.end())
        out.push_back(title + ": " + word);
  }
  return out;
}

std::vector<fs::path> documents() {
  std::vector<fs::path> out = {kTop / "README.md"};
  for (const auto& entry : fs::recursive_directory_iterator(kTop / "data"))
    if (entry.path().extension() == ".md") out.push_back(entry.path());
  return out;
}

}  // namespace

TEST_CASE("documents: README and the texts beside the examples name no key, column or file that is none") {
  for (const fs::path& path : documents()) {
    CAPTURE(path.string());
    const std::string text = read_bytes(path);
    for (const std::string& word : undeclared(text)) FAIL_CHECK(word, " is not declared");
    for (const std::string& word : undeclared_columns(text)) FAIL_CHECK(word, " is not declared");
    for (const std::string& key : keys_of_rows(text))
      CHECK_MESSAGE(declared().keys.count(key) == 1, key, " is declared");
  }
}

TEST_CASE("documents: what is not declared is found") {
  const char* const bad =
      "`[deck] shtos` `[dekc] shots` `flor_northing` `ponts.csv` `offset-sheets.txt` and `[deck] shots` "
      "`floor_northing` `points.csv` `shots-S1.csv` `drawing.csv` `sd` `scale = \"free\"`\n";
  CHECK(undeclared(bad) == std::vector<std::string>{"[deck] shtos", "[dekc] shots", "flor_northing",
                                                    "ponts.csv", "offset-sheets.txt"});
  const auto keys = keys_of_rows("| `[deck] shots`, `bayz` | none | `x` |\n");
  CHECK(keys == std::vector<std::string>{"[deck] shots", "[deck] bayz"});
  CHECK(undeclared_columns(
            "| table | columns |\n| --- | --- |\n| ties | `mark`\\*, `z` (`q`) |\n| tyes | `x` |\n"
            "\n| other | columns |\n| ties | `z` |\n") == std::vector<std::string>{"ties: z", "tyes"});
}

TEST_CASE("documents: the topics of help name no key, column or file that is none") {
  std::size_t topics = 0;
  for (const auto& entry : fs::directory_iterator(kTop / "lib/manual/topics")) {
    ++topics;
    CAPTURE(entry.path().string());
    const std::string text = read_bytes(entry.path());
    for (const std::string& word : matches(text, R"((?:^|[^\w.-])([a-z0-9]+(?:_[a-z0-9]+)+)(?![\w.]))"))
      CHECK_MESSAGE(declared().words.count(word) == 1, word, " is declared");
    for (const std::string& word : matches(text, R"(([\w-]+\.(?:csv|txt|html))(?!\w))"))
      CHECK_MESSAGE(declared().has_file(word), word, " is declared");
  }
  CHECK(topics == 6);
}

TEST_CASE("documents: what a job in data calls a default is the declared one") {
  std::size_t defaults = 0;
  for (const auto& entry : fs::recursive_directory_iterator(kTop / "data")) {
    if (entry.path().extension() != ".toml") continue;
    std::string section;
    for (const std::string& line : lines_of(read_bytes(entry.path()))) {
      static const std::regex head(R"(^\[\[?(\w+)\]\]?.*)"), key(R"(^(\w+) = (.*?) +# default(?:[.:;].*)?$)");
      std::smatch found;
      if (std::regex_match(line, found, head)) section = found[1];
      if (!std::regex_match(line, found, key)) continue;
      CAPTURE(entry.path().string());
      CAPTURE(line);
      const std::string full = section + "." + found[1].str(), value = found[2];
      const auto at = std::ranges::find(key_entries(), full, full_name);
      REQUIRE(at != key_entries().end());
      ++defaults;
      if (at->without.as_typed)
        CHECK(value == at->without.text);
      else  // in words, the value first
        CHECK(at->without.text.starts_with(value.substr(1, value.size() - 2)));
    }
  }
  CHECK(defaults > 15);
}

TEST_CASE("documents: every column of the tables in data is declared") {
  std::set<std::string> columns;
  for (const TableEntry& t : table_entries())
    for (const ColumnEntry& c : t.columns) columns.insert(std::string(c.name));
  std::size_t tables = 0;
  for (const auto& entry : fs::recursive_directory_iterator(kTop / "data")) {
    if (entry.path().extension() != ".csv" || entry.path().parent_path().filename() == "out") continue;
    CAPTURE(entry.path().string());
    for (const std::string& line : lines_of(read_bytes(entry.path()))) {
      if (line.starts_with('#') || line.empty()) continue;
      std::istringstream cells(line);
      for (std::string cell; std::getline(cells, cell, ',');)
        CHECK_MESSAGE(columns.count(cell.substr(0, cell.find(" ("))) == 1, cell, " is a column");
      ++tables;
      break;
    }
  }
  CHECK(tables > 30);
}

TEST_CASE(
    "documents: words that a cell may hold stand in the meaning of its column, and in the topic of "
    "deliveries") {
  const auto holds = [](std::string_view text, const auto& words, std::size_t first = 0) {
    for (const std::string_view word : std::span(words).subspan(first)) {
      CAPTURE(word);
      const std::regex whole("(^|[^a-z-])" + std::string(word) + "([^a-z-]|$)");
      CHECK(std::regex_search(std::string(text), whole));
    }
  };
  holds(runs::kind.meaning, kRunKindWords);
  holds(runs::start.meaning, kRunEndWords);
  holds(pieces::member.meaning, kMemberWords, 1);  // a single member has no word
  holds(pieces::may_cut.meaning, kMayCutWords);
  holds(needs::per.meaning, kPartPerWords);
  holds(read_bytes(kTop / "lib/manual/topics/delivery.txt"), kPartPerWords);
  CHECK(runs::start.name == kAtEndWords[0]);
  CHECK(runs::finish.name == kAtEndWords[1]);
}
