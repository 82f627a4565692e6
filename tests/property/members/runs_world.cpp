#include "runs_world.h"

#include <algorithm>
#include <cmath>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kDegree = 3.14159265358979323846 / 180;

/// Draws of one group.
class Groups {
 public:
  Groups(Spot round, const RunsWorld& world, std::mt19937_64& random)
      : round_(round), world_(world), random_(random) {}

  RunGroup of(Shape shape) {
    group_.shape = shape;
    common_ = any_separation();
    switch (shape) {
      case Shape::alone:
        alone();
        break;
      case Shape::corner:
        corner(between(5, 150));
        break;
      case Shape::loop:
        loop();
        break;
      case Shape::ladder:
        ladder();
        break;
      case Shape::grid:
        grid();
        break;
      case Shape::straight:
        straight();
        break;
      case Shape::chain:
        chain();
        break;
      case Shape::tee:
        tee(0);
        break;
      case Shape::tee_over:
        tee_over();
        break;
      case Shape::nearly:
        nearly();
        break;
      case Shape::crossing:
        crossing(0);
        break;
      case Shape::ring_crossed:
        ring_crossed();
        break;
      case Shape::ring_end:
        ring_end();
        break;
      case Shape::heights:
        heights();
        break;
      case Shape::star:
        star();
        break;
    }
    if (shape != Shape::alone) state_ends();
    return std::move(group_);
  }

 private:
  double between(double low, double high) { return std::uniform_real_distribution(low, high)(random_); }
  bool one_in(int n) { return random_() % static_cast<unsigned>(n) == 0; }
  double either(double size) { return one_in(2) ? size : -size; }

  double any_separation() {
    if (world_.separation > 0 && one_in(3)) return world_.separation;
    const double some[] = {0.15, 0.2, 0.24, 0.3, 0.4};
    return some[random_() % 5];
  }
  /// Mostly that of the group, at times another, at times one member alone.
  double separation() { return one_in(6) ? 0 : one_in(5) ? any_separation() : common_; }

  /// A run through a place, in a direction, so much of it before and behind.
  RunLine through(Spot place, double direction, double before, double behind, double bend) {
    const Spot way{std::cos(direction), std::sin(direction)};
    if (bend == 0) return RunLine::straight(place - before * way, place + behind * way);
    const Spot centre = place + bend * Spot{-way.y, way.x};
    const double from = direction - std::copysign(90 * kDegree, bend) - before / bend;
    return RunLine::round(centre, std::abs(bend), from, (before + behind) / bend);
  }
  /// 0 of a line; else the radius, above zero to the left.
  double any_bend() { return one_in(2) ? 0 : either(between(2.2, 9)); }
  /// As long as one can be that does not come near to itself.
  double any_length(double bend) { return bend == 0 ? between(3.5, 9) : std::abs(bend) * between(1.6, 2.6); }

  StatedRun& add(const RunLine& line, const std::string& kind, double separate) {
    return group_.runs.emplace_back(StatedRun{{}, kind, line, 2.5, separate, {}, {}, {}, {}});
  }
  StatedRun& add_open(const RunLine& line, double separate) {
    return add(one_in(2) ? line : line.walked_back(), line.is_straight() ? "line" : "arc", separate);
  }
  /// A run that begins or finishes at a place and leaves it in a direction.
  StatedRun& leaving(Spot place, double direction, double separate) {
    const double bend = any_bend();
    return add_open(through(place, direction, 0, any_length(bend), bend), separate);
  }
  RunLine ring(double radius, double direction) {
    return RunLine::round(round_, radius, direction, 360 * kDegree);
  }
  RunLine any_ring() { return ring(between(1.8, 6), between(0, 360) * kDegree); }
  /// Up to 0.8 mm beside a place: what drawings leave open still meets.
  Spot near(Spot place) {
    if (!one_in(3)) return place;
    const double way = between(0, 360) * kDegree, off = between(0, 0.0008);
    return place + off * Spot{std::cos(way), std::sin(way)};
  }

  /// Ends that are stated, whatever they meet; mostly one that leads away from the middle.
  void state_ends() {
    for (StatedRun& run : group_.runs) {
      if (run.is_ring() || !one_in(5)) continue;
      const Spot start = run.line.at(0), finish = run.line.at(run.line.length());
      const End far = distance(start, round_) > distance(finish, round_) ? kStart : kFinish;
      const char* words[] = {"free", "wall", "wall", "joined"};
      run.end[far] = words[random_() % 4];
    }
  }

