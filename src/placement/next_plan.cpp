// SPDX-License-Identifier: Apache-2.0
// The next pass over the whole sheet: the two extremes, what was chosen, what it leaves.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "placement/next_problem.h"
#include "truepull/placement.h"

namespace truepull {
namespace {

// With a trap, gaps wider than it are closed before anything else is looked at.
constexpr double kWhiteBeyondTrap = 300;

const Correction* WordOn(const std::vector<Correction>& corrections, Site site) {
  const auto it = std::find_if(corrections.begin(), corrections.end(),
                               [&](const Correction& c) { return c.site == site; });
  return it == corrections.end() ? nullptr : &*it;
}

Action ActionFor(SiteState state) {
  switch (state) {
    case SiteState::kPrinted: return Action::kPull;
    case SiteState::kWeak: return Action::kStrengthen;
    default: return Action::kLook;
  }
}

// What is weak about a pull: pale but complete (a ghost), patchy, or both.
std::string PaleWords(const SiteReading& s, double prints) {
  const double covered = prints > 0 ? s.coverage / prints : s.coverage;
  const std::string pale = fmt::format("pale: {:.0f} % of a full pull", 100 * s.strength);
  const std::string patchy = fmt::format("patchy: colour on {:.0f} % of what should print", 100 * std::min(1.0, covered));
  if (covered >= 0.8 && s.strength > 0) return "ghost, complete but " + pale;
  if (s.strength >= 0.45) return patchy;
  return s.strength > 0 ? pale + ", and " + patchy : patchy;
}

// A pose brought back along the straight way to its impression until it is within the limit.
Pose Within(const BalanceSite& s, const Pose& wanted, double limit) {
  const Pose& home = *s.impression;
  const Point from = Apply(home, s.middle), way = Apply(wanted, s.middle) - from;
  const double turn = WrapTurn(wanted.turn_rad - home.turn_rad);
  const auto part = [&](double share) {
    const double t = home.turn_rad + share * turn;
    return Pose{from + share * way - Rotation(t) * s.middle, WrapTurn(t)};
  };
  const auto fits = [&](double share) {
    return Norm(part(share).at - home.at) <= limit &&
           std::hypot(share * Norm(way), share * s.radius_mm * turn) <= limit;
  };
  if (fits(1)) return wanted;
  double low = 0, high = 1;
  for (int i = 0; i < 50; ++i) (fits((low + high) / 2) ? low : high) = (low + high) / 2;
  return part(low);
}

struct Chosen {
  std::vector<Pose> places;
  std::vector<bool> held_back;
};

// `ideals`: where --favour lattice puts each plate.
Chosen Choose(const NextProblem& problem, const NextPassRequest& request, const std::vector<Pose>& ideals,
              const std::vector<Pose>& on_register, const std::vector<Pose>& fit) {
  const std::size_t n = on_register.size();
  Chosen out{{}, std::vector<bool>(n, false)};
  if (request.lattice) {
    for (std::size_t i = 0; i < n; ++i) {
      const BalanceSite& s = problem.free.sites[i];
      const bool limited = request.trap_mm > 0 && s.impression;
      out.places.push_back(limited ? Within(s, ideals[i], request.trap_mm) : ideals[i]);
      out.held_back[i] = limited && out.places[i] != ideals[i];
    }
    return out;
  }
  if (request.favour <= 0) return {on_register, out.held_back};
  if (request.favour >= 1 && request.trap_mm <= 0) return {fit, out.held_back};
  BalanceProblem p = problem.free;
  p.favour = std::min(1.0, request.favour);
  if (request.trap_mm > 0) {
    p.white_from_mm = request.trap_mm;
    p.white = kWhiteBeyondTrap / p.favour;
    for (BalanceSite& s : p.sites) s.limit_mm = request.trap_mm;
  }
  for (std::size_t i = 0; i < n; ++i) p.sites[i].start = on_register[i];
  BalanceResult result = Balance(p);
  out.places = std::move(result.places);
  for (std::size_t i = 0; i < n; ++i) {
    // What the method leaves over (under a millionth) is taken away, so that a limit is a limit.
    if (result.at_limit[i]) out.places[i] = Within(p.sites[i], out.places[i], request.trap_mm);
    out.held_back[i] = result.at_limit[i];
  }
  return out;
}

std::optional<SeamOutlook::Gap> GapOf(const SeamNet& net, const SeamLink& link, const std::vector<Pose>& places) {
  const auto seam = net.Measure(link, places[link.a], places[link.b]);
  if (!seam) return std::nullopt;
  return SeamOutlook::Gap{seam->mean_gap_mm, seam->worst_gap_mm};
}

// Seams that stay wider than the trap, in words, one sentence for each of their sites.
void NameUnmet(const NextPassRequest& request, const SeamNet& net, const std::vector<bool>& held_back, NextPass& out) {
  if (request.trap_mm <= 0) return;
  std::vector<std::string> gaps(out.placements.size());
  for (const SeamLink& link : net.links()) {
    const auto seam = net.Measure(link, out.placements[link.a].place, out.placements[link.b].place);
    if (!seam || seam->worst_gap_mm - seam->ideal_gap_mm < request.trap_mm + 0.01) continue;
    for (const auto& [site, other] : {std::pair(link.a, link.b), std::pair(link.b, link.a)}) {
      gaps[site] += fmt::format("{}to {} {:.1f} mm", gaps[site].empty() ? "" : ", ", SiteLabel(net.sites()[other]), seam->worst_gap_mm);
    }
  }
  for (std::size_t i = 0; i < gaps.size(); ++i) {
    if (gaps[i].empty()) continue;
    Placement& p = out.placements[i];
    const std::string why = held_back[i]
        ? fmt::format("moved the whole trap of {:g} mm, yet a gap stays {}", request.trap_mm, gaps[i])
        : fmt::format("a gap of more than the trap of {:g} mm stays {}", request.trap_mm, gaps[i]);
    p.reason += (p.reason.empty() ? "" : "; ") + why;
    out.unmet.push_back(SiteLabel(p.site) + ": " + why);
  }
  for (std::size_t i = 0; i < out.placements.size(); ++i) {
    Placement& p = out.placements[i];
    if (request.lattice && held_back[i]) {
      const std::string why = fmt::format("its ideal place is further from its impression than the trap of {:g} mm", request.trap_mm);
      p.reason += (p.reason.empty() ? "" : "; ") + why;
      out.unmet.push_back(SiteLabel(p.site) + ": " + why);
    } else if (held_back[i] && p.reason.empty()) {
      p.reason = fmt::format("held back by the trap of {:g} mm", request.trap_mm);
    }
  }
}

}  // namespace

NextPass PlanNextPass(const Reading& reading, const std::vector<Correction>& corrections,
                      const NextPassRequest& request) {
  const Reading corrected = ApplyCorrections(reading, corrections);
  const Plan& plan = corrected.plan;
  const DriftReport report = MeasureDrift(plan, corrected.sheet);
  std::vector<std::optional<Pose>> lie;
  for (const SiteDrift& s : report.sites) {
    lie.push_back(s.state == SiteState::kMissing ? std::nullopt : std::optional(s.found));
  }
  const SeamNet net(plan, lie);
  const NextProblem problem = MakeNextProblem(report, net, request.state, request.finish);

  NextPass out;
  if (report.sheet_part) {
    out.on_register = Balance(problem.on_register).places;
    BalanceProblem fit = problem.free;
    fit.favour = 1;
    out.fit = Balance(fit).places;
  } else {
    out.on_register = out.fit = problem.ideals;  // Nothing printed: nothing to follow.
  }
  Chosen chosen;
  if (request.finish) {
    // What is printed stays where it is; the rest joins it, or goes to the lattice if that is asked.
    chosen = {out.on_register, std::vector<bool>(lie.size(), false)};
    for (std::size_t i = 0; request.lattice && i < lie.size(); ++i) {
      if (!lie[i]) chosen.places[i] = problem.ideals[i];
    }
  } else if (request.blocks) {
    std::vector<std::optional<Pose>> impressions;
    for (const BalanceSite& s : problem.free.sites) impressions.push_back(s.impression);
    out.blocks = PlaceBlocks(plan, request.block_rows, request.block_columns, impressions);
    chosen = {std::vector<Pose>(lie.size()), std::vector<bool>(lie.size(), false)};
    for (const BlockMove& block : out.blocks) {
      for (const std::size_t i : block.sites) chosen.places[i] = Apply(block.move, IdealPose(plan.lattice, net.sites()[i]));
    }
  } else {
    // A tile that lies upside down and is kept so has its ideal over the same middle, as it lies.
    std::vector<Pose> ideals = problem.ideals;
    for (std::size_t i = 0; i < ideals.size(); ++i) {
      const Correction* word = WordOn(corrections, net.sites()[i]);
      if (word != nullptr && word->keep_turned) ideals[i] = PoseAtThePull(net.KindAt(i).outline, net.FacedUp(i), request.state);
    }
    chosen = Choose(problem, request, ideals, out.on_register, out.fit);
  }

  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const SiteDrift& s = report.sites[i];
    const Correction* word = WordOn(corrections, s.site);
    Placement p;
    p.site = s.site;
    p.action = ActionFor(s.state);
    p.place = chosen.places[i];
    if (s.state == SiteState::kMissing) {
      p.reason = "the place fits its neighbours";
      // The printer sees an impression where the photo shows none.
      if (word != nullptr && word->state && *word->state != SiteState::kMissing && !word->not_a_pull) {
        p.action = ActionFor(*word->state);
      }
      if (word != nullptr) {
        p.place.at = p.place.at + word->nudge_mm;
        p.place.turn_rad = WrapTurn(p.place.turn_rad + word->nudge_turn_rad);
      }
    } else {
      if (s.state == SiteState::kWeak && word == nullptr) {
        p.reason = PaleWords(corrected.sheet.sites[i], PlateAt(plan, s.site).prints);
      }
      p.register_mm = Norm(p.place.at - problem.free.sites[i].impression->at);
    }
    if (request.finish) {
      if (s.state == SiteState::kMissing) p.action = Action::kPull, p.reason = "not yet printed; " + p.reason;
      if (s.state == SiteState::kPrinted) p.action = Action::kLeave, p.reason = "printed";
    }
    if (request.blocks && p.register_mm && *p.register_mm > plan.tolerance.shift_mm &&
        (word == nullptr || word->keep_turned)) {
      p.reason += fmt::format("{}{:.1f} mm off its impression, more than the tolerance: one block cannot serve it",
                              p.reason.empty() ? "" : "; ", *p.register_mm);
      out.unmet.push_back(SiteLabel(s.site) + ": " + p.reason);
    }
    if (word != nullptr) {
      if (word->action) p.action = *word->action;
      if (!word->reason.empty()) p.reason = word->reason;
      else if (word->keep_turned && p.reason.empty()) p.reason = "kept turned, as it lies";
      p.corrected = true;
    }
    p.from_ideal = p.place.at - problem.ideals[i].at;
    p.from_ideal_turn_rad = WrapTurn(p.place.turn_rad - problem.ideals[i].turn_rad);
    out.placements.push_back(p);
  }

  std::vector<Pose> places;
  for (const Placement& p : out.placements) places.push_back(p.place);
  std::size_t found = 0;
  for (const SeamLink& link : net.links()) {
    SeamOutlook o;
    o.a = net.sites()[link.a], o.b = net.sites()[link.b];
    // The report's seams are in the same order, without those that could not be measured.
    if (found < report.seams.size() && report.seams[found].a == o.a && report.seams[found].b == o.b) {
      const Seam& s = report.seams[found++];
      o.found = SeamOutlook::Gap{s.mean_gap_mm, s.worst_gap_mm};
    }
    o.on_register = GapOf(net, link, out.on_register);
    o.fit = GapOf(net, link, out.fit);
    o.chosen = GapOf(net, link, places);
    out.seams.push_back(o);
  }
  NameUnmet(request, net, chosen.held_back, out);
  return out;
}

std::vector<Placement> PlaceNextPass(const Reading& reading, const std::vector<Correction>& corrections) {
  return PlanNextPass(reading, corrections, {}).placements;
}

}  // namespace truepull
