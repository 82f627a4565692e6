#include "job/job_file.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
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

LineColumn place_of(const toml::source_region& region) { return {region.begin.line, region.begin.column}; }

/// `file`: as messages name it.
JobValue convert(const toml::node& node, const std::string& file) {
  JobValue out;
  out.place = Where::at(file, place_of(node.source()));
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
    for (const toml::node& item : *list) out.items.push_back(convert(item, file));
  } else if (const auto* section = node.as_table()) {
    out.kind = JobValue::Kind::section;
    out.text = "a section";
    for (const auto& [key, value] : *section) {
      out.member_keys.emplace_back(key.str());
      out.items.push_back(convert(value, file));
      out.member_places.push_back(Where::at(file, place_of(key.source())));
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

/// The line that a parser stopped at, or the one above it that begins what is not closed there.
LineColumn begun_at(std::string_view text, LineColumn stopped) {
  constexpr std::uint32_t kFarthest = 20;  // lines of a list that a hand wrote
  for (std::uint32_t up = 0; up < kFarthest && up < stopped.line; ++up) {
    const std::string line = line_text(text, stopped.line - up);
    if (leaves_open(line)) return up == 0 ? stopped : LineColumn{stopped.line - up, 1};
    if (up > 0 && (line.find(']') != std::string::npos || line.find('}') != std::string::npos)) break;
  }
  return stopped;
}

/// Cells with separators, and no key.
bool looks_like_table(std::string_view line) {
  return line.find('=') == std::string_view::npos && !line.starts_with('[') &&
         std::ranges::count_if(line, [](char c) { return c == ',' || c == ';' || c == '\t'; }) >= 2;
}

/// What a line that is not TOML should have been.
std::string expected_in_place_of(std::string_view line, bool again,
                                 const std::optional<std::string>& mended) {
  if (again && line.starts_with('[')) return "each section once; this one stands further up too";
  if (again) return "each key once in its section; this one stands further up too";
  if (mended && mended->front() == '[') return "a section in brackets";
  if (mended) return "a key, = and a value; text in straight quotes, with \\\" for an inch mark in it";
  if (looks_like_table(line))
    return "the job file, TOML with sections such as [drawing]; this line is of a table";
  return wanted_toml_line(line);
}

}  // namespace

std::string as_typed(const JobValue& value) {
  std::string out;
  const auto add = [&out](const std::string& text) { out += (out.empty() ? "" : ", ") + text; };
  switch (value.kind) {
    case JobValue::Kind::text:
      return in_quotes(value.text);
    case JobValue::Kind::list:
      for (const JobValue& item : value.items) add(as_typed(item));
      return "[" + out + "]";
    case JobValue::Kind::section:
      for (std::size_t i = 0; i < value.items.size(); ++i)
        add(fmt::format("{} = {}", value.member_keys[i], as_typed(value.items[i])));
      return "{ " + out + " }";
    default:
      return value.text;
  }
}

std::string path_from_job(const Where& stated, const std::string& path) {
  const std::filesystem::path folder = std::filesystem::path(stated.file).parent_path();
  return folder.empty() ? path : (folder / path).lexically_normal().string();
}

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
    return convert(toml::parse(text), source->name());
  } catch (const toml::parse_error& e) {
    const LineColumn place = begun_at(text, place_of(e.source()));
    const auto line = line_text(text, place.line);
    const bool again = e.description().find("redefine") != std::string_view::npos;
    const auto mended = again ? std::nullopt : mended_toml_line(line);
    messages.problem(Where::at(source->name(), place), "file",
                     Fault{in_quotes(line), expected_in_place_of(line, again, mended), mended.value_or("")});
    return std::nullopt;
  }
}

}  // namespace deckmark
