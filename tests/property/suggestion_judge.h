#pragma once
/// Is what a fault suggests the value that the text can only have meant? A deliberately simple judge that
/// uses none of the readers' grammar: whole numbers in order, and sums of a number times its mark as
/// fractions.

#include <boost/multiprecision/cpp_int.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark_test {

using Exact = boost::multiprecision::cpp_rational;

/// The whole numbers of a text in order. Full-width digits, O o l I beside a digit, and fraction characters
/// are the figures that they stand for.
std::vector<std::string> figures(std::string_view text);

/// Inches of a text that is numbers, fractions and the marks ' and " alone, by adding them up; nothing for
/// any other text.
std::optional<Exact> added_inches(std::string_view text);

/// Degrees of a text that is up to three numbers parted by dashes, or by the marks of degrees, minutes and
/// seconds; nothing for any other text.
std::optional<Exact> added_degrees(std::string_view text);

/// The exact value of digits, a point and an exponent alone; nothing for any other text.
std::optional<Exact> plain_number(std::string_view text);

/// Digits in groups of three behind a mark, read without the marks; nothing where there are none, or where
/// one stands anywhere else.
std::optional<std::string> without_groups(std::string_view text, std::string_view mark);

/// Why `suggestion` is not what `text` can only have meant; empty where it is. Lengths, numbers and counts.
std::string why_not_the_same(std::string_view text, std::string_view suggestion);
/// The same for angles; `circle`: whole turns are nothing.
std::string why_not_the_same_angle(std::string_view text, std::string_view suggestion, bool circle);

}  // namespace deckmark_test
