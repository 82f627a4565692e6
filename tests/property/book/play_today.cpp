#include "play_today.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "book_world.h"
#include "command/job_folder.h"
#include "random_book.h"
#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kPrinted = 0.0001;  // 0.1 mm

using Row = std::map<std::string, std::string>;
using Key = std::pair<std::int64_t, std::string>;

std::string cell(const Row& row, const std::string& column) {
  const auto at = row.find(column);
  return at == row.end() ? "(no column " + column + ")" : at->second;
}
std::string words(const Row& row) { return cell(row, "do") + " (" + cell(row, "why") + ")"; }
std::string words(const TodayRow& row) { return row.what + " (" + row.why + ")"; }

template <class R>
std::string all_words(std::vector<R> rows) {
  std::vector<std::string> out;
  for (const R& row : rows) out.push_back(words(row));
  std::sort(out.begin(), out.end());
  std::string all;
  for (const std::string& word : out) all += (all.empty() ? "" : ", ") + word;
  return all.empty() ? "nothing" : all;
}

void compare_lengths(const std::string& what, const Row& got, const TodayRow& want, double unit,
                     Findings& findings) {
  if (!want.judged || want.thing == "rod") return;
  const std::pair<const char*, double> lengths[] = {{"dx", want.dx},
                                                    {"dy", want.dy},
                                                    {"distance", want.distance},
                                                    {"permitted", want.permitted},
                                                    {"sd", want.sd}};
  for (const auto& [column, value] : lengths) {
    const std::string text = cell(got, column);
    if (text.empty() && want.what == "measure" && want.why == "doubtful") continue;
    if (text.empty())
      findings.tell(what + ": " + column + " is empty");
    else
      findings.length(what + ": " + column, std::strtod(text.c_str(), nullptr) * unit, value, kPrinted);
  }
}

void compare_order(const std::vector<Row>& rows, Findings& findings) {
  static const std::map<std::string, int> kOrder = {{"floor", 0}, {"deck", 1}, {"hole", 2}, {"rod", 3}};
  std::pair<std::int64_t, int> last{0, 0};
  for (const Row& row : rows) {
    const auto thing = kOrder.find(cell(row, "thing"));
    if (thing == kOrder.end()) return findings.tell("thing " + cell(row, "thing"));
    const std::pair<std::int64_t, int> now{std::atoll(cell(row, "number").c_str()), thing->second};
    if (now < last) return findings.tell("today.csv: " + cell(row, "number") + " is not in order");
    last = now;
  }
}

/// A row of a list, and where it leads.
struct Listed {
  double northing = 0, easting = 0;  ///< m
  std::string description;
};

void compare_list(const JobFolder& folder, const std::string& dir, const std::string& name,
                  const std::multimap<std::string, Listed>& want, double unit, Findings& findings) {
  const std::string file = dir + "/" + name;
  if (!folder.has(file)) {
    if (!want.empty()) findings.tell(name + " is missing, expected " + want.begin()->first);
    return;
  }
  std::multimap<std::string, Listed> left = want;
  for (const auto& cells : csv_rows(folder.read(file))) {
    if (cells.size() < 5 || cells[0] == "number") continue;
    const double north = std::strtod(cells[1].c_str(), nullptr) * unit,
                 east = std::strtod(cells[2].c_str(), nullptr) * unit;
    const auto [begin, end] = left.equal_range(cells[0]);
    const auto at = std::find_if(begin, end, [&](const auto& one) {
      return std::hypot(one.second.northing - north, one.second.easting - east) < kPrinted;
    });
    if (at == end) {
      findings.tell(name + ": " + cells[0] + text(" at %.4f, %.4f is not expected", north, east));
      continue;
    }
    if (at->second.description == "VOID" && cells[4] != "VOID")
      findings.tell(name + ": " + cells[0] + " is described as " + cells[4]);
    left.erase(at);
  }
  for (const auto& [number, listed] : left) findings.tell(name + ": lacks " + number);
}

void compare_lists(const JobFolder& folder, const std::string& dir, const Today& today,
                   const IssuedNumbers& issued, double unit, Findings& findings) {
  std::multimap<std::string, Listed> voids, marks, fills;
  for (const TodayRow& row : today.rows) {
    if (row.thing == "rod") continue;
    const IssuedPlace& place = *issued.now(row.number);
    const std::string number = std::to_string(row.number + (row.thing == "floor" ? 0 : place.deck_offset));
    if (row.what == "mark" || row.what == "mark-again")
      marks.insert(
          {number,
           {static_cast<double>(place.northing) / 1e6, static_cast<double>(place.easting) / 1e6, ""}});
    if (row.of == nullptr) continue;
    const Listed old{row.of->northing, row.of->easting, "VOID"};
    if (row.what == "void" || row.what == "mark-again") voids.insert({number + "X", old});
    if (row.what == "fill") fills.insert({number + "X", old});
  }
  compare_list(folder, dir, "void-list.csv", voids, unit, findings);
  compare_list(folder, dir, "mark-list.csv", marks, unit, findings);
  compare_list(folder, dir, "fill-list.csv", fills, unit, findings);
}

