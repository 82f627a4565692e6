// A signed file as it stands, and with a seal put under it: only what was sealed opens.
#include "checked_job.h"
#include "fuzz.h"
#include "table/seal.h"

using namespace deckmark;
using deckmark_test::must;

namespace {

/// A small job that uses the file. Its ties would fit a grid 100 m north and 200 m east of the drawing.
std::map<std::string, std::string> job_with(std::string_view signed_file) {
  return {{"job.toml",
           "title = \"Signed\"\nrevision = \"A\"\n[drawing]\nunit = \"m\"\npoints = \"drawing.csv\"\n"
           "[site]\nunit = \"m\"\n[baselines]\nties = \"ties.csv\"\nsigned = \"signed.toml\"\n"},
          {"drawing.csv", "point,x,y\nH1,1.2,3.4\nH2,2.4,3.4\n"},
          {"ties.csv",
           "mark,northing,easting,x,y\nT1,100,200,0,0\nT2,100,210,10,0\nT3,108,210,10,8\nT4,108,200,0,8\n"},
          {"signed.toml", std::string(signed_file)}};
}

void look_at_seal(const std::string& body) {
  const std::string text = sealed(body);
  must(seal_state(text) == SealState::whole, "what is sealed is whole", text);
  must(seal_state(text + "more\n") != SealState::whole, "what was added to is not whole", text);
  for (const std::size_t at : {std::size_t{0}, body.size() / 3, body.size() / 2}) {
    std::string changed = text;
    changed[at] ^= 1;
    must(seal_state(changed) != SealState::whole, "what was changed in one bit is not whole", changed);
  }
  std::string wound = text;
  for (std::size_t at = 0; (at = wound.find('\n', at)) != std::string::npos; at += 2)
    wound.insert(at, 1, '\r');
  must(seal_state(wound) == SealState::line_ends, "CR LF in place of LF is told as such", wound);
}

/// A text that is whole is what `sealed` made, but for blanks behind it.
void look_at_whole(std::string_view text) {
  constexpr std::string_view kHead = "[seal]\n";
  std::size_t at = text.rfind(kHead);
  while (at != std::string_view::npos && at > 0 && text[at - 1] != '\n') at = text.rfind(kHead, at - 1);
  must(at != std::string_view::npos, "what is whole has a seal", std::string(text));
  const std::string made = sealed(text.substr(0, at));
  must(text.starts_with(std::string_view(made).substr(0, made.size() - 1)), "what is whole was sealed",
       std::string(text));
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  const SealState state = seal_state(bytes);
  if (state == SealState::whole) look_at_whole(bytes);
  const CheckedJob job = check_files(job_with(bytes));
  must(job.has_problems || state == SealState::whole, "a signed file that opens was sealed",
       std::string(bytes));

  std::string body;
  for (const char c : bytes)
    if (c != '\r') body += c;
  if (body.empty() || body.back() != '\n') body += '\n';
  look_at_seal(body);
  check_files(job_with(sealed(body)));
}
