#include "table/reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cstring>
#include <exception>

#include "measure/decimal.h"
#include "measure/side_by_side.h"
#include "measure/utf8.h"
#include "table/scan.h"
#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace deckmark {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }

/// Bytes of a blank beside the space that stands there: U+00A0, U+2000 to U+200A, U+202F, U+205F, U+3000.
std::size_t hard_blank(const char* at, std::ptrdiff_t n) {
  const auto byte = [at](std::ptrdiff_t i) { return static_cast<unsigned char>(at[i]); };
  if (n >= 2 && byte(0) == 0xC2 && byte(1) == 0xA0) return 2;
  if (n < 3) return 0;
  const bool general = byte(0) == 0xE2 && ((byte(1) == 0x80 && (byte(2) <= 0x8A || byte(2) == 0xAF)) ||
                                           (byte(1) == 0x81 && byte(2) == 0x9F));
  return general || (byte(0) == 0xE3 && byte(1) == 0x80 && byte(2) == 0x80) ? 3 : 0;
}
std::size_t hard_blank_at_end(const char* from, const char* to) {
  for (const std::ptrdiff_t n : {2, 3})
    if (to - from >= n && hard_blank(to - n, n) == static_cast<std::size_t>(n))
      return static_cast<std::size_t>(n);
  return 0;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
  const char* from = text.data();
  const char* to = from + text.size();
  while (from < to) {
    if (is_blank(*from))
      ++from;
    else if (const auto n = hard_blank(from, to - from))
      from += n;
    else
      break;
  }
  while (from < to) {
    if (is_blank(to[-1]))
      --to;
    else if (const auto n = hard_blank_at_end(from, to))
      to -= n;
    else
      break;
  }
  return {from, static_cast<std::size_t>(to - from)};
}

RecordScanner::RecordScanner(std::string_view text, char separator) : text_(text), separator_(separator) {
  for (std::size_t c = 0; c < 256; ++c)
    class_[c] = (c < 0x20 && c != '\t') || c >= 0x7F ? Class::odd : Class::plain;
  class_['\n'] = class_['\r'] = Class::line_end;
  class_[static_cast<unsigned char>(separator)] = Class::parting;
}

bool RecordScanner::is_odd(const Row& row) { return row.odd_; }

std::uint32_t RecordScanner::line_after(std::uint32_t at) const {
  const auto size = static_cast<std::uint32_t>(text_.size());
  while (at < size && text_[at] != '\n' && text_[at] != '\r') ++at;
  if (at < size && text_[at] == '\r' && at + 1 < size && text_[at + 1] == '\n') ++at;
  return at < size ? at + 1 : size;
}

inline Row::Field& RecordScanner::next_field(Row& row) {
  if (row.count_ == row.fields_.size()) [[unlikely]]
    row.fields_.resize(row.count_ + kMoreFields);
  return row.fields_[row.count_++];
}

/// Reads a quoted cell whose quote stands at `at`; false where it is not closed or text follows the closing
/// quote.
bool RecordScanner::quoted_cell(std::uint32_t& at, Row& row, Row::Field& field) const {
  const auto size = static_cast<std::uint32_t>(text_.size());
  const std::uint32_t first = at + 1;
  const auto scratch_from = static_cast<std::uint32_t>(row.scratch_.size());
  std::uint32_t run = first, p = first;
  bool doubled = false;
  for (;; ++p) {
    const void* hit = p < size ? std::memchr(text_.data() + p, '"', size - p) : nullptr;
    if (!hit) {
      at = size;
      return false;
    }
    p = static_cast<std::uint32_t>(static_cast<const char*>(hit) - text_.data());
    if (p + 1 < size && text_[p + 1] == '"') {
      doubled = true;
      row.scratch_.append(text_.data() + run, p + 1 - run);
      run = ++p + 1;
      continue;
    }
    break;
  }
  if (doubled) row.scratch_.append(text_.data() + run, p - run);
  for (std::uint32_t i = first; i < p && !row.odd_; ++i)
    row.odd_ = class_[static_cast<unsigned char>(text_[i])] == Class::odd;
  const char* const base = doubled ? row.scratch_.data() : text_.data();
  const std::string_view inside =
      doubled ? std::string_view(row.scratch_).substr(scratch_from) : text_.substr(first, p - first);
  const std::string_view kept = trimmed(inside);
  field.from = static_cast<std::uint32_t>(kept.data() - base);
  field.to = field.from + static_cast<std::uint32_t>(kept.size());
  field.escaped = doubled;
  at = p + 1;
  while (at < size && is_blank(text_[at]) && text_[at] != separator_) ++at;
  return at >= size || text_[at] == separator_ || text_[at] == '\n' || text_[at] == '\r';
}

