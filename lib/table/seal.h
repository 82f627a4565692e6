#pragma once
/// A text that was signed: its last lines are a digest of all that stands before them, written and checked
/// here alone.

#include <cstdint>
#include <string>
#include <string_view>

namespace deckmark {

/// The body with its seal behind it. REQUIRES a body that ends with a line end (LF) and holds no CR.
std::string sealed(std::string_view body);

/// What stands before the seal; all where there is none.
std::string_view before_seal(std::string_view text);

/// What a text is that should be as `sealed` made it.
enum class SealState : std::uint8_t {
  whole,
  not_sealed,  ///< no seal: another file, or one whose end is lost
  line_ends,   ///< whole but for its line ends (CR LF, CR), as a mail or an editor changes them
  reflowed,    ///< the same words; lines were broken, quoted or given blanks at their ends, as a mail does it
  added_to,    ///< whole, with more behind the seal
  changed,     ///< the seal does not fit
};
SealState seal_state(std::string_view text);

}  // namespace deckmark
