// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "truepull/drift.h"

namespace truepull {
namespace {

constexpr double kTukey = 5.12;        // 95 % as good as least squares in two dimensions.
constexpr double kLeastCutMm = 0.02;   // No block is cut better.

double VarianceOf(const SiteDrift& d) { return 0.5 * (d.covariance[0] + d.covariance[4]); }

void Fit(BlockPose& block, const std::vector<SiteDrift>& sites) {
  std::vector<const SiteDrift*> seen;
  for (const std::size_t i : block.sites) {
    if (sites[i].state != SiteState::kMissing) seen.push_back(&sites[i]);
  }
  block.pulls = static_cast<int>(seen.size());
  if (seen.empty()) return;
  block.centre = {};
  for (const SiteDrift* d : seen) block.centre = block.centre + (1.0 / block.pulls) * d->ideal.at;
  block.has_turn = seen.size() > 1;
  block.has_cut = seen.size() > 2;
  if (!block.has_turn) block.turn_rad = seen[0]->turn_rad;
  const int unknowns = block.has_turn ? 3 : 2;
  double cut2 = kLeastCutMm * kLeastCutMm;
  std::vector<double> robust(seen.size(), 1.0);
  Eigen::MatrixXd normal;
  for (int round = 0; round < 30; ++round) {
    normal = Eigen::MatrixXd::Zero(unknowns, unknowns);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(unknowns);
    for (std::size_t k = 0; k < seen.size(); ++k) {
      const SiteDrift& d = *seen[k];
      const Point arm = Rotation(block.turn_rad) * (d.ideal.at - block.centre);
      const Point left = d.found.at - block.centre - block.shift - arm;
      const double w = robust[k] / (VarianceOf(d) + cut2);
      Eigen::MatrixXd j = Eigen::MatrixXd::Zero(2, unknowns);
      j(0, 0) = j(1, 1) = 1;
      if (block.has_turn) j(0, 2) = -arm.y, j(1, 2) = arm.x;
      normal += w * j.transpose() * j;
      right += w * j.transpose() * Eigen::Vector2d(left.x, left.y);
    }
    const Eigen::VectorXd step = normal.ldlt().solve(right);
    block.shift = block.shift + Point{step(0), step(1)};
    if (block.has_turn) block.turn_rad += step(2);
    double squares = 0, variances = 0, weights = 0;
    for (std::size_t k = 0; k < seen.size(); ++k) {
      const SiteDrift& d = *seen[k];
      const Point left = d.found.at - block.centre - block.shift - Rotation(block.turn_rad) * (d.ideal.at - block.centre);
      const double u = Norm(left) / (kTukey * std::sqrt(VarianceOf(d) + cut2));
      // Weights only once the spread is known, lest the first guess throw everything out.
      robust[k] = round < 5 ? 1 : u < 1 ? (1 - u * u) * (1 - u * u) : 0;
      squares += robust[k] * Dot(left, left), variances += robust[k] * VarianceOf(d), weights += robust[k];
    }
    const double freedom = 2 * weights - unknowns;
    if (block.has_cut && freedom > 1) cut2 = std::max(kLeastCutMm * kLeastCutMm, squares / freedom - variances / std::max(1e-9, weights));
  }
  const Eigen::MatrixXd covariance = normal.inverse();
  block.sd_shift_mm = std::sqrt(0.5 * (covariance(0, 0) + covariance(1, 1)));
  block.sd_turn_rad = block.has_turn ? std::sqrt(covariance(2, 2)) : std::sqrt(seen[0]->covariance[8]);
  block.cut_sd_mm = block.has_cut && cut2 > kLeastCutMm * kLeastCutMm ? std::sqrt(cut2) : 0;
}

}  // namespace

void FitBlocks(const Plan& plan, const Pass& pass, DriftReport& report) {
  if (pass.plate == PassPlate::kTile || !report.sheet_part) return;
  const bool whole = pass.plate == PassPlate::kSheet;
  const int all_rows = plan.lattice.rows, all_columns = FileColumns(plan.lattice);
  const int rows = whole ? all_rows : pass.block_rows, columns = whole ? all_columns : pass.block_columns;
  if (rows < 1 || columns < 1) return;
  const int across = (all_columns + columns - 1) / columns;
  report.blocks.assign(static_cast<std::size_t>(across * ((all_rows + rows - 1) / rows)), {});
  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const Site site = report.sites[i].site;
    BlockPose& block = report.blocks[static_cast<std::size_t>(site.row / rows * across + site.column / columns)];
    if (block.sites.empty()) block.first = site;
    block.last = {std::max(block.last.row, site.row), std::max(block.last.column, site.column)};
    block.sites.push_back(i);
  }
  report.beyond_hand = 0;
  report.has_hand_sd = false;
  report.hand_sd_mm = report.hand_sd_turn_rad = report.hand_habit_turn_rad = 0;
  for (BlockPose& block : report.blocks) {
    Fit(block, report.sites);
    for (const std::size_t i : block.sites) {
      SiteDrift& d = report.sites[i];
      if (d.state == SiteState::kMissing) continue;
      const Point put = block.centre + block.shift + Rotation(block.turn_rad) * (d.ideal.at - block.centre);
      d.cut_shift = d.found.at - put;
      d.cut_turn_rad = WrapTurn(d.turn_rad - block.turn_rad);
      d.hand_shift = put - ApplySheetPart(*report.sheet_part, d.ideal.at);
      d.hand_turn_rad = WrapTurn(block.turn_rad - report.sheet_part->turn_rad);
      d.beyond_hand = Norm(d.hand_shift) > plan.tolerance.shift_mm || std::abs(d.hand_turn_rad) > plan.tolerance.turn_rad;
      report.beyond_hand += d.beyond_hand ? 1 : 0;
      if (Norm(d.cut_shift) >= block.worst_mm) block.worst_mm = Norm(d.cut_shift), block.worst = d.site;
    }
  }
}

}  // namespace truepull
