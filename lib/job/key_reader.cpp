#include "job/key_reader.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "job/plausible.h"
#include "job/section_reader.h"
#include "job/unknown_keys.h"
#include "measure/decimal.h"
#include "measure/length_text.h"
#include "measure/temperature.h"
#include "measure/unit_slips.h"
#include "table/meant_word.h"
#include "table/reader.h"

namespace deckmark {

namespace {

/// No length of a job that is above zero is longer than a site is (common practice, no source).
constexpr Length kFarthest = Length::metres(10000);
constexpr int kFinest = 64;  // parts of an inch on a tape

/// n of a fraction 1/n inch that tapes have.
std::optional<int> denominator_of(Length fraction) {
  for (int n = 1; n <= kFinest; n *= 2)
    if (std::abs(fraction.metres() * n - Length::inches(1).metres()) < 1e-12) return n;
  return std::nullopt;
}

bool has_wrong_sign(Length value, bool zero_allowed) {
  return value < Length::metres(0) || (!zero_allowed && value == Length::metres(0));
}

Fault wrong_sign(const std::string& found, bool zero_allowed) {
  return {found, zero_allowed ? "a length of zero or more" : "a length above zero, such as \"5 mm\"", ""};
}

LengthUnit unit_of(Bare bare, const BareNotations& notations) {
  return bare == Bare::drawing ? notations.drawing : notations.site;
}

}  // namespace

KeyReader::KeyReader(const JobValue* section, std::string name, std::string file, Messages& messages)
    : section_(section), name_(std::move(name)), file_(std::move(file)), messages_(messages) {
  if (section_ && section_->kind != JobValue::Kind::section) section_ = nullptr;
}

std::string KeyReader::full(std::string_view key) const {
  return name_.empty() ? std::string(key) : fmt::format("{}.{}", name_, key);
}

const JobValue* KeyReader::find(std::string_view key) const {
  return section_ ? section_->member(key) : nullptr;
}

bool KeyReader::has_slip_of(std::string_view key, std::span<const std::string_view> known) const {
  if (!section_) return false;
  const std::vector<std::string> words(known.begin(), known.end());
  return std::ranges::any_of(section_->member_keys, [&](const std::string& word) {
    return std::ranges::count(words, word) == 0 && meant_key(word, words) == key;
  });
}

std::vector<std::pair<std::string, Where>> KeyReader::listed(std::string_view key) const {
  std::vector<std::pair<std::string, Where>> out;
  if (const JobValue* value = find(key); value && value->kind == JobValue::Kind::list)
    for (const JobValue& item : value->items) out.emplace_back(item.text, item.place);
  return out;
}

Where KeyReader::where(std::string_view key) const {
  const JobValue* value = find(key);
  return value ? value->place : Where::whole(file_);
}

void KeyReader::problem(std::string_view key, const Fault& fault) {
  messages_.problem(where(key), full(key), fault);
}

void KeyReader::doubt(std::string_view kind, std::string_view key, std::string text) {
  messages_.doubt(kind, where(key), full(key), std::move(text));
}

const JobValue* KeyReader::take_text(std::string_view key, std::string_view expected,
                                     std::string_view such_as) {
  const JobValue* value = find(key);
  if (!value || value->kind == JobValue::Kind::text) return value;
  problem(key, Fault{value->text, fmt::format("{}, such as {} = \"{}\"", expected, key, such_as), ""});
  return nullptr;
}

std::optional<std::string> KeyReader::take(std::string_view key, const TextKind& kind, const BareNotations&) {
  const JobValue* value = take_text(key, "a text in quotes", "...");
  if (!value) return std::nullopt;
  if (const auto bad = value->text.find_first_of(std::string_view("\0\r\n", 3)); bad != std::string::npos) {
    problem(key, Fault{in_quotes(value->text), "a text on one line", ""});
    return std::nullopt;
  }
  if (!kind.all_seen) return value->text;
  if (const auto hidden = hidden_character(value->text))
    problem(key, Fault{in_quotes(value->text) + ", which holds " + *hidden,
                       "no control or invisible character", ""});
  return value->text;
}

std::optional<Length> KeyReader::length(std::string_view key, LengthUnit unit,
                                        const std::function<bool(Length)>& takes) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  if (value->kind == JobValue::Kind::whole || value->kind == JobValue::Kind::real) {
    if (value->kind == JobValue::Kind::whole ? value->whole == 0 : value->real == 0) return Length::metres(0);
    problem(key, Fault{value->text + " without a unit", units_of(value->text) + ", in quotes", ""});
    return std::nullopt;
  }
  if (value->kind != JobValue::Kind::text) {
    problem(key, Fault{value->text, "a length with its unit, in quotes, such as \"5 mm\"", ""});
    return std::nullopt;
  }
  const LengthForm form{unit, false, true};
  const auto reading = read_length(value->text, form);
  if (reading) return reading->value;
  Fault fault = reading.fault();
  const auto meant = read_length(fault.suggestion, form);
  if (takes && meant && !takes(meant->value)) fault.suggestion.clear();
  problem(key, fault);
  return std::nullopt;
}

