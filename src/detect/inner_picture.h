// SPDX-License-Identifier: Apache-2.0
// The plate's inside as evidence of place: carved lines, scratches, places that do not print, the
// same on every pull.
//
// Each pull's density on a grid of its tile's frame (at least 3.5 mm inside the outline), less its
// own local mean over some 3 mm and over its own full density, is laid on the mean T of the other
// pulls. With s and w the small move and turn that carry the one onto the other, k x = (-y, x),
//   n(x) = g T(x) - grad T (s + w k x) + rest,
// solved by least squares (Huber's weights), repeated, T being made anew from the moved pulls. The
// covariance is that of the least squares times the rest's own correlation over the plane, and times
// what the differences from the edges' places show it to be short of. The place is joined with the
// edge's by their information. The mean picture says nothing of where the plate's outline lies about
// it: the mean difference of all pulls is left to the edges.
//
// Lines that print dark on one pull and bare on another are turned about before they are meant.
//
// Crayon, whose strokes fall elsewhere on each pull, has no such picture: where the pulls do not
// resemble their mean (correlation under 0.55), nothing is done.
#ifndef TRUEPULL_SRC_DETECT_INNER_PICTURE_H_
#define TRUEPULL_SRC_DETECT_INNER_PICTURE_H_

#include <vector>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/camera.h"

namespace truepull::detect {

class InnerPictures {
 public:
  InnerPictures(const Photo& photo, const SheetCamera& camera, const PaperLight& paper, const std::vector<PlateShape>& shapes)
      : sampler_(photo.bgr), camera_(camera), paper_(paper), shapes_(shapes) {}

  /// Puts pulls that do not resemble their plate's picture where they lie, but do within 3.5 mm,
  /// there. True when any was moved: the edges are to be fitted again from there.
  bool MoveStrays(std::vector<Pull>& pulls) const;

  /// Joins every pull's place with what its inside says; pose and covariance change. How many
  /// pulls' insides took part.
  int Join(std::vector<Pull>& pulls) const;

 private:
  PhotoSampler sampler_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
  const std::vector<PlateShape>& shapes_;
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_INNER_PICTURE_H_
