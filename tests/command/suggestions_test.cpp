// The law of suggestions through the real program: what a problem says to try is taken in the same cell or
// key, and is the one value that was meant there. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "job_folder.h"
#include "property/awkward_text.h"
#include "property/suggestion_judge.h"

using namespace deckmark_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr std::size_t kShare = 20;
#else
constexpr std::size_t kShare = 1;
#endif
constexpr std::size_t kRows = 90;  // a file tells 100 problems

/// Whether one more is drawn: the share of `most`, and on until more than the share of `least` came of it.
bool draws_on(std::size_t drawn, std::size_t most, std::size_t offered, std::size_t least) {
  return drawn < most / kShare || (drawn < most && offered <= least / kShare);
}

/// What a line of a table can hold in one cell.
std::string in_one_cell(std::string text) {
  std::erase_if(text, [](char c) { return c == '\n' || c == '\r' || c == '\0'; });
  return text;
}

struct UnitAndSeparator {
  std::string unit;
  char separator;
};

/// A job with a column of lengths in which every cell may be anything.
struct ColumnOfLengths {
  std::string file, field;
  std::string before, behind;  ///< the other cells of a row, with commas
  std::string job;             ///< with UNIT where the unit stands
  std::string good;            ///< a cell that is taken
};

void replace_all(std::string& text, const std::string& what, const std::string& with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

std::string table_of(const ColumnOfLengths& column, const std::vector<std::string>& cells, char separator) {
  const std::string s(1, separator);
  std::string before = column.before, behind = column.behind,
              header = column.file == "ties.csv" ? "mark,x,y,northing,easting,sd\n" : "point,x,y\n";
  for (std::string* part : {&before, &behind, &header}) replace_all(*part, ",", s);
  std::string bytes = header;
  for (std::size_t i = 0; i < cells.size(); ++i)
    bytes += "P" + std::to_string(i) + before + csv_cell(cells[i], separator) + behind + "\n";
  return bytes;
}

/// Tells random cells of the column, types what is suggested into them, and returns how many there were.
std::size_t check_cells(const ColumnOfLengths& column, AwkwardText& random, std::size_t runs) {
  const std::vector<UnitAndSeparator> forms{{"m", ','},     {"ft-in", ','}, {"ft", ','},
                                            {"us-ft", ','}, {"mm", ';'},    {"ft-in", '\t'}};
  std::size_t offered = 0;
  for (std::size_t run = 0; run < runs; ++run) {
    const UnitAndSeparator& form = random.pick(forms);
    std::vector<std::string> cells;
    while (cells.size() < kRows) cells.push_back(in_one_cell(random.length()));
    JobFolder job;
    std::string toml = column.job;
    replace_all(toml, "UNIT", form.unit);
    job.write("job.toml", toml);
    job.write("d.csv", "point,x,y\nA,0 m,0 m\nB,9 m,1 m\n");
    job.write(column.file, table_of(column, cells, form.separator));
    std::vector<std::string> mended(kRows, column.good);
    std::vector<bool> changed(kRows, false);
    for (const ToldLine& told : problem_lines(job.run({"check", "."}).err)) {
      const std::string suggestion = suggestion_of(told);
      if (told.file != column.file || told.field != column.field || suggestion.empty()) continue;
      if (suggestion == "saving the file as UTF-8") continue;  // what to do, not what to type
      const std::size_t row = told.line - 2;
      REQUIRE(row < kRows);
      mended[row] = suggestion;
      changed[row] = true;
      ++offered;
      CAPTURE(form.unit);
      CAPTURE(cells[row]);
      CAPTURE(suggestion);
      const auto with_points = [&](std::string s) {
        if (form.separator != ',') std::replace(s.begin(), s.end(), ',', '.');
        return s;
      };
      std::string why = why_not_the_same(cells[row], suggestion);
      if (!why.empty() && form.separator != ',')
        why = why_not_the_same(with_points(cells[row]), with_points(suggestion));
      if (!why.empty()) CHECK_MESSAGE(why.empty(), why);
    }
    job.write(column.file, table_of(column, mended, form.separator));
    for (const ToldLine& told : problem_lines(job.run({"check", "."}).err)) {
      if (told.file != column.file || told.field != column.field) continue;
      CAPTURE(form.unit);
      CAPTURE(told.text);
      CAPTURE(cells.at(told.line - 2));
      CAPTURE(mended.at(told.line - 2));
      CHECK_MESSAGE(!changed.at(told.line - 2), "a suggestion is refused");
    }
  }
  return offered;
}

}  // namespace

