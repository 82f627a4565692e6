// Words of a file's own: what `rename` takes and refuses, and the law that a line which is offered can be
// pasted. Seed 1.

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <regex>
#include <string>
#include <vector>

#include "job/job.h"
#include "job/tables/all.h"
#include "support/temp_folder.h"
#include "table/reader.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

/// A job of one line that names a table, and the table.
struct Trial {
  std::string section, line, table;
  std::string more = "";  ///< of the job file
};

struct Told {
  Job job;
  Messages messages;
  std::vector<Message> problems() const { return messages.sorted(Grade::problem); }
  std::vector<Message> doubts() const { return messages.sorted(Grade::doubt); }
};

std::unique_ptr<Told> read(const Trial& t) {
  TempFolder folder;
  write_bytes(folder / "job.toml", t.more + "[" + t.section + "]\n" + t.line + "\n");
  write_bytes(folder / "t.csv", t.table);
  auto out = std::make_unique<Told>();
  PartMessages told;
  read_job(folder.path(), out->job, told);
  out->messages = std::move(told).merged();
  return out;
}

std::string after(const std::string& text, const std::string& mark) {
  const std::size_t at = text.find(mark);
  return at == std::string::npos ? "" : text.substr(at + mark.size());
}

std::string shown(const std::vector<Message>& messages) {
  std::string out;
  for (const Message& m : messages) out += message_line(m) + "\n";
  return out;
}

Trial control_of(const std::string& header, const std::string& rename = "") {
  const std::string line =
      rename.empty() ? "control = \"t.csv\"" : "control = { file = \"t.csv\", rename = { " + rename + " } }";
  return {"site", line, header + "\nA,1,2,3\n"};
}

}  // namespace

TEST_CASE("a renamed column is read as the program's, whatever the case, with the header's unit") {
  struct Row {
    const char *header, *rename;
    double elevation;
  };
  for (const Row& r : {
           Row{"pt,n,e,elev", "pt = \"point\", n = \"northing\", e = \"easting\", elev = \"elevation\"", 3},
           Row{"Pt,N,E,Elev (ft)", "PT = \"Point\", n = \"northing\", e = \"easting\", elev = \"elevation\"",
               3 * 0.3048},
           Row{"pt,n,e,elev (ft)",
               "pt = \"point\", n = \"northing\", e = \"easting\", \"elev (ft)\" = \"elevation\"",
               3 * 0.3048},
           Row{"point,easting,northing,z",
               "easting = \"northing\", northing = \"easting\", z = \"elevation\"", 3},
           Row{"point,northing,easting,\"red, level\"", "\"red, level\" = \"elevation\"", 3},
       }) {
    CAPTURE(r.header);
    const auto out = read(control_of(r.header, r.rename));
    INFO(shown(out->problems()));
    CHECK(out->problems().empty());
    REQUIRE(out->job.control.size() == 1);
    const ControlPoint& c = out->job.control[0];
    CHECK(c.name == "A");
    CHECK(c.at.at.northing.metres() == doctest::Approx(1));
    CHECK(c.at.at.easting.metres() == doctest::Approx(2));
    REQUIRE(c.elevation);
    CHECK(c.elevation->above_datum().metres() == doctest::Approx(r.elevation));
    CHECK(out->doubts().empty());
  }
}

