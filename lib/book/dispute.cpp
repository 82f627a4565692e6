#include "book/dispute.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "adjust/matrix.h"

namespace deckmark {

namespace {

constexpr double kMade = 0.0015, kShift = 0.012, kOff = 0.03;  // m, sds of what happens
constexpr double kTurn = 150 / 206264.806;                     // rad
constexpr double kFalseStop = 0.01, kSeen = 0.95;              // chances that a check is outside
constexpr double kNamed = 0.95;
constexpr double kRegion95 = 5.991;      // chi-square of two coordinates
constexpr std::size_t kMostBeside = 40;  // more would tell no more

/// Northing and easting of all that was read, and how they vary together under one hypothesis.
class Readings {
 public:
  explicit Readings(std::size_t places) : covariance_(2 * places, 2 * places) {}
  /// An error of sd `sd` per axis of one place alone.
  void add(std::size_t place, double sd) {
    for (const std::size_t k : {2 * place, 2 * place + 1}) covariance_(k, k) += sd * sd;
  }
  /// One error that places share, each with its factors of northing and easting.
  struct Share {
    std::size_t place;
    double north, east;
  };
  void share(const std::vector<Share>& shares, double sd) {
    for (const Share& a : shares)
      for (const Share& b : shares) {
        covariance_(2 * a.place, 2 * b.place) += a.north * b.north * sd * sd;
        covariance_(2 * a.place, 2 * b.place + 1) += a.north * b.east * sd * sd;
        covariance_(2 * a.place + 1, 2 * b.place) += a.east * b.north * sd * sd;
        covariance_(2 * a.place + 1, 2 * b.place + 1) += a.east * b.east * sd * sd;
      }
  }
  /// Logarithm of the density of what was read. Cholesky.
  double log_density(std::vector<double> read) {
    Matrix& c = covariance_;
    double log_root = 0, square = 0;
    for (std::size_t j = 0; j < c.rows; ++j) {
      for (std::size_t k = 0; k < j; ++k) c(j, j) -= c(j, k) * c(j, k);
      c(j, j) = std::sqrt(std::max(c(j, j), 1e-18));
      for (std::size_t i = j + 1; i < c.rows; ++i) {
        for (std::size_t k = 0; k < j; ++k) c(i, j) -= c(i, k) * c(j, k);
        c(i, j) /= c(j, j);
      }
      for (std::size_t k = 0; k < j; ++k) read[j] -= c(j, k) * read[k];
      read[j] /= c(j, j);
      log_root += std::log(c(j, j));
      square += read[j] * read[j];
    }
    return -log_root - square / 2 - static_cast<double>(c.rows) / 2 * std::log(2 * std::numbers::pi);
  }

 private:
  Matrix covariance_;
};

/// How far a wrong digit, or two neighbours exchanged, moves a coordinate.
std::vector<double> slips_of_digits(Length coordinate) {
  std::vector<double> out;
  const long long millimetres = std::llabs(std::llround(coordinate.millimetres()));
  const double sign = coordinate < Length::metres(0) ? -1 : 1;
  long long worth = 1;
  for (int place = 0; place < 3; ++place, worth *= 10) {
    const long long digit = millimetres / worth % 10, next = millimetres / worth / 10 % 10;
    for (long long other = 0; other < 10; ++other)
      if (other != digit) out.push_back(sign * static_cast<double>((other - digit) * worth) / 1000);
    if (next != digit) out.push_back(sign * static_cast<double>((digit - next) * 9 * worth) / 1000);
  }
  return out;
}
std::vector<Vec<Site>> slips_of_digits(const Point<Site>& place) {
  std::vector<Vec<Site>> out;
  constexpr Length kStays = Length::metres(0);
  for (const double by : slips_of_digits(place.at.northing))
    out.push_back({{.northing = Length::metres(by), .easting = kStays}});
  for (const double by : slips_of_digits(place.at.easting))
    out.push_back({{.northing = kStays, .easting = Length::metres(by)}});
  return out;
}

class Weighing {
 public:
  explicit Weighing(const DisputeFacts& facts) : facts_(facts) {
    for (const CrossBeside& b : facts.beside)
      if (beside_.size() < kMostBeside && (b.made_at == facts.made_at || b.shot_at == shooter()))
        beside_.push_back(&b);
  }

