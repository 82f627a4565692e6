#pragma once
/// The dialogue of a crew with its book: a pure machine. What is typed and the clock go in, rows to write and
/// what to tell come out; files are for others.
///
/// REQUIRES  that the rows of an answer are written and flushed before it is told, and before the next line
///           is taken: the book and the state hold them already.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_set>
#include <vector>

#include "book/facts.h"
#include "book/known.h"
#include "book/needs.h"
#include "book/order.h"
#include "book/reading.h"
#include "book/said.h"
#include "book/sheet_id.h"
#include "book/state.h"

namespace deckmark {

/// What a clock says.
struct BookClock {
  std::string time;  ///< ISO 8601 with its offset
  std::int64_t at = 0;
};

/// How a dialogue was asked for.
struct BookRequest {
  std::string by;
  std::string setup = {};  ///< where the instrument stands; empty: none does
  bool tape = false;
  std::optional<std::string> at = {};  ///< the time, as it was typed, in place of the clock
};

/// A point that an instrument stored.
struct FilePoint {
  std::string point;
  Point<Site> at;
  std::optional<Elevation> elevation{};
  std::string setup{};  ///< from which it was stored
  BookClock time{};
  bool states_time = false;  ///< else it is that of the row before, or of the clock
  std::string reading{};
};
/// Why a stored point cannot be taken.
struct FileFault {
  std::size_t point = 0;      ///< which
  std::string_view column{};  ///< of it: point, northing, setup
  Refusal no{};
};

/// An issue that was handed out while the book was open.
struct NewerIssue {
  std::uint32_t issue = 0;               ///< the last one
  std::vector<std::uint32_t> numbers{};  ///< floor numbers with a row behind the issue worked from, ascending
};

/// A mark is never kept further off.
inline constexpr Length kFarthestKept = Length::millimetres(250);

class Dialogue {
 public:
  /// `books`: of all crews, the one that is written at `own`, which is `book` itself.
  Dialogue(const BookFacts& facts, BookRequest request, Book& book, std::vector<const Book*> books,
           std::uint32_t own);

  /// What stands first. `torn`: bytes that were cut off the book's end.
  BookAnswer open(std::size_t torn, const BookClock& clock);
  /// A line without its end.
  BookAnswer take(std::string_view line, const BookClock& clock);
  /// The end of what is typed; what was typed of a last line does not count.
  BookAnswer finish(const BookClock& clock);
  /// In place of all these: acts ticked on a sheet; all of them or none.
  BookAnswer ticks(std::string_view text, std::string_view sheet, const BookClock& clock);
  /// Likewise the points that an instrument stored, in their order: known targets are checks, numbers marks,
  /// other names notes; what the book holds is told again. Nothing is written where there are `faults`.
  BookAnswer file(const std::vector<FilePoint>& points, const BookClock& clock,
                  std::vector<FileFault>& faults);

  /// From the next answer on, marks of these numbers wait.
  void hear(NewerIssue newer);
  /// Another crew's book has grown, or there is one more.
  void hear(std::vector<const Book*> books, std::uint32_t own);

  const BookState& state() const { return *state_; }
  const WalkOrder& order() const { return *order_; }

 private:
  using Key = std::uint64_t;
  struct Waiting {
    TypedReading reading;
    std::string line;
    ReadPlace place;
    Length away = Length::metres(0);
  };

  // dialogue.cpp
  void begin(const BookClock& clock);
  BookAnswer settled();
  bool is_offer_gone() const;
  void answer(const Typed& typed);
  void say(Said said) { answer_.said.push_back(std::move(said)); }
  void say_tell(std::string text, std::vector<Length> lengths = {}, bool rounds_up = false);
  void say_no(const Refusal& no);
  void say_wait(Waits waits, std::string_view what);
  Entry row_of(Act act) const;
  void append(Entry row);
  void open_tells(std::size_t torn);
  bool take_time(std::string_view text);
  void knock();
  void note(const Typed& typed);
  void undo(const Typed& typed);
  void end();
  void help();
  std::optional<std::int64_t> last_at() const;
  std::int64_t now_at() const;

