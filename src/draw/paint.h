// SPDX-License-Identifier: Apache-2.0
// Marks painted with Cairo and Pango, whatever they are painted on.
#ifndef TRUEPULL_SRC_DRAW_PAINT_H_
#define TRUEPULL_SRC_DRAW_PAINT_H_

#include <cairo.h>

#include <memory>
#include <vector>

#include "truepull/guide.h"

namespace truepull {

template <auto Free>
struct Freer {
  template <typename T>
  void operator()(T* p) const {
    Free(p);
  }
};
using CairoSurface = std::unique_ptr<cairo_surface_t, Freer<cairo_surface_destroy>>;
using CairoContext = std::unique_ptr<cairo_t, Freer<cairo_destroy>>;

/// Paints in order; one unit of the context is one millimetre.
void PaintMarks(cairo_t* cr, const std::vector<Mark>& marks);

/// The pictures and then the marks. False when a picture is no PNG.
bool PaintPage(cairo_t* cr, const GuidePage& page);

}  // namespace truepull

#endif  // TRUEPULL_SRC_DRAW_PAINT_H_
