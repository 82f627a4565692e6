// Which readings of a level make lines.
#include <algorithm>
#include <cmath>

#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

using Leg = HeightLine::Leg;

constexpr std::size_t kShortLine = 4;  // set-ups up to which a line has the limit of a short one
constexpr Length kPerRootKm = Length::millimetres(12);

/// A line as far as it has come.
struct Chain {
  std::size_t start = 0;  // target
  std::vector<Leg> legs;
  std::size_t legs_to_benchmark = 0;  // where it began on a target without a height; 0: it met none
};
/// A chain that waits on its last fore for a set-up that reads it back.
struct Waiting {
  Chain chain;
  std::size_t setup = 0;  // that brought it there
  bool is_taken = false;
};
/// A chain that goes through a set-up by one of its backs.
struct Through {
  Chain chain;
  std::size_t back = 0;
  bool is_used = false;  // a reading closed it, or took it on
  std::optional<std::size_t> last_fore;
};
struct Setup {
  bool is_open = false;
  std::vector<std::size_t> backs;  // all that it has, wherever they stand
  std::vector<std::size_t> seen;   // backs that were come to
  std::vector<Through> through;
};

class LineFinder {
 public:
  LineFinder(const HeightReadings& readings, const HeightOptions& options)
      : readings_(readings),
        options_(options),
        known_(readings.targets),
        backs_on_(readings.targets),
        waiting_(readings.targets),
        setups_(readings.setups) {
    for (const Benchmark& b : readings.benchmarks) known_[b.target] = b.elevation;
    for (std::size_t i = 0; i < readings.level.size(); ++i) {
      if (!readings.level[i].is_back) continue;
      backs_on_[readings.level[i].target].push_back(i);
      setups_[readings.level[i].setup].backs.push_back(i);
    }
  }

  std::vector<HeightLine> run() {
    for (std::size_t i = 0; i < readings_.level.size(); ++i) {
      const LevelReading& r = readings_.level[i];
      Setup& s = setups_[r.setup];
      // A set-up begins with its first back, also where a fore was written before it.
      if (!s.is_open && !s.backs.empty()) {
        s.is_open = true;
        first_back(s, s.backs.front());
      }
      if (r.is_back && s.backs.front() != i) further_back(s, i);
      if (!r.is_back) fore(s, i);
    }
    end_open();
    std::stable_sort(lines_.begin(), lines_.end(), [](const HeightLine& a, const HeightLine& b) {
      return a.legs.front().back < b.legs.front().back;
    });
    return std::move(lines_);
  }

 private:
  std::size_t target(std::size_t reading) const { return readings_.level[reading].target; }

  void first_back(Setup& s, std::size_t back) {
    arrive(s, back);
    if (known_[target(back)] || s.through.empty())
      s.through.push_back({{target(back), {}, 0}, back, false, std::nullopt});
    s.seen.push_back(back);
  }

  /// Takes the chains that wait on the target of a back.
  void arrive(Setup& s, std::size_t back) {
    for (Waiting& w : waiting_[target(back)]) {
      w.is_taken = true;
      if (std::any_of(s.through.begin(), s.through.end(),
                      [&](const Through& t) { return t.chain.start == w.chain.start; }))
        continue;
      s.through.push_back({w.chain, back, false, std::nullopt});
    }
  }

  void further_back(Setup& s, std::size_t back) {
    for (Through& t : s.through) {
      if (!closes(t.chain, target(back))) continue;
      emit(t.chain, {t.back, back});
      t.is_used = true;
    }
    const std::size_t before = s.through.size();
    arrive(s, back);
    for (std::size_t k = before; k < s.through.size(); ++k)
      for (const std::size_t earlier : s.seen) {
        if (!closes(s.through[k].chain, target(earlier))) continue;
        emit(s.through[k].chain, {s.through[k].back, earlier});
        s.through[k].is_used = true;
      }
    s.seen.push_back(back);
  }

  void fore(Setup& s, std::size_t i) {
    const LevelReading& r = readings_.level[i];
    for (Through& t : s.through) {
      if (closes(t.chain, r.target)) {
        emit(t.chain, {t.back, i});
        t.is_used = true;
      } else if (is_read_back_later(i)) {
        wait(t, i);
        t.is_used = true;
      } else {
        t.last_fore = i;
      }
    }
  }

  /// Whether a chain that comes to this target is at its end there and can be checked.
  bool closes(const Chain& chain, std::size_t at) const {
    return at == chain.start || (known_[at] && known_[chain.start]);
  }

