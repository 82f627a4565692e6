#pragma once
/// Private to the room: finds records and their cells in delimited text.

#include <array>

#include "table/reader.h"

namespace deckmark {

/// What stands at a place where a record may begin.
enum class Scanned : std::uint8_t { record, blank, comment, end, open_quote, text_after_quote };

class RecordScanner {
 public:
  RecordScanner(std::string_view text, char separator);
  /// Scans what begins at `at` and moves `at` behind it. On open_quote and text_after_quote the faulty cell
  /// is the row's last, and scanning goes on at the line after the one on which that cell begins.
  Scanned next(std::uint32_t& at, Row& row) const;
  /// True where the record held NUL, control or non-ASCII bytes: its cells want a closer look.
  static bool is_odd(const Row& row);
  static std::size_t count(const Row& row) { return row.count_; }
  static std::string_view cell(const Row& row, std::size_t field) {
    return row.cell(static_cast<std::uint32_t>(field));
  }
  static std::uint32_t cell_begin(const Row& row, std::size_t field) { return row.fields_[field].begin; }
  static void bind(Row& row, const char* text, const std::uint32_t* field_of) {
    row.text_ = text;
    row.field_of_ = field_of;
  }
  /// The offset of the next line's begin, at or after `at`.
  std::uint32_t line_after(std::uint32_t at) const;

 private:
  enum Class : std::uint8_t { plain, parting, line_end, odd };
  bool plain_record(std::uint32_t& at, Row& row) const;
  bool quoted_cell(std::uint32_t& at, Row& row, Row::Field& field) const;
  std::uint32_t end_of_plain(std::uint32_t p, std::uint8_t& seen) const;
  static constexpr std::size_t kMoreFields = 16;
  static Row::Field& next_field(Row& row);

  std::string_view text_;
  char separator_;
  std::array<std::uint8_t, 256> class_{};
};

/// A line that a spreadsheet's error begins: no comment.
bool is_spreadsheet_error(std::string_view line);

bool equals_ignoring_case(std::string_view a, std::string_view b);

}  // namespace deckmark
