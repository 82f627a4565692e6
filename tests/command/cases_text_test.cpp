// Whole tables, names, numbers and lengths of tests/cases, read by the real program.
#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

/// Refusals of whole tables: the place and what the message must hold.
const std::map<std::string, std::vector<Refusal>>& refusals() {
  static const std::map<std::string, std::vector<Refusal>> all = {
      {"csv-10", {{"decimal-comma-unquoted.csv:2:1: row", {"5 cells", "4"}}}},
      {"csv-11",
       {{"decimal-comma-quoted.csv:2:4: northing", {"100,000"}},
        {"decimal-comma-quoted.csv:2:14: easting", {"200,000"}}}},
      {"csv-13", {{"spaces.txt:1:1: header", {"blanks", "comma", "semicolon", "tab"}}}},
      {"csv-14", {{"spaces-in-name.txt:1:1: header", {"blanks", "comma", "semicolon", "tab"}}}},
      {"csv-16", {{"quoted-newline.csv:4:12: easting", {"\"x02.250\""}}}},
      {"csv-17", {{"unclosed-quote.csv:2:27: note", {"not closed"}}}},
      {"csv-21", {{"feet-badly-quoted.csv:2:4: x", {"not closed", "doubling"}}}},
      {"csv-22", {{"latin1.csv:2:27: note", {"0xB0", "UTF-8"}}}},
      {"csv-23", {{"curly-csv-quotes.csv:2:1: point", {"U+201C"}}}},
      {"csv-26", {{"short-row.csv:3:1: row", {"3 cells", "4"}}}},
      {"csv-27", {{"long-row.csv:2:1: row", {"5 cells", "4"}}}},
      {"csv-33", {{"header-xy.csv:1:1: header", {"northing", "easting", "x, y"}}}},
      {"csv-34", {{"no-header-numbers.csv:1:1: header", {"header"}}}},
      {"csv-35", {{"header-missing.csv:1:1: header", {"easting", "point, northing, elevation"}}}},
      {"csv-36", {{"header-twice.csv:1:16: header", {"northing", "twice"}}}},
      {"csv-37", {{"header-repeated.csv:3:1: row", {"header"}}}},
      {"csv-39", {{"nul-inside.csv:2:1: point", {"NUL"}}}},
      {"csv-40", {{"empty.csv: file", {"empty"}}}},
      {"csv-41", {{"header-only.csv: file", {"no data rows"}}}},
      {"csv-42", {{"empty-value.csv:2:12: easting", {"empty"}}}},
      {"csv-43", {{"empty-name.csv:2:1: point", {"empty"}}}},
      {"csv-44",
       {{"three-faults.csv:2:4: northing", {"\"1OO.000\""}},
        {"three-faults.csv:3:12: easting", {"\"nan\""}},
        {"three-faults.csv:4:1: row", {"5 cells", "4"}}}},
      {"csv-48", {{"utf16le-nobom.csv: file", {"NUL", "UTF-16"}}}},
      {"csv-50", {{"spaces-missing.txt:1:1: header", {"blanks", "comma", "semicolon", "tab"}}}},
      {"csv-51", {{"curly-csv-quotes-number.csv:2:4: northing", {"U+201C"}}}},
      {"csv-52", {{"joined-rows.csv:2:1: row", {"7 cells", "4"}}}},
      {"csv-55", {{"header-misspelt.csv:1:1: header", {"northing", "nrothing, easting"}}}},
      {"csv-56", {{"header-unit-unknown.csv:1:7: northing", {"yd"}}}},
      {"csv-57", {{"nul-number.csv:2:4: northing", {"NUL"}}}},
      {"csv-58", {{"only-blank.csv: file", {"no header"}}}},
      {"csv-63", {{"header-unnamed-values.csv:2:4: row", {"\"7\"", "without a name", "a value more"}}}},
      {"csv-64",
       {{"header-bom-other-words.csv:1:1: header", {"point", "\"pt. no.\" = \"point\", n = \"northing\""}}}},
      {"csv-65", {{"header-unit-twice.csv:1:7: northing", {"m) (ft"}}}},
      {"name-05", {{"name-formula.csv:2:1: point", {"007"}}}},
      {"name-06", {{"name-dup.csv:4:1: point", {"\"A1\"", "line 2"}}}},
      {"name-07", {{"name-blank.csv:3:1: point", {"\"A1\"", "line 2"}}}},
      {"name-08", {{"name-case.csv:3:1: point", {"\"A1\"", "line 2"}}}},
  };
  return all;
}

/// `A1 N=100 E=200 Z=10` taken apart.
struct Stated {
  std::string name;
  std::map<std::string, std::string> values;
};