  bool is_read_back_later(std::size_t fore) const {
    const auto& backs = backs_on_[target(fore)];
    return std::any_of(backs.rbegin(), backs.rend(), [&](std::size_t b) {
      return b > fore && readings_.level[b].setup != readings_.level[fore].setup;
    });
  }

  void wait(const Through& t, std::size_t fore) {
    Waiting w{t.chain, readings_.level[fore].setup, false};
    w.chain.legs.push_back({t.back, fore});
    if (known_[target(fore)] && !known_[w.chain.start] && w.chain.legs_to_benchmark == 0)
      w.chain.legs_to_benchmark = w.chain.legs.size();
    auto& all = waiting_[target(fore)];
    const auto same = std::find_if(all.begin(), all.end(),
                                   [&](const Waiting& other) { return other.chain.start == w.chain.start; });
    // Of two ways from one start to one target the later one goes on; a staff that one set-up reads again is
    // no new way. The adjustment has them all.
    if (same == all.end())
      all.push_back(std::move(w));
    else if (same->setup != w.setup)
      *same = std::move(w);
  }

  void emit(const Chain& chain, Leg last) {
    HeightLine line;
    line.legs = chain.legs;
    line.legs.push_back(last);
    finish(std::move(line));
  }

  void emit_open(Chain chain, std::optional<Leg> last) {
    if (last) chain.legs.push_back(*last);
    if (chain.legs_to_benchmark > 0) chain.legs.resize(chain.legs_to_benchmark);
    if (chain.legs.empty()) return;
    const auto& legs = chain.legs;
    const bool is_told = std::any_of(lines_.begin(), lines_.end(), [&](const HeightLine& l) {
      return std::equal(l.legs.begin(), l.legs.end(), legs.begin(), legs.end(),
                        [](const Leg& a, const Leg& b) { return a.back == b.back && a.fore == b.fore; });
    });
    if (is_told) return;
    HeightLine line;
    line.legs = std::move(chain.legs);
    finish(std::move(line));
  }

  void end_open() {
    for (const Setup& s : setups_)
      for (const Through& t : s.through)
        if (!t.is_used)
          emit_open(t.chain, t.last_fore ? std::optional(Leg{t.back, *t.last_fore}) : std::nullopt);
    for (const auto& all : waiting_)
      for (const Waiting& w : all)
        if (!w.is_taken) emit_open(w.chain, std::nullopt);
  }

  void finish(HeightLine line) {
    line.from = target(line.legs.front().back);
    line.to = target(line.legs.back().fore);
    line.length = length_of(line.legs);
    line.limit = limit_of(line);
    Length rise = Length::metres(0);
    for (const Leg& leg : line.legs)
      rise += readings_.level[leg.back].reading - readings_.level[leg.fore].reading;
    if (line.from == line.to)
      line.closure = closure_of(rise, line.limit);
    else if (known_[line.from] && known_[line.to])
      line.closure = closure_of(rise - (*known_[line.to] - *known_[line.from]), line.limit);
    lines_.push_back(std::move(line));
  }

  std::optional<Length> length_of(const std::vector<Leg>& legs) const {
    Length sum = Length::metres(0);
    for (const Leg& leg : legs)
      for (const std::size_t i : {leg.back, leg.fore}) {
        if (!readings_.level[i].distance) return std::nullopt;
        sum += *readings_.level[i].distance;
      }
    return sum;
  }

  Length limit_of(const HeightLine& line) const {
    if (options_.loop_limit) return *options_.loop_limit;
    const std::size_t n = line.legs.size();
    if (n <= kShortLine) return kShortLimit;
    if (line.length)
      return std::max(kShortLimit, kPerRootKm * std::sqrt(std::max(0.0, line.length->metres()) / 1000));
    return kShortLimit * std::sqrt(static_cast<double>(n) / static_cast<double>(kShortLine));
  }

  const HeightReadings& readings_;
  const HeightOptions& options_;
  std::vector<std::optional<Elevation>> known_;     // by target
  std::vector<std::vector<std::size_t>> backs_on_;  // by target
  std::vector<std::vector<Waiting>> waiting_;       // by target, each start once
  std::vector<Setup> setups_;
  std::vector<HeightLine> lines_;
};

}  // namespace

std::vector<HeightLine> find_lines(const HeightReadings& readings, const HeightOptions& options) {
  return LineFinder(readings, options).run();
}

}  // namespace deckmark::levelling
