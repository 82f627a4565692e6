#include "report/offset_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "measure/decimal.h"
#include "report/paper.h"
#include "report/pieces.h"
#include "report/text.h"

namespace deckmark {

namespace {

std::string unit_words(const OffsetForm& form) {
  if (form.unit == LengthUnit::feet_inches)
    return form.denominator == 1 ? "feet-inches" : fmt::format("feet-inches to 1/{}\"", form.denominator);
  return fmt::format("all lengths in {}", unit_word(form.unit));
}

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

/// The page's head: what sheet of what this is. Items are packed into lines.
std::vector<std::string> head_lines(const SheetHead& head, std::size_t page, std::size_t pages) {
  const std::vector<std::string> items{
      head.title.empty() ? "(no title)" : visible(head.title),
      "revision " + (head.revision.empty() ? "(none)" : visible(head.revision)),
      "points.csv " + head.points_sha256.substr(0, 8),
      head.baselines,
      unit_words(head.form),
      fmt::format("sheet {} of {}", page, pages),
      head.crew.empty() ? "date __________ crew __________" : "for crew " + head.crew,
      head.crew.empty() ? "" : "date __________"};
  std::vector<std::string> lines{""};
  for (const std::string& item : items) {
    if (item.empty()) continue;
    std::string& line = lines.back();
    const std::string text = cut(item, kWidth);
    if (line.empty())
      line = text;
    else if (shown_width(line) + 3 + shown_width(text) <= kWidth)
      line += " | " + text;
    else
      lines.push_back(text);
  }
  for (std::string& line : verdict_lines(head.standing)) lines.push_back(std::move(line));
  lines.emplace_back(kWidth, '=');
  return lines;
}

/// Column widths of one block.
struct Widths {
  std::size_t number = 3, point = 5, along = 9, x = 1, y = 1, drop = 4, write = 5, first = 0, second = 0,
              gap = 2;
};

std::string text_of(const std::optional<Length>& value, const OffsetForm& form) {
  return value ? offset_text(*value, form) : "";
}
std::string drop_of(const SheetRow& r, const OffsetForm& form) {
  return r.in_place_of_drop.empty() ? text_of(r.drop, form) : std::string(r.in_place_of_drop);
}
std::string write_of(const SheetRow& r, const SheetBlock& block) {
  return block.run.empty() ? fmt::format("{}", r.number)
                           : fmt::format("{} {}>", r.number, visible(std::string(block.run)));
}

Widths widths_of(const SheetHead& head, const SheetBlock& block) {
  Widths w;
  const auto grow = [](std::size_t& width, const std::string& text) {
    width = std::max(width, shown_width(text));
  };
  for (const SheetRow& r : block.rows) {
    grow(w.number, fmt::format("{}", r.number));
    grow(w.point, visible(std::string(r.point)));
    grow(w.along, text_of(r.along, head.form));
    grow(w.x, offset_text(r.at.at.x, head.form));
    grow(w.y, offset_text(r.at.at.y, head.form));
    grow(w.drop, drop_of(r, head.form));
    grow(w.write, write_of(r, block));
    if (!r.tie) continue;
    grow(w.first, offset_text(r.tie->first, head.form));
    grow(w.second, offset_text(r.tie->second, head.form));
  }
  // What does not fit is taken from the gaps, the name, then from what is to be written, which repeats number
  // and run.
  const auto lengths = [&] { return 4 + w.number + 4 * w.gap + w.along + w.x + w.y + w.drop; };
  const auto total = [&] { return lengths() + 1 + w.point + (w.write ? 2 + w.write : 0); };
  if (total() > kWidth) w.gap = 1;
  if (total() > kWidth) w.point = std::max<std::size_t>(5, w.point - std::min(w.point, total() - kWidth));
  if (total() > kWidth) w.write = 0;
  if (total() > kWidth)
    w.point = kWidth > lengths() + 1 ? std::max<std::size_t>(1, kWidth - lengths() - 1) : 1;
  return w;
}

/// Decimals stand under one another from the right, feet and inches from the left.
std::string cell(const std::string& text, std::size_t width, const OffsetForm& form) {
  return form.unit == LengthUnit::feet_inches ? column(text, width) : fmt::format("{:>{}}", text, width);
}

std::string four_cells(const std::array<std::string, 4>& texts, const Widths& w, const OffsetForm& form) {
  const std::string gap(w.gap, ' ');
  return gap + cell(texts[0], w.along, form) + gap + cell(texts[1], w.x, form) + gap +
         cell(texts[2], w.y, form) + gap + cell(texts[3], w.drop, form);
}

std::string without_end_blanks(std::string text) {
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

std::string main_head(const SheetHead& head, const Widths& w) {
  return without_end_blanks(fmt::format("[ ] {} {}{}{}", column("no.", w.number), column("point", w.point),
                                        four_cells({"from zero", "X", "Y", "drop"}, w, head.form),
                                        w.write ? "  write" : ""));
}

std::string main_row(const SheetHead& head, const SheetBlock& block, const SheetRow& r, const Widths& w) {
  const OffsetForm& f = head.form;
  return without_end_blanks(fmt::format(
      "[ ] {:>{}} {}{}{}", r.number, w.number, column(visible(std::string(r.point)), w.point),
      four_cells({text_of(r.along, f), offset_text(r.at.at.x, f), offset_text(r.at.at.y, f), drop_of(r, f)},
                 w, f),
      w.write ? "  " + write_of(r, block) : ""));
}

std::string from_word(const SheetHead& head, std::size_t mark) {
  return cut("from " + visible(head.from[mark].name), 20);
}

std::string tie_line(const SheetHead& head, const Widths& w, std::string_view number, std::string_view point,
                     const std::string& first, const std::string& second) {
  const std::size_t one = std::max(w.first, shown_width(from_word(head, 0))),
                    two = std::max(w.second, shown_width(from_word(head, 1)));
  return fmt::format("[ ] {:>{}} {}  {}  {}", number, w.number, column(point, w.point),
                     cell(first, one, head.form), cell(second, two, head.form));
}

std::string tie_head(const SheetHead& head, const Widths& w) {
  return tie_line(head, w, column("no.", w.number), "point", from_word(head, 0), from_word(head, 1)) +
         "  side     crossing";
}

std::string tie_row(const SheetHead& head, const SheetRow& r, const Widths& w) {
  return tie_line(head, w, fmt::format("{}", r.number), visible(std::string(r.point)),
                  offset_text(r.tie->first, head.form), offset_text(r.tie->second, head.form)) +
         fmt::format("  {:<7}  {:>3} deg{}", side_word(r.tie->side), fixed(r.tie->crossing.degrees(), 0),
                     r.tie->weak ? "  weak" : "");
}

std::string block_name(const SheetBlock& block) {
  return block.run.empty() ? "POINTS WITHOUT A RUN" : "RUN " + visible(std::string(block.run));
}

std::string block_title(const SheetBlock& block) {
  const std::string name = block_name(block);
  const std::string count = plural(block.rows.size(), "point", "points");
  std::vector<std::uint32_t> numbers;
  for (const SheetRow& r : block.rows) numbers.push_back(static_cast<std::uint32_t>(r.number));
  const std::vector<NumberRange> ranges = number_ranges(std::move(numbers));
  constexpr std::size_t kLongest = 48;  // so that a run's name has room
  std::string tail;
  for (std::size_t most = 3; most > 0 && (tail.empty() || tail.size() > kLongest); --most)
    tail = fmt::format("   {}   {}", ranges_text(ranges, most), count);
  return cut(name, kWidth - tail.size() - 12) + tail;
}

std::vector<std::string> block_foot(const SheetHead& head, const SheetBlock& block) {
  std::vector<std::string> lines;
  const auto check = [&](std::string_view what, const std::optional<SheetCheck>& c) {
    if (c)
      lines.push_back(fmt::format("[ ] {} {} to {}: {}   found {}", what, c->from, c->to,
                                  offset_text(c->span, head.form), kBlank));
  };
  check("check first to last,", block.ends);
  check("check diagonal,", block.diagonal);
  if (!block.members.empty()) lines.push_back(fmt::format("{} of the marks.", block.members));
  if (block.zero_of_others)
    lines.push_back(fmt::format("zero is the mark {}, which another crew lays out.", *block.zero_of_others));
  if (block.way == SheetBlock::Way::bent)
    lines.emplace_back("not one straight line: running distances go from mark to mark; use X and Y.");
  if (block.way == SheetBlock::Way::curved)
    lines.emplace_back("not straight: running distances go along the curve; use X and Y.");
  if (block.supports_beside)
    lines.emplace_back("supports beside the run: from zero goes to the place square to them; use X, Y.");
  return lines;
}

/// Rows of a table in a block; a page break repeats its title and head.
template <class Line>
void put_rows(Pages& pages, const SheetBlock& block, const std::string& title, const std::string& head,
              Line line) {
  const auto heading = [&](bool again) {
    pages.line(again ? title + " (continued)" : title);
    pages.line(head);
  };
  if (!pages.fits(2 + std::min<std::size_t>(block.rows.size(), 3))) pages.next();
  heading(false);
  for (const SheetRow& r : block.rows) {
    if (!pages.fits(1)) {
      pages.next();
      heading(true);
    }
    pages.line(line(r));
  }
}

void put_block(Pages& pages, const SheetHead& head, const SheetBlock& block) {
  const Widths w = widths_of(head, block);
  const std::string title = block_title(block);
  const std::vector<std::string> foot = block_foot(head, block);
  const bool ties = block.rows.front().tie.has_value();
  // A block that a page can hold is not parted.
  const std::size_t whole = 2 + block.rows.size() + (ties ? 3 + block.rows.size() : 0) + foot.size();
  if (!pages.fits(whole) && pages.fits_empty(whole)) pages.next();
  put_rows(pages, block, title, main_head(head, w),
           [&](const SheetRow& r) { return main_row(head, block, r, w); });
  if (ties) pages.blank();
  if (ties)
    put_rows(pages, block,
             fmt::format("{}: swing ties, looking from {} to {}", cut(block_name(block), 30),
                         cut(visible(head.from[0].name), 12), cut(visible(head.from[1].name), 12)),
             tie_head(head, w), [&](const SheetRow& r) { return tie_row(head, r, w); });
  if (!pages.fits(foot.size())) pages.next();
  for (const std::string& l : foot) pages.line(l);
  pages.blank();
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

void put_text(Pages& pages, const std::string& text) {
  for (std::string& line : wrapped(text, kWidth, 99)) pages.line(std::move(line));
}

void put_intro(Pages& pages, const SheetHead& head, std::span<const SheetBlock> blocks) {
  const auto any = [&](auto is) {
    return std::any_of(blocks.begin(), blocks.end(),
                       [&](const SheetBlock& b) { return std::any_of(b.rows.begin(), b.rows.end(), is); });
  };
  pages.line("OFFSET SHEET for laser and tape");
  put_text(pages, axes_words(head));
  for (const SheetFrom& f : head.from) pages.line(place_words(f, head.form));  // no length is broken in two
  put_text(
      pages,
      "X is measured from the Y baseline along X, Y from the X baseline along Y; a minus lies on the other "
      "side. Both are 0 where the baselines cross.");
  if (head.is_scaled)
    put_text(
        pages,
        "The scale is freed: a tape on site does not show X, Y and distances along the run. Use the swing "
        "ties.");
  const std::string zero = offset_text(Length::metres(0), head.form);
  put_text(
      pages,
      fmt::format("From zero: hook the tape on the mark at {} and read every mark of the run from there; a "
                  "minus lies the other way. Do not add steps: their roundings would add up.",
                  zero));
  pages.line("Write at the mark what stands under `write`; > points along the run.");
  if (head.deck_offset) pages.line(fmt::format("On the deck write the number plus {}.", *head.deck_offset));
  if (any([](const SheetRow& r) { return r.in_place_of_drop.starts_with("trapeze"); }))
    pages.line("trapeze -a -b: nothing goes up from here; its supports -a and -b carry it.");
  if (any([](const SheetRow& r) { return r.in_place_of_drop.starts_with("no"); }))
    pages.line("no support: nothing goes up from here, and nothing carries it: ask the engineer.");
  pages.line(fmt::format("Rounding on this sheet: {}.", rounding_words(head)));
  if (!head.from.empty())
    put_text(
        pages,
        fmt::format("Swing ties: left or right of the line from {0} to {1}, looking from {0} to {1}. Weak "
                    "ones cross at under 30 degrees: use X and Y there.",
                    cut(visible(head.from[0].name), 20), cut(visible(head.from[1].name), 20)));
  pages.blank();
}

}  // namespace

std::string offset_sheet_text(const SheetHead& head, std::span<const SheetBlock> blocks) {
  Pages pages(head_lines(head, 999999, 999999).size());  // lines of the head with the longest page numbers
  put_intro(pages, head, blocks);
  for (const SheetBlock& b : blocks) put_block(pages, head, b);
  std::vector<std::string> cautions;
  std::string text = cautions_text();
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    cautions.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  if (!pages.fits(cautions.size())) pages.next();
  for (std::string& l : cautions) pages.line(std::move(l));

  return pages.sheets([&](std::size_t page, std::size_t count) { return head_lines(head, page, count); });
}

}  // namespace deckmark