TEST_CASE("renames that cannot be are told in the job file") {
  struct Row {
    const char *line, *field;
    std::vector<std::string> words;
  };
  const std::string file = "{ file = \"t.csv\", ";
  const std::vector<Row> rows = {
      {"rename = { pt = \"point\", el = \"elevaton\" }",
       "site.control.rename",
       {"\"elevaton\"", "a column of control: point, northing", "try \"elevation\""}},
      {"rename = { pt = \"point\", elef = \"elevation\" }",
       "site.control.rename",
       {"\"elef\"", "the header of \"t.csv\" has not", "pt, northing, easting, el", "try \"el\""}},
      {"rename = { pt = \"point\", el = \"point\" }",
       "site.control.rename",
       {"\"point\"", "one column for one word"}},
      {"rename = { pt = \"point\", PT = \"sd\" }", "site.control.rename", {"one column for one word"}},
      {"rename = { pt = \"point\", el = \"northing\" }",
       "site.control.rename",
       {"\"northing\" for \"el\"", "beside a column northing", "one of them"}},
      {"rename = { pt = 5 }", "site.control.rename", {"5 for \"pt\"", "a column in quotes"}},
      {"rename = \"point\"", "site.control.rename", {"\"point\"", "such as rename = {"}},
      {"rename = { \"\" = \"point\" }", "site.control.rename", {"has not"}},
      {"rename = { pt = \"point\" }, columns = [\"point\", \"northing\", \"easting\"]",
       "site.control.rename",
       {"rename beside columns", "one of them"}},
      {"renames = { pt = \"point\" }", "site.control.renames", {"not known", "try rename"}},
  };
  for (const Row& r : rows) {
    CAPTURE(r.line);
    const auto out = read({"site", "control = " + file + r.line + " }", "pt,northing,easting,el\nA,1,2,3\n"});
    const auto problems = out->problems();
    INFO(shown(problems));
    const auto at = std::ranges::find_if(problems, [&](const Message& m) {
      return m.file == "job.toml" && m.place.line == 2 && m.field == r.field &&
             std::ranges::all_of(r.words, [&](const auto& w) { return m.text.find(w) != std::string::npos; });
    });
    CHECK(at != problems.end());
  }
}

TEST_CASE("what is told of a renamed column names the file's word, and its field stays the program's") {
  const auto out =
      read({"site",
            "control = { file = \"t.csv\", rename = { no = \"point\", elev = \"elevation\", std = "
            "\"sd\" } }",
            "no,northing,easting,elev,std\nA,1,2,3x,0.2\nA,1,2,3,0.001\nB,1,x,4,0.001\n"});
  const auto problems = out->problems();
  REQUIRE(problems.size() == 3);
  CHECK(message_line(problems[0]).rfind("t.csv:2:7: elevation: found \"3x\"", 0) == 0);
  CHECK(problems[0].text.find("(column elev in the file), expected") != std::string::npos);
  CHECK(problems[1].field == "point");
  CHECK(problems[1].text.find("(column no in the file)") != std::string::npos);
  CHECK(problems[2].field == "easting");
  CHECK(problems[2].text.find("in the file") == std::string::npos);
  const auto doubts = out->doubts();
  REQUIRE(doubts.size() >= 1);
  CHECK(std::ranges::any_of(doubts, [](const Message& m) {
    return m.field == "sd" && m.text.ends_with("(column std in the file)");
  }));
}

