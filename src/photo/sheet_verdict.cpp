// SPDX-License-Identifier: Apache-2.0
#include "photo/sheet_verdict.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kLeastCoarseMean = 0.6;
constexpr double kHopelessRatio = 0.25;  // Natural logarithm.

// Share of a side with something lighter beyond it: a print's block has that on several
// sides, a sheet at most on one (another sheet beside it, light clutter).
constexpr double kMostOutshone = 0.4;
// A rival whose score comes to this share of the best one's is named: the scores of the
// sheet and of the next best outline lie apart on rendered photos (0.7 at most).
constexpr double kNearRival = 0.75;
constexpr double kRestless = 0.3;  // Pattern across a side; sheets under shadows: 0.1.
constexpr double kInky = 0.5;  // Share of a side with paper inside; less is print at the rim.

// Ink within and something lighter beyond is a row of tiles, not an edge ...
bool IsRow(const SeenSide& side) { return side.papery < 0.4 && side.outshone > 0.3; }

bool HasRow(const SeenSheet& seen) { return std::any_of(seen.sides.begin(), seen.sides.end(), IsRow); }

// ... but for print that runs off the sheet on a light table. Then the other three sides
// are clear, and with this one the sheet has its ratio to 1 %: a row of tiles inside the
// edge would shorten it by a margin's width, 2 % or more.
bool RatioBearsOut(const SoughtSheet& s) {
  const auto clear = std::count_if(s.seen.sides.begin(), s.seen.sides.end(), [](const SeenSide& side) {
    return side.support > 0.9 && side.papery > 0.9 && side.outshone < 0.1 && side.unrest < 0.1;
  });
  return clear == 3 && std::abs(s.contradiction) < 0.01 && s.share > 0.15;
}

}  // namespace

std::array<const char*, 4> SideNames(const Quad& quad) {
  std::array<const char*, 4> names{"top", "right", "bottom", "left"};
  // The side whose outward normal is nearest up is the top.
  std::size_t top = 0;
  double most = -2;
  for (std::size_t i = 0; i < 4; ++i) {
    const Point along = quad[Next(i)] - quad[i];
    const double up = along.x / std::max(1e-9, Norm(along));
    if (up > most) {
      most = up;
      top = i;
    }
  }
  std::array<const char*, 4> named{};
  for (std::size_t i = 0; i < 4; ++i) named[(top + i) % 4] = names[i];
  return named;
}

std::vector<std::string> Doubts(const SheetSearch& search) {
  std::vector<std::string> doubts;
  const SeenSheet& seen = search.sheet->seen;
  const auto names = SideNames(seen.quad);
  for (std::size_t i = 0; i < 4; ++i) {
    if (seen.sides[i].papery < kInky) {
      doubts.push_back(fmt::format("print, or a thing that lies on it, covers much of the {} edge of the sheet, so that its place is less sure", names[i]));
    }
    if (seen.sides[i].unrest <= kRestless) continue;
    doubts.push_back(fmt::format("a pattern runs across what was taken for the {} edge: check that the frame lies on the "
                                 "sheet and not on the table",
                                 names[i]));
  }
  if (search.beside) {
    const Point off = Middle(*search.beside) - Middle(seen.quad);
    const char* where = std::abs(off.x) > std::abs(off.y) ? (off.x > 0 ? "to the right of" : "to the left of") : off.y > 0 ? "below" : "above";
    doubts.push_back(fmt::format("another sheet lies {} the one that was measured: check that the frame lies on the sheet you mean, or photograph it alone", where));
  } else if (search.rival && search.rival->score > kNearRival * search.sheet->score) {
    doubts.push_back("another outline looks nearly as much like the sheet: check that the frame lies on the sheet");
  }
  return doubts;
}

bool IsPaper(const SeenSheet& seen) {
  int clear = 0;
  for (const SeenSide& side : seen.sides) {
    if (side.outside <= 0.5 && side.support >= 0.6 && side.contrast >= 15) ++clear;
  }
  return clear >= 2 && seen.chroma_spread < 6 && seen.chroma < 18;
}

bool Whole(const std::optional<SoughtSheet>& s) {
  if (!s || s->seen.LeastSupport() < kLeastCoarse || s->seen.MeanSupport() < kLeastCoarseMean) return false;
  // Paper is of one colour all round, tiles are not.
  if (s->seen.chroma_spread > 15) return false;
  const auto outshone = std::count_if(s->seen.sides.begin(), s->seen.sides.end(),
                                      [](const SeenSide& side) { return side.outshone > kMostOutshone; });
  if (outshone > 1) return false;
  if (HasRow(s->seen) && !RatioBearsOut(*s)) return false;
  // A ratio that no camera explains is a wrong plan at best; then everything else must
  // speak for a sheet.
  const double off = std::abs(s->contradiction);
  if (off > kHopelessRatio) return false;
  return off <= kOddRatio || (s->seen.MeanSupport() > 0.8 && s->share > 0.15 && s->seen.chroma < 25);
}

bool IsBeyondDoubt(const SoughtSheet& s) {
  return s.seen.LeastSupport() > 0.8 && s.seen.chroma_spread < 5 && s.seen.MostUnrest() < kRestless &&
         std::abs(s.contradiction) < kOddRatio;
}

bool IsPartOfCutSheet(const SheetSearch& search) {
  if (!search.cut_off || !IsPaper(search.cut_off->seen)) return false;
  const SeenSheet &part = search.sheet->seen, &all = search.cut_off->seen;
  const bool odd = std::any_of(part.sides.begin(), part.sides.end(), [](const SeenSide& side) {
    return side.papery < 0.5 || side.outshone > 0.3;
  });
  if (!odd || QuadArea(all.quad) < 1.05 * QuadArea(part.quad)) return false;
  // 8 px of the small picture: sides found twice differ by less.
  return std::all_of(part.quad.begin(), part.quad.end(),
                     [&](Point corner) { return SignedDistance(all.quad, corner) > -8; });
}

}  // namespace truepull
