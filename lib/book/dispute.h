#pragma once
/// A cross that a shot finds elsewhere: which link between drawing and shot is likely wrong.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "measure/frame.h"
#include "measure/verdict.h"

namespace deckmark {

enum class Link : std::uint8_t { drawing, list, setup, mark, shot };
inline constexpr std::size_t kLinks = 5;
/// `drawing`, `list`, ...
std::string_view link_word(Link link);

/// One reading of the cross, from the place where the issue has it that it was made from.
struct CrossReading {
  Vec<Site> off;
  Length sd;         ///< per axis
  std::uint32_t at;  ///< the set-up that read it; readings from one share what that one has wrong
};
/// Another cross that was read when it was made and shot since.
struct CrossBeside {
  Vec<Site> differ;  ///< shot less reading when it was made
  Length sd;         ///< per axis, of both
  std::uint32_t made_at = 0, shot_at = 0;
  std::uint32_t order = 0;  ///< in which crosses were made
  Point<Site> place;
};

struct DisputeFacts {
  Point<Site> place;                     ///< that the cross was to have
  Length permitted;                      ///< less is in no dispute
  std::uint32_t made_at = 0, order = 0;  ///< as of the crosses beside it
  bool was_read = false;                 ///< when it was made: then that is the first of the readings
  /// In the order of time; the last is the shot in dispute. REQUIRES one at least.
  std::vector<CrossReading> readings{};
  /// Where the drawing has it today, from the place of its issue; nothing: digit by digit the same.
  std::optional<Vec<Site>> moved{};
  bool newer_was_out = false;             ///< an issue with another place was handed out before it was made
  std::optional<Verdict> next_check{};    ///< of the set-up that made it: how the next checks ended
  std::vector<Vec<Site>> other_issues{};  ///< where other issues had it, from the same place
  std::vector<CrossBeside> beside{};
  std::vector<std::pair<std::uint32_t, Point<Site>>> setups{};  ///< where set-ups stood, as far as is known
};

/// What would tell links apart.
enum class Decides : std::uint8_t {
  third_reading,  ///< of the same cross, by another hand from another set-up
  more_of_setup   ///< two more crosses of the same set-up
};

struct DisputeFound {
  std::optional<Link> link{};       ///< at a probability of 0.95 or more
  double probability[kLinks] = {};  ///< of each, with equal chances before
  Decides decides = Decides::third_reading;
};

/// Weighs what could have gone wrong, one thing at a time.
///
/// Method    where the drawing has moved since and the shot lies where its issue has the cross (95 %), that
/// is
///           it. Else normal likelihoods: a cross as made lies 1.5 mm from its place. A wrong list has the
///           place of another issue, or one digit of northing or easting wrong, or two neighbours exchanged,
///           from decimetre to millimetre, each as likely. A set-up that made crosses stood wrong from one of
///           them on, each as likely, one that shot them all the time: shifted by 12 mm and turned by 150"
///           (sd). A cross that was made off or kicked, and a wrong shot, are off by 30 mm. Our figures.
/// Errors    wrong blame under 1 % of 1,000 simulated disputes (tests/property/book).
[[nodiscard]] DisputeFound weigh(const DisputeFacts& facts);

}  // namespace deckmark
