#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "job/read_baseline.h"
#include "table/seal.h"

namespace deckmark {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view kExpected = "a file that deckmark baseline --sign wrote, unchanged";

/// Takes values out of the parsed file; one that is missing or of another kind spoils it all.
class SignedReader {
 public:
  explicit SignedReader(const JobValue& root) : root_(root) {}

  std::string text(std::string_view section, std::string_view key) {
    return take(section, key, JobValue::Kind::text).text;
  }
  /// A key that earlier versions did not write.
  std::string text_if_there(std::string_view section, std::string_view key) const {
    const JobValue* value = find(section, key);
    return value && value->kind == JobValue::Kind::text ? value->text : "";
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
  /// None in files of earlier versions.
  std::vector<KeptControl> control() {
    std::vector<KeptControl> out;
    const JobValue* list = root_.member("control");
    if (!list) return out;
    for (const JobValue& c : list->items) {
      const JobValue* point = c.member("point");
      if (!point || point->kind != JobValue::Kind::text) return spoil(std::vector<KeptControl>());
      const auto length = [&](std::string_view key) {
        return Kept::of(Length::metres(number_of(c.member(key))));
      };
      out.push_back({point->text,
                     {length("northing"), length("easting")},
                     c.member("elevation") ? length("elevation") : Kept::none()});
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
  out.standing = in.text_if_there("signed", "standing");
  out.ties_file = in.text("signed", "ties");
  out.ties_sha256 = in.text("signed", "ties_sha256");
  out.for_file = in.text_if_there("signed", "for");
  out.storey = in.text_if_there("signed", "storey");
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
  out.control = in.control();
  return out;
}

/// Whether a matrix can be a covariance: symmetric, no variance below zero, no correlation beyond one.
bool is_covariance(const std::array<std::array<double, 4>, 4>& c) {
  constexpr double kRounding = 1e-6;  // of printed figures
  for (std::size_t i = 0; i < c.size(); ++i)
    for (std::size_t j = 0; j < c.size(); ++j) {
      const double most = std::sqrt(std::max(c[i][i], 0.0)) * std::sqrt(std::max(c[j][j], 0.0));
      if (c[i][i] < 0 || std::abs(c[i][j]) > most * (1 + kRounding)) return false;
      if (std::abs(c[i][j] - c[j][i]) > most * kRounding) return false;
    }
  return true;
}

/// Whether the figures can have come out of a fit. A scale is 1 unless it was free; a building drawn to
/// another scale than 1:2 to 2:1 of the site is none (common practice, no source).
bool is_possible_fit(const SignedBaselines& fit) {
  constexpr double kMostScale = 2, kSameScale = 1e-9;
  const auto near_by = [](Length l) { return abs(l) <= Length::metres(1e9); };
  if (!(fit.scale >= 1 / kMostScale && fit.scale <= kMostScale)) return false;
  if (!fit.scale_free && std::abs(fit.scale - 1) > kSameScale) return false;
  const auto& d = fit.drawing_centre.at;
  const auto& s = fit.site_centre.at;
  if (!near_by(d.x) || !near_by(d.y) || !near_by(s.northing) || !near_by(s.easting)) return false;
  for (const SignedTie& t : fit.ties) {
    if (!near_by(t.found) || t.redundancy < -1e-6 || t.redundancy > 1 + 1e-6) return false;
    if (t.at && (!near_by(t.at->at.northing) || !near_by(t.at->at.easting))) return false;
    if (t.residual_sd && (*t.residual_sd < Length::metres(0) || !near_by(*t.residual_sd))) return false;
  }
  return is_covariance(fit.covariance);
}

/// Why a text is not the one that was signed, and what to do about it; nothing where it is.
std::optional<Fault> fault_of(SealState state) {
  const auto fault = [](std::string_view found, std::string_view suggestion) {
    return Fault{std::string(found), std::string(kExpected), std::string(suggestion)};
  };
  constexpr std::string_view kAgain =
      "getting the file again from whoever signed it, packed if it goes by mail";
  switch (state) {
    case SealState::whole:
      return std::nullopt;
    case SealState::line_ends:
      return fault("line ends that were changed after it was signed, perhaps by mail", kAgain);
    case SealState::reflowed:
      return fault("lines that were broken, quoted or given blanks after it was signed, perhaps by mail",
                   kAgain);
    case SealState::added_to:
      return fault("text behind the seal, which nobody signed", kAgain);
    case SealState::changed:
      return fault("a text that does not fit its seal: it was changed after it was signed", kAgain);
    case SealState::not_sealed:
      break;
  }
  return fault("a file without all that is signed: no seal ends it",
               "getting the whole file from whoever signed it");
}

/// The last parts of a path, as many as another has, all of them names.
bool ends_with(const fs::path& path, const fs::path& names) {
  auto from_end = path.end();
  for (auto at = names.end(); at != names.begin();) {
    if (*--at == ".." || from_end == path.begin() || *--from_end != *at) return false;
  }
  return true;
}

/// Whether the file that names a fit is the one that it was signed for: it lies where it lay as seen from the
/// signed file, or in a folder of the same name, where the signed file was moved.
bool is_signed_for(const std::string& stated, const fs::path& naming, const fs::path& signed_file) {
  if (stated.empty() || stated == path_from(signed_file, naming)) return true;
  std::error_code bad;
  const fs::path names(stated);
  return names.has_parent_path() && ends_with(fs::weakly_canonical(fs::absolute(naming, bad), bad), names);
}

/// Refuses a fit that was signed for another file, or for another storey with the same file's name.
std::optional<Fault> of_another(const SignedBaselines& fit, const Job& job, const TableKey& key,
                                const std::string& signed_file) {
  const std::string& naming = key.place.file;
  const bool by_job = naming == job.file;
  std::string other;
  if (!is_signed_for(fit.for_file, job.folder / naming, job.folder / signed_file))
    other = (fs::path(signed_file).parent_path() / fit.for_file).lexically_normal().string();
  else if (by_job && !fit.storey.empty() && !job.storey.empty() && fit.storey != job.storey)
    other = fit.storey;
  else
    return std::nullopt;
  return Fault{
      fmt::format("{}, which was signed for {}", in_quotes(key.path), other),
      fmt::format("a fit that was signed for {}; one for all storeys is signed with ties in the site file",
                  naming),
      "deckmark baseline --sign FILE --by TEXT --on DATE without this key"};
}

}  // namespace

std::string path_from(const fs::path& file, const fs::path& to) {
  std::error_code bad;
  const auto whole = [&bad](const fs::path& path) {
    return fs::weakly_canonical(fs::absolute(path, bad), bad);
  };
  return whole(to).lexically_relative(whole(file).parent_path()).generic_string();
}

void read_signed(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  if (!key.columns.empty() || !key.renames.empty())
    messages.problem(key.place, key.key,
                     Fault{fmt::format("{} of a signed file", key.columns.empty() ? "rename" : "columns"),
                           "the path of the file alone: it is no table", in_quotes(key.path)});
  const auto source = tables.fetch(key, "a signed file");
  if (!source) return;
  job.checks.signed_file = source->name();
  // The seal first: what a mail did to the text is told as such, not as faults of its lines.
  const auto refuse = [&](const Fault& fault) {
    messages.problem(Where::whole(source->name()), "file", fault);
  };
  if (const auto fault = fault_of(seal_state(source->text()))) return refuse(*fault);
  const auto root = parse_job_file(source, messages);
  if (!root) return;
  SignedReader in(*root);
  SignedBaselines fit = taken(in);
  if (!in.is_whole())
    return refuse(Fault{"a file without all that is signed", std::string(kExpected),
                        "deckmark baseline --sign FILE --by TEXT --on DATE"});
  if (!is_possible_fit(fit))
    return refuse(Fault{"figures that no fit gives: a scale, a place or a covariance that cannot be",
                        std::string(kExpected), "deckmark baseline --sign FILE --by TEXT --on DATE"});
  if (fit.mirrored != job.mirrored) {
    messages.problem(
        job.named.signed_fit.at, "baselines.signed",
        Fault{fmt::format("baselines signed with mirrored = {}, a job with {}", fit.mirrored, job.mirrored),
              "one hand", fmt::format("mirrored = {} under [drawing]", fit.mirrored)});
    return;
  }
  if (const auto fault = of_another(fit, job, key, source->name()))
    return messages.problem(key.place, key.key, *fault);
  fit.of_this_storey = key.place.file == job.file || fit.storey == job.storey;
  job.checks.signed_fit = fit;
}

}  // namespace deckmark
