#pragma once
/// What a crew types into the book, a line: a value, or why it is none. Knows no job: whether a number or a
/// target is there is for others to say.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "book/entry.h"
#include "measure/angle_text.h"
#include "measure/length_text.h"
#include "station/sights.h"

namespace deckmark {

/// The word of a refusal: what is wrong with a line.
enum class NoWord : std::uint8_t {
  number,   ///< none that is known, that has such a level, or of another crew
  dropped,  ///< it was dropped
  reading,  ///< no reading is in what was typed
  far,      ///< further off than a mark is ever kept
  keep,     ///< nothing waits, or beyond tolerance
  check,    ///< no check can be read now
  target,   ///< no target of that name
  setup,    ///< no instrument stands, or none of that name can
  list,     ///< numbers that make no list
  act,      ///< it does not fit what stands
  reason,   ///< a doubt without one
  undo,     ///< nothing that can be undone
  word,     ///< a word that is none
  text,     ///< too long, or with characters that do not show
  time,     ///< no time, or earlier than the last row
  sheet,    ///< no number of a sheet, or of another one
  issue     ///< a newer issue has other places
};
std::string_view no_word(NoWord word);

/// Where a length stands in a text that is told in one unit to a program and in another to a crew.
inline constexpr char kLengthHere = '\x01';

struct Refusal {
  NoWord word = NoWord::word;
  std::string why;
  std::vector<Length> lengths{};  ///< of `why`, in their order
};

/// How angles and lengths are typed.
struct TypingForm {
  AngleForm angles{};
  LengthForm lengths{LengthUnit::metre};
  bool tape = false;  ///< readings are two string distances
};

/// The longest line and the longest TEXT, in characters.
inline constexpr std::size_t kLongestLine = 400, kLongestText = 200;

struct TypedReading {
  enum class Kind : std::uint8_t {
    flat,         ///< circle and horizontal distance
    polar,        ///< circle, zenith angle, slope distance
    coordinates,  ///< as the instrument computed them
    tape          ///< distances from the string along Y, growing with X, and from that along X
  };
  Kind kind = Kind::flat;
  CircleReading circle = CircleReading::degrees(0);
  Angle zenith = Angle::degrees(90);      ///< of `polar`; over 180 it was read in face 2
  Length distance = Length::metres(0);    ///< horizontal of `flat`, slope of `polar`
  std::optional<Length> target_height{};  ///< of `polar`, where it is typed
  Length northing = Length::metres(0), easting = Length::metres(0);
  std::optional<Elevation> elevation{};
  Length from_x_string = Length::metres(0), from_y_string = Length::metres(0);

  bool is_face_two() const { return kind == Kind::polar && zenith > Angle::degrees(180); }
};

/// `1041-1052 1060 but 1047` as it was typed.
struct TypedList {
  struct Item {
    std::uint32_t first = 0, last = 0;  ///< equal of a single number
    bool is_range = false;
  };
  std::vector<Item> take, leave;
};
/// The parts of a list, parted by blanks or commas. `text` may be anything.
std::variant<TypedList, Refusal> typed_list(std::string_view text);

enum class TypedKind : std::uint8_t {
  nothing,
  number,
  dot,    ///< marked without a reading
  knock,  ///< the instrument was knocked
  yes,
  reading,
  act,
  note,
  hold,
  keep,
  undo,
  check,
  setup,
  next,
  end,
  help,
  at
};
struct Typed {
  TypedKind kind = TypedKind::nothing;
  std::string line;                       ///< without blanks at its ends
  std::optional<std::uint32_t> number{};  ///< that is offered; the entry of `undo`
  std::optional<TypedReading> reading{};
  Act act = Act::note;
  std::optional<TypedList> list{};
  std::string text;  ///< TEXT; the target, the setup, the time
};
std::variant<Typed, Refusal> typed_line(std::string_view line, const TypingForm& form);

/// One value after another as they are typed of a reading: by `;` where there is one, else by blanks.
std::variant<TypedReading, Refusal> typed_reading(std::string_view text, const TypingForm& form);

}  // namespace deckmark
