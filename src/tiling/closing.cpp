// SPDX-License-Identifier: Apache-2.0
#include "truepull/closing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "tiling/partner_fit.h"
#include "tiling/thinned.h"

namespace truepull {
namespace {

using tiling::PartnerFit;
using tiling::Ring;
using tiling::Thinned;

// A stretch averaged with its partner, led from `start` to `end`. `till` is the share of
// it that is wanted (1, or 0.5 for one that a half turn completes).
// Points closer than `beside` to an end are left out for a straight bit: there, within what
// the split may be off, lies noise of the other edge too.
Outline Averaged(const PartnerFit& fit, const Ring& ring, int j, double till, double beside,
                 Point start, Point end) {
  const double from = fit.From(j), length = till * (fit.To(ring, j) - from);
  std::vector<double> places{0};
  for (std::size_t k = 0; k < ring.p.size(); ++k) {
    const double in = ring.Wrap(ring.at[k] - from);
    if (in > 1e-3 * ring.length && in < length - 1e-3 * ring.length) places.push_back(in);
  }
  std::sort(places.begin(), places.end());
  places.push_back(length);
  Outline line;
  for (const double in : places) {
    const Point p = ring.At(from + in);
    line.push_back(0.5 * (p + fit.MoveBack(j, fit.TouchOf(ring, j, p, PartnerFit::LittleSlack(ring)).q)));
  }
  // The ends are given. What a stretch is off them sideways is led in along all of it; what
  // it is off lengthwise is cut off or filled with a straight bit.
  const std::size_t last = line.size() - 1;
  const double reach = 0.01 * ring.length;
  std::size_t in = 1, out = last;
  while (in < last && places[in] < reach) ++in;
  while (out > 1 && length - places[out - 1] < reach) --out;
  out = std::max(out - 1, std::size_t{1});
  const auto sideways = [](Point off, Point along) {
    const double aa = Dot(along, along);
    return aa > 0 ? off - (Dot(off, along) / aa) * along : off;
  };
  const Point head = line[in] - line[0], tail = line[last] - line[out];
  const Point lead = sideways(start - line[0], head);
  const Point trail = sideways(end - line[last], tail);
  for (std::size_t i = 0; i < line.size(); ++i) {
    const double t = length > 0 ? places[i] / length : 0;
    line[i] = line[i] + (1 - t) * lead + t * trail;
  }
  Outline fitted{start};
  for (std::size_t i = 1; i < last; ++i) {
    if (Norm(line[i] - start) < beside || Norm(line[i] - end) < beside) continue;
    if (places[i] < reach && Dot(line[i] - start, head) <= 0) continue;
    if (length - places[i] < reach && Dot(end - line[i], tail) <= 0) continue;
    fitted.push_back(line[i]);
  }
  fitted.push_back(end);
  line = fitted;
  return Thinned(line, 0.005);  // A tenth of what a cutter could follow.
}

void Append(Outline& to, const Outline& line) {  // Without the last point.
  to.insert(to.end(), line.begin(), line.end() - 1);
}

Outline ClosedByShifts(const PartnerFit& fit, const Ring& ring, double beside) {
  const Point u = fit.Theta(0), v = fit.Theta(1);
  const auto at = [&](int j) { return ring.At(fit.From(j)); };
  // Three tiles meet at each split: their three readings of it are averaged.
  const Point p0 = (1.0 / 3) * (at(0) + (at(4) - u) + (at(2) - u + v));
  const Point p1 = (1.0 / 3) * (at(1) + (at(3) - u) + (at(5) - v));
  const Point p2 = p0 + u - v, p3 = p1 + u;
  Outline closed;
  std::array<Outline, 3> lines;
  const std::array<Point, 4> ends{p0, p1, p2, p3};
  for (int j = 0; j < 3; ++j) {
    auto& line = lines[static_cast<std::size_t>(j)];
    const Point a = ends[static_cast<std::size_t>(j)], b = ends[static_cast<std::size_t>(j) + 1];
    line = fit.IsEmpty(ring, j) ? Outline{a, b} : Averaged(fit, ring, j, 1, beside, a, b);
    if (Norm(b - a) < 1e-3 && line.size() == 2) line = {a};
    if (line.size() > 1) Append(closed, line);
  }
  const std::array<Point, 3> shifts{u, v, v - u};
  for (std::size_t j = 0; j < 3; ++j) {
    Outline back(lines[j].rbegin(), lines[j].rend());
    for (Point& p : back) p = p + shifts[j];
    if (back.size() > 1) Append(closed, back);
  }
  return closed;
}

Outline ClosedByHalfTurns(const PartnerFit& fit, const Ring& ring, double beside) {
  const Point t = fit.Theta(0), twice_b = fit.Theta(1), twice_d = fit.Theta(2);
  const auto at = [&](int j) { return ring.At(fit.From(j)); };
  const auto empty = [&](int j) { return fit.IsEmpty(ring, j); };
  // Splits 0, 4, 5 are images of one another, and 1, 2, 3; all six where A is empty.
  Point p0 = (1.0 / 3) * (at(0) + (at(4) - t) + (twice_d - t - at(5)));
  Point p1 = (1.0 / 3) * (at(1) + (at(3) - t) + (twice_b - at(2)));
  if (empty(0)) p0 = p1 = 0.5 * (p0 + p1);
  // Where only one half-turned stretch joins A to A' its centre settles the split.
  if (empty(1)) p1 = 0.5 * twice_b;
  if (empty(2)) p1 = 0.5 * (twice_b - t);
  if (empty(4)) p0 = 0.5 * twice_d - t;
  if (empty(5)) p0 = 0.5 * (twice_d - t);
  if (empty(0)) {
    if (empty(1) || empty(2)) {
      p0 = p1;
    } else {
      p1 = p0;
    }
  }
  Outline closed;
  Outline a;
  if (!empty(0)) {
    a = Averaged(fit, ring, 0, 1, beside, p0, p1);
    Append(closed, a);
  }
  const auto turned = [&](int j, Point start, Point twice_centre) {
    if (empty(j)) return;
    Outline half = Averaged(fit, ring, j, 0.5, beside, start, 0.5 * twice_centre);
    closed.insert(closed.end(), half.begin(), half.end());
    for (std::size_t i = half.size() - 1; i-- > 1;) closed.push_back(twice_centre - half[i]);
  };
  turned(1, p1, twice_b);
  turned(2, twice_b - p1, twice_b + t);
  if (!empty(0)) {
    Outline back(a.rbegin(), a.rend());
    for (Point& p : back) p = p + t;
    Append(closed, back);
  }
  turned(4, p0 + t, twice_d);
  turned(5, twice_d - p0 - t, twice_d - t);
  return closed;
}

std::vector<Misfit> MisfitsOf(const PartnerFit& fit, const Ring& ring, double window) {
  std::vector<Misfit> worst;
  const std::size_t n = ring.p.size();
  for (int j = 0; j < 6; ++j) {
    if (fit.IsEmpty(ring, j)) continue;
    struct Sample {
      double in, signed_mm, length;
      Point p, q;
    };
    std::vector<Sample> samples;
    for (std::size_t k = 0; k < n; ++k) {
      const double in = ring.Wrap(ring.at[k] - fit.From(j));
      if (in >= fit.To(ring, j) - fit.From(j)) continue;
      const auto touch = fit.TouchOf(ring, j, ring.p[k], PartnerFit::LittleSlack(ring));
      samples.push_back({in, touch.signed_mm, ring.at[k + 1] - ring.at[k], ring.p[k], touch.q});
    }
    if (samples.empty()) continue;
    std::sort(samples.begin(), samples.end(),
              [](const Sample& a, const Sample& b) { return a.in < b.in; });
    Misfit most;
    for (std::size_t i = 0, lo = 0; i < samples.size(); ++i) {
      while (samples[lo].in < samples[i].in - window / 2) ++lo;
      double sum = 0, length = 0;
      for (std::size_t k = lo; k < samples.size() && samples[k].in <= samples[i].in + window / 2;
           ++k) {
        sum += samples[k].signed_mm * samples[k].length;
        length += samples[k].length;
      }
      const double mean = length > 0 ? sum / length : samples[i].signed_mm;
      if (std::abs(mean) > std::abs(most.mm) || i == 0) most = {samples[i].p, mean, samples[i].q};
    }
    worst.push_back(most);
  }
  std::sort(worst.begin(), worst.end(),
            [](const Misfit& a, const Misfit& b) { return std::abs(a.mm) > std::abs(b.mm); });
  return worst;
}

Result<Closing> CloseAsItStands(std::span<const Point> outline, const ClosingOptions& options) {
  if (const Status ok = CheckOutline(outline); !ok) return ok.error();
  const double length = Perimeter(outline);
  // 0.05 and 0.005 mm: far under a cut, far over what the points of a trace are worth.
  const Ring coarse(tiling::ThinnedOutline(outline, 0.05), length / 250);
  const Ring fine(tiling::ThinnedOutline(outline, 0.005), length / 700);
  // The nearest way is the one in which most of the outline fits: one wholly wrong edge must
  // not make another way, in which nothing fits well, look nearer. Every further stretch
  // fits a little better whatever the outline.
  const auto score = [&](const PartnerFit& fit) {
    double rms = fit.rms_mm(coarse, 1.2 * options.tolerance_mm);
    for (int j = 0; j < 6; ++j) rms *= fit.IsEmpty(coarse, j) ? 1 : 1.05;
    return rms;
  };
  const auto best_of = [&](const std::vector<tiling::Splits>& ways) {
    std::optional<PartnerFit> best;
    double best_rms = 1e300;
    for (const tiling::Splits& way : ways) {
      PartnerFit fit(way, coarse);
      fit.Refine(coarse, 4);
      const double rms = score(fit);
      if (rms < best_rms) {
        best_rms = rms;
        best = fit;
      }
    }
    if (best) best->Refine(fine, 3);
    return best;
  };
  const auto close = [&](const PartnerFit& fit) {
    Closing c;
    c.by_half_turns = fit.half_turns();
    const Point a = fit.Theta(0);
    const Point b = c.by_half_turns ? fit.Theta(2) - fit.Theta(1) : fit.Theta(1);
    c.steps = OrientSteps(ReduceSteps({a, b}));
    // A half turn about the middle of what a stretch and itself add up to.
    if (c.by_half_turns) c.cell.push_back({fit.Theta(1), std::numbers::pi});
    c.rms_mm = fit.rms_mm(fine);
    c.misfits = MisfitsOf(fit, fine, options.mean_over_mm);
    c.near = !c.misfits.empty() && std::abs(c.misfits[0].mm) <= options.tolerance_mm;
    if (!c.near) return c;
    // At a very sharp tip the two edges' noise crosses further from the corner.
    for (const double wider : {1.0, 3.0, 8.0}) {
      const double beside = wider * PartnerFit::LittleSlack(fine);
      c.closed = c.by_half_turns ? ClosedByHalfTurns(fit, fine, beside)
                                 : ClosedByShifts(fit, fine, beside);
      if (CheckOutline(c.closed)) return c;
    }
    c.near = false;
    c.closed.clear();
    return c;
  };
  // Where every edge is a little off the plain search has the right way first or second;
  // where one edge is wholly wrong the bounded one has.
  const auto ways = [&](auto search) {
    auto all = search(outline, 5, 1e9);
    const auto bounded = search(outline, 5, 1.0);
    all.insert(all.end(), bounded.begin(), bounded.end());
    return all;
  };
  std::optional<Closing> shifts, turns;
  double shifts_score = 0;
  if (options.shifts) {
    if (const auto fit = best_of(ways(tiling::SearchShiftSplits))) {
      shifts = close(*fit);
      shifts_score = score(*fit);
      if (shifts->near) return *shifts;
    }
  }
  if (options.half_turns) {
    if (const auto fit = best_of(ways(tiling::SearchHalfTurnSplits))) {
      turns = close(*fit);
      if (turns->near || !shifts || score(*fit) < shifts_score) return *turns;
    }
  }
  if (shifts) return *shifts;
  return Error{ErrorCode::kBadArgument, "neither shifts nor half turns were allowed", ""};
}

Outline Mirrored(std::span<const Point> outline) {
  Outline out(outline.rbegin(), outline.rend());
  for (Point& p : out) p.x = -p.x;
  return out;
}

}  // namespace

Result<Closing> CloseOutline(std::span<const Point> outline, const ClosingOptions& options) {
  auto closing = CloseAsItStands(outline, options);
  if (!closing || closing->near) return closing;
  // Among ways that are nearly as good chance decides, by the points at hand. The mirror
  // image is the same question asked with other chances.
  auto other = CloseAsItStands(Mirrored(outline), options);
  if (!other || !other->near) return closing;
  other->closed = Mirrored(other->closed);
  for (Misfit& m : other->misfits) {
    m.at.x = -m.at.x;
    m.partner.x = -m.partner.x;
  }
  for (Pose& pose : other->cell) pose = {{-pose.at.x, pose.at.y}, -pose.turn_rad};
  for (Point* step : {&other->steps.across, &other->steps.down}) step->x = -step->x;
  other->steps = OrientSteps(other->steps);
  return other;
}

std::string PlaceOnOutline(std::span<const Point> outline, Point at) {
  const Box box = BoundingBox(outline);
  const double x = (2 * at.x - box.left - box.right) / box.Width();
  const double y = (2 * at.y - box.top - box.bottom) / box.Height();
  if (std::abs(x) >= std::abs(y)) {
    return fmt::format("{} side, {:.0f} mm from the top", x > 0 ? "right" : "left", at.y - box.top);
  }
  return fmt::format("{} side, {:.0f} mm from the left", y > 0 ? "bottom" : "top", at.x - box.left);
}

std::string Describe(std::span<const Point> outline, const Misfit& misfit) {
  const std::string here = PlaceOnOutline(outline, misfit.at);
  const std::string there = PlaceOnOutline(outline, misfit.partner);
  const std::string side = there.substr(0, there.find(','));
  return fmt::format("{}: {:.1f} mm {} its partner, the {}", here, std::abs(misfit.mm),
                     misfit.mm > 0 ? "beyond" : "short of",
                     side == here.substr(0, here.find(',')) ? there : side);
}

}  // namespace truepull
