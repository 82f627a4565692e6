#include "book/today.h"

#include <algorithm>
#include <unordered_map>

#include "book/ledger_axes.h"
#include "marks/near_pairs.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr Length kSamePlace = Length::millimetres(1);  // as of changes: what moved by no more is where it was
const NumberState kNothingMade{};

/// A number with all that is known of it.
struct Known {
  std::uint32_t number = 0, last = kNone32;
  LedgerRow row{};  // of the last issue
  const NumberState* made = &kNothingMade;

  bool is_live() const { return last != kNone32 && row.live; }
  bool has_deck() const { return is_live() && !row.deck.is_none(); }
  bool is_hung() const { return made->rod.kind == RodState::Kind::hung; }
  const std::vector<BookThing>& things(TodayThing thing) const {
    return thing == TodayThing::floor ? made->floor : thing == TodayThing::deck ? made->deck : made->holes;
  }
  bool is_wanted(TodayThing thing) const { return thing == TodayThing::floor ? is_live() : has_deck(); }
};

/// A thing that another number takes.
struct Taken {
  std::size_t from = 0;
  const BookThing* thing = nullptr;
};
using TakenBy = std::unordered_map<std::size_t, Taken>;

/// Numbers that the ledger has or of which anything was made, in their order.
std::vector<Known> known_of(const BookState& state) {
  const Ledger& ledger = state.ledger();
  const std::vector<std::uint32_t> made = state.numbers();
  std::vector<Known> out;
  out.reserve(ledger.numbers());
  auto next = made.begin();
  const auto alone = [&](std::uint32_t number) {  // the ledger never had it
    Known k;
    k.number = number;
    k.made = state.find(number);
    out.push_back(k);
  };
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    Known k;
    k.last = ledger.latest(i);
    k.row = ledger.row(k.last);
    k.number = k.row.number;
    for (; next != made.end() && *next < k.number; ++next) alone(*next);
    if (next != made.end() && *next == k.number) k.made = state.find(*next++);
    out.push_back(k);
  }
  for (; next != made.end(); ++next) alone(*next);
  return out;
}

Transform<Drawing, Site> axes_of(const std::vector<Known>& known, bool mirrored) {
  LedgerAxes axes;
  for (const Known& k : known)
    if (k.is_live()) axes.add(k.row);
  return axes.fitted(mirrored);
}

class TodayOf {
 public:
  TodayOf(const BookState& state, const TodayOptions& options, const DrillRules& rules)
      : state_(state),
        ledger_(state.ledger()),
        options_(options),
        rules_(rules),
        known_(known_of(state)),
        drawing_(axes_of(known_, options.mirrored)) {}

  std::vector<TodayRow> rows() {
    rows_of_.resize(known_.size());
    const auto any = [](std::size_t) { return true; };
    judge_all(TodayThing::floor, any);
    judge_all(TodayThing::hole, any);
    for (std::size_t i = 0; i < known_.size(); ++i) keeps_hole_.push_back(keeps_hole(i));
    judge_all(TodayThing::deck, [this](std::size_t i) { return !keeps_hole_[i]; });
    drill();
    for (std::size_t i = 0; i < known_.size(); ++i) rod(i);
    std::vector<TodayRow> out;
    const auto before = [](const TodayRow& a, const TodayRow& b) { return a.thing < b.thing; };
    for (std::vector<TodayRow>& of : rows_of_) {
      if (!std::is_sorted(of.begin(), of.end(), before)) std::stable_sort(of.begin(), of.end(), before);
      out.insert(out.end(), of.begin(), of.end());
    }
    return out;
  }

 private:
  Length permitted(TodayThing thing) const {
    return thing == TodayThing::floor ? options_.floor : options_.deck;
  }
  Length sd_of(const Record& record) const {
    return record.is_read && !record.sd.is_none() ? record.sd.length() : options_.book.sd;
  }

  TodayRow row_of(std::size_t i, TodayThing thing, TodayDo what, TodayWhy why) const {
    TodayRow out;
    out.number = known_[i].number;
    out.ledger_row = known_[i].last;
    out.thing = thing;
    out.what = what;
    out.why = why;
    return out;
  }
  TodayRow& put(std::size_t i, TodayThing thing, TodayDo what, TodayWhy why, const BookThing* of = nullptr) {
    rows_of_[i].push_back(row_of(i, thing, what, why));
    if (of) rows_of_[i].back().record = of->record;
    return rows_of_[i].back();
  }

