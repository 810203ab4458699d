// SPDX-License-Identifier: Apache-2.0
#include "truepull/sheet_card_reading.h"

#include <algorithm>
#include <opencv2/aruco.hpp>
#include <opencv2/imgproc.hpp>
#include <set>
#include <vector>

#include "truepull/marker_cards.h"

namespace truepull {
namespace {

constexpr int kFirstLookPx = 1600;

std::vector<int> MarkersIn(const cv::Mat& grey, bool quick) {
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
  const auto parameters = cv::aruco::DetectorParameters::create();
  // Printed black on white: one width of threshold finds it, unless it is near the limit.
  if (quick) parameters->adaptiveThreshWinSizeMin = parameters->adaptiveThreshWinSizeMax;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(grey, dictionary, corners, ids, parameters);
  return ids;
}

std::optional<FoundCard> CardOf(const std::vector<int>& ids) {
  std::set<int> numbers, passes;
  for (const int id : ids) {
    if (id >= kSheetNumberFirstId && id < kSheetNumberFirstId + kSheetNumbers) numbers.insert(id - kSheetNumberFirstId + 1);
    if (id >= kPassFirstId && id < kPassFirstId + kPassNumbers) passes.insert(id - kPassFirstId + 1);
  }
  if (numbers.empty()) return std::nullopt;
  FoundCard card;
  card.number = *numbers.begin();
  card.pass = passes.size() == 1 ? *passes.begin() : 0;
  card.doubtful = numbers.size() > 1 || passes.size() > 1;
  return card;
}

}  // namespace

std::optional<FoundCard> FindSheetCard(const cv::Mat& bgr) {
  try {
    cv::Mat grey;
    const int factor = std::max(bgr.cols, bgr.rows) / kFirstLookPx;
    if (factor > 1) {
      cv::Mat small;
      const cv::Size size(bgr.cols / factor, bgr.rows / factor);
      cv::resize(bgr(cv::Rect(0, 0, size.width * factor, size.height * factor)), small, size, 0, 0, cv::INTER_AREA);
      cv::cvtColor(small, grey, cv::COLOR_BGR2GRAY);
      // A marker of 35 mm has 40 px or more here beside any sheet up to a metre; the whole photo
      // is only worth its second or so where half of a card was seen.
      const auto card = CardOf(MarkersIn(grey, true));
      if (!card || card->pass > 0) return card;
    }
    cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
    return CardOf(MarkersIn(grey, false));
  } catch (const cv::Exception&) {
    return std::nullopt;   // A photo without a card is no failure, nor is one that cannot be searched.
  }
}

}  // namespace truepull