/// The end of a cell that is not quoted, from `p` on; `seen` where a byte wants a closer look.
inline std::uint32_t RecordScanner::end_of_plain(std::uint32_t p, std::uint8_t& seen) const {
  const auto size = static_cast<std::uint32_t>(text_.size());
  const char* const text = text_.data();
#ifdef __SSE2__
  // Sixteen bytes at a time: most cells end within the first sixteen.
  const __m128i separator = _mm_set1_epi8(separator_), lf = _mm_set1_epi8('\n'), cr = _mm_set1_epi8('\r');
  for (; p + 16 <= size; p += 16) {
    const __m128i v = _mm_loadu_si128(reinterpret_cast<const __m128i*>(text + p));
    const __m128i ends = _mm_or_si128(_mm_cmpeq_epi8(v, separator),
                                      _mm_or_si128(_mm_cmpeq_epi8(v, lf), _mm_cmpeq_epi8(v, cr)));
    // As signed bytes, all beyond ASCII are below the blank too.
    const __m128i unusual =
        _mm_or_si128(_mm_cmplt_epi8(v, _mm_set1_epi8(' ')), _mm_cmpeq_epi8(v, _mm_set1_epi8(0x7F)));
    const auto stop = static_cast<std::uint32_t>(_mm_movemask_epi8(ends));
    auto looked_at = static_cast<std::uint32_t>(_mm_movemask_epi8(unusual)) & ~stop;
    if (stop != 0) {
      const auto index = static_cast<std::uint32_t>(std::countr_zero(stop));
      looked_at &= (1U << index) - 1;
      if (looked_at != 0) seen = 1;
      return p + index;
    }
    if (looked_at != 0) seen = 1;
  }
#endif
  for (; p < size; ++p) {
    const std::uint8_t c = class_[static_cast<unsigned char>(text[p])];
    if (c == Class::plain) continue;
    if (c != Class::odd) break;
    seen = 1;
  }
  return p;
}

#ifdef __SSE2__
/// The usual record: no cell is quoted or begins or ends with a blank, all bytes are printable ASCII. Every
/// block of sixteen bytes is looked at once. False, with nothing taken, where it is any other.
inline bool RecordScanner::plain_record(std::uint32_t& at, Row& row) const {
  const auto size = static_cast<std::uint32_t>(text_.size());
  const char* const text = text_.data();
  const __m128i separator = _mm_set1_epi8(separator_), lf = _mm_set1_epi8('\n'), cr = _mm_set1_epi8('\r');
  const auto is_end_of_word = [](char c) { return c <= ' ' || c == '"'; };
  Row::Field* field = row.fields_.data();
  const Row::Field* const room = field + row.fields_.size();
  std::uint32_t from = at;
  bool filled = false;
  for (std::uint32_t block = at; block + 16 <= size; block += 16) {
    const __m128i v = _mm_loadu_si128(reinterpret_cast<const __m128i*>(text + block));
    const __m128i ends = _mm_or_si128(_mm_cmpeq_epi8(v, separator),
                                      _mm_or_si128(_mm_cmpeq_epi8(v, lf), _mm_cmpeq_epi8(v, cr)));
    const __m128i unusual = _mm_andnot_si128(
        ends, _mm_or_si128(_mm_cmplt_epi8(v, _mm_set1_epi8(' ')), _mm_cmpeq_epi8(v, _mm_set1_epi8(0x7F))));
    auto strange = static_cast<std::uint32_t>(_mm_movemask_epi8(unusual));
    for (auto stops = static_cast<std::uint32_t>(_mm_movemask_epi8(ends)); stops != 0; stops &= stops - 1) {
      const std::uint32_t to = block + static_cast<std::uint32_t>(std::countr_zero(stops));
      if (field == room) return false;
      if (to != from) {
        if (is_end_of_word(text[from]) || text[to - 1] == ' ') return false;
        filled = true;
      }
      *field++ = {from, from, to, 0};
      from = to + 1;
      if (text[to] == separator_) continue;
      strange &= (1U << (to - block)) - 1;
      if (strange != 0 || !filled) return false;
      at = from + (text[to] == '\r' && from < size && text[from] == '\n' ? 1 : 0);
      row.count_ = static_cast<std::size_t>(field - row.fields_.data());
      return true;
    }
    if (strange != 0) return false;
  }
  return false;
}
#endif

