// SPDX-License-Identifier: Apache-2.0
#include "truepull/site_colours.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <optional>
#include <set>
#include <utility>

namespace truepull {
namespace {

constexpr int kMostPlaces = 24;        // Of a repeating pattern, in lattice cells.
constexpr long kFewSteps = 100000;     // For one repeating pattern; most need hundreds.

class Colourer {
 public:
  Colourer(int nodes, const std::vector<SitePair>& edges, int colours, const std::vector<int>& weights, long most)
      : colours_(colours), left_(most), next_(static_cast<std::size_t>(nodes)), colour_(static_cast<std::size_t>(nodes), -1),
        weight_(weights), used_(static_cast<std::size_t>(colours), 0), near_(static_cast<std::size_t>(nodes)) {
    if (weight_.empty()) weight_.assign(static_cast<std::size_t>(nodes), 1);
    for (auto& n : near_) n.assign(static_cast<std::size_t>(colours), 0);
    for (const auto& [a, b] : edges) {
      next_[static_cast<std::size_t>(a)].push_back(static_cast<std::size_t>(b));
      next_[static_cast<std::size_t>(b)].push_back(static_cast<std::size_t>(a));
    }
  }

  GraphColouring Run() {
    GraphColouring out;
    const bool found = Go(0);
    out.answer = found ? GraphColouring::Answer::kFound
                       : left_ <= 0 ? GraphColouring::Answer::kUnsettled : GraphColouring::Answer::kImpossible;
    if (found) out.colour = colour_;
    return out;
  }

 private:
  bool Go(std::size_t done) {
    if (done == colour_.size()) return true;
    if (--left_ <= 0) return false;
    // The node with the fewest colours left; among them the one with most neighbours.
    std::size_t node = colour_.size();
    std::pair<int, std::size_t> best{-1, 0};
    for (std::size_t k = 0; k < colour_.size(); ++k) {
      if (colour_[k] >= 0) continue;
      const auto barred = static_cast<int>(std::count_if(near_[k].begin(), near_[k].end(), [](int c) { return c > 0; }));
      if (const std::pair<int, std::size_t> rank{barred, next_[k].size()}; node == colour_.size() || rank > best) best = rank, node = k;
    }
    // Least used first, for evenness. Of colours that nobody has yet one is as good as
    // another: the first stands for all.
    std::vector<std::size_t> order(static_cast<std::size_t>(colours_));
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return used_[a] < used_[b]; });
    bool fresh_tried = false;
    for (const std::size_t c : order) {
      if (near_[node][c] > 0) continue;
      if (used_[c] == 0 && std::exchange(fresh_tried, true)) continue;
      Set(node, c, 1);
      if (Go(done + 1)) return true;
      Set(node, c, -1);
      if (left_ <= 0) return false;
    }
    return false;
  }

  void Set(std::size_t node, std::size_t c, int by) {
    colour_[node] = by > 0 ? static_cast<int>(c) : -1;
    used_[c] += by * weight_[node];
    for (const std::size_t other : next_[node]) near_[other][c] += by;
  }

  int colours_;
  long left_;
  std::vector<std::vector<std::size_t>> next_;
  std::vector<int> colour_, weight_, used_;
  std::vector<std::vector<int>> near_;  // Per node and colour: neighbours that have it.
};

// How unevenly a colouring uses its colours: most less least.
int Unevenness(const std::vector<int>& colour, const std::vector<int>& weight, int colours) {
  std::vector<int> used(static_cast<std::size_t>(colours), 0);
  for (std::size_t k = 0; k < colour.size(); ++k) used[static_cast<std::size_t>(colour[k])] += weight[k];
  const auto [least, most] = std::minmax_element(used.begin(), used.end());
  return *most - *least;
}

// The sheet folded up so that places `rows` and `columns` apart are one.
struct Folded {
  int rows, columns, members;
  std::vector<SitePair> edges;
  std::vector<int> weights;
  bool possible = true;  // No tile touches one that is folded onto it.
  int Of(Site s) const {
    const int c = s.column / members, m = s.column % members;
    return ((s.row % rows) * columns + c % columns) * members + m;
  }
};

Folded Fold(const Plan& plan, const std::vector<Site>& sites, const std::vector<SitePair>& touching, int rows, int columns) {
  Folded f{rows, columns, static_cast<int>(plan.lattice.cell.size()), {}, {}, true};
  f.weights.assign(static_cast<std::size_t>(rows * columns * f.members), 0);
  for (const Site s : sites) ++f.weights[static_cast<std::size_t>(f.Of(s))];
  std::set<SitePair> edges;
  for (const auto& [a, b] : touching) {
    const int p = f.Of(sites[static_cast<std::size_t>(a)]), q = f.Of(sites[static_cast<std::size_t>(b)]);
    if (p == q) f.possible = false;
    edges.insert(std::minmax(p, q));
  }
  f.edges.assign(edges.begin(), edges.end());
  return f;
}

