#include "strings_truth.h"

#include <cmath>

namespace deckmark_test {

double from_string(const Place& at, const Place& first, const Place& second, const Place& towards) {
  const double along_x = second.x - first.x, along_y = second.y - first.y,
               length = std::hypot(along_x, along_y);
  // The normal to the left of the way from first to second.
  const double normal_x = -along_y / length, normal_y = along_x / length;
  const double off = (at.x - first.x) * normal_x + (at.y - first.y) * normal_y;
  return normal_x * towards.x + normal_y * towards.y > 0 ? off : -off;
}

FreeMarks free_marks(const std::vector<Place>& drawn, const std::vector<TapedLength>& lengths) {
  const std::size_t n = drawn.size();
  FreeMarks out;
  out.places = drawn;
  Place middle;
  for (const Place& p : drawn)
    middle.x += p.x / static_cast<double>(n), middle.y += p.y / static_cast<double>(n);
  for (int step = 0; step < 20; ++step) {
    std::vector<Equation> equations;
    for (const TapedLength& l : lengths) {
      const Place &a = out.places[l.from], &b = out.places[l.to];
      const double length = std::hypot(b.x - a.x, b.y - a.y), ux = (b.x - a.x) / length,
                   uy = (b.y - a.y) / length;
      equations.push_back({{{2 * l.from, -ux}, {2 * l.from + 1, -uy}, {2 * l.to, ux}, {2 * l.to + 1, uy}},
                           static_cast<Real>(l.metres) - length,
                           l.sd});
    }
    // All in all neither shifted nor turned from where they are drawn. Three conditions that lengths cannot
    // gainsay: what weight they have does not matter.
    Equation shift_x{{}, 0, 0.001}, shift_y{{}, 0, 0.001}, turn{{}, 0, 0.01};
    for (std::size_t i = 0; i < n; ++i) {
      const double x = drawn[i].x - middle.x, y = drawn[i].y - middle.y;
      shift_x.terms.push_back({2 * i, 1}), shift_x.value -= out.places[i].x - drawn[i].x;
      shift_y.terms.push_back({2 * i + 1, 1}), shift_y.value -= out.places[i].y - drawn[i].y;
      turn.terms.insert(turn.terms.end(), {{2 * i, -y}, {2 * i + 1, x}});
      turn.value -= x * (out.places[i].y - drawn[i].y) - y * (out.places[i].x - drawn[i].x);
    }
    equations.insert(equations.end(), {shift_x, shift_y, turn});
    const Solution found = solve(2 * n, equations);
    if (!found.solved) return out;
    for (std::size_t i = 0; i < n; ++i) {
      out.places[i].x += static_cast<double>(found.unknowns[2 * i]);
      out.places[i].y += static_cast<double>(found.unknowns[2 * i + 1]);
    }
  }
  out.solved = true;
  out.redundancy = lengths.size() + 3 - 2 * n;
  return out;
}

}  // namespace deckmark_test
