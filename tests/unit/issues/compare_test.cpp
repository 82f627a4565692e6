// A list that was read back: which issue it is, and by what slip each row differs.
#include "issues/compare.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "measure/decimal.h"

using namespace deckmark;

namespace {

constexpr int kDecimals = 4;

/// Texts are literals: a row views them.
LedgerRow mark(std::uint32_t number, double northing, double easting, const char* run = "R1",
               double deck = 14) {
  LedgerRow row;
  row.point = "P";
  row.number = number;
  row.drawing = {Kept::of(Length::metres(easting - 200)), Kept::of(Length::metres(northing - 100))};
  row.deck_offset = 5000;
  row.site = {Kept::of(Length::metres(northing)), Kept::of(Length::metres(easting))};
  row.floor = Kept::of(Length::metres(10.25));
  row.attach = Kept::of(Length::metres(13));
  if (deck > 0) row.deck = Kept::of(Length::metres(deck));
  row.kind = "hanger";
  row.run = run;
  row.crew = row.run == "R1" ? "north" : "south, west";
  return row;
}

/// Issues, each of some rows.
Ledger ledger_of(const std::vector<std::vector<LedgerRow>>& issues) {
  LedgerRows rows;
  std::vector<IssuedRow> issued;
  for (const auto& issue : issues) {
    IssuedRow row;
    row.issue = static_cast<std::uint32_t>(issued.size() + 1);
    row.rows = static_cast<std::uint32_t>(issue.size());
    issued.push_back(row);
    for (const LedgerRow& r : issue) rows.add(r);
  }
  return Ledger(std::move(issued), std::move(rows));
}

CompareOptions metres() {
  CompareOptions out;
  out.on_list = [](const KeptSite& p) { return std::pair(p.northing.metres(), p.easting.metres()); };
  out.is_listed = [](std::string_view) { return true; };
  return out;
}

ReadValue read(double value, int decimals) { return {std::stod(fixed(value, decimals)), decimals}; }

/// The floor or deck list of rows as an instrument gives it back.
ReadList list_of(const std::vector<LedgerRow>& rows, bool deck, LengthUnit unit = LengthUnit::metre,
                 int decimals = kDecimals) {
  ReadList out;
  out.has = {true, true, true, false, false};
  for (const LedgerRow& r : rows) {
    if (deck && r.deck.is_none()) continue;
    ReadRow row;
    row.number = r.number + (deck ? 5000U : 0U);
    const Kept up = deck ? r.deck : r.floor;
    row.at[0] = read(in_unit(r.site.northing.length(), unit), decimals);
    row.at[1] = read(in_unit(r.site.easting.length(), unit), decimals);
    row.at[2] = read(in_unit(up.length(), unit), decimals);
    out.rows.push_back(row);
  }
  return out;
}

/// Marks at random places, none near another, of two runs.
std::vector<LedgerRow> random_marks(std::mt19937& random) {
  std::uniform_real_distribution<double> off(0.01, 0.9);
  std::vector<LedgerRow> out;
  const std::uint32_t count = 5 + static_cast<std::uint32_t>(random() % 30);
  for (std::uint32_t i = 0; i < count; ++i)
    out.push_back(mark(1001 + i, 100 + 1.1 * (i % 7) + off(random), 200 + 1.3 * i + off(random),
                       i % 2 ? "R1" : "R2", 14 + 0.03 * i));
  return out;
}

/// The value with one digit of its text changed; never its sign, and never to a leading text of other length.
ReadValue with_digit(ReadValue v, std::mt19937& random) {
  std::string text = fixed(v.value, v.decimals);
  std::size_t at = 0;
  do at = random() % text.size();
  while (text[at] == '.' || text[at] == '-' || at == 0);
  text[at] = static_cast<char>('0' + (text[at] - '0' + 1 + static_cast<int>(random() % 9)) % 10);
  v.value = std::stod(text);
  return v;
}

const RowSlip* slip_of(const CompareResult& r, std::uint32_t number) {
  const auto at = std::ranges::find(r.slips, number, &RowSlip::number);
  return at == r.slips.end() ? nullptr : &*at;
}

}  // namespace

