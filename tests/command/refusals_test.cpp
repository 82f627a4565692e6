// What the program refuses: where the problem is told and what it says, one row a fault.
#include <doctest/doctest.h>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

const std::string kDrawing = "[drawing]\npoints = \"d.csv\"\n";
const std::string kPoints = "point,x,y\nP1,0,0\nP2,1,0\n";
const std::string kLedger = "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n";

struct Row {
  std::string what, toml;
  std::map<std::string, std::string> files;
  std::vector<Refusal> refusals;
};

void check_rows(const std::vector<Row>& rows) {
  for (const Row& r : rows) {
    CAPTURE(r.what);
    JobFolder job;
    job.write("job.toml", r.toml);
    if (!r.files.count("d.csv")) job.write("d.csv", kPoints);
    for (const auto& [name, bytes] : r.files) job.write(name, bytes);
    check_refused_with(job, r.refusals);
  }
}

Row of_drawing(std::string what, std::string bytes, std::vector<Refusal> refusals) {
  return {std::move(what), kDrawing, {{"d.csv", std::move(bytes)}}, std::move(refusals)};
}
Row of_job(std::string what, std::string toml, std::vector<Refusal> refusals) {
  return {std::move(what), std::move(toml), {}, std::move(refusals)};
}
Row of_ledger(std::string what, std::string rows, std::vector<Refusal> refusals,
              const std::string& more = "") {
  return {std::move(what), kDrawing + more, {{"numbers.csv", kLedger + rows}}, std::move(refusals)};
}

}  // namespace

TEST_CASE("slips in a job file are told with a line that can be read") {
  struct Row {
    const char *line, *mended;
  };
  const Row rows[] = {
      {"title = abc", "title = \"abc\""},
      {"title = \"9'-6\"\"", "title = \"9'-6\\\"\""},
      {"title = \"9'-6\\\"", "title = \"9'-6\\\"\""},
      {"title = 9'-6\"   # high", "title = \"9'-6\\\"\""},
      {"title = \"C:\\jobs\\d.csv\"", "title = \"C:\\\\jobs\\\\d.csv\""},
      {"title = \u201Cb\u201D", "title = \"b\""},
      {"title = 'a", "title = \"a\""},
      {"title == \"a\"", "title = \"a\""},
      {"title = 5 mm", "title = \"5 mm\""},
      {"[drawing", "[drawing]"},
      {"[drawing]\nmirrored = True", "mirrored = true"},
      {"only words", ""},
      {"title = [\"a\",", ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.line);
    JobFolder job;
    job.write("job.toml", std::string(row.line) + "\n");
    const CommandResult result = job.run({"check", "."});
    CHECK(result.exit_code == 2);
    const auto told = problem_lines(result.err);
    REQUIRE(told.size() == 1);
    CHECK(told[0].field == "file");
    CHECK(suggestion_of(told[0]) == row.mended);
    if (!*row.mended) continue;
    // What is offered is TOML: it is not refused as such again.
    job.write("job.toml", std::string(row.mended) + "\n");
    for (const ToldLine& line : problem_lines(job.run({"check", "."}).err)) CHECK(line.field != "file");
  }
}

