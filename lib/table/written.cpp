#include "table/written.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "measure/digit_run.h"
#include "measure/letters.h"

#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace deckmark {

namespace {

constexpr std::size_t kWriteBuffer = 1U << 20;  // large enough that one hand-over is one good disk write
constexpr std::size_t kReadBuffer = 256U << 10;
constexpr std::size_t kSlack = 1024;  // room for the longest number, or a text of kShortText, and a line end
constexpr std::size_t kShortText = (kSlack - 16) / 2;
constexpr std::size_t kFoundMost = 40;
constexpr std::size_t kPadding = 16;  // readable bytes behind the last one
static_assert(kFixedMax + 16 < kSlack);

bool is_blank(char c) { return c == ' ' || c == '\t'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Compares short stretches without a call.
bool same_bytes(const char* a, const char* b, std::size_t size) {
  const auto differ = [&]<class Word>(Word, std::size_t at) {
    Word left = 0, right = 0;
    std::memcpy(&left, a + at, sizeof(Word));
    std::memcpy(&right, b + at, sizeof(Word));
    return left != right;
  };
  std::size_t at = 0;
  for (; at + 8 <= size; at += 8)
    if (differ(std::uint64_t{}, at)) return false;
  if (at == size) return true;
  if (size >= 8) return !differ(std::uint64_t{}, size - 8);  // some bytes once more
  if (size >= 4) return !differ(std::uint32_t{}, 0) && !differ(std::uint32_t{}, size - 4);
  for (; at < size; ++at)
    if (a[at] != b[at]) return false;
  return true;
}

/// A character that makes quotes necessary.
bool is_special(char c, char separator) { return c == separator || c == '"' || c == '\r' || c == '\n'; }

/// The first character in [from, to) that makes quotes necessary, or `to`. REQUIRES 16 readable bytes behind
/// `to`.
const char* first_special(const char* from, const char* to, char separator) {
#ifdef __SSE2__
  const __m128i apart = _mm_set1_epi8(separator), quote = _mm_set1_epi8('"'), lf = _mm_set1_epi8('\n'),
                cr = _mm_set1_epi8('\r');
  for (; from < to; from += 16) {
    const __m128i v = _mm_loadu_si128(reinterpret_cast<const __m128i*>(from));
    const __m128i found = _mm_or_si128(_mm_or_si128(_mm_cmpeq_epi8(v, apart), _mm_cmpeq_epi8(v, quote)),
                                       _mm_or_si128(_mm_cmpeq_epi8(v, lf), _mm_cmpeq_epi8(v, cr)));
    auto stops = static_cast<std::uint32_t>(_mm_movemask_epi8(found));
    if (to - from < 16) stops &= (1U << (to - from)) - 1;
    if (stops != 0) return from + std::countr_zero(stops);
  }
  return to;
#else
  return std::find_if(from, to, [separator](char c) { return is_special(c, separator); });
#endif
}

/// A reader would trim a blank at either end, and take '#' at the start of a line for a comment.
bool is_quoted_for_its_ends(std::string_view value, bool first_in_row) {
  return !value.empty() &&
         (is_blank(value.front()) || is_blank(value.back()) || (first_in_row && value.front() == '#'));
}

}  // namespace

bool is_formula_like(std::string_view text) {
  if (!text.empty() && (is_digit(text.front()) || is_letter(text.front())))
    return false;  // nearly every text
  const std::size_t at = text.find_first_not_of('\'');
  if (at == std::string_view::npos) return false;
  const std::string_view rest = text.substr(at);
  return std::string_view("=+-@\t\r").find(rest[0]) != std::string_view::npos || rest.starts_with("\uFF1D") ||
         rest.starts_with("\uFF0B") || rest.starts_with("\uFF0D") || rest.starts_with("\uFF20");
}

std::string with_formula_mark(std::string_view text) {
  std::string out(is_formula_like(text) ? "'" : "");
  out += text;
  return out;
}

std::string_view without_formula_mark(std::string_view text) {
  const bool marked = !text.empty() && text.front() == '\'' && is_formula_like(text.substr(1));
  return marked ? text.substr(1) : text;
}

// ---------------------------------------------------------------- writer

TableWriter::TableWriter(const TableStyle& style, Flush flush)
    : style_(style),
      flush_(std::move(flush)),
      buffer_(new char[kWriteBuffer + kSlack]),  // not value-initialised: a small table touches few pages
      at_(buffer_.get()),
      limit_(buffer_.get() + kWriteBuffer) {}

void TableWriter::spill() {
  const auto size = static_cast<std::size_t>(at_ - buffer_.get());
  if (size > 0) flush_(buffer_.get(), size);
  at_ = buffer_.get();
}

void TableWriter::swap_mark(char* from) {
  char* const mark = std::find(from, at_, '.');
  if (mark != at_) *mark = style_.decimal_mark;
}

void TableWriter::put(char c) {
  if (at_ > limit_) spill();
  *at_++ = c;
}

void TableWriter::quoted_text(std::string_view value, bool marked) {
  put('"');
  if (marked) put('\'');
  for (const char c : value) {
    if (c == '"') put('"');
    put(c);
  }
  put('"');
}

void TableWriter::text(std::string_view value) {
  const bool marked = style_.marks(value);
  const bool ends = is_quoted_for_its_ends(value, first_) && !(marked && !is_blank(value.back()));
  begin();
  if (ends || value.size() > kShortText) {
    const bool plain = !ends && std::none_of(value.begin(), value.end(),
                                             [&](char c) { return is_special(c, style_.separator); });
    if (!plain) return quoted_text(value, marked);
    if (marked) put('\'');
    for (const char c : value) put(c);
    return;
  }
  char* out = at_;
  if (marked) *out++ = '\'';
  for (const char c : value) {
    if (is_special(c, style_.separator)) return quoted_text(value, marked);
    *out++ = c;
  }
  at_ = out;
}

// ---------------------------------------------------------------- checker

namespace {

constexpr std::array<double, 13> kPowers = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12};
constexpr int kExactDigits = 15;  // every whole number of so many digits is exact in a double

/// Is `count` the whole number nearest to value * power, half away from zero, judged exactly? Only a product
/// that lies near a half needs its rounding error, which one fused multiply-add gives exactly.
bool is_nearest(double value, double power, double count) {
  const double product = value * power;
  const double off = product - count;
  const double hair = 1e-9 + std::abs(product) * 0x1p-51;
  if (std::abs(off) < 0.5 - hair) return true;
  if (!(std::abs(off) <= 0.5 + hair)) return false;
  const double rounding = std::fma(value, power, -product);  // product + rounding is exact
  // The half beyond `count` is exact too, and so is its difference from a product that lies near it.
  const double beyond = off > 0 ? (product - (count + 0.5)) + rounding : ((count - 0.5) - product) - rounding;
  if (beyond != 0) return beyond < 0;
  return (off < 0) == (value > 0);  // a tie goes away from zero
}

/// The decimal text of a double by its full binary expansion; for numbers too long for the quick way.
std::string long_decimal(double value, int decimals) {
  std::string digits =
      fmt::format("{:.1080f}", std::abs(value));  // exact: a double has at most 1074 binary places
  const std::size_t point = digits.find('.');
  const std::size_t keep = point + 1 + static_cast<std::size_t>(decimals);
  bool carry = digits[keep] >= '5';
  digits.resize(decimals == 0 ? point : keep);
  for (std::size_t i = digits.size(); carry && i-- > 0;) {
    if (digits[i] == '.') continue;
    carry = digits[i] == '9';
    digits[i] = carry ? '0' : static_cast<char>(digits[i] + 1);
  }
  if (carry) digits.insert(digits.begin(), '1');
  const bool zero = digits.find_first_not_of("0.") == std::string::npos;
  return (std::signbit(value) && !zero ? "-" : "") + digits;
}

bool is_long_decimal(std::string_view cell, double value, int decimals, char mark) {
  std::string want = long_decimal(value, decimals);
  std::replace(want.begin(), want.end(), '.', mark);
  return cell == want;
}

}  // namespace

