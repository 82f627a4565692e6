#include "lists/today.h"

#include <algorithm>
#include <map>
#include <string>
#include <utility>

#include "book/ledger_axes.h"
#include "lists/columns.h"
#include "lists/in_unit.h"
#include "lists/list_row.h"

namespace deckmark {

namespace {

constexpr OutColumn kColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name on the drawing"},
    {"thing", OutKind::text, "floor or deck (a cross), hole, rod"},
    {"do", OutKind::text, "leave, mark-again, void, renumber, mark, measure, drill, fill, recut, stop"},
    {"dx", OutKind::length, "to where it is wanted, along +X; of what was judged"},
    {"dy", OutKind::length, "to where it is wanted, along +Y"},
    {"dz", OutKind::length, "to the elevation that is wanted; of a rod how much longer it has to be"},
    {"distance", OutKind::length, "how far off it is"},
    {"permitted", OutKind::length, "how far off it may be"},
    {"sd", OutKind::length, "how well its place is known"},
    {"why", OutKind::text,
     "unchanged, within, beyond, near-limit, doubtful, second, dropped, gone, not made, was N, hung, old "
     "hole N, zone NAME, not released, longer, shorter"}};

constexpr std::string_view kWhen = "by today", kVoid = "VOID";

/// A row of the ledger; of a number that it has not an empty one.
LedgerRow row_of(const Ledger& ledger, const TodayRow& row) {
  return row.ledger_row == kNone32 ? LedgerRow{} : ledger.row(row.ledger_row);
}

bool is_of(TodayList list, const TodayRow& row) {
  switch (list) {
    case TodayList::to_void:
      return row.what == TodayDo::void_cross || row.what == TodayDo::mark_again;
    case TodayList::to_mark:
      return row.what == TodayDo::mark || row.what == TodayDo::mark_again;
    case TodayList::to_fill:
      return row.what == TodayDo::fill;
  }
  return false;
}

std::optional<Elevation> at(Kept k) {
  return k.is_none() ? std::nullopt : std::optional(Elevation::at(k.length()));
}

/// Rows of one list, and the texts that they view.
class Places {
 public:
  Places(const TodayListsInput& in, TodayList list, std::span<const TodayRow> rows)
      : in_(in), axes_(drawing_from_ledger(in.ledger, in.mirrored)), cells_(in.options, in.ground) {
    for (const bool deck : {false, true})
      for (const TodayRow& row : rows)
        if (is_of(list, row) && deck == (row.thing != TodayThing::floor))
          list == TodayList::to_mark ? add_wanted(row, deck) : add_old(row, deck);
  }

  std::size_t size() const { return rows_.size(); }
  const std::map<std::string, int>& named() const { return named_; }
  template <class Sink>
  void put(Sink& sink, std::size_t i) const {
    ListRow row = rows_[i];
    if (!names_[i].empty()) row.name = row.point = names_[i];
    cells_.put(sink, row);
  }

 private:
  std::int64_t number_on(const LedgerRow& row, std::uint32_t number, bool deck) const {
    const std::int64_t offset = row.deck_offset > 0 ? row.deck_offset : in_.deck_offset;
    return number + (deck ? offset : 0);
  }

  void add_wanted(const TodayRow& row, bool deck) {
    const LedgerRow r = row_of(in_.ledger, row);
    std::optional<Length> drop;
    if (!r.deck.is_none() && !r.attach.is_none()) drop = r.deck.length() - r.attach.length();
    names_.emplace_back();
    rows_.push_back({"", number_on(r, row.number, deck), r.point, r.kind, r.run, r.drawing.point(),
                     r.site.point(), at(deck ? r.deck : r.floor), drop});
  }

