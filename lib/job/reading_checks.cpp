#include "job/reading_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <set>

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

/// Half of what face 1 reads more than face 2, by target and height: the instrument's own error is in all.
class FaceHalves {
 public:
  void add(std::size_t target, double height, bool is_one, double level) {
    std::optional<double>& at = firsts_[{target, height}][is_one ? 0 : 1];
    if (!at) at = level;
  }
  /// The middle one, of three or more; 0 where they are few, or too large for an instrument that works.
  double middle() const {
    std::vector<double> all;
    for (const auto& [key, faces] : firsts_)
      if (faces[0] && faces[1]) all.push_back(wrapped(Angle::degrees(*faces[0] - *faces[1])).degrees() / 2);
    if (all.size() < 3) return 0;
    std::nth_element(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2), all.end());
    const double half = all[all.size() / 2];
    return std::fabs(half) <= kMostOfInstrument ? half : 0;
  }

 private:
  static constexpr double kMostOfInstrument = 2;  // degrees
  std::map<std::pair<std::size_t, double>, std::array<std::optional<double>, 2>> firsts_;
};

class Checker {
 public:
  Checker(const StatedSetup& setup, Messages& messages) : setup_(setup), messages_(messages) {}

  void run() {
    faces();
    const std::size_t turned = turned_round();
    for (std::size_t i = 0; i < setup_.readings.size(); ++i) {
      const Reading& r = setup_.readings[i];
      if (r.circle && !is_vertical(r) && round_of_[i] < turned)
        circle_of(i, first_of(circles_, {r.target, 0}, i));
      if (r.zenith) zenith_of(i, first_of(zeniths_, {r.target, r.target_height.metres()}, i));
      if (r.slope) slope_of(i, first_of(slopes_, {r.target, r.target_height.metres()}, i));
      if (r.horizontal) horizontal_of(i, first_of(horizontals_, {r.target, r.target_height.metres()}, i));
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
  static std::string dms(Angle a) { return dms_text(Azimuth::degrees(a.degrees()), 0); }
  static std::string degrees(double apart) { return fixed(apart, apart < 10 ? 1 : 0); }

  void faces() {
    FaceHalves circles, zeniths;
    for (const Reading& r : setup_.readings) {
      if (r.circle && !is_vertical(r))
        circles.add(r.target, 0, r.face == 1, r.circle->degrees() - (r.face == 2 ? 180 : 0));
      if (r.zenith) zeniths.add(r.target, r.target_height.metres(), r.face == 1, level_zenith(r));
    }
    collimation_ = circles.middle(), index_ = zeniths.middle();
  }

  /// Circles of a target in one face, as they were read: the k-th is of round k.
  using Rounds = std::vector<std::vector<std::size_t>>;
  /// Those read most often first.
  Rounds rounds() {
    std::map<std::pair<std::size_t, int>, std::vector<std::size_t>> circles;
    round_of_.assign(setup_.readings.size(), 0);
    for (std::size_t i = 0; i < setup_.readings.size(); ++i) {
      const Reading& r = setup_.readings[i];
      if (!r.circle) continue;
      std::vector<std::size_t>& of = circles[{r.target, r.face}];
      round_of_[i] = of.size();
      of.push_back(i);
    }
    Rounds out;
    for (auto& [key, of] : circles) out.push_back(std::move(of));
    std::ranges::stable_sort(out, std::greater{}, [](const auto& of) { return of.size(); });
    return out;
  }

  /// The first round, from 0, whose circles are all turned by one angle over a degree, which is told; else
  /// one that is none.
  std::size_t turned_round() {
    const Rounds all = rounds();
    const std::size_t count = all.empty() ? 0 : all.front().size();
    for (std::size_t k = 1; k < count; ++k) {
      const auto off = [&](const auto& of) {
        return (*setup_.readings[of[k]].circle - *setup_.readings[of[0]].circle).degrees();
      };
      const double by = off(all.front());
      bool is_one_angle = true;
      std::set<std::size_t> targets;
      std::size_t begin = setup_.readings.size(), directions = 0;
      for (const auto& of : all) {
        if (k >= of.size()) break;
        is_one_angle = is_one_angle && std::fabs(wrapped(Angle::degrees(off(of) - by)).degrees()) <= kApart;
        targets.insert(setup_.readings[of[k]].target);
        begin = std::min(begin, of[k]);
        ++directions;
      }
      // by half a turn: the other face, told by its column
      if (!is_one_angle || targets.size() < 2 || std::fabs(by) <= kApart || std::fabs(by) >= 180 - kApart)
        continue;
      tell_turned(begin, k, directions, by);
      return k;
    }
    return count;
  }

  void tell_turned(std::size_t begin, std::size_t round, std::size_t directions, double by) {
    tell<observations::circle>(
        begin, Fault{fmt::format("round {} with the circle turned by {}: its {} directions read that much {} "
                                 "than in round 1",
                                 round + 1, dms_text(Angle::degrees(std::fabs(by)), 0), directions,
                                 by > 0 ? "more" : "less"),
                     "one setting of the circle for all rounds of a setup; or the later rounds as a setup of "
                     "their own",
                     ""});
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

  /// What face 2 reads of the first reading, or face 1.
  double wanted_circle(const Reading& first, int face) const {
    if (face == first.face) return first.circle->degrees();
    return first.circle->degrees() + 180 + (face == 2 ? -2 : 2) * collimation_;
  }

  void circle_of(std::size_t i, const Reading& first) {
    const Reading& r = setup_.readings[i];
    const double wanted = wanted_circle(first, r.face);
    const double apart = std::fabs(wrapped(Angle::degrees(r.circle->degrees() - wanted)).degrees());
    if (apart <= kApart) return;
    const std::string circle = dms(Angle::degrees(r.circle->degrees())), near = dms(Angle::degrees(wanted));
    const bool is_turned = apart >= 180 - kApart;
    const int other = r.face == 1 ? 2 : 1;
    if (is_turned && !r.zenith && setup_.table->has_column(observations::Terms::index<observations::face>()))
      return tell<observations::face>(
          i,
          Fault{fmt::format("face {} with circle {} to {}, half a turn from where its first reading puts it",
                            r.face, circle, in_quotes(name(r))),
                fmt::format("face {}, or in face {} a circle near {}", other, r.face, near),
                fmt::format("{}", other)});
    std::string expected = fmt::format("a reading near {}", near);
    if (is_turned && r.zenith)
      expected += fmt::format(", since its zenith angle is of face {}", r.face);
    else if (is_turned)
      expected += fmt::format("; or a column face that says {} here", other);
    expected += "; or another name, if another target was sighted";
    tell<observations::circle>(
        i, Fault{fmt::format("{} to {} in face {}, {} degrees from where its first reading puts it", circle,
                             in_quotes(name(r)), r.face, degrees(apart)),
                 expected, ""});
  }

  void zenith_of(std::size_t i, const Reading& first) {
    const Reading& r = setup_.readings[i];
    const double shift = r.face == first.face ? 0 : (r.face == 2 ? -2 : 2) * index_;
    const double wanted_level = level_zenith(first) + shift;
    const double apart = std::fabs(level_zenith(r) - wanted_level);
    if (apart <= kApart) return;
    const double sum = r.zenith->degrees() + first.zenith->degrees();
    const bool gon = r.face != first.face && std::fabs(sum - 400) <= kApart;
    const std::string near = dms_text(Angle::degrees(r.face == 2 ? 360 - wanted_level : wanted_level), 0);
    tell<observations::zenith>(
        i, Fault{fmt::format("{} to {} in face {}, {} degrees from where its first reading puts it",
                             dms_text(*r.zenith, 0), in_quotes(name(r)), r.face, degrees(apart)),
                 gon ? "zenith angles that make 360 degrees in both faces; these make 400, so they are gon: "
                       "angles = \"gon\" under [instrument]"
                     : fmt::format("a reading near {}; or another target height; or another name, if another "
                                   "target was sighted",
                                   near),
                 ""});
  }

  void slope_of(std::size_t i, const Reading& first) {
    const auto fault = length_fault(*setup_.readings[i].slope, *first.slope, setup_.readings[i]);
    if (fault) tell<observations::slope>(i, *fault);
  }
  void horizontal_of(std::size_t i, const Reading& first) {
    const auto fault = length_fault(*setup_.readings[i].horizontal, *first.horizontal, setup_.readings[i]);
    if (fault) tell<observations::horizontal>(i, *fault);
  }
  std::optional<Fault> length_fault(Length read, Length first, const Reading& r) const {
    const double apart = std::fabs(read.metres() - first.metres());
    if (apart <= kApartLength) return std::nullopt;
    return Fault{fmt::format("{} m to {}, {} m from its first reading", fixed(read.metres(), 3),
                             in_quotes(name(r)), fixed(apart, 3)),
                 fmt::format("a distance near {} m; or another name, if another target was sighted",
                             fixed(first.metres(), 3)),
                 ""};
  }

  const StatedSetup& setup_;
  Messages& messages_;
  Firsts circles_, zeniths_, slopes_, horizontals_;
  std::vector<std::size_t> round_of_;   // by reading, from 0
  double collimation_ = 0, index_ = 0;  // degrees, of this setup's faces
};

}  // namespace

void check_readings(const StatedSetup& setup, Messages& messages) { Checker(setup, messages).run(); }

}  // namespace deckmark
