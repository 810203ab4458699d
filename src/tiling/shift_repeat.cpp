// SPDX-License-Identifier: Apache-2.0
// Beauquier and Nivat's criterion for a polygon with real coordinates.
//
// Let H be half the length of the outline. In A B C A' B' C' the middle m of A and m + H of
// A' are opposite, and A is maximal: it cannot be made longer the same way at both ends
// (S. Brlek, X. Provencal, J.-M. Fedou, "On the tiling by translation problem", Discrete
// Appl. Math. 157 (2009)). So each end of A lies opposite a corner, or at one. Laying the
// corners and the corners moved by H over one another cuts [0, H) into O(n) intervals, in
// each of which m lies on one edge e and m + H on one edge f: if they run against each
// other, m can only be the middle of e or of f, or be such that the far corners of e and f
// meet. Only one stretch of the three can be free of corners at both ends' own side (the
// sliding rows of a brick pattern); it is found as what the two others leave.
#include <algorithm>
#include <cmath>

#include "tiling/repeats.h"

namespace truepull::tiling {
namespace {

struct Stretch {
  double from = 0;
  double length = 0;
};

// The maximal stretch about m that a shift carries onto the one about m + H, if it is
// equally long on both sides of m.
std::optional<Stretch> StretchAbout(const Boundary& b, double m) {
  const double half = b.length() / 2;
  const double after = b.Agree(m, 1, m + half, -1, 1, half / 2);
  if (after <= b.place_tolerance()) return std::nullopt;
  const double before = b.Agree(m, -1, m + half, 1, 1, half / 2);
  if (std::abs(after - before) > b.place_tolerance()) return std::nullopt;
  const double reach = std::min(after, before);
  return Stretch{b.Wrap(m - reach), 2 * reach};
}

std::vector<Stretch> OppositeStretches(const Boundary& b) {
  const double half = b.length() / 2;
  std::vector<double> cuts;
  for (std::size_t i = 0; i < b.size(); ++i) cuts.push_back(std::fmod(b.CornerPlace(i), half));
  std::sort(cuts.begin(), cuts.end());
  cuts.erase(std::unique(cuts.begin(), cuts.end(),
                         [&](double x, double y) { return y - x <= b.place_tolerance(); }),
             cuts.end());
  std::vector<double> middles = cuts;
  for (std::size_t k = 0; k < cuts.size(); ++k) {
    const double lo = cuts[k], hi = k + 1 < cuts.size() ? cuts[k + 1] : cuts[0] + half;
    const double inside = (lo + hi) / 2;
    const std::size_t e = b.EdgeFrom(inside, 1), f = b.EdgeFrom(inside + half, 1);
    if (Dot(b.Direction(e), b.Direction(f)) > -0.9) continue;
    // Places on e and f in the run of `inside`, whatever the wrap.
    const double e0 = inside - b.Wrap(inside - b.CornerPlace(e)), e1 = e0 + b.EdgeLength(e);
    const double f0 = inside - b.Wrap(inside + half - b.CornerPlace(f)),
                 f1 = f0 + b.EdgeLength(f);
    for (const double m : {(e0 + e1) / 2, (f0 + f1) / 2, (e1 + f0) / 2, (e0 + f1) / 2}) {
      if (m > lo + b.place_tolerance() && m < hi - b.place_tolerance()) middles.push_back(m);
    }
  }
  std::sort(middles.begin(), middles.end());
  middles.erase(
      std::unique(middles.begin(), middles.end(),
                  [&](double x, double y) { return y - x <= b.place_tolerance() / 4; }),
      middles.end());
  std::vector<Stretch> found;
  for (const double m : middles) {
    if (const auto s = StretchAbout(b, m)) {
      found.push_back(*s);
      found.push_back({b.Wrap(s->from + half), s->length});
    }
  }
  std::sort(found.begin(), found.end(),
            [](const Stretch& x, const Stretch& y) { return x.from < y.from; });
  return found;
}

}  // namespace

Meeting ShiftMeeting(const Boundary& b, double from, double to, double partner_from,
                     double partner_to) {
  Meeting m;
  m.from_mm = b.GivenPlace(from);
  m.to_mm = b.GivenPlace(to);
  m.partner_from_mm = b.GivenPlace(partner_from);
  m.partner_to_mm = b.GivenPlace(partner_to);
  m.shift = b.At(partner_to) - b.At(from);
  return m;
}

double StepsSize(const LatticeSteps& steps) {
  return Dot(steps.across, steps.across) + Dot(steps.down, steps.down);
}

std::optional<Repeat> FindShiftRepeat(const Boundary& b, double area_mm2) {
  const double half = b.length() / 2;
  const double tolerance = 2 * b.place_tolerance();
  const std::vector<Stretch> stretches = OppositeStretches(b);
  std::optional<Repeat> best;
  double best_size = 0;
  const auto offer = [&](double p0, double p1, double p2) {
    const Point u = b.At(p1 + half) - b.At(p0), v = b.At(p2 + half) - b.At(p1);
    const LatticeSteps steps = OrientSteps(ReduceSteps({u, v}));
    const double cell = std::abs(Cross(steps.across, steps.down));
    // The theorem says so; rounding must not make it untrue.
    if (std::abs(cell - area_mm2) > b.exact() * b.length()) return;
    const double size = StepsSize(steps);
    if (best && size >= best_size - 1e-9 * best_size) return;
    best_size = size;
    best = Repeat{};
    best->steps = steps;
    best->meetings.push_back(ShiftMeeting(b, p0, p1, p0 + half, p1 + half));
    best->meetings.push_back(ShiftMeeting(b, p1, p2, p1 + half, p2 + half));
    if (p0 + half - p2 > tolerance) {
      best->meetings.push_back(ShiftMeeting(b, p2, p0 + half, p2 + half, p0 + 2 * half));
    }
  };
  for (const Stretch& x : stretches) {
    const double p0 = x.from, p1 = x.from + x.length;
    // Stretches that start where x ends; on the ring that may be past the end of the list.
    const double want = b.Wrap(p1);
    for (const double shift : {0.0, -b.length(), b.length()}) {
      auto y = std::lower_bound(stretches.begin(), stretches.end(), want + shift - tolerance,
                                [](const Stretch& s, double at) { return s.from < at; });
      for (; y != stretches.end() && y->from <= want + shift + tolerance; ++y) {
        const double p2 = p1 + y->length, left = half - x.length - y->length;
        if (left < -tolerance) continue;
        if (left > tolerance) {
          if (b.Agree(p2, 1, p0 + 2 * half, -1, 1, left) < left - tolerance) continue;
        }
        offer(p0, p1, p2);
      }
    }
  }
  return best;
}

}  // namespace truepull::tiling