  void add_old(const TodayRow& row, bool deck) {
    if (!row.record || row.record->site.northing.is_none()) return;
    const LedgerRow r = row_of(in_.ledger, row);
    std::string name = std::to_string(number_on(r, row.number, deck)) + "X";
    ++named_[name];
    names_.push_back(std::move(name));
    const Point<Site> place = row.record->site.point();
    rows_.push_back(
        {"", 0, "", "", r.run, axes_(place), place, old_elevation(row, deck), std::nullopt, kVoid});
  }

  /// As it was read, else as its issue has it.
  std::optional<Elevation> old_elevation(const TodayRow& row, bool deck) const {
    if (!row.record->elevation.is_none()) return at(row.record->elevation);
    if (row.ledger_row == kNone32) return std::nullopt;
    const std::uint32_t then = in_.ledger.as_of(row.ledger_row, row.record->issue);
    if (then == kNone32) return std::nullopt;
    const LedgerRow r = in_.ledger.row(then);
    return at(deck ? r.deck : r.floor);
  }

  TodayListsInput in_;
  Transform<Drawing, Site> axes_;
  ListCells cells_;
  std::vector<ListRow> rows_;
  std::vector<std::string> names_;  // in place of numbers
  std::map<std::string, int> named_;
};

}  // namespace

constinit const OutputSpec kTodayOutput{.name = "today.csv",
                                        .when = kWhen,
                                        .meaning = "what every mark, hole and rod needs today",
                                        .columns = kColumns,
                                        .is_of_run = false};
constinit const OutputSpec kVoidListOutput{.name = "void-list.csv",
                                           .when = kWhen,
                                           .meaning = "old crosses that are to be voided, numbered 1043X",
                                           .is_of_run = false};
constinit const OutputSpec kMarkListOutput{.name = "mark-list.csv",
                                           .when = kWhen,
                                           .meaning = "what is to be marked, where it is now",
                                           .is_of_run = false};
constinit const OutputSpec kFillListOutput{.name = "fill-list.csv",
                                           .when = kWhen,
                                           .meaning = "holes that are to be filled, numbered 6043X",
                                           .is_of_run = false};

std::unique_ptr<WrittenTable> today_table(std::vector<TodayRow> rows, const Ledger& ledger, LengthUnit unit) {
  const std::size_t count = rows.size();
  const auto row = [rows = std::move(rows), &ledger, u = InUnit(unit)](auto& sink, std::size_t i) {
    const TodayRow& r = rows[i];
    const bool has_way = r.off && r.thing != TodayThing::rod;
    const auto of = [&r](Length TodayOff::*length) {
      return r.off ? std::optional((*r.off).*length) : std::nullopt;
    };
    sink.integer(r.number);
    sink.text(row_of(ledger, r).point);
    sink.text(today_thing_word(r.thing));
    sink.text(today_do_word(r.what));
    u.put(sink, has_way ? std::optional(r.off->move.by.x) : std::nullopt);
    u.put(sink, has_way ? std::optional(r.off->move.by.y) : std::nullopt);
    u.put(sink, r.up);
    u.put(sink, of(&TodayOff::distance));
    u.put(sink, of(&TodayOff::permitted));
    u.put(sink, r.off ? r.off->sd : std::nullopt);
    sink.text(today_why_words(r));
  };
  return declared_table(kColumns, unit, count, row);
}

std::unique_ptr<WrittenTable> today_list(const TodayListsInput& input, TodayList list,
                                         std::span<const TodayRow> rows) {
  Places places(input, list, rows);
  const std::size_t count = places.size();
  return written_table(list_style(input.options), list_header(input.options, *input.options.unit), count,
                       [places = std::move(places)](auto& sink, std::size_t i) { places.put(sink, i); });
}

std::vector<std::string> shared_names(const TodayListsInput& input, TodayList list,
                                      std::span<const TodayRow> rows) {
  const Places places(input, list, rows);
  std::vector<std::string> out;
  for (const auto& [name, times] : places.named())
    if (times > 1) out.push_back(name);
  return out;
}

}  // namespace deckmark
