#include "report/issued_text.h"

#include <fmt/format.h>

#include "report/pieces.h"

namespace deckmark {

std::string issued_text(std::string_view title, std::span<const IssuedRow> issues,
                        std::span<const GivenRow> given) {
  constexpr std::size_t kRevision = 10, kFolder = 26;
  std::string out = fmt::format("ISSUES{}{}\n", title.empty() ? "" : " of ", cut(title, 60)) +
                    fmt::format("{:>5}  {:<{}}  {:>7}  {:>7}  {}\n", "issue", "revision", kRevision, "live",
                                "rows", "first written to");
  for (const IssuedRow& r : issues) {
    std::string line = fmt::format("{:>5}  {}  {:>7}  {:>7}  {}", r.issue, column(r.revision, kRevision),
                                   r.live, r.rows, cut(r.folder, kFolder));
    if (!r.storey.empty()) line += fmt::format("  {}", cut(r.storey, 14));
    out += line + "\n";
    std::string who;
    for (const GivenRow& g : given)
      if (g.issue == r.issue) who += fmt::format("{}{} since {}", who.empty() ? "" : ", ", g.to, g.on);
    if (!who.empty()) out += folded("       has it: ", "               ", who);
  }
  const bool any = !given.empty();
  return out + (any ? "" : "Nobody is noted to have one: deckmark give JOB --to NAME --on DATE\n");
}

}  // namespace deckmark
