// Site cuts on 100,000 random members against a search through every way in whole millimetres. Lengths are
// whole millimetres: where a way exists at all, one in whole millimetres does.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>

#include "hanger/site_cuts.h"
#include "hanger_support.h"

using namespace hanger_test;

namespace {

int pick(std::mt19937_64& random, int low, int high) {
  return std::uniform_int_distribution<int>(low, high)(random);
}

/// A member in whole millimetres.
struct Small {
  std::vector<int> pieces;
  std::vector<MayCut> may;
  int member = 0;
  bool closed = false;
  std::vector<std::pair<int, int>> no_joint;
  int least = 0;  // 0: not stated
};

SiteCutTask task_of(const Small& s) {
  SiteCutTask t{{}, Length::millimetres(s.member), s.closed, {}, {}};
  for (std::size_t i = 0; i < s.pieces.size(); ++i)
    t.pieces.push_back({Length::millimetres(s.pieces[i]), s.may[i]});
  for (const auto& [a, b] : s.no_joint)
    t.no_joint.push_back({Length::millimetres(a), Length::millimetres(b)});
  if (s.least > 0) t.piece_least = Length::millimetres(s.least);
  return t;
}

Small random_member(std::mt19937_64& random) {
  Small s;
  int all = 0;
  for (int i = pick(random, 1, 5); i > 0; --i) {
    s.pieces.push_back(pick(random, 2, 14));
    s.may.push_back(pick(random, 0, 3) == 0 ? MayCut::no : static_cast<MayCut>(pick(random, 0, 2)));
    all += s.pieces.back();
  }
  s.member = std::max(2, all - pick(random, -3, 12));
  s.closed = coin(random);
  for (int i = pick(random, 0, 4); i > 0; --i) {
    const int at = pick(random, 0, s.member), clear = pick(random, 0, 3);
    s.no_joint.push_back({at - clear, at + clear});
  }
  if (coin(random)) s.least = pick(random, 2, 8);
  return s;
}

/// The pieces that reach the finish within a millimetre; nothing where all are too short.
std::optional<std::size_t> laid(const Small& s) {
  int reach = 0;
  for (std::size_t i = 0; i < s.pieces.size(); ++i)
    if ((reach += s.pieces[i]) >= s.member - 1) return i + 1;
  return std::nullopt;
}

bool may_stand(const Small& s, int joint) {
  for (const auto& [a, b] : s.no_joint)
    for (const int turn : {-s.member, 0, s.member})
      if ((s.closed || turn == 0) && joint > a + turn && joint < b + turn) return false;
  return true;
}

/// A way of cutting: what is taken off each piece that is laid.
using Way = std::vector<int>;

bool keeps_rules(const Small& s, const Way& way) {
  int at = 0;
  for (std::size_t i = 0; i < way.size(); ++i) {
    at += s.pieces[i] - way[i];
    if (way[i] > 0 && (s.may[i] == MayCut::no || s.pieces[i] - way[i] < std::max(1, s.least))) return false;
    if (i + 1 < way.size() && !may_stand(s, at)) return false;
  }
  return at == s.member;
}

/// What makes one way better than another: fewer cuts, the last, the first, those nearest to the finish, as
/// much as may be off the later one.
std::vector<int> merit(const Way& way) {
  std::vector<int> out{static_cast<int>(std::count(way.begin(), way.end(), 0)), way.back() > 0, way[0] > 0};
  for (std::size_t i = way.size(); i-- > 0;) out.push_back(way[i] > 0);
  for (std::size_t i = way.size(); i-- > 0;) out.push_back(way[i]);
  return out;
}

void try_all(const Small& s, Way& way, std::size_t i, int left, std::optional<Way>& best) {
  if (i == way.size()) {
    if (left == 0 && keeps_rules(s, way) && (!best || merit(way) > merit(*best))) best = way;
    return;
  }
  for (int cut = 0; cut <= std::min(left, s.pieces[i] - 1); ++cut) {
    way[i] = cut;
    try_all(s, way, i + 1, left - cut, best);
  }
  way[i] = 0;
}

/// The best way of all; no cut where the pieces add up.
std::optional<Way> best_of_all(const Small& s) {
  const auto n = laid(s);
  if (!n) return std::nullopt;
  Way way(*n, 0);
  int excess = -s.member;
  for (std::size_t i = 0; i < *n; ++i) excess += s.pieces[i];
  if (excess <= 1) return way;
  std::optional<Way> best;
  try_all(s, way, 0, excess, best);
  return best;
}

std::optional<Way> way_of(const Small& s, const SiteCutResult& r) {
  const auto n = laid(s);
  if (!n) return std::nullopt;
  Way way(*n, 0);
  for (const SiteCut& c : r.cuts) {
    way.at(c.piece) = static_cast<int>(std::lround(c.amount.millimetres()));
    CHECK(std::abs(c.amount.millimetres() - way[c.piece]) < 1e-6);
    if (!r.broken.may_cut && s.may[c.piece] != MayCut::both)
      CHECK((c.end == AtEnd::start) == (s.may[c.piece] == MayCut::start));
  }
  return way;
}

/// The rules of a member without those that are given up.
Small eased(Small s, bool joints, bool least) {
  if (joints) s.no_joint.clear();
  if (least) s.least = 0;
  return s;
}

/// What no way keeps is told as broken, no more than must be, and by giving it up there is a way.
std::string judge_broken(const Small& s, const SiteCutResult& r) {
  if (r.broken.may_cut) {
    CHECK_FALSE(best_of_all(eased(s, true, true)));  // no way but against may_cut
    CHECK(r.cuts.size() == 1);
    CHECK(r.cuts[0].piece + 1 == *laid(s));
    return "may_cut";
  }
  CHECK(way_of(s, r) == best_of_all(eased(s, r.broken.joint_clear, r.broken.piece_least)));
  // Joints are given up before the least piece, and one rule before both.
  if (r.broken.piece_least) CHECK_FALSE(best_of_all(eased(s, true, false)));
  if (r.broken.piece_least && r.broken.joint_clear) CHECK_FALSE(best_of_all(eased(s, false, true)));
  return r.broken.piece_least ? r.broken.joint_clear ? "both" : "piece_least" : "joint_clear";
}

}  // namespace

TEST_CASE("site cuts are the fewest and the best of all") {
  std::mt19937_64 random(1);
  std::map<std::string, int> seen;
  for (int i = 0; i < 100000; ++i) {
    const Small s = random_member(random);
    const SiteCutResult got = site_cuts(task_of(s));
    CAPTURE(i);
    if (!laid(s)) {
      int all = 0;
      for (const int p : s.pieces) all += p;
      REQUIRE(got.too_short);
      CHECK(got.too_short->millimetres() == doctest::Approx(s.member - all));
      ++seen["too short"];
      continue;
    }
    CHECK(got.unused == s.pieces.size() - *laid(s));
    const auto best = best_of_all(s);
    REQUIRE(got.broken.any() == !best.has_value());
    if (best) {
      REQUIRE(way_of(s, got) == best);
      ++seen[std::to_string(got.cuts.size()) + " cuts"];
    } else {
      ++seen[judge_broken(s, got)];
    }
  }
  for (const std::string kind : {"too short", "0 cuts", "1 cuts", "2 cuts", "3 cuts", "may_cut",
                                 "joint_clear", "piece_least", "both"}) {
    CAPTURE(kind);
    CHECK(seen[kind] > 50);
  }
}
