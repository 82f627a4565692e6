#pragma once
/// Ledgers made by hand: no file.

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "issues/ledger.h"

namespace plain {

using namespace deckmark;

inline Kept kept(double metres) { return Kept::of(Length::metres(metres)); }

/// A hanger's row: in metres, on site N = 100 + y, E = 200 + x, floor at 1, bracket at 3.5, deck at 5,
/// cut 1.5.
inline LedgerRow hanger(std::string_view point, std::uint32_t number, double x = 0, double y = 0) {
  LedgerRow row;
  row.point = point;
  row.number = number;
  row.drawing = {kept(x), kept(y)};
  row.site = {kept(100 + y), kept(200 + x)};
  row.deck_offset = 5000;
  row.revision = "A";
  row.floor = kept(1), row.attach = kept(3.5), row.deck = kept(5), row.cut = kept(1.5);
  row.kind = "hanger";
  return row;
}
inline LedgerRow dropped(LedgerRow row) {
  row.live = false;
  return row;
}
inline LedgerRow without_deck(LedgerRow row) {
  row.deck = row.cut = Kept::none();
  return row;
}
/// As an earlier version of the program left it.
inline LedgerRow from_before(LedgerRow row) {
  row.floor = row.attach = row.deck = row.cut = Kept::none();
  row.kind = {};
  return row;
}

/// Rows by issue. A row that says nothing else was told in its own issue.
inline Ledger ledger_of(const std::vector<std::vector<LedgerRow>>& issues) {
  std::vector<IssuedRow> issued;
  LedgerRows rows;
  for (const std::vector<LedgerRow>& of : issues) {
    IssuedRow issue;
    issue.issue = static_cast<std::uint32_t>(issued.size() + 1);
    issue.job = "job.toml";
    if (!of.empty()) issue.revision = std::string(of.front().revision);
    issue.rows = static_cast<std::uint32_t>(of.size());
    issued.push_back(std::move(issue));
    for (LedgerRow row : of) {
      if (row.told == ToldIn{}) row.told.fill(issued.back().issue);
      rows.add(row, static_cast<std::uint32_t>(rows.size()));
    }
  }
  return Ledger(std::move(issued), std::move(rows));
}

}  // namespace plain
