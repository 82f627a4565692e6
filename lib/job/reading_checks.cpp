#include "job/reading_checks.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "job/tables/observations.h"
#include "measure/decimal.h"

namespace deckmark {

namespace {

constexpr double kApart = 1;          // degrees: no reading error, but another target, face or notation
constexpr double kApartLength = 0.2;  // m: more than any two reflector constants differ by
constexpr double kSteep = 60;         // degrees from level
constexpr double kNearLevel = 3;      // degrees
constexpr double kVertical = 2;       // degrees from straight up or down, where a circle says next to nothing

double level_zenith(const Reading& r) {
  return r.face == 2 ? 360 - r.zenith->degrees() : r.zenith->degrees();
}

bool is_vertical(const Reading& r) {
  if (!r.zenith) return false;
  const double z = level_zenith(r);
  return z < kVertical || z > 180 - kVertical;
}

class Checker {
 public:
  Checker(const StatedSetup& setup, Messages& messages) : setup_(setup), messages_(messages) {}

  void run() {
    for (std::size_t i = 0; i < setup_.readings.size(); ++i) {
      const Reading& r = setup_.readings[i];
      if (r.circle && !is_vertical(r)) circle_of(i, first_of(circles_, {r.target, 0}, i));
      if (r.zenith) zenith_of(i, first_of(zeniths_, {r.target, r.target_height.metres()}, i));
      if (r.slope) slope_of(i, first_of(slopes_, {r.target, r.target_height.metres()}, i));
    }
    notation();
  }

 private:
  using Key = std::pair<std::size_t, double>;
  using Firsts = std::map<Key, std::size_t>;

  const Reading& first_of(Firsts& firsts, Key key, std::size_t i) {
    return setup_.readings[firsts.emplace(key, i).first->second];
  }
  const std::string& name(const Reading& r) const { return setup_.targets[r.target]; }
  template <const auto& C>
  void tell(std::size_t i, const Fault& fault) {
    messages_.problem(setup_.table->where(setup_.begins[i], observations::Terms::index<C>()), C.name, fault);
  }

  /// Angles above level, or gon, where zenith angles in degrees were meant. Sights on a floor are nearly
  /// level.
  void notation() {
    std::size_t count = 0, steep = 0, hundred = 0;
    for (const Reading& r : setup_.readings) {
      if (!r.zenith) continue;
      ++count;
      const double z = level_zenith(r),
                   as_read = r.face == 2 ? r.zenith->degrees() - 200 : r.zenith->degrees();
      if (std::fabs(z - 90) > kSteep) ++steep;
      if (std::fabs(as_read - 100) < kNearLevel) ++hundred;
    }
    if (count < 3) return;
    const auto doubt = [&](std::string_view text) {
      messages_.doubt("zenith angles of another kind", setup_.table->whole(), observations::zenith.name,
                      fmt::format("setup {}: {}", setup_.name, text));
    };
    if (steep == count)
      doubt("every sight is steep; zenith angles read 90 degrees where level: are these angles above level?");
    if (hundred == count)
      doubt(
          "every zenith angle is near 100 or 300: if they are gon, write angles = \"gon\" under "
          "[instrument]");
  }

  void circle_of(std::size_t i, const Reading& first) {
    const Reading& r = setup_.readings[i];
    const double wanted = first.circle->degrees() + (r.face == first.face ? 0 : 180);
    const double apart = std::fabs(wrapped(Angle::degrees(r.circle->degrees() - wanted)).degrees());
    if (apart <= kApart) return;
    const std::string near = dms_text(Azimuth::degrees(wanted), 0);
    tell<observations::circle>(
        i, Fault{fmt::format("{} to {} in face {}, {} degrees from where its first reading puts it",
                             dms_text(Azimuth::degrees(r.circle->degrees()), 0), in_quotes(name(r)), r.face,
                             fixed(apart, apart < 10 ? 1 : 0)),
                 fmt::format(
                     "a reading near {}; or the other face; or another name, if another target was sighted",
                     near),
                 ""});
  }

  void zenith_of(std::size_t i, const Reading& first) {
    const Reading& r = setup_.readings[i];
    const double apart = std::fabs(level_zenith(r) - level_zenith(first));
    if (apart <= kApart) return;
    const double wanted = r.face == first.face ? first.zenith->degrees() : 360 - first.zenith->degrees();
    const double sum = r.zenith->degrees() + first.zenith->degrees();
    const bool gon = r.face != first.face && std::fabs(sum - 400) <= kApart;
    const std::string near = dms_text(Angle::degrees(wanted), 0);
    tell<observations::zenith>(
        i, Fault{fmt::format("{} to {} in face {}, {} degrees from where its first reading puts it",
                             dms_text(*r.zenith, 0), in_quotes(name(r)), r.face,
                             fixed(apart, apart < 10 ? 1 : 0)),
                 gon ? "zenith angles that make 360 degrees in both faces; these make 400, so they are gon: "
                       "angles = \"gon\" under [instrument]"
                     : fmt::format("a reading near {}; or another target height; or another name, if another "
                                   "target was sighted",
                                   near),
                 ""});
  }

  void slope_of(std::size_t i, const Reading& first) {
    const Reading& r = setup_.readings[i];
    const double apart = std::fabs(r.slope->metres() - first.slope->metres());
    if (apart <= kApartLength) return;
    const std::string near = fmt::format("{} m", fixed(first.slope->metres(), 3));
    tell<observations::slope>(
        i,
        Fault{fmt::format("{} m to {}, {} m from its first reading", fixed(r.slope->metres(), 3),
                          in_quotes(name(r)), fixed(apart, 3)),
              fmt::format("a distance near {}; or another name, if another target was sighted", near), ""});
  }

  const StatedSetup& setup_;
  Messages& messages_;
  Firsts circles_, zeniths_, slopes_;
};

}  // namespace

void check_readings(const StatedSetup& setup, Messages& messages) { Checker(setup, messages).run(); }

}  // namespace deckmark