  DisputeFound run() {
    DisputeFound out;
    if (facts_.moved && is_where_issued()) {
      out.link = by_drawing();
      out.probability[static_cast<std::size_t>(*out.link)] = 1;
      return out;
    }
    std::array<double, kLinks> logs{};
    logs[index(Link::list)] = wrong_list() + sound_setup();
    logs[index(Link::setup)] = mean_of({wrong_maker() + wrong_setup_seen(), wrong_shooter() + sound_setup()});
    logs[index(Link::mark)] = mean_of({kicked(), made_off()}) + sound_setup();
    logs[index(Link::shot)] = wrong_shot() + sound_setup();
    std::vector<Link> weighed = {Link::list, Link::setup, Link::mark, Link::shot};
    if (facts_.moved) {
      const double as_issued = sound().log_density(read()) + sound_setup();
      if (by_drawing() == Link::drawing) {
        weighed.push_back(Link::drawing);
        logs[index(Link::drawing)] = as_issued;
      } else {
        logs[index(Link::list)] = mean_of({logs[index(Link::list)], as_issued});
      }
    }
    double most = logs[index(Link::list)], sum = 0;
    for (const Link l : weighed) most = std::max(most, logs[index(l)]);
    for (const Link l : weighed) sum += out.probability[index(l)] = std::exp(logs[index(l)] - most);
    for (const Link l : weighed) {
      out.probability[index(l)] /= sum;
      if (out.probability[index(l)] >= kNamed) out.link = l;
    }
    // Mark and shot are told apart by reading the cross, a set-up by its other crosses.
    if (out.probability[index(Link::setup)] > 1 - kNamed) out.decides = Decides::more_of_setup;
    return out;
  }

 private:
  /// What is to blame where the drawing has moved since: its list, where a newer one was out.
  Link by_drawing() const { return facts_.newer_was_out ? Link::list : Link::drawing; }
  static std::size_t index(Link link) { return static_cast<std::size_t>(link); }
  /// Of several that are as likely before.
  static double mean_of(const std::vector<double>& logs) {
    const double most = *std::max_element(logs.begin(), logs.end());
    double sum = 0;
    for (const double log : logs) sum += std::exp(log - most);
    return most + std::log(sum / static_cast<double>(logs.size()));
  }
  std::uint32_t shooter() const { return facts_.readings.back().at; }
  std::size_t read_count() const { return facts_.readings.size(); }

  bool is_where_issued() const {
    const CrossReading& shot = facts_.readings.back();
    const double variance = shot.sd.metres() * shot.sd.metres() + kMade * kMade,
                 off = norm(shot.off).metres();
    return off * off <= kRegion95 * variance;
  }

  std::vector<double> read() const {
    std::vector<double> out;
    const auto add = [&out](const Vec<Site>& v) {
      out.push_back(v.by.northing.metres());
      out.push_back(v.by.easting.metres());
    };
    for (const CrossReading& r : facts_.readings) add(r.off);
    for (const CrossBeside* b : beside_) add(b->differ);
    return out;
  }
  /// What varies where nothing went wrong.
  Readings sound() const {
    Readings out(read_count() + beside_.size());
    for (std::size_t i = 0; i < read_count(); ++i) out.add(i, facts_.readings[i].sd.metres());
    for (std::size_t i = 0; i < beside_.size(); ++i) out.add(read_count() + i, beside_[i]->sd.metres());
    share_of_cross(out, 0, kMade);
    return out;
  }
  /// The cross itself stands off, from the reading `from` on.
  void share_of_cross(Readings& to, std::size_t from, double sd) const {
    std::vector<Readings::Share> north, east;
    for (std::size_t i = from; i < read_count(); ++i) {
      north.push_back({i, 1, 0});
      east.push_back({i, 0, 1});
    }
    to.share(north, sd);
    to.share(east, sd);
  }