  /// A thing beside the place of a number. REQUIRES a record with a place, and a number that is live.
  void hold(TodayRow& row, const Known& k, const Record& record) const {
    const Vec<Site> move = k.row.site.point() - record.site.point();
    row.off = TodayOff{drawing_.turn(move), norm(move), permitted(row.thing), sd_of(record)};
    const Kept now = row.thing == TodayThing::floor ? k.row.floor : k.row.deck;
    if (!now.is_none() && !record.elevation.is_none()) row.up = now.length() - record.elevation.length();
  }

  /// Its own issue had it where it is wanted now, and it was kept within what is permitted then.
  bool is_unchanged(const Known& k, const Record& record, Length limit) const {
    const std::uint32_t then = ledger_.as_of(k.last, record.issue);
    if (then == kNone32) return false;
    const KeptSite own = then == k.last ? k.row.site : ledger_.row(then).site;
    return !own.northing.is_none() && distance(own.point(), k.row.site.point()) <= kSamePlace + kHair &&
           distance(own.point(), record.site.point()) <= limit + kHair;
  }

  /// The one thing of a number that counts.
  TodayRow judged(std::size_t i, TodayThing thing, const BookThing& of) const {
    const Known& k = known_[i];
    TodayRow out = row_of(i, thing, TodayDo::measure, TodayWhy::near_limit);
    out.record = of.record;
    const bool has_place = !of.record.site.northing.is_none();
    if (has_place) hold(out, k, of.record);
    if (state_.is_doubtful(of)) {
      out.why = TodayWhy::doubtful;
      return out;
    }
    if (!has_place) return out;
    const Length limit = permitted(thing), u2 = 2 * sd_of(of.record), d = out.off->distance;
    const auto set = [&out](TodayDo what, TodayWhy why) { out.what = what, out.why = why; };
    if (is_unchanged(k, of.record, limit))
      set(TodayDo::leave, TodayWhy::unchanged);
    else if (d <= limit - u2 + kHair)
      set(TodayDo::leave, TodayWhy::within);
    else if (d > limit + u2 + kHair)
      set(thing == TodayThing::hole ? TodayDo::fill : TodayDo::mark_again, TodayWhy::beyond);
    return out;
  }

  /// What is to go; a hole under a rod that hangs cannot be filled.
  static TodayDo undo_of(TodayThing thing) {
    return thing == TodayThing::hole ? TodayDo::fill : TodayDo::void_cross;
  }
  static void stop_hung(const Known& k, TodayRow& row) {
    if (row.thing == TodayThing::hole && row.what == TodayDo::fill && k.is_hung())
      row.what = TodayDo::stop, row.why = TodayWhy::hung;
  }

  void judge_all(TodayThing thing, const std::function<bool(std::size_t)>& may_want) {
    const TakenBy taken = take(thing, may_want);
    std::unordered_map<const BookThing*, bool> is_taken;
    for (const auto& [to, what] : taken) is_taken.emplace(what.thing, true);
    for (std::size_t i = 0; i < known_.size(); ++i) {
      const Known& k = known_[i];
      const std::vector<BookThing>& things = k.things(thing);
      if (!k.is_wanted(thing)) {
        for (const BookThing& t : things)
          if (!is_taken.count(&t))
            stop_hung(k, put(i, thing, undo_of(thing), k.is_live() ? TodayWhy::gone : TodayWhy::dropped, &t));
      } else if (!things.empty()) {
        judge_several(i, thing, things);
      } else if (const auto at = taken.find(i); at != taken.end()) {
        TodayRow& row = put(i, thing, TodayDo::renumber, TodayWhy::was, at->second.thing);
        row.other = known_[at->second.from].number;
        hold(row, k, at->second.thing->record);
      } else if (thing != TodayThing::hole && may_want(i)) {
        put(i, thing, TodayDo::mark, TodayWhy::not_made);
      }
    }
  }

