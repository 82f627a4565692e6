#include "report/offset_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "measure/decimal.h"
#include "report/offset_intro.h"
#include "report/paper.h"
#include "report/pieces.h"
#include "report/release_text.h"
#include "report/text.h"

namespace deckmark {

namespace {

// What a stock printer takes on A4 and letter.
constexpr Paper kPaper{.lines = 58, .width = 76};
constexpr std::size_t kWide = kPaper.width;

std::string unit_words(const OffsetForm& form) {
  if (form.unit == LengthUnit::feet_inches)
    return form.denominator == 1 ? "feet-inches" : fmt::format("feet-inches to 1/{}\"", form.denominator);
  return fmt::format("all lengths in {}", unit_word(form.unit));
}

/// The page's head: what sheet of what this is. Items are packed into lines. Page 0: of a screen, which shows
/// the verdict above it.
std::vector<std::string> head_lines(const SheetHead& head, std::size_t page, std::size_t pages) {
  const std::vector<std::string> items{
      head.title.empty() ? "(no title)" : visible(head.title),
      "revision " + (head.revision.empty() ? "(none)" : visible(head.revision)),
      "points.csv " + sheet_digest(head.sha256.points),
      "offsets.csv " + sheet_digest(head.sha256.offsets),
      head.baselines,
      unit_words(head.form),
      page == 0 ? "" : fmt::format("sheet {} of {}", page, pages),
      page == 0 ? "" : tick_words(head.issue, page, head.deck_offset.has_value()),
      !head.crew.empty() ? "for crew " + head.crew
      : page == 0        ? ""
                         : "date __________ crew __________",
      head.crew.empty() || page == 0 ? "" : "date __________"};
  std::vector<std::string> lines{""};
  for (const std::string& item : items) {
    if (item.empty()) continue;
    std::string& line = lines.back();
    const std::string text = cut(item, kWide);
    if (line.empty())
      line = text;
    else if (shown_width(line) + 3 + shown_width(text) <= kWide)
      line += " | " + text;
    else
      lines.push_back(text);
  }
  if (page > 0)
    for (std::string& line : verdict_lines(head.standing, kWide - 2)) lines.push_back(std::move(line));
  if (page > 0)
    for (std::string& line : release_head(head.release, kWide)) lines.push_back(std::move(line));
  lines.emplace_back(kWide, '=');
  return lines;
}

/// A column of lengths of the main table; more are added to `columns_of`.
struct SheetColumn {
  std::string head;
  std::string (*text)(const SheetHead&, const SheetRow&);
};

/// Column widths of one block.
struct Widths {
  std::size_t number = 3, point = 5, write = 5, first = 0, second = 0, gap = 2;
  std::vector<std::size_t> cells;  // of the columns
};

std::string text_of(const std::optional<Length>& value, const OffsetForm& form) {
  return value ? offset_text(*value, form) : "";
}
std::string drop_of(const SheetRow& r, const OffsetForm& form) {
  return r.in_place_of_drop.empty() ? text_of(r.drop, form) : std::string(r.in_place_of_drop);
}
/// A distance from a string: on the side of the mark that its head names, or away from that.
std::string from_string(Length growing, bool mark_is_there, const OffsetForm& form) {
  const Length there = mark_is_there ? growing : -growing;
  const bool away = as_written(there, form) < Length::metres(0);
  return offset_text(abs(there), form) + (away ? " away" : "");
}

std::vector<SheetColumn> columns_of(const SheetHead& head) {
  std::vector<SheetColumn> out{
      {"from zero", [](const SheetHead& h, const SheetRow& r) { return text_of(r.along, h.form); }}};
  if (head.strings) {
    const SheetStrings& s = *head.strings;
    out.push_back({"from " + string_name(s.first, s.third), [](const SheetHead& h, const SheetRow& r) {
                     return r.strings ? from_string(r.strings->from_x_string, h.strings->second_to_x, h.form)
                                      : "";
                   }});
    out.push_back({"from " + string_name(s.first, s.second), [](const SheetHead& h, const SheetRow& r) {
                     return r.strings ? from_string(r.strings->from_y_string, h.strings->third_to_y, h.form)
                                      : "";
                   }});
  } else {
    out.push_back(
        {"X", [](const SheetHead& h, const SheetRow& r) { return offset_text(r.at.at.x, h.form); }});
    out.push_back(
        {"Y", [](const SheetHead& h, const SheetRow& r) { return offset_text(r.at.at.y, h.form); }});
  }
  out.push_back({"drop", [](const SheetHead& h, const SheetRow& r) { return drop_of(r, h.form); }});
  if (head.has_datum)
    out.push_back({"above", [](const SheetHead& h, const SheetRow& r) { return text_of(r.above, h.form); }});
  return out;
}

Widths widths_of(const SheetHead& head, const SheetBlock& block) {
  Widths w;
  const auto grow = [](std::size_t& width, const std::string& text) {
    width = std::max(width, shown_width(text));
  };
  const std::vector<SheetColumn> columns = columns_of(head);
  for (const SheetColumn& c : columns) w.cells.push_back(shown_width(c.head));
  for (const SheetRow& r : block.rows) {
    grow(w.number, fmt::format("{}", r.number));
    grow(w.point, visible(std::string(r.point)));
    for (std::size_t c = 0; c < columns.size(); ++c) grow(w.cells[c], columns[c].text(head, r));
    grow(w.write, write_of(r, block));
    if (!r.tie) continue;
    grow(w.first, offset_text(r.tie->first, head.form));
    grow(w.second, offset_text(r.tie->second, head.form));
  }
  // What does not fit is taken from what is to be written, which repeats number and run, then from the gaps,
  // then from the name.
  const auto total = [&] {
    std::size_t sum = 4 + w.number + 1 + w.point + (w.write ? 2 + w.write : 0);
    for (const std::size_t cell : w.cells) sum += w.gap + cell;
    return sum;
  };
  if (total() > kWide) w.write = 0;
  if (total() > kWide) w.gap = 1;
  if (total() > kWide) w.point = std::max<std::size_t>(1, w.point - std::min(w.point, total() - kWide));
  return w;
}

/// Decimals stand under one another from the right, feet and inches from the left.
std::string cell(const std::string& text, std::size_t width, const OffsetForm& form) {
  return form.unit == LengthUnit::feet_inches ? column(text, width) : fmt::format("{:>{}}", text, width);
}

template <class Text>
std::string cells(const SheetHead& head, const Widths& w, Text text) {
  const std::vector<SheetColumn> columns = columns_of(head);
  std::string out;
  for (std::size_t c = 0; c < columns.size(); ++c)
    out += std::string(w.gap, ' ') + cell(text(columns[c]), w.cells[c], head.form);
  return out;
}

std::string without_end_blanks(std::string text) {
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

std::string main_head(const SheetHead& head, const Widths& w) {
  return without_end_blanks(fmt::format("[ ] {} {}{}{}", column("no.", w.number), column("point", w.point),
                                        cells(head, w, [](const SheetColumn& c) { return c.head; }),
                                        w.write ? "  write" : ""));
}

std::string main_row(const SheetHead& head, const SheetBlock& block, const SheetRow& r, const Widths& w) {
  return without_end_blanks(fmt::format("[ ] {:>{}} {}{}{}", r.number, w.number,
                                        column(visible(std::string(r.point)), w.point),
                                        cells(head, w, [&](const SheetColumn& c) { return c.text(head, r); }),
                                        w.write ? "  " + write_of(r, block) : ""));
}

std::string from_word(const SheetHead& head, std::size_t mark) {
  return cut("from " + visible(head.from[mark].name), 20);
}

std::string tie_line(const SheetHead& head, const Widths& w, std::string_view number, std::string_view point,
                     const std::string& first, const std::string& second) {
  const std::size_t one = std::max(w.first, shown_width(from_word(head, 0))),
                    two = std::max(w.second, shown_width(from_word(head, 1)));
  constexpr std::size_t kBehind = 24;  // side and crossing
  const std::size_t rest = 9 + w.number + one + two + kBehind;
  const std::size_t name = rest < kWide ? std::min(w.point, kWide - rest) : 1;
  return fmt::format("[ ] {:>{}} {}  {}  {}", number, w.number, column(point, name),
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
  return cut(name, kWide - tail.size() - 12) + tail;
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
  const std::string use = head.strings ? "the strings" : "X and Y";
  if (!block.members.empty()) lines.push_back(fmt::format("{} of the marks.", block.members));
  if (block.zero)
    lines.push_back(fmt::format("zero is the mark {}, which {}.", block.zero->number,
                                block.zero->stands ? "stands already" : "another crew lays out"));
  if (block.way == SheetBlock::Way::bent)
    lines.push_back("not one straight line: running distances go from mark to mark; use " + use + ".");
  if (block.way == SheetBlock::Way::curved)
    lines.push_back("not straight: running distances go along the curve; use " + use + ".");
  if (block.supports_beside)
    lines.push_back("supports beside the run: from zero goes to the place square to them; use " +
                    (head.strings ? use : std::string("X, Y")) + ".");
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
  std::vector<std::string> foot;
  for (const std::string& text : block_foot(head, block))
    for (std::string& line : wrapped(text, kWide, 99)) foot.push_back(std::move(line));
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

/// Rods by run, side by side: who hands them up ticks them off.
void put_rods(Pages& pages, const SheetHead& head, std::span<const SheetBlock> blocks) {
  std::size_t number = 0, point = 0, cut_width = 0, count = 0;
  for (const SheetBlock& b : blocks)
    for (const SheetRod& r : b.rods) {
      number = std::max(number, shown_width(fmt::format("{}", r.number)));
      point = std::max(point, shown_width(visible(std::string(r.point))));
      cut_width = std::max(cut_width, shown_width(offset_text(r.cut, head.form)));
      ++count;
    }
  if (count == 0) return;
  constexpr std::size_t kGap = 3;
  point = std::min(point, kWide - (4 + number + 1 + 2 + cut_width));
  const std::size_t wide = 4 + number + 1 + point + 2 + cut_width, beside = (kWide + kGap) / (wide + kGap);
  std::string title = fmt::format("RODS   {}   hangers.csv {}", plural(count, "rod", "rods"),
                                  sheet_digest(head.sha256.hangers));
  const auto begin = [&](const std::string& of_run, std::size_t lines) {
    if (!pages.fits(lines)) pages.next();
    if (pages.at_top() || !title.empty()) pages.line(title.empty() ? "RODS (continued)" : title);
    if (!title.empty())
      pages.text("Each rod's cut, cut_top and cut_bottom in it, by the number of its mark.");
    title.clear();
    pages.line(of_run);
  };
  for (const SheetBlock& b : blocks) {
    if (b.rods.empty()) continue;
    const std::string name = cut(block_name(b), kWide - 12);
    begin(name, title.empty() ? 2 : 4);
    for (std::size_t i = 0; i < b.rods.size(); i += beside) {
      if (!pages.fits(1)) begin(name + " (continued)", 3);
      std::string line;
      for (std::size_t k = i; k < std::min(i + beside, b.rods.size()); ++k) {
        const SheetRod& r = b.rods[k];
        line += fmt::format("{}[ ] {:>{}} {}  {}", k == i ? "" : std::string(kGap, ' '), r.number, number,
                            column(visible(std::string(r.point)), point),
                            cell(offset_text(r.cut, head.form), cut_width, head.form));
      }
      pages.line(without_end_blanks(std::move(line)));
    }
  }
  pages.blank();
}

/// The cautions in the width of the sheet.
std::vector<std::string> cautions() {
  std::string text = cautions_text();
  const std::size_t end = text.find('\n');
  std::string words;
  for (const char c : text.substr(end)) {
    const bool blank = c == '\n' || c == ' ';
    if (!blank || (!words.empty() && words.back() != ' ')) words += blank ? ' ' : c;
  }
  std::vector<std::string> lines{text.substr(0, end)};
  for (std::string& line : wrapped(words, kWide - 2, 99)) lines.push_back("  " + without_end_blanks(line));
  return lines;
}

Pages filled(std::size_t head_rows, const Paper& paper, const SheetHead& head,
             std::span<const SheetBlock> blocks) {
  Pages pages(head_rows, paper);
  put_intro(pages, head, blocks);
  for (const SheetBlock& b : blocks) put_block(pages, head, b);
  put_rods(pages, head, blocks);
  std::vector<std::string> last = cautions();
  if (!pages.fits(last.size())) pages.next();
  for (std::string& l : last) pages.line(std::move(l));
  return pages;
}

}  // namespace

std::string sheet_digest(std::string_view sha256) { return std::string(sha256.substr(0, 8)); }

std::string tape_words(Length value, const OffsetForm& form) {
  return offset_text(value, form) +
         (form.unit == LengthUnit::feet_inches ? "" : " " + std::string(unit_word(form.unit)));
}

std::string offset_sheet_text(const SheetHead& head, std::span<const SheetBlock> blocks) {
  // Lines of the head with the longest page numbers.
  Pages pages = filled(head_lines(head, 999999, 999999).size(), kPaper, head, blocks);
  return pages.sheets([&](std::size_t page, std::size_t count) { return head_lines(head, page, count); });
}

std::string offset_screen_text(const SheetHead& head, std::span<const SheetBlock> blocks) {
  constexpr Paper kEndless{.lines = 1000000000, .width = kWide};
  std::string out;
  for (const std::string& line : head_lines(head, 0, 0)) out += line + "\n";
  return out + filled(0, kEndless, head, blocks).scroll();
}

}  // namespace deckmark
