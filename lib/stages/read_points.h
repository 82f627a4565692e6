#pragma once
/// Ties, deck shots, deck marks and as-built shots whose coordinates no row types: readings are keyed once,
/// and the mark, shot or point of that name is where the setups sighted it.

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "adjust/matrix.h"
#include "job/asbuilt_job.h"
#include "job/instrument_job.h"
#include "job/stated.h"
#include "lift/lift.h"
#include "stages/laid_out.h"
#include "stages/net.h"
#include "stages/staged.h"

namespace deckmark {

/// What is known of sights when rows look for their places.
struct PointsSighted {
  const std::vector<StatedSetup>& setups;
  const Sighted* sighted = nullptr;  ///< null in a job without setups, and where the net is spoiled
  const JobMarks* marks = nullptr;   ///< null where they are not known: rows find their own name alone
  const Numbers* numbers = nullptr;  ///< likewise
  LengthUnit site_unit = LengthUnit::metre;
};

/// The ties with their places.
struct TiesPlaced {
  std::vector<NamedTie> ties;  ///< one a row, in their order; where one is spoiled, for its name alone
  bool any_read = false;
  /// Of every tie: its northing and easting by parts of the net; empty where it is typed.
  std::vector<std::array<NetForm, 2>> forms;
  /// Joint covariance of the found places in m^2: northing, easting of each tie, in their order. Of a typed
  /// tie what its side shot states. Empty where none is read.
  Matrix covariance;
  bool by_setups = false;  ///< a setup's own fault is why a row has no place: it is told there alone
};
/// Problems: names that no setup sighted, or sighted without giving them a place; setups that are none.
/// Doubts: typed coordinates that the sights contradict. A tie that `setup` chooses among several is where
/// that setup sees it: it shares the covariance of the whole net's point, and what its own view lacks of
/// that is added as its own. Of two faces of a column the tie is the middle.
[[nodiscard]] Staged<TiesPlaced> place_ties(const std::vector<KeyedTie>& keyed, const ReadTable& table,
                                            const PointsSighted& in);

struct ShotsPlaced {
  std::vector<StatedShot> shots;  ///< one a row, in their order
  std::size_t read = 0;           ///< of them, not typed
  bool by_setups = false;         ///< as above
};
/// Problems also: shots sighted without an elevation. `fit`: null where nothing places the drawing: then
/// shots that are typed in the drawing are not compared.
[[nodiscard]] Staged<ShotsPlaced> place_shots(const std::vector<KeyedShot>& keyed, const ReadTable& table,
                                              const PointsSighted& in, const FittedTransform* fit);

struct DeckMarksPlaced {
  std::vector<StatedDeckMark> marks;  ///< one a row, in their order
  bool by_setups = false;             ///< as above
};
/// A row means what was sighted by its deck number; a sight by its name or floor number counts where it is
/// nearer to the deck than to the floor, else it is the floor mark and is refused. `laid`: null where it is
/// spoiled: then heights are not judged so, and typed places are not compared.
[[nodiscard]] Staged<DeckMarksPlaced> place_deck_marks(const std::vector<KeyedDeckMark>& keyed,
                                                       const ReadTable& table, const PointsSighted& in,
                                                       const PlumbOptions& options, const LaidOut* laid);

/// Shots with their places: those that were sighted, and those that are stated by how far they are off.
struct AsbuiltPlaced {
  struct Place {
    std::size_t shot = 0;
    Point<Site> at;
    std::optional<Elevation> elevation;
    std::optional<Length> sd;            ///< where the row states none
    std::optional<std::size_t> setup{};  ///< the only one that sighted it
    std::optional<std::size_t> point{};  ///< of the net
  };
  std::vector<Place> places;  ///< in the order of the shots
  bool by_setups = false;     ///< as above
};
/// `laid`: as above; without it shots that are stated by how far they are off have no place.
[[nodiscard]] Staged<AsbuiltPlaced> place_asbuilt(const AsbuiltJob& asbuilt, const PointsSighted& in,
                                                  const LaidOut* laid);
/// Puts the places into the rows; a row that names no setup and was sighted from one alone is that setup's.
void put_places(const AsbuiltPlaced& placed, const std::vector<StatedSetup>& setups, AsbuiltShots& shots);

}  // namespace deckmark
