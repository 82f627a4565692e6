#include "stages/deck_shots.h"

#include <fmt/format.h>

#include <span>
#include <utility>

#include "measure/decimal.h"
#include "report/words.h"

namespace deckmark {

namespace {

std::string_view side(Length off) { return off > Length::metres(0) ? "above" : "below"; }

std::string slope_of(double rise_over_run) { return "1:" + fixed(1 / rise_over_run, 1); }

/// The shots of one deck.
class ShotTeller {
 public:
  ShotTeller(const DeckStated& stated, const DeckResult& result, std::span<const std::size_t> shots,
             Messages& told)
      : stated_(stated), result_(result), shots_(shots), told_(told) {}

  void tell(bool is_problem) const {
    if (result_.two_levels) return two_levels(*result_.two_levels);
    if (result_.lone)
      told_.doubt("a deck shot far from the others", shot_row(stated_, shots_[result_.lone->shot]), "shot",
                  lone_words(stated_, shots_, *result_.lone));
    if (!result_.one_wrong.empty())
      one_wrong(is_problem);
    else
      for (const DeckResidual& stray : result_.strays) wrong(is_problem, stray.shot, stray.off);
    const bool has_rest = result_.deck_of_rest.has_value();
    for (const DeckResidual& far : has_rest ? result_.far_of_rest : result_.far)
      doubt("a deck shot off the fitted deck", far.shot,
            fmt::format("{}; more than the flatness, {}",
                        stands(far.shot, far.off, "stands ",
                               has_rest ? "the plane of the others" : "the fitted deck"),
                        words(stated_.options.flatness)));
    slope(has_rest ? *result_.deck_of_rest : *result_.deck);
  }

 private:
  void two_levels(const TwoLevels& two) const {
    doubt_all("two levels in the deck",
              fmt::format("the shots stand on two levels {} apart: {} on the lower, {} on the upper "
                          "(flute bottoms and tops?); "
                          "the deck is fitted between them: shoot the surface that the hangers are "
                          "fastened to",
                          words(two.step), two.lower_shots.size(), two.upper_shots.size()));
  }

  /// One shot explains what does not fit; where others would too it says so.
  void one_wrong(bool is_problem) const {
    const OneWrong& first = result_.one_wrong.front();
    std::string more;
    for (std::size_t k = 1; k < result_.one_wrong.size(); ++k)
      more += fmt::format("{} {} (a deck that rises {})", k == 1 ? "" : " or",
                          name(result_.one_wrong[k].shot), slope_of(result_.one_wrong[k].slope));
    if (!more.empty())
      more =
          fmt::format("; {} shots cannot tell whether it is wrong or{}: shoot one more", shots_.size(), more);
    wrong(is_problem, first.shot, first.off, more);
  }

  void wrong(bool is_problem, std::size_t shot, Length off, const std::string& more = {}) const {
    if (!is_problem)
      return doubt(
          "a stray deck shot", shot,
          stands(shot, off, "stands ", "the plane of the others") + more + measured_words(shot, off));
    const Elevation should = stated_.shots[shots_[shot]].elevation - off;
    told_.problem(cell(shot), field(shot),
                  Fault{stands(shot, off, "", "the plane of the others") + more,
                        fmt::format("about {} there, where the others put the deck; as it stands the deck "
                                    "passes under the floor or the brackets",
                                    elevation_words(should, stated_.site_unit)),
                        ""});
  }

  void slope(const Deck& deck) const {
    if (result_.lone) return;  // its plan decides both
    if (deck.slope() > kSteepestDeck)
      doubt_all("a deck that is hard to believe",
                fmt::format("the deck rises {}, steeper than 1:4 (common practice, no source): check the "
                            "elevations of the shots and their unit, and whether northing and easting are "
                            "exchanged",
                            slope_of(deck.slope())));
    if (result_.narrow)
      doubt_all(
          "deck shots near one line",
          "the shots lie near one line: the slope across it is hardly known; add a shot well to the side");
  }

