// The accounts themselves on books that can be followed on paper; the answers are written out by hand.
#include <doctest/doctest.h>

#include <algorithm>

#include "today_account.h"

using namespace deckmark_test;

namespace {

/// Numbers 1001 to 1004 at 0, 1, 2, 3 m east; 1004 has no deck.
std::string ledger(const std::string& second = "") {
  std::string out =
      "point,number,status,x,y,deck_offset,revision,northing,easting,issue,floor_elevation,attach_elevation,"
      "deck_elevation,cut,kind,run\n";
  for (int i = 0; i < 4; ++i)
    out += "H" + std::to_string(i + 1) + ",100" + std::to_string(i + 1) + ",live," + std::to_string(i) +
           ",0,5000,A,0," + std::to_string(i) + ",1,12,15," + (i < 3 ? "16.2,1.25" : ",") + ",hanger,R1\n";
  return out + second;
}
IssuedNumbers issued(const std::string& second = "") {
  return IssuedNumbers(ledger(second), std::string("issue,digest\n1,0123456789abcdef\n") +
                                           (second.empty() ? "" : "2,0123456789abcdee\n"));
}

class Book {
 public:
  Book& set_up() { return add("set-up", 0, "", "S1"); }
  Book& check(const std::string& target, bool within) {
    add("check", 0, "", "S1").last().target = target;
    last().verdict = within ? "within" : "outside";
    return *this;
  }
  Book& mark(std::int64_t number, const std::string& level = "floor", MaybeMicro off = {}) {
    add("marked", number, level, "S1");
    if (!off) return *this;
    last().northing = *off;
    last().easting = 1000000 * (number - 1001);
    last().sd_along = last().sd_across = 1000;
    return *this;
  }
  Book& act(const std::string& word, std::int64_t number, const std::string& level = "", int of = 0) {
    add(word, number, level, "");
    if (of > 0) last().of = std::to_string(of);
    return *this;
  }
  Book& since(int issue) {
    issue_ = issue;
    return *this;
  }
  std::vector<BookFile> files() const { return {file_}; }

 private:
  BookRow& last() { return file_.rows.back(); }
  Book& add(const std::string& act, std::int64_t number, const std::string& level, const std::string& setup) {
    BookRow r;
    r.entry = static_cast<std::uint32_t>(file_.rows.size() + 1);
    r.at = 60 * static_cast<std::int64_t>(r.entry);
    r.act = act;
    r.number = number;
    r.level = level;
    r.setup = setup;
    r.issue = issue_;
    file_.rows.push_back(r);
    return *this;
  }
  BookFile file_;
  int issue_ = 1;
};

std::string doubted(const Book& book) {
  std::string out;
  const Standing standing = replayed(book.files(), issued(), 0.002);
  for (const Thing& t : standing.things)
    if (!t.gone && t.doubtful) out += (out.empty() ? "" : " ") + std::to_string(t.number);
  return out;
}

std::string told(const Book& book, const IssuedNumbers& numbers, TodayRules rules = {}) {
  const Standing standing = replayed(book.files(), numbers, 0.002);
  CHECK(standing.wrong == "");
  std::string out;
  for (const TodayRow& row : today_of(numbers, standing, rules).rows)
    if (row.what != "mark")
      out += std::to_string(row.number) + " " + row.thing + " " + row.what + " " + row.why + "\n";
  return out;
}

TodayRules released() {
  TodayRules rules;
  rules.released = {"all"};
  return rules;
}

}  // namespace

TEST_CASE("a time is the same instant in every zone") {
  CHECK(time_of("1970-01-01T00:00:00+00:00") == 0);
  CHECK(time_of("2000-03-01T00:00:00+01:00") == 951865200);
  CHECK(time_text(951865200, 1) == "2000-03-01T00:00:00+01:00");
  CHECK(time_text(951865200, 0) == "2000-02-29T23:00:00+00:00");
}

TEST_CASE("doubtful are the marks before the first group of checks that ended out") {
  const auto begun = [] { return Book().set_up().check("A", true).mark(1001); };
  CHECK(doubted(begun().check("A", true).mark(1002).check("A", false)) == "1002");
  CHECK(doubted(begun().check("A", false)) == "1001");
  SUBCASE("a slip is cured by reading again") {
    CHECK(doubted(begun().check("A", false).check("A", true)) == "");
  }
  SUBCASE("two others speak against one") {
    CHECK(doubted(begun().check("A", false).check("B", true)) == "1001");
    CHECK(doubted(begun().check("A", false).check("B", true).check("C", true)) == "");
    CHECK(doubted(begun().check("A", false).check("B", true).check("B", true)) == "1001");
  }
  SUBCASE("what follows does not lift it") {
    CHECK(doubted(begun().check("A", false).mark(1002).check("A", true)) == "1001");
    CHECK(doubted(begun().check("A", false).mark(1002).check("B", true)) == "1001 1002");
  }
  SUBCASE("cleared after it, or read again") {
    CHECK(doubted(begun().act("cleared", 1001, "floor", 3).check("A", false)) == "1001");
    CHECK(doubted(begun().check("A", false).act("cleared", 1001, "floor", 3)) == "");
    CHECK(doubted(begun().act("doubtful", 1001, "floor", 3)) == "1001");
    CHECK(doubted(begun().act("doubtful", 1001, "floor", 3).act("cleared", 1001, "floor", 3)) == "");
  }
  SUBCASE("an undone mark parts no groups") {
    CHECK(doubted(begun().check("A", false).mark(1002).act("undone", 0, "", 5).check("A", true)) == "");
  }
  SUBCASE("another standing says nothing") { CHECK(doubted(begun().set_up().check("A", false)) == ""); }
  SUBCASE("a hole is as doubtful as its cross was") {
    CHECK(doubted(Book()
                      .set_up()
                      .check("A", true)
                      .mark(1002, "deck")
                      .act("drilled", 1002, "deck")
                      .check("A", false)) == "1002");
  }
}