TEST_CASE("headers that are refused") {
  check_rows({
      of_drawing("a byte that is not UTF-8",
                 "point,x,y,t\xB0"
                 "C\nP,1,2,3\n",
                 {{"d.csv:1:11: header", {"0xB0", "UTF-8"}}}),
      of_drawing("a NUL byte", std::string("point,x,y,n\0te\nP,1,2,3\n", 23),
                 {{"d.csv:1:11: header", {"NUL"}}}),
      of_drawing("a workbook", "PK\x03\x04\x14 and so on\n", {{"d.csv: file", {"spreadsheet", "CSV"}}}),
      of_drawing("a quote that is not closed", "\"point\",\"x,\"y\nP,1,2\n",
                 {{"d.csv:1:9: header", {"not closed"}}}),
      of_drawing("a spreadsheet error", "#REF!,x,y\nP,1,2\n",
                 {{"d.csv:1:1: header", {"#REF!", "spreadsheet"}}}),
      of_drawing("a survey foot misspelt", "point,x (us ft),y\nP,1,2\n",
                 {{"d.csv:1:7: x", {"\"us ft\"", "try x (us-ft)"}}}),
      of_drawing(
          "units in other brackets", "point,x [m],y m\nP,1,2\n",
          {{"d.csv:1:1: header", {"point, x [m], y m", "column x"}}, {"d.csv:1:1: header", {"column y"}}}),
      of_drawing("no point", "name,x,y\nP,1,2\n", {{"d.csv:1:1: header", {"name, x, y", "point"}}}),
      of_drawing("x twice over", "point,x,x_ft,x_in,y\nP,1,2,3,4\n", {{"d.csv:1:7: header", {"x and x_ft"}}}),
      of_drawing("feet without inches", "point,x_ft,y\nP,1,2\n",
                 {{"d.csv:1:1: header", {"x_ft alone", "x_in"}}}),
      of_drawing("a column twice behind a byte-order mark and an accent",
                 "\xEF\xBB\xBF\xC3\xA9,point,x,y,X\n,P,1,2,3\n", {{"d.csv:1:13: header", {"x", "twice"}}}),
      {"ties with neither x nor y",
       kDrawing + "[baselines]\nties = \"t.csv\"\n",
       {{"t.csv", "mark,northing,easting\nA,1,2\nB,3,4\n"}},
       {{"t.csv:1:1: header", {"mark, northing, easting", "x, or y"}}}},
      {"shots without a place",
       kDrawing + "[floor]\nelevation = 0\n[deck]\nshots = \"s.csv\"\n",
       {{"s.csv", "shot,elevation,north,east\nS,1,2,3\n"}},
       {{"s.csv:1:1: header", {"shot, elevation, north, east", "northing and easting"}}}},
      {"half a place",
       kDrawing + "[plumb]\nmarks = \"m.csv\"\n",
       {{"m.csv", "point,x,northing\nP1,1,2\n"}},
       {{"m.csv:1:1: header", {"alone"}}}},
      {"two ways to give a place",
       kDrawing + "[plumb]\nmarks = \"m.csv\"\n",
       {{"m.csv", "point,x,y,dx,dy\nP1,1,2,0,0\n"}},
       {{"m.csv:1:1: header", {"two ways"}}}},
  });
}