TEST_CASE("suggestions: in cells of lengths") {
  // 2026-11-27: a no-break blank in a suggestion was printed as U+00A0, and a foot was suggested that the
  // column refused.
  AwkwardText random;
  const ColumnOfLengths column{"d.csv", "x", ",", ",0", "[drawing]\npoints = \"d.csv\"\nunit = \"UNIT\"\n",
                               "0 m"};
  CHECK(check_cells(column, random, 80 / kShare) > 200 / kShare);
}

TEST_CASE("suggestions: in cells of standard deviations") {
  // 2026-11-27: a minus was suggested where only a length above zero is taken.
  AwkwardText random;
  const ColumnOfLengths column{"ties.csv",
                               "sd",
                               ",0 m,0 m,0 m,0 m,",
                               "",
                               "[drawing]\npoints = \"d.csv\"\n[site]\nunit = \"UNIT\"\n"
                               "[baselines]\nties = \"ties.csv\"\n",
                               "2 mm"};
  CHECK(check_cells(column, random, 80 / kShare) > 50 / kShare);
}

namespace {

struct Key {
  std::string section, name;
  enum class Kind { length, angle, count } kind;
  std::string text(AwkwardText& random) const {
    std::string out = in_one_cell(kind == Kind::angle   ? random.angle()
                                  : kind == Kind::count ? random.number()
                                                        : random.length());
    std::erase_if(out, [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; });
    return out;
  }
  std::string why_not(const std::string& text, const std::string& suggestion) const {
    return kind == Kind::angle ? why_not_the_same_angle(text, suggestion, false)
                               : why_not_the_same(text, suggestion);
  }
};

/// A byte that is no UTF-8 is told of the whole file, and no key of it is read then.
bool is_text(const std::string& text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(i < text.size() ? text[i] : 0); };
  for (std::size_t i = 0; i < text.size();) {
    const unsigned lead = byte(i++);
    if (lead >= 0x80 && lead < 0xC2) return false;
    for (std::size_t n = lead < 0xC2 ? 0 : lead < 0xE0 ? 1 : lead < 0xF0 ? 2 : 3; n > 0; --n)
      if ((byte(i++) & 0xC0U) != 0x80) return false;
  }
  return true;
}

/// Keys of one section stand together.
const std::vector<Key> kKeys{
    {"floor", "elevation", Key::Kind::length},     {"baselines", "tie_sd", Key::Kind::length},
    {"baselines", "tolerance", Key::Kind::length}, {"baselines", "azimuth_near", Key::Kind::angle},
    {"baselines", "hold", Key::Kind::length},      {"hangers", "height", Key::Kind::length},
    {"hangers", "max_spacing", Key::Kind::length}, {"plumb", "slope", Key::Kind::length},
    {"plumb", "tolerance", Key::Kind::length},     {"numbers", "start", Key::Kind::count},
    {"list", "decimals", Key::Kind::count},        {"list", "unit", Key::Kind::length},
    {"list", "order", Key::Kind::length}};

std::string in_toml(const std::string& plain) {
  std::string out = "\"";
  for (const char c : plain) out += (c == '"' || c == '\\' ? "\\" : "") + std::string(1, c);
  return out + "\"";
}

