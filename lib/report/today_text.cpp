#include "report/today_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "marks/number_ranges.h"
#include "measure/verdict.h"
#include "measure/visible_lines.h"
#include "report/pieces.h"
#include "report/release_text.h"

namespace deckmark {

namespace {

constexpr std::size_t kMostRanges = 60;                 // of one line of work
constexpr std::string_view kIndent = "              ";  // behind the longest word for what is to be done

std::string run_words(std::string_view run) {
  return run.empty() ? std::string("no run") : visible(std::string(run));
}

std::string length_of(Length value, LengthUnit unit) {
  return fmt::format("{} {}", short_length(value, unit), short_unit(unit));
}

/// `12.0 mm along +X, 3.1 mm along -Y`; what reads as zero is left out.
std::string way_words(const Vec<Drawing>& move, LengthUnit unit) {
  std::string out;
  for (const auto& [axis, by] : {std::pair('X', move.by.x), std::pair('Y', move.by.y)}) {
    const std::string size = short_length(abs(by), unit);
    if (size == short_length(Length::metres(0), unit)) continue;
    out += fmt::format("{}{} {} along {}{}", out.empty() ? "" : ", ", size, short_unit(unit),
                       by < Length::metres(0) ? '-' : '+', axis);
  }
  return out;
}

/// Words for what is done, in a column.
std::string_view work_word(TodayDo what) {
  constexpr std::string_view kWords[] = {"STOP",     "void",    "fill", "renumber", "mark again",
                                         "cut anew", "measure", "mark", "drill",    "leave"};
  return kWords[static_cast<std::size_t>(what)];
}

class TodayWords {
 public:
  TodayWords(const TodayHead& head, std::span<const TodayRow> rows) : head_(head), rows_(rows) {
    for (const TodayRow& row : rows) {
      if (row.what == TodayDo::leave) ++left_;
      if (is_too_coarse(row)) ++coarse_;
      drills_ = drills_ || row.what == TodayDo::drill;
    }
  }

  std::string text() const {
    std::string out = folded("", "  ", as_of());
    for (const RunProgress& run : head_.progress) out += folded("", "  ", progress_words(run));
    if (drills_) out += "\n" + release_text(head_.release);
    for (auto from = rows_.begin(); from != rows_.end();) {
      const std::string_view run = run_of(*from);
      const auto to = std::find_if(from, rows_.end(), [&](const TodayRow& r) { return run_of(r) != run; });
      out += run_text({from, to});
      from = to;
    }
    return out + last_words();
  }

 private:
  std::string as_of() const {
    if (head_.as_issued > 0)
      return fmt::format("as if issue {} were marked, issue {}", head_.as_issued, head_.issue);
    if (head_.books.size() <= 1)
      return fmt::format("as of entry {}, issue {}", head_.books.empty() ? 0 : head_.books.front().entry,
                         head_.issue);
    std::string out = "as of ";
    for (const BookAsOf& b : head_.books) out += fmt::format("entry {} of {}, ", b.entry, visible(b.file));
    return out + fmt::format("issue {}", head_.issue);
  }

  LedgerRow row_of(const TodayRow& row) const {
    return row.ledger_row == kNone32 ? LedgerRow{} : head_.ledger->row(row.ledger_row);
  }
  std::string_view run_of(const TodayRow& row) const { return row_of(row).run; }
  /// What stands on the floor or the deck under a number.
  std::uint32_t number_of(const TodayRow& row, std::uint32_t number) const {
    if (row.thing != TodayThing::deck && row.thing != TodayThing::hole) return number;
    const std::int64_t offset = row_of(row).deck_offset;
    return number + static_cast<std::uint32_t>(offset > 0 ? offset : head_.deck_offset);
  }
  static bool is_too_coarse(const TodayRow& row) {
    return row.off && row.off->sd && row.why == TodayWhy::near_limit &&
           2 * *row.off->sd >= row.off->permitted - kHair;
  }

  /// What is told of one row alone: its figures differ from row to row.
  static bool is_alone(const TodayRow& row) {
    return row.what == TodayDo::mark_again || row.what == TodayDo::renumber || row.what == TodayDo::recut ||
           row.why == TodayWhy::near_limit;
  }
  static bool is_alike(const TodayRow& a, const TodayRow& b) {
    return !is_alone(a) && !is_alone(b) && a.what == b.what && a.thing == b.thing && a.why == b.why &&
           a.other == b.other && a.zone == b.zone;
  }

