// Two who sign one file at the same moment: one signs, the other is told, whole files alone.
#include <doctest/doctest.h>

#include <string>
#include <thread>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kPairs = 10;  // a twentieth
#else
constexpr int kPairs = 200;
#endif

}  // namespace

// Cause, 2026-11-27: the file was looked for, then written under a temporary name and renamed: two at once
// both found nothing, both said signed, and the later one replaced what the earlier had signed.
TEST_CASE("of two who sign at once exactly one says signed, and the file is whole and that one's") {
  JobFolder job;
  job.write("drawing.csv", "point,x,y\nA,3,4\nB,27,16\n");
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\nB3,0,20,2020,1000\n"
            "B4,30,20,2020,1030\n");
  std::string whole[2];
  for (int who = 0; who < 2; ++who) {
    const std::string file = "signed/alone" + std::to_string(who) + "/C.toml";
    REQUIRE(job.run({"baseline", ".", "--sign", file, "--by", who ? "Second" : "First", "--on", "2026-11-25"})
                .exit_code == 0);
    whole[who] = job.read(file);
  }
  int first = 0;
  for (int pair = 0; pair < kPairs; ++pair) {
    CAPTURE(pair);
    const std::string file = "signed/" + std::to_string(pair) + "/C.toml";
    CommandResult result[2];
    const auto sign = [&](int who) {
      result[who] =
          job.run({"baseline", ".", "--sign", file, "--by", who ? "Second" : "First", "--on", "2026-11-25"});
    };
    std::thread other(sign, 1);
    sign(0);
    other.join();
    const bool said[2] = {result[0].out.find("signed by First") == 0,
                          result[1].out.find("signed by Second") == 0};
    REQUIRE(said[0] != said[1]);
    const int winner = said[0] ? 0 : 1;
    first += said[0] ? 1 : 0;
    CHECK(result[winner].exit_code == 0);
    CHECK(result[1 - winner].exit_code == 2);
    CHECK(result[1 - winner].out.empty());
    CHECK(result[1 - winner].err.find("which exists and holds something else, expected a new name") !=
          std::string::npos);
    CHECK((job.read(file) == whole[winner]));
  }
  MESSAGE("first: " << first << " of " << kPairs);
  for (const auto& [name, bytes] : job.snapshot()) CHECK(name.find(".deckmark-") == std::string::npos);
}
