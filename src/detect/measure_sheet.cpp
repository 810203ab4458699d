// SPDX-License-Identifier: Apache-2.0
#include <opencv2/core/utility.hpp>
#include <cstdio>
#include <cstdlib>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "detect/inner_picture.h"
#include <cmath>
#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/detect.h"

namespace truepull {

using namespace detect;

Result<SheetReading> MeasureSheet(const Photo& photo, const SheetFrame& frame, const Plan& plan,
                                  const DetectOptions& options) {
  const bool trace = std::getenv("TP_TRACE");
  auto t0 = cv::getTickCount();
  auto lap = [&](const char* what) { if (trace) { auto t = cv::getTickCount(); std::fprintf(stderr, "%s %.1f ms\n", what, double(t - t0) * 1000 / cv::getTickFrequency()); t0 = t; } };
  SheetReading reading;
  const LitSheet lit = LightSheet(photo, frame.camera, plan);
  lap("light");
  const std::vector<Site> sites = AllSites(plan.lattice);
  std::vector<PlateShape> shapes;
  for (std::size_t m = 0; m < plan.lattice.cell.size(); ++m) shapes.push_back(ShapePlate(OutlineAt(plan, {0, int(m)})));
  lap("shapes");
  std::vector<Pose> ideal;
  std::vector<Pull> pulls(sites.size());
  double stepmm = std::min(Norm(plan.lattice.across), Norm(plan.lattice.down));
  SearchWindow window{options.search_share * stepmm, options.search_turn_rad};
  const OutlineScore score(lit.map, 0.7);
  std::vector<std::vector<Candidate>> cands(sites.size());
  std::vector<double> inside(sites.size());
  for (std::size_t i = 0; i < sites.size(); ++i) {
    ideal.push_back(IdealPose(plan.lattice, sites[i]));
    pulls[i].shape = &shapes[std::size_t(sites[i].column) % shapes.size()];
  }
  cv::parallel_for_(cv::Range(0, int(sites.size())), [&](const cv::Range& r) {
    for (int i = r.start; i < r.end; ++i) cands[size_t(i)] = score.Search(*pulls[size_t(i)].shape, ideal[size_t(i)], window, 5);
  });
  lap("search");
  std::vector<char> usable(sites.size());
  for (std::size_t i = 0; i < sites.size(); ++i) {
    for (auto& c : cands[i]) inside[i] = std::max(inside[i], score.InsideDensity(*pulls[i].shape, c.pose));
    usable[i] = !cands[i].empty() && inside[i] > 0.1;
  }
  auto chosen = ChooseCandidates(cands, ideal, usable);
  for (std::size_t i = 0; i < sites.size(); ++i) {
    pulls[i].present = usable[i];
    if (usable[i]) pulls[i].pose = cands[i][chosen[i]].pose;
  }
  lap("choose");
  const EdgeFit fit(photo, frame.camera, lit.paper);
  EdgeFitOptions o;
  o.window_mm = 2.7; o.step_mm = 0.3; o.sigma_mm = 0.35;
  for (int s = 0; s < 3; ++s) fit.Sweep(pulls, o);
  lap("sweeps wide");
  o.window_mm = 1.8; o.step_mm = 0.15; o.sigma_mm = 0.22;
  for (int s = 0; s < 5; ++s) fit.Sweep(pulls, o);
  lap("sweeps");
  std::vector<char> trusted(sites.size());
  for (std::size_t i = 0; i < sites.size(); ++i) trusted[i] = pulls[i].present && pulls[i].spread_mm < 0.15;
  if (getenv("INNER")) {
    auto fits = FitInnerPicture(photo, frame.camera, lit.paper, shapes[0], pulls, trusted, {});
    lap("inner");
    for (std::size_t i = 0; i < sites.size(); ++i) if (fits[i].used) {
      Point d = fits[i].pose.at - pulls[i].pose.at;
      std::fprintf(stderr, "%s agree %.2f d %+.3f %+.3f %+.3f sd %.3f %.3f %.3f\n", SiteLabel(sites[i]).c_str(), fits[i].agreement, d.x, d.y, DegFromRad(WrapTurn(fits[i].pose.turn_rad-pulls[i].pose.turn_rad)), std::sqrt(fits[i].covariance[0]), std::sqrt(fits[i].covariance[4]), DegFromRad(std::sqrt(fits[i].covariance[8])));
      if (getenv("INNER")[0]=='2') {pulls[i].pose = fits[i].pose; pulls[i].covariance = fits[i].covariance;}
    }
  }
  for (std::size_t i = 0; i < sites.size(); ++i) {
    SiteReading r; r.site = sites[i];
    r.state = pulls[i].present ? SiteState::kPrinted : SiteState::kMissing;
    r.found = pulls[i].pose; r.covariance = pulls[i].covariance; r.coverage = inside[i]; r.growth_mm = pulls[i].growth_mm; r.strength = pulls[i].spread_mm;
    reading.sites.push_back(r);
  }
  return reading;
}

}  // namespace truepull
