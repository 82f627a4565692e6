#include "book/book.h"

#include <algorithm>
#include <charconv>
#include <iterator>
#include <limits>
#include <utility>

#include "book/book_columns.h"
#include "issues/chain.h"
#include "issues/ledger_columns.h"
#include "table/digest.h"
#include "table/written.h"

namespace deckmark {

namespace {

constexpr std::size_t kColumns = std::size(kBookColumns);

/// `of` as it stands in a row.
std::string of_words(const EntryOf& of) {
  if (of.is_none()) return {};
  const std::string entry = std::to_string(of.entry);
  return of.in_this_book ? entry : std::string(of.book) + ":" + entry;
}

/// The row without its chain.
std::string head_of(const Entry& row) {
  std::string out;
  TableWriter cells({}, [&out](const char* data, std::size_t size) { out.append(data, size); });
  cells.integer(row.entry);
  cells.text(row.time);
  cells.text(row.by);
  cells.text(act_word(row.act));
  if (row.number > 0)
    cells.integer(row.number);
  else
    cells.text(row.target);
  cells.text(level_word(row.level));
  for (const Kept k : {row.site.northing, row.site.easting, row.elevation, row.sd_along, row.sd_across})
    put_kept(cells, k);
  cells.text(row.setup);
  cells.integer(row.issue);
  cells.text(source_word(row.source));
  cells.text(of_words(row.of));
  cells.text(row.verdict ? verdict_word(*row.verdict) : std::string_view{});
  cells.text(row.reading);
  cells.text(row.note);
  cells.finish();
  return out;
}

/// `digest`: one that was just begun, and is again.
std::string chained(Sha256& digest, std::string_view before, std::string_view head) {
  digest.update(before.data(), before.size());
  digest.update("\n", 1);
  digest.update(head.data(), head.size());
  return digest.hex_and_begin().substr(0, kDigestDigits);
}

}  // namespace

Book::Book(std::string name, std::string first)
    : name_(std::make_unique<std::string>(std::move(name))),
      first_(std::make_unique<std::string>(std::move(first))),
      more_(std::make_unique<std::deque<std::string>>()) {}

std::string_view Book::keep(std::string_view text) {
  if (text.empty()) return {};
  return more_->emplace_back(text);
}

std::string Book::header() { return header_line(kBookColumns) + "\n"; }

std::string Book::add(Entry row) {
  row.entry = size() + 1;
  for (std::string_view* text : {&row.time, &row.by, &row.target, &row.setup, &row.reading, &row.note})
    *text = keep(trimmed(*text));
  row.of.book = keep(row.of.book);
  const std::string head = head_of(row);
  Sha256 digest;
  row.chain = keep(chained(digest, chain(), head));
  entries_.push_back(row);
  return head + "," + std::string(row.chain) + "\n";
}

/// Reads rows that the program wrote: another spelling of the same is no row of its.
struct BookReader {
  BookReader(BookFound& found, std::string_view all) : out(found), text(all) {}
  BookFound& out;
  std::string_view text;
  std::string_view cells[kColumns]{};
  std::string_view wrong_column{}, wrong_cell{}, expected{};
  Sha256 digest{};

  /// Splits a row; false where it has not as many cells, or one is quoted amiss.
  bool split(std::string_view row) {
    std::size_t at = 0;
    for (std::size_t i = 0; i < kColumns; ++i) {
      if (i > 0 && (at >= row.size() || row[at++] != ',')) return false;
      if (at < row.size() && row[at] == '"') {
        if (!quoted(row, at, cells[i])) return false;
      } else {
        const std::size_t end = std::min(row.find(',', at), row.size());
        cells[i] = row.substr(at, end - at);
        at = end;
      }
      cells[i] = without_formula_mark(cells[i]);
    }
    return at == row.size();
  }
  bool quoted(std::string_view row, std::size_t& at, std::string_view& cell) {
    const std::size_t from = ++at;
    bool doubled = false;
    for (;; ++at) {
      if (at >= row.size()) return false;
      if (row[at] != '"') continue;
      if (at + 1 >= row.size() || row[at + 1] != '"') break;
      doubled = true;
      ++at;
    }
    cell = row.substr(from, at++ - from);
    if (!doubled) return true;
    std::string plain;
    for (std::size_t i = 0; i < cell.size(); ++i) {
      plain += cell[i];
      if (cell[i] == '"') ++i;
    }
    cell = out.book.keep(plain);
    return true;
  }

  bool fails(std::size_t column, std::string_view what) {
    wrong_column = kBookColumns[column].name;
    wrong_cell = cells[column];
    expected = what;
    return false;
  }
  template <class T>
  static bool whole(std::string_view cell, T& value) {
    const auto [end, bad] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    return bad == std::errc() && end == cell.data() + cell.size();
  }
  bool length(std::size_t column, Kept& value) {
    constexpr std::size_t kMost = 15;  // digits that stand for themselves in whole micrometres
    std::string_view cell = cells[column];
    value = Kept::none();
    if (cell.empty()) return true;
    const bool minus = cell.front() == '-';
    cell.remove_prefix(minus ? 1 : 0);
    const std::size_t point = cell.size() < 8 ? 0 : cell.size() - 7;
    if (cell.size() < 8 || cell.size() > kMost || cell[point] != '.')
      return fails(column, "metres with six decimals");
    std::int64_t micrometres = 0;
    for (std::size_t i = 0; i < cell.size(); ++i) {
      if (i == point) continue;
      if (cell[i] < '0' || cell[i] > '9') return fails(column, "metres with six decimals");
      micrometres = micrometres * 10 + (cell[i] - '0');
    }
    value = Kept::micrometres(minus ? -micrometres : micrometres);
    return true;
  }
  bool of(std::string_view cell, EntryOf& value) {
    value = {};
    if (cell.empty()) return true;
    const std::size_t colon = cell.rfind(':');
    if (colon != std::string_view::npos) {
      value.in_this_book = false;
      value.book = cell.substr(0, colon);
      cell.remove_prefix(colon + 1);
    }
    return whole(cell, value.entry) && value.entry > 0;
  }

