// Every table that is read, by its declaration: that each of its columns is read, and that a column of
// another table or kind does not compile. (Of README and help see unit/manual.)

#include "job/columns.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "issues/ledger_columns.h"
#include "job/field_table.h"
#include "job/stored_points.h"
#include "support/temp_folder.h"
#include "table/digest.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

// What must not compile.
template <class Terms, const auto& C>
concept HasColumn = requires(const OpenTable<Terms> table) {
  table.template at<C>();
};
static_assert(HasColumn<deck_shots::Terms, deck_shots::elevation>);
static_assert(!HasColumn<deck_shots::Terms, deck_marks::elevation>);
static_assert(!HasColumn<control::Terms, grid_control::northing>);
template <class Cells>
concept HoldsLengths = requires(const Cells cells, Messages& told) {
  lengths_of(cells, LengthUnit::metre, "", told);
};
static_assert(HoldsLengths<LengthCells>);
static_assert(!HoldsLengths<NameColumn> && !HoldsLengths<NumberColumn> && !HoldsLengths<AngleCells> &&
              !HoldsLengths<DecimalColumn>);
static_assert(!std::is_constructible_v<LengthCells, const Table&, std::size_t>);
static_assert(deck_shots::Terms::index<deck_shots::elevation>() == 1);

/// One table with some of its columns, all cells good.
struct Variant {
  std::vector<std::string> header;
  std::vector<std::vector<std::string>> rows;
};
/// How a job comes to read the table; `t.csv` is its file unless another is named.
struct Fixture {
  std::string name, job;
  std::vector<Variant> variants;
  std::string file = "t.csv";
};

const std::string kPoints = "[drawing]\npoints = \"t.csv\"\n";
const std::string kField = "readings of a field test", kStored = "stored points", kLedger = "numbers.csv";

/// The issue that a ledger's rows are, whatever they hold.
std::string issued_of(const std::string& ledger) {
  const std::string head = "1,A,job.toml,,1,1,out", rows = ledger.substr(ledger.find('\n') + 1);
  return "issue,revision,job,storey,live,rows,folder,before,digest\n" + head + ",," +
         sha256_hex("\n" + head + "\n" + rows).substr(0, 16) + "\n";
}

/// A ledger of one issue, beside which stand files that name issues.
const std::string kOneIssue =
    header_line(kLedgerColumns) + "\nA,1001,live,1,2,5000,A,1,2,1,0,,,,hanger,,,1,1,1,1\n";
std::string its_digest() {
  const std::string issued = issued_of(kOneIssue);
  return issued.substr(issued.rfind(',') + 1, 16);
}