TEST_CASE("a list that agrees is named: its issue, level, run, crew, unit, and the newest of equal ones") {
  std::vector<LedgerRow> one, two;
  for (std::uint32_t i = 0; i < 6; ++i)
    one.push_back(
        mark(1001 + i, 103.12345 + i * 1.37, 207.7 + i * i, i < 3 ? "R1" : "R2", i == 5 ? 0 : 14.001));
  two = {one[1]};
  two[0].site.northing = Kept::of(Length::metres(105.5));
  const Ledger ledger = ledger_of({one, two, {}});
  std::vector<LedgerRow> now = one;
  now[1] = two[0];
  const auto part = [](const std::vector<LedgerRow>& rows, const std::string& run) {
    std::vector<LedgerRow> out;
    for (const LedgerRow& r : rows)
      if (r.run == run) out.push_back(r);
    return out;
  };
  const auto both = [&](const std::vector<LedgerRow>& rows) {
    ReadList out = list_of(rows, false);
    for (const ReadRow& r : list_of(rows, true).rows) out.rows.push_back(r);
    ReadRow control;
    control.name = "CP1";
    out.rows.insert(out.rows.begin(), control);
    return out;
  };
  struct Case {
    ReadList list;
    std::uint32_t issue;
    ListLevel level;
    std::string run, crew;
    LengthUnit unit = LengthUnit::metre;
  };
  for (const Case& c :
       {Case{list_of(now, false), 3, ListLevel::floor, "", ""},
        Case{list_of(one, false), 1, ListLevel::floor, "", ""},
        Case{list_of(now, true), 3, ListLevel::deck, "", ""}, Case{both(one), 1, ListLevel::together, "", ""},
        Case{list_of(part(now, "R1"), false), 3, ListLevel::floor, "R1", ""},
        Case{list_of(part(one, "R2"), true), 3, ListLevel::deck, "R2", ""},
        Case{list_of(now, false, LengthUnit::millimetre, 1), 3, ListLevel::floor, "", "",
             LengthUnit::millimetre},
        Case{list_of(now, false, LengthUnit::survey_foot, 4), 3, ListLevel::floor, "", "",
             LengthUnit::survey_foot},
        Case{list_of(now, false, LengthUnit::inch, 3), 3, ListLevel::floor, "", "", LengthUnit::inch}}) {
    CAPTURE(c.issue);
    CAPTURE(c.run);
    const CompareResult r = compare_list(ledger, c.list, metres());
    CHECK(r.agrees);
    CHECK(r.slips.empty());
    CHECK(r.issue == c.issue);
    CHECK(r.level == c.level);
    CHECK(r.run == c.run);
    CHECK(r.unit == c.unit);
  }
}

TEST_CASE("a crew's list is named where it is no run's") {
  std::vector<LedgerRow> rows;
  for (std::uint32_t i = 0; i < 6; ++i) {
    rows.push_back(mark(1001 + i, 103 + i * 1.37, 207 + i * i));
    rows.back().crew = i < 4 ? (i < 2 ? "north, west" : "north") : "south";
  }
  const std::vector<LedgerRow> west(rows.begin(), rows.begin() + 2), north(rows.begin(), rows.begin() + 4);
  const Ledger ledger = ledger_of({rows});
  const CompareResult a = compare_list(ledger, list_of(west, false), metres());
  CHECK(a.agrees);
  CHECK(a.crew == "west");
  const CompareResult b = compare_list(ledger, list_of(north, true), metres());
  CHECK(b.agrees);
  CHECK(b.crew == "north");
  CHECK(b.level == ListLevel::deck);
}

TEST_CASE("half the last digit agrees, more does not") {
  const std::vector<LedgerRow> rows = {mark(1001, 100.12345, 200), mark(1002, 101, 201)};
  const Ledger ledger = ledger_of({rows});
  for (const auto& [value, agrees] : {std::pair(100.1235, true), std::pair(100.1234, true),
                                      std::pair(100.1236, false), std::pair(100.1233, false)}) {
    CAPTURE(value);
    ReadList list = list_of(rows, false);
    list.rows[0].at[0] = ReadValue{value, 4};
    CHECK(compare_list(ledger, list, metres()).agrees == agrees);
  }
}

