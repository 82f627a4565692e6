#include "bill/delivery.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "measure/letters.h"

namespace deckmark {

namespace {

/// Sums of decimals such as 0.1 end that much beside a whole number, and no more.
double hair(double amount) { return std::max(1e-9, 1e-12 * amount); }
std::int64_t rounded_up(double amount) { return static_cast<std::int64_t>(std::ceil(amount - hair(amount))); }

class Delivery {
 public:
  explicit Delivery(const DeliveryInput& in) : in_(in) {}

  DeliveryResult hold() {
    out_.is_judged = in_.bill || in_.arrived;
    gather_needs();
    if (names_a_piece()) gather_pieces();
    if (in_.bill)
      for (const BilledPart& b : *in_.bill) *out_.parts[line(b.part, PartFrom::nothing)].bill += b.count;
    if (in_.arrived)
      for (const ArrivedPart& a : *in_.arrived) {
        PartHeld& part = out_.parts[line(a.part, PartFrom::nothing)];
        *part.arrived += a.count;
        *part.damaged += a.damaged;
      }
    for (std::size_t p = 0; p < out_.parts.size(); ++p) judge_part(p);
    if (out_.is_judged) hand_out();
    return std::move(out_);
  }

 private:
  /// The line of that part, made where there is none.
  std::size_t line(const std::string& name, PartFrom from) {
    const auto [at, is_new] = lines_.emplace(small_letters(name), out_.parts.size());
    if (!is_new) return at->second;
    PartHeld part{name, from, 0, {}, {}, {}, 0, {}};
    if (in_.bill) part.bill = 0;
    if (in_.arrived) part.arrived = part.damaged = 0;
    out_.parts.push_back(std::move(part));
    needs_of_.emplace_back();
    return at->second;
  }

  void gather_needs() {
    for (const PartNeed& n : in_.needs) needs_of_[line(n.part, PartFrom::needs)].push_back(&n);
    PlaceCounts all{};
    for (const PlaceCounts& p : in_.places) add(p, all);
    for (std::size_t p = 0; p < out_.parts.size(); ++p) out_.parts[p].drawing = rounded_up(needed(p, all));
    needed_parts_ = out_.parts.size();
    pieces_of_.resize(in_.places.size());
  }

  bool names_a_piece() const {
    std::unordered_map<std::string, bool> pieces;
    for (const PieceNeed& p : in_.pieces) pieces.emplace(small_letters(p.piece), true);
    const auto is_piece = [&](const auto& row) { return pieces.count(small_letters(row.part)) > 0; };
    return (in_.bill && std::ranges::any_of(*in_.bill, is_piece)) ||
           (in_.arrived && std::ranges::any_of(*in_.arrived, is_piece));
  }

  void gather_pieces() {
    for (const PieceNeed& p : in_.pieces) {
      const std::size_t at = line(p.piece, PartFrom::pieces);
      out_.parts[at].drawing += p.count;
      auto& of_run = pieces_of_[p.run];
      const auto same = std::ranges::find(of_run, at, &PartLack::part);
      if (same == of_run.end())
        of_run.push_back({at, p.count});
      else
        same->count += p.count;
    }
  }

  static void add(const PlaceCounts& some, PlaceCounts& to) {
    for (std::size_t i = 0; i < kPartPers; ++i) to[i] += some[i];
  }
  double needed(std::size_t part, const PlaceCounts& places) const {
    double sum = 0;
    for (const PartNeed* n : needs_of_[part]) sum += n->count * places[index_of(n->per)];
    return sum;
  }
  void judge_part(std::size_t p) {
    PartHeld& part = out_.parts[p];
    if (out_.is_judged) part.short_by = std::max<std::int64_t>(0, part.drawing - part.there());
  }

  void hand_out() {
    out_.lacks.resize(in_.places.size());
    PlaceCounts taken{};
    std::vector<std::int64_t> pieces_taken(out_.parts.size(), 0);
    for (std::size_t r = 0; r < in_.places.size(); ++r) {
      PlaceCounts with = taken;
      add(in_.places[r], with);
      for (std::size_t p = 0; p < needed_parts_; ++p) {
        const double want = needed(p, with);
        lack(r, p, rounded_up(want) > out_.parts[p].there(),
             want - static_cast<double>(out_.parts[p].there()));
      }
      for (const PartLack& piece : pieces_of_[r]) {
        const std::int64_t missing = pieces_taken[piece.part] + piece.count - out_.parts[piece.part].there();
        lack(r, piece.part, missing > 0, static_cast<double>(missing));
      }
      if (!out_.lacks[r].empty()) continue;
      taken = with;
      for (const PartLack& piece : pieces_of_[r]) pieces_taken[piece.part] += piece.count;
    }
  }
  void lack(std::size_t run, std::size_t part, bool is_lacked, double missing) {
    if (!is_lacked) return;
    out_.lacks[run].push_back({part, std::max<std::int64_t>(1, rounded_up(missing))});
    out_.parts[part].lacked_by.push_back(run);
  }

  const DeliveryInput& in_;
  DeliveryResult out_;
  std::unordered_map<std::string, std::size_t> lines_;  // of `parts`, by name in small letters
  std::vector<std::vector<const PartNeed*>> needs_of_;  // by `parts`
  std::size_t needed_parts_ = 0;                        // the first of `parts`
  std::vector<std::vector<PartLack>> pieces_of_;        // by `places`: the piece and how many hang there
};

}  // namespace

std::int64_t PartHeld::there() const { return arrived ? *arrived - *damaged : bill.value_or(0); }
std::int64_t PartHeld::beyond() const { return std::max<std::int64_t>(0, there() - drawing); }

DeliveryResult hold_delivery(const DeliveryInput& input) { return Delivery(input).hold(); }

}  // namespace deckmark