std::optional<Length> KeyReader::take(std::string_view key, const LengthKind& kind, const BareNotations&) {
  switch (kind.bound) {
    case Bound::above_zero:
      return far_length(key, false);
    case Bound::zero_or_more:
      return far_length(key, true);
    case Bound::sd:
      return sd(key, false, true);
    case Bound::sd_or_zero:
      return sd(key, true, true);
    case Bound::instrument_sd:
      return sd(key, false, false);
    case Bound::instrument_sd_or_zero:
      return sd(key, true, false);
    case Bound::permitted:
      break;
  }
  return permitted(key);
}

std::optional<Length> KeyReader::far_length(std::string_view key, bool zero_allowed) {
  const auto value = length(key, LengthUnit::millimetre,
                            [&](Length v) { return !has_wrong_sign(v, zero_allowed) && v <= kFarthest; });
  if (!value) return std::nullopt;
  if (has_wrong_sign(*value, zero_allowed)) {
    problem(key, wrong_sign(find(key)->text, zero_allowed));
    return std::nullopt;
  }
  if (*value <= kFarthest) return value;
  problem(key, Fault{in_quotes(find(key)->text),
                     fmt::format("a length up to {} m", fixed(kFarthest.metres(), 0)), ""});
  return std::nullopt;
}

std::optional<Length> KeyReader::take(std::string_view key, const WithinKind& kind,
                                      const BareNotations& bare) {
  const auto value = length(key, unit_of(kind.bare, bare), [&](Length v) { return abs(v) <= kind.most; });
  if (!value || abs(*value) <= kind.most) return value;
  problem(key, Fault{in_quotes(find(key)->text),
                     fmt::format("{0} from -{1} m to {1} m", kind.what, fixed(kind.most.metres(), 0)), ""});
  return std::nullopt;
}

std::optional<Elevation> KeyReader::take(std::string_view key, const HeightKind& kind,
                                         const BareNotations& bare) {
  const auto high = take(key, WithinKind{Bare::site, kind.most, "an elevation"}, bare);
  return high ? std::optional(Elevation::at(*high)) : std::nullopt;
}

std::optional<Length> KeyReader::take(std::string_view key, const RangeKind& kind,
                                      const BareNotations& bare) {
  const auto fits = [&](Length v) { return v >= kind.least && v <= kind.most; };
  const auto value = length(key, unit_of(kind.bare, bare), fits);
  if (!value || fits(*value)) return value;
  const std::string most = fixed(kind.most.metres(), 0);
  const std::string range = kind.least == -kind.most
                                ? fmt::format("up to {} m", most)
                                : fmt::format("from {} m to {} m", fixed(kind.least.metres(), 0), most);
  problem(key, Fault{fmt::format("{} m", fixed(value->metres(), 3)),
                     fmt::format("{} {}, such as {}", kind.what, range, kind.such_as), ""});
  return std::nullopt;
}

std::optional<Length> KeyReader::take(std::string_view key, const PlaceKind& kind,
                                      const BareNotations& bare) {
  return length(key, unit_of(kind.bare, bare));
}

std::optional<Length> KeyReader::sd(std::string_view key, bool zero_allowed, bool is_doubted) {
  const auto value = length(key, LengthUnit::millimetre,
                            [&](Length v) { return !has_wrong_sign(v, zero_allowed) && is_possible_sd(v); });
  if (!value) return std::nullopt;
  const bool wrong = has_wrong_sign(*value, zero_allowed);
  if (!wrong && is_possible_sd(*value)) {
    if (is_doubted && !is_plausible_sd(*value)) doubt(kOddSd, key, odd_sd_text(find(key)->text));
    return value;
  }
  if (wrong)
    problem(key, wrong_sign(find(key)->text, zero_allowed));
  else
    problem(key, Fault{in_quotes(find(key)->text), possible_sds(zero_allowed), ""});
  return std::nullopt;
}

