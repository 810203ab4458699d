// SPDX-License-Identifier: Apache-2.0
#include "edition/sheet_looks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"
#include "truepull/colour.h"

namespace truepull {
namespace {

constexpr double kOverexposed = 0.2;   // A lamp's reflection is smaller; paper shows through everywhere.

}  // namespace

double MedianOfValues(std::vector<double> v) {
  if (v.empty()) return 0;
  std::sort(v.begin(), v.end());
  const std::size_t n = v.size();
  return n % 2 == 1 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

double DensityOfColour(const std::string& hex) {
  if (hex.size() != 7 || hex[0] != '#' || hex.find_first_not_of("0123456789abcdefABCDEF", 1) != std::string::npos) return 0;
  const auto light = [&](std::size_t at) {
    return LinearOfCoded(std::stoi(hex.substr(at, 2), nullptr, 16) / 255.0);
  };
  const double y = 0.2126 * light(1) + 0.7152 * light(3) + 0.0722 * light(5);
  return -std::log(std::max(y, 0.002));
}

SheetLooks LooksOf(const EditionSheet& sheet) {
  SheetLooks looks;
  looks.blur_mm = sheet.blur_mm, looks.burnt_out = sheet.burnt_out;
  std::vector<double> unsure;
  double density = 0, coloured = 0, weak = 0, seen = 0;
  for (const SiteReading& s : sheet.reading.sheet.sites) {
    if (s.state == SiteState::kMissing) continue;
    seen += 1;
    weak += s.state == SiteState::kWeak ? 1 : 0;
    looks.coverage += s.coverage;
    unsure.push_back(std::sqrt(std::max(0.0, (s.covariance[0] + s.covariance[4]) / 2)));
    if (!s.body_colour.empty()) density += DensityOfColour(s.body_colour), coloured += 1;
  }
  if (seen > 0) looks.coverage /= seen, looks.weak_share = weak / seen;
  if (coloured > 0) looks.density = density / coloured;
  looks.unsure_mm = MedianOfValues(unsure);
  const Sheet& paper = sheet.reading.plan.sheet;
  const SheetCamera& camera = sheet.reading.sheet.camera;
  double low = 1e300, high = 0;
  for (const Point corner : {Point{0, 0}, Point{paper.width_mm, 0}, Point{paper.width_mm, paper.height_mm}, Point{0, paper.height_mm}}) {
    const double scale = camera.PixelsPerMm(corner);
    low = std::min(low, scale), high = std::max(high, scale);
  }
  if (low > 0 && high < 1e9) looks.tilt = high / low;
  return looks;
}

PhotoFault JudgePhoto(const SheetLooks& looks, double usual_blur_mm, const ReviewThresholds& t) {
  PhotoFault fault;
  if (looks.blur_mm > t.blur_mm || (usual_blur_mm > 0 && looks.blur_mm > std::max(2 * usual_blur_mm, 0.6 * t.blur_mm))) {
    fault.reasons.push_back(fmt::format("the photo is blurred (an edge spreads over {} mm)", Fixed(looks.blur_mm, 1)));
  }
  if (looks.unsure_mm > t.unsure_mm) {
    fault.too_poor = true;
    fault.reasons.push_back(fmt::format("places are known to {} mm only", Fixed(looks.unsure_mm, 1)));
  }
  if (looks.tilt > t.tilt) fault.reasons.push_back("the photo was taken at a slant");
  if (looks.burnt_out > kOverexposed) {
    fault.reasons.push_back(fmt::format("the photo is too bright: {} % of the sheet is burnt out", Fixed(100 * looks.burnt_out, 0)));
  } else if (looks.burnt_out > t.glare) {
    fault.reasons.push_back(fmt::format("glare hides {} % of the sheet", Fixed(100 * looks.burnt_out, 1)));
  }
  fault.found = !fault.reasons.empty();
  if (looks.blur_mm > 1.5 * t.blur_mm) fault.too_poor = true;
  return fault;
}

}  // namespace truepull
