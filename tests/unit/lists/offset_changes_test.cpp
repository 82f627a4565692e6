#include "lists/offset_changes.h"

#include <doctest/doctest.h>

#include <string>

using namespace deckmark;

namespace {

std::shared_ptr<const Source> table(const std::string& rows, const std::string& unit = "m") {
  const std::string in = " (" + unit + ")";
  return Source::from_bytes("offsets.csv", "number,point,run,along_run" + in + ",x" + in + ",y" + in +
                                               ",tie1" + in + ",tie2" + in + ",side,angle,drop" + in +
                                               ",from_x_string" + in + ",from_y_string" + in + "\n" + rows);
}

constexpr const char* kA = "1001,A,R1,0.000,1.000,2.000,5.000,6.000,left,60.00,1.200,1.500,2.500\n";
constexpr const char* kB = "1002,B,R1,4.000,5.000,2.000,7.000,8.000,left,60.00,1.200,5.500,2.500\n";

}  // namespace

TEST_CASE("what a sheet shows is counted, and the largest change is at the number that has it") {
  struct Case {
    const char *a, *b;  // later rows
    bool strings;
    std::size_t count;
    std::int64_t number;
    int largest;  // mm
  };
  for (const Case& c :
       {Case{kA, kB, true, 0, 0, 0},
        // From the strings: A by 4 mm and 2 mm, B by 6 mm the other way.
        Case{"1001,A,R1,0.000,1.000,2.000,5.000,6.000,left,60.00,1.200,1.504,2.502\n",
             "1002,B,R1,4.000,5.000,2.000,7.000,8.000,left,60.00,1.200,5.494,2.500\n", true, 3, 1002, 6},
        // Without strings those columns are not shown, and x and y are.
        Case{"1001,A,R1,0.000,1.000,2.000,5.000,6.000,left,60.00,1.200,1.504,2.502\n", kB, false, 0, 0, 0},
        Case{"1001,A,R1,0.000,1.003,2.000,5.000,6.000,left,60.00,1.200,1.500,2.500\n", kB, false, 1, 1001, 3},
        Case{"1001,A,R1,0.000,1.003,2.000,5.000,6.000,left,60.00,1.200,1.500,2.500\n", kB, true, 0, 0, 0},
        // Along the run, both ties and the drop; side and angle are no distances.
        Case{"1001,A,R1,0.001,1.000,2.000,5.002,6.003,right,61.00,1.204,1.500,2.500\n", kB, true, 4, 1001, 4},
        // Equal changes: the first. One that is no longer there counts, and has no size.
        Case{"1001,A,R1,0.000,1.000,2.000,5.002,6.000,left,60.00,,1.500,2.500\n",
             "1002,B,R1,4.000,5.000,2.000,7.002,8.000,left,60.00,1.200,5.500,2.500\n", true, 3, 1001, 2},
        Case{"1001,A,R1,0.000,1.000,2.000,5.000,6.000,left,60.00,,1.500,2.500\n", kB, true, 1, 0, 0},
        // Another point under a number is another mark; a number that was not there is new.
        Case{"1001,C,R1,0.000,1.000,2.000,9.000,6.000,left,60.00,1.200,9.500,2.500\n",
             "1003,B,R1,4.000,5.000,2.000,9.000,8.000,left,60.00,1.200,9.500,2.500\n", true, 0, 0, 0}}) {
    CAPTURE(c.a);
    CAPTURE(c.b);
    const OffsetChanges found =
        offset_changes(table(std::string(kA) + kB), table(std::string(c.a) + c.b), c.strings, {});
    CHECK(found.count == c.count);
    CHECK(found.number == c.number);
    CHECK(found.largest.millimetres() == doctest::Approx(c.largest).epsilon(1e-9));
  }
}

TEST_CASE("rows are found by number wherever they stand; numbers that are left out are not compared") {
  const auto later =
      table(std::string("1002,B,R1,4.000,5.000,2.000,7.000,8.000,left,60.00,1.200,5.490,2.500\n") +
            "1001,A,R1,0.000,1.000,2.000,5.000,6.000,left,60.00,1.200,1.501,2.500\n");
  const auto before = table(std::string(kA) + kB);
  CHECK(offset_changes(before, later, true, {}).count == 2);
  CHECK(offset_changes(before, later, true, {}).number == 1002);
  const OffsetChanges left = offset_changes(before, later, true, {1002});
  CHECK(left.count == 1);
  CHECK(left.number == 1001);
  CHECK(left.largest.millimetres() == doctest::Approx(1));
}

TEST_CASE("feet and inches are compared as lengths; another unit, and what is no table, not at all") {
  const char* was = "1001,A,,,,,,,,,,\"-1'-0 1/16\"\"\",\"3'-11 7/8\"\"\"\n";
  const char* is = "1001,A,,,,,,,,,,\"-0'-11 15/16\"\"\",\"4'-0 1/8\"\"\"\n";
  const OffsetChanges found = offset_changes(table(was, "ft-in"), table(is, "ft-in"), true, {});
  CHECK(found.count == 2);
  CHECK(found.largest.metres() == doctest::Approx(0.25 * 0.0254));
  CHECK(offset_changes(table(was, "ft-in"), table(kA, "m"), true, {}).count == 0);
  CHECK(offset_changes(Source::from_bytes("offsets.csv", "\"torn"), table(kA), true, {}).count == 0);
  CHECK(offset_changes(Source::from_bytes("offsets.csv", ""), table(kA), true, {}).count == 0);
}
