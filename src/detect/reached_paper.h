// SPDX-License-Identifier: Apache-2.0
// Bare paper told from ink where no plan helps: empty sites in a shadow.
//
// A shadow over an empty site is a slope in grey. A pull begins with a step, is restless
// (strokes, the paper's tooth) or has another hue. Without this, an empty site that lies half
// a shadow darker than the sheet's light predicts passes for a pale pull.
#ifndef TRUEPULL_SRC_DETECT_REACHED_PAPER_H_
#define TRUEPULL_SRC_DETECT_REACHED_PAPER_H_

#include <opencv2/core/mat.hpp>

#include "truepull/plan.h"

namespace truepull::detect {

/// How restless each cell of a coarse copy of `size` is (CV_32F): the spread of ln(mean light)
/// within it, from differences of neighbouring pixels of the fine map, so that a slope of
/// light counts little. linear: CV_32FC3.
cv::Mat Restlessness(const cv::Mat& linear, cv::Size size);

/// 1 (CV_8U) where bare paper is reached from the sure margin without crossing an edge.
/// off       ln light less the smooth surface through the paper (CV_32FC3), cells of 2 mm.
/// sure      255 where no site is planned.
/// weight    CV_32F, how much each cell looks like the surface, 0..1.
/// enclosed  Also takes in empty sites that pulls enclose all round: to be left out where an
///           ink itself is grey.
cv::Mat ReachedPaper(const cv::Mat& off, const cv::Mat& restless, const cv::Mat& sure, const cv::Mat& weight,
                     bool enclosed);

/// Whether one of a plan's inks is grey enough that a thin layer of it looks like a shadow. A
/// plan that names no colours may have such an ink.
bool HasGreyInk(const Plan& plan);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_REACHED_PAPER_H_
