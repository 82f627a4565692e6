#include "disputes.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>
#include <set>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kRead = 0.0012, kShot = 0.0015;  // sds of a reading of the book, of a shot: m, per axis
constexpr double kMade = 0.0015;                  // of where a cross is made, before it is read
constexpr double kBlunder = 0.03;                 // of what is made or shot wrong
constexpr double kTurn = 150 / 206264.8, kMove = 0.012;  // of a setup that did not stand
constexpr double kSeen = 0.006;                          // nobody disputes less
constexpr std::size_t kMarks = 12;
constexpr Place kStation{500, 300};

const char* const kWords[kLinks] = {"drawing", "list", "setup", "mark", "shot"};

Place noisy(const Place& p, double sd, Dice& dice) {
  return {p.northing + sd * dice.normal(), p.easting + sd * dice.normal()};
}
double rounded(double value) { return std::round(value * 1000) / 1000; }

/// One mark: where it should be by each issue, where it is, and what is held of it.
struct Case {
  std::vector<Place> issued;  ///< by issue, oldest first
  std::size_t from = 0;       ///< the issue of its row
  Place truth;
  std::optional<Place> record;
  std::vector<Place> shots;
};

struct Story {
  std::vector<Case> marks;
  std::size_t disputed = 0;
  std::size_t slipped = kMarks;  ///< from this mark on the setup no longer stood
  bool last_check = false, last_within = true;
  bool file = false;  ///< the marks came from a file
};

/// A digit of millimetres, centimetres, decimetres replaced, or two neighbours exchanged; under a quarter
/// of a metre.
std::vector<double> miskeyed(double value) {
  std::set<long long> out;
  const long long mm = std::llround(value * 1000);
  for (const long long unit : {1LL, 10LL, 100LL}) {
    const long long digit = mm / unit % 10;
    for (long long d = 0; d < 10; ++d) out.insert(mm + (d - digit) * unit);
    const long long next = mm / unit / 10 % 10;
    out.insert(mm + (next - digit) * unit + (digit - next) * unit * 10);
  }
  std::vector<double> near;
  for (const long long v : out)
    if (v != mm && std::llabs(v - mm) < 250) near.push_back(static_cast<double>(v) / 1000);
  return near;
}

std::vector<Place> variants(const Place& p) {
  std::vector<Place> out;
  for (const double n : miskeyed(p.northing)) out.push_back({n, p.easting});
  for (const double e : miskeyed(p.easting)) out.push_back({p.northing, e});
  return out;
}
bool is_variant(const Place& a, const Place& b) {
  const auto all = variants(a);
  return std::any_of(all.begin(), all.end(), [&](const Place& v) { return length_of(v - b) < 1e-6; });
}

/// Something that is seen by eye: a centimetre or more, within a quarter of a metre.
Place blunder(Dice& dice) {
  for (;;) {
    const Place p{kBlunder * dice.normal(), kBlunder * dice.normal()};
    if (length_of(p) > 0.012 && length_of(p) < 0.2) return p;
  }
}
Place one_variant(const Place& p, Dice& dice) {
  for (;;) {
    const auto all = variants(p);
    const Place v = all[dice.below(all.size())];
    if (length_of(v - p) > 0.012) return v;
  }
}

/// Where a mark comes to lie that was set out by an instrument which turned and moved.
Place slipped(const Place& p, double turn, const Place& move) {
  const Place arm = p - kStation;
  return p + move + Place{-turn * arm.easting, turn * arm.northing};
}

/// The disputed one; what its cause does to it.
void spoil(Story& story, Link cause, Dice& dice) {
  Case& c = story.marks[story.disputed];
  const Place right = c.issued.front();
  Place aim = right;
  if (cause == Link::drawing) {  // keyed wrong, put right after it was marked
    aim = one_variant(right, dice);
    c.issued = {aim, right};
  }
  if (cause == Link::list && dice.chance(50)) {  // of the issue before
    do aim = {rounded(right.northing + 0.03 * dice.normal()), rounded(right.easting + 0.03 * dice.normal())};
    while (length_of(aim - right) < 0.012 || length_of(aim - right) > 0.2);
    c.issued = {aim, right};
    c.from = 1;
  } else if (cause == Link::list) {  // edited
    aim = one_variant(right, dice);
  }
  if (cause == Link::list) story.file = true;
  c.truth = noisy(aim, kMade, dice);
  if (cause == Link::mark) c.truth = c.truth + blunder(dice);
  c.record.reset();
  if (cause != Link::mark || dice.chance(50)) c.record = noisy(c.truth, kRead, dice);
  if (cause == Link::mark && c.record && dice.chance(50)) c.truth = c.truth + blunder(dice);  // kicked later
}

