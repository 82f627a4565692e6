#include "account.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>
#include <tuple>

#include "sha256.h"

namespace deckmark_test {

namespace {

/// A change is told when it is over this.
constexpr Micro kTold = 1000;

std::string decimal(std::int64_t units, int decimals) {
  std::string digits = std::to_string(units < 0 ? -units : units);
  const auto least = static_cast<std::size_t>(decimals) + 1;
  if (digits.size() < least) digits.insert(0, least - digits.size(), '0');
  digits.insert(digits.size() - static_cast<std::size_t>(decimals), ".");
  return (units < 0 ? "-" : "") + digits;
}

std::string metres(Micro value) { return decimal(value, 6); }
std::string metres(const MaybeMicro& value) { return value ? metres(*value) : ""; }

/// A text cell: quoted where it must be.
std::string cell(const std::string& text) {
  if (text.find_first_of("\",\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

std::string joined(const std::vector<std::string>& cells) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) out += (i ? "," : "") + cells[i];
  return out;
}

constexpr const char* kNumbersHeader =
    "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m),issue,floor_elevation (m),"
    "attach_elevation (m),deck_elevation (m),cut (m),kind,run,crew,told_in,told_in_deck,told_in_bracket,"
    "told_in_cut\n";
constexpr const char* kIssuedHeader = "issue,revision,job,storey,live,rows,folder,before,digest\n";

std::string line_of(const LedgerRow& row) {
  const Kept& k = row.kept;
  std::vector<std::string> cells = {cell(k.point),
                                    std::to_string(row.number),
                                    k.live ? "live" : "dropped",
                                    metres(k.x),
                                    metres(k.y),
                                    std::to_string(k.deck_offset),
                                    cell(row.revision),
                                    metres(k.northing),
                                    metres(k.easting),
                                    std::to_string(row.issue),
                                    metres(k.floor),
                                    metres(k.attach),
                                    metres(k.deck),
                                    metres(k.cut),
                                    cell(k.kind),
                                    cell(k.run),
                                    cell(k.crew)};
  for (const int issue : row.told) cells.push_back(std::to_string(issue));
  return joined(cells);
}

Kept kept_of(const HandedPoint& p, const HandedOut& run) {
  return {.point = p.name,
          .kind = p.kind,
          .run = p.run,
          .crew = p.crew,
          .live = true,
          .x = p.x,
          .y = p.y,
          .northing = p.northing,
          .easting = p.easting,
          .floor = run.floor,
          .attach = p.attach,
          .deck = p.deck,
          .cut = p.cut,
          .deck_offset = run.deck_offset};
}

Micro square(Micro a, Micro b) { return a * a + b * b; }
bool is_told(Micro squared) { return squared > kTold * kTold; }
/// Both places on site are rounded to micrometres, each by up to 0.7: twice what is a refit, 1.0015 mm.
constexpr Micro kRefit = 2003;

bool is_live(const States& states, std::int64_t number) {
  const auto at = states.find(number);
  return at != states.end() && at->second.kept.live;
}

/// New points at the places of points that are gone: by the new number the number that it replaces.
struct Renames {
  std::map<std::int64_t, std::int64_t> replaced_by_new;
  bool is_open = false;  ///< equal claims
  bool replaces(std::int64_t old_number) const {
    return std::any_of(replaced_by_new.begin(), replaced_by_new.end(),
                       [&](const auto& pair) { return pair.second == old_number; });
  }
};

/// Nearest first; of equally near ones those that are dropped now before those dropped long ago. What stands
/// on the floor is the place last told: a new name must not hide that the mark crept from there.
Renames renames_of(const Account& account, const States& base, const States& now) {
  using Claim = std::tuple<Micro, bool, std::int64_t, std::int64_t>;  // square, dropped before, old, new
  std::vector<Claim> claims;
  for (const auto& [fresh, n] : now) {
    if (!n.kept.live || base.contains(fresh)) continue;
    for (const auto& [gone, b] : base) {
      if (is_live(now, gone)) continue;
      const Kept& told = account.row_in(gone, b.told[floor_mark]).kept;
      const Micro off = square(n.kept.x - told.x, n.kept.y - told.y);
      if (!is_told(off)) claims.emplace_back(off, !b.kept.live, gone, fresh);
    }
  }
  std::sort(claims.begin(), claims.end());
  Renames out;
  for (std::size_t i = 0; i < claims.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (std::get<0>(claims[i]) == std::get<0>(claims[j]) &&
          std::get<1>(claims[i]) == std::get<1>(claims[j]) &&
          (std::get<2>(claims[i]) == std::get<2>(claims[j]) ||
           std::get<3>(claims[i]) == std::get<3>(claims[j])))
        out.is_open = true;
  for (const auto& [off, before, gone, fresh] : claims)
    if (!out.replaced_by_new.contains(fresh) && !out.replaces(gone)) out.replaced_by_new[fresh] = gone;
  return out;
}

}  // namespace

/// What is told between two states of one ledger.
class Comparing {
 public:
  Comparing(const Account& account, const States& base, const States& now, const SiteAxes& axes)
      : account_(account), base_(base), now_(now), axes_(axes), renames_(renames_of(account, base, now)) {}

  std::vector<ToldChange> changes() {
    for (const auto& [number, n] : now_) {
      const auto b = base_.find(number);
      if (b == base_.end())
        came(number, n);
      else if (n.kept.live)
        stands(number, b->second, n);
      else if (b->second.kept.live && !renames_.replaces(number))
        tell_floor(number, n, "dropped", last_told(number, floor_mark));
    }
    return out_;
  }

 private:
  /// The number's row in the issue that last told this.
  const Kept& last_told(std::int64_t number, What what) const {
    return account_.row_in(number, base_.at(number).told[what]).kept;
  }

  ToldChange& tell(std::int64_t number, const LedgerRow& n, What what, const char* change) {
    ToldChange& c = out_.emplace_back();
    c.number = number;
    c.what = what;
    c.point = n.kept.point;
    c.change = change;
    return c;
  }
  ToldChange& tell_floor(std::int64_t number, const LedgerRow& n, const char* change, const Kept& old) {
    ToldChange& c = tell(number, n, floor_mark, change);
    put_old(c, old, old.floor);
    return c;
  }
  static void put_old(ToldChange& c, const Kept& old, const MaybeMicro& elevation) {
    c.old_northing = old.northing;
    c.old_easting = old.easting;
    c.old_elevation = elevation;
  }

  /// A number that was not there before: its floor row alone.
  void came(std::int64_t number, const LedgerRow& n) {
    if (!n.kept.live) return;
    const auto at = renames_.replaced_by_new.find(number);
    if (at == renames_.replaced_by_new.end())
      tell(number, n, floor_mark, "new");
    else
      tell_floor(number, n, "renamed", last_told(at->second, floor_mark));
  }

  void stands(std::int64_t number, const LedgerRow& b, const LedgerRow& n) {
    floor_row(number, b, n);
    height(number, n, deck_point, &Kept::deck, "raised", "lowered");
    height(number, n, bracket, &Kept::attach, "raised", "lowered");
    height(number, n, rod, &Kept::cut, "longer", "shorter");
  }

  void floor_row(std::int64_t number, const LedgerRow& b, const LedgerRow& n) {
    const Kept& old = last_told(number, floor_mark);
    const Micro x = n.kept.x - old.x, y = n.kept.y - old.y;
    const Micro north = n.kept.northing - old.northing, east = n.kept.easting - old.easting;
    if (n.kept.point != b.kept.point) {
      tell_floor(number, n, "renamed", old);
    } else if (!b.kept.live) {
      tell_floor(number, n, "returned", old);
    } else if (is_told(square(x, y))) {
      ToldChange& c = tell_floor(number, n, "moved", old);
      c.dx_fifths = 5 * x;
      c.dy_fifths = 5 * y;
      c.square = square(x, y);
    } else if (4 * square(north, east) > kRefit * kRefit) {
      ToldChange& c = tell_floor(number, n, "refit", old);
      c.dx_fifths = north * axes_.x_north + east * axes_.x_east;
      c.dy_fifths = north * axes_.y_north + east * axes_.y_east;
      c.square = square(north, east);
    }
  }

  void height(std::int64_t number, const LedgerRow& n, What what, MaybeMicro Kept::*value, const char* more,
              const char* less) {
    const Kept& old = last_told(number, what);
    const MaybeMicro &was = old.*value, &is = n.kept.*value;
    if (!was && !is) return;
    if (!was) {
      tell(number, n, what, "new");
    } else if (!is) {
      ToldChange& c = tell(number, n, what, "gone");
      if (what != rod) put_old(c, old, was);
    } else if (is_told(square(*is - *was, 0))) {
      ToldChange& c = tell(number, n, what, *is > *was ? more : less);
      c.dz = *is - *was;
      c.square = square(*c.dz, 0);
      if (what != rod) put_old(c, old, was);
    }
  }

  const Account& account_;
  const States &base_, &now_;
  SiteAxes axes_;
  Renames renames_;
  std::vector<ToldChange> out_;
};

namespace {

/// Hundredths of a millimetre, halves away from zero.
std::int64_t hundredths(std::int64_t value, std::int64_t per_hundredth) {
  const std::int64_t size = value < 0 ? -value : value;
  const std::int64_t rounded = (2 * size + per_hundredth) / (2 * per_hundredth);
  return value < 0 ? -rounded : rounded;
}
/// Of the root of a square: the largest r whose lower edge, r - 1/2, is not above the root.
std::int64_t root_in_hundredths(Micro squared) {
  const auto edge = [](std::int64_t r) { return (10 * r - 5) * (10 * r - 5); };
  auto r = static_cast<std::int64_t>(std::sqrt(static_cast<long double>(squared)) / 10);
  while (r > 0 && edge(r) > squared) --r;
  while (edge(r + 1) <= squared) ++r;
  return r;
}

}  // namespace

std::string changes_csv(const std::vector<ToldChange>& changes, const TableUnit& unit) {
  static constexpr const char* kWhat[] = {"floor", "deck", "bracket", "cut"};
  const std::string in = std::string(" (") + unit.word + ")";
  std::string out = "number,point,change,dx" + in + ",dy" + in + ",distance" + in + ",what,dz" + in +
                    ",old_northing" + in + ",old_easting" + in + ",old_elevation" + in + "\n";
  const auto length = [&](const std::optional<std::int64_t>& value, std::int64_t per_hundredth) {
    return value ? decimal(hundredths(*value, per_hundredth), unit.decimals) : std::string();
  };
  for (const ToldChange& c : changes)
    out += joined({std::to_string(c.number), cell(c.point), c.change, length(c.dx_fifths, 50),
                   length(c.dy_fifths, 50),
                   c.square ? decimal(root_in_hundredths(*c.square), unit.decimals) : "", kWhat[c.what],
                   length(c.dz, 10), length(c.old_northing, 10), length(c.old_easting, 10),
                   length(c.old_elevation, 10)}) +
           "\n";
  return out;
}

std::string IssuedRow::up_to_folder() const {
  return joined({std::to_string(issue), cell(revision), cell(job), cell(storey), std::to_string(live),
                 std::to_string(rows), cell(folder)});
}

States Account::states_at(int issue) const {
  States out;
  for (const LedgerRow& row : rows_)
    if (row.issue <= issue) out[row.number] = row;
  return out;
}

const LedgerRow& Account::row_in(std::int64_t number, int issue) const {
  for (const LedgerRow& row : rows_)
    if (row.number == number && row.issue == issue) return row;
  throw std::logic_error("number " + std::to_string(number) + " has no row in issue " +
                         std::to_string(issue));
}

/// The states after a run, before it is known what it tells: numbers by name, by `was`, else new ones; what
/// is not drawn is dropped and keeps all else.
States Account::continued(const States& before, const HandedOut& run) const {
  std::map<std::string, std::int64_t> by_name;
  for (const auto& [number, row] : before) by_name[row.kept.point] = number;
  std::set<std::string> drawn;
  for (const HandedPoint& p : run.points) drawn.insert(p.name);
  std::int64_t next = run.start;
  while (!before.empty() && next <= before.rbegin()->first) next += run.step;
  States now;
  for (const HandedPoint& p : run.points) {
    const bool was_named = !by_name.contains(p.name) && by_name.contains(p.was) && !drawn.contains(p.was);
    const std::string& name = was_named ? p.was : p.name;
    LedgerRow row;
    if (by_name.contains(name)) {
      row = before.at(by_name.at(name));
    } else {
      row.number = next;
      row.told.fill(issues() + 1);
      next += run.step;
    }
    row.kept = kept_of(p, run);
    if (!now.emplace(row.number, row).second) throw std::logic_error("two points claim one number");
  }
  for (const auto& [number, row] : before) {
    if (now.contains(number)) continue;
    now[number] = row;
    now[number].kept.live = false;
  }
  return now;
}

bool Account::is_open(const HandedOut& run) const {
  const States before = states();
  return renames_of(*this, before, continued(before, run)).is_open;
}
bool Account::is_open_since(int issue) const { return renames_of(*this, states_at(issue), states()).is_open; }

std::vector<ToldChange> Account::changes_since(int issue) const {
  const States base = states_at(issue), now = states();
  return Comparing(*this, base, now, axes_).changes();
}

bool Account::take(const HandedOut& run) {
  const States before = states();
  States now = continued(before, run);
  const std::vector<ToldChange> changes = Comparing(*this, before, now, run.axes).changes();
  const int issue = issues() + 1;
  for (const ToldChange& c : changes) now[c.number].told[c.what] = issue;
  std::vector<LedgerRow> rows;
  for (auto& [number, row] : now) {
    const auto b = before.find(number);
    if (b != before.end() && b->second.kept == row.kept) {
      if (b->second.told != row.told) throw std::logic_error("told without a difference");
      continue;
    }
    row.issue = issue;
    if (row.kept.live) row.revision = run.revision;
    rows.push_back(row);
  }
  if (rows.empty() && !issued_.empty()) {
    const IssuedRow& last = issued_.back();
    if (last.revision == run.revision && last.storey == run.storey && last.job == run.job) return false;
  }
  changes_ = changes;
  axes_ = run.axes;
  append(run, rows, now);
  return true;
}

void Account::append(const HandedOut& run, const std::vector<LedgerRow>& rows, const States& now) {
  IssuedRow issue;
  issue.issue = issues() + 1;
  issue.revision = run.revision;
  issue.job = run.job;
  issue.storey = run.storey;
  issue.folder = run.folder;
  issue.rows = rows.size();
  for (const auto& [number, row] : now) issue.live += row.kept.live ? 1 : 0;
  std::string text;
  for (const LedgerRow& row : rows) text += line_of(row) + "\n";
  if (!issued_.empty()) issue.before = issued_.back().digest;
  issue.digest = sha256_hex(issue.before + "\n" + issue.up_to_folder() + "\n" + text).substr(0, 16);
  if (issued_.empty()) {
    numbers_ = kNumbersHeader;
    issued_text_ = kIssuedHeader;
  }
  numbers_ += text;
  issued_text_ += joined({issue.up_to_folder(), issue.before, issue.digest}) + "\n";
  rows_.insert(rows_.end(), rows.begin(), rows.end());
  issued_.push_back(issue);
}

}  // namespace deckmark_test