  void alone() {
    if (one_in(3)) {
      add(any_ring(), "ring", separation());
      return;
    }
    StatedRun& run = leaving(round_, between(0, 360) * kDegree, separation());
    for (const End e : {kStart, kFinish}) {
      const char* words[] = {"", "free", "wall", "joined"};
      run.end[e] = words[random_() % 4];
      for (auto& hand : run.beyond[e])
        if (run.is_pair() && one_in(3)) hand = between(-0.4, 0.4);
    }
  }

  /// Different separations only where they meet at no sharp angle: their members would meet far away.
  double partner(double of_first, double deflection) {
    if (deflection > 30 && deflection < 120) return separation();
    return one_in(8) ? 0 : of_first > 0 ? of_first : one_in(2) ? 0 : common_;
  }

  void corner(double deflection) {
    const double out = between(0, 360), turned = out + 180 + either(deflection);
    const double first = one_in(6) ? 0 : common_;
    leaving(round_, out * kDegree, first);
    const double second = partner(first, deflection);
    // Where a single member is concerned lines that do not quite meet have no one place of meeting.
    leaving(first > 0 && second > 0 ? near(round_) : round_, turned * kDegree, second);
    if (one_in(5)) extend_one();
    if (one_in(8)) group_.runs[random_() % 2].end[end_at(random_() % 2)] = one_in(2) ? "free" : "wall";
  }
  /// The end of a run that lies at the group's middle; of the second run too.
  End end_at(std::size_t run) {
    const RunLine& line = group_.runs[run % group_.runs.size()].line;
    return distance(line.at(0), round_) < distance(line.at(line.length()), round_) ? kStart : kFinish;
  }
  void extend_one() {
    StatedRun& run = group_.runs.front();
    if (run.is_pair()) run.beyond[random_() % 2][random_() % 2] = between(-0.3, 0.3);
  }

  void straight() {
    const double out = between(0, 360) * kDegree, length = between(4, 9);
    const double separate = one_in(4) ? 0 : common_;
    add_open(through(round_, out, 0, length, 0), separate);
    add_open(through(round_, out + 180 * kDegree, 0, between(4, 9), 0), separate);
  }

  void chain() {
    Spot place = round_;
    double direction = between(0, 360);
    const std::size_t runs = 3 + random_() % 3;
    const double hand = either(1), separate = one_in(6) ? 0 : common_;
    for (std::size_t i = 0; i < runs; ++i) {
      const double bend = one_in(2) ? 0 : either(between(4, 9));
      const double length = bend == 0 ? between(3.5, 7) : std::abs(bend) * between(0.7, 1.1);
      const RunLine line = through(place, direction * kDegree, 0, length, bend);
      add_open(line, separate);
      place = line.at(length);
      const Spot way = line.way(length);
      direction = std::atan2(way.y, way.x) / kDegree + hand * between(10, 70);
    }
  }

  /// The run that others end on or cross, with a place on it well inside.
  StatedRun& wall_of_tee(double& along) {
    const bool ring = one_in(4);
    const double bend = any_bend(), length = any_length(bend);
    StatedRun& run = ring ? add(any_ring(), "ring", separation())
                          : add_open(through(round_, between(0, 360) * kDegree, length / 2, length / 2, bend),
                                     separation());
    along = run.line.length() * between(0.35, 0.65);
    return run;
  }
  double direction_of(const RunLine& line, double along) {
    const Spot way = line.way(along);
    return std::atan2(way.y, way.x) / kDegree;
  }

