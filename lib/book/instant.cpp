#include <chrono>
#include <cstddef>

#include "book/book.h"

namespace deckmark {

namespace {

/// Takes digits off the front.
class Digits {
 public:
  explicit Digits(std::string_view text) : rest_(text) {}
  bool is_at_end() const { return rest_.empty(); }
  /// Exactly `count` digits; -1 where they do not stand there.
  int take(std::size_t count) {
    if (rest_.size() < count) return -1;
    int value = 0;
    for (std::size_t i = 0; i < count; ++i) {
      if (rest_[i] < '0' || rest_[i] > '9') return -1;
      value = value * 10 + (rest_[i] - '0');
    }
    rest_.remove_prefix(count);
    return value;
  }
  bool skip(char c) {
    if (rest_.empty() || rest_.front() != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  /// Decimals of a second in milliseconds, further ones left out; -1 where there is none.
  int thousandths() {
    int value = 0;
    std::size_t count = 0;
    for (; !rest_.empty() && rest_.front() >= '0' && rest_.front() <= '9'; rest_.remove_prefix(1), ++count)
      if (count < 3) value = value * 10 + (rest_.front() - '0');
    if (count == 0) return -1;
    for (; count < 3; ++count) value *= 10;
    return value;
  }

 private:
  std::string_view rest_;
};

/// Minutes east of Greenwich, and nothing behind them.
std::optional<int> offset_of(Digits& digits) {
  if (digits.skip('Z')) return digits.is_at_end() ? std::optional(0) : std::nullopt;
  const bool west = digits.skip('-');
  if (!west && !digits.skip('+')) return std::nullopt;
  const int hours = digits.take(2);
  const bool has_colon = digits.skip(':');
  const int minutes = !has_colon && digits.is_at_end() ? 0 : digits.take(2);
  if (hours < 0 || hours > 14 || minutes < 0 || minutes > 59 || !digits.is_at_end()) return std::nullopt;
  return (west ? -1 : 1) * (hours * 60 + minutes);
}

}  // namespace

std::optional<std::int64_t> instant_of(std::string_view text) {
  Digits digits(text);
  const int year = digits.take(4);
  if (year < 1970 || !digits.skip('-')) return std::nullopt;
  const int month = digits.take(2);
  if (month < 1 || !digits.skip('-')) return std::nullopt;
  const int day = digits.take(2);
  if (day < 1 || (!digits.skip('T') && !digits.skip(' '))) return std::nullopt;
  const int hour = digits.take(2);
  if (hour < 0 || hour > 23 || !digits.skip(':')) return std::nullopt;
  const int minute = digits.take(2);
  if (minute < 0 || minute > 59) return std::nullopt;
  int second = 0, thousandth = 0;
  if (digits.skip(':')) {
    second = digits.take(2);
    if (second < 0 || second > 59) return std::nullopt;
    if (digits.skip('.')) thousandth = digits.thousandths();
    if (thousandth < 0) return std::nullopt;
  }
  const auto east = offset_of(digits);
  const std::chrono::year_month_day date{std::chrono::year{year},
                                         std::chrono::month{static_cast<unsigned>(month)},
                                         std::chrono::day{static_cast<unsigned>(day)}};
  if (!east || !date.ok()) return std::nullopt;
  const std::int64_t days = std::chrono::sys_days(date).time_since_epoch().count();
  return ((days * 24 + hour) * 60 + minute - *east) * 60'000 + second * 1000 + thousandth;
}

std::string_view without_offset(std::string_view time) {
  constexpr std::size_t kDate = 10;
  return time.substr(0, time.find_first_of("Z+-", kDate));
}

}  // namespace deckmark
