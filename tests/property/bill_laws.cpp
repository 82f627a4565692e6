// Deliveries against an account kept another way: parts are tokens in a box, in thousandths, and a run puts
// its hand into the box or leaves it.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <optional>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "bill/delivery.h"

using namespace deckmark;

namespace {

constexpr std::int64_t kThousand = 1000;

#ifdef DECKMARK_SANITIZED
constexpr int kDeliveries = 50;
#else
constexpr int kDeliveries = 1000;
#endif

struct Draw {
  std::mt19937 engine{1};
  std::int64_t whole(std::int64_t least, std::int64_t most) {
    return std::uniform_int_distribution<std::int64_t>(least, most)(engine);
  }
  bool one_in(int n) { return whole(1, n) == 1; }
};

/// A job in whole thousandths, and the same as the program is given it.
struct Delivered {
  std::vector<PartNeed> needs;
  std::vector<PieceNeed> pieces;
  std::vector<PlaceCounts> places;
  std::vector<BilledPart> bill;
  std::vector<ArrivedPart> arrived;
  bool has_bill = false, has_arrived = false;
  std::vector<std::map<std::string, std::int64_t>> wants;  ///< thousandths, by run
  std::map<std::string, std::int64_t> box;                 ///< thousandths that are there
};

/// Thousandths of a part that a run's places need.
std::int64_t thousandths(double count, double places) {
  return static_cast<std::int64_t>(count * 1000 + 0.5) * static_cast<std::int64_t>(places);
}

Delivered draw(Draw& d) {
  Delivered out;
  const std::int64_t runs = d.whole(1, 9);
  out.places.resize(static_cast<std::size_t>(runs) + 1);
  for (PlaceCounts& p : out.places)
    for (double& n : p) n = d.one_in(3) ? 0 : static_cast<double>(d.whole(0, 12));
  for (std::int64_t i = d.whole(1, 8); i > 0; --i)
    out.needs.push_back(
        {"N" + std::to_string(d.whole(1, 5)), static_cast<PartPer>(d.whole(0, kPartPers - 1)),
         d.one_in(2) ? static_cast<double>(d.whole(0, 4)) : static_cast<double>(d.whole(1, 3999)) / 1000.0});
  for (std::int64_t i = d.whole(0, 10); i > 0; --i)
    out.pieces.push_back(
        {"P" + std::to_string(d.whole(1, 8)), static_cast<std::size_t>(d.whole(0, runs - 1)), d.whole(1, 2)});
  out.wants.resize(out.places.size());
  for (std::size_t r = 0; r < out.places.size(); ++r)
    for (const PartNeed& n : out.needs)
      out.wants[r][n.part] += thousandths(n.count, out.places[r][index_of(n.per)]);
  return out;
}

/// About what the job needs, some of it missing or broken, under the names of its parts and one that is none.
void deliver(Draw& d, Delivered& job) {
  std::map<std::string, std::int64_t> all;
  for (const auto& run : job.wants)
    for (const auto& [part, n] : run) all[part] += n;
  const bool with_pieces = d.one_in(2);
  for (const PieceNeed& p : job.pieces)
    if (with_pieces) all[p.piece] += p.count * kThousand;
  if (d.one_in(4)) all["ODD"] = 0;
  job.has_arrived = !d.one_in(4);
  job.has_bill = !job.has_arrived || d.one_in(2);
  for (const auto& [part, n] : all) {
    const std::int64_t whole = (n + kThousand - 1) / kThousand;
    if (job.has_bill) job.bill.push_back({part, d.one_in(3) ? d.whole(0, whole + 2) : whole});
    if (!job.has_arrived || d.one_in(12)) continue;
    const std::int64_t came = d.one_in(3) ? d.whole(0, whole + 3) : whole;
    const std::int64_t first = d.whole(0, came);
    for (const std::int64_t some : {first, came - first})
      job.arrived.push_back({part, some, d.one_in(6) ? d.whole(0, some) : 0});
  }
  if (job.has_arrived)
    for (const ArrivedPart& a : job.arrived) job.box[a.part] += (a.count - a.damaged) * kThousand;
  else
    for (const BilledPart& b : job.bill) job.box[b.part] += b.count * kThousand;
}

bool names_a_piece(const Delivered& job) {
  std::set<std::string> pieces;
  for (const PieceNeed& p : job.pieces) pieces.insert(p.piece);
  for (const BilledPart& b : job.bill)
    if (pieces.count(b.part)) return true;
  for (const ArrivedPart& a : job.arrived)
    if (pieces.count(a.part)) return true;
  return false;
}

}  // namespace

