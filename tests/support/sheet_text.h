#pragma once
/// What a crew reads off a sheet.

#include <regex>
#include <string>

namespace deckmark_test {

/// A length in metres: `-12'-6 1/2"`, or decimals in the unit, which is so many metres.
inline double read_length(const std::string& text, double unit = 1) {
  static const std::regex feet(R"((-?)(\d+)'-(\d+)(?: (\d+)/(\d+))?\")");
  std::smatch m;
  if (!std::regex_match(text, m, feet)) return std::stod(text) * unit;
  const double inches =
      std::stod(m[2]) * 12 + std::stod(m[3]) + (m[4].matched ? std::stod(m[4]) / std::stod(m[5]) : 0);
  return (m[1].length() ? -1 : 1) * inches * 0.0254;
}

/// On one line, so that words are found wherever the sheet breaks them.
inline std::string on_one_line(const std::string& text) {
  std::string out;
  for (const char c : text)
    if (c != '\n' && c != ' ')
      out += c;
    else if (!out.empty() && out.back() != ' ')
      out += ' ';
  return out;
}

}  // namespace deckmark_test