/// In the order of `for_each_table`; together the variants of a table have every column.
const std::vector<Fixture>& fixtures() {
  static const std::vector<Fixture> all = {
      {"drawing points",
       kPoints,
       {{{"point", "x", "y", "height", "kind", "run", "was", "note"},
         {{"A", "1", "2", "3", "hanger", "R1", "B", "n"}}},
        {{"point", "x_ft", "x_in", "y_ft", "y_in"}, {{"A", "1", "2", "3", "4"}}}}},
      {"runs",
       "[drawing]\nruns = \"t.csv\"\n[hangers]\nmax_spacing = \"1 m\"\n",
       {{{"run", "kind", "x1", "y1", "x2", "y2", "xm", "ym", "height"},
         {{"R1", "arc", "0", "0", "2", "0", "1", "1", "3"}}},
        {{"run", "x1", "y1", "x2", "y2", "separation", "start", "finish", "start_left", "start_right",
          "finish_left", "finish_right", "cut_by"},
         {{"R1", "0", "0", "2", "0", "0.2", "free", "wall", "0.1", "0", "0.1", "-0.1", ""}}}}},
      {"pieces",
       "[drawing]\nruns = \"r.csv\"\npieces = \"t.csv\"\n[hangers]\nmax_spacing = \"1 m\"\n",
       {{{"piece", "run", "length", "member", "notches", "may_cut"},
         {{"P1", "R1", "2.5", "", "0.2;0.4", "no"}}}}},
      {"needs",
       "[drawing]\npoints = \"d.csv\"\nneeds = \"t.csv\"\n",
       {{{"part", "per", "count"}, {{"C1", "hanger", "0.5"}}}}},
      {"bill",
       "[drawing]\npoints = \"d.csv\"\nbill = \"t.csv\"\n",
       {{{"part", "count", "length"}, {{"C1", "2", "2.5"}}}}},
      {"arrived",
       "[drawing]\npoints = \"d.csv\"\narrived = \"t.csv\"\n",
       {{{"part", "count", "damaged"}, {{"C1", "2", "1"}}}}},
      {"bays",
       "[deck]\nbays = \"t.csv\"\n",
       {{{"bay", "x", "y", "elevation", "flutes", "flute_pitch", "flute_first"},
         {{"B1", "0", "0", "3", "x", "0.2", "0.1"}}}}},
      {"obstructions",
       "[obstructions]\noutlines = \"t.csv\"\n",
       {{{"name", "x", "y", "clearance"}, {{"D1", "0", "0", "0.1"}}}}},
      {"no_drill",
       "[deck]\nno_drill = \"t.csv\"\n",
       {{{"zone", "x", "y", "clearance", "reference"}, {{"T1", "0", "0", "0.1", "scan 7"}}}}},
      {"released",
       "[deck]\nreleased = \"t.csv\"\n",
       {{{"what", "by", "on", "reference"}, {{"all", "A. Voss", "2026-11-25", "letter 12"}}}}},
      {"ties",
       "[drawing]\nlines = \"l.csv\"\n[baselines]\nties = \"t.csv\"\n",
       {{{"mark", "x", "y", "northing", "easting", "sd", "sd_x", "sd_y", "tolerance", "sd_northing",
          "sd_easting", "setup"},
         {{"T1", "1", "2", "3", "4", "0.001", "0.001", "0.001", "0.005", "0.001", "0.001", "S1"}}},
        {{"mark", "x_line", "x_off", "y_line", "y_off", "northing", "easting", "face_of"},
         {{"T1", "GA", "1", "G1", "2", "3", "4", "C1"}, {"T2", "GA", "2", "G1", "2", "3", "5", "C1"}}}}},
      {"building lines", "[drawing]\nlines = \"t.csv\"\n", {{{"line", "axis", "at"}, {{"GA", "x", "1.5"}}}}},
      {"dimensions",
       "[drawing]\ndimensions = \"t.csv\"\n",
       {{{"from", "to", "distance"}, {{"A", "B", "1.5"}}}}},
      {"lengths",
       "[baselines]\nlengths = \"t.csv\"\n",
       {{{"from", "to", "measured", "sd", "temperature", "slope_rise"},
         {{"A", "B", "10", "0.002", "20", "0.1"}}}}},
      {"deck shots",
       "[deck]\nshots = \"t.csv\"\n",
       {{{"shot", "elevation", "northing", "easting", "bay", "setup"}, {{"S1", "3", "1", "2", "B1", "S1"}}},
        {{"shot", "elevation", "x", "y"}, {{"S1", "3", "1", "2"}}}}},
      {"deck marks",
       "[plumb]\nmarks = \"t.csv\"\n",
       {{{"point", "elevation", "sd", "northing", "easting", "floor_northing", "floor_easting", "level",
          "setup"},
         {{"A", "3", "0.001", "1", "2", "1", "2", "deck", "S1"}}},
        {{"point", "x", "y", "marked_from", "by", "marked_by"}, {{"A", "1", "2", "S1", "Bo", "Ada"}}},
        {{"point", "dx", "dy", "turn"}, {{"A", "0.001", "0.002", "0"}}}}},
      {"benchmarks",
       "[heights]\nbenchmarks = \"t.csv\"\n",
       {{{"point", "elevation", "sd"}, {{"BM1", "3", "0.001"}}}}},
      {"level readings",
       "[heights]\nlevel = \"t.csv\"\n",
       {{{"setup", "target", "back", "level", "distance"}, {{"L1", "BM1", "1.5", "floor", "20"}}},
        {{"setup", "target", "fore"}, {{"L1", "BM1", "1.5"}}}}},
      {"laser readings",
       "[heights]\nlaser = \"t.csv\"\nbeam = \"3 mm at 10 m\"\n",
       {{{"laser", "target", "reading", "target_is", "distance", "level", "housing"},
         {{"A", "BM1", "1.5", "below", "20", "floor", "180"}}}}},
      {"as-built shots",
       "[asbuilt]\nshots = \"t.csv\"\n",
       {{{"point", "northing", "easting", "elevation", "level", "setup", "marked_from", "reflector", "crew",
          "time", "sd"},
         {{"A", "1", "2", "3", "deck", "S1", "S2", "M1", "C1", "14:05", "0.001"}}},
        {{"point", "x", "y", "by", "marked_by"}, {{"A", "1", "2", "Bo", "Ada"}}},
        {{"point", "dx", "dy", "dz"}, {{"A", "0.001", "0.002", "0.003"}}}}},
      {"observations",
       "[instrument]\nangles = \"degrees\"\nangle_sd = \"0-00-02\"\ndistance_sd = \"2 mm\"\ndistances = "
       "\"raw\"\n[[setup]]\nname = \"S1\"\nat = \"free\"\nobservations = \"t.csv\"\n",
       {{{"target", "face", "circle", "zenith", "slope", "height", "reflector", "target_sd", "distance_sd"},
         {{"A", "1", "10.5", "91.25", "20", "1.5", "0.01", "0.001", "0.002"}}},
        {{"target", "horizontal", "circle", "circle_sd", "zenith_sd"},
         {{"A", "20", "1", "0.001", "0.002"}}}}},
      {"control",
       "[site]\ncontrol = \"t.csv\"\n",
       {{{"point", "northing", "easting", "elevation", "sd"}, {{"A", "1", "2", "3", "0.001"}}}}},
      {"control",
       "[site]\ncrs = \"EPSG:32633\"\ncontrol = \"t.csv\"\n[instrument]\nangles = \"degrees\"\n",
       {{{"point", "northing", "easting", "elevation", "sd"}, {{"A", "5400000", "500000", "3", "0.001"}}},
        {{"point", "latitude", "longitude", "ellipsoidal_height"}, {{"A", "48.5", "15.1", "300"}}}}},
      {"ledger",
       "[drawing]\npoints = \"d.csv\"\n",
       {{{"point", "number", "status", "x", "y", "deck_offset", "revision", "northing", "easting"},
         {{"A", "1001", "live", "1", "2", "5000", "A", "1", "2"}}},
        {{"point",
          "number",
          "status",
          "x (m)",
          "y (m)",
          "deck_offset",
          "revision",
          "northing (m)",
          "easting (m)",
          "issue",
          "floor_elevation (m)",
          "attach_elevation (m)",
          "deck_elevation (m)",
          "cut (m)",
          "kind",
          "run",
          "crew",
          "told_in",
          "told_in_deck",
          "told_in_bracket",
          "told_in_cut"},
         {{"A", "1001", "live", "1",      "2",  "5000",  "A", "1", "2", "1", "0.5",
           "3", "5",    "1.5",  "hanger", "R1", "north", "1", "1", "1", "1"}}}},
       kLedger},
      {"issued",
       "[drawing]\npoints = \"d.csv\"\n",
       {{{"issue", "revision", "job", "storey", "live", "rows", "folder", "before", "digest"},
         {{"1", "A", "job.toml", "", "1", "1", "out", "", "0123456789abcdef"}}}},
       "issued.csv"},
      {"issued control",
       "[drawing]\npoints = \"d.csv\"\n",
       {{{"issue", "point", "northing", "easting", "elevation"}, {{"1", "CP1", "1", "2", "3"}}}},
       "issued-control.csv"},
      {"given",
       "[drawing]\npoints = \"d.csv\"\n",
       {{{"issue", "to", "on", "digest"}, {{"1", "north", "2026-11-25", its_digest()}}}},
       "given.csv"},
      {kStored,
       "",
       {{{"point", "northing (m)", "easting (m)", "elevation (m)", "setup", "time"},
         {{"1001", "1", "2", "3", "S1", "07:30"}}}}},
      {kField,
       "",
       {{{"series", "set", "target", "circle1 (deg)", "circle2 (deg)", "zenith1 (deg)", "zenith2 (deg)"},
         {{"1", "1", "A", "10", "190", "91", "269"}}},
        {{"from", "to", "distance (m)"}, {{"1", "2", "20"}}},
        {{"setup", "staff", "reading (m)", "distance (m)"}, {{"1", "A", "1.5", "20"}}},
        {{"set", "target", "reading (mm)", "distance (m)", "direction (deg)", "height (m)"},
         {{"1", "A", "1500", "20", "0", "1.5"}}},
        {{"x1 (mm)", "x2 (mm)", "y1 (mm)", "y2 (mm)"}, {{"1", "2", "3", "4"}}},
        {{"set", "turn (deg)", "x (mm)", "y (mm)"}, {{"1", "90", "1", "2"}}},
        {{"ab (m)", "cd (m)", "ac (m)"}, {{"6", "6.001", "12"}}}}},
  };
  return all;
}

