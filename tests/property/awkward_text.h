#pragma once
/// Random texts that are nearly lengths, angles or numbers: what tired people and spreadsheets leave in
/// cells.

#include <cstdint>
#include <random>
#include <string>
#include <vector>

namespace deckmark_test {

class AwkwardText {
 public:
  std::uint64_t below(std::uint64_t n) { return engine_() % n; }
  bool chance(std::uint64_t one_in) { return below(one_in) == 0; }
  template <class Container>
  const auto& pick(const Container& from) {
    return from[below(from.size())];
  }

  std::string length() {
    std::string text = pick(kSigns);
    if (chance(3)) {
      text += plain() + pick(kUnits);
    } else {
      if (!chance(5)) text += plain() + pick(kFeet) + pick(kDashes);
      if (!chance(5)) text += chance(3) ? plain() : std::to_string(below(16));
      if (chance(2)) text += pick(kDashes) + std::to_string(below(20)) + "/" + std::to_string(below(18));
      if (chance(8)) text += pick(kVulgars);
      text += pick(kInches);
    }
    if (chance(7)) text += pick(kDashes) + std::to_string(below(20)) + pick(kInches);
    return spoilt(text);
  }

  std::string angle() {
    std::string text = pick(kSigns);
    if (chance(6)) text = chance(2) ? "N " : "s";
    const std::uint64_t parts = chance(4) ? 1 : chance(3) ? 2 : 3;
    const std::size_t style = below(4);
    for (std::uint64_t p = 0; p < parts; ++p) {
      text += p == 0 ? (chance(20) ? plain() : std::to_string(below(420))) : two_digits();
      if (p + 1 == parts && chance(3)) text += "." + digits(4);
      if (style == 0) text += std::vector<std::string>{"°", "'", "\""}[p];
      if (style == 1) text += std::vector<std::string>{"d", "m", "s"}[p];
      if (style == 2 && p + 1 < parts) text += "-";
      if (style == 3 && p + 1 < parts) text += pick(kDashes) + (chance(4) ? ":" : "");
    }
    if (chance(9)) text += chance(2) ? " gon" : " deg";
    if (chance(6)) text += chance(2) ? " E" : "w";
    return spoilt(text);
  }

  std::string number() { return spoilt(pick(kSigns) + plain()); }

 private:
  std::string digits(std::uint64_t most) {
    std::string out;
    for (std::uint64_t n = 1 + below(most); n > 0; --n) out += static_cast<char>('0' + below(10));
    return out;
  }
  std::string two_digits() {
    const auto n = chance(6) ? 60 : chance(9) ? 61 + below(60) : below(60);
    return (n < 10 ? "0" : "") + std::to_string(n);
  }
  std::string plain() {
    std::string text = digits(chance(12) ? 20 : 3);
    if (chance(6)) text += pick(kGroups) + digits(1) + digits(1) + digits(1);
    if (chance(3)) text += (chance(3) ? "," : ".") + digits(chance(8) ? 19 : 4);
    if (chance(12)) text += pick(kExponents) + digits(chance(5) ? 9 : 1);
    return text;
  }
  std::string spoilt(std::string text) {
    for (std::uint64_t n = below(3); n > 0; --n) {
      const std::size_t at = below(text.size() + 1);
      if (chance(5) && at < text.size())
        text.erase(at, 1);
      else
        text.insert(at, pick(kPieces));
    }
    if (chance(15)) text = "(" + text + ")";
    if (chance(15)) text = "\u201C" + text + "\u201D";
    if (chance(15)) text += pick(kBehind);
    return text;
  }

  const std::vector<std::string> kSigns{"", "", "", "", "-", "+", "\u2212", "'", "--", "- "},
      kDashes{"-", " ", "", " - ", "--", "\u2013", "\u2014", "+"},
      kFeet{"'", "'", "'", " ft", "ft ", "\u2032", "\u2019", "", "''"},
      kInches{"\"", "\"", "\"", " in", "\u2033", "''", "", "'"},
      kUnits{" m", "m", " mm", "MM", "cm",     " ft",    " us-ft", " in",
             "\"", "'", "",    "",   " inchs", " feets", " ms",    " ftus"},
      kVulgars{"\u00BD", " \u00BC", "-\u00BE", "\u215B"},
      kGroups{",", ",", ".", " ", "\u00A0", "_", "\u202F"}, kExponents{"e", "E+", "e-", "D", "d+", "+"},
      kPieces{"'",      "\"",     "-",      "/",      ".",      ",",      " ",      "0",      "7",
              "O",      "l",      "I",      "o",      "e",      "E5",     "in",     "ft",     "m",
              "\v",     "\n",     "\x1b",   "\x7f",   "\u0085", "\u0092", "\u200B", "\u202E", "\u00AD",
              "\u2060", "\u00A0", "\uFF11", "\uFF0D", "\uFF0E", "\uFF0C", "\u2014", "\u2212", "_",
              "+",      ":",      "D",      "gon",    "\u00B0", "N",      "d",      ",000",   "\u00BD"},
      kBehind{" typ", "-3", " x 4", " 3", "+", "-", " ft", " m", ";", " 1/2", "e", "E"};
  std::mt19937_64 engine_{1};
};

}  // namespace deckmark_test
