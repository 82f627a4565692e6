// Reads every #include and every link list of lib/ and cmd/ and fails when one points upward.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "support/temp_folder.h"

namespace fs = std::filesystem;
using deckmark_test::read_bytes;

namespace {

const fs::path kTop = fs::path(DECKMARK_TESTS_DIR).parent_path();

/// One row of the table of rooms in DEVELOPERS.md.
struct Room {
  std::string name;
  std::set<std::string> below;  ///< rooms that the row names; what those name comes with them
  bool option_headers = false;  ///< headers of any room above the row too, where they define options
};

/// The table of rooms, ground first, and what is wrong with it.
struct House {
  std::vector<Room> rooms;
  std::vector<std::string> faults;

  const Room* find(const std::string& name) const {
    const auto at = std::find_if(rooms.begin(), rooms.end(), [&](const Room& r) { return r.name == name; });
    return at == rooms.end() ? nullptr : &*at;
  }
};

/// Text between the bars of a row of a table, blanks and backquotes left out at both ends.
std::vector<std::string> cells_of(const std::string& row) {
  std::vector<std::string> out;
  std::istringstream in(row.substr(row.empty() ? 0 : 1));
  for (std::string cell; std::getline(in, cell, '|');) {
    const auto first = cell.find_first_not_of(" `"), last = cell.find_last_not_of(" `\r");
    out.push_back(first == std::string::npos ? "" : cell.substr(first, last - first + 1));
  }
  return out;
}

/// Reads the last cell of a row: `-`, rooms by name, `all` or `all above` with `but` and rooms, `option
/// headers`.
void read_includes(const std::string& cell, Room& room, House& house) {
  std::istringstream words(std::regex_replace(cell, std::regex("[,`]"), " "));
  bool but = false;
  for (std::string word; words >> word;) {
    if (word == "all") {
      for (const Room& above : house.rooms) room.below.insert(above.name);
    } else if (word == "but") {
      but = true;
    } else if (word == "option") {
      room.option_headers = true;
    } else if (word == "-" || word == "above" || word == "headers") {
      continue;
    } else if (house.find(word) == nullptr) {
      house.faults.push_back("the row of " + room.name + " names " + word + ", which is no room above it");
    } else if (but) {
      room.below.erase(word);
    } else {
      room.below.insert(word);
    }
  }
}

/// The house as the table under "| room | holds | includes |" states it.
House read_house(const std::string& markdown) {
  House house;
  std::istringstream lines(markdown);
  std::string line;
  const std::vector<std::string> head = {"room", "holds", "includes"};
  while (std::getline(lines, line) && cells_of(line) != head) continue;
  std::getline(lines, line);  // | --- |
  while (std::getline(lines, line) && !line.empty() && line[0] == '|') {
    const std::vector<std::string> cells = cells_of(line);
    if (cells.size() < 3 || cells[0].empty()) {
      house.faults.push_back("this row does not have three cells: " + line);
      continue;
    }
    Room room{cells[0], {}};
    if (house.find(room.name) != nullptr) house.faults.push_back(room.name + " has two rows");
    read_includes(cells[2], room, house);
    house.rooms.push_back(room);
  }
  if (house.rooms.empty()) house.faults.push_back("there is no table of rooms");
  return house;
}

const House& our_house() {
  static const House house = read_house(read_bytes(kTop / "DEVELOPERS.md"));
  return house;
}

/// The rooms that a room may name, its own included. `cmd` gets no more of work and report than they
/// themselves: it prints results and computes none.
std::set<std::string> allowed(const House& house, const std::string& name) {
  std::set<std::string> out = {name};
  const Room* room = house.find(name);
  if (room == nullptr) return out;
  for (const std::string& lower : room->below) {
    out.insert(lower);
    if (name == "cmd" && (lower == "work" || lower == "report")) continue;
    const std::set<std::string> under = allowed(house, lower);
    out.insert(under.begin(), under.end());
  }
  return out;
}

bool is_above(const House& house, const std::string& other, const std::string& room) {
  return house.find(other) > house.find(room);  // both in one vector
}

bool defines_options(const std::string& header) {
  static const std::regex pattern(R"(struct \w*Options\b)");
  return std::regex_search(header, pattern);
}

/// What the test knows of one file: path from the top (lib/ROOM/... or cmd/...), and text.
struct Source {
  std::string path, text;
  std::string room() const {
    const fs::path p(path);
    auto part = p.begin();
    return *part == "cmd" ? "cmd" : (++part)->string();
  }
  bool is_header() const { return fs::path(path).extension() == ".h"; }
};

using Headers =
    std::map<std::string, std::string>;  ///< public headers of all rooms, "room/header.h", and their text

/// Third-party headers that are heavy: where they may stand, as the beginning of a path; never in a header.
struct Heavy {
  const char *prefix, *only_in;
};
constexpr Heavy kHeavy[] = {{"Eigen/", "lib/adjust/"},
                            {"toml++/", "lib/job/"},
                            {"toml.hpp", "lib/job/"},
                            {"proj", "lib/transform/"},
                            {"GeographicLib/", "lib/"},
                            {"boost/program_options", "cmd/options.cpp"},
                            {"boost/math/", "lib/"},
                            {"boost/multiprecision/", "lib/"},
                            {"nlohmann/", "lib/work/answer_json.cpp"},
                            {"fmt/", ""}};

bool begins(const std::string& text, const std::string& start) {
  return text.compare(0, start.size(), start) == 0;
}

/// What the #include lines of a text name, with the sign in front: <fmt/format.h or "job/job.h.
std::vector<std::string> includes_of(const std::string& text) {
  static const std::regex include(R"(^\s*#\s*include\s*([<"][^>"]+)[>"])");
  std::vector<std::string> out;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::smatch match;
    if (std::regex_search(line, match, include)) out.push_back(match[1]);
  }
  return out;
}

