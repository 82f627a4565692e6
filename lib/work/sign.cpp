#include "work/sign.h"

#include <fmt/format.h>

#include "exporter/new_file.h"
#include "report/signed_text.h"
#include "report/text.h"
#include "table/seal.h"
#include "work/computation.h"
#include "work/job_texts.h"
#include "work/outputs.h"
#include "work/typed.h"

namespace deckmark {

namespace {

void look_at_typed(const SignRequest& sign, Messages& messages) {
  is_typed_text("--by", sign.by, "who signs", "--by \"name, firm\"", messages);
  is_typed_date("--on", sign.on, "the date of signing", messages);
  if (!sign.accept_outside.empty())
    is_typed_text("--accept-outside", sign.accept_outside, "a reason", "", messages);
}

/// The file whose fit it is: the one that names the ties, or the fit that is signed already.
const std::string& belongs_to(const Job& job) {
  const Written& key = job.named.signed_fit.written ? static_cast<const Written&>(job.named.signed_fit)
                                                    : static_cast<const Written&>(job.named.ties);
  return key.at.file;
}

/// `accepted`: the verdict on the job, where a reason was needed for it; else empty.
SignedText head_of(const Job& job, const SignRequest& sign, std::string_view accepted,
                   std::string_view program) {
  SignedText t;
  t.program = program;
  t.title = job.title;
  t.revision = job.revision;
  t.storey = job.storey;
  t.by = sign.by;
  t.on = sign.on;
  t.for_file = path_from(sign.file, job.folder / belongs_to(job));
  if (!accepted.empty()) t.accepted_outside = sign.accept_outside;
  t.standing = accepted;
  return t;
}

/// The signed fit of the job for the revision that it has now.
std::string again_body(const Job& job, const SignRequest& sign, std::string_view accepted,
                       std::string_view program) {
  const SignedBaselines& before = *job.checks.signed_fit;
  SignedText t = head_of(job, sign, accepted, program);
  if (accepted.empty()) {
    t.accepted_outside = before.accepted_outside;
    t.standing = before.standing;
  }
  t.ties_file = before.ties_file;
  t.ties_sha256 = before.ties_sha256;
  t.before = fmt::format("by {} on {} for revision {}", before.by, before.on,
                         before.revision.empty() ? "(none)" : before.revision);
  const auto source =
      std::ranges::find(job.inputs, job.checks.signed_file, [](const auto& s) { return s->name(); });
  return signed_again(t, before_seal((*source)->text()));
}

SignedText text_of(const Computation& computed, const SignRequest& sign, std::string_view accepted,
                   std::string_view program) {
  const Job& job = computed.job;
  const Placed& placed = *computed.placed.get();
  const Checked* checked = computed.checked.get();
  SignedText t = head_of(job, sign, accepted, program);
  t.ties_file = job.ties_table.table->source()->name();
  t.ties_sha256 = job.ties_table.table->source()->sha256();
  t.fit = &*placed.baseline;
  for (const NamedTie& tie : computed.views.baselines.ties) {
    t.marks.push_back(tie.name);
    t.places.push_back(tie.tie.at);
  }
  const auto row = [&](std::string check, std::string from, std::string to, std::optional<Length> deviation,
                       Length permitted, Verdict verdict, LimitSource source) {
    t.checks.push_back({std::move(check), std::move(from), std::move(to), std::string(verdict_word(verdict)),
                        std::string(limit_source_text(source)), deviation, permitted});
  };
  if (const SquarenessResult* s = squareness_of(&placed, checked))
    row("square", "", "", s->deviation_over, s->limit.permitted, s->verdict, s->limit.source);
  for (std::size_t i = 0; checked && i < checked->lengths.size(); ++i) {
    const LengthCheck& c = checked->lengths[i];
    row("length", job.checks.lengths[i].from, job.checks.lengths[i].to, c.deviation, c.limit.permitted,
        c.verdict, c.limit.source);
  }
  for (std::size_t i = 0; checked && i < checked->dimensions.size(); ++i) {
    const DimensionCheck& c = checked->dimensions[i];
    row("dimension", job.checks.dimensions[i].from, job.checks.dimensions[i].to, c.deviation, c.permitted,
        c.verdict, LimitSource::dimension_tolerance);
  }
  t.control = kept_control(job.control);
  for (const auto& source : job.inputs) t.inputs.emplace_back(source->name(), source->sha256());
  return t;
}

/// What stands under the name.
enum class There : std::uint8_t { nothing, the_same, another };

/// Problem: another file, or what cannot be read.
There look_at(const std::filesystem::path& file, const std::string& bytes, Messages& messages) {
  const auto read = read_source(file, file.string());
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    if (bad->reason == kNoSuchFile) return There::nothing;
    messages.problem(
        Where{}, "--sign",
        Fault{fmt::format("{}: {}", in_quotes(file.string()), bad->reason), "the name of a new file", ""});
    return There::another;
  }
  if (std::get<0>(read)->text() == bytes) return There::the_same;
  messages.problem(Where{}, "--sign",
                   Fault{fmt::format("{}, which exists and holds something else", in_quotes(file.string())),
                         "a new name: what was signed is not replaced", ""});
  return There::another;
}

/// Writes the file unless something has its name, whoever else signs at the same moment.
There write_signed(const std::filesystem::path& file, const std::string& bytes, Messages& messages) {
  There there = look_at(file, bytes, messages);
  if (there != There::nothing || write_new_file(file, bytes)) return there;
  there = look_at(file, bytes, messages);
  if (there != There::nothing) return there;
  messages.problem(Where{}, "--sign",
                   Fault{fmt::format("{}, a link that leads to no file", in_quotes(file.string())),
                         "the name of a new file", ""});
  return There::another;
}

/// Whether the job stands so that its baselines are signed as asked. Problem: nothing checks them all and no
/// reason is given. Doubt: a reason for nothing.
bool is_signable(const Standing& s, const SignRequest& sign, Messages& messages) {
  const bool ready = s.line.starts_with(kReady), reason = !sign.accept_outside.empty();
  if (ready && reason)
    messages.doubt("a reason without need", Where{}, "--accept-outside",
                   "all is within and checked: the reason is not needed, and not kept in the signed file");
  if (ready || reason) return true;
  if (!s.outside)
    messages.problem(
        Where{}, "--accept-outside",
        Fault{fmt::format("nothing, where the job says {}", s.line), "why it is signed all the same",
              "--accept-outside REASON, or a tie, length or sight that checks it"});
  return false;
}

/// Whether there is a signed fit, where one is signed again, and none where a new one is.
void look_at_fit(const Job& job, bool again, Messages& messages) {
  if (job.checks.signed_fit && !again)
    messages.problem(
        job.named.signed_fit.at, "baselines.signed",
        Fault{"a fit that is signed already",
              "a job without this key to sign a new fit; --again signs this one for a new revision",
              "taking the key out"});
  else if (!job.checks.signed_fit && again && !job.named.signed_fit.written)
    messages.problem(Where::whole(job.file), "baselines.signed",
                     Fault{"no signed fit to sign again", "signed = \"...\" under [baselines]",
                           "--sign FILE without --again, for a new fit"});
}

/// Ties that lie elsewhere now: the fit that was signed is no longer that of the building.
void refuse_moved(const Computation& c, Messages& messages) {
  const Placed* placed = c.placed.get();
  if (!placed || !placed->today || !placed->today->moved) return;
  messages.problem(c.job.ties_table.table->whole(), "baselines",
                   Fault{"ties that lie shifted or turned against the signed fit by more than chance",
                         "ties that agree with the fit that is signed again",
                         "measuring them again, or signing a new fit without the key signed"});
}

}  // namespace

