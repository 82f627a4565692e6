#include "asbuilt/other_floor.h"

#include <algorithm>

#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr Length kDatumLines[] = {Length::metres(1), Length::feet(4)};  // common practice, no source
constexpr Length kDatumNear = Length::millimetres(20);

bool is_off(const ShotHeight& shot) { return shot.up && abs(*shot.up) > kOtherFloor + kHair; }

}  // namespace

std::vector<OtherFloor> find_other_floors(std::span<const ShotHeight> shots) {
  std::vector<OtherFloor> out;
  for (const AsbuiltLevel level : {AsbuiltLevel::floor, AsbuiltLevel::deck, AsbuiltLevel::bracket}) {
    OtherFloor f{.level = level};
    std::vector<Length> ups;
    for (const ShotHeight& s : shots) {
      if (s.level != level) continue;
      if (s.up) ++f.known;
      if (is_off(s)) ups.push_back(*s.up);
      if (is_off(s) || !s.up) ++f.aside;
    }
    f.off = ups.size();
    if (2 * f.off <= f.known) continue;
    const auto middle = ups.begin() + static_cast<std::ptrdiff_t>(ups.size() / 2);
    std::ranges::nth_element(ups, middle);
    f.up = *middle;
    for (const Length line : kDatumLines)
      if (abs(abs(f.up) - line) <= kDatumNear + kHair) f.datum = line;
    out.push_back(f);
  }
  return out;
}

bool is_set_aside(const ShotHeight& shot, std::span<const OtherFloor> floors) {
  return std::ranges::find(floors, shot.level, &OtherFloor::level) != floors.end() &&
         (!shot.up || is_off(shot));
}

std::optional<Elevation> height_near(Elevation at, std::span<const Elevation> rising) {
  const auto above = std::ranges::lower_bound(rising, at);
  std::optional<Elevation> out;
  for (const auto near : {above, above == rising.begin() ? above : above - 1})
    if (near != rising.end() && abs(*near - at) <= kStoreyNear + kHair &&
        (!out || abs(*near - at) < abs(*out - at)))
      out = *near;
  return out;
}

}  // namespace deckmark
