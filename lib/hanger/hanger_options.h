#pragma once
/// What a job states about hangers along runs, joints, trapezes and cutting.

#include <optional>

#include "measure/length.h"

namespace deckmark {

struct HangerOptions {
  std::optional<Length> max_spacing;   ///< REQUIRED where runs are given
  std::optional<Length> end_distance;  ///< DEFAULT the first and last hanger stand at the ends
  std::optional<Length>
      joint_every;  ///< a run is made of pieces this long; DEFAULT no joints but those of the pieces
  Length joint_clear = Length::metres(0);  ///< no hanger nearer to a joint than this
  std::optional<Length> joint_support;     ///< a hanger within this of every joint; DEFAULT not asked
  std::optional<Length> crossing_support;  ///< the same for crossings and corners
  std::optional<Length> separation;        ///< of the two members of a pair, centre to centre
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
