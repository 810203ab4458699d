// SPDX-License-Identifier: Apache-2.0
// A later pass by itself: what has come onto a sheet since it was photographed before.
#ifndef TRUEPULL_BENEATH_H_
#define TRUEPULL_BENEATH_H_

#include "truepull/photo.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// The sheet as it was before a pass.
struct Beneath {
  Photo photo;               // Of the sheet with the earlier passes on it ...
  SheetCamera camera;        // ... its camera, ...
  Plan plan;                 // ... and the plan (sheet size of that time) it was read by.
  bool drawn = false;        // Drawn from the earlier readings, not a photo: without texture.
};

/// The earlier passes as they were read, drawn flat: every pull in its measured colour at its
/// measured place, the planned edge colour round it, where they overlap multiplied. For when the
/// photo itself is not at hand. Colours and edges are means, so textures stay in the result.
Beneath DrawBeneath(const std::vector<const Reading*>& earlier);

struct WhatIsNew {
  Photo photo;               // The later photo with the earlier passes taken out of it.
  SheetFrame frame;          // The later frame, turned by half where that is how the sheet lay.
  double agreement = 0;      // -1..1: how alike both photos are where the later pass does not hide it.
};

/// Takes the earlier passes out of a later photo: inks are transparent and multiply, so that light
/// over light, each as a share of its own paper's white, is what the new layer alone lets through: how much
/// of its ink lies at each pixel, by least squares over the three channels.
///
/// later    Photo, its frame and the plan's sheet with the size of that time.
/// colour   The new layer's, "#rrggbb" on white; empty: not known, taken for grey. In the result the layer
///          has this colour and nothing else.
/// hides    The new layer covers (half or opaque): where it is lighter than what it lies on, it
///          counts for as much darker, so that it stands out from the paper either way.
///
/// The sheet may lie upside down against the earlier photo: of the two ways the one that agrees
/// better is taken. Fails with kPhotoUnusable when neither agrees: another sheet. Where both are nearly black
/// nothing is known, and what lies round it counts. Errors of the two frames (0.05 mm or so) leave thin
/// lines along the earlier edges.
Result<WhatIsNew> OnlyWhatIsNew(const Photo& later, const SheetFrame& frame, const Plan& plan, const Beneath& beneath,
                                const std::string& colour, bool hides);

}  // namespace truepull

#endif  // TRUEPULL_BENEATH_H_
