// What later ties say of a signed fit: only those that it was not made from are new.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "job_folder.h"
#include "table/digest.h"

using namespace deckmark_test;

namespace {

constexpr const char* kToml = "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n";
constexpr const char* kTies =
    "mark,x,y,northing,easting\nB1,0,0,2000.0008,999.9994\nB2,30,0,1999.9989,1030.0004\n"
    "B3,0,20,2020.0005,1000.0010\nB4,30,20,2019.9997,1029.9991\nM1,15,0,2000.0001,1015.0007\n";

void sign_job(JobFolder& job) {
  job.write("drawing.csv", "point,x,y\nA,3,4\nB,27,16\n");
  job.write("ties.csv", kTies);
  job.write("job.toml", kToml);
  REQUIRE(job.run({"baseline", ".", "--sign", "signed.toml", "--by", "A. Name", "--on", "2026-11-25"})
              .exit_code == 0);
}

void use_signed(JobFolder& job) { job.write("job.toml", std::string(kToml) + "signed = \"signed.toml\"\n"); }

/// Sentences of the page without their line breaks.
std::string flat(const std::string& page) {
  std::string out;
  for (std::size_t i = 0; i < page.size(); ++i)
    if (page[i] == '\n' && page.compare(i + 1, 4, "    ") == 0)
      out += ' ', i += 4;
    else
      out += page[i];
  return out;
}
std::string line_with(const std::string& text, const std::string& begin) {
  const std::size_t at = text.find("\n  " + begin);
  return at == std::string::npos ? "" : text.substr(at + 1, text.find('\n', at + 1) - at - 1);
}

/// A signed file as earlier versions wrote it: without where ties were found and how well they were known.
std::string as_earlier(const std::string& file) {
  std::string body;
  for (std::size_t at = 0; at < file.find("[seal]"); at = file.find('\n', at) + 1) {
    const std::string line = file.substr(at, file.find('\n', at) + 1 - at);
    const bool in_tie = file.find("[[tie]]") < at;
    if (in_tie &&
        (line.starts_with("northing") || line.starts_with("easting") || line.starts_with("residual_sd")))
      continue;
    body += line;
  }
  return body + "[seal]\nsha256 = \"" + deckmark::sha256_hex(body) + "\"\n";
}

}  // namespace

// 2026-11-27: after signing, the ties of the fit counted as ties that check it: `good to` and the smallest
// error fell to what a tie alone knows.
TEST_CASE("a signed page stays as good as the fit was where nothing new checks it") {
  JobFolder job;
  sign_job(job);
  const std::string before = flat(job.run({"baseline", "."}).out);
  use_signed(job);
  std::string told = "as signed";
  SUBCASE("as signed") {}
  SUBCASE("the table was saved again") {
    job.write("ties.csv", "# saved again\n" + std::string(kTies));
    told = "saved again";
  }
  SUBCASE("by an earlier version") {
    job.write("signed.toml", as_earlier(job.read("signed.toml")));
    job.write("ties.csv", "# saved again\n" + std::string(kTies));
    told = "earlier";
  }
  CAPTURE(told);
  const CommandResult result = job.run({"baseline", "."});
  const std::string after = flat(result.out);
  CHECK(result.exit_code == 0);
  CHECK(after.find("Every tie of today was signed: nothing new checks this fit.") != std::string::npos);
  for (const char* row : {"B1 x", "B1 y", "B2 x", "B3 y", "B4 x", "M1 x", "M1 y", "A tie wrong by"}) {
    CAPTURE(row);
    REQUIRE_FALSE(line_with(before, row).empty());
    CHECK(line_with(after, row) == line_with(before, row));
  }
}

TEST_CASE("a tie that is new checks a signed fit, at the place that is told") {
  JobFolder job;
  sign_job(job);
  const std::string before = flat(job.run({"baseline", "."}).out);
  use_signed(job);
  // Found where the drawing has it, but for 40 mm along X.
  job.write("ties.csv", std::string(kTies) + "N1,10,5,2005,1010.040\n");
  const CommandResult result = job.run({"baseline", "."});
  const std::string after = flat(result.out);
  const std::string told =
      "New ties against it, 2 stated coordinates: shifted, at the middle of the new ties (X 10.0400 m, Y "
      "4.9999 m), ";
  const std::size_t at = after.find(told);
  REQUIRE(at != std::string::npos);
  const std::size_t shift = at + told.size();
  CHECK(std::stod(after.substr(shift)) == doctest::Approx(40).epsilon(0.02));
  // One tie of 1.5 mm against a fit of five ties with 1.5 mm, 5 m from their middle: 1.5 root(1 + 1/5 + ...).
  const std::size_t sd = after.find("along X (sd ", shift) + 12;
  CHECK(std::stod(after.substr(sd)) == doctest::Approx(1.5 * std::sqrt(1.2 + 9 / 1380.0)).epsilon(0.04));
  CHECK(after.find("more than chance, look at the marks.", at) != std::string::npos);
  CHECK(line_with(after, "B1 x") == line_with(before, "B1 x"));
  CHECK(result.err.find(
            "the ties lie shifted or turned against the signed fit by more than chance: shifted, at the "
            "middle of the new ties (X 10.0400 m, Y 4.9999 m), ") != std::string::npos);
  CHECK(result.exit_code == 1);
}
