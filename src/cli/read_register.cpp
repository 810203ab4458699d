// SPDX-License-Identifier: Apache-2.0
// `read --pass NAME --before READING...`: how a later pass sits on those before it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <system_error>

#include "cli/read_job.h"
#include "truepull/beneath.h"
#include "truepull/detect.h"
#include "truepull/fitted_lattice.h"
#include "truepull/io.h"
#include "truepull/photo_file.h"
#include "truepull/placement.h"
#include "truepull/reading_cache.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

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
  const double x = a.sheet.width_mm / b.sheet.width_mm, y = a.sheet.height_mm / b.sheet.height_mm;
  // Of a sheet that grew between two photos, places are alike in shares of it.
  const bool grown = std::abs(x - 1) > 1e-9 || std::abs(y - 1) > 1e-9;
  if (std::abs(x - 1) > 0.05 || std::abs(y - 1) > 0.05) return false;
  for (const Site s : AllSites(a.lattice)) {
    const Pose p = IdealPose(a.lattice, s), q = IdealPose(b.lattice, s);
    if (Norm(p.at - Point{q.at.x * x, q.at.y * y}) > (grown ? 1.0 : 1e-6) || std::abs(WrapTurn(p.turn_rad - q.turn_rad)) > 1e-9) return false;
  }
  return true;
}

bool SameFile(const fs::path& a, const fs::path& b) {
  std::error_code ec;
  return fs::equivalent(a, b, ec);
}

// The plan for the sheet as it is in this photo.
Plan PlanAsPhotographed(const Plan& plan, const std::vector<Reading>& before, SheetState now) {
  if (before.empty()) return plan;
  const Reading& from = before.front();
  const PullState state = StateAtPull(from.plan, from.sheet.state, now);
  Plan out = plan;
  if (!state.known) return out;
  const double x = state.width_mm / plan.sheet.width_mm, y = state.height_mm / plan.sheet.height_mm;
  if (x == 1 && y == 1) return out;
  const auto grown = [&](Point p) { return Point{p.x * x, p.y * y}; };
  // Middles move with the sheet, plates keep their size: the reference point lags by its share of the arm.
  const Site first{0, 0};
  const Point arm = Rotation(IdealPose(plan.lattice, first).turn_rad) * Centroid(OutlineAt(plan, first));
  out.sheet.width_mm = state.width_mm, out.sheet.height_mm = state.height_mm;
  out.lattice.origin = grown(plan.lattice.origin + arm) - arm;
  out.lattice.across = grown(plan.lattice.across), out.lattice.down = grown(plan.lattice.down);
  return out;
}

// The sheet as it was before this pass; nothing where neither a photo nor a drawing would do.
Result<std::optional<Beneath>> FindBeneath(const ReadOptions& options, const std::string& pass_name, const fs::path& photo, const std::vector<Reading>& before) {
  const Reading& last = before.back();
  std::vector<fs::path> places;
  if (!options.beneath.empty()) {
    places.emplace_back(options.beneath);
  } else {
    std::vector<fs::path> folders{photo.parent_path(), "."};
    for (const std::string& reading : options.before) {
      folders.push_back(fs::path(reading).parent_path());
      folders.push_back(fs::path(reading).parent_path() / "..");
    }
    for (const fs::path& folder : folders) places.push_back((folder.empty() ? fs::path(".") : folder) / last.photo_name);
  }
  for (const fs::path& place : places) {
    std::error_code ec;
    const bool named = !options.beneath.empty();
    if (!named && (!fs::is_regular_file(place, ec) || SameFile(place, photo))) continue;
    const auto bytes = ReadWholeFile(place, std::size_t{512} << 20);
    if (!bytes) return bytes.error();
    const bool same = !last.photo_key.empty() && ReadingCache::KeyOf(*bytes) == last.photo_key;
    if (!named && !same) continue;
    auto picture = DecodePhoto(*bytes, place.filename().string());
    if (!picture) return picture.error();
    if (!same && (!last.photo_key.empty() || picture->bgr.cols != last.sheet.photo_width_px || picture->bgr.rows != last.sheet.photo_height_px)) {
      return Error{ErrorCode::kBadArgument, fmt::format("--beneath {}: is not the photo that the reading of {} was made from ({})", options.beneath, last.pass, last.photo_name),
                   "give that photo, or leave out --beneath"};
    }
    return std::optional(Beneath{*std::move(picture), last.sheet.camera, last.plan, false});
  }
  // Drawn ones leave the textures in, which hide an edge that lies on the edge of what is beneath.
  const auto pass = std::find_if(last.plan.passes.begin(), last.plan.passes.end(), [&](const Pass& p) { return p.name == pass_name; });
  if (pass == last.plan.passes.end() || pass->outline.empty()) return std::optional<Beneath>();
  std::vector<const Reading*> all;
  for (const Reading& r : before) all.push_back(&r);
  return std::optional(DrawBeneath(all));
}

}  // namespace

