// SPDX-License-Identifier: Apache-2.0
// The parts that a reading's page is put together from.
#ifndef TRUEPULL_PAGES_PAGE_PARTS_H_
#define TRUEPULL_PAGES_PAGE_PARTS_H_

#include <string>

#include "truepull/drift.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// Map of the sheet with an arrow at every site (whole drift, or the hand's part), its
/// 95 % ellipse, and a bar that says how much they are magnified. SVG, in mm.
std::string DriftMapSvg(const Reading& reading, const DriftReport& drift, bool hand);

/// Map of the sheet with every seam's mean gap or overlap beside what was planned.
std::string SeamMapSvg(const Reading& reading, const DriftReport& drift);

/// The outlines of all kinds of tile as SVG symbols to `use`, ids beginning `prefix`, and
/// the id of a site's.
std::string OutlineDefs(const Plan& plan, const std::string& prefix);
std::string OutlineUse(const Plan& plan, Site site, const Pose& pose, const std::string& prefix,
                       const std::string& css_class);

/// What a map shows: the ideal tiles with some paper round them, mm.
Box MapBox(const Plan& plan);

/// Width of a tile's share of the plane, mm: what text and signs are sized by.
double PitchMm(const Plan& plan);

std::string SiteTable(const Reading& reading, const DriftReport& drift);
std::string SeamTable(const DriftReport& drift);

extern const char* const kPageStyle;
extern const char* const kPageScript;

}  // namespace truepull

#endif  // TRUEPULL_PAGES_PAGE_PARTS_H_
