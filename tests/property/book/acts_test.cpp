// Random acts on lists of numbers, typed into the real program, against the table of acts: what is kept, what
// it is about, and that a line with a fault writes nothing. The book that comes of it is chained and replays
// to the same. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>

#include "book_world.h"
#include "command/findings.h"
#include "piped_dialogue.h"
#include "support/noise.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// What a line would do at one number: a row about an entry, or nothing.
struct Wanted {
  std::int64_t typed = 0, number = 0;
  bool allowed = false;
  std::string level = "-", of = "-";
};

class Acts {
 public:
  Acts(std::uint32_t index, std::map<std::string, std::size_t>& met)
      : dice_(index), world_(random_world(dice_)), met_(met), findings_(text("book %u", index)) {
    book_.name = "";
  }

  std::vector<std::string> played() {
    for (int day = 0; day < 3; ++day) {
      const BookWorld before = world_;
      if (day > 0) revise(world_, dice_);
      lay(folder_, world_);
      if (!run()) {
        world_ = before;
        lay(folder_, world_);
        if (!run()) return {};
      }
      work(40);
      if (findings_.lines().empty()) ticked();
    }
    return findings_.lines();
  }

 private:
  bool run() {
    if (folder_.run({"run", ".", "--quiet"}).exit_code > 1) return false;
    issued_ = IssuedNumbers(folder_.read("numbers.csv"), folder_.read("issued.csv"));
    return true;
  }

  void work(int lines) {
    PipedDialogue dialogue(folder_.path(), {"book", ".", "--by", "Ada", "--tape"});
    const AnswerLine open = dialogue.opening().line("open");
    if (open.size() != 3 || open[1] != std::to_string(book_.rows.size()) ||
        open[2] != std::to_string(issued_.last_issue()))
      findings_.tell("opened with\n" + dialogue.opening().all());
    for (int i = 0; i < lines && findings_.lines().empty(); ++i) {
      if (dice_.chance(10))
        undo(dialogue);
      else
        act(dialogue);
    }
    dialogue.type("end");
    dialogue.end();
    std::string wrong;
    const BookFile read = read_book_csv("", folder_.read("book.csv"), issued_.first_digest(), wrong);
    if (!wrong.empty()) findings_.tell(wrong);
    if (read.rows.size() != book_.rows.size())
      findings_.tell(text("the book has %zu rows, kept were %zu", read.rows.size(), book_.rows.size()));
    for (std::size_t r = 0; r < std::min(read.rows.size(), book_.rows.size()); ++r)
      if (read.rows[r].act != book_.rows[r].act || read.rows[r].number != book_.rows[r].number ||
          read.rows[r].level != book_.rows[r].level || read.rows[r].of != book_.rows[r].of ||
          read.rows[r].issue != book_.rows[r].issue)
        findings_.tell(text("entry %zu is another than was acknowledged", r + 1));
  }

  /// Two digits by which a sheet's number is typed right: 98 less the number times 100 modulo 97.
  static std::string sheet_id(int issue, int kind, int page, int wrong = 0) {
    const long long number = 1000LL * issue + 100 * kind + page;
    return text("%lld-%02lld", number, (98 - number * 100 % 97 + wrong) % 100);
  }

