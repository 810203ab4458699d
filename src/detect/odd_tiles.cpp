// SPDX-License-Identifier: Apache-2.0
#include "detect/odd_tiles.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "detect/second_look.h"
#include "geometry/median.h"

namespace truepull::detect {
namespace {

// The search on the map round where the pull was looked for, either way.
constexpr double kReachMm = 7.5, kGridMm = 1.5;
constexpr double kTurns[] = {0, -0.07, 0.07, -0.14, 0.14};

// What makes a pull worth the question: hardly any of its edge agrees with the planned
// outline. Of ordinary pulls three quarters and more agree, of pale ones less.
constexpr double kLittleEvidence = 0.25, kRaisedMisfit = 1.2;
// What makes the answer sure. On thirty odd sheets wrong ways reached 0.15 of evidence,
// right ones of full pulls 0.27 and more.
constexpr double kSureEvidence = 0.2, kClearlyBetter = 0.5, kOrdinaryMisfit = 2;
constexpr double kFullEvidence = 0.5, kBetter = 0.7;   // With most of an edge, less will do.
// Score on the map, of the usual one, and of the planned way's own there: right ways
// reached 1.03 and 1.9 times.
constexpr double kLikeOthers = 0.85, kLikedMore = 1.4;
// A pull that the planned way cannot explain at all.
constexpr double kHopeless = 4, kOverwhelming = 0.28;

// Where a plate is put down the other way: its middle stays where the planned one's is.
Pose PutDown(const PlateShape& planned, const OtherWay& way, const Pose& pose) {
  const Point middle = Apply(pose, Centroid(planned.outline));
  const double turn = WrapTurn(pose.turn_rad + way.turn_rad);
  return {middle - Rotation(turn) * Centroid(way.shape->outline), turn};
}

Candidate BestNear(const OutlineScore& score, const PlateShape& shape, const Pose& middle) {
  Candidate best{middle, -1e9};
  for (const double t : kTurns) {
    for (double y = -kReachMm; y <= kReachMm; y += kGridMm) {
      for (double x = -kReachMm; x <= kReachMm; x += kGridMm) {
        const Pose pose{middle.at + Point{x, y}, WrapTurn(middle.turn_rad + t)};
        const double s = score.At(shape, pose);
        if (s > best.score) best = {pose, s};
      }
    }
  }
  return score.Climb(shape, best.pose);
}

struct Answer {
  bool odd = false;
  OtherWay way;
  Candidate candidate;
  Pull pull;
  double product = 1e9;
};

}  // namespace

std::vector<OddTile> FindOddTiles(const OutlineScore& score, const EdgeFit& fit, Explain& judge,
                                  const OtherWays& ways, std::vector<Pull>& pulls, std::vector<Pose>& expected,
                                  std::vector<std::vector<Candidate>>& candidates) {
  fit.Sweep(pulls, JudgeFit());
  std::vector<double> own(pulls.size(), 0), all_own, all_misfit;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (!pulls[i].present) continue;
    own[i] = score.At(*pulls[i].shape, pulls[i].pose);
    all_own.push_back(own[i]);
    all_misfit.push_back(pulls[i].misfit);
  }
  const double usual = Median(all_own), usual_misfit = Median(all_misfit);
  std::vector<std::size_t> asked;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    const Pull& p = pulls[i];
    if (p.present && p.evidence < kLittleEvidence && p.misfit > kRaisedMisfit * usual_misfit &&
        !ways.Of(p.shape).empty()) {
      asked.push_back(i);
    }
  }
  if (asked.empty()) return {};
  judge.Learn(pulls);
  std::vector<Answer> answers(asked.size());
  cv::parallel_for_(cv::Range(0, static_cast<int>(asked.size())), [&](const cv::Range& range) {
    for (int a = range.start; a < range.end; ++a) {
      const std::size_t i = asked[static_cast<std::size_t>(a)];
      const bool hopeless = pulls[i].misfit > kHopeless * usual_misfit;
      std::vector<std::pair<Candidate, const OtherWay*>> tries;
      for (const OtherWay& way : ways.Of(pulls[i].shape)) {
        tries.emplace_back(BestNear(score, *way.shape, PutDown(*pulls[i].shape, way, expected[i])), &way);
      }
      std::sort(tries.begin(), tries.end(), [](const auto& x, const auto& y) { return x.first.score > y.first.score; });
      // Among touching neighbours the map can prefer a wrong way; a hopeless pull is worth them all.
      if (tries.size() > 2 && !hopeless) tries.resize(2);
      // The planned way from its own best places too: a bad lock is no wrong way.
      double mine = pulls[i].misfit * judge.Misfit(pulls, i, pulls[i].pose);
      double own_evidence = pulls[i].evidence;
      const EdgeFitOptions planned[] = {WideFit(), WideFit(), QuickFit(), QuickFit(), JudgeFit()};
      const auto again_as_planned = [&] {
        std::vector<Candidate> starts{{expected[i], 0}, BestNear(score, *pulls[i].shape, expected[i])};
        for (const Candidate& c : candidates[i]) starts.push_back(c);
        for (const Candidate& c : starts) {
          const Pull p = fit.Try(pulls, i, c.pose, planned);
          mine = std::min(mine, p.misfit * judge.Misfit(pulls, i, p.pose));
          own_evidence = std::max(own_evidence, p.evidence);
        }
      };
      bool tried_planned = false;
      Answer& best = answers[static_cast<std::size_t>(a)];
      std::vector<Pull> with = pulls;
      for (const auto& [candidate, way] : tries) {
        const bool liked = candidate.score > kLikeOthers * usual && candidate.score > kLikedMore * own[i];
        if (!liked && !hopeless) continue;
        if (!tried_planned) again_as_planned();
        tried_planned = true;
        with[i].shape = way->shape;
        const EdgeFitOptions rounds[] = {WideFit(), WideFit(), QuickFit(), QuickFit(), JudgeFit()};
        const Pull p = fit.Try(with, i, candidate.pose, rounds);
        const double product = p.misfit * judge.Misfit(with, i, p.pose);
        if (product >= best.product) continue;
        const bool sure = liked && p.evidence > kSureEvidence && p.evidence > 2 * own_evidence &&
                          p.misfit < kOrdinaryMisfit * usual_misfit &&
                          product < (p.evidence > kFullEvidence ? kBetter : kClearlyBetter) * mine;
        best = {sure || (hopeless && product < kOverwhelming * mine), *way, candidate, p, product};
      }
    }
  });
  std::vector<OddTile> odd;
  for (std::size_t a = 0; a < asked.size(); ++a) {
    if (!answers[a].odd) continue;
    const std::size_t i = asked[a];
    expected[i] = PutDown(*pulls[i].shape, answers[a].way, expected[i]);
    candidates[i] = {answers[a].candidate};
    pulls[i] = answers[a].pull;
    odd.push_back({i, answers[a].way});
  }
  return odd;
}

}  // namespace truepull::detect
