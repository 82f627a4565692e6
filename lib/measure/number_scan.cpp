#include "measure/number_scan.h"

#include <algorithm>
#include <array>
#include <vector>

#include "measure/text_scan.h"
#include "measure/vulgar_fractions.h"

namespace deckmark::number_scan {

using text_scan::is_digit;

std::optional<Decimal> front(std::string_view text, bool decimal_comma) {
  Decimal out;
  std::size_t i = 0;
  int decimals = 0;
  for (; i < text.size(); ++i) {
    const char c = text[i];
    if (is_digit(c)) {
      out.digits += c;
      if (out.has_point) ++decimals;
    } else if (!out.has_point && (c == '.' || (decimal_comma && c == ','))) {
      out.has_point = true;
    } else {
      break;
    }
  }
  if (out.digits.empty() || out.digits.size() > exact::kMostDigits) return std::nullopt;
  out.exponent = -decimals;
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    std::size_t k = i + 1;
    const bool negative = k < text.size() && text[k] == '-';
    if (k < text.size() && (text[k] == '-' || text[k] == '+')) ++k;
    if (k < text.size() && is_digit(text[k])) {
      constexpr int kFar = 100000;  // far outside every range; larger exponents need not be told apart
      int power = 0;
      for (; k < text.size() && is_digit(text[k]); ++k) power = std::min(kFar, power * 10 + (text[k] - '0'));
      out.exponent += negative ? -power : power;
      out.has_exponent = true;
      i = k;
    }
  }
  out.size = i;
  return out;
}

namespace {

std::string replaced(std::string_view text, std::string_view what, std::string_view with) {
  std::string out(text);
  for (std::size_t at = out.find(what); at != std::string::npos; at = out.find(what, at + with.size()))
    out.replace(at, what.size(), with);
  return out;
}

bool is_apostrophe(char32_t c) {
  return c == '\'' || c == 0x2018 || c == 0x2019 || c == 0x2032 || c == 0x2B9 || c == 0x2BC || c == 0xB4;
}

// Two characters that become something else when they meet: digits one number, letters one word, apostrophes
// an inch mark.
bool joins(char32_t a, char32_t b) {
  const auto letter = [](char32_t c) { return c < 0x80 && is_letter(static_cast<char>(c)); };
  const auto digit = [](char32_t c) { return c < 0x80 && is_digit(static_cast<char>(c)); };
  return (digit(a) && digit(b)) || (letter(a) && (letter(b) || digit(b))) ||
         (is_apostrophe(a) && is_apostrophe(b));
}

// The text without a character that shows as nothing; empty where what stood beside it would run together.
std::string without_unseen(std::string_view text, std::string_view what) {
  std::string out;
  char32_t last = ' ';
  bool removed = false;
  while (!text.empty()) {
    if (text.starts_with(what)) {
      text.remove_prefix(what.size());
      removed = true;
      continue;
    }
    const Character c = first_character(text);
    if (c.size == 0 || (removed && joins(last, c.code))) return "";
    out += text.substr(0, c.size);
    last = c.code;
    removed = false;
    text.remove_prefix(c.size);
  }
  return out;
}

// The text without a control character at its ends; empty where one stands inside, as a line break of a
// spreadsheet's cell does between two values.
std::string without_control(std::string_view text, std::string_view what) {
  while (text.starts_with(what)) text.remove_prefix(what.size());
  while (text.ends_with(what)) text.remove_suffix(what.size());
  return text.find(what) == std::string_view::npos ? std::string(text) : std::string();
}

std::optional<Flaw> bad_character(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const Character c = first_character(text.substr(i));
    if (c.size == 0)
      return Flaw{", which holds the byte " + text_scan::byte_name(text[i]), " in a file saved as UTF-8", ""};
    const std::string_view here = text.substr(i, c.size);
    const std::string name = text_scan::code_name(c.code);
    if ((c.code < 0x20 && c.code != '\t') || c.code == 0x7F)
      return Flaw{", which holds the control character " + name, " without it", without_control(text, here)};
    if (c.code >= 0x80 && c.code < 0xA0) {
      // Marks of code page 1252 read as Latin-1: 91, 92 are single quotes, 93, 94 double ones, 96 is an en
      // dash.
      const std::string_view mark = c.code == 0x91 || c.code == 0x92   ? "'"
                                    : c.code == 0x93 || c.code == 0x94 ? "\""
                                    : c.code == 0x96                   ? "-"
                                                                       : "";
      std::string fixed = mark.empty() ? without_control(text, here) : replaced(text, here, mark);
      fixed = replaced(replaced(fixed, "\u0094", "\""), "\u0092", "'");
      // Two apostrophes that meet would be an inch mark.
      if (fixed.find("''") != std::string::npos && text.find("\u0092\u0092") == std::string_view::npos)
        fixed.clear();
      return Flaw{", which holds the control character " + name, " in a file saved as UTF-8", fixed};
    }
    if (text_scan::is_unseen(c.code) && !text_scan::is_blank(c.code))
      return Flaw{", which holds the invisible character " + name, " without it", without_unseen(text, here)};
    i += c.size;
  }
  return std::nullopt;
}