TEST_CASE("rows that are refused") {
  check_rows({
      of_drawing("lines that are no comments", "point,x,y\n#N/A,1,2\n####,1,2\n#VALUE!,3,4\n#REF!\nP,1,2\n",
                 {{"d.csv:2:1: point", {"spreadsheet"}},
                  {"d.csv:3:1: point", {"spreadsheet"}},
                  {"d.csv:4:1: point", {"spreadsheet"}},
                  {"d.csv:5:1: point", {"spreadsheet"}}}),
      of_drawing("line ends of three kinds", "point,x,y\nP,1,2\rQ,a,2\r\nR,1,b\n\r\nS,c,3",
                 {{"d.csv:3:3: x", {"\"a\""}}, {"d.csv:4:5: y", {"\"b\""}}, {"d.csv:6:3: x", {"\"c\""}}}),
      of_drawing("a tab is one column", "point,x,y\n\tP\t,\ta,2\n", {{"d.csv:2:5: x", {"\"a\""}}}),
      of_drawing("an accent is one column", "point,note,x,y\nP,\"\xC3\xA9\t\xF0\x9F\x94\xA9\",q,2\n",
                 {{"d.csv:2:9: x", {"\"q\""}}}),
      of_drawing("the cell's own line", "point,note,x,y\nP,\"a\nb\",q,2\n", {{"d.csv:3:4: x", {"\"q\""}}}),
      of_drawing("a record's first line", "point,x,y,note\nP,1,2,\"a\nb\nc\"\nQ,3,4,\"d\ne\",5\n",
                 {{"d.csv:5:1: row", {"5 cells"}}}),
      of_drawing("text behind a quote", "point,x,y\n\"P\"x,1,2\nQ,3,4\n",
                 {{"d.csv:2:1: point", {"not closed"}}}),
      of_drawing("a value under no name", "point,x,y,,note\nP,1,2,7,a\n", {{"d.csv:2:7: row", {"\"7\""}}}),
      of_drawing("a byte that is not UTF-8 in a name", "point,x,y\nP\xB0,1,2\n",
                 {{"d.csv:2:1: point", {"0xB0"}}}),
      of_drawing("characters that are not seen",
                 "point,x,y\nA\xE2\x80\x8B,1,2\nB\xC2\xAD,1,2\n\"C\tD\",1,2\nE\xF3\xA0\x80\x81,1,"
                 "2\nF\xE3\x85\xA4,1,2\nG\xD8\x9C,1,2\n",
                 {{"d.csv:2:1: point", {"U+200B"}},
                  {"d.csv:3:1: point", {"U+00AD"}},
                  {"d.csv:4:1: point", {"U+0009"}},
                  {"d.csv:5:1: point", {"U+E0001"}},
                  {"d.csv:6:1: point", {"U+3164"}},
                  {"d.csv:7:1: point", {"U+061C"}}}),
      of_drawing("names that are equal but for blanks and case",
                 "point,x,y\na 1,1,2\n\xE2\x80\x83"
                 "A 1\xC2\xA0,1,2\n\"\tA 1 \",3,4\n",
                 {{"d.csv:3:1: point", {"line 2"}}, {"d.csv:4:1: point", {"line 2"}}}),
      of_drawing("cells of blanks", "point,x,y\n\xC2\xA0,1,2\nP,\xE2\x80\xAF \t,2\n",
                 {{"d.csv:2:1: point", {"empty"}}, {"d.csv:3:3: x", {"empty"}}}),
      of_drawing("feet and inches in two cells",
                 "point,x_ft,x_in,y\nS,-0,6,2\nU,1,-6,2\nV,1,12,2\nW,1.5,6,2\nX,1,,2\nY,,6,2\nAD,-1,-6,2\n",
                 {{"d.csv:2:3: x_ft", {"\"-0\"", "sign"}},
                  {"d.csv:3:5: x_in", {"\"-6\"", "sign"}},
                  {"d.csv:4:5: x_in", {"\"12\"", "under 12"}},
                  {"d.csv:5:3: x_ft", {"\"1.5\"", "whole feet"}},
                  {"d.csv:6:5: x_in", {"empty"}},
                  {"d.csv:7:3: x_ft", {"empty"}},
                  {"d.csv:8:7: x_in", {"\"-6\"", "sign"}}}),
      {"sds that are too small",
       kDrawing + "[baselines]\nties = \"t.csv\"\n",
       {{"t.csv", "mark,x,y,northing,easting,sd,tolerance\nA,0,0,0,0,0,\nB,1,1,1,1,,-1 mm\nC,,,2,2,,\n"}},
       {{"t.csv:2:11: sd", {"above zero"}},
        {"t.csv:3:12: tolerance", {"above zero"}},
        {"t.csv:4:1: row", {"neither x nor y"}}}},
  });
}

TEST_CASE("files without a header that are refused") {
  const auto with = [](const std::string& columns) {
    return "[drawing]\npoints = { file = \"d.csv\", columns = " + columns + " }\n";
  };
  check_rows({
      {"a header after all",
       with("[\"point\", \"x\", \"y\"]"),
       {{"d.csv", "point,x,y\nB,2,3\n"}},
       {{"d.csv:1:1: header", {"a header, \"point, x, y\"", "states columns", "try points = \"d.csv\""}}}},
      {"a row too short",
       with("[\"point\", \"x\", \"y\"]"),
       {{"d.csv", "A,1\nB,2,3\n"}},
       {{"d.csv:1:1: row", {"2 cells", "3 as the job names"}}}},
      {"an error in front",
       with("[\"point\", \"x\", \"y\"]"),
       {{"d.csv", "#REF!,1,2\nB,2,3\n"}},
       {{"d.csv:1:1: point", {"spreadsheet"}}}},
      {"no y", with("[\"point\", \"x\"]"), {{"d.csv", "A,1\n"}}, {{"d.csv:1:1: header", {"column y"}}}},
      {"x twice",
       with("[\"point\", \"x\", \"x\"]"),
       {{"d.csv", "A,1,2\n"}},
       {{"d.csv:1:1: header", {"x twice"}}}},
      {"no columns at all",
       with("[]"),
       {{"d.csv", kPoints}},
       {{"job.toml:2:38: drawing.points.columns", {"empty list"}}}},
      {"a number for a column",
       with("[1]"),
       {{"d.csv", kPoints}},
       {{"job.toml:2:39: drawing.points.columns", {"1"}}}},
      {"an unknown key",
       "[drawing]\npoints = { file = \"d.csv\", colums = [\"point\"] }\n",
       {},
       {{"job.toml:2:28: drawing.points.colums", {"try columns"}}}},
  });
}