std::vector<Stated> stated_points(const std::string& value) {
  std::vector<Stated> out;
  std::istringstream parts(value);
  for (std::string part; std::getline(parts, part, ';');) {
    part.erase(0, part.find_first_not_of(' '));
    Stated point;
    std::vector<std::string> words;
    std::istringstream in(part);
    for (std::string word; in >> word;) words.push_back(word);
    for (const std::string& word : words) {
      const std::size_t eq = word.find('=');
      if (eq == std::string::npos)
        point.name += (point.name.empty() ? "" : " ") + word;
      else
        point.values[word.substr(0, eq)] = word.substr(eq + 1);
    }
    point.name = unescape(point.name);
    out.push_back(point);
  }
  return out;
}

/// Fails where the control (or the drawing) that was read is not what the row states.
void check_points(const JobFolder& job, const std::vector<Stated>& wanted, bool drawing) {
  auto rows = listed(job);
  REQUIRE(rows.size() == wanted.size() + 1);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const auto& row = rows[drawing ? i + 1 : i];
    CAPTURE(wanted[i].name);
    if (!drawing) CHECK(row.at("number") == wanted[i].name);
    for (const auto& [key, metres] : wanted[i].values) {
      const std::string column = key == "N"   ? "northing"
                                 : key == "E" ? "easting"
                                 : key == "Z" ? "elevation"
                                              : key;
      check_length(row.at(column), metres);
    }
  }
}

/// A table of the row, named as the case names it, read as control or as drawing.
void run_table(const Case& row) {
  const std::string id = row.at("id"), input = row.at("input");
  const bool drawing = row.at("setting").rfind("drawing table", 0) == 0;
  const std::string name = input.substr(input.rfind('/') + 1);
  JobFolder job;
  write_plain_job(job);
  std::string toml = job.read("job.toml");
  const std::string key = drawing ? "points = \"drawing.csv\"" : "control = \"control.csv\"";
  toml.replace(toml.find(key), key.size(),
               (drawing ? "unit = \"ft-in\"\npoints = \"" : "control = \"") + name + "\"");
  job.write("job.toml", toml);
  std::string bytes = read_bytes(std::string(DECKMARK_TESTS_DIR) + "/cases/" + input);
  if (id == "name-10") {
    bytes.resize(bytes.rfind('\n', bytes.size() - 2) +
                 1);  // a TAB is a control character: refused (contract)
    // 200 letters are kept whole; 300 are over the limit, which is told (limits_test.cpp).
    bytes.erase(bytes.find(std::string(300, 'X')), 100);
  }
  job.write(name, bytes);
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  CAPTURE(result.err);
  if (const auto refused = refusals().find(id); refused != refusals().end()) {
    CHECK((row.at("expect") == "error" || row.at("expect") == "either"));
    check_refused(job, before, result);
    for (const Refusal& r : refused->second) check_told(result.err, r);
    return;
  }
  CHECK(row.at("expect") != "error");
  REQUIRE(result.exit_code == 0);
  if (id == "name-10")
    return check_points(job, {{std::string(200, 'X'), {{"N", "1"}, {"E", "2"}, {"Z", "0"}}}}, drawing);
  check_points(job, stated_points(row.at("value")), drawing);
}

/// Where one cell is put: a table with one row, and the cell's place in it.
struct Placed {
  std::string file, header, before, after;
  std::string field;
};

/// Runs the program on one cell; the suggestion of a refusal must be accepted in the same place.
void run_cell(const Case& row, const std::string& text, const Placed& at, char separator,
              const std::string& more_drawing, const std::string& more_site, bool quoted) {
  const auto filled = [&](const std::string& cell) {
    std::string bytes =
        at.header + "\n" + at.before + (quoted ? csv_cell(cell, separator) : cell) + at.after + "\n";
    for (char& c : bytes)
      if (c == '|') c = separator;
    return bytes;
  };
  JobFolder job;
  write_plain_job(job, more_drawing, more_site);
  job.write(at.file, filled(text));
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  CAPTURE(text);
  CAPTURE(filled(text));
  CAPTURE(result.err);
  const std::string expect = row.at("expect");
  if (expect == "error" || (expect == "either" && result.exit_code != 0)) {
    check_refused(job, before, result);
    check_told(result.err, {at.file + ":2:" + std::to_string(at.before.size() + 1) + ": " + at.field, {}});
    for (const ToldLine& p : problem_lines(result.err)) {
      if (suggestion_of(p).empty() || p.field != at.field) continue;
      CAPTURE(p.text);
      job.write(at.file, filled(suggestion_of(p)));
      CHECK(job.run().exit_code == 0);
    }
    return;
  }
  REQUIRE(result.exit_code == 0);
  if (expect == "warn") CHECK(has_doubt_or_notice(result.err));
  const auto rows = listed(job);
  REQUIRE(rows.size() == 2);
  check_length(rows[at.file == "control.csv" ? 0 : 1].at(at.field), row.at("value"));
}

}  // namespace

