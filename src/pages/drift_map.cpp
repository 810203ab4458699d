// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drift/magnification.h"
#include "geometry/fixed_text.h"
#include "pages/page_parts.h"

namespace truepull {
namespace {

std::string Num(double v) { return Fixed(v, 2); }

int KindOf(const Plan& plan, Site site) {
  const CellMember& m = MemberAt(plan.lattice, site);
  return 2 * m.plate + (m.mirrored ? 1 : 0);
}

// The half-axes and the turn of a covariance's ellipse of one sd.
struct Ellipse {
  double major = 0, minor = 0, turn_rad = 0;
};
Ellipse EllipseOf(const PoseCovariance& c) {
  const double half = std::hypot((c[0] - c[4]) / 2, c[1]);
  const double middle = (c[0] + c[4]) / 2;
  return {std::sqrt(std::max(0.0, middle + half)), std::sqrt(std::max(0.0, middle - half)),
          0.5 * std::atan2(2 * c[1], c[0] - c[4])};
}

std::string ArrowSvg(Point from, Point to, double width, const char* css_class) {
  const Point d = to - from;
  const double length = Norm(d);
  if (length < 1e-6) return "";
  const double head = std::min(4.5 * width, length);
  const Point u = (1 / length) * d, n{-u.y, u.x};
  const Point neck = to - head * u, a = neck + 0.45 * head * n, b = neck - 0.45 * head * n;
  return fmt::format(
      "<g class=\"{}\"><line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke-width=\"{}\"/>"
      "<polygon points=\"{},{} {},{} {},{}\"/></g>",
      css_class, Num(from.x), Num(from.y), Num(neck.x), Num(neck.y), Num(width), Num(to.x), Num(to.y),
      Num(a.x), Num(a.y), Num(b.x), Num(b.y));
}

}  // namespace

double PitchMm(const Plan& plan) {
  const Lattice& l = plan.lattice;
  return std::sqrt(std::abs(Cross(l.across, l.down)) / static_cast<double>(std::max<std::size_t>(1, l.cell.size())));
}

Box MapBox(const Plan& plan) {
  std::vector<Point> all;
  for (const Site site : AllSites(plan.lattice)) {
    for (const Point& p : Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site))) all.push_back(p);
  }
  Box box = BoundingBox(all);
  const double rim = std::max(6.0, 0.2 * PitchMm(plan));
  box.left -= rim, box.top -= rim, box.right += rim, box.bottom += rim;
  return box;
}

std::string OutlineDefs(const Plan& plan, const std::string& prefix) {
  std::string out = "<defs>";
  std::vector<int> done;
  for (int c = 0; c < static_cast<int>(plan.lattice.cell.size()); ++c) {
    const Site site{0, c};
    const int kind = KindOf(plan, site);
    if (std::find(done.begin(), done.end(), kind) != done.end()) continue;
    done.push_back(kind);
    out += fmt::format("<path id=\"{}{}\" d=\"", prefix, kind);
    const Outline outline = OutlineAt(plan, site);
    for (std::size_t i = 0; i < outline.size(); ++i) {
      out += fmt::format("{}{},{}", i == 0 ? "M" : " ", Num(outline[i].x), Num(outline[i].y));
    }
    out += "Z\"/>";
  }
  return out + "</defs>";
}

std::string OutlineUse(const Plan& plan, Site site, const Pose& pose, const std::string& prefix,
                       const std::string& css_class) {
  return fmt::format("<use href=\"#{}{}\" class=\"{}\" transform=\"translate({} {}) rotate({})\"/>\n", prefix,
                     KindOf(plan, site), css_class, Num(pose.at.x), Num(pose.at.y),
                     Fixed(DegFromRad(pose.turn_rad), 3));
}