std::optional<Length> KeyReader::permitted(std::string_view key) {
  const auto value = length(key, LengthUnit::millimetre, is_possible_tolerance);
  if (value && has_wrong_sign(*value, false)) {
    problem(key, wrong_sign(find(key)->text, false));
    return std::nullopt;
  }
  if (value && !is_possible_tolerance(*value)) {
    problem(key, Fault{in_quotes(find(key)->text), possible_tolerances(), ""});
    return std::nullopt;
  }
  if (value && !is_plausible_tolerance(*value))
    doubt(kOddTolerance, key, odd_tolerance_text(find(key)->text));
  return value;
}

std::optional<LengthUnit> KeyReader::take(std::string_view key, const UnitKind& kind, const BareNotations&) {
  const JobValue* value = take_text(key, "a unit in quotes", "m");
  if (!value) return std::nullopt;
  const auto unit = unit_from_word(value->text);
  if (unit == LengthUnit::feet_inches && kind.feet_for_feet_inches) return LengthUnit::foot;
  if (unit) return unit;
  const std::string_view likely = likely_unit_word(value->text);
  problem(key, Fault{in_quotes(value->text), "ft-in, ft, in, us-ft, m, cm or mm",
                     likely.empty() ? std::string() : fmt::format("\"{}\"", likely)});
  return std::nullopt;
}

std::optional<Angle> KeyReader::take(std::string_view key, const AngleKind& kind, const BareNotations& bare) {
  const JobValue* value = take_text(key, "an angle in quotes", kind.such_as);
  if (!value) return std::nullopt;
  const auto fits = [&](Angle a) {
    return a > kind.above && (kind.up_to_most ? a <= kind.most : a < kind.most);
  };
  const AngleForm form{kind.bare ? bare.angles : std::nullopt, false};
  const auto reading = read_angle(value->text, form);
  if (reading && fits(*reading)) return *reading;
  Fault fault = reading ? Fault{std::string(kind.found), std::string(kind.expected), ""} : reading.fault();
  const auto meant = read_angle(fault.suggestion, form);
  if (meant && !fits(*meant)) fault.suggestion.clear();
  problem(key, fault);
  return std::nullopt;
}

std::optional<double> KeyReader::number(std::string_view key, double least, double most,
                                        const std::string& expected, const std::string& suggestion) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  const bool is_number = value->kind == JobValue::Kind::whole || value->kind == JobValue::Kind::real;
  const double n = value->kind == JobValue::Kind::whole ? static_cast<double>(value->whole) : value->real;
  if (is_number && n >= least && n <= most) return n;
  problem(key, Fault{value->kind == JobValue::Kind::text ? in_quotes(value->text) : value->text, expected,
                     suggestion});
  return std::nullopt;
}

std::optional<double> KeyReader::take(std::string_view key, const NumberKind& kind, const BareNotations&) {
  return number(key, kind.least, kind.most,
                fmt::format("{} from {} to {}, without quotes", kind.what, kind.least, kind.most), "");
}

std::optional<std::optional<double>> KeyReader::take(std::string_view key, const NumberOrNoneKind& kind,
                                                     const BareNotations&) {
  // In place: an empty number in the other would else be taken for "none".
  using Found = std::optional<std::optional<double>>;
  const JobValue* value = find(key);
  const bool is_text = value && value->kind == JobValue::Kind::text;
  if (is_text && value->text == "none") return Found(std::in_place);
  const auto read =
      number(key, kind.least, kind.most,
             fmt::format("{} from {} to {}, without quotes, or \"none\"", kind.what, kind.least, kind.most),
             is_text && same_name(trimmed(value->text), "none") ? "\"none\"" : "");
  return read ? Found(std::in_place, *read) : Found();
}

std::optional<double> KeyReader::take(std::string_view key, const RatioKind&, const BareNotations&) {
  const JobValue* value = take_text(key, "a ratio in quotes", "1:6");
  if (!value) return std::nullopt;
  const std::string_view text = trimmed(value->text);
  const std::size_t colon = text.find(':');
  if (colon != std::string_view::npos && trimmed(text.substr(0, colon)) == "1") {
    const auto n = read_number(trimmed(text.substr(colon + 1)), false);
    if (n && n->value > 0 && std::isfinite(n->value)) return n->value;
  }
  problem(key, Fault{in_quotes(value->text), "a ratio 1:n with n above zero, such as \"1:6\"", ""});
  return std::nullopt;
}

