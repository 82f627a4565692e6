#include <doctest/doctest.h>

#include <random>
#include <string>
#include <vector>

#include "../issues/plain_ledger.h"
#include "book/state.h"

using namespace deckmark;

namespace {

void same_things(const BookState& a, const BookState& b, const std::vector<BookThing>& x,
                 const std::vector<BookThing>& y) {
  REQUIRE(x.size() == y.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    CHECK(x[i].made == y[i].made);
    CHECK(x[i].record.row == y[i].record.row);
    CHECK(x[i].record.standing == y[i].record.standing);
    CHECK((!x[i].record.standing || x[i].record.segment == y[i].record.segment));
    CHECK(x[i].doubted == y[i].doubted);
    CHECK(x[i].cleared == y[i].cleared);
    CHECK(a.is_doubtful(x[i]) == b.is_doubtful(y[i]));
  }
}

void same_states(const BookState& a, const BookState& b) {
  for (std::uint32_t n = 1001; n <= 1004; ++n) {
    static const NumberState nothing;
    const NumberState &x = a.find(n) ? *a.find(n) : nothing, &y = b.find(n) ? *b.find(n) : nothing;
    same_things(a, b, x.floor, y.floor);
    same_things(a, b, x.deck, y.deck);
    same_things(a, b, x.holes, y.holes);
    same_things(a, b, x.filled, y.filled);
    CHECK(x.rod.kind == y.rod.kind);
  }
  REQUIRE(a.standings().size() == b.standings().size());
  for (std::size_t s = 0; s < a.standings().size(); ++s) {
    const StandingOf &x = a.standings()[s], &y = b.standings()[s];
    CHECK(x.is_out == y.is_out);
    CHECK(x.marks_since_check == y.marks_since_check);
    CHECK(x.knocked == y.knocked);
    REQUIRE(x.groups.size() == y.groups.size());
    for (std::size_t g = 0; g < x.groups.size(); ++g) CHECK(x.groups[g].is_out == y.groups[g].is_out);
  }
}

/// A row that may fit what stands, or may not.
Entry random_row(std::mt19937& random, std::uint32_t rows) {
  const auto below = [&random](std::uint32_t n) { return static_cast<std::uint32_t>(random() % n); };
  constexpr Act kActs[] = {Act::marked, Act::marked,   Act::marked,    Act::marked, Act::drilled,
                           Act::filled, Act::voided,   Act::cut,       Act::hung,   Act::check,
                           Act::check,  Act::doubtful, Act::note,      Act::set_up, Act::cleared,
                           Act::undone, Act::undone,   Act::taken_down};
  Entry e;
  e.act = kActs[below(std::size(kActs))];
  e.issue = 1;
  e.by = "Ada";
  const bool is_of_setup = e.act == Act::set_up || e.act == Act::check || e.act == Act::note ||
                           (e.act == Act::marked && below(4) > 0);
  if (is_of_setup) e.setup = below(3) == 0 ? "S2" : "S1";
  if (e.act == Act::check) {
    e.target = below(2) == 0 ? "T1" : "T2";
    e.verdict = below(4) == 0 ? Verdict::outside : Verdict::within;
  } else if (e.act == Act::note) {
    e.note = below(2) == 0 ? kKnockedNote : "edge";
    if (below(2) == 0) e.number = 1001 + below(4);
  } else if (e.act == Act::undone) {
    e.of.entry = 1 + below(rows + 1);
  } else if (e.act != Act::set_up) {
    e.number = 1001 + below(4);
    e.level =
        e.act == Act::drilled || e.act == Act::filled || below(2) == 0 ? EntryLevel::deck : EntryLevel::floor;
    if (below(3) == 0) e.of.entry = 1 + below(rows + 1);
  }
  return e;
}

}  // namespace

TEST_CASE("a state that takes rows as they come is the one that reads them all, whatever is undone") {
  const Ledger ledger = plain::ledger_of({{plain::hanger("A", 1001), plain::hanger("B", 1002, 2),
                                           plain::hanger("C", 1003, 4), plain::hanger("D", 1004, 6)}});
  std::mt19937 random(1);
  for (int round = 0; round < 60; ++round) {
    Book book("", "0123456789abcdef");
    BookState grown({&book}, ledger);
    for (int i = 0; i < 60; ++i) {
      Entry e = random_row(random, book.size());
      // What is never undone: set-ups, checks, what undoes.
      if (e.act == Act::undone && e.of.entry <= book.size()) {
        const Act act = book.entries()[e.of.entry - 1].act;
        if (act == Act::set_up || act == Act::check || act == Act::undone) continue;
      }
      e.time = "2026-11-28T07:00Z";
      e.at = *instant_of(e.time);
      book.add(e);
      grown.add(0);
      if (i % 6 == 5) same_states(grown, BookState({&book}, ledger));
    }
  }
}
