#include "book/typing.h"

#include <algorithm>
#include <charconv>
#include <iterator>

#include "measure/letters.h"
#include "measure/utf8.h"
#include "table/reader.h"

namespace deckmark {

namespace {

constexpr std::string_view kNoWords[] = {"number", "dropped", "reading", "far",   "keep",   "check",
                                         "target", "setup",   "list",    "act",   "reason", "undo",
                                         "word",   "text",    "time",    "sheet", "issue"};

struct Word {
  std::string_view word;
  TypedKind kind;
  Act act = Act::note;
};
constexpr Word kWords[] = {{"marked", TypedKind::act, Act::marked},
                           {"drilled", TypedKind::act, Act::drilled},
                           {"filled", TypedKind::act, Act::filled},
                           {"cut", TypedKind::act, Act::cut},
                           {"hung", TypedKind::act, Act::hung},
                           {"taken-down", TypedKind::act, Act::taken_down},
                           {"voided", TypedKind::act, Act::voided},
                           {"doubtful", TypedKind::act, Act::doubtful},
                           {"cleared", TypedKind::act, Act::cleared},
                           {"note", TypedKind::note},
                           {"hold", TypedKind::hold},
                           {"keep", TypedKind::keep},
                           {"undo", TypedKind::undo},
                           {"check", TypedKind::check},
                           {"setup", TypedKind::setup},
                           {"next", TypedKind::next},
                           {"end", TypedKind::end},
                           {"help", TypedKind::help},
                           {"at", TypedKind::at}};

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_but(std::string_view part) { return small_letters(part) == "but"; }

Refusal refused(NoWord word, std::string why) { return {word, std::move(why)}; }

std::optional<std::uint32_t> whole(std::string_view text) {
  std::uint32_t value = 0;
  const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || bad != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::vector<std::string_view> parted(std::string_view text, std::string_view separators) {
  std::vector<std::string_view> out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t from = text.find_first_not_of(separators, at);
    if (from == std::string_view::npos) break;
    at = std::min(text.find_first_of(separators, from), text.size());
    out.push_back(text.substr(from, at - from));
  }
  return out;
}

std::string fault_words(std::string_view field, const Fault& fault) {
  std::string out(field);
  out += ": found " + fault.found + ", expected " + fault.expected;
  if (!fault.suggestion.empty()) out += "; try " + fault.suggestion;
  return out;
}

/// Takes the values of one reading; the first fault stands.
class Values {
 public:
  Values(std::vector<std::string_view> values, const TypingForm& form)
      : values_(std::move(values)), form_(form) {}