void slip(Story& story, Dice& dice) {
  story.slipped = dice.below(story.disputed + 1);
  const bool turned = dice.chance(50);
  const double way = 2 * std::numbers::pi * dice.uniform(), far = 0.012 + 0.01 * dice.uniform();
  const double turn = (dice.chance(50) ? 1 : -1) * (220 + 200 * dice.uniform()) / 206264.8;
  const Place move = turned ? Place{} : Place{far * std::cos(way), far * std::sin(way)};
  for (std::size_t i = story.slipped; i < kMarks; ++i)
    story.marks[i].truth = slipped(story.marks[i].truth, turned ? turn : 0, move);
}

Story told_story(Link cause, Dice& dice) {
  Story s;
  s.disputed = 2 + dice.below(kMarks - 3);
  s.file = dice.chance(30);
  s.last_check = dice.chance(60);
  for (std::size_t i = 0; i < kMarks; ++i) {
    Case c;
    const double way = 2 * std::numbers::pi * dice.uniform(), far = 8 + 14 * dice.uniform();
    c.issued = {{rounded(500 + far * std::cos(way)), rounded(300 + far * std::sin(way))}};
    c.truth = noisy(c.issued[0], kMade, dice);
    if (dice.chance(85)) c.record = noisy(c.truth, kRead, dice);
    s.marks.push_back(c);
  }
  spoil(s, cause, dice);
  if (cause == Link::setup) slip(s, dice);
  s.last_within = s.slipped == kMarks;
  const std::size_t shot = dice.below(3) == 0 ? 0 : 20 + dice.below(80);
  for (std::size_t i = 0; i < kMarks; ++i) {
    Case& c = s.marks[i];
    if (i == s.disputed || dice.chance(shot)) c.shots = {noisy(c.truth, kShot, dice)};
  }
  Case& c = s.marks[s.disputed];
  if (cause == Link::shot) c.shots[0] = c.shots[0] + blunder(dice);
  if (dice.chance(50)) c.shots.push_back(noisy(c.truth, kShot, dice));
  return s;
}

/// Density of offsets with a common covariance a axis, the axes alike; solved by Cholesky.
double log_density(const std::vector<double>& off, const std::vector<std::vector<double>>& covariance) {
  const std::size_t n = off.size();
  std::vector<std::vector<double>> l(n, std::vector<double>(n, 0));
  std::vector<double> y(n, 0);
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double v = covariance[i][j];
      for (std::size_t k = 0; k < j; ++k) v -= l[i][k] * l[j][k];
      l[i][j] = i == j ? std::sqrt(v) : v / l[j][j];
    }
    double v = off[i];
    for (std::size_t k = 0; k < i; ++k) v -= l[i][k] * y[k];
    y[i] = v / l[i][i];
    sum += y[i] * y[i] + 2 * std::log(l[i][i]) + std::log(2 * std::numbers::pi);
  }
  return -sum / 2;
}

/// One observed place and what it depends on.
struct Seen {
  Place at;
  std::size_t mark = 0;
  bool shot = false, first_shot = false;
};

struct Guess {
  Place aim;              ///< of the disputed mark
  double made = kMade;    ///< sd of where it was made
  double kicked = 0;      ///< sd of how it moved after its reading
  double first_shot = 0;  ///< sd of how its first shot is wrong
  std::size_t slipped = kMarks;
};

