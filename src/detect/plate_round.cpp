// SPDX-License-Identifier: Apache-2.0
#include "detect/plate_round.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>

#include "detect/second_look.h"
#include "geometry/median.h"

namespace truepull::detect {
namespace {

// A size is looked for where half of the pulls agree with their outline on less than half
// of their edge; of ordinary pulls three quarters and more agree.
constexpr double kEnoughEvidence = 0.5;
constexpr double kRoughLike = 0.9;           // Of the planned size's score on the map: worth a fit.
constexpr std::size_t kMostSizes = 3;
// Of the planned size's misfit: right sizes reached 0.15, wrong ones 0.78 and more.
constexpr double kClearlyBetter = 0.5;
// Dot gain, bleeding and the edge's own rub stay under 0.2 mm: 0.8 % of a tile of 50 mm.
// Touching sheets of the planned size were read 1.4 % too large, 2 % is to be told.
constexpr double kLeastSize = 0.018, kSure = 4, kSettled = 0.001;
// With six touching pulls what they share by chance passed for the plate: 6 % in size, 0.3 mm
// on a side.
constexpr int kFewestPulls = 8;
constexpr double kLeastSeen = 0.35, kHardlyAny = 0.15, kScatterMm = 0.55;
constexpr double kOtherOutlineMm = 0.9;      // Root mean square all along the edge.

EdgeFitOptions WideAndFine() {
  EdgeFitOptions o = WideFit();
  o.spacing = Spacing::kFine;
  return o;
}

}  // namespace

namespace {

// All pulls with shapes of another size, each at the place near its own that the map likes
// best: a tile locked to two sides of a larger one is off by half of what it lacks.
struct Sized {
  double scale = 1, score = 0;
  std::vector<Pose> poses;
};

Sized LookAtSize(const OutlineScore& score, const std::vector<Pull>& pulls, double scale) {
  Sized out{scale, 0, std::vector<Pose>(pulls.size())};
  std::vector<double> best(pulls.size(), 0);
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const auto i = static_cast<std::size_t>(k);
      if (!pulls[i].present) continue;
      PlateShape scaled;
      scaled.sparse = pulls[i].shape->sparse;
      for (EdgeSample& e : scaled.sparse) e.at = scale * e.at;
      best[i] = -1e9;
      for (int y = -4; y <= 4; ++y) {
        for (int x = -4; x <= 4; ++x) {
          const Pose pose{pulls[i].pose.at + Point{1.0 * x, 1.0 * y}, pulls[i].pose.turn_rad};
          const double s = score.At(scaled, pose);
          if (s > best[i]) best[i] = s, out.poses[i] = pose;
        }
      }
    }
  });
  for (const double s : best) out.score += s;
  return out;
}

std::vector<PlateShape> Scaled(const std::vector<PlateShape>& shapes, double ratio) {
  std::vector<PlateShape> out;
  for (const PlateShape& shape : shapes) {
    Outline outline = shape.outline;
    for (Point& p : outline) p = ratio * p;
    out.push_back(ShapePlate(outline));
  }
  return out;
}

double MedianMisfit(const EdgeFit& fit, Explain& judge, std::vector<Pull>& pulls) {
  fit.Sweep(pulls, JudgeFit());
  judge.Learn(pulls);
  std::vector<double> all(pulls.size(), -1);
  cv::parallel_for_(cv::Range(0, static_cast<int>(pulls.size())), [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      const auto i = static_cast<std::size_t>(k);
      if (pulls[i].present) all[i] = pulls[i].misfit * judge.Misfit(pulls, i, pulls[i].pose);
    }
  });
  std::erase(all, -1.0);
  return Median(all);
}

}  // namespace

double FindPlateScale(const OutlineScore& score, const EdgeFit& fit, Explain& judge, std::vector<PlateShape>& shapes,
                      std::vector<Pull>& pulls) {
  std::vector<double> evidence;
  for (const Pull& p : pulls) {
    if (p.present) evidence.push_back(p.evidence);
  }
  if (evidence.size() < 4 || Median(evidence) > kEnoughEvidence) return 1;
  std::vector<Sized> sizes;
  for (int k = -7; k <= 7; ++k) sizes.push_back(LookAtSize(score, pulls, 1 + 0.02 * k));
  // The map likes right sizes best, or 2 % less: its band lies inside the edge.
  const double planned_score = std::max(sizes[6].score, sizes[7].score);
  std::vector<const Sized*> tries;
  for (std::size_t k = 0; k < sizes.size(); ++k) {
    const bool peak = (k == 0 || sizes[k].score >= sizes[k - 1].score) &&
                      (k + 1 == sizes.size() || sizes[k].score >= sizes[k + 1].score);
    if (peak && sizes[k].score > kRoughLike * planned_score && k != 6 && k != 7) tries.push_back(&sizes[k]);
  }
  std::sort(tries.begin(), tries.end(), [](const Sized* a, const Sized* b) { return a->score > b->score; });
  if (tries.size() > kMostSizes) tries.resize(kMostSizes);
  if (tries.empty()) return 1;
  std::vector<Pull> best_pulls = pulls;
  const double planned = MedianMisfit(fit, judge, best_pulls);
  double best = kClearlyBetter * planned, best_scale = 1;
  std::vector<PlateShape> best_shapes;
  for (const Sized* size : tries) {
    std::vector<PlateShape> as = Scaled(shapes, size->scale);
    std::vector<Pull> with = pulls;
    for (std::size_t i = 0; i < with.size(); ++i) {
      with[i].shape = &as[static_cast<std::size_t>(pulls[i].shape - shapes.data())];
      if (with[i].present) with[i].pose = size->poses[i];
      with[i].growth_mm = 0;
    }
    for (int sweep = 0; sweep < 2; ++sweep) fit.Sweep(with, WideFit());
    // The steps of 2 % are coarse: the edge itself tells the rest.
    double refined = size->scale;
    for (PlateShape& shape : as) {
      const PlateSize rest = FitPlateSize(PoolEdges(fit, with, &shape, WideAndFine()));
      if (rest.sd >= 1) continue;
      refined = size->scale * rest.ratio;
      Outline outline = shape.outline;
      for (Point& q : outline) q = rest.ratio * q;
      shape = ShapePlate(outline);
    }
    fit.Sweep(with, WideFit());
    fit.Sweep(with, QuickFit());
    const double misfit = MedianMisfit(fit, judge, with);
    if (misfit >= best) continue;
    best = misfit;
    best_scale = refined;
    best_shapes = std::move(as);
    best_pulls = std::move(with);
  }
  if (best_scale == 1) return 1;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    best_pulls[i].shape = &shapes[static_cast<std::size_t>(pulls[i].shape - shapes.data())];
  }
  pulls = std::move(best_pulls);
  for (std::size_t k = 0; k < shapes.size(); ++k) shapes[k] = std::move(best_shapes[k]);
  return best_scale;
}

