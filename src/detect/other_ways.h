// SPDX-License-Identifier: Apache-2.0
// The other ways in which a plate may be put down, as far as its outline can tell them.
#ifndef TRUEPULL_SRC_DETECT_OTHER_WAYS_H_
#define TRUEPULL_SRC_DETECT_OTHER_WAYS_H_

#include <deque>
#include <string>
#include <vector>

#include "detect/plate_shape.h"

namespace truepull::detect {

/// A plate put down turned by `turn_rad` beyond the plan, or printed from its back.
struct OtherWay {
  bool mirrored = false;
  double turn_rad = 0;               // Added to the planned turn.
  const PlateShape* shape = nullptr; // As printed this way.
  std::string Words() const;         // "upside down (turned by 180 degrees)", ...
};

/// How far an outline lies from another one laid on it, the centres of area together and
/// the first turned by `turn_rad`: root mean square along it, mm.
double ApartWhenLaidOn(const PlateShape& shape, const PlateShape& onto, double turn_rad);

/// The ways that differ from the planned one, and from one another, by so much that an
/// edge shows it (kToldApart). A square that has no drawing has none.
class OtherWays {
 public:
  explicit OtherWays(const std::vector<PlateShape>& shapes);
  const std::vector<OtherWay>& Of(const PlateShape* shape) const;

 private:
  const std::vector<PlateShape>& shapes_;
  std::deque<PlateShape> mirrored_;
  std::vector<std::vector<OtherWay>> ways_;   // For each of `shapes`.
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_OTHER_WAYS_H_