  /// Ticks of a floor sheet, of any issue: all or nothing, and done from that issue.
  void ticked() {
    const int issue = 1 + static_cast<int>(dice_.below(static_cast<std::size_t>(issued_.last_issue())));
    const Standing s = now();
    std::vector<Wanted> list;
    for (const std::int64_t number : issued_.numbers()) {
      const IssuedPlace* then = issued_.at(number, issue);
      if (then == nullptr || !then->live || !issued_.now(number)->live || list.size() == 3) continue;
      const Wanted w = wanted("marked", number, false, s);
      if (w.allowed && dice_.chance(30)) list.push_back(w);
    }
    if (list.empty()) return;
    std::string ticks = "marked";
    for (const Wanted& w : list) ticks += " " + std::to_string(w.typed);
    const std::string before = folder_.read("book.csv");
    const int page = 1 + static_cast<int>(dice_.below(12));
    for (const bool right : {false, true}) {
      const std::string id = sheet_id(issue, 1, page, right ? 0 : 1 + static_cast<int>(dice_.below(96)));
      const CommandResult told = folder_.run({"book", ".", "--by", "Bo", "--ticks", ticks, "--sheet", id});
      if (told.exit_code != (right ? 0 : 2))
        findings_.tell(ticks + text(" of sheet %s: status %d\n", id.c_str(), told.exit_code) + told.err);
      if (!right && folder_.read("book.csv") != before) findings_.tell("a sheet that is none wrote rows");
    }
    std::string wrong;
    const BookFile read = read_book_csv("", folder_.read("book.csv"), issued_.first_digest(), wrong);
    if (!wrong.empty()) findings_.tell(wrong);
    for (const Wanted& w : list) {
      BookRow r;
      r.entry = static_cast<std::uint32_t>(book_.rows.size() + 1);
      r.at = static_cast<std::int64_t>(r.entry);
      r.act = "marked";
      r.number = w.number;
      r.level = "floor";
      r.issue = issue;
      r.source = "sheet";
      book_.rows.push_back(r);
      ++met_["ticked"];
      if (read.rows.size() < r.entry || read.rows[r.entry - 1].number != r.number ||
          read.rows[r.entry - 1].issue != issue || read.rows[r.entry - 1].source != "sheet" ||
          read.rows[r.entry - 1].by != "Bo")
        findings_.tell(ticks + text(": entry %u is not its row", r.entry));
    }
  }

  Standing now() const { return replayed({book_}, issued_, 0.002); }

  Wanted wanted(const std::string& act, std::int64_t number, bool deck, const Standing& s) const {
    const IssuedPlace* p = issued_.now(number);
    Wanted w;
    w.number = number;
    w.typed = deck ? number + p->deck_offset : number;
    const auto open = [&](bool hole) { return s.open(number, deck ? "deck" : "floor", hole); };
    const auto holes = s.open(number, "deck", true);
    const auto about = [&](const Thing* t) {
      w.allowed = t != nullptr;
      if (t != nullptr) w.of = std::to_string(t->made.entry);
    };
    const auto rod = s.rods.find(number);
    if (act == "marked") {
      w.level = deck ? "deck" : "floor";
      w.allowed = p->live && (!deck || p->deck) && open(false).empty() && (!deck || holes.empty());
    } else if (act == "drilled") {
      w.level = "deck";
      w.allowed = p->live && p->deck && holes.empty();
    } else if (act == "filled") {
      w.level = "deck";
      about(holes.empty() ? nullptr : holes.front());
    } else if (act == "voided") {
      w.level = deck ? "deck" : "floor";
      about(open(false).empty() ? nullptr : open(false).front());
    } else if (act == "cut") {
      // one that has the length already is done
      w.allowed = p->live && (rod == s.rods.end() ||
                              (!rod->second.hung && issued_.at(number, rod->second.issue)->cut != p->cut));
    } else if (act == "hung") {
      w.allowed = p->live && rod != s.rods.end() && !rod->second.hung;
    } else if (act == "taken-down") {
      w.allowed = rod != s.rods.end() && rod->second.hung;
    } else {
      w.level = deck ? "deck" : "floor";
      std::vector<const Thing*> all = open(false);
      if (deck) all.insert(all.end(), holes.begin(), holes.end());
      std::erase_if(all, [&](const Thing* t) { return t->doubtful != (act == "cleared"); });
      std::sort(all.begin(), all.end(), [](const Thing* a, const Thing* b) { return a->order < b->order; });
      about(all.empty() ? nullptr : all.back());
    }
    return w;
  }

  void act(PipedDialogue& dialogue) {
    static const char* const kActs[] = {"marked", "marked", "marked", "drilled",    "filled",   "voided",
                                        "cut",    "hung",   "hung",   "taken-down", "doubtful", "cleared"};
    const std::string word = kActs[dice_.below(std::size(kActs))];
    const bool reason = word == "doubtful" || word == "cleared";
    const bool rods = word == "cut" || word == "hung" || word == "taken-down";
    const bool holes = word == "drilled" || word == "filled";
    const Standing s = now();
    const auto numbers = issued_.numbers();
    std::vector<Wanted> list;
    for (std::size_t n = 1 + dice_.below(3); n > 0; --n) {
      const std::int64_t number = numbers[dice_.below(numbers.size())];
      const IssuedPlace& p = *issued_.now(number);
      // a list has one kind of numbers; deck numbers of what had a deck
      const bool deck = holes || (!rods && p.deck.has_value() && dice_.chance(40));
      // what the table leaves open: a hole or a rod where none is wanted any more
      if ((holes && !p.deck) || (word == "cut" && !p.cut) || (word == "hung" && !p.live)) continue;
      if (std::any_of(list.begin(), list.end(), [&](const Wanted& w) { return w.number == number; }))
        continue;
      list.push_back(wanted(word, number, deck, s));
    }
    if (list.empty()) return;
    std::string line = word;
    for (const Wanted& w : list) line += " " + std::to_string(w.typed);
    if (reason) line += ": kicked by the drywallers";
    const Answer answer = dialogue.type(line);
    compare(line, word, list, answer);
  }

