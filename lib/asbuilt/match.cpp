#include "asbuilt/match.h"

#include "marks/near_pairs.h"
#include "measure/verdict.h"

namespace deckmark {

NearestResult match_nearest(std::span<const Point<Site>> shots, std::span<const Point<Site>> marks,
                            Length radius) {
  const Length reach = radius + kHair;
  const auto nearest = nearest_points(shots, marks, reach);
  std::vector<Point<Site>> found;  // the marks of those that have one
  for (const auto& mark : nearest)
    if (mark) found.push_back(marks[mark->index]);
  const auto back = nearest_points(found, shots, reach);
  NearestResult out;
  std::size_t k = 0;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const auto& mark = nearest[i];
    if (!mark) {
      out.unmatched.push_back(i);
      continue;
    }
    const auto& shot = back[k++];
    const bool mutual = shot && shot->index == i && shot->is_alone && mark->is_alone;
    (mutual ? out.pairs : out.ambiguous).push_back({i, mark->index});
  }
  return out;
}

}  // namespace deckmark
