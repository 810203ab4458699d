// SPDX-License-Identifier: Apache-2.0
#include "edition/likeness.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "edition/colour_likeness.h"
#include "geometry/fixed_text.h"

namespace truepull {
namespace {

constexpr double kColourStep = 2.5;     // CIEDE2000 that just shows in a print (colour.h).
constexpr double kCoverageStep = 0.05;
constexpr double kLighter = 3;          // L* from which a sheet is called paler or darker.

struct Apartness {
  double register_mm = 0, sd_register_mm = 0;
};

Apartness Compare(const SheetReview& a, const SheetReview& proof) {
  Apartness out;
  double square = 0, noise = 0, noise2 = 0, n = 0;
  for (std::size_t i = 0; i < a.drift.sites.size() && i < proof.drift.sites.size(); ++i) {
    const SiteDrift &p = a.drift.sites[i], &q = proof.drift.sites[i];
    if (p.state == SiteState::kMissing || q.state == SiteState::kMissing) continue;
    const Point d = p.shift - q.shift;
    const double v = p.covariance[0] + p.covariance[4] + q.covariance[0] + q.covariance[4];
    square += Dot(d, d), noise += v, n += 1;
    noise2 += v * (2 * Dot(d, d) + v);  // Variance of |d|^2, to first order, for two axes.
  }
  if (n == 0) return out;
  out.register_mm = std::sqrt(std::max(0.0, square - noise) / n);
  out.sd_register_mm = std::sqrt(noise2) / n / (2 * std::max(out.register_mm, 0.02));
  return out;
}

}  // namespace

std::vector<Likeness> LikenessToProof(const std::vector<EditionSheet>& sheets, const std::vector<SheetReview>& reviews,
                                      const EditionSettings& settings) {
  std::size_t proof = sheets.size();
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    if (sheets[i].code == settings.proof && sheets[i].pass == "first") proof = i;
  }
  std::vector<Likeness> out;
  if (settings.proof.empty() || proof == sheets.size()) return out;
  const ReviewThresholds& t = settings.thresholds;
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    // Another plan is another picture: nothing to compare.
    if (i == proof || sheets[i].pass != sheets[proof].pass || reviews[i].plan_group != reviews[proof].plan_group) continue;
    const Apartness a = Compare(reviews[i], reviews[proof]);
    Likeness l;
    l.sheet = i;
    l.register_mm = a.register_mm;
    const ColourApart colour = CompareColours(sheets[i].reading, sheets[proof].reading);
    l.colour = colour.difference;
    l.coverage = std::abs(reviews[i].coverage - reviews[proof].coverage);
    const double r = settings.free_register ? 0 : settings.weight_register * a.register_mm / t.fine_mm;
    l.distance = r + settings.weight_colour * l.colour / kColourStep + settings.weight_coverage * l.coverage / kCoverageStep;
    l.sd = (settings.free_register ? 0 : settings.weight_register) * a.sd_register_mm / t.fine_mm + settings.weight_colour * colour.sd / kColourStep + 0.1 * settings.weight_coverage;
    if (reviews[i].photo.too_poor) {
      l.apart = "its photo is too poor to judge by: take another";
    } else {
      std::vector<std::string> what;
      if (!settings.free_register && a.register_mm - 2 * a.sd_register_mm > t.good_mm) {
        what.push_back(fmt::format("its tiles lie {} mm from the proof's", Fixed(a.register_mm, 1)));
      }
      if (l.colour - 2 * colour.sd > kColourStep) {
        const char* how = colour.lightness > kLighter ? "it prints paler than the proof" : colour.lightness < -kLighter ? "it prints darker than the proof" : "its colour is another than the proof's";
        what.push_back(fmt::format("{} (CIEDE2000 {})", how, Fixed(l.colour, 1)));
      }
      if (l.coverage > 2 * kCoverageStep) {
        what.push_back(reviews[i].coverage < reviews[proof].coverage ? "less of it is covered" : "more of it is covered");
      }
      l.apart = fmt::format("{}", fmt::join(what, "; "));
    }
    out.push_back(l);
  }
  std::stable_sort(out.begin(), out.end(), [&](const Likeness& a, const Likeness& b) {
    const bool pa = reviews[a.sheet].photo.too_poor, pb = reviews[b.sheet].photo.too_poor;
    return pa != pb ? !pa : a.distance < b.distance;
  });
  // A tie goes on as long as a sheet cannot be told from the first of the tie.
  std::size_t head = 0;
  for (std::size_t k = 0; k < out.size(); ++k) {
    if (k > 0 && out[k].distance - out[head].distance > 2 * std::hypot(out[k].sd, out[head].sd)) head = k;
    out[k].tie = static_cast<int>(head) + 1;
  }
  return out;
}

}  // namespace truepull
