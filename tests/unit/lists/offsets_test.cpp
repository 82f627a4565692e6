#include "lists/offsets.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/lists/written_text.h"
#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;
using lists_test::written_lines;
using Strings = std::vector<std::string>;

namespace {

Strings lines_of(const PlainLaid& laid, const OffsetForm& form, const OffsetsFound& found = {}) {
  OffsetJob job;
  job.wanted = true;
  job.options.form = form;
  const std::vector<StatedRun> runs;
  const LaidOut view = laid.view();
  return written_lines(*offsets_table(job, runs, view, found));
}

}  // namespace

TEST_CASE("offsets: number, name, run, along the run, x, y; what is not known is empty") {
  const PlainLaid laid = laid_of({{"A", 1, 2, "R1"}, {"B", 4, 6, "R1"}, {"C", -0.5, 0}});
  CHECK(lines_of(laid, {LengthUnit::metre, 16}) ==
        Strings{"number,point,run,along_run (m),x (m),y (m),tie1 (m),tie2 (m),side,angle,drop (m),"
                "from_x_string (m),from_y_string (m)",
                "1001,A,R1,0.000,1.000,2.000,,,,,,1.000,2.000",
                "1002,B,R1,5.000,4.000,6.000,,,,,,4.000,6.000",  // 3, 4, 5
                "1003,C,,,-0.500,0.000,,,,,,-0.500,0.000"});
}

TEST_CASE("offsets are texts of the sheet's own form, in millimetres and in feet and inches") {
  const PlainLaid laid = laid_of({{"A", 0.3048 * 12.5, -0.0254 * 6.5}});
  CHECK(lines_of(laid, {LengthUnit::millimetre, 16})[1] == "1001,A,,,3810,-165,,,,,,3810,-165");  // 165.1
  const Strings inches = lines_of(laid, {LengthUnit::feet_inches, 4});
  CHECK(inches[0] ==
        "number,point,run,along_run (ft-in),x (ft-in),y (ft-in),tie1 (ft-in),tie2 (ft-in),side,angle,drop "
        "(ft-in),from_x_string (ft-in),from_y_string (ft-in)");
  CHECK(inches[1] ==
        "1001,A,,,\"12'-6\"\"\",\"-0'-6 1/2\"\"\",,,,,,\"12'-6\"\"\",\"-0'-6 1/2\"\"\"");  // a minus gets no
                                                                                           // " apostrophe
}

TEST_CASE("swing ties: from the first and the second mark on site, the side, the angle of the arcs") {
  PlainLaid laid = laid_of({{"A", 3, 4}, {"B", 3, 0}, {"C", 6, -3}});
  OffsetsFound found;
  // On site the marks lie along the drawing's +X: (0, 0) and (6, 0); +Y is to the left of it.
  found.swing_from = {{"T1", at(100, 200)}, {"T2", at(100, 206)}};
  const Strings lines = lines_of(laid, {LengthUnit::metre, 16}, found);
  // A: arcs of 5 m and 5 m; half the angle at A has the tangent 3/4: 2 * 36.87 = 73.74 degrees.
  CHECK(lines[1] == "1001,A,,,3.000,4.000,5.000,5.000,left,73.74,,3.000,4.000");
  CHECK(lines[2] == "1002,B,,,3.000,0.000,3.000,3.000,on line,0.00,,3.000,0.000");
  // C: 6.708 from T1, 3 from T2; the directions to them differ by atan(6/3) = 63.43 degrees.
  CHECK(lines[3] == "1003,C,,,6.000,-3.000,6.708,3.000,right,63.43,,6.000,-3.000");
}