  std::size_t size() const { return values_.size(); }
  CircleReading circle(std::size_t i, std::string_view field) {
    const auto read = read_circle(trimmed(values_[i]), form_.angles);
    if (read) return CircleReading::degrees(read->degrees());
    fail(field, read.fault());
    return CircleReading::degrees(0);
  }
  Angle zenith(std::size_t i) {
    const auto read = read_circle(trimmed(values_[i]), form_.angles);
    if (!read) {
      fail("zenith", read.fault());
      return Angle::degrees(90);
    }
    // Straight up and straight down have no direction of the circle.
    if (read->degrees() <= 0 || read->degrees() == 180)
      fail("zenith", {in_quotes(values_[i]), "a line of sight that is not vertical", ""});
    return *read;
  }
  Length length(std::size_t i, std::string_view field) {
    const auto read = read_length(trimmed(values_[i]), form_.lengths);
    if (read) return read->value;
    fail(field, read.fault());
    return Length::metres(0);
  }
  Length away(std::size_t i, std::string_view field) {
    constexpr Length kMost = Length::metres(10'000);
    const Length out = length(i, field);
    if (!fault_ && (out <= Length::metres(0) || out > kMost))
      fail(field, {in_quotes(values_[i]), "a distance above 0, up to 10 km", ""});
    return out;
  }
  void fail(std::string_view field, const Fault& fault) {
    if (!fault_) fault_ = refused(NoWord::reading, fault_words(field, fault));
  }
  const std::optional<Refusal>& fault() const { return fault_; }

 private:
  std::vector<std::string_view> values_;
  const TypingForm& form_;
  std::optional<Refusal> fault_;
};

std::vector<std::string_view> values_of(std::string_view text) {
  if (text.find(';') == std::string_view::npos) return parted(text, " ");
  std::vector<std::string_view> out;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(';', at), text.size());
    out.push_back(trimmed(text.substr(at, end - at)));
    at = end + 1;
  }
  return out;
}

std::variant<TypedReading, Refusal> ended(const Values& v, TypedReading out) {
  if (v.fault()) return *v.fault();
  return out;
}

std::variant<TypedReading, Refusal> typed_coordinates(std::string_view text, const TypingForm& form) {
  Values v(values_of(text), form);
  if (v.size() != 2 && v.size() != 3)
    return refused(NoWord::reading, "c takes northing, easting and, where there is one, elevation");
  TypedReading out;
  out.kind = TypedReading::Kind::coordinates;
  out.northing = v.length(0, "northing");
  out.easting = v.length(1, "easting");
  if (v.size() == 3) out.elevation = Elevation::at(v.length(2, "elevation"));
  return ended(v, out);
}

/// The word of which these are the first letters, or all; two letters at the least.
std::variant<Word, Refusal> meant(std::string_view typed) {
  const std::string small = small_letters(typed);
  std::vector<Word> fit;
  if (small.size() >= 2)
    for (const Word& w : kWords)
      if (w.word.starts_with(small)) fit.push_back(w);
  if (fit.size() == 1) return fit.front();
  return refused(NoWord::word, in_quotes(typed) + ": help tells the words");
}

std::optional<Refusal> text_fault(std::string_view text) {
  const std::size_t size = character_count(text);
  if (size <= kLongestText) return std::nullopt;
  return refused(NoWord::text, std::to_string(size) + " characters behind the colon; " +
                                   std::to_string(kLongestText) + " at most");
}

std::optional<Refusal> line_fault(std::string_view line) {
  const std::size_t size = character_count(line);
  if (size > kLongestLine)
    return refused(NoWord::text,
                   std::to_string(size) + " characters; " + std::to_string(kLongestLine) + " at most");
  if (const auto unseen = unseen_character(line))
    return refused(NoWord::text, *unseen + ": a character that does not show");
  for (std::string_view rest = line; !rest.empty();) {
    const Character c = first_character(rest);
    if (c.size == 0) return refused(NoWord::text, "bytes that are no UTF-8");
    rest.remove_prefix(c.size);
  }
  return std::nullopt;
}

bool looks_like_list(std::string_view text) {
  bool any = false;
  for (const std::string_view part : parted(text, " ,")) {
    if (is_but(part)) continue;
    if (!std::all_of(part.begin(), part.end(), [](char c) { return is_digit(c) || c == '-'; })) return false;
    any = true;
  }
  return any;
}

/// What stands behind a word.
struct Behind {
  std::string_view head;  ///< up to the first colon
  std::optional<std::string_view> text{};
};
Behind behind(std::string_view rest) {
  const std::size_t colon = rest.find(':');
  if (colon == std::string_view::npos) return {trimmed(rest), std::nullopt};
  return {trimmed(rest.substr(0, colon)), trimmed(rest.substr(colon + 1))};
}

std::variant<Typed, Refusal> typed_act(Typed out, std::string_view rest) {
  const Behind part = behind(rest);
  if (!part.head.empty()) {
    auto list = typed_list(part.head);
    if (auto* no = std::get_if<Refusal>(&list)) return std::move(*no);
    out.list = std::get<TypedList>(std::move(list));
  }
  out.text = part.text.value_or("");
  if (auto no = text_fault(out.text)) return std::move(*no);
  if ((out.act == Act::doubtful || out.act == Act::cleared) && out.text.empty())
    return refused(NoWord::reason, std::string(act_word(out.act)) + " needs a reason: " +
                                       std::string(act_word(out.act)) + " 1041: kicked");
  return out;
}

std::variant<Typed, Refusal> typed_note(Typed out, std::string_view rest) {
  const Behind part = behind(rest);
  if (part.text && (part.head.empty() || looks_like_list(part.head))) {
    if (!part.head.empty()) {
      auto list = typed_list(part.head);
      if (auto* no = std::get_if<Refusal>(&list)) return std::move(*no);
      out.list = std::get<TypedList>(std::move(list));
    }
    out.text = *part.text;
  } else {
    out.text = trimmed(rest);
  }
  if (out.text.empty()) return refused(NoWord::text, "a note needs a text: note 1041: edge is chipped");
  if (auto no = text_fault(out.text)) return std::move(*no);
  return out;
}

/// `keep: TEXT`, `hold`, `hold: TEXT`.
std::variant<Typed, Refusal> typed_text(Typed out, std::string_view rest, bool is_needed) {
  const Behind part = behind(rest);
  if (!part.head.empty() || (is_needed && part.text.value_or("").empty()))
    return refused(NoWord::text,
                   is_needed ? "keep: and why, as in keep: pipe in the way" : "hold alone, or hold: and why");
  out.text = part.text.value_or("");
  if (auto no = text_fault(out.text)) return std::move(*no);
  return out;
}

std::variant<Typed, Refusal> typed_word(Typed out, std::string_view line) {
  std::size_t end = 0;
  while (end < line.size() && (is_letter(line[end]) || line[end] == '-')) ++end;
  if (end < line.size() && line[end] != ' ' && line[end] != ':')
    return refused(NoWord::word, in_quotes(line) + ": help tells the words");
  const auto word = meant(line.substr(0, end));
  if (const auto* no = std::get_if<Refusal>(&word)) return *no;
  out.kind = std::get<Word>(word).kind;
  out.act = std::get<Word>(word).act;
  const std::string_view rest = line.substr(end), operand = trimmed(rest);
  switch (out.kind) {
    case TypedKind::act:
      return typed_act(std::move(out), rest);
    case TypedKind::note:
      return typed_note(std::move(out), rest);
    case TypedKind::hold:
      return typed_text(std::move(out), rest, false);
    case TypedKind::keep:
      return typed_text(std::move(out), rest, true);
    case TypedKind::undo:
      if (operand.empty()) return out;
      out.number = whole(operand);
      if (!out.number || *out.number == 0)
        return refused(NoWord::undo, in_quotes(operand) + ": undo alone, or undo and the entry");
      return out;
    case TypedKind::check:
      out.text = operand;
      return out;
    case TypedKind::setup:
      if (operand.empty()) return refused(NoWord::setup, "which? setup S1");
      out.text = operand;
      return out;
    case TypedKind::at:
      if (operand.empty()) return refused(NoWord::time, "at and the time: at 2026-11-28T14:40+01:00");
      out.text = operand;
      return out;
    default:
      if (!operand.empty())
        return refused(NoWord::word,
                       in_quotes(line) + ": nothing stands behind " + std::string(line.substr(0, end)));
      return out;
  }
}

}  // namespace

