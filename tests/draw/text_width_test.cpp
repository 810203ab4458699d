// SPDX-License-Identifier: Apache-2.0
// The bound that the guide's layout trusts, against the face that draws it.
#include <gtest/gtest.h>
#include <pango/pangocairo.h>

#include <cairo.h>

#include "draw/ink.h"
#include "support/guides.h"

namespace truepull::testing {
namespace {

// Width of a line as Pango sets it, in em.
double SetWidth(const std::string& text, bool bold) {
  cairo_surface_t* surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR, nullptr);
  cairo_t* cr = cairo_create(surface);
  PangoLayout* layout = pango_cairo_create_layout(cr);
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family(font, (std::string(kFace) + ", " + kOtherFaces).c_str());
  pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, 100 * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  pango_layout_set_text(layout, text.c_str(), -1);
  int width = 0;
  pango_layout_get_size(layout, &width, nullptr);
  pango_font_description_free(font);
  g_object_unref(layout);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return width / (100.0 * PANGO_SCALE);
}

TEST(TextWidth, BoundsEveryLineOfAGuideFromAbove) {
  int lines = 0;
  double tightest = 10;
  for (const bool mirrored : {false, true}) {
    for (const GuidePage& page : LayOutPages(GuideOf(RectanglePlan(5, 6), mirrored), Paper::kA4)) {
      for (const Mark& m : page.marks) {
        const auto* text = std::get_if<TextMark>(&m.what);
        if (text == nullptr) continue;
        const double set = SetWidth(text->text, text->bold) * text->cap_mm / kFaceCapOfEm;
        const double bound = TextWidth(text->text, text->cap_mm, text->bold);
        EXPECT_LE(set, bound) << text->text;
        tightest = std::min(tightest, bound / set);
        ++lines;
      }
    }
  }
  EXPECT_GT(lines, 200);
  EXPECT_LT(tightest, 1.3);  // A bound that is far off would waste the page.
}

TEST(TextWidth, BoundsEverySingleLetter) {
  for (char c = ' ' + 1; c < 127; ++c) {
    for (const bool bold : {false, true}) {
      EXPECT_LE(SetWidth(std::string(10, c), bold), TextWidth(std::string(10, c), kFaceCapOfEm, bold) * 1.0001) << c << bold;
    }
  }
}

}  // namespace
}  // namespace truepull::testing