bool is_one_of(std::string_view word, std::initializer_list<std::string_view> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

std::optional<Flaw> stand_in_word(std::string_view text) {
  const std::string word = small_letters(text);
  if (is_one_of(word, {"#ref!", "#n/a", "#name?", "#value!", "#div/0!", "#num!", "#null!", "#spill!",
                       "#calc!", "#field!"}))
    return Flaw{", a spreadsheet error", "; mend the formula and save the table again", ""};
  if (word.starts_with("##") && word.find_first_not_of('#') == std::string::npos)
    return Flaw{", which a spreadsheet writes where a column is too narrow",
                "; widen the column and save the table again", ""};
  if (is_one_of(word, {"nan", "-nan", "+nan", "inf", "-inf", "+inf", "infinity", "-infinity", "+infinity",
                       "1.#inf", "1.#qnan"}))
    return Flaw{", which is no finite number", " of finite size", ""};
  if (is_one_of(word, {"null", "nil", "none", "n/a", "na", "tbd", "tba", "missing", "unknown", "?"}))
    return Flaw{", a word for a missing value", ", or an empty cell where it may be missing", ""};
  if (is_one_of(word, {"-", "--", "---", "\u2010", "\u2012", "\u2013", "\u2014", "\u2212", ".", "+"}))
    return Flaw{", a sign alone", ", or an empty cell where it may be missing", ""};
  return std::nullopt;
}

// Runs of digits and of letters, with the single characters between them: what dates and times are told by.
struct Shape {
  std::string pattern;  // n for a number, a for a word, other characters as they stand
  std::array<std::string_view, 8> parts{};
  std::size_t count = 0;
};

Shape shape_of(std::string_view text) {
  Shape out;
  for (std::size_t i = 0; i < text.size();) {
    const bool digit = is_digit(text[i]);
    if (!digit && !is_letter(text[i])) {
      out.pattern += text[i++];
      continue;
    }
    std::size_t k = i;
    while (k < text.size() && (digit ? is_digit(text[k]) : is_letter(text[k]))) ++k;
    out.pattern += digit ? 'n' : 'a';
    if (out.count < out.parts.size()) out.parts[out.count++] = text.substr(i, k - i);
    i = k;
  }
  return out;
}

bool is_month(std::string_view word) {
  const std::string w = small_letters(word);
  if (w.size() < 3) return false;
  for (const std::string_view m : {"january", "february", "march", "april", "may", "june", "july", "august",
                                   "september", "october", "november", "december"}) {
    if (m.starts_with(w) || w == "sept") return true;
  }
  return false;
}

bool looks_like_date(std::string_view text) {
  const Shape s = shape_of(text);
  const std::string& p = s.pattern;
  const auto year = [&](std::size_t i) {
    return s.parts[i].size() == 4 && (s.parts[i].starts_with("19") || s.parts[i].starts_with("20"));
  };
  if (p == "n/n/n" || p == "n.n.n" || p == "n/n/n n:n" || p == "n/n/n n:n:n")
    return p != "n.n.n" || year(2) || year(0);
  if (p.starts_with("n-n-n")) return year(0) || year(2);
  if (p == "n-n") return year(0) && s.parts[1].size() == 2;
  if (is_one_of(p, {"n-a", "n a", "n-a-n", "n a n", "n/a/n", "na"})) return is_month(s.parts[1]);
  if (is_one_of(p, {"a-n", "a n", "a-n-n", "a n, n", "a n n", "an"})) return is_month(s.parts[0]);
  return false;
}

bool looks_like_time(std::string_view text) {
  const Shape s = shape_of(text);
  const std::string& p = s.pattern;
  const bool clock = p.starts_with("n:n") && s.parts[1].size() == 2;
  if (!clock) return false;
  if (is_one_of(p, {"n:n", "n:n:n", "n:n:n.n"})) return true;
  const std::string last = small_letters(s.parts[s.count - 1]);
  return last == "am" || last == "pm";
}

std::optional<Flaw> spreadsheet_change(std::string_view text) {
  if (looks_like_date(text))
    return Flaw{", which looks like a date made by a spreadsheet",
                ", in a column set to text before it is typed", ""};
  if (looks_like_time(text))
    return Flaw{", which looks like a time of day made by a spreadsheet",
                ", in a column set to text before it is typed", ""};
  if (text.size() > 2 && text.front() == '(' && text.back() == ')')
    return Flaw{", a negative in parentheses", " with a minus in front",
                "-" + std::string(text.substr(1, text.size() - 2))};
  return std::nullopt;
}

// Full-width forms U+FF01 to U+FF5E in ASCII, whose order they have; `first` becomes the first one's name.
std::string narrow(std::string_view text, std::string* first = nullptr) {
  std::string out;
  while (!text.empty()) {
    const Character c = first_character(text);
    const std::size_t size = std::max<std::size_t>(c.size, 1);
    const bool wide = c.code >= 0xFF01 && c.code <= 0xFF5E;
    if (wide && first && first->empty()) *first = text_scan::code_name(c.code);
    if (wide)
      out += static_cast<char>(c.code - 0xFF01 + '!');
    else
      out += text.substr(0, size);
    text.remove_prefix(size);
  }
  return out;
}

std::optional<Flaw> foreign_character(std::string_view text) {
  std::string first;
  const std::string plain = narrow(text, &first);
  if (!first.empty())
    return Flaw{", which holds the full-width character " + first, " in the digits 0 to 9", plain};
  struct Dash {
    std::string_view bytes, name;
    bool in_front_only, behind_only;
  };
  // An en dash or a hyphen may separate, U+2212 may be a sign: each is a flaw in the other's place only.
  for (const Dash& d :
       {Dash{"\u2014", "U+2014 (em dash)", false, false}, Dash{"\u2015", "U+2015 (bar)", false, false},
        Dash{"\u2012", "U+2012 (figure dash)", false, false}, Dash{"\u2013", "U+2013 (en dash)", true, false},
        Dash{"\u2010", "U+2010 (hyphen)", true, false}, Dash{"\u2011", "U+2011 (hyphen)", true, false},
        Dash{"\u2212", "U+2212 (minus)", false, true}}) {
    const std::size_t at = text.find(d.bytes);
    if (at == std::string_view::npos || (d.in_front_only && at != 0) || (d.behind_only && at == 0)) continue;
    return Flaw{", which holds " + std::string(d.name), " with a plain '-'", replaced(text, d.bytes, "-")};
  }
  // As feet and inches marks they stand behind a figure; in front of one they are meant as quotes.
  for (const std::string_view quote : {"\u201C", "\u201D", "\u201E", "\u2018", "\u00AB", "\u00BB"}) {
    if (!text.starts_with(quote)) continue;
    const std::string_view whole = text.substr(quote.size());
    std::string_view inner = whole;
    for (const std::string_view end : {"\u201C", "\u201D", "\u2019", "\u00AB", "\u00BB"})
      if (inner.ends_with(end)) inner.remove_suffix(end.size());
    // The quote at the end may be the mark of feet or inches.
    return Flaw{", which begins with the quote " + text_scan::code_name(first_character(quote).code),
                " without quotes, or in straight ones", std::string(inner),
                whole == inner ? std::string() : std::string(whole)};
  }
  return std::nullopt;
}

bool is_between_digits(std::string_view text, std::size_t i) {
  return i > 0 && i + 1 < text.size() && is_digit(text[i - 1]) && is_digit(text[i + 1]);
}

// O and o for 0, l and I for 1, next to a digit and not in a word.
std::optional<Flaw> letter_for_digit(std::string_view text) {
  std::string changed(text);
  char first = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c != 'O' && c != 'o' && c != 'l' && c != 'I') continue;
    const auto stands_by = [&](std::size_t k) {
      return k < text.size() && (is_digit(text[k]) || text[k] == '.' || text[k] == '/');
    };
    const auto in_word = [&](std::size_t k) {
      return k < text.size() && is_letter(text[k]) && !is_one_of(text.substr(k, 1), {"O", "o", "l", "I"});
    };
    if (in_word(i + 1) || (i > 0 && in_word(i - 1))) continue;
    if (!stands_by(i + 1) && !(i > 0 && is_digit(changed[i - 1]))) continue;
    changed[i] = c == 'O' || c == 'o' ? '0' : '1';
    if (first == 0) first = c;
  }
  if (first == 0) return std::nullopt;
  const std::string_view digit = first == 'O' || first == 'o' ? "0" : "1";
  return Flaw{", with the letter " + std::string(1, first) + " for the digit " + std::string(digit),
              " in the digits 0 to 9", changed};
}