TEST_CASE("missing columns: the line is offered where the header has known words for them") {
  struct Row {
    const char *line, *header;
    std::string suggestion;
    std::vector<std::string> words;
  };
  const std::vector<Row> rows = {
      {"control = \"t.csv\"",
       "pt_number,northing,easting,elev",
       "control = { file = \"t.csv\", rename = { pt_number = \"point\", elev = \"elevation\" } }",
       {}},
      {"control = { file = \"t.csv\", frame = \"ground\" }",
       "Pt. No.,N,E,RL",
       "control = { file = \"t.csv\", frame = \"ground\", rename = { \"pt. no.\" = \"point\", n = "
       "\"northing\", "
       "e = \"easting\", rl = \"elevation\" } }",
       {}},
      {"control = { file = \"t.csv\", rename = { pt = \"point\" } }",
       "pt,n,e,x",
       "control = { file = \"t.csv\", rename = { pt = \"point\", n = \"northing\", e = \"easting\" } }",
       {}},
      {"control = \"t.csv\"",
       "no,name,n,e",
       "control = { file = \"t.csv\", rename = { no = \"point\", n = \"northing\", e = \"easting\" } }",
       {"name could be point too"}},
      // A slip beside words that are known.
      {"control = \"t.csv\"",
       "id,nrothing,e,z",
       "control = { file = \"t.csv\", rename = { id = \"point\", e = \"easting\", z = \"elevation\", "
       "nrothing = "
       "\"northing\" } }",
       {}},
      // The unit of a word would be lost; what is not known is not guessed.
      {"control = \"t.csv\"", "id,n,east_ft,z", "", {}},
      {"control = \"t.csv\"", "id,x,y,z", "", {}},
      {"control = \"t.csv\"", "id,hochwert,e,z", "", {}},
  };
  for (const Row& r : rows) {
    CAPTURE(r.line);
    CAPTURE(r.header);
    const auto out = read({"site", r.line, std::string(r.header) + "\nA,1,2,3\n"});
    const auto problems = out->problems();
    INFO(shown(problems));
    REQUIRE(problems.size() == 1);
    CHECK(problems[0].field == "header");
    CHECK(after(problems[0].text, "; try ") == r.suggestion);
    for (const auto& w : r.words) CHECK(problems[0].text.find(w) != std::string::npos);
  }
}

TEST_CASE("a place that is missing is offered with the rest") {
  const auto out = read({"deck", "shots = \"t.csv\"", "shot,rl,n,e\nA,1,2,3\n"});
  REQUIRE(out->problems().size() >= 1);
  CHECK(after(out->problems()[0].text, "; try ") ==
        "shots = { file = \"t.csv\", rename = { rl = \"elevation\", n = \"northing\", e = \"easting\" } }");
  const auto half = read({"plumb", "marks = \"t.csv\"", "point,elevation,n,e\nA,1,2,3\n"});
  REQUIRE(half->problems().size() == 1);
  CHECK(after(half->problems()[0].text, "; try ") ==
        "marks = { file = \"t.csv\", rename = { n = \"northing\", e = \"easting\" } }");
  // Beside x and y they would be a second place.
  const auto two = read({"plumb", "marks = \"t.csv\"", "no,x,y,n,e\nA,1,2,3,4\n"});
  REQUIRE(two->problems().size() == 1);
  CHECK(after(two->problems()[0].text, "; try ") ==
        "marks = { file = \"t.csv\", rename = { no = \"point\" } }");
}

TEST_CASE("an unknown word that looks like a column which the file lacks is a doubt with the line") {
  const auto out = read(control_of("point,northing,easting,elev"));
  CHECK(out->problems().empty());
  REQUIRE(out->doubts().size() == 1);
  CHECK(message_line(out->doubts()[0]) ==
        "t.csv:1:24: header: column \"elev\" looks like elevation and is not used; to use it: control = { "
        "file = "
        "\"t.csv\", rename = { elev = \"elevation\" } }");
  CHECK(out->messages.sorted(Grade::notice).empty());
  CHECK(!out->job.control.at(0).elevation);  // never taken by itself
  // Beside the column itself it is like any other word.
  const auto both =
      read({"site", "control = \"t.csv\"", "point,northing,easting,elevation,elev\nA,1,2,3,4\n"});
  CHECK(both->doubts().empty());
  CHECK(both->messages.sorted(Grade::notice).size() == 1);
}

