#pragma once
/// Books as a crew could have filled them: acts that are allowed, in any order, by one crew or two.

#include <string>
#include <vector>

#include "book_world.h"

namespace deckmark_test {

class RandomBook {
 public:
  RandomBook(Dice& dice, const BookWorld& world);
  /// So many rows, done from the last issue.
  void work(const IssuedNumbers& issued, std::size_t rows);
  std::vector<BookFile>& books() { return books_; }
  /// The true places beside the rows that have a reading, by row: what was read less the noise of its sd.
  struct Truth {
    double northing = 0, easting = 0;
  };
  const std::map<RowId, Truth>& truths() const { return truths_; }

 private:
  bool act(const IssuedNumbers& issued);
  BookRow row(const std::string& act);
  void put(BookRow row);
  std::string of(const RowId& id) const;
  std::int64_t any_live(const IssuedNumbers& issued);
  const Thing* any_thing(bool holes);

  bool set_up();
  bool check();
  bool marked(const IssuedNumbers& issued, bool deck);
  bool read_again(const IssuedNumbers& issued);
  bool drilled(const IssuedNumbers& issued);
  bool on_thing(const IssuedNumbers& issued);
  bool rod(const IssuedNumbers& issued);
  bool undone();
  bool other();
  void place(BookRow& row, const IssuedPlace& at);

  Dice& dice_;
  const BookWorld& world_;
  std::vector<BookFile> books_;
  std::size_t book_ = 0;            ///< whose turn it is
  std::vector<std::string> setup_;  ///< by book: where the instrument stands
  int setups_ = 0, issue_ = 1;
  std::int64_t now_;
  Standing standing_;  ///< as of the last row
  std::map<RowId, Truth> truths_;
};

}  // namespace deckmark_test
