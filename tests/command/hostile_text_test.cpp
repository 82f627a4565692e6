// Text from outside shows on the screen and in sheets, and never acts there: every command, with hostile text
// in every place that takes text.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

// An escape code, a bell, DEL, C1, direction marks and isolates, a zero-width blank, a line separator, a
// carriage return and a forged line.
const std::string kHostile =
    "a\x1b[31m\a\x7f\u009b2J\u202Eb\u2066c\u061C\u200E\u200B\u2028\r\nFORGED: READY\x1b]0;t\a";

/// The first character that would act on a screen, as its bytes in hexadecimal; empty where there is none.
std::string acting(const std::string& text) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U; };
  for (std::size_t i = 0; i < text.size();) {
    const unsigned lead = byte(i);
    if ((lead < 0x20 && lead != '\n') || lead == 0x7F) return "control " + std::to_string(lead);
    const std::size_t size = lead < 0x80   ? 1
                             : lead < 0xC2 ? 0
                             : lead < 0xE0 ? 2
                             : lead < 0xF0 ? 3
                             : lead < 0xF5 ? 4
                                           : 0;
    if (size == 0 || i + size > text.size()) return "no UTF-8 " + std::to_string(lead);
    unsigned code = size == 1 ? lead : lead & (0x7FU >> size);
    for (std::size_t k = 1; k < size; ++k) {
      if ((byte(i + k) & 0xC0U) != 0x80) return "no UTF-8 " + std::to_string(byte(i + k));
      code = code << 6 | (byte(i + k) & 0x3FU);
    }
    if ((code >= 0x80 && code < 0xA0) || code == 0x61C || (code >= 0x200B && code <= 0x200F) ||
        (code >= 0x2028 && code <= 0x202E) || (code >= 0x2060 && code <= 0x2069) || code == 0xFEFF)
      return "character " + std::to_string(code);
    i += size;
  }
  return "";
}

void check_shown(const std::string& what, const std::string& text) {
  CAPTURE(what);
  CAPTURE(text);
  const std::string found = acting(text);
  if (!found.empty()) CHECK_MESSAGE(found.empty(), found);
  const bool forged = text.starts_with("FORGED") || text.find("\nFORGED") != std::string::npos;
  if (forged) CHECK_MESSAGE(!forged, "a line feed from outside");
}

/// Both streams and every file that a run wrote: texts whole, tables but for their line ends.
CommandResult check_run(const JobFolder& job, const std::vector<std::string>& args) {
  const auto before = job.snapshot();
  const CommandResult result = job.run(args);
  std::string line;
  for (const std::string& a : args) line += a + " ";
  CAPTURE(line);
  check_shown("stdout", result.out);
  check_shown("stderr", result.err);
  for (const auto& [name, bytes] : job.snapshot()) {
    if (before.count(name) && before.at(name) == bytes) continue;
    std::string text;
    for (const char c : bytes)
      if (c != '\r' || !name.ends_with("list.csv")) text += c;
    check_shown(name, text);
  }
  return result;
}

std::string toml(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      out += std::string("\\") + c;
    else if (byte < 0x20 || byte == 0x7F)
      out += std::string("\\u00") + "0123456789ABCDEF"[byte / 16] + "0123456789ABCDEF"[byte % 16];
    else
      out += c;
  }
  return out + "\"";
}

const std::vector<std::string> kCommands{"check", "baseline", "setup",  "stake", "offsets",
                                         "plan",  "asbuilt",  "ground", "run"};

/// A job with something for every command.
struct FullJob {
  std::string top, drawing, site, baselines, deck, list, more;
  std::string text() const {
    return top + "[drawing]\npoints = \"drawing.csv\"\n" + drawing + "[site]\ncontrol = \"control.csv\"\n" +
           site + "[baselines]\nties = \"ties.csv\"\n" + baselines +
           "[floor]\nelevation = \"12 m\"\n[deck]\nelevation = \"16 m\"\n" + deck +
           "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n[offsets]\n" + "[list]\n" + list +
           "[asbuilt]\nshots = \"built.csv\"\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\nobservations = "
           "\"s1.csv\"\n" +
           more;
  }
};