Scanned RecordScanner::next(std::uint32_t& at, Row& row) const {
  const auto size = static_cast<std::uint32_t>(text_.size());
  if (at >= size) return Scanned::end;
  row.begin_ = at;
  row.count_ = 0;
  row.odd_ = false;
  row.scratch_.clear();
  if (text_[at] == '#') {
    at = line_after(at);
    return Scanned::comment;
  }
#ifdef __SSE2__
  if (plain_record(at, row)) return Scanned::record;
#endif
  const char* const text = text_.data();
  std::uint32_t p = at;
  bool filled = false;
  for (;;) {
    Row::Field& field = next_field(row);
    field.begin = p;
    while (p < size && is_blank(text[p]) && text[p] != separator_) ++p;
    if (p < size && text[p] == '"') {
      const std::uint32_t quote = p;
      if (!quoted_cell(p, row, field)) {
        const bool open = p >= size;
        at = line_after(quote);
        return open ? Scanned::open_quote : Scanned::text_after_quote;
      }
      filled = true;
    } else {
      field.from = p;
      std::uint8_t seen = 0;
      p = end_of_plain(p, seen);
      field.to = p;
      field.escaped = 0;
      while (field.to > field.from && is_blank(text[field.to - 1])) --field.to;
      if (seen) {
        row.odd_ = true;
        const std::string_view kept = trimmed(text_.substr(field.from, field.to - field.from));
        field.from = static_cast<std::uint32_t>(kept.data() - text);
        field.to = field.from + static_cast<std::uint32_t>(kept.size());
      }
      filled = filled || field.to > field.from;
    }
    if (p >= size || text[p] != separator_) break;
    ++p;
  }
  if (p < size) p += text[p] == '\r' && p + 1 < size && text[p + 1] == '\n' ? 2 : 1;
  at = p;
  return filled ? Scanned::record : Scanned::blank;
}

std::size_t bad_text_at(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    if (lead == 0) return i;
    std::size_t more = lead < 0x80   ? 0
                       : lead < 0xC2 ? 9
                       : lead < 0xE0 ? 1
                       : lead < 0xF0 ? 2
                       : lead < 0xF5 ? 3
                                     : 9;
    bool fine = more < 9 && i + more < text.size();
    for (std::size_t j = 1; fine && j <= more; ++j) fine = continues_character(text[i + j]);
    if (fine && more >= 2) {  // overlong forms, surrogates, beyond U+10FFFF
      const auto second = static_cast<unsigned char>(text[i + 1]);
      fine = !(lead == 0xE0 && second < 0xA0) && !(lead == 0xED && second >= 0xA0) &&
             !(lead == 0xF0 && second < 0x90) && !(lead == 0xF4 && second >= 0x90);
    }
    if (!fine) return i;
    i += more + 1;
  }
  return std::string_view::npos;
}

std::optional<std::string> bad_text(std::string_view text) {
  const std::size_t at = bad_text_at(text);
  if (at == std::string_view::npos) return std::nullopt;
  return text[at] == '\0' ? std::string("U+0000")
                          : fmt::format("0x{:02X}", static_cast<unsigned char>(text[at]));
}

bool is_spreadsheet_error(std::string_view line) {
  constexpr std::string_view kWords[] = {"#REF!",   "#N/A",  "#NAME?", "#VALUE!",
                                         "#DIV/0!", "#NUM!", "#NULL!", "####"};
  return std::ranges::any_of(kWords, [&](std::string_view word) { return line.starts_with(word); });
}

/// A stretch of the file and who takes its rows.
struct Table::Stretch {
  std::uint32_t at = 0;
  std::unique_ptr<Handler> handler;
  Messages messages;
  std::size_t rows = 0;
  std::exception_ptr failure;
};

