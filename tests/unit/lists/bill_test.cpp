#include "lists/bill.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/lists/written_text.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using lists_test::written_lines;
using Strings = std::vector<std::string>;

TEST_CASE(
    "short.csv: a row a part, columns of tables that the job lacks empty, runs by name, of no run none") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 4, 0), line("=R2", 0, 5, 3, 5)});
  BillFound found;
  found.runs = 2;
  found.held.is_judged = true;
  found.held.parts = {{"CLIP", PartFrom::needs, 24, 25, 20, 1, 5, {0, 1, 2}},
                      {"=CAP", PartFrom::pieces, 3, {}, {}, {}, 0, {}},
                      {"ODD", PartFrom::nothing, 0, 2, {}, {}, 0, {1}}};
  CHECK(written_lines(*short_table(found, o.job, LengthUnit::metre)) ==
        Strings{"part,drawing,bill,arrived,damaged,short,runs", "CLIP,24,25,20,1,5,R1; =R2", "'=CAP,3,,,,0,",
                "ODD,0,2,,,0,'=R2"});
}