namespace {

// The edges agree with the outline nowhere, or so differently from pull to pull that
// what was fitted is not this outline. On ordinary sheets the scatter is 0.07 to 0.35 mm.
bool IsOtherOutline(const PooledEdge& edge, const PlateOutline& plate, const std::vector<Pull>& pulls) {
  if (edge.pulls < 4) return false;
  if (edge.seen < kLeastSeen || plate.rms_mm > kOtherOutlineMm) return true;
  std::vector<double> evidence, scatter;
  for (const Pull& p : pulls) {
    if (p.present && p.shape == edge.shape) evidence.push_back(p.evidence);
  }
  for (const double sd : edge.sd) {
    if (sd < 100) scatter.push_back(sd * std::sqrt(static_cast<double>(edge.pulls)));
  }
  return Median(evidence) < kHardlyAny && Median(scatter) > kScatterMm;
}

// What a further round finds on the same side adds to what was found there.
void AddDepartures(std::vector<Departure>& all, const std::vector<Departure>& more) {
  for (const Departure& d : more) {
    const auto same = std::find_if(all.begin(), all.end(), [&](const Departure& a) { return Dot(a.outward, d.outward) > 0.7; });
    if (same == all.end()) {
      all.push_back(d);
      continue;
    }
    same->mm += d.mm * std::min(1.0, d.length_mm / same->length_mm);
    same->sd = std::hypot(same->sd, d.sd);
    same->length_mm = std::max(same->length_mm, d.length_mm);
  }
}

}  // namespace

void MeasurePlates(const EdgeFit& fit, std::vector<PlateShape>& shapes, std::vector<Pull>& pulls,
                   std::vector<PlateFound>& found) {
  const auto again = [&] {
    fit.Sweep(pulls, WideFit());
    for (int sweep = 0; sweep < 2; ++sweep) fit.Sweep(pulls, QuickFit());
  };
  // An ordinary sheet is pooled once: size and outline are told by the same edges.
  std::vector<PooledEdge> pooled(shapes.size());
  bool fresh = false;
  // Size first, until it stands: a tile that is much too large is only half seen at first.
  for (int round = 0; round < 4; ++round) {
    bool changed = false;
    for (std::size_t s = 0; s < shapes.size(); ++s) {
      pooled[s] = PoolEdges(fit, pulls, &shapes[s], WideAndFine());
      const PlateSize size = FitPlateSize(pooled[s]);
      const bool tell = found[s].ratio != 1 || (pooled[s].pulls >= kFewestPulls && std::abs(size.ratio - 1) > kLeastSize && std::abs(size.ratio - 1) > kSure * size.sd);
      if (!tell || size.sd >= 1) continue;
      found[s].sd_ratio = size.sd;
      if (std::abs(size.ratio - 1) < kSettled) continue;
      found[s].ratio *= size.ratio;
      Outline outline = shapes[s].outline;
      for (Point& p : outline) p = size.ratio * p;
      shapes[s] = ShapePlate(outline);
      changed = true;
    }
    fresh = !changed;
    if (!changed) break;
    again();
  }
  // Then the outline, until nothing is left: an edge beside a neighbour's shows at first
  // only a part of what it is off.
  for (int round = 0; round < 6; ++round) {
    bool changed = false;
    for (std::size_t s = 0; s < shapes.size(); ++s) {
      const PooledEdge edge = round == 0 && fresh ? pooled[s] : PoolEdges(fit, pulls, &shapes[s], WideAndFine());
      const PlateOutline plate = FitPlateOutline(edge, found[s].departures);
      if (round == 0 && IsOtherOutline(edge, plate, pulls)) {
        found[s].other_outline = true;
        continue;
      }
      if (edge.pulls < kFewestPulls) continue;
      if (found[s].other_outline) continue;
      if (plate.departures.empty()) continue;
      AddDepartures(found[s].departures, plate.departures);
      shapes[s] = ShapePlate(plate.outline);
      changed = true;
    }
    if (!changed) break;
    again();
  }
}

}  // namespace truepull::detect
