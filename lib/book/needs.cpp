#include "book/needs.h"

namespace deckmark {

namespace {

const NumberState& state_of(const BookState& state, std::uint32_t floor) {
  static const NumberState nothing;
  const NumberState* const found = state.find(floor);
  return found ? *found : nothing;
}

const std::vector<BookThing>& crosses_of(const NumberState& n, EntryLevel level) {
  return level == EntryLevel::deck ? n.deck : n.floor;
}

class Judge {
 public:
  Judge(Act act, const KnownNumber& number, const KnownNumbers& known, const BookState& state,
        std::uint32_t book)
      : act_(act),
        number_(number),
        row_(known.row(number)),
        state_(state),
        n_(state_of(state, number.floor)),
        book_(book) {}

  std::variant<ActNeeds, Refusal> judge() {
    switch (act_) {
      case Act::marked:
        if (auto no = not_live(number_.level == EntryLevel::deck)) return *no;
        out_.level = number_.level;
        out_.is_done = newest_thing(state_, number_.floor, number_.level) != nullptr;
        return out_;
      case Act::drilled:
        if (auto no = not_live(true)) return *no;
        out_.level = EntryLevel::deck;
        out_.is_done = !n_.holes.empty();
        return out_;
      case Act::filled:
        out_.level = EntryLevel::deck;
        out_.is_done = n_.holes.empty() && !n_.filled.empty();
        return n_.holes.empty() && !out_.is_done ? refused("no open hole") : about(n_.holes);
      case Act::cut:
      case Act::hung:
      case Act::taken_down:
        return rod();
      case Act::voided: {
        out_.level = number_.level;
        const auto& crosses = crosses_of(n_, number_.level);
        return crosses.empty() ? refused("no cross stands") : about(crosses);
      }
      default:
        return doubt();
    }
  }

 private:
  std::string name() const { return std::to_string(number_.typed); }
  std::variant<ActNeeds, Refusal> refused(const std::string& why) const {
    return Refusal{NoWord::act, name() + ": " + why};
  }
  std::optional<Refusal> not_live(bool needs_deck) const {
    if (!row_.live) return Refusal{NoWord::dropped, name() + " was dropped"};
    if (needs_deck && row_.deck.is_none()) return Refusal{NoWord::number, name() + " has no deck point"};
    return std::nullopt;
  }
  std::variant<ActNeeds, Refusal> about(const std::vector<BookThing>& things) {
    if (!things.empty()) out_.of = entry_of(state_, things.front().made, book_);
    return out_;
  }

  std::variant<ActNeeds, Refusal> rod() {
    using Kind = RodState::Kind;
    if (act_ == Act::cut) {
      if (auto no = not_live(false)) return *no;
      // A rod of another length is another rod.
      out_.is_done = n_.rod.kind != Kind::none && n_.rod.length == row_.cut;
      if (n_.rod.kind == Kind::hung && !out_.is_done) return refused("its rod hangs: taken-down first");
      return out_;
    }
    if (act_ == Act::taken_down)
      return n_.rod.kind == Kind::hung ? std::variant<ActNeeds, Refusal>(out_) : refused("no rod hangs");
    out_.is_done = n_.rod.kind == Kind::hung;
    return n_.rod.kind == Kind::none ? refused("its rod is not cut") : std::variant<ActNeeds, Refusal>(out_);
  }

  std::variant<ActNeeds, Refusal> doubt() {
    out_.level = number_.level;
    std::vector<const BookThing*> things;
    for (const BookThing& t : crosses_of(n_, number_.level)) things.push_back(&t);
    if (number_.level == EntryLevel::deck)
      for (const BookThing& t : n_.holes) things.push_back(&t);
    const BookThing* meant = nullptr;
    for (const BookThing* t : things)
      if ((act_ == Act::doubtful || state_.is_doubtful(*t)) && (!meant || t->made > meant->made)) meant = t;
    if (!meant) return refused(things.empty() ? "nothing stands" : "it is not doubtful");
    out_.is_done = act_ == Act::doubtful && meant->doubted.has_value();
    out_.of = entry_of(state_, meant->made, book_);
    return out_;
  }

  Act act_;
  const KnownNumber& number_;
  LedgerRow row_;
  const BookState& state_;
  const NumberState& n_;
  std::uint32_t book_;
  ActNeeds out_;
};

}  // namespace

EntryOf entry_of(const BookState& state, std::uint32_t row, std::uint32_t book) {
  EntryOf out;
  out.entry = state.entry(row).entry;
  out.in_this_book = state.rows()[row].book == book;
  if (!out.in_this_book) out.book = state.book_of(row).name();
  return out;
}

std::string entry_words(const EntryOf& of) {
  if (of.is_none()) return "-";
  return of.in_this_book ? std::to_string(of.entry) : std::string(of.book) + ":" + std::to_string(of.entry);
}

const BookThing* newest_thing(const BookState& state, std::uint32_t floor, EntryLevel level) {
  const NumberState& n = state_of(state, floor);
  const BookThing* out = nullptr;
  const auto look = [&out](const std::vector<BookThing>& things) {
    for (const BookThing& t : things)
      if (!out || t.made > out->made) out = &t;
  };
  look(crosses_of(n, level));
  if (level == EntryLevel::deck) look(n.holes);
  return out;
}

std::variant<ActNeeds, Refusal> needs_of(Act act, const KnownNumber& number, const KnownNumbers& known,
                                         const BookState& state, std::uint32_t book) {
  return Judge(act, number, known, state, book).judge();
}

}  // namespace deckmark
