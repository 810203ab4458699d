// SPDX-License-Identifier: Apache-2.0
// What the next layer's colour does at every site, and in which order layers go best.
#ifndef TRUEPULL_LAYER_COLOURS_H_
#define TRUEPULL_LAYER_COLOURS_H_

#include <string>
#include <vector>

#include "truepull/colour.h"
#include "truepull/result.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// How much of what lies beneath a layer of this opacity hides: 0, 0.5 or 1.
double HidingOf(Opacity opacity);

struct SiteLayer {
  Site site;
  std::string below;             // "#rrggbb" as found, else as planned; paper where nothing lies.
  std::string over;              // Predicted with the layer on it.
  double difference = 0;         // CIEDE2000 between the two.
  double for_all_eyes = 0;       // The least of it over kinds of colour vision.
  bool hardly_shows = false;     // difference under kHardlyShows.
};

/// Predicts a pass's colour over every site by Overprint (colour.h): body colours as measured, taken
/// to be beside white paper. Fails with kBadArgument when the pass has no colour or no opacity.
Result<std::vector<SiteLayer>> PredictLayer(const Reading& reading, const Pass& pass);

/// A plan's later passes in the order that serves their colours: light before dark; of like
/// lightness (within 8 L*) opaque before half before transparent, as transparent colour shows what
/// it covers. Passes without a colour keep their places at the end.
struct OrderedPass {
  std::string name;
  std::string why;               // "light (L* 78), half opaque".
};
std::vector<OrderedPass> BestOrderOfPasses(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_LAYER_COLOURS_H_