TEST_CASE("columns for a file that has a header are one message, with the renames in their place") {
  struct Row {
    std::string columns, header, suggestion;
  };
  for (const Row& r : {
           Row{R"("point", "northing", "easting", "elevation")", "point,northing,easting,elevation",
               "control = \"t.csv\""},
           Row{R"("point", "northing", "easting", "elevation")", "Pt,N (m),E (m),RL",
               "control = { file = \"t.csv\", rename = { pt = \"point\", n = \"northing\", e = \"easting\", "
               "rl "
               "= \"elevation\" } }"},
           Row{R"("point", "northing", "easting", "note")", "mark,nord,easting,text",
               "control = { file = \"t.csv\", rename = { mark = \"point\", nord = \"northing\" } }"},
           // They contradict one another; the line would lose a unit.
           Row{R"("point", "easting", "northing", "elevation")", "point,northing,easting,elevation", ""},
           Row{R"("point", "easting", "northing", "elevation")", "pt,n,e,rl", ""},
           Row{R"x("point", "northing (ft)", "easting (ft)", "elevation")x",
               "point,northing,easting,elevation", ""},
           Row{R"("point", "northing", "easting", "elevation")", "point,northing [m],easting [m],elevation",
               ""},
       }) {
    CAPTURE(r.columns);
    CAPTURE(r.header);
    const auto out = read({"site", "control = { file = \"t.csv\", columns = [" + r.columns + "] }",
                           r.header + "\nA,1,2,3\nB,2,3,4\n"});
    const auto problems = out->problems();
    INFO(shown(problems));
    REQUIRE(problems.size() == 1);
    CHECK(problems[0].field == "header");
    CHECK(problems[0].place.line == 1);
    CHECK(after(problems[0].text, "; try ") == r.suggestion);
  }
  // A row of values is no header, whatever its words.
  const auto plain =
      read({"site", "control = { file = \"t.csv\", columns = [\"point\", \"northing\", \"easting\"] }",
            "N,1 m,2 m\npoint,3,4\n"});
  CHECK(plain->problems().empty());
  CHECK(plain->job.control.size() == 2);
}

TEST_CASE("neither a header nor columns: the orders are offered where there are two") {
  const auto out = read({"site", "control = \"t.csv\"", "A,1,2\nB,3,4\n"});
  REQUIRE(out->problems().size() == 1);
  const std::string text = out->problems()[0].text;
  CHECK(text.find(
            "control = { file = \"t.csv\", columns = [\"point\", \"northing\", \"easting\"] } or control = "
            "{ file = \"t.csv\", columns = [\"point\", \"easting\", \"northing\"] }, as the columns "
            "stand") != std::string::npos);
  for (const char* table : {"A,1,2,3\n", "101,1,2\n"}) {
    CAPTURE(table);
    const auto open = read({"site", "control = \"t.csv\"", table});
    REQUIRE(open->problems().size() == 1);
    CHECK(open->problems()[0].text.find("columns = [") == std::string::npos);
    CHECK(open->problems()[0].text.find("the names of its ") != std::string::npos);
  }
}

TEST_CASE("columns without a name are told once; row numbers in front are read over") {
  struct Row {
    std::string table;
    std::size_t problems, notices, points;
    std::string words;
  };
  for (const Row& r : {
           Row{",point,northing,easting\n0,A,1,2\n1,B,3,4\n2,C,5,6\n", 0, 1, 3, "counts the rows"},
           Row{",point,northing,easting\n3,A,1,2\n7,B,3,4\n9,C,5,6\n", 0, 1, 3, "counts the rows"},
           Row{",point,northing,easting\n3,A,1,2\n2,B,3,4\n9,C,5,6\n", 1, 0, 3,
               "found \"3\" under a column without a name, and 2 values more so"},
           Row{",point,northing,easting\n1,A,1,2\n,B,3,4\n", 1, 0, 2,
               "found \"1\" under a column without a name,"},
           Row{"point,northing,,easting\nA,1,0,2\nB,3,1,4\n", 1, 0, 2,
               "found \"0\" under a column without a name, and a value more so"},
           Row{"point,northing,,easting\nA,1,,2\nB,3,,4\n", 0, 0, 2, ""},
       }) {
    CAPTURE(r.table);
    const auto out = read({"site", "control = \"t.csv\"", r.table});
    const auto problems = out->problems(), notices = out->messages.sorted(Grade::notice);
    INFO(shown(problems), shown(notices));
    CHECK(problems.size() == r.problems);
    CHECK(notices.size() == r.notices);
    CHECK(out->job.control.size() == r.points);
    CHECK((shown(problems) + shown(notices)).find(r.words) != std::string::npos);
  }
}