  void judge_several(std::size_t i, TodayThing thing, const std::vector<BookThing>& things) {
    std::vector<TodayRow> rows;
    for (const BookThing& t : things) rows.push_back(judged(i, thing, t));
    std::size_t counts = rows.size() - 1;
    for (std::size_t t = rows.size(); t-- > 0;)
      if (rows[t].what == TodayDo::leave) {
        counts = t;
        break;
      }
    for (std::size_t t = 0; t < rows.size(); ++t) {
      if (t != counts) {
        TodayRow rest = row_of(i, thing, undo_of(thing), TodayWhy::second);
        rest.record = rows[t].record;
        rows[t] = std::move(rest);
      }
      stop_hung(known_[i], rows[t]);
      rows_of_[i].push_back(std::move(rows[t]));
    }
  }

  /// What no number owns any more, by the number that takes it: the nearest pairs first.
  TakenBy take(TodayThing thing, const std::function<bool(std::size_t)>& may_want) const {
    std::vector<Taken> loose;
    std::vector<std::size_t> wanting;
    std::vector<Point<Site>> of, among;
    for (std::size_t i = 0; i < known_.size(); ++i) {
      const Known& k = known_[i];
      if (k.is_wanted(thing)) {
        if (k.things(thing).empty() && may_want(i)) {
          wanting.push_back(i);
          among.push_back(k.row.site.point());
        }
        continue;
      }
      if (k.is_hung()) continue;
      for (const BookThing& t : k.things(thing))
        if (!state_.is_doubtful(t) && !t.record.site.northing.is_none()) {
          loose.push_back({i, &t});
          of.push_back(t.record.site.point());
        }
    }
    TakenBy out;
    std::vector<bool> is_gone(loose.size());
    for (const PairWithin& pair : pairs_within(of, among, permitted(thing) + kHair)) {
      const Length most = permitted(thing) - 2 * sd_of(loose[pair.of].thing->record);
      if (is_gone[pair.of] || out.count(wanting[pair.among])) continue;
      if (distance(of[pair.of], among[pair.among]) > most + kHair) continue;
      is_gone[pair.of] = true;
      out.emplace(wanting[pair.among], loose[pair.of]);
    }
    return out;
  }

  bool keeps_hole(std::size_t i) const {
    return std::any_of(rows_of_[i].begin(), rows_of_[i].end(), [](const TodayRow& row) {
      return row.thing == TodayThing::hole && row.what != TodayDo::fill;
    });
  }

  /// A hole at every cross on the deck that stays and has none, where nothing speaks against it.
  void drill() {
    std::vector<std::size_t> to_drill;
    std::vector<Point<Site>> places;
    for (std::size_t i = 0; i < known_.size(); ++i) {
      if (!known_[i].has_deck()) continue;
      const TodayRow* from = nullptr;
      bool has_hole = false;
      for (const TodayRow& row : rows_of_[i]) {
        has_hole = has_hole || row.thing == TodayThing::hole;
        if (row.thing == TodayThing::deck && (row.what == TodayDo::leave || row.what == TodayDo::renumber))
          from = &row;
      }
      if (!from || has_hole) continue;
      to_drill.push_back(i);
      places.push_back(from->record->site.point());
    }
    const std::vector<std::uint32_t> near = old_holes_near(places);
    for (std::size_t n = 0; n < to_drill.size(); ++n) {
      TodayRow row = row_of(to_drill[n], TodayThing::hole, TodayDo::drill, TodayWhy::not_made);
      const auto stop = [&row](TodayWhy why) { row.what = TodayDo::stop, row.why = why; };
      if (near[n] != 0) {
        stop(TodayWhy::old_hole);
        row.other = near[n];
      } else if (const auto zone = rules_.zone ? rules_.zone(drawing_(places[n])) : std::nullopt) {
        stop(TodayWhy::zone);
        row.zone = *zone;
      } else if (!rules_.is_released || !rules_.is_released(known_[to_drill[n]].row)) {
        stop(TodayWhy::not_released);
      }
      rows_of_[to_drill[n]].push_back(std::move(row));
    }
  }

