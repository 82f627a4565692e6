#include "job/columns.h"

#include "job/plausible.h"

#include "measure/decimal.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace deckmark {

std::string columns_found(const Table& table) {
  return "columns " + in_quotes(fmt::format("{}", fmt::join(table.column_names(), ", ")));
}

bool has_plan_columns(const Table& table, std::size_t one, std::size_t feet, std::size_t inches, Messages& messages) {
  const auto& columns = table.spec().columns;
  const bool split = table.has_column(feet) || table.has_column(inches);
  const auto tell = [&](std::string found, std::string expected) {
    messages.problem(Where::in(table.source(), table.header_offset(one)), "header", Fault{std::move(found), std::move(expected), ""});
    return false;
  };
  if (split && table.has_column(one))
    return tell(fmt::format("columns {} and {} together", columns[one].name, columns[table.has_column(feet) ? feet : inches].name), "one of them");
  if (split && !(table.has_column(feet) && table.has_column(inches)))
    return tell(fmt::format("column {} alone", columns[table.has_column(feet) ? feet : inches].name),
                fmt::format("both {} and {}", columns[feet].name, columns[inches].name));
  if (!split && !table.has_column(one))
    return tell(columns_found(table), fmt::format("{} column {}", table.spec().what, columns[one].name));
  return true;
}

std::optional<Length> read_feet_and_inches(const Table& table, const Row& row, std::size_t feet, std::size_t inches,
                                           bool survey, Messages& messages) {
  const auto refuse = [&](std::size_t column, Fault fault) -> std::optional<Length> {
    messages.problem(Where::in(table.source(), row.offset(column)), table.spec().columns[column].name, fault);
    return std::nullopt;
  };
  std::string_view ft = row.text(feet), in = row.text(inches);
  if (ft.empty()) return refuse(feet, {"an empty cell", "whole feet", "0"});
  if (in.empty()) return refuse(inches, {"an empty cell", "inches", "0"});
  const bool feet_negative = ft.front() == '-', inches_negative = in.front() == '-';
  if (feet_negative || ft.front() == '+') ft.remove_prefix(1);
  if (inches_negative || in.front() == '+') in.remove_prefix(1);
  const auto whole = read_count(ft, 0, 100000000);
  if (!whole) return refuse(feet, {in_quotes(row.text(feet)), "whole feet", std::string(ft.substr(0, ft.find_first_not_of("0123456789")))});
  const std::string marked = fmt::format("{}\"", in);
  const auto part = read_length(in.ends_with('"') ? std::string(in) : marked, LengthForm{survey ? LengthUnit::survey_foot : LengthUnit::feet_inches});
  if (!part) return refuse(inches, {in_quotes(row.text(inches)), "inches from 0 to under 12", ""});
  const double foot = metres_in(survey ? LengthUnit::survey_foot : LengthUnit::foot);
  if (part->value < Length::metres(0) || part->value.metres() >= foot * (1 - 1e-12))
    return refuse(inches, {in_quotes(row.text(inches)), "inches from 0 to under 12, since feet are given", ""});
  if (feet_negative && *whole == 0 && part->value > Length::metres(0))
    return refuse(feet, {in_quotes(row.text(feet)), "the sign on the first part that is not zero", "0 here and the minus on the inches"});
  if (inches_negative && *whole != 0)
    return refuse(inches, {in_quotes(row.text(inches)), "the sign on the first part that is not zero", std::string(in)});
  const Length size = Length::metres(static_cast<double>(*whole) * foot) + part->value;
  return feet_negative || inches_negative ? -size : size;
}

std::optional<Elevation> elevation_of(std::optional<Length> above_datum) {
  if (!above_datum) return std::nullopt;
  return Elevation::at(*above_datum);
}

std::optional<std::int64_t> read_whole(const Table& table, const Row& row, std::size_t column, std::int64_t least,
                                       std::int64_t most, Messages& messages) {
  const auto n = read_count(row.text(column), least, most);
  if (n) return *n;
  messages.problem(Where::in(table.source(), row.offset(column)), table.spec().columns[column].name, n.fault());
  return std::nullopt;
}

AngleColumn::AngleColumn(const Table& table, std::size_t column, std::optional<AngleNotation> bare, Messages& messages,
                         std::string_view bare_key)
    : table_(&table), column_(column), form_{bare, table.decimal_comma()}, bare_key_(bare_key) {
  if (!table.has_column(column)) return;
  const std::string& word = table.header_unit_text(column);
  if (word.empty()) return;
  for (const auto& [name, notation] : {std::pair{"degrees", AngleNotation::degrees}, {"deg", AngleNotation::degrees}, {"\u00B0", AngleNotation::degrees},
                                       {"gon", AngleNotation::gon}, {"packed", AngleNotation::packed}})
    if (same_name(word, name)) {
      form_.bare = notation;
      return;
    }
  messages.problem(Where::in(table.source(), table.header_offset(column)), table.spec().columns[column].name,
                   Fault{"unit " + in_quotes(word), "degrees, gon or packed (DDD.MMSSsss)", fmt::format("{} (degrees)", table.spec().columns[column].name)});
}

