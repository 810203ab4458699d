// SPDX-License-Identifier: Apache-2.0
// Fits all pulls of a sheet at once, in colour: the last and finest stage.
//
// Along each normal of an outline the light of channel c is modelled as
//   L_c(t) = p_c prod_i (1 - a_i(t) (1 - r_ic(d_i(t)))),
// p bare paper, i this pull and the neighbours within reach, d_i the depth below pull
// i's own edge, a_i = Phi(d_i / sigma) its cover (a step blurred by one sigma for the
// whole sheet) and ln r_i(d) = body + s(d) (edge - body): a drawn or rubbed edge and the
// body behind it, with the profile s(d) common to all pulls. The levels p, edge and body
// are local, over a few mm along the edge.
//
// Every normal then tells how far its own edge and the nearest neighbour's edge lie from
// where the poses put them: two shifts e with information A (2 x 2) from the residuals,
// whitened by the scatter of the ink (mottling moves all channels together and so hides
// little of a change of hue). Printed edges are ragged by s: cov(e) = A^-1 + s^2 I. All
// poses follow from one sparse system over the sheet, so that the covariance of a pull
// includes what is not known of its neighbours. Where both inks are alike A is singular
// (only the sum, the gap or overlap, shows); nothing is inverted that may be singular.
#ifndef TRUEPULL_SRC_DETECT_JOINT_FIT_H_
#define TRUEPULL_SRC_DETECT_JOINT_FIT_H_

#include <vector>

#include "detect/edge_evidence.h"
#include "detect/edge_fit.h"
#include "detect/paper_light.h"
#include "truepull/camera.h"

namespace truepull::detect {

class JointFit {
 public:
  JointFit(const Photo& photo, const SheetCamera& camera, const PaperLight& paper)
      : sampler_(photo.bgr), camera_(camera), paper_(paper) {}

  /// Moves every pull that is present to where all edges together put it, learns from
  /// the sheet, and fills in spread, growth and covariance (joint; of the fit alone).
  /// coarse: normals every 1 mm instead of every 0.5, for rounds that others follow.
  void Run(std::vector<Pull>& pulls, int rounds, bool coarse = false);

  /// Fits pull i alone from its present pose, the others staying where they are, and
  /// sets its `misfit`: twice the cost per independent reading, for comparing places.
  Pull Alone(const std::vector<Pull>& pulls, std::size_t i, bool far) const;

  /// How ill pull i is explained where it lies, as Alone has it; from fewer normals, roughly.
  double Misfit(const std::vector<Pull>& pulls, std::size_t i, Spacing spacing = Spacing::kLoose) const;

  const SheetInk& ink() const { return ink_; }

 private:
  PullEvidence Look(const std::vector<Pull>& pulls, std::size_t i, const EvidenceOptions& options) const;
  void Learn(const std::vector<Pull>& pulls, const std::vector<PullEvidence>& evidence, bool rough);

  PhotoSampler sampler_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
  SheetInk ink_;
  std::vector<double> rough_;          // Each pull's scatter beside the sheet's.
  int rounds_done_ = 0;
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_JOINT_FIT_H_
