#include <fmt/format.h>

#include <cmath>

#include "job/read_baseline.h"
#include "table/digest.h"

namespace deckmark {

namespace {

constexpr std::string_view kSeal = "[seal]\n";
constexpr std::string_view kExpected = "a file that deckmark baseline --sign wrote, unchanged";

/// Takes values out of the parsed file; one that is missing or of another kind spoils it all.
class SignedReader {
 public:
  explicit SignedReader(const JobValue& root) : root_(root) {}

  std::string text(std::string_view section, std::string_view key) {
    return take(section, key, JobValue::Kind::text).text;
  }
  bool flag(std::string_view section, std::string_view key) {
    return take(section, key, JobValue::Kind::flag).flag;
  }
  double number(std::string_view section, std::string_view key) { return number_of(find(section, key)); }
  std::array<std::array<double, 4>, 4> square(std::string_view section, std::string_view key) {
    std::array<std::array<double, 4>, 4> out{};
    const JobValue* rows = find(section, key);
    if (!rows || rows->items.size() != out.size()) return spoil(out);
    for (std::size_t i = 0; i < out.size(); ++i) {
      if (rows->items[i].items.size() != out.size()) return spoil(out);
      for (std::size_t j = 0; j < out.size(); ++j) out[i][j] = number_of(&rows->items[i].items[j]);
    }
    return out;
  }
  std::vector<SignedTie> ties() {
    std::vector<SignedTie> out;
    const JobValue* list = root_.member("tie");
    if (!list) return out;
    for (const JobValue& tie : list->items) {
      const JobValue *mark = tie.member("mark"), *axis = tie.member("axis");
      if (!mark || !axis) return spoil(std::vector<SignedTie>());
      SignedTie t{mark->text,
                  axis->text == "x",
                  Length::metres(number_of(tie.member("found"))),
                  number_of(tie.member("redundancy")),
                  std::nullopt,
                  std::nullopt};
      if (tie.member("northing"))
        t.at = Point<Site>{{.northing = Length::metres(number_of(tie.member("northing"))),
                            .easting = Length::metres(number_of(tie.member("easting")))}};
      if (const JobValue* sd = tie.member("residual_sd")) t.residual_sd = Length::metres(number_of(sd));
      out.push_back(std::move(t));
    }
    return out;
  }
  bool is_whole() const { return whole_; }

 private:
  template <class Value>
  Value spoil(Value value) {
    whole_ = false;
    return value;
  }
  const JobValue* find(std::string_view section, std::string_view key) const {
    const JobValue* s = root_.member(section);
    return s ? s->member(key) : nullptr;
  }
  const JobValue& take(std::string_view section, std::string_view key, JobValue::Kind kind) {
    static const JobValue none;
    const JobValue* value = find(section, key);
    if (value && value->kind == kind) return *value;
    whole_ = false;
    return none;
  }
  double number_of(const JobValue* value) {
    if (!value) return spoil(0.0);
    if (value->kind == JobValue::Kind::whole) return static_cast<double>(value->whole);
    if (value->kind == JobValue::Kind::real && std::isfinite(value->real)) return value->real;
    return spoil(0.0);
  }

  const JobValue& root_;
  bool whole_ = true;
};

SignedBaselines taken(SignedReader& in) {
  SignedBaselines out;
  out.title = in.text("signed", "title");
  out.revision = in.text("signed", "revision");
  out.by = in.text("signed", "by");
  out.on = in.text("signed", "on");
  out.accepted_outside = in.text("signed", "accepted_outside");
  out.ties_file = in.text("signed", "ties");
  out.ties_sha256 = in.text("signed", "ties_sha256");
  out.held = in.text("fit", "held");
  out.scale_free = in.flag("fit", "scale_free");
  out.mirrored = in.flag("fit", "mirrored");
  out.drawing_centre = {{.x = Length::metres(in.number("fit", "drawing_x")),
                         .y = Length::metres(in.number("fit", "drawing_y"))}};
  out.site_centre = {{.northing = Length::metres(in.number("fit", "northing")),
                      .easting = Length::metres(in.number("fit", "easting"))}};
  out.azimuth_x = Azimuth::degrees(in.number("fit", "azimuth_x"));
  out.scale = in.number("fit", "scale");
  out.covariance = in.square("fit", "covariance");
  out.ties = in.ties();
  return out;
}

}  // namespace

void read_signed(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  const auto source = tables.fetch(key, "a signed file");
  if (!source) return;
  job.checks.signed_file = key.path;
  const auto root = parse_job_file(source, messages);
  if (!root) return;
  const auto refuse = [&](std::string found, std::string suggestion) {
    messages.problem(Where::whole(source->name()), "file",
                     Fault{std::move(found), std::string(kExpected), std::move(suggestion)});
  };
  SignedReader in(*root);
  const SignedBaselines fit = taken(in);
  const std::string seal = in.text("seal", "sha256");
  const std::size_t at = source->text().rfind(kSeal);
  if (!in.is_whole() || at == std::string_view::npos || !(fit.scale > 0))
    return refuse("a file without all that is signed", "deckmark baseline --sign FILE --by TEXT --on DATE");
  if (sha256_hex(source->text().substr(0, at)) != seal)
    return refuse("a text that does not fit its seal: it was changed after it was signed",
                  "the file as it was signed");
  if (fit.mirrored != job.mirrored) {
    messages.problem(
        job.keys["baselines.signed"], "baselines.signed",
        Fault{fmt::format("baselines signed with mirrored = {}, a job with {}", fit.mirrored, job.mirrored),
              "one hand", fmt::format("mirrored = {} under [drawing]", fit.mirrored)});
    return;
  }
  job.checks.signed_fit = fit;
}

}  // namespace deckmark
