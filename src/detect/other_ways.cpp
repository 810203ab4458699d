// SPDX-License-Identifier: Apache-2.0
#include "detect/other_ways.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "truepull/units.h"

namespace truepull::detect {
namespace {

// An edge is seen to a few tenths of a millimetre on the worst sheets.
constexpr double kToldApart = 0.8;

constexpr double kTurnsDeg[] = {180, 90, -90, 60, -60, 120, -120};

PlateShape Mirrored(const PlateShape& shape) {
  Outline outline = shape.outline;
  for (Point& p : outline) p.x = -p.x;
  std::reverse(outline.begin(), outline.end());
  return ShapePlate(outline);
}

}  // namespace

std::string OtherWay::Words() const {
  const double degrees = std::round(DegFromRad(turn_rad));
  const std::string turned = std::abs(degrees) == 180 ? std::string("upside down (turned by 180 degrees)")
                             : degrees == 0 ? std::string()
                                            : fmt::format("turned by {} degrees", std::abs(degrees)) +
                                                  (degrees > 0 ? " clockwise" : " anticlockwise");
  if (!mirrored) return turned;
  const std::string back = "from the back of the plate (a mirror image)";
  return turned.empty() ? back : back + " and " + turned;
}

double ApartWhenLaidOn(const PlateShape& shape, const PlateShape& onto, double turn_rad) {
  const Rotation turn(turn_rad);
  const Point from = Centroid(shape.outline), to = Centroid(onto.outline);
  double sum = 0;
  for (const EdgeSample& e : shape.sparse) {
    const double d = static_cast<double>(onto.distance.At(to + turn * (e.at - from)));
    sum += d * d;
  }
  return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(1, shape.sparse.size())));
}

OtherWays::OtherWays(const std::vector<PlateShape>& shapes) : shapes_(shapes) {
  for (const PlateShape& shape : shapes) {
    std::vector<OtherWay> ways;
    const auto add = [&](bool mirrored, double degrees, const PlateShape* as) {
      const double turn = RadFromDeg(degrees);
      if (ApartWhenLaidOn(*as, shape, turn) < kToldApart) return;
      for (const OtherWay& w : ways) {
        if (ApartWhenLaidOn(*as, *w.shape, turn - w.turn_rad) < kToldApart) return;
      }
      ways.push_back({mirrored, turn, as});
    };
    for (const double degrees : kTurnsDeg) add(false, degrees, &shape);
    mirrored_.push_back(Mirrored(shape));
    add(true, 0, &mirrored_.back());
    add(true, 180, &mirrored_.back());
    ways_.push_back(std::move(ways));
  }
}

const std::vector<OtherWay>& OtherWays::Of(const PlateShape* shape) const {
  return ways_[static_cast<std::size_t>(shape - shapes_.data())];
}

}  // namespace truepull::detect
