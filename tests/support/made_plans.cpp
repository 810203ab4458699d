// SPDX-License-Identifier: Apache-2.0
#include "support/made_plans.h"

#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

#include "support/files.h"
#include "support/places.h"
#include "truepull/plan_text.h"

namespace truepull::testing {
namespace {

constexpr double kPi = std::numbers::pi;

Plan On(double sheet_width_mm, double sheet_height_mm, Outline outline) {
  Plan plan;
  plan.sheet.width_mm = sheet_width_mm;
  plan.sheet.height_mm = sheet_height_mm;
  Plate plate;
  plate.outline = std::move(outline);
  plan.plates = {plate};
  plan.edge_colour = "#3a2a20";
  plan.colours = {"#3a62a8", "#c9782e"};
  plan.colour_map = {{0, 1}, {1, 0}};
  return plan;
}

// Puts the middle of all outlines in the middle of the sheet.
void Centre(Plan& plan) {
  plan.lattice.origin = {0, 0};
  std::vector<Point> all;
  for (const Site site : AllSites(plan.lattice)) {
    const Outline outline = Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site));
    all.insert(all.end(), outline.begin(), outline.end());
  }
  const Box box = BoundingBox(all);
  plan.lattice.origin = {0.5 * (plan.sheet.width_mm - box.left - box.right),
                         0.5 * (plan.sheet.height_mm - box.top - box.bottom)};
}

void Repeat(Plan& plan, int rows, int columns, Point across, Point down) {
  // A colour map's rows must be as long as the lattice.
  std::vector<std::vector<int>> map(2);
  for (int c = 0; c < columns; ++c) {
    map[0].push_back(c % 2);
    map[1].push_back((c + 1) % 2);
  }
  plan.colour_map = map;
  plan.lattice.rows = rows;
  plan.lattice.columns = columns;
  plan.lattice.across = across;
  plan.lattice.down = down;
  Centre(plan);
}

using Side = std::function<Point(double)>;  // From 0 to 1 along a side, its end left out.

Outline Join(const std::vector<Side>& sides, int points) {
  Outline outline;
  for (const Side& side : sides) {
    for (int i = 0; i < points; ++i) outline.push_back(side(static_cast<double>(i) / points));
  }
  return outline;
}

// A side with a knob in its middle: out along a narrow neck, round a circle and back.
std::vector<Point> KnobbedSide(Point from, Point to, double reach_mm) {
  const Point along = to - from;
  const double length = Norm(along);
  const Point u = (1 / length) * along, out{u.y, -u.x};
  const double radius = 0.62 * std::abs(reach_mm), sign = reach_mm < 0 ? -1 : 1;
  const double opening = 0.6;  // rad, either side of straight back: the neck.
  std::vector<Point> points{from};
  const Point middle = from + 0.5 * along + (sign * radius * std::cos(opening)) * out;
  for (int i = 0; i <= 36; ++i) {
    const double a = -kPi + opening + (2 * kPi - 2 * opening) * i / 36;
    points.push_back(middle + (radius * std::sin(a)) * u + (sign * radius * std::cos(a)) * out);
  }
  return points;
}

}  // namespace

Plan RectanglesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
                  double height_mm, double gutter_mm) {
  const double w = width_mm / 2, h = height_mm / 2;
  Plan plan = On(sheet_width_mm, sheet_height_mm, {{-w, -h}, {w, -h}, {w, h}, {-w, h}});
  Repeat(plan, rows, columns, {width_mm + gutter_mm, 0}, {0, height_mm + gutter_mm});
  return plan;
}

Plan WavesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
             double height_mm) {
  const double w = width_mm, h = height_mm;
  const Side top = [=](double t) {
    return Point{w * (t - 0.5), -h / 2 - 0.11 * h * std::sin(2 * kPi * t) - 0.05 * h * std::sin(3 * kPi * t)};
  };
  const Side left = [=](double t) {  // Downwards.
    return Point{-w / 2 + 0.07 * w * std::sin(2 * kPi * t) * (1 + t), h * (t - 0.5)};
  };
  const Outline outline = Join({top,
                                [=](double t) { return left(t) + Point{w, 0}; },
                                [=](double t) { return top(1 - t) + Point{0, h}; },
                                [=](double t) { return left(1 - t); }},
                               32);
  Plan plan = On(sheet_width_mm, sheet_height_mm, outline);
  Repeat(plan, rows, columns, {w, 0}, {0, h});
  return plan;
}

