#pragma once
/// What a floor needs today: what stands, held against the last issue. One row for everything that stands or
/// is wanted. Nothing of it is written into a book.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "book/book.h"
#include "book/options.h"
#include "book/state.h"
#include "transform/transform.h"

namespace deckmark {

enum class TodayThing : std::uint8_t { floor, deck, hole, rod };
/// `floor`, `deck`, `hole`, `rod`.
std::string_view today_thing_word(TodayThing thing);

/// The most urgent first.
enum class TodayDo : std::uint8_t {
  stop,
  void_cross,
  fill,
  renumber,
  mark_again,
  recut,
  measure,
  mark,
  drill,
  leave
};
/// `stop`, `void`, `fill`, `renumber`, `mark-again`, ...
std::string_view today_do_word(TodayDo what);
/// Something stands that may not stay as it is.
bool is_wrong_today(TodayDo what);

enum class TodayWhy : std::uint8_t {
  unchanged,
  within,
  beyond,
  near_limit,
  doubtful,
  second,  ///< another cross or hole of the number is the one that counts
  dropped,
  gone,  ///< the number has no deck point any more
  not_made,
  was,  ///< it was made for another number
  hung,
  old_hole,
  zone,
  not_released,
  longer,  ///< the rod has to be
  shorter
};

/// How far a thing lies from where it is wanted.
struct TodayOff {
  Vec<Drawing> move;  ///< to today's place; along the drawing's axes, a length on site
  Length distance;    ///< its size; of a rod how much longer or shorter it has to be
  Length permitted;
  std::optional<Length> sd{};  ///< of the record; none of a rod
};

struct TodayRow {
  std::uint32_t number = 0;            ///< the floor number
  std::uint32_t ledger_row = kNone32;  ///< its last one; none: the ledger never had it
  TodayThing thing = TodayThing::floor;
  TodayDo what = TodayDo::leave;
  TodayWhy why = TodayWhy::unchanged;
  std::uint32_t other = 0;         ///< of `was` and `old_hole`: that number
  std::string_view zone{};         ///< of `zone`: its name
  bool if_it_is_there = false;     ///< nobody noted it, it is taken to stand
  std::optional<Record> record{};  ///< of a cross or hole that stands
  std::optional<TodayOff> off{};   ///< of what is judged and of what gets another number
  std::optional<Length> up{};      ///< to today's elevation; of a rod to today's length, longer above zero
};
/// `unchanged`, `was 1043`, `old hole 1047`, `zone T3`, ...
std::string today_why_words(const TodayRow& row);

struct TodayOptions {
  BookOptions book;
  Length floor = Length::millimetres(6);  ///< permitted of a cross on the floor
  Length deck = Length::millimetres(6);   ///< of a cross or a hole in the deck
  bool mirrored = false;  ///< of the drawing; counts where the ledger's points lie on one line
};

/// Where nothing may be drilled, and what was released for it.
struct DrillRules {
  /// The name of the no-drill zone that holds a place; nothing: none. Null: there are no zones.
  std::function<std::optional<std::string_view>(const Point<Drawing>&)> zone;
  /// Null: nothing is released.
  std::function<bool(const LedgerRow&)> is_released;
};

/// Every thing that stands or is wanted, by number, then floor, deck, hole, rod; several of one kind in the
/// order in which they were made.
///
/// Method    a decision table, the first line that fits. Limits are inclusive to `kHair`: a thing within T -
///           2u is left, one beyond T + 2u is made again, what lies between is measured. What no number owns
///           any more goes to a number that wants one, the nearest pair first, holes before crosses on the
///           deck: where a hole stays no cross is wanted.
/// Speed     100,000 numbers in under 0.3 s.
/// REQUIRES a ledger with an issue.
std::vector<TodayRow> today(const BookState& state, const TodayOptions& options, const DrillRules& rules);

/// A book in which these numbers were marked on the floor from an issue, without readings: what a floor is
/// taken to be where nobody kept a book. REQUIRES numbers that were live in that issue.
Book marked_as_issued(const Ledger& ledger, std::uint32_t issue, std::span<const std::uint32_t> numbers);
/// The floor alone, as far as marks are there.
std::vector<TodayRow> today_as_issued(const BookState& state, const TodayOptions& options);

/// How far a run is. Of numbers that are live.
struct RunProgress {
  std::string_view run;  ///< empty: of none
  std::uint32_t numbers = 0, marked = 0;
  std::uint32_t deck = 0;  ///< with a cross or a hole in the deck
  std::uint32_t drilled = 0, hung = 0;
};
/// In the order in which runs first come in the ledger.
std::vector<RunProgress> progress_by_run(const BookState& state);

/// The order in which a floor is walked: run by run as `walk_by_run` has it, from the first number that has a
/// run; what was dropped behind what is live in its run, what has no run last.
class TodayWalk {
 public:
  /// REQUIRES a ledger that outlives it.
  explicit TodayWalk(const Ledger& ledger);
  void sort(std::vector<TodayRow>& rows) const;
  void sort(std::vector<RunProgress>& runs) const;

 private:
  std::uint32_t run_place(std::string_view run) const;

  const Ledger& ledger_;
  std::unordered_map<std::string_view, std::uint32_t> runs_;  // their places in the walk
  std::unordered_map<std::uint32_t, std::uint32_t> place_;    // of live numbers in runs
};

}  // namespace deckmark
