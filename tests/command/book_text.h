#pragma once
/// A book as a person would type it, an entry a minute: chained by the test's own hand.

#include <map>
#include <string>

#include "job_folder.h"
#include "table/digest.h"

namespace deckmark_test {

class BookText {
 public:
  /// Behind the first issue of the ledger in a job's folder.
  explicit BookText(const JobFolder& job) {
    const auto rows = csv_rows(job.read("issued.csv"));
    for (std::size_t c = 0; c < rows.at(0).size(); ++c)
      if (rows[0][c] == "digest") chain_ = rows.at(1).at(c);
  }
  /// Cells by column; what is not named is empty, but for entry, time, by (Ada), issue (1) and source (live).
  std::size_t add(const std::string& act, std::map<std::string, std::string> cells = {}) {
    const std::string entry = std::to_string(++entries_);
    cells.emplace("entry", entry);
    const auto two = [](std::size_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    cells.emplace("time", "2026-11-28T" + two(7 + entries_ / 60) + ":" + two(entries_ % 60) + ":00Z");
    cells.emplace("by", "Ada");
    cells["act"] = act;
    cells.emplace("issue", "1");
    cells.emplace("source", "live");
    std::string head;
    for (const char* column : kColumns)
      head += (head.empty() ? "" : ",") + csv_cell(cells.count(column) ? cells[column] : "");
    chain_ = deckmark::sha256_hex(chain_ + "\n" + head).substr(0, 16);
    text_ += head + "," + chain_ + "\n";
    return entries_;
  }
  /// A mark at a place in metres, sds of 1 mm.
  std::size_t mark(const std::string& number, const std::string& level, const std::string& northing,
                   const std::string& easting, std::map<std::string, std::string> cells = {}) {
    cells.insert({{"number", number},
                  {"level", level},
                  {"northing", northing},
                  {"easting", easting},
                  {"sd_along", "0.001000"},
                  {"sd_across", "0.001000"},
                  {"reading", "c " + northing + " " + easting}});
    return add("marked", std::move(cells));
  }
  const std::string& text() const { return text_; }

 private:
  static constexpr const char* kColumns[] = {
      "entry",    "time",      "by",    "act",   "number", "level", "northing", "easting", "elevation",
      "sd_along", "sd_across", "setup", "issue", "source", "of",    "verdict",  "reading", "note"};
  std::string chain_,
      text_ =
          "entry,time,by,act,number,level,northing (m),easting (m),elevation (m),sd_along (m),"
          "sd_across (m),setup,issue,source,of,verdict,reading,note,chain\n";
  std::size_t entries_ = 0;
};

}  // namespace deckmark_test