  /// Every reading of the cross lies by `by` elsewhere.
  std::vector<double> read_less(const Vec<Site>& by) const {
    std::vector<double> out = read();
    for (std::size_t i = 0; i < read_count(); ++i) {
      out[2 * i] -= by.by.northing.metres();
      out[2 * i + 1] -= by.by.easting.metres();
    }
    return out;
  }
  /// The mean of the densities of what a list can have had in its place.
  double wrong_list() const {
    std::vector<Vec<Site>> places = facts_.other_issues;
    for (const Vec<Site>& by : slips_of_digits(facts_.place))
      if (norm(by) > facts_.permitted) places.push_back(by);
    std::vector<double> logs;
    for (const Vec<Site>& by : places) logs.push_back(sound().log_density(read_less(by)));
    return mean_of(logs);
  }
  /// What the next check of the set-up says, where it stood and where it did not.
  double sound_setup() const {
    if (!facts_.next_check) return 0;
    return std::log(*facts_.next_check == Verdict::within ? 1 - kFalseStop : kFalseStop);
  }
  double wrong_setup_seen() const {
    if (!facts_.next_check) return 0;
    return std::log(*facts_.next_check == Verdict::within ? 1 - kSeen : kSeen);
  }
  double kicked() const {
    Readings r = sound();
    share_of_cross(r, facts_.was_read ? 1 : 0, kOff);
    return r.log_density(read());
  }
  double made_off() const {
    Readings r = sound();
    share_of_cross(r, 0, kOff);
    return r.log_density(read());
  }
  double wrong_shot() const {
    Readings r = sound();
    r.add(read_count() - 1, kOff);
    return r.log_density(read());
  }
  /// Places that are off alike, as of a set-up that stood elsewhere, turned.
  double shifted(std::uint32_t setup, const std::vector<std::pair<std::size_t, Point<Site>>>& off) const {
    std::vector<Readings::Share> north, east, turn;
    for (const auto& [i, place] : off) {
      const Vec<Site> from = place - station(setup);
      north.push_back({i, 1, 0});
      east.push_back({i, 0, 1});
      turn.push_back({i, -from.by.easting.metres(), from.by.northing.metres()});
    }
    Readings r = sound();
    r.share(north, kShift);
    r.share(east, kShift);
    r.share(turn, kTurn);
    return r.log_density(read());
  }
  /// The set-up that made it stood wrong from one of its crosses on. It marked where it read right: what it
  /// read itself is sound, and what others read is off.
  double wrong_maker() const {
    std::vector<std::uint32_t> begins = {facts_.order};
    for (const CrossBeside* b : beside_)
      if (b->made_at == facts_.made_at && b->order < facts_.order) begins.push_back(b->order);
    std::vector<double> logs;
    for (const std::uint32_t begin : begins) {
      std::vector<std::pair<std::size_t, Point<Site>>> off;
      for (std::size_t i = 0; i < read_count(); ++i)
        if (facts_.readings[i].at != facts_.made_at) off.emplace_back(i, facts_.place);
      for (std::size_t i = 0; i < beside_.size(); ++i)
        if (beside_[i]->made_at == facts_.made_at && beside_[i]->shot_at != facts_.made_at &&
            beside_[i]->order >= begin)
          off.emplace_back(read_count() + i, beside_[i]->place);
      logs.push_back(shifted(facts_.made_at, off));
    }
    return mean_of(logs);
  }
  double wrong_shooter() const {
    std::vector<std::pair<std::size_t, Point<Site>>> off;
    for (std::size_t i = 0; i < read_count(); ++i)
      if (facts_.readings[i].at == shooter()) off.emplace_back(i, facts_.place);
    for (std::size_t i = 0; i < beside_.size(); ++i)
      if (beside_[i]->shot_at == shooter() && beside_[i]->made_at != shooter())
        off.emplace_back(read_count() + i, beside_[i]->place);
    return shifted(shooter(), off);
  }
  Point<Site> station(std::uint32_t setup) const {
    for (const auto& [which, at] : facts_.setups)
      if (which == setup) return at;
    return facts_.place;
  }

  const DisputeFacts& facts_;
  std::vector<const CrossBeside*> beside_;
};

}  // namespace

std::string_view link_word(Link link) {
  constexpr std::string_view kWords[kLinks] = {"drawing", "list", "setup", "mark", "shot"};
  return kWords[static_cast<std::size_t>(link)];
}

DisputeFound weigh(const DisputeFacts& facts) { return Weighing(facts).run(); }

}  // namespace deckmark
