// Each slip below is one that happens: a backup put back, two laptops, a file of the neighbour's, a cell
// edited in a spreadsheet.
#include "handled.h"

#include <algorithm>
#include <chrono>
#include <stdexcept>

#include "command/job_folder.h"
#include "support/temp_folder.h"
#include "support/text.h"

namespace deckmark_test {

namespace {

namespace fs = std::filesystem;

Standing only(const Standing& all, const std::string& folder) {
  Standing out;
  for (const auto& [name, bytes] : all)
    if (name.starts_with(folder + "/")) out[name.substr(folder.size() + 1)] = bytes;
  out.erase("");
  return out;
}

/// The ledger's two files as they stood.
void put_pair(const fs::path& folder, const Standing& from) {
  for (const char* name : {"numbers.csv", "issued.csv"}) write_bytes(folder / name, from.at(name));
}

std::size_t earlier(Handled& h) { return 1 + h.random.below(h.past.after.size() - 2); }

/// The job goes on in a folder: what it draws there is its own, so that two of these never are the same.
void go_on(Handled& h, const fs::path& folder, Micro floor_by, std::size_t issues) {
  World world = h.past.history.world();
  for (std::size_t i = 0; i < issues; ++i) {
    world.floor += floor_by;
    for (const auto& [name, bytes] : files_of(world)) write_bytes(folder / name, bytes);
    const CommandResult result = deckmark_in(folder, {"run", ".", "--quiet"});
    if (result.exit_code != 0) throw std::runtime_error("cannot go on: " + result.err);
  }
}

// Restored.

bool older_pair(Handled& h) {
  const std::size_t k = earlier(h);
  h.what = "the ledger of issue " + std::to_string(k) + " put back";
  put_pair(h.job, h.past.after[k]);
  return true;
}
bool older_job_but_out(Handled& h) {
  const std::size_t k = earlier(h);
  h.what = "all but out put back to issue " + std::to_string(k);
  for (const auto& [name, bytes] : h.past.after[k])
    if (!name.starts_with("out/")) write_bytes(h.job / name, bytes);
  return true;
}
bool older_pair_and_out_beside(Handled& h) {
  older_pair(h);
  h.what += ", out renamed out-old";
  fs::rename(h.job / "out", h.job / "out-old");
  return true;
}
bool older_pair_and_out_in_issued(Handled& h) {
  older_pair(h);
  h.what += ", out kept as issued/last";
  fs::create_directories(h.job / "issued");
  fs::rename(h.job / "out", h.job / "issued/last");
  return true;
}

// Forked.

/// Another copy of the job that has gone its own way.
fs::path other_copy(Handled& h) {
  fs::path other = h.site / "other";
  put_down(other, h.past.last());
  go_on(h, other, 3000, 1 + h.random.below(2));
  go_on(h, h.job, -4000, 1 + h.random.below(2));
  return other;
}
bool meets_the_others_out(Handled& h) {
  h.what = "the out of another copy lies beside out";
  put_down(h.job / "theirs", snapshot(other_copy(h) / "out"));
  return true;
}
bool meets_the_others_issued(Handled& h) {
  h.what = "the out of another copy lies in issued";
  put_down(h.job / "issued/theirs", snapshot(other_copy(h) / "out"));
  return true;
}
bool has_the_others_pair(Handled& h) {
  h.what = "the ledger of another copy, and its own out";
  put_pair(h.job, snapshot(other_copy(h)));
  return true;
}
bool writes_into_the_others_out(Handled& h) {
  h.what = "--out names the out of another copy";
  other_copy(h);
  h.args = {"run", ".", "--quiet", "--out", "../other/out"};
  h.goes_on = false;
  return true;
}

// Foreign.

/// The same drawing as another job, under another file name.
fs::path other_job(Handled& h, const std::string& file) {
  fs::path other = h.site / "neighbour";
  World world = h.past.history.world();
  world.floor += 70000;
  for (const auto& [name, bytes] : files_of(world))
    write_bytes(other / (name == "job.toml" ? file : name), bytes);
  const CommandResult result = deckmark_in(other, {"run", file, "--quiet"});
  if (result.exit_code != 0) throw std::runtime_error("no neighbour: " + result.err);
  return other;
}
bool has_the_neighbours_pair(Handled& h) {
  h.what = "the ledger of another job file";
  put_pair(h.job, snapshot(other_job(h, "hall-2.toml")));
  if (h.random.chance(50)) {
    h.what += ", no out";
    fs::remove_all(h.job / "out");
  }
  return true;
}
bool job_file_is_renamed(Handled& h) {
  h.what = "the job file has another name";
  fs::rename(h.job / "job.toml", h.job / "level-2.toml");
  h.args = {"run", "level-2.toml", "--quiet"};
  return true;
}
bool writes_into_the_neighbours_out(Handled& h) {
  h.what = "--out names the out of another job";
  other_job(h, "job.toml");
  h.args = {"run", ".", "--quiet", "--out", "../neighbour/out"};
  h.goes_on = false;
  return true;
}

// Lost.

bool one_is_gone(Handled& h) {
  h.what = h.random.chance(50) ? "numbers.csv" : "issued.csv";
  fs::remove(h.job / h.what);
  h.what += " is gone";
  return true;
}
bool both_are_gone(Handled& h) {
  h.what = "both files are gone";
  for (const char* name : {"numbers.csv", "issued.csv"}) fs::remove(h.job / name);
  return true;
}
bool both_are_gone_and_out_beside(Handled& h) {
  both_are_gone(h);
  h.what += ", out renamed out-1";
  fs::rename(h.job / "out", h.job / "out-1");
  return true;
}
bool both_are_gone_and_out_in_issued(Handled& h) {
  both_are_gone(h);
  h.what += ", out kept as issued/3";
  fs::create_directories(h.job / "issued");
  fs::rename(h.job / "out", h.job / "issued/3");
  return true;
}

// Edited. Row 0 is the header.

using Rows = std::vector<std::string>;

template <class Edit>
bool edit(Handled& h, const char* file, const std::string& what, const Edit& by) {
  const std::string before = read_bytes(h.job / file);
  Rows rows = rows_of(before);
  if (rows.size() < 4) return false;
  by(rows);
  h.what = std::string(file) + ": " + what;
  const std::string after = text_of_rows(rows);
  if (after == before) return false;
  write_bytes(h.job / file, after);
  return true;
}
std::size_t a_row(Handled& h, const Rows& rows) { return 1 + h.random.below(rows.size() - 1); }

/// One digit is another.
bool change_digit(Handled& h, const char* file) {
  return edit(h, file, "a digit changed", [&](Rows& rows) {
    std::string& row = rows[a_row(h, rows)];
    std::vector<std::size_t> digits;
    for (std::size_t i = 0; i < row.size(); ++i)
      if (row[i] >= '0' && row[i] <= '9') digits.push_back(i);
    char& digit = row[digits[h.random.below(digits.size())]];
    digit = static_cast<char>('0' + (digit - '0' + 1 + static_cast<int>(h.random.below(9))) % 10);
  });
}
bool drop_row(Handled& h, const char* file) {
  return edit(h, file, "a row dropped",
              [&](Rows& rows) { rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(a_row(h, rows))); });
}
bool exchange_rows(Handled& h, const char* file) {
  return edit(h, file, "two rows exchanged",
              [&](Rows& rows) { std::swap(rows[a_row(h, rows)], rows[a_row(h, rows)]); });
}

bool number_digit(Handled& h) { return change_digit(h, "numbers.csv"); }
bool number_row_gone(Handled& h) { return drop_row(h, "numbers.csv"); }
bool number_rows_exchanged(Handled& h) { return exchange_rows(h, "numbers.csv"); }
bool number_row_added(Handled& h) {
  // Before the last: what stands behind the last issue was never handed out, which is another matter.
  return edit(h, "numbers.csv", "a row added", [&](Rows& rows) {
    const std::string& other = rows[a_row(h, rows)];
    const std::string row = "Z-1,777" + other.substr(other.find(',', other.find(',') + 1));
    rows.insert(rows.begin() + 1 + static_cast<std::ptrdiff_t>(h.random.below(rows.size() - 1)), row);
  });
}
bool number_zeros_cut(Handled& h) {
  return edit(h, "numbers.csv", "saved by a spreadsheet, zeros cut off", [](Rows& rows) {
    for (std::size_t i = 1; i < rows.size(); ++i)
      for (std::size_t at = 0; (at = rows[i].find("0,", at)) != std::string::npos;) {
        const std::size_t dot = rows[i].rfind('.', at), comma = rows[i].rfind(',', at);
        if (dot != std::string::npos && (comma == std::string::npos || dot > comma))
          rows[i].erase(at--, 1);
        else
          ++at;
      }
  });
}
bool numbers_cut_short(Handled& h) {
  const std::string before = read_bytes(h.job / "numbers.csv");
  const std::size_t last = before.rfind('\n', before.size() - 2) + 1;
  h.what = "numbers.csv: the last issue cut in the middle";
  if (h.past.account.issued().back().rows == 0) return false;
  write_bytes(h.job / "numbers.csv", before.substr(0, last + h.random.below(before.size() - 1 - last)));
  return true;
}
bool issued_digit(Handled& h) { return change_digit(h, "issued.csv"); }
bool issued_row_gone(Handled& h) { return drop_row(h, "issued.csv"); }
bool issued_rows_exchanged(Handled& h) { return exchange_rows(h, "issued.csv"); }
bool issued_row_added(Handled& h) {
  return edit(h, "issued.csv", "a row added", [&](Rows& rows) {
    const int issue = static_cast<int>(rows.size());
    rows.push_back(std::to_string(issue) + ",Z,job.toml,,1,0,out," +
                   rows.back().substr(rows.back().size() - 16) + ",0123456789abcdef");
  });
}
bool issued_revision(Handled& h) {
  return edit(h, "issued.csv", "another revision", [&](Rows& rows) {
    std::string& row = rows[a_row(h, rows)];
    row.insert(row.find(',') + 1, "Q");
  });
}

// Honest.

bool folder_is_renamed(Handled& h) {
  h.what = "the folder has another name";
  fs::rename(h.job, h.site / "Hall 2, as sent");
  h.job = h.site / "Hall 2, as sent";
  return true;
}
bool job_is_copied(Handled& h) {
  h.what = "a copy of the job";
  put_down(h.site / "copy", h.past.last());
  h.job = h.site / "copy";
  return true;
}
bool out_is_deleted(Handled& h) {
  h.what = "out is deleted";
  fs::remove_all(h.job / "out");
  return true;
}
bool out_is_renamed(Handled& h) {
  h.what = "out is kept under another name";
  fs::rename(h.job / "out", h.job / "out as sent");
  return true;
}
bool by_mail(Handled& h) {
  h.what = "CRLF";
  const std::size_t which = 1 + h.random.below(3);
  for (const auto& [file, bit] : {std::pair("numbers.csv", 1U), std::pair("issued.csv", 2U)}) {
    if ((which & bit) == 0) continue;
    h.what += std::string(" in ") + file;
    std::string out;
    for (const std::string& row : rows_of(read_bytes(h.job / file))) out += row + "\r\n";
    write_bytes(h.job / file, out);
  }
  return true;
}
bool times_are_touched(Handled& h) {
  h.what = "other file times";
  for (const auto& entry : fs::recursive_directory_iterator(h.job))
    fs::last_write_time(entry, fs::file_time_type::clock::now() -
                                   std::chrono::hours(static_cast<int>(h.random.below(100000)) - 50000));
  return true;
}
bool empty_line_at_end(Handled& h) {
  h.what = "an empty line at the end";
  const char* file = h.random.chance(50) ? "numbers.csv" : "issued.csv";
  write_bytes(h.job / file, read_bytes(h.job / file) + (h.random.chance(50) ? "\n" : "\r\n"));
  return true;
}
bool older_outs_are_kept(Handled& h) {
  h.what = "the lists of earlier issues are kept";
  for (std::size_t k = 1; k < h.past.after.size(); ++k)
    if (h.random.chance(60))
      put_down(h.job / ((h.random.chance(50) ? "out-" : "issued/") + std::to_string(k)),
               only(h.past.after[k], "out"));
  return true;
}
bool from_outside(Handled& h) {
  h.what = "run from another folder";
  h.args = {"run", "../job", "--quiet"};
  fs::create_directories(h.site / "desk");
  h.job = h.site / "desk";
  return true;
}
bool other_folders_beside(Handled& h) {
  h.what = "folders beside out that are not the program's";
  write_bytes(h.job / "photos/summary.txt", "nothing of note\n");
  write_bytes(h.job / "issued/readme.txt", "copies for the site office\n");
  fs::create_directories(h.job / "as-built");
  return true;
}
bool looked_at_before(Handled& h) {
  h.what = "looked at with check and baseline";
  const auto before = snapshot(h.job);
  for (const char* command : {"check", "baseline"})
    if (deckmark_in(h.job, {command, "."}).exit_code == 3) throw std::runtime_error("a look failed");
  if (snapshot(h.job) != before) throw std::runtime_error("a look wrote something");
  return true;
}

bool is_done(const CommandResult& result) { return result.exit_code == 0 || result.exit_code == 1; }

std::string told(const Handled& h, const std::string& fault, const CommandResult& result) {
  return h.what + ": " + fault + " (exit " + std::to_string(result.exit_code) + ")\n" + result.err + "\n";
}

/// What the refusal says to try is typed, line by line, until the job runs.
std::string way_out(Handled& h, const CommandResult& refused) {
  const std::vector<std::string> ways = ways_out(refused.err);
  if (ways.empty()) return told(h, "no way out is offered", refused);
  for (const std::string& way : ways) {
    const CommandResult typed = typed_in(h.job, way);
    if (!is_done(typed)) return told(h, "typed `" + way + "`", typed) + refused.err;
    if (!h.goes_on) return "";
    const CommandResult again = deckmark_in(h.job, h.args);
    if (is_done(again)) return "";
    if (&way == &ways.back()) return told(h, "still refused after `" + way + "`", again) + refused.err;
  }
  return "";
}

/// The handling of this index, or the next that the past allows.
std::string handle(Handled& h, const std::vector<Handling>& kind, std::uint32_t index) {
  put_down(h.job, h.past.last());
  for (std::size_t i = 0; i < kind.size(); ++i)
    if (kind[(index + i) % kind.size()](h)) return "";
  return "nothing could be done\n";
}

}  // namespace

