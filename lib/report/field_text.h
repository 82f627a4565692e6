#pragma once
/// Field tests of an instrument for the crew that read them, in 80 columns.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "station/field_tests.h"

namespace deckmark {

/// `directions`, `zenith angles`: what was tested.
std::string_view field_test_word(FieldTest test);
/// A parameter and a question as CSV cells.
std::string_view field_parameter_word(FieldParameter parameter);
std::string field_question_word(const FieldQuestion& question);
/// The unit of a parameter of a test whose readings have that unit.
FieldUnit field_unit_of(FieldParameter parameter, FieldUnit of_test);
/// `"`, `mm`, `mm/m` as CSV cells.
std::string_view field_unit_word(FieldUnit unit);

/// What is printed of one test.
struct FieldSheet {
  FieldTest test = FieldTest::directions;
  std::string_view file;
  const FieldResult* result = nullptr;
  std::string_view stated;        ///< the sd to hold it against, as typed; empty: none
  std::string_view farthest;      ///< the reading that lies farthest from the others
  double farthest_by = 0;         ///< in the result's unit
  std::optional<double> a_metre;  ///< plumbing over a known height: the scatter in mm a metre
  std::string_view second_file;   ///< a second sample
  const FieldResult* second = nullptr;
  std::optional<FieldQuestion> same;
};
std::string field_text(const FieldSheet& sheet);
/// What a field test is not.
std::string field_caution_text();

}  // namespace deckmark