std::optional<bool> KeyReader::take(std::string_view key, const FlagKind&, const BareNotations&) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  if (value->kind == JobValue::Kind::flag) return value->flag;
  problem(
      key,
      Fault{value->kind == JobValue::Kind::text ? in_quotes(value->text) : value->text,
            "true or false, without quotes",
            value->text == "true" || value->text == "false" ? fmt::format("{} = {}", key, value->text) : ""});
  return std::nullopt;
}

std::optional<double> KeyReader::take(std::string_view key, const TemperatureKind&,
                                      const BareNotations& bare) {
  const auto text = take(key, TextKind{}, bare);
  if (!text) return std::nullopt;
  const auto reading = read_temperature(*text, TemperatureUnit::celsius, false);
  if (reading) return *reading;
  problem(key, reading.fault());
  return std::nullopt;
}

std::optional<int> KeyReader::take(std::string_view key, const FractionKind&, const BareNotations&) {
  const auto fraction = far_length(key, false);
  if (!fraction) return std::nullopt;
  const auto n = denominator_of(*fraction);
  if (!n) problem(key, Fault{"a fraction that tapes do not have", "1\", 1/2\" and so on to 1/64\"", ""});
  return n;
}

std::optional<char> KeyReader::take(std::string_view key, const MarkKind& kind, const BareNotations& bare) {
  const auto text = take(key, TextKind{}, bare);
  if (!text) return std::nullopt;
  const std::string value = *text == "tab" ? "\t" : *text;
  if (value.size() == 1 && kind.allowed.find(value[0]) != std::string_view::npos) return value[0];
  problem(key, Fault{in_quotes(*text), std::string(kind.expected), std::string(kind.such_as)});
  return std::nullopt;
}

std::optional<std::int64_t> KeyReader::take(std::string_view key, const CountKind& kind,
                                            const BareNotations&) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  if (value->kind == JobValue::Kind::whole && value->whole >= kind.least && value->whole <= kind.most)
    return value->whole;
  // What stands in quotes, or is written with decimals, may be a whole number all the same.
  const bool is_text = value->kind == JobValue::Kind::text;
  const bool whole =
      is_text || (value->kind == JobValue::Kind::real && value->real == std::floor(value->real));
  const auto meant = whole ? read_count(value->text, kind.least, kind.most) : Outcome<std::int64_t>(Fault{});
  const std::string such_as = kind.such_as ? fmt::format(", such as {}", *kind.such_as) : "";
  problem(key,
          Fault{is_text ? in_quotes(value->text) : value->text,
                fmt::format("a whole number from {} to {}, without quotes{}", kind.least, kind.most, such_as),
                meant ? fmt::format("{} = {}", key, *meant) : ""});
  return std::nullopt;
}

std::optional<std::size_t> KeyReader::choice(std::string_view key, const std::vector<std::string>& words) {
  const std::string expected = words.size() == 1 ? fmt::format("\"{}\", or the key left out", *words.begin())
                                                 : fmt::format("one of {}", fmt::join(words, ", "));
  const JobValue* value = take_text(key, expected, *words.begin());
  if (!value) return std::nullopt;
  const auto at = std::find(words.begin(), words.end(), value->text);
  if (at != words.end()) return static_cast<std::size_t>(at - words.begin());
  const auto near = meant_word(value->text, words);
  problem(key, Fault{in_quotes(value->text), expected, near ? fmt::format("\"{}\"", *near) : ""});
  return std::nullopt;
}

std::optional<std::vector<std::string>> KeyReader::take(std::string_view key, const TextsKind& kind,
                                                        const BareNotations&) {
  auto found = texts(key, {}, kind.least, kind.instead);
  if (!found) return std::nullopt;
  std::vector<std::string> out;
  for (auto& [text, place] : *found) out.push_back(std::move(text));
  return out;
}

