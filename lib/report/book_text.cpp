#include "report/book_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "book/state.h"
#include "measure/utf8.h"

namespace deckmark {

namespace {

class BookText {
 public:
  explicit BookText(const BookWords& words) : words_(words) {}

  void add(const Said& s);
  std::string text() && { return std::move(out_); }

 private:
  /// A length with its unit, as it can be set off on the floor.
  std::string length(Length l) const {
    const LengthUnit unit = words_.form.unit;
    if (unit == LengthUnit::feet_inches || unit == LengthUnit::inch) {
      const std::string inches =
          feet_inches_text(Length::metres(std::fabs(l.metres())), words_.form.denominator);
      if (inches.starts_with("0'-0 ")) return inches.substr(5);
      return inches.starts_with("0'-") ? inches.substr(3) : inches;
    }
    if (unit == LengthUnit::foot || unit == LengthUnit::survey_foot)
      return fmt::format("{:.3f} ft", std::fabs(in_unit(l, unit)));
    const double metres = std::fabs(l.metres());
    return metres < 1 ? fmt::format("{:.0f} mm", metres * 1000) : fmt::format("{:.3f} m", metres);
  }
  /// How far off is told finer than it can be set off, so that what is just beyond is seen to be.
  std::string fine(Length l) const {
    const LengthUnit unit = words_.form.unit;
    if (unit == LengthUnit::feet_inches || unit == LengthUnit::inch) {
      BookWords finer = words_;
      finer.form.denominator = 64;
      return BookText(finer).length(l);
    }
    const bool is_feet = unit == LengthUnit::foot || unit == LengthUnit::survey_foot;
    return is_feet || abs(l) >= Length::metres(1) ? length(l) : fmt::format("{:.1f} mm", l.millimetres());
  }
  /// Lengths within a text: of what is stated never less.
  std::string text_of(const Said& s) const {
    const Length step = offset_step(words_.form);
    return with_lengths(s.text, s.lengths, [&](Length l) {
      if (!s.rounds_up) return fine(l);
      return length(std::ceil(l / step - 1e-6) * step);
    });
  }
  /// Folded at blanks to the width; further lines are set in by two.
  void line(std::string_view text) {
    std::size_t column = 0;
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find(' ', at), text.size());
      const std::string_view word = text.substr(at, end - at);
      if (column > 0 && column + 1 + character_count(word) > words_.width) {
        out_ += "\n  ";
        column = 2;
      } else if (column > 0) {
        out_ += ' ';
        ++column;
      }
      out_ += word;
      column += character_count(word);
      at = end + 1;
    }
    out_ += '\n';
  }
  void read(const Said& s);
  void kept(const Said& s);
  void due(Due due);
  void wait(const Said& s);
  static std::string mark(const Said& s) {
    return s.level == EntryLevel::deck ? fmt::format("deck {}", s.typed) : std::to_string(s.typed);
  }
  std::string way(const MoveWay& w) const;

  BookWords words_;
  std::string out_;
  bool is_good_ = false;  // of the check that was told last
};

std::string BookText::way(const MoveWay& w) const {
  using Toward = MoveWay::Toward;
  const std::string by = length(w.by);
  switch (w.toward) {
    case Toward::mark:
      return fmt::format("{} toward {}", by, w.mark);
    case Toward::from_mark:
      return fmt::format("{} away from {}", by, w.mark);
    case Toward::run:
      return fmt::format("{} toward run {}", by, w.run);
    case Toward::from_run:
      return fmt::format("{} away from run {}", by, w.run);
    case Toward::left:
      return fmt::format("{} to the left, facing {}", by, w.mark);
    case Toward::right:
      return fmt::format("{} to the right, facing {}", by, w.mark);
    case Toward::x:
      return fmt::format("{} toward {} X", by, w.by < Length::metres(0) ? "smaller" : "larger");
    case Toward::y:
      return fmt::format("{} toward {} Y", by, w.by < Length::metres(0) ? "smaller" : "larger");
  }
  return {};
}