std::optional<Flaw> odd_sign(std::string_view text) {
  for (const std::string_view two : {"--", "+-", "-+", "++"}) {
    if (text.find(two) != std::string_view::npos)
      return Flaw{", which holds two signs together", " with one sign at most", ""};
  }
  if (text.size() > 1 && (text.back() == '-' || text.back() == '+') &&
      (is_digit(text[text.size() - 2]) || text[text.size() - 2] == '.'))
    return Flaw{", with its sign behind", " with the sign in front", ""};
  if ((text.front() == '-' || text.front() == '+') && text.size() > 1 &&
      text_scan::is_blank(first_character(text.substr(1)).code))
    return Flaw{", with a blank behind its sign", " without it",
                text.front() + std::string(text_scan::trimmed(text.substr(1)))};
  return std::nullopt;
}

std::optional<Flaw> odd_exponent(std::string_view text) {
  const std::string small = small_letters(text);
  if (small.find_first_not_of("+-") == small.find("0x") && small.find("0x") != std::string::npos)
    return Flaw{", a hexadecimal number", " in decimal digits", ""};
  const std::size_t d = small.find('d');
  if (d != std::string::npos && d > 0 && d + 1 < text.size() &&
      (is_digit(text[d - 1]) || text[d - 1] == '.') &&
      (is_digit(text[d + 1]) || text[d + 1] == '-' || text[d + 1] == '+')) {
    std::string with_e(text);
    with_e[d] = 'E';
    // A small d behind a whole number may stand for degrees.
    const bool clear = text[d] == 'D' || text.find('.') < d;
    return Flaw{", with the letter D for its exponent", " with E", clear ? with_e : ""};
  }
  const std::size_t e = small.find('e');
  const auto tail = e == std::string::npos ? std::string() : small.substr(e + 1);
  if (e != std::string::npos && (e == 0 || is_digit(text[e - 1]) || text[e - 1] == '.') &&
      tail.find_first_not_of("0123456789.,+-") == std::string::npos) {
    if (e == 0) return Flaw{", an exponent alone", " such as 1.5e3", ""};
    if (tail.find_first_of("0123456789") == std::string::npos)
      return Flaw{", with an empty exponent", " such as 1.5e3", ""};
  }
  const std::size_t plus = text.find('+', 1);
  if (plus != std::string_view::npos && is_between_digits(text, plus))
    return Flaw{", with a plus inside", " with E before its exponent, or one value alone", ""};
  if (text.find('_') != std::string_view::npos) return Flaw{", which holds an underscore", " without it", ""};
  return std::nullopt;
}

