// What a command is at, told to whoever waits at a terminal.
#include <doctest/doctest.h>

#include <chrono>
#include <string>

#include "terminal.h"

using namespace deckmark_test;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("what takes long says what it is at, in one line that is gone at the end") {
  JobFolder job;
  const auto write = [&job](int points) {
    std::string drawing = "point,x,y\n";
    for (int i = 0; i < points; ++i)
      drawing += "P" + std::to_string(i) + "," + std::to_string(i % 1000 * 3) + "," +
                 std::to_string(i / 1000 * 3) + "\n";
    job.write("d.csv", drawing);
    job.write("job.toml", "[drawing]\npoints = \"d.csv\"\n");
    job.forget_issues();
  };
  // As many points as take more than two seconds here.
  const auto seconds = [&job] {
    const auto begin = std::chrono::steady_clock::now();
    REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  };
  int points = 250000;
  for (write(points); seconds() < 4 && points < 8000000; write(points)) points *= 2;
  const std::string wiped = "\r\x1b[K";
  const std::string shown = on_terminal(job, {"run", "."}, {});
  const std::size_t first = shown.find(wiped + "deckmark: ");
  REQUIRE(first != std::string::npos);
  CHECK(has(shown, " ... 2 s"));
  // Whatever stands before the result is such a line, and the last of them is wiped.
  const std::size_t last = shown.rfind(wiped);
  CHECK(!has(shown.substr(0, last), "\n"));
  CHECK(!has(shown.substr(last + wiped.size(), 12), "deckmark: "));
  CHECK(!has(on_terminal(job, {"run", "."}, {{"TERM", "dumb"}}), " ... "));
  CHECK(!has(on_terminal(job, {"run", ".", "--quiet"}, {}), " ... "));
  CHECK(!has(job.run({"run", "."}).err, " ... "));  // no terminal
}