double log_likelihood(const Story& s, const std::vector<Seen>& seen, const Guess& g) {
  const std::size_t n = seen.size();
  std::vector<double> off(2 * n);
  std::vector<std::vector<double>> c(2 * n, std::vector<double>(2 * n, 0));
  for (std::size_t i = 0; i < n; ++i) {
    const Case& mark = s.marks[seen[i].mark];
    const bool disputed = seen[i].mark == s.disputed;
    const Place want = disputed ? g.aim : mark.issued[mark.from];
    off[2 * i] = seen[i].at.northing - want.northing;
    off[2 * i + 1] = seen[i].at.easting - want.easting;
    for (std::size_t j = 0; j < n; ++j)
      for (std::size_t axis = 0; axis < 2; ++axis) {
        double v = 0;
        if (seen[i].mark == seen[j].mark) v += disputed ? g.made * g.made : kMade * kMade;
        if (seen[i].mark == seen[j].mark && disputed && seen[i].shot && seen[j].shot)
          v += g.kicked * g.kicked;
        if (i == j) v += seen[i].shot ? kShot * kShot : kRead * kRead;
        if (i == j && seen[i].first_shot) v += g.first_shot * g.first_shot;
        c[2 * i + axis][2 * j + axis] += v;
      }
    // a shot comes from elsewhere: what the setup did shows there alone
    for (std::size_t j = 0; j < n; ++j) {
      if (!seen[i].shot || !seen[j].shot || seen[i].mark < g.slipped || seen[j].mark < g.slipped) continue;
      const Place a = mark.issued[mark.from] - kStation,
                  b = s.marks[seen[j].mark].issued[s.marks[seen[j].mark].from] - kStation;
      const double ta[2] = {-a.easting, a.northing}, tb[2] = {-b.easting, b.northing};
      for (std::size_t p = 0; p < 2; ++p)
        for (std::size_t q = 0; q < 2; ++q)
          c[2 * i + p][2 * j + q] += kTurn * kTurn * ta[p] * tb[q] + (p == q ? kMove * kMove : 0);
    }
  }
  return log_density(off, c);
}

std::vector<Seen> all_seen(const Story& s) {
  std::vector<Seen> out;
  for (std::size_t i = 0; i < s.marks.size(); ++i) {
    if (s.marks[i].record) out.push_back({*s.marks[i].record, i, false, false});
    for (std::size_t k = 0; k < s.marks[i].shots.size(); ++k)
      out.push_back({s.marks[i].shots[k], i, true, i == s.disputed && k == 0});
  }
  return out;
}

double log_mean(const std::vector<double>& logs) {
  if (logs.empty()) return -INFINITY;
  const double most = *std::max_element(logs.begin(), logs.end());
  double sum = 0;
  for (const double l : logs) sum += std::exp(l - most);
  return most + std::log(sum / static_cast<double>(logs.size()));
}

/// Chance of what the last check said where the setup stood, and where it did not.
double log_check(const Story& s, bool slipped) {
  if (!s.last_check) return 0;
  return std::log(s.last_within == !slipped ? 0.99 : 0.01);
}

/// `blunder`: how far off, per axis, a mark or a shot that is wrong is thought to be.
std::array<double, kLinks> judged(const Story& s, double blunder) {
  const std::vector<Seen> seen = all_seen(s);
  const Case& c = s.marks[s.disputed];
  const Place own = c.issued[c.from];
  std::array<std::vector<double>, kLinks> logs;
  const auto add = [&](Link link, const Guess& g) {
    logs[static_cast<std::size_t>(link)].push_back(log_likelihood(s, seen, g) +
                                                   log_check(s, g.slipped < kMarks));
  };
  // an issue of before that differs by a slip of keys is the drawing's; else it was a revision
  const Place now = c.issued.back();
  if (length_of(own - now) > 1e-6 && is_variant(now, own)) add(Link::drawing, {.aim = own});
  for (const Place& other : c.issued)
    if (length_of(other - own) > 1e-6) add(Link::list, {.aim = other});
  for (const Place& other : variants(own))
    if (length_of(other - own) > kSeen) add(Link::list, {.aim = other});
  for (std::size_t from = 0; from <= s.disputed; ++from) add(Link::setup, {.aim = own, .slipped = from});
  add(Link::mark, {.aim = own, .made = blunder});
  add(Link::mark, {.aim = own, .kicked = blunder});
  add(Link::shot, {.aim = own, .first_shot = blunder});
  std::array<double, kLinks> out{};
  double most = -INFINITY, sum = 0;
  for (std::size_t i = 0; i < kLinks; ++i) most = std::max(most, out[i] = log_mean(logs[i]));
  for (double& p : out) sum += p = std::exp(p - most);
  for (double& p : out) p /= sum;
  return out;
}

std::string job_toml(const std::string& revision) {
  return "revision = \"" + revision +
         "\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[site]\ncontrol = \"control.csv\"\n"
         "[floor]\nelevation = \"100 m\"\n[asbuilt]\nshots = \"shots.csv\"\nsd = \"2 mm\"\n"
         "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"1 mm\"\n"
         "[[setup]]\nname = \"S1\"\nnorthing = \"500 m\"\neasting = \"300 m\"\nelevation = \"100 m\"\n"
         "sd = \"0.5 mm\"\nheight = \"1.550 m\"\n";
}

