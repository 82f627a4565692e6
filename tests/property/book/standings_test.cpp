// Random checks, marks, knocks and doubts of one instrument, typed into the real program: when it lets a mark
// be made, when it stops, which marks it calls doubtful, against the replay of what it acknowledged. Checks
// are clear: a target is read where it is, or 40 mm beside it. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <set>

#include "command/findings.h"
#include "crew_dialogue.h"
#include "standing.h"
#include "support/noise.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kCheckEvery = 20;  // default of [book]

class Stand {
 public:
  Stand(Dice& dice, std::map<std::string, std::size_t>& met, const std::string& name)
      : dice_(dice), met_(met), findings_(name), world_(dice, CrewSds{}, 2, 40) {
    world_.lay(folder_);
    const CommandResult ran = folder_.run({"run", ".", "--quiet"});
    if (ran.exit_code > 1) findings_.tell(ran.err);
    issued_ = IssuedNumbers(folder_.read("numbers.csv"), folder_.read("issued.csv"));
  }

  std::vector<std::string> played(int steps) {
    PipedDialogue dialogue(folder_.path(), {"book", ".", "--by", "Ada", "--setup", "S1"});
    dialogue_ = &dialogue;
    set_up(dialogue.opening());
    for (int i = 0; i < steps && findings_.lines().empty(); ++i) step();
    dialogue.type("end");
    dialogue.end();
    std::string wrong;
    const BookFile read = read_book_csv("", folder_.read("book.csv"), issued_.first_digest(), wrong);
    if (!wrong.empty()) findings_.tell(wrong);
    if (doubtful(replayed({read}, issued_, 0.002)) != doubtful(replayed({book_}, issued_, 0.002)))
      findings_.tell("the book's doubtful marks are not those of what was acknowledged");
    return findings_.lines();
  }

 private:
  using Numbers = std::multiset<std::int64_t>;

  static Numbers doubtful(const Standing& s) {
    Numbers out;
    for (const Thing& t : s.things)
      if (t.doubtful && !t.gone) out.insert(t.number);
    return out;
  }
  Standing now() const { return replayed({book_}, issued_, 0.002); }
  bool is_out() const {
    const Standing s = now();
    const auto out = s.out.find({"", "S1"});
    return out != s.out.end() && out->second;
  }
  void wrong(const std::string& typed, const Answer& answer, const std::string& expected) {
    findings_.tell("typed " + typed + ", the answer was\n" + answer.all() + "expected " + expected + "\n" +
                   past());
  }
  std::string past() const {
    std::string out = "so far:";
    for (const BookRow& r : book_.rows)
      out += text(" %u %s %s%s%s", r.entry, r.act.c_str(),
                  r.number > 0 ? std::to_string(r.number).c_str() : r.target.c_str(),
                  r.verdict.empty() ? "" : (" " + r.verdict).c_str(),
                  r.of.empty() ? ";" : (" of " + r.of + ";").c_str());
    return out;
  }
  BookRow& add(const std::string& act) {
    BookRow r;
    r.entry = static_cast<std::uint32_t>(book_.rows.size() + 1);
    r.at = static_cast<std::int64_t>(r.entry);
    r.act = act;
    if (act == "set-up" || act == "check" || act == "marked") r.setup = "S1";
    book_.rows.push_back(r);
    return book_.rows.back();
  }

  void step() {
    const std::size_t roll = dice_.below(100);
    if (roll < 35) return check();
    if (roll < 80) return mark();
    if (roll < 86) return knock();
    if (roll < 96) return doubt();
    set_up(dialogue_->type("setup S1"));
  }

  void set_up(const Answer& answer) {
    const bool refused = !book_.rows.empty() && is_out();
    if (refused != !answer.has("kept"))
      return wrong("setup S1", answer, refused ? "a refusal, it is out" : "a new standing");
    if (refused) return;
    if (answer.line("kept")[2] != "set-up") wrong("setup S1", answer, "set-up");
    add("set-up");
    due_ = true;
    since_check_ = 0;
    ++met_["set-up"];
  }

  void check() {
    const auto& control = world_.control()[dice_.below(4)];
    const bool beside = dice_.chance(25);
    const Place off = beside ? Place{0.04, 0.03} : Place{};
    const Standing before = now();
    const Answer waits = dialogue_->type("check " + control.name);
    if (!waits.has("wait check " + control.name))
      return wrong("check " + control.name, waits, "to be waited for");
    const CrewReading reading =
        world_.read(world_.instruments()[0], control.at + off,
                    control.height + CrewWorld::kPole - CrewWorld::kFloor - CrewWorld::kAxis);
    const Answer answer = dialogue_->type(world_.typed(reading, CrewWorld::kPole));
    BookRow& r = add("check");
    r.target = control.name;
    // one in a thousand that stands is outside all the same
    r.verdict = beside || answer.has("check " + control.name + " outside") ? "outside" : "within";
    met_["false stops"] += !beside && r.verdict == "outside";
    const std::string line = "check " + control.name + " " + r.verdict;
    if (!answer.has(line)) return wrong("a reading", answer, line);
    due_ = false;
    since_check_ = 0;
    const bool out = is_out();
    ++met_[out ? "check, out" : "check, good"];
    if (answer.has("stop S1") != out) return wrong(line, answer, out ? "stop S1" : "no stop");
    Numbers fresh = doubtful(now());
    for (const std::int64_t n : doubtful(before))
      if (const auto at = fresh.find(n); at != fresh.end()) fresh.erase(at);
    const auto named = numbers_of_list(answer.line("doubtful"), 1);
    met_["named doubtful"] += named.size();
    if (named != std::set<std::int64_t>(fresh.begin(), fresh.end())) {
      std::string all = "doubtful";
      for (const std::int64_t n : fresh) all += " " + std::to_string(n);
      wrong(line, answer, all);
    }
  }

