#pragma once
/// A job that goes on from day to day as jobs do: points creep, move, go, come back, get other names; decks,
/// ducts, heights and cuts change; crews and revisions too.

#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "world.h"

namespace deckmark_test {

class RandomHistory {
 public:
  /// Of seed 1, the history of this index.
  explicit RandomHistory(std::uint32_t index);

  const World& world() const { return world_; }
  /// A day's work: up to four changes; may leave all as it is.
  void change();
  /// What a run hands out stays: rows of the drawing in another order, lists in another layout.
  void lay_out_anew();
  /// Into a folder of its own, `issued/NAME`, or into `out`.
  void choose_folder(int issue);
  /// Back to an earlier day: what was done since could be read in two ways.
  void go_back_to(const World& world) { world_ = world; }
  /// One point moves by 5 mm: whatever else, that is a new issue.
  void move_one();

  std::size_t below(std::size_t n) { return static_cast<std::size_t>(random_() % n); }
  bool chance(std::size_t percent) { return below(100) < percent; }

 private:
  using Step = void (RandomHistory::*)();
  struct Weighed {
    Step step;
    std::size_t weight;
  };
  static const std::vector<Weighed>& steps();

  Micro fifties(std::size_t most) { return 50 * static_cast<Micro>(below(most + 1)) * (chance(50) ? 1 : -1); }
  WorldPoint& any() { return world_.points[below(world_.points.size())]; }
  std::string fresh_name() { return "H-" + std::to_string(++names_); }
  WorldPoint at_cell(int cell);
  void shift(WorldPoint& p, Micro x, Micro y);
  bool is_free(const WorldPoint& p) const;
  bool is_sound() const;
  WorldPoint take_out(std::size_t i);
  void give_crew(const std::string& name) { world_.crew_of[name] = static_cast<int>(1 + below(2)); }

  void creep();
  void move();
  void drop();
  void bring_back();
  void rename_at_place();
  void rename_at_grave();
  void rename_by_was();
  void rename_dropped_by_was();
  void clear_was();
  void add();
  void change_deck();
  void raise_deck();
  void change_floor();
  void change_height();
  void change_own_height();
  void change_kind();
  void change_run();
  void change_cuts();
  void change_duct();
  void change_crew();
  void refit();
  void change_revision();
  void change_storey();
  void change_numbers();

  std::mt19937 random_;
  World world_;
  bool has_crews_ = false, had_deck_ = false;
  int names_ = 0, cells_ = 0, revisions_ = 0;
  std::vector<std::pair<std::string, std::pair<Micro, Micro>>> creeping_;
  std::vector<std::string> freed_;  ///< names that a point gave up by `was`
};

}  // namespace deckmark_test
