#include "lists/columns.h"

#include <doctest/doctest.h>

#include "unit/lists/written_text.h"

using namespace deckmark;
using lists_test::written_lines;
using lists_test::written_text;
using Strings = std::vector<std::string>;

namespace {

constexpr OutColumn kColumns[] = {{"point", OutKind::text, ""},
                                  {"number", OutKind::number, ""},
                                  {"ratio", OutKind::decimal, ""},
                                  {"x", OutKind::length, ""},
                                  {"kept", OutKind::metres, ""}};

}  // namespace

TEST_CASE("a header names the unit of lengths alone, and metres where they are always metres") {
  CHECK(header_of(kColumns, LengthUnit::metre) == Strings{"point", "number", "ratio", "x (m)", "kept (m)"});
  CHECK(header_of(kColumns, LengthUnit::survey_foot) ==
        Strings{"point", "number", "ratio", "x (us-ft)", "kept (m)"});
  CHECK(header_of({}, LengthUnit::metre).empty());
}

TEST_CASE("a declared table has its columns' header, its rows in order, and its style") {
  const auto row = [](auto& sink, std::size_t i) {
    sink.text("=A");
    sink.integer(static_cast<std::int64_t>(i));
    sink.empty();
    sink.fixed(1.5, 1);
    sink.empty();
  };
  CHECK(written_text(*declared_table(kColumns, LengthUnit::foot, 2, row)) ==
        "point,number,ratio,x (ft),kept (m)\n'=A,0,,1.5,\n'=A,1,,1.5,\n");
  TableStyle style;
  style.header = false;
  style.separator = ';';
  style.neutralise = false;
  CHECK(written_text(*declared_table(kColumns, LengthUnit::foot, 1, row, style)) == "=A;0;;1.5;\n");
}