// The text without marks of thousands; nothing unless every one stands in its place: one to three digits in
// front of the first, the first of them no zero, three behind each, and no decimals before it.
std::optional<std::string> without_thousands(std::string_view text, char mark) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    std::size_t digits = i;
    while (digits < text.size() && is_digit(text[digits])) ++digits;
    const bool decimals = i > 0 && (text[i - 1] == '.' || text[i - 1] == ',');
    if (digits < text.size() && text[digits] == mark &&
        (digits == i || digits - i > 3 || text[i] == '0' || decimals))
      return std::nullopt;
    out += text.substr(i, digits - i);
    i = digits;
    while (i < text.size() && text[i] == mark) {
      std::size_t end = i + 1;
      while (end < text.size() && is_digit(text[end])) ++end;
      if (end - i != 4) return std::nullopt;
      out += text.substr(i + 1, 3);
      i = end;
    }
    if (i < text.size() && !is_digit(text[i])) out += text[i++];
  }
  return out;
}

std::optional<Flaw> comma_flaw(std::string_view text, bool decimal_comma) {
  const auto commas = std::count(text.begin(), text.end(), ',');
  const auto points = std::count(text.begin(), text.end(), '.');
  if (decimal_comma) {
    if (commas == 0 || (points == 0 && commas == 1)) return std::nullopt;
    const bool points_group = commas == 1 && text.rfind('.') < text.find(',');
    return Flaw{", with both a point and a comma, or more than one",
                " with one decimal comma or point and no thousands separator", "",
                without_thousands(text, points_group ? '.' : ',').value_or("")};
  }
  if (commas == 0) return std::nullopt;
  const std::string plain = without_thousands(text, ',').value_or("");
  if (commas > 1 || points > 0)
    return Flaw{", with thousands commas", " without thousands separators", "", plain};
  if (plain.empty())
    return Flaw{", with a decimal comma",
                " with '.', since a decimal comma is read only in tables separated by semicolons or tabs",
                replaced(text, ",", ".")};
  return Flaw{", which may be thousands or a decimal comma",
              " with '.' for the decimals and no thousands separator", replaced(text, ",", "."), plain};
}