/// The value of a suggestion for a key, as it is typed into the job file.
std::string typed(const Key& key, const std::string& suggestion) {
  const std::string assignment = key.name + " = ";
  if (suggestion.starts_with(assignment)) return suggestion.substr(assignment.size());
  return suggestion.starts_with('"') ? suggestion : in_toml(suggestion);
}

std::string plain_of(std::string value) {
  if (value.starts_with('"')) value = value.substr(1, value.size() - 2);
  for (std::size_t at; (at = value.find("\\\"")) != std::string::npos;) value.erase(at, 1);
  return value;
}

/// What a job says whose keys have these values; empty: the key is left out.
std::vector<ToldLine> told_of(const std::vector<std::string>& values) {
  JobFolder job;
  job.write("d.csv", "point,x,y\nA,0 m,0 m\nB,9 m,1 m\n");
  std::string toml = "[drawing]\npoints = \"d.csv\"\n", section;
  for (std::size_t k = 0; k < kKeys.size(); ++k) {
    if (values[k].empty()) continue;
    if (kKeys[k].section != section) toml += "[" + kKeys[k].section + "]\n";
    section = kKeys[k].section;
    toml += kKeys[k].name + " = " + values[k] + "\n";
  }
  job.write("job.toml", toml);
  return problem_lines(job.run({"check", "."}).err);
}

}  // namespace

TEST_CASE("suggestions: in keys of the job file") {
  // 2026-11-27: a length was suggested that its reader takes, but the key does not: too far, or below zero.
  AwkwardText random;
  std::size_t offered = 0;
  for (std::size_t i = 0; draws_on(i, 80, offered, 20); ++i) {
    std::vector<std::string> texts, values, mended(kKeys.size());
    for (const Key& key : kKeys) {
      texts.push_back(key.text(random));
      while (!is_text(texts.back())) texts.back() = key.text(random);
      values.push_back(in_toml(texts.back()));
    }
    for (const ToldLine& told : told_of(values)) {
      const std::string suggestion = suggestion_of(told);
      if (suggestion.empty() || told.field == "file") continue;
      for (std::size_t k = 0; k < kKeys.size(); ++k) {
        if (told.field != kKeys[k].section + "." + kKeys[k].name) continue;
        ++offered;
        mended[k] = typed(kKeys[k], suggestion);
        CAPTURE(told.text);
        const std::string why = kKeys[k].why_not(texts[k], plain_of(mended[k]));
        if (!why.empty()) CHECK_MESSAGE(why.empty(), why);
      }
    }
    for (const ToldLine& told : told_of(mended)) {
      CAPTURE(told.field);
      CAPTURE(told.text);
      CHECK_MESSAGE(false, "a suggestion is refused");
    }
  }
  CHECK(offered > 20 / kShare);
}

TEST_CASE("suggestions: in lines of the job file that are no TOML") {
  AwkwardText random;
  std::size_t offered = 0;
  for (std::size_t i = 0; draws_on(i, 200, offered, 20); ++i) {
    const std::size_t k = random.below(kKeys.size());
    const std::string text = kKeys[k].text(random);
    if (text.find_first_of("#\"'") != std::string::npos) continue;
    std::vector<std::string> values(kKeys.size());
    values[k] = text;
    for (const ToldLine& told : told_of(values)) {
      const std::string suggestion = suggestion_of(told);
      if (suggestion.empty() || told.field != "file") continue;
      if (suggestion == "saving it from the editor with the encoding UTF-8") continue;  // what to do
      ++offered;
      values[k] = typed(kKeys[k], suggestion);
      CAPTURE(told.text);
      const std::string why = kKeys[k].why_not(text, plain_of(values[k]));
      if (!why.empty()) CHECK_MESSAGE(why.empty(), why);
      // The value may be of the wrong kind as well; that is told then.
      for (const ToldLine& again : told_of(values)) {
        CAPTURE(again.text);
        CHECK_MESSAGE(again.field != "file", "a mended line is no TOML");
      }
    }
  }
  CHECK(offered > 20 / kShare);
}
