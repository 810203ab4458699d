// SPDX-License-Identifier: Apache-2.0
// What a marker looks like, from OpenCV's own table.
#include <opencv2/aruco.hpp>

#include "truepull/marker_cards.h"

namespace truepull {

std::vector<bool> MarkerPattern(int id) {
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000);
  if (id < 0 || id >= dictionary->bytesList.rows) return {};
  cv::Mat cells;
  dictionary->drawMarker(id, kMarkerCells, cells, 1);  // One pixel to a cell.
  std::vector<bool> out;
  for (int y = 0; y < kMarkerCells; ++y) {
    for (int x = 0; x < kMarkerCells; ++x) out.push_back(cells.at<std::uint8_t>(y, x) < 128);
  }
  return out;
}

}  // namespace truepull
