#include "book/state.h"

#include <algorithm>

#include "table/meant_word.h"

namespace deckmark {

bool are_out(std::span<const std::pair<std::string_view, Verdict>> checks) {
  for (std::size_t i = 0; i < checks.size(); ++i) {
    if (checks[i].second != Verdict::outside) continue;
    bool is_last = true;
    std::vector<std::string_view> others;  // read within since
    for (std::size_t k = i + 1; k < checks.size(); ++k) {
      if (same_name(checks[k].first, checks[i].first))
        is_last = false;
      else if (checks[k].second == Verdict::within &&
               std::none_of(others.begin(), others.end(),
                            [&](std::string_view o) { return same_name(o, checks[k].first); }))
        others.push_back(checks[k].first);
    }
    if (is_last && others.size() < 2) return true;
  }
  return false;
}

BookState::BookState(std::vector<const Book*> books, const Ledger& ledger)
    : books_(std::move(books)), ledger_(&ledger), row_of_entry_(books_.size()) {
  for (const MergedEntry& m : merged(books_)) {
    const auto r = static_cast<std::uint32_t>(rows_.size());
    row_of_entry_[m.book].push_back(r);
    rows_.push_back({m.book, m.row, m.at});
    if (const std::uint32_t number = entry(r).number; number > 0) rows_of_number_[number].push_back(r);
  }
  for (std::uint32_t r = 0; r < rows_.size(); ++r)
    if (entry(r).act == Act::undone)
      if (const auto undone = row_of(r)) rows_[*undone].is_undone = true;
  replay();
}

void BookState::replay() {
  numbers_.clear();
  standings_.clear();
  for (std::uint32_t r = 0; r < rows_.size(); ++r)
    if (!rows_[r].is_undone) apply(r);
}

void BookState::add(std::uint32_t book) {
  const auto r = static_cast<std::uint32_t>(rows_.size());
  const std::uint32_t at_entry = books_[book]->size() - 1;
  std::int64_t at = books_[book]->entries()[at_entry].at;
  if (!row_of_entry_[book].empty()) at = std::max(at, rows_[row_of_entry_[book].back()].at);
  row_of_entry_[book].push_back(r);
  rows_.push_back({book, at_entry, at});
  if (const std::uint32_t number = entry(r).number; number > 0) rows_of_number_[number].push_back(r);
  if (entry(r).act != Act::undone) {
    apply(r);
    return;
  }
  const auto undone = row_of(r);
  if (!undone || rows_[*undone].is_undone) return;
  rows_[*undone].is_undone = true;
  if (!replay_number(*undone)) replay();
}

/// Replays the rows of one number alone; false where the undone row did more than to its number: the only
/// mark between two groups of checks, a knock.
bool BookState::replay_number(std::uint32_t undone) {
  const Entry& e = entry(undone);
  if (e.number == 0 || e.act == Act::note) return e.act == Act::note && e.note != kKnockedNote;
  if (const std::uint32_t at = rows_[undone].standing; e.act == Act::marked && at != kNone32) {
    StandingOf& standing = standings_[at];
    if (rows_[undone].segment == standing.groups.size()) {
      --standing.marks_since_check;
    } else {
      bool is_only = true;
      for (std::uint32_t r = standing.row; r < rows_.size() && is_only; ++r)
        is_only = rows_[r].is_undone || rows_[r].standing != at || rows_[r].segment != rows_[undone].segment;
      if (is_only) return false;
    }
  }
  const std::vector<std::uint32_t>& rows = rows_of_number_[e.number];
  const auto looked = [this](std::uint32_t r) {
    return entry(r).act == Act::cleared && entry(r).of.is_none() && !rows_[r].is_undone;
  };
  if (std::any_of(rows.begin(), rows.end(), looked)) return false;
  numbers_.erase(e.number);
  is_replaying_number_ = true;
  for (const std::uint32_t r : rows)
    if (!rows_[r].is_undone) apply(r);
  is_replaying_number_ = false;
  return true;
}

const NumberState* BookState::find(std::uint32_t number) const {
  const auto it = numbers_.find(number);
  return it == numbers_.end() ? nullptr : &it->second;
}

std::vector<std::uint32_t> BookState::numbers() const {
  std::vector<std::uint32_t> out;
  for (const auto& [number, made] : numbers_) out.push_back(number);
  std::sort(out.begin(), out.end());
  return out;
}

const StandingOf* BookState::standing_of(std::uint32_t book, std::string_view setup) const {
  for (auto s = standings_.rbegin(); s != standings_.rend(); ++s)
    if (s->book == book && same_name(s->setup, setup)) return &*s;
  return nullptr;
}

StandingOf* BookState::current(std::uint32_t row) {
  const std::string_view setup = entry(row).setup;
  const StandingOf* const s = setup.empty() ? nullptr : standing_of(rows_[row].book, setup);
  return s ? &standings_[static_cast<std::size_t>(s - standings_.data())] : nullptr;
}

std::optional<std::uint32_t> BookState::row_of(std::uint32_t row) const {
  const EntryOf& of = entry(row).of;
  if (of.is_none()) return std::nullopt;
  for (std::uint32_t b = 0; b < books_.size(); ++b) {
    const bool is_meant = of.in_this_book ? b == rows_[row].book : same_name(books_[b]->name(), of.book);
    if (!is_meant) continue;
    if (of.entry > row_of_entry_[b].size()) return std::nullopt;
    return row_of_entry_[b][of.entry - 1];
  }
  return std::nullopt;
}

bool BookState::is_doubtful(const BookThing& thing) const {
  if (thing.doubted) return true;
  if (!thing.record.standing) return false;
  const StandingOf& standing = standings_[*thing.record.standing];
  if (standing.groups.empty()) return false;
  // Where no check came after it, that one counts with which the standing ended.
  const std::size_t segment = std::min<std::size_t>(thing.record.segment, standing.groups.size() - 1);
  const StandingOf::Group& group = standing.groups[segment];
  return group.is_out && !(thing.cleared && *thing.cleared > group.first_out);
}

void BookState::apply(std::uint32_t row) {
  switch (entry(row).act) {
    case Act::set_up:
      return set_up(row);
    case Act::check:
      return check(row);
    case Act::marked:
      return mark(row);
    case Act::drilled:
      return drill(row);
    case Act::filled:
      return fill(row);
    case Act::cut:
    case Act::hung:
    case Act::taken_down:
      return change_rod(row);
    case Act::voided:
      return unmark(row);
    case Act::doubtful:
    case Act::cleared:
      return doubt(row);
    case Act::note:
      return note(row);
    case Act::undone:
      return;
  }
}

void BookState::set_up(std::uint32_t row) {
  StandingOf standing;
  standing.book = rows_[row].book;
  standing.setup = entry(row).setup;
  standing.row = row;
  standings_.push_back(std::move(standing));
}

void BookState::check(std::uint32_t row) {
  StandingOf* standing = current(row);
  if (!standing) return;
  if (standing->groups.empty() || standing->marks_since_check > 0) standing->groups.emplace_back();
  standing->checks.push_back(row);
  standing->any_outside = standing->any_outside || entry(row).verdict != Verdict::within;
  if (standing->any_outside) {
    std::vector<std::pair<std::string_view, Verdict>> checks;
    for (const std::uint32_t c : standing->checks)
      checks.emplace_back(entry(c).target, entry(c).verdict.value_or(Verdict::outside));
    standing->is_out = are_out(checks);
  }
  StandingOf::Group& group = standing->groups.back();
  if (standing->is_out && !group.is_out) group.first_out = row;
  group.is_out = standing->is_out;
  standing->marks_since_check = 0;
  standing->last_check = row;
  standing->knocked.reset();
}

Record BookState::record_of(std::uint32_t row) {
  const Entry& e = entry(row);
  Record out;
  out.row = row;
  out.setup = e.setup;
  out.issue = e.issue;
  out.elevation = e.elevation;
  out.is_read = e.has_place();
  out.sd = e.sd();
  if (e.has_place()) {
    out.site = e.site;
  } else if (const std::uint32_t last = ledger_->find(e.number); last != kNone32) {
    const std::uint32_t then = ledger_->as_of(last, e.issue);
    if (then != kNone32) out.site = ledger_->row(then).site;
  }
  if (rows_[row].standing != kNone32) {
    out.standing = rows_[row].standing;
    out.segment = rows_[row].segment;
  }
  return out;
}

BookThing* BookState::thing_of(std::uint32_t row, std::initializer_list<std::vector<BookThing>*> among) {
  const auto meant = row_of(row);
  if (!meant) return nullptr;
  for (std::vector<BookThing>* things : among)
    for (BookThing& thing : *things)
      if (thing.made == *meant || thing.record.row == *meant) return &thing;
  return nullptr;
}

void BookState::mark(std::uint32_t row) {
  const Entry& e = entry(row);
  if (!is_replaying_number_) {
    StandingOf* const standing = current(row);
    rows_[row].standing = standing ? static_cast<std::uint32_t>(standing - standings_.data()) : kNone32;
    rows_[row].segment = standing ? static_cast<std::uint32_t>(standing->groups.size()) : 0;
    if (standing) ++standing->marks_since_check;
  }
  const Record record = record_of(row);
  NumberState& n = numbers_[e.number];
  std::vector<BookThing>& crosses = e.level == EntryLevel::deck ? n.deck : n.floor;
  if (!e.of.is_none()) {
    BookThing* const thing =
        e.level == EntryLevel::deck ? thing_of(row, {&n.deck, &n.holes}) : thing_of(row, {&n.floor});
    if (!thing) return;
    thing->record = record;
    thing->doubted.reset();
    thing->cleared.reset();
    return;
  }
  BookThing thing;
  thing.made = row;
  thing.record = record;
  crosses.push_back(std::move(thing));
}

void BookState::drill(std::uint32_t row) {
  NumberState& n = numbers_[entry(row).number];
  BookThing hole;
  hole.made = row;
  if (n.deck.empty()) {
    hole.record = record_of(row);
    hole.record.standing.reset();
  } else {
    hole.record = n.deck.back().record;
    hole.doubted = n.deck.back().doubted;
    hole.cleared = n.deck.back().cleared;
    n.deck.pop_back();
  }
  n.holes.push_back(std::move(hole));
}

void BookState::fill(std::uint32_t row) {
  NumberState& n = numbers_[entry(row).number];
  if (n.holes.empty()) return;
  BookThing* meant = thing_of(row, {&n.holes});
  const std::ptrdiff_t at = meant ? meant - n.holes.data() : 0;
  if (!meant && !entry(row).of.is_none()) return;
  n.filled.push_back(n.holes[static_cast<std::size_t>(at)]);
  n.holes.erase(n.holes.begin() + at);
}

void BookState::unmark(std::uint32_t row) {
  NumberState& n = numbers_[entry(row).number];
  std::vector<BookThing>& crosses = entry(row).level == EntryLevel::deck ? n.deck : n.floor;
  if (crosses.empty()) return;
  BookThing* meant = thing_of(row, {&crosses});
  if (!meant && !entry(row).of.is_none()) return;
  crosses.erase(crosses.begin() + (meant ? meant - crosses.data() : 0));
}

void BookState::doubt(std::uint32_t row) {
  const Entry& e = entry(row);
  NumberState& n = numbers_[e.number];
  const bool doubts = e.act == Act::doubtful;
  std::vector<BookThing*> all;
  for (std::vector<BookThing>* things :
       e.level == EntryLevel::deck ? std::vector{&n.deck, &n.holes} : std::vector{&n.floor})
    for (BookThing& thing : *things) all.push_back(&thing);
  BookThing* meant =
      e.level == EntryLevel::deck ? thing_of(row, {&n.deck, &n.holes}) : thing_of(row, {&n.floor});
  if (!meant && !e.of.is_none()) return;
  for (BookThing* thing : all)
    if (e.of.is_none() && (doubts || is_doubtful(*thing)) && (!meant || thing->made > meant->made))
      meant = thing;
  if (!meant) return;
  if (doubts) {
    meant->doubted = row;
  } else {
    meant->doubted.reset();
    meant->cleared = row;
  }
}

void BookState::change_rod(std::uint32_t row) {
  const Entry& e = entry(row);
  RodState& rod = numbers_[e.number].rod;
  if (e.act == Act::cut) {
    rod.kind = RodState::Kind::cut;
    rod.row = row;
    rod.length = Kept::none();
    if (const std::uint32_t last = ledger_->find(e.number); last != kNone32)
      if (const std::uint32_t then = ledger_->as_of(last, e.issue); then != kNone32)
        rod.length = ledger_->row(then).cut;
  } else if (rod.kind != RodState::Kind::none) {
    rod.kind = e.act == Act::hung ? RodState::Kind::hung : RodState::Kind::cut;
  }
}

void BookState::note(std::uint32_t row) {
  if (is_replaying_number_ || entry(row).note != kKnockedNote) return;
  if (StandingOf* standing = current(row)) standing->knocked = row;
}

}  // namespace deckmark
