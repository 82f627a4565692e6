#pragma once
/// One row of a book: what was done, by whom, where, from which issue. Data only.

#include <cstdint>
#include <optional>
#include <string_view>

#include "issues/kept.h"
#include "measure/verdict.h"

namespace deckmark {

enum class Act : std::uint8_t {
  set_up,      ///< an instrument stands: a new standing
  check,       ///< a known target was read
  marked,      ///< a cross on the floor or on the deck, or one that was read again
  drilled,     ///< a hole in the deck
  filled,      ///< a hole that is no more
  cut,         ///< a rod of the issue's length
  hung,        ///< the rod hangs
  taken_down,  ///< it hangs no more
  voided,      ///< a cross that is no more
  doubtful,    ///< somebody doubts a cross or an open hole
  cleared,     ///< and has looked
  undone,      ///< an entry that counts as not written
  note
};
inline constexpr std::size_t kActs = 13;
/// `set-up`, `taken-down`, ...
std::string_view act_word(Act act);
std::optional<Act> act_of(std::string_view word);

enum class EntryLevel : std::uint8_t { none, floor, deck };
/// ``, `floor`, `deck`.
std::string_view level_word(EntryLevel level);

enum class EntrySource : std::uint8_t { live, file, sheet };
std::string_view source_word(EntrySource source);

/// Which entry a row is about.
struct EntryOf {
  std::uint32_t entry = 0;     ///< 0: none
  bool in_this_book = true;    ///< else in `book`
  std::string_view book = {};  ///< a crew's name; empty: the book without one

  bool is_none() const { return entry == 0; }
};

/// A row. Texts are views of what the book holds.
struct Entry {
  std::uint32_t entry = 0;  ///< 1, 2, ... in its book
  std::string_view time;    ///< ISO 8601 with its offset, as it was written
  std::int64_t at = 0;      ///< the same instant, milliseconds from 1970-01-01T00:00Z
  std::string_view by;      ///< who did it
  Act act = Act::note;
  std::uint32_t number = 0;                                ///< the floor number; 0: none
  std::string_view target;                                 ///< of a check, which has no number
  EntryLevel level = EntryLevel::none;                     ///< of a cross; `deck` of a hole; none of a rod
  KeptSite site{Kept::none(), Kept::none()};               ///< that was read; of a set-up the instrument's
  Kept elevation = Kept::none();                           ///< likewise; of a set-up that of its axis
  Kept sd_along = Kept::none(), sd_across = Kept::none();  ///< of what was read, along the sight and across
  std::string_view setup;
  std::uint32_t issue = 0;  ///< that it was done from
  EntrySource source = EntrySource::live;
  EntryOf of{};
  std::optional<Verdict> verdict{};  ///< of a check: within or outside
  std::string_view reading;          ///< as it was typed or stored; of a set-up the zero of its circle
  std::string_view note;
  std::string_view chain;  ///< digest of this row and all before it

  bool has_place() const { return !site.northing.is_none(); }
  /// Along or across, whichever is larger; none where nothing was read.
  Kept sd() const {
    return sd_across.is_none() || (!sd_along.is_none() && sd_along.micrometres() > sd_across.micrometres())
               ? sd_along
               : sd_across;
  }
};

}  // namespace deckmark
