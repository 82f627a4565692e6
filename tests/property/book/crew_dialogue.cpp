#include "crew_dialogue.h"

#include <cmath>
#include <cstdlib>
#include <numbers>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kHand = 0.004;  // per axis, m: so far off a mark is made at first
constexpr int kReadings = 6;     // until it lies well enough
constexpr double kPoleUp = CrewWorld::kPole - CrewWorld::kAxis;
constexpr double kRegion = 13.815510557964274;  // -2 ln 0.001
constexpr double kSecond = 1 / 206264.80624709636;

/// The number behind these words.
double number_behind(const std::string& all, const std::string& words) {
  const std::size_t at = all.find(words);
  return at == std::string::npos ? 0 : std::strtod(all.c_str() + at + words.size(), nullptr);
}

}  // namespace

std::set<std::int64_t> numbers_of_list(const AnswerLine& words, std::size_t from) {
  std::set<std::int64_t> out;
  for (std::size_t i = from; i < words.size(); ++i) {
    char* end = nullptr;
    const std::int64_t first = std::strtoll(words[i].c_str(), &end, 10);
    const std::int64_t last = *end == '-' ? std::strtoll(end + 1, nullptr, 10) : first;
    for (std::int64_t n = first; n <= last; ++n) out.insert(n);
  }
  return out;
}

void CrewDialogue::tell(const std::string& what, const Answer& answer) {
  findings_.tell(what + "; the answer was\n" + answer.all());
}

bool CrewDialogue::check(const std::string& name, const Place& target, double up, Answer& answer) {
  if (const Answer waits = dialogue_.type("check " + name); !waits.has("wait check")) {
    tell("check " + name + " is not waited for", waits);
    return false;
  }
  const CrewReading reading = world_.read(now_, target, up);
  answer = dialogue_.type(world_.typed(reading, CrewWorld::kPole));
  const AnswerLine said = answer.line("check");
  if (said.size() != 3 || said[1] != name || (said[2] != "within" && said[2] != "outside")) {
    tell("no verdict of " + name, answer);
    return false;
  }
  judge(name, reading, said[2] == "outside", answer);
  return said[2] == "outside";
}

void CrewDialogue::judge(const std::string& name, const CrewReading& reading, bool outside,
                         const Answer& answer) {
  const auto first = first_.find(name);
  if (first == first_.end()) {
    if (!outside) first_[name] = reading;
    return;
  }
  const CrewSds& sds = world_.sds();
  const double turn = std::remainder(reading.circle - first->second.circle, 360) * std::numbers::pi / 180;
  const double along = (reading.horizontal - first->second.horizontal) / (std::numbers::sqrt2 * sds.distance),
               across = turn / (2 * sds.angle);
  const double square = along * along + across * across;
  if ((square > kRegion * 1.1 && !outside) || (square < kRegion / 1.1 && outside))
    tell(text("%s differs by a chi-square of %.2f from its first reading", name.c_str(), square), answer);
}

Answer CrewDialogue::read_mark(const Place& mark) {
  return dialogue_.type(
      world_.typed(world_.read(now_, world_.on(mark), CrewWorld::kTargetHeight - CrewWorld::kAxis),
                   CrewWorld::kTargetHeight));
}

/// Moved as told until it is kept.
bool CrewDialogue::mark(std::int64_t number) {
  const Place design = world_.marks()[static_cast<std::size_t>(number - 1001)];
  Place truth = design + Place{kHand * world_.dice().normal(), kHand * world_.dice().normal()};
  Answer answer = dialogue_.type(std::to_string(number));
  if (!answer.has("wait mark " + std::to_string(number))) {
    tell("it does not wait for mark " + std::to_string(number), answer);
    return false;
  }
  for (int i = 0; i < kReadings; ++i) {
    answer = read_mark(truth);
    const AnswerLine read = answer.line("read " + std::to_string(number));
    if (read.size() != 6) {
      tell("no reading of " + std::to_string(number), answer);
      return false;
    }
    const Place to_go{std::strtod(read[4].c_str(), nullptr), std::strtod(read[3].c_str(), nullptr)};
    if (i > 0) {
      answer = dialogue_.type("y");
      if (answer.has("kept")) {
        made_[number] = {truth, now_.at, true};
        return true;
      }
      if (!answer.has("no keep:")) tell("y is answered by neither kept nor no keep", answer);
    }
    truth = truth + to_go;
  }
  dialogue_.type("undo");
  return false;
}

