#include "table/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "measure/letters.h"
#include "measure/utf8.h"
#include "table/scan.h"
#include "table/written.h"

namespace deckmark {

void TextColumn::push_back(std::string_view text) {
  if (source_) {
    const std::string_view all = source_->text();
    if (text.data() >= all.data() && text.data() + text.size() <= all.data() + all.size()) {
      refs_.push_back(
          {static_cast<std::uint32_t>(text.data() - all.data()), static_cast<std::uint32_t>(text.size())});
      return;
    }
  }
  refs_.push_back(
      {static_cast<std::uint32_t>(owned_.size()), static_cast<std::uint32_t>(text.size()) | kOwned});
  owned_.append(text);
}

void TextColumn::append(TextColumn&& other) {
  const auto shift = static_cast<std::uint32_t>(owned_.size());
  owned_ += other.owned_;
  const std::size_t from = refs_.size();
  refs_.insert(refs_.end(), other.refs_.begin(), other.refs_.end());
  if (!other.owned_.empty())
    for (std::size_t i = from; i < refs_.size(); ++i)
      if (refs_[i].length & kOwned) refs_[i].offset += shift;
  if (!source_) source_ = std::move(other.source_);
  other = TextColumn{};
}

namespace {

bool is_survey(LengthUnit u) { return u == LengthUnit::survey_foot; }
bool is_international(LengthUnit u) { return u == LengthUnit::foot || u == LengthUnit::feet_inches; }
bool feet_disagree(LengthUnit a, LengthUnit b) {
  return (is_survey(a) && is_international(b)) || (is_international(a) && is_survey(b));
}
/// As one says that a figure is read as them.
std::string_view units_in_words(LengthUnit u) {
  switch (u) {
    case LengthUnit::metre:
      return "metres";
    case LengthUnit::millimetre:
      return "millimetres";
    case LengthUnit::centimetre:
      return "centimetres";
    case LengthUnit::foot:
      return "feet";
    case LengthUnit::survey_foot:
      return "US survey feet";
    case LengthUnit::inch:
      return "inches";
    case LengthUnit::feet_inches:
      break;
  }
  return "feet and inches";
}
bool is_foot_family(LengthUnit u) { return is_survey(u) || is_international(u) || u == LengthUnit::inch; }

}  // namespace

LengthColumn::LengthColumn(const Table& table, std::size_t column, LengthUnit unit, std::string_view job_key,
                           Messages& messages, Takes takes)
    : table_(&table),
      column_(column),
      form_{unit, table.decimal_comma(), false},
      job_unit_(unit),
      job_key_(job_key),
      takes_(takes) {
  const auto header = table.header_unit(column);
  if (!header) return;
  form_.bare = *header;
  if (*header == unit) return;
  const std::string& name = table.spec().columns[column].name;
  const Where where = table.header_where(column);
  if (feet_disagree(*header, unit))
    messages.problem(where, name,
                     Fault{fmt::format("unit {}", unit_word(*header)),
                           fmt::format("the foot that {} states ({})", job_key_, unit_word(unit)),
                           fmt::format("{} ({})", name, unit_word(unit))});
  else
    messages.notice("a unit that differs", where, name,
                    fmt::format("the header says {}, {} says {}: the header holds", unit_word(*header),
                                job_key_, unit_word(unit)));
}

std::optional<Length> LengthColumn::read(const Row& row, Messages& messages) const {
  const std::string_view text = row.text(column_);
  if (text.empty()) return std::nullopt;
  Length value = Length::metres(0);
  {
    const Outcome<LengthReading> reading = read_length(text, form_);
    if (!reading) {
      messages.problem(table_->where(row, column_), table_->spec().columns[column_].name,
                       fault_here(reading.fault()));
      return std::nullopt;
    }
    value = reading->value;
    const bool as_column = form_.bare == LengthUnit::feet_inches && reading->stated == form_.bare;
    if (((reading->stated && !as_column) || reading->marks_left_out || reading->coarse) &&
        !tell(row, *reading, text, messages))
      return std::nullopt;
    constexpr double kFarInFeet = 30480;  // 100,000 ft: from here the two feet differ by 60 mm and more
    if (form_.bare == LengthUnit::foot && !reading->stated && std::abs(value.metres()) > kFarInFeet)
      messages.doubt(
          "large coordinates in ft", table_->where(row, column_), table_->spec().columns[column_].name,
          fmt::format(
              "{} ft: as US survey feet it would be {:.3f} m away; if the control is in us-ft, say so", text,
              std::abs(value.metres()) * (1200.0 / 3937.0 / 0.3048 - 1.0)));
  }
  return value;
}

std::optional<Length> LengthColumn::require(const Row& row, Messages& messages) const {
  if (row.text(column_).empty()) {
    messages.problem(table_->where(row, column_), table_->spec().columns[column_].name,
                     Fault{"an empty cell", "a length", ""});
    return std::nullopt;
  }
  return read(row, messages);
}

bool LengthColumn::is_other_foot(const LengthReading& reading) const {
  return reading.stated && *reading.stated != LengthUnit::feet_inches &&
         (feet_disagree(*reading.stated, form_.bare) || feet_disagree(*reading.stated, job_unit_));
}

Fault LengthColumn::fault_here(Fault fault) const {
  if (fault.suggestion.empty()) return fault;
  const auto meant = read_length(fault.suggestion, form_);
  if (!meant || is_other_foot(*meant) || (takes_ && !takes_(meant->value))) fault.suggestion.clear();
  return fault;
}

bool LengthColumn::tell(const Row& row, const LengthReading& reading, std::string_view text,
                        Messages& messages) const {
  const std::string& name = table_->spec().columns[column_].name;
  const auto where = [&] { return table_->where(row, column_); };
  if (is_other_foot(reading)) {
    messages.problem(
        where(), name,
        Fault{in_quotes(text),
              fmt::format("the foot of this column ({}), one for all its rows", unit_word(form_.bare)), ""});
    return false;
  }
  if (reading.marks_left_out)
    messages.notice("feet-inches without marks", where(), name,
                    fmt::format("{} read as {}", in_quotes(text), feet_inches_text(reading.value, 64)));
  if (reading.coarse)
    messages.doubt("few digits", where(), name,
                   fmt::format("{} has lost digits: its last one is worth one unit or more; format the "
                               "spreadsheet column as text",
                               in_quotes(text)));
  if (reading.stated && *reading.stated != form_.bare && !reading.marks_left_out &&
      !(*reading.stated == LengthUnit::feet_inches && is_foot_family(form_.bare)) &&
      !(form_.bare == LengthUnit::feet_inches && *reading.stated == LengthUnit::inch))
    messages.notice("a unit that differs", where(), name,
                    fmt::format("{} is read as {} (the column is in {})", in_quotes(text),
                                units_in_words(*reading.stated), units_in_words(form_.bare)));
  return true;
}

std::optional<std::string> hidden_character(std::string_view text) {
  if (std::ranges::all_of(text, [](char c) { return c >= 0x20 && c < 0x7F; })) return std::nullopt;
  return unseen_character(text);
}

namespace {

/// `3-Apr`, `Jun-12`: what a spreadsheet makes of 3-4 and 6-12.
bool looks_like_date(std::string_view name) {
  const std::size_t dash = name.find('-');
  if (dash == std::string_view::npos || dash == 0 || dash > 3) return false;
  if (!(dash == 3 && is_letter(name[0]) && is_letter(name[2])) &&
      !(name.size() > dash + 3 && is_letter(name[dash + 1])))
    return false;
  const std::string word = small_letters(name);
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  for (const std::string_view month :
       {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}) {
    const std::string_view front(word.data(), dash), back(word.data() + dash + 1, word.size() - dash - 1);
    if ((front == month && std::ranges::all_of(back, is_digit) && !back.empty()) ||
        (back.starts_with(month) && back.size() <= 6 && std::ranges::all_of(front, is_digit)))
      return true;
  }
  return false;
}

}  // namespace

namespace {

/// True where a name is not too long; else it is told.
bool is_short_enough(std::string_view name, const Table& table, const Row& row, std::size_t column,
                     Messages& messages) {
  if (name.size() <= kLongestName) return true;
  const std::size_t characters = character_count(name);
  if (characters <= kLongestName) return true;
  messages.problem(table.where(row, column), table.spec().columns[column].name,
                   Fault{fmt::format("{}, a name of {} characters", in_quotes(name), characters),
                         fmt::format("a name of up to {} characters", kLongestName), ""});
  return false;
}

}  // namespace

std::optional<std::string_view> read_issued_name(const Table& table, const Row& row, std::size_t column,
                                                 Messages& messages) {
  std::string_view name = row.text(column);
  const auto refuse = [&](const Fault& fault) -> std::optional<std::string_view> {
    messages.problem(table.where(row, column), table.spec().columns[column].name, fault);
    return std::nullopt;
  };
  if (name.empty()) return refuse({"an empty name", "a name", ""});
  name = without_formula_mark(name);
  if (name[0] == '=')
    return refuse(
        {in_quotes(name), "a name that is no formula: the name itself, in a column set to text", ""});
  if (name.starts_with("\xE2\x80\x9C") || name.starts_with("\xE2\x80\x9D"))
    return refuse({in_quotes(name) + ", in curly quotes (U+201C)", "straight quotes or none", ""});
  if (const auto hidden = hidden_character(name))
    return refuse({in_quotes(name) + ", which holds " + *hidden, "no control or invisible character", ""});
  if (name.size() <= 9 && looks_like_date(name))
    messages.doubt(
        "names like dates", table.where(row, column), table.spec().columns[column].name,
        fmt::format(
            "{} looks like a date that a spreadsheet made of a name; set the column to text before typing",
            in_quotes(name)));
  return name;
}

std::optional<std::string_view> read_name(const Table& table, const Row& row, std::size_t column,
                                          Messages& messages) {
  const auto name = read_issued_name(table, row, column, messages);
  if (name && !is_short_enough(*name, table, row, column, messages)) return std::nullopt;
  return name;
}

std::optional<std::string_view> read_text(const Table& table, const Row& row, std::size_t column,
                                          Messages& messages) {
  const std::string_view text = without_formula_mark(row.text(column));
  const auto hidden = hidden_character(text);
  if (!hidden) return text;
  messages.problem(
      table.where(row, column), table.spec().columns[column].name,
      Fault{in_quotes(text) + ", which holds " + *hidden, "no control or invisible character", ""});
  return std::nullopt;
}

std::optional<std::string_view> read_name_or_empty(const Table& table, const Row& row, std::size_t column,
                                                   Messages& messages) {
  const auto name = read_text(table, row, column, messages);
  if (name && !is_short_enough(*name, table, row, column, messages)) return std::nullopt;
  return name;
}

namespace {

std::uint64_t folded(std::uint64_t w) {
  constexpr std::uint64_t kOnes = 0x0101010101010101U;
  const std::uint64_t seven = w & (0x7F * kOnes);
  const std::uint64_t at_least_a = seven + (0x80 - 'A') * kOnes;
  const std::uint64_t beyond_z = seven + (0x7F - 'Z') * kOnes;
  return w | (((~w & (at_least_a ^ beyond_z)) & (0x80 * kOnes)) >> 2);
}

std::uint64_t load(const char* p, std::size_t n) {
  std::uint64_t w = 0;
  std::memcpy(&w, p, n);
  return w;
}

}  // namespace

std::uint64_t name_hash(std::string_view name) {
  constexpr std::uint64_t kMix = 0x9E3779B97F4A7C15U;
  std::uint64_t h = name.size() * kMix;
  const char* p = name.data();
  std::size_t left = name.size();
  const auto mix = [&h](std::uint64_t w) {
    h = (h ^ w) * 0xD6E8FEB86659FD93U;
    h ^= h >> 32;
  };
  for (; left >= 8; left -= 8, p += 8) mix(folded(load(p, 8)));
  if (left > 0) mix(folded(load(p, left)));
  h *= kMix;
  return h ^ (h >> 29);
}

bool same_name(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  const char *p = a.data(), *q = b.data();
  std::size_t left = a.size();
  for (; left >= 8; left -= 8, p += 8, q += 8)
    if (folded(load(p, 8)) != folded(load(q, 8))) return false;
  return left == 0 || folded(load(p, left)) == folded(load(q, left));
}

}  // namespace deckmark
