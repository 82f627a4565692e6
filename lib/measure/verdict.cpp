#include "measure/verdict.h"

namespace deckmark {

std::string_view verdict_word(Verdict v) {
  switch (v) {
    case Verdict::within:
      return "within";
    case Verdict::outside:
      return "outside";
    case Verdict::unsure:
      return "unsure";
    case Verdict::own:
      return "own";
  }
  return "unsure";
}

Verdict judge(Length deviation, Length limit) {
  // Written so that a deviation that is no number is outside, never within.
  return abs(deviation) <= limit + kHair ? Verdict::within : Verdict::outside;
}

Verdict judge_guarded(Length deviation, Length limit, Length sd) {
  const Length size = abs(deviation);
  const Length guard = 2.0 * sd;
  if (limit >= guard && size <= limit - guard + kHair) return Verdict::within;
  if (size > limit + guard + kHair) return Verdict::outside;
  return Verdict::unsure;
}

Verdict worse(Verdict a, Verdict b) {
  if (a == Verdict::outside || b == Verdict::outside) return Verdict::outside;
  if (a == Verdict::unsure || b == Verdict::unsure) return Verdict::unsure;
  if (a == Verdict::own || b == Verdict::own) return Verdict::own;
  return Verdict::within;
}

}  // namespace deckmark