/// The job's files, a book of one to three issues, and the answer.
class Play {
 public:
  Play(std::uint32_t index, TodayMet& met)
      : dice_(index),
        world_(random_world(dice_)),
        book_(dice_, world_),
        met_(met),
        findings_("job " + std::to_string(index)) {}

  std::vector<std::string> played() {
    ++met_.jobs;
    lay(folder_, world_);
    if (!run()) return findings_.lines();
    book_.work(issued_, 20 + dice_.below(90));
    const std::size_t revisions = 1 + dice_.below(2);
    for (std::size_t i = 0; i < revisions; ++i) {
      const BookWorld before = world_;
      revise(world_, dice_);
      lay(folder_, world_);
      if (!run()) {  // two supports of a duct that meet: as it was
        world_ = before;
        lay(folder_, world_);
        if (!run()) return findings_.lines();
      }
      if (dice_.chance(40)) book_.work(issued_, 5 + dice_.below(30));
    }
    if (world_.deck && dice_.chance(40)) zone();
    judge();
    return findings_.lines();
  }

 private:
  bool run() {
    const CommandResult ran = folder_.run({"run", ".", "--quiet"});
    if (ran.exit_code != 0) {
      if (++met_.refused > met_.jobs / 4 + 10) findings_.tell("refused: " + ran.err);
      return false;
    }
    issued_ = IssuedNumbers(folder_.read("numbers.csv"), folder_.read("issued.csv"));
    return true;
  }

  /// Scanned after the last issue: what hangs there is not yet moved.
  void zone() {
    const BookPoint& p = world_.points[dice_.below(world_.points.size())];
    const double x = static_cast<double>(p.x) / 1e6, y = static_cast<double>(p.y) / 1e6;
    const double off = 0.05 * dice_.uniform();
    if (dice_.chance(50))
      world_.zones = {{"Z1", {{x - 1, y + off}, {x + 1, y + off}}, 0.03}};
    else
      world_.zones = {{"Z1", {{x - 1, y + off}, {x + 1, y + off}, {x + 1, y + 0.3}, {x - 1, y + 0.3}}, 0.02}};
    lay(folder_, world_);
  }

  void judge() {
    for (BookFile& book : book_.books()) {
      if (book.rows.empty()) continue;
      folder_.write(book.name.empty() ? "book.csv" : "book-" + book.name + ".csv",
                    book_csv(book, issued_.first_digest()));
    }
    const Standing standing = replayed(book_.books(), issued_, static_cast<double>(world_.sd) / 1e6);
    if (!standing.wrong.empty()) findings_.tell("the account itself: " + standing.wrong);
    const Today today = today_of(issued_, standing, world_.rules());
    if (today.unclear) {
      ++met_.unclear;
      return;
    }
    const CommandResult told = folder_.run({"today", ".", "--out", "today"});
    if (told.exit_code != (today.is_work() ? 1 : 0))
      findings_.tell(text("today ends with %d, expected %d\n", told.exit_code, today.is_work() ? 1 : 0) +
                     told.err);
    if (told.exit_code > 1) return;
    compare_today(folder_, "today", today, issued_, world_.millimetres ? 0.001 : 1, findings_);
    for (const TodayRow& row : today.rows) count(row);
    if (folder_.run({"today", ".", "--csv"}).out != folder_.read("today/today.csv"))
      findings_.tell("--csv is not today.csv");
    if (dice_.chance(25)) without_book();
  }

