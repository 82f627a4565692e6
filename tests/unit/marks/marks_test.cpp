#include "marks/marks.h"

#include <doctest/doctest.h>

#include <random>
#include <set>

#include "support/no_threads.h"

using namespace deckmark;
using deckmark_test::NoThreads;

TEST_CASE("names are found without regard to the case of A-Z, and only of A-Z") {
  TextColumn names;
  for (const char* n : {"H-01", "h-02", "007", "7", "Stütze 1", "[", "{"}) names.push_back(n);
  const NameIndex index(names);
  CHECK(index.duplicates().empty());  // [ and { differ by the bit that tells A from a
  CHECK(index.find("h-01") == 0U);
  CHECK(index.find("H-02") == 1U);
  CHECK(index.find("07") == std::nullopt);
  CHECK(index.find("STÜTZE 1") == std::nullopt);  // Ü is not A-Z
  CHECK(index.find("sTüTzE 1") == 4U);
}

TEST_CASE("every duplicate of a long column is told, on two threads too, and where there is only one") {
  std::mt19937 random(1);
  TextColumn names;
  std::set<std::string> seen;
  std::size_t again = 0;
  for (int i = 0; i < 120000; ++i) {  // above the length from which two threads work
    std::string name = "P" + std::to_string(random() % 110000);
    if (!seen.insert(name).second) ++again;
    names.push_back(name);
  }
  const NameIndex index(names);
  CHECK(index.duplicates().size() == again);
  for (const auto& [first, later] : index.duplicates()) {
    REQUIRE(first < later);
    REQUIRE(same_name(names[first], names[later]));
  }
  const NoThreads none;
  CHECK(NameIndex(names).duplicates() == index.duplicates());
  CHECK(none.refused() == 1);
}

TEST_CASE("columns with gaps keep their rows when stretches are joined") {
  MarkTable a, b;
  const auto add = [](MarkTable& t, const char* name, const char* run, double height) {
    const std::size_t i = t.size();
    t.names.push_back(name);
    t.places.push_back({{.x = Length::metres(static_cast<double>(i)), .y = Length::metres(0)}});
    if (*run) t.runs.put(i, run);
    if (height > 0) t.heights.put(i, Length::metres(height));
    t.begins.push_back(0);
  };
  add(a, "A1", "", 0);
  add(a, "A2", "R1", 0);
  add(a, "A3", "", 2);
  add(b, "B1", "R2", 0);
  add(b, "B2", "R1", 3);
  a.append(std::move(b));
  REQUIRE(a.size() == 5);
  const char* runs[] = {"", "R1", "", "R2", "R1"};
  for (std::size_t i = 0; i < 5; ++i) CHECK(a.runs[i] == runs[i]);
  CHECK(a.runs.number(1) == a.runs.number(4));
  CHECK_FALSE(a.heights[0].has_value());
  CHECK(a.heights[2] == Length::metres(2));
  CHECK_FALSE(a.heights[3].has_value());
  CHECK(a.heights[4] == Length::metres(3));
  CHECK(a.names[3] == "B1");
  CHECK(a.kind(0) == "hanger");
}
