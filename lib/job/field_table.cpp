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

namespace c = deckmark::field_tests;

/// The place of a column; what is looked up by it is as long as the table.
template <const auto& C>
constexpr std::size_t kAt = c::Terms::index<C>();
template <class Value>
using ByColumn = std::array<std::optional<Value>, c::Terms::size>;

constexpr std::size_t kMostRows = 2000;
/// Two faces of one sight agree far better than this.
constexpr double kFacesAgree = 1.0;  // degrees

/// By which columns a test is known, and which of them it cannot do without.
struct TestColumns {
  FieldTest test;
  std::vector<std::size_t> shows, needs;
  std::string_view what;
};
template <const auto&... C>
std::vector<std::size_t> places() {
  return {kAt<C>...};
}
const std::vector<TestColumns>& test_columns() {
  static const std::vector<TestColumns> all = {
      {FieldTest::directions, places<c::circle1, c::circle2>(),
       places<c::set, c::target, c::circle1, c::circle2>(), "directions"},
      {FieldTest::zeniths, places<c::zenith1, c::zenith2>(),
       places<c::set, c::target, c::zenith1, c::zenith2>(), "zenith angles"},
      {FieldTest::line, places<c::from, c::to>(), places<c::from, c::to, c::distance>(),
       "distances on a line"},
      {FieldTest::levelling, places<c::staff>(), places<c::setup, c::staff, c::reading, c::distance>(),
       "the line of sight of a level"},
      {FieldTest::rotating_laser, places<c::reading, c::direction>(),
       places<c::set, c::target, c::reading, c::distance, c::direction>(), "a rotating laser"},
      {FieldTest::plumbing, places<c::x1, c::x2, c::y1, c::y2>(), places<c::x1, c::x2, c::y1, c::y2>(),
       "a plumbing instrument, four readings a set"},
      {FieldTest::turned_marks, places<c::turn>(), places<c::set, c::turn, c::x, c::y>(),
       "a plumbing instrument, marks at turns"},
      {FieldTest::cross_line, places<c::ab, c::cd, c::ac>(), places<c::ab, c::cd, c::ac>(),
       "the right angle of a cross-line laser"},
  };
  return all;
}

/// One row before its test is known to be sound.
struct RawRow {
  std::array<std::size_t, c::Terms::size> numbers{};
  std::array<std::string, c::Terms::size> names;
  std::size_t series() const { return std::max<std::size_t>(1, numbers[kAt<c::series>]); }
  ByColumn<Angle> angles;
  ByColumn<Length> lengths;

  template <const auto& C>
  std::size_t number() const {
    static_assert(std::is_same_v<KindOf<C>, NumberCell>);
    return numbers[kAt<C>];
  }
  template <const auto& C>
  const std::string& name() const {
    static_assert(std::is_same_v<KindOf<C>, NameCell>);
    return names[kAt<C>];
  }
  template <const auto& C>
  Angle angle() const {
    static_assert(std::is_same_v<KindOf<C>, AngleCell>);
    return *angles[kAt<C>];
  }
  template <const auto& C>
  Length length() const {
    static_assert(std::is_same_v<KindOf<C>, LengthCell>);
    return *lengths[kAt<C>];
  }
};

class FieldTableReader {
 public:
  FieldTableReader(const OpenTable<c::Terms>& table, std::string file, Messages& messages)
      : table_(table), messages_(messages) {
    out_.file = std::move(file);
  }

  std::optional<FieldTable> read() {
    if (!find_tests()) return std::nullopt;
    c::Terms::each_as_argument([&]<const auto & C>() { begin_to_read<C>(); });
    if (messages_.has_problems()) return std::nullopt;
    auto rows =
        read_records<Rows<RawRow>>(*table_, messages_, [&](auto& all, const Row& row, Messages& told) {
          if (all.records.size() > kMostRows) return;
          if (auto r = raw(row, told)) {
            const std::string named = r->name<c::target>();
            all.add(std::move(*r), named, row.begin());
          }
        });
    if (rows.records.size() > kMostRows) {
      messages_.problem(Where::in(table_->source(), rows.begins[kMostRows]), "row",
                        {"more rows", fmt::format("up to {} rows of readings", kMostRows), ""});
      return std::nullopt;
    }
    for (std::size_t i = 0; i < rows.records.size(); ++i) take(rows.records[i], rows.begins[i]);
    if (messages_.has_problems()) return std::nullopt;
    return std::move(out_);
  }

