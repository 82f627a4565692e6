#pragma once
/// Written tables: one function describes a row, and two sinks take it. The writer formats the row; the
/// checker reads the cells of the written file back and compares them with what is in memory. There is no
/// second list of columns.

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/decimal.h"

namespace deckmark {

/// True where a text cell is written with a leading apostrophe: it begins with = + - @ (full-width ones too),
/// tab or CR, or with apostrophes before one of these (so that reading back is exact).
bool is_formula_like(std::string_view text);
/// A text as it is written so that no spreadsheet computes it: with that apostrophe where it needs one.
std::string with_formula_mark(std::string_view text);
/// The same text as it was; one that was never marked stays as it is.
std::string_view without_formula_mark(std::string_view text);

/// How a written table looks.
struct TableStyle {
  char separator = ',';
  char decimal_mark = '.';
  bool crlf = false;
  bool header = true;
  /// Text that a spreadsheet would take for a formula gets a leading apostrophe. Off in instrument lists.
  bool neutralise = true;
  bool marks(std::string_view text) const { return neutralise && is_formula_like(text); }
};

/// The text of each column's last decimal: a floor level, a level deck and an attach height stand in row
/// after row, and copying is several times quicker than formatting. Private to writer and checker.
class LastDecimals {
 public:
  struct Entry {
    std::uint64_t bits = ~std::uint64_t{0};  // of the value; at first those of a NaN, which is never written
    int decimals = -1;
    std::uint32_t size = 0;  // 0: the text is not kept
    std::array<char, 16> text{};
    /// Only of a value that came `again` the text is kept: it is likely to come once more.
    void keep(std::uint64_t value_bits, int value_decimals, bool again, const char* from, const char* to) {
      bits = value_bits;
      decimals = value_decimals;
      const auto length = static_cast<std::size_t>(to - from);
      size = again && length <= text.size() ? static_cast<std::uint32_t>(length) : 0;
      if (size > 0) std::copy(from, to, text.begin());
    }
  };
  void begin_row() { cell_ = 0; }
  /// The entry of the next decimal of the row.
  Entry& next() { return entries_[cell_++ % entries_.size()]; }

 private:
  std::array<Entry, 16> entries_{};
  std::size_t cell_ = 0;
};

/// Formats rows into a buffer and hands full buffers on.
class TableWriter {
 public:
  using Flush = std::function<void(const char*, std::size_t)>;
  TableWriter(const TableStyle& style, Flush flush);
  TableWriter(const TableWriter&) = delete;
  TableWriter& operator=(const TableWriter&) = delete;

  void integer(std::int64_t value) {
    begin();
    at_ = write_integer(at_, value);
  }
  /// REQUIRES a finite value.
  void fixed(double value, int decimals) {
    begin();
    LastDecimals::Entry& last = last_.next();
    const auto bits = std::bit_cast<std::uint64_t>(value);
    char* const from = at_;
    const bool again = last.bits == bits && last.decimals == decimals;
    if (again && last.size > 0) {
      std::memcpy(from, last.text.data(), last.text.size());
      at_ = from + last.size;
      return;
    }
    at_ = write_fixed(from, value, decimals);
    if (style_.decimal_mark != '.') swap_mark(from);
    last.keep(bits, decimals, again, from, at_);
  }
  void empty() { begin(); }
  void text(std::string_view value);
  void end_row() {
    if (style_.crlf) *at_++ = '\r';
    *at_++ = '\n';
    first_ = true;
    last_.begin_row();
    if (at_ > limit_) spill();
  }
  /// Hands the rest on; call once, after the last row.
  void finish() { spill(); }

 private:
  void begin() {
    if (at_ > limit_) spill();
    if (!first_) *at_++ = style_.separator;
    first_ = false;
  }
  void spill();
  void swap_mark(char* from);
  void put(char c);  // one character of a text of any length
  void quoted_text(std::string_view value, bool marked);

  TableStyle style_;
  Flush flush_;
  std::unique_ptr<char[]> buffer_;
  char* at_;
  char* limit_;  // a number and a line end still fit behind it
  LastDecimals last_;
  bool first_ = true;
};

/// Where a read-back differs from memory.
struct CheckFailure {
  std::size_t row = 0;  ///< 1-based, header included
  int cell = 0;         ///< 1-based
  std::string found;
};

/// Reads cells back and compares. Takes the same calls as the writer; after the first difference it ignores
/// the rest.
class TableChecker {
 public:
  /// Fills the buffer, returns how many bytes came; 0 at the end.
  using Read = std::function<std::size_t(char*, std::size_t)>;
  /// `first_row`: the number of the first row that will be compared, for messages.
  TableChecker(const TableStyle& style, Read read, std::size_t first_row = 1);
  TableChecker(const TableChecker&) = delete;
  TableChecker& operator=(const TableChecker&) = delete;

