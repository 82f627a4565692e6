#include "job/job_file.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "job/plausible.h"
#include "job/toml_depth.h"
#include "job/toml_slips.h"
#include "measure/decimal.h"
#include "measure/unit_slips.h"
#include "table/meant_word.h"
#include "table/reader.h"

namespace deckmark {

const JobValue* JobValue::member(std::string_view key) const {
  const auto at = std::ranges::find(member_keys, key);
  return at == member_keys.end() ? nullptr : &items[static_cast<std::size_t>(at - member_keys.begin())];
}

namespace {

/// No length of a job that is above zero is longer than a site is (common practice, no source).
constexpr Length kFarthest = Length::metres(10000);

LineColumn place_of(const toml::source_region& region) { return {region.begin.line, region.begin.column}; }

JobValue convert(const toml::node& node) {
  JobValue out;
  out.place = place_of(node.source());
  if (const auto* text = node.as_string()) {
    out.kind = JobValue::Kind::text;
    out.text = text->get();
  } else if (const auto* whole = node.as_integer()) {
    out.kind = JobValue::Kind::whole;
    out.whole = whole->get();
    out.text = fmt::format("{}", out.whole);
  } else if (const auto* real = node.as_floating_point()) {
    out.kind = JobValue::Kind::real;
    out.real = real->get();
    out.text = fmt::format("{}", out.real);
  } else if (const auto* flag = node.as_boolean()) {
    out.kind = JobValue::Kind::flag;
    out.flag = flag->get();
    out.text = out.flag ? "true" : "false";
  } else if (const auto* list = node.as_array()) {
    out.kind = JobValue::Kind::list;
    out.text = "a list";
    for (const toml::node& item : *list) out.items.push_back(convert(item));
  } else if (const auto* section = node.as_table()) {
    out.kind = JobValue::Kind::section;
    out.text = "a section";
    for (const auto& [key, value] : *section) {
      out.member_keys.emplace_back(key.str());
      out.items.push_back(convert(value));
      out.member_places.push_back(place_of(key.source()));
    }
  } else {
    std::ostringstream written;
    written << toml::node_view<const toml::node>(node);
    out.text = written.str();
  }
  return out;
}

std::string line_text(std::string_view text, std::uint32_t line) {
  std::size_t from = 0;
  for (std::uint32_t l = 1; l < line && from != std::string_view::npos; ++l) {
    from = text.find('\n', from);
    if (from != std::string_view::npos) ++from;
  }
  if (from == std::string_view::npos) return "";
  return std::string(trimmed(text.substr(from, text.find_first_of("\r\n", from) - from)));
}

/// Cells with separators, and no key.
bool looks_like_table(std::string_view line) {
  return line.find('=') == std::string_view::npos && !line.starts_with('[') &&
         std::ranges::count_if(line, [](char c) { return c == ',' || c == ';' || c == '\t'; }) >= 2;
}

/// What a line that is not TOML should have been.
std::string expected_in_place_of(std::string_view line, bool again, const std::optional<std::string>& mended,
                                 std::string_view parser_says) {
  if (again && line.starts_with('[')) return "each section once; this one stands further up too";
  if (again) return "each key once in its section; this one stands further up too";
  if (mended && mended->front() == '[') return "a section in brackets";
  if (mended) return "a key, = and a value; text in straight quotes, with \\\" for an inch mark in it";
  if (looks_like_table(line))
    return "the job file, TOML with sections such as [drawing]; this line is of a table";
  return fmt::format("TOML ({})", parser_says);
}

}  // namespace

std::optional<JobValue> parse_job_file(const std::shared_ptr<const Source>& source, Messages& messages) {
  const std::string_view text = source->text();
  const bool wide = text.size() > 1 && (text[0] == '\0' || text[1] == '\0');
  if (source->was_utf16() || wide) {
    messages.problem(Where::whole(source->name()), "file",
                     Fault{"UTF-16 text", "UTF-8 text", "saving it from the editor with the encoding UTF-8"});
    return std::nullopt;
  }
  if (const auto bad = bad_text(text)) {
    messages.problem(
        Where::in(source, static_cast<std::uint32_t>(bad_text_at(text))), "file",
        Fault{*bad == "U+0000" ? "a NUL byte (U+0000)" : "byte " + *bad + ", which is not valid UTF-8",
              "UTF-8 text", "saving it from the editor with the encoding UTF-8"});
    return std::nullopt;
  }
  if (const auto deep = too_deep_at(text)) {
    messages.problem(Where::in(source, static_cast<std::uint32_t>(*deep)), "file",
                     Fault{fmt::format("more than {} sections, keys or lists in one another", kDeepestToml),
                           "sections such as [drawing] with keys and values", ""});
    return std::nullopt;
  }
  try {
    return convert(toml::parse(text));
  } catch (const toml::parse_error& e) {
    const LineColumn place = place_of(e.source());
    const auto line = line_text(text, place.line);
    const bool again = e.description().find("redefine") != std::string_view::npos;
    const auto mended = again ? std::nullopt : mended_toml_line(line);
    messages.problem(Where::at(source->name(), place), "file",
                     Fault{in_quotes(line), expected_in_place_of(line, again, mended, e.description()),
                           mended.value_or("")});
    return std::nullopt;
  }
}

SectionReader::SectionReader(const JobValue* section, std::string name, std::string file, Messages& messages)
    : section_(section), name_(std::move(name)), file_(std::move(file)), messages_(messages) {
  if (section_ && section_->kind != JobValue::Kind::section) section_ = nullptr;
}

std::string SectionReader::full(std::string_view key) const {
  return name_.empty() ? std::string(key) : fmt::format("{}.{}", name_, key);
}

const JobValue* SectionReader::find(std::string_view key) const {
  return section_ ? section_->member(key) : nullptr;
}

const JobValue* SectionReader::take(std::string_view key) {
  asked_.emplace(key);
  return find(key);
}

Where SectionReader::where(std::string_view key) const {
  const JobValue* value = find(key);
  return value ? Where::at(file_, value->place) : Where::whole(file_);
}

void SectionReader::problem(std::string_view key, const Fault& fault) {
  messages_.problem(where(key), full(key), fault);
}

const JobValue* SectionReader::take_text(std::string_view key, std::string_view expected,
                                         std::string_view example) {
  const JobValue* value = take(key);
  if (!value || value->kind == JobValue::Kind::text) return value;
  problem(key, Fault{value->text, fmt::format("{}, such as {} = \"{}\"", expected, key, example), ""});
  return nullptr;
}

std::optional<std::string> SectionReader::text(std::string_view key) {
  const JobValue* value = take_text(key, "a text in quotes", "...");
  if (!value) return std::nullopt;
  if (const auto bad = value->text.find_first_of(std::string_view("\0\r\n", 3)); bad != std::string::npos) {
    problem(key, Fault{in_quotes(value->text), "a text on one line", ""});
    return std::nullopt;
  }
  return value->text;
}

std::optional<Length> SectionReader::length(std::string_view key, LengthUnit unit,
                                            const std::function<bool(Length)>& takes) {
  const JobValue* value = take(key);
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

namespace {

bool has_wrong_sign(Length value, bool zero_allowed) {
  return value < Length::metres(0) || (!zero_allowed && value == Length::metres(0));
}

Fault wrong_sign(const std::string& found, bool zero_allowed) {
  return {found, zero_allowed ? "a length of zero or more" : "a length above zero, such as \"5 mm\"", ""};
}

}  // namespace

std::optional<Length> SectionReader::tolerance(std::string_view key, bool zero_allowed) {
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

std::optional<Length> SectionReader::within(std::string_view key, LengthUnit unit, Length most,
                                            std::string_view what) {
  const auto value = length(key, unit, [&](Length v) { return abs(v) <= most; });
  if (!value || abs(*value) <= most) return value;
  problem(key, Fault{in_quotes(find(key)->text),
                     fmt::format("{0} from -{1} m to {1} m", what, fixed(most.metres(), 0)), ""});
  return std::nullopt;
}

std::optional<Length> SectionReader::possible_sd(std::string_view key, bool zero_allowed) {
  const auto value = length(key, LengthUnit::millimetre,
                            [&](Length v) { return !has_wrong_sign(v, zero_allowed) && is_possible_sd(v); });
  if (!value) return std::nullopt;
  const bool wrong = has_wrong_sign(*value, zero_allowed);
  if (!wrong && is_possible_sd(*value)) return value;
  if (wrong)
    problem(key, wrong_sign(find(key)->text, zero_allowed));
  else
    problem(key, Fault{in_quotes(find(key)->text), possible_sds(zero_allowed), ""});
  return std::nullopt;
}

std::optional<Length> SectionReader::sd(std::string_view key, bool zero_allowed) {
  const auto value = possible_sd(key, zero_allowed);
  if (value && !is_plausible_sd(*value))
    messages_.doubt(kOddSd, where(key), full(key), odd_sd_text(find(key)->text));
  return value;
}

std::optional<Length> SectionReader::permitted(std::string_view key) {
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
    messages_.doubt(kOddTolerance, where(key), full(key), odd_tolerance_text(find(key)->text));
  return value;
}

std::optional<LengthUnit> SectionReader::unit(std::string_view key, bool feet_inches_allowed) {
  const JobValue* value = take_text(key, "a unit in quotes", "m");
  if (!value) return std::nullopt;
  const auto unit = unit_from_word(value->text);
  if (unit && (feet_inches_allowed || *unit != LengthUnit::feet_inches)) return unit;
  problem(key, Fault{in_quotes(value->text),
                     feet_inches_allowed ? "ft-in, ft, in, us-ft, m, cm or mm" : "ft, in, us-ft, m, cm or mm",
                     likely_unit_word(value->text).empty()
                         ? std::string()
                         : fmt::format("\"{}\"", likely_unit_word(value->text))});
  return std::nullopt;
}

std::optional<Angle> SectionReader::angle(std::string_view key, std::optional<AngleNotation> bare,
                                          std::string_view example, bool (*takes)(Angle)) {
  const JobValue* value = take_text(key, "an angle in quotes", std::string(example));
  if (!value) return std::nullopt;
  const AngleForm form{bare, false};
  const auto reading = read_angle(value->text, form);
  if (reading) return *reading;
  Fault fault = reading.fault();
  const auto meant = read_angle(fault.suggestion, form);
  if (takes && meant && !takes(*meant)) fault.suggestion.clear();
  problem(key, fault);
  return std::nullopt;
}

std::optional<double> SectionReader::number(std::string_view key, double least, double most,
                                            std::string_view what) {
  const JobValue* value = take(key);
  if (!value) return std::nullopt;
  const bool is_number = value->kind == JobValue::Kind::whole || value->kind == JobValue::Kind::real;
  const double n = value->kind == JobValue::Kind::whole ? static_cast<double>(value->whole) : value->real;
  if (is_number && n >= least && n <= most) return n;
  problem(key, Fault{value->kind == JobValue::Kind::text ? in_quotes(value->text) : value->text,
                     fmt::format("{} from {} to {}, without quotes", what, least, most), ""});
  return std::nullopt;
}

std::optional<double> SectionReader::ratio(std::string_view key) {
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

std::optional<bool> SectionReader::flag(std::string_view key) {
  const JobValue* value = take(key);
  if (!value) return std::nullopt;
  if (value->kind == JobValue::Kind::flag) return value->flag;
  problem(
      key,
      Fault{in_quotes(value->text), "true or false, without quotes",
            value->text == "true" || value->text == "false" ? fmt::format("{} = {}", key, value->text) : ""});
  return std::nullopt;
}

std::optional<std::int64_t> SectionReader::count(std::string_view key, std::int64_t least, std::int64_t most,
                                                 std::optional<std::int64_t> example) {
  const JobValue* value = take(key);
  if (!value) return std::nullopt;
  if (value->kind == JobValue::Kind::whole && value->whole >= least && value->whole <= most)
    return value->whole;
  // What stands in quotes, or is written with decimals, may be a whole number all the same.
  const bool is_text = value->kind == JobValue::Kind::text;
  const bool whole =
      is_text || (value->kind == JobValue::Kind::real && value->real == std::floor(value->real));
  const auto meant = whole ? read_count(value->text, least, most) : Outcome<std::int64_t>(Fault{});
  const std::string such_as = example ? fmt::format(", such as {}", *example) : "";
  problem(key, Fault{is_text ? in_quotes(value->text) : value->text,
                     fmt::format("a whole number from {} to {}, without quotes{}", least, most, such_as),
                     meant ? fmt::format("{} = {}", key, *meant) : ""});
  return std::nullopt;
}

std::optional<std::size_t> SectionReader::choice(std::string_view key,
                                                 std::initializer_list<std::string_view> words) {
  const std::string expected = words.size() == 1 ? fmt::format("\"{}\", or the key left out", *words.begin())
                                                 : fmt::format("one of {}", fmt::join(words, ", "));
  const JobValue* value = take_text(key, expected, *words.begin());
  if (!value) return std::nullopt;
  const auto at = std::find(words.begin(), words.end(), value->text);
  if (at != words.end()) return static_cast<std::size_t>(at - words.begin());
  const auto near = meant_word(value->text, std::vector<std::string>(words.begin(), words.end()));
  problem(key, Fault{in_quotes(value->text), expected, near ? fmt::format("\"{}\"", *near) : ""});
  return std::nullopt;
}

std::optional<std::vector<std::string>> SectionReader::texts(std::string_view key,
                                                             const std::vector<std::string>& allowed) {
  const JobValue* value = take(key);
  if (!value) return std::nullopt;
  if (value->kind != JobValue::Kind::list) {
    problem(key, Fault{in_quotes(value->text),
                       fmt::format("a list of texts, such as {} = [\"{}\"]", key,
                                   allowed.empty() ? "..." : allowed[0]),
                       ""});
    return std::nullopt;
  }
  std::vector<std::string> out;
  for (const JobValue& item : value->items) {
    const bool known =
        allowed.empty() || std::find(allowed.begin(), allowed.end(), item.text) != allowed.end();
    if (item.kind == JobValue::Kind::text && known) {
      out.push_back(item.text);
      continue;
    }
    const auto near = meant_word(item.text, allowed);
    messages_.problem(
        Where::at(file_, item.place), full(key),
        Fault{in_quotes(item.text),
              allowed.empty() ? "a text in quotes" : fmt::format("one of {}", fmt::join(allowed, ", ")),
              near ? fmt::format("\"{}\"", *near) : ""});
    return std::nullopt;
  }
  return out;
}

std::optional<TableKey> SectionReader::table(std::string_view key, bool framed) {
  const JobValue* value = take(key);
  if (!value) return std::nullopt;
  TableKey out{"", {}, full(key), value->place, TableKey::Frame::unstated};
  if (value->kind == JobValue::Kind::text) {
    out.path = value->text;
  } else if (value->kind == JobValue::Kind::section) {
    SectionReader inner(value, out.key, file_, messages_);
    out.path = inner.text("file").value_or("");
    if (!inner.has("file")) problem(key, Fault{"a table without a file", "file = \"...\"", ""});
    if (const auto columns = inner.texts("columns", {})) {
      out.columns = *columns;
      if (columns->empty())
        inner.problem("columns", Fault{"an empty list", "the table's columns in order",
                                       "no columns key where the file has a header"});
    }
    if (framed)
      if (const auto frame = inner.choice("frame", {"ground", "grid"}))
        out.frame = *frame == 1 ? TableKey::Frame::grid : TableKey::Frame::ground;
    inner.finish();
    if (out.path.empty()) return std::nullopt;
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

void SectionReader::finish() {
  if (!section_) return;
  for (std::size_t i = 0; i < section_->items.size(); ++i) {
    const std::string& key = section_->member_keys[i];
    if (asked_.contains(key)) continue;
    const auto near = meant_word(key, std::vector<std::string>(asked_.begin(), asked_.end()));
    const bool is_section = section_->items[i].kind == JobValue::Kind::section && name_.empty();
    messages_.problem(Where::at(file_, section_->member_places[i]), full(key),
                      Fault{is_section ? fmt::format("section [{}], which is not known", key)
                                       : fmt::format("key {}, which is not known", in_quotes(key)),
                            name_.empty() ? "a known section or key" : fmt::format("a key of [{}]", name_),
                            near ? *near : ""});
  }
}

}  // namespace deckmark