  std::string run_text(std::span<const TodayRow> rows) const {
    std::vector<const TodayRow*> todo;
    for (const TodayRow& row : rows)
      if (row.what != TodayDo::leave) todo.push_back(&row);
    if (todo.empty()) return "";
    std::stable_sort(todo.begin(), todo.end(), [](const TodayRow* a, const TodayRow* b) {
      const auto key = [](const TodayRow& r) { return std::tuple(r.what, r.thing, r.why, r.other, r.zone); };
      if (a->what != b->what || is_alone(*a) || is_alone(*b)) return a->what < b->what;
      return key(*a) < key(*b);
    });
    std::string out = fmt::format("\n{}\n", run_words(run_of(*todo.front())));
    std::optional<TodayDo> before;
    for (auto from = todo.begin(); from != todo.end();) {
      auto to = from + 1;
      while (to != todo.end() && is_alike(**from, **to)) ++to;
      const TodayDo what = (*from)->what;
      const std::string_view word = before == what ? "" : work_word(what);
      out += folded(fmt::format("  {:<12}", word), kIndent, words_of({from, to}));
      before = what;
      from = to;
    }
    return out;
  }

  std::string numbers_of(std::span<const TodayRow* const> rows) const {
    std::vector<std::uint32_t> numbers;
    for (const TodayRow* row : rows) numbers.push_back(number_of(*row, row->number));
    return ranges_text(number_ranges(std::move(numbers)), kMostRanges);
  }

  /// Why something goes, behind a colon; a thing that nobody noted is named so.
  static std::string because(const TodayRow& row) {
    const std::string_view if_there = row.if_it_is_there ? ", if it is there" : "";
    switch (row.why) {
      case TodayWhy::dropped:
        return fmt::format("the drawing has no such point now{}", if_there);
      case TodayWhy::gone:
        return fmt::format("no deck point any more{}", if_there);
      case TodayWhy::second:
        return fmt::format("another one of the number counts{}", if_there);
      default:
        return "";
    }
  }

  std::string words_of(std::span<const TodayRow* const> rows) const {
    const TodayRow& row = *rows.front();
    const std::string numbers = numbers_of(rows);
    const bool many = rows.size() > 1;
    const std::string_view cross = row.thing == TodayThing::deck
                                       ? (many ? "crosses on the deck" : "cross on the deck")
                                       : (many ? "crosses on the floor" : "cross on the floor");
    switch (row.what) {
      case TodayDo::stop:
        return stop_words(row, numbers, many);
      case TodayDo::void_cross:
        return fmt::format("{}, {}: {}", numbers, cross, because(row));
      case TodayDo::fill:
        return row.why == TodayWhy::beyond
                   ? fmt::format("{}, the {}: too far from where {} wanted now", numbers,
                                 many ? "holes" : "hole", many ? "they are" : "it is")
                   : fmt::format("{}, the {}: {}", numbers, many ? "holes" : "hole", because(row));
      case TodayDo::renumber:
        return renumber_words(row);
      case TodayDo::mark_again:
        return mark_again_words(row);
      case TodayDo::recut:
        return fmt::format("rod {}: it has to be {} {}", row.number, length_of(row.off->distance, head_.unit),
                           row.why == TodayWhy::longer ? "longer" : "shorter");
      case TodayDo::measure:
        return measure_words(row, numbers, many);
      case TodayDo::mark:
        return fmt::format("{} on the {}", numbers, row.thing == TodayThing::deck ? "deck" : "floor");
      case TodayDo::drill:
        return fmt::format("{} at the {} on the deck", numbers, many ? "crosses" : "cross");
      case TodayDo::leave:
        break;
    }
    return numbers;
  }

