// Units of headers, cells and the job: which one holds, and which foot.
#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <sstream>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

/// `us` or `int` for a unit of feet, empty for others.
std::string foot_family(const std::string& unit) {
  return unit == "us-ft" ? "us" : unit == "ft" || unit == "ft-in" ? "int" : "";
}

using Table = std::vector<std::vector<std::string>>;

bool is_length(const std::string& column) {
  for (const char* text : {"point", "mark", "shot", "kind", "run"})
    if (column == text) return false;
  return true;
}

/// The table with every length in another unit, stated in the header, in the cells, or both at odds (the cell
/// wins).
std::string in_unit(const Table& table, const std::string& unit, double per_metre, int decimals,
                    const std::string& where) {
  std::string out;
  for (std::size_t r = 0; r < table.size(); ++r) {
    for (std::size_t c = 0; c < table[r].size(); ++c) {
      std::string cell = table[r][c];
      if (is_length(table[0][c]) && !cell.empty()) {
        if (r == 0) {
          if (where != "cell") cell += where == "both" ? " (cm)" : " (" + unit + ")";
        } else {
          char text[64];
          std::snprintf(text, sizeof text, "%.*f", decimals, std::strtod(cell.c_str(), nullptr) * per_metre);
          cell = text + (where == "header" ? std::string() : " " + unit);
        }
      }
      out += (c ? "," : "") + cell;
    }
    out += "\n";
  }
  return out;
}

}  // namespace

TEST_CASE("every length column takes the unit of its header or of its cells") {
  const std::map<std::string, Table> tables = {
      {"d.csv",
       {{"point", "x", "y", "height"},
        {"P1", "1.5", "2.25", "2.4"},
        {"P2", "4", "3", ""},
        {"P3", "0.5", "3.75", "2.5"}}},
      {"c.csv",
       {{"point", "northing", "easting", "elevation", "sd"},
        {"C1", "100.25", "200.5", "10.125", "0.002"},
        {"C2", "101", "201", "", ""}}},
      {"t.csv",
       {{"mark", "x", "y", "northing", "easting", "sd", "sd_x", "sd_y", "tolerance"},
        {"A", "0", "0", "100", "200", "0.002", "", "", "0.004"},
        {"B", "10", "0", "100", "210.001", "", "0.001", "0.003", ""},
        {"C", "0", "10", "110.002", "200", "", "", "", ""},
        {"D", "", "10", "110.001", "210", "", "", "", ""}}},
      {"s.csv",
       {{"shot", "x", "y", "elevation"},
        {"S1", "0", "0", "14"},
        {"S2", "10", "0", "14.05"},
        {"S3", "0", "10", "14.02"},
        {"S4", "10", "10", "14.07"}}},
      {"m.csv",
       {{"point", "dx", "dy", "elevation", "sd", "floor_northing", "floor_easting"},
        {"P1", "0.003", "0.001", "14.01", "0.001", "102.251", "201.5"},
        {"P2", "-0.002", "0.004", "", "", "", ""}}}};
  const std::string toml =
      "[drawing]\npoints = \"d.csv\"\n[site]\ncontrol = \"c.csv\"\n[baselines]\nties = "
      "\"t.csv\"\n[floor]\nelevation = \"10 m\"\n[deck]\nshots = \"s.csv\"\n"
      "[hangers]\nheight = \"2 m\"\n[plumb]\nmarks = \"m.csv\"\n[list]\ntogether = true\n";
  struct Row {
    std::string unit;
    double per_metre;
    int decimals;
    std::string where;
  };
  std::map<std::string, std::string> wanted;
  for (const Row& r : {Row{"m", 1, 6, "cell"},
                       {"m", 1, 6, "header"},
                       {"mm", 1000, 3, "header"},
                       {"mm", 1000, 3, "cell"},
                       {"cm", 100, 4, "header"},
                       {"mm", 1000, 3, "both"},
                       {"ft", 1 / 0.3048, 9, "header"},
                       {"us-ft", 3937.0 / 1200, 9, "cell"},
                       {"in", 1 / 0.0254, 8, "both"}}) {
    CAPTURE(r.unit);
    CAPTURE(r.where);
    JobFolder job;
    job.write("job.toml", toml);
    for (const auto& [name, table] : tables)
      job.write(name, in_unit(table, r.unit, r.per_metre, r.decimals, r.where));
    const CommandResult result = job.run();
    CAPTURE(result.err);
    CHECK(result.exit_code == 0);
    for (const char* file : {"out/points.csv", "out/list.csv", "out/plumb.csv", "out/baseline.csv"}) {
      CAPTURE(file);
      REQUIRE(job.has(file));
      if (wanted.count(file) == 0) wanted[file] = job.read(file);
      CHECK(job.read(file) == wanted[file]);
    }
    CHECK((result.err.find("notice: ") != std::string::npos) ==
          (r.unit != "m"));  // a notice says so when they differ
  }
}