const std::vector<Handling>& restored() {
  static const std::vector<Handling> all = {older_pair, older_job_but_out, older_pair_and_out_beside,
                                            older_pair_and_out_in_issued};
  return all;
}
const std::vector<Handling>& forked() {
  static const std::vector<Handling> all = {meets_the_others_out, has_the_others_pair,
                                            meets_the_others_issued, writes_into_the_others_out};
  return all;
}
const std::vector<Handling>& foreign() {
  static const std::vector<Handling> all = {has_the_neighbours_pair, job_file_is_renamed,
                                            writes_into_the_neighbours_out};
  return all;
}
const std::vector<Handling>& lost() {
  static const std::vector<Handling> all = {one_is_gone, both_are_gone, both_are_gone_and_out_beside,
                                            both_are_gone_and_out_in_issued};
  return all;
}
const std::vector<Handling>& edited() {
  static const std::vector<Handling> all = {number_digit,     number_row_gone,      number_rows_exchanged,
                                            number_row_added, number_zeros_cut,     numbers_cut_short,
                                            issued_digit,     issued_row_gone,      issued_row_added,
                                            issued_revision,  issued_rows_exchanged};
  return all;
}
const std::vector<Handling>& honest() {
  static const std::vector<Handling> all = {
      folder_is_renamed, job_is_copied,        out_is_deleted,    out_is_renamed,
      by_mail,           times_are_touched,    empty_line_at_end, older_outs_are_kept,
      from_outside,      other_folders_beside, looked_at_before};
  return all;
}

