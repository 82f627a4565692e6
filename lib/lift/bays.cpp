#include "lift/bays.h"

namespace deckmark {

BayOf bay_of(const Point<Drawing>& p, std::span<const Outline> bays) {
  BayOf out;
  for (std::size_t b = 0; b < bays.size(); ++b) {
    if (bays[b].side_of(p) == Outline::Side::outside) continue;
    if (out.bay) {
      out.another = b;
      return out;
    }
    out.bay = b;
  }
  return out;
}

std::vector<BayJoint> neighbours(std::span<const Outline> bays) {
  std::vector<BayJoint> out;
  for (std::size_t a = 0; a < bays.size(); ++a)
    for (std::size_t b = a + 1; b < bays.size(); ++b)
      if (const SharedEdge edge = shared_edge(bays[a], bays[b], kBayGap); edge.length > kBayGap)
        out.push_back({a, b, edge});
  return out;
}

}  // namespace deckmark
