#pragma once
/// A floor that is made by hand: issues, what was entered, and what today asks for, as lines of text.

#include <algorithm>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "../issues/plain_ledger.h"
#include "book/today.h"

namespace by_hand {

using namespace deckmark;

constexpr double kMillimetre = 0.001;

/// 6 mm permitted, 2 mm without a reading, rods 5 mm, old holes 300 mm, all released, unless said otherwise.
class Floor {
 public:
  TodayOptions options;
  std::set<std::string, std::less<>> released{"all"};
  std::vector<std::pair<std::string, std::pair<double, double>>> zones;  ///< from x to x

  Floor& issue(std::vector<LedgerRow> rows) {
    issues_.push_back(std::move(rows));
    return *this;
  }
  /// A reading `north` and `east` of the number's place on the drawing, in millimetres, with this sd.
  struct Off {
    double north = 0, east = 0, sd = 1;
  };
  std::uint32_t marked(std::uint32_t number, EntryLevel level, std::uint32_t issue,
                       std::optional<Off> off = {}, std::uint32_t of = 0) {
    Entry e = entry(Act::marked, number, level, issue);
    e.of.entry = of;
    if (off) {
      const KeptSite at = place_of(number, issue);
      e.site = {Kept::of(at.northing.length() + Length::millimetres(off->north)),
                Kept::of(at.easting.length() + Length::millimetres(off->east))};
      e.sd_along = Kept::of(Length::millimetres(off->sd));
      e.sd_across = Kept::of(Length::millimetres(off->sd / 2));
    }
    return add(e);
  }
  std::uint32_t floor(std::uint32_t number, std::uint32_t issue, std::optional<Off> off = {}) {
    return marked(number, EntryLevel::floor, issue, off);
  }
  std::uint32_t deck(std::uint32_t number, std::uint32_t issue, std::optional<Off> off = {}) {
    return marked(number, EntryLevel::deck, issue, off);
  }
  /// A cross on the deck and a hole at it.
  std::uint32_t hole(std::uint32_t number, std::uint32_t issue, std::optional<Off> off = {}) {
    deck(number, issue, off);
    return act(Act::drilled, number, issue);
  }
  std::uint32_t act(Act what, std::uint32_t number, std::uint32_t issue = 1) {
    return add(entry(what, number,
                     what == Act::drilled || what == Act::filled ? EntryLevel::deck : EntryLevel::none,
                     issue));
  }
  std::uint32_t doubt(std::uint32_t number, EntryLevel level) {
    return add(entry(Act::doubtful, number, level, 1));
  }
  void hang(std::uint32_t number, std::uint32_t issue = 1) {
    act(Act::cut, number, issue);
    act(Act::hung, number, issue);
  }

  /// Rows as they come.
  std::vector<TodayRow> rows() const {
    const Ledger ledger = plain::ledger_of(issues_);
    const std::string digest = "0123456789abcdef";
    Book book("", digest);
    for (const Entry& e : entries_) book.add(e);
    const BookState state({&book}, ledger);
    DrillRules rules;
    if (!zones.empty())
      rules.zone = [this](const Point<Drawing>& p) -> std::optional<std::string_view> {
        for (const auto& [name, x] : zones)
          if (p.at.x.metres() > x.first && p.at.x.metres() < x.second) return name;
        return std::nullopt;
      };
    rules.is_released = [this](const LedgerRow& row) {
      return released.count("all") > 0 || released.count(row.run) > 0;
    };
    std::vector<TodayRow> out = today(state, options, rules);
    for (TodayRow& row : out)
      if (row.record) row.record->setup = {};  // of a book that is gone
    return out;
  }
  /// `1001 floor leave unchanged`
  std::vector<std::string> lines() const {
    std::vector<std::string> out;
    for (const TodayRow& row : rows())
      out.push_back(std::to_string(row.number) + " " + std::string(today_thing_word(row.thing)) + " " +
                    std::string(today_do_word(row.what)) + " " + today_why_words(row));
    return out;
  }

 private:
  static Entry entry(Act act, std::uint32_t number, EntryLevel level, std::uint32_t issue) {
    Entry e;
    e.act = act;
    e.number = number;
    e.level = level;
    e.issue = issue;
    e.time = "2026-11-28T07:00Z";
    e.by = "Ada";
    return e;
  }
  std::uint32_t add(const Entry& e) {
    entries_.push_back(e);
    return static_cast<std::uint32_t>(entries_.size());
  }
  KeptSite place_of(std::uint32_t number, std::uint32_t issue) const {
    KeptSite out{Kept::none(), Kept::none()};
    for (std::uint32_t i = 0; i < issue; ++i)
      for (const LedgerRow& row : issues_[i])
        if (row.number == number) out = row.site;
    return out;
  }
  std::vector<std::vector<LedgerRow>> issues_;
  std::vector<Entry> entries_;
};

}  // namespace by_hand
