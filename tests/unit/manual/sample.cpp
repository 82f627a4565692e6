#include "sample.h"

#include <doctest/doctest.h>

#include "work/outputs.h"

namespace deckmark_test {

using namespace deckmark;

const Manual& sample_manual() {
  static constexpr std::string_view kWords[] = {"m", "ft-in"};
  static const std::vector<ManualOption> shared = {{"quiet", "", "says less"}};
  static const std::vector<ManualCommand> commands = {
      {"every job",
       "new",
       "FOLDER",
       "a job that's new: [it] runs",
       "Makes a job.\n\nexample: deckmark new my-job\nexample: deckmark new hall",
       {{"units", "UNITS", "ft-in or m: 12'-6\" or 3.81 m", kWords}}},
      {"every job", "run", "[JOB]", "everything", "Does it.\n\n  .nf  a table\n  'x   more", {}},
      {"rarely", "help", "[TOPIC [NAME]]", "words", "Tells words.", {{"man", "PAGE", "a page", kManPages}}},
  };
  static const Manual manual{"0.0.0",   "2026-01-02", "Does things.\nAll of them.", commands, shared,
                             outputs(), output_of};
  return manual;
}

std::vector<std::vector<std::string>> csv_rows(std::string_view csv) {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row(1);
  bool within = false;
  for (std::size_t i = 0; i < csv.size(); ++i) {
    const char c = csv[i];
    if (within && c == '"' && csv.substr(i).starts_with("\"\"")) {
      row.back() += c;
      ++i;
    } else if (c == '"') {
      within = !within;
    } else if (c == ',' && !within) {
      row.emplace_back();
    } else if (c == '\n' && !within) {
      rows.push_back(std::move(row));
      row.assign(1, "");
    } else {
      row.back() += c;
    }
  }
  return rows;
}

std::vector<std::vector<std::string>> manual_rows(std::string_view topic, std::string_view name) {
  const auto csv = manual_csv(sample_manual(), topic, name);
  REQUIRE(csv);
  auto rows = csv_rows(*csv);
  REQUIRE(rows.size() > 1);
  return rows;
}

}  // namespace deckmark_test
