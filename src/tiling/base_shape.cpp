// SPDX-License-Identifier: Apache-2.0
#include "truepull/base_shape.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "tiling/isometry.h"
#include "truepull/units.h"

namespace truepull {
namespace {

using tiling::Isometry;

constexpr double kSame = 1e-6;  // mm: lengths and places computed two ways.
constexpr double kFlatten = 0.02;  // mm: a smooth line's chords stray no further.

Error Wrong(const std::string& message, const std::string& hint = "") {
  return {ErrorCode::kInvalidFile, message, hint};
}

double InnerAngle(const Outline& c, std::size_t i) {
  const std::size_t n = c.size();
  const Point before = c[(i + n - 1) % n] - c[i], after = c[(i + 1) % n] - c[i];
  const double side = SignedArea(c) >= 0 ? 1 : -1;
  const double angle = std::atan2(side * Cross(after, before), Dot(after, before));
  return angle < 0 ? angle + 2 * std::numbers::pi : angle;
}

std::string AngleList(const Outline& c) {
  std::string list;
  for (std::size_t i = 0; i < c.size(); ++i) {
    list += fmt::format("{}{:.1f}", i == 0 ? "" : ", ", DegFromRad(InnerAngle(c, i)));
  }
  return list;
}

// A smooth line through points, flattened; centripetal Catmull-Rom would bend less at
// uneven points, but the uniform one passes them in the direction of their neighbours,
// which is what a hand does.
Outline Smooth(const Outline& points) {
  Outline line{points.front()};
  const auto at = [&](std::size_t i) { return points[std::min(i, points.size() - 1)]; };
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const Point p1 = at(i), p2 = at(i + 1);
    const Point p0 = i == 0 ? 2.0 * p1 - p2 : at(i - 1);
    const Point p3 = i + 2 < points.size() ? at(i + 2) : 2.0 * p2 - p1;
    const auto curve = [&](double t) {
      return 0.5 * (2.0 * p1 + t * (p2 - p0) + t * t * (2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3) +
                    t * t * t * (3.0 * p1 - p0 - 3.0 * p2 + p3));
    };
    // A chord over 1/n of the piece strays by at most |second derivative| / (8 n^2).
    const double bend = std::max(Norm(2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3),
                                 Norm(-1.0 * p0 + 4.0 * p1 - 5.0 * p2 + 2.0 * p3));
    const int parts = std::clamp(static_cast<int>(std::ceil(std::sqrt(bend / (8 * kFlatten)))), 1, 64);
    for (int k = 1; k <= parts; ++k) line.push_back(curve(static_cast<double>(k) / parts));
  }
  return line;
}

class Builder {
 public:
  explicit Builder(const BaseShape& base) : base_(base), n_(base.corners.size()) {}

  Result<BuiltTile> Run() {
    if (const Status ok = CheckOutline(base_.corners); !ok) return ok.error();
    across_.resize(n_);
    lines_.resize(n_);
    for (const DrawnSide& drawn : base_.sides) {
      if (const Status ok = Place(drawn); !ok) return ok.error();
    }
    for (std::size_t s = 0; s < n_; ++s) {
      if (across_[s]) continue;
      return Wrong(fmt::format("side {} has no move: nothing says which side meets it", s + 1),
                   "shift it to a parallel side, turn it half round about its middle, turn it about "
                   "a corner, or mirror and slide it");
    }
    BuiltTile tile;
    for (const Outline& line : lines_) tile.outline.insert(tile.outline.end(), line.begin(), line.end() - 1);
    if (const Status ok = CheckOutline(tile.outline); !ok) {
      return Wrong("the drawn lines cross: " + ok.error().message, "draw a line less far out");
    }
    if (!FitTogether(tile)) {
      return Wrong(fmt::format("the moves do not fit together: laid side to side the tiles overlap or "
                               "leave gaps (inner angles {} degrees; those that meet at a corner must "
                               "make 360)",
                               AngleList(base_.corners)),
                   "give the sides other moves");
    }
    return tile;
  }

 private:
  Point Corner(std::size_t i) const { return base_.corners[i % n_]; }
  double Length(std::size_t s) const { return Norm(Corner(s + 1) - Corner(s)); }

