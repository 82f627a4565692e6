#include "job/field_table.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <variant>

#include "job/columns.h"
#include "measure/letters.h"

namespace deckmark {

namespace {

enum Column : std::size_t {
  series,
  set,
  target,
  setup,
  staff,
  circle1,
  circle2,
  zenith1,
  zenith2,
  direction,
  turn,
  from,
  to,
  distance,
  reading,
  height,
  x1,
  x2,
  y1,
  y2,
  x,
  y
};
constexpr std::size_t kFirstAngle = circle1, kAngles = 6, kFirstLength = distance, kLengths = 9;
constexpr std::size_t kMostRows = 2000;
/// Two faces of one sight agree far better than this.
constexpr double kFacesAgree = 1.0;  // degrees

/// By which columns a test is known, and which of them it cannot do without.
struct TestColumns {
  FieldTest test;
  std::vector<std::size_t> shows, needs;
  std::string_view what;
};
const std::vector<TestColumns>& test_columns() {
  static const std::vector<TestColumns> all = {
      {FieldTest::directions, {circle1, circle2}, {set, target, circle1, circle2}, "directions"},
      {FieldTest::zeniths, {zenith1, zenith2}, {set, target, zenith1, zenith2}, "zenith angles"},
      {FieldTest::line, {from, to}, {from, to, distance}, "distances on a line"},
      {FieldTest::levelling, {staff}, {setup, staff, reading, distance}, "the line of sight of a level"},
      {FieldTest::rotating_laser,
       {reading, direction},
       {set, target, reading, distance, direction},
       "a rotating laser"},
      {FieldTest::plumbing, {x1, x2, y1, y2}, {x1, x2, y1, y2}, "a plumbing instrument, four readings a set"},
      {FieldTest::turned_marks, {turn}, {set, turn, x, y}, "a plumbing instrument, marks at turns"},
  };
  return all;
}

/// One row before its test is known to be sound.
struct RawRow {
  std::size_t series = 1, set = 0, from = 0, to = 0;
  std::string target, setup, staff;
  std::array<std::optional<Angle>, kAngles> angles;
  std::array<std::optional<Length>, kLengths> lengths;
  Angle angle(std::size_t column) const { return *angles[column - kFirstAngle]; }
  Length length(std::size_t column) const { return *lengths[column - kFirstLength]; }
};

TableSpec spec() {
  TableSpec out;
  out.what = "readings of a field test";
  out.columns = {number_column("series"),
                 number_column("set"),
                 {"target", ColumnKind::name, false},
                 {"setup", ColumnKind::name, false},
                 {"staff", ColumnKind::name, false},
                 angle_column("circle1"),
                 angle_column("circle2"),
                 angle_column("zenith1"),
                 angle_column("zenith2"),
                 angle_column("direction"),
                 angle_column("turn"),
                 number_column("from"),
                 number_column("to")};
  for (const char* name : {"distance", "reading", "height", "x1", "x2", "y1", "y2", "x", "y"})
    out.columns.push_back(length_column(name));
  return out;
}

class FieldTableReader {
 public:
  FieldTableReader(const Table& table, std::string file, Messages& messages)
      : table_(table), messages_(messages) {
    out_.file = std::move(file);
  }

  std::optional<FieldTable> read() {
    if (!find_tests()) return std::nullopt;
    for (std::size_t c = 0; c < kAngles; ++c)
      angles_.emplace_back(table_, kFirstAngle + c, std::nullopt, messages_,
                           "the notation in the header, such as " + name(kFirstAngle + c) + " (degrees)");
    for (std::size_t c = 0; c < kLengths; ++c)
      lengths_.emplace_back(table_, kFirstLength + c,
                            table_.header_unit(kFirstLength + c).value_or(LengthUnit::metre), "the header",
                            messages_, is_above(kFirstLength + c) ? is_above_zero : nullptr);
    if (messages_.has_problems()) return std::nullopt;
    auto rows = read_records<Rows<RawRow>>(table_, messages_, [&](auto& all, const Row& row, Messages& told) {
      if (all.records.size() > kMostRows) return;
      if (auto r = raw(row, told)) {
        const std::string named = r->target;
        all.add(std::move(*r), named, row.begin());
      }
    });
    if (rows.records.size() > kMostRows) {
      problem(rows.begins[kMostRows], 0, "row",
              {"more rows", fmt::format("up to {} rows of readings", kMostRows), ""});
      return std::nullopt;
    }
    for (std::size_t i = 0; i < rows.records.size(); ++i) take(rows.records[i], rows.begins[i]);
    if (messages_.has_problems()) return std::nullopt;
    return std::move(out_);
  }

