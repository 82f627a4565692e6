#include "job/plain_date.h"

#include <algorithm>
#include <chrono>

namespace deckmark {

namespace {

bool is_digits(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

unsigned number_of(std::string_view digits) {
  unsigned n = 0;
  for (const char c : digits) n = 10 * n + static_cast<unsigned>(c - '0');
  return n;
}

}  // namespace

bool is_plain_date(std::string_view text) {
  if (text.size() == 10 && text[4] == '-' && text[7] == '-') {
    const std::string_view year = text.substr(0, 4), month = text.substr(5, 2), day = text.substr(8, 2);
    return is_digits(year) && is_digits(month) && is_digits(day) &&
           std::chrono::year_month_day(std::chrono::year(static_cast<int>(number_of(year))),
                                       std::chrono::month(number_of(month)), std::chrono::day(number_of(day)))
               .ok();
  }
  std::size_t days = 0, names = 0, years = 0, words = 0;
  for (std::size_t at = text.find_first_not_of(" .,"); at < text.size(); ++words) {
    const std::size_t end = std::min(text.find_first_of(" .,", at), text.size());
    const std::string_view word = text.substr(at, end - at);
    if (is_digits(word) && word.size() == 4)
      ++years;
    else if (is_digits(word) && word.size() <= 2)
      days += number_of(word) >= 1 && number_of(word) <= 31 ? 1U : 0U;
    else if (std::ranges::none_of(word, [](char c) { return c >= '!' && c < 'A'; }))
      ++names;
    at = text.find_first_not_of(" .,", end);
  }
  return words == 3 && days == 1 && names == 1 && years == 1;
}

}  // namespace deckmark