std::string word_of(const std::string& head) { return head.substr(0, head.find(' ')); }

std::string bytes_of(const Variant& v) {
  std::string out;
  const auto line = [&](const std::vector<std::string>& cells) {
    for (std::size_t i = 0; i < cells.size(); ++i) out += (i == 0 ? "" : ",") + cells[i];
    out += '\n';
  };
  line(v.header);
  for (const auto& row : v.rows) line(row);
  return out;
}

/// All that is told when the table is read.
Messages read(const Fixture& f, const Variant& v) {
  TempFolder folder;
  write_bytes(folder / "job.toml", f.job);
  write_bytes(folder / "d.csv", "point,x,y\nA,1,2\n");
  write_bytes(folder / "r.csv", "run,x1,y1,x2,y2\nR1,0,0,5,0\n");
  write_bytes(folder / "l.csv", "line,axis,at\nGA,x,1\nG1,y,2\n");
  write_bytes(folder / f.file, bytes_of(v));
  if (f.file == "issued-control.csv" || f.file == "given.csv") {  // of issues that were handed out
    write_bytes(folder / kLedger, kOneIssue);
    write_bytes(folder / "issued.csv", issued_of(kOneIssue));
  }
  if (f.file == kLedger && v.header.back() == ledger::told_in_cut.name)
    write_bytes(folder / "issued.csv", issued_of(bytes_of(v)));
  Messages messages;
  if (f.name == kField) {
    (void)read_field_table(folder / f.file, messages);
  } else if (f.name == kStored) {
    (void)read_stored_points(folder / f.file, LengthUnit::metre, messages);
  } else {
    Job job;
    PartMessages told;
    read_job(folder.path(), job, told);
    messages = std::move(told).merged();
  }
  return messages;
}

