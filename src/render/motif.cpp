// SPDX-License-Identifier: Apache-2.0
#include "render/motif.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace truepull::render {
namespace {

/// A cubic Bezier curve as a polyline.
Polyline Curve(Point a, Point b, Point c, Point d) {
  Polyline line;
  constexpr int kPieces = 24;
  for (int i = 0; i <= kPieces; ++i) {
    const double t = static_cast<double>(i) / kPieces, s = 1 - t;
    line.push_back((s * s * s) * a + (3 * s * s * t) * b + (3 * s * t * t) * c +
                   (t * t * t) * d);
  }
  return line;
}

Polyline Arc(Point centre, double radius, double from, double to) {
  Polyline line;
  constexpr int kPieces = 36;
  for (int i = 0; i <= kPieces; ++i) {
    const double a = from + (to - from) * i / kPieces;
    line.push_back(centre + Point{radius * std::cos(a), radius * std::sin(a)});
  }
  return line;
}

// All in a unit circle, x right, y down. None is its own mirror image or half turn, so
// that a plate printed the wrong way round can be told by its drawing.
std::vector<Polyline> Gull() {
  return {
      Curve({-0.95, -0.28}, {-0.62, -0.72}, {-0.30, -0.55}, {-0.10, -0.02}),  // Far wing.
      Curve({-0.95, -0.28}, {-0.55, -0.36}, {-0.36, -0.16}, {-0.30, 0.10}),
      Curve({0.98, -0.52}, {0.62, -0.80}, {0.28, -0.52}, {0.14, -0.04}),      // Near wing.
      Curve({0.98, -0.52}, {0.66, -0.42}, {0.42, -0.14}, {0.34, 0.16}),
      Curve({0.62, -0.53}, {0.60, -0.42}, {0.56, -0.36}, {0.50, -0.27}),      // Feathers.
      Curve({0.78, -0.57}, {0.76, -0.48}, {0.74, -0.44}, {0.70, -0.38}),
      Curve({-0.60, -0.46}, {-0.58, -0.38}, {-0.54, -0.30}, {-0.48, -0.22}),
      Curve({0.56, 0.22}, {0.46, 0.04}, {0.20, -0.06}, {-0.10, -0.02}),       // Back.
      Curve({-0.10, -0.02}, {-0.36, 0.04}, {-0.60, 0.24}, {-0.86, 0.34}),
      Curve({-0.86, 0.34}, {-0.50, 0.48}, {0.02, 0.52}, {0.36, 0.42}),        // Belly.
      Curve({0.36, 0.42}, {0.46, 0.40}, {0.54, 0.34}, {0.56, 0.22}),
      {{0.56, 0.22}, {0.84, 0.34}, {0.52, 0.36}},                             // Beak.
      Arc({0.43, 0.22}, 0.025, 0, 2 * std::numbers::pi),                      // Eye.
      {{-0.02, 0.50}, {0.04, 0.70}, {0.16, 0.74}},                            // Feet.
      {{0.12, 0.49}, {0.20, 0.66}, {0.32, 0.69}},
  };
}

std::vector<Polyline> Wave() {
  std::vector<Polyline> lines;
  for (int k = 0; k < 3; ++k) {
    const double y = -0.38 + 0.42 * k, x = -0.12 + 0.12 * k;
    lines.push_back(Curve({x - 0.78, y + 0.34}, {x - 0.42, y + 0.34}, {x - 0.36, y - 0.28},
                          {x + 0.08, y - 0.26}));
    lines.push_back(Curve({x + 0.08, y - 0.26}, {x + 0.40, y - 0.24}, {x + 0.44, y + 0.12},
                          {x + 0.18, y + 0.12}));
    lines.push_back(Curve({x + 0.18, y + 0.12}, {x + 0.00, y + 0.12}, {x + 0.02, y - 0.10},
                          {x + 0.16, y - 0.08}));
    lines.push_back(Curve({x + 0.34, y + 0.26}, {x + 0.52, y + 0.36}, {x + 0.66, y + 0.34},
                          {x + 0.76, y + 0.22}));
  }
  return lines;
}

std::vector<Polyline> Anchor() {
  constexpr double kPi = std::numbers::pi;
  return {
      Arc({0, -0.74}, 0.15, 0, 2 * kPi),                       // Ring.
      {{0, -0.59}, {0, 0.78}},                                 // Shank.
      {{-0.36, -0.40}, {0.36, -0.40}},                         // Stock.
      {{-0.36, -0.46}, {-0.36, -0.34}},
      {{0.36, -0.46}, {0.36, -0.34}},
      Arc({0, 0.16}, 0.64, 0.14 * kPi, 0.86 * kPi),            // Arms.
      {{0.42, 0.52}, {0.64, 0.28}, {0.72, 0.60}},              // Flukes.
      {{-0.42, 0.52}, {-0.64, 0.28}, {-0.72, 0.60}},
      // A rope that winds down one side, so that left and right differ.
      Curve({0.14, -0.76}, {0.62, -0.70}, {0.50, -0.16}, {0.10, -0.14}),
      Curve({0.10, -0.14}, {-0.44, -0.10}, {-0.40, 0.34}, {0.06, 0.34}),
      Curve({0.06, 0.34}, {0.26, 0.34}, {0.36, 0.22}, {0.34, 0.06}),
  };
}

std::vector<Polyline> Boat() {
  return {
      Curve({-0.82, 0.30}, {-0.66, 0.66}, {-0.30, 0.70}, {0.10, 0.68}),  // Hull.
      Curve({0.10, 0.68}, {0.50, 0.68}, {0.76, 0.58}, {0.90, 0.22}),
      Curve({-0.82, 0.30}, {-0.30, 0.42}, {0.40, 0.40}, {0.90, 0.22}),
      {{-0.06, 0.36}, {-0.06, -0.84}},                                    // Mast.
      Curve({-0.06, -0.80}, {0.40, -0.50}, {0.66, -0.10}, {0.70, 0.18}),  // Mainsail.
      {{-0.06, 0.20}, {0.70, 0.18}},
      Curve({-0.06, -0.64}, {-0.26, -0.34}, {-0.52, 0.02}, {-0.68, 0.20}),
      {{-0.68, 0.20}, {-0.10, 0.22}},
      {{-0.06, -0.84}, {0.18, -0.90}, {-0.06, -0.74}},                    // Pennant.
      Curve({-0.70, 0.84}, {-0.50, 0.74}, {-0.30, 0.92}, {-0.06, 0.82}),  // Water.
      Curve({-0.06, 0.82}, {0.16, 0.74}, {0.36, 0.92}, {0.58, 0.80}),
  };
}

}  // namespace

