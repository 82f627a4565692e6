#include "report/history_text.h"

#include <fmt/format.h>

#include "measure/visible_lines.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// What a row hands out, in words.
std::string row_words(const LedgerRow& r, const HistoryHead& head) {
  const auto length = [unit = head.unit](Kept k) { return length_words(k.length(), unit); };
  std::string out =
      head.by_drawing && !r.drawing.x.is_none()
          ? fmt::format("X {}, Y {}", length(r.drawing.x), length(r.drawing.y))
          : fmt::format("northing {}, easting {}", length(r.site.northing), length(r.site.easting));
  const auto add = [&](std::string_view what, Kept k) {
    if (!k.is_none()) out += fmt::format(", {} {}", what, length(k));
  };
  add("floor", r.floor);
  add("bracket", r.attach);
  add("deck", r.deck);
  add("rod", r.cut);
  if (!r.run.empty()) out += fmt::format("; run {}", visible(std::string(r.run)));
  if (!r.crew.empty()) out += fmt::format("; crew {}", visible(std::string(r.crew)));
  return out;
}

/// What is another than in the row before; empty: nothing that shows.
std::string change_words(const LedgerRow& before, const LedgerRow& now, LengthUnit unit) {
  std::string out;
  const auto add = [&out](const std::string& text) { out += (out.empty() ? "" : ", ") + text; };
  if (before.live && !now.live) add("dropped");
  if (!before.live && now.live) add("returned");
  if (before.point != now.point) add(fmt::format("renamed from {}", visible(std::string(before.point))));
  if (is_told(now.site, before.site))
    add(fmt::format("moved {}", length_words(distance(before.site.point(), now.site.point()), unit)));
  const auto height = [&](std::string_view what, Kept was, Kept is) {
    if (was == is || (!was.is_none() && !is.is_none() && !is_told(is, was))) return;
    if (was.is_none()) return add(fmt::format("new {}", what));
    if (is.is_none()) return add(fmt::format("{} gone", what));
    const Length by = is.length() - was.length();
    add(fmt::format("{} {} {}", what, length_words(abs(by), unit),
                    by < Length::metres(0) ? (what == "rod" ? "shorter" : "lower")
                                           : (what == "rod" ? "longer" : "higher")));
  };
  height("floor", before.floor, now.floor);
  height("bracket", before.attach, now.attach);
  height("deck", before.deck, now.deck);
  height("rod", before.cut, now.cut);
  if (before.run != now.run) add("another run");
  if (before.crew != now.crew) add("another crew");
  return out;
}

std::string step_words(const HistoryStep& s, const HistoryHead& head) {
  const LengthUnit unit = head.unit;
  const auto off_words = [&] {
    std::string out;
    if (s.offset) out += length_words(*s.offset, unit) + " off";
    if (s.off)
      out += fmt::format(" (x {}, y {})", length_words(s.off->by.x, unit), length_words(s.off->by.y, unit));
    if (s.up)
      out += fmt::format("{}{} {}", out.empty() ? "" : ", ", length_words(abs(*s.up), unit),
                         *s.up < Length::metres(0) ? "too low" : "too high");
    if (s.verdict) out += fmt::format("{}{}", out.empty() ? "" : ": ", verdict_word(*s.verdict));
    return out;
  };
  switch (s.kind) {
    case HistoryKind::drawing:
      return s.row ? fmt::format("{}; {}", s.where, row_words(*s.row, head))
                   : std::string(s.where.empty() ? "it has no such point now" : s.where);
    case HistoryKind::issue: {
      const std::string revision =
          s.row->revision.empty() ? "" : fmt::format("revision {}: ", visible(std::string(s.row->revision)));
      const std::string change = s.before ? change_words(*s.before, *s.row, unit) : std::string("new");
      return fmt::format("{}{}{}", revision, change.empty() ? "" : change + "; ",
                         s.row->live ? row_words(*s.row, head) : std::string("its number stays its own"));
    }
    case HistoryKind::given:
      return fmt::format("{} has issue {} since {}{}", visible(s.who), s.issue, visible(s.on),
                         s.is_last ? ": as it is now" : ": not as it is now");
    case HistoryKind::book:
      return fmt::format("{}, {}{} by {}{}, issue {}{}{}; {}", s.on.substr(0, 16), s.act,
                         s.level.empty() ? "" : " on the " + s.level, visible(s.who),
                         s.setup.empty() ? "" : " from " + visible(s.setup), s.issue,
                         s.offset ? ", " + length_words(*s.offset, unit) + " off" : "",
                         s.is_last ? "" : ", undone", s.where);
    case HistoryKind::mark:
    case HistoryKind::shot:
    case HistoryKind::sight:
      return fmt::format("{}{}: {}", s.level.empty() ? "" : s.level + ", ", s.where, off_words());
  }
  return "";
}

}  // namespace

std::string_view history_word(HistoryKind kind) {
  constexpr std::string_view kWords[] = {"drawing", "issue", "given", "book", "mark", "shot", "sight"};
  return kWords[static_cast<std::size_t>(kind)];
}

std::string history_text(const HistoryHead& head, std::span<const HistoryStep> steps) {
  std::string out = fmt::format("{}{}: {}\n", head.number,
                                head.deck_number ? fmt::format(", on the deck {}", *head.deck_number) : "",
                                visible(std::string(head.point)));
  for (const HistoryStep& s : steps) {
    const std::string word =
        s.kind == HistoryKind::issue ? fmt::format("issue {}", s.issue) : std::string(history_word(s.kind));
    out += folded(fmt::format("{:<10} ", word), "           ", step_words(s, head));
  }
  if (!head.blame.empty()) out += folded("", "  ", head.blame);
  return out;
}

}  // namespace deckmark
