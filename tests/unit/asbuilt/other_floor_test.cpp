// 2026-11-27: shots that all lay 4.2 m off in height were judged, and the job was READY.
#include "asbuilt/other_floor.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace deckmark;

namespace {

std::vector<ShotHeight> shots(AsbuiltLevel level, const std::vector<double>& millimetres) {
  std::vector<ShotHeight> out;
  for (const double mm : millimetres)
    out.push_back({level, std::isnan(mm) ? std::nullopt : std::optional(Length::millimetres(mm))});
  return out;
}

}  // namespace

TEST_CASE("most of a level over half a metre off is another floor") {
  struct Row {
    const char* name;
    std::vector<double> up;  // mm; NAN: not known
    std::size_t off, aside;  // 0: no other floor
    double middle;
  };
  const Row rows[] = {{"all alike", {4200, 4203, 4198}, 3, 3, 4200},
                      {"below", {-3600, -3601, -3599}, 3, 3, -3600},
                      {"half is no majority", {4200, 4200, 1, 2}, 0, 0, 0},
                      {"more than half", {4200, 4201, 4202, 1, 2}, 3, 3, 4201},
                      {"exactly at the limit", {500, 500, 500}, 0, 0, 0},
                      {"beyond the limit", {500.1, 500.1, 500.2}, 3, 3, 500.1},
                      {"heights that are not known do not count, nor are they judged",
                       {4200, 4200, NAN, NAN, NAN, 3},
                       2,
                       5,
                       4200},
                      {"no height at all", {NAN, NAN}, 0, 0, 0}};
  for (const Row& r : rows)
    for (const AsbuiltLevel level : {AsbuiltLevel::floor, AsbuiltLevel::deck, AsbuiltLevel::bracket}) {
      CAPTURE(r.name);
      std::vector<ShotHeight> list = shots(level, r.up);
      // Another level of the same table stands on its own.
      const AsbuiltLevel other = level == AsbuiltLevel::floor ? AsbuiltLevel::deck : AsbuiltLevel::floor;
      for (const ShotHeight& s : shots(other, {1, 2, -3})) list.push_back(s);
      const auto found = find_other_floors(list);
      REQUIRE(found.size() == (r.off > 0 ? 1 : 0));
      std::size_t aside = 0;
      for (const ShotHeight& s : list) aside += is_set_aside(s, found);
      CHECK(aside == r.aside);
      if (r.off == 0) continue;
      CHECK(found[0].level == level);
      CHECK(found[0].off == r.off);
      CHECK(found[0].aside == r.aside);
      CHECK(found[0].up.metres() == doctest::Approx(r.middle / 1000));
    }
}

TEST_CASE("a difference that is a usual datum line is told as that") {
  struct Row {
    double mm, line;  // 0: none
  };
  for (const Row& r : {Row{1000, 1000}, Row{-1000, 1000}, Row{1019.9, 1000}, Row{1020.1, 0}, Row{980.1, 1000},
                       Row{1219.2, 1219.2}, Row{1199, 0}, Row{4200, 0}}) {
    CAPTURE(r.mm);
    const auto found = find_other_floors(shots(AsbuiltLevel::floor, {r.mm, r.mm, r.mm}));
    REQUIRE(found.size() == 1);
    CHECK(found[0].datum.has_value() == (r.line > 0));
    if (found[0].datum) CHECK(found[0].datum->metres() == doctest::Approx(r.line / 1000));
  }
}

TEST_CASE("the height of a storey that something was measured at: within 50 mm, the nearest") {
  const std::vector<Elevation> rising = {Elevation::metres(4), Elevation::metres(8), Elevation::metres(8.06)};
  struct Row {
    double at, near;  // m; 0: none
  };
  for (const Row& r : {Row{3.95, 4}, Row{3.9499, 0}, Row{4.05, 4}, Row{4.0501, 0}, Row{8.029, 8},
                       Row{8.031, 8.06}, Row{8.11, 8.06}, Row{8.1101, 0}, Row{-9, 0}}) {
    CAPTURE(r.at);
    const auto found = height_near(Elevation::metres(r.at), rising);
    REQUIRE(found.has_value() == (r.near > 0));
    if (found) CHECK(*found == Elevation::metres(r.near));
  }
  CHECK_FALSE(height_near(Elevation::metres(0), {}));
}