void CrewDialogue::stand(std::size_t setup, const CrewPlan& plan, const Answer& opened) {
  ++tally_.dialogues;
  now_ = world_.instruments()[setup];
  first_.clear();
  const std::size_t kinds = world_.control().size();
  const CrewWorld::Control& control = world_.control()[world_.dice().below(kinds)];
  const double up = control.height + kPoleUp - CrewWorld::kFloor;
  Place target = world_.on(control.at);
  if (!opened.has("wait check")) {
    ++tally_.refused;
    return;
  }
  Answer answer;
  ++tally_.checks;
  if (check(control.name, target, up, answer)) {
    ++tally_.false_stops;
    return;
  }
  std::set<std::int64_t> bad;
  for (std::size_t i = 0; i < plan.before + plan.after; ++i) {
    if (i == plan.before && plan.mishap == Mishap::turned)
      now_.orientation += world_.dice().chance(50) ? plan.turn : -plan.turn;
    if (i == plan.before && plan.mishap == Mishap::moved) {
      const double way = 2 * std::numbers::pi * world_.dice().uniform();
      now_.at = now_.at + Place{plan.move * std::cos(way), plan.move * std::sin(way)};
    }
    const std::int64_t number = next_++;
    if (!mark(number) || i < plan.before || plan.mishap == Mishap::none) continue;
    bad.insert(number);
    made_[number].good = false;
  }
  if (!plan.target_left) target = world_.on(control.at);
  const bool out = check(control.name, target, up, answer);
  const std::set<std::int64_t> doubted = numbers_of_list(answer.line("doubtful"), 1);
  doubted_.insert(doubted.begin(), doubted.end());
  const std::size_t kind = static_cast<std::size_t>(plan.mishap);
  if (plan.mishap == Mishap::none) ++tally_.checks;
  if (plan.mishap == Mishap::none) tally_.false_stops += out;
  if (!plan.target_left || plan.mishap == Mishap::none) return;
  ++tally_.mishaps[kind];
  tally_.stopped[kind] += out;
  if (!out) return;
  if (!answer.has("stop " + CrewWorld::setup_name(setup))) tell("outside, and not stopped", answer);
  for (const std::int64_t number : bad) tally_.bad_unnamed += !doubted.contains(number);
  tally_.bad += bad.size();
}

void CrewDialogue::could_miss(std::size_t setup, Mishap mishap) {
  now_ = world_.instruments()[setup];
  const CrewWorld::Control& control = world_.control()[world_.dice().below(world_.control().size())];
  const double up = control.height + kPoleUp - CrewWorld::kFloor;
  const auto begin = [&] {
    first_.clear();
    const Answer waits = dialogue_.type("setup " + CrewWorld::setup_name(setup));
    if (!waits.has("wait check")) tell("a new standing of " + CrewWorld::setup_name(setup), waits);
    return waits.has("wait check");
  };
  Answer answer;
  if (!begin()) return;
  ++tally_.checks;
  if (check(control.name, world_.on(control.at), up, answer)) {
    ++tally_.false_stops;
    return;
  }
  const double turn = number_behind(answer.all(), "a turn of ") * kSecond,
               move = number_behind(answer.all(), "a move of ") / 1000;
  if (turn == 0 || move == 0) {
    ++tally_.unsaid;
    return;
  }
  if (!begin()) return;
  if (mishap == Mishap::turned) now_.orientation += world_.dice().chance(50) ? turn : -turn;
  const double way = 2 * std::numbers::pi * world_.dice().uniform();
  if (mishap == Mishap::moved) now_.at = now_.at + Place{move * std::cos(way), move * std::sin(way)};
  ++tally_.stated[static_cast<std::size_t>(mishap)];
  tally_.seen[static_cast<std::size_t>(mishap)] += check(control.name, world_.on(control.at), up, answer);
}

std::string CrewTally::told() const {
  const auto share = [](std::size_t n, std::size_t of) {
    return text("%zu of %zu (%.2f %%)", n, of,
                of > 0 ? 100.0 * static_cast<double>(n) / static_cast<double>(of) : 0);
  };
  return std::to_string(dialogues) + " dialogues, " + std::to_string(refused) +
         " not begun\nmoved as told, within the region " + share(moved_in, marks) +
         "\nkept, within the region " + share(kept_in, marks) + "\nkept within 6 mm and truly farther " +
         share(far, marks) + "\nfalse stops " + share(false_stops, checks) + "\nturned, stopped " +
         share(stopped[1], mishaps[1]) + "\nmoved, stopped " + share(stopped[2], mishaps[2]) +
         "\nbad marks that are not doubtful " + share(bad_unnamed, bad) +
         "\nagainst coordinates, the stated turn seen " + share(seen[1], stated[1]) +
         "\nthe stated move seen " + share(seen[2], stated[2]) + text("\nnothing stated %zu times", unsaid);
}

}  // namespace deckmark_test
