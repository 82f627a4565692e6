#include "report/offset_intro.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "measure/decimal.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

/// `1/32"`, `0.5 mm`: half of what the sheet can show.
std::string half_step(const OffsetForm& form) {
  if (form.unit == LengthUnit::feet_inches) return fmt::format("1/{}\"", 2 * form.denominator);
  if (form.unit == LengthUnit::inch) return "0.005 in";
  if (form.unit == LengthUnit::foot || form.unit == LengthUnit::survey_foot) return "0.0005 ft";
  return "0.5 mm";
}

std::string rounding_words(const SheetHead& head) {
  const bool metric = head.form.unit == LengthUnit::metre || head.form.unit == LengthUnit::centimetre ||
                      head.form.unit == LengthUnit::millimetre;
  const std::string largest = metric ? fixed(head.largest_rounding.millimetres(), 2) + " mm"
                                     : fixed(in_unit(head.largest_rounding, LengthUnit::inch), 5) + "\"";
  return fmt::format("none over {} (largest {})", half_step(head.form), largest);
}

/// `B1 lies at X 2'-0", Y 2'-0".`
std::string place_words(const SheetFrom& mark, const OffsetForm& form) {
  return fmt::format("{} lies at X {}, Y {}.", cut(visible(mark.name), 30), offset_text(mark.at.at.x, form),
                     offset_text(mark.at.at.y, form));
}

/// Where X and Y are measured from, and on which hand they lie.
std::string axes_words(const SheetHead& head) {
  const SheetStand& s = head.stand;
  const std::string seen = fmt::format("{} is on your {}.", s.side, s.is_left ? "left" : "right");
  if (head.from.empty())
    return fmt::format("Stand where the baselines cross and look along {}: {}", s.look, seen);
  const std::string from = cut(visible(head.from[0].name), 30), to = cut(visible(head.from[1].name), 30);
  if (s.on_marks) return fmt::format("Stand on {}, face {}: {} You look along {}.", from, to, seen, s.look);
  return fmt::format(
      "Look along {}: {} The line from {} to {} is no baseline: do not measure X or Y from it.", s.look, seen,
      from, to);
}

/// `B1, B2 and B3 stand already: do not mark them again.`
std::string already_words(const std::vector<std::string>& marks) {
  constexpr std::size_t kMost = 8;
  const std::size_t named = marks.size() > kMost ? kMost : marks.size() - 1;
  std::string out;
  for (std::size_t i = 0; i < named; ++i) out += (i ? ", " : "") + cut(visible(marks[i]), 20);
  return fmt::format(
      "{} and {} stand already: do not mark them again.", out,
      marks.size() > kMost ? fmt::format("{} more", marks.size() - kMost) : cut(visible(marks.back()), 20));
}

/// How the strings run, and on which side of each a mark lies.
void put_strings(Pages& pages, const SheetHead& head) {
  const SheetStrings& s = *head.strings;
  const auto name = [](const std::string& mark) { return cut(visible(mark), 20); };
  const std::string first = name(s.first), second = name(s.second), third = name(s.third),
                    x_string = string_name(s.first, s.third), y_string = string_name(s.first, s.second);
  pages.text(
      fmt::format("Stretch a string from {0} to {1} and one from {0} to {2}. Stand on {0}, face "
                  "{1}: {2} is on your {3}.",
                  first, second, third, side_word(s.third_is)));
  if (head.already.size() > 1) pages.text(already_words(head.already));
  const auto taped = [&](const std::string& a, const std::string& b, Length span) {
    return fmt::format("{} to {} {}", a, b, offset_text(span, head.form));
  };
  const std::string spans[] = {taped(first, second, s.to_second), taped(first, third, s.to_third),
                               taped(second, third, s.across)};
  const auto put_spans = [&](SpanFrom from, std::string_view words) {
    std::vector<std::string> some;
    for (std::size_t i = 0; i < s.spans.size(); ++i)
      if (s.spans[i] == from) some.push_back(spans[i]);
    if (!some.empty()) pages.text(fmt::format("{}: {}.", words, fmt::join(some, ", ")));
  };
  put_spans(SpanFrom::found, "As found");
  put_spans(SpanFrom::other_lengths, "By the other lengths");
  if (!head.corners.empty()) pages.text(head.corners);
  pages.text(
      fmt::format("Measure square from string {} toward {}, and square from string {} toward {}. "
                  "`away` is the other side of that string. Hold each tape square to its own "
                  "string.",
                  x_string, second, y_string, third));
}

void put_axes(Pages& pages, const SheetHead& head) {
  pages.text(axes_words(head));
  for (const SheetFrom& f : head.from) pages.line(place_words(f, head.form));  // no length is broken in two
  pages.text(
      "X is measured from the Y baseline along X, Y from the X baseline along Y; a minus lies on the other "
      "side. Both are 0 where the baselines cross.");
  if (!head.corners.empty()) pages.text(head.corners);
  if (head.is_scaled)
    pages.text(
        "The scale is freed: a tape on site does not show X, Y and distances along the run. Use the swing "
        "ties.");
}

}  // namespace

std::string write_of(const SheetRow& r, const SheetBlock& block) {
  return block.run.empty() ? fmt::format("{}", r.number)
                           : fmt::format("{} {}>", r.number, visible(std::string(block.run)));
}

std::string string_name(const std::string& a, const std::string& b) {
  return fmt::format("{}-{}", cut(visible(a), 8), cut(visible(b), 8));
}

void put_intro(Pages& pages, const SheetHead& head, std::span<const SheetBlock> blocks) {
  const auto any = [&](auto is) {
    return std::any_of(blocks.begin(), blocks.end(),
                       [&](const SheetBlock& b) { return std::any_of(b.rows.begin(), b.rows.end(), is); });
  };
  pages.line("OFFSET SHEET for laser and tape");
  if (head.strings)
    put_strings(pages, head);
  else
    put_axes(pages, head);
  const std::string zero = offset_text(Length::metres(0), head.form);
  pages.text(
      fmt::format("From zero: hook the tape on the mark at {} and read every mark of the run from there; a "
                  "minus lies the other way. Do not add steps: their roundings would add up.",
                  zero));
  const auto named = std::ranges::find_if(blocks, [](const SheetBlock& b) { return !b.run.empty(); });
  pages.text(named == blocks.end()
                 ? "Write at the mark its number."
                 : fmt::format("Write at the mark its number and run, as {}; > points along the run.",
                               cut(write_of(named->rows.front(), *named), 40)));
  if (head.deck_offset) pages.line(fmt::format("On the deck write the number plus {}.", *head.deck_offset));
  if (head.has_datum) pages.line("above = bracket above the datum line; a minus is under it.");
  if (any([](const SheetRow& r) { return r.in_place_of_drop.starts_with("trapeze"); }))
    pages.line("trapeze -a -b: nothing goes up from here; its supports -a and -b carry it.");
  if (any([](const SheetRow& r) { return r.in_place_of_drop.starts_with("no"); }))
    pages.text("no support: nothing goes up from here, and nothing carries it: ask the engineer.");
  pages.line(fmt::format("Rounding on this sheet: {}.", rounding_words(head)));
  if (!head.from.empty())
    pages.text(
        fmt::format("Swing ties: left or right of the line from {0} to {1}, looking from {0} to {1}. Weak "
                    "ones cross at under 30 degrees: use {2} there.",
                    cut(visible(head.from[0].name), 20), cut(visible(head.from[1].name), 20),
                    head.strings ? "the strings" : "X and Y"));
  pages.blank();
}

}  // namespace deckmark