  /// The row's cells as an entry, all but its chain.
  bool take(Entry& row) {
    std::size_t c = 0;
    if (!whole(cells[c], row.entry) || row.entry != out.book.size() + 1)
      return fails(c, "one more than the entry before");
    const auto at = instant_of(cells[++c]);
    if (!at) return fails(c, "ISO 8601 with an offset");
    row.time = cells[c];
    row.at = *at;
    row.by = cells[++c];
    const auto act = act_of(cells[++c]);
    if (!act) return fails(c, kBookColumns[c].meaning);
    row.act = *act;
    ++c;
    if (row.act == Act::check)
      row.target = cells[c];
    else if (!cells[c].empty() && (!whole(cells[c], row.number) || row.number == 0))
      return fails(c, "a floor number");
    ++c;
    if (cells[c] == "floor")
      row.level = EntryLevel::floor;
    else if (cells[c] == "deck")
      row.level = EntryLevel::deck;
    else if (!cells[c].empty())
      return fails(c, "floor, deck or nothing");
    for (Kept* k : {&row.site.northing, &row.site.easting, &row.elevation, &row.sd_along, &row.sd_across})
      if (!length(++c, *k)) return false;
    if (row.site.northing.is_none() != row.site.easting.is_none())
      return fails(6, "northing and easting, or neither");
    row.setup = cells[++c];
    if (!whole(cells[++c], row.issue) || row.issue == 0) return fails(c, "a number of an issue");
    ++c;
    if (cells[c] == "file")
      row.source = EntrySource::file;
    else if (cells[c] == "sheet")
      row.source = EntrySource::sheet;
    else if (cells[c] != "live")
      return fails(c, "live, file or sheet");
    if (!of(cells[++c], row.of)) return fails(c, "an entry, or NAME:ENTRY");
    ++c;
    if (cells[c] == "within")
      row.verdict = Verdict::within;
    else if (cells[c] == "outside")
      row.verdict = Verdict::outside;
    else if (!cells[c].empty())
      return fails(c, "within, outside or nothing");
    row.reading = cells[++c];
    row.note = cells[++c];
    return true;
  }
  /// What is wrong with a row; nothing where it holds and is added.
  std::optional<BookFound::Broken> add(std::string_view line) {
    Entry row;
    if (!split(line)) return BookFound::Broken{0, "a row of another form", "rows as the program wrote them"};
    if (!take(row))
      return BookFound::Broken{0, std::string(wrong_column) + " \"" + std::string(wrong_cell) + "\"",
                               std::string(expected)};
    row.chain = cells[kColumns - 1];
    if (chained(digest, out.book.chain(), line.substr(0, line.rfind(','))) != row.chain)
      return BookFound::Broken{0, "a row that was changed, or one before it is gone",
                               "rows as the program wrote them"};
    out.book.entries_.push_back(row);
    return std::nullopt;
  }
};

BookFound read_book(std::shared_ptr<const std::string> text, std::string name, std::string first) {
  BookFound out{Book(std::move(name), std::move(first))};
  out.book.text_ = std::move(text);
  BookReader reader(out, *out.book.text_);
  const std::string header = Book::header();
  if (!reader.text.starts_with(header)) {
    // A header that was not written to its end: no row can stand behind it.
    if (!header.starts_with(reader.text))
      out.broken = {1, "another header", header.substr(0, header.size() - 1)};
    else if (reader.text.size() + 1 == header.size()) {
      out.covered = reader.text.size();
      out.lacks_line_feed = true;
    }
    return out;
  }
  std::size_t line = 1, at = header.size();
  out.covered = at;
  out.book.entries_.reserve(static_cast<std::size_t>(std::ranges::count(reader.text, '\n')));
  while (at < reader.text.size()) {
    ++line;
    const std::size_t end = std::min(reader.text.find('\n', at), reader.text.size());
    const bool is_whole = end < reader.text.size();
    auto broken = reader.add(reader.text.substr(at, end - at));
    if (broken) {
      if (!is_whole) break;
      broken->line = line;
      out.broken = std::move(broken);
      break;
    }
    out.lacks_line_feed = !is_whole;
    at = out.covered = is_whole ? end + 1 : end;
  }
  return out;
}

std::vector<MergedEntry> merged(std::span<const Book* const> books) {
  std::vector<MergedEntry> out;
  for (std::uint32_t b = 0; b < books.size(); ++b) {
    std::int64_t at = std::numeric_limits<std::int64_t>::min();
    for (std::uint32_t r = 0; r < books[b]->size(); ++r) {
      at = std::max(at, books[b]->entries()[r].at);
      out.push_back({b, r, at});
    }
  }
  if (books.size() < 2) return out;
  std::stable_sort(out.begin(), out.end(), [&](const MergedEntry& a, const MergedEntry& b) {
    if (a.at != b.at) return a.at < b.at;
    if (a.book != b.book) return books[a.book]->name() < books[b.book]->name();
    return a.row < b.row;
  });
  return out;
}

}  // namespace deckmark
