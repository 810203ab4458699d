// SPDX-License-Identifier: Apache-2.0
// The places of all plates at once: between register (each on its own impression) and fit
// (even seams), as one sparse least-squares problem.
#ifndef TRUEPULL_PLACEMENT_BALANCE_H_
#define TRUEPULL_PLACEMENT_BALANCE_H_

#include <optional>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// One plate. Its move is told by its middle and its turn about it; a turn w counts as the
/// mean move of the outline that it causes, radius * w.
struct BalanceSite {
  Point middle;                  // Of the outline, tile frame.
  double radius_mm = 0;          // Root mean square distance of the outline from its middle.
  Pose start;                    // Where the search begins; the place itself when `held`.
  bool held = false;             // Stays at `start`.
  std::optional<Pose> impression;
  double register_weight = 0;    // 1: surely known; 0: not drawn to its impression.
  double register_turn_weight = 0;
  Pose anchor;                   // Where nothing else draws it: a weak pull, ...
  double anchor_weight = 0;      // ... in shares of a seam's.
  double limit_mm = 0;           // Neither the reference point nor the outline in the mean
                                 // goes further from the impression; 0: no limit.
};

/// A place of a seam: a point on each outline and what should lie between them.
struct BalanceSample {
  Point at_a, at_b;              // Tile frames.
  Point normal_a;                // Out of a, a's frame, unit.
  Point apart;                   // b's point minus a's as planned, a's frame.
};

struct BalanceSeam {
  std::size_t a = 0, b = 0;
  double weight = 1;
  std::vector<BalanceSample> samples;
};

struct BalanceProblem {
  std::vector<BalanceSite> sites;
  std::vector<BalanceSeam> seams;
  double favour = 0;             // 0 register, 1 fit.
  double slip = 0.01;            // What slip along a seam costs, in shares of a gap: so little
                                 // that it only settles what gaps leave open.
  double white = 3;              // What a gap costs beyond an overlap of like size, ...
  double white_from_mm = 0;      // ... as far as it is wider than this (the trap).
};

/// Least register weight at the fit end: what the seams leave open is settled by register.
inline constexpr double kLeastRegister = 1e-7;

struct BalanceResult {
  std::vector<Pose> places;
  std::vector<bool> at_limit;    // Held back by its limit.
  int steps = 0;                 // Linear systems solved.
  bool settled = true;           // No step of over 1e-9 mm was left.
};

/// Minimises, over the plates that are not held,
///
///   (1 - f) sum_i  v_i |d_i|^2 + u_i r_i^2 w_i^2          register
///   + f sum_k l_k mean_s [ n^2 + slip t^2 + white max(0, n - white_from)^2 ]    fit
///   + f sum_i anchor_i (...)                              what nothing else draws
///
/// d_i, w_i: move of the middle and turn from the impression; n, t: at each sample of a seam,
/// what lies between the two outlines beyond the plan, square to a's edge and along it; f the
/// favour (at 0, with all printed sites held, the fit's terms count whole for the others).
///
/// For small turns this is convex; turns are kept exact by linearising anew (Gauss-Newton) until
/// no step is over 1e-9 mm. The gap's extra cost is a matter of which samples gape (an active
/// set, with a step back where the cost would rise); limits by the method of multipliers
/// (J. Nocedal, S. J. Wright, Numerical Optimization, 2nd edition, 17.3). Each step factors one
/// sparse symmetric matrix (Eigen's simplicial LDL^T, minimum degree order).
BalanceResult Balance(const BalanceProblem& problem);

/// The cost above at given places: what the minimum is held against in tests.
double BalanceCost(const BalanceProblem& problem, const std::vector<Pose>& places);

}  // namespace truepull

#endif  // TRUEPULL_PLACEMENT_BALANCE_H_
