// SPDX-License-Identifier: Apache-2.0
// What the pass's colour will do: colours.csv, preview.png, and the order of several passes.
#include <fmt/format.h>

#include <algorithm>

#include "cli/next_job.h"
#include "truepull/layer_colours.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"

namespace truepull {
namespace {

std::string Csv(const Pass& pass, const std::vector<SiteLayer>& sites) {
  std::string out = "row,column,below,below_name,layer,overprint,overprint_name,difference,difference_all_eyes,hardly_shows\n";
  for (const SiteLayer& s : sites) {
    out += fmt::format("{},{},{},{},{},{},{},{:.2f},{:.2f},{}\n", s.site.row, s.site.column, s.below, NameOfColour(LabOf(*ColourOfHex(s.below))), pass.colour,
                       s.over, NameOfColour(LabOf(*ColourOfHex(s.over))), s.difference, s.for_all_eyes, s.hardly_shows ? "yes" : "no");
  }
  return out;
}

// Where the plates print on the sheet as photographed: the pull's growth is taken back.
std::vector<Outline> PlatesInThePhoto(const Plan& plan, const Pass& pass, const std::vector<Placement>& placements, const PullState& state) {
  std::vector<Outline> out;
  for (const Placement& p : placements) {
    if (p.action == Action::kLeave) continue;
    const Outline outline = PlateOutlineAt(plan, &pass, p.site);
    const Point middle_in_tile = Centroid(OutlineAt(plan, p.site));
    const Point middle = Apply(p.place, middle_in_tile);
    const Point back{middle.x / (1 + state.stretch_x), middle.y / (1 + state.stretch_y)};
    out.push_back(Apply(Pose{p.place.at + (back - middle), p.place.turn_rad}, outline));
  }
  return out;
}

void SayOrder(const Plan& plan, JobFiles& out) {
  if (plan.passes.size() < 2) return;
  const auto best = BestOrderOfPasses(plan);
  bool same = true;
  std::string list;
  for (std::size_t i = 0; i < best.size(); ++i) {
    same = same && best[i].name == plan.passes[i].name;
    list += fmt::format("{}{}, {}", i == 0 ? "" : "; ", best[i].name, best[i].why);
  }
  out.lines.push_back(same ? "the passes stand in the order that serves their colours: " + list
                           : "their colours would be served better in this order (light before dark, transparent over opaque): " + list);
}

}  // namespace

Result<JobFiles> MakeColours(const NextOptions& options, const Reading& reading, const Pass* pass,
                             const std::vector<Placement>& placements, const PullState& state) {
  JobFiles out;
  SayOrder(reading.plan, out);
  if (pass == nullptr) {
    if (options.photo.empty()) return out;
    return Error{ErrorCode::kBadArgument, "--photo: the plan has no later pass to paint over the photo", "write the pass into the plan, with colour and opacity"};
  }
  const auto sites = PredictLayer(reading, *pass);
  if (!sites) {
    // Without a colour there is nothing to tell; only a preview that was asked for cannot be made.
    if (!options.photo.empty()) return sites.error();
    if (!pass->colour.empty()) out.lines.push_back(sites.error().message);
    return out;
  }
  out.files.emplace_back("colours.csv", Csv(*pass, *sites));
  std::string hardly;
  for (const SiteLayer& s : *sites) {
    const Placement& p = placements[static_cast<std::size_t>(&s - sites->data())];
    if (s.hardly_shows && p.action != Action::kLeave) hardly += (hardly.empty() ? "" : ", ") + SiteLabel(s.site);
  }
  const auto [least, most] = std::minmax_element(sites->begin(), sites->end(), [](const SiteLayer& a, const SiteLayer& b) { return a.difference < b.difference; });
  out.lines.push_back(fmt::format("{} will stand off what lies beneath by {:.0f} to {:.0f} (CIEDE2000; under {:.0f} hardly shows)", pass->name,
                                  least->difference, most->difference, kHardlyShows));
  if (!hardly.empty()) out.lines.push_back(fmt::format("{} will hardly show at {}", pass->name, hardly));
  if (options.photo.empty()) return out;
  const auto photo = LoadPhoto(options.photo);
  if (!photo) return photo.error();
  if (photo->bgr.cols != reading.sheet.photo_width_px || photo->bgr.rows != reading.sheet.photo_height_px) {
    return Error{ErrorCode::kInvalidFile, fmt::format("{}: is {} x {} pixels, but the sheet was read from a photo of {} x {}", options.photo, photo->bgr.cols,
                                                      photo->bgr.rows, reading.sheet.photo_width_px, reading.sheet.photo_height_px),
                 "give the photo that was read: " + reading.photo_name};
  }
  const auto png = EncodePng(DrawPreview(photo->bgr, reading, PlatesInThePhoto(reading.plan, *pass, placements, state), *ColourOfHex(pass->colour),
                                         HidingOf(*pass->opacity)));
  if (!png) return png.error();
  out.files.emplace_back("preview.png", *png);
  return out;
}

}  // namespace truepull
