#pragma once
/// Dates as people type them.

#include <string_view>

namespace deckmark {

/// A date that nobody reads two ways: 2026-11-25, or a day, a month's name in any language and a year.
bool is_plain_date(std::string_view text);

/// What is expected of one.
inline constexpr std::string_view kPlainDate =
    "a date that reads one way, such as 2026-11-25 or 25 November 2026";

}  // namespace deckmark