bool is_in(const Message& m, const std::string& file) {
  return m.file == file || (m.file.size() > file.size() && m.file.ends_with("/" + file));
}

/// A text that no cell of the kind is.
std::string impossible(std::string_view kind) {
  if (kind == NameCell::word) return "=1";
  if (kind == TextCell::word) return "a\u200Bb";
  return kind == RemarkCell::word ? "\xB0" : "1z";
}

struct Declared {
  std::string name;
  std::vector<std::pair<std::string, std::string>> columns;  ///< word and kind
};
std::vector<Declared> declared() {
  std::vector<Declared> all;
  for_each_table([&](auto terms) {
    Declared d{std::string(terms.word.name), {}};
    terms.each([&]<class Cell>(const Column<Cell>& c) { d.columns.emplace_back(c.name, Cell::word); });
    all.push_back(std::move(d));
  });
  return all;
}

}  // namespace

TEST_CASE("every table that is read stands in the list of all") {
  const auto folder = std::filesystem::path(DECKMARK_TESTS_DIR) / "../lib/job/tables";
  std::size_t tables = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string text = read_bytes(entry.path());
    for (std::size_t at = 0; (at = text.find("using Terms =", at)) != std::string::npos; ++at) ++tables;
  }
  CHECK(tables == declared().size());
}

TEST_CASE("every declared column is known, and a cell that cannot be is told at it") {
  const auto tables = declared();
  REQUIRE(fixtures().size() == tables.size());
  for (std::size_t t = 0; t < tables.size(); ++t) {
    const Fixture& f = fixtures()[t];
    CHECK(f.name == tables[t].name);
    CAPTURE(f.name);
    std::set<std::string> left;
    for (const auto& [name, kind] : tables[t].columns) left.insert(name);
    for (const Variant& v : f.variants) {
      const Messages good = read(f, v);
      for (const Message& m : good.sorted(Grade::notice))
        CHECK(m.text.find("not known") == std::string::npos);
      for (const Message& m : good.sorted(Grade::problem)) {
        CAPTURE(message_line(m));
        CHECK((!is_in(m, f.file) || m.place.line == 0));
      }
      for (std::size_t i = 0; i < v.header.size(); ++i) {
        const std::string column = word_of(v.header[i]);
        CAPTURE(column);
        const auto at =
            std::ranges::find(tables[t].columns, column, &std::pair<std::string, std::string>::first);
        REQUIRE(at != tables[t].columns.end());
        left.erase(column);
        Variant spoilt = v;
        spoilt.rows[0][i] = impossible(at->second);
        std::size_t place = 1;
        for (std::size_t k = 0; k < i; ++k) place += v.rows[0][k].size() + 1;
        const auto told = read(f, spoilt).sorted(Grade::problem);
        CHECK(std::ranges::any_of(told, [&](const Message& m) {
          return is_in(m, f.file) && m.field == column && m.place.line == 2 && m.place.column == place;
        }));
      }
    }
    CHECK_MESSAGE(left.empty(), "columns of no variant");
  }
}

TEST_CASE("feet and inches in two cells: the sign stands on the first part that is not zero") {
  TempFolder folder;
  write_bytes(folder / "job.toml", kPoints);
  write_bytes(folder / "t.csv",
              "point,x_ft,x_in,y_ft,y_in\nA,3,6,0,6\nB,-3,6,0,-6\nC,-0,0,0,0 1/2\nD,+3,0,0,-6\n");
  Job job;
  PartMessages told;
  read_job(folder.path(), job, told);
  REQUIRE_FALSE(std::move(told).merged().has_problems());
  const double inch = 0.0254;
  const std::vector<std::pair<double, double>> wanted = {
      {42 * inch, 6 * inch}, {-42 * inch, -6 * inch}, {0, 0.5 * inch}, {36 * inch, -6 * inch}};
  REQUIRE(job.marks->places.size() == wanted.size());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    CAPTURE(i);
    CHECK(job.marks->places[i].at.x.metres() == doctest::Approx(wanted[i].first).epsilon(1e-12));
    CHECK(job.marks->places[i].at.y.metres() == doctest::Approx(wanted[i].second).epsilon(1e-12));
  }
}
