#pragma once
/// What a dialogue answers: a line for a program on a pipe, and what a sentence for a person is made of.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "book/checks.h"
#include "book/entry.h"
#include "book/order.h"
#include "book/typing.h"

namespace deckmark {

enum class SaidKind : std::uint8_t {
  open,
  torn,
  resumed,
  offer,
  read,
  near,
  ask,
  kept,
  again,
  due,
  check,
  stop,
  doubtful,
  no,
  tell,
  wait,
  bye
};

/// Why a check is due.
enum class Due : std::uint8_t { none, first, count, time, out, asked };
std::string_view due_word(Due due);
/// What is waited for.
enum class Waits : std::uint8_t { mark, keep, check, ask };

/// A reading, as far as a mark has still to go.
struct ReadTold {
  std::vector<MoveWay> ways{};
  Length distance = Length::metres(0), permitted = Length::metres(0);
  Length radius = Length::metres(0);  ///< that holds 95 of 100
  bool can_keep = false, is_far = false;
};
/// A text with its lengths in place.
std::string with_lengths(std::string_view text, std::span<const Length> lengths,
                         const std::function<std::string(Length)>& words);

struct Said {
  SaidKind kind = SaidKind::tell;
  std::string line{};             ///< as it stands on a pipe, without its end
  std::string text{};             ///< of no and tell; a list; a target; a setup
  std::vector<Length> lengths{};  ///< of `text`, where that has `kLengthHere`
  bool rounds_up = false;         ///< these: what is stated is not less
  std::uint32_t typed = 0;        ///< number as it is typed: a deck number for the deck
  std::uint32_t entry = 0;        ///< of kept; rows of open and bye; bytes of torn
  EntryLevel level = EntryLevel::none;
  Act act = Act::note;
  NoWord word = NoWord::word;
  Due due = Due::none;
  Waits waits = Waits::mark;
  Verdict verdict = Verdict::within;
  std::optional<ReadTold> read{};
  std::optional<Missed> missed{};  ///< of check
  Length off = Length::metres(0);  ///< likewise: by how much it was read off
  bool can_keep = false;           ///< of wait keep: y would
  std::string hint{};              ///< of open: what a reading is
};

/// One answer. `rows` are to be written, flushed, before a line of it is told.
struct BookAnswer {
  std::string rows{};
  std::vector<Said> said{};
  bool is_over = false;
  bool is_refused = false;  ///< it could not begin
  bool is_out = false;      ///< it ended with a check out
};

}  // namespace deckmark