const std::string kWholeJob = "job/job.h";

/// Whether including `target` brings in job/job.h, itself or through headers of our rooms.
bool reaches_whole_job(const std::string& target, const Headers& headers, std::set<std::string>& seen) {
  if (target == kWholeJob) return true;
  const auto at = headers.find(target);
  if (at == headers.end() || !seen.insert(target).second) return false;
  const std::vector<std::string> next = includes_of(at->second);
  return std::any_of(next.begin(), next.end(), [&](const std::string& name) {
    return name[0] == '"' && reaches_whole_job(name.substr(1), headers, seen);
  });
}

void check_room_include(const House& house, const Source& file, const std::string& target,
                        const Headers& headers, std::vector<std::string>& out) {
  const std::string room = file.room(), other = target.substr(0, target.find('/'));
  if (house.find(other) == nullptr) {
    out.push_back(file.path + ": \"" + target + "\" is in no room");
    return;
  }
  if (other == room) return;
  if (headers.count(target) == 0)
    out.push_back(file.path + ": \"" + target + "\" is not among the headers that the room " + other +
                  " shows");
  std::set<std::string> seen;
  if (is_above(house, other, room)) {
    out.push_back(file.path + ": \"" + target + "\" points upward");
  } else if (allowed(house, room).count(other) == 0) {
    const bool options =
        house.find(room)->option_headers && headers.count(target) > 0 && defines_options(headers.at(target));
    if (!options) out.push_back(file.path + ": the room " + room + " may not know " + other);
  } else if (room != "work" && room != "cmd" && reaches_whole_job(target, headers, seen)) {
    out.push_back(file.path + ": only work and cmd know " + kWholeJob + ", and \"" + target +
                  "\" brings it in");
  }
}

/// What is wrong with the includes and the words of one file.
std::vector<std::string> faults_of(const House& house, const Source& file, const Headers& headers) {
  if (house.find(file.room()) == nullptr) return {file.path + ": the room " + file.room() + " has no row"};
  std::vector<std::string> out;
  if (file.path != "cmd/main.cpp" && file.text.find("std::cout") != std::string::npos)
    out.push_back(file.path + ": std::cout stands outside cmd/main.cpp");
  for (const std::string& named : includes_of(file.text)) {
    const std::string target = named.substr(1);
    if (named[0] == '"') {
      if (target.find('/') != std::string::npos) check_room_include(house, file, target, headers, out);
      continue;
    }
    for (const Heavy& heavy : kHeavy) {
      if (!begins(target, heavy.prefix)) continue;
      if (file.is_header())
        out.push_back(file.path + ": the heavy header <" + target + "> stands in a header");
      if (!begins(file.path, heavy.only_in))
        out.push_back(file.path + ": <" + target + "> belongs in " + heavy.only_in + " alone");
    }
  }
  return out;
}

