#include "book_file.h"

#include <array>
#include <cstdio>
#include <cstdlib>

#include "command/job_folder.h"
#include "sha256.h"

namespace deckmark_test {

namespace {

constexpr const char* kHeader =
    "entry,time,by,act,number,level,northing (m),easting (m),elevation (m),sd_along (m),sd_across (m),setup,"
    "issue,source,of,verdict,reading,note,chain";
constexpr std::size_t kCells = 19;
constexpr std::size_t kDigits = 16;

/// Days since 1970-01-01. Source: counting from 1 March, so that a leap day is a year's last.
std::int64_t days_of(std::int64_t year, int month, int day) {
  if (month <= 2) --year, month += 12;
  return 365 * year + year / 4 - year / 100 + year / 400 + (153 * (month - 3) + 2) / 5 + day - 719469;
}

/// A cell that begins like a formula is written with an apostrophe before it.
std::string text_cell(const std::string& text) {
  const bool marked = !text.empty() && std::string("=+-@\t\r").find(text[0]) != std::string::npos;
  return csv_cell((marked ? "'" : "") + text);
}
std::string plain(const std::string& cell) {
  return cell.size() > 1 && cell[0] == '\'' && std::string("=+-@\t\r").find(cell[1]) != std::string::npos
             ? cell.substr(1)
             : cell;
}

std::string cells_of(const BookRow& r) {
  std::string out;
  const auto add = [&](const std::string& cell) { out += (out.empty() ? "" : ",") + cell; };
  add(std::to_string(r.entry));
  for (const std::string* text : {&r.time, &r.by, &r.act}) add(text_cell(*text));
  add(r.number > 0 ? std::to_string(r.number) : text_cell(r.target));
  add(r.level);
  for (const MaybeMicro& value : {r.northing, r.easting, r.elevation, r.sd_along, r.sd_across})
    add(metres_cell(value));
  add(text_cell(r.setup));
  add(std::to_string(r.issue));
  for (const std::string* text : {&r.source, &r.of, &r.verdict, &r.reading, &r.note}) add(text_cell(*text));
  return out;
}

std::string chained(const std::string& before, const std::string& row) {
  return sha256_hex(before + "\n" + row).substr(0, kDigits);
}

BookRow row_of(const std::vector<std::string>& cells) {
  BookRow r;
  r.entry = static_cast<std::uint32_t>(std::strtoul(cells[0].c_str(), nullptr, 10));
  r.time = cells[1];
  r.at = time_of(r.time);
  r.by = plain(cells[2]);
  r.act = cells[3];
  if (r.act == "check")
    r.target = plain(cells[4]);
  else
    r.number = std::strtoll(cells[4].c_str(), nullptr, 10);
  r.level = cells[5];
  MaybeMicro* const lengths[] = {&r.northing, &r.easting, &r.elevation, &r.sd_along, &r.sd_across};
  for (std::size_t i = 0; i < std::size(lengths); ++i) *lengths[i] = micro_of(cells[6 + i]);
  r.setup = plain(cells[11]);
  r.issue = std::atoi(cells[12].c_str());
  std::string* const texts[] = {&r.source, &r.of, &r.verdict, &r.reading, &r.note, &r.chain};
  for (std::size_t i = 0; i < std::size(texts); ++i) *texts[i] = plain(cells[13 + i]);
  return r;
}

}  // namespace

std::string metres_cell(MaybeMicro value) {
  if (!value) return "";
  const std::int64_t size = *value < 0 ? -*value : *value;
  char room[40];
  std::snprintf(room, sizeof room, "%s%lld.%06lld", *value < 0 ? "-" : "",
                static_cast<long long>(size / 1000000), static_cast<long long>(size % 1000000));
  return room;
}

MaybeMicro micro_of(const std::string& metres) {
  if (metres.empty()) return std::nullopt;
  const std::size_t point = metres.find('.');
  std::string digits = metres.substr(0, point);
  std::string part = point == std::string::npos ? "" : metres.substr(point + 1);
  part.resize(6, '0');
  return std::strtoll((digits + part).c_str(), nullptr, 10);
}

std::string book_csv(BookFile& book, const std::string& first_digest) {
  std::string out = std::string(kHeader) + "\n", chain = first_digest;
  std::uint32_t entry = 0;
  for (BookRow& r : book.rows) {
    r.entry = ++entry;
    const std::string cells = cells_of(r);
    r.chain = chain = chained(chain, cells);
    out += cells + "," + chain + "\n";
  }
  return out;
}

BookFile read_book_csv(const std::string& name, const std::string& bytes, const std::string& first_digest,
                       std::string& wrong) {
  BookFile book;
  book.name = name;
  std::string chain = first_digest;
  const auto tell = [&](std::size_t line, const std::string& what) {
    if (wrong.empty()) wrong = "book " + name + " line " + std::to_string(line) + ": " + what;
  };
  if (!bytes.empty() && bytes.back() != '\n') tell(0, "the last line has no end");
  std::size_t at = 0;
  for (std::size_t line = 1; at < bytes.size(); ++line) {
    const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
    const std::string row = bytes.substr(at, end - at);
    at = end + 1;
    if (line == 1) {
      if (row != kHeader) tell(1, "header " + row);
      continue;
    }
    const auto rows = csv_rows(row + "\n");
    if (rows.size() != 1 || rows[0].size() != kCells) {
      tell(line, "not a row of " + std::to_string(kCells) + " cells");
      continue;
    }
    book.rows.push_back(row_of(rows[0]));
    const BookRow& r = book.rows.back();
    chain = chained(chain, row.substr(0, row.rfind(',')));
    if (r.chain != chain) tell(line, "chain " + r.chain + ", expected " + chain);
    if (r.entry != book.rows.size()) tell(line, "entry " + std::to_string(r.entry));
  }
  return book;
}

std::string time_text(std::int64_t at, int offset_hours) {
  const std::int64_t local = at + 3600 * offset_hours;
  std::int64_t days = local / 86400, year = 1970;
  int month = 1;
  while (days_of(year + 1, 1, 1) <= days) ++year;
  while (month < 12 && days_of(year, month + 1, 1) <= days) ++month;
  const int day = static_cast<int>(days - days_of(year, month, 1)) + 1, s = static_cast<int>(local % 86400);
  char room[64];
  std::snprintf(room, sizeof room, "%04d-%02d-%02dT%02d:%02d:%02d%+03d:00", static_cast<int>(year), month,
                day, s / 3600, s / 60 % 60, s % 60, offset_hours);
  return room;
}

std::int64_t time_of(const std::string& text) {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0, east = 0, minutes = 0;
  char sign = '+';
  const int got = std::sscanf(text.c_str(), "%d-%d-%dT%d:%d:%d%c%d:%d", &year, &month, &day, &hour, &minute,
                              &second, &sign, &east, &minutes);
  if (got < 6) return 0;
  const std::int64_t offset = got < 9 ? 0 : (sign == '-' ? -1 : 1) * (3600 * east + 60 * minutes);
  return 86400 * days_of(year, month, day) + 3600 * hour + 60 * minute + second - offset;
}

IssuedNumbers::IssuedNumbers(const std::string& numbers_csv, const std::string& issued_csv) {
  for (const auto& row : named_rows(issued_csv)) {
    last_ = std::atoi(row.at("issue").c_str());
    if (first_digest_.empty()) first_digest_ = row.at("digest");
  }
  for (const auto& row : named_rows(numbers_csv)) {
    IssuedPlace p;
    p.point = row.at("point");
    p.kind = row.at("kind");
    p.run = row.at("run");
    p.live = row.at("status") == "live";
    p.x = micro_of(row.at("x")).value_or(0);
    p.y = micro_of(row.at("y")).value_or(0);
    p.northing = micro_of(row.at("northing")).value_or(0);
    p.easting = micro_of(row.at("easting")).value_or(0);
    p.deck = micro_of(row.at("deck_elevation"));
    p.cut = micro_of(row.at("cut"));
    p.floor = micro_of(row.at("floor_elevation")).value_or(0);
    p.deck_offset = std::atoll(row.at("deck_offset").c_str());
    rows_[std::atoll(row.at("number").c_str())][std::atoi(row.at("issue").c_str())] = p;
  }
}

std::vector<std::int64_t> IssuedNumbers::numbers() const {
  std::vector<std::int64_t> out;
  for (const auto& [number, rows] : rows_) out.push_back(number);
  return out;
}

const IssuedPlace* IssuedNumbers::at(std::int64_t number, int issue) const {
  const auto rows = rows_.find(number);
  if (rows == rows_.end()) return nullptr;
  auto row = rows->second.upper_bound(issue);
  return row == rows->second.begin() ? nullptr : &(--row)->second;
}

}  // namespace deckmark_test
