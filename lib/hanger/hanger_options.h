#pragma once
/// What a job states about hangers along runs, joints, trapezes and cutting.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

#include "measure/length.h"

namespace deckmark {

/// How a run ends. Free and wall ends are square; a joined one meets another run.
enum class RunEnd : std::uint8_t { free, wall, joined };

/// An end of a run, of a member or of a piece.
enum class AtEnd : std::uint8_t { start, finish };

/// At which end a piece may be cut on site.
enum class MayCut : std::uint8_t { both, start, finish, no };

/// One of the members of which a run is made, as it is called on site: of a line by the hand on which it lies
/// as one walks from its start, of an arc or ring by the side of the curve. `single`: the run is one member.
enum class MemberSide : std::uint8_t { single, left, right, inside, outside };
inline constexpr std::size_t kMemberSides = 5;

/// Words for these in tables, in their order; a single member has none.
inline constexpr std::string_view kAtEndWords[] = {"start", "finish"},
                                  kRunEndWords[] = {"free", "wall", "joined"},
                                  kMayCutWords[] = {"both", kAtEndWords[0], kAtEndWords[1], "no"},
                                  kMemberWords[kMemberSides] = {"", "left", "right", "inside", "outside"};
constexpr std::string_view word_of(AtEnd end) { return kAtEndWords[static_cast<std::size_t>(end)]; }
constexpr std::string_view word_of(RunEnd end) { return kRunEndWords[static_cast<std::size_t>(end)]; }
constexpr std::string_view word_of(MemberSide side) { return kMemberWords[static_cast<std::size_t>(side)]; }

/// How far the members of a pair reach beyond their run's ends, along themselves; below zero short of them.
/// By the hand on site on which they lie as one walks from the run's start.
struct StatedReach {
  std::optional<Length> start_left{}, start_right{}, finish_left{},
      finish_right{};  ///< DEFAULT as they meet others
  bool any() const { return start_left || start_right || finish_left || finish_right; }
};

/// Where hanging begins: of an arc or ring the inside first, a line from the run that it meets first, or in
/// the middle (common practice, no source).
enum class HangFirst : std::uint8_t { first, second, from, middle };
inline constexpr std::string_view kHangFirstWords[] = {"first", "second", "from", "middle"};
constexpr std::string_view word_of(HangFirst order) {
  return kHangFirstWords[static_cast<std::size_t>(order)];
}

struct HangerOptions {
  std::optional<Length> max_spacing;   ///< REQUIRED where runs are given
  std::optional<Length> end_distance;  ///< DEFAULT the first and last hanger stand at the ends
  std::optional<Length>
      joint_every;  ///< a run is made of pieces this long; DEFAULT no joints but those of the pieces
  Length joint_clear = Length::metres(0);   ///< no hanger nearer to a joint than this
  std::optional<Length> joint_support;      ///< a hanger within this of every joint; DEFAULT not asked
  std::optional<Length> crossing_support;   ///< the same for crossings and corners
  std::optional<Length> separation;         ///< of the two members of a pair, centre to centre
  Length member_width = Length::metres(0);  ///< half of it is taken off a member that ends on another
  std::optional<Length> piece_least;        ///< no piece cut on site is shorter; DEFAULT any length
};

struct TrapezeOptions {
  std::optional<Length> reach;  ///< a support no further from its hanger; DEFAULT no limit
};

struct CutOptions {
  std::optional<Length> top, bottom;  ///< added to the drop
  std::optional<Length> stock;        ///< length of a stock piece; DEFAULT no packing
  std::optional<Length> round;        ///< cuts are rounded up to a multiple of this; DEFAULT not rounded
  Length kerf = Length::metres(0);    ///< lost at every cut
  bool wanted() const { return top || bottom || stock; }
};

}  // namespace deckmark