  void mark() {
    const std::int64_t number = 1001 + static_cast<std::int64_t>(dice_.below(40));
    const bool allowed = !due_ && !is_out() && since_check_ < kCheckEvery;
    const Answer offered = dialogue_->type(std::to_string(number));
    Answer answer = dialogue_->type(".");
    const Thing* stands = now().newest(number, "floor", false);
    const std::uint32_t of = stands != nullptr ? stands->made.entry : 0;
    if (!allowed) {
      ++met_["mark, not taken"];
      if (answer.has("kept") || answer.has("ask"))
        wrong(std::to_string(number) + " .", answer, "no mark, a check");
      return;
    }
    bool same = false;
    if (of > 0) {
      // without a reading it is done already; with one it is asked whether it is the same
      if (!answer.has("again " + std::to_string(number)) || answer.has("kept"))
        return wrong(std::to_string(number) + " .", answer, "again");
      const Place& at = world_.marks()[static_cast<std::size_t>(number - 1001)];
      dialogue_->type(std::to_string(number));
      dialogue_->type(text("c %.4f %.4f", at.northing + 0.001, at.easting));
      answer = dialogue_->type("y");
      if (!answer.has("ask same " + std::to_string(of)))
        return wrong(std::to_string(number) + " read, y", answer, "ask same " + std::to_string(of));
      same = dice_.chance(60);
      answer = dialogue_->type(same ? "1" : "2");
    }
    BookRow& r = add("marked");
    r.number = number;
    r.level = "floor";
    if (same) r.of = std::to_string(of);
    ++met_[same ? "read again" : of > 0 ? "another" : "mark"];
    ++since_check_;
    const std::string kept =
        text("kept %u marked %lld floor ", r.entry, static_cast<long long>(number)) + (same ? r.of : "-");
    if (!answer.has(kept)) wrong(std::to_string(number) + " .", answer, kept);
  }

  void knock() {
    const Answer answer = dialogue_->type("k");
    if (!answer.has("kept")) return wrong("k", answer, "a note");
    add("note").note = "knocked";
    due_ = true;
    ++met_["knocked"];
  }

  void doubt() {
    const Standing s = now();
    const std::int64_t number = 1001 + static_cast<std::int64_t>(dice_.below(40));
    const bool clear = dice_.chance(70);
    const Thing* about = nullptr;
    for (const Thing* t : s.open(number, "floor", false))
      if (t->doubtful == clear) about = t;
    const std::string act = clear ? "cleared" : "doubtful";
    if (about == nullptr || (!clear && s.newest(number, "floor", false)->doubtful)) return;
    const std::string line = act + " " + std::to_string(number) + ": looked again";
    const Answer answer = dialogue_->type(line);
    BookRow& r = add(act);
    r.number = number;
    r.level = "floor";
    r.of = std::to_string(about->made.entry);
    ++met_[act];
    const std::string kept =
        text("kept %u %s %lld floor %s", r.entry, act.c_str(), static_cast<long long>(number), r.of.c_str());
    if (!answer.has(kept)) wrong(line, answer, kept);
  }

  Dice& dice_;
  std::map<std::string, std::size_t>& met_;
  Findings findings_;
  CrewWorld world_;
  JobFolder folder_;
  IssuedNumbers issued_;
  BookFile book_;
  PipedDialogue* dialogue_ = nullptr;
  bool due_ = true;
  std::size_t since_check_ = 0;
};

}  // namespace

TEST_CASE("when a mark is taken, when the setup stops, which marks are doubtful") {
  Dice dice(1);
  std::map<std::string, std::size_t> met;
  std::vector<std::string> wrong;
  for (std::size_t i = 0; i < repeats(60); ++i) {
    try {
      const auto lines = Stand(dice, met, text("standing %zu", i)).played(150);
      wrong.insert(wrong.end(), lines.begin(), lines.end());
    } catch (const std::exception& e) {
      wrong.push_back(text("standing %zu: broke off: ", i) + e.what());
    }
  }
  std::string all;
  for (const auto& [what, count] : met) all += "\n  " + std::to_string(count) + " " + what;
  MESSAGE("what was met:" << all);
  CHECK(met["false stops"] * 200 <= met["check, good"] + met["check, out"]);
  tell_findings(wrong);
}
