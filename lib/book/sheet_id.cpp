#include "book/sheet_id.h"

#include <charconv>

namespace deckmark {

namespace {

constexpr std::uint64_t kModulus = 97;

std::uint64_t check_digits(std::uint64_t number) { return 98 - number * 100 % kModulus; }

std::string two_digits(std::uint64_t value) {
  std::string out = std::to_string(value);
  return out.size() < 2 ? "0" + out : out;
}

std::optional<std::uint64_t> whole(std::string_view text) {
  std::uint64_t value = 0;
  const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || bad != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace

std::string sheet_id_text(const SheetId& id) {
  const std::string number =
      std::to_string(id.issue) + std::to_string(static_cast<int>(id.kind)) + two_digits(id.page);
  return number + "-" + two_digits(check_digits(*whole(number)));
}

std::optional<SheetId> sheet_id_of(std::string_view text) {
  const std::size_t dash = text.find('-');
  if (dash == std::string_view::npos || dash < 4 || dash > 12 || text.size() != dash + 3) return std::nullopt;
  const auto number = whole(text.substr(0, dash)), check = whole(text.substr(dash + 1));
  if (text.front() == '0' || !number || !check || *check != check_digits(*number)) return std::nullopt;
  SheetId out;
  out.page = static_cast<std::uint32_t>(*number % 100);
  const auto kind = *number / 100 % 10;
  out.issue = static_cast<std::uint32_t>(*number / 1000);
  if (out.page == 0 || kind < 1 || kind > 4 || *number / 1000 > 999'999'999) return std::nullopt;
  out.kind = static_cast<SheetKind>(kind);
  return out;
}

}  // namespace deckmark
