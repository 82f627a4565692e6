// The account itself on histories that can be followed on paper; the answers are written out by hand.
#include "account.h"

#include <doctest/doctest.h>

#include "sha256.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

const std::string kHead =
    "number,point,change,dx (mm),dy (mm),distance (mm),what,dz (mm),old_northing (mm),old_easting (mm),"
    "old_elevation (mm)\n";

HandedPoint point(const std::string& name, Micro x, Micro y, const MaybeMicro& attach = {},
                  const MaybeMicro& deck = {}) {
  HandedPoint p;
  p.name = name;
  p.x = p.easting = x;
  p.y = p.northing = y;
  p.attach = attach;
  p.deck = deck;
  return p;
}

HandedOut run(std::vector<HandedPoint> points, const std::string& revision = "A") {
  HandedOut out;
  out.revision = revision;
  out.points = std::move(points);
  return out;
}

std::string told(const Account& account) {
  return changes_csv(account.changes(), kMillimetres).substr(kHead.size());
}

constexpr Micro kMetre = 1000000;

}  // namespace

TEST_CASE("the digest is SHA-256") {
  // FIPS 180-4 examples: one block, and two blocks of 56 bytes.
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST_CASE("the first issue has one row a point, and its digest is that of row and rows") {
  Account account;
  HandedOut first =
      run({point("H-2", 2 * kMetre, 1500001, 15100000, 16200000), point("H-1", kMetre, -250000)});
  first.floor = 12 * kMetre;
  first.points[0].cut = 1180000;
  first.points[0].run = "R1";
  first.points[1].kind = "reference";
  REQUIRE(account.take(first));
  CHECK(account.numbers_csv() ==
        "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m),issue,"
        "floor_elevation (m),attach_elevation (m),deck_elevation (m),cut (m),kind,run,crew,told_in,"
        "told_in_deck,told_in_bracket,told_in_cut\n"
        "H-2,1001,live,2.000000,1.500001,5000,A,1.500001,2.000000,1,12.000000,15.100000,16.200000,1.180000,"
        "hanger,R1,,1,1,1,1\n"
        "H-1,1002,live,1.000000,-0.250000,5000,A,-0.250000,1.000000,1,12.000000,,,,reference,,,1,1,1,1\n");
  // The digest by another tool: printf '\n1,A,job.toml,,2,2,out\n' and the two rows with their line ends, |
  // sha256sum.
  CHECK(
      account.issued_csv() ==
      "issue,revision,job,storey,live,rows,folder,before,digest\n1,A,job.toml,,2,2,out,,15ae69c56e766e3e\n");
  CHECK(told(account) == "1001,H-2,new,,,,floor,,,,\n1002,H-1,new,,,,floor,,,,\n");
}

TEST_CASE("the same again is the same issue, another revision or storey is one without rows") {
  Account account;
  const HandedOut first = run({point("A", 0, 0), point("B", kMetre, 0)});
  REQUIRE(account.take(first));
  const std::string numbers = account.numbers_csv();
  HandedOut again = run({first.points[1], first.points[0]});
  again.folder = "print";
  CHECK(!account.take(again));
  CHECK(account.issues() == 1);
  CHECK(account.changes().size() == 2);
  again.revision = "B, final";
  CHECK(account.take(again));
  CHECK(account.numbers_csv() == numbers);
  CHECK(account.changes().empty());
  again.storey = "level 3";
  CHECK(account.take(again));
  CHECK(account.numbers_csv() == numbers);
  CHECK(lines_of(account.issued_csv())[2] ==
        "2,\"B, final\",job.toml,,2,0,print,4b6c391d1be02328,f59b77ecd4cda08c");
  CHECK(account.issued()[1].before == account.issued()[0].digest);
  CHECK(account.issued()[2].storey == "level 3");
  // A change that does not come first: the row that has a change has its revision, the other keeps its own.
  again.points[0].run = "R9";
  CHECK(account.take(again));
  CHECK(says(account.numbers_csv(),
             "\nB,1002,live,1.000000,0.000000,5000,\"B, final\",0.000000,1.000000,4,0.000000,,,,hanger,R9,,"
             "1,1,1,1\n"));
  CHECK(account.changes().empty());
}

TEST_CASE("what creeps is told when it is over 1 mm from the place last told, exactly 1 mm is not") {
  Account account;
  HandedOut now = run({point("A", 0, 0), point("B", kMetre, 0)});
  account.take(now);
  const auto creep = [&](Micro x, Micro y) {
    now.points[0] = point("A", x, y);
    CHECK(account.take(now));
    return told(account);
  };
  CHECK(creep(600, 0).empty());
  CHECK(creep(600, 800).empty());  // exactly 1 mm
  CHECK(creep(600, 810) == "1001,A,moved,0.60,0.81,1.01,floor,,0.00,0.00,0.00\n");
  CHECK(creep(-300, 810).empty());
  CHECK(creep(-410, 810) == "1001,A,moved,-1.01,0.00,1.01,floor,,0.81,0.60,0.00\n");
  CHECK(account.states().at(1001).told == std::array<int, 4>{6, 1, 1, 1});
  CHECK(account.states().at(1001).issue == 6);
  // Until issue 2 the first place was told, from which it is 0.91 mm.
  CHECK(account.changes_since(2).empty());
  CHECK(changes_csv(account.changes_since(4), kMillimetres) ==
        kHead + "1001,A,moved,-1.01,0.00,1.01,floor,,0.81,0.60,0.00\n");
}

TEST_CASE("dropped, returned, renamed by place and by was") {
  Account account;
  account.take(run({point("A", 0, 0), point("B", kMetre, 0), point("C", 2 * kMetre, 0)}));
  // B goes 4 mm off and is replaced there by D; C goes.
  account.take(run({point("A", 0, 0), point("B", kMetre + 4000, 0), point("C", 2 * kMetre, 500)}, "B"));
  CHECK(told(account) == "1002,B,moved,4.00,0.00,4.00,floor,,0.00,1000.00,0.00\n");
  account.take(run({point("A", 0, 0), point("D", kMetre + 4000, 300)}, "C"));
  CHECK(told(account) ==
        "1003,C,dropped,,,,floor,,0.00,2000.00,0.00\n"
        "1004,D,renamed,,,,floor,,0.00,1004.00,0.00\n");
  const States dropped = account.states();
  CHECK(!dropped.at(1002).kept.live);
  CHECK(dropped.at(1002).told[floor_mark] == 2);  // replaced: no row told it
  CHECK(dropped.at(1003).told[floor_mark] == 3);
  CHECK(dropped.at(1003).revision == "B");  // a dropped row keeps its own
  CHECK(dropped.at(1004).told == std::array<int, 4>{3, 3, 3, 3});
  CHECK(says(account.numbers_csv(), "\nC,1003,dropped,2.000000,0.000500,5000,B,0.000500,2.000000,3,"));
  // C comes back elsewhere; A is E now and has moved: renamed comes first, and its place is told with it.
  HandedPoint e = point("E", 7000, 0);
  e.was = "A";
  account.take(run({e, point("C", 3 * kMetre, 0), point("D", kMetre + 4000, 300)}, "D"));
  CHECK(told(account) ==
        "1001,E,renamed,,,,floor,,0.00,0.00,0.00\n"
        "1003,C,returned,,,,floor,,0.50,2000.00,0.00\n");
  CHECK(account.states().at(1001).told[floor_mark] == 4);
  // `was` stays in the drawing: nothing more comes of it. A name that is free is a new point.
  CHECK(!account.take(run({point("D", kMetre + 4000, 300), e, point("C", 3 * kMetre, 0)}, "D")));
  account.take(
      run({point("D", kMetre + 4000, 300), e, point("C", 3 * kMetre, 0), point("A", kMetre, kMetre)}, "D"));
  CHECK(told(account) == "1005,A,new,,,,floor,,,,\n");
  CHECK(account.states().at(1001).kept.point == "E");
}

TEST_CASE("of two dropped at one place the one that goes now is the renamed one") {
  Account account;
  account.take(run({point("A", 0, 0), point("Z", kMetre, 0)}));
  account.take(run({point("B", 0, 0), point("Z", kMetre, 0)}));
  CHECK(told(account) == "1003,B,renamed,,,,floor,,0.00,0.00,0.00\n");
  account.take(run({point("B", 2000, 0), point("Z", kMetre, 0)}));
  const HandedOut third = run({point("C", 1200, 0), point("Z", kMetre, 0)});
  CHECK(!account.is_open(third));
  account.take(third);  // 0.8 mm from B, 1.2 mm from where A was
  CHECK(told(account) == "1004,C,renamed,,,,floor,,0.00,2.00,0.00\n");
  account.take(run({point("Z", kMetre, 0)}));
  // A alone is within 1 mm of it.
  account.take(run({point("D", -100, 0), point("Z", kMetre, 0)}));
  CHECK(told(account) == "1005,D,renamed,,,,floor,,0.00,0.00,0.00\n");
  // Two new points with one claim: open.
  account.take(run({point("Z", kMetre, 0)}));
  CHECK(account.is_open(run({point("Y", kMetre, 400), point("X", kMetre, -400)})));
}

TEST_CASE("deck, bracket and cut are told by themselves, from the height last told") {
  Account account;
  HandedOut now = run({point("A", 0, 0, 3 * kMetre, 4 * kMetre), point("B", kMetre, 0)});
  now.points[0].cut = kMetre;
  account.take(now);
  CHECK(told(account) == "1001,A,new,,,,floor,,,,\n1002,B,new,,,,floor,,,,\n");
  // 0.6 mm up, and a deck for B.
  now.points[0].deck = 4 * kMetre + 600;
  now.points[0].cut = kMetre + 600;
  now.points[1].deck = 4 * kMetre;
  account.take(now);
  CHECK(told(account) == "1002,B,new,,,,deck,,,,\n");
  // Another 0.6 mm: 1.2 mm since it was told. The floor mark moves too, which the deck row takes no part in.
  now.points[0].deck = 4 * kMetre + 1200;
  now.points[0].cut = kMetre + 1000;
  now.points[0].x = now.points[0].easting = 5000;
  account.take(now);
  CHECK(told(account) ==
        "1001,A,moved,5.00,0.00,5.00,floor,,0.00,0.00,0.00\n"
        "1001,A,raised,,,1.20,deck,1.20,0.00,0.00,4000.00\n");
  CHECK(account.states().at(1001).told == std::array<int, 4>{3, 3, 1, 1});
  // Deck gone, bracket lower, rod shorter than in issue 1.
  now.points[0].deck.reset();
  now.points[0].attach = 3 * kMetre - 2500;
  now.points[0].cut = kMetre - 1010;
  account.take(now);
  CHECK(told(account) ==
        "1001,A,gone,,,,deck,,0.00,5.00,4001.20\n"
        "1001,A,lowered,,,2.50,bracket,-2.50,0.00,0.00,3000.00\n"
        "1001,A,shorter,,,1.01,cut,-1.01,,,\n");
  now.points[0].cut.reset();
  now.points[0].attach.reset();
  account.take(now);
  CHECK(told(account) ==
        "1001,A,gone,,,,bracket,,0.00,5.00,2997.50\n"
        "1001,A,gone,,,,cut,,,,\n");
  now.points[0].cut = kMetre;
  now.points[0].attach = 3 * kMetre;
  account.take(now);
  CHECK(told(account) == "1001,A,new,,,,bracket,,,,\n1001,A,new,,,,cut,,,,\n");
  // Dropped: the floor row alone; back with another deck: both.
  const HandedPoint b = now.points[1];
  now.points.pop_back();
  account.take(now);
  CHECK(told(account) == "1002,B,dropped,,,,floor,,0.00,1000.00,0.00\n");
  now.points.push_back(b);
  now.points[1].deck = 4 * kMetre - 30000;
  account.take(now);
  CHECK(told(account) ==
        "1002,B,returned,,,,floor,,0.00,1000.00,0.00\n"
        "1002,B,lowered,,,30.00,deck,-30.00,0.00,1000.00,4000.00\n");
}

TEST_CASE("a floor that rises has rows in the ledger and none in the changes") {
  Account account;
  HandedOut now = run({point("A", 0, 0), point("B", kMetre, 0)});
  account.take(now);
  now.floor = 20000;
  CHECK(account.take(now));
  CHECK(account.changes().empty());
  CHECK(account.issued().back().rows == 2);
  // The place last told has the floor of then.
  now.points.pop_back();
  account.take(now);
  CHECK(told(account) == "1002,B,dropped,,,,floor,,0.00,1000.00,0.00\n");
}

TEST_CASE("a refit is told along the baselines, from the place last told on site") {
  Account account;
  // +X points 3 north and 4 east in 5, +Y to its left: 4 north and 3 west.
  HandedOut now = run({point("A", 0, 0)});
  now.axes = {3, 4, 4, -3};
  now.points[0].northing = 100 * kMetre;
  now.points[0].easting = 200 * kMetre;
  account.take(now);
  now.points[0].northing += 500;
  account.take(now);
  CHECK(told(account).empty());
  now.points[0].northing += 1000;
  now.points[0].easting -= 2000;
  account.take(now);
  // 1.5 north, 2 west: along X (3*1.5 - 4*2)/5 = -0.7, along Y (4*1.5 + 3*2)/5 = 2.4.
  CHECK(told(account) == "1001,A,refit,-0.70,2.40,2.50,floor,,100000.00,200000.00,0.00\n");
  // Moved comes before refit.
  now.points[0].northing += 5000;
  now.points[0].x = 3000;
  account.take(now);
  CHECK(told(account) == "1001,A,moved,3.00,0.00,3.00,floor,,100001.50,199998.00,0.00\n");
}

TEST_CASE("numbers go on above every number, live or dropped, in steps from the start") {
  Account account;
  HandedOut now = run({point("A", 0, 0), point("B", kMetre, 0)});
  now.start = 100;
  now.step = 10;
  account.take(now);
  now.points = {point("C", 2 * kMetre, 0), point("A", 0, 0)};
  account.take(now);
  CHECK(account.states().at(120).kept.point == "C");
  now.start = 95;
  now.points = {point("A", 0, 0), point("D", 3 * kMetre, 0)};
  account.take(now);
  CHECK(account.states().at(125).kept.point == "D");
  CHECK(told(account) == "120,C,dropped,,,,floor,,0.00,2000.00,0.00\n125,D,new,,,,floor,,,,\n");
}

TEST_CASE("changes since an issue are against what had been told up to it") {
  Account account;
  HandedOut now = run({point("A", 0, 0, 3 * kMetre), point("B", kMetre, 0)});
  account.take(now);
  now.points[0].x = now.points[0].easting = 900;  // not told
  account.take(now);
  now.points[0].attach = 3 * kMetre + 1500;  // told
  account.take(now);
  now.points[1] = point("C", kMetre, 0);  // B is C, by place
  now.points.push_back(point("D", 2 * kMetre, 0));
  account.take(now);
  now.points[0].x = now.points[0].easting = 1800;  // told from 0
  now.points.pop_back();                           // D was never told before issue 4
  account.take(now);
  const auto since = [&](int issue) {
    return changes_csv(account.changes_since(issue), kMillimetres).substr(kHead.size());
  };
  CHECK(since(4) == told(account));
  CHECK(since(3) ==
        "1001,A,moved,1.80,0.00,1.80,floor,,0.00,0.00,0.00\n"
        "1003,C,renamed,,,,floor,,0.00,1000.00,0.00\n");
  CHECK(since(2) ==
        "1001,A,moved,1.80,0.00,1.80,floor,,0.00,0.00,0.00\n"
        "1001,A,raised,,,1.50,bracket,1.50,0.00,0.00,3000.00\n"
        "1003,C,renamed,,,,floor,,0.00,1000.00,0.00\n");
}

TEST_CASE("lengths are printed to a hundredth of a millimetre, halves away from zero") {
  ToldChange c;
  c.number = 7;
  c.point = "P, 1";
  c.change = "moved";
  c.dx_fifths = -25;   // 5 um
  c.dy_fifths = 24;    // 4.8 um
  c.square = 8044897;  // 2836.35... um
  c.old_northing = -12345675;
  CHECK(changes_csv({c}, kMetres) ==
        "number,point,change,dx (m),dy (m),distance (m),what,dz (m),old_northing (m),old_easting (m),"
        "old_elevation (m)\n7,\"P, 1\",moved,-0.00001,0.00000,0.00284,floor,,-12.34568,,\n");
  CHECK(says(changes_csv({c}, kCentimetres), "moved,-0.001,0.000,0.284,floor,,-1234.568,,\n"));
}