TEST_CASE("what stands at its place is left, what is far is made again, between it is measured") {
  const std::string moved = "H2,1002,live,1.003,0,5000,B,0,1.003,2,12,15,16.2,1.25,hanger,R1\n";
  CHECK(told(Book().set_up().mark(1001).mark(1002), issued(moved)) ==
        "1001 floor leave unchanged\n1002 floor measure near-limit\n");
  CHECK(told(Book().set_up().mark(1002, "floor", 0), issued(moved)) == "1002 floor leave within\n");
  CHECK(told(Book().set_up().mark(1002, "floor", 3000), issued(moved)) == "1002 floor measure near-limit\n");
  CHECK(told(Book().set_up().mark(1002, "floor", 8000), issued(moved)) == "1002 floor mark-again beyond\n");
  CHECK(told(Book().set_up().mark(1002).mark(1002, "floor", 8000), issued()) ==
        "1002 floor leave unchanged\n1002 floor void second\n");
  CHECK(told(Book().set_up().mark(1002).act("doubtful", 1002, "floor", 2), issued()) ==
        "1002 floor measure doubtful\n");
}

TEST_CASE("what was dropped serves a number that has none, unless its rod hangs") {
  const std::string renamed =
      "H2,1002,dropped,1,0,5000,A,0,1,2,12,15,16.2,1.25,hanger,R1\n"
      "H9,1005,live,1,0,5000,B,0.002,1,2,12,15,16.2,1.25,hanger,R1\n";
  const auto crosses = [] { return Book().set_up().mark(1002, "floor", 0).mark(1002, "deck", 0); };
  CHECK(told(crosses(), issued(renamed)) ==
        "1005 floor renumber was 1002\n1005 deck renumber was 1002\n1005 hole stop not released\n");
  CHECK(told(crosses().act("drilled", 1002, "deck"), issued(renamed), released()) ==
        "1005 floor renumber was 1002\n1005 hole renumber was 1002\n");
  CHECK(told(crosses().act("cut", 1002).act("hung", 1002).act("drilled", 1002, "deck"), issued(renamed)) ==
        "1002 floor void dropped\n1002 hole stop hung\n1002 rod stop dropped\n");
  CHECK(told(crosses().since(2).mark(1005), issued(renamed)) ==
        "1002 floor void dropped\n1005 floor leave unchanged\n1005 deck renumber was 1002\n"
        "1005 hole stop not released\n");
}

TEST_CASE("nothing is drilled near an old hole, in a zone, or before it is released") {
  const auto cross = [] { return Book().set_up().mark(1002, "deck"); };
  CHECK(told(cross(), issued()) == "1002 deck leave unchanged\n1002 hole stop not released\n");
  CHECK(told(cross(), issued(), released()) == "1002 deck leave unchanged\n1002 hole drill not made\n");
  TodayRules near = released();
  near.zones = {{"Z1", {{0.5, 0.02}, {2, 0.02}}, 0.03}};
  CHECK(told(cross(), issued(), near) == "1002 deck leave unchanged\n1002 hole stop zone Z1\n");
  near.zones[0].clearance = 0.01;
  CHECK(told(cross(), issued(), near) == "1002 deck leave unchanged\n1002 hole drill not made\n");
  const auto filled = [&] {
    return cross().act("drilled", 1002, "deck").act("filled", 1002, "deck", 3).mark(1002, "deck");
  };
  CHECK(told(filled(), issued(), released()) == "1002 deck leave unchanged\n1002 hole stop old hole 1002\n");
  CHECK(told(cross().act("drilled", 1002, "deck"), issued(), released()) == "1002 hole leave unchanged\n");
}

TEST_CASE("a rod is cut again where its length changed by more than is let pass") {
  const auto rod = [] { return Book().act("cut", 1001); };
  const auto now = [](const std::string& cut) {
    return issued("H1,1001,live,0,0,5000,B,0,0,2,12,15,16.2," + cut + ",hanger,R1\n");
  };
  CHECK(told(rod(), now("1.254")) == "1001 rod leave unchanged\n");
  CHECK(told(rod(), now("1.256")) == "1001 rod recut longer\n");
  CHECK(told(rod(), now("1.244")) == "1001 rod recut shorter\n");
  CHECK(told(rod(), now("")) == "1001 rod stop gone\n");
}