std::string DriftMapSvg(const Reading& reading, const DriftReport& drift, bool hand) {
  const Plan& plan = reading.plan;
  const Sheet& sheet = plan.sheet;
  const std::string prefix = hand ? "hand-tile-" : "drift-tile-";
  const int magnification = Magnification(plan, drift, hand);
  const double pitch = PitchMm(plan);
  const Box box = MapBox(plan);
  const double text = std::clamp(0.18 * pitch, box.Width() / 80, box.Width() / 36);
  const double line = box.Width() / 300;
  const double foot = 3 * text;
  std::string svg = fmt::format(
      "<svg class=\"map\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"{}, arrows {} times magnified\">\n",
      Num(box.left), Num(box.top), Num(box.Width()), Num(box.Height() + foot),
      hand ? "The hand's part of the drift" : "Drift of every site", magnification);
  svg += OutlineDefs(plan, prefix);
  svg += fmt::format("<rect class=\"sheet\" width=\"{}\" height=\"{}\"/>\n", Num(sheet.width_mm), Num(sheet.height_mm));
  for (const SiteDrift& d : drift.sites) {
    const char* state = d.state == SiteState::kMissing ? "tile gone" : d.state == SiteState::kWeak ? "tile faint" : "tile";
    svg += OutlineUse(plan, d.site, d.ideal, prefix, state);
  }
  for (const SiteDrift& d : drift.sites) {
    const Point at = Apply(d.ideal, Centroid(OutlineAt(plan, d.site)));
    Point label = at;
    if (d.state == SiteState::kMissing) {
      const double arm = 0.55 * text;
      svg += fmt::format("<path class=\"cross\" d=\"M{},{} l{},{} M{},{} l{},{}\" stroke-width=\"{}\"/>\n",
                         Num(at.x - arm), Num(at.y - arm), Num(2 * arm), Num(2 * arm), Num(at.x - arm),
                         Num(at.y + arm), Num(2 * arm), Num(-2 * arm), Num(1.4 * line));
      label.y -= arm + 0.6 * text;
    } else {
      const Point shift = static_cast<double>(magnification) * (hand ? d.hand_shift : d.shift);
      const Ellipse e = EllipseOf(d.covariance);
      constexpr double kNinetyFive = 2.447747;  // sqrt of chi-square(2) at 95 %.
      const double scale = kNinetyFive * magnification;
      svg += fmt::format("<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" transform=\"rotate({} {} {})\"/>\n",
                         Num(at.x + shift.x), Num(at.y + shift.y), Num(scale * e.major), Num(scale * e.minor),
                         Fixed(DegFromRad(e.turn_rad), 1), Num(at.x + shift.x), Num(at.y + shift.y));
      svg += fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>", Num(at.x), Num(at.y), Num(1.3 * line));
      svg += ArrowSvg(at, at + shift, d.beyond_hand ? 2 * line : 1.1 * line, d.beyond_hand ? "arrow out" : "arrow");
      label.y += shift.y > 0 ? -0.75 * text : 1.35 * text;
    }
    svg += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>\n", Num(label.x), Num(label.y), Num(text),
                       SiteLabel(d.site));
  }
  // The bar: one millimetre (or ten, or a tenth) of drift as it is drawn.
  double bar = 1;
  while (bar * magnification < 0.03 * box.Width()) bar *= 2;
  const double x = box.left + text, y = box.bottom + 0.5 * foot;
  svg += fmt::format("<rect class=\"ground\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>", Num(box.left),
                     Num(box.bottom), Num(box.Width()), Num(foot));
  svg += fmt::format(
      "<path class=\"cross\" d=\"M{0},{1} v{2} M{0},{3} h{4} M{5},{1} v{2}\" stroke-width=\"{6}\"/>"
      "<text class=\"left\" x=\"{7}\" y=\"{8}\" font-size=\"{9}\">{10} mm of drift: arrows {11} x</text>\n</svg>\n",
      Num(x), Num(y - 0.4 * text), Num(0.8 * text), Num(y), Num(bar * magnification), Num(x + bar * magnification),
      Num(line), Num(x + bar * magnification + 0.7 * text), Num(y + 0.36 * text), Num(text), bar, magnification);
  return svg;
}

}  // namespace truepull