TableChecker::TableChecker(const TableStyle& style, Read read, std::size_t first_row)
    : style_(style),
      line_end_(style.crlf ? '\r' : '\n'),
      read_(std::move(read)),
      buffer_(new char[kReadBuffer + kPadding]),
      capacity_(kReadBuffer),
      at_(buffer_.get()),
      cell_start_(at_),
      end_(at_),
      row_(first_row) {
  std::memset(buffer_.get(), 0, kPadding);
}

void TableChecker::fail() {
  if (failed_) return;
  failed_ = true;
  const char* to = cell_start_;
  while (to != end_ && *to != style_.separator && *to != '\r' && *to != '\n') ++to;
  const auto size = std::min(static_cast<std::size_t>(to - cell_start_), kFoundMost);
  failure_ = {row_, cell_, std::string(cell_start_, size)};
}

void TableChecker::fill(std::size_t need) {
  const auto rest = static_cast<std::size_t>(end_ - at_);
  if (need > capacity_) {
    capacity_ = need;
    std::unique_ptr<char[]> larger(new char[capacity_ + kPadding]);
    std::memcpy(larger.get(), at_, rest);
    buffer_ = std::move(larger);
  } else {
    std::memmove(buffer_.get(), at_, rest);
  }
  std::size_t size = rest;
  while (!ended_ && size < capacity_) {
    const std::size_t got = read_(buffer_.get() + size, capacity_ - size);
    ended_ = got == 0;
    size += got;
    if (size >= need) break;
  }
  at_ = buffer_.get();
  end_ = at_ + size;
  std::memset(buffer_.get() + size, 0, kPadding);
}