void write_tables(JobFolder& job, const std::string& folder = "") {
  job.write(folder + "drawing.csv",
            "point,x,y,height,kind,run,note\nA,0,0,2,hanger,R1,\nB,9,1,2,hanger,R1,\nC,1,5,2,,R2,\n");
  job.write(folder + "control.csv",
            "point,northing,easting,elevation\nCP1,0,0,12\nCP2,0,30,12\nCP3,20,0,12\n");
  job.write(folder + "ties.csv", "mark,x,y,northing,easting\nB1,0,0,0,0\nB2,20,0,0,20\nB3,0,20,20,0\n");
  job.write(folder + "built.csv", "point,northing,easting\nA,0.001,0\nB,1,9\n");
  job.write(folder + "s1.csv",
            "target,circle,zenith,slope,height,target_height\nCP2,90-00-00,90-00-00,30,1.5,1.5\nCP3,0-00-00,"
            "90-00-00,20,1.5,1.5\n");
}

}  // namespace

TEST_CASE("hostile text: in every key of the job file") {
  // 2026-11-27: a projection's text, a path and the folder of `new` reached the terminal raw.
  JobFolder plain;
  write_tables(plain);
  plain.write("job.toml", FullJob().text());
  const CommandResult good = check_run(plain, {"run", "."});
  CAPTURE(good.err);
  REQUIRE(good.exit_code < 2);  // else what follows is refused for another reason

  const std::string h = toml(kHostile), list = "[" + h + "]";
  std::vector<FullJob> jobs;
  for (const std::string& key : std::vector<std::string>{"title", "revision", "nokey",
                                                         "\"" + std::string("k\\u001B[1m\\u202E") + "\""}) {
    jobs.emplace_back();
    jobs.back().top = key + " = " + h + "\n";
  }
  for (const char* key : {"unit", "mirrored", "runs", "pieces", "dimensions", "lengths", "lines"}) {
    jobs.emplace_back();
    jobs.back().drawing = std::string(key) + " = " + h + "\n";
  }
  for (const char* key : {"unit", "crs", "geographic", "ground_at", "elevation"}) {
    jobs.emplace_back();
    jobs.back().site = std::string(key) + " = " + h + "\n";
  }
  // A definition that the projection library reads, with a text in it.
  jobs.emplace_back();
  jobs.back().site = "crs = " + toml("+proj=utm +zone=32 +ellps=GRS80 +units=m +title=\x1b[31m\u202E") + "\n";
  for (const char* key :
       {"scale", "hold", "azimuth_near", "tie_sd", "tolerance", "signed", "lengths", "dimensions"}) {
    jobs.emplace_back();
    jobs.back().baselines = std::string(key) + " = " + h + "\n";
  }
  for (const char* key : {"shots", "flatness", "bays", "flutes"}) {
    jobs.emplace_back();
    jobs.back().deck = std::string(key) + " = " + h + "\n";
  }
  for (const char* key : {"columns", "description", "only"}) {
    jobs.emplace_back();
    jobs.back().list = std::string(key) + " = " + list + "\n";
  }
  for (const char* key :
       {"unit", "decimals", "header", "separator", "decimal_mark", "line_end", "order", "split", "frame"}) {
    jobs.emplace_back();
    jobs.back().list = std::string(key) + " = " + h + "\n";
  }
  for (const std::string& more : std::vector<std::string>{
           "[numbers]\nledger = " + h, "[numbers]\nstart = " + h, "[plumb]\nmarks = " + h,
           "[plumb]\nslope = " + h, "[hangers]\nheight = " + h, "[hangers]\nstock = " + h,
           "[obstructions]\noutlines = " + h, "[[setup]]\nname = " + h, "[[setup]]\nname = \"S2\"\nat = " + h,
           "[[setup]]\nname = \"S2\"\nat = \"CP2\"\nplan = " + list, "[stake]\norder = " + h,
           "[" + h + "]\na = 1", "[numbers]\n\"l\\u001Bdger\" = 1",
           "[numbers]\nledger = " + toml("n\x1b[31m\u202E.csv")}) {
    jobs.emplace_back();
    jobs.back().more = more + "\n";
  }
  for (const FullJob& full : jobs) {
    JobFolder job;
    write_tables(job);
    job.write("job.toml", full.text());
    CAPTURE(full.text());
    for (const std::string& command : {std::string("check"), std::string("run")})
      check_run(job, {command, "."});
  }
  // Not TOML: the line is quoted.
  for (const std::string& line : std::vector<std::string>{"ti\x1b[31mtle = \"a", "title = \"a\u202E\x1b\"\n",
                                                          "[dra\u2066wing", "x \x7f= = 1"}) {
    JobFolder job;
    job.write("job.toml", line + "\n");
    CHECK(check_run(job, {"check", "."}).exit_code == 2);
  }
}