TEST_CASE("each slip in a random list is named, and nothing else is") {
  std::mt19937 random(1);
  for (int draw = 0; draw < 200; ++draw) {
    CAPTURE(draw);
    const std::vector<LedgerRow> rows = random_marks(random);
    const Ledger ledger = ledger_of({rows});
    const bool deck = draw % 2 == 1;
    const ReadList good = list_of(rows, deck);
    const std::size_t i = random() % good.rows.size(),
                      j = (i + 1 + random() % (good.rows.size() - 1)) % good.rows.size();
    const std::uint32_t a = *good.rows[i].number, b = *good.rows[j].number;
    const auto found = [&](const ReadList& list) {
      CompareResult r = compare_list(ledger, list, metres());
      CHECK_FALSE(r.agrees);
      CHECK(r.is_known);
      CHECK(r.level == (deck ? ListLevel::deck : ListLevel::floor));
      CHECK(r.unit == LengthUnit::metre);
      CHECK_FALSE(r.axes_exchanged);
      CHECK(r.slips.size() == 1);
      return r;
    };
    {
      ReadList list = good;
      const std::size_t axis = random() % 3;
      list.rows[i].at[axis] = with_digit(*list.rows[i].at[axis], random);
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, a));
      CHECK(slip_of(r, a)->slip == Slip::digit);
      CHECK(slip_of(r, a)->axis == static_cast<Axis>(axis));
      CHECK(slip_of(r, a)->row == i);
    }
    {
      ReadList list = good;
      std::swap(list.rows[i].at, list.rows[j].at);
      const CompareResult r = found(list);
      const RowSlip* slip =
          slip_of(r, std::min(a, b)) ? slip_of(r, std::min(a, b)) : slip_of(r, std::max(a, b));
      REQUIRE(slip);
      CHECK(slip->slip == Slip::rows);
      CHECK(std::minmax(slip->number, slip->other) == std::minmax(a, b));
    }
    {
      ReadList list = good;
      list.rows.erase(list.rows.begin() + static_cast<std::ptrdiff_t>(i));
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, a));
      CHECK(slip_of(r, a)->slip == Slip::gone);
    }
    {
      ReadList list = good;
      list.rows.push_back(list.rows[j]);
      list.rows.back().number = 9999;
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, 9999));
      CHECK(slip_of(r, 9999)->slip == Slip::extra);
    }
    {
      ReadList list = good;
      list.rows.push_back(list.rows[j]);
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, b));
      CHECK(slip_of(r, b)->slip == Slip::twice);
    }
    {
      ReadList list = good;
      std::swap(list.rows[i].at[0], list.rows[i].at[1]);
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, a));
      CHECK(slip_of(r, a)->slip == Slip::axes);
    }
    {
      ReadList list = good;
      list.rows[i].at[2] = ReadValue{1.2345, 4};
      const CompareResult r = found(list);
      REQUIRE(slip_of(r, a));
      CHECK(slip_of(r, a)->slip == Slip::elevation);
    }
    {
      ReadList list = good;
      for (ReadRow& row : list.rows) std::swap(row.at[0], row.at[1]);
      const CompareResult r = compare_list(ledger, list, metres());
      CHECK_FALSE(r.agrees);
      CHECK(r.is_known);
      CHECK(r.axes_exchanged);
      CHECK(r.slips.empty());
    }
    {
      const CompareResult r = compare_list(ledger, list_of(rows, deck, LengthUnit::foot), metres());
      CHECK(r.agrees);
      CHECK(r.unit == LengthUnit::foot);
    }
  }
}

TEST_CASE("a slip in an old issue's list, or in one of another unit, is told of that list") {
  std::mt19937 random(2);
  std::vector<LedgerRow> one = random_marks(random), two(one.begin(), one.begin() + 3);
  for (LedgerRow& r : two) r.site.northing = Kept::of(r.site.northing.length() + Length::metres(0.5));
  const Ledger ledger = ledger_of({one, two});
  ReadList list = list_of(one, false, LengthUnit::foot);
  list.rows[4].at[0] = ReadValue{list.rows[4].at[0]->value + 3, 4};
  list.rows[4].at[1] = ReadValue{list.rows[4].at[1]->value + 3, 4};
  const CompareResult r = compare_list(ledger, list, metres());
  CHECK_FALSE(r.agrees);
  CHECK(r.issue == 1);
  CHECK(r.unit == LengthUnit::foot);
  REQUIRE(r.slips.size() == 1);
  CHECK(r.slips[0].slip == Slip::values);
}

TEST_CASE("a list of another job is not known") {
  const std::vector<LedgerRow> rows = {mark(1001, 100, 200), mark(1002, 101, 203)};
  const Ledger ledger = ledger_of({rows});
  ReadList other;
  other.has = {true, true, true, false, false};
  ReadRow row;
  row.number = 77;
  row.at = {ReadValue{5, 3}, ReadValue{6, 3}, ReadValue{7, 3}, std::nullopt, std::nullopt};
  other.rows.assign(6, row);
  const CompareResult r = compare_list(ledger, other, metres());
  CHECK_FALSE(r.agrees);
  CHECK_FALSE(r.is_known);
}