const char* TableChecker::begin(std::size_t most) {
  if (failed_) return nullptr;
  if (static_cast<std::size_t>(end_ - at_) < most && !ended_) fill(most);
  ++cell_;
  cell_start_ = at_;
  if (!first_) {
    if (*at_ != style_.separator || at_ == end_) {
      fail();
      return nullptr;
    }
    ++at_;
  }
  first_ = false;
  cell_start_ = at_;
  return at_;
}

void TableChecker::end(const char* at) {
  if ((*at != style_.separator && *at != line_end_) || at >= end_) return fail();
  at_ = at;
}

void TableChecker::integer(std::int64_t value) {
  const char* at = begin(kSlack);
  if (at == nullptr) return;
  const bool negative = *at == '-';
  if (negative) ++at;
  const char* const digits = at;
  std::uint64_t magnitude = 0;
  while (is_digit(*at) && at - digits < 20)
    magnitude = magnitude * 10 + static_cast<std::uint64_t>(*at++ - '0');
  // Nineteen digits cannot overflow 64 bits without sign, and no 64-bit integer with sign has more.
  const auto count = at - digits;
  const bool canonical = count > 0 && count < 20 && (*digits != '0' || (count == 1 && !negative));
  const std::uint64_t want =
      value < 0 ? ~static_cast<std::uint64_t>(value) + 1 : static_cast<std::uint64_t>(value);
  if (!canonical || magnitude != want || negative != (value < 0)) return fail();
  end(at);
}

void TableChecker::fixed(double value, int decimals) {
  const char* at = begin(kSlack);
  if (at == nullptr) return;
  LastDecimals::Entry& last = last_.next();
  const auto bits = std::bit_cast<std::uint64_t>(value);
  // A cell that was found right for this value is right again where the same text stands.
  const bool again = last.bits == bits && last.decimals == decimals;
  if (again && last.size > 0 && same_bytes(at, last.text.data(), last.size)) return end(at + last.size);
  const bool negative = *at == '-';
  if (negative) ++at;
  const char* const whole = at;
  const DigitRun front = leading_digits(at);
  std::uint64_t count = front.value;  // wraps in a cell of many digits, which then goes the long way
  at += front.count;
  if (front.count == 8)
    while (is_digit(*at)) count = count * 10U + static_cast<std::uint64_t>(*at++ - '0');
  const auto whole_digits = at - whole;
  if (whole_digits == 0 || (*whole == '0' && whole_digits > 1)) return fail();
  if (decimals > 0 && *at++ != style_.decimal_mark) return fail();
  for (int left = decimals; left > 0;) {
    const int step = std::min(left, 8);
    const DigitRun part = leading_digits(at, step);
    if (part.count < step) return fail();
    count = count * kWholePowers[static_cast<std::size_t>(step)] + part.value;
    at += step;
    left -= step;
  }
  bool same = false;
  if (whole_digits + decimals <= kExactDigits) {
    const double size = static_cast<double>(static_cast<std::int64_t>(count));
    same = (count != 0 || !negative) &&
           is_nearest(value, kPowers[static_cast<std::size_t>(decimals)], negative ? -size : size);
  } else {
    same = is_long_decimal({cell_start_, static_cast<std::size_t>(at - cell_start_)}, value, decimals,
                           style_.decimal_mark);
  }
  if (!same) return fail();
  last.keep(bits, decimals, again, cell_start_, at);
  end(at);
}

