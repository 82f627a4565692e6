#include "work/book_history.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "book/dispute.h"
#include "book/state.h"
#include "measure/letters.h"
#include "work/read_books.h"

namespace deckmark {

namespace {

class Account {
 public:
  Account(const Computation& c, const BooksFound& books, std::uint32_t row, std::uint32_t mark)
      : c_(c),
        books_(books),
        ledger_(c.job.ledger.ledger),
        state_(books.books(), ledger_),
        row_(row),
        number_(ledger_.columns().number(row)),
        mark_(mark) {}

  std::vector<HistoryStep> steps() const {
    std::vector<HistoryStep> out;
    for (std::uint32_t r = 0; r < state_.rows().size(); ++r) {
      const Entry& e = state_.entry(r);
      if (e.number != number_) continue;
      HistoryStep s;
      s.kind = HistoryKind::book;
      s.issue = e.issue;
      s.who = e.by;
      s.on = e.time;
      s.level = level_word(e.level);
      s.where = fmt::format("{}:{}", books_.files[state_.rows()[r].book].file, e.entry + 1);
      s.act = act_word(e.act);
      s.setup = e.setup;
      s.is_last = !state_.rows()[r].is_undone;
      if (e.has_place())
        if (const auto place = place_of_issue(e.issue)) s.offset = distance(*place, e.site.point());
      out.push_back(std::move(s));
    }
    return out;
  }

  std::string blame() {
    const AsbuiltFound* found = c_.asbuilt.get();
    const NumberState* made = state_.find(number_);
    if (!found || !made || mark_ == kNone32) return "";
    const AsbuiltRow* disputed = nullptr;
    for (const AsbuiltRow& r : found->rows)
      if (r.mark == mark_ && r.plan == Verdict::outside && r.level != AsbuiltLevel::bracket &&
          !crosses_of(*made, r.level).empty() && (!disputed || r.offset > disputed->offset))
        disputed = &r;
    if (!disputed) return "";
    const auto facts = facts_of(crosses_of(*made, disputed->level).back(), *disputed, *found);
    return facts ? words(weigh(*facts), disputed->level) : "";
  }

 private:
  static const std::vector<BookThing>& crosses_of(const NumberState& made, AsbuiltLevel level) {
    if (level != AsbuiltLevel::deck) return made.floor;
    return made.deck.empty() ? made.holes : made.deck;
  }
  std::optional<Point<Site>> place_of_issue(std::uint32_t issue) const {
    const std::uint32_t then = ledger_.as_of(row_, issue);
    if (then == kNone32) return std::nullopt;
    return ledger_.row(then).site.point();
  }

  /// Set-ups of shots, by name, are counted behind the standings of the books.
  std::uint32_t shot_setup(const AsbuiltRow& r) {
    const std::string name = small_letters(c_.views.asbuilt.asbuilt.shots.setups[r.shot]);
    return static_cast<std::uint32_t>(state_.standings().size()) +
           shot_setups_.emplace(name, static_cast<std::uint32_t>(shot_setups_.size())).first->second;
  }
  /// Of what no set-up made: by itself.
  std::uint32_t made_setup(const Record& record) const {
    return record.standing ? *record.standing : kNone32;
  }
  Length sd_of(const Record& record) const {
    return record.sd.is_none() ? c_.job.book.options.sd : record.sd.length();
  }
  static Length both(Length a, Length b) { return hypot(a, b); }

  std::optional<DisputeFacts> facts_of(const BookThing& cross, const AsbuiltRow& shot,
                                       const AsbuiltFound& found) {
    const Record& record = cross.record;
    const auto place = place_of_issue(record.issue);
    if (!place || record.site.northing.is_none()) return std::nullopt;
    DisputeFacts out{.place = *place, .permitted = permitted(shot.level)};
    out.made_at = made_setup(record);
    out.order = record.row;
    add_readings(cross, shot, found, out);
    const LaidOut& laid = *c_.laid.get();
    const KeptDrawing then = ledger_.row(ledger_.as_of(row_, record.issue)).drawing;
    if (!(KeptDrawing::of(laid.marks->places[mark_]) == then)) out.moved = laid.placed.marks[mark_] - *place;
    out.newer_was_out = newer_was_out(record);
    if (record.standing) {
      const StandingOf& standing = state_.standings()[*record.standing];
      if (record.segment < standing.groups.size())
        out.next_check = standing.groups[record.segment].is_out ? Verdict::outside : Verdict::within;
    }
    for (std::uint32_t r = row_; r != kNone32; r = ledger_.before(r))
      if (const Vec<Site> by = ledger_.row(r).site.point() - *place; norm(by) > Length::millimetres(1))
        out.other_issues.push_back(by);
    add_beside(shot, found, out);
    add_stations(out);
    return out;
  }

