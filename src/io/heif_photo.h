// SPDX-License-Identifier: Apache-2.0
// HEIC and AVIF photos, through libheif.
#ifndef TRUEPULL_IO_HEIF_PHOTO_H_
#define TRUEPULL_IO_HEIF_PHOTO_H_

#include <memory>
#include <opencv2/core/mat.hpp>
#include <string>
#include <string_view>

namespace truepull {

/// A HEIF file whose head was read and whose picture is not decoded yet.
class HeifPhoto {
 public:
  /// bytes  The whole file; must outlive this.
  explicit HeifPhoto(std::string_view bytes);
  ~HeifPhoto();
  HeifPhoto(const HeifPhoto&) = delete;
  HeifPhoto& operator=(const HeifPhoto&) = delete;

  /// Whether the file holds a picture of a kind that can be decoded.
  bool usable() const;
  /// Of the main picture, upright: the file's own turns and mirrorings are applied.
  int width_px() const;
  int height_px() const;
  /// The EXIF block from its TIFF head on; empty where there is none.
  std::string Exif() const;
  /// The ICC profile; where the file names display-P3 by numbers only, `p3` is set instead.
  std::string Profile(bool& p3) const;
  /// CV_8UC3 in the file's own colours, upright; empty when it is damaged.
  cv::Mat Decode() const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace truepull

#endif  // TRUEPULL_IO_HEIF_PHOTO_H_
