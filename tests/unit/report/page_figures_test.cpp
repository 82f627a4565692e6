// The figures: what lies where, how it is drawn, and that no drawing breaks them.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <regex>

#include "page_support.h"
#include "support/page_reader.h"

using namespace page_test;
using namespace deckmark_test;

namespace {

double number(const PageNode& node, const std::string& key) {
  return std::strtod(node.attributes.at(key).c_str(), nullptr);
}

const PageNode& plan_of(const PageNode& page) {
  return *elements(section(page, "Plan"), "svg", "plan").at(0);
}

/// Direction of the arrow on the figure: clockwise from up.
double arrow(const PageNode& plan) {
  for (const PageNode* g : elements(plan, "g"))
    if (const auto t = g->attributes.find("transform"); t != g->attributes.end())
      return std::strtod(t->second.c_str() + t->second.find("rotate(") + 7, nullptr);
  FAIL("no arrow");
  return 0;
}

}  // namespace

TEST_CASE("the shape tells the verdict") {
  const PageNode page = read_page(page_html(small_page()));
  const PageNode& plan = plan_of(page);
  CHECK(elements(plan, "circle", "ok").size() == 1);   // within: filled circle
  CHECK(elements(plan, "rect", "bad").size() == 1);    // outside: square
  CHECK(elements(plan, "circle", "dot").size() == 1);  // not measured: small dot
  CHECK(elements(plan, "path", "open").size() == 2);   // unsure: open diamond; and half of the arrow
  CHECK(text_of(*elements(page, "ul", "key").at(0)) == "within: 1outside: 1unsure: 1not measured: 1");
}

TEST_CASE("the plan is seen from above, and north is where the transform has it") {
  for (const bool mirrored : {false, true})
    for (const double azimuth : {0.0, 27.7, 90.0, 135.0, 200.0, 359.0}) {
      CAPTURE(azimuth);
      CAPTURE(mirrored);
      JobPage job = small_page();
      job.plan.azimuth_x = Azimuth::degrees(azimuth);
      job.plan.mirrored = mirrored;
      const PageNode page = read_page(page_html(job));
      const PageNode& plan = plan_of(page);
      // The square is B at (11, 1); the dot is D at (11, 6), the circle is A at (1, 1).
      const PageNode& a = *elements(plan, "circle", "ok").at(0);
      const PageNode& d = *elements(plan, "circle", "dot").at(0);
      CHECK(number(d, "cx") > number(a, "cx"));
      CHECK((number(d, "cy") < number(a, "cy")) == !mirrored);
      CHECK((number(d, "cx") - number(a, "cx")) ==
            doctest::Approx(2 * std::abs(number(d, "cy") - number(a, "cy"))).epsilon(0.001));
      // Azimuths of the figure's axes on site: right is +X; up is +Y, or -Y where mirrored. Both give 90
      // degrees less.
      const double degree = std::numbers::pi / 180, turn = arrow(plan) * degree;
      const double right = std::sin(turn), up = std::cos(turn);
      const double up_azimuth = (azimuth - 90) * degree;
      CHECK(right * std::cos(azimuth * degree) + up * std::cos(up_azimuth) ==
            doctest::Approx(1).epsilon(1e-5));  // northing
      CHECK(right * std::sin(azimuth * degree) + up * std::sin(up_azimuth) ==
            doctest::Approx(0).epsilon(1e-3));  // easting
    }
}

TEST_CASE("baselines off the plan are told, near ones are drawn") {
  JobPage job = small_page();
  CHECK(elements(plan_of(read_page(page_html(job))), "circle", "cross").size() == 1);
  for (PlanMark& m : job.plan.levels[0].marks) m.at.at.x += Length::metres(300);
  job.plan.low = at(301, 1), job.plan.high = at(311, 6);
  const PageNode page = read_page(page_html(job));
  CHECK(elements(plan_of(page), "circle", "cross").empty());
  CHECK(text_of(plan_of(page)).find("The Y baseline lies off this plan, 300.") != std::string::npos);
  CHECK(text_of(plan_of(page)).find("The X baseline lies off") == std::string::npos);
}

