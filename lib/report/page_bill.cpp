// Parts on the page: which runs cannot begin, and what is short.
#include <fmt/format.h>

#include <algorithm>

#include "report/page_parts.h"

namespace deckmark {

namespace {

constexpr std::size_t kRows = 60;

void left_out(Markup& m, std::size_t all) {
  if (all > kRows) paragraph(m, fmt::format("{} more in short.csv.", all - kRows), "class=\"told\"");
}

void stuck_runs(Markup& m, const BillWords& bill) {
  open_table(m, {"run", "lacks"});
  for (std::size_t i = 0; i < bill.stuck.size() && i < kRows; ++i) {
    m.open("tr");
    name_cell(m, bill.stuck[i].run);
    text_cell(m, bill.stuck[i].lacks);
    m.close().line();
  }
  if (!bill.loose_lacks.empty()) {
    m.open("tr").element("td", "hangers of no run");
    text_cell(m, bill.loose_lacks);
    m.close().line();
  }
  close_table(m);
  left_out(m, bill.stuck.size());
}

void short_parts(Markup& m, const BillWords& bill) {
  const auto count = [&m](const std::optional<std::int64_t>& n) {
    number_cell(m, n ? fmt::format("{}", *n) : "-");
  };
  open_table(m, {"part", "#drawing", "#bill", "#arrived", "#damaged", "#short"});
  std::size_t all = 0;
  for (const BillLine& p : bill.parts) {
    if (p.short_by == 0 || ++all > kRows) continue;
    m.open("tr");
    name_cell(m, p.part);
    count(p.drawing), count(p.bill), count(p.arrived), count(p.damaged), count(p.short_by);
    m.close().line();
  }
  close_table(m);
  left_out(m, all);
}

}  // namespace

void bill_section(Markup& m, const JobPage& page) {
  if (!page.bill) return;
  const BillWords& bill = *page.bill;
  open_section(m, "Parts");
  const std::string_view by = bill.says_what_arrived ? "" : ", by the bill: nothing says what arrived";
  if (bill.runs > 0)
    paragraph(m, bill.stuck.empty() ? fmt::format("No run lacks a part{}.", by)
                                    : fmt::format("{} of {} runs cannot begin for want of parts{}.",
                                                  bill.stuck.size(), bill.runs, by));
  if (!bill.stuck.empty() || !bill.loose_lacks.empty()) stuck_runs(m, bill);
  if (std::ranges::any_of(bill.parts, [](const BillLine& p) { return p.short_by > 0; })) short_parts(m, bill);
  m.close().line();
}

}  // namespace deckmark
