#include "book/dialogue.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "book/ledger_axes.h"
#include "table/reader.h"

namespace deckmark {

namespace {

/// `hold` and `hold: TEXT`.
bool is_hold(const Entry& e) {
  if (e.act != Act::note || e.number == 0 || !e.note.starts_with(kHoldNote)) return false;
  return e.note.size() == kHoldNote.size() || e.note.substr(kHoldNote.size()).starts_with(": ");
}

std::string millimetres(Length l) { return fmt::format("{:.1f} mm", std::fabs(l.millimetres())); }

}  // namespace

Dialogue::Dialogue(const BookFacts& facts, BookRequest request, Book& book, std::vector<const Book*> books,
                   std::uint32_t own)
    : facts_(facts),
      request_(std::move(request)),
      book_(&book),
      books_(std::move(books)),
      own_(own),
      known_(*facts.ledger, facts.issue),
      drawing_from_site_(drawing_from_ledger(*facts.ledger)),
      state_(std::make_unique<BookState>(books_, *facts.ledger)) {
  std::optional<Point<Site>> start;
  if (const BookSetup* s = setup_of(request_.setup)) start = s->result.at;
  order_ = std::make_unique<WalkOrder>(facts_, known_, start);
  cursor_ = order_->stops().size();
}

void Dialogue::hear(NewerIssue newer) {
  if (newer.issue == newer_.issue) return;
  newer_ = std::move(newer);
  is_newer_told_ = newer_.numbers.empty();
}

void Dialogue::hear(std::vector<const Book*> books, std::uint32_t own) {
  books_ = std::move(books);
  own_ = own;
  state_ = std::make_unique<BookState>(books_, *facts_.ledger);
}

void Dialogue::say_tell(std::string text, std::vector<Length> lengths, bool rounds_up) {
  Said out;
  out.line = "tell " + with_lengths(text, lengths, millimetres);
  out.text = std::move(text);
  out.lengths = std::move(lengths);
  out.rounds_up = rounds_up;
  say(std::move(out));
}

void Dialogue::say_no(const Refusal& no) {
  Said out;
  out.kind = SaidKind::no;
  out.word = no.word;
  out.text = no.why;
  out.lengths = no.lengths;
  out.line = fmt::format("no {}: {}", no_word(no.word), with_lengths(no.why, no.lengths, millimetres));
  say(std::move(out));
}

void Dialogue::say_wait(Waits waits, std::string_view what) {
  constexpr std::string_view kWords[] = {"mark", "keep", "check", "ask"};
  Said out;
  out.kind = SaidKind::wait;
  out.waits = waits;
  out.text = std::string(what);
  if (offered_) {
    out.typed = offered_->typed;
    out.level = offered_->level;
  }
  if (waits == Waits::keep) out.can_keep = waiting_->away <= facts_.tolerance(offered_->level) + kHair;
  out.line = fmt::format("wait {} {}", kWords[static_cast<std::size_t>(waits)], what.empty() ? "-" : what);
  say(std::move(out));
}

Entry Dialogue::row_of(Act act) const {
  Entry row;
  row.act = act;
  row.time = clock_.time;
  row.at = clock_.at;
  row.by = request_.by;
  row.issue = facts_.issue;
  return row;
}

/// A row of what was read from the setup that stands.
Entry Dialogue::row_of(Act act, const ReadPlace& read, const std::string& line) const {
  Entry row = row_of(act);
  row.site = KeptSite::of(read.at);
  row.elevation = Kept::of(read.elevation);
  row.sd_along = Kept::of(read.sd_along);
  row.sd_across = Kept::of(read.sd_across);
  if (setup_) row.setup = setup_->name;
  row.reading = line;
  return row;
}

void Dialogue::append(Entry row) {
  answer_.rows += book_->add(row);
  state_->add(own_);
  const Entry& e = book_->entries().back();
  Said out;
  out.kind = SaidKind::kept;
  out.entry = e.entry;
  out.act = e.act;
  out.level = e.level;
  if (e.number > 0) out.typed = known_.typed(e.number, e.level);
  out.text = e.act == Act::check ? e.target : e.act == Act::set_up ? e.setup : e.note;
  const std::string number = e.act == Act::check ? std::string(e.target)
                             : e.number > 0      ? std::to_string(e.number)
                                                 : "-";
  const std::string_view level = level_word(e.level);
  out.line = fmt::format("kept {} {} {} {} {}", e.entry, act_word(e.act), number, level.empty() ? "-" : level,
                         entry_words(e.of));
  say(std::move(out));
}

std::optional<std::int64_t> Dialogue::last_at() const {
  for (auto r = state_->rows().rbegin(); r != state_->rows().rend(); ++r)
    if (r->book == own_) return r->at;
  return std::nullopt;
}

std::int64_t Dialogue::now_at() const { return std::max(clock_.at, last_at().value_or(clock_.at)); }

void Dialogue::begin(const BookClock& clock) {
  answer_ = {};
  if (stated_time_.empty()) clock_ = clock;
  if (!stated_time_.empty() || told_clock_) return;
  if (const auto last = last_at(); last && clock_.at / 1000 < *last / 1000) {
    told_clock_ = true;
    say_tell("the clock is behind the last row of the book: set it right, checks go by the later time");
  }
}

bool Dialogue::take_time(std::string_view text) {
  const auto at = instant_of(text);
  if (!at) {
    say_no({NoWord::time, in_quotes(text) + ": with its offset, as in 2026-11-28T14:40+01:00"});
    return false;
  }
  if (const auto last = last_at(); last && *at < *last) {
    say_no({NoWord::time, std::string(text) + " is earlier than the last row of the book"});
    return false;
  }
  stated_time_ = std::string(text);
  clock_ = {stated_time_, *at};
  return true;
}

void Dialogue::open_tells(std::size_t torn) {
  Said out;
  out.kind = SaidKind::open;
  out.entry = book_->size();
  out.text = std::to_string(facts_.issue);
  out.line = fmt::format("open {} {}", book_->size(), facts_.issue);
  if (facts_.typing.tape)
    out.hint = "A reading is two distances from the strings, X first.";
  else if (!request_.setup.empty())
    out.hint = "A reading is circle and distance, or circle, zenith and slope.";
  else
    out.hint = "No instrument: . marks without a reading.";
  say(std::move(out));
  if (torn == 0) return;
  Said t;
  t.kind = SaidKind::torn;
  t.entry = static_cast<std::uint32_t>(torn);
  t.line = fmt::format("torn {}", torn);
  say(std::move(t));
}

BookAnswer Dialogue::open(std::size_t torn, const BookClock& clock) {
  answer_ = {};
  open_tells(torn);
  std::vector<Said> first = std::move(answer_.said);
  begin(clock);
  answer_.said.insert(answer_.said.begin(), first.begin(), first.end());
  const auto refused = [this] {
    answer_.is_refused = answer_.is_over = true;
    end();
    return std::move(answer_);
  };
  if (request_.at && !take_time(*request_.at)) return refused();
  for (const BookRow& r : state_->rows()) {
    if (r.is_undone || r.book != own_) continue;
    const Entry& e = book_->entries()[r.row];
    const Key key = Key{e.number} * 2 + (e.level == EntryLevel::deck ? 1 : 0);
    if (e.act == Act::marked) held_.erase(key);
    if (is_hold(e)) held_.insert(key);
  }
  if (!request_.setup.empty()) {
    const BookSetup* const setup = setup_of(request_.setup);
    if (setup && resumable(*setup, now_at())) {
      setup_ = setup;
      Said out;
      out.kind = SaidKind::resumed;
      out.text = setup->name;
      out.line = "resumed " + setup->name;
      say(std::move(out));
    } else {
      set_up(request_.setup);
      if (!setup_) return refused();
    }
  }
  seek(false);
  return settled();
}

/// What was offered has another row in a newer issue, or another crew has made it. Looked at behind a line,
/// never before: what is typed is about what was told.
bool Dialogue::is_offer_gone() const {
  if (!offered_) return false;
  if (std::binary_search(newer_.numbers.begin(), newer_.numbers.end(), offered_->floor)) return true;
  const auto stop = order_->find(offered_->floor, offered_->level);
  return !is_offer_chosen_ && stop && !is_wanted(order_->stops()[*stop]);
}

BookAnswer Dialogue::settled() {
  if (answer_.is_over) return std::move(answer_);
  if (!is_newer_told_) {
    is_newer_told_ = true;
    std::vector<KnownNumber> numbers;
    for (const std::uint32_t n : newer_.numbers)
      if (const auto number = known_.find(n, EntryLevel::floor)) numbers.push_back(*number);
    say_tell(
        fmt::format("issue {} is out, with other rows for {}: their marks wait; end, take the new lists, "
                    "begin again",
                    newer_.issue, numbers.empty() ? "new numbers alone" : known_.words(numbers)));
  }
  const Due now = due();
  if (now != Due::none) {
    if (now != told_due_) {
      Said out;
      out.kind = SaidKind::due;
      out.due = now;
      out.line = fmt::format("due {}", due_word(now));
      say(std::move(out));
    }
    told_due_ = now;
    say_wait(Waits::check, check_target_.empty() ? default_target() : check_target_);
    return std::move(answer_);
  }
  told_due_ = Due::none;
  const std::string number = offered_ ? std::to_string(offered_->floor) : "";
  if (is_asking_) {
    say_wait(Waits::ask, number);
  } else if (waiting_) {
    say_wait(Waits::keep, number);
  } else {
    if (is_offer_gone()) seek(true);
    if (offered_ && !is_offer_told_) say_offer();
    say_wait(Waits::mark, offered_ ? std::to_string(offered_->floor) : "");
  }
  return std::move(answer_);
}

BookAnswer Dialogue::take(std::string_view line, const BookClock& clock) {
  begin(clock);
  const auto typed = typed_line(line, facts_.typing);
  if (const auto* no = std::get_if<Refusal>(&typed))
    say_no(*no);
  else
    answer(std::get<Typed>(typed));
  return settled();
}

void Dialogue::answer(const Typed& typed) {
  if (is_asking_) {
    is_asking_ = false;
    if (typed.kind == TypedKind::number && (*typed.number == 1 || *typed.number == 2))
      return keep_as(*typed.number == 1);
  }
  switch (typed.kind) {
    case TypedKind::nothing:
      return;
    case TypedKind::number:
      return offer(*typed.number);
    case TypedKind::dot:
      return dot();
    case TypedKind::knock:
      return knock();
    case TypedKind::yes:
      return keep("", true);
    case TypedKind::keep:
      return keep(typed.text, false);
    case TypedKind::reading:
      return told_due_ != Due::none ? read_check(typed) : read(typed);
    case TypedKind::act:
      return act(typed);
    case TypedKind::note:
      return note(typed);
    case TypedKind::hold:
      return hold(typed);
    case TypedKind::undo:
      return undo(typed);
    case TypedKind::check:
      return ask_check(typed);
    case TypedKind::setup:
      return set_up(typed.text);
    case TypedKind::next:
      waiting_.reset();
      return seek(true);
    case TypedKind::end:
      return end();
    case TypedKind::help:
      return help();
    case TypedKind::at:
      if (request_.at)
        (void)take_time(typed.text);
      else
        say_no({NoWord::time, "the clock counts, unless the book is begun with --at"});
      return;
  }
}

BookAnswer Dialogue::finish(const BookClock& clock) {
  begin(clock);
  end();
  return settled();
}

void Dialogue::knock() {
  if (!setup_) return say_no({NoWord::setup, "no instrument stands that could have been knocked"});
  Entry row = row_of(Act::note);
  row.setup = setup_->name;
  row.note = kKnockedNote;
  append(row);
}

void Dialogue::note(const Typed& typed) {
  Entry row = row_of(Act::note);
  row.note = typed.text;
  if (!typed.list) return append(row);
  const auto numbers = numbers_of(typed, known_);
  if (!numbers) return;
  for (const KnownNumber& n : *numbers) {
    row.number = n.floor;
    row.level = n.level;
    append(row);
  }
}

void Dialogue::undo(const Typed& typed) {
  if (!typed.number && waiting_) {
    waiting_.reset();
    return;
  }
  const auto can = [](const Entry& e) {
    return e.act != Act::set_up && e.act != Act::check && e.act != Act::undone;
  };
  std::optional<std::uint32_t> meant;
  std::string why = "nothing in this book can be undone";
  for (std::size_t r = state_->rows().size(); r-- > 0 && !meant;) {
    const BookRow& row = state_->rows()[r];
    if (row.book != own_) continue;
    const Entry& e = book_->entries()[row.row];
    if (typed.number && e.entry != *typed.number) continue;
    if (!typed.number && e.by != request_.by) continue;  // of others only by its number
    if (typed.number)
      why = fmt::format("entry {} is {}", e.entry, row.is_undone ? "undone" : act_word(e.act));
    if (can(e) && !row.is_undone) meant = row.row;
    if (typed.number) break;
  }
  if (typed.number && *typed.number > book_->size()) why = fmt::format("there is no entry {}", *typed.number);
  if (!meant) return say_no({NoWord::undo, why});
  const Entry undone = book_->entries()[*meant];
  Entry row = row_of(Act::undone);
  row.of.entry = undone.entry;
  append(row);
  Said& told = answer_.said.back();
  told.text = std::string(act_word(undone.act));
  if (undone.number > 0) told.text += fmt::format(" {}", known_.typed(undone.number, undone.level));
  if (undone.number == 0) return;
  held_.erase(Key{undone.number} * 2 + (undone.level == EntryLevel::deck ? 1 : 0));
  if (undone.act != Act::marked && !is_hold(undone)) return;
  if (const auto number = known_.find(undone.number, undone.level); number && !waiting_) {
    offered_ = number;
    is_offer_told_ = false;
    is_offer_chosen_ = true;
    if (const auto stop = order_->find(number->floor, number->level)) cursor_ = *stop;
  }
}

void Dialogue::end() {
  std::size_t marked = 0, drilled = 0;
  const std::vector<Entry>& rows = book_->entries();
  constexpr std::size_t kDay = 10;
  for (auto r = state_->rows().rbegin(); r != state_->rows().rend(); ++r) {
    if (r->book != own_) continue;
    const Entry& e = rows[r->row];
    if (e.time.substr(0, kDay) != rows.back().time.substr(0, kDay)) break;
    if (r->is_undone) continue;
    if (e.act == Act::marked && e.of.is_none()) ++marked;
    if (e.act == Act::drilled) ++drilled;
  }
  if (waiting_ && offered_) say_tell(fmt::format("{} was read, not kept", offered_->typed));
  if (const StandingOf* const s = standing(); s && (s->marks_since_check > 0 || s->knocked))
    say_tell(fmt::format("{} since the last check: read {} before the tripod is moved",
                         s->knocked                  ? std::string("a knock")
                         : s->marks_since_check == 1 ? std::string("1 mark")
                                                     : fmt::format("{} marks", s->marks_since_check),
                         default_target()));
  if (!rows.empty())
    say_tell(fmt::format("entry {}, {}-{}, {} marked, {} drilled", rows.size(),
                         rows.back().chain.substr(0, 4), rows.back().chain.substr(4, 4), marked, drilled));
  Said out;
  out.kind = SaidKind::bye;
  out.entry = book_->size();
  out.line = fmt::format("bye {}", book_->size());
  say(std::move(out));
  const StandingOf* const s = standing();
  answer_.is_out = s && s->is_out;
  answer_.is_over = true;
}

void Dialogue::help() {
  constexpr std::string_view kLines[] = {
      "1041 offers that mark, 6041 the deck point above it",
      "a reading is circle and distance; or circle, zenith, slope [target height]; or c northing easting",
      "y keeps it; keep: why keeps it beyond tolerance; undo drops it; a number takes it over",
      ". marked without a reading; next passes over; hold: why passes over and notes it",
      "drilled 1041-1052 1060 but 1047; so too marked filled cut hung taken-down voided",
      "doubtful 1041: why; cleared 1041: why; note 1041: text; undo 12 undoes entry 12",
      "k the instrument was knocked; check CP1 reads a known target; setup S2 it stands elsewhere",
      "end ends; two letters of a word will do"};
  for (const std::string_view line : kLines) say_tell(std::string(line));
}

BookAnswer Dialogue::ticks(std::string_view text, std::string_view sheet, const BookClock& clock) {
  begin(clock);
  std::vector<Said> told = std::move(answer_.said);
  open_tells(0);
  answer_.said.insert(answer_.said.end(), told.begin(), told.end());
  const auto ended = [this](bool is_good) {
    end();
    answer_.is_refused = !is_good;
    return std::move(answer_);
  };
  const auto no = [this, &ended](Refusal refusal) {
    say_no(refusal);
    return ended(false);
  };
  if (request_.at && !take_time(*request_.at)) return ended(false);
  const auto id = sheet_id_of(trimmed(sheet));
  if (!id)
    return no({NoWord::sheet, in_quotes(sheet) + ": the number at the head of the sheet, as in " +
                                  sheet_id_text({facts_.issue, SheetKind::floor, 1})});
  if (id->issue > facts_.issue)
    return no({NoWord::sheet, fmt::format("it is of issue {}, the last one is {}", id->issue, facts_.issue)});
  auto typed = typed_line(text, facts_.typing);
  if (auto* refusal = std::get_if<Refusal>(&typed)) return no(std::move(*refusal));
  const Typed& line = std::get<Typed>(typed);
  if (line.kind != TypedKind::act || !line.list)
    return no({NoWord::word, "an act and its numbers: marked 1041-1052 but 1047"});
  const KnownNumbers known(*facts_.ledger, id->issue);
  const auto numbers = numbers_of(line, known);
  if (!numbers) return ended(false);
  for (const KnownNumber& n : *numbers) {
    const bool is_rod = line.act == Act::cut || line.act == Act::hung || line.act == Act::taken_down;
    const bool is_hole = line.act == Act::drilled || line.act == Act::filled;
    const bool is_deck = id->kind == SheetKind::deck || id->kind == SheetKind::holes;
    const bool fits = is_rod    ? id->kind == SheetKind::rods
                      : is_hole ? is_deck
                                : (n.level == EntryLevel::deck ? is_deck : id->kind == SheetKind::floor);
    if (!fits)
      return no(
          {NoWord::sheet, fmt::format("{} {} does not stand on that sheet", act_word(line.act), n.typed)});
  }
  return ended(write_acts(line.act, *numbers, line.text, EntrySource::sheet, known));
}

}  // namespace deckmark