  Status Place(const DrawnSide& drawn) {
    if (drawn.side < 0 || static_cast<std::size_t>(drawn.side) >= n_) {
      return Wrong(fmt::format("there is no side {}: the base shape has {}", drawn.side + 1, n_));
    }
    const auto s = static_cast<std::size_t>(drawn.side);
    const bool alone = drawn.move == EdgeMove::kHalfTurn;
    if (!alone && (drawn.partner < 0 || static_cast<std::size_t>(drawn.partner) >= n_)) {
      return Wrong(fmt::format("side {} is moved to side {}: the base shape has {}", s + 1,
                               drawn.partner + 1, n_));
    }
    const auto p = alone ? s : static_cast<std::size_t>(drawn.partner);
    if (!alone && p == s) {
      return Wrong(fmt::format("side {} is moved onto itself", s + 1),
                   "a side that meets itself is turned half round about its middle");
    }
    for (const std::size_t side : {s, p}) {
      if (across_[side]) return Wrong(fmt::format("side {} has two moves", side + 1));
    }
    const Point a = Corner(s), b = Corner(s + 1), c = Corner(p), d = Corner(p + 1);
    if (std::abs(Length(s) - Length(p)) > 1e-4) {
      return Wrong(fmt::format("side {} is {:.3f} mm long and side {} {:.3f} mm: partners must be "
                               "equally long", s + 1, Length(s), p + 1, Length(p)));
    }
    // The neighbour across side s is the tile moved so that its side p lies on side s, walked
    // the other way (a mirrored tile is walked the same way).
    Isometry move = Isometry::Between(c, d, b, a, false);
    if (drawn.move == EdgeMove::kGlide) move = Isometry::Between(c, d, a, b, true);
    const double turn = std::abs(DegFromRad(move.turn_rad()));
    if (drawn.move == EdgeMove::kShift && turn > 1e-4) {
      return Wrong(fmt::format("side {} cannot be shifted to side {}: they are not parallel ({:.1f} "
                               "degrees)", s + 1, p + 1, turn));
    }
    if (drawn.move == EdgeMove::kTurn) {
      if ((s + 1) % n_ != p && (p + 1) % n_ != s) {
        return Wrong(fmt::format("side {} cannot be turned to side {}: they share no corner", s + 1, p + 1));
      }
      const auto is = [&](double deg) { return std::abs(turn - deg) < 1e-4; };
      if (!is(60) && !is(90) && !is(120)) {
        return Wrong(fmt::format("side {} cannot be turned to side {}: the corner between them has "
                                 "{:.1f} degrees; 60, 90 or 120 fill the round", s + 1, p + 1, turn));
      }
    }
    Outline line = Draw(drawn, a, b);
    if (alone) {
      for (std::size_t i = line.size() - 1; i-- > 0;) line.push_back(a + b - line[i]);
      lines_[s] = line;
      across_[s] = move;
      return Done{};
    }
    Outline partner;
    const Isometry back = move.Inverse();
    for (const Point& q : line) partner.push_back(back(q));
    if (!move.mirrored) std::reverse(partner.begin(), partner.end());
    // The corners themselves, not what rounding made of them.
    partner.front() = c;
    partner.back() = d;
    lines_[s] = line;
    lines_[p] = partner;
    across_[s] = move;
    across_[p] = back;
    return Done{};
  }

  Outline Draw(const DrawnSide& drawn, Point a, Point b) const {
    const Point along = (1 / Norm(b - a)) * (b - a);
    const double side = SignedArea(base_.corners) >= 0 ? 1 : -1;
    const Point out{side * along.y, -side * along.x};
    Outline points{a};
    for (const Point& p : drawn.line) points.push_back(a + p.x * along + p.y * out);
    points.push_back(drawn.move == EdgeMove::kHalfTurn ? 0.5 * (a + b) : b);
    return drawn.smooth ? Smooth(points) : points;
  }

  bool FitTogether(BuiltTile& tile) const {
    const double reach = 3.2 * 2 * Radius(Centred(tile.outline));
    const Point middle = Centroid(tile.outline);
    std::vector<Isometry> around{Isometry{}};
    const auto same = [](const Isometry& a, const Isometry& b, double slack) {
      return a.mirrored == b.mirrored && Norm(a.cosine_sine - b.cosine_sine) < 1e-6 &&
             Norm(a.at - b.at) < slack;
    };
    // Moves that fit together place some dozens of tiles within reach; others go on for ever.
    constexpr std::size_t kMost = 2000;
    for (std::size_t k = 0; k < around.size() && around.size() < kMost; ++k) {
      for (const auto& g : across_) {
        const Isometry next = around[k].After(*g);
        if (Norm(next(middle) - middle) > reach) continue;
        if (std::any_of(around.begin(), around.end(),
                        [&](const Isometry& o) { return same(o, next, 1e-4); })) {
          continue;
        }
        around.push_back(next);
      }
    }
    if (around.size() >= kMost) return false;
    std::vector<Point> shifts;
    for (const Isometry& m : around) {
      if (!m.mirrored && Norm(m.cosine_sine - Point{1, 0}) < 1e-6 && Norm(m.at) > 1e-3) {
        shifts.push_back(m.at);
      }
    }
    std::sort(shifts.begin(), shifts.end(), [](Point a, Point b) { return Dot(a, a) < Dot(b, b); });
    if (shifts.empty()) return false;
    std::optional<Point> second;
    for (const Point& s : shifts) {
      if (!second && std::abs(Cross(shifts[0], s)) > 1e-6 * Norm(shifts[0]) * Norm(s)) second = s;
    }
    if (!second) return false;
    tile.steps = OrientSteps(ReduceSteps({shifts[0], *second}));
    const double det = Cross(tile.steps.across, tile.steps.down);
    const auto residue = [&](Point p) {  // Nearest to 0 modulo the lattice.
      const double i = std::round(Cross(p, tile.steps.down) / det);
      const double j = std::round(Cross(tile.steps.across, p) / det);
      return p - i * tile.steps.across - j * tile.steps.down;
    };
    std::vector<Isometry> cell;
    for (const Isometry& m : around) {
      const bool known = std::any_of(cell.begin(), cell.end(), [&](const Isometry& o) {
        return o.mirrored == m.mirrored && Norm(o.cosine_sine - m.cosine_sine) < 1e-6 &&
               Norm(residue(m.at - o.at)) < 1e-3;
      });
      if (!known) cell.push_back(m);
    }
    const double area = std::abs(SignedArea(tile.outline));
    if (std::abs(static_cast<double>(cell.size()) * area - det) > 1e-3 * area) return false;
    for (const Isometry& m : cell) {
      tile.cell.push_back({0, m.at, m.turn_rad(), m.mirrored});
      tile.needs_mirrored_plate = tile.needs_mirrored_plate || m.mirrored;
    }
    return CoversOnce(tile, cell);
  }

