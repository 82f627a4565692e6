#include "report/paper.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "book/sheet_id.h"

namespace deckmark {

std::string tick_words(std::uint32_t issue, std::size_t page, bool has_deck) {
  constexpr std::size_t kMostPages = 99;  // two digits
  if (issue == 0) return "";
  if (page > kMostPages) return "to tick: no number, over 99 sheets";
  const auto id = [&](SheetKind kind) {
    return sheet_id_text({issue, kind, static_cast<std::uint32_t>(page)});
  };
  std::string out = "to tick: floor " + id(SheetKind::floor);
  if (has_deck) out += ", deck " + id(SheetKind::deck);
  return out;
}

void Pages::line(std::string text) {
  if (!fits(1)) next();
  pages_.back() += std::move(text) + "\n";
  ++used_;
}

void Pages::text(std::string text) {
  constexpr char kHeld = '\x01';  // in place of a blank within a length
  const auto is_digit = [&](std::size_t at) {
    return at < text.size() && text[at] >= '0' && text[at] <= '9';
  };
  for (std::size_t i = 1; i < text.size(); ++i)
    if (text[i] == ' ' && is_digit(i - 1) && is_digit(i + 1)) text[i] = kHeld;
  for (std::string& l : wrapped(text, width_, 99)) {
    std::replace(l.begin(), l.end(), kHeld, ' ');
    line(std::move(l));
  }
}

void Pages::next() {
  if (at_top()) return;
  pages_.back() += std::string(room_ - used_, '\n');
  pages_.emplace_back();
  used_ = 0;
}

std::string Pages::scroll() const {
  std::string out;
  for (const std::string& page : pages_) out += page;
  return out;
}

std::string Pages::sheets(const std::function<std::vector<std::string>(std::size_t, std::size_t)>& head) {
  if (used_ > 0)
    pages_.back() += std::string(room_ - used_, '\n');
  else if (pages_.size() > 1)
    pages_.pop_back();
  std::string out;
  for (std::size_t p = 0; p < pages_.size(); ++p) {
    std::vector<std::string> top = head(p + 1, pages_.size());
    while (top.size() < head_) top.insert(top.end() - 1, "");
    for (const std::string& l : top) out += l + "\n";
    out += pages_[p];
    const std::string foot = "stop and call: ";
    out += "\n" + foot + std::string(width_ - 3 - foot.size(), '_') + "\n";
    if (p + 1 < pages_.size()) out += "\f";
  }
  return out;
}

}  // namespace deckmark