 private:
  std::string name(std::size_t column) const { return table_.spec().columns[column].name; }
  bool is_above(std::size_t column) const {
    return column == distance || (column == height && is(FieldTest::plumbing));
  }
  bool is(FieldTest test) const { return std::ranges::count(out_.tests, test) > 0; }
  void problem(std::uint32_t begin, std::size_t column, std::string field, const Fault& fault) {
    messages_.problem(table_.where(begin, column), field, fault);
  }
  void header_problem(std::size_t column, std::string_view field, const Fault& fault) {
    messages_.problem(Where::in(table_.source(), table_.header_offset(column)), field, fault);
  }

  bool find_tests() {
    std::vector<std::string> wanted;
    std::vector<const TestColumns*> found;
    for (const TestColumns& t : test_columns()) {
      std::vector<std::string> names;
      for (const std::size_t c : t.needs) names.push_back(name(c));
      wanted.push_back(fmt::format("{} ({})", fmt::join(names, ", "), t.what));
      if (std::ranges::any_of(t.shows, [&](std::size_t c) { return table_.has_column(c); }))
        found.push_back(&t);
    }
    // A staff is read by a level too; the direction makes it a rotating laser's.
    if (table_.has_column(staff) && !table_.has_column(direction))
      std::erase_if(found, [](const TestColumns* t) { return t->test == FieldTest::rotating_laser; });
    if (found.empty()) {
      header_problem(0, "header", {columns_found(table_), fmt::format("{}", fmt::join(wanted, "; or ")), ""});
      return false;
    }
    const bool faces =
        found.size() == 2 && found[0]->test == FieldTest::directions && found[1]->test == FieldTest::zeniths;
    if (found.size() > 1 && !faces) {
      header_problem(0, "header",
                     {fmt::format("columns of two tests, {} and {}", found[0]->what, found[1]->what),
                      "one test a table", ""});
      return false;
    }
    for (const TestColumns* t : found) {
      out_.tests.push_back(t->test);
      needs_.insert(t->needs.begin(), t->needs.end());
      for (const std::size_t c : t->needs)
        if (!table_.has_column(c))
          header_problem(0, "header",
                         {fmt::format("no column {}", name(c)),
                          wanted[static_cast<std::size_t>(t - test_columns().data())], ""});
    }
    used_ = needs_;
    if (is(FieldTest::plumbing) || is(FieldTest::rotating_laser)) used_.insert(height);
    for (const std::size_t c : used_)
      if (c >= kFirstLength && table_.has_column(c) && table_.header_unit_text(c).empty())
        header_problem(c, name(c),
                       {"no unit", "the unit of the column in the header",
                        fmt::format("{} ({})", name(c), c == distance || c == height ? "m" : "mm")});
    return !messages_.has_problems();
  }

  /// In a table of both angles one of the two pairs may be left empty.
  bool may_be_empty(const Row& row, std::size_t column) const {
    if (out_.tests.size() != 2 || column < circle1 || column > zenith2) return false;
    const std::size_t pair = column <= circle2 ? circle1 : zenith1,
                      other = pair == circle1 ? zenith1 : circle1;
    return !row.has(pair) && !row.has(pair + 1) && row.has(other) && row.has(other + 1);
  }

