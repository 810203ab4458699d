// SPDX-License-Identifier: Apache-2.0
// The bytes of a photo: a JPEG with nothing but the orientation in its EXIF.
#include <array>
#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "truepull/render.h"

namespace truepull {
namespace {

/// Turns the upright picture into how the sensor stored it: the inverse of what EXIF
/// (CIPA DC-008, tag 274) tells the reader to do.
cv::Mat StoredFrom(const cv::Mat& upright, int orientation) {
  cv::Mat out;
  switch (orientation) {
    case 2: cv::flip(upright, out, 1); break;
    case 3: cv::rotate(upright, out, cv::ROTATE_180); break;
    case 4: cv::flip(upright, out, 0); break;
    case 5: cv::transpose(upright, out); break;
    case 6: cv::rotate(upright, out, cv::ROTATE_90_COUNTERCLOCKWISE); break;
    case 7:
      cv::transpose(upright, out);
      cv::rotate(out, out, cv::ROTATE_180);
      break;
    case 8: cv::rotate(upright, out, cv::ROTATE_90_CLOCKWISE); break;
    default: out = upright;
  }
  return out;
}

/// An APP1 segment that holds one tag: orientation.
std::string OrientationSegment(int orientation) {
  const std::array<unsigned char, 36> bytes{
      0xFF, 0xE1, 0x00, 0x22,                    // APP1, 34 bytes follow.
      'E', 'x', 'i', 'f', 0, 0,                  //
      'M', 'M', 0, 42, 0, 0, 0, 8,               // TIFF header, big-endian.
      0, 1,                                      // One entry:
      0x01, 0x12, 0, 3, 0, 0, 0, 1,              // tag 274, SHORT, one value.
      0, static_cast<unsigned char>(orientation), 0, 0,
      0, 0, 0, 0};                               // No further directory.
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

}  // namespace

Result<std::string> EncodePhotoJpeg(const cv::Mat& bgr, int quality, int orientation) {
  if (quality < 1 || quality > 100) {
    return Error{ErrorCode::kBadArgument, fmt::format("the JPEG quality must be 1 to 100, not {}", quality), ""};
  }
  if (orientation < 1 || orientation > 8) {
    return Error{ErrorCode::kBadArgument, fmt::format("the EXIF orientation must be 1 to 8, not {}", orientation),
                 "1 is upright as stored, 6 and 8 are stored on their side"};
  }
  try {
    std::vector<unsigned char> bytes;
    const std::vector<int> settings{cv::IMWRITE_JPEG_QUALITY, quality};
    if (!cv::imencode(".jpg", StoredFrom(bgr, orientation), bytes, settings) || bytes.size() < 4) {
      return Error{ErrorCode::kCannotWrite, "the photo could not be written as JPEG", ""};
    }
    // EXIF comes first after the start marker, in place of the JFIF segment if there is
    // one: readers want one or the other at the front.
    std::size_t rest = 2;
    if (bytes[2] == 0xFF && bytes[3] == 0xE0) rest += 2U + 256U * bytes[4] + bytes[5];
    std::string out(reinterpret_cast<const char*>(bytes.data()), 2);
    out += OrientationSegment(orientation);
    out.append(reinterpret_cast<const char*>(bytes.data()) + rest, bytes.size() - rest);
    return out;
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kCannotWrite, fmt::format("the photo could not be written as JPEG: {}", e.what()), ""};
  }
}

}  // namespace truepull