 private:
  const std::string& name(std::size_t column) const { return table_->spec().columns[column].name; }
  bool stands(std::size_t column) const { return table_->has_column(column); }
  bool is(FieldTest test) const { return std::ranges::count(out_.tests, test) > 0; }
  static bool is_of_cross(std::size_t column) {
    return column == kAt<c::ab> || column == kAt<c::cd> || column == kAt<c::ac>;
  }
  /// Lengths of that column are above zero.
  bool is_above(std::size_t column) const {
    return column == kAt<c::distance> || is_of_cross(column) ||
           (column == kAt<c::height> && is(FieldTest::plumbing));
  }
  template <const auto& C>
  void problem(std::uint32_t begin, const Fault& fault) {
    messages_.problem(table_.at<C>().where(begin), C.name, fault);
  }
  void header_problem(std::size_t column, std::string_view field, const Fault& fault) {
    messages_.problem(table_->header_where(column), field, fault);
  }

  template <const auto& C>
  void begin_to_read() {
    if constexpr (std::is_same_v<KindOf<C>, AngleCell>)
      angles_[kAt<C>].emplace(table_.at<C>(), std::nullopt, messages_,
                              fmt::format("the notation in the header, such as {} (degrees)", C.name));
    if constexpr (std::is_same_v<KindOf<C>, LengthCell>)
      lengths_[kAt<C>] = lengths_of(table_.at<C>(), table_.at<C>().header_unit().value_or(LengthUnit::metre),
                                    "the header", messages_, is_above(kAt<C>) ? is_above_zero : nullptr);
  }

  bool find_tests() {
    std::vector<std::string> wanted;
    std::vector<const TestColumns*> found;
    for (const TestColumns& t : test_columns()) {
      std::vector<std::string> names;
      for (const std::size_t i : t.needs) names.push_back(name(i));
      wanted.push_back(fmt::format("{} ({})", fmt::join(names, ", "), t.what));
      if (std::ranges::any_of(t.shows, [&](std::size_t i) { return stands(i); })) found.push_back(&t);
    }
    // A staff is read by a level too; the direction makes it a rotating laser's.
    if (stands(kAt<c::staff>) && !stands(kAt<c::direction>))
      std::erase_if(found, [](const TestColumns* t) { return t->test == FieldTest::rotating_laser; });
    if (found.empty()) {
      header_problem(0, "header",
                     {columns_found(*table_), fmt::format("{}", fmt::join(wanted, "; or ")), ""});
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
      for (const std::size_t i : t->needs)
        if (!stands(i))
          header_problem(0, "header",
                         {fmt::format("no column {}", name(i)),
                          wanted[static_cast<std::size_t>(t - test_columns().data())], ""});
    }
    used_ = needs_;
    if (is(FieldTest::plumbing) || is(FieldTest::rotating_laser)) used_.insert(kAt<c::height>);
    for (const std::size_t i : used_)
      if (table_->spec().columns[i].kind == ColumnKind::length && stands(i) &&
          table_->header_unit_text(i).empty())
        header_problem(
            i, name(i),
            {"no unit", "the unit of the column in the header",
             fmt::format("{} ({})", name(i),
                         i == kAt<c::distance> || i == kAt<c::height> || is_of_cross(i) ? "m" : "mm")});
    return !messages_.has_problems();
  }

  template <const auto& C>
  bool has(const Row& row) const {
    return table_.at<C>().has(row);
  }

  /// In a table of both angles one of the two pairs may be left empty.
  bool may_be_empty(const Row& row, std::size_t column) const {
    if (out_.tests.size() != 2) return false;
    const bool circles = has<c::circle1>(row) || has<c::circle2>(row),
               zeniths = has<c::zenith1>(row) || has<c::zenith2>(row);
    if (column == kAt<c::circle1> || column == kAt<c::circle2>)
      return !circles && has<c::zenith1>(row) && has<c::zenith2>(row);
    if (column == kAt<c::zenith1> || column == kAt<c::zenith2>)
      return !zeniths && has<c::circle1>(row) && has<c::circle2>(row);
    return false;
  }

  std::optional<RawRow> raw(const Row& row, Messages& told) const {
    RawRow out;
    bool good = true;
    if (has<c::series>(row)) good = take_cell<c::series>(row, out, told) && good;
    c::Terms::each_as_argument([&]<const auto & C>() {
      const std::size_t i = kAt<C>;
      if (!used_.contains(i) || (i == kAt<c::height> && !stands(i))) return;
      if (has<C>(row))
        good = take_cell<C>(row, out, told) && good;
      else
        good = may_stand_empty<C>(row, told) && good;
    });
    if (!good) return std::nullopt;
    return out;
  }

