// SPDX-License-Identifier: Apache-2.0
// Whether what the search found is a sheet, only part of one, or open to doubt.
#ifndef TRUEPULL_PHOTO_SHEET_VERDICT_H_
#define TRUEPULL_PHOTO_SHEET_VERDICT_H_

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "photo/sheet_search.h"

namespace truepull {

/// Share of a side that must show the sheet's edge on one smooth curve.
inline constexpr double kLeastCoarse = 0.4;
/// Natural logarithm: a contradiction of ratios that a plan's round numbers do not explain.
inline constexpr double kOddRatio = 0.06;

/// The names of the four sides as they lie in the picture: side i from corner i on.
std::array<const char*, 4> SideNames(const Quad& quad);

/// Whether something that lacks sides is a sheet at all: two sides or more that stand out
/// strongly, with paper of one pale colour along them. Grain, checks and clutter fail that.
bool IsPaper(const SeenSheet& seen);

/// Whether a candidate is good enough to trace.
bool Whole(const std::optional<SoughtSheet>& s);

/// Whether it shows its sides all the way and everything speaks for a sheet.
bool IsBeyondDoubt(const SoughtSheet& s);

/// Whether the whole sheet that was found is only a part of one that the picture cuts off:
/// then one of its sides is a row of tiles, with ink inside it or paper beyond it, and a
/// larger sheet with clear sides encloses it.
bool IsPartOfCutSheet(const SheetSearch& search);

/// What makes the choice of outline doubtful, in words.
std::vector<std::string> Doubts(const SheetSearch& search);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SHEET_VERDICT_H_
