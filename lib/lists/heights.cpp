#include "lists/heights.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr OutColumn kColumns[] = {
    {"point", OutKind::text, "name on the drawing, of a benchmark, or as it was read"},
    {"number", OutKind::number, "floor number; of the deck the deck number; empty where it is no point"},
    {"level", OutKind::text, "floor, deck or bracket; empty where it is no point"},
    {"elevation", OutKind::length, "as adjusted"},
    {"above_datum", OutKind::length, "above the datum line; empty without one"},
    {"sd", OutKind::length,
     "standard deviation of the elevation, from the stated ones; 0 of a held benchmark"},
    {"from", OutKind::text, "set-ups and standings that read it"}};

}  // namespace

constinit const OutputSpec kHeightsOutput{"heights.csv", "with level or laser readings",
                                          "heights of all that level and laser read", kColumns};

std::unique_ptr<WrittenTable> heights_table(const HeightsStated& stated, const HeightsFound& found,
                                            const Numbers* numbers, LengthUnit unit) {
  const auto datum = stated.datum_line();
  const auto row = [&found, numbers, datum, u = InUnit(unit)](auto& sink, std::size_t i) {
    const HeightTarget& t = found.targets[i];
    const TargetHeight& h = found.result.targets[i];
    sink.text(t.name);
    if (t.mark && numbers)
      sink.integer(numbers->at(*t.mark, t.level == AsbuiltLevel::deck));
    else
      sink.empty();
    sink.text(t.level ? level_word(*t.level) : "");
    u.put(sink, h.elevation);
    u.put(sink, datum && h.elevation ? std::optional(*h.elevation - *datum) : std::nullopt);
    u.put(sink, h.sd);
    std::vector<std::string_view> from;
    for (const std::size_t s : t.setups) from.push_back(found.setups[s]);
    for (const std::size_t s : t.lasers) from.push_back(found.lasers[s]);
    sink.text(fmt::format("{}", fmt::join(from, " ")));
  };
  return declared_table(kColumns, unit, found.targets.size(), row);
}

}  // namespace deckmark