  std::optional<RawRow> raw(const Row& row, Messages& told) const {
    RawRow out;
    bool good = true;
    const auto whole = [&](std::size_t column, std::size_t& into) {
      const auto n = read_whole(table_, row, column, 1, 1000, told);
      if (n)
        into = static_cast<std::size_t>(*n);
      else
        good = false;
    };
    if (row.has(series)) whole(series, out.series);
    for (const std::size_t c : used_) {
      if (c == height && !table_.has_column(height)) continue;
      if (!row.has(c)) {
        if (c == height && is(FieldTest::rotating_laser)) {
          tell_empty(table_, row, c, "the known height of every target, or no column height", "", told);
          good = false;
        } else if (c != height && !may_be_empty(row, c)) {
          tell_empty(table_, row, c, "a value; leave the row out if it was not read", "", told);
          good = false;
        }
        continue;
      }
      if (c == set) whole(c, out.set);
      if (c == from) whole(c, out.from);
      if (c == to) whole(c, out.to);
      for (const auto& [column, into] :
           {std::pair{target, &out.target}, {setup, &out.setup}, {staff, &out.staff}}) {
        if (c != column) continue;
        const auto text = read_name(table_, row, column, told);
        if (text)
          *into = std::string(*text);
        else
          good = false;
      }
      if (c >= kFirstAngle && c < kFirstAngle + kAngles) {
        auto& a = out.angles[c - kFirstAngle];
        a = angles_[c - kFirstAngle].read_circle(row, told);
        good = good && a;
      }
      if (c >= kFirstLength) {
        auto& l = out.lengths[c - kFirstLength];
        l = lengths_[c - kFirstLength].read(row, told);
        if (is_above(c)) l = above_zero(table_, row, c, l, told);
        good = good && l;
      }
    }
    if (!good) return std::nullopt;
    return out;
  }

  std::size_t number_of(const std::string& target) {
    return targets_.emplace(small_letters(target), targets_.size()).first->second;
  }

  bool once(const RawRow& r, std::uint32_t begin, std::size_t column, const std::string& what) {
    std::string key = fmt::format("{} {} {}", r.series, r.set, column == target ? number_of(r.target) : 0);
    if (column == turn) key += fmt::format(" {}", r.angle(turn).degrees());
    if (seen_.insert(key).second) return true;
    problem(begin, column, name(column),
            {what + " again", "each reading of a set once; another set for another round", ""});
    return false;
  }

  void take(const RawRow& r, std::uint32_t begin) {
    const std::string in_set =
        fmt::format("{}set {}", r.series > 1 ? fmt::format("series {}, ", r.series) : "", r.set);
    if (is(FieldTest::directions) || is(FieldTest::zeniths)) faces(r, begin, in_set);
    if (is(FieldTest::line)) {
      if (r.from == r.to) {
        problem(begin, to, "to", {fmt::format("from {} to {}", r.from, r.to), "two points of the line", ""});
        return;
      }
      out_.line.push_back({r.from, r.to, r.length(distance)});
      out_.names[FieldTest::line].push_back(fmt::format("{} to {}", r.from, r.to));
    }
    if (is(FieldTest::levelling)) {
      const auto number = [](auto& names, const std::string& name) {
        return names.emplace(small_letters(name), names.size()).first->second;
      };
      out_.levels.push_back(
          {number(setups_, r.setup), number(staffs_, r.staff), r.length(reading), r.length(distance)});
      out_.names[FieldTest::levelling].push_back(fmt::format("set-up {}, staff {}", r.setup, r.staff));
    }
    if (is(FieldTest::rotating_laser)) beam(r, begin, in_set);
    if (is(FieldTest::plumbing)) {
      out_.plumb.push_back({r.series, r.length(x1), r.length(x2), r.length(y1), r.length(y2)});
      for (const char* axis : {"x", "y"})
        out_.names[FieldTest::plumbing].push_back(fmt::format("set {}, {}", out_.plumb.size(), axis));
      const auto& h = r.lengths[height - kFirstLength];
      if (h && out_.plumb_height && std::fabs(h->metres() - out_.plumb_height->metres()) > 0.05)
        problem(begin, height, "height",
                {"another height of the grid than in the rows before", "one height a table", ""});
      if (h) out_.plumb_height = h;
    }
    if (is(FieldTest::turned_marks)) {
      const std::string turned = fmt::format("{}, turn {:g}", in_set, r.angle(turn).degrees());
      if (!once(r, begin, turn, turned)) return;
      out_.turned.push_back({r.series * 1001 + r.set, r.angle(turn), r.length(x), r.length(y)});
      for (const char* axis : {"x", "y"}) out_.names[FieldTest::turned_marks].push_back(turned + ", " + axis);
    }
  }

