#include "work/typed.h"

#include <charconv>
#include <system_error>

#include "job/plain_date.h"
#include "table/reader.h"

namespace deckmark {

bool is_typed_text(std::string_view option, const std::string& text, std::string_view expected,
                   std::string_view example, Messages& messages) {
  if (text.find_first_not_of(" \t") == std::string::npos)
    messages.problem(Where{}, option, Fault{"nothing", std::string(expected), std::string(example)});
  else if (const auto hidden = hidden_character(text))
    messages.problem(Where{}, option,
                     Fault{in_quotes(text) + ", which holds " + *hidden, std::string(expected), ""});
  else
    return true;
  return false;
}

bool is_typed_date(std::string_view option, const std::string& text, std::string_view expected,
                   Messages& messages) {
  if (!is_typed_text(option, text, expected, std::string(option) + " 2026-11-25", messages)) return false;
  if (is_plain_date(text)) return true;
  messages.problem(Where{}, option, Fault{in_quotes(text), std::string(kPlainDate), ""});
  return false;
}

std::optional<std::uint32_t> typed_number(std::string_view text) {
  std::uint32_t value = 0;
  const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (bad != std::errc() || end != text.data() + text.size() || text.empty()) return std::nullopt;
  return value;
}

}  // namespace deckmark
