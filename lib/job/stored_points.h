#pragma once
/// Points that an instrument stored in a file of its own, beside the tables of a job.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "measure/frame.h"
#include "table/message.h"
#include "table/reader.h"

namespace deckmark {

struct StoredPoint {
  std::string point;
  Point<Site> at;
  std::optional<Elevation> elevation{};
  std::string setup, time;  ///< as they stand there; may be empty
  std::string reading;      ///< the cells of its place as they stand there, as they would be typed
};

struct StoredPoints {
  std::shared_ptr<const Table> table;
  std::vector<StoredPoint> rows;
  std::vector<std::uint32_t> begins;

  /// Where a row's cell is, for what is told of it.
  Where where(std::size_t row, std::string_view column) const;
};

/// Reads such a file; all problems are told. Nothing where there are any. `unit`: of bare numbers.
std::optional<StoredPoints> read_stored_points(const std::filesystem::path& path, LengthUnit unit,
                                               Messages& messages);

}  // namespace deckmark
