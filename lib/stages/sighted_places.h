#pragma once
/// What a row that leaves its coordinates empty finds among the sights, by its name; told where it finds
/// nothing. Private to the room.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stages/read_points.h"

namespace deckmark {

class MarkFinder;

/// A row that names what was sighted.
struct SightedRow {
  std::string_view name, setup;
  const ReadTable& table;
  std::uint32_t begin = 0;  ///< of the row
  std::string_view column;  ///< that holds the name
  AsbuiltLevel level = AsbuiltLevel::floor;
  bool may_be_mark = true;  ///< else it is looked up by its own name alone
};

/// A place as it was sighted.
struct FoundPlace {
  std::string name;  ///< by which the setups know it
  NetPlace place;
  std::optional<std::size_t> point;  ///< of the net, whose covariance it shares
  PlanCovariance<Site> own;          ///< beyond that of the net's point: one setup's view of it is weaker
  std::vector<std::size_t> setups;   ///< that it is from
};

/// Coordinates that a row types, for the comparison with what was sighted.
struct TypedPlace {
  Point<Site> at;
  std::optional<Length> sd;  ///< per axis; absent: as good as the reading
  std::optional<Elevation> elevation = {};
};

class SightedPlaces {
 public:
  SightedPlaces(const PointsSighted& in, Messages& told);
  ~SightedPlaces();
  SightedPlaces(const SightedPlaces&) = delete;
  SightedPlaces& operator=(const SightedPlaces&) = delete;

  /// The place of a row's name. Nothing where it has none: told, but where a setup that could not be computed
  /// may be why.
  std::optional<FoundPlace> find(const SightedRow& row);
  /// Whether a row found nothing, told or not.
  bool is_spoiled() const { return spoiled_; }
  /// Whether a setup's own fault is why: it is told there.
  bool is_by_setups() const { return by_setups_; }
  /// Tells a row as one that finds nothing.
  void refuse(const SightedRow& row, std::string_view column, const Fault& fault);
  /// Doubts coordinates that lie further from the sighted ones of their name than three times their sd.
  void compare(const SightedRow& row, const TypedPlace& typed);
  /// `S1`, `S1 and S2`.
  std::string setups_words(const std::vector<std::size_t>& setups) const;

 private:
  std::optional<std::size_t> chosen_setup(const SightedRow& row);
  std::optional<std::string> sighted_name(const SightedRow& row, std::optional<std::size_t> setup);
  std::vector<std::string> names_of(const SightedRow& row);
  bool may_hide(const std::vector<std::size_t>& setups) const;
  bool any_hidden() const;
  void tell_never(const SightedRow& row);
  void tell_not_from(const SightedRow& row, const std::vector<std::size_t>& seen);
  void tell_no_place(const SightedRow& row, const std::string& name, const std::vector<std::size_t>& setups);
  std::optional<FoundPlace> place_of(const std::string& name, std::optional<std::size_t> setup) const;
  Where where(const SightedRow& row, std::string_view column) const;

  const PointsSighted& in_;
  Messages& told_;
  std::nullopt_t hidden();
  bool spoiled_ = false, by_setups_ = false;
  std::unique_ptr<MarkFinder> finder_;  // made where a name is looked up by another one of its mark
};

}  // namespace deckmark