TEST_CASE("hostile text: in every cell and header") {
  const std::string cell = csv_cell(kHostile);
  for (const char* file : {"drawing.csv", "control.csv", "ties.csv", "built.csv", "s1.csv"}) {
    JobFolder good;
    write_tables(good);
    const auto rows = csv_rows(good.read(file));
    for (std::size_t r = 0; r < 2; ++r)
      for (std::size_t c = 0; c < rows[r].size(); ++c)
        for (const std::string& hostile :
             {kHostile, rows[r][c] + "\x1b[31m\u202E\u200B", std::string("\xff\x1b")}) {
          JobFolder job;
          write_tables(job);
          job.write("job.toml", FullJob().text());
          auto changed = rows;
          changed[r][c] = hostile;
          std::string bytes;
          for (const auto& row : changed)
            for (std::size_t k = 0; k < row.size(); ++k)
              bytes += csv_cell(row[k]) + (k + 1 < row.size() ? "," : "\n");
          job.write(file, bytes);
          CAPTURE(file);
          check_run(job, {"run", "."});
          if (r == 1) check_run(job, {"check", ".", "--csv"});
        }
  }
}

TEST_CASE("hostile text: in arguments and paths") {
  JobFolder job;
  write_tables(job);
  job.write("job.toml", FullJob().text());
  const std::string h = kHostile, raw = "p\xff\x1b[31m\nFORGED";
  for (const std::string& word : {h, raw}) {
    for (const std::string& command : kCommands) {
      check_run(job, {command, word});
      check_run(job, {command, ".", word});
      check_run(job, {command, ".", "--" + word});
      check_run(job, {command, ".", "--color", word});
    }
    check_run(job, {word});
    check_run(job, {"check", ".", "--out", word});
    check_run(job, {"stake", ".", "--setup", word});
    check_run(job, {"plan", ".", "--setup", word});
    check_run(job, {"new", word, "--units", word});
    check_run(job, {"fieldtest", word});
    check_run(job, {"fieldtest", "s1.csv", "--sd", word});
    check_run(job, {"fieldtest", "s1.csv", "--with", word});
    for (const char* option : {"--by", "--on", "--accept-outside"})
      check_run(job, {"baseline", ".", "--sign", "f.toml", "--by", "x", "--on", "2026-11-25", option, word});
  }
  // Folders and files that really bear such names.
  const std::string folder = "d\x1b[31m\n\u202E\x7f";
  check_run(job, {"new", folder});
  check_run(job, {"new", folder});
  for (const std::string& command : kCommands) {
    CAPTURE(command);
    CHECK(check_run(job, {command, folder}).exit_code <= 2);
  }
  std::filesystem::rename(job.path() / folder / "job.toml", job.path() / folder / "j\x1b[31m\nFORGED.toml");
  for (const std::string& command : kCommands) check_run(job, {command, folder + "/j\x1b[31m\nFORGED.toml"});
  CHECK(check_run(job, {"run", ".", "--out", "o\x1b\nFORGED"}).exit_code < 2);
  CHECK(check_run(job, {"baseline", ".", "--sign", "s\x1b\nFORGED.toml", "--by", "x", "--on", "2026-11-25"})
            .exit_code < 2);
  job.write("t\x1b\nFORGED.csv", "from,to,distance (m)\n1,2,10\n1,3,20\n2,3,10.001\n");
  CHECK(check_run(job, {"fieldtest", "t\x1b\nFORGED.csv"}).exit_code == 0);
  CHECK(check_run(job, {"fieldtest", "t\x1b\nFORGED.csv", "--with", "./t\x1b\nFORGED.csv"}).exit_code <= 2);
  // The system's own words about a path.
  job.write("file\x1b\nFORGED", "");
  check_run(job, {"new", "file\x1b\nFORGED/inside"});
  check_run(job, {"run", ".", "--out", "file\x1b\nFORGED/inside"});
}

TEST_CASE("hostile text: the program's own colours and line ends survive") {
  JobFolder job;
  job.write("job.toml", "title = 5\nrevision = \"\\u001B[1m\"\n[drawing]\npoints = \"d.csv\"\n");
  job.write("d.csv", "point,x,y\nA,0,0\n");
  const CommandResult result = job.run({"check", ".", "--color", "always"});
  CHECK(result.err.find("\x1b[31mjob.toml:1:9: title:") != std::string::npos);
  CHECK(result.err.find("\x1b[0m\n") != std::string::npos);
  CHECK(result.err.find("U+001B[1m") != std::string::npos);
  CHECK(result.err.find("\x1b[1m") == std::string::npos);
}
