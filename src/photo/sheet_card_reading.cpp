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

constexpr int kFirstLookPx = 2400;

std::vector<int> MarkersIn(const cv::Mat& grey) {
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
  const auto parameters = cv::aruco::DetectorParameters::create();
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
    cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
    const int longer = std::max(grey.cols, grey.rows);
    if (longer > kFirstLookPx) {
      cv::Mat small;
      const double scale = static_cast<double>(kFirstLookPx) / longer;
      cv::resize(grey, small, {}, scale, scale, cv::INTER_AREA);
      // A marker of 35 mm has 60 px or more here beside any sheet up to a metre; the whole photo
      // is only worth its second or so where half of a card was seen.
      const auto card = CardOf(MarkersIn(small));
      if (!card || card->pass > 0) return card;
    }
    return CardOf(MarkersIn(grey));
  } catch (const cv::Exception&) {
    return std::nullopt;   // A photo without a card is no failure, nor is one that cannot be searched.
  }
}

}  // namespace truepull
