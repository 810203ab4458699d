// SPDX-License-Identifier: Apache-2.0
#include "detect/second_look.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <opencv2/core/utility.hpp>

namespace truepull::detect {
namespace {

constexpr double kBandWidth = 2.2;   // mm: a drawn edge; one off is the usual false lock.
// Readings hang together over some 10 mm of edge, so an outline of 200 mm says about as
// much as 40 independent ones: misfit counts as 40 / 2 ln(misfit) in log likelihood.
constexpr double kEvidence = 20;

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

}  // namespace

EdgeFitOptions WideFit() {
  EdgeFitOptions wide;
  wide.window_mm = 2.7;
  wide.step_mm = 0.3;
  wide.sigma_mm = 0.35;
  wide.coarse = true;
  wide.dark = 0.3;
  return wide;
}

EdgeFitOptions JudgeFit() {
  EdgeFitOptions judge;
  judge.dark = 1;
  judge.coarse = true;
  judge.only_judge = true;
  return judge;
}

EdgeFitOptions FineFit() { return {}; }

int LookAgain(const EdgeFit& fit, Explain& judge, std::vector<Pull>& pulls, const std::vector<Pose>& expected,
              const std::vector<std::vector<Candidate>>& candidates) {
  const SmoothDrift smooth = FitSmoothDrift(pulls, expected);
  const Doubt ordinary = Ordinary(pulls);
  std::vector<std::size_t> doubtful;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    const Pull& p = pulls[i];
    if (p.present && (p.spread_mm > 1.5 * ordinary.spread_mm + 0.02 || p.misfit > 2 * ordinary.misfit ||
                      smooth.Off(p.pose, expected[i]) > 2.2)) {
      doubtful.push_back(i);
    }
  }
  judge.Learn(pulls);
  const EdgeFitOptions wide = WideFit(), fine = FineFit(), only_judge = JudgeFit();
  std::vector<Pull> better = pulls;
  cv::parallel_for_(cv::Range(0, static_cast<int>(doubtful.size())), [&](const cv::Range& range) {
    for (int d = range.start; d < range.end; ++d) {
      const std::size_t i = doubtful[static_cast<std::size_t>(d)];
      std::vector<Pose> starts{pulls[i].pose};
      const auto add = [&](const Pose& p) {
        const bool near = std::any_of(starts.begin(), starts.end(), [&](const Pose& s) {
          return Norm(s.at - p.at) < 0.8 && std::abs(WrapTurn(s.turn_rad - p.turn_rad)) < 0.03;
        });
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
        return 0.5 * kEvidence * std::log(std::max(1e-9, p.misfit * judge.Misfit(pulls, i, p.pose))) + 0.5 * off * off;
      };
      // First roughly from everywhere, then finely from where that led.
      struct Attempt {
        Pull pull;
        double value;
      };
      std::vector<Attempt> rough;
      const EdgeFitOptions two[] = {wide, wide, only_judge};
      for (const Pose& s : starts) {
        const Pull p = fit.Try(pulls, i, s, two);
        const bool seen = std::any_of(rough.begin(), rough.end(), [&](const Attempt& q) {
          return Norm(q.pull.pose.at - p.pose.at) < 0.4 && std::abs(WrapTurn(q.pull.pose.turn_rad - p.pose.turn_rad)) < 0.02;
        });
        if (!seen) rough.push_back({p, value(p)});
      }
      std::sort(rough.begin(), rough.end(), [](const Attempt& a, const Attempt& b) { return a.value < b.value; });
      if (rough.size() > 3) rough.resize(3);
      const EdgeFitOptions three[] = {wide, fine, fine, only_judge};
      double best = 0;
      bool any = false;
      for (const Attempt& r : rough) {
        const Pull p = fit.Try(pulls, i, r.pull.pose, three);
        const double v = value(p);

        if (!any || v < best) {
          best = v;
          better[i] = p;
          any = true;
        }
      }
    }
  });
  int changed = 0;
  for (const std::size_t i : doubtful) changed += Norm(better[i].pose.at - pulls[i].pose.at) > 0.3 ? 1 : 0;
  pulls = std::move(better);
  return changed;
}

}  // namespace truepull::detect
