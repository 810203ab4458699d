// SPDX-License-Identifier: Apache-2.0
// Pages for people: what a reading says in a few lines, and as one page of HTML.
#ifndef TRUEPULL_PAGES_H_
#define TRUEPULL_PAGES_H_

#include <string>
#include <string_view>
#include <vector>

#include "truepull/drift.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// What was found, in five plain lines (one for an empty sheet): what printed; how the
/// sheet as a whole lies; how far apart the tiles stand; what the hand did and the widest
/// gap and overlap; the site that lies furthest off. Whatever is within twice its
/// standard uncertainty is not claimed; the line says what it is within instead.
std::vector<std::string> SummaryLines(const Reading& reading, const DriftReport& drift);

/// Whether someone should look: a weak or missing site, a drift beyond the tolerance, or
/// a finding.
bool NeedsALook(const Reading& reading, const DriftReport& drift);

/// One self-contained page: the summary, findings, the picture, drift and seam maps, and
/// tables with every site and seam. It asks nothing of the network; the only script sorts
/// the table, and the page says everything without it.
///
/// picture_jpeg       The annotated picture, JPEG bytes; may be empty.
/// picture_margin_mm  Of table that it shows round the sheet: the layer of colours, which a
///                    tick box switches off, must lie on it.
std::string ReadingPage(const Reading& reading, const DriftReport& drift, std::string_view picture_jpeg,
                        double picture_margin_mm = 12);

/// A colour in plain words: "#3a62a8" -> "blue", "#203050" -> "dark blue".
std::string ColourWords(const std::string& hex);

}  // namespace truepull

#endif  // TRUEPULL_PAGES_H_
