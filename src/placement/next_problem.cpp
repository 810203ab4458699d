// SPDX-License-Identifier: Apache-2.0
#include "placement/next_problem.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace truepull {
namespace {

// A seam is looked at, and a plate put down, by eye: 0.1 mm makes no difference to either. An
// impression known to 0.1 mm weighs half of one known surely.
constexpr double kEyeMm = 0.1;
// What nothing else draws goes where the sheet's own part would have it; a fiftieth of a seam's
// pull, so that it gives way by a few per cent only.
constexpr double kAnchor = 0.02;
// The rest of a pass begins at its printed neighbours: the piece as a whole is held so weakly that it
// opens no seam of theirs.
constexpr double kAnchorOfTheRest = 0.001;
// Places looked at along one seam.
constexpr std::size_t kSamples = 8;

double EyeWeight(double variance) { return kEyeMm * kEyeMm / (kEyeMm * kEyeMm + variance); }

// Root mean square distance of the outline (along its length) from its middle.
double RmsRadius(const TileKind& kind) {
  double sum = 0;
  for (const EdgeSample& s : kind.samples) sum += Dot(s.at - kind.middle, s.at - kind.middle);
  return kind.samples.empty() ? 0 : std::sqrt(sum / static_cast<double>(kind.samples.size()));
}

std::vector<BalanceSample> SamplesOf(const SeamNet& net, const SeamLink& link) {
  const TileKind& a = net.KindAt(link.a);
  const TileKind& b = net.KindAt(link.b);
  const Pose& pa = net.FacedUp(link.a);
  const Pose& pb = net.FacedUp(link.b);
  const Rotation turn_a(pa.turn_rad), back_b(-pb.turn_rad);
  std::vector<BalanceSample> out;
  const std::size_t count = link.facing->size(), take = std::min(kSamples, count);
  for (std::size_t k = 0; k < take; ++k) {
    // Evenly, and alike from both ends.
    const std::size_t from_end = std::min(k, take - 1 - k), step = (2 * from_end + 1) * count / (2 * take);
    const SeamFacing& f = (*link.facing)[2 * k < take ? step : count - 1 - step];
    const EdgeSample& s = a.samples[f.sample];
    const auto hit = CrossingOf(b, back_b * (pa.at + turn_a * s.at - pb.at), back_b * (turn_a * s.outward),
                                f.along_b_mm, kSeamReachMm + 1);
    if (hit) out.push_back({s.at, hit->at, s.outward, hit->gap * s.outward});
  }
  return out;
}

// How well a printed tile's edge is known at a distance from its reference point.
double EdgeVariance(const SiteDrift& s, double lever) {
  return (s.covariance[0] + s.covariance[4]) / 2 + s.covariance[8] * lever * lever;
}

}  // namespace

NextProblem MakeNextProblem(const DriftReport& report, const SeamNet& net, const PullState& state, bool finish) {
  NextProblem out;
  RigidMove piece;
  if (finish) {
    std::vector<Point> from, to;
    for (std::size_t i = 0; i < report.sites.size(); ++i) {
      const SiteDrift& s = report.sites[i];
      if (s.state == SiteState::kMissing) continue;
      from.push_back(Apply(s.ideal, net.KindAt(i).middle));
      to.push_back(Apply(s.found, net.KindAt(i).middle));
    }
    piece = FitRigidMove(from, to);
  }
  std::vector<BalanceSite> sites;
  std::map<const TileKind*, double> radius;
  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const SiteDrift& s = report.sites[i];
    const TileKind& kind = net.KindAt(i);
    const auto [known, fresh] = radius.emplace(&kind, 0.0);
    if (fresh) known->second = RmsRadius(kind);
    BalanceSite b;
    b.middle = kind.middle;
    b.radius_mm = known->second;
    out.ideals.push_back(PoseAtThePull(kind.outline, s.ideal, state));
    b.anchor = s.ideal;
    if (finish) {
      b.anchor = Apply(piece, s.ideal);
    } else if (report.sheet_part) {
      b.anchor = {ApplySheetPart(*report.sheet_part, s.ideal.at),
                  WrapTurn(s.ideal.turn_rad + report.sheet_part->turn_rad)};
    }
    b.anchor = PoseAtThePull(kind.outline, b.anchor, state);
    if (s.state == SiteState::kMissing) {
      b.anchor_weight = finish ? kAnchorOfTheRest : kAnchor;
      b.start = b.anchor;
    } else {
      b.impression = PoseAtThePull(kind.outline, s.found, state);
      b.start = *b.impression;
      b.register_weight = EyeWeight((s.covariance[0] + s.covariance[4]) / 2);
      b.register_turn_weight = EyeWeight(s.covariance[8] * b.radius_mm * b.radius_mm);
    }
    sites.push_back(b);
  }
  out.free.sites = sites;
  for (BalanceSite& b : sites) b.held = b.impression.has_value();
  out.on_register.sites = std::move(sites);

  double length = 0;
  for (const SeamLink& link : net.links()) length += static_cast<double>(link.facing->size());
  const double mean_length = length / std::max<double>(1, static_cast<double>(net.links().size()));
  // Seams alike (most are) share their samples' working out.
  std::map<std::pair<const void*, const void*>, std::vector<BalanceSample>> known;
  for (const SeamLink& link : net.links()) {
    const auto [it, fresh] = known.emplace(std::pair<const void*, const void*>(link.facing.get(), &net.KindAt(link.b)),
                                           std::vector<BalanceSample>{});
    if (fresh) it->second = SamplesOf(net, link);
    BalanceSeam seam{link.a, link.b, static_cast<double>(link.facing->size()) / mean_length, it->second};
    out.free.seams.push_back(seam);
    // A neighbour that is held is held where it was found, as well as that is known.
    for (const std::size_t end : {link.a, link.b}) {
      if (!out.on_register.sites[end].held) continue;
      const double lever = Norm(net.KindAt(end).middle) + out.on_register.sites[end].radius_mm;
      seam.weight *= EyeWeight(EdgeVariance(report.sites[end], lever));
    }
    out.on_register.seams.push_back(std::move(seam));
  }
  return out;
}

}  // namespace truepull
