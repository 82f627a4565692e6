#include "stages/site_place.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

SitePlaceInput input_of(const SiteFacts& facts) {
  SitePlaceInput out;
  out.facts = facts;
  out.job = Where::whole("job.toml");
  out.frame = Where::at("job.toml", {7, 1});
  return out;
}

/// Control or setups, and no ties.
SitePlaceInput unknown_place(bool control, bool setups) {
  SitePlaceInput out = input_of({.has_drawing = true, .has_control = control, .has_setups = setups});
  out.has_control_points = control;
  return out;
}

std::string problem_of(const SitePlaceInput& input, Need need) {
  const auto place = look_at_site_place(input, need);
  const auto lines = told(place.told, Grade::problem);
  CHECK(place.is_spoiled() == !lines.empty());
  REQUIRE(lines.size() <= 1);
  return lines.empty() ? "" : lines[0];
}

constexpr const char* kNoPoints = "job.toml: drawing.points: found no table of points";

}  // namespace

TEST_CASE("what places a drawing: ties before the frame, the frame before control and setups") {
  struct Row {
    SiteFacts facts;
    SitePlace want;
  };
  for (const Row& r : {
           Row{{true, true, true, true, true}, SitePlace::by_fit},
           Row{{true, false, true, true, true}, SitePlace::as_stated},
           Row{{true, false, false, true, false}, SitePlace::unknown},
           Row{{true, false, false, false, true}, SitePlace::unknown},
           Row{{true, false, false, false, false}, SitePlace::as_drawn},
           Row{{false, true, true, true, true}, SitePlace::no_drawing},
       }) {
    CHECK(site_place(r.facts) == r.want);
    CHECK(has_site_place(r.want) == (r.want != SitePlace::unknown && r.want != SitePlace::no_drawing));
  }
}

TEST_CASE("without a drawing: what was measured can be shown and listed, nothing else") {
  SitePlaceInput setups = input_of({.has_setups = true}), projection = input_of({.has_control = true});
  projection.has_projection = true;
  for (const SitePlaceInput& in : {setups, projection}) {
    CHECK(problem_of(in, Need::measured).empty());
    CHECK(problem_of(in, Need::lists).empty());
    CHECK(look_at_site_place(in, Need::lists).value == SitePlace::no_drawing);
    CHECK(problem_of(in, Need::drawing).starts_with(kNoPoints));
    CHECK(problem_of(in, Need::marks).starts_with(kNoPoints));
  }
  const SitePlaceInput control = input_of({.has_control = true});
  CHECK(problem_of(control, Need::measured).empty());
  CHECK(problem_of(control, Need::lists) ==
        std::string(kNoPoints) +
            ", expected the path of the drawing's points; try points = \"drawing.csv\" under [drawing]");
}

TEST_CASE("without a drawing: what cannot be without one is named where something was measured") {
  SitePlaceInput in = input_of({.has_setups = true});
  in.needs_a_drawing = "[deck]";
  CHECK(problem_of(in, Need::measured).empty());
  CHECK(problem_of(in, Need::lists).starts_with(std::string(kNoPoints) + " beside [deck], expected"));
  in.facts.has_setups = false;
  CHECK(problem_of(in, Need::lists).starts_with(std::string(kNoPoints) + ", expected"));
}

TEST_CASE("control or setups without ties: only what needs the marks on site is refused") {
  for (const Need need : {Need::measured, Need::drawing}) {
    CHECK(problem_of(unknown_place(true, true), need).empty());
    CHECK(look_at_site_place(unknown_place(true, true), need).value == SitePlace::unknown);
  }
  for (const Need need : {Need::marks, Need::lists}) {
    const auto control = problem_of(unknown_place(true, false), need);
    CHECK(control.starts_with("job.toml: baselines.ties: found control but no ties: nothing says where"));
    CHECK(
        control.ends_with("drawing X or Y is known; try frame = \"site\" under [drawing] where x is "
                          "easting and y is northing"));
    CHECK(problem_of(unknown_place(false, true), need).find("found setups but no ties") != std::string::npos);
    const auto both = problem_of(unknown_place(true, true), need);
    CHECK(both.find("found control and setups but no ties") != std::string::npos);
    CHECK(both.find("is known (deckmark setup gives what was sighted); try") != std::string::npos);
  }
}

TEST_CASE("a mirrored drawing is not told to be in site coordinates") {
  SitePlaceInput in = unknown_place(true, false);
  in.mirrored = true;
  CHECK(problem_of(in, Need::marks).ends_with("drawing X or Y is known"));
}

TEST_CASE("a frame that is taken as stated is told, at its key, whatever is needed") {
  for (const Need need : {Need::measured, Need::drawing, Need::marks, Need::lists}) {
    const auto stated = look_at_site_place(input_of({.has_drawing = true, .frame_is_site = true}), need);
    CHECK(stated.is_there());
    CHECK(stated.value == SitePlace::as_stated);
    CHECK(told(stated.told, Grade::notice) ==
          std::vector<std::string>{"job.toml:7:1: drawing.frame: x is taken for easting and y for northing, "
                                   "as this key says; no ties check it"});
    CHECK(told(look_at_site_place(input_of({.has_drawing = true}), need).told, Grade::notice).empty());
  }
}
