#include "stages/length_slips.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "baseline/length_slips.h"
#include "job/tables/lengths.h"
#include "report/words.h"
#include "stages/column_of.h"

namespace deckmark {

namespace {

std::string exchanged_words(const Checked& checked, const std::vector<Length>& permitted) {
  const TapedNet& net = checked.net;
  std::vector<std::string> pairs;
  for (const auto& [a, b] : exchanged_names(net.sides, net.places, permitted)) {
    const auto [first, second] = std::minmax(net.names[a], net.names[b]);
    pairs.push_back(fmt::format("{} and {}", first, second));
  }
  if (pairs.empty()) return "";
  return fmt::format(
      "names exchanged? With {} exchanged all lengths agree with the drawing: look which mark is "
      "which before one is moved",
      fmt::join(pairs, ", or "));
}

/// The unit in which numbers of the table are read that state none.
LengthUnit unit_of(const BaselinesStated& stated) {
  const Table& table = *stated.checks.lengths_table.table;
  return table.header_unit(column_of(table, lengths::measured.name)).value_or(stated.site_unit);
}

std::string unit_slip_words(const BaselinesStated& stated, const Checked& checked,
                            const std::vector<Length>& permitted) {
  const TapedNet& net = checked.net;
  const LengthUnit read_as = unit_of(stated);
  const LengthUnitSlip slip = unit_slip(net.sides, net.places, permitted, read_as);
  if (slip.sides.empty()) return "";
  const bool all = slip.sides.size() == net.sides.size() && slip.sides.size() > 1;
  const bool one = slip.sides.size() == 1;
  return fmt::format("{0} keyed in {1}? Read in {1} in place of {2} {3} with the drawing: write the unit {4}",
                     all ? fmt::format("all {} lengths", slip.sides.size()) : sides_words(net, slip.sides),
                     unit_words(slip.meant), unit_words(read_as), one ? "it agrees" : "they agree",
                     all   ? "in the head of the column"
                     : one ? "behind the number"
                           : "behind the numbers");
}

}  // namespace

std::string sides_words(const TapedNet& net, const std::vector<std::size_t>& sides) {
  constexpr std::size_t kTold = 3;
  std::string out;
  for (std::size_t i = 0; i < std::min(sides.size(), kTold); ++i) {
    const MeasuredSide& s = net.sides[sides[i]];
    const bool is_last = i + 1 == sides.size();
    out += fmt::format("{}{} to {}",
                       i == 0    ? ""
                       : is_last ? " and "
                                 : ", ",
                       net.names[s.from], net.names[s.to]);
  }
  return sides.size() > kTold ? fmt::format("{} and {} more", out, sides.size() - kTold) : out;
}

std::string slip_words(const BaselinesStated& stated, const Checked& checked) {
  std::vector<Length> permitted;
  for (const LengthCheck& c : checked.lengths) permitted.push_back(c.limit.permitted);
  const std::string exchanged = exchanged_words(checked, permitted);
  return exchanged.empty() ? unit_slip_words(stated, checked, permitted) : exchanged;
}

void tell_alike(const BaselinesStated& stated, const Checked& checked, Messages& told) {
  const std::vector<std::size_t> first = first_alike(checked.net.sides);
  std::vector<std::size_t> again;
  for (std::size_t s = 0; s < first.size(); ++s)
    if (first[s] != s) again.push_back(s);
  if (again.empty()) return;
  told.doubt("the same length twice",
             cell_of(stated.checks.lengths_table, again.front(), lengths::measured.name),
             lengths::measured.name,
             fmt::format("{} again, alike to the last digit: pasted twice, or taped twice and read alike, it "
                         "checks nothing and counts once; a check takes a length between other marks",
                         sides_words(checked.net, again)));
}

}  // namespace deckmark
