#pragma once
/// Which issue a list is, and what differs, in words.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

#include "issues/compare.h"
#include "issues/given.h"

namespace deckmark {

struct CompareWords {
  const CompareResult& result;
  std::span<const IssuedRow> issues;
  std::span<const GivenRow> given;
  LengthUnit list_unit = LengthUnit::metre;
  std::size_t changed = 0;  ///< numbers of an old issue's list that have changed since
};

/// `floor list of run R1`.
std::string list_words(const CompareResult& result);
/// `one digit of the northing`; what is wrong with a row.
std::string slip_words(const RowSlip& slip);
/// The first line: `FLOOR LIST OF ISSUE 3, the last` or what it is instead.
std::string compare_line(const CompareWords& words);
/// All of it.
std::string compare_text(const CompareWords& words);

}  // namespace deckmark
