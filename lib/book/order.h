#pragma once
/// In which order marks are offered, and in which words a mark is told how far it has to go.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/facts.h"
#include "book/known.h"

namespace deckmark {

/// A mark that is to be made some day.
struct WalkStop {
  std::uint32_t floor = 0;
  EntryLevel level = EntryLevel::floor;
  std::uint32_t row = 0;  ///< of the ledger
  std::uint32_t run = 0;  ///< runs counted from 1; 0: none
};

/// Live numbers of a crew (or all), floor marks first, then deck points, each level run by run as
/// `walk_by_run` has it: at first the nearest end from where the instrument stands.
class WalkOrder {
 public:
  WalkOrder(const BookFacts& facts, const KnownNumbers& known, const std::optional<Point<Site>>& start);

  const std::vector<WalkStop>& stops() const { return stops_; }
  /// Where a mark stands in the order; nothing: it is not in it.
  std::optional<std::size_t> find(std::uint32_t floor, EntryLevel level) const;
  std::string_view run_name(std::uint32_t run) const { return runs_[run]; }
  const Point<Site>& place(std::size_t stop) const { return places_[stop]; }

 private:
  void add(const BookFacts& facts, const KnownNumbers& known, EntryLevel level, Point<Site>& from);

  std::vector<WalkStop> stops_;
  std::vector<Point<Site>> places_;
  std::vector<std::string> runs_;
  std::vector<std::pair<std::uint64_t, std::uint32_t>> by_number_;  // sorted: number and level, stop
};

/// One half of a way: so far toward that.
struct MoveWay {
  enum class Toward : std::uint8_t {
    mark,       ///< toward a neighbour
    from_mark,  ///< away from it
    run,        ///< toward another run
    from_run,
    left,  ///< of the way to the neighbour
    right,
    x,  ///< along the drawing's axes, where there is no neighbour; negative: the other way
    y
  };
  Toward toward = Toward::x;
  Length by = Length::metres(0);
  std::uint32_t mark = 0;  ///< as it is typed
  std::string run{};
};
/// How a person on the floor moves a mark: along its run toward a neighbour, and square to that toward
/// another run. `to_go`: from where it was read to its place.
std::vector<MoveWay> move_ways(const WalkOrder& order, const KnownNumbers& known, std::size_t stop,
                               const Vec<Site>& to_go, const Vec<Drawing>& in_drawing);

}  // namespace deckmark