std::string_view no_word(NoWord word) { return kNoWords[static_cast<std::size_t>(word)]; }

std::variant<TypedList, Refusal> typed_list(std::string_view text) {
  // Blanks round a dash belong to the range.
  std::string close;
  for (const char c : text) {
    if (c == '-')
      while (!close.empty() && close.back() == ' ') close.pop_back();
    if (c == ' ' && !close.empty() && close.back() == '-') continue;
    close += c;
  }
  TypedList out;
  bool leaves = false;
  for (const std::string_view part : parted(close, " ,")) {
    if (is_but(part)) {
      if (leaves || out.take.empty())
        return refused(NoWord::list, "but stands once, behind what it takes from: 1041-1052 but 1047");
      leaves = true;
      continue;
    }
    const std::size_t dash = part.find('-');
    TypedList::Item item;
    item.is_range = dash != std::string_view::npos;
    const auto first = whole(part.substr(0, dash)),
               last = item.is_range ? whole(part.substr(dash + 1)) : first;
    if (!first || !last)
      return refused(NoWord::list, in_quotes(part) + ": numbers and ranges as in 1041-1052 1060 but 1047");
    item.first = *first;
    item.last = *last;
    (leaves ? out.leave : out.take).push_back(item);
  }
  if (out.take.empty() || (leaves && out.leave.empty()))
    return refused(NoWord::list, in_quotes(text) + ": numbers and ranges as in 1041-1052 1060 but 1047");
  return out;
}

