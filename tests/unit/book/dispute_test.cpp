#include "book/dispute.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace deckmark;

namespace {

Vec<Site> off(double north_mm, double east_mm = 0) {
  return {{.northing = Length::millimetres(north_mm), .easting = Length::millimetres(east_mm)}};
}
CrossReading reading(double north_mm, double east_mm, std::uint32_t at) {
  return {off(north_mm, east_mm), Length::millimetres(1), at};
}
/// A cross at 20 m from its set-up 0, read well when it was made; shots are from set-up 1 but where it is
/// said.
DisputeFacts facts(std::vector<CrossReading> readings) {
  DisputeFacts out{.place = {{.northing = Length::metres(120.333), .easting = Length::metres(205.444)}},
                   .permitted = Length::millimetres(6)};
  out.was_read = true;
  out.order = 5;
  out.readings = std::move(readings);
  out.setups = {{0, {{.northing = Length::metres(100), .easting = Length::metres(205)}}},
                {1, {{.northing = Length::metres(140), .easting = Length::metres(230)}}}};
  return out;
}
/// Crosses of set-up 0 that set-up 1 shot, each off by so much.
void add_beside(DisputeFacts& to, const std::vector<double>& north_mm) {
  for (std::size_t i = 0; i < north_mm.size(); ++i)
    to.beside.push_back(
        {off(north_mm[i]),
         Length::millimetres(1.4),
         0,
         1,
         static_cast<std::uint32_t>(6 + i),
         {{.northing = Length::metres(118 + static_cast<double>(i)), .easting = Length::metres(204)}}});
}
std::string named(const DisputeFacts& f) {
  const DisputeFound found = weigh(f);
  return found.link ? std::string(link_word(*found.link)) : "";
}

}  // namespace

TEST_CASE("a drawing that has moved since, and a list that was old when it was used") {
  DisputeFacts f = facts({reading(0.5, 0, 0), reading(1, 0.5, 1)});
  f.moved = off(20);
  CHECK(named(f) == "drawing");
  f.newer_was_out = true;
  CHECK(named(f) == "list");
  // It explains nothing where the shot is not at the old place either.
  f.readings.back() = reading(31.7, 13.3, 1);
  f.newer_was_out = false;
  CHECK(named(f) != "drawing");
}

TEST_CASE("a third reading tells a cross that moved from a shot that is wrong") {
  DisputeFacts alone = facts({reading(0.5, 0, 0), reading(31.7, 13.3, 1)});
  add_beside(alone, {0.5, -0.8, 0.3});
  CHECK(named(alone) == "");
  CHECK(weigh(alone).decides == Decides::third_reading);
  DisputeFacts kicked = facts({reading(0.5, 0, 0), reading(31.2, 13.9, 2), reading(31.7, 13.3, 1)});
  add_beside(kicked, {0.5, -0.8, 0.3});
  CHECK(named(kicked) == "mark");
  DisputeFacts wrong_shot = facts({reading(0.5, 0, 0), reading(0.9, -0.4, 2), reading(31.7, 13.3, 1)});
  add_beside(wrong_shot, {0.5, -0.8, 0.3});
  CHECK(named(wrong_shot) == "shot");
}

TEST_CASE("crosses of one set-up that are off alike are the set-up's") {
  DisputeFacts f = facts({reading(0.5, 0, 0), reading(14.1, 0.4, 1)});
  add_beside(f, {13.5, 14.6, 14.0, 13.8});
  CHECK(named(f) == "setup");
  // The next check says that it did not stand.
  DisputeFacts few = facts({reading(0.5, 0, 0), reading(14.1, 4.4, 1)});
  const double before = weigh(few).probability[static_cast<std::size_t>(Link::setup)];
  few.next_check = Verdict::outside;
  CHECK(weigh(few).probability[static_cast<std::size_t>(Link::setup)] > before);
  few.next_check = Verdict::within;
  CHECK(weigh(few).probability[static_cast<std::size_t>(Link::setup)] < before);
}

TEST_CASE("chances are of five links and sum to one") {
  for (const double north : {8.0, 30.0, 100.0}) {
    DisputeFacts f = facts({reading(0.5, 0, 0), reading(north, 3, 1)});
    const DisputeFound found = weigh(f);
    double sum = 0;
    for (const double p : found.probability) sum += p;
    CHECK(sum == doctest::Approx(1));
  }
}
