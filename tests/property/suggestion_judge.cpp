#include "suggestion_judge.h"

#include <array>
#include <cctype>

namespace deckmark_test {

using boost::multiprecision::cpp_int;

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }

void replace_all(std::string& text, std::string_view what, std::string_view with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

/// Other shapes of digits, marks, dashes and blanks as the plain ones; fraction characters as ` 1/2`.
std::string plain(std::string_view text) {
  std::string out(text);
  for (int c = 0xFF01; c <= 0xFF5E; ++c) {
    const std::string wide{'\xEF', static_cast<char>(0xBC + (c - 0xFF00) / 64),
                           static_cast<char>(0x80 + (c - 0xFF00) % 64)};
    replace_all(out, wide, std::string(1, static_cast<char>(c - 0xFF01 + '!')));
  }
  using Pair = std::array<std::string_view, 2>;
  for (const Pair& p :
       {Pair{"\u2018", "'"}, {"\u2019", "'"},    {"\u2032", "'"},    {"\u00B4", "'"},     {"\u0092", "'"},
        {"\u201C", "\""},    {"\u201D", "\""},   {"\u2033", "\""},   {"\u0094", "\""},    {"''", "\""},
        {"\u00BD", " 1/2"},  {"\u00BC", " 1/4"}, {"\u00BE", " 3/4"}, {"\u215B", " 1/8"},  {"\u2044", "/"},
        {"\u2010", "-"},     {"\u2011", "-"},    {"\u2013", "-"},    {"\u2014", "-"},     {"\u2212", "-"},
        {"\u00A0", " "},     {"\u2009", " "},    {"\u202F", " "},    {"\u00BA", "\u00B0"}})
    replace_all(out, p[0], p[1]);
  for (std::string_view unit : {"feet", "foot", "ft", "FT"}) replace_all(out, unit, "'");
  for (std::string_view unit : {"inches", "inch", "in"}) replace_all(out, unit, "\"");
  for (std::size_t i = 0; i < out.size(); ++i) {
    const bool beside = (i > 0 && digit(out[i - 1])) ||
                        (i + 1 < out.size() && (digit(out[i + 1]) || out[i + 1] == '/' || out[i + 1] == '.'));
    if (!beside) continue;
    if (out[i] == 'O' || out[i] == 'o') out[i] = '0';
    if (out[i] == 'l' || out[i] == 'I') out[i] = '1';
  }
  return out;
}

/// Takes digits with a point off the front.
std::optional<Exact> take_number(std::string_view& text) {
  std::size_t n = 0;
  std::string digits;
  int decimals = -1;
  for (; n < text.size() && (digit(text[n]) || (text[n] == '.' && decimals < 0)); ++n) {
    if (text[n] == '.') {
      decimals = 0;
      continue;
    }
    digits += text[n];
    if (decimals >= 0) ++decimals;
  }
  if (digits.empty()) return std::nullopt;
  text.remove_prefix(n);
  cpp_int under = 1;
  for (int i = 0; i < decimals; ++i) under *= 10;
  const std::size_t zeros = std::min(digits.find_first_not_of('0'), digits.size() - 1);
  return Exact(cpp_int(digits.substr(zeros)), under);
}

void skip(std::string_view& text, std::string_view what) {
  while (!text.empty() && what.find(text.front()) != std::string_view::npos) text.remove_prefix(1);
}

/// Takes a sign, and parentheses that stand for one.
bool take_minus(std::string_view& text) {
  skip(text, " \t");
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  if (text.size() > 2 && text.front() == '(' && text.back() == ')') {
    text = text.substr(1, text.size() - 2);
    return true;
  }
  if (text.starts_with('\'')) text.remove_prefix(1);  // a spreadsheet's mark of text
  if (!text.starts_with('-') && !text.starts_with('+')) return false;
  const bool minus = text.front() == '-';
  text.remove_prefix(1);
  return minus;
}

}  // namespace

std::vector<std::string> figures(std::string_view text) {
  std::vector<std::string> out;
  bool inside = false;
  for (const char c : plain(text)) {
    if (digit(c) && !inside) out.emplace_back();
    inside = digit(c);
    if (inside) out.back() += c;
  }
  return out;
}

std::optional<Exact> added_inches(std::string_view typed) {
  const std::string text = plain(typed);
  std::string_view rest = text;
  const bool minus = take_minus(rest);
  Exact sum = 0, pending = 0;
  bool any = false, counts = false, feet_given = false;  // counts: numbers wait for their mark
  while (!rest.empty()) {
    if (const auto n = take_number(rest)) {
      std::string_view behind = rest;
      if (behind.starts_with('/')) {
        behind.remove_prefix(1);
        const auto under = take_number(behind);
        if (!under || *under == 0) return std::nullopt;
        pending += *n / *under;
        rest = behind;
      } else {
        if (counts && feet_given) return std::nullopt;
        if (counts) {  // 12-6 1/2 without marks
          sum += pending * 12;
          feet_given = true;
          pending = 0;
        }
        pending += *n;
      }
      counts = any = true;
      continue;
    }
    if (rest.front() == '\'' || rest.front() == '"') {
      if (!counts) return std::nullopt;
      if (rest.front() == '\'' && feet_given) return std::nullopt;
      feet_given = feet_given || rest.front() == '\'';
      sum += pending * (rest.front() == '\'' ? 12 : 1);
      pending = 0;
      counts = false;
    } else if (rest.front() != ' ' && rest.front() != '-') {
      return std::nullopt;
    }
    rest.remove_prefix(1);
  }
  if (!any) return std::nullopt;
  sum += pending;
  return minus ? Exact(-sum) : sum;
}

