#pragma once
/// Private to the room: rows that hold coordinates of a map projection.

#include <optional>
#include <string>

#include "job/ground_job.h"
#include "job/open_table.h"

namespace deckmark {

struct JobReading;

/// Takes numbers of one table as grid coordinates: the area of use is checked row by row.
class GridRows {
 public:
  /// Tells a header's foot that is not the system's.
  GridRows(const GroundJob& ground, const LengthCells& northing, const LengthCells& easting, LengthUnit unit,
           Messages& messages);
  /// The point where it lies in the area of use; else told, with the likely reason. A little across the edge
  /// control is refused, other points are doubted.
  std::optional<Point<Grid>> check(const Row& row, const Point<Grid>& p, bool is_control,
                                   Messages& messages) const;
  std::optional<Point<Site>> to_ground(const Row& row, Length northing, Length easting,
                                       Messages& messages) const;

 private:
  std::string cure(const Point<Grid>& p, const std::optional<Geographic>& place, bool is_control) const;
  bool has_other_foot(const Row& row, const LengthCells& column, Messages& messages) const;
  const GroundJob* ground_;
  LengthCells northing_, easting_;
  LengthUnit unit_;
};

/// `EPSG:2193 (latitude -47.33 to -34.10, longitude 166.37 to 178.63)`.
std::string area_words(const GridSystem& system, int decimals = 2);
std::string place_words(const Geographic& p, int decimals = 2);
/// A place outside the area of use and what was expected, with so many decimals that they differ.
struct OutsideWords {
  std::string lies, expected;
};
OutsideWords outside_words(const GridSystem& system, const Geographic& p);
/// For a place a little outside: `12 m outside the edge`, and what to do.
std::string edge_words(const GridSystem& system, const Geographic& p);
std::string near_edge_cure(const GridSystem& system, const Geographic& p);
/// For control whose numbers are local ones.
std::string local_control_cure(const GridSystem& system);

/// Tells a pair of columns whose headers state two different feet. `unit`: of bare numbers.
void refuse_two_feet(const LengthCells& first, const LengthCells& second, LengthUnit unit,
                     Messages& messages);
/// What is wrong with a unit beside that system: another foot.
std::optional<Fault> other_foot(LengthUnit unit, const GridSystem& system);
/// `[site]` but its unit, and the table of control, which comes to ground scale where it has a projection.
void read_control(const JobReading& in);

}  // namespace deckmark