TEST_CASE("ft against us-ft for one value is refused, wherever the two are stated") {
  const std::vector<std::string> units = {"m", "ft", "us-ft", "ft-in", "in"};
  for (const std::string& of_job : units)
    for (const std::string of_header : {"", "m", "ft", "us-ft", "ft-in", "in"})
      for (const std::string cell : {"100", "100 ft", "100 us-ft", "100 m", "100'-0\"", "100 in"})
        for (const bool control : {true, false}) {
          if (!control && (of_header == "m" || of_header == "in" || cell == "100 m" || cell == "100 in"))
            continue;
          const std::string of_cell = cell == "100 ft" ? "ft" : cell == "100 us-ft" ? "us-ft" : "";
          bool us = false, international = false;
          for (const std::string& unit : {of_job, of_header, of_cell}) {
            us = us || foot_family(unit) == "us";
            international = international || foot_family(unit) == "int";
          }
          const std::string of_column = of_header.empty() ? of_job : of_header;
          // Bare under ft-in is ambiguous; but tables of a ft-in site take decimal feet.
          const bool ambiguous = cell == "100" && of_column == "ft-in" && !(control && of_header.empty());
          JobFolder job;
          write_plain_job(job, control ? "" : "unit = \"" + of_job + "\"\n",
                          control ? "unit = \"" + of_job + "\"\n" : "");
          const std::string column = (control ? std::string("northing") : std::string("x")) +
                                     (of_header.empty() ? "" : " (" + of_header + ")");
          job.write(control ? "control.csv" : "drawing.csv",
                    "point," + column + (control ? ",easting" : ",y") + "\nA," + csv_cell(cell) + ",0\n");
          const CommandResult result = job.run();
          CAPTURE(of_job);
          CAPTURE(of_header);
          CAPTURE(cell);
          CAPTURE(result.err);
          if ((us && international) || ambiguous) {
            CHECK(result.exit_code == 2);
            CHECK(!job.has("out"));
            continue;
          }
          REQUIRE(result.exit_code == 0);
          // Feet-inches and inches in a column of survey feet are survey feet and their twelfths.
          const bool survey = foot_family(of_column) == "us";
          const double foot = survey ? 1200.0 / 3937.0 : 0.3048;
          const std::string unit = cell == "100"      ? of_column
                                   : cell == "100 m"  ? "m"
                                   : cell == "100 in" ? "in"
                                   : !of_cell.empty() ? of_cell
                                                      : "ft-in";
          const double metres = unit == "m"       ? 100
                                : unit == "in"    ? 100 * foot / 12
                                : unit == "us-ft" ? 120000.0 / 3937.0
                                                  : 100 * foot;
          char text[40];
          std::snprintf(text, sizeof text, "%.12f", metres);
          check_length(listed(job)[control ? 0 : 1].at(control ? "northing" : "x"), text);
        }
}
