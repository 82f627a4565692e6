// Where a label finds room on a figure.

#include <fmt/format.h>

#include <algorithm>

#include "measure/utf8.h"
#include "report/page_parts.h"

namespace deckmark {

bool LabelPlaces::is_free(const Box& b, bool lines_too) const {
  if (b.left < frame_.left || b.right > frame_.right || b.top < frame_.top || b.bottom > frame_.bottom)
    return false;
  const auto meets = [&](const Box& t) {
    return b.left < t.right && t.left < b.right && b.top < t.bottom && t.top < b.bottom;
  };
  return std::ranges::none_of(taken_, meets) && (!lines_too || std::ranges::none_of(spared_, meets));
}

namespace {

double width_of(std::string_view text, std::string_view style, double size) {
  const double letter = style.find("strong") != std::string_view::npos || style == "runname" ? 0.7 : 0.62;
  double width = 0;
  for (const char c : text)
    width += continues_character(c) ? 0 : static_cast<unsigned char>(c) >= 0xE0 ? 1 : letter;
  return width * size;
}

}  // namespace

bool LabelPlaces::put(Markup& m, double x, double y, std::string_view text, std::string_view style,
                      double size, double away) {
  constexpr double kFurther = 7;  // beyond the members of a pair
  const double width = width_of(text, style, size), half = 0.5 * size;
  const Place spots[] = {{x - width / 2, y - away - size + 1},
                         {x - width / 2, y + away - 1},
                         {x + away, y - half},
                         {x - away - width, y - half},
                         {x + 5, y - size - 4},
                         {x - width - 5, y - size - 4},
                         {x + 5, y + 4},
                         {x - width - 5, y + 4},
                         {x + away + kFurther, y - half},
                         {x - away - kFurther - width, y - half},
                         {x - width / 2, y - away - kFurther - size + 1},
                         {x - width / 2, y + away + kFurther - 1}};
  std::vector<Box> boxes;
  for (const Place& s : spots) boxes.push_back({s.x, s.y, s.x + width, s.y + size});
  return put_at(m, boxes, text, style, size);
}

bool LabelPlaces::put_over(Markup& m, std::initializer_list<Place> at, std::string_view text,
                           std::string_view style, double size) {
  const double half = width_of(text, style, size) / 2;
  std::vector<Box> boxes;
  for (const Place& p : at) boxes.push_back({p.x - half, p.y - size / 2, p.x + half, p.y + size / 2});
  return put_at(m, boxes, text, style, size);
}

bool LabelPlaces::put_at(Markup& m, const std::vector<Box>& boxes, std::string_view text,
                         std::string_view style, double size) {
  for (const bool lines_too : {true, false}) {
    if (!lines_too && spared_.empty()) break;
    for (const Box& box : boxes) {
      if (!is_free(box, lines_too)) continue;
      take(box);
      m.element(
          "text", text,
          fmt::format("class=\"{}\" x=\"{}\" y=\"{}\"", style, px(box.left), px(box.bottom - 0.2 * size)));
      return true;
    }
  }
  return false;
}

}  // namespace deckmark
