#include "compare_heights.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <sstream>

#include "support/text.h"

namespace deckmark_test {

namespace {

using Row = std::map<std::string, std::string>;

constexpr double kDigit = 0.00001;  // of a list unit, the coarsest that the tables may be written in
constexpr double kHair = 2e-9;      // m

std::vector<std::string> sorted_words(const std::string& all) {
  std::istringstream in(all);
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  std::sort(words.begin(), words.end());
  return words;
}

std::string joined(std::vector<std::string> words) {
  std::sort(words.begin(), words.end());
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

void compare_header(const StaffJob& job, const std::string& heights_csv, Findings& findings) {
  const auto rows = csv_rows(heights_csv);
  std::string header;
  for (const std::string& name : rows.empty() ? std::vector<std::string>() : rows.front())
    header += (header.empty() ? "" : ",") + name;
  const std::string unit = std::string(" (") + job.unit.list + ")";
  findings.word("heights.csv: header", header,
                "point,number,level,elevation" + unit + ",above_datum" + unit + ",sd" + unit + ",from");
}

void compare_row(const StaffJob& job, const Row& row, const StaffTarget& target, const TrueHeight& truth,
                 Findings& findings) {
  const std::string what =
      "heights.csv: " + target.point + (target.level.empty() ? "" : " " + target.level) + " ";
  const double bound = kDigit * job.unit.metres / 2 * 1.0001 + kHair;
  findings.word(what + "point", cell_of(row, "point"), target.point);
  findings.word(what + "number", cell_of(row, "number"), target.number);
  findings.word(what + "level", cell_of(row, "level"), target.level);
  findings.length(what + "elevation", cell_metres(row, "elevation", job.unit.metres, findings),
                  truth.elevation, bound);
  findings.length(what + "sd", cell_metres(row, "sd", job.unit.metres, findings), truth.sd, bound);
  if (job.datum)
    findings.length(what + "above_datum", cell_metres(row, "above_datum", job.unit.metres, findings),
                    truth.elevation - (job.floor.metres + job.datum->metres), bound);
  else
    findings.word(what + "above_datum", cell_of(row, "above_datum"), "");
  findings.word(what + "from", joined(sorted_words(cell_of(row, "from"))), joined(truth.from));
}

/// What a number is of, from the letters behind it; 0 where that is no unit of length.
double unit_behind(const std::string& all, std::size_t at) {
  while (at < all.size() && all[at] == ' ') ++at;
  std::size_t end = at;
  while (end < all.size() && std::isalpha(static_cast<unsigned char>(all[end]))) ++end;
  const std::string word = all.substr(at, end - at);
  if (word == "mm") return 0.001;
  if (word == "cm") return 0.01;
  if (word == "m") return 1;
  if (word == "ft") return 0.3048;
  return word == "in" ? 0.0254 : 0;
}

}  // namespace

std::string cell_of(const Row& row, const std::string& column) {
  const auto at = row.find(column);
  return at == row.end() ? std::string("(no column)") : at->second;
}

double cell_metres(const Row& row, const std::string& column, double unit, Findings& findings) {
  const std::string found = cell_of(row, column);
  char* end = nullptr;
  const double value = std::strtod(found.c_str(), &end);
  if (found.empty() || *end != 0) {
    findings.tell(column + ": \"" + found + "\", expected a number");
    return std::nan("");
  }
  return value * unit;
}

void compare_heights(const StaffJob& job, const HeightsTruth& truth, const std::string& heights_csv,
                     Findings& findings) {
  compare_header(job, heights_csv, findings);
  const auto rows = named_rows(heights_csv);
  for (std::size_t i = 0; i < std::min(rows.size(), truth.order.size()); ++i)
    compare_row(job, rows[i], job.targets[truth.order[i]], truth.heights[truth.order[i]], findings);
  if (rows.size() != truth.order.size())
    findings.tell(text("heights.csv: %d rows, expected %d", static_cast<int>(rows.size()),
                       static_cast<int>(truth.order.size())));
}

std::vector<PrintedLength> lengths_in(const std::string& all) {
  std::vector<PrintedLength> out;
  for (std::size_t at = 0; at < all.size();) {
    const bool inside =
        at > 0 && (std::isalnum(static_cast<unsigned char>(all[at - 1])) || all[at - 1] == '.');
    if (inside || !std::isdigit(static_cast<unsigned char>(all[at]))) {
      ++at;
      continue;
    }
    std::size_t end = at;
    while (end < all.size() && (std::isdigit(static_cast<unsigned char>(all[end])) || all[end] == '.')) ++end;
    const std::string digits = all.substr(at, end - at);
    const std::size_t point = digits.find('.');
    const double unit = unit_behind(all, end);
    const int decimals = point == std::string::npos ? 0 : static_cast<int>(digits.size() - point - 1);
    if (unit > 0)
      out.push_back({std::strtod(digits.c_str(), nullptr) * unit, unit * std::pow(10.0, -decimals) / 2});
    at = end;
  }
  return out;
}

bool prints_length(const std::string& all, double metres) {
  const std::vector<PrintedLength> lengths = lengths_in(all);
  return std::any_of(lengths.begin(), lengths.end(), [&](const PrintedLength& p) {
    return std::abs(p.metres - std::abs(metres)) <= p.half_digit * 1.0001 + kHair;
  });
}

}  // namespace deckmark_test
