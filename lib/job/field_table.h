#pragma once
/// A table of readings for a field test of an instrument: a file of its own, beside any job.

#include <cstddef>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "measure/length.h"
#include "station/field_tests.h"
#include "table/message.h"
#include "table/reader.h"

namespace deckmark {

/// What the table's columns say that it is for, and its readings; those of the other tests are empty.
struct FieldTable {
  std::string file;              ///< as typed
  std::vector<FieldTest> tests;  ///< one; or directions and zenith angles, read together
  std::vector<FacePair> directions, zeniths;
  std::vector<LineDistance> line;
  std::vector<StaffReading> levels;
  std::vector<BeamReading> beam;
  std::vector<Length> target_heights;  ///< of a rotating laser's targets by number, where they are known
  std::vector<PlumbSet> plumb;
  std::vector<TurnedMark> turned;
  std::vector<CrossLineSet> cross;
  std::optional<Length> plumb_height;  ///< of the grid over a plumbing instrument
  /// By test: what each reading is called: "set 2, target B". In the order of the readings.
  std::map<FieldTest, std::vector<std::string>> names;
};

/// Reads a table; all problems are told. Nothing where there are any.
std::optional<FieldTable> read_field_table(const std::filesystem::path& path, Messages& messages);

/// The text of a stated sd, an angle or a length with its unit; nothing where it is bad (told).
std::optional<FieldTestOptions> read_stated_sd(std::string_view text, bool is_angle, Messages& messages);

}  // namespace deckmark