void Table::look_at_comment(std::uint32_t begin, std::uint32_t end, Messages& messages) const {
  std::string_view line = source_->text().substr(begin, end - begin);
  while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.remove_suffix(1);
  line = trimmed(line);
  for (const std::string_view word :
       {"#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!", "####"}) {
    if (!line.starts_with(word)) continue;
    messages.problem(Where::in(source_, begin), called_.empty() ? "row" : called_[0],
                     Fault{in_quotes(line.substr(0, line.find(separator_))),
                           "a value; a spreadsheet error begins this line", ""});
    return;
  }
  const auto separators = static_cast<std::size_t>(std::count(line.begin(), line.end(), separator_));
  if (fields_ > 1 && separators + 1 == fields_ && line.find_first_of("0123456789") != std::string_view::npos)
    messages.doubt(
        "a skipped line that could be a row", Where::in(source_, begin), "row",
        fmt::format("{} is skipped as a comment but could be a row; if it is one, put its name in quotes",
                    in_quotes(line)));
}

/// A file that was cut off, or is read while it is saved, ends within a row, and the row may read well:
/// 131.448 as 131.
void Table::look_at_end(Messages& messages) const {
  const std::string_view text = source_->text();
  if (text.size() <= body_ || text.back() == '\n' || text.back() == '\r') return;
  const std::size_t end = text.find_last_of("\n\r");
  const std::size_t begin = std::max<std::size_t>(body_, end == std::string_view::npos ? 0 : end + 1);
  const std::string_view row = trimmed(text.substr(begin));
  if (row.empty() || row.front() == '#') return;
  // Of a long row the end is shown: there it was cut.
  constexpr std::size_t kShown = 36;  // bytes
  std::size_t from = row.size() > kShown ? row.size() - kShown : 0;
  while (from > 0 && from < row.size() && continues_character(row[from])) ++from;
  const std::string shown = (from > 0 ? "..." : "") + std::string(row.substr(from));
  messages.doubt("a last row without a line end", Where::in(source_, static_cast<std::uint32_t>(begin)),
                 "row",
                 fmt::format("{} is the last row and has no line end, as in a file that was cut off: look "
                             "whether row and file are whole, and end the row with a line end",
                             in_quotes(shown)));
}

namespace {

/// First look at a row's first cell, for every row: most differ from the header's in the first letter.
bool may_repeat_header(std::string_view cell, const std::string& name) {
  return cell.size() >= name.size() && !name.empty() && (cell[0] | 0x20) == (name[0] | 0x20) &&
         equals_ignoring_case(cell.substr(0, name.size()), name);
}

}  // namespace

std::string_view Table::field_word(std::size_t field) const {
  return field < called_.size() && !called_[field].empty() ? std::string_view(called_[field]) : "row";
}

Where Table::field_where(const Row& row, std::size_t field) const {
  const std::uint32_t offset = RecordScanner::cell_begin(row, field);
  for (std::size_t c = 0; c < field_of_.size(); ++c)
    if (field_of_[c] == field) return at(offset, c);
  return Where::in(source_, offset);
}

std::string Table::offered_line() const {
  if (offer_.renames.empty() || !spec_.line.stands()) return "";
  if (spec_.fixed_columns.empty()) return spec_.line.with(offer_.renames);
  // A file without a header has no words to rename: the list of its columns is mended.
  std::vector<std::string> columns = spec_.fixed_columns;
  for (std::string& column : columns)
    for (const Rename& r : offer_.renames)
      if (same_name(column, r.word)) column = r.column;
  return spec_.line.with_columns(columns);
}

namespace {

/// A whole number above that of the row before, as programs write beside a row.
bool counts_on(std::string_view cell, std::optional<std::int64_t>& last) {
  constexpr std::int64_t kMost = 1000000000;
  const auto n = read_count(cell, 0, kMost);
  if (!n || (last && *n <= *last)) return false;
  last = *n;
  return true;
}

}  // namespace

