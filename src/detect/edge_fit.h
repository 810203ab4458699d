// SPDX-License-Identifier: Apache-2.0
// Fits every pull's outline to the printed edge in the photo, neighbours together.
//
// Along each normal of an outline the light is modelled as
//   y(t) = p (1 - a(t) (1 - r)) (1 - b(t) (1 - q)),
// p bare paper (about 1), a(t) this pull's own cover, b(t) its neighbours' cover at their
// present poses, r and q the inks' own light: where both lie, inks multiply. Covers are
// steps blurred by one sigma for the whole sheet. Levels are local, over a few mm.
// The shift of the own edge that explains the profile best, with its variance, goes into
// a robust fit of the pose; tiles are swept until they settle.
#ifndef TRUEPULL_SRC_DETECT_EDGE_FIT_H_
#define TRUEPULL_SRC_DETECT_EDGE_FIT_H_

#include <array>
#include <vector>

#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/camera.h"
#include "truepull/geometry.h"

namespace truepull::detect {

/// One pull while it is being fitted.
struct Pull {
  const PlateShape* shape = nullptr;
  Pose pose;
  bool present = false;
  double growth_mm = 0;
  double repeat = 8;               // Samples along the edge that count as one.
  // Results of the last fit.
  PoseCovariance covariance{};     // Of the fit alone.
  double spread_mm = 0;            // Robust spread of edge shifts about the fit.
  double evidence = 0;             // Share of the outline that carried weight.
  double moved_mm = 0;             // By the last sweep, at the outline.
  PoseCovariance doubt{};          // Of other places that explain the light nearly as well.
  std::vector<Pose> others;        // Those places.
  double misfit = 0;               // Mean squared light that the model leaves, at the fit, or JointFit's.
  // How far the printed edge lies outside the fitted, grown outline at each of its samples,
  // mm; NaN where it was not seen. Of fine sweeps only, those thrown out by the fit included.
  std::vector<float> edge_out_mm;
};

struct EdgeFitOptions {
  double window_mm = 1.8;          // Profile reach either way.
  double step_mm = 0.2;
  double sigma_mm = 0.22;          // Blur of a step.
  double dark = 0.012;             // Readings are compared as ln(light + dark).
  double cap = 4;                  // Largest squared difference that counts.
  bool only_judge = false;         // Leave the pose; only `misfit` is wanted.
  Spacing spacing = Spacing::kFine;   // Of the samples along the edge.
  double growth_mean_mm = 0.05;    // Prior of the common growth.
  double growth_sd_mm = 0.05;
};

/// Where a printed edge lies outside the outline, mm; of a large variance: not to be seen.
struct EdgeOffset {
  double mm = 0;
  double variance = 1e6;
};

class EdgeFit {
 public:
  EdgeFit(const Photo& photo, const SheetCamera& camera, const PaperLight& paper)
      : photo_(photo), camera_(camera), paper_(paper) {}

  /// One sweep over all pulls that are present: each is fitted against its neighbours'
  /// poses as they were when the sweep began, so the order does not matter.
  void Sweep(std::vector<Pull>& pulls, const EdgeFitOptions& options) const;

  /// Fits pull i alone from another start, the others staying where they are: one round
  /// for each of `rounds`.
  Pull Try(const std::vector<Pull>& pulls, std::size_t i, const Pose& start,
           std::span<const EdgeFitOptions> rounds) const;

  /// The edge of pull i at every sample of its outline (grown as the pull is), nothing
  /// being fitted.
  std::vector<EdgeOffset> Offsets(const std::vector<Pull>& pulls, std::size_t i,
                                  const EdgeFitOptions& options) const;

 private:
  const Photo& photo_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_EDGE_FIT_H_
