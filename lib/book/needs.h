#pragma once
/// Whether an act fits what stands, and which thing it is about where nobody says so.

#include <variant>

#include "book/known.h"
#include "book/state.h"

namespace deckmark {

/// An act that fits.
struct ActNeeds {
  EntryLevel level = EntryLevel::none;  ///< as its row has it
  EntryOf of{};                         ///< the thing that it is about, by the row that made it
  bool is_done = false;                 ///< already: nothing is written
};
/// Judges one act on one number, before anything is written. `book`: the one that it would be written into,
/// of those of the state. Of `marked` a cross that stands, or an open hole, is done already: a reading asks
/// first. REQUIRES an act that is about a number.
std::variant<ActNeeds, Refusal> needs_of(Act act, const KnownNumber& number, const KnownNumbers& known,
                                         const BookState& state, std::uint32_t book);
/// How a row of `book` names another row.
EntryOf entry_of(const BookState& state, std::uint32_t row, std::uint32_t book);
/// `12`, `north:3`, `-` for none.
std::string entry_words(const EntryOf& of);
/// The cross of that level that stands, or the open hole, which was made last; null: none.
const BookThing* newest_thing(const BookState& state, std::uint32_t floor, EntryLevel level);

}  // namespace deckmark