  void integer(std::int64_t value);
  void fixed(double value, int decimals);
  void empty();
  void text(std::string_view value);
  void end_row();
  /// True when every cell agreed and the file ends where the rows end.
  bool finish();
  const CheckFailure& failure() const { return failure_; }

 private:
  const char* begin(
      std::size_t most);     // start of the next cell, `most` bytes of it in the buffer; null when failed
  void end(const char* at);  // the cell must end here
  void fill(std::size_t need);
  void fail();
  const char* match_quoted(const char* at, std::string_view value) const;

  TableStyle style_;
  char line_end_;
  Read read_;
  std::unique_ptr<char[]> buffer_;
  std::size_t capacity_;
  const char *at_, *cell_start_, *end_;  // NUL bytes stand at end_, behind what was read
  LastDecimals last_;
  bool ended_ = false, first_ = true, failed_ = false;
  std::size_t row_;
  int cell_ = 0;
  CheckFailure failure_;
};

/// A table that can be written and checked.
class WrittenTable {
 public:
  WrittenTable(TableStyle style, std::vector<std::string> header)
      : style_(style), header_(std::move(header)) {}
  virtual ~WrittenTable() = default;
  WrittenTable(const WrittenTable&) = delete;
  WrittenTable& operator=(const WrittenTable&) = delete;
  virtual std::size_t rows() const = 0;
  /// How many blocks of rows the table is written and compared in, so that two workers can share it; at
  /// least 1.
  std::size_t blocks() const { return rows() == 0 ? 1 : (rows() + kBlockRows - 1) / kBlockRows; }
  /// Header (where the style has one) and all rows, handed to `flush`.
  void write(const TableWriter::Flush& flush) const;
  /// One block; the first has the header too.
  void write_block(const TableWriter::Flush& flush, std::size_t block) const;
  /// Compares what `read` gives with the header and all rows; the failure where they differ.
  bool agrees(const TableChecker::Read& read, CheckFailure* failure) const;
  /// The same for one block, whose bytes alone `read` gives.
  bool block_agrees(const TableChecker::Read& read, CheckFailure* failure, std::size_t block) const;
  const TableStyle& style() const { return style_; }

 protected:
  virtual void write_rows(TableWriter& sink, std::size_t from, std::size_t to) const = 0;
  virtual void check_rows(TableChecker& sink, std::size_t from, std::size_t to) const = 0;

 private:
  static constexpr std::size_t kBlockRows = 4096;  // about half a write buffer
  bool rows_agree(const TableChecker::Read& read, CheckFailure* failure, std::size_t from,
                  std::size_t to) const;
  std::size_t block_begin(std::size_t block) const { return std::min(block * kBlockRows, rows()); }
  TableStyle style_;
  std::vector<std::string> header_;
};

/// A written table whose row `i` is described by `describe(sink, i)`.
template <class Describe>
class DescribedTable final : public WrittenTable {
 public:
  DescribedTable(TableStyle style, std::vector<std::string> header, std::size_t rows, Describe describe)
      : WrittenTable(style, std::move(header)), rows_(rows), describe_(std::move(describe)) {}
  std::size_t rows() const override { return rows_; }

 protected:
  void write_rows(TableWriter& sink, std::size_t from, std::size_t to) const override {
    each(sink, from, to);
  }
  void check_rows(TableChecker& sink, std::size_t from, std::size_t to) const override {
    each(sink, from, to);
  }

 private:
  template <class Sink>
  void each(Sink& sink, std::size_t from, std::size_t to) const {
    for (std::size_t i = from; i < to; ++i) {
      describe_(sink, i);
      sink.end_row();
    }
  }
  std::size_t rows_;
  Describe describe_;
};

/// Makes a table from a generic lambda `(auto& sink, std::size_t row)`.
template <class Describe>
std::unique_ptr<WrittenTable> written_table(TableStyle style, std::vector<std::string> header,
                                            std::size_t rows, Describe describe) {
  return std::make_unique<DescribedTable<Describe>>(style, std::move(header), rows, std::move(describe));
}

}  // namespace deckmark