/// Values under no name are told once. Row numbers in front are read over.
void Table::look_at_unnamed(Messages& messages) {
  struct Seen {
    std::size_t rows = 0;
    std::uint32_t first = 0;
    std::string text;
    std::optional<std::int64_t> last;
    bool counts = true;
  };
  std::vector<Seen> seen(unnamed_.size());
  const RecordScanner scanner(source_->text(), separator_);
  Row row;
  RecordScanner::bind(row, source_->text().data(), field_of_.data());
  for (std::uint32_t at = body_;;) {
    const Scanned scanned = scanner.next(at, row);
    if (scanned == Scanned::end) break;
    if (scanned != Scanned::record || RecordScanner::count(row) < fields_) continue;
    for (std::size_t i = 0; i < unnamed_.size(); ++i) {
      const std::string_view cell = RecordScanner::cell(row, unnamed_[i]);
      Seen& s = seen[i];
      s.counts = s.counts && counts_on(cell, s.last);
      if (cell.empty() || s.rows++ > 0) continue;
      s.first = RecordScanner::cell_begin(row, unnamed_[i]);
      s.text = cell;
    }
  }
  for (std::size_t i = 0; i < unnamed_.size(); ++i) {
    const Seen& s = seen[i];
    if (s.rows == 0) continue;
    if (unnamed_[i] == 0 && s.counts) {
      messages.notice("a column of row numbers", Where::in(source_, s.first), "row",
                      "the first column has no name and counts the rows: it is not used");
      continue;
    }
    const std::string more =
        s.rows == 1
            ? ""
            : fmt::format(", and {} more so", s.rows == 2 ? "a value" : fmt::format("{} values", s.rows - 1));
    messages.problem(Where::in(source_, s.first), "row",
                     Fault{in_quotes(s.text) + " under a column without a name" + more,
                           "a name for that column in the header, or no value", ""});
  }
}

bool Table::well_formed(const Row& row, Messages& messages) const {
  const std::size_t count = RecordScanner::count(row);
  const auto cell = [&](std::size_t f) { return RecordScanner::cell(row, f); };
  if (RecordScanner::is_odd(row)) {
    bool fine = true;
    for (std::size_t f = 0; f < count; ++f) {
      if (const auto bad = bad_text(cell(f))) {
        const bool nul = *bad == "U+0000";
        messages.problem(field_where(row, f), field_word(f),
                         Fault{nul ? "a NUL byte (U+0000)" : "byte " + *bad + ", which is not valid UTF-8",
                               nul ? "text without NUL bytes" : "UTF-8 text", "saving the file as UTF-8"});
        fine = false;
      }
    }
    if (!fine) return false;
  }
  std::size_t used = count;
  while (used > fields_ && cell(used - 1).empty()) --used;  // empty cells past the last column say nothing
  if (used != fields_) {
    // Too few cells and a quote before a separator inside one: an inch mark was taken for a doubled quote.
    for (std::size_t f = 0; f < count && used < fields_; ++f) {
      if (cell(f).find(std::string{'"', separator_}) == std::string_view::npos) continue;
      messages.problem(
          field_where(row, f), field_word(f),
          Fault{in_quotes(cell(f)) + ", a quoted cell that is not closed before the separator",
                fmt::format("{} cells, found {}", fields_, used),
                "doubling the inch mark inside quotes (\"12'-6\"\"\"), or leaving the quotes away"});
      return false;
    }
    const std::string_view hint = used > fields_ && separator_ == ','
                                      ? "a decimal point, or quotes around a text that holds a comma"
                                      : "";
    messages.problem(Where::in(source_, row.begin()), "row",
                     Fault{fmt::format("{} cell{}", used, used == 1 ? "" : "s"),
                           fmt::format("{} as {}", fields_,
                                       spec_.fixed_columns.empty() ? "in the header" : "the job names"),
                           std::string(hint)});
    return false;
  }
  if (spec_.fixed_columns.empty() && fields_ > 1 && may_repeat_header(cell(0), names_[0])) {
    bool repeats = true;
    for (std::size_t f = 0; f < fields_ && repeats; ++f) {
      const std::string_view name = trimmed(cell(f).substr(0, cell(f).find('(')));
      repeats = equals_ignoring_case(name, names_[f]);
    }
    if (repeats) {
      messages.problem(
          Where::in(source_, row.begin()), "row",
          Fault{"the header again", "a row of values; two files were probably joined", "deleting this line"});
      return false;
    }
  }
  return true;
}