std::variant<TypedReading, Refusal> typed_reading(std::string_view text, const TypingForm& form) {
  if (text.size() > 1 && (text[0] == 'c' || text[0] == 'C') && (text[1] == ' ' || text[1] == ';')) {
    if (form.tape) return refused(NoWord::reading, "with the tape two distances from the strings");
    std::string_view rest = trimmed(text.substr(1));
    if (!rest.empty() && rest.front() == ';') rest.remove_prefix(1);
    return typed_coordinates(trimmed(rest), form);
  }
  Values v(values_of(text), form);
  TypedReading out;
  if (form.tape) {
    if (v.size() != 2)
      return refused(NoWord::reading, "with the tape two distances from the strings, X first, then Y");
    out.kind = TypedReading::Kind::tape;
    out.from_x_string = v.length(0, "from the string, X");
    out.from_y_string = v.length(1, "from the string, Y");
    return ended(v, out);
  }
  if (v.size() < 2 || v.size() > 4)
    return refused(NoWord::reading,
                   "circle and horizontal distance, or circle, zenith, slope distance; a value with blanks "
                   "in it is parted from the next by ;");
  out.circle = v.circle(0, "circle");
  if (v.size() == 2) {
    out.kind = TypedReading::Kind::flat;
    out.distance = v.away(1, "horizontal");
    return ended(v, out);
  }
  out.kind = TypedReading::Kind::polar;
  out.zenith = v.zenith(1);
  out.distance = v.away(2, "slope");
  if (v.size() == 4) out.target_height = v.length(3, "target height");
  return ended(v, out);
}

std::variant<Typed, Refusal> typed_line(std::string_view line, const TypingForm& form) {
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  if (auto no = line_fault(line)) return std::move(*no);
  Typed out;
  out.line = std::string(trimmed(line));
  const std::string_view text = out.line;
  if (text.empty()) return out;
  if (text == ".") {
    out.kind = TypedKind::dot;
    return out;
  }
  if (text.size() == 1 && is_letter(text[0])) {
    const char c = small_letters(text)[0];
    if (c != 'k' && c != 'y') return refused(NoWord::word, in_quotes(text) + ": help tells the words");
    out.kind = c == 'k' ? TypedKind::knock : TypedKind::yes;
    return out;
  }
  const bool is_c = (text[0] == 'c' || text[0] == 'C') && (text[1] == ' ' || text[1] == ';');
  if (is_letter(text[0]) && !is_c) return typed_word(std::move(out), std::string(text));
  if (std::all_of(text.begin(), text.end(), is_digit)) {
    out.kind = TypedKind::number;
    out.number = whole(text);
    if (!out.number || *out.number == 0) return refused(NoWord::number, in_quotes(text));
    return out;
  }
  if (text.find_first_of(" ;") == std::string_view::npos && looks_like_list(text))
    return refused(NoWord::word, "what was done there? marked " + out.line);
  auto reading = typed_reading(text, form);
  if (auto* no = std::get_if<Refusal>(&reading)) return std::move(*no);
  out.kind = TypedKind::reading;
  out.reading = std::get<TypedReading>(std::move(reading));
  return out;
}

}  // namespace deckmark
