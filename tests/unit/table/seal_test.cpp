// Sealed texts: whole, and every way in which a mail or a hand changes them.
#include "table/seal.h"

#include <doctest/doctest.h>

#include <string>

using namespace deckmark;

namespace {

const std::string kBody =
    "# Signed. To use this fit, name the file.\n\n[signed]\nby = \"A. Name, who has a long firm\"\n"
    "covariance = [\n  [1.5e-07, 2e-08, 3],\n]\n\n";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
  return text;
}

}  // namespace

TEST_CASE("a sealed text is known whole, and each change for what it is") {
  const std::string good = sealed(kBody);
  const std::string lines = replaced(good, "\n", "\r\n");
  struct Row {
    const char* what;
    std::string text;
    SealState want;
  };
  for (const Row& r :
       {Row{"as it was", good, SealState::whole},
        Row{"without its last line end", good.substr(0, good.size() - 1), SealState::whole},
        Row{"blank lines behind", good + "\n \n", SealState::whole},
        Row{"CR LF", lines, SealState::line_ends},
        Row{"CR", replaced(good, "\n", "\r"), SealState::line_ends},
        Row{"one CR LF", replaced(good, "firm\"\n", "firm\"\r\n"), SealState::line_ends},
        Row{"blanks at ends", replaced(good, "\n", "  \n"), SealState::reflowed},
        Row{"a broken comment", replaced(good, "fit, name", "fit,\nname"), SealState::reflowed},
        Row{"a broken name", replaced(lines, "A. Name, who", "A. Name,\r\nwho"), SealState::reflowed},
        Row{"a broken row", replaced(good, "2e-08, 3", "2e-08,\n3"), SealState::reflowed},
        Row{"a broken seal", replaced(good, "sha256 = ", "sha256 =\n"), SealState::reflowed},
        Row{"quoted", "> " + replaced(good.substr(0, good.size() - 1), "\n", "\n> "), SealState::reflowed},
        Row{"a name behind", good + "-- \nA. Name\n", SealState::added_to},
        Row{"another figure", replaced(good, "1.5e", "1.6e"), SealState::changed},
        Row{"another figure, CR LF", replaced(lines, "1.5e", "1.6e"), SealState::changed},
        Row{"a blank less in a name", replaced(good, "A. Name", "A.Name"), SealState::changed},
        Row{"another digest", replaced(good, "sha256 = \"", "sha256 = \"0"), SealState::changed},
        Row{"cut short", good.substr(0, kBody.size()), SealState::not_sealed},
        Row{"a seal within a line", "x = 1 [seal]\n", SealState::not_sealed},
        Row{"nothing", "", SealState::not_sealed}}) {
    CAPTURE(r.what);
    CHECK(seal_state(r.text) == r.want);
  }
}

TEST_CASE("no single changed byte passes") {
  const std::string good = sealed(kBody);
  for (std::size_t i = 0; i + 1 < good.size(); ++i) {
    std::string bad = good;
    bad[i] = bad[i] == 'q' ? 'r' : 'q';
    CAPTURE(i);
    CHECK(seal_state(bad) != SealState::whole);
  }
}
