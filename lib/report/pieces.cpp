#include "report/pieces.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "measure/decimal.h"
#include "measure/utf8.h"
#include "report/fold.h"

namespace deckmark {

std::string column(std::string_view text, std::size_t width) {
  std::size_t shown = 0, i = 0;
  std::size_t cut = text.size();
  for (; i < text.size(); ++i) {
    if (continues_character(text[i])) continue;
    if (shown == width - 1) cut = std::min(cut, i);
    ++shown;
  }
  std::string out = shown > width ? std::string(text.substr(0, cut)) + "." : std::string(text);
  const std::size_t have = shown > width ? width : shown;
  return out + std::string(width - have, ' ');
}

std::size_t shown_width(std::string_view text) { return character_count(text); }

std::string cut(std::string_view text, std::size_t width) {
  return shown_width(text) <= width ? std::string(text) : column(text, width);
}

namespace {

/// Bytes of the first characters of a text.
std::size_t bytes_of(std::string_view text, std::size_t characters) {
  std::size_t i = 0;
  for (std::size_t shown = 0; i < text.size(); ++i)
    if (!continues_character(text[i]) && shown++ == characters) break;
  return i;
}

}  // namespace

std::vector<std::string> wrapped(std::string_view text, std::size_t width, std::size_t most) {
  std::vector<std::string> lines;
  while (shown_width(text) > width && lines.size() + 1 < most) {
    std::size_t at = std::string_view::npos;
    for (std::size_t blank = text.find(' ');
         blank != std::string_view::npos && shown_width(text.substr(0, blank)) <= width;
         blank = text.find(' ', blank + 1))
      at = blank;
    if (at == std::string_view::npos || at == 0) {  // one long word
      const std::size_t end = bytes_of(text, width);
      lines.emplace_back(text.substr(0, end));
      text.remove_prefix(end);
      continue;
    }
    lines.emplace_back(text.substr(0, at));
    text.remove_prefix(at + 1);
  }
  lines.push_back(cut(text, width));
  return lines;
}

std::string fold(std::string_view first, std::string_view next, std::string_view text, std::size_t width) {
  std::string out, line(first);
  bool begun = false;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (begun && shown_width(line) + 1 + shown_width(word) > width) {
      out += line + "\n";
      line = std::string(next);
      begun = false;
    }
    if (begun) line += ' ';
    line += word;
    begun = true;
  }
  return out + line + "\n";
}

std::string folded(std::string_view first, std::string_view next, std::string_view text) {
  return fold(first, next, text, kColumns);
}

std::string word_lines(const std::vector<std::string>& words, std::string_view indent) {
  std::string text, line(indent);
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string word = words[i] + (i + 1 < words.size() ? ", " : "");
    if (line.size() > indent.size() && shown_width(line) + shown_width(word) > kColumns) {
      while (line.ends_with(' ')) line.pop_back();
      text += line + "\n";
      line = std::string(indent);
    }
    line += word;
  }
  return text + line + "\n";
}

std::string plural(std::size_t n, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string agreement_words(double variance_factor, Agreement agreement) {
  if (agreement == Agreement::as_stated) return "agree as well as the stated sds say";
  const bool worse = agreement == Agreement::worse;
  const double times = std::sqrt(worse ? variance_factor : 1 / variance_factor);
  if (!(times < 1000)) return worse ? "contradict one another" : "agree to the last digit";
  return fmt::format("agree {} times {} than the stated sds say", fixed(times, 1),
                     worse ? "worse" : "better");
}

std::string ranges_text(std::span<const NumberRange> ranges, std::size_t most, std::int64_t add) {
  std::string text;
  std::size_t more = 0;
  for (std::size_t i = 0; i < ranges.size(); ++i) {
    const NumberRange& r = ranges[i];
    if (i >= most) {
      more += r.count();
      continue;
    }
    text += fmt::format("{}{}", text.empty() ? "" : ", ", r.first + add);
    if (r.last != r.first) text += fmt::format("-{}", r.last + add);
    if (r.step > 1) text += fmt::format(" by {}", r.step);
  }
  return more > 0 ? fmt::format("{}, and {} more", text, more) : text;
}

namespace {

/// Inches as a tape shows them, to 1/`below`: `9/16`, `1 1/2`, `-1/16`.
std::string inch_fraction(Length value, long long below = 16) {
  constexpr long long kFinest = 64;
  const auto steps = [value](long long denominator) {
    return std::llround(std::fabs(in_unit(value, LengthUnit::inch)) * static_cast<double>(denominator));
  };
  if (steps(below) == 0) below = kFinest;  // a hair is not nothing
  long long above = steps(below);
  if (above == 0) return "0";
  const long long divisor = std::gcd(above, below);
  above /= divisor, below /= divisor;
  std::string text = value < Length::metres(0) ? "-" : "";
  if (above / below > 0) text += std::to_string(above / below);
  if (above % below > 0) text += fmt::format("{}{}/{}", above / below > 0 ? " " : "", above % below, below);
  return text;
}

}  // namespace

std::string short_length(Length value, LengthUnit unit) {
  if (unit == LengthUnit::feet_inches) return inch_fraction(value);
  const bool metric =
      unit == LengthUnit::metre || unit == LengthUnit::millimetre || unit == LengthUnit::centimetre;
  return metric ? fixed(value.millimetres(), 1) : fixed(in_unit(value, LengthUnit::inch), 2);
}
std::string short_length_beyond(Length value, Length limit, LengthUnit unit) {
  if (unit != LengthUnit::feet_inches || short_length(abs(value), unit) != short_length(limit, unit))
    return short_length(value, unit);
  for (const long long below : {32, 64})
    if (inch_fraction(abs(value), below) != inch_fraction(limit, below)) return inch_fraction(value, below);
  const double inches = in_unit(value, LengthUnit::inch), most = in_unit(limit, LengthUnit::inch);
  int decimals = 3;
  while (decimals < 6 && fixed(std::fabs(inches), decimals) == fixed(most, decimals)) ++decimals;
  return fixed(inches, decimals);
}
std::string_view short_unit(LengthUnit unit) {
  return unit == LengthUnit::metre || unit == LengthUnit::millimetre || unit == LengthUnit::centimetre ? "mm"
                                                                                                       : "in";
}

}  // namespace deckmark
