#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "book/state.h"
#include "issues/ledger_columns.h"
#include "job/tables/asbuilt_shots.h"
#include "job/tables/deck_marks.h"
#include "table/written.h"
#include "work/job_texts.h"
#include "work/read_books.h"

namespace deckmark {

namespace {

/// A header of columns of a table, by their declarations.
template <class Terms, const auto&... C>
std::string header_of() {
  std::string out;
  const auto add = [&out]<const auto & One>() {
    static_assert(Terms::template holds<One>());
    out += (out.empty() ? "" : ",") + std::string(One.name);
    if (std::is_same_v<KindOf<One>, LengthCell>) out += " (m)";
  };
  (add.template operator()<C>(), ...);
  return out + "\n";
}
namespace shot = asbuilt_shots;
namespace mark = deck_marks;
std::string shots_header() {
  return header_of<shot::Terms, shot::point, shot::level, shot::northing, shot::easting, shot::elevation,
                   shot::sd, shot::setup, shot::marked_from, shot::by, shot::marked_by, shot::time>();
}
/// The same but for the time.
std::string marks_header() {
  return header_of<mark::Terms, mark::point, mark::level, mark::northing, mark::easting, mark::elevation,
                   mark::sd, mark::setup, mark::marked_from, mark::by, mark::marked_by>();
}

/// What of the books is no shot.
struct LeftOut {
  std::size_t dropped = 0, doubtful = 0, unread = 0, older = 0;

  std::string words() const {
    std::vector<std::string> out;
    const auto add = [&out](std::size_t count, std::string_view what) {
      if (count > 0) out.push_back(fmt::format("{} {}", count, what));
    };
    add(doubtful, "doubtful");
    add(unread, "without a reading");
    add(older, "beside a newer one");
    add(dropped, "of numbers that were dropped");
    return fmt::format("{}", fmt::join(out, ", "));
  }
};

/// The lines of a table of crosses: a row stands in the line that its entry has in the book.
class BookShots {
 public:
  BookShots(const BookState& state, std::string name) : state_(state) { tables_.name = std::move(name); }

  BookTables tables() {
    const Ledger& ledger = state_.ledger();
    for (const std::uint32_t number : state_.numbers()) {
      const NumberState& made = *state_.find(number);
      const std::uint32_t last = ledger.find(number);
      if (last == kNone32 || !ledger.columns().is_live(last)) {
        left_out_.dropped += made.floor.size() + made.deck.size() + made.holes.size();
        continue;
      }
      const LedgerRow row = ledger.row(last);
      take(made.floor, number, EntryLevel::floor);
      // A hole stands where its cross stood.
      std::vector<BookThing> deck = made.deck;
      deck.insert(deck.end(), made.holes.begin(), made.holes.end());
      std::sort(deck.begin(), deck.end(),
                [](const BookThing& a, const BookThing& b) { return a.record.row < b.record.row; });
      take(deck, static_cast<std::uint32_t>(number + row.deck_offset), EntryLevel::deck);
    }
    tables_.shots = in_lines(shots_header(), shots_);
    tables_.deck_marks = in_lines(marks_header(), deck_marks_);
    return std::move(tables_);
  }
  const LeftOut& left_out() const { return left_out_; }

 private:
  struct Line {
    std::uint32_t book, entry;
    std::string text;
  };

  /// The newest of them, where it was read and nobody doubts it.
  void take(const std::vector<BookThing>& things, std::uint32_t number, EntryLevel level) {
    if (things.empty()) return;
    left_out_.older += things.size() - 1;
    const BookThing& thing = things.back();
    if (state_.is_doubtful(thing))
      ++left_out_.doubtful;
    else if (!thing.record.is_read)
      ++left_out_.unread;
    else
      add(thing, number, level);
  }

  void add(const BookThing& thing, std::uint32_t number, EntryLevel level) {
    const Entry &read = state_.entry(thing.record.row), &made = state_.entry(maker_of(thing));
    std::string text;
    TableWriter cells({}, [&text](const char* data, std::size_t size) { text.append(data, size); });
    cells.integer(number);
    cells.text(level_word(level));
    for (const Kept k : {read.site.northing, read.site.easting, read.elevation, read.sd()})
      put_kept(cells, k);
    for (const std::string_view t : {read.setup, made.setup, read.by, made.by}) cells.text(t);
    cells.finish();
    const BookRow& row = state_.rows()[thing.record.row];
    if (level == EntryLevel::deck) deck_marks_.push_back({row.book, read.entry, text});
    // Without its offset: the order of one crew's day.
    shots_.push_back({row.book, read.entry, text + "," + std::string(without_offset(read.time))});
  }
  /// The row by which a cross was made: of a hole that of its cross, which is all that its record tells.
  std::uint32_t maker_of(const BookThing& thing) const {
    return state_.entry(thing.made).act == Act::marked ? thing.made : thing.record.row;
  }
  static std::string in_lines(std::string header, std::vector<Line> lines) {
    if (lines.empty()) return "";
    std::sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) {
      return a.book != b.book ? a.book < b.book : a.entry < b.entry;
    });
    std::string out = std::move(header);
    std::uint32_t at = 1;
    for (const Line& line : lines) {
      if (line.book == lines.front().book)
        for (; at < line.entry; ++at) out += '\n';
      out += line.text + "\n";
      ++at;
    }
    return out;
  }

  const BookState& state_;
  BookTables tables_;
  std::vector<Line> shots_, deck_marks_;
  LeftOut left_out_;
};

}  // namespace

void take_book(Job& job, PartMessages& told) {
  const bool shots = job.named.asbuilt && is_from_book(*job.named.asbuilt),
             marks = job.named.deck_marks && is_from_book(*job.named.deck_marks);
  if ((!shots && !marks) || told.is_spoiled(Part::numbers)) return;
  Messages& messages = told.of(shots ? Part::asbuilt : Part::plumb);
  const BooksFound books = read_books(job, messages);
  if (messages.has_problems()) return;
  const BookState state(books.books(), job.ledger.ledger);
  std::vector<std::string> names;
  for (const BookFile& file : books.files) names.push_back(file.file);
  if (names.empty()) names.push_back(book_name(job, ""));
  BookShots crosses(state, fmt::format("{}", fmt::join(names, " and ")));
  const BookTables tables = crosses.tables();
  if (const std::string words = crosses.left_out().words(); !words.empty())
    messages.notice("crosses that are not judged", Where::whole(names.front()), "file",
                    fmt::format("not judged of what stands in the book: {}", words));
  read_from_book(job, told, tables);
}

}  // namespace deckmark