JobOutcome sign_baselines(const JobRequest& request, const SignRequest& sign, std::string_view program,
                          Messages& messages, bool& refused) {
  refused = false;
  look_at_typed(sign, messages);
  Job read;
  PartMessages told;
  read_job(request.job, read, told);
  look_at_fit(read, sign.again, messages);
  if (!sign.again && !told.any() && !read.checks.signed_fit && !read.ties_table.table)
    messages.problem(
        Where::whole(read.file), "baselines.ties",
        Fault{"no ties", "ties that the baselines are fitted to", "ties = \"ties.csv\" under [baselines]"});
  Computation c(std::move(read), std::move(told), Need::marks);
  messages.merge(c.take_told(whole_job()));
  const Job& job = c.job;
  if (!messages.has_problems())
    if (const auto use = use_of(job, sign.out, sign.file))
      messages.problem(Where{}, "--sign",
                       Fault{fmt::format("{}, {}", in_quotes(sign.file.string()), *use),
                             "the name of a new file", "--sign signed.toml"});
  if (sign.again && !messages.has_problems()) refuse_moved(c, messages);
  if (messages.has_problems()) return ended_with_problems();
  const Standing s = c.standing();
  JobOutcome outcome = outcome_of(s);
  if (!is_signable(s, sign, messages)) {
    refused = !messages.has_problems();
    return outcome;
  }
  const std::string verdict = s.line.starts_with(kReady) ? "" : s.line;
  const std::string bytes = sealed(sign.again ? again_body(job, sign, verdict, program)
                                              : signed_body(text_of(c, sign, verdict, program)));
  const There there = write_signed(sign.file, bytes, messages);
  if (there == There::another) return ended_with_problems();
  if (there == There::the_same) {
    outcome.text = fmt::format("signed already by {} on {}, the same to the last figure: {}\n",
                               visible(sign.by), visible(sign.on), visible(sign.file.string()));
    return outcome;
  }
  outcome.text =
      fmt::format("signed by {} on {}: {}\nto use it: signed = \"...\" under [baselines], its path from {}\n",
                  visible(sign.by), visible(sign.on), visible(sign.file.string()),
                  belongs_to(job) == job.file ? "the job file" : visible(belongs_to(job)));
  return outcome;
}

}  // namespace deckmark
