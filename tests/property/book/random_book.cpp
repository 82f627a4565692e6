#include "random_book.h"

#include <algorithm>
#include <cmath>

namespace deckmark_test {

namespace {

constexpr std::int64_t kStart = 1795845600;  // 2026-11-28T07:00:00+01:00 less a year's worth is no matter

double metres(Micro value) { return static_cast<double>(value) / 1e6; }
Micro micro(double metres) { return std::llround(metres * 1e6); }

}  // namespace

RandomBook::RandomBook(Dice& dice, const BookWorld& world) : dice_(dice), world_(world), now_(kStart) {
  books_.push_back({"", {}});
  if (dice.chance(30)) books_.push_back({"north", {}});
  setup_.resize(books_.size());
}

void RandomBook::work(const IssuedNumbers& issued, std::size_t rows) {
  issue_ = issued.last_issue();
  for (std::size_t tries = 0, made = 0; made < rows && tries < 6 * rows; ++tries) {
    book_ = dice_.below(books_.size());
    if (!act(issued)) continue;
    ++made;
    standing_ = replayed(books_, issued, metres(world_.sd));
  }
}

bool RandomBook::act(const IssuedNumbers& issued) {
  const std::size_t roll = dice_.below(100);
  if (setup_[book_].empty() || roll < 4) return set_up();
  if (roll < 16) return check();
  if (roll < 42) return marked(issued, false);
  if (roll < 60) return marked(issued, true);
  if (roll < 66) return read_again(issued);
  if (roll < 77) return drilled(issued);
  if (roll < 83) return on_thing(issued);
  if (roll < 94) return rod(issued);
  if (roll < 97) return undone();
  return other();
}

BookRow RandomBook::row(const std::string& act) {
  BookRow r;
  r.act = act;
  r.issue = issue_;
  const bool alone = books_.size() == 1;
  now_ += static_cast<std::int64_t>(alone && dice_.chance(3) ? -20 : 5 + static_cast<int>(dice_.below(90)));
  r.at = now_;
  r.time = time_text(r.at, books_[book_].name.empty() ? 1 : 0);
  r.by = books_[book_].name.empty() ? "Ada" : "Bo";
  r.source = dice_.chance(90) ? "live" : "file";
  return r;
}

void RandomBook::put(BookRow r) {
  r.entry = static_cast<std::uint32_t>(books_[book_].rows.size() + 1);
  books_[book_].rows.push_back(std::move(r));
}

std::string RandomBook::of(const RowId& id) const {
  return id.book == books_[book_].name ? std::to_string(id.entry) : id.book + ":" + std::to_string(id.entry);
}

std::int64_t RandomBook::any_live(const IssuedNumbers& issued) {
  const auto all = issued.numbers();
  for (int tries = 0; tries < 20; ++tries) {
    const std::int64_t n = all[dice_.below(all.size())];
    if (issued.now(n)->live) return n;
  }
  return 0;
}

bool RandomBook::set_up() {
  BookRow r = row("set-up");
  setup_[book_] =
      dice_.chance(30) && !setup_[book_].empty() ? setup_[book_] : "S" + std::to_string(++setups_);
  r.setup = setup_[book_];
  r.northing = world_.north + dice_.within(3000000);
  r.easting = world_.east + dice_.within(3000000);
  if (dice_.chance(50)) r.elevation = 13500000;
  r.reading = std::to_string(dice_.below(360)) + ".123456";
  put(r);
  return check();
}

bool RandomBook::check() {
  const std::size_t times = 1 + dice_.below(3);
  for (std::size_t i = 0; i < times; ++i) {
    BookRow r = row("check");
    r.setup = setup_[book_];
    r.target = "CP" + std::to_string(1 + dice_.below(4));
    r.northing = dice_.within(9000000);
    r.easting = dice_.within(9000000);
    r.sd_along = 1200;
    r.sd_across = 900;
    r.verdict = dice_.chance(80) ? "within" : "outside";
    r.reading = "12.3456 90.1 7.001";
    put(r);
  }
  return true;
}

/// As read, or nothing of it; a little off, at times further than is kept without a word.
void RandomBook::place(BookRow& r, const IssuedPlace& at) {
  if (dice_.chance(20)) return;
  static constexpr Micro kSds[] = {1000, 1300, 2000, 2600, 4000};
  const Micro large = kSds[dice_.below(5)], small = large / 2 + static_cast<Micro>(dice_.below(300));
  const double off = dice_.chance(85) ? 0.0013 : 0.006;
  const double north = metres(at.northing) + off * dice_.normal(),
               east = metres(at.easting) + off * dice_.normal();
  r.northing = micro(north);
  r.easting = micro(east);
  const bool along = dice_.chance(50);
  r.sd_along = along ? large : small;
  r.sd_across = along ? small : large;
  r.reading = "c 1.5 2.5";
  if (r.level == "floor" || dice_.chance(50)) r.elevation = at.floor;
  truths_[{books_[book_].name, static_cast<std::uint32_t>(books_[book_].rows.size() + 1)}] = {
      north + metres(large) * dice_.normal(), east + metres(large) * dice_.normal()};
}

bool RandomBook::marked(const IssuedNumbers& issued, bool deck) {
  std::int64_t n = any_live(issued);
  const std::string level = deck ? "deck" : "floor";
  // once more what stands already: seldom
  for (int tries = 0; n > 0 && standing_.newest(n, level, false) != nullptr && tries < 4; ++tries)
    n = any_live(issued);
  if (n == 0 || (deck && !issued.now(n)->deck)) return false;
  if (standing_.newest(n, level, false) != nullptr && !dice_.chance(20)) return false;
  BookRow r = row("marked");
  r.number = n;
  r.level = level;
  place(r, *issued.now(n));
  const bool tape = dice_.chance(10);
  if (!tape) r.setup = setup_[book_];
  put(r);
  return true;
}

const Thing* RandomBook::any_thing(bool holes) {
  std::vector<const Thing*> all;
  for (const Thing& t : standing_.things)
    if (!t.gone && (holes || !t.hole)) all.push_back(&t);
  return all.empty() ? nullptr : all[dice_.below(all.size())];
}

bool RandomBook::read_again(const IssuedNumbers& issued) {
  const Thing* t = any_thing(true);
  if (t == nullptr || !issued.now(t->number)->live) return false;
  const IssuedPlace& at = *issued.now(t->number);
  if (t->level == "deck" && !at.deck) return false;
  BookRow r = row("marked");
  r.number = t->number;
  r.level = t->level;
  r.of = of(t->made);
  r.setup = setup_[book_];
  place(r, at);
  if (!r.has_place()) return false;
  put(r);
  return true;
}

bool RandomBook::drilled(const IssuedNumbers& issued) {
  const Thing* t = any_thing(false);
  if (t == nullptr || t->level != "deck") return false;
  const std::int64_t n = t->number;
  if (!issued.now(n)->live || !issued.now(n)->deck || standing_.newest(n, "deck", true) != nullptr)
    return false;
  BookRow r = row("drilled");
  r.number = n;
  r.level = "deck";
  if (dice_.chance(50)) r.source = "sheet";
  put(r);
  return true;
}

/// filled, voided, doubtful, cleared.
bool RandomBook::on_thing(const IssuedNumbers& issued) {
  const Thing* t = any_thing(true);
  if (t == nullptr) return false;
  const std::size_t roll = dice_.below(4);
  static const char* const kActs[] = {"away", "doubtful", "doubtful", "cleared"};
  std::string act = kActs[roll];
  if (act == "away") act = t->hole ? "filled" : "voided";
  if (act == "cleared" && !t->doubtful) return false;
  if (act == "doubtful" && t->doubtful) return false;
  // the oldest goes, the newest is doubted, the newest doubtful one is cleared
  const auto all = standing_.open(t->number, t->level, t->hole);
  if (act == "filled" || act == "voided") t = all.front();
  if (act == "doubtful") t = all.back();
  if (act == "cleared")
    for (const Thing* other : all)
      if (other->doubtful) t = other;
  if (act == "doubtful" && t->doubtful) return false;
  static_cast<void>(issued);
  BookRow r = row(act);
  r.number = t->number;
  r.level = t->level;
  r.of = of(t->made);
  if (act == "doubtful" || act == "cleared") r.note = "looked, \"twice\"";
  put(r);
  return true;
}

bool RandomBook::rod(const IssuedNumbers& issued) {
  const std::int64_t n = any_live(issued);
  if (n == 0) return false;
  const auto rod = standing_.rods.find(n);
  std::string act = "cut";
  if (rod != standing_.rods.end()) act = rod->second.hung ? "taken-down" : dice_.chance(80) ? "hung" : "cut";
  if (act == "taken-down" && !dice_.chance(20)) return false;
  if (act != "taken-down" && !issued.now(n)->cut) return false;
  BookRow r = row(act);
  r.number = n;
  r.source = dice_.chance(50) ? "sheet" : "live";
  put(r);
  return true;
}

/// The last row of this book, if it may be: nothing can hang on it yet but what another crew just did.
bool RandomBook::undone() {
  if (books_[book_].rows.empty() || books_.size() > 1) return false;
  const BookRow& last = books_[book_].rows.back();
  if (last.act == "set-up" || last.act == "check" || last.act == "undone") return false;
  BookRow r = row("undone");
  r.of = std::to_string(last.entry);
  put(r);
  return true;
}

bool RandomBook::other() {
  BookRow r = row("note");
  if (dice_.chance(50)) r.setup = setup_[book_];
  r.note = dice_.chance(50) ? "knocked" : "=SUM of the bay, wet";
  put(r);
  return true;
}

}  // namespace deckmark_test