TEST_CASE("job files that are refused") {
  check_rows({
      of_job("a section that is none", "drawing = 5\n", {{"job.toml:1:11: drawing", {"\"5\"", "[drawing]"}}}),
      of_job("a list of sections", "[[drawing]]\npoints = \"d.csv\"\n",
             {{"job.toml:1:1: drawing", {"list"}}}),
      of_job("an unknown section", kDrawing + "[baseline]\nties = \"t.csv\"\n",
             {{"job.toml:3:2: baseline", {"try baselines"}}}),
      of_job("an unknown key at the top", "titel = \"x\"\n" + kDrawing,
             {{"job.toml:1:1: titel", {"try title"}}}),
      of_job("a key in other case", "[drawing]\nPoints = \"d.csv\"\n",
             {{"job.toml:2:1: drawing.Points", {"try points"}}}),
      of_job("nothing", "", {{"job.toml: drawing.points", {"no table"}}}),
      of_job("a path with a line break", "[drawing]\npoints = \"a\\nb\"\n",
             {{"job.toml:2:10: drawing.points", {"U+000A"}}}),
      of_job("no runs to list", kDrawing + "[list]\nonly = []\n",
             {{"job.toml:4:8: list.only", {"empty list"}}}),
      of_job("a run that no point has", kDrawing + "[list]\nonly = [\"R1\"]\n",
             {{"job.toml:4:9: list.only", {"\"R1\""}}}),
      of_job("both elevation and shots",
             kDrawing + "[floor]\nelevation = 0\n[deck]\nelevation = \"5 m\"\nshots = \"s.csv\"\n",
             {{"job.toml:7:9: deck.shots", {"both"}}, {"job.toml:7:9: deck.shots", {"no such file"}}}),
      of_job("together and split", kDrawing + "[list]\ntogether = true\nsplit = \"run\"\n",
             {{"job.toml:5:9: list.split", {"together"}}}),
      of_job("a held line with a free scale", kDrawing + "[baselines]\nhold = \"x\"\nscale = \"free\"\n",
             {{"job.toml:4:8: baselines.hold", {"free"}}}),
      of_job("numbers out of range",
             kDrawing + "[numbers]\nstart = 0\nstep = 1000000000\ndeck_offset = \"1\"\n",
             {{"job.toml:4:9: numbers.start", {"0", "1 to 999999999"}},
              {"job.toml:5:8: numbers.step", {"1000000000"}},
              {"job.toml:6:15: numbers.deck_offset", {"\"1\"", "without quotes"}}}),
      of_job("more numbers than there are", kDrawing + "[numbers]\nstart = 999999999\n",
             {{"job.toml: numbers", {"999999999"}}}),
      of_job(
          "deck numbers that meet floor numbers",
          kDrawing + "[numbers]\ndeck_offset = 1\n[floor]\nelevation = 0\n[deck]\nelevation = \"5 m\"\n",
          {{"job.toml:4:15: numbers.deck_offset", {"1002", "2 is the smallest", "try deck_offset = 5000"}}}),
      of_job("a byte that is not UTF-8", kDrawing + "title = \"\xB0\"\n",
             {{"job.toml:3:10: file", {"0xB0"}}}),
      of_job("ledgers elsewhere", kDrawing + "[numbers]\nledger = \"../n.csv\"\n",
             {{"job.toml:4:10: numbers.ledger", {"job's folder"}}}),
      of_job("a ledger by its whole path", kDrawing + "[numbers]\nledger = \"/n.csv\"\n",
             {{"job.toml:4:10: numbers.ledger", {"job's folder"}}}),
      of_job("a ledger that is an output", kDrawing + "[numbers]\nledger = \"out/points.csv\"\n",
             {{"./out/points.csv: file", {"ledger"}}}),
  });
}