  // dialogue_marks.cpp
  void offer(std::uint32_t number);
  void offer(const KnownNumber& number);
  void seek(bool from_next);
  bool is_wanted(const WalkStop& stop) const;
  void say_offer();
  void read(const Typed& typed);
  void take_reading(const TypedReading& reading, const std::string& line);
  void say_read();
  std::optional<std::uint32_t> nearer_than(const KnownNumber& number, const Point<Site>& place) const;
  void keep(const std::string& text, bool is_yes);
  void keep_as(bool same);
  void write_mark(const EntryOf& of, const std::string& text);
  void hold(const Typed& typed);
  void dot();
  void act(const Typed& typed);
  bool write_acts(Act act, const std::vector<KnownNumber>& numbers, const std::string& text,
                  EntrySource source, const KnownNumbers& known);
  std::optional<Refusal> refused_for_crew(const KnownNumber& number, const KnownNumbers& known) const;
  bool may_mark(const KnownNumber& number);
  std::optional<std::vector<KnownNumber>> numbers_of(const Typed& typed, const KnownNumbers& known);
  bool holds_mark_back();
  Point<Site> place_of_number(const KnownNumber& number) const;

  void say_stop(const std::string& setup);
  void say_doubtful(const std::vector<KnownNumber>& numbers);
  void say_again(Act act, const std::string& what);
  Entry row_of(Act act, const ReadPlace& read, const std::string& line) const;
  const StandingOf* resumable(const BookSetup& setup, std::int64_t at) const;

  // dialogue_file.cpp
  std::optional<FileFault> fault_of(const FilePoint& point, std::size_t index, std::string& last_setup) const;
  ReadPlace read_of(const FilePoint& point) const;
  void take_file(const std::vector<FilePoint>& points);
  void take_point(const FilePoint& point);
  void stand_for(const FilePoint& point, bool is_next);
  bool is_in_book(const FilePoint& point) const;
  void file_check(const FilePoint& point, std::size_t target);
  void file_mark(const FilePoint& point, const KnownNumber& number);
  void file_note(const FilePoint& point);
  std::vector<KnownNumber> all_doubtful() const;

  // dialogue_checks.cpp
  const StandingOf* standing() const;
  Due due() const;
  void set_up(const std::string& name);
  void write_set_up(EntrySource source);
  std::optional<Refusal> not_a_setup(std::string_view name) const;
  bool is_changed(const StandingOf& standing, const BookSetup& setup) const;
  const BookSetup* setup_of(std::string_view name) const;
  void ask_check(const Typed& typed);
  void read_check(const Typed& typed);
  CheckResult write_check(std::size_t target, const ReadPlace& read, bool states_height,
                          const std::string& line, EntrySource source);
  std::optional<Refusal> out_as_it_was(const BookSetup& setup) const;
  static std::vector<KnownNumber> without(const std::vector<KnownNumber>& all,
                                          const std::vector<KnownNumber>& these);
  std::optional<Refusal> not_at_target(const Point<Site>& at, std::size_t target) const;
  std::string default_target() const;
  std::optional<std::string> other_target_at(const Point<Site>& place, std::size_t meant) const;
  std::optional<std::size_t> target_of(std::string_view name) const;
  CheckResult judged(std::size_t target, ReadPlace read, bool states_height, std::uint32_t before) const;
  bool states_height(const Entry& check) const;
  void tell_check(std::size_t target, const CheckResult& result);
  void tell_causes();
  std::vector<KnownNumber> doubtful_now() const;

  const BookFacts& facts_;
  BookRequest request_;
  Book* book_;
  std::vector<const Book*> books_;
  std::uint32_t own_;
  KnownNumbers known_;
  Transform<Drawing, Site> drawing_from_site_;
  std::unique_ptr<BookState> state_;
  std::unique_ptr<WalkOrder> order_;

  BookAnswer answer_;
  BookClock clock_;
  std::string stated_time_;  // as it was typed, with --at
  bool told_clock_ = false;

  const BookSetup* setup_ = nullptr;  // that stands
  Due told_due_ = Due::none;
  bool is_asked_ = false;     // by `check`
  std::string check_target_;  // empty: as by default

  std::optional<KnownNumber> offered_;
  bool is_offer_told_ = false, is_offer_chosen_ = false;
  std::size_t cursor_ = 0;
  std::optional<Waiting> waiting_;
  bool is_asking_ = false;
  std::string kept_text_;  // of the `keep` that asks
  std::unordered_set<Key> held_;
  NewerIssue newer_;
  bool is_newer_told_ = true;
};

}  // namespace deckmark
