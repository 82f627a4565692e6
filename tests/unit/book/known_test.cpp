#include "book/known.h"

#include <doctest/doctest.h>

#include <string>

#include "talk.h"

using namespace deckmark;

namespace {

/// The numbers of a list as they would be typed one by one, or `no WORD` of the first refusal.
std::string of(const KnownNumbers& known, std::string_view text) {
  const auto list = typed_list(text);
  if (const auto* no = std::get_if<Refusal>(&list)) return "no " + std::string(no_word(no->word));
  const auto numbers = known.of(std::get<TypedList>(list));
  if (const auto* no = std::get_if<std::vector<Refusal>>(&numbers))
    return "no " + std::string(no_word(no->front().word));
  std::string out;
  for (const KnownNumber& n : std::get<std::vector<KnownNumber>>(numbers))
    out += (out.empty() ? "" : " ") + std::to_string(n.typed);
  return out;
}

}  // namespace

TEST_CASE("a list takes known numbers of one kind, each once") {
  const Ledger ledger = talk::floor_of_two_runs();
  const KnownNumbers known(ledger, 1);
  const struct {
    const char* list;
    const char* numbers;
  } rows[] = {{"1001", "1001"},
              {"1001 1003,1002", "1001 1003 1002"},
              {"1001 1001", "1001"},
              {"1001-1004", "1001 1002 1003 1004"},
              {"1002-1004 1001-1003", "1002 1003 1004 1001"},
              {"1001-1004 but 1002", "1001 1003 1004"},
              {"1001-1010 but 1002-1008", "1001 1009 1010"},
              {"1012-1015", "1012 1013 1014 1015"},  // 1013 was dropped, and is known
              {"6012-6015", "6012 6013 6015"},       // 1014 never had a deck point
              {"6001 1001", "6001 1001"},
              {"1041", "no number"},
              {"6014", "no number"},
              {"1001-1041", "no number"},
              {"1004-1001", "no list"},
              {"1001-1001", "no list"},
              {"1001-6004", "no list"},
              {"1001-1004 but 1005", "no list"},
              {"1001-1004 but 6001", "no list"},
              {"1001-1004 but 1099", "no number"},
              {"1001-1002 but 1001 1002", "no list"}};
  for (const auto& row : rows) {
    CAPTURE(row.list);
    CHECK(of(known, row.list) == row.numbers);
  }
}

TEST_CASE("numbers are told in ranges that take them and no others when they are typed") {
  const Ledger ledger = talk::floor_of_two_runs();
  const KnownNumbers known(ledger, 1);
  for (const char* text : {"1001", "1001-1002", "1001-1004 1006", "1012 1014", "1012-1014", "6012-6013",
                           "6012-6015", "1001 1003 6001 6003-6004", "1001-1040 6001-6040"}) {
    CAPTURE(text);
    const auto list = typed_list(text);
    const auto numbers = known.of(std::get<TypedList>(list));
    CHECK(known.words(std::get<std::vector<KnownNumber>>(numbers)) == text);
  }
}

TEST_CASE("an issue knows the numbers that it had") {
  const Ledger ledger = plain::ledger_of({{plain::hanger("A", 1001)}, {plain::hanger("B", 1002, 2)}});
  CHECK_FALSE(KnownNumbers(ledger, 1).find(1002));
  CHECK(KnownNumbers(ledger, 2).find(1002));
  CHECK(KnownNumbers(ledger, 2).find(6002)->level == EntryLevel::deck);
}
