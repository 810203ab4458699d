// SPDX-License-Identifier: Apache-2.0
#include "detect/second_look.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

namespace truepull::detect {
namespace {

constexpr double kBandWidth = 2.2;   // mm: a drawn edge; one off is the usual false lock.
// Readings hang together over some 10 mm of edge: an outline of 200 mm says about as much
// as 20 independent ones.
constexpr double kEvidence = 20;

constexpr double kApart = 0.8, kTurnedApart = 0.03;   // mm, rad; places nearer than that are one.
constexpr double kNearlyWon = 4;     // In ln likelihood: one in fifty.
constexpr std::size_t kMostOthers = 2;

bool Near(const Pose& a, const Pose& b, double mm, double rad) {
  return Norm(a.at - b.at) < mm && std::abs(WrapTurn(a.turn_rad - b.turn_rad)) < rad;
}

struct Doubt {
  double spread_mm, misfit;   // What a third of the pulls stay under.
};

Doubt Ordinary(const std::vector<Pull>& pulls) {
  std::vector<double> spread, misfit;
  for (const Pull& p : pulls) {
    if (!p.present) continue;
    spread.push_back(p.spread_mm);
    misfit.push_back(p.misfit);
  }
  if (spread.empty()) return {0, 0};
  std::sort(spread.begin(), spread.end());
  std::sort(misfit.begin(), misfit.end());
  return {spread[spread.size() / 3], misfit[misfit.size() / 3]};
}

struct Attempt {
  Pull pull;
  double value;   // Minus log likelihood, up to a constant.
};

// Second moment, about the best end, of all ends weighed by their likelihood.
PoseCovariance DoubtOf(const Attempt& best, const std::vector<Attempt>& ends) {
  PoseCovariance doubt{};
  double total = 0;
  for (const Attempt& e : ends) {
    const double w = std::exp(best.value - e.value);
    const double d[3] = {e.pull.pose.at.x - best.pull.pose.at.x, e.pull.pose.at.y - best.pull.pose.at.y,
                         WrapTurn(e.pull.pose.turn_rad - best.pull.pose.turn_rad)};
    total += w;
    for (std::size_t r = 0; r < 3; ++r) {
      for (std::size_t c = 0; c < 3; ++c) doubt[3 * r + c] += w * d[r] * d[c];
    }
  }
  for (double& v : doubt) v /= total;
  return doubt;
}

}  // namespace

EdgeFitOptions WideFit() {
  EdgeFitOptions wide;
  wide.window_mm = 2.7;
  wide.step_mm = 0.3;
  wide.sigma_mm = 0.35;
  wide.spacing = Spacing::kCoarse;
  wide.dark = 0.3;
  return wide;
}

EdgeFitOptions JudgeFit() {
  EdgeFitOptions judge;
  judge.dark = 1;
  judge.spacing = Spacing::kCoarse;
  judge.only_judge = true;
  return judge;
}

EdgeFitOptions FineFit() { return {}; }

EdgeFitOptions QuickFit() {
  EdgeFitOptions quick;
  quick.spacing = Spacing::kCoarse;
  return quick;
}

int LookAgain(const EdgeFit& fit, const JointFit& joint, std::vector<Pull>& pulls, const std::vector<Pose>& expected,
              const std::vector<std::vector<Candidate>>& candidates, std::vector<char>& look) {
  const SmoothDrift smooth = FitSmoothDrift(pulls, expected);
  const Doubt ordinary = Ordinary(pulls);
  std::vector<std::size_t> doubtful;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    const Pull& p = pulls[i];
    if (p.present && look[i] && (p.spread_mm > 1.4 * ordinary.spread_mm + 0.01 || p.misfit > ordinary.misfit + 1.3 ||
                      smooth.Off(p.pose, expected[i]) > 2.2)) {
      doubtful.push_back(i);
    }
  }
  EdgeFitOptions wide = WideFit();
  wide.spacing = Spacing::kLoose;
  std::vector<Pull> better = pulls;
  cv::parallel_for_(cv::Range(0, static_cast<int>(doubtful.size())), [&](const cv::Range& range) {
    for (int d = range.start; d < range.end; ++d) {
      const std::size_t i = doubtful[static_cast<std::size_t>(d)];
      std::vector<Pose> starts{pulls[i].pose};
      const auto add = [&](const Pose& p) {
        const bool near = std::any_of(starts.begin(), starts.end(), [&](const Pose& s) { return Near(s, p, kApart, kTurnedApart); });
        if (!near && smooth.Off(p, expected[i]) < 6) starts.push_back(p);
      };
      add(smooth.Predict(expected[i]));
      for (const Candidate& c : candidates[i]) add(c.pose);
      for (const double y : {-kBandWidth, 0.0, kBandWidth}) {
        for (const double x : {-kBandWidth, 0.0, kBandWidth}) {
          add({pulls[i].pose.at + Point{x, y}, pulls[i].pose.turn_rad});
        }
      }
      const auto value = [&](const Pull& p) {
        const double off = smooth.Off(p.pose, expected[i]);
        return 0.5 * kEvidence * p.misfit + 0.5 * off * off;
      };
      // First roughly from everywhere, then finely from where that led.
      std::vector<Attempt> rough, ends;
      const EdgeFitOptions two[] = {wide, wide};
      std::vector<Pull> work = pulls;
      for (const Pose& s : starts) {
        work[i] = fit.Try(pulls, i, s, two);
        const bool seen = std::any_of(rough.begin(), rough.end(), [&](const Attempt& q) { return Near(q.pull.pose, work[i].pose, 0.4, 0.02); });
        if (seen) continue;
        work[i].misfit = joint.Misfit(work, i);
        rough.push_back({work[i], value(work[i])});
      }
      std::sort(rough.begin(), rough.end(), [](const Attempt& a, const Attempt& b) { return a.value < b.value; });
      work[i] = pulls[i];
      std::vector<Pull> from;
      for (const Attempt& r : rough) {
        // What lies near one already chosen would only end there too.
        const bool near = std::any_of(from.begin(), from.end(), [&](const Pull& q) { return Near(q.pose, r.pull.pose, kApart, kTurnedApart); });
        if (!near) from.push_back(r.pull);
        if (from.size() == 4) break;
      }
      // A place that nearly won before is looked at again.
      for (const Pose& other : pulls[i].others) {
        from.push_back(pulls[i]);
        from.back().pose = other;
      }
      ends.push_back({joint.Alone(work, i, false), 0});
      ends.back().value = value(ends.back().pull);
      for (const Pull& f : from) {
        work[i] = f;
        const Pull p = joint.Alone(work, i, true);
        const Attempt end{p, value(p)};
        const auto same = std::find_if(ends.begin(), ends.end(), [&](const Attempt& q) { return Near(q.pull.pose, p.pose, 0.5 * kApart, kTurnedApart); });
        if (same == ends.end()) {
          ends.push_back(end);
        } else if (end.value < same->value) {
          *same = end;
        }
      }
      const auto best = std::min_element(ends.begin(), ends.end(), [](const Attempt& a, const Attempt& b) {
        return a.value < b.value;
      });
      better[i] = best->pull;
      better[i].doubt = DoubtOf(*best, ends);
      better[i].others.clear();
      const double won = best->value;
      std::sort(ends.begin(), ends.end(), [](const Attempt& a, const Attempt& b) { return a.value < b.value; });
      for (std::size_t e = 1; e < ends.size() && e <= kMostOthers && ends[e].value < won + kNearlyWon; ++e) {
        better[i].others.push_back(ends[e].pull.pose);
      }
    }
  });
  // Only a pull that changed, and what lies round it, is worth another look.
  int changed = 0;
  std::fill(look.begin(), look.end(), 0);
  for (const std::size_t i : doubtful) {
    if (Norm(better[i].pose.at - pulls[i].pose.at) < 0.3) continue;
    ++changed;
    for (std::size_t k = 0; k < pulls.size(); ++k) {
      if (Norm(pulls[k].pose.at - better[i].pose.at) < pulls[k].shape->radius + pulls[i].shape->radius + 3) look[k] = 1;
    }
  }
  pulls = std::move(better);
  return changed;
}

}  // namespace truepull::detect
