// What help tells of keys, columns and files, against the declarations and against what is read.
#include "manual/reference.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "job/job.h"
#include "job/keys/all_keys.h"
#include "job/tables/all.h"
#include "sample.h"
#include "support/temp_folder.h"
#include "support/text.h"
#include "work/outputs.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

using Rows = std::vector<std::vector<std::string>>;

/// The first cells of every row but the header.
Rows first_cells(const Rows& rows, std::size_t n) {
  Rows out;
  for (std::size_t i = 1; i < rows.size(); ++i)
    out.emplace_back(rows[i].begin(), rows[i].begin() + static_cast<std::ptrdiff_t>(n));
  return out;
}

std::vector<Message> problems_of(const std::string& toml) {
  const TempFolder folder;
  write_bytes(folder / "job.toml", toml);
  Job job;
  PartMessages told;
  read_job(folder.path(), job, told);
  return std::move(told).merged().sorted(Grade::problem);
}

std::string whole_text(std::string_view topic, std::string_view name = {}, std::size_t width = 80) {
  const auto text = manual_text(sample_manual(), topic, name, width);
  REQUIRE(text);
  return *text;
}

}  // namespace

TEST_CASE("help keys --csv has every declared key in its order, and no other") {
  Rows declared;
  for_each_section([&](const auto& section, Part) {
    section.each([&](const auto& key) {
      declared.push_back({std::string(section.name), std::string(key.name)});
    });
  });
  const Rows rows = manual_rows("keys");
  CHECK(rows[0] == std::vector<std::string>{"section", "key", "kind", "default", "required", "meaning"});
  CHECK(first_cells(rows, 2) == declared);
  for (const auto& row : rows) {
    CAPTURE(row[1]);
    CHECK(row.size() == 6);
    CHECK_FALSE(row[2].empty());
    CHECK_FALSE(row[4].empty());
    CHECK_FALSE(row[5].empty());
  }
}

TEST_CASE("help keys --csv has what the job file takes: each key is known there, another is not") {
  const std::set<std::string> repeated = {"setup", "crew"};
  const auto stated = [&](const std::string& section, const std::string& key) {
    const std::string head = section.empty()               ? ""
                             : repeated.count(section) > 0 ? "[[" + section + "]]\n"
                                                           : "[" + section + "]\n";
    return problems_of(head + key + " = [[1]]\n");
  };
  const auto is_unknown = [](const std::vector<Message>& told) {
    return std::ranges::any_of(told, [](const Message& m) { return says(m.text, "not known"); });
  };
  std::set<std::string> sections;
  for (const auto& row : first_cells(manual_rows("keys"), 2)) {
    CAPTURE(row[0]);
    CAPTURE(row[1]);
    CHECK_FALSE(is_unknown(stated(row[0], row[1])));
    if (sections.insert(row[0]).second) CHECK(is_unknown(stated(row[0], row[1] + "_zz")));
  }
  CHECK(sections.size() == 21);
}

TEST_CASE("help tells kind, default and need of a key as they are declared") {
  struct Row {
    const char *section, *key, *kind, *standard, *required;
  };
  for (const Row& want : {
           Row{"baselines", "tie_sd", "length above 0", "\"1.5 mm\"", "no"},
           Row{"baselines", "hold", "word: both, x or y", "\"both\"", "no"},
           Row{"hangers", "max_spacing", "length above 0", "", "with runs"},
           Row{"setup", "name", "text", "", "yes"},
           Row{"list", "unit", "unit: ft-in, ft, in, us-ft, m, mm or cm", "the site unit", "no"},
           Row{"list", "decimals", "whole number, 0 to 9", "4", "no"},
           Row{"instrument", "angle_sd", "angle above 0°, up to 1°", "", "with setups"},
           Row{"plumb", "slope", "ratio 1:n", "", "no"},
           Row{"drawing", "points", "table", "", "without runs, but not for setups or a crs alone"},
           Row{"baselines", "signed", "file", "", "no"},
       }) {
    CAPTURE(want.key);
    const Rows rows = manual_rows("keys", std::string(want.section) + "." + want.key);
    REQUIRE(rows.size() == 2);
    CHECK(rows[1][2] == want.kind);
    CHECK(rows[1][3] == want.standard);
    CHECK(rows[1][4] == want.required);
  }
}

TEST_CASE("help tables --csv has every declared column, with no two of one name in a table") {
  Rows declared;
  for_each_table([&](auto terms) {
    std::string title(terms.word.name);
    if (!terms.word.where.empty()) title += ", " + std::string(terms.word.where);
    terms.each([&]<class Cell>(const Column<Cell>& c) {
      declared.push_back({title, std::string(c.name), std::string(Cell::word),
                          c.stands == Stands::required ? "yes" : "no", std::string(c.meaning)});
    });
  });
  const Rows rows = manual_rows("tables");
  CHECK(rows[0] == std::vector<std::string>{"table", "column", "kind", "required", "meaning"});
  CHECK(first_cells(rows, 5) == declared);
  std::set<std::vector<std::string>> names;
  for (const auto& row : first_cells(rows, 2)) CHECK_MESSAGE(names.insert(row).second, row[0], " ", row[1]);
}

