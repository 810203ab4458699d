// SPDX-License-Identifier: Apache-2.0
#include "truepull/pull_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "truepull/site_colours.h"

namespace truepull {
namespace {

using PlateKey = std::pair<int, bool>;  // Plate and whether mirrored.

// Lightness enough to order colours: Rec. 709 weights on the code values.
double Lightness(const std::string& hex) {
  const auto part = [&](std::size_t at) { return std::stoi(hex.substr(at, 2), nullptr, 16); };
  return 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5);
}

// Rounds in which no two pulls touch: as few as the exact colouring finds, at most one more
// than the most neighbours a site has.
std::vector<int> RoundsOf(const std::vector<int>& group, const std::vector<SitePair>& touching) {
  std::map<int, int> place;
  for (std::size_t k = 0; k < group.size(); ++k) place[group[k]] = static_cast<int>(k);
  std::vector<SitePair> edges;
  for (const auto& [a, b] : touching) {
    const auto p = place.find(a), q = place.find(b);
    if (p != place.end() && q != place.end()) edges.emplace_back(p->second, q->second);
  }
  for (int rounds = 1;; ++rounds) {
    const auto found = ColourGraph(static_cast<int>(group.size()), edges, rounds, {}, 200000);
    if (found.answer == GraphColouring::Answer::kFound) return found.colour;
  }
}

// Far side first, in bands of sites about as far; within a band away from the hand first.
void SortForTheHand(std::vector<int>& sites, const std::vector<Point>& middles, double band_mm, bool left_handed) {
  const auto at = [&](int k) { return middles[static_cast<std::size_t>(k)]; };
  std::stable_sort(sites.begin(), sites.end(), [&](int a, int b) { return at(a).y < at(b).y; });
  for (std::size_t from = 0; from < sites.size();) {
    std::size_t to = from;
    while (to < sites.size() && at(sites[to]).y <= at(sites[from]).y + band_mm) ++to;
    std::stable_sort(sites.begin() + static_cast<std::ptrdiff_t>(from), sites.begin() + static_cast<std::ptrdiff_t>(to),
                     [&](int a, int b) { return left_handed ? at(a).x > at(b).x : at(a).x < at(b).x; });
    from = to;
  }
}

Status CheckTimes(const PullOrderRequest& r) {
  const auto refuse = [&](double room, const char* what, const char* hint) {
    return Error{ErrorCode::kBadArgument, fmt::format("one pull of {:.1f} minutes does not fit into {} of {:.1f} minutes", r.minutes_per_pull, what, room), hint};
  };
  if (r.damp_every_min && *r.damp_every_min < r.minutes_per_pull) {
    return refuse(*r.damp_every_min, "a damp spell", "give more minutes to --damp-every, or fewer to --minutes");
  }
  // A lesson must hold a wash and a damping too, or a plan could stand still.
  const double least = r.minutes_per_pull + r.minutes_per_wash + (r.damp_every_min ? r.minutes_per_damping : 0);
  if (r.lesson_min && *r.lesson_min < least) {
    return Error{ErrorCode::kBadArgument,
                 fmt::format("one pull with its wash{} takes {:.1f} minutes and does not fit into a lesson of {:.1f}",
                             r.damp_every_min ? " and damping" : "", least, *r.lesson_min),
                 "give more minutes to --lesson"};
  }
  return Done{};
}

// Goes through the pulls with a clock.
void Schedule(const PullOrderRequest& r, PullOrder& order) {
  std::map<PlateKey, int> charged;  // Colour on each plate used in this lesson.
  double clock = 0, damp_since = 0;
  bool first = true;
  for (PlannedPull& p : order.pulls) {
    const PlateKey plate{p.plate, p.mirrored};
    const auto on = charged.find(plate);
    bool wash = on != charged.end() && on->second != p.colour;
    double start = clock + (wash ? r.minutes_per_wash : 0);
    bool damp = r.damp_every_min && start + r.minutes_per_pull > damp_since + *r.damp_every_min + 1e-9;
    if (damp) start += r.minutes_per_damping;
    const bool over = r.lesson_min && start + r.minutes_per_pull > *r.lesson_min + 1e-9;
    if (first || over) {
      if (!first) {
        order.washes += static_cast<int>(charged.size());
        order.minutes += clock;
      }
      charged.clear();
      wash = false;
      damp = r.damp_every_min.has_value();
      start = damp ? r.minutes_per_damping : 0;
      ++order.lessons;
    }
    if (damp) damp_since = start, ++order.dampings;
    if (wash) ++order.washes;
    p.lesson = order.lessons - 1;
    p.wash_before = wash;
    p.damp_before = damp;
    p.starts_min = start;
    charged[plate] = p.colour;
    clock = start + r.minutes_per_pull;
    first = false;
  }
  order.washes += static_cast<int>(charged.size());
  order.minutes += clock;
}

}  // namespace

Result<PullOrder> OrderPulls(const Plan& plan, const PullOrderRequest& request) {
  if (const Status ok = CheckTimes(request); !ok) return ok.error();
  const std::vector<Site> sites = AllSites(plan.lattice);
  const std::vector<SitePair> touching = request.skip_neighbours ? TouchingSites(plan) : std::vector<SitePair>{};
  std::vector<Point> middles;
  double lowest = 1e300;
  for (const Site s : sites) {
    const Outline placed = Apply(IdealPose(plan.lattice, s), OutlineAt(plan, s));
    middles.push_back(Centroid(placed));
    lowest = std::min(lowest, BoundingBox(placed).Height());
  }
  // Lightest colour first; its dregs spoil a darker one less than the other way round.
  std::map<std::tuple<double, int, int, bool>, std::vector<int>> groups;
  std::set<PlateKey> plates;
  const std::set<Site> skipped(request.skip.begin(), request.skip.end());
  for (std::size_t k = 0; k < sites.size(); ++k) {
    if (skipped.contains(sites[k])) continue;
    const CellMember& m = MemberAt(plan.lattice, sites[k]);
    const int colour = PlannedColour(plan, sites[k]);
    const double light = colour < 0 ? 0 : -Lightness(plan.colours[static_cast<std::size_t>(colour)]);
    groups[{light, colour, m.plate, m.mirrored}].push_back(static_cast<int>(k));
    plates.insert({m.plate, m.mirrored});
  }
  PullOrder order;
  order.plates = static_cast<int>(plates.size());
  for (const auto& [key, group] : groups) {
    const std::vector<int> rounds = request.skip_neighbours ? RoundsOf(group, touching) : std::vector<int>(group.size(), 0);
    std::map<int, std::vector<int>> by_round;
    for (std::size_t k = 0; k < group.size(); ++k) by_round[rounds[k]].push_back(group[k]);
    for (auto& [round, members] : by_round) {
      // A fifth of a tile: a slip of rows, not half of a drop.
      SortForTheHand(members, middles, 0.2 * lowest, request.left_handed);
      for (const int k : members) {
        PlannedPull pull;
        pull.site = sites[static_cast<std::size_t>(k)];
        pull.colour = std::get<1>(key);
        pull.plate = std::get<2>(key);
        pull.mirrored = std::get<3>(key);
        pull.round = round;
        order.pulls.push_back(pull);
      }
    }
  }
  Schedule(request, order);
  return order;
}

}  // namespace truepull