TEST_CASE("the drop is deck minus bracket, and none on a trapeze or at a reference point") {
  PlainLaid laid =
      laid_of({{"A", 0, 0, "", "", 2.75}, {"B", 0, 0}, {"C", 0, 0}, {"D", 0, 0, "", "reference"}});
  laid.put_deck(4);
  laid.floor = Elevation::metres(0.25);
  laid.attach_height = m(3);
  laid.marks.bridged = {0, 0, 1, 0};
  const Strings lines = lines_of(laid, {LengthUnit::metre, 16});
  CHECK(lines[1].ends_with(",,1.000,0.000,0.000"));  // 4 - 3.00
  CHECK(lines[2].ends_with(",,0.750,0.000,0.000"));  // 4 - 3.25
  CHECK(lines[3].ends_with(",,,0.000,0.000"));
  CHECK(lines[4].ends_with(",,,0.000,0.000"));
}

TEST_CASE("names that a spreadsheet would compute are marked, in names and runs") {
  const PlainLaid laid = laid_of({{"=A", 0, 0, "-R"}});
  CHECK(lines_of(laid, {LengthUnit::metre, 16})[1] == "1001,'=A,'-R,0.000,0.000,0.000,,,,,,0.000,0.000");
}

TEST_CASE("text that a spreadsheet would compute gets an apostrophe, other text stays as it is") {
  for (const char* text : {"=A", "+1", "-B", "@x", "'=A", "''-"})
    CHECK(with_formula_mark(text) == "'" + std::string(text));
  for (const char* text : {"A1", "1-2", "", "'A", "'", "x=1"}) CHECK(with_formula_mark(text) == text);
}

TEST_CASE("what the files are is declared beside them") {
  CHECK(kOffsetsOutput.name == "offsets.csv");
  CHECK(kOffsetsOutput.columns.size() == 13);
  CHECK(kOffsetSheetOutput.name == "offset-sheet.txt");
  CHECK(kOffsetSheetOutput.columns.empty());
  for (const OutColumn& c : kOffsetsOutput.columns) CHECK_FALSE(c.meaning.empty());
}

TEST_CASE("strings: square from the one along Y, then square from the one along X") {
  const PlainLaid laid = laid_of({{"A", 3, 4}, {"B", 0, 0}});
  OffsetsFound found;
  // Strings half a metre inside the drawing, the one along Y leaning by 3 in 4.
  const std::vector<FromMark> marks{
      {"S1", at(100.5, 200.5)}, {"S2", at(100.5, 210)}, {"S3", at(108.5, 206.5)}};
  found.strings.emplace(StringsFound{
      marks, {marks[0].at, marks[1].at, marks[2].at, laid.placed.fit.site_from_drawing}, false, ""});
  const Strings lines = lines_of(laid, {LengthUnit::metre, 16}, found);
  // (2.5, 3.5) from the line along (6, 8): (2.5 * 8 - 3.5 * 6) / 10.
  CHECK(lines[1].ends_with(",,,,,,-0.100,3.500"));
  CHECK(lines[2].ends_with(",,,,,,-0.100,-0.500"));  // (-0.5, -0.5): (-4 + 3) / 10
}

TEST_CASE("without strings they are the baselines, which a freed scale makes longer on site") {
  PlainLaid laid = laid_of({{"A", 100, -50}});
  SimilarityParts parts = laid.placed.fit.site_from_drawing.parts();
  parts.scale = 1.001;
  laid.placed.fit.site_from_drawing = claim(parts);
  laid.map();
  CHECK(lines_of(laid, {LengthUnit::metre, 16})[1] == "1001,A,,,100.000,-50.000,,,,,,100.100,-50.050");
}

TEST_CASE("corners: which mark, toward which other, how far") {
  CornersFound corners;
  corners.moves = {{"B2", "B1", mm(6.25)}, {"=B3", "B1", mm(-3)}};
  CHECK(written_lines(*corners_table(corners, LengthUnit::metre)) ==
        Strings{"mark,toward,move (m)", "B2,B1,0.00625", "'=B3,B1,-0.00300"});
  CHECK(kCornersOutput.name == "corners.csv");
}