TEST_CASE("every key with values of a wrong type is refused at its place") {
  const std::map<std::string, std::vector<std::string>> keys = {
      {"drawing", {"points", "unit", "mirrored"}},
      {"site", {"unit", "control"}},
      {"baselines", {"ties", "scale", "hold", "azimuth_near", "tie_sd", "tolerance"}},
      {"floor", {"elevation"}},
      {"deck", {"elevation", "shots", "flatness"}},
      {"hangers", {"height", "max_spacing"}},
      {"plumb", {"marks", "sd", "tolerance", "slope"}},
      {"numbers", {"start", "step", "deck_offset", "ledger"}},
      {"list",
       {"columns", "unit", "decimals", "header", "separator", "decimal_mark", "line_end", "description",
        "description_length", "ascii", "order", "only", "together", "split"}}};
  for (const auto& [section, names] : keys)
    for (const std::string& key : names)
      for (const std::string value :
           {"2026-01-01", "nan", "-7", "[[1]]", "{ a = 1 }", "\"no such value\"", "12:30:00", "1.5"}) {
        if (section == "numbers" && key == "ledger" && value[0] == '"') continue;  // any name will do
        const std::string toml = std::string(section == "drawing" ? "" : kDrawing) + "[" + section + "]\n" +
                                 (section == "drawing" && key != "points" ? "points = \"d.csv\"\n" : "") +
                                 key + " = " + value + "\n";
        CAPTURE(toml);
        JobFolder job;
        job.write("job.toml", toml);
        job.write("d.csv", kPoints);
        const auto before = job.snapshot();
        const CommandResult result = job.run();
        CAPTURE(result.err);
        check_refused(job, before, result);
        bool told = false;
        for (const ToldLine& p : problem_lines(result.err))
          told = told || (p.file == "job.toml" && p.line > 0 && p.column > 0 &&
                          p.field.rfind(section + "." + key, 0) == 0);
        CHECK(told);
      }
}

TEST_CASE("the deck_offset that is suggested is accepted, and leaves room for another point") {
  for (const char* offset : {"0", "1", "-5000", "\"5000\"", "4000", "1000000000"}) {
    CAPTURE(offset);
    JobFolder job;
    const auto write = [&](const std::string& key, const std::string& more) {
      job.write("job.toml",
                kDrawing + "[floor]\nelevation = 0\n[deck]\nelevation = \"5 m\"\n[numbers]\n" + key + "\n");
      job.write("d.csv", kPoints + more);
    };
    std::string last;
    for (int i = 0; i < 4000; ++i) last += "Q" + std::to_string(i) + "," + std::to_string(i) + ",9\n";
    write("deck_offset = " + std::string(offset), last);
    const auto told = problem_lines(job.run({"check", "."}).err);
    REQUIRE(told.size() == 1);
    write(suggestion_of(told[0]), last);
    CHECK(job.run().exit_code == 0);
    write(suggestion_of(told[0]), last + "NEW,1,5\n");
    CHECK(job.run().exit_code == 0);
  }
}

TEST_CASE("ledgers that are refused") {
  const std::string deck = "[floor]\nelevation = 0\n[deck]\nelevation = \"5 m\"\n";
  check_rows({
      of_ledger("a name twice", "P1,1001,live,0,0,5000,,0,0\np1,1002,dropped,1,0,5000,,0,1\n",
                {{"numbers.csv:3:1: point", {"line 2"}}}),
      of_ledger("a name twice that the drawing has not",
                "Z,1001,dropped,0,0,5000,,0,0\nz,1002,dropped,1,0,5000,,0,1\n",
                {{"numbers.csv:3:1: point", {"line 2"}}}),
      of_ledger("another status", "P1,1001,Live,0,0,5000,,0,0\n",
                {{"numbers.csv:2:9: status", {"\"Live\""}}}),
      of_ledger("offsets that differ", "P1,1001,live,0,0,5000,,0,0\nP2,1002,live,1,0,6000,,0,1\n",
                {{"numbers.csv:3:18: deck_offset", {"6000", "5000"}}}),
      of_ledger("numbers that are none",
                "P1,0,live,0,0,5000,,0,0\nP2,1.5,live,1,0,5000,,0,1\nP3,,live,1,0,5000,,0,1\n",
                {{"numbers.csv:2:4: number", {"\"0\""}},
                 {"numbers.csv:3:4: number", {"\"1.5\""}},
                 {"numbers.csv:4:4: number", {"no text"}}}),
      of_ledger("an empty place", "P1,1001,live,,0,5000,,0,0\n", {{"numbers.csv:2:14: x", {"empty"}}}),
      of_ledger("an offset that may not change", "P1,1001,live,0,0,6000,,0,0\n",
                {{"job.toml: numbers.deck_offset", {"6000", "try deck_offset = 6000"}}}, deck),
      of_ledger("a deck number that a dropped point has",
                "P1,1001,live,0,0,5000,,0,0\nX,6001,dropped,9,9,5000,,0,0\n",
                {{"job.toml: numbers.deck_offset", {"6001", "try deck_offset = 6000"}}}, deck),
      {"a column missing",
       kDrawing,
       {{"numbers.csv", "point,number,status,x (m),y (m),deck_offset\nP1,1001,live,0,0,5000\n"}},
       {{"numbers.csv:1:1: header", {"revision", "northing", "easting"}}}},
      {"an empty ledger", kDrawing, {{"numbers.csv", ""}}, {{"numbers.csv: file", {"empty"}}}},
  });
}

