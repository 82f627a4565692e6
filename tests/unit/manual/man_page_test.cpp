// Pages for man: what stands in them, and that nothing in them makes a formatter complain.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "job/key_entries.h"
#include "manual/manual.h"
#include "sample.h"
#include "support/command.h"
#include "support/temp_folder.h"
#include "support/text.h"
#include "work/outputs.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

std::string page(std::string_view name) {
  const auto text = man_page(sample_manual(), name);
  REQUIRE(text);
  return *text;
}

/// Words in bold, in their order, as a reader sees them.
std::vector<std::string> bold(const std::string& text) {
  static const std::regex pattern(R"(\\fB(.*?)\\fR)");
  std::vector<std::string> out;
  for (auto at = std::sregex_iterator(text.begin(), text.end(), pattern); at != std::sregex_iterator(); ++at)
    out.push_back(std::regex_replace((*at)[1].str(), std::regex(R"(\\-)"), "-"));
  return out;
}

/// What is wrong with one page, by the rules that we keep whether or not a formatter is at hand.
std::vector<std::string> faults_of(const std::string& text) {
  static const std::set<std::string> macros = {".TH", ".SH", ".SS", ".PP", ".TP",
                                               ".IP", ".br", ".nf", ".fi", ".BR"};
  std::vector<std::string> out;
  std::string before;  // the macro of the line before, empty for text
  bool kept = false;
  for (const std::string& line : lines_of(text)) {
    const auto told = [&](const char* what) { out.push_back(std::string(what) + ": " + line); };
    const std::string macro = line.starts_with('.') ? line.substr(0, line.find(' ')) : "";
    if (line.empty()) told("an empty line");
    if (line.size() > 80) told("a long line");
    if (line.ends_with(' ')) told("a blank at the end");
    if (line.starts_with('\'')) told("a quote that begins a macro");
    for (const char c : line)
      if (c < ' ' || c > '~') {
        told("not ASCII");
        break;
      }
    if (std::regex_search(line, std::regex(R"(\\[^-&\\e(\[fR])"))) told("an unknown escape");
    if (!macro.empty() && macros.count(macro) == 0) told("an unknown macro");
    if (macro == ".nf" && kept) told("kept within kept");
    if (macro == ".nf" || macro == ".fi") kept = macro == ".nf";
    const std::set<std::string> heads = {".SH", ".SS", ".PP"};
    if (heads.count(before) > 0 && (macro == ".PP" || macro == ".SH" || (before != ".SH" && macro == ".SS")))
      told("a paragraph without text before it");
    before = macro;
  }
  if (!text.starts_with(".TH ")) out.emplace_back("no .TH first");
  if (kept) out.emplace_back("kept at the end");
  return out;
}

/// A program of the path of this machine; empty where it is not installed.
fs::path installed(const std::string& name) {
  const char* path = std::getenv("PATH");
  for (std::string rest = path ? path : ""; !rest.empty();) {
    const std::size_t end = std::min(rest.find(':'), rest.size());
    const fs::path at = fs::path(rest.substr(0, end)) / name;
    std::error_code bad;
    if (fs::exists(at, bad)) return at;
    rest.erase(0, std::min(end + 1, rest.size()));
  }
  return {};
}

}  // namespace

TEST_CASE("man pages: none has what a formatter would complain of") {
  for (const std::string_view name : kManPages) {
    CAPTURE(name);
    for (const std::string& fault : faults_of(page(name))) FAIL_CHECK(fault);
  }
  const fs::path mandoc = installed("mandoc");
  if (mandoc.empty()) {
    MESSAGE("mandoc is not installed: the pages were held against our own rules alone");
    return;
  }
  const TempFolder folder;
  for (const std::string_view name : kManPages) {
    write_bytes(folder / std::string(name), page(name));
    CommandRun run;
    run.program = mandoc;
    run.args = {"-T", "lint", (folder / std::string(name)).string()};
    const CommandResult told = run.run();
    CHECK(told.out + told.err == "");
  }
}

TEST_CASE("man pages: the check of a page can fail") {
  CHECK(faults_of(".TH A 1\n.SH NAME\na \\- b\n").empty());
  for (const char* bad :
       {"a\n", ".TH A 1\n\na\n", ".TH A 1\n.XX\n", ".TH A 1\n.SH B\n.PP\na\n", ".TH A 1\n\xC2\xB0\n",
        ".TH A 1\n'a\n", ".TH A 1\na \n", ".TH A 1\n.nf\na\n", ".TH A 1\n\\q\n"})
    CHECK_MESSAGE(!faults_of(bad).empty(), bad);
  CHECK_FALSE(faults_of(".TH A 1\n" + std::string(81, 'a') + "\n").empty());
}

TEST_CASE("man pages: they state version and date of the release, and never the clock's") {
  for (const std::string_view name : kManPages) {
    const std::string title = first_line(page(name));
    CAPTURE(title);
    CHECK(says(title, "\"2026-01-02\" \"deckmark 0.0.0\""));
    CHECK(page(name) == page(name));
  }
  CHECK(first_line(page("deckmark-job.5")) == ".TH DECKMARK\\-JOB 5 \"2026-01-02\" \"deckmark 0.0.0\"");
}

TEST_CASE("man pages: keys, columns and files are the declared ones, in their order") {
  std::vector<std::string> keys, columns, files;
  for (const KeyEntry& k : key_entries()) keys.emplace_back(k.name);
  for (const KeyEntry& k : table_key_entries()) keys.emplace_back(k.name);
  CHECK(bold(page("deckmark-job.5")) == keys);
  for (const auto& row : manual_rows("tables")) columns.push_back(row[1]);
  columns.erase(columns.begin());
  CHECK(bold(page("deckmark-tables.5")) == columns);
  for (const OutputSpec* f : outputs())
    for (const OutColumn& c : f->columns) files.emplace_back(c.name);
  CHECK(bold(page("deckmark-files.5")) == files);
  for (const OutputSpec* f : outputs()) {
    std::string name(f->name);
    for (std::size_t at = 0; (at = name.find('-', at)) != std::string::npos; at += 2) name.insert(at, "\\");
    CHECK_MESSAGE(says(page("deckmark-files.5"), ".SS " + name + "\n"), name);
  }
}

TEST_CASE("man pages: deckmark.1 has every command with its options, and what stands in its text") {
  const std::string text = page("deckmark.1");
  const std::vector<std::string> words = bold(text);
  for (const char* want : {"--units", "--man", "--quiet", "job.toml", "points.csv"})
    CHECK_MESSAGE(std::ranges::count(words, want) == 1, want);
  CHECK(says(text, ".SS deckmark new FOLDER\n"));
  CHECK(says(text, "ft\\-in or m: 12\\(aq\\-6\" or 3.81 m\n"));
  CHECK(says(text, ".nf\n  example: deckmark new my\\-job\n  example: deckmark new hall\n.fi\n"));
  // Kept lines that look like macros are none.
  CHECK(says(text, "\n  .nf  a table\n  \\(aqx   more\n"));
  CHECK(says(text, ".BR deckmark\\-job (5) ,\n.BR deckmark\\-tables (5) ,\n.BR deckmark\\-files (5)\n"));
}