  void faces(const RawRow& r, std::uint32_t begin, const std::string& in_set) {
    const std::string called = fmt::format("{}, target {}", in_set, r.target);
    if (!once(r, begin, target, called)) return;
    const std::size_t number = number_of(r.target);
    const auto apart = [&](double off, std::size_t column, const std::string& expected) {
      if (std::fabs(off) <= kFacesAgree) return false;
      problem(begin, column, name(column),
              {fmt::format("face 2 that is {:.4g} degrees off face 1", std::fabs(off)), expected, ""});
      return true;
    };
    if (is(FieldTest::directions) && r.angles[0]) {
      const Angle one = r.angle(circle1), two = r.angle(circle2);
      if (apart(wrapped(Angle::degrees(two.degrees() - one.degrees() - 180)).degrees(), circle2,
                "face 2 half a turn from face 1, at the same target"))
        return;
      out_.directions.push_back({r.series, r.set, number, one, two});
      out_.names[FieldTest::directions].push_back(called);
    }
    if (is(FieldTest::zeniths) && r.angles[zenith1 - kFirstAngle]) {
      const Angle one = r.angle(zenith1), two = r.angle(zenith2);
      if (one.degrees() >= 180) {
        problem(begin, zenith1, "zenith1",
                {fmt::format("{:.4f} degrees in face 1", one.degrees()),
                 "a zenith angle under 180 degrees; are the faces exchanged?", ""});
        return;
      }
      if (apart(one.degrees() + two.degrees() - 360, zenith2, "both faces together near 360 degrees")) return;
      out_.zeniths.push_back({r.series, r.set, number, one, two});
      out_.names[FieldTest::zeniths].push_back(called);
    }
  }

  void beam(const RawRow& r, std::uint32_t begin, const std::string& in_set) {
    const std::string called = fmt::format("{}, target {}", in_set, r.target);
    if (!once(r, begin, target, called)) return;
    const std::size_t number = number_of(r.target);
    if (const auto& h = r.lengths[height - kFirstLength]) {
      if (number == out_.target_heights.size()) out_.target_heights.push_back(*h);
      if (std::fabs(out_.target_heights[number].metres() - h->metres()) > 1e-9)
        problem(
            begin, height, "height",
            {"another height than in the rows before", fmt::format("one height of target {}", r.target), ""});
    }
    out_.beam.push_back(
        {r.series * 1001 + r.set, number, r.length(reading), r.length(distance), r.angle(direction)});
    out_.names[FieldTest::rotating_laser].push_back(called);
  }

  const Table& table_;
  Messages& messages_;
  FieldTable out_;
  std::set<std::size_t> needs_, used_;
  std::vector<AngleColumn> angles_;
  std::vector<LengthColumn> lengths_;
  std::map<std::string, std::size_t> targets_, setups_, staffs_;
  std::set<std::string> seen_;
};

}  // namespace

std::optional<FieldTable> read_field_table(const std::filesystem::path& path, Messages& messages) {
  auto read = read_source(path, path.string());
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    messages.problem(Where::whole(path.string()), "file",
                     unreadable_fault(bad->reason, *bad, "a table of readings", "deckmark fieldtest --help"));
    return std::nullopt;
  }
  const auto table = Table::open(std::get<0>(std::move(read)), spec(), messages);
  if (!table) return std::nullopt;
  return FieldTableReader(*table, path.string(), messages).read();
}

std::optional<FieldTestOptions> read_stated_sd(std::string_view text, bool is_angle, Messages& messages) {
  const auto refuse = [&](Fault fault) -> std::optional<FieldTestOptions> {
    fault.expected += is_angle ? ", such as --sd '2\"'" : ", such as --sd 1.5mm";
    fault.suggestion.clear();
    messages.problem(Where{}, "--sd", fault);
    return std::nullopt;
  };
  FieldTestOptions out;
  if (is_angle) {
    const auto angle = read_angle(text, AngleForm{});
    if (!angle) return refuse(angle.fault());
    if (*angle <= Angle::degrees(0) || *angle > Angle::degrees(1))
      return refuse({in_quotes(text), "an sd above 0, up to one degree", ""});
    out.angle_sd = *angle;
  } else {
    const auto length = read_length(text, LengthForm{LengthUnit::metre, false, true});
    if (!length) return refuse(length.fault());
    if (length->value <= Length::metres(0)) return refuse({in_quotes(text), "an sd above 0", ""});
    out.length_sd = length->value;
  }
  return out;
}

}  // namespace deckmark