  void add_readings(const BookThing& cross, const AsbuiltRow& shot, const AsbuiltFound& found,
                    DisputeFacts& out) {
    const Record& record = cross.record;
    const Entry& made = state_.entry(cross.made);
    if (record.row != cross.made && made.act == Act::marked && made.has_place())
      out.readings.push_back({made.site.point() - out.place, made.sd().length(), made_setup(record)});
    if (record.is_read)
      out.readings.push_back({record.site.point() - out.place, sd_of(record), made_setup(record)});
    out.was_read = !out.readings.empty();
    for (const AsbuiltRow& r : found.rows)
      if (r.mark == mark_ && r.level == shot.level && &r != &shot)
        out.readings.push_back({r.at - out.place, sd_of_shot(r), shot_setup(r)});
    out.readings.push_back({shot.at - out.place, sd_of_shot(shot), shot_setup(shot)});
  }
  Length permitted(AsbuiltLevel level) const {
    return level == AsbuiltLevel::deck ? c_.job.plumb.tolerance : c_.job.asbuilt.options.plan;
  }
  Length sd_of_shot(const AsbuiltRow& r) const {
    return c_.views.asbuilt.asbuilt.shots.rows[r.shot].sd.value_or(c_.job.asbuilt.options.sd);
  }

  /// Whether an issue with another place was known before the cross was made.
  bool newer_was_out(const Record& record) const {
    std::uint32_t other = 0;
    for (std::uint32_t r = row_; r != kNone32; r = ledger_.before(r))
      if (ledger_.issue_of(r) > record.issue) other = ledger_.issue_of(r);
    if (other == 0) return false;
    for (std::uint32_t r = 0; r < record.row; ++r)
      if (state_.entry(r).issue >= other) return true;
    const std::string_view day = state_.entry(record.row).time.substr(0, 10);
    return std::ranges::any_of(c_.job.ledger.given,
                               [&](const GivenRow& g) { return g.issue >= other && g.on < day; });
  }

  void add_beside(const AsbuiltRow& shot, const AsbuiltFound& found, DisputeFacts& out) {
    const LaidOut& laid = *c_.laid.get();
    for (const AsbuiltRow& r : found.rows) {
      if (r.mark == mark_ || r.level != shot.level) continue;
      const NumberState* made = state_.find(laid.numbers.of(r.mark));
      if (!made) continue;
      const std::vector<BookThing>& crosses = r.level == AsbuiltLevel::deck ? made->deck : made->floor;
      if (crosses.empty() || crosses.back().record.site.northing.is_none()) continue;
      const Record& record = crosses.back().record;
      out.beside.push_back({r.at - record.site.point(), both(sd_of(record), sd_of_shot(r)),
                            made_setup(record), shot_setup(r), record.row, r.design});
    }
  }

  void add_stations(DisputeFacts& out) const {
    for (std::uint32_t s = 0; s < state_.standings().size(); ++s) {
      const Entry& e = state_.entry(state_.standings()[s].row);
      if (e.has_place()) out.setups.emplace_back(s, e.site.point());
    }
    const Setups* setups = c_.setups.get();
    for (const auto& [name, i] : shot_setups_)
      for (std::size_t k = 0; setups && k < setups->setups.size(); ++k)
        if (setups->setups[k] && small_letters(c_.job.instrument.setups[k].name) == name)
          out.setups.emplace_back(static_cast<std::uint32_t>(state_.standings().size()) + i,
                                  setups->setups[k]->result.at);
  }

  std::string words(const DisputeFound& found, AsbuiltLevel level) const {
    const std::uint32_t number = level == AsbuiltLevel::deck
                                     ? number_ + static_cast<std::uint32_t>(ledger_.row(row_).deck_offset)
                                     : number_;
    std::string chances;
    std::vector<std::pair<double, Link>> order;
    for (std::size_t l = 0; l < kLinks; ++l)
      if (found.probability[l] >= 0.005) order.emplace_back(-found.probability[l], static_cast<Link>(l));
    std::sort(order.begin(), order.end());
    for (const auto& [less, link] : order)
      chances += fmt::format("{}{} {:.0f} %", chances.empty() ? "" : ", ", link_word(link), -100 * less);
    if (found.link)
      return fmt::format("likely the {}: {:.0f} chances in 100", link_word(*found.link),
                         std::floor(100 * found.probability[static_cast<std::size_t>(*found.link)]));
    return fmt::format("cannot tell ({}); {}", chances,
                       found.decides == Decides::more_of_setup
                           ? "shoot two more marks of the same set-up, and see whether they are off alike"
                           : fmt::format("read {} again from another set-up", number));
  }

  const Computation& c_;
  const BooksFound& books_;
  const Ledger& ledger_;
  BookState state_;
  std::uint32_t row_, number_, mark_;
  std::map<std::string, std::uint32_t> shot_setups_;
};

}  // namespace

BookHistory book_history(const Computation& c, std::uint32_t row, std::uint32_t mark, Messages& messages) {
  const BooksFound books = read_books(c.job, messages);
  if (messages.has_problems() || books.files.empty()) return {};
  Account account(c, books, row, mark);
  return {account.steps(), account.blame()};
}

}  // namespace deckmark