TEST_CASE("the histogram holds every shot once, and a shot at the limit is within") {
  for (const double tolerance : {6.0, 5.0, 0.3, 25.4}) {
    CAPTURE(tolerance);
    std::vector<double> offsets = {
        0, tolerance / 2, tolerance, tolerance * 1.01, 3 * tolerance, 500 * tolerance};
    JobPage job = small_page();
    Shots shots(offsets, tolerance);
    shots.join(job);
    const PageNode page = read_page(page_html(job));
    const PageNode& as_built = section(page, "As built");
    const PageNode& figure = *elements(as_built, "figure", "low").at(0);
    const double limit =
        std::strtod(elements(figure, "path", "limit").at(0)->attributes.at("d").c_str() + 1, nullptr);
    std::size_t within = 0, outside = 0;
    for (const PageNode* bar : elements(figure, "rect", "bar-ok")) {
      ++within;
      CHECK(number(*bar, "x") < limit);
    }
    for (const PageNode* bar : elements(figure, "rect", "bar-bad")) {
      ++outside;
      CHECK(number(*bar, "x") + number(*bar, "width") > limit);
    }
    CHECK(within >= 2);
    CHECK(outside >= 2);
    CHECK(text_of(figure).find("more") != std::string::npos);
    std::size_t counted = 0;
    for (const PageNode* t : elements(figure, "text", "mid"))
      if (number(*t, "y") < 205) counted += static_cast<std::size_t>(std::atoi(text_of(*t).c_str()));
    CHECK(counted == offsets.size());
  }
}

TEST_CASE("differences are drawn as much longer as the caption says") {
  JobPage job = small_page();
  Shots shots({3, 9, 12, 12}, 6);
  shots.join(job);
  const PageNode page = read_page(page_html(job));
  const PageNode& figure = *elements(section(page, "As built"), "figure").at(0);
  const std::string caption = text_of(*elements(figure, "figcaption").at(0));
  const double times = std::strtod(caption.c_str() + caption.find("drawn ") + 6, nullptr);
  REQUIRE(times > 1);
  // The plan's scale from two marks 10 m apart.
  const PageNode& plan = plan_of(page);
  const double metre = (number(*elements(plan, "circle", "dot").at(0), "cx") -
                        number(*elements(plan, "circle", "ok").at(0), "cx")) /
                       10;
  double longest = 0, bar = 0;
  for (const PageNode* v : elements(figure, "path", "vector")) {
    const std::string& d = v->attributes.at("d");
    double x1 = 0, y1 = 0, x2 = 0, y2 = 0;
    if (std::sscanf(d.c_str(), "M%lf %lfL%lf %lf", &x1, &y1, &x2, &y2) == 4)
      longest = std::max(longest, std::hypot(x2 - x1, y2 - y1));
    else if (std::sscanf(d.c_str(), "M%lf %lfh%lf", &x1, &y1, &x2) == 3)
      bar = x2;
  }
  CHECK(longest == doctest::Approx(0.012 * times * metre).epsilon(0.01));
  const std::string text = text_of(figure);
  const double bar_mm = std::strtod(text.c_str() + text.find("difference of ") + 14, nullptr);
  CHECK(bar == doctest::Approx(0.001 * bar_mm * times * metre).epsilon(0.01));
}

