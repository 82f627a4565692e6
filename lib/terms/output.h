#pragma once
/// A file that a run writes, declared once, with its columns.

#include <cstdint>
#include <span>
#include <string_view>

namespace deckmark {

/// What stands in a written column.
enum class OutKind : std::uint8_t {
  text,
  number,   ///< a whole number
  decimal,  ///< a number without a unit, or with the unit that its meaning names
  length,   ///< in the unit of the list, which the header names
  metres    ///< always metres
};
struct OutColumn {
  std::string_view name;
  OutKind kind;
  std::string_view meaning;
};

/// A file that a run writes, declared once.
struct OutputSpec {
  std::string_view name;     ///< `points.csv`; `shots-NAME.csv`, where NAME stands for what varies
  std::string_view when;     ///< in words, `with deck marks`; empty: every run
  std::string_view meaning;  ///< what it is for, in words
  std::span<const OutColumn> columns{};  ///< of a table whose columns the job does not choose
  bool is_of_survey = false;  ///< of what was measured alone: made without a drawing's place on site too
  bool is_journal = false;    ///< beside the job, and it only grows: no run replaces it
  bool is_of_run = true;      ///< else another command writes it, into a folder of its own
};

}  // namespace deckmark