  void compare(const std::string& line, const std::string& word, const std::vector<Wanted>& list,
               const Answer& answer) {
    std::vector<std::string> kept;
    bool refused = false;
    for (const std::string& one : answer.lines) {
      if (one.starts_with("kept ")) kept.push_back(one);
      refused = refused || one.starts_with("no ");
    }
    const bool any_not = std::any_of(list.begin(), list.end(), [](const Wanted& w) { return !w.allowed; });
    if (refused) {
      ++met_[word + " refused"];
      if (!any_not) findings_.tell("typed " + line + ", all of it allowed; the answer was\n" + answer.all());
      if (!kept.empty()) findings_.tell("typed " + line + ": refused and kept\n" + answer.all());
      return;
    }
    std::vector<std::string> want;
    for (const Wanted& w : list) {
      if (!w.allowed) continue;
      BookRow r;
      r.entry = static_cast<std::uint32_t>(book_.rows.size() + 1);
      r.at = static_cast<std::int64_t>(r.entry);
      r.act = word;
      r.number = w.number;
      r.level = w.level == "-" ? "" : w.level;
      r.of = w.of == "-" ? "" : w.of;
      r.issue = issued_.last_issue();
      want.push_back("kept " + std::to_string(r.entry) + " " + word + " " + std::to_string(w.number) + " " +
                     w.level + " " + w.of);
      book_.rows.push_back(r);
      ++met_[word];
    }
    if (kept == want) return;
    std::string all;
    for (const std::string& one : want) all += one + "\n";
    for (const BookRow& r : book_.rows)
      for (const Wanted& w : list)
        if (r.number == w.number || r.act == "undone")
          all += text("so far: %u %s %lld of %s\n", r.entry, r.act.c_str(), static_cast<long long>(r.number),
                      r.of.c_str());
    findings_.tell("typed " + line + ", the answer was\n" + answer.all() + "expected\n" + all);
  }

  void undo(PipedDialogue& dialogue) {
    if (book_.rows.empty()) return;
    const BookRow& last = book_.rows.back();
    const bool allowed = last.act != "undone";
    const Answer answer = dialogue.type("undo " + std::to_string(last.entry));
    if (answer.has("kept") != allowed)
      return findings_.tell("undo of " + last.act + ": the answer was\n" + answer.all());
    if (!allowed) return;
    ++met_["undo"];
    BookRow r;
    r.entry = static_cast<std::uint32_t>(book_.rows.size() + 1);
    r.at = static_cast<std::int64_t>(r.entry);
    r.act = "undone";
    r.of = std::to_string(last.entry);
    r.issue = issued_.last_issue();
    book_.rows.push_back(r);
  }

  Dice dice_;
  BookWorld world_;
  JobFolder folder_;
  IssuedNumbers issued_;
  BookFile book_;
  std::map<std::string, std::size_t>& met_;
  Findings findings_;
};

}  // namespace

TEST_CASE("what is typed is kept as the table of acts says") {
  std::map<std::string, std::size_t> met;
  std::vector<std::string> wrong;
  for (std::uint32_t i = 0; i < repeats(60); ++i) {
    try {
      const auto lines = Acts(i, met).played();
      wrong.insert(wrong.end(), lines.begin(), lines.end());
    } catch (const std::exception& e) {
      wrong.push_back(text("book %u: broke off: ", i) + e.what());
    }
  }
  std::string all;
  for (const auto& [what, count] : met) all += "\n  " + std::to_string(count) + " " + what;
  MESSAGE("rows by act:" << all);
  tell_findings(wrong);
}
