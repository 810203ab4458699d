// SPDX-License-Identifier: Apache-2.0
#include "detect/edge_evidence.h"

#include <algorithm>
#include <cmath>

#include "detect/blurred_step.h"

namespace truepull::detect {
namespace {

constexpr double kInwards = 4.2;  // Along a normal, mm.
constexpr double kAlikeMm = 0.8;          // Readings along a normal this near count as one.
constexpr double kOutlier = 12;        // Squared whitened residual beyond which a reading counts less.

// Single precision is enough beside what mottling scatters, and all channels are one packet.
Tone4 Packed(const Tone3& t) {
  return {static_cast<float>(t(0)), static_cast<float>(t(1)), static_cast<float>(t(2)), 0};
}
double Dot(const Tone4& a, const Tone4& b) { return static_cast<double>((a * b).sum()); }

// Readings of neighbouring normals together, over 1 mm of edge.
std::vector<Observation> Smoothed(const std::vector<Observation>& raw, int either_way) {
  const std::size_t n = raw.size();
  std::vector<Observation> out = raw;
  for (std::size_t k = 0; k < n; ++k) {
    Observation& o = out[k];
    o.info.setZero();
    o.score.setZero();
    for (int m = -either_way; m <= either_way; ++m) {
      const Observation& q = raw[(k + n + static_cast<std::size_t>(m + static_cast<int>(n))) % n];
      if (q.neighbour == o.neighbour) {
        o.info += q.info;
        o.score += q.score;
      } else {
        o.info(0, 0) += q.info(0, 0);
        o.score(0) += q.score(0);
      }
    }
    o.info /= 2 * either_way + 1;
    o.score /= 2 * either_way + 1;
  }
  return out;
}

}  // namespace

SheetInk::SheetInk() : scatter(0.0225 * Eigen::Matrix3d::Ones() + 0.0036 * Eigen::Matrix3d::Identity()) {}

PullEvidence Weigh(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                   const std::vector<Pull>& pulls, std::size_t i, const SheetInk& ink, double rough,
                   const EvidenceOptions& options) {
  const double sigma = options.sigma_mm, bare = ink.bare;
  const double step_mm = options.spacing == Spacing::kFine ? 0.25 : 0.4;
  EdgeReadings r = ReadEdges(sampler, camera, paper, pulls, i, kInwards, options.outwards_mm, step_mm, options.spacing);
  const double alike = kAlikeMm / step_mm;
  PullEvidence part;
  part.levels = TypicalLevels(r, sigma);
  FitLocalLevels(r, ink.share, sigma, part.levels,
                 ink.levels.empty() ? std::vector<PullLevels>(pulls.size(), part.levels) : ink.levels, options.level_prior);
  double cost = 0, readings = 0;
  Eigen::Matrix4f precision = Eigen::Matrix4f::Zero();
  precision.topLeftCorner<3, 3>() = ink.scatter.inverse().cast<float>();
  const auto whitened = [&](const Tone4& t) -> Tone4 { return (precision * t.matrix()).array(); };
  const auto count = static_cast<std::size_t>(r.count);
  const std::size_t n = r.normals.size();
  std::vector<Observation> raw(n);
  for (std::size_t k = 0; k < n; ++k) {
    const Normal& m = r.normals[k];
    Observation& o = raw[k];
    o.own = m.own;
    o.other = m.other;
    o.neighbour = m.neighbour;
    if (!m.known) continue;
    const Tone4 paper_light = Packed(m.paper).exp();
    const Tone4 body[2] = {Packed(m.body), Packed(m.other_body)};
    const Tone4 contrast[2] = {Packed(m.edge) - body[0], Packed(m.other_edge) - body[1]};
    Eigen::Matrix4f scatter = Eigen::Matrix4f::Zero();
    for (std::size_t j = 0; j < count; ++j) {
      const std::size_t at = k * count + j;
      if (r.clear[at] < 0) continue;
      const double depth = -r.t[j];
      const double depths[3] = {depth, static_cast<double>(r.depth1[at]), static_cast<double>(r.depth2[at])};
      double cover[3] = {0, 0, 0}, s_own = 0;
      Tone4 light = paper_light, by_shift[2] = {Tone4::Zero(), Tone4::Zero()}, own_ratio = Tone4::Ones(), blur = Tone4::Zero();
      for (int q = 0; q < 3; ++q) {
        if (q > 0 && depths[q] < -4 * sigma) continue;   // A neighbour out of reach.
        cover[q] = BlurredStep(depths[q] / sigma);
        const double line = BlurredLine(depths[q] / sigma) / sigma;
        const double s = ink.share.At(depths[q]);
        if (q == 0) s_own = s;
        const Tone4& ink_contrast = contrast[q > 0];
        const Tone4 full = (body[q > 0] + static_cast<float>(s) * ink_contrast).exp();   // Light through full cover.
        const Tone4 taken = 1 - full;
        const Tone4 ratio = 1 - static_cast<float>(cover[q]) * taken;
        const Tone4 by_line = static_cast<float>(line) * taken / ratio;
        if (q < 2) {
          by_shift[q] = static_cast<float>(cover[q] * ink.share.Slope(depths[q])) * full * ink_contrast / ratio - by_line;
        }
        blur += static_cast<float>(depths[q] / sigma) * by_line;
        light *= ratio;
        if (q == 0) own_ratio = ratio;
      }
      const Tone4 residual = r.dark_tone[at] - (light + kCameraDark).log();
      // Ink scatters far more than bare paper: a speck of ink on what should be bare says
      // much, a bare speck in what should be ink little.
      const double open[3] = {1 - cover[0], 1 - cover[1], 1 - cover[2]};
      const double ink_part = 1 - open[0] * open[1] * open[2];
      const double v = bare + ink_part * (cover[0] * rough + open[0] - bare);
      const Tone4 white = whitened(residual) * static_cast<float>(1 / v);
      const double size = Dot(residual, white);
      if (options.only_cost) {
        // Beside the same light with this pull not there: so that places can be compared
        // although each looks at other readings. Stray specks and smudges are as likely
        // anywhere: a bound on the density itself.
        const Tone4 without = r.dark_tone[at] - (light / own_ratio + kCameraDark).log();
        const double v0 = bare + (1 - open[1] * open[2]) * (1 - bare);
        const double size0 = Dot(without, whitened(without)) / v0;
        cost += std::min(size + 3 * std::log(v), kOutlier) - std::min(size0 + 3 * std::log(v0), kOutlier);
        readings += 1;
        continue;
      }
      const Tone4 scale = light / (light + kCameraDark);
      const Tone4 by_own = scale * by_shift[0], by_other = scale * by_shift[1], by_blur = scale * blur;
      const double w = (size > kOutlier ? kOutlier / size : 1.0) / alike;
      const Tone4 p_own = whitened(by_own);
      o.info(0, 0) += w / v * Dot(by_own, p_own);
      o.score(0) += w * Dot(by_own, white);
      if (m.neighbour >= 0) {
        o.info(0, 1) += w / v * Dot(by_other, p_own);
        o.info(1, 1) += w / v * Dot(by_other, whitened(by_other));
        o.score(1) += w * Dot(by_other, white);
      }
      part.blur_top += w * Dot(by_blur, white);
      part.blur_bottom += w / v * Dot(by_blur, whitened(by_blur));
      const double far = 2 * sigma;
      if (std::abs(depths[0]) > far && std::abs(depths[1]) > far && std::abs(depths[2]) > far && cover[0] + cover[1] > 0.5) {
        scatter += static_cast<float>(std::min(1.0, kOutlier / std::max(1e-9, size))) * residual.matrix() * residual.matrix().transpose();
        part.scatter_n += 1;
        if (depths[0] > 0 && depths[1] < 0) part.own_size += std::min(size, kOutlier) * v, part.own_n += 1;
      }
      if (depths[0] < -far && depths[1] < -far && depths[2] < -far) part.bare_size += std::min(size, kOutlier) * v, part.bare_n += 1;
      if (depth > 0.1 && depths[1] < -far && depth < DepthShare::kBins * DepthShare::kBin) {
        // Least squares for the share at this depth: tone = paper + body + share (edge - body).
        const auto bin = static_cast<std::size_t>(depth / DepthShare::kBin);
        const Tone4 across = whitened(contrast[0]);
        part.share_top[bin] += Dot(across, residual + static_cast<float>(s_own) * contrast[0]);
        part.share_bottom[bin] += Dot(across, contrast[0]);
      }
    }
    part.scatter += scatter.topLeftCorner<3, 3>().cast<double>();
    o.info(1, 0) = o.info(0, 1);
    // How far the neighbour's edge is: near, the seam is read from both sides.
    const float here = std::abs(r.depth1[k * count + static_cast<std::size_t>(std::lround(kInwards / step_mm))]);
    o.share = m.along_weight * (m.neighbour < 0 ? 1.0 : std::clamp(0.5 + 0.5 * (static_cast<double>(here) - 0.8) / 0.6, 0.5, 1.0));
  }
  part.seen = Smoothed(raw, options.spacing == Spacing::kFine ? 2 : options.spacing == Spacing::kCoarse ? 1 : 0);
  part.cost = readings > 0 ? cost / readings : 1e3;
  return part;
}

}  // namespace truepull::detect
