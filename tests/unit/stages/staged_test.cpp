#include "stages/staged.h"

#include <doctest/doctest.h>

using namespace deckmark;

TEST_CASE("after: absent, spoiled, there") {
  const Staged<int> none, bad = Staged<int>::spoiled(), one = Staged<int>::found(1);
  const auto sum = [](int a, const int* b) { return Staged<int>::found(a + (b ? *b : 0)); };
  CHECK(after(one, may(one))(sum).value == 2);
  CHECK(after(one, may(none))(sum).value == 1);
  CHECK(after(one, may(bad))(sum).came == Came::spoiled);
  CHECK(after(none, may(one))(sum).came == Came::absent);
  CHECK(after(none, may(bad))(sum).came == Came::spoiled);
  CHECK(after(bad, may(one))(sum).came == Came::spoiled);
}

TEST_CASE("a result with a problem is spoiled, keeps what it found, and gives it to nobody") {
  Messages told;
  told.problem(Where::whole("job.toml"), "deck", Fault{"a", "b", ""});
  const auto bad = Staged<int>::found(7, std::move(told));
  CHECK(bad.is_spoiled());
  CHECK(bad.value == 7);
  CHECK(bad.get() == nullptr);
}