namespace {

std::string refused(const Past& past, std::uint32_t index, const std::vector<Handling>& kind) {
  const TempFolder site;
  RandomHistory random(100000 + index);
  Handled h{.site = site.path(), .past = past, .random = random, .what = ""};
  if (const std::string wrong = handle(h, kind, index); !wrong.empty()) return wrong;
  const auto before = snapshot(site.path());
  const CommandResult result = deckmark_in(h.job, h.args);
  if (result.exit_code != 2) return told(h, "not refused", result);
  if (snapshot(site.path()) != before) return told(h, "refused, but something was written", result);
  if (problem_lines(result.err).empty()) return told(h, "no problem is told", result);
  return way_out(h, result);
}

std::string not_refused(const Past& past, std::uint32_t index) {
  const TempFolder site;
  RandomHistory random(200000 + index);
  Handled h{.site = site.path(), .past = past, .random = random, .what = ""};
  if (const std::string wrong = handle(h, honest(), index); !wrong.empty()) return h.what + ": " + wrong;
  const fs::path job = h.args[1] == "." ? h.job : (h.job / h.args[1]).lexically_normal();
  const auto rows = [&](const char* file) { return rows_of(read_bytes(job / file)); };
  const auto numbers = rows("numbers.csv"), issued = rows("issued.csv");
  const CommandResult same = deckmark_in(h.job, h.args);
  if (!is_done(same)) return told(h, "refused", same);
  if (rows("numbers.csv") != numbers || rows("issued.csv") != issued)
    return told(h, "an issue without a change", same);
  // The next issue goes on where the last ended.
  RandomHistory next = past.history;
  next.move_one();
  for (const auto& [name, bytes] : files_of(next.world())) write_bytes(job / name, bytes);
  const CommandResult result = deckmark_in(h.job, h.args);
  if (!is_done(result)) return told(h, "the next issue is refused", result);
  const auto more = rows("numbers.csv"), one_more = rows("issued.csv");
  if (one_more.size() != issued.size() + 1 || !std::equal(issued.begin(), issued.end(), one_more.begin()))
    return told(h, "issued.csv does not go on", result);
  if (more.size() <= numbers.size() || !std::equal(numbers.begin(), numbers.end(), more.begin()))
    return told(h, "numbers.csv does not go on", result);
  if (index % 3 != 0) return "";
  const CommandResult again = deckmark_in(h.job, h.args);
  return is_done(again) ? "" : told(h, "then refused", again);
}

/// A file that is not there is a fault of this case alone.
template <class Case>
std::string told_when_it_breaks(const Case& of) {
  try {
    return of();
  } catch (const std::exception& e) {
    return std::string("broke off: ") + e.what() + "\n";
  }
}

}  // namespace

std::string refused_case(const Past& past, std::uint32_t index, const std::vector<Handling>& kind) {
  return told_when_it_breaks([&] { return refused(past, index, kind); });
}

std::string honest_case(const Past& past, std::uint32_t index) {
  return told_when_it_breaks([&] { return not_refused(past, index); });
}

}  // namespace deckmark_test
