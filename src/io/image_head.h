// SPDX-License-Identifier: Apache-2.0
// What a picture file says of itself before it is decoded: kind, size, whole or cut
// short, which way is up. Reads JPEG, PNG, TIFF and WebP heads; never past the bytes.
#ifndef TRUEPULL_IO_IMAGE_HEAD_H_
#define TRUEPULL_IO_IMAGE_HEAD_H_

#include <cstdint>
#include <string>
#include <string_view>

namespace truepull {

enum class ImageKind { kUnknown, kJpeg, kPng, kTiff, kWebp, kHeif, kPdf, kGif };

struct ImageHead {
  ImageKind kind = ImageKind::kUnknown;
  std::uint64_t width_px = 0;   // As stored, before turning upright; 0 = not found.
  std::uint64_t height_px = 0;
  bool whole = false;           // The file's own end marks are where they should be.
  int orientation = 0;          // EXIF 1..8; 0 = not given.
  std::uint64_t orientation_at = 0;  // Where that number stands in a TIFF file.
  double focal_35mm = 0;        // 35 mm equivalent, mm; 0 = not given.
  std::uint64_t exif_width_px = 0;   // The size when the picture was taken, where given.
  std::uint64_t exif_height_px = 0;
  std::string icc;              // The embedded colour profile; of a PNG still compressed.
  bool icc_deflated = false;
};

/// What an EXIF block (from its TIFF head on) says of orientation, focal length and size.
void ReadExif(std::string_view tiff, ImageHead& head);

ImageHead ReadImageHead(std::string_view bytes);

}  // namespace truepull

#endif  // TRUEPULL_IO_IMAGE_HEAD_H_