void lay_issue(JobFolder& folder, const Story& s, std::size_t issue, bool shots) {
  std::string drawing = "point,x,y,run\n", shot = "point,northing,easting,setup,crew\n";
  for (std::size_t i = 0; i < s.marks.size(); ++i) {
    const Case& c = s.marks[i];
    const Place& p = c.issued[std::min(issue, c.issued.size() - 1)];
    drawing += text("M%zu,%.3f,%.3f,R1\n", i + 1, p.easting, p.northing);
    for (const Place& seen : c.shots)
      shot += text("M%zu,%.5f,%.5f,Q1,QA\n", i + 1, seen.northing, seen.easting);
  }
  if (!shots) shot = first_line(shot) + "\nM1,500.0,300.0,Q1,QA\n";
  folder.write("job.toml", job_toml(std::string(1, static_cast<char>('A' + issue))));
  folder.write("drawing.csv", drawing);
  folder.write("shots.csv", shot);
  folder.write("control.csv", "point,northing,easting,elevation\nCP1,525,300,100\nCP2,500,275,100\n");
}

Micro micro(double metres) { return std::llround(metres * 1e6); }

BookFile book_of(const Story& s) {
  BookFile book;
  std::int64_t at = 1795845600;
  const auto add = [&](const std::string& act) -> BookRow& {
    book.rows.push_back({});
    BookRow& r = book.rows.back();
    r.at = at += 40;
    r.time = time_text(r.at, 1);
    r.act = act;
    r.setup = "S1";
    r.source = s.file ? "file" : "live";
    r.issue = static_cast<int>(s.marks[s.disputed].from) + 1;
    return r;
  };
  const auto check = [&](bool within) {
    BookRow& r = add("check");
    r.target = "CP1";
    r.northing = micro(525 + (within ? 0 : 0.012));
    r.easting = micro(300);
    r.sd_along = r.sd_across = 1200;
    r.verdict = within ? "within" : "outside";
    r.reading = "0.0 25.0";
  };
  BookRow& set_up = add("set-up");
  set_up.northing = micro(500);
  set_up.easting = micro(300);
  set_up.reading = "0.000000";
  check(true);
  for (std::size_t i = 0; i < s.marks.size(); ++i) {
    BookRow& r = add("marked");
    r.number = static_cast<std::int64_t>(1001 + i);
    r.level = "floor";
    if (!s.marks[i].record) continue;
    r.northing = micro(s.marks[i].record->northing);
    r.easting = micro(s.marks[i].record->easting);
    r.sd_along = r.sd_across = micro(kRead);
    r.reading = text("c %.5f %.5f", s.marks[i].record->northing, s.marks[i].record->easting);
  }
  if (s.last_check) check(s.last_within);
  return book;
}

}  // namespace

const char* link_word(Link link) { return kWords[static_cast<std::size_t>(link)]; }

Link Dispute::likeliest() const {
  return static_cast<Link>(std::max_element(posterior.begin(), posterior.end()) - posterior.begin());
}

Dispute made_dispute(JobFolder& folder, Dice& dice, Link cause, std::string& problem) {
  const Story s = told_story(cause, dice);
  Dispute out;
  out.cause = cause;
  out.number = static_cast<std::int64_t>(1001 + s.disputed);
  // nobody knows how far off a blunder is: the data tell where it makes no difference
  out.posterior = judged(s, kBlunder);
  out.best = out.posterior[static_cast<std::size_t>(out.likeliest())];
  for (const double blunder : {kBlunder / 2, kBlunder * 2})
    out.best = std::min(out.best, judged(s, blunder)[static_cast<std::size_t>(out.likeliest())]);
  const std::size_t issues = s.marks[s.disputed].issued.size();
  for (std::size_t issue = 0; issue < issues; ++issue) {
    lay_issue(folder, s, issue, issue + 1 == issues);
    const CommandResult ran = folder.run({"run", ".", "--quiet"});
    if (ran.exit_code > 1 && problem.empty()) problem = ran.err;
  }
  if (!folder.has("issued.csv")) return out;
  const IssuedNumbers issued(folder.read("numbers.csv"), folder.read("issued.csv"));
  BookFile book = book_of(s);
  folder.write("book.csv", book_csv(book, issued.first_digest()));
  return out;
}

}  // namespace deckmark_test
