// SPDX-License-Identifier: Apache-2.0
// What is drawn of the sheet itself, and what on it a page can be placed by.
#ifndef TRUEPULL_SRC_GUIDE_SHEET_MARKS_H_
#define TRUEPULL_SRC_GUIDE_SHEET_MARKS_H_

#include <array>
#include <span>
#include <vector>

#include "guide/site_marks.h"
#include "truepull/guide.h"

namespace truepull {

/// The sheet's outline, corner brackets and centre marks.
std::vector<Mark> SheetMarks(double width_mm, double height_mm);

/// The grain's arrow in the border, and where the kento's notches take the sheet.
void AddGrainAndKento(const Plan& plan, const Guide& guide, std::vector<Mark>& out);

/// Where the margin's crosses are at the pull: the sheet has grown since they were made.
std::array<Point, 4> MarksAtThePull(const Plan& plan, const GuideRequest& request);
std::vector<Mark> MarginCrosses(const GuideFrame& frame, const std::array<Point, 4>& places);

/// Fills `guide.locators`: the printed crosses that the sheet has, and two corners of every
/// well printed first impression. A mirrored guide under a sheet that lies face down shows
/// those that the light table shows through it. Nothing for uses that are not laid on a sheet.
///
/// For masks `guide.in_openings` is filled as well: first impressions that show in their
/// openings with an even rim, for the plate goes exactly onto them.
void AddLocators(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
                 std::span<const SiteShape> shapes, const GuideFrame& frame, Guide& guide);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_SHEET_MARKS_H_