  /// `short_of`: so far from the other run the end stays.
  StatedRun& tee(double short_of) {
    double along = 0;
    const RunLine wall = wall_of_tee(along).line;
    const double direction = (direction_of(wall, along) + either(between(28, 152))) * kDegree;
    const Spot place = short_of > 0 ? wall.at(along) : near(wall.at(along));
    StatedRun& run = leaving(place + short_of * Spot{std::cos(direction), std::sin(direction)}, direction,
                             short_of > 0 ? any_separation() : separation());
    if (one_in(2)) std::swap(group_.runs.front(), group_.runs.back());
    return run;
  }
  /// A member of the T stated to reach further, or less far, than the other run's member.
  void tee_over() {
    tee(0);
    for (StatedRun& run : group_.runs)
      if (run.is_pair() && !run.is_ring())
        for (const End e : {kStart, kFinish})
          if (one_in(2)) run.beyond[e][random_() % 2] = between(-0.8, 0.8);
  }
  /// Members meet where their runs do not.
  void nearly() {
    common_ = 0.3;
    tee(between(0.05, 0.07));
    for (StatedRun& run : group_.runs) run.separation = 0.3;
  }

  void crossing(double apart) {
    double along = 0;
    const StatedRun& wall = wall_of_tee(along);
    const RunLine line = wall.line;
    const double direction = direction_of(line, along) + either(between(30, 150)), bend = any_bend();
    const double before = bend == 0 ? between(1.5, 5) : std::abs(bend) * between(0.7, 1.2);
    const double behind = bend == 0 ? between(1.5, 5) : std::abs(bend) * between(0.7, 1.2);
    StatedRun& run =
        add_open(through(line.at(along), direction * kDegree, before, behind, bend), separation());
    run.height += apart;
    if (one_in(4)) std::swap(group_.runs.front(), group_.runs.back());
    if (one_in(3)) state_cut();
  }
  /// One states that the other goes through.
  void state_cut() {
    const std::size_t cut = random_() % 2;
    group_.runs[cut].cut_by = 1 - cut;
  }

  /// By a line on both sides; at times where the ring begins.
  void ring_crossed() {
    const double radius = between(1.8, 6), out = between(0, 360) * kDegree, aside = between(-0.5, 0.5);
    const Spot way{std::cos(out), std::sin(out)}, side{-way.y, way.x};
    const Spot middle = round_ + aside * radius * side;
    const double begins = one_in(4) ? out + std::asin(aside) : between(0, 360) * kDegree;
    add(ring(radius, begins), "ring", separation());
    add_open(through(middle, out, radius + between(0.8, 3), radius + between(0.8, 3), 0), separation());
    if (one_in(2)) std::swap(group_.runs.front(), group_.runs.back());
    if (one_in(3)) state_cut();
  }

  /// From inside or outside onto a ring, from outside across it onto its far side, or onto its beginning.
  void ring_end() {
    const RunLine ring = any_ring();
    const double radius = ring.length() / (360 * kDegree);
    const double along = one_in(5) ? 0 : ring.length() * between(0.05, 0.95);
    const double inward = direction_of(ring, along) + 90 + between(-45, 45);
    add(ring, "ring", separation());
    const Spot place = along == 0 ? ring.at(along) : near(ring.at(along));
    if (one_in(2)) {
      const double length = one_in(2) ? radius * between(0.7, 1.1) : radius * 2 + between(1, 3);
      add_open(through(place, inward * kDegree, 0, length, 0), separation());
    } else {
      leaving(place, (inward + 180) * kDegree, separation());
    }
    if (one_in(2)) std::swap(group_.runs.front(), group_.runs.back());
  }

  void heights() {
    const double apart = one_in(3) ? between(0.0001, 0.0008) : either(between(0.002, 0.6));
    if (one_in(2)) {
      crossing(apart);
    } else {
      corner(between(20, 140));
      group_.runs.back().height += apart;
    }
  }

  void star() {
    const double out = between(0, 360), separate = common_;
    for (const double turn : {0.0, between(80, 130), between(200, 270)})
      leaving(round_, (out + turn) * kDegree, one_in(4) ? 0 : separate);
  }

  /// Lines round a middle, closed: a corner at every end.
  void loop() {
    const std::size_t corners = 3 + random_() % 3;
    const double first = between(0, 360), separate = one_in(6) ? 0 : common_;
    std::vector<Spot> spots;
    for (std::size_t i = 0; i < corners; ++i) {
      const double turn = 360.0 / static_cast<double>(corners);
      const double angle = (first + turn * (static_cast<double>(i) + between(-0.15, 0.15))) * kDegree;
      spots.push_back(round_ + between(4, 5.5) * Spot{std::cos(angle), std::sin(angle)});
    }
    for (std::size_t i = 0; i < corners; ++i)
      add_open(RunLine::straight(spots[i], spots[(i + 1) % corners]), separate);
  }