TEST_CASE("tables of the cases") {
  for (const Case& row : cases_of("csv")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("what"));
    if (row.at("input").rfind("inputs/", 0) != 0) continue;  // recipes: cases_large_test.cpp
    run_table(row);
  }
}

TEST_CASE("names of the cases") {
  for (const Case& row : cases_of("name")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("what"));
    run_table(row);
  }
}

TEST_CASE("numbers of the cases, in every place of a table") {
  const std::vector<Placed> places = {
      {"control.csv", "point|northing|easting|elevation", "A1|", "|200|10", "northing"},
      {"control.csv", "northing|point|easting|elevation", "", "|A1|200|10", "northing"},
      {"control.csv", "point|northing|easting|elevation", "A1|1|200|", "", "elevation"},
      {"drawing.csv", "x|point|y", "", "|P1|0", "x"},
      {"drawing.csv", "point|x|y|note", "P1|0|", "|text", "y"},
  };
  for (const Case& row : cases_of("num")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("what"));
    const std::string setting = row.at("setting");
    const char separator = setting.find("semicolon") != std::string::npos ? ';' : ',';
    const std::string unit = setting == "unit mm"   ? "unit = \"mm\"\n"
                             : setting == "unit in" ? "unit = \"in\"\n"
                                                    : "";
    for (const Placed& at : places) {
      CAPTURE(at.header);
      run_cell(row, unescape(row.at("input")), at, separator, unit, unit, true);
    }
  }
}

TEST_CASE("lengths of the cases, quoted and not") {
  const std::vector<Placed> places = {
      {"drawing.csv", "point|x|y", "P1|", "|0", "x"},
      {"drawing.csv", "y|point|x", "", "|P1|0", "y"},
  };
  for (const Case& row : cases_of("len")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("what"));
    const std::string setting = row.at("setting"), text = unescape(row.at("input"));
    std::vector<std::string> units = {"m", "mm", "cm", "ft-in", "in"};
    if (setting.rfind("unit ", 0) == 0)
      units = {setting.substr(5)};
    else if (text.find("us-ft") == std::string::npos)
      units.push_back("ft");
    for (const std::string& unit : units) {
      CAPTURE(unit);
      const bool survey =
          text.find("us-ft") != std::string::npos && unit == "ft-in";  // two feet for one value: refused
      if (survey) continue;
      for (const Placed& at : places) {
        for (const bool quoted : {true, false}) {
          if (!quoted && (text.find(',') != std::string::npos || text.front() == '"' || &at != &places[0]))
            continue;
          CAPTURE(quoted);
          run_cell(row, text, at, ',', "unit = \"" + unit + "\"\n", "", quoted);
        }
      }
    }
  }
}

TEST_CASE("which foot: header, cell and job") {
  for (const Case& row : cases_of("usft")) {
    const std::string id = row.at("id"), setting = row.at("setting"), text = row.at("input");
    CAPTURE(id);
    CAPTURE(row.at("what"));
    const bool in_header = setting.rfind("header", 0) == 0;
    const std::string unit = in_header ? (id == "usft-07" ? "us-ft" : "ft") : setting.substr(5);
    const std::string job_unit = id == "usft-07" ? "unit = \"ft\"\n"
                                 : in_header     ? ""
                                                 : "unit = \"" + unit + "\"\n";
    const std::string column = in_header ? "northing (" + unit + ")" : "northing";
    if (id == "usft-07") {
      JobFolder job;
      write_plain_job(job, "", job_unit);
      job.write("control.csv", "point," + column + ",easting,elevation\nA1," + text + ",0,0\n");
      const auto before = job.snapshot();
      const CommandResult result = job.run();
      check_refused(job, before, result);
      check_told(result.err, {"control.csv:1:7: northing", {"us-ft", "ft"}});
      continue;
    }
    run_cell(row, text, {"control.csv", "point|" + column + "|easting|elevation", "A1|", "|0|0", "northing"},
             ',', "", job_unit, true);
    if (!in_header)
      run_cell(row, text, {"drawing.csv", "point|x|y", "A1|", "|0", "x"}, ',', job_unit, "", true);
    if (in_header)
      run_cell(row, text, {"control.csv", "point|easting|" + column, "A1|0|", "", "northing"}, ',', "",
               job_unit, true);
  }
}

TEST_CASE("every case row has a test or a reason to have none") {
  const std::vector<std::string> kinds_met = {"csv",  "num",   "len", "usft", "lenout",
                                              "name", "out",   "fit", "base", "lift",
                                              "file", "match", "crs", "ang",  "angout"};
  for (const Case& row : read_vectors("cases/cases.csv")) {
    CAPTURE(row.at("id"));
    const std::string kind = row.at("kind");
    const bool met = std::find(kinds_met.begin(), kinds_met.end(), kind) != kinds_met.end();
    const bool left_out = kinds_left_out().count(kind) || cases_left_out().count(row.at("id"));
    CHECK((met || left_out));
  }
}