std::optional<Angle> AngleColumn::take(const Row& row, bool circle, Messages& messages) const {
  const std::string_view text = row.text(column_);
  if (text.empty()) return std::nullopt;
  const auto angle = circle ? deckmark::read_circle(text, form_) : read_angle(text, form_);
  if (angle) return *angle;
  tell(row, angle.fault(), messages);
  return std::nullopt;
}

void AngleColumn::tell(const Row& row, Fault fault, Messages& messages) const {
  if (!form_.bare && fault.found.ends_with("a bare number")) fault.expected += "; or " + bare_key_;
  messages.problem(Where::in(table_->source(), row.offset(column_)), table_->spec().columns[column_].name, fault);
}

std::optional<Angle> AngleColumn::read_hemisphere(const Row& row, char positive, char negative, Messages& messages) const {
  const std::string_view text = row.text(column_);
  if (text.empty()) return std::nullopt;
  const auto is = [](char c, char letter) { return c == letter || c == letter - 'A' + 'a'; };
  std::string_view value = text;
  std::optional<bool> south;  // or west
  for (const bool front : {true, false}) {
    const char c = value.empty() ? ' ' : front ? value.front() : value.back();
    if (!is(c, positive) && !is(c, negative)) continue;
    south = is(c, negative);
    if (front) value.remove_prefix(1);
    else value.remove_suffix(1);
    value = trimmed(value);
    break;
  }
  const bool has_sign = !value.empty() && (value.front() == '-' || value.front() == '+' || static_cast<unsigned char>(value.front()) >= 0x80);
  if (value.empty() || (south && has_sign)) {
    tell(row, Fault{in_quotes(text), value.empty() ? "an angle" : fmt::format("an angle with a sign, or with {} or {}, not both", positive, negative), fmt::format("40-44-55.2 {}", negative)}, messages);
    return std::nullopt;
  }
  const auto angle = read_angle(value, form_);
  if (angle) return south.value_or(false) ? *angle * -1.0 : *angle;
  tell(row, angle.fault(), messages);
  return std::nullopt;
}

void tell_empty(const Table& table, const Row& row, std::size_t column, std::string expected, std::string example, Messages& messages) {
  messages.problem(Where::in(table.source(), row.offset(column)), table.spec().columns[column].name,
                   Fault{"an empty cell", std::move(expected), std::move(example)});
}

namespace {

Fault wrong_sign(std::string_view text, bool above_zero) {
  return Fault{in_quotes(text), above_zero ? "a length above zero" : "a length of zero or more", "1.5 mm"};
}

std::optional<Length> checked_sign(const Table& table, const Row& row, std::size_t column, std::optional<Length> value,
                                   bool above, Messages& messages) {
  if (!value || *value > Length::metres(0) || (!above && *value == Length::metres(0))) return value;
  messages.problem(Where::in(table.source(), row.offset(column)), table.spec().columns[column].name, wrong_sign(row.text(column), above));
  return std::nullopt;
}
}  // namespace

std::optional<Length> above_zero(const Table& table, const Row& row, std::size_t column, std::optional<Length> value, Messages& messages) {
  return checked_sign(table, row, column, value, true, messages);
}
std::optional<Length> not_negative(const Table& table, const Row& row, std::size_t column, std::optional<Length> value, Messages& messages) {
  return checked_sign(table, row, column, value, false, messages);
}

std::optional<Length> believed_sd(const Table& table, const Row& row, std::size_t column, std::optional<Length> value, Messages& messages) {
  if (value && !is_plausible_sd(*value))
    messages.doubt(kOddSd, Where::in(table.source(), row.offset(column)), table.spec().columns[column].name, odd_sd_text(row.text(column)));
  return value;
}
std::optional<Length> believed_tolerance(const Table& table, const Row& row, std::size_t column, std::optional<Length> value, Messages& messages) {
  if (value && !is_plausible_tolerance(*value))
    messages.doubt(kOddTolerance, Where::in(table.source(), row.offset(column)), table.spec().columns[column].name, odd_tolerance_text(row.text(column)));
  return value;
}

PlaceColumns place_columns(const Table& table, const std::vector<PlaceWay>& ways, Messages& messages) {
  PlaceColumns found = PlaceColumns::none;
  std::vector<std::string> wanted;
  const auto& columns = table.spec().columns;
  const auto tell = [&](std::string what, std::string expected) {
    messages.problem(Where::in(table.source(), table.header_offset(0)), "header", Fault{std::move(what), std::move(expected), ""});
    return PlaceColumns::none;
  };
  for (const PlaceWay& w : ways) {
    const std::string pair = fmt::format("{} and {}", columns[w.first].name, columns[w.second].name);
    wanted.push_back(pair);
    const bool a = table.has_column(w.first), b = table.has_column(w.second);
    if (!a && !b) continue;
    if (a != b) return tell(fmt::format("column {} alone", columns[a ? w.first : w.second].name), pair);
    if (found != PlaceColumns::none) return tell("two ways to give the place", "one of " + fmt::format("{}", fmt::join(wanted, " or ")));
    found = w.way;
  }
  if (found == PlaceColumns::none) return tell(columns_found(table), fmt::format("{} columns {}", table.spec().what, fmt::join(wanted, ", or ")));
  return found;
}

}  // namespace deckmark
