#include "job/columns.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "job/one_of.h"
#include "job/plausible.h"
#include "measure/decimal.h"
#include "measure/letters.h"
#include "table/meant_word.h"

namespace deckmark {

std::string columns_found(const Table& table) {
  return "columns " + in_quotes(fmt::format("{}", fmt::join(table.column_names(), ", ")));
}

PlaceOffer place_offer(const Table& table) {
  const Offer& offer = table.offer();
  const auto is_offered = [&](std::size_t c) { return offer.has(table.spec().columns[c].name); };
  const auto completes = [&](const std::pair<std::size_t, std::size_t>& way) {
    const auto& [first, second] = way;
    return (is_offered(first) && (is_offered(second) || table.has_column(second))) ||
           (is_offered(second) && table.has_column(first));
  };
  if (std::ranges::none_of(table.spec().ways, completes)) return {};
  return {table.offered_line(),
          offer.others.empty() ? "" : fmt::format(" ({})", fmt::join(offer.others, ", "))};
}

bool has_plan_columns(const LengthCells& one, const NumberColumn& feet, const NumberColumn& inches,
                      Messages& messages) {
  const bool split = feet.stands() || inches.stands();
  const std::string& part = feet.stands() ? feet.name() : inches.name();
  const auto tell = [&](std::string found, std::string expected) {
    messages.problem(one.header(), "header", Fault{std::move(found), std::move(expected), ""});
    return false;
  };
  if (split && one.stands())
    return tell(fmt::format("columns {} and {} together", one.name(), part), "one of them");
  if (split && !(feet.stands() && inches.stands()))
    return tell(fmt::format("column {} alone", part),
                fmt::format("both {} and {}", feet.name(), inches.name()));
  if (!split && !one.stands())
    return tell(columns_found(one.table()), fmt::format("{} column {}", one.table().spec().what, one.name()));
  return true;
}

std::optional<Length> read_feet_and_inches(const NumberColumn& feet, const NumberColumn& inches,
                                           const Row& row, bool survey, Messages& messages) {
  const auto refuse = [&](const NumberColumn& column, const Fault& fault) -> std::optional<Length> {
    column.problem(row, fault, messages);
    return std::nullopt;
  };
  std::string_view ft = feet.text(row), in = inches.text(row);
  if (ft.empty()) return refuse(feet, {"an empty cell", "whole feet, or 0", ""});
  if (in.empty()) return refuse(inches, {"an empty cell", "inches, or 0", ""});
  const bool feet_negative = ft.front() == '-', inches_negative = in.front() == '-';
  if (feet_negative || ft.front() == '+') ft.remove_prefix(1);
  if (inches_negative || in.front() == '+') in.remove_prefix(1);
  const auto whole = read_count(ft, 0, 100000000);
  if (!whole) return refuse(feet, {in_quotes(feet.text(row)), "whole feet, digits alone", ""});
  const std::string marked = fmt::format("{}\"", in);
  const auto part = read_length(in.ends_with('"') ? std::string(in) : marked,
                                LengthForm{survey ? LengthUnit::survey_foot : LengthUnit::feet_inches});
  if (!part) return refuse(inches, {in_quotes(inches.text(row)), "inches from 0 to under 12", ""});
  const double foot = metres_in(survey ? LengthUnit::survey_foot : LengthUnit::foot);
  if (part->value < Length::metres(0) || part->value.metres() >= foot * (1 - 1e-12))
    return refuse(inches,
                  {in_quotes(inches.text(row)), "inches from 0 to under 12, since feet are given", ""});
  if (feet_negative && *whole == 0 && part->value > Length::metres(0))
    return refuse(feet,
                  {in_quotes(feet.text(row)),
                   "the sign on the first part that is not zero: 0 here and the minus on the inches", ""});
  if (inches_negative && *whole != 0)
    return refuse(inches, {in_quotes(inches.text(row)),
                           "the sign on the first part that is not zero, which is the feet", ""});
  const Length size = Length::metres(static_cast<double>(*whole) * foot) + part->value;
  return feet_negative || inches_negative ? -size : size;
}

std::optional<Elevation> elevation_of(std::optional<Length> above_datum) {
  if (!above_datum) return std::nullopt;
  return Elevation::at(*above_datum);
}

std::optional<std::int64_t> read_whole(const NumberColumn& column, const Row& row, std::int64_t least,
                                       std::int64_t most, Messages& messages) {
  const auto n = read_count(column.text(row), least, most);
  if (n) return *n;
  column.problem(row, n.fault(), messages);
  return std::nullopt;
}

AngleColumn::AngleColumn(const AngleCells& column, std::optional<AngleNotation> bare, Messages& messages,
                         std::string_view bare_key)
    : column_(column), form_{bare, column.table().decimal_comma()}, bare_key_(bare_key) {
  if (!column.stands()) return;
  const std::string& word = column.header_unit_text();
  if (word.empty()) return;
  for (const auto& [name, notation] : {std::pair{"degrees", AngleNotation::degrees},
                                       {"deg", AngleNotation::degrees},
                                       {"\u00B0", AngleNotation::degrees},
                                       {"gon", AngleNotation::gon},
                                       {"packed", AngleNotation::packed}})
    if (same_name(word, name)) {
      form_.bare = notation;
      return;
    }
  messages.problem(column.header(), column.name(),
                   Fault{"unit " + in_quotes(word), "degrees, gon or packed (DDD.MMSSsss)",
                         fmt::format("{} (degrees)", column.name())});
}

std::optional<Angle> AngleColumn::take(const Row& row, bool circle, Messages& messages) const {
  const std::string_view text = column_.text(row);
  if (text.empty()) return std::nullopt;
  const auto angle = circle ? deckmark::read_circle(text, form_) : read_angle(text, form_);
  if (angle) return *angle;
  tell(row, angle.fault(), messages);
  return std::nullopt;
}

void AngleColumn::tell(const Row& row, Fault fault, Messages& messages) const {
  if (!form_.bare && fault.found.ends_with("a bare number")) fault.expected += "; or " + bare_key_;
  column_.problem(row, fault, messages);
}

namespace {

/// The capital of an ASCII letter.
char upper(char c) { return is_letter(c) ? static_cast<char>(small_letter(c) - 'a' + 'A') : c; }
bool is_compass(char c) { return std::string_view("NSEW").find(upper(c)) != std::string_view::npos; }

/// A compass letter of a cell, and the text without it.
struct Lettered {
  char letter = ' ';  ///< as typed
  bool front = false;
  std::string_view value;
};

/// The letter that stands at an end of the text by itself or behind the mark of a unit: the n of `gon` and
/// the last s of `degrees` are none.
std::optional<Lettered> lettered(std::string_view text) {
  std::size_t first = 0, last = text.size();
  while (first < text.size() && is_letter(text[first])) ++first;
  if (first == 1 && is_compass(text[0])) return Lettered{text[0], true, trimmed(text.substr(1))};
  while (last > 0 && is_letter(text[last - 1])) --last;
  if (last == text.size() || !is_compass(text.back())) return std::nullopt;
  const std::string_view mark = text.substr(last, text.size() - last - 1);
  const auto is = [mark](std::string_view word) { return same_name(mark, word); };
  if (!(mark.empty() || is("d") || is("m") || is("s") || is("deg") || is("degrees") || is("gon")))
    return std::nullopt;
  return Lettered{text.back(), false, trimmed(text.substr(0, text.size() - 1))};
}

/// What a last s may be: in `48d30m00s` the mark of the seconds, in `41-30-00 S` south. What may be either is
/// neither.
enum class LastS : std::uint8_t { mark, south, unclear };
LastS last_s(std::string_view text, const Lettered& found, const AngleForm& form) {
  const bool as_mark = static_cast<bool>(read_angle(text, form)),
             as_south = static_cast<bool>(read_angle(found.value, form));
  const bool small = found.letter == 's';
  // The last digits of a packed angle are seconds.
  const bool packed = form.bare == AngleNotation::packed &&
                      found.value.find_first_not_of("0123456789.,") == std::string_view::npos;
  if (!as_mark) return small && packed ? LastS::unclear : LastS::south;
  if (!as_south)
    return found.value.find_first_of(small ? "dm" : "DM") != std::string_view::npos ? LastS::mark
                                                                                    : LastS::unclear;
  return small ? LastS::unclear : LastS::south;
}

}  // namespace

std::optional<Angle> AngleColumn::read_hemisphere(const Row& row, char positive, char negative,
                                                  Messages& messages) const {
  const std::string_view text = column_.text(row);
  if (text.empty()) return std::nullopt;
  const auto refuse = [&](std::string expected, std::string suggestion) {
    tell(row, Fault{in_quotes(text), std::move(expected), std::move(suggestion)}, messages);
    return std::nullopt;
  };
  auto found = lettered(text);
  if (found && !found->front && upper(found->letter) == 'S') {
    // No longitude is south: there a small s can be the mark alone.
    const LastS meant = last_s(text, *found, form_);
    if (meant == LastS::mark || (meant == LastS::unclear && found->letter == 's' && positive != 'N'))
      found.reset();
    else if (meant == LastS::unclear) {
      std::string plain(found->value);
      if (!read_angle(plain, form_)) plain += plain.find_first_of("dD") != std::string::npos ? "s" : "\"";
      return refuse(
          fmt::format("an angle whose last letter is clearly south, or the mark of the seconds: {0} S "
                      "for south, or {0} for north",
                      plain),
          "");
    }
  }
  const std::string_view value = found ? found->value : text;
  const char letter = found ? upper(found->letter) : ' ';
  if (found && letter != positive && letter != negative)
    return refuse(fmt::format("an angle with {} or {}, or a sign: {} belongs to the {}", positive, negative,
                              letter, positive == 'N' ? "longitude" : "latitude"),
                  "");
  const bool has_sign = !value.empty() && (value.front() == '-' || value.front() == '+' ||
                                           static_cast<unsigned char>(value.front()) >= 0x80);
  if (value.empty() || (found && has_sign))
    return refuse(value.empty()
                      ? fmt::format("an angle, such as 40-44-55.2 {}", negative)
                      : fmt::format("an angle with a sign, or with {} or {}, not both", positive, negative),
                  "");
  const auto angle = read_angle(value, form_);
  if (angle) return letter == negative ? *angle * -1.0 : *angle;
  Fault fault = angle.fault();
  if (found) {  // in the words of the whole cell
    const std::string part = in_quotes(value);
    if (fault.found.starts_with(part)) fault.found.replace(0, part.size(), in_quotes(text));
    if (fault.suggestion.starts_with('-'))  // a sign and a letter
      fault.suggestion.clear();
    else if (read_angle(fault.suggestion, form_))
      fault.suggestion = fmt::format("{} {}", fault.suggestion, letter);
  }
  tell(row, fault, messages);
  return std::nullopt;
}

void tell_empty(const AnyColumn& column, const Row& row, std::string expected, std::string example,
                Messages& messages) {
  column.problem(row, Fault{"an empty cell", std::move(expected), std::move(example)}, messages);
}

bool read_word(const WordsColumn& column, const Row& row, WordList words, std::optional<std::size_t>& at,
               Messages& told) {
  const std::string_view text = column.text(row);
  if (text.empty()) return true;
  if (const auto word = std::ranges::find(words, text); word != words.end()) {
    at = static_cast<std::size_t>(word - words.begin());
    return true;
  }
  const std::vector<std::string> known(words.begin(), words.end());
  column.problem(
      row, Fault{in_quotes(text), one_of(known), meant_word(small_letters(text), known).value_or("")}, told);
  return false;
}

namespace {

Fault wrong_sign(std::string_view text, bool above_zero) {
  return Fault{in_quotes(text),
               above_zero ? "a length above zero, such as 1.5 mm" : "a length of zero or more", ""};
}

std::optional<Length> checked_sign(const LengthCells& column, const Row& row, std::optional<Length> value,
                                   bool above, Messages& messages) {
  if (!value || (above ? is_above_zero(*value) : is_not_negative(*value))) return value;
  column.problem(row, wrong_sign(column.text(row), above), messages);
  return std::nullopt;
}

}  // namespace

bool is_above_zero(Length length) { return length > Length::metres(0); }
bool is_not_negative(Length length) { return length >= Length::metres(0); }
bool is_sd_above_zero(Length sd) { return is_above_zero(sd) && is_possible_sd(sd); }

std::optional<Length> above_zero(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Messages& messages) {
  return checked_sign(column, row, value, true, messages);
}
std::optional<Length> not_negative(const LengthCells& column, const Row& row, std::optional<Length> value,
                                   Messages& messages) {
  return checked_sign(column, row, value, false, messages);
}

std::optional<Length> not_beyond(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Length most, Messages& told) {
  if (!value || abs(*value) <= most) return value;
  column.problem(
      row,
      Fault{
          fmt::format("{}, which is {} m", in_quotes(column.text(row)), fixed(value->metres(), 0)),
          fmt::format("a length up to {} m; look at the unit and the decimal point", fixed(most.metres(), 0)),
          ""},
      told);
  return std::nullopt;
}

std::optional<Length> believed_sd(const LengthCells& column, const Row& row, std::optional<Length> value,
                                  Messages& messages) {
  if (value && !is_possible_sd(*value)) {
    column.problem(row, Fault{in_quotes(column.text(row)), possible_sds(true), ""}, messages);
    return std::nullopt;
  }
  if (value && !is_plausible_sd(*value)) column.doubt(kOddSd, row, odd_sd_text(column.text(row)), messages);
  return value;
}

std::optional<Length> control_sd(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Messages& told) {
  const auto sd = not_negative(column, row, value, told);
  if (sd && *sd > Length::metres(0)) (void)believed_sd(column, row, sd, told);
  return sd;
}
std::optional<Length> believed_tolerance(const LengthCells& column, const Row& row,
                                         std::optional<Length> value, Messages& messages) {
  if (value && !is_plausible_tolerance(*value))
    column.doubt(kOddTolerance, row, odd_tolerance_text(column.text(row)), messages);
  return value;
}

PlaceColumns place_columns(const std::vector<PlaceWay>& ways, bool may_be_sighted, Messages& messages) {
  PlaceColumns found = PlaceColumns::none;
  std::vector<std::string> wanted;
  const Table& table = ways.front().first.table();
  const auto tell = [&](std::string what, std::string expected, const PlaceOffer& offer = {}) {
    messages.problem(table.header_where(0), "header",
                     Fault{std::move(what), std::move(expected) + offer.others, offer.line});
    return PlaceColumns::none;
  };
  for (const PlaceWay& w : ways) {
    const std::string pair = fmt::format("{} and {}", w.first.name(), w.second.name());
    wanted.push_back(pair);
    const bool a = w.first.stands(), b = w.second.stands();
    if (!a && !b) continue;
    if (a != b)
      return tell(fmt::format("column {} alone", (a ? w.first : w.second).name()), pair, place_offer(table));
    if (found != PlaceColumns::none)
      return tell("two ways to give the place", "one of " + fmt::format("{}", fmt::join(wanted, " or ")));
    found = w.way;
  }
  if (found != PlaceColumns::none) return found;
  const PlaceOffer offer = place_offer(table);
  if (may_be_sighted && offer.line.empty()) return PlaceColumns::sighted;
  return tell(columns_found(table),
              fmt::format("{} columns {}", table.spec().what, fmt::join(wanted, ", or ")), offer);
}

bool PlaceCells::may_be_left(const Row& row, std::string_view name, Messages& messages) const {
  const PlaceWay* used = this->used();
  if (may_be_sighted_ || !used) return true;
  used->first.problem(row,
                      Fault{"an empty cell",
                            fmt::format("{} and {}, or a [[setup]] that sighted {}", used->first.name(),
                                        used->second.name(), in_quotes(name)),
                            ""},
                      messages);
  return false;
}

}  // namespace deckmark