/// Words of a CMake file, comments left out; brackets are words of their own.
std::vector<std::string> words_of(const std::string& text) {
  static const std::regex comment("#[^\n]*"), bracket("([()])");
  std::istringstream in(std::regex_replace(std::regex_replace(text, comment, ""), bracket, " $1 "));
  std::vector<std::string> out;
  for (std::string word; in >> word;) out.push_back(word);
  return out;
}

/// The words behind KEY in deckmark_room(...), up to the next key.
std::vector<std::string> listed(const std::string& cmake, const std::string& key) {
  static const std::set<std::string> keys = {"HEADERS", "SOURCES", "ROOMS", "PRIVATE"};
  const std::vector<std::string> words = words_of(cmake);
  std::vector<std::string> out;
  auto at = std::find(words.begin(), words.end(), "deckmark_room");
  bool on = false;
  for (; at != words.end() && *at != ")"; ++at) {
    if (keys.count(*at) > 0)
      on = *at == key;
    else if (on)
      out.push_back(*at);
  }
  return out;
}

/// Rooms that a CMake file links: the ROOMS list, and deckmark_ROOM wherever it is named.
std::set<std::string> linked(const House& house, const std::string& room, const std::string& cmake) {
  std::set<std::string> out;
  for (const std::string& word : listed(cmake, "ROOMS")) out.insert(word);
  for (const std::string& word : words_of(cmake)) {
    const std::string name = begins(word, "deckmark_") ? word.substr(9) : "";
    if (house.find(name) != nullptr && name != room) out.insert(name);
  }
  return out;
}

std::vector<std::string> faults_of_links(const House& house, const std::string& room,
                                         const std::string& cmake) {
  if (house.find(room) == nullptr) return {"the room " + room + " has no row"};
  std::vector<std::string> out;
  for (const std::string& other : linked(house, room, cmake)) {
    if (house.find(other) == nullptr) {
      out.push_back(room + " links " + other + ", which is no room");
    } else if (is_above(house, other, room)) {
      out.push_back(room + " links " + other + ", which is above it");
    } else if (!house.find(room)->option_headers && allowed(house, room).count(other) == 0) {
      out.push_back(room + " may not link " +
                    other);  // a room that fills options links the rooms that own them
    }
  }
  return out;
}

std::vector<Source> sources() {
  std::vector<Source> out;
  for (const char* top : {"lib", "cmd"}) {
    for (const auto& entry : fs::recursive_directory_iterator(kTop / top)) {
      const fs::path extension = entry.path().extension();
      if (extension == ".h" || extension == ".cpp")
        out.push_back({entry.path().lexically_relative(kTop).generic_string(), read_bytes(entry.path())});
    }
  }
  return out;
}

std::vector<std::string> folders_of_lib() {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator(kTop / "lib"))
    if (entry.is_directory()) out.push_back(entry.path().filename().string());
  return out;
}

std::map<std::string, std::string> link_lists() {
  std::map<std::string, std::string> out;
  out["cmd"] = read_bytes(kTop / "cmd" / "CMakeLists.txt");
  for (const std::string& room : folders_of_lib()) {
    const fs::path path = kTop / "lib" / room / "CMakeLists.txt";
    if (fs::exists(path)) out[room] = read_bytes(path);
  }
  return out;
}

Headers public_headers() {
  Headers out;
  for (const auto& [room, cmake] : link_lists()) {
    for (const std::string& name : listed(cmake, "HEADERS"))
      out[room + "/" + name] = read_bytes(kTop / "lib" / room / name);
  }
  return out;
}

void report(const std::vector<std::string>& faults) {
  for (const std::string& fault : faults) FAIL_CHECK(fault);
}

}  // namespace