void Table::read_stretch(Stretch& stretch, std::uint32_t stop) const {
  const RecordScanner scanner(source_->text(), separator_);
  Row row;
  RecordScanner::bind(row, source_->text().data(), field_of_.data());
  while (stretch.at < stop) {
    const std::uint32_t begin = stretch.at;
    switch (scanner.next(stretch.at, row)) {
      case Scanned::end:
        return;
      case Scanned::blank:
        break;
      case Scanned::comment:
        look_at_comment(begin, stretch.at, stretch.messages);
        break;
      case Scanned::open_quote:
      case Scanned::text_after_quote: {
        ++stretch.rows;
        const std::size_t f = RecordScanner::count(row) - 1;
        stretch.messages.problem(
            field_where(row, f), field_word(f),
            Fault{"a quoted cell that is not closed properly",
                  "a closing quote before the next separator or line end",
                  "doubling each quote or inch mark inside the quotes, or leaving the quotes away"});
        break;
      }
      case Scanned::record:
        ++stretch.rows;
        if (well_formed(row, stretch.messages)) stretch.handler->row(row, stretch.messages);
        break;
    }
  }
}

/// How many rows the file may hold, judged by the first 64 KiB and a little generous.
std::size_t Table::about_rows() const {
  const std::string_view text = source_->text();
  const std::string_view sample = text.substr(body_, 65536);
  const auto lines = static_cast<std::size_t>(std::count(sample.begin(), sample.end(), '\n'));
  return lines == 0 ? 0 : (text.size() - body_) / (sample.size() / lines);
}

/// The record boundary nearest behind the middle, or the end where the file is too short for two threads.
std::uint32_t Table::middle(std::size_t rows) const {
  constexpr std::size_t kRowsForThreads = 50000;
  const std::string_view text = source_->text();
  if (rows < kRowsForThreads) return static_cast<std::uint32_t>(text.size());
  const std::size_t end = text.find('\n', body_ + (text.size() - body_) / 2);
  return static_cast<std::uint32_t>(end == std::string_view::npos ? text.size() : end + 1);
}

std::vector<std::unique_ptr<Table::Handler>> Table::read(
    const std::function<std::unique_ptr<Handler>()>& make, Messages& messages) const {
  const auto size = static_cast<std::uint32_t>(source_->text().size());
  const std::size_t about = about_rows();
  const std::uint32_t half = middle(about);
  Stretch first, second;
  first.at = body_;
  first.handler = make();
  first.handler->expect(about + about / 64);
  const auto guarded = [this](Stretch& s, std::uint32_t stop) {
    try {
      read_stretch(s, stop);
    } catch (...) {
      s.failure = std::current_exception();
    }
  };
  if (half < size) {
    second.at = half;
    second.handler = make();
    second.handler->expect(about / 2 + about / 64);
    side_by_side([&] { guarded(first, half); }, [&] { guarded(second, size); });
    if (!first.failure && first.at != half) {
      // A quoted line break stood at the middle: what the second thread read began inside a record.
      second = Stretch{};
      second.at = first.at;
      second.handler = make();
      guarded(second, size);
    }
  } else {
    guarded(first, size);
  }
  for (Stretch* s : {&first, &second})
    if (s->failure) std::rethrow_exception(s->failure);
  const std::size_t rows = first.rows + second.rows;
  messages.merge(std::move(first.messages));
  messages.merge(std::move(second.messages));
  look_at_end(messages);
  if (rows == 0 && !spec_.may_be_empty)
    messages.problem(whole(), "file", Fault{"no data rows", "at least one row under the header", ""});
  std::vector<std::unique_ptr<Handler>> handlers;
  handlers.push_back(std::move(first.handler));
  if (second.handler) handlers.push_back(std::move(second.handler));
  return handlers;
}

std::uint32_t Table::cell_offset(std::uint32_t begin, std::size_t column) const {
  const RecordScanner scanner(source_->text(), separator_);
  Row row;
  RecordScanner::bind(row, source_->text().data(), field_of_.data());
  std::uint32_t at = begin;
  if (scanner.next(at, row) != Scanned::record) return begin;
  return row.offset(column);
}

}  // namespace deckmark
