// SPDX-License-Identifier: Apache-2.0
// `read --pass NAME --before READING...`: how a later pass sits on those before it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/read_job.h"
#include "truepull/io.h"
#include "truepull/placement.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

std::string Number(double v) {
  const std::string s = fmt::format("{:.4f}", v);
  return s == "-0.0000" ? "0.0000" : s;
}

std::string Rows(const PassRegister& r) {
  std::string out;
  for (const SiteRegister& s : r.sites) {
    out += fmt::format("{},{},{},{},{},{},{},{},{},{}\n", s.site.row, s.site.column, r.pass, r.to, Number(s.shift.x), Number(s.shift.y),
                       Number(DegFromRad(s.turn_rad)), Number(s.sd_x_mm), Number(s.sd_y_mm), Number(DegFromRad(s.sd_turn_rad)));
  }
  return out;
}

bool SamePlaces(const Plan& a, const Plan& b) {
  if (AllSites(a.lattice) != AllSites(b.lattice)) return false;
  for (const Site s : AllSites(a.lattice)) {
    const Pose p = IdealPose(a.lattice, s), q = IdealPose(b.lattice, s);
    if (Norm(p.at - q.at) > 1e-6 || std::abs(WrapTurn(p.turn_rad - q.turn_rad)) > 1e-9) return false;
  }
  return true;
}

}  // namespace

Result<RegisterFiles> CompareWithBefore(const Reading& reading, const std::vector<std::string>& before) {
  RegisterFiles out;
  out.csv = "row,column,pass,to,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg\n";
  for (const std::string& file : before) {
    const auto text = ReadWholeFile(file, std::size_t{64} << 20);
    if (!text) return text.error();
    const auto earlier = ParseReading(*text, std::filesystem::path(file).filename().string());
    if (!earlier) return earlier.error();
    if (!SamePlaces(reading.plan, earlier->plan)) {
      return Error{ErrorCode::kInvalidFile, file + ": was read by another plan (its sites lie elsewhere)", "give a reading of this sheet by this plan"};
    }
    if (earlier->pass == reading.pass) {
      return Error{ErrorCode::kBadArgument, fmt::format("--before {}: is a reading of pass {} too", file, earlier->pass),
                   "say which pass the photo shows: --pass NAME"};
    }
    const PullState state = StateAtPull(reading.plan, earlier->sheet.state, reading.sheet.state);
    PassRegister r = RegisterBetween(reading.plan, reading.sheet, earlier->sheet, state.stretch_x, state.stretch_y);
    r.pass = reading.pass, r.to = earlier->pass;
    out.csv += Rows(r);
    if (r.sites.empty()) {
      out.lines.push_back(fmt::format("{} on {}: no site shows both", r.pass, r.to));
      continue;
    }
    out.lines.push_back(fmt::format("{} on {}: {:+.2f} mm in x, {:+.2f} mm in y (each to {:.2f} mm), turned {:+.2f} degrees, in the mean; spread {:.2f} mm "
                                    "and {:.2f} degrees a placement; most at {}: {:.2f} mm{}",
                                    r.pass, r.to, r.mean.x, r.mean.y, r.sd_mean_mm, DegFromRad(r.mean_turn_rad), r.spread_mm,
                                    DegFromRad(r.spread_turn_rad), SiteLabel(r.worst), r.worst_mm,
                                    state.known ? "" : "; not corrected for dampness"));
  }
  return out;
}

}  // namespace truepull