void TableChecker::empty() {
  const char* const at = begin(kSlack);
  if (at != nullptr) end(at);
}

/// The end of a quoted cell that holds exactly `value`; null where it differs.
const char* TableChecker::match_quoted(const char* at, std::string_view value) const {
  if (*at++ != '"') return nullptr;
  for (const char c : value) {
    if (at >= end_ || *at != c) return nullptr;
    ++at;
    if (c == '"' && *at++ != '"') return nullptr;
  }
  return at < end_ && *at == '"' ? at + 1 : nullptr;
}

void TableChecker::text(std::string_view value) {
  const bool first = first_;
  const char* at = begin(std::max(kSlack, 2 * value.size() + 8));
  if (at == nullptr) return;
  const bool marked = style_.marks(value);
  if (*at == '"') {
    // The apostrophe is taken off by matching what stands behind it.
    const char* const stop = marked ? match_quoted(at, with_formula_mark(value)) : match_quoted(at, value);
    return stop == nullptr ? fail() : end(stop);
  }
  const char* const stop = first_special(at, end_, style_.separator);
  std::string_view cell(at, static_cast<std::size_t>(stop - at));
  if (is_quoted_for_its_ends(cell, first)) return fail();  // a reader would not give this text back
  if (marked) {
    if (cell.empty() || cell.front() != '\'') return fail();
    cell.remove_prefix(1);
  }
  if (cell.size() != value.size() || !same_bytes(cell.data(), value.data(), value.size())) return fail();
  end(stop);
}

void TableChecker::end_row() {
  if (failed_) return;
  if (end_ - at_ < 2 && !ended_) fill(kSlack);
  cell_start_ = at_;
  if (style_.crlf && (*at_ != '\r' || at_ == end_)) return fail();
  if (style_.crlf) ++at_;
  if (*at_ != '\n' || at_ == end_) return fail();
  ++at_;
  ++row_;
  cell_ = 0;
  first_ = true;
  last_.begin_row();
}

bool TableChecker::finish() {
  if (!failed_ && at_ == end_ && !ended_) fill(1);
  cell_start_ = at_;
  if (!failed_ && at_ != end_) fail();
  return !failed_;
}

// ---------------------------------------------------------------- table

void WrittenTable::write(const TableWriter::Flush& flush) const {
  for (std::size_t block = 0; block < blocks(); ++block) write_block(flush, block);
}

void WrittenTable::write_block(const TableWriter::Flush& flush, std::size_t block) const {
  TableWriter sink(style_, flush);
  if (style_.header && block == 0) {
    for (const std::string& name : header_) sink.text(name);
    sink.end_row();
  }
  write_rows(sink, block_begin(block), block_begin(block + 1));
  sink.finish();
}

bool WrittenTable::agrees(const TableChecker::Read& read, CheckFailure* failure) const {
  return rows_agree(read, failure, 0, rows());
}

bool WrittenTable::block_agrees(const TableChecker::Read& read, CheckFailure* failure,
                                std::size_t block) const {
  return rows_agree(read, failure, block_begin(block), block_begin(block + 1));
}

bool WrittenTable::rows_agree(const TableChecker::Read& read, CheckFailure* failure, std::size_t from,
                              std::size_t to) const {
  const bool with_header = style_.header && from == 0;
  TableChecker sink(style_, read, from == 0 ? 1 : from + (style_.header ? 2 : 1));
  if (with_header) {
    for (const std::string& name : header_) sink.text(name);
    sink.end_row();
  }
  check_rows(sink, from, to);
  const bool same = sink.finish();
  if (!same && failure != nullptr) *failure = sink.failure();
  return same;
}

}  // namespace deckmark
