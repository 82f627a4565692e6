#include "bill/part_words.h"

#include <doctest/doctest.h>

#include <set>
#include <string>

using namespace deckmark;

TEST_CASE("every word of per is read as its own place, and as no other") {
  CHECK(part_per("hanger") == PartPer::hanger);
  CHECK(part_per("end-left") == PartPer::end_left);
  CHECK(part_per("corner-outside") == PartPer::corner_outside);
  CHECK(part_per("through-crossing") == PartPer::through_crossing);
  CHECK(part_per("crossing") == PartPer::crossing);
  CHECK(part_per("piece") == PartPer::piece);
  std::set<std::string> words;
  for (std::size_t i = 0; i < kPartPers; ++i) {
    words.emplace(kPartPerWords[i]);
    CHECK(part_per(kPartPerWords[i]) == static_cast<PartPer>(i));
  }
  CHECK(words.size() == kPartPers);
  for (const char* none : {"", "end", "Joint", "corner", "metres", "support"}) CHECK_FALSE(part_per(none));
}

TEST_CASE("words that the program counts by are no names of parts, in any letter case") {
  for (const char* word :
       {"hanger", "support", "trapeze", "joint", "end", "crossing", "corner", "piece", "stock", "end-left",
        "END-RIGHT", "Wall", "corner-inside", "metre", "through-crossing"})
    CHECK_MESSAGE(is_part_word(word), word);
  for (const char* name : {"CLIP-1", "hangers", "end-plate", "joint-bar", "corner-left", ""})
    CHECK_MESSAGE(!is_part_word(name), name);
}