TEST_CASE("deck marks that are refused") {
  const std::string toml =
      kDrawing + "[floor]\nelevation = 0\n[deck]\nelevation = \"4 m\"\n[plumb]\nmarks = \"m.csv\"\n";
  const std::string points = "point,x,y,kind\nP1,0,0,\n1003,1,0,\nP3,2,0,reference\n";
  const auto row = [&](std::string what, std::string marks, std::vector<Refusal> refusals) {
    return Row{std::move(what), toml, {{"d.csv", points}, {"m.csv", std::move(marks)}}, std::move(refusals)};
  };
  check_rows({
      row("a text with two meanings", "point,dx,dy\n1003,0,0\n",
          {{"m.csv:2:1: point", {"\"1003\"", "1002", "P3"}}}),
      row("a reference point has no deck number", "point,dx,dy\n6003,0,0\n",
          {{"m.csv:2:1: point", {"\"6003\""}}}),
      row("a point by name and by number", "point,dx,dy\np1,0,0\n6001,0,0\n",
          {{"m.csv:3:1: point", {"line 2"}}}),
      row("no such points", "point,dx,dy\nP9,0,0\n0,0,0\n01001,0,0\n",
          {{"m.csv:2:1: point", {"\"P9\""}},
           {"m.csv:3:1: point", {"\"0\""}},
           {"m.csv:4:1: point", {"\"01001\""}}}),
      row("half a floor mark", "point,dx,dy,floor_northing,floor_easting\nP1,0,0,1,\n",
          {{"m.csv:2:10: floor_easting", {"empty"}}}),
      row("an sd below zero", "point,dx,dy,sd\nP1,0,0,-0.001\n", {{"m.csv:2:8: sd", {"zero or more"}}}),
  });
}

TEST_CASE("decks that are refused") {
  const std::string shots = kDrawing + "[floor]\nelevation = 0\n[deck]\nshots = \"s.csv\"\n";
  check_rows({
      {"a deck under the bracket",
       kDrawing + "[floor]\nelevation = 0\n[hangers]\nheight = \"5 m\"\n[deck]\nelevation = \"4 m\"\n",
       {{"d.csv", "point,x,y,height\nA,0,0,\nB,1,0,3\nC,2,0,4\n"}},
       {{"job.toml:6:10: hangers.height", {"A", "5.000", "4.000"}}, {"d.csv:4:7: height", {"C", "4.000"}}}},
      {"two shots",
       shots,
       {{"s.csv", "shot,elevation,x,y\nS1,4,0,0\nS2,4,1,0\n"}},
       {{"s.csv: file", {"2 deck shots", "three"}}}},
      {"shots on a line",
       shots,
       {{"s.csv", "shot,elevation,x,y\nS1,4,0,0\nS2,4,1,1\nS3,4,2,2\n"}},
       {{"s.csv: file", {"one line"}}}},
      {"a shot twice, one without its elevation",
       shots,
       {{"s.csv", "shot,elevation,x,y\nS1,4,0,0\ns1,4,1,1\nS3,,2,2\n"}},
       {{"s.csv:3:1: shot", {"line 2"}}, {"s.csv:4:4: elevation", {"empty"}}}},
  });
}