  /// Two long lines with others from one to the other, or on beyond it.
  void ladder() {
    const double way = between(0, 360) * kDegree, apart = between(1.5, 3.5);
    const Spot up = Spot{-std::sin(way), std::cos(way)};
    const RunLine low = through(round_, way, 6, between(5, 7), 0);
    const RunLine high = through(round_ + apart * up, way + between(-4, 4) * kDegree, 6, between(5, 7), 0);
    add_open(low, separation()), add_open(high, separation());
    for (double along = between(1.5, 2.5); along < 10; along += between(2.6, 4)) {
      const Spot from = low.at(along), to = high.at(along + between(-0.6, 0.6));
      const double over = one_in(3) ? between(1, 2) / apart : 0;
      add_open(RunLine::straight(from, to + over * (to - from)), separation());
    }
    if (one_in(2)) std::swap(group_.runs.front(), group_.runs.back());
  }

  /// Lines that cross, each way two or three.
  void grid() {
    const double way = between(0, 360) * kDegree, other = way + between(60, 120) * kDegree;
    const auto add_family = [&](double along, double across, std::size_t count) {
      for (std::size_t i = 0; i < count; ++i) {
        const double off = 2.2 * (static_cast<double>(i) - 1) + between(-0.3, 0.3);
        const Spot place = round_ + off * Spot{std::cos(across), std::sin(across)};
        add_open(through(place, along, between(4.5, 6), between(4.5, 6), 0), separation());
      }
    };
    add_family(way, other, 2 + random_() % 2);
    add_family(other, way, 2 + random_() % 2);
    std::shuffle(group_.runs.begin(), group_.runs.end(), random_);
    const RunLine& last = group_.runs.back().line;
    for (std::size_t i = 0; i + 1 < group_.runs.size(); ++i)
      if (std::abs(cross(group_.runs[i].line.way(0), last.way(0))) > 0.5)
        group_.runs[i].cut_by = group_.runs.size() - 1;
  }

  Spot round_;
  const RunsWorld& world_;
  std::mt19937_64& random_;
  RunGroup group_;
  double common_ = 0;
};

std::string place_cells(Spot s) { return text("%.8f,%.8f", s.x, s.y); }

std::string row_of(const StatedRun& run, const RunGroup& group, const RunsWorld& world) {
  const double length = run.line.length();
  const auto place_at = [&](double along) { return place_cells(world.origin + run.line.at(along)); };
  std::string row = run.name + "," + run.kind + "," + place_at(0) + "," +
                    place_at(run.is_ring() ? length / 2 : length) + "," +
                    (run.kind == "arc" ? place_at(length / 2) : ",") + text(",%.5f,", run.height);
  if (run.separation != world.separation) row += text("%.4f", run.separation);
  for (const End e : {kStart, kFinish}) row += "," + run.end[e];
  for (const auto& of_end : run.beyond)
    for (const auto& hand : of_end) row += "," + (hand ? text("%.9f", *hand) : std::string());
  return row + "," + (run.cut_by ? group.runs[*run.cut_by].name : std::string()) + "\n";
}

}  // namespace

RunGroup random_group(Shape shape, Spot round, const RunsWorld& world, std::mt19937_64& random) {
  return Groups(round, world, random).of(shape);
}

std::string runs_table(const RunsWorld& world) {
  std::string out =
      "run,kind,x1,y1,x2,y2,xm,ym,height,separation,start,finish,start_left,start_right,finish_left,"
      "finish_right,cut_by\n";
  for (const RunGroup& group : world.groups)
    for (const StatedRun& run : group.runs) out += row_of(run, group, world);
  return out;
}

std::string pieces_table(const RunsWorld& world) {
  std::string out = "piece,run,length,member,notches\n";
  for (const RunGroup& group : world.groups)
    for (const StatedRun& run : group.runs)
      for (const StatedPiece& piece : run.pieces) {
        std::string notches;
        for (const double n : piece.notches) notches += (notches.empty() ? "" : ";") + text("%.6f", n);
        out +=
            piece.name + "," + run.name + text(",%.9f,", piece.length) + piece.member + "," + notches + "\n";
      }
  return out;
}

}  // namespace deckmark_test