namespace {

/// Tables with a header of random words: the program's own and those of lists found elsewhere, among noise.
class RandomHeaders {
 public:
  explicit RandomHeaders(std::uint32_t seed) : random_(seed) {}

  struct Made {
    Trial trial;
    std::string key;
  };
  Made make() {
    switch (random_() % 6) {
      case 0:
        return table<control::Terms>("site", "control");
      case 1:
        return table<deck_shots::Terms>("deck", "shots");
      case 2:
        return table<deck_marks::Terms>("plumb", "marks");
      case 3:
        return table<asbuilt_shots::Terms>("asbuilt", "shots");
      case 4:
        return table<ties::Terms>("baselines", "ties");
      default:
        return table<drawing_points::Terms>("drawing", "points");
    }
  }

 private:
  bool chance(std::uint32_t one_in) { return random_() % one_in == 0; }
  template <class C>
  const auto& pick(const C& from) {
    return from[random_() % from.size()];
  }

  std::string spelt(std::string word) {
    if (chance(3))
      for (char& c : word)
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (chance(4)) std::ranges::replace(word, '_', chance(2) ? ' ' : '-');
    if (chance(8)) word += '.';
    return word;
  }

  template <class Terms>
  Made table(const std::string& section, const std::string& key) {
    header_.clear();
    cells_.clear();
    Terms::each([&]<class Cell>(const Column<Cell>& c) {
      if (c.stands == Stands::optional && c.found_as.empty() && !chance(6)) return;
      if (c.stands == Stands::optional && chance(4)) return;
      const bool own = c.found_as.empty() || chance(2);
      std::string head = spelt(own ? std::string(c.name) : std::string(pick(c.found_as)));
      if (own) head = std::string(c.name);
      if (std::is_same_v<Cell, LengthCell> && chance(3)) head += " (m)";
      add(head, std::is_same_v<Cell, NameCell> ? "A1" : std::is_same_v<Cell, TextCell> ? "" : "0.02");
    });
    for (const char* noise : {"code", "remarks", "layer \"2\"", "grad\u00E9", "no", "h", "name"})
      if (chance(6)) add(noise, "q");
    std::vector<std::size_t> order(header_.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::shuffle(order.begin(), order.end(), random_);
    const char separator = chance(3) ? ';' : ',';
    std::string head, row;
    for (const std::size_t i : order) {
      if (!head.empty()) head += separator, row += separator;
      head += header_[i].find('"') == std::string::npos ? header_[i] : "\"layer \"\"2\"\"\"";
      row += cells_[i];
    }
    const bool framed = key != "points" && chance(3);
    const std::string value = framed ? "{ file = \"t.csv\", frame = \"ground\" }" : "\"t.csv\"";
    return {{section, key + " = " + value, head + "\n" + row + "\n"}, key};
  }

  void add(const std::string& head, const std::string& cell) {
    const auto word = [](const std::string& h) {
      std::string out;
      for (const char c : h.substr(0, h.find('(')))
        if (c != ' ') out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
      return out;
    };
    for (const std::string& h : header_)
      if (word(h) == word(head)) return;
    header_.push_back(head);
    cells_.push_back(cell);
  }

  std::mt19937 random_;
  std::vector<std::string> header_, cells_;
};

/// The offer of a problem or a doubt of the header.
struct Offered {
  std::string line, expected;  ///< of a problem: what it expected
};
Offered offered(const Told& out) {
  for (const Message& m : out.problems())
    if (m.field == "header" && m.text.find("; try ") != std::string::npos &&
        m.text.find("rename = {") != std::string::npos)
      return {after(m.text, "; try "), after(m.text.substr(0, m.text.find("; try ")), ", expected ")};
  for (const Message& m : out.doubts())
    if (m.field == "header") return {after(m.text, "to use it: "), ""};
  return {};
}

/// The header with the words that the line renames, written as the program has them.
std::string written_out(std::string table, const std::string& line) {
  const std::string pairs = after(line, "rename = {");
  static const std::regex pair(R"re((?:"([^"]*)"|([\w-]+)) = "(\w+)")re");
  for (std::sregex_iterator at(pairs.begin(), pairs.end(), pair), end; at != end; ++at) {
    const std::string word = (*at)[1].matched ? (*at)[1].str() : (*at)[2].str();
    const std::string head = table.substr(0, table.find('\n'));
    for (std::size_t from = 0; from <= head.size();) {
      const std::size_t to = std::min(head.find_first_of(",;", from), head.size());
      std::string cell = head.substr(from, to - from);
      cell = cell.substr(0, cell.find(" ("));
      std::ranges::transform(cell, cell.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
      });
      if (cell == word) {
        table.replace(from, cell.size(), (*at)[3].str());
        break;
      }
      from = to + 1;
    }
  }
  return table;
}

/// What was expected at each problem, and each doubt but its file's own words.
std::vector<std::string> expected_of(const Told& out) {
  std::vector<std::string> all;
  for (const Message& m : out.problems()) all.push_back(m.field + ": " + after(m.text, ", expected "));
  for (const Message& m : out.doubts())
    all.push_back(m.field + ": " + m.text.substr(0, m.text.find(" (column ")));
  std::ranges::sort(all);
  return all;
}

}  // namespace

TEST_CASE("law: the line that is offered can be pasted, and is as good as the words written in the file") {
  RandomHeaders random(1);
  int pasted = 0, doubted = 0, whole = 0;
  for (int i = 0; i < 3000; ++i) {
    const auto made = random.make();
    const auto before = read(made.trial);
    const Offered offer = offered(*before);
    const std::string &line = offer.line, &expected = offer.expected;
    if (line.empty()) continue;
    CAPTURE(made.trial.table);
    CAPTURE(line);
    REQUIRE(line.rfind(made.key + " = ", 0) == 0);
    CHECK((made.trial.line.find("frame = \"ground\"") == std::string::npos) ==
          (line.find("frame = \"ground\"") == std::string::npos));
    Trial with_line = made.trial, with_words = made.trial;
    with_line.line = line;
    with_words.table = written_out(made.trial.table, line);
    REQUIRE(with_words.table != made.trial.table);
    const auto then = read(with_line), written = read(with_words);
    CHECK(expected_of(*then) == expected_of(*written));
    for (const Message& m : then->problems()) {
      CHECK(m.file == "t.csv");
      if (!expected.empty()) CHECK(after(m.text, ", expected ").rfind(expected, 0) != 0);
      CHECK(m.text.find("rename") == std::string::npos);  // one line is enough
      // Two ways can only be the file's own.
      if (line.find("ing\"") != std::string::npos) CHECK(m.text.find("two ways") == std::string::npos);
    }
    for (const Message& m : then->doubts()) CHECK(m.field != "header");
    const auto& a = then->job;
    const auto& b = written->job;
    CHECK(a.control.size() == b.control.size());
    CHECK(a.shots.size() == b.shots.size());
    CHECK(a.ties.size() == b.ties.size());
    CHECK(a.deck_marks.size() == b.deck_marks.size());
    CHECK(a.asbuilt.shots.size() == b.asbuilt.shots.size());
    CHECK(a.marks->size() == b.marks->size());
    ++(expected.empty() ? doubted : pasted);
    whole += then->problems().empty() ? 1 : 0;
  }
  CHECK(pasted > 500);  // the law is not kept by silence
  CHECK(doubted > 30);
  CHECK(whole > 200);
}
