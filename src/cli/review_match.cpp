// SPDX-License-Identifier: Apache-2.0
// Which photos show one sheet: twice the same, or a later pass of it.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "cli/review_job.h"
#include "truepull/same_sheet.h"

namespace truepull {

void FindSameFiles(std::vector<ReviewItem>& items) {
  std::map<std::string, std::size_t> seen;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (!items[i].reason.empty() || items[i].key.empty()) continue;
    const auto [before, fresh] = seen.emplace(items[i].key, i);
    if (!fresh) items[i].reason = fmt::format("is the same file as {}", items[before->second].shown);
  }
}

void FindSameSheets(std::vector<ReviewItem>& items) {
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].reason.empty() && items[i].reading) used.push_back(i);
  }
  std::vector<double> differences;
  for (std::size_t a = 0; a < used.size(); ++a) {
    for (std::size_t b = a + 1; b < used.size() && differences.size() < 5000; ++b) {
      const double d = CompareSheets(*items[used[a]].reading, *items[used[b]].reading, 0).difference_mm;
      if (d >= 0) differences.push_back(d);
    }
  }
  double usual = 0;
  if (differences.size() >= 3) {
    std::sort(differences.begin(), differences.end());
    usual = differences[differences.size() * 3 / 4];
  }
  const auto unsure = [&](std::size_t i) {
    double sum = 0;
    for (const SiteReading& s : items[i].reading->sheet.sites) sum += s.state == SiteState::kMissing ? 1 : s.covariance[0] + s.covariance[4];
    return sum;
  };
  for (std::size_t a = 0; a < used.size(); ++a) {
    for (std::size_t b = a + 1; b < used.size(); ++b) {
      ReviewItem &p = items[used[a]], &q = items[used[b]];
      if (!p.reason.empty() || !q.reason.empty() || p.pass != q.pass) continue;
      if (!p.entry.code.empty() && !q.entry.code.empty()) continue;  // The printer says that they are two.
      if (!CompareSheets(*p.reading, *q.reading, usual).same) continue;
      ReviewItem& worse = unsure(used[b]) < unsure(used[a]) ? p : q;
      const ReviewItem& better = &worse == &p ? q : p;
      worse.reason = fmt::format("shows the same sheet as {}, which is measured better", better.shown);
    }
  }
}

std::vector<std::size_t> MatchLaterPasses(std::vector<ReviewItem>& items) {
  std::vector<std::size_t> anew, later;
  for (std::size_t i = 0; i < items.size(); ++i) {
    ReviewItem& item = items[i];
    if (!item.reading || !item.reason.empty() || item.is_reading) continue;
    if (item.pass == "first" && item.entry.pass.empty() && item.card.pass == 0) {
      const std::string seen = PassByColour(*item.reading);
      if (!seen.empty() && seen != "first") item.pass = item.pass_wanted = seen, anew.push_back(i);
    }
    if (item.pass != "first" && item.entry.code.empty() && CodeOfCard(item.card).empty()) later.push_back(i);
  }
  for (const std::size_t i : later) {
    ReviewItem& item = items[i];
    std::vector<const Reading*> firsts;
    std::vector<std::size_t> of;
    for (std::size_t k = 0; k < items.size(); ++k) {
      const ReviewItem& other = items[k];
      if (!other.reading || !other.reason.empty() || other.pass != "first" || other.plan_name != item.plan_name) continue;
      firsts.push_back(&*other.reading), of.push_back(k);
    }
    if (firsts.empty()) continue;   // Nothing to match with: it goes by its name.
    const SheetMatch match = MatchSheet(*item.reading, firsts);
    if (match.found) {
      item.same_as = of[match.sheet];
    } else {
      item.reason = fmt::format("shows the pass {}, and which sheet it is cannot be told: lay its card beside it, or give its code in edition.yaml", item.pass);
    }
  }
  std::erase_if(anew, [&](std::size_t i) { return !items[i].reason.empty(); });
  return anew;
}

}  // namespace truepull
