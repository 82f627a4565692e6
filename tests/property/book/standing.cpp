#include "standing.h"

#include <algorithm>
#include <cstdlib>
#include <set>

namespace deckmark_test {

namespace {

/// Checks between two marks.
struct CheckGroup {
  bool out = false;                 ///< as it ended
  std::optional<std::size_t> went;  ///< the check with which it went out, the last time
};

/// One standing of an instrument.
struct Stood {
  std::vector<CheckGroup> groups;
  bool in_group = false;
  std::vector<std::pair<std::string, bool>> checks;  ///< target, within

  bool is_out() const {
    std::map<std::string, std::size_t> last;
    for (std::size_t i = 0; i < checks.size(); ++i) last[checks[i].first] = i;
    for (const auto& [target, at] : last) {
      if (checks[at].second) continue;
      std::set<std::string> others;
      for (std::size_t i = at + 1; i < checks.size(); ++i)
        if (checks[i].second && checks[i].first != target) others.insert(checks[i].first);
      if (others.size() < 2) return true;
    }
    return false;
  }
};

/// What a thing's doubt hangs on beside its place.
struct Doubt {
  std::optional<std::size_t> standing;
  std::size_t group = 0;  ///< the first one after its reading
  bool stated = false;
  std::optional<std::size_t> cleared;
};

struct Placed {
  std::size_t book = 0, row = 0;
  std::int64_t at = 0;
};

std::vector<Placed> in_order(const std::vector<BookFile>& books) {
  std::vector<Placed> out;
  for (std::size_t b = 0; b < books.size(); ++b) {
    std::int64_t latest = INT64_MIN;
    for (std::size_t r = 0; r < books[b].rows.size(); ++r) {
      latest = std::max(latest, books[b].rows[r].at);
      out.push_back({b, r, latest});
    }
  }
  std::stable_sort(out.begin(), out.end(), [&](const Placed& a, const Placed& b) {
    if (a.at != b.at) return a.at < b.at;
    if (a.book != b.book) return books[a.book].name < books[b.book].name;
    return a.row < b.row;
  });
  return out;
}

class Replay {
 public:
  Replay(const std::vector<BookFile>& books, const IssuedNumbers& issued, double sd)
      : books_(books), issued_(issued), sd_(sd) {}

  Standing played() {
    const std::vector<Placed> order = in_order(books_);
    std::set<RowId> undone;
    for (const BookFile& book : books_)
      for (const BookRow& r : book.rows)
        if (r.act == "undone") undone.insert(of(book, r));
    for (std::size_t i = 0; i < order.size(); ++i) {
      const BookFile& book = books_[order[i].book];
      const BookRow& r = book.rows[order[i].row];
      if (!undone.contains({book.name, r.entry})) take(book, r, i);
    }
    judge_doubt();
    return std::move(s_);
  }

 private:
  static RowId of(const BookFile& book, const BookRow& r) {
    const std::size_t colon = r.of.find(':');
    const auto entry = [](const std::string& text) {
      return static_cast<std::uint32_t>(std::strtoul(text.c_str(), nullptr, 10));
    };
    if (colon == std::string::npos) return {book.name, entry(r.of)};
    return {r.of.substr(0, colon), entry(r.of.substr(colon + 1))};
  }

  void take(const BookFile& book, const BookRow& r, std::size_t i) {
    if (r.act == "set-up") {
      standing_of_[{book.name, r.setup}] = stood_.size();
      stood_.push_back({});
      s_.out[{book.name, r.setup}] = false;
    } else if (r.act == "check") {
      check(book, r, i);
    } else if (r.act == "marked") {
      marked(book, r, i);
    } else if (r.act == "drilled") {
      drilled(book, r, i);
    } else if (r.act == "cut") {
      s_.rods[r.number] = {r.issue, false};
    } else if (r.act == "hung" || r.act == "taken-down") {
      const auto rod = s_.rods.find(r.number);
      if (rod == s_.rods.end()) return wrong(r);
      rod->second.hung = r.act == "hung";
    } else if (r.act == "filled" || r.act == "voided" || r.act == "doubtful" || r.act == "cleared") {
      about(book, r, i);
    }
  }

  void wrong(const BookRow& r) {
    if (s_.wrong.empty()) s_.wrong = r.act + " " + std::to_string(r.number) + " is about nothing";
  }

  std::optional<std::size_t> standing_of(const BookFile& book, const BookRow& r) const {
    const auto at = standing_of_.find({book.name, r.setup});
    if (r.setup.empty() || at == standing_of_.end()) return std::nullopt;
    return at->second;
  }

  void check(const BookFile& book, const BookRow& r, std::size_t i) {
    const auto at = standing_of(book, r);
    if (!at) return wrong(r);
    Stood& stood = stood_[*at];
    if (!stood.in_group) stood.groups.push_back({});
    stood.in_group = true;
    stood.checks.emplace_back(r.target, r.verdict == "within");
    CheckGroup& group = stood.groups.back();
    const bool was = group.out;
    group.out = stood.is_out();
    if (group.out && (!was || !group.went)) group.went = i;
    s_.out[{book.name, r.setup}] = group.out;
  }

