// A thousand disputes with one cause each: what `history` names as the likely link against the cause. Where
// the likelihoods of the test's own say 0.95 or more, be a blunder thought small or large, the data can tell.
// Seed 1.
#include "disputes.h"

#include <doctest/doctest.h>

#include "support/noise.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr double kTells = 0.95;

/// The link that is named; empty where none is.
std::string named_link(const std::string& out) {
  for (std::size_t i = 0; i < kLinks; ++i)
    if (const char* word = link_word(static_cast<Link>(i)); says(out, "likely the " + std::string(word)))
      return word;
  return "";
}

}  // namespace

TEST_CASE("the likely link of a thousand disputes") {
  Dice dice(1);
  std::size_t tells = 0, right = 0, wrong = 0, named = 0, own_right = 0, own_wrong = 0;
  std::size_t made[kLinks] = {}, told[kLinks] = {}, hit[kLinks] = {};
  const std::size_t count = repeats(1000);
  for (std::size_t i = 0; i < count; ++i) {
    JobFolder folder;
    std::string problem;
    const Link cause = static_cast<Link>(i % kLinks);
    const Dispute d = made_dispute(folder, dice, cause, problem);
    REQUIRE(problem == "");
    const std::size_t c = static_cast<std::size_t>(cause);
    ++made[c];
    const bool can = d.best >= kTells;
    if (can) (d.likeliest() == cause ? own_right : own_wrong)++;
    const CommandResult told_by = folder.run({"history", ".", std::to_string(d.number)});
    REQUIRE(told_by.exit_code == 0);
    const std::string link = named_link(told_by.out);
    named += !link.empty();
    wrong += !link.empty() && link != link_word(cause);
    if (!can) continue;
    ++tells, ++told[c];
    right += link == link_word(cause);
    hit[c] += link == link_word(cause);
  }
  std::string by;
  for (std::size_t i = 0; i < kLinks; ++i)
    by += text("\n  %s: made %zu, the data tell %zu, named %zu", link_word(static_cast<Link>(i)), made[i],
               told[i], hit[i]);
  MESSAGE(count << " disputes, the data can tell " << tells << " (right " << own_right << ", wrong "
                << own_wrong << "), named " << named << ", right there " << right << ", wrong blame " << wrong
                << by);
  CHECK(own_wrong * 100 <= count);
  if (kSanitized) return;
  CHECK(right * 100 >= tells * 95);
  CHECK(wrong * 100 <= count);
}