  std::string stop_words(const TodayRow& row, const std::string& numbers, bool many) const {
    switch (row.why) {
      case TodayWhy::hung:
        return fmt::format("{}: to be filled, but the rod hangs: take the {} down first, then fill", numbers,
                           many ? "rods" : "rod");
      case TodayWhy::old_hole:
        return fmt::format("{}: do not drill, the old hole of {} is too near: ask the engineer", numbers,
                           number_of(row, row.other));
      case TodayWhy::zone:
        return fmt::format("{}: do not drill, no-drill zone {}: ask the engineer", numbers,
                           zone_words(row.zone));
      case TodayWhy::not_released:
        return fmt::format("{}: do not drill, nobody released {}", numbers, many ? "them" : "it");
      default:
        return fmt::format(
            "{} {}: {}: take {} down, do not hang {}", many ? "rods" : "rod", numbers,
            row.why == TodayWhy::gone ? "no deck point any more" : "the drawing has no such point now",
            many ? "them" : "it", many ? "them" : "it");
    }
  }

  std::string zone_words(std::string_view zone) const {
    const auto reference = head_.references.find(zone);
    std::string out = visible(std::string(zone));
    if (reference != head_.references.end() && !reference->second.empty())
      out += fmt::format(" ({})", visible(reference->second));
    return out;
  }

  std::string renumber_words(const TodayRow& row) const {
    const std::uint32_t old = number_of(row, row.other), now = number_of(row, row.number);
    return fmt::format("{} is {} now: the {} stays, write the new number{}", old, now,
                       row.thing == TodayThing::hole ? "hole" : "cross",
                       row.if_it_is_there ? ", if it is there" : "");
  }

  std::string mark_again_words(const TodayRow& row) const {
    return fmt::format("{} on the {}: {} from the old cross: {}; void the old one{}",
                       number_of(row, row.number), row.thing == TodayThing::deck ? "deck" : "floor",
                       length_of(row.off->distance, head_.unit), way_words(row.off->move, head_.unit),
                       row.if_it_is_there ? ", if it is there" : "");
  }

  std::string measure_words(const TodayRow& row, const std::string& numbers, bool many) const {
    const std::string_view what = row.thing == TodayThing::hole ? (many ? "the holes" : "the hole")
                                  : row.thing == TodayThing::deck
                                      ? (many ? "the crosses on the deck" : "the cross on the deck")
                                      : (many ? "the crosses on the floor" : "the cross on the floor");
    if (row.why == TodayWhy::doubtful || !row.off)
      return fmt::format("{}, {}: in doubt, read {} again", numbers, what, many ? "them" : "it");
    return fmt::format(
        "{}, {}: {} off, {} permitted, good to {} (95 in 100): too near to tell, read it again{}", numbers,
        what, length_of(row.off->distance, head_.unit), length_of(row.off->permitted, head_.unit),
        length_of(2 * *row.off->sd, head_.unit), row.if_it_is_there ? ", if it is there" : "");
  }

  std::string last_words() const {
    std::string out;
    if (coarse_ > 0)
      out +=
          folded("", "  ",
                 fmt::format("{} known no better than half of what is permitted: of {} no distance tells "
                             "whether {} may stay. Read {} with a setup.",
                             coarse_ == 1 ? std::string("1 mark is") : fmt::format("{} marks are", coarse_),
                             coarse_ == 1 ? "it" : "these", coarse_ == 1 ? "it" : "they",
                             coarse_ == 1 ? "it" : "them"));
    const std::size_t todo = rows_.size() - left_;
    if (todo == 0)
      out += fmt::format("Nothing is to be done: {} as {}\n",
                         left_ == 1 ? "1 stays" : fmt::format("{} stay", left_),
                         left_ == 1 ? "it is" : "they are");
    else if (left_ > 0)
      out += fmt::format("All else stays as it is: {}\n",
                         plural(left_, "mark, hole or rod", "marks, holes and rods"));
    return out.empty() ? out : "\n" + out;
  }

  const TodayHead& head_;
  std::span<const TodayRow> rows_;
  std::size_t left_ = 0, coarse_ = 0;
  bool drills_ = false;
};

}  // namespace

std::string progress_words(const RunProgress& run) {
  return fmt::format("{}: marked {} of {}, deck {}, drilled {}, hung {}", run_words(run.run), run.marked,
                     run.numbers, run.deck, run.drilled, run.hung);
}

std::string today_text(const TodayHead& head, std::span<const TodayRow> rows) {
  return TodayWords(head, rows).text();
}

}  // namespace deckmark