  /// The number of the nearest old hole that is too near to each place; 0: none.
  std::vector<std::uint32_t> old_holes_near(const std::vector<Point<Site>>& places) const {
    std::vector<Point<Site>> old;
    std::vector<std::uint32_t> numbers;
    const auto add = [&](std::uint32_t number, const Record& record) {
      if (record.site.northing.is_none()) return;
      old.push_back(record.site.point());
      numbers.push_back(number);
    };
    for (std::size_t i = 0; i < known_.size(); ++i) {
      for (const BookThing& t : known_[i].made->filled) add(known_[i].number, t.record);
      for (const TodayRow& row : rows_of_[i])
        if (row.thing == TodayThing::hole && row.what != TodayDo::leave && row.what != TodayDo::renumber)
          add(known_[i].number, *row.record);
    }
    std::vector<std::uint32_t> out(places.size(), 0);
    const Length limit = options_.book.old_hole;
    if (limit <= Length::metres(0)) return out;
    for (const PairWithin& pair : pairs_within(places, old, limit))
      if (out[pair.of] == 0 && distance(places[pair.of], old[pair.among]) < limit - kHair)
        out[pair.of] = numbers[pair.among];
    return out;
  }

  void rod(std::size_t i) {
    const Known& k = known_[i];
    const RodState& rod = k.made->rod;
    if (rod.kind == RodState::Kind::none) return;
    TodayRow& row = put(i, TodayThing::rod, TodayDo::leave, TodayWhy::unchanged);
    const auto set = [&row](TodayDo what, TodayWhy why) { row.what = what, row.why = why; };
    const Kept now = k.row.cut;
    if (!k.is_live()) return set(TodayDo::stop, TodayWhy::dropped);
    if (!k.has_deck() || (now.is_none() && !rod.length.is_none())) return set(TodayDo::stop, TodayWhy::gone);
    if (now.is_none() || rod.length.is_none()) return;
    row.up = now.length() - rod.length.length();
    row.off = TodayOff{{{.x = Length::metres(0), .y = Length::metres(0)}}, abs(*row.up), options_.book.rod};
    if (row.off->distance > options_.book.rod + kHair)
      set(TodayDo::recut, *row.up > Length::metres(0) ? TodayWhy::longer : TodayWhy::shorter);
  }

  const BookState& state_;
  const Ledger& ledger_;
  const TodayOptions& options_;
  const DrillRules& rules_;
  std::vector<Known> known_;  // by number
  Transform<Drawing, Site> drawing_;
  std::vector<std::vector<TodayRow>> rows_of_;
  std::vector<bool> keeps_hole_;
};

}  // namespace

std::string_view today_thing_word(TodayThing thing) {
  constexpr std::string_view kWords[] = {"floor", "deck", "hole", "rod"};
  return kWords[static_cast<std::size_t>(thing)];
}

std::string_view today_do_word(TodayDo what) {
  constexpr std::string_view kWords[] = {"stop",  "void",    "fill", "renumber", "mark-again",
                                         "recut", "measure", "mark", "drill",    "leave"};
  return kWords[static_cast<std::size_t>(what)];
}

bool is_wrong_today(TodayDo what) { return what < TodayDo::measure; }

std::string today_why_words(const TodayRow& row) {
  constexpr std::string_view kWords[] = {
      "unchanged", "within", "beyond", "near-limit", "doubtful", "second",       "dropped", "gone",
      "not made",  "was ",   "hung",   "old hole ",  "zone ",    "not released", "longer",  "shorter"};
  std::string out(kWords[static_cast<std::size_t>(row.why)]);
  if (row.why == TodayWhy::was || row.why == TodayWhy::old_hole) out += std::to_string(row.other);
  if (row.why == TodayWhy::zone) out += row.zone;
  if (row.if_it_is_there) out += " if it is there";
  return out;
}

std::vector<TodayRow> today(const BookState& state, const TodayOptions& options, const DrillRules& rules) {
  return TodayOf(state, options, rules).rows();
}

Book marked_as_issued(const Ledger& ledger, std::uint32_t issue, std::span<const std::uint32_t> numbers) {
  Book out("", ledger.issues().front().digest);
  for (const std::uint32_t number : numbers) {
    Entry e;
    e.time = "1970-01-01T00:00Z";
    e.act = Act::marked;
    e.number = number;
    e.level = EntryLevel::floor;
    e.issue = issue;
    e.source = EntrySource::file;
    out.add(e);
  }
  return out;
}

std::vector<TodayRow> today_as_issued(const BookState& state, const TodayOptions& options) {
  std::vector<TodayRow> rows = today(state, options, {});
  std::erase_if(rows, [](const TodayRow& row) { return row.thing != TodayThing::floor; });
  for (TodayRow& row : rows) row.if_it_is_there = row.record.has_value();
  return rows;
}

}  // namespace deckmark