  std::size_t index_of(const BookFile& book, const BookRow& r) const {
    const RowId id = of(book, r);
    for (std::size_t t = 0; t < s_.things.size(); ++t)
      if (s_.things[t].made == id) return t;
    return s_.things.size();
  }

  void marked(const BookFile& book, const BookRow& r, std::size_t i) {
    std::size_t t = s_.things.size();
    if (r.of.empty()) {
      s_.things.push_back({});
      doubts_.push_back({});
      Thing& thing = s_.things.back();
      thing.number = r.number;
      thing.level = r.level;
      thing.made = {book.name, r.entry};
      thing.order = i;
    } else {
      t = index_of(book, r);
      if (t == s_.things.size()) return wrong(r);
    }
    recorded(s_.things[t], r);
    s_.things[t].placed = {book.name, r.entry};
    doubts_[t] = {};
    doubts_[t].standing = standing_of(book, r);
    if (!doubts_[t].standing) return;
    Stood& stood = stood_[*doubts_[t].standing];
    stood.in_group = false;
    doubts_[t].group = stood.groups.size();
  }

  void recorded(Thing& thing, const BookRow& r) {
    thing.issue = r.issue;
    thing.read = r.has_place();
    if (thing.read) {
      thing.northing = static_cast<double>(*r.northing) / 1e6;
      thing.easting = static_cast<double>(*r.easting) / 1e6;
      thing.sd = static_cast<double>(std::max(r.sd_along.value_or(0), r.sd_across.value_or(0))) / 1e6;
      return;
    }
    const IssuedPlace* place = issued_.at(r.number, r.issue);
    if (place == nullptr) return wrong(r);
    thing.northing = static_cast<double>(place->northing) / 1e6;
    thing.easting = static_cast<double>(place->easting) / 1e6;
    thing.sd = sd_;
  }

  /// At the newest deck cross, which it uses up; without one at the issue's place.
  void drilled(const BookFile& book, const BookRow& r, std::size_t i) {
    std::size_t cross = s_.things.size();
    for (std::size_t t = 0; t < s_.things.size(); ++t) {
      const Thing& thing = s_.things[t];
      if (thing.number == r.number && thing.level == "deck" && !thing.hole && !thing.gone) cross = t;
    }
    Thing hole;
    Doubt doubt;
    if (cross < s_.things.size()) {
      hole = s_.things[cross];
      doubt = doubts_[cross];
      s_.things[cross].gone = true;
    } else {
      hole.number = r.number;
      hole.level = "deck";
      recorded(hole, r);
    }
    hole.hole = true;
    hole.made = {book.name, r.entry};
    hole.order = i;
    s_.things.push_back(hole);
    doubts_.push_back(doubt);
  }

  void about(const BookFile& book, const BookRow& r, std::size_t i) {
    const std::size_t t = index_of(book, r);
    if (t == s_.things.size()) return wrong(r);
    Thing& thing = s_.things[t];
    if (r.act == "doubtful") doubts_[t].stated = true;
    if (r.act == "cleared") {
      doubts_[t].stated = false;
      doubts_[t].cleared = i;
    }
    if (r.act == "voided" || r.act == "filled") thing.gone = true;
    if (r.act == "filled") thing.filled = true;
  }

  void judge_doubt() {
    for (std::size_t t = 0; t < s_.things.size(); ++t) {
      const Doubt& d = doubts_[t];
      Thing& thing = s_.things[t];
      thing.doubtful = d.stated;
      if (!d.standing || stood_[*d.standing].groups.empty()) continue;
      // Where no check came after it, it hangs on how the last one ended: out makes doubtful what follows.
      const auto& groups = stood_[*d.standing].groups;
      const CheckGroup& group = groups[std::min(d.group, groups.size() - 1)];
      if (!group.out) continue;
      if (!d.cleared || *d.cleared < *group.went) thing.doubtful = true;
    }
  }

  const std::vector<BookFile>& books_;
  const IssuedNumbers& issued_;
  double sd_;
  Standing s_;
  std::vector<Doubt> doubts_;  // beside the things
  std::vector<Stood> stood_;
  std::map<std::pair<std::string, std::string>, std::size_t> standing_of_;
};

}  // namespace

std::vector<const Thing*> Standing::open(std::int64_t number, const std::string& level, bool hole) const {
  std::vector<const Thing*> found;
  for (const Thing& t : things)
    if (t.number == number && t.level == level && t.hole == hole && !t.gone) found.push_back(&t);
  return found;
}

const Thing* Standing::newest(std::int64_t number, const std::string& level, bool hole) const {
  const auto all = open(number, level, hole);
  return all.empty() ? nullptr : all.back();
}

Standing replayed(const std::vector<BookFile>& books, const IssuedNumbers& issued, double sd) {
  return Replay(books, issued, sd).played();
}

}  // namespace deckmark_test
