// SPDX-License-Identifier: Apache-2.0
#include "guide/offset.h"

#include <geos_c.h>

#include <algorithm>
#include <memory>

namespace truepull {
namespace {

struct Geos {
  GEOSContextHandle_t handle = GEOS_init_r();
  ~Geos() { GEOS_finish_r(handle); }
};

constexpr int kQuadrantSegments = 8;
constexpr double kMitreLimit = 5;

}  // namespace

Outline Widened(const Outline& outline, double by_mm) {
  if (by_mm == 0 || outline.size() < 3) return outline;
  const Geos geos;
  const auto h = geos.handle;
  const auto free = [h](GEOSGeometry* g) { GEOSGeom_destroy_r(h, g); };
  using Geometry = std::unique_ptr<GEOSGeometry, decltype(free)>;
  const auto n = static_cast<unsigned>(outline.size());
  GEOSCoordSequence* points = GEOSCoordSeq_create_r(h, n + 1, 2);
  for (unsigned i = 0; i <= n; ++i) GEOSCoordSeq_setXY_r(h, points, i, outline[i % n].x, outline[i % n].y);
  const Geometry polygon(GEOSGeom_createPolygon_r(h, GEOSGeom_createLinearRing_r(h, points), nullptr, 0), free);
  if (!polygon) return outline;
  const Geometry wide(GEOSBufferWithStyle_r(h, polygon.get(), by_mm, kQuadrantSegments, GEOSBUF_CAP_FLAT,
                                            GEOSBUF_JOIN_MITRE, kMitreLimit), free);
  if (!wide || GEOSGeomTypeId_r(h, wide.get()) != GEOS_POLYGON) return outline;
  const GEOSGeometry* ring = GEOSGetExteriorRing_r(h, wide.get());
  const GEOSCoordSequence* found = GEOSGeom_getCoordSeq_r(h, ring);
  unsigned count = 0;
  GEOSCoordSeq_getSize_r(h, found, &count);
  Outline out;
  for (unsigned i = 0; i + 1 < count; ++i) {
    Point p;
    GEOSCoordSeq_getXY_r(h, found, i, &p.x, &p.y);
    out.push_back(p);
  }
  // GEOS turns rings round as it likes; keep the outline's own way.
  if ((SignedArea(out) > 0) != (SignedArea(outline) > 0)) std::reverse(out.begin(), out.end());
  return out.size() < 3 ? outline : out;
}

}  // namespace truepull