std::optional<Exact> added_degrees(std::string_view typed) {
  std::string text = plain(typed);
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  replace_all(text, "\u00B0", "d");
  replace_all(text, "deg", "d");
  std::string_view rest = text;
  const bool minus = take_minus(rest);
  Exact sum = 0, unit = 1;
  int parts = 0;
  while (!rest.empty()) {
    const auto n = take_number(rest);
    if (!n || parts == 3) return std::nullopt;
    ++parts;
    skip(rest, " ");
    if (!rest.empty() && (rest.front() == '\'' || rest.front() == 'm')) unit = Exact(1, 60);
    if (!rest.empty() && (rest.front() == '"' || rest.front() == 's')) unit = Exact(1, 3600);
    sum += *n * unit;
    unit /= 60;
    if (rest.starts_with("gon"))
      return parts == 1 && rest == "gon" ? std::optional(Exact((minus ? -sum : sum) * 9 / 10)) : std::nullopt;
    skip(rest, "d'\"ms-: ");
  }
  if (parts == 0) return std::nullopt;
  return minus ? Exact(-sum) : sum;
}

std::optional<Exact> plain_number(std::string_view text) {
  const bool minus = take_minus(text);
  auto value = take_number(text);
  if (!value) return std::nullopt;
  if (!text.empty() && (text.front() == 'e' || text.front() == 'E')) {
    text.remove_prefix(1);
    const bool down = text.starts_with('-');
    if (down || text.starts_with('+')) text.remove_prefix(1);
    int power = 0;
    for (; !text.empty() && digit(text.front()) && power < 1000; text.remove_prefix(1))
      power = 10 * power + text.front() - '0';
    for (int i = 0; i < power; ++i) *value *= down ? Exact(1, 10) : Exact(10);
  }
  if (!text.empty()) return std::nullopt;
  return minus ? Exact(-*value) : *value;
}

std::optional<std::string> without_groups(std::string_view text, std::string_view mark) {
  std::string out;
  bool any = false;
  for (std::size_t i = 0; i < text.size();) {
    if (!text.substr(i).starts_with(mark)) {
      out += text[i++];
      continue;
    }
    // In front: one to three digits that begin no zero and follow no decimals, or a group of three.
    std::size_t before = 0;
    while (before < out.size() && digit(out[out.size() - 1 - before])) ++before;
    const bool first = i == 0 || before == 0 || before <= 3;
    const char lead = before > 0 ? out[out.size() - before] : '0';
    const char ahead = before < out.size() ? out[out.size() - before - 1] : ' ';
    if (before == 0 || lead == '0' || ahead == '.' || ahead == ',') return std::nullopt;
    if (!first && !any) return std::nullopt;
    std::size_t behind = 0;
    while (i + mark.size() + behind < text.size() && digit(text[i + mark.size() + behind])) ++behind;
    if (behind != 3) return std::nullopt;
    any = true;
    i += mark.size();
  }
  return any ? std::optional(out) : std::nullopt;
}

std::string why_not_the_same(std::string_view text, std::string_view suggestion) {
  std::string typed = plain(text), offered = plain(suggestion);
  for (const char* unseen : {"\u200B", "\u202E", "\u00AD", "\u2060", "\x1b", "\x7f", "\v", "\n", "\u0085"})
    replace_all(typed, unseen, "");
  std::string_view a = typed, b = offered;
  const bool minus = take_minus(a), offered_minus = take_minus(b);
  const bool quoted = text.starts_with("\u201C") || text.starts_with("\u2018");
  if (minus != offered_minus && !quoted) return "the sign is another one";
  if (figures(text) == figures(suggestion)) {
    // A comma may part thousands.
    const auto grouped = without_groups(text, ",");
    if (text.find(',') != std::string_view::npos && suggestion.find(',') == std::string_view::npos &&
        grouped && text.find('\'') == std::string_view::npos)
      return "thousands, or decimals";
    return "";
  }
  for (const char* mark : {",", ".", "\u00A0", "\u2009", "\u202F"})
    if (const auto joined = without_groups(text, mark))
      if (figures(*joined) == figures(suggestion)) return "";
  const auto inches = added_inches(text), offered_inches = added_inches(suggestion);
  if (inches && offered_inches) return *inches == *offered_inches ? "" : "another number of inches";
  const auto number = plain_number(text), offered_number = plain_number(suggestion);
  if (number && offered_number) return *number == *offered_number ? "" : "another number";
  return "other figures";
}

std::string why_not_the_same_angle(std::string_view text, std::string_view suggestion, bool circle) {
  if (figures(text) == figures(suggestion) && !(circle && text.find('-') == 0)) return "";
  const auto offered = added_degrees(suggestion);
  std::string inner(text);
  // S 45-30-00 E
  const auto compass = [](char c) { return static_cast<char>(std::toupper(static_cast<unsigned char>(c))); };
  const bool quadrant = text.size() > 2 &&
                        std::string_view("NS").find(compass(text.front())) != std::string_view::npos &&
                        std::string_view("EW").find(compass(text.back())) != std::string_view::npos;
  if (quadrant) inner = inner.substr(1, inner.size() - 2);
  auto typed = added_degrees(inner);
  if (!typed || !offered) return "other figures";
  if (quadrant) {
    const bool north = compass(text.front()) == 'N', east = compass(text.back()) == 'E';
    typed =
        north ? (east ? *typed : Exact(360 - *typed)) : (east ? Exact(180 - *typed) : Exact(180 + *typed));
  }
  Exact off = *typed - *offered;
  if (circle || quadrant) {
    while (off > 180) off -= 360;
    while (off < -180) off += 360;
  }
  // Six decimals of a second are typed for what was computed in degrees.
  const Exact hair(1, 1000000000000LL);
  return off <= hair && -off <= hair ? "" : "another angle";
}

}  // namespace deckmark_test