TEST_CASE(
    "no include points upward, past its room's neighbours, or into a private header; heavy headers stay in "
    ".cpp") {
  const Headers headers = public_headers();
  const std::vector<Source> files = sources();
  CHECK(files.size() > 20);
  CHECK(headers.size() > 10);
  for (const Source& file : files) report(faults_of(our_house(), file, headers));
}

TEST_CASE("no link list points upward") {
  const auto lists = link_lists();
  CHECK(lists.size() > 5);
  for (const auto& [room, cmake] : lists) report(faults_of_links(our_house(), room, cmake));
}

TEST_CASE("every folder of lib has a row, every row its folder, and lib/CMakeLists.txt their order") {
  report(our_house().faults);
  std::vector<std::string> rows;
  for (const Room& room : our_house().rooms)
    if (room.name != "cmd") rows.push_back(room.name);
  const std::vector<std::string> folders = folders_of_lib();
  for (const std::string& folder : folders)
    CHECK_MESSAGE(our_house().find(folder) != nullptr, folder, " has no row in DEVELOPERS.md");
  for (const std::string& row : rows)
    CHECK_MESSAGE(std::count(folders.begin(), folders.end(), row) == 1, row, " is no folder of lib");
  std::vector<std::string> added;
  for (const std::string& word : words_of(read_bytes(kTop / "lib" / "CMakeLists.txt")))
    if (std::count(folders.begin(), folders.end(), word) == 1) added.push_back(word);
  CHECK(added == rows);
}

TEST_CASE("the check of includes can fail") {
  const Headers headers = {{"measure/length.h", ""},
                           {"plane/outline.h", ""},
                           {"table/reader.h", ""},
                           {"adjust/solve.h", ""},
                           {"marks/marks.h", ""},
                           {"transform/transform.h", ""},
                           {"baseline/fit.h", "struct TieFitOptions {"},
                           {"station/sights.h", "struct Sight {"},
                           {"exporter/batch.h", ""},
                           {"job/job.h", ""},
                           {"work/run.h", ""},
                           {"report/text.h", ""}};
  struct Row {
    const char *path, *text;
    bool good;
  };
  const Row rows[] = {
      {"lib/baseline/a.cpp", "#include \"adjust/solve.h\"\n", true},
      {"lib/baseline/a.cpp", "#include \"table/reader.h\"\n", true},  // through marks
      {"lib/baseline/a.cpp", "#include \"baseline/fit.h\"\n", true},
      {"lib/baseline/a.cpp", "#include \"plane/outline.h\"\n", false},  // below, but none of its rooms
      {"lib/measure/a.cpp", "#include \"table/reader.h\"\n", false},    // upward
      {"lib/table/a.cpp", "  #  include \"marks/marks.h\"\n", false},
      {"lib/exporter/a.cpp", "#include \"baseline/fit.h\"\n", false},
      {"lib/report/a.cpp", "#include \"exporter/batch.h\"\n", false},
      {"lib/report/a.cpp", "#include \"job/job.h\"\n", false},
      {"lib/station/a.cpp", "#include \"job/job.h\"\n", false},
      {"lib/work/a.cpp", "#include \"job/job.h\"\n", true},
      {"cmd/a.cpp", "#include \"job/job.h\"\n", true},
      {"cmd/a.cpp", "#include \"command.h\"\n", true},
      {"cmd/a.cpp", "#include \"adjust/solve.h\"\n", false},           // no arithmetic in cmd
      {"lib/job/a.cpp", "#include \"baseline/fit.h\"\n", true},        // defines options
      {"lib/job/a.cpp", "#include \"station/sights.h\"\n", false},     // defines none
      {"lib/work/a.cpp", "#include \"baseline/private.h\"\n", false},  // not a header that the room shows
      {"lib/work/a.cpp", "#include \"util/text.h\"\n", false},
      {"lib/adjust/a.h", "#include <Eigen/Dense>\n", false},
      {"lib/adjust/a.cpp", "#include <Eigen/Dense>\n", true},
      {"lib/marks/a.cpp", "#include <Eigen/Dense>\n", false},
      {"lib/job/a.h", "#include <toml++/toml.h>\n", false},
      {"lib/measure/a.h", "#include <fmt/format.h>\n", false},
      {"lib/measure/a.h", "#include <boost/multiprecision/cpp_int.hpp>\n", false},
      {"lib/measure/a.h", "#include <boost/math/distributions.hpp>\n", false},
      {"lib/measure/a.h", "#include <GeographicLib/Math.hpp>\n", false},
      {"lib/transform/a.h", "#include <proj.h>\n", false},
      {"lib/transform/a.cpp", "#include <proj.h>\n", true},
      {"cmd/run.cpp", "#include <boost/program_options.hpp>\n", false},
      {"cmd/options.cpp", "#include <boost/program_options.hpp>\n", true},
      {"lib/report/a.cpp", "std::cout << 1;\n", false},
      {"cmd/run.cpp", "std::cout << 1;\n", false},
      {"cmd/main.cpp", "std::cout << 1;\n", true},
  };
  for (const Row& r : rows) {
    CAPTURE(r.path);
    CAPTURE(r.text);
    CHECK(faults_of(our_house(), {r.path, r.text}, headers).empty() == r.good);
  }
}

