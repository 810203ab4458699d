// SPDX-License-Identifier: Apache-2.0
#include "photo/sheet_search.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/core/utility.hpp>

#include "photo/quarter_turn.h"
#include "photo/side_exchange.h"

namespace truepull {
namespace {

constexpr double kMinShare = 0.06;   // Of the picture; smaller light things are clutter.
constexpr std::size_t kFinalists = 5;
// Lines and hulls found of a bowed side touch it in the middle and leave it at the ends.
constexpr double kTouching = 0.7;
constexpr double kTornPx = 5;          // A deckle edge strays 3 mm at most: so many px of a small A3.
constexpr std::size_t kExchanged = 12;  // Quadrilaterals tried from sides of others.

bool Alike(const Quad& a, const Quad& b, double px = 4) {
  for (std::size_t turn = 0; turn < 4; ++turn) {
    bool alike = true;
    for (std::size_t i = 0; i < 4 && alike; ++i) alike = Norm(a[i] - b[(i + turn) % 4]) < px;
    if (alike) return true;
  }
  return false;
}

// How well the sides were seen: the weakest side counts as much as all together, for
// clutter and tables make three good sides easily and the fourth seldom.
double Support(const SeenSheet& seen) { return std::sqrt(seen.MeanSupport() * seen.LeastSupport()); }

// No pattern runs across the sides of a sheet: 0.05 is the most seen of one under shadows.
double Rest(const SeenSheet& seen) { return 0.2 + 0.8 / (1 + std::pow(seen.MostUnrest() / 0.2, 4)); }

bool IsCut(const SeenSheet& seen) {
  return std::any_of(seen.sides.begin(), seen.sides.end(), [](const SeenSide& side) { return side.outside > 0.5; });
}

// How far a lens bows the sides of a quadrilateral in the small picture outward, px.
std::array<double, 4> Bows(const SmallPicture& small, const Quad& quad, const SearchOptions& options) {
  std::array<double, 4> bows{};
  if (options.lens_k1 == 0) return bows;
  const auto seen = [&](Point p) {
    return PhotoFromIdeal(p, small.SmallFromFull(options.centre), options.focal_px / small.factor, options.lens_k1, 0);
  };
  for (std::size_t s = 0; s < 4; ++s) {
    const Point a = quad[s], b = quad[Next(s)], off = seen(0.5 * (a + b)) - 0.5 * (seen(a) + seen(b));
    bows[s] = Cross(off, (1 / std::max(1.0, Norm(b - a))) * (b - a));
  }
  return bows;
}

// The same sheet looked at anew, along the sides as they were seen.
SeenSheet LookAgain(const SmallPicture& small, const SeenSheet& before, SideSearchOptions options) {
  for (std::size_t s = 0; s < 4; ++s) options.bow_px[s] = before.sides[s].support > 0.5 ? before.sides[s].bow : 0;
  return SearchSides(small, before.quad, options);
}

SoughtSheet Weigh(const SmallPicture& small, const SeenSheet& seen, const Sheet& sheet, const SearchOptions& options) {
  SoughtSheet sought;
  sought.seen = seen;
  std::vector<SidePoint> points = seen.points;
  for (SidePoint& p : points) {
    p.at = small.FullFromSmall(p.at);
    p.sd_px *= small.factor;
  }
  SideFit start;
  for (std::size_t i = 0; i < 4; ++i) start.corners[i] = small.FullFromSmall(seen.quad[i]);
  start.centre = options.centre;
  start.focal_px = options.focal_px;
  sought.share = QuadArea(seen.quad) / (double(small.white.cols) * small.white.rows);
  sought.fit = points.size() >= 20 ? FitSides(points, start, {}) : start;
  if (!IsConvex(sought.fit.corners)) return sought;
  const SheetTurn turn = ChooseTurn(sought.fit.corners, options.centre, options.focal_px, sheet.width_mm, sheet.height_mm);
  Quad corners;
  for (std::size_t i = 0; i < 4; ++i) corners[i] = sought.fit.corners[(turn.top_left + i) % 4];
  const double longer = double(small.factor) * std::max(small.white.cols, small.white.rows);
  sought.contradiction = RatioContradiction(corners, options.centre, options.focal_px, longer,
                                            options.focal_known, sheet.width_mm / sheet.height_mm);
  // Up to 6 % may be a plan's round numbers.
  const double beyond = std::max(0.0, std::abs(sought.contradiction) - 0.06) / 0.08;
  const double ratio = 0.35 + 0.65 * std::exp(-0.5 * beyond * beyond);
  // Paper is of one colour all round; a levels spread of 3 is usual, 12 is a table's.
  const double colour = 1 / (1 + std::pow(seen.chroma_spread / 9, 4));
  sought.score = Support(seen) * ratio * (0.5 + 0.5 * colour) * (1 - seen.Outshone()) * Rest(seen) *
                 std::pow(sought.share, 0.15);
  return sought;
}

// Another sheet of much the same paper, whole or running out of the picture: three of its
// sides are clear. Cards and scraps are smaller, and share no side's length with it.
bool LiesBeside(const SeenSheet& other, const SeenSheet& sheet) {
  const double share = QuadArea(other.quad) / std::max(1.0, QuadArea(sheet.quad));
  if (SignedDistance(sheet.quad, Middle(other.quad)) > -5 || share < 0.3) return false;
  bool alike = share > 0.55;
  for (std::size_t s = 0; s < 4; ++s) {
    const double length = Norm(other.quad[Next(s)] - other.quad[s]);
    for (std::size_t t = 0; t < 4; ++t) alike = alike || std::abs(length / std::max(1.0, Norm(sheet.quad[Next(t)] - sheet.quad[t])) - 1) < 0.08;
  }
  if (!alike) return false;
  const auto clear = std::count_if(other.sides.begin(), other.sides.end(), [](const SeenSide& side) {
    return side.outside < 0.5 && side.support > 0.75 && side.papery > 0.8 && side.outshone < 0.2;
  });
  return clear >= 3 && other.chroma_spread < 6 && std::abs(other.chroma - sheet.chroma) < 5;
}

}  // namespace

SheetSearch SearchSheet(const SmallPicture& small, const Sheet& sheet, const SearchOptions& options) {
  cv::Mat half = Halve(small.white);
  if (options.dark_sheet) cv::bitwise_not(half, half);
  const bool dark = options.dark_sheet;
  const double on_curve = options.torn ? kTornPx : SideSearchOptions{}.on_curve_px;
  const double ratio = std::max(sheet.width_mm, sheet.height_mm) / std::min(sheet.width_mm, sheet.height_mm);
  std::vector<Quad> quads = QuadsFromRegions(half);
  for (const Quad& quad : QuadsFromLines(half, ratio)) quads.push_back(quad);
  std::vector<SeenSheet> seen;
  std::vector<Quad> tried;
  for (Quad quad : quads) {
    for (Point& p : quad) p = {2 * p.x + 0.5, 2 * p.y + 0.5};
    if (std::any_of(tried.begin(), tried.end(), [&](const Quad& other) { return Alike(quad, other); })) continue;
    tried.push_back(quad);
  }
  const auto see = [&](std::size_t from) {
    seen.resize(tried.size());
    cv::parallel_for_(cv::Range(static_cast<int>(from), static_cast<int>(tried.size())), [&](const cv::Range& range) {
      for (auto i = static_cast<std::size_t>(range.start); i < static_cast<std::size_t>(range.end); ++i) {
        SideSearchOptions coarse{.reach_px = 9, .on_curve_px = on_curve, .dark_sheet = dark, .places = 24, .trials = 40};
        coarse.bow_px = Bows(small, tried[i], options);
        coarse.touching = kTouching;
        seen[i] = SearchSides(small, tried[i], coarse);
      }
    });
  };
  see(0);
  // The right sides may be there, but not all in one candidate.
  const std::size_t own = tried.size();
  if (options.lens_k1 == 0) {
    for (const Quad& quad : QuadsByExchange(seen, kExchanged)) {
      if (std::none_of(tried.begin(), tried.end(), [&](const Quad& other) { return Alike(quad, other); })) {
        tried.push_back(quad);
      }
    }
  }
  see(own);
  // The likeliest whole sheets, and apart from them the likeliest cut off by the picture's
  // rim; wide ones first among equals.
  std::vector<double> rank;
  std::vector<std::size_t> whole, cut_off;
  for (const SeenSheet& s : seen) {
    const bool cut = IsCut(s);
    const double support = cut ? s.MeanSupport() : (Support(s) + 0.2 * s.MeanSupport()) * Rest(s);
    (cut ? cut_off : whole).push_back(rank.size());
    rank.push_back(support * (1 - 0.7 * s.Outshone()) * std::pow(std::max(0.0, QuadArea(s.quad)), 0.15));
  }
  const auto likeliest = [&](std::vector<std::size_t>& order, std::size_t most) {
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rank[a] > rank[b]; });
    if (order.size() > most) order.resize(most);
  };
  likeliest(whole, kFinalists);
  likeliest(cut_off, 2);
  whole.insert(whole.end(), cut_off.begin(), cut_off.end());

  SheetSearch found;
  std::vector<SoughtSheet> finals;
  for (const std::size_t i : whole) {
    SeenSheet s = LookAgain(small, seen[i], {.reach_px = options.torn ? 9.0 : 6.0, .on_curve_px = on_curve, .dark_sheet = dark});
    s = LookAgain(small, s, {.reach_px = options.torn ? 9.0 : 5.0, .on_curve_px = on_curve, .dark_sheet = dark});
    SoughtSheet sought = Weigh(small, s, sheet, options);
    if (sought.share < kMinShare) continue;
    const bool cut = IsCut(s);
    // Of a cut sheet the ratio says nothing; the widest is nearest to what there is of it.
    if (cut) sought.score = s.MeanSupport() * (1 - s.Outshone()) * std::sqrt(sought.share);
    std::optional<SoughtSheet>& best = cut ? found.cut_off : found.sheet;
    if (!best || sought.score > best->score) best = sought;
    if (!cut) finals.push_back(sought);
  }
  for (const SoughtSheet& other : finals) {
    if (Alike(other.seen.quad, found.sheet->seen.quad, 6)) continue;
    if (!found.rival || other.score > found.rival->score) found.rival = other;
  }
  if (found.sheet) {
    const auto beside = std::find_if(seen.begin(), seen.end(), [&](const SeenSheet& s) { return LiesBeside(s, found.sheet->seen); });
    if (beside != seen.end()) found.beside = beside->quad;
  }
  return found;
}

}  // namespace truepull
