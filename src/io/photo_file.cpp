// SPDX-License-Identifier: Apache-2.0
#include "truepull/photo_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <memory>
#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>

#include <zlib.h>

#include "io/colour_profile.h"
#include "io/heif_photo.h"
#include "io/image_head.h"
#include "truepull/io.h"

namespace truepull {
namespace {

// 100 megapixels: decoded that is 300 MB, about what the whole job may take.
constexpr std::uint64_t kMostPixels = 100'000'000;
// 200 pixels: under 1 px to the mm on the smallest sheets; nothing to measure.
constexpr std::uint64_t kLeastSide = 200;

Error Unusable(const std::string& name, const std::string& what, const std::string& hint) {
  return {ErrorCode::kPhotoUnusable, name + ": " + what, hint + " (docs/photo.md)"};
}

Error NotAPhoto(const std::string& name, ImageKind kind) {
  switch (kind) {
    case ImageKind::kHeif:
      return Unusable(name, "is a HEIC or AVIF file without a picture that can be decoded",
                      "set the phone's camera to save JPEG, or save a copy as JPEG");
    case ImageKind::kPdf:
      return Unusable(name, "is a PDF, not a photo", "give the photo itself as JPEG, PNG, TIFF or WebP");
    default:
      return Unusable(name, "is not a photo that can be read (JPEG, HEIC, PNG, TIFF or WebP)",
                      "check that it is the photo, and that it opens in a picture viewer");
  }
}

// EXIF orientation n to upright; the table of CIPA DC-008, tag 274.
cv::Mat Upright(const cv::Mat& stored, int orientation) {
  cv::Mat out;
  switch (orientation) {
    case 2: cv::flip(stored, out, 1); return out;
    case 3: cv::rotate(stored, out, cv::ROTATE_180); return out;
    case 4: cv::flip(stored, out, 0); return out;
    case 5: cv::transpose(stored, out); return out;
    case 6: cv::rotate(stored, out, cv::ROTATE_90_CLOCKWISE); return out;
    case 7: {
      cv::Mat turned;
      cv::rotate(stored, turned, cv::ROTATE_180);
      cv::transpose(turned, out);
      return out;
    }
    case 8: cv::rotate(stored, out, cv::ROTATE_90_COUNTERCLOCKWISE); return out;
    default: return stored;
  }
}

// Rows at the stored picture's end that are nothing but the middle grey with which a
// JPEG decoder fills what is not in the file. A file can be cut and still have its end
// mark, when a program saved what it had got of it.
int FillerRows(const cv::Mat& stored) {
  int rows = 0;
  for (int y = stored.rows - 1; y >= 0; --y, ++rows) {
    const cv::Vec3b* p = stored.ptr<cv::Vec3b>(y);
    for (int x = 0; x < stored.cols; ++x) {
      if (p[x] != cv::Vec3b(128, 128, 128)) return rows;
    }
  }
  return rows;
}

// The profile that a PNG holds compressed; nothing where it is damaged.
std::string Inflated(const std::string& packed) {
  std::string out;
  // A profile of a camera or a screen takes some kilobytes; more than 4 MB is none.
  for (uLongf room = 1 << 16; room <= (1 << 22); room *= 4) {
    out.resize(room);
    uLongf size = room;
    const int code = uncompress(reinterpret_cast<Bytef*>(out.data()), &size, reinterpret_cast<const Bytef*>(packed.data()), packed.size());
    if (code == Z_OK) return out.substr(0, size);
    if (code != Z_BUF_ERROR) break;
  }
  return "";
}

Error CutShort(const std::string& name) {
  return Unusable(name, "is cut short: the file ends in the middle of the picture",
                  "copy the photo again from the phone or camera");
}

}  // namespace

Result<Photo> DecodePhoto(std::string_view bytes, const std::string& name) {
  if (bytes.empty()) {
    return Unusable(name, "is empty (0 bytes)", "copy the photo again from the phone or camera");
  }
  ImageHead head = ReadImageHead(bytes);
  std::unique_ptr<HeifPhoto> heif;
  if (head.kind == ImageKind::kHeif) {
    heif = std::make_unique<HeifPhoto>(bytes);
    if (!heif->usable()) return NotAPhoto(name, head.kind);
    head.width_px = static_cast<std::uint64_t>(std::max(0, heif->width_px()));
    head.height_px = static_cast<std::uint64_t>(std::max(0, heif->height_px()));
    head.whole = true;
    ReadExif(heif->Exif(), head);
    head.orientation = 1;  // The file's own turns, which libheif applies, hold; EXIF's repeat them.
    bool p3 = false;
    head.icc = heif->Profile(p3);
    if (p3) head.icc = DisplayP3Profile();
  }
  const bool known = head.kind == ImageKind::kJpeg || head.kind == ImageKind::kPng ||
                     head.kind == ImageKind::kTiff || head.kind == ImageKind::kWebp || heif;
  if (!known) return NotAPhoto(name, head.kind);
  if (head.width_px == 0 || head.height_px == 0) {
    return head.whole ? NotAPhoto(name, ImageKind::kUnknown) : CutShort(name);
  }
  if (head.width_px > kMostPixels || head.height_px > kMostPixels ||
      head.width_px * head.height_px > kMostPixels) {
    return Unusable(name,
                    fmt::format("is {} x {} pixels ({:.0f} megapixels); at most 100 megapixels can be read",
                                head.width_px, head.height_px,
                                static_cast<double>(head.width_px) * static_cast<double>(head.height_px) / 1e6),
                    "save a smaller copy; 12 megapixels are plenty");
  }
  if (std::min(head.width_px, head.height_px) < kLeastSide) {
    return Unusable(name,
                    fmt::format("is only {} x {} pixels; at least {} a side are needed, 2000 or more do well",
                                head.width_px, head.height_px, kLeastSide),
                    "use the photo as the camera took it, not a thumbnail");
  }
  if (!head.whole) return CutShort(name);

  // Turned upright below: how OpenCV turns differs from format to format, and in a TIFF
  // it cannot be told not to, so there the number is set to 1 in a copy.
  std::string unturned;
  if (head.kind == ImageKind::kTiff && head.orientation > 1 && head.orientation_at > 0) {
    unturned = bytes;
    const bool little = bytes[0] == 'I';
    unturned[static_cast<std::size_t>(head.orientation_at)] = little ? 1 : 0;
    unturned[static_cast<std::size_t>(head.orientation_at) + 1] = little ? 0 : 1;
    bytes = unturned;
  }
  cv::Mat stored;
  try {
    const cv::Mat raw(1, static_cast<int>(bytes.size()), CV_8U,
                      const_cast<char*>(bytes.data()));  // imdecode only reads it.
    stored = heif ? heif->Decode() : cv::imdecode(raw, cv::IMREAD_COLOR | cv::IMREAD_ANYDEPTH | cv::IMREAD_IGNORE_ORIENTATION);
    if (stored.channels() == 3) ToSrgb(head.icc_deflated ? Inflated(head.icc) : head.icc, stored);
    if (stored.depth() == CV_16U) {
      cv::Mat eight;
      stored.convertTo(eight, CV_8U, 1 / 257.0);  // 65535 = 255 * 257.
      stored = eight;
    }
  } catch (const cv::Exception&) {
    stored.release();
  }
  if (stored.empty() || stored.type() != CV_8UC3) {
    return Unusable(name, "cannot be decoded: the file is damaged or of an unusual kind",
                    "open it in a picture viewer and save a copy as JPEG");
  }
  // 8 rows: the least that a JPEG decoder fills at a time.
  if (head.kind == ImageKind::kJpeg && FillerRows(stored) >= 8) return CutShort(name);

  Photo photo;
  photo.name = std::filesystem::path(name).filename().string();
  photo.orientation_known = head.orientation != 0;
  photo.bgr = Upright(stored, head.orientation);
  const bool cropped =
      head.exif_width_px != 0 && head.exif_height_px != 0 &&
      (std::max(head.exif_width_px, head.exif_height_px) != std::max(head.width_px, head.height_px) ||
       std::min(head.exif_width_px, head.exif_height_px) != std::min(head.width_px, head.height_px));
  if (head.focal_35mm >= 8 && head.focal_35mm <= 600 && !cropped) {
    // Equivalent by the diagonal: 36 x 24 mm has one of 43.267 mm.
    photo.focal_px = head.focal_35mm *
                     std::hypot(static_cast<double>(head.width_px), static_cast<double>(head.height_px)) /
                     std::hypot(36.0, 24.0);
  }
  return photo;
}

Result<Photo> LoadPhoto(const std::filesystem::path& path) {
  const auto bytes = ReadWholeFile(path);
  if (!bytes) return bytes.error();
  return DecodePhoto(*bytes, path.string());
}

bool HasPhotoName(const std::filesystem::path& path) {
  std::string end = path.extension().string();
  std::transform(end.begin(), end.end(), end.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  for (const char* known : {".jpg", ".jpeg", ".heic", ".heif", ".avif", ".png", ".tif", ".tiff", ".webp"}) {
    if (end == known) return true;
  }
  return false;
}

}  // namespace truepull