Plan HexagonsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double radius_mm) {
  Outline outline;
  for (int k = 0; k < 6; ++k) {
    outline.push_back({radius_mm * std::sin(k * kPi / 3), -radius_mm * std::cos(k * kPi / 3)});
  }
  Plan plan = On(sheet_width_mm, sheet_height_mm, outline);
  plan.colours = {"#6b7f3a", "#c9a45c"};
  plan.lattice.stagger_rows = 0.5;
  Repeat(plan, rows, columns, {std::sqrt(3.0) * radius_mm, 0}, {0, 1.5 * radius_mm});
  return plan;
}

Plan HalfTurnsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
                 double height_mm) {
  const double w = width_mm, h = height_mm;
  // The right side is its own half-turn about (w/2, 0), the left about (-w/2, 0); so a
  // tile turned by 180 degrees closes on either side. The bottom is the top moved by h.
  const auto odd = [=](double y, double reach) { return reach * std::sin(2 * kPi * y / h); };
  const Side top = [=](double t) {
    return Point{w * (t - 0.5), -h / 2 - 0.12 * h * std::sin(kPi * t) - 0.06 * h * std::sin(2 * kPi * t)};
  };
  const Outline outline = Join({top,
                                [=](double t) { const double y = h * (t - 0.5); return Point{w / 2 + odd(y, 0.09 * w), y}; },
                                [=](double t) { return top(1 - t) + Point{0, h}; },
                                [=](double t) { const double y = h * (0.5 - t); return Point{-w / 2 + odd(y, -0.06 * w), y}; }},
                               32);
  Plan plan = On(sheet_width_mm, sheet_height_mm, outline);
  plan.lattice.turns_rad = {0, kPi};
  Repeat(plan, rows, columns, {w, 0}, {0, h});
  return plan;
}

Plan TrianglesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double base_mm,
                 double height_mm) {
  const double b = base_mm / 2, h = height_mm / 2;
  Plan plan = On(sheet_width_mm, sheet_height_mm, {{0, -h}, {b, h}, {-b, h}});
  plan.colours = {"#6b7f3a", "#5b8fc7"};
  plan.lattice.turns_rad = {0, kPi};
  Repeat(plan, rows, columns, {b, 0}, {0, height_mm});
  return plan;
}

Plan KnobsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
             double height_mm) {
  const double w = width_mm / 2, h = height_mm / 2, reach = 0.24 * height_mm;
  const Point corner[] = {{-w, -h}, {w, -h}, {w, h}, {-w, h}};
  Outline outline;
  for (const auto& side : {KnobbedSide(corner[0], corner[1], reach), KnobbedSide(corner[1], corner[2], reach),
                           KnobbedSide(corner[2], corner[3], -reach), KnobbedSide(corner[3], corner[0], -reach)}) {
    outline.insert(outline.end(), side.begin(), side.end());
  }
  Plan plan = On(sheet_width_mm, sheet_height_mm, outline);
  Repeat(plan, rows, columns, {width_mm, 0}, {0, height_mm});
  return plan;
}

Plan HarbourGulls() {
  auto parsed = ParsePlan(ReadFile(SourceFolder() + "/samples/harbour/plan.yaml"), "plan.yaml");
  if (!parsed) throw std::runtime_error(parsed.error().message);
  return parsed->plan;
}

std::vector<MadePlan> AllMadePlans() {
  return {{"gull", HarbourGulls()},
          {"gutter", RectanglesOn(420, 297, 5, 6, 55, 44, 3)},
          {"rectangle", RectanglesOn(420, 297, 5, 6, 60, 45)},
          {"hexagon", HexagonsOn(420, 297, 4, 6, 30)},
          {"half-turn", HalfTurnsOn(420, 297, 5, 6, 52, 44)},
          {"triangle", TrianglesOn(420, 297, 3, 8, 76, 68)},
          {"knob", KnobsOn(420, 297, 4, 6, 56, 52)},
          {"small", WavesOn(420, 297, 10, 14, 26, 23)}};
}

}  // namespace truepull::testing
