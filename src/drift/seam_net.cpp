// SPDX-License-Identifier: Apache-2.0
#include "drift/seam_net.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <unordered_map>

namespace truepull {
namespace {

constexpr double kShortestMm = 2.0;  // Less is a corner, not a shared edge.

// What makes two pairs alike: kinds, and B's ideal pose as A sees it, in microns.
using PairKey = std::array<long long, 5>;

PairKey KeyOf(std::size_t kind_a, std::size_t kind_b, const Pose& b_in_a) {
  return {static_cast<long long>(kind_a), static_cast<long long>(kind_b), std::llround(b_in_a.at.x * 1e3),
          std::llround(b_in_a.at.y * 1e3),
          std::llround(std::cos(b_in_a.turn_rad) * 1e4) * 40000 + std::llround(std::sin(b_in_a.turn_rad) * 1e4)};
}

// A tile that lies a good part of a turn off (upside down) is faced up as it lies, over
// the same middle; the nearest twelfth of a turn serves squares, hexagons and triangles.
Pose FaceAsItLies(const Pose& ideal, const Pose& found, Point middle_in_tile) {
  const double off = WrapTurn(found.turn_rad - ideal.turn_rad);
  constexpr double kTwelfth = std::numbers::pi / 6;
  if (std::abs(off) < RadFromDeg(25)) return ideal;
  const double turn = WrapTurn(ideal.turn_rad + std::round(off / kTwelfth) * kTwelfth);
  return {Apply(ideal, middle_in_tile) - Rotation(turn) * middle_in_tile, turn};
}

using FacingList = std::shared_ptr<const std::vector<SeamFacing>>;

// Around one tile every place of its edge belongs to the neighbour that is nearest there:
// what lies behind another tile, or round a corner, is no neighbour of that place.
std::vector<FacingList> Share(const TileKind& a, const std::vector<const std::vector<FacingSample>*>& candidates) {
  std::vector<std::size_t> owner(a.samples.size(), candidates.size());
  std::vector<double> nearest(a.samples.size(), std::numeric_limits<double>::infinity());
  for (std::size_t k = 0; k < candidates.size(); ++k) {
    for (const FacingSample& f : *candidates[k]) {
      if (f.distance_mm < nearest[f.sample] - 1e-6) nearest[f.sample] = f.distance_mm, owner[f.sample] = k;
    }
  }
  std::vector<FacingList> out;
  for (std::size_t k = 0; k < candidates.size(); ++k) {
    auto list = std::make_shared<std::vector<SeamFacing>>();
    for (const FacingSample& f : *candidates[k]) {
      if (owner[f.sample] == k) list->push_back({f.sample, f.along_b_mm});
    }
    if (a.Step() * static_cast<double>(list->size()) < kShortestMm) list->clear();
    out.push_back(std::move(list));
  }
  return out;
}

}  // namespace

SeamNet::SeamNet(const Plan& plan, std::span<const std::optional<Pose>> lie) : sites_(AllSites(plan.lattice)) {
  std::map<std::pair<int, bool>, std::size_t> kind_index;
  for (std::size_t i = 0; i < sites_.size(); ++i) {
    const CellMember& member = MemberAt(plan.lattice, sites_[i]);
    const auto [it, fresh] = kind_index.emplace(std::pair(member.plate, member.mirrored), kinds_.size());
    if (fresh) kinds_.push_back(std::make_unique<TileKind>(OutlineAt(plan, sites_[i])));
    kind_of_.push_back(it->second);
    const Pose ideal = IdealPose(plan.lattice, sites_[i]);
    const bool lies = i < lie.size() && lie[i];
    ideals_.push_back(lies ? FaceAsItLies(ideal, *lie[i], kinds_[it->second]->middle) : ideal);
  }
  Link();
}

void SeamNet::Link() {
  double reach = 0;
  for (const auto& kind : kinds_) reach = std::max(reach, kind->reach);
  // Tiles are sorted into squares of one reach, so that only near ones are paired.
  const double square = 2 * reach + kSeamReachMm;
  std::vector<Point> middles;
  for (std::size_t i = 0; i < sites_.size(); ++i) middles.push_back(Apply(ideals_[i], KindAt(i).middle));
  const auto square_of = [&](double v) { return static_cast<long long>(std::floor(v / square)); };
  const auto key_of = [](long long x, long long y) { return x * 2000003LL + y; };
  std::unordered_map<long long, std::vector<std::size_t>> squares;
  for (std::size_t i = 0; i < sites_.size(); ++i) {
    squares[key_of(square_of(middles[i].x), square_of(middles[i].y))].push_back(i);
  }

  std::map<PairKey, std::vector<FacingSample>> faced;      // A lattice has few.
  std::map<std::vector<PairKey>, std::vector<FacingList>> shared;
  std::vector<std::pair<PairKey, std::size_t>> near;
  std::vector<PairKey> signature;
  for (std::size_t a = 0; a < sites_.size(); ++a) {
    near.clear();
    for (long long dx = -1; dx <= 1; ++dx) {
      for (long long dy = -1; dy <= 1; ++dy) {
        const auto it = squares.find(key_of(square_of(middles[a].x) + dx, square_of(middles[a].y) + dy));
        if (it == squares.end()) continue;
        for (const std::size_t b : it->second) {
          if (b == a || Norm(middles[b] - middles[a]) > KindAt(a).reach + KindAt(b).reach + kSeamReachMm) continue;
          const Pose b_in_a{ApplyInverse(ideals_[a], ideals_[b].at),
                            WrapTurn(ideals_[b].turn_rad - ideals_[a].turn_rad)};
          near.emplace_back(KeyOf(kind_of_[a], kind_of_[b], b_in_a), b);
          auto found = faced.find(near.back().first);
          if (found == faced.end()) {
            faced.emplace(near.back().first, FaceUp(KindAt(a), KindAt(b), b_in_a));
          }
        }
      }
    }
    std::sort(near.begin(), near.end());
    signature.clear();
    for (const auto& [key, b] : near) signature.push_back(key);
    auto it = shared.find(signature);
    if (it == shared.end()) {
      std::vector<const std::vector<FacingSample>*> candidates;
      for (const PairKey& key : signature) candidates.push_back(&faced.at(key));
      it = shared.emplace(signature, Share(KindAt(a), candidates)).first;
    }
    const std::size_t before = links_.size();
    for (std::size_t k = 0; k < near.size(); ++k) {
      const std::size_t b = near[k].second;
      if (b > a && !it->second[k]->empty()) links_.push_back({a, b, it->second[k]});
    }
    std::sort(links_.begin() + static_cast<std::ptrdiff_t>(before), links_.end(),
              [](const SeamLink& p, const SeamLink& q) { return p.b < q.b; });
  }
}

}  // namespace truepull
