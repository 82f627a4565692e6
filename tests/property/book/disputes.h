#pragma once
/// Disputes over one mark with one cause each, as the files of a job tell them, and what these files can
/// tell: likelihoods of their own, with equal chances before.

#include <array>
#include <string>
#include <vector>

#include "crew_world.h"

namespace deckmark_test {

/// The links of the chain from the paper to the verdict.
enum class Link { drawing, list, setup, mark, shot };
inline constexpr std::size_t kLinks = 5;
const char* link_word(Link link);

struct Dispute {
  Link cause = Link::drawing;
  std::int64_t number = 0;  ///< the floor number in dispute
  /// By Link: how likely each is by what the files hold; sums to 1.
  std::array<double, kLinks> posterior{};
  /// Of the likeliest: the least that it is, whether blunders are thought small or large.
  double best = 0;
  Link likeliest() const;
};

/// Lays a job with its past, runs its issues, writes its book and shots. `problem` tells what failed.
Dispute made_dispute(JobFolder& folder, Dice& dice, Link cause, std::string& problem);

}  // namespace deckmark_test