Roomiest FindRoom(std::span<const Point> outline) {
  const Box box = BoundingBox(outline);
  Roomiest best{Centroid(outline), SignedDistance(outline, Centroid(outline))};
  constexpr int kSide = 24;
  for (int j = 0; j < kSide; ++j) {
    for (int i = 0; i < kSide; ++i) {
      const Point p{box.left + (i + 0.5) / kSide * box.Width(),
                    box.top + (j + 0.5) / kSide * box.Height()};
      const double d = SignedDistance(outline, p);
      // A hair better than the middle is not worth leaving it for.
      if (d > best.radius_mm * 1.05) best = {p, d};
    }
  }
  return best;
}

std::vector<Polyline> DrawMotif(Motif motif, std::span<const Point> outline) {
  std::vector<Polyline> lines;
  switch (motif) {
    case Motif::kGull: lines = Gull(); break;
    case Motif::kWave: lines = Wave(); break;
    case Motif::kAnchor: lines = Anchor(); break;
    case Motif::kBoat: lines = Boat(); break;
    default: return lines;
  }
  const Roomiest room = FindRoom(outline);
  // Within the edge band's reach nothing is scratched.
  const double scale = std::max(0.0, room.radius_mm - 2.5);
  for (Polyline& line : lines) {
    for (Point& p : line) p = room.at + scale * p;
  }
  return lines;
}

std::vector<Polyline> CarveSwell(std::span<const Point> outline, bool round_a_drawing) {
  const Box box = BoundingBox(outline);
  const Roomiest room = round_a_drawing ? FindRoom(outline) : Roomiest{};
  const double apart = std::max(3.0, box.Height() / 7);
  std::vector<Polyline> lines;
  int row = 0;
  for (double y = box.top + apart * 0.7; y < box.bottom; y += apart, ++row) {
    Polyline line;
    for (double x = box.left; x <= box.right; x += 0.5) {
      // Waves that steepen to the right: no mirror image of themselves.
      const double phase = (x - box.left) * 0.45 + row * 1.9;
      const Point p{x + 0.8 * std::cos(phase),
                    y + 0.9 * std::sin(phase) + 0.25 * std::sin(2 * phase + 0.6)};
      // A gouge is lifted near the edge and now and then on the way.
      const bool down = SignedDistance(outline, p) > 2.2 &&
                        std::sin(0.23 * x + 2.7 * row) > -0.8 &&
                        (!round_a_drawing || Norm(p - room.at) > room.radius_mm - 2);
      if (down) {
        line.push_back(p);
      } else if (!line.empty()) {
        if (line.size() > 3) lines.push_back(line);
        line.clear();
      }
    }
    if (line.size() > 3) lines.push_back(line);
  }
  return lines;
}

}  // namespace truepull::render
