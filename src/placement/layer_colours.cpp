// SPDX-License-Identifier: Apache-2.0
#include "truepull/layer_colours.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace truepull {
namespace {

// The colour that lies at a site: as measured, else as planned; none where nothing lies.
std::string Below(const Plan& plan, const SiteReading& s) {
  if (s.state == SiteState::kMissing) return "";
  if (!s.body_colour.empty()) return s.body_colour;
  const int planned = s.colour >= 0 ? s.colour : PlannedColour(plan, s.site);
  if (planned >= 0 && planned < static_cast<int>(plan.colours.size())) return plan.colours[static_cast<std::size_t>(planned)];
  return plan.colours.size() == 1 ? plan.colours[0] : "";
}

const char* OpacityWord(Opacity o) {
  return o == Opacity::kOpaque ? "opaque" : o == Opacity::kHalf ? "half opaque" : "transparent";
}

}  // namespace

double HidingOf(Opacity opacity) { return opacity == Opacity::kOpaque ? 1 : opacity == Opacity::kHalf ? 0.5 : 0; }

Result<std::vector<SiteLayer>> PredictLayer(const Reading& reading, const Pass& pass) {
  const auto ink = ColourOfHex(pass.colour);
  if (!ink) {
    return Error{ErrorCode::kBadArgument, "pass " + pass.name + ": has no colour in the plan, so what it will look like cannot be told",
                 "give the pass a colour as it looks on the paper, for example colour: \"#203050\""};
  }
  if (!pass.opacity) {
    return Error{ErrorCode::kBadArgument, "pass " + pass.name + ": the plan does not say how opaque it is, so what it will look like cannot be told",
                 "give the pass opacity: transparent, half or opaque; try it on a scrap over a dark pull"};
  }
  const double hiding = HidingOf(*pass.opacity);
  std::map<std::string, SiteLayer> known;
  std::vector<SiteLayer> out;
  for (const SiteReading& s : reading.sheet.sites) {
    const std::string hex = Below(reading.plan, s);
    const auto [it, fresh] = known.emplace(hex, SiteLayer{});
    if (fresh) {
      const LinearColour below = ColourOfHex(hex).value_or(LinearColour{1, 1, 1});
      const LinearColour over = Overprint(below, *ink, hiding);
      SiteLayer& l = it->second;
      l.below = HexOfColour(below);
      l.over = HexOfColour(over);
      l.difference = ColourDifference(LabOf(below), LabOf(over));
      l.for_all_eyes = DifferenceForAllEyes(below, over);
      l.hardly_shows = l.difference < kHardlyShows;
    }
    out.push_back(it->second);
    out.back().site = s.site;
  }
  return out;
}

std::vector<OrderedPass> BestOrderOfPasses(const Plan& plan) {
  struct Known {
    const Pass* pass;
    double lightness;
    double hiding;
  };
  std::vector<Known> coloured;
  std::vector<OrderedPass> plain;
  for (const Pass& p : plan.passes) {
    const auto colour = ColourOfHex(p.colour);
    if (colour) coloured.push_back({&p, LabOf(*colour).L, p.opacity ? HidingOf(*p.opacity) : 0.5});
    else plain.push_back({p.name, "no colour is given"});
  }
  // Steps of lightness first, so that the order is one (nearness alone would not be).
  std::stable_sort(coloured.begin(), coloured.end(), [](const Known& a, const Known& b) {
    const double step_a = std::floor(a.lightness / 8), step_b = std::floor(b.lightness / 8);
    return step_a != step_b ? step_a > step_b : a.hiding > b.hiding;
  });
  std::vector<OrderedPass> out;
  for (const Known& k : coloured) {
    const char* light = k.lightness > 66 ? "light" : k.lightness > 40 ? "middling" : "dark";
    out.push_back({k.pass->name, fmt::format("{} (L* {:.0f}){}", light, k.lightness,
                                             k.pass->opacity ? std::string(", ") + OpacityWord(*k.pass->opacity) : "")});
  }
  out.insert(out.end(), plain.begin(), plain.end());
  return out;
}

}  // namespace truepull
