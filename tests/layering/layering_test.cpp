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

/// The rooms, ground first, and the rooms whose headers each may name; what those may name, it may name too.
/// This is the table of the design, with one departure: lift takes the fitted transform, because offsets of
/// deck marks are turned into the drawing's axes with their covariance. A room that is added is added here,
/// with a reason.
const std::vector<std::pair<std::string, std::set<std::string>>>& rooms() {
  static const std::vector<std::pair<std::string, std::set<std::string>>> table = {
      {"measure", {}},
      {"terms", {"measure"}},
      {"plane", {"measure"}},
      {"table", {"measure"}},
      {"adjust", {"measure"}},
      {"marks", {"measure", "table"}},
      {"transform", {"measure", "adjust"}},
      {"baseline", {"marks", "transform", "adjust"}},
      {"lift", {"marks", "plane", "adjust", "transform"}},
      {"hanger", {"marks", "plane", "lift"}},
      {"station", {"marks", "plane", "transform", "adjust"}},
      {"asbuilt", {"marks", "plane", "station", "adjust"}},
      {"exporter", {"marks", "table"}},
      {"report",
       {"measure", "plane", "table", "adjust", "marks", "transform", "baseline", "lift", "hanger", "station",
        "asbuilt"}},
      {"job", {"terms", "table", "marks"}},  // and headers of other rooms that define their options
      {"work",
       {"measure", "plane", "table", "adjust", "marks", "transform", "baseline", "lift", "hanger", "station",
        "asbuilt", "exporter", "report", "job"}},
      {"cmd", {"job", "work", "report", "exporter"}},
  };
  return table;
}

std::size_t place_of(const std::string& room) {
  const auto at =
      std::find_if(rooms().begin(), rooms().end(), [&](const auto& r) { return r.first == room; });
  return static_cast<std::size_t>(at - rooms().begin());
}

bool is_room(const std::string& name) { return place_of(name) < rooms().size(); }

/// The rooms that a room may name, its own included. `cmd` gets no more of work and report than they
/// themselves: it prints results and computes none.
std::set<std::string> allowed(const std::string& room) {
  std::set<std::string> out = {room};
  for (const std::string& lower : rooms()[place_of(room)].second) {
    out.insert(lower);
    if (room == "cmd" && (lower == "work" || lower == "report")) continue;
    const std::set<std::string> below = allowed(lower);
    out.insert(below.begin(), below.end());
  }
  return out;
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
                            {"fmt/", ""}};

bool begins(const std::string& text, const std::string& start) {
  return text.compare(0, start.size(), start) == 0;
}

void check_room_include(const Source& file, const std::string& target, const Headers& headers,
                        std::vector<std::string>& out) {
  const std::string room = file.room(), other = target.substr(0, target.find('/'));
  if (!is_room(other)) {
    out.push_back(file.path + ": \"" + target + "\" is in no room");
    return;
  }
  if (other == room) return;
  if (headers.count(target) == 0)
    out.push_back(file.path + ": \"" + target + "\" is not among the headers that the room " + other +
                  " shows");
  if (other == "job" && room != "work" && room != "cmd") {
    out.push_back(file.path + ": only work and cmd know job");
  } else if (place_of(other) > place_of(room)) {
    out.push_back(file.path + ": \"" + target + "\" points upward");
  } else if (allowed(room).count(other) == 0) {
    const bool options = room == "job" && headers.count(target) > 0 && defines_options(headers.at(target));
    if (!options) out.push_back(file.path + ": the room " + room + " may not know " + other);
  }
}

/// What is wrong with the includes and the words of one file.
std::vector<std::string> faults_of(const Source& file, const Headers& headers) {
  static const std::regex include(R"(^\s*#\s*include\s*([<"])([^>"]+)[>"])");
  std::vector<std::string> out;
  std::istringstream lines(file.text);
  for (std::string line; std::getline(lines, line);) {
    if (line.find("std::cout") != std::string::npos && file.path != "cmd/main.cpp")
      out.push_back(file.path + ": std::cout stands outside cmd/main.cpp");
    std::smatch match;
    if (!std::regex_search(line, match, include)) continue;
    const std::string target = match[2];
    if (match[1] == "\"") {
      if (target.find('/') != std::string::npos) check_room_include(file, target, headers, out);
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
std::set<std::string> linked(const std::string& room, const std::string& cmake) {
  std::set<std::string> out;
  for (const std::string& word : listed(cmake, "ROOMS")) out.insert(word);
  for (const std::string& word : words_of(cmake)) {
    const std::string name = begins(word, "deckmark_") ? word.substr(9) : "";
    if (is_room(name) && name != room) out.insert(name);
  }
  return out;
}

std::vector<std::string> faults_of_links(const std::string& room, const std::string& cmake) {
  std::vector<std::string> out;
  for (const std::string& other : linked(room, cmake)) {
    if (!is_room(other)) {
      out.push_back(room + " links " + other + ", which is no room");
    } else if (place_of(other) > place_of(room)) {
      out.push_back(room + " links " + other + ", which is above it");
    } else if (room != "job" &&
               allowed(room).count(other) == 0) {  // job links every room whose options it fills
      out.push_back(room + " may not link " + other);
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

std::map<std::string, std::string> link_lists() {
  std::map<std::string, std::string> out;
  for (const auto& [room, below] : rooms()) {
    const fs::path path = (room == "cmd" ? kTop / "cmd" : kTop / "lib" / room) / "CMakeLists.txt";
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
  for (const Source& file : files) report(faults_of(file, headers));
}

TEST_CASE("no link list points upward") {
  const auto lists = link_lists();
  CHECK(lists.size() > 5);
  for (const auto& [room, cmake] : lists) report(faults_of_links(room, cmake));
}

TEST_CASE("every folder of lib is a room") {
  for (const auto& entry : fs::directory_iterator(kTop / "lib")) {
    if (entry.is_directory())
      CHECK_MESSAGE(is_room(entry.path().filename().string()), entry.path().filename().string());
  }
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
    CHECK(faults_of({r.path, r.text}, headers).empty() == r.good);
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
    CHECK(faults_of_links(r.room, r.cmake).empty() == r.good);
  }
}
