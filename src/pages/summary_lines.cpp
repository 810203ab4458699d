// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "pages/amounts.h"
#include "truepull/pages.h"

namespace truepull {
namespace {

constexpr double kSure = 2;  // Standard uncertainties from which something is claimed ...
// ... if a printer can see it at all: a tenth of what a hand can place, and the stretch and
// turn that move the rim of a sheet of A3 by that.
constexpr double kSeenMm = 0.05;
constexpr double kSeenStretch = 0.0005;
constexpr double kSeenRad = 0.0005;

std::string Listed(const std::vector<Site>& sites) {
  constexpr std::size_t kMost = 8;
  std::string out;
  for (std::size_t i = 0; i < std::min(kMost, sites.size()); ++i) out += (i > 0 ? ", " : "") + SiteLabel(sites[i]);
  if (sites.size() > kMost) out += fmt::format(" and {} more", sites.size() - kMost);
  return out;
}

std::string PrintedLine(const DriftReport& drift) {
  std::vector<Site> weak, missing;
  for (const SiteDrift& d : drift.sites) {
    if (d.state == SiteState::kWeak) weak.push_back(d.site);
    if (d.state == SiteState::kMissing) missing.push_back(d.site);
  }
  const std::size_t all = drift.sites.size();
  if (missing.size() == all) return fmt::format("0 of {} sites printed: the sheet is empty", all);
  std::string line = fmt::format("{} of {} sites printed", all - missing.size(), all);
  if (!weak.empty()) line += fmt::format("; {} of them weak: {}", weak.size(), Listed(weak));
  if (!missing.empty()) line += fmt::format("; missing: {}", Listed(missing));
  return line;
}

std::string WholeLine(const SheetPart& p) {
  std::vector<std::string> sure;
  if (std::abs(p.shift.x) > std::max(kSeenMm, kSure * p.sd_shift_x_mm)) {
    sure.push_back(AmountMm(p.shift.x) + (p.shift.x > 0 ? " right" : " left"));
  }
  if (std::abs(p.shift.y) > std::max(kSeenMm, kSure * p.sd_shift_y_mm)) {
    sure.push_back(AmountMm(p.shift.y) + (p.shift.y > 0 ? " down" : " up"));
  }
  const double within_mm = std::max(std::abs(p.shift.x) + kSure * p.sd_shift_x_mm,
                                    std::abs(p.shift.y) + kSure * p.sd_shift_y_mm);
  std::string line = "the sheet as a whole lies ";
  if (sure.empty()) line += fmt::format("where it should, to within {}", AmountMm(within_mm));
  else line += fmt::format("{}{}", sure[0], sure.size() > 1 ? " and " + sure[1] : "");
  if (!p.has_turn) return line + "; too few sites for its turn";
  if (std::abs(p.turn_rad) > std::max(kSeenRad, kSure * p.sd_turn_rad)) {
    line += fmt::format(", turned {} {}", AmountDeg(p.turn_rad), p.turn_rad > 0 ? "clockwise" : "anticlockwise");
  } else {
    line += fmt::format("; its turn is under {}", AmountDeg(std::abs(p.turn_rad) + kSure * p.sd_turn_rad));
  }
  return line;
}

// "across the grain" where the grain is known, else by the sheet's sides.
std::string Way(const Plan& plan, bool x) {
  if (plan.sheet.grain == Grain::kUnknown) return x ? "from side to side" : "from top to bottom";
  return (plan.sheet.grain == Grain::kX) == x ? "along the grain" : "across the grain";
}

std::string ApartLine(const Reading& reading, const SheetPart& p) {
  if (!p.has_stretch_x && !p.has_stretch_y) return "too few sites to tell whether they stand further apart than planned";
  std::vector<std::string> sure;
  double within = 0;
  const auto weigh = [&](bool has, double stretch, double sd, double sd_scale, bool x) {
    if (!has) return;
    const double both = std::hypot(sd, sd_scale);  // The sheet's own size is part of it.
    if (std::abs(stretch) > std::max(kSeenStretch, kSure * both)) {
      sure.push_back(fmt::format("{} {} {}", AmountPercent(stretch), stretch > 0 ? "further apart" : "closer",
                                 Way(reading.plan, x)));
    } else {
      within = std::max(within, std::abs(stretch) + kSure * both);
    }
  };
  weigh(p.has_stretch_x, p.stretch_x, p.sd_stretch_x, reading.sheet.sd_scale_x, true);
  weigh(p.has_stretch_y, p.stretch_y, p.sd_stretch_y, reading.sheet.sd_scale_y, false);
  std::string line;
  if (sure.empty()) {
    line = fmt::format("tiles stand as far apart as planned, to within {}", AmountPercent(within));
  } else {
    line = "tiles stand " + sure[0] + (sure.size() > 1 ? " and " + sure[1] : "") +
           " than planned (paper or habit: one photo cannot tell)";
  }
  if (p.has_shear && std::abs(p.shear) > std::max(kSeenStretch, kSure * p.sd_shear)) {
    line += fmt::format("; rows and columns are {} out of square", AmountDeg(2 * p.shear));
  }
  return line;
}

std::string HandLine(const Plan& plan, const DriftReport& drift) {
  std::string line;
  if (drift.has_hand_sd) {
    line = fmt::format("by hand, tiles lie about {} each way and {} off what the sheet's own part explains",
                       AmountMm(drift.hand_sd_mm), AmountDeg(drift.hand_sd_turn_rad));
  } else {
    line = "too few sites to tell the hand's part from the sheet's";
  }
  std::vector<Site> out;
  for (const SiteDrift& d : drift.sites) {
    if (d.beyond_hand) out.push_back(d.site);
  }
  if (!out.empty()) {
    line += fmt::format("; beyond {} or {}: {}", AmountMm(plan.tolerance.shift_mm),
                        AmountDeg(plan.tolerance.turn_rad), Listed(out));
  }
  const Seam *gap = nullptr, *overlap = nullptr;
  for (const Seam& s : drift.seams) {
    const double off = s.mean_gap_mm - s.ideal_gap_mm;
    if (off > 0 && (!gap || off > gap->mean_gap_mm - gap->ideal_gap_mm)) gap = &s;
    if (off < 0 && (!overlap || off < overlap->mean_gap_mm - overlap->ideal_gap_mm)) overlap = &s;
  }
  const auto between = [](const Seam& s) { return SiteLabel(s.a) + " and " + SiteLabel(s.b); };
  if (gap && gap->mean_gap_mm > kSure * gap->sd_mean_gap_mm) {
    line += fmt::format("; widest gap {} between {}", AmountMm(gap->mean_gap_mm), between(*gap));
  }
  if (overlap && -overlap->mean_gap_mm > kSure * overlap->sd_mean_gap_mm) {
    line += fmt::format("; deepest overlap {} between {}", AmountMm(overlap->mean_gap_mm), between(*overlap));
  }
  return line;
}

// Of a pass that blocks print: each block's place, and what its cutting leaves.
std::vector<std::string> BlockLines(const DriftReport& drift) {
  std::vector<std::string> lines;
  for (const BlockPose& b : drift.blocks) {
    const std::string name = b.first == b.last ? SiteLabel(b.first) : SiteLabel(b.first) + " to " + SiteLabel(b.last);
    std::string line = fmt::format("block {}: ", name);
    if (b.pulls == 0) {
      lines.push_back(line + "nothing printed");
      continue;
    }
    const bool off = Norm(b.shift) > std::max(kSeenMm, kSure * b.sd_shift_mm);
    const std::string way = Direction(b.shift);
    line += off ? "put down " + AmountMm(Norm(b.shift)) + (way.empty() ? "" : " " + way) + " of its place"
                : fmt::format("put down where it should be, to within {}", AmountMm(Norm(b.shift) + kSure * b.sd_shift_mm));
    if (b.has_turn && std::abs(b.turn_rad) > std::max(kSeenRad, kSure * b.sd_turn_rad)) {
      line += fmt::format(", turned {} {}", AmountDeg(b.turn_rad), b.turn_rad > 0 ? "clockwise" : "anticlockwise");
    }
    if (!b.has_cut) line += "; too few sites to tell how it is cut";
    else if (b.cut_sd_mm > 0) line += fmt::format("; its tiles lie {} each way off that, most at {} ({}): the block's cutting, not the hand's",
                                                  AmountMm(b.cut_sd_mm), SiteLabel(b.worst), AmountMm(b.worst_mm));
    else line += "; its tiles lie where that puts them, as far as can be measured";
    lines.push_back(line);
  }
  return lines;
}

std::string WorstLine(const DriftReport& drift) {
  for (const SiteDrift& d : drift.sites) {
    if (!drift.worst || d.site != *drift.worst) continue;
    std::string line = fmt::format("worst site {}: {}", SiteLabel(d.site), AmountMm(Norm(d.shift)));
    const std::string way = Direction(d.shift);
    if (!way.empty()) line += " " + way;
    if (drift.has_hand_sd) line += fmt::format(", {} of it by hand", AmountMm(Norm(d.hand_shift)));
    return line;
  }
  return "";
}

}  // namespace

std::vector<std::string> SummaryLines(const Reading& reading, const DriftReport& drift) {
  std::vector<std::string> lines{PrintedLine(drift)};
  if (reading.plan.lattice.fit_origin) {
    lines.push_back("drift is measured from the lattice that fits this print best, not from a planned place");
  }
  if (!drift.sheet_part) return lines;
  lines.push_back(WholeLine(*drift.sheet_part));
  lines.push_back(ApartLine(reading, *drift.sheet_part));
  if (drift.blocks.empty()) lines.push_back(HandLine(reading.plan, drift));
  for (const std::string& line : BlockLines(drift)) lines.push_back(line);
  lines.push_back(WorstLine(drift));
  return lines;
}

bool NeedsALook(const Reading& reading, const DriftReport& drift) {
  return drift.weak > 0 || drift.missing > 0 || drift.beyond > 0 || !reading.sheet.findings.empty();
}

}  // namespace truepull