TEST_CASE("the check of links can fail") {
  struct Row {
    const char *room, *cmake;
    bool good;
  };
  for (const Row& r :
       {Row{"table", "deckmark_room(table\n  ROOMS measure\n  PRIVATE fmt::fmt)\n", true},
        Row{"table", "deckmark_room(table ROOMS measure marks)\n", false},
        Row{"table", "deckmark_room(table ROOMS measure PRIVATE deckmark_work)\n", false},
        Row{"table",
            "deckmark_room(table ROOMS measure)\ntarget_link_libraries(deckmark_table PUBLIC deckmark_job)\n",
            false},
        Row{"table", "deckmark_room(table ROOMS measure) # deckmark_job\n", true},
        Row{"baseline", "deckmark_room(baseline ROOMS plane)\n", false},
        Row{"table", "deckmark_room(table ROOMS util)\n", false},
        Row{"cmd", "target_link_libraries(deckmark PRIVATE deckmark_work deckmark_flags)\n", true},
        Row{"cmd", "target_link_libraries(deckmark PRIVATE deckmark_adjust)\n", false}}) {
    CAPTURE(r.cmake);
    CHECK(faults_of_links(our_house(), r.room, r.cmake).empty() == r.good);
  }
}

namespace {

/// A small house with every way of stating what a room includes.
const char* const kSketch =
    "| room | holds |\n| --- | --- |\n| `attic` | - |\n\n"
    "| room | holds | includes |\n| --- | --- | --- |\n"
    "| `measure` | lengths | - |\n"
    "| `table` | text | `measure` |\n"
    "| `marks` | marks | measure, table |\n"
    "| `exporter` | files | table |\n"
    "| `report` | words | all above but exporter |\n"
    "| `job` | reads | table, option headers |\n"
    "| `stages` | stages | marks job |\n"
    "| `lists` | lists | stages |\n"
    "| `pages` | pages | all above but lists |\n"
    "| `work` | joins | all |\n"
    "| `cmd` | prints | job work report |\n"
    "\n| `cellar` | nothing | - |\n";

}  // namespace

TEST_CASE("the table of rooms is read as it is meant") {
  const House house = read_house(kSketch);
  report(house.faults);
  REQUIRE(house.rooms.size() == 11);
  using Names = std::set<std::string>;
  CHECK(house.find("measure")->below.empty());
  CHECK(house.find("marks")->below == Names{"measure", "table"});
  CHECK(house.find("report")->below == Names{"measure", "table", "marks"});
  CHECK(house.find("job")->below == Names{"table"});
  CHECK(house.find("job")->option_headers);
  CHECK_FALSE(house.find("stages")->option_headers);
  CHECK(house.find("work")->below.size() == 9);
  CHECK(allowed(house, "lists") == Names{"lists", "stages", "marks", "job", "table", "measure"});
  CHECK(allowed(house, "cmd") == Names{"cmd", "job", "table", "measure", "work", "report"});
  CHECK(house.find("attic") == nullptr);
  CHECK(house.find("cellar") == nullptr);
}

