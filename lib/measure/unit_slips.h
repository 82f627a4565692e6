#pragma once
/// What a length without its unit may mean, for a fault.

#include <string>
#include <string_view>

namespace deckmark {

/// `a length with its unit: 5 mm, 5 m, 5 ft or 5 in`.
std::string units_of(std::string_view number);

}  // namespace deckmark