std::optional<std::vector<std::pair<std::string, std::size_t>>> KeyReader::texts(
    std::string_view key, const std::vector<std::string>& allowed, std::string_view least,
    std::string_view instead) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  if (value->kind != JobValue::Kind::list) {
    problem(key, Fault{in_quotes(value->text),
                       fmt::format("a list of texts, such as {} = [\"{}\"]", key,
                                   allowed.empty() ? "..." : allowed[0]),
                       ""});
    return std::nullopt;
  }
  std::vector<std::pair<std::string, std::size_t>> out;
  bool fine = true;
  for (const JobValue& item : value->items) {
    const auto at = std::ranges::find(allowed, item.text);
    if (item.kind == JobValue::Kind::text && (allowed.empty() || at != allowed.end())) {
      out.emplace_back(item.text, static_cast<std::size_t>(at - allowed.begin()));
      continue;
    }
    const auto near = meant_word(item.text, allowed);
    messages_.problem(
        item.place, full(key),
        Fault{in_quotes(item.text),
              allowed.empty() ? "a text in quotes" : fmt::format("one of {}", fmt::join(allowed, ", ")),
              near ? fmt::format("\"{}\"", *near) : ""});
    fine = false;
  }
  if (!fine) return std::nullopt;
  if (out.empty() && !least.empty())
    problem(key, Fault{"an empty list", std::string(least), std::string(instead)});
  return out;
}

std::optional<std::vector<StatedRename>> KeyReader::take(std::string_view key, const RenamesKind&,
                                                         const BareNotations&) {
  constexpr std::string_view kExample = "rename = { elev = \"elevation\" }";
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  const auto refuse = [&](const std::string& found) {
    problem(key, Fault{found, fmt::format("the header's words and the program's, such as {}", kExample), ""});
    return std::nullopt;
  };
  if (value->kind != JobValue::Kind::section)
    return refuse(value->kind == JobValue::Kind::text ? in_quotes(value->text) : value->text);
  if (value->items.empty()) return refuse("an empty rename");
  std::vector<StatedRename> out;
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const JobValue& item = value->items[i];
    const Where& at = value->member_places[i];
    if (item.kind == JobValue::Kind::text)
      out.push_back({{value->member_keys[i], item.text}, at});
    else
      messages_.problem(at, full(key),
                        Fault{fmt::format("{} for {}", item.text, in_quotes(value->member_keys[i])),
                              fmt::format("a column in quotes, such as {}", kExample), ""});
  }
  return out;
}

std::optional<TableKey> KeyReader::table_in_section(std::string_view key, const JobValue& value,
                                                    bool framed) {
  TableKey out{"", {}, full(key), value.place, TableKey::Frame::unstated};
  // A table without a frame has fewer words; the rest is alike.
  SectionReader<kFramedTable> inner(&value, out.key, file_, messages_);
  if (framed)
    inner.read(out);
  else
    inner.read<kTable>(out);
  if (inner.lacks("file")) problem(key, Fault{"a table without a file", "file = \"...\"", ""});
  if (inner.has("rename") && inner.has("columns") && !inner.is_refused("rename"))
    inner.problem("rename",
                  Fault{"rename beside columns",
                        "one of them: columns for a file without a header, rename for one with", ""});
  constexpr auto words = kTable.names();
  constexpr auto framed_words = kFramedTable.names();
  tell_unknown_keys(value, out.key, framed ? std::span<const std::string_view>(framed_words) : words,
                    messages_);
  return out.path.empty() ? std::nullopt : std::optional(out);
}

std::optional<TableKey> KeyReader::take(std::string_view key, const TableKind& kind, const BareNotations&) {
  const JobValue* value = find(key);
  if (!value) return std::nullopt;
  TableKey out{"", {}, full(key), value->place, TableKey::Frame::unstated};
  if (value->kind == JobValue::Kind::text) {
    out.path = value->text;
  } else if (value->kind == JobValue::Kind::section) {
    auto inner = table_in_section(key, *value, kind.framed);
    if (!inner) return std::nullopt;
    out = *std::move(inner);
  } else {
    problem(key,
            Fault{value->text, "the path of a table, in quotes", fmt::format("{} = \"{}.csv\"", key, key)});
    return std::nullopt;
  }
  if (const auto hidden = unseen_character(out.path)) {
    problem(key, Fault{in_quotes(out.path) + ", which holds " + *hidden,
                       "the path of a table without control or invisible characters", ""});
    return std::nullopt;
  }
  if (out.path.empty() || out.path == "-") {
    problem(key, Fault{in_quotes(out.path), "the path of a file (standard input is not read)",
                       fmt::format("\"{}.csv\"", key)});
    return std::nullopt;
  }
  return out;
}

}  // namespace deckmark