// A blank by which typesetters and spreadsheets part thousands, and nobody two values.
bool is_firm_blank(char32_t c) { return c == 0xA0 || c == 0x2007 || c == 0x2009 || c == 0x202F; }

// Firm blanks between groups of three digits: thousands. Other blanks inside a number are not mended.
std::optional<Flaw> blank_inside(std::string_view text) {
  std::size_t start = 0;
  bool groups = true;
  int parts = 0;
  std::string joined;
  for (std::size_t i = 0; i <= text.size();) {
    const Character c = i < text.size() ? first_character(text.substr(i)) : Character{0xA0, 1};
    if (i < text.size() && !text_scan::is_blank(c.code)) {
      i += c.size;
      continue;
    }
    const std::string_view part = text.substr(start, i - start);
    const std::size_t digits = std::min(part.find_first_not_of("0123456789"), part.size());
    if (digits == 0 || (digits != part.size() && part[digits] != '.' && part[digits] != ','))
      return std::nullopt;
    const bool last = i >= text.size();
    groups = groups && is_firm_blank(c.code) && (last || digits == part.size()) &&
             (parts == 0 ? digits <= 3 && part[0] != '0' : digits == 3);
    joined += part;
    ++parts;
    i += c.size;
    start = i;
  }
  if (parts < 2) return std::nullopt;
  return Flaw{groups ? ", with blanks as thousands separators" : ", with a blank inside",
              " without blanks inside", "", groups ? joined : ""};
}

// The whole numbers of a text in order, with the figures that its characters stand for.
std::vector<std::string> figures_of(std::string_view text) {
  const std::string plain = narrow(text);
  const auto mended = plain.empty() ? std::nullopt : letter_for_digit(plain);
  std::string_view rest = mended ? mended->candidate : plain;
  std::vector<std::string> out;
  bool inside = false;
  while (!rest.empty()) {
    const Character c = first_character(rest);
    const bool digit = c.size == 1 && is_digit(rest[0]);
    if (digit && !inside) out.emplace_back();
    if (digit) out.back() += rest[0];
    inside = digit;
    if (const VulgarFraction* f = vulgar_fraction(c.code)) {
      out.push_back(std::to_string(f->numerator));
      out.push_back(std::to_string(f->denominator));
    }
    rest.remove_prefix(std::max<std::size_t>(c.size, 1));
  }
  return out;
}

}  // namespace

std::string with_plain_blanks(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const Character c = first_character(text);
    const std::size_t size = std::max<std::size_t>(c.size, 1);
    if (c.size > 0 && text_scan::is_blank(c.code))
      out += ' ';
    else
      out += text.substr(0, size);
    text.remove_prefix(size);
  }
  return out;
}

bool keeps_figures(std::string_view text, std::string_view candidate) {
  return figures_of(text) == figures_of(candidate);
}

std::optional<Flaw> find_flaw(std::string_view text) {
  using Finder = std::optional<Flaw> (*)(std::string_view);
  for (const Finder find : {&bad_character, &stand_in_word, &spreadsheet_change, &foreign_character,
                            &odd_sign, &odd_exponent, &letter_for_digit}) {
    if (auto flaw = find(text)) return flaw;
  }
  return std::nullopt;
}

std::optional<Flaw> find_separator_flaw(std::string_view text, bool decimal_comma) {
  if (auto flaw = comma_flaw(text, decimal_comma)) return flaw;
  return blank_inside(text);
}

}  // namespace deckmark::number_scan