  static Outline Centred(const Outline& outline) {
    Outline moved = outline;
    const Point middle = Centroid(outline);
    for (Point& p : moved) p = p - middle;
    return moved;
  }

  // Places spread evenly over a lattice cell (the golden ratio's multiples).
  bool CoversOnce(const BuiltTile& tile, const std::vector<Isometry>& cell) const {
    std::vector<Outline> members;
    for (const Isometry& m : cell) {
      Outline o;
      for (const Point& p : tile.outline) o.push_back(m(p));
      members.push_back(o);
    }
    for (int k = 0; k < 200; ++k) {
      const double i = std::fmod(k * 0.7548776662466927, 1), j = std::fmod(k * 0.5698402909980532, 1);
      const Point at = i * tile.steps.across + j * tile.steps.down;
      int covers = 0;
      bool on_edge = false;
      for (const Outline& o : members) {
        const Box box = BoundingBox(o);
        for (int a = -8; a <= 8; ++a) {
          for (int b = -8; b <= 8; ++b) {
            const Point p = at + static_cast<double>(a) * tile.steps.across +
                            static_cast<double>(b) * tile.steps.down;
            if (p.x < box.left || p.x > box.right || p.y < box.top || p.y > box.bottom) continue;
            const double inside = SignedDistance(o, p);
            on_edge = on_edge || std::abs(inside) < kSame * 100;
            covers += inside > 0;
          }
        }
      }
      if (!on_edge && covers != 1) return false;
    }
    return true;
  }

  const BaseShape& base_;
  std::size_t n_;
  std::vector<std::optional<Isometry>> across_;  // Carries the tile onto its neighbour there.
  std::vector<Outline> lines_;
};

}  // namespace

Result<BuiltTile> BuildTile(const BaseShape& base) { return Builder(base).Run(); }

Result<Outline> RegularPolygon(int sides, double side_mm) {
  if (sides < 3 || sides > 100 || !(side_mm > 0)) {
    return Wrong(fmt::format("there is no regular shape of {} sides of {} mm", sides, side_mm));
  }
  if (sides != 3 && sides != 4 && sides != 6) {
    const double angle = 180 - 360.0 / sides;
    const int fit = static_cast<int>(360 / angle);
    std::string hint = "take 3, 4 or 6 sides, or a shape whose sides are not all alike";
    if (sides == 8) {
      hint = fmt::format("an octagon and a square of the same side repeat together (135 + 135 + 90 = 360): "
                         "two plates, lattice step side x (1 + sqrt 2) = {:.3f} mm",
                         side_mm * (1 + std::numbers::sqrt2));
    }
    return Wrong(fmt::format("a regular shape of {} sides cannot repeat alone: its inner angles have {:.3f} "
                             "degrees, and {} of them make {:.1f}, {} {:.1f}, never 360",
                             sides, angle, fit, fit * angle, fit + 1, (fit + 1) * angle),
                 hint);
  }
  Outline corners{{0, 0}};
  for (int i = 0; i + 1 < sides; ++i) {
    const Rotation turn(2 * std::numbers::pi * i / sides);
    corners.push_back(corners.back() + turn * Point{side_mm, 0});
  }
  const Box box = BoundingBox(corners);
  for (Point& p : corners) p = p - Point{box.left, box.top};
  return corners;
}

OctagonPair OctagonWithSquare(double side_mm) {
  OctagonPair pair;
  const double step = side_mm * (1 + std::numbers::sqrt2), h = step / 2, s = side_mm / 2;
  pair.octagon = {{-s, -h}, {s, -h}, {h, -s}, {h, s}, {s, h}, {-s, h}, {-h, s}, {-h, -s}};
  const double r = side_mm / std::numbers::sqrt2;
  pair.square = {{0, -r}, {r, 0}, {0, r}, {-r, 0}};
  pair.square_at = {h, h};
  pair.steps = {{step, 0}, {0, step}};
  return pair;
}

}  // namespace truepull