  template <const auto& C>
  bool may_stand_empty(const Row& row, Messages& told) const {
    const bool is_height = kAt<C> == kAt<c::height>;
    if (is_height ? !is(FieldTest::rotating_laser) : may_be_empty(row, kAt<C>)) return true;
    tell_empty(table_.at<C>(), row,
               is_height ? "the known height of every target, or no column height"
                         : "a value; leave the row out if it was not read",
               "", told);
    return false;
  }

  /// False where the cell is bad (told).
  template <const auto& C>
  bool take_cell(const Row& row, RawRow& out, Messages& told) const {
    const auto column = table_.at<C>();
    if constexpr (std::is_same_v<KindOf<C>, NumberCell>) {
      const auto n = read_whole(column, row, 1, 1000, told);
      if (n) out.numbers[kAt<C>] = static_cast<std::size_t>(*n);
      return n.has_value();
    }
    if constexpr (std::is_same_v<KindOf<C>, NameCell>) {
      const auto text = read_name(column, row, told);
      if (text) out.names[kAt<C>] = std::string(*text);
      return text.has_value();
    }
    if constexpr (std::is_same_v<KindOf<C>, AngleCell>) {
      auto& a = out.angles[kAt<C>];
      a = angles_[kAt<C>]->read_circle(row, told);
      return a.has_value();
    }
    if constexpr (std::is_same_v<KindOf<C>, LengthCell>) {
      auto& l = out.lengths[kAt<C>];
      l = lengths_[kAt<C>]->read(row, told);
      if (is_above(kAt<C>)) l = above_zero(column, row, l, told);
      return l.has_value();
    }
  }

  std::size_t number_of(const std::string& target) {
    return targets_.emplace(small_letters(target), targets_.size()).first->second;
  }

  /// `C`: what a set has once each, a target or a turn.
  template <const auto& C>
  bool once(const RawRow& r, std::uint32_t begin, const std::string& what) {
    constexpr bool by_target = kAt<C> == kAt<c::target>;
    std::string key = fmt::format("{} {} {}", r.series(), r.number<c::set>(),
                                  by_target ? number_of(r.name<c::target>()) : 0);
    if (!by_target) key += fmt::format(" {}", r.angle<c::turn>().degrees());
    if (seen_.insert(key).second) return true;
    problem<C>(begin, {what + " again", "each reading of a set once; another set for another round", ""});
    return false;
  }

  void take(const RawRow& r, std::uint32_t begin) {
    const std::string in_set = fmt::format(
        "{}set {}", r.series() > 1 ? fmt::format("series {}, ", r.series()) : "", r.number<c::set>());
    if (is(FieldTest::directions) || is(FieldTest::zeniths)) faces(r, begin, in_set);
    if (is(FieldTest::line)) {
      if (r.number<c::from>() == r.number<c::to>()) {
        problem<c::to>(begin, {fmt::format("from {} to {}", r.number<c::from>(), r.number<c::to>()),
                               "two points of the line", ""});
        return;
      }
      out_.line.push_back({r.number<c::from>(), r.number<c::to>(), r.length<c::distance>()});
      out_.names[FieldTest::line].push_back(fmt::format("{} to {}", r.number<c::from>(), r.number<c::to>()));
    }
    if (is(FieldTest::levelling)) {
      const auto number = [](auto& names, const std::string& name) {
        return names.emplace(small_letters(name), names.size()).first->second;
      };
      out_.levels.push_back({number(setups_, r.name<c::setup>()), number(staffs_, r.name<c::staff>()),
                             r.length<c::reading>(), r.length<c::distance>()});
      out_.names[FieldTest::levelling].push_back(
          fmt::format("set-up {}, staff {}", r.name<c::setup>(), r.name<c::staff>()));
    }
    if (is(FieldTest::rotating_laser)) beam(r, begin, in_set);
    if (is(FieldTest::plumbing)) {
      out_.plumb.push_back(
          {r.series(), r.length<c::x1>(), r.length<c::x2>(), r.length<c::y1>(), r.length<c::y2>()});
      for (const char* axis : {"x", "y"})
        out_.names[FieldTest::plumbing].push_back(fmt::format("set {}, {}", out_.plumb.size(), axis));
      const auto& h = r.lengths[kAt<c::height>];
      if (h && out_.plumb_height && std::fabs(h->metres() - out_.plumb_height->metres()) > 0.05)
        problem<c::height>(begin,
                           {"another height of the grid than in the rows before", "one height a table", ""});
      if (h) out_.plumb_height = h;
    }
    if (is(FieldTest::cross_line)) {
      out_.cross.push_back({r.length<c::ab>(), r.length<c::cd>(), r.length<c::ac>()});
      out_.names[FieldTest::cross_line].push_back(fmt::format("set {}", out_.cross.size()));
    }
    if (is(FieldTest::turned_marks)) {
      const std::string turned = fmt::format("{}, turn {:g}", in_set, r.angle<c::turn>().degrees());
      if (!once<c::turn>(r, begin, turned)) return;
      out_.turned.push_back(
          {r.series() * 1001 + r.number<c::set>(), r.angle<c::turn>(), r.length<c::x>(), r.length<c::y>()});
      for (const char* axis : {"x", "y"}) out_.names[FieldTest::turned_marks].push_back(turned + ", " + axis);
    }
  }

