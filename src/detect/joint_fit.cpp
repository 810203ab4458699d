// SPDX-License-Identifier: Apache-2.0
#include "detect/joint_fit.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "detect/pose_system.h"
#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kFirstBlur = 0.4;     // mm; a step is looked for this softly at first.
constexpr double kFarBlur = 0.6;       // From another start.
// For comparing places a pull is held to its own typical levels, and what lies outside
// is looked at further: ink that belongs to nobody counts.
constexpr double kJudgePrior = 300, kJudgeOutwards = 2.2;

std::vector<std::size_t> Present(const std::vector<Pull>& pulls) {
  std::vector<std::size_t> use;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (pulls[i].present) use.push_back(i);
  }
  return use;
}

}  // namespace

PullEvidence JointFit::Look(const std::vector<Pull>& pulls, std::size_t i, const EvidenceOptions& options) const {
  return Weigh(sampler_, camera_, paper_, pulls, i, ink_, i < rough_.size() ? rough_[i] : 1.0, options);
}

void JointFit::Run(std::vector<Pull>& pulls, int rounds, bool coarse) {
  const std::vector<std::size_t> use = Present(pulls);
  std::vector<PullEvidence> evidence(pulls.size());
  for (int round = 0; round < rounds; ++round, ++rounds_done_) {
    EvidenceOptions options;
    options.sigma_mm = rounds_done_ == 0 ? kFirstBlur : ink_.sigma_mm;
    options.spacing = coarse ? Spacing::kCoarse : Spacing::kFine;
    cv::parallel_for_(cv::Range(0, static_cast<int>(use.size())), [&](const cv::Range& range) {
      for (int u = range.start; u < range.end; ++u) {
        const std::size_t i = use[static_cast<std::size_t>(u)];
        evidence[i] = Look(pulls, i, options);
      }
    });
    PoseSystemOptions system;
    system.growth_mm = ink_.growth_mm;
    system.growth_sd_mm = ink_.growth_sd_mm;
    system.covariance = !coarse && round + 1 == rounds;
    MovePulls(pulls, evidence, use, system);
    Learn(pulls, evidence, rounds_done_ == 0);
  }
}

Pull JointFit::Alone(const std::vector<Pull>& pulls, std::size_t i, bool far) const {
  std::vector<Pull> work = pulls;
  work[i].present = true;
  std::vector<PullEvidence> evidence(pulls.size());
  PoseSystemOptions system;
  system.growth_mm = ink_.growth_mm;
  system.growth_sd_mm = ink_.growth_sd_mm;
  for (int round = 0; round < (far ? 4 : 2); ++round) {
    EvidenceOptions options;
    options.sigma_mm = far && round < 2 ? kFarBlur : std::max(0.25, ink_.sigma_mm);
    options.spacing = far && round < 2 ? Spacing::kLoose : Spacing::kCoarse;
    evidence[i] = Look(work, i, options);
    MovePulls(work, evidence, {i}, system);
  }
  work[i].misfit = Misfit(work, i, Spacing::kCoarse);
  return work[i];
}

double JointFit::Misfit(const std::vector<Pull>& pulls, std::size_t i, Spacing spacing) const {
  EvidenceOptions judge;
  judge.sigma_mm = std::max(0.25, ink_.sigma_mm);
  judge.level_prior = kJudgePrior / SpacingMm(spacing);
  judge.outwards_mm = kJudgeOutwards;
  judge.spacing = spacing;
  judge.only_cost = true;
  return Look(pulls, i, judge).cost;
}

void JointFit::Learn(const std::vector<Pull>& pulls, const std::vector<PullEvidence>& evidence, bool rough) {
  rough_.resize(pulls.size(), 1.0);
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  double n = 0, top = 0, bottom = 0, bare_size = 0, bare_n = 0, grown = 0, grown_n = 0;
  std::array<double, DepthShare::kBins> share_top{}, share_bottom{};
  std::vector<PullLevels> levels(pulls.size());
  std::array<std::vector<double>, 3> edge, body;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (!pulls[i].present) continue;
    const PullEvidence& e = evidence[i];
    scatter += e.scatter;
    n += e.scatter_n;
    top += e.blur_top;
    bottom += e.blur_bottom;
    bare_size += e.bare_size;
    bare_n += e.bare_n;
    for (std::size_t b = 0; b < share_top.size(); ++b) share_top[b] += e.share_top[b], share_bottom[b] += e.share_bottom[b];
    // 500 readings' worth of prior that the pull is like the others.
    rough_[i] = std::clamp((e.own_size + 1500) / (3 * e.own_n + 1500), 0.3, 4.0);
    const double w = 1 / (pulls[i].spread_mm * pulls[i].spread_mm);
    grown += w * pulls[i].growth_mm;
    grown_n += w;
    levels[i] = e.levels;
    if (!levels[i].known) continue;
    for (int c = 0; c < 3; ++c) {
      edge[static_cast<std::size_t>(c)].push_back(levels[i].edge(c));
      body[static_cast<std::size_t>(c)].push_back(levels[i].body(c));
    }
  }
  // The scatter cannot be smaller than the camera and the paper's grain leave.
  if (n > 500) ink_.scatter = scatter / n + 0.0009 * Eigen::Matrix3d::Identity();
  if (bare_n > 200) ink_.bare = std::clamp(bare_size / (3 * bare_n), 0.03, 1.0);
  for (std::size_t b = 0; b < share_top.size(); ++b) {
    if (share_bottom[b] > 200) ink_.share.share[b] = std::clamp(share_top[b] / share_bottom[b], -0.3, 1.3);
  }
  if (!rough && bottom > 0) ink_.sigma_mm = std::clamp(ink_.sigma_mm + std::clamp(top / bottom, -0.08, 0.08), 0.08, 0.4);
  // Pressure and ink make all outlines grow alike.
  if (grown_n > 0) {
    ink_.growth_mm = grown / grown_n;
    ink_.growth_sd_mm = 0.015;
  }
  // Whoever could not show its own levels takes the sheet's.
  if (!edge[0].empty()) {
    PullLevels common;
    for (int c = 0; c < 3; ++c) {
      common.edge(c) = Median(edge[static_cast<std::size_t>(c)]);
      common.body(c) = Median(body[static_cast<std::size_t>(c)]);
    }
    for (PullLevels& l : levels) {
      if (!l.known) l = common;
    }
  }
  ink_.levels = std::move(levels);
}

}  // namespace truepull::detect
