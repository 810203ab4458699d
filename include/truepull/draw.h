// SPDX-License-Identifier: Apache-2.0
// Turns a guide's pages into documents: PDF, SVG and PNG, all from the same marks.
#ifndef TRUEPULL_DRAW_H_
#define TRUEPULL_DRAW_H_

#include <string>
#include <vector>

#include "truepull/guide.h"
#include "truepull/result.h"

namespace truepull {

/// A PDF of pages, true to size: one millimetre of a mark is one millimetre of paper.
///
/// Fonts are embedded. Viewers are asked not to scale (/PrintScaling /None), language and
/// title are set, every page has the same media, crop and trim box, and no page has a
/// UserUnit. The same pages give the same bytes: no date is written.
/// Fails with kCannotWrite when the drawing libraries refuse.
Result<std::string> DrawPdf(const std::vector<GuidePage>& pages, const std::string& title);

/// A page's printer correction stretches the drawing in PDF, SVG and PNG alike.
///
/// An SVG of one page in millimetres. The view box has its origin at the guide's, so
/// that coordinates of the sheet's marks are sheet mm; each site is a group with the id
/// site-R-C (file numbers, from 0); words are real text.
std::string DrawSvg(const GuidePage& page, const std::string& title);

/// Every mark of the whole sheet as YAML, in sheet mm as seen on the guide (the SVG's
/// twin), and where the sheet lies on each page of the PDF: for machines that cut.
std::string WriteGuideYaml(const GuidePage& sheet, const Guide& guide, const std::vector<GuidePage>& pages,
                           const std::string& title);

/// A page as a picture on white, for looking at. Fails with kCannotWrite.
Result<std::string> DrawPng(const GuidePage& page, double px_per_mm);

}  // namespace truepull

#endif  // TRUEPULL_DRAW_H_