TEST_CASE("1000 random deliveries: every missing part is named, and no run begins that lacks one") {
  Draw d;
  int stuck = 0, ready = 0, broken = 0;
  for (int i = 0; i < kDeliveries; ++i) {
    CAPTURE(i);
    Delivered job = draw(d);
    deliver(d, job);
    if (names_a_piece(job))
      for (const PieceNeed& p : job.pieces) job.wants[p.run][p.piece] += p.count * kThousand;
    DeliveryInput in{job.needs, job.pieces, job.places};
    if (job.has_bill) in.bill = job.bill;
    if (job.has_arrived) in.arrived = job.arrived;
    const DeliveryResult found = hold_delivery(in);

    std::map<std::string, const PartHeld*> held;
    for (const PartHeld& p : found.parts) held[p.part] = &p;
    // The sum over the job, against the box before anybody took from it.
    std::map<std::string, std::int64_t> sums;
    for (const auto& run : job.wants)
      for (const auto& [part, n] : run) sums[part] += n;
    for (const auto& [part, n] : sums) {
      CAPTURE(part);
      REQUIRE(held.count(part));
      const std::int64_t whole = (n + kThousand - 1) / kThousand;
      CHECK(held[part]->drawing == whole);
      CHECK(held[part]->short_by == std::max<std::int64_t>(0, whole - job.box[part] / kThousand));
    }
    // What the tables say, added up; and no line of what no table names.
    std::map<std::string, std::int64_t> billed, came, bad;
    for (const BilledPart& b : job.bill) billed[b.part] += b.count;
    for (const ArrivedPart& a : job.arrived) came[a.part] += a.count, bad[a.part] += a.damaged;
    std::set<std::string> named;
    for (const auto& all : {billed, came})
      for (const auto& [part, n] : all) named.insert(part);
    for (const PartNeed& n : job.needs) named.insert(n.part);
    if (names_a_piece(job))
      for (const PieceNeed& p : job.pieces) named.insert(p.piece);
    CHECK(found.parts.size() == named.size());
    for (const PartHeld& p : found.parts) {
      CAPTURE(p.part);
      CHECK(named.count(p.part) == 1);
      CHECK(p.bill == (job.has_bill ? std::optional(billed[p.part]) : std::nullopt));
      CHECK(p.arrived == (job.has_arrived ? std::optional(came[p.part]) : std::nullopt));
      CHECK(p.damaged == (job.has_arrived ? std::optional(bad[p.part]) : std::nullopt));
      const std::int64_t there = job.has_arrived ? came[p.part] - bad[p.part] : billed[p.part];
      CHECK(p.beyond() == std::max<std::int64_t>(0, there - p.drawing));
    }
    // The runs, one after another.
    std::map<std::string, std::vector<std::size_t>> lacked_by;
    REQUIRE(found.lacks.size() == job.wants.size());
    for (std::size_t r = 0; r < job.wants.size(); ++r) {
      std::map<std::string, std::int64_t> missing;
      for (const auto& [part, n] : job.wants[r])
        if (n > job.box[part]) missing[part] = (n - job.box[part] + kThousand - 1) / kThousand;
      std::map<std::string, std::int64_t> told;
      for (const PartLack& l : found.lacks[r]) told[found.parts[l.part].part] = l.count;
      CHECK(told == missing);
      for (const auto& [part, n] : missing) lacked_by[part].push_back(r);
      (missing.empty() ? ready : stuck) += 1;
      if (missing.empty())
        for (const auto& [part, n] : job.wants[r]) job.box[part] -= n;
    }
    for (const PartHeld& p : found.parts) CHECK(p.lacked_by == lacked_by[p.part]);
    for (const ArrivedPart& a : job.arrived) broken += a.damaged > 0;
  }
  // The draw has something of everything.
  CHECK(stuck > kDeliveries / 2);
  CHECK(ready > kDeliveries / 2);
  CHECK(broken > kDeliveries / 20);
}