std::vector<std::vector<int>> MapOf(const Plan& plan, const Folded& f, const std::vector<int>& colour) {
  std::vector<std::vector<int>> map;
  for (int r = 0; r < f.rows; ++r) {
    map.emplace_back();
    for (int c = 0; c < FileColumns(plan.lattice); ++c) map.back().push_back(colour[static_cast<std::size_t>(f.Of({r, c}))]);
  }
  return map;
}

}  // namespace

GraphColouring ColourGraph(int nodes, const std::vector<SitePair>& edges, int colours, const std::vector<int>& weights,
                           long most_steps) {
  return Colourer(nodes, edges, colours, weights, most_steps).Run();
}

Result<SpreadColours> SpreadColoursOver(const Plan& plan, int colours) {
  const std::vector<Site> sites = AllSites(plan.lattice);
  const Lattice& l = plan.lattice;
  std::vector<SitePair> touching = TouchingSites(plan);
  if (colours == 1) touching.clear();  // One colour is no spreading; nothing to keep apart.
  const int even_rows = l.stagger_rows != 0 ? 2 : 1, even_columns = l.stagger_columns != 0 ? 2 : 1;
  std::optional<SpreadColours> best;
  int best_uneven = 0;
  const auto take = [&](const Folded& f, long steps) {
    if (!f.possible) return GraphColouring::Answer::kImpossible;
    const auto found = ColourGraph(static_cast<int>(f.weights.size()), f.edges, colours, f.weights, steps);
    if (found.answer != GraphColouring::Answer::kFound) return found.answer;
    const int uneven = Unevenness(found.colour, f.weights, colours);
    if (!best || uneven < best_uneven) {
      best = SpreadColours{MapOf(plan, f, found.colour), f.rows, f.columns};
      best_uneven = uneven;
    }
    return found.answer;
  };
  for (int places = 1; places <= kMostPlaces && !(best && best_uneven <= 1); ++places) {
    for (int rows = 1; rows <= std::min(places, l.rows); ++rows) {
      const int columns = places / rows;
      if (places % rows != 0 || columns > l.columns) continue;
      // Where every other row is set back, only an even number of rows repeats.
      if ((rows % even_rows != 0 && rows != l.rows) || (columns % even_columns != 0 && columns != l.columns)) continue;
      take(Fold(plan, sites, touching, rows, columns), kFewSteps);
    }
  }
  if (best) return *best;
  const Folded whole = Fold(plan, sites, touching, l.rows, l.columns);
  const auto answer = take(whole, 2000000);
  if (best) return *best;
  int enough = colours + 1;
  while (enough < 64 && ColourGraph(static_cast<int>(whole.weights.size()), whole.edges, enough).answer != GraphColouring::Answer::kFound) ++enough;
  return Error{ErrorCode::kBadArgument,
               fmt::format("{} colours {} spread over this sheet so that no two touching tiles match; {} do", colours,
                           answer == GraphColouring::Answer::kImpossible ? "cannot be" : "could not be", enough),
               fmt::format("give {} colours, or a colour map of your own (--colour-map)", enough)};
}

Result<std::vector<std::vector<int>>> ParseColourMap(std::string_view text, const Plan& plan, int colours) {
  std::vector<std::vector<int>> typed{{}};
  const Error wrong{ErrorCode::kBadArgument, fmt::format("'{}' is no colour map", text),
                    "write rows of colour numbers, from 0, parted by slashes: \"0 1 / 1 0\""};
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (c == ' ' || c == ',') {
      ++i;
    } else if (c == '/') {
      typed.emplace_back();
      ++i;
    } else if (c >= '0' && c <= '9') {
      int n = 0;
      for (; i < text.size() && text[i] >= '0' && text[i] <= '9'; ++i) n = std::min(100000, 10 * n + (text[i] - '0'));
      if (n >= colours) {
        return Error{ErrorCode::kBadArgument, fmt::format("the colour map asks for colour {}, but {}", n,
                                                         colours == 1 ? "there is only colour 0" : fmt::format("the colours are 0 to {}", colours - 1)),
                     "it counts the colours from 0"};
      }
      typed.back().push_back(n);
    } else {
      return wrong;
    }
  }
  if (std::any_of(typed.begin(), typed.end(), [](const auto& row) { return row.empty(); })) return wrong;
  if (static_cast<int>(typed.size()) > plan.lattice.rows) typed.resize(static_cast<std::size_t>(plan.lattice.rows));
  for (auto& row : typed) {
    const std::vector<int> once = row;
    row.clear();
    for (int c = 0; c < FileColumns(plan.lattice); ++c) row.push_back(once[static_cast<std::size_t>(c) % once.size()]);
  }
  return typed;
}

}  // namespace truepull