  /// True, and told, where face 2 cannot be of the same sight as face 1.
  template <const auto& C>
  bool is_apart(std::uint32_t begin, double off, const std::string& expected) {
    if (std::fabs(off) <= kFacesAgree) return false;
    problem<C>(begin,
               {fmt::format("face 2 that is {:.4g} degrees off face 1", std::fabs(off)), expected, ""});
    return true;
  }

  void faces(const RawRow& r, std::uint32_t begin, const std::string& in_set) {
    const std::string called = fmt::format("{}, target {}", in_set, r.name<c::target>());
    if (!once<c::target>(r, begin, called)) return;
    const std::size_t number = number_of(r.name<c::target>());
    if (is(FieldTest::directions) && r.angles[kAt<c::circle1>]) {
      const Angle one = r.angle<c::circle1>(), two = r.angle<c::circle2>();
      if (is_apart<c::circle2>(begin, wrapped(Angle::degrees(two.degrees() - one.degrees() - 180)).degrees(),
                               "face 2 half a turn from face 1, at the same target"))
        return;
      out_.directions.push_back({r.series(), r.number<c::set>(), number, one, two});
      out_.names[FieldTest::directions].push_back(called);
    }
    if (is(FieldTest::zeniths) && r.angles[kAt<c::zenith1>]) {
      const Angle one = r.angle<c::zenith1>(), two = r.angle<c::zenith2>();
      if (one.degrees() >= 180) {
        problem<c::zenith1>(begin, {fmt::format("{:.4f} degrees in face 1", one.degrees()),
                                    "a zenith angle under 180 degrees; are the faces exchanged?", ""});
        return;
      }
      if (is_apart<c::zenith2>(begin, one.degrees() + two.degrees() - 360,
                               "both faces together near 360 degrees"))
        return;
      out_.zeniths.push_back({r.series(), r.number<c::set>(), number, one, two});
      out_.names[FieldTest::zeniths].push_back(called);
    }
  }

  void beam(const RawRow& r, std::uint32_t begin, const std::string& in_set) {
    const std::string called = fmt::format("{}, target {}", in_set, r.name<c::target>());
    if (!once<c::target>(r, begin, called)) return;
    const std::size_t number = number_of(r.name<c::target>());
    if (const auto& h = r.lengths[kAt<c::height>]) {
      if (number == out_.target_heights.size()) out_.target_heights.push_back(*h);
      if (std::fabs(out_.target_heights[number].metres() - h->metres()) > 1e-9)
        problem<c::height>(begin, {"another height than in the rows before",
                                   fmt::format("one height of target {}", r.name<c::target>()), ""});
    }
    out_.beam.push_back({r.series() * 1001 + r.number<c::set>(), number, r.length<c::reading>(),
                         r.length<c::distance>(), r.angle<c::direction>()});
    out_.names[FieldTest::rotating_laser].push_back(called);
  }

  const OpenTable<c::Terms>& table_;
  Messages& messages_;
  FieldTable out_;
  std::set<std::size_t> needs_, used_;
  ByColumn<AngleColumn> angles_;
  ByColumn<LengthColumn> lengths_;
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
  auto opened = Table::open(std::get<0>(std::move(read)), spec_of<c::Terms>(), messages);
  if (!opened) return std::nullopt;
  const OpenTable<c::Terms> table(std::make_shared<const Table>(*std::move(opened)));
  return FieldTableReader(table, path.string(), messages).read();
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
    constexpr Length kMost = Length::millimetres(20);  // under an inch: 30" is meant as an angle (ours)
    if (length->value <= Length::metres(0) || length->value > kMost)
      return refuse({in_quotes(text), "the sd of a length, not of an angle, above 0, up to 20 mm", ""});
    out.length_sd = length->value;
  }
  return out;
}

}  // namespace deckmark