TEST_CASE("bays, obstructions and known lines of runs are drawn, and a run is not drawn twice") {
  JobPage job = small_page();
  CHECK(elements(plan_of(read_page(page_html(job))), "path", "run").size() == 2);
  job.plan.shapes = {{PlanShape::Kind::run, "R1", {at(1, 1), at(11, 1)}},
                     {PlanShape::Kind::bay, "<b>", {at(-50, -50), at(90, -50), at(90, 70), at(-50, 70)}},
                     {PlanShape::Kind::obstruction, "D1", {at(4, 3), at(6, 3), at(6, 4)}}};
  const PageNode page = read_page(page_html(job));
  const PageNode& plan = plan_of(page);
  CHECK(elements(plan, "path", "run").size() == 2);
  REQUIRE(elements(plan, "path", "blocked").size() == 1);
  CHECK(elements(plan, "path", "bay").size() == 1);
  // A triangle, closed, where the frame has it.
  const PageNode& a = *elements(plan, "circle", "ok").at(0);
  const double metre = (number(*elements(plan, "circle", "dot").at(0), "cx") - number(a, "cx")) / 10;
  double x = 0, y = 0;
  REQUIRE(std::sscanf(elements(plan, "path", "blocked")[0]->attributes.at("d").c_str(), "M%lf %lf", &x, &y) ==
          2);
  CHECK(x == doctest::Approx(number(a, "cx") + 3 * metre).epsilon(0.001));
  CHECK(y == doctest::Approx(number(a, "cy") - 2 * metre).epsilon(0.001));
  CHECK(elements(plan, "path", "blocked")[0]->attributes.at("d").back() == 'z');
  const std::string text = text_of(plan), key = text_of(*elements(page, "ul", "key").at(0));
  CHECK(text.find("<b>") != std::string::npos);
  CHECK(text.find("D1") != std::string::npos);
  CHECK(key.find("obstruction") != std::string::npos);
  CHECK(key.find("bay of the deck") != std::string::npos);
  // What goes over the frame is cut off at it.
  const PageNode& cut = *elements(plan, "svg", "shapes").at(0);
  const PageNode& frame = *elements(plan, "rect", "neat").at(0);
  for (const char* key_of : {"x", "y", "width", "height"})
    CHECK(number(cut, key_of) == number(frame, key_of));
}

TEST_CASE("awkward drawings make a sound page") {
  struct Row {
    const char* name;
    std::vector<Point<Drawing>> places;
  };
  for (const Row& r : {Row{"one mark", {at(3, 4)}}, Row{"one place", {at(3, 4), at(3, 4)}},
                       Row{"along X", {at(-50, 2), at(900, 2)}}, Row{"along Y", {at(2, 0), at(2, 1e5)}},
                       Row{"far away", {at(4.2e6, 5.1e6), at(4.2e6 + 30, 5.1e6 + 10)}},
                       Row{"tiny", {at(0, 0), at(1e-6, 0)}}, Row{"negative", {at(-3, -4), at(-1, -9)}}}) {
    CAPTURE(r.name);
    JobPage job = small_page();
    job.plan.levels[0].marks.clear();
    job.plan.low = job.plan.high = r.places[0];
    for (const auto& p : r.places) {
      job.plan.levels[0].marks.push_back({p, 1, 0, PlanSymbol::outside, "P"});
      job.plan.low.at.x = std::min(job.plan.low.at.x, p.at.x),
      job.plan.low.at.y = std::min(job.plan.low.at.y, p.at.y);
      job.plan.high.at.x = std::max(job.plan.high.at.x, p.at.x),
      job.plan.high.at.y = std::max(job.plan.high.at.y, p.at.y);
    }
    Shots shots({0, 0, 0}, 0);
    shots.join(job);
    const std::string html = page_html(job);
    CHECK_FALSE(std::regex_search(html, std::regex("\\b(inf|nan)\\b")));
    CHECK(html.size() < 100000);
    const PageNode page = read_page(html);
    const PageNode& plan = plan_of(page);
    const auto drawn = elements(plan, "rect", "bad");
    REQUIRE(drawn.size() == r.places.size());
    const PageNode& frame = *elements(plan, "rect", "neat").at(0);
    for (const PageNode* mark : drawn) {
      CHECK(number(*mark, "x") >= number(frame, "x") - 6);
      CHECK(number(*mark, "x") <= number(frame, "x") + number(frame, "width"));
      CHECK(number(*mark, "y") >= number(frame, "y") - 6);
      CHECK(number(*mark, "y") <= number(frame, "y") + number(frame, "height"));
    }
  }
}