  /// As if every mark of an issue stood where that issue has it, or those of a list.
  void without_book() {
    const int issue = 1 + static_cast<int>(dice_.below(static_cast<std::size_t>(issued_.last_issue())));
    std::vector<std::int64_t> live;
    for (const std::int64_t number : issued_.numbers())
      if (const IssuedPlace* place = issued_.at(number, issue); place != nullptr && place->live)
        live.push_back(number);
    std::vector<std::string> args = {"today", ".", "--out", "issued", "--as-issued", std::to_string(issue)};
    if (dice_.chance(50)) {
      live.resize(1 + dice_.below(live.size()));
      args.push_back("--done");
      std::string list = std::to_string(live.front());
      if (live.size() > 1) list += "-" + std::to_string(live.back());
      std::string but;  // a range takes all between, also what that issue had dropped
      for (const std::int64_t number : issued_.numbers())
        if (number > live.front() && number < live.back() && !issued_.at(number, issue)->live)
          but += " " + std::to_string(number);
      args.push_back(list + (but.empty() ? "" : " but" + but));
    }
    BookFile book;
    for (const std::int64_t number : live) {
      BookRow r;
      r.entry = static_cast<std::uint32_t>(book.rows.size() + 1);
      r.act = "marked";
      r.number = number;
      r.level = "floor";
      r.issue = issue;
      book.rows.push_back(r);
    }
    const Standing standing = replayed({book}, issued_, static_cast<double>(world_.sd) / 1e6);
    Today today = today_of(issued_, standing, world_.rules());
    if (today.unclear) return;
    std::erase_if(today.rows, [](const TodayRow& row) { return row.thing != "floor"; });
    for (TodayRow& row : today.rows)
      if (row.of != nullptr) row.why += " if it is there";
    const CommandResult told = folder_.run(args);
    std::string typed;
    for (const std::string& word : args) typed += " " + word;
    if (told.exit_code != (today.is_work() ? 1 : 0))
      findings_.tell(typed + text(" ends with %d, expected %d\n", told.exit_code, today.is_work() ? 1 : 0) +
                     told.err);
    const std::size_t so_far = findings_.lines().size();
    if (told.exit_code <= 1)
      compare_today(folder_, "issued", today, issued_, world_.millimetres ? 0.001 : 1, findings_);
    if (findings_.lines().size() > so_far) findings_.tell("typed:" + typed);
  }

  void count(const TodayRow& row) {
    const std::string why = row.why.substr(0, row.why.find_last_not_of("0123456789") + 1);
    ++met_.rows[row.thing + " " + row.what + " " + why];
    if (row.what != "leave" || row.of == nullptr) return;
    const auto truth = book_.truths().find(row.of->placed);
    if (truth == book_.truths().end()) return;
    const IssuedPlace& place = *issued_.now(row.number);
    const double d = std::hypot(truth->second.northing - static_cast<double>(place.northing) / 1e6,
                                truth->second.easting - static_cast<double>(place.easting) / 1e6);
    TodayMet::Left& left =
        row.why == "within" ? met_.left_within : met_.left_unchanged[std::llround(row.sd * 1e6)];
    ++left.all;
    left.falsely += d > row.permitted;
  }

  Dice dice_;
  BookWorld world_;
  JobFolder folder_;
  IssuedNumbers issued_;
  RandomBook book_;
  TodayMet& met_;
  Findings findings_;
};

}  // namespace

void compare_today(const JobFolder& folder, const std::string& dir, const Today& today,
                   const IssuedNumbers& issued, double unit, Findings& findings) {
  if (!folder.has(dir + "/today.csv")) return findings.tell("there is no " + dir + "/today.csv");
  const std::vector<Row> rows = named_rows(folder.read(dir + "/today.csv"));
  compare_order(rows, findings);
  std::map<Key, std::vector<Row>> got;
  std::map<Key, std::vector<TodayRow>> want;
  for (const Row& row : rows)
    got[{std::atoll(cell(row, "number").c_str()), cell(row, "thing")}].push_back(row);
  for (const TodayRow& row : today.rows) want[{row.number, row.thing}].push_back(row);
  std::set<Key> keys;
  for (const auto& [key, ignored] : got) keys.insert(key);
  for (const auto& [key, ignored] : want) keys.insert(key);
  for (const Key& key : keys) {
    const std::string what = std::to_string(key.first) + " " + key.second;
    findings.word(what, all_words(got[key]), all_words(want[key]));
    for (const Row& row : got[key]) {
      const IssuedPlace* place = issued.now(key.first);
      if (place != nullptr && cell(row, "point") != place->point)
        findings.tell(what + ": point " + cell(row, "point") + ", expected " + place->point);
      for (const TodayRow& one : want[key])
        if (words(one) == words(row)) compare_lengths(what, row, one, unit, findings);
    }
  }
  compare_lists(folder, dir, today, issued, unit, findings);
}

std::string TodayMet::told() const {
  std::string out = std::to_string(jobs) + " jobs, " + std::to_string(unclear) + " unclear, " +
                    std::to_string(refused) + " runs refused";
  out += text("\nleft (within): %zu, falsely %zu", left_within.all, left_within.falsely);
  for (const auto& [sd, left] : left_unchanged)
    out += text("\nleft (unchanged), u %.1f mm: %zu, falsely %zu", static_cast<double>(sd) / 1000, left.all,
                left.falsely);
  for (const auto& [what, count] : rows) out += "\n  " + std::to_string(count) + " " + what;
  return out;
}

std::vector<std::string> played_today(std::uint32_t index, TodayMet& met) {
  try {
    return Play(index, met).played();
  } catch (const std::exception& e) {
    return {"job " + std::to_string(index) + ": broke off: " + e.what()};
  }
}

}  // namespace deckmark_test