void BookText::read(const Said& s) {
  const ReadTold& r = *s.read;
  std::string ways;
  const std::string nothing = length(Length::metres(0));
  for (const MoveWay& w : r.ways) {
    if (length(w.by) == nothing) continue;
    ways += (ways.empty() ? "" : ", ") + way(w);
  }
  if (ways.empty())
    line(fmt::format("{}: it is there, good to {} (95 in 100); y", mark(s), fine(r.radius)));
  else
    line(fmt::format("{}: {}{}", mark(s), ways, r.can_keep ? "; then y" : ""));
  if (r.is_far)
    line(fmt::format("{} off: another mark? Type its number, or move and read again", fine(r.distance)));
  else if (!r.can_keep)
    line(fmt::format("{} off, permitted {}: move it and read again, or keep: and why", fine(r.distance),
                     fine(r.permitted)));
  else if (!ways.empty())
    line(fmt::format("{} off, permitted {}; good to {} (95 in 100)", fine(r.distance), fine(r.permitted),
                     fine(r.radius)));
}

void BookText::kept(const Said& s) {
  switch (s.act) {
    case Act::set_up:
      return line(fmt::format("{} stands (entry {})", s.text, s.entry));
    case Act::check:
      return;  // its verdict says it
    case Act::undone:
      return line(fmt::format("undone: {} (entry {})", s.text, s.entry));
    case Act::note:
      if (s.text == kKnockedNote) return line(fmt::format("knock noted (entry {})", s.entry));
      return line(fmt::format("noted{} (entry {})", s.typed > 0 ? " for " + mark(s) : "", s.entry));
    default:
      return line(fmt::format("{} {} (entry {})", mark(s), act_word(s.act), s.entry));
  }
}

void BookText::due(Due due) {
  switch (due) {
    case Due::none:
      return;
    case Due::first:
      return line("Check first: a known target, before any mark.");
    case Due::count:
      return line("Check now: enough marks since the last one.");
    case Due::time:
      return line("Check now: it is long since the last one.");
    case Due::out:
      return line("No mark is taken until it reads good again, or two other targets do.");
    case Due::asked:
      return line("Check before the next mark.");
  }
}

void BookText::wait(const Said& s) {
  switch (s.waits) {
    case Waits::mark:
      out_ += s.text.empty() ? "number> " : fmt::format("{}> ", mark(s));
      return;
    case Waits::keep:
      out_ += fmt::format("{} {}> ", mark(s), s.can_keep ? "y or again" : "again");
      return;
    case Waits::check:
      out_ += s.text.empty() ? "check TARGET> " : fmt::format("check {}> ", s.text);
      return;
    case Waits::ask:
      out_ += fmt::format("{} 1 or 2> ", mark(s));
      return;
  }
}

void BookText::add(const Said& s) {
  switch (s.kind) {
    case SaidKind::open:
      line(fmt::format("Book of {} rows, issue {}. help tells the words.", s.entry, s.text));
      return line(s.hint);
    case SaidKind::torn:
      return line(fmt::format("{} bytes at its end were not whole: kept aside in its .torn file", s.entry));
    case SaidKind::resumed:
      return line(fmt::format("{} again", s.text));
    case SaidKind::offer:
      return line(fmt::format("{}{}: {}", mark(s), s.text.empty() ? "" : ", run " + s.text,
                              s.due == Due::none ? "read it" : "after the check"));
    case SaidKind::read:
      return read(s);
    case SaidKind::near:
      return line(fmt::format("That is {}'s place. Meant {}? Type {}", s.typed, s.typed, s.typed));
    case SaidKind::ask:
      return line(
          fmt::format("{} stands already (entry {}). 1: that one, read again; 2: another, and the old "
                      "one still stands",
                      mark(s), s.text));
    case SaidKind::kept:
      return kept(s);
    case SaidKind::again:
      return line(fmt::format("{}: {} already, nothing is written", s.text, act_word(s.act)));
    case SaidKind::due:
      return due(s.due);
    case SaidKind::check:
      is_good_ = s.verdict == Verdict::within;
      return line(fmt::format("{} is {}: read {} off", s.text, s.verdict == Verdict::within ? "good" : "OFF",
                              fine(s.off)));
    case SaidKind::stop:
      return line(is_good_ ? fmt::format("{} stays stopped", s.text)
                           : fmt::format("STOP: {} does not stand as it did, or that was a slip", s.text));
    case SaidKind::doubtful:
      return line(fmt::format("Doubtful since the last good check: {}", s.text));
    case SaidKind::no:
    case SaidKind::tell:
      return line(text_of(s));
    case SaidKind::wait:
      return wait(s);
    case SaidKind::bye:
      return line(fmt::format("{} rows in the book", s.entry));
  }
}

}  // namespace

std::string book_text(std::span<const Said> said, const BookWords& words) {
  BookText text(words);
  for (const Said& s : said) text.add(s);
  return std::move(text).text();
}

}  // namespace deckmark