Result<std::vector<Reading>> LoadBefore(const ReadOptions& options, const Plan& plan, const std::string& pass) {
  std::vector<Reading> out;
  for (const std::string& file : options.before) {
    const auto text = ReadWholeFile(file, std::size_t{64} << 20);
    if (!text) return text.error();
    auto earlier = ParseReading(*text, fs::path(file).filename().string());
    if (!earlier) return earlier.error();
    const bool fitted = plan.lattice.fit_origin;
    if (!fitted && !SamePlaces(plan, earlier->plan)) {
      return Error{ErrorCode::kInvalidFile, file + ": was read by another plan (its sites lie elsewhere)", "give a reading of this sheet by this plan"};
    }
    if (earlier->pass == pass) {
      return Error{ErrorCode::kBadArgument, fmt::format("--before {}: is a reading of pass {} too", file, earlier->pass),
                   "say which pass the photo shows: --pass NAME"};
    }
    out.push_back(*std::move(earlier));
  }
  // In the order of pulling: the last is the sheet as it was before this pass.
  const auto place = [&](const Reading& r) {
    const auto at = std::find_if(plan.passes.begin(), plan.passes.end(), [&](const Pass& p) { return p.name == r.pass; });
    return at == plan.passes.end() ? std::ptrdiff_t{-1} : at - plan.passes.begin();
  };
  std::stable_sort(out.begin(), out.end(), [&](const Reading& a, const Reading& b) { return place(a) < place(b); });
  return out;
}

Result<Reading> MeasureOnBefore(const ReadOptions& options, const Photo& photo, const fs::path& file, const Plan& as_planned,
                                const std::string& pass_name, const std::vector<Reading>& before, std::vector<std::string>& lines) {
  const Plan plan = PlanAsPhotographed(as_planned, before, options.sheet);
  const auto seen = PlanOfPass(plan, pass_name);
  if (!seen) return seen.error();
  const auto place = PlaceOfSheet(photo, plan.sheet, options.place_by);
  if (!place) return place.error();
  const auto beneath = FindBeneath(options, pass_name, file, before);
  if (!beneath) return beneath.error();
  const std::string& name = before.back().photo_name;
  if (!*beneath) {
    lines.push_back(fmt::format("{}, the photo of what lies beneath, is not at hand: with --beneath PHOTO the places would be surer", name));
    return MeasureByPlan(photo, plan, pass_name, 0, options.place_by);
  }
  const auto pass = std::find_if(plan.passes.begin(), plan.passes.end(), [&](const Pass& p) { return p.name == pass_name; });
  const bool hides = pass != plan.passes.end() && pass->opacity.value_or(Opacity::kTransparent) != Opacity::kTransparent;
  auto news = OnlyWhatIsNew(photo, place->frame, plan, **beneath, pass != plan.passes.end() ? pass->colour : "", hides);
  if (!news) return news.error();
  lines.push_back((*beneath)->drawn ? fmt::format("{} is not at hand: what lies beneath was drawn from its reading; with --beneath PHOTO the places are surer", name)
                                    : fmt::format("held against {}, the photo of what lies beneath", name));
  Reading reading{plan, {}, photo.name, pass_name, {}};
  if (seen->lattice.fit_origin) {
    auto fitted = MeasureSheetFittingLattice(news->photo, news->frame, *seen);
    if (!fitted) return fitted.error();
    reading.plan = std::move(fitted->plan), reading.sheet = std::move(fitted->sheet);
    KeepMeasuredPrints(reading);
    return reading;
  }
  DetectOptions how;
  how.way_up_known = true;
  auto sheet = MeasureSheet(news->photo, news->frame, *seen, how);
  if (!sheet) return sheet.error();
  reading.sheet = *std::move(sheet);
  KeepMeasuredPrints(reading);
  return reading;
}

RegisterFiles CompareWithBefore(const Reading& reading, const std::vector<Reading>& before) {
  RegisterFiles out;
  out.csv = "row,column,pass,to,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg\n";
  for (const Reading& earlier : before) {
    const Sheet &now = reading.plan.sheet, &then = earlier.plan.sheet;
    const PullState state = StateAtPull(reading.plan, earlier.sheet.state, reading.sheet.state);
    PassRegister r = RegisterBetween(reading.plan, reading.sheet, earlier.sheet, now.width_mm / then.width_mm - 1, now.height_mm / then.height_mm - 1);
    r.pass = reading.pass, r.to = earlier.pass;
    out.csv += Rows(r);
    if (r.sites.empty()) {
      out.lines.push_back(fmt::format("{} on {}: no site shows both", r.pass, r.to));
      continue;
    }
    out.lines.push_back(fmt::format("{} on {}: {:+.2f} mm in x, {:+.2f} mm in y (each to {:.2f} mm), turned {:+.2f} degrees, in the mean; spread {:.2f} mm (to {:.2f}) "
                                    "and {:.2f} degrees a placement; most at {}: {:.2f} mm{}",
                                    r.pass, r.to, r.mean.x, r.mean.y, r.sd_mean_mm, DegFromRad(r.mean_turn_rad), r.spread_mm, r.sd_spread_mm,
                                    DegFromRad(r.spread_turn_rad), SiteLabel(r.worst), r.worst_mm,
                                    state.known ? "" : "; not corrected for dampness"));
  }
  return out;
}

}  // namespace truepull
