// SPDX-License-Identifier: Apache-2.0
// What the steps of a review hand on to each other.
#ifndef TRUEPULL_EDITION_REVIEWER_H_
#define TRUEPULL_EDITION_REVIEWER_H_

#include <map>
#include <string>
#include <vector>

#include "edition/growth.h"
#include "edition/sheet_fit.h"
#include "edition/sheet_looks.h"
#include "truepull/edition.h"

namespace truepull {

/// Does a review step by step; `out` holds the sheets and gets all that is found.
class Reviewer {
 public:
  explicit Reviewer(EditionReview& out) : out_(out), t_(out.settings.thresholds), fits_(out.sheets.size()), growth_(out.sheets.size()) {}
  void Run();

 private:
  using Group = std::vector<std::size_t>;  // Indices of sheets.

  // review.cpp
  void Measure();
  std::map<std::string, Group> Groups(bool by_paper) const;  // Good sheets of one plan and pass (and paper), in order of printing.
  std::string GroupWords(const std::map<std::string, Group>& groups, const Group& group) const;  // Empty where there is only one.
  bool Good(std::size_t i) const { return !out_.reviews[i].photo.too_poor && out_.reviews[i].drift.sheet_part.has_value(); }
  const Plan& PlanOf(std::size_t i) const { return out_.sheets[i].reading.plan; }
  EditionPaper PaperOf(std::size_t i) const;
  void JudgePaper(const std::string& name, const Group& group);

  // review_faults.cpp: what is the plate's and the block's, and what is left.
  void FindFaults(const Group& group);
  void FindPlates(const Plan& plan, int plate, const Group& group, const std::vector<SheetFit>& fits, int plan_group);
  bool BlockAt(int plan_group, Site site) const;
  std::vector<PlateFault> PlatesOf(std::size_t i) const;
  DriftReport WithoutPlates(std::size_t i) const;
  void TakeOutFaults();

  // review_sheets.cpp: each sheet by itself and beside the others.
  void JudgeSheet(std::size_t i);
  void Compare();
  void Passes();
  std::string Better(std::size_t i) const;

  // review_sum.cpp: what concerns them all.
  void Sum();

  EditionReview& out_;
  const ReviewThresholds& t_;
  std::vector<SheetFit> fits_;
  std::vector<SheetGrowth> growth_;
  std::vector<SheetLooks> looks_;
  std::vector<char> from_start_;
};

}  // namespace truepull

#endif  // TRUEPULL_EDITION_REVIEWER_H_