TEST_CASE("help files --csv has every file of a run and its columns") {
  Rows declared;
  for (const OutputSpec* f : outputs()) {
    if (f->columns.empty()) declared.push_back({std::string(f->name), ""});
    for (const OutColumn& c : f->columns) declared.push_back({std::string(f->name), std::string(c.name)});
  }
  const Rows rows = manual_rows("files");
  CHECK(rows[0] == std::vector<std::string>{"file", "column", "kind", "when", "meaning"});
  CHECK(first_cells(rows, 2) == declared);
  CHECK(manual_rows("files", "points.csv")[1] ==
        std::vector<std::string>{"points.csv", "number", "whole number", "every run",
                                 std::string(output_of("points.csv")->columns[0].meaning)});
}

TEST_CASE("help of a section is a part of a job file: it can be pasted whole") {
  std::set<std::string> sections;
  for (const auto& row : first_cells(manual_rows("keys"), 1)) sections.insert(row[0]);
  for (const std::string& section : sections) {
    for (const std::size_t width : {60U, 80U}) {
      const std::string toml = whole_text("keys", section.empty() ? "top" : section, width);
      CAPTURE(toml);
      std::size_t keys = 0;
      for (const auto& row : manual_rows("keys", section.empty() ? "top" : section))
        keys += says("\n" + toml, "\n" + row[1] + " = ") ? 1U : 0U;
      CHECK(keys + 1 == manual_rows("keys", section.empty() ? "top" : section).size());
      for (const Message& m : problems_of(toml)) {
        CAPTURE(message_line(m));
        CHECK_FALSE(says(m.text, "not known"));
        CHECK_FALSE((m.field == "file" && m.file == "job.toml"));
      }
    }
  }
}

TEST_CASE("help names all keys, tables and files in its overviews") {
  const std::string keys = whole_text("keys"), tables = whole_text("tables"), files = whole_text("files");
  for (const auto& row : first_cells(manual_rows("keys"), 2)) {
    CHECK_MESSAGE(says(keys, "\n  " + row[1]), row[1]);
    if (!row[0].empty()) CHECK_MESSAGE(says(keys, "[" + row[0] + "]"), row[0]);
  }
  for (const auto& row : first_cells(manual_rows("tables"), 2)) {
    CHECK_MESSAGE(says(tables, row[0].substr(0, row[0].find(','))), row[0]);
    CHECK_MESSAGE(says(tables, row[1]), row[1]);
  }
  for (const auto& row : first_cells(manual_rows("files"), 1))
    CHECK_MESSAGE(says(files, "  " + row[0]), row[0]);
}

TEST_CASE("help takes a name as it is typed, and as a run made it") {
  struct Row {
    const char *topic, *typed, *begins;
  };
  for (const Row& r : {
           Row{"keys", "[hangers]", "# Part of a job.toml"},
           Row{"keys", "[[setup]]", "# Part of a job.toml"},
           Row{"keys", "Hangers", "# Part of a job.toml"},
           Row{"tables", "drawing points", "drawing points: "},
           Row{"tables", "drawing-points", "drawing points: "},
           Row{"tables", "Draw", "drawing points: "},
           Row{"tables", "as-built shots", "as-built shots: "},
           Row{"tables", "control", "control: "},
           Row{"files", "points.csv", "points.csv: "},
           Row{"files", "numbers.csv", "numbers.csv: "},
           Row{"files", "shots-S1.csv", "shots-NAME.csv: "},
           Row{"files", "floor-list-R1.csv", "floor-list-NAME.csv: "},
           Row{"files", "floor-list-grid.csv", "floor-list-grid.csv: "},
           Row{"files", "floor-list-grid-R1.csv", "floor-list-grid-NAME.csv: "},
       }) {
    CAPTURE(r.typed);
    CHECK(whole_text(r.topic, r.typed).starts_with(r.begins));
  }
  // Two tables have the name; both are told.
  CHECK(says(whole_text("tables", "control"), "\ncontrol, where the site has a crs: "));
}

TEST_CASE("help of what is not known names the nearest") {
  struct Row {
    const char *topic, *name, *suggestion;
  };
  for (const Row& r : {
           Row{"kys", "", "keys"},
           Row{"statsu", "", "status"},
           Row{"rnu", "", "run"},
           Row{"keys", "hanger", "hangers"},
           Row{"tables", "tyes", "ties"},
           Row{"tables", "zz", ""},
           Row{"files", "point.csv", "points.csv"},
           Row{"status", "x", ""},
       }) {
    CAPTURE(r.topic);
    CAPTURE(r.name);
    const auto text = manual_text(sample_manual(), r.topic, r.name, 80);
    REQUIRE_FALSE(text);
    CHECK(text.fault().suggestion == r.suggestion);
    CHECK(says(text.fault().found, *r.name ? r.name : r.topic));
  }
  CHECK(manual_csv(sample_manual(), "values", "").fault().suggestion == "keys");
  CHECK(man_page(sample_manual(), "deckmark").fault().suggestion == "deckmark.1");
  CHECK(completion(sample_manual(), "zhs").fault().suggestion == "zsh");
}
