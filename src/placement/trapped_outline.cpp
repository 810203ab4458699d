// SPDX-License-Identifier: Apache-2.0
// Spread and choke of a plate's outline by GEOS buffer.
#include "truepull/trap.h"

#include <fmt/format.h>
#include <geos_c.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

namespace truepull {
namespace {

// GEOS's handle and shapes, each freed by its own.
class Geos {
 public:
  Geos() : handle_(GEOS_init_r()) {}
  ~Geos() { GEOS_finish_r(handle_); }
  Geos(const Geos&) = delete;
  Geos& operator=(const Geos&) = delete;

  struct Free {
    GEOSContextHandle_t handle;
    void operator()(GEOSGeometry* g) const { GEOSGeom_destroy_r(handle, g); }
  };
  using Shape = std::unique_ptr<GEOSGeometry, Free>;
  Shape Hold(GEOSGeometry* g) const { return Shape(g, Free{handle_}); }

  Shape Polygon(std::span<const Point> outline) const {
    const auto n = static_cast<unsigned>(outline.size());
    GEOSCoordSequence* points = GEOSCoordSeq_create_r(handle_, n + 1, 2);
    for (unsigned i = 0; i <= n; ++i) GEOSCoordSeq_setXY_r(handle_, points, i, outline[i % n].x, outline[i % n].y);
    GEOSGeometry* ring = GEOSGeom_createLinearRing_r(handle_, points);
    return Hold(ring == nullptr ? nullptr : GEOSGeom_createPolygon_r(handle_, ring, nullptr, 0));
  }
  Shape Buffer(const Shape& shape, double by_mm) const {
    return Hold(GEOSBufferWithStyle_r(handle_, shape.get(), by_mm, 8, GEOSBUF_CAP_ROUND, GEOSBUF_JOIN_MITRE, 5.0));
  }
  Shape Without(const Shape& a, const Shape& b) const { return Hold(GEOSDifference_r(handle_, a.get(), b.get())); }
  bool Empty(const Shape& s) const { return GEOSisEmpty_r(handle_, s.get()) != 0; }
  int Parts(const Shape& s) const { return GEOSGetNumGeometries_r(handle_, s.get()); }
  int Holes(const Shape& s) const { return GEOSGetNumInteriorRings_r(handle_, s.get()); }

  std::vector<Point> Ring(const GEOSGeometry* ring) const {
    const GEOSCoordSequence* points = GEOSGeom_getCoordSeq_r(handle_, ring);
    unsigned n = 0;
    GEOSCoordSeq_getSize_r(handle_, points, &n);
    std::vector<Point> out(n);
    for (unsigned i = 0; i < n; ++i) GEOSCoordSeq_getXY_r(handle_, points, i, &out[i].x, &out[i].y);
    if (!out.empty()) out.pop_back();  // The last repeats the first.
    return out;
  }
  std::vector<Point> Outside(const Shape& s) const { return Ring(GEOSGetExteriorRing_r(handle_, s.get())); }
  std::vector<Point> Hole(const Shape& s, int k) const { return Ring(GEOSGetInteriorRingN_r(handle_, s.get(), k)); }

  // The largest piece of a shape: its area and its middle.
  struct Piece {
    double area = 0;
    Point at;
  };
  Piece Largest(const Shape& shape) const {
    Piece out;
    for (int i = 0; i < Parts(shape); ++i) {
      const GEOSGeometry* part = GEOSGetGeometryN_r(handle_, shape.get(), i);
      double area = 0;
      GEOSArea_r(handle_, part, &area);
      if (area <= out.area) continue;
      const Shape inside = Hold(GEOSPointOnSurface_r(handle_, part));
      out.area = area;
      if (inside) GEOSGeomGetX_r(handle_, inside.get(), &out.at.x), GEOSGeomGetY_r(handle_, inside.get(), &out.at.y);
    }
    return out;
  }

 private:
  GEOSContextHandle_t handle_;
};

Error Refuse(const std::string& what) {
  return {ErrorCode::kBadArgument, what, "take a smaller trap, or change the outline there"};
}

}  // namespace

Result<Outline> TrappedOutline(std::span<const Point> outline, double by_mm) {
  if (by_mm == 0 || outline.size() < 3) return Outline(outline.begin(), outline.end());
  const double d = std::abs(by_mm);
  const Geos geos;
  const Geos::Shape before = geos.Polygon(outline);
  const Geos::Shape after = before ? geos.Buffer(before, by_mm) : geos.Hold(nullptr);
  if (!after) {
    return Error{ErrorCode::kBadArgument, "the outline cannot be trapped", "look over the outline with `truepull tile`"};
  }
  if (by_mm < 0) {
    if (geos.Empty(after)) return Refuse(fmt::format("a choke of {:g} mm leaves nothing of the outline", d));
    // What opening (choke, then spread) does not give back is narrower than twice the choke. At
    // corners under 23 degrees the mitre falls short: that little is no neck.
    const Geos::Shape opened = geos.Buffer(after, d);
    const auto lost = geos.Largest(geos.Without(before, opened));
    if (geos.Parts(after) > 1 || lost.area > d * d) {
      return Refuse(fmt::format("a choke of {:g} mm removes a part narrower than {:g} mm, near x {:.1f}, y {:.1f} mm of the reference point",
                                d, 2 * d, lost.at.x, lost.at.y));
    }
  }
  if (geos.Parts(after) != 1) return Refuse(fmt::format("a trap of {:g} mm breaks the outline apart", d));
  if (geos.Holes(after) > 0) {
    const Point at = Centroid(geos.Hole(after, 0));
    return Refuse(fmt::format("a spread of {:g} mm closes a bay and leaves a hole, near x {:.1f}, y {:.1f} mm of the reference point", d, at.x, at.y));
  }
  Outline out = geos.Outside(after);
  if ((SignedArea(out) > 0) != (SignedArea(outline) > 0)) std::reverse(out.begin(), out.end());
  const auto first = std::min_element(out.begin(), out.end(), [&](Point a, Point b) {
    return Norm(a - outline[0]) < Norm(b - outline[0]);
  });
  std::rotate(out.begin(), first, out.end());
  return out;
}

}  // namespace truepull