TEST_CASE("a wrong table of rooms is told, and a room without a row ends nothing") {
  const std::string head = "| room | holds | includes |\n| --- | --- | --- |\n| `measure` | lengths | - |\n";
  CHECK(read_house(head).faults.empty());
  for (const char* row :
       {"| `plane` | outlines | mesure |\n", "| `plane` | outlines | plane |\n",
        "| `plane` | outlines | table |\n| `table` | text | measure |\n", "| `measure` | lengths | - |\n",
        "| `plane` | outlines |\n", "| `plane` | outlines | all but tables |\n"}) {
    CAPTURE(row);
    CHECK(read_house(head + row).faults.size() == 1);
  }
  CHECK(read_house("# no table\n").faults.size() == 1);

  const House house = read_house(head);
  CHECK(faults_of(house, {"lib/stages/a.cpp", "#include \"measure/length.h\"\n"}, {}).size() == 1);
  CHECK(faults_of(house, {"lib/measure/a.cpp", "#include \"stages/a.h\"\n"}, {}).size() == 1);
  CHECK(faults_of_links(house, "stages", "deckmark_room(stages ROOMS measure)").size() == 1);
}

TEST_CASE("only work and cmd reach job/job.h; rooms between take other headers of job") {
  const House house = read_house(kSketch);
  const Headers headers = {{"job/job.h", "#include \"job/cuts.h\"\n"},
                           {"job/cuts.h", "#include \"marks/marks.h\"\n"},
                           {"job/keys/deck.h", ""},
                           {"job/all.h", "#include \"job/more.h\"\n#include \"job/cuts.h\"\n"},
                           {"job/more.h", "#include \"job/all.h\"\n#include \"job/job.h\"\n"},
                           {"marks/marks.h", ""},
                           {"lists/rows.h", ""},
                           {"report/text.h", ""},
                           {"exporter/batch.h", "struct ListOptions {"},
                           {"work/run.h", "#include \"job/job.h\"\n"}};
  struct Row {
    const char *path, *target;
    bool good;
  };
  for (const Row& r : {Row{"lib/stages/a.cpp", "job/cuts.h", true},
                       Row{"lib/stages/a.cpp", "job/keys/deck.h", true},
                       Row{"lib/stages/a.cpp", "job/keys/none.h", false},
                       Row{"lib/stages/a.cpp", "keys/deck.h", false},
                       Row{"lib/stages/a.cpp", "job/job.h", false},
                       Row{"lib/stages/a.h", "job/job.h", false},
                       Row{"lib/stages/a.cpp", "job/all.h", false},  // brings job/job.h in
                       Row{"lib/lists/a.cpp", "job/cuts.h", true},
                       Row{"lib/lists/a.cpp", "job/job.h", false},
                       Row{"lib/pages/a.cpp", "job/cuts.h", true},
                       Row{"lib/pages/a.cpp", "job/job.h", false},
                       Row{"lib/pages/a.cpp", "lists/rows.h", false},
                       Row{"lib/stages/a.cpp", "work/run.h", false},
                       Row{"lib/stages/a.cpp", "report/text.h", false},
                       Row{"lib/report/a.cpp", "job/cuts.h", false},
                       Row{"lib/marks/a.cpp", "job/cuts.h", false},
                       Row{"lib/job/keys/a.h", "job/job.h", true},
                       Row{"lib/job/keys/a.h", "marks/marks.h", false},
                       Row{"lib/job/keys/a.h", "exporter/batch.h", true},  // defines options
                       Row{"lib/stages/a.cpp", "exporter/batch.h", false},
                       Row{"lib/work/a.cpp", "job/job.h", true},
                       Row{"lib/work/a.cpp", "job/all.h", true},
                       Row{"cmd/a.cpp", "job/job.h", true},
                       Row{"cmd/a.cpp", "marks/marks.h", false}}) {
    CAPTURE(r.path);
    CAPTURE(r.target);
    const std::string text = "#include \"" + std::string(r.target) + "\"\n";
    CHECK(faults_of(house, {r.path, text}, headers).empty() == r.good);
  }
}
