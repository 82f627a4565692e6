#pragma once
/// Jobs with runs, bays and obstructions for the real program; values in metres.

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "job_folder.h"

namespace deckmark_test {

using TableRow = std::map<std::string, std::string>;
using TableRows = std::vector<TableRow>;

inline double number(const TableRow& row, const std::string& column) { return std::stod(row.at(column)); }

inline TableRows table(const JobFolder& job, const std::string& name) {
  return named_rows(job.read("out/" + name));
}

/// The first row whose cell is that text; fails the test where there is none.
inline const TableRow& row_of(const TableRows& rows, const std::string& column, const std::string& text) {
  for (const TableRow& r : rows)
    if (r.at(column) == text) return r;
  FAIL("no row with " << column << " " << text);
  return rows.front();
}
inline std::size_t count_of(const TableRows& rows, const std::string& column, const std::string& text) {
  std::size_t n = 0;
  for (const TableRow& r : rows) n += r.at(column) == text;
  return n;
}

/// The parts of a job file; what is empty is left out.
struct OverheadParts {
  std::string drawing = "runs = \"runs.csv\"\n", deck = "elevation = \"4 m\"\n",
              hangers = "max_spacing = \"1.2 m\"\n", more;
};
inline void write_overhead(JobFolder& job, const OverheadParts& p) {
  job.write("job.toml", "[drawing]\n" + p.drawing + "[floor]\nelevation = \"0 m\"\n" +
                            (p.deck.empty() ? "" : "[deck]\n" + p.deck) + "[hangers]\nheight = \"2.5 m\"\n" +
                            p.hangers + p.more);
}

}  // namespace deckmark_test
