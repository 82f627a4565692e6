#pragma once
/// Private to the room: writes markup whose tags always close and whose text is always escaped.

#include <string>
#include <string_view>
#include <vector>

#include "measure/verdict.h"

namespace deckmark {

/// Text as it may stand in an element or a quoted attribute. Control characters become U+XXXX.
std::string escaped(std::string_view text);
/// Text as it may stand in a quoted string of a style sheet inside a page: everything but plain letters,
/// digits and blanks by its code.
std::string style_string(std::string_view text);

/// Appends to one text. `attributes` are ours, ready for the page; text of users goes through `text` or
/// `escaped`.
class Markup {
 public:
  Markup& open(std::string_view tag, std::string_view attributes = "");
  Markup& close();
  Markup& text(std::string_view user_text);
  /// A whole element.
  Markup& element(std::string_view tag, std::string_view user_text, std::string_view attributes = "");
  /// An element without content.
  Markup& empty(std::string_view tag, std::string_view attributes = "");
  /// Text of a user in a line of ours: its direction of writing stays its own.
  Markup& name(std::string_view user_text);
  /// Our own markup.
  Markup& raw(std::string_view markup);
  Markup& line() { return raw("\n"); }
  /// Closes what is open and gives the text away.
  std::string finish();

 private:
  std::string out_;
  std::vector<std::string> open_;
};

/// A symbol of the plan at a place in user units: shape first, so that it reads without colour.
enum class Shape : unsigned char { within, outside, unsure, dot, cross, tie, control };
void draw(Markup& m, Shape shape, double x, double y, double size = 1);
Shape shape_of(Verdict verdict);
/// The symbol alone, to stand in a line of text.
void inline_symbol(Markup& m, Shape shape);
/// Symbol and word.
void verdict_cell(Markup& m, Verdict verdict, std::string_view words);

/// A coordinate of a drawing: one decimal.
std::string px(double value);

}  // namespace deckmark