  std::string_view name(std::size_t shot) const { return stated_.shots[shots_[shot]].name; }
  std::string words(Length value) const {
    return length_words(value, small_unit(stated_.site_unit, stated_.drawing_unit));
  }
  /// Of one that was measured at a hanger: what follows, and what may be behind it.
  std::string measured_words(std::size_t shot, Length off) const {
    const auto& read = stated_.shots[shots_[shot]].measured_at;
    if (!read) return "";
    constexpr Length kSlips[] = {Length::metres(0.1), Length::metres(0.3048), Length::metres(1)};
    constexpr std::string_view kWords[] = {"100 mm", "a foot", "1 m"};
    constexpr Length kAsGood = Length::millimetres(10);
    std::string out = off < Length::metres(0) ? "; a beam there? Else read it again: its drop is by it"
                                              : "; read it again: its drop is by it";
    for (std::size_t s = 0; s < std::size(kSlips); ++s)
      if (abs(abs(off) - kSlips[s]) <= kAsGood) out = fmt::format(", about {}{}", kWords[s], out);
    return out;
  }
  std::string stands(std::size_t shot, Length off, std::string_view verb, std::string_view plane) const {
    return fmt::format("shot {} {}{} {} {}", name(shot), verb, words(abs(off)), side(off), plane);
  }
  Where cell(std::size_t shot) const {
    const auto& read = stated_.shots[shots_[shot]].measured_at;
    return read ? *read : cell_of(stated_.shots_table, shots_[shot], "elevation");
  }
  std::string_view field(std::size_t shot) const {
    return stated_.shots[shots_[shot]].measured_at ? "target" : "elevation";
  }
  void doubt(std::string_view kind, std::size_t shot, std::string text) const {
    told_.doubt(kind, cell(shot), field(shot), std::move(text));
  }
  void doubt_all(std::string_view kind, std::string text) const {
    told_.doubt(kind, shots_place(stated_), stated_.shots_table.table ? "elevation" : "target",
                std::move(text));
  }

  const DeckStated& stated_;
  const DeckResult& result_;
  std::span<const std::size_t> shots_;
  Messages& told_;
};

}  // namespace

Where shot_row(const DeckStated& stated, std::size_t shot) {
  const auto& read = stated.shots[shot].measured_at;
  return read ? *read : cell_of(stated.shots_table, shot, "shot");
}

Where shots_place(const DeckStated& stated) {
  return stated.shots_table.table ? stated.shots_table.table->whole() : *stated.shots.front().measured_at;
}

std::string lone_words(const DeckStated& stated, std::span<const std::size_t> shots, const LoneShot& lone) {
  const StatedShot& shot = stated.shots[shots[lone.shot]];
  const bool is_drawn = std::holds_alternative<Point<Drawing>>(shot.at);
  const std::string_view check =
      is_drawn                                     ? "check its x and y"
      : lone.exchanged                             ? "its northing and easting look exchanged"
      : lone.northing_apart && !lone.easting_apart ? "check the digits of its northing"
      : lone.easting_apart && !lone.northing_apart ? "check the digits of its easting"
                                                   : "check its northing and easting";
  return fmt::format("shot {} lies {} from the nearest other, and the others within {} of one another: {}",
                     shot.name, length_words(lone.away, stated.site_unit),
                     length_words(lone.reach, stated.site_unit), check);
}

std::string elevation_words(Elevation elevation, LengthUnit unit) {
  const Length value = elevation.above_datum();
  if (unit == LengthUnit::feet_inches) return length_words(value, unit);
  return fmt::format("{} {}", fixed(in_unit(value, unit), 3), unit_word(unit));
}

void tell_shots(const DeckStated& stated, const DecksFitted& fitted, bool is_problem, Messages& told) {
  for (std::size_t d = 0; d < fitted.decks.size(); ++d)
    if (fitted.fits[d]) ShotTeller(stated, *fitted.fits[d], fitted.shots[d], told).tell(is_problem);
}

}  // namespace deckmark
