// SPDX-License-Identifier: Apache-2.0
#include "edition/colour_likeness.h"

#include <cmath>
#include <map>
#include <vector>

#include "truepull/colour.h"

namespace truepull {
namespace {

constexpr double kPhotoSd = 1;

struct MeanColour {
  Lab lab;
  double pulls = 0;
  double variance = 0;         // Mean square CIEDE2000 of a pull from the mean.
};

// By the plan's colour of the site; -1 where the plan does not say.
std::map<int, MeanColour> ColoursOf(const Reading& reading) {
  std::map<int, std::vector<LinearColour>> pulls;
  for (const SiteReading& s : reading.sheet.sites) {
    const auto colour = s.state == SiteState::kMissing ? std::nullopt : ColourOfHex(s.body_colour);
    if (colour) pulls[PlannedColour(reading.plan, s.site)].push_back(*colour);
  }
  std::map<int, MeanColour> out;
  for (const auto& [which, colours] : pulls) {
    MeanColour m;
    m.pulls = static_cast<double>(colours.size());
    LinearColour sum;
    for (const LinearColour& c : colours) sum.r += c.r / m.pulls, sum.g += c.g / m.pulls, sum.b += c.b / m.pulls;
    m.lab = LabOf(sum);
    for (const LinearColour& c : colours) m.variance += std::pow(ColourDifference(LabOf(c), m.lab), 2) / m.pulls;
    out[which] = m;
  }
  return out;
}

}  // namespace

ColourApart CompareColours(const Reading& sheet, const Reading& proof) {
  const auto a = ColoursOf(sheet), b = ColoursOf(proof);
  ColourApart out;
  double weight = 0, variance = 0;
  for (const auto& [which, colour] : a) {
    const auto it = b.find(which);
    if (it == b.end()) continue;
    const MeanColour& other = it->second;
    out.difference += colour.pulls * ColourDifference(colour.lab, other.lab);
    out.lightness += colour.pulls * (colour.lab.L - other.lab.L);
    variance += colour.pulls * colour.pulls * (colour.variance / colour.pulls + other.variance / other.pulls);
    weight += colour.pulls;
  }
  if (weight == 0) return out;
  out.known = true;
  out.difference /= weight, out.lightness /= weight;
  out.sd = std::hypot(kPhotoSd, std::sqrt(variance) / weight);
  return out;
}

}  // namespace truepull
