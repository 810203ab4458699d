// SPDX-License-Identifier: Apache-2.0
#include "io/image_head.h"

#include <algorithm>
#include <vector>

#include "io/byte_view.h"

namespace truepull {
namespace {

// TIFF 6.0 and EXIF 2.3 tag numbers.
constexpr std::uint32_t kWidth = 256, kHeight = 257, kOrientation = 274;
constexpr std::uint32_t kStripOffsets = 273, kStripCounts = 279;
constexpr std::uint32_t kTileOffsets = 324, kTileCounts = 325;
constexpr std::uint32_t kProfile = 34675;
constexpr std::uint64_t kLargestProfile = 16 << 20;
constexpr std::uint32_t kExifFolder = 0x8769, kFocal35 = 0xA405;
constexpr std::uint32_t kExifWidth = 0xA002, kExifHeight = 0xA003;

struct TiffEntry {
  std::uint32_t tag = 0, type = 0;
  std::uint64_t count = 0, at = 0;  // Where its values begin.
};

std::uint64_t SizeOfType(std::uint32_t type) {
  switch (type) {
    case 3: case 8: return 2;
    case 4: case 9: case 11: return 4;
    case 5: case 10: case 12: return 8;
    default: return 1;
  }
}

std::uint64_t WholeNumber(const ByteView& v, const TiffEntry& e, std::uint64_t i = 0) {
  if (i >= e.count) return 0;
  return e.type == 3 ? v.U16(e.at + 2 * i) : e.type == 4 ? v.U32(e.at + 4 * i) : 0;
}

template <typename Use>
void ForEntries(const ByteView& v, std::uint64_t folder, Use use) {
  const std::uint32_t entries = v.U16(folder);
  for (std::uint64_t i = 0; i < entries && v.Has(folder + 2 + 12 * i, 12); ++i) {
    const std::uint64_t at = folder + 2 + 12 * i;
    TiffEntry e{v.U16(at), v.U16(at + 2), v.U32(at + 4), at + 8};
    if (SizeOfType(e.type) * e.count > 4) e.at = v.U32(at + 8);
    use(e);
  }
}

// The tags of a TIFF body (of EXIF, or a TIFF file itself when `picture`).
void ReadTiff(std::string_view bytes, bool picture, ImageHead& head) {
  const bool little = bytes.substr(0, 2) == "II";
  const ByteView v(bytes, little);
  if (!(little || v.Says(0, "MM")) || v.U16(2) != 42) return;
  std::uint64_t exif_folder = 0;
  TiffEntry offsets, counts;
  ForEntries(v, v.U32(4), [&](const TiffEntry& e) {
    if (e.tag == kOrientation) {
      const std::uint64_t o = WholeNumber(v, e);
      if (o >= 1 && o <= 8) head.orientation = static_cast<int>(o);
      if (picture && e.type == 3) head.orientation_at = e.at;
    }
    if (e.tag == kExifFolder) exif_folder = WholeNumber(v, e);
    if (!picture) return;
    if (e.tag == kWidth) head.width_px = WholeNumber(v, e);
    if (e.tag == kHeight) head.height_px = WholeNumber(v, e);
    if (e.tag == kStripOffsets || e.tag == kTileOffsets) offsets = e;
    if (e.tag == kProfile && e.count <= kLargestProfile) head.icc = v.Part(e.at, e.count);
    if (e.tag == kStripCounts || e.tag == kTileCounts) counts = e;
  });
  if (picture) {
    head.whole = offsets.count > 0 && v.Has(offsets.at, SizeOfType(offsets.type) * offsets.count);
    for (std::uint64_t i = 0; head.whole && i < std::min(offsets.count, counts.count); ++i) {
      head.whole = v.Has(WholeNumber(v, offsets, i), WholeNumber(v, counts, i));
    }
  }
  if (exif_folder == 0) return;
  ForEntries(v, exif_folder, [&](const TiffEntry& e) {
    if (e.tag == kFocal35) head.focal_35mm = static_cast<double>(WholeNumber(v, e));
    if (e.tag == kExifWidth) head.exif_width_px = WholeNumber(v, e);
    if (e.tag == kExifHeight) head.exif_height_px = WholeNumber(v, e);
  });
}

void ReadJpeg(std::string_view bytes, ImageHead& head) {
  const ByteView v(bytes, false);
  std::uint64_t at = 2;
  bool scanned = false;
  std::vector<std::string_view> profile;  // By its parts' numbers, from 1 (ICC.1, annex B).
  while (at + 1 < v.size()) {
    // Between segments and inside a scan alike: on to the next true marker. In a scan
    // 0xFF is followed by 0 where it is data, by D0..D7 where it is a restart.
    if (v.U8(at) != 0xFF) {
      ++at;
      continue;
    }
    const std::uint32_t marker = v.U8(at + 1);
    if (marker == 0xFF) {
      ++at;
      continue;
    }
    if (marker == 0x00 || marker == 0x01 || (marker >= 0xD0 && marker <= 0xD8)) {
      at += 2;
      continue;
    }
    if (marker == 0xD9) {
      head.whole = scanned && head.width_px > 0;
      for (const std::string_view part : profile) head.icc += part;
      return;
    }
    const std::uint64_t length = v.U16(at + 2);
    if (length < 2 || !v.Has(at + 2, length)) return;  // Cut short within a segment.
    const bool frame = marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 &&
                       marker != 0xCC;
    if (frame && head.width_px == 0) {
      head.height_px = v.U16(at + 5);
      head.width_px = v.U16(at + 7);
    }
    if (marker == 0xE1 && v.Says(at + 4, std::string_view("Exif\0\0", 6)) && length > 8) {
      ReadTiff(v.Part(at + 10, length - 8), false, head);
    }
    if (marker == 0xE2 && v.Says(at + 4, std::string_view("ICC_PROFILE\0", 12)) && length > 16) {
      const std::size_t number = v.U8(at + 16);
      if (number > profile.size()) profile.resize(number);
      if (number > 0) profile[number - 1] = v.Part(at + 18, length - 16);
    }
    if (marker == 0xDA) scanned = true;
    at += 2 + length;
  }
}

void ReadPng(std::string_view bytes, ImageHead& head) {
  const ByteView v(bytes, false);
  std::uint64_t at = 8;
  while (v.Has(at, 12)) {
    const std::uint64_t length = v.U32(at);
    if (v.Says(at + 4, "IHDR")) {
      head.width_px = v.U32(at + 8);
      head.height_px = v.U32(at + 12);
    }
    if (v.Says(at + 4, "iCCP") && length <= kLargestProfile) {
      // A name of up to 79 letters, a zero, the method (0), then the compressed profile.
      const std::string_view body = v.Part(at + 8, length);
      const std::size_t end = body.find('\0');
      if (end < 80 && end + 2 < body.size()) head.icc = body.substr(end + 2), head.icc_deflated = true;
    }
    if (v.Says(at + 4, "eXIf")) ReadTiff(v.Part(at + 8, length), false, head);
    if (v.Says(at + 4, "IEND")) {
      head.whole = true;
      return;
    }
    at += 12 + length;
  }
}

void ReadWebp(std::string_view bytes, ImageHead& head) {
  const ByteView v(bytes, true);
  const std::uint64_t end = 8 + static_cast<std::uint64_t>(v.U32(4));
  head.whole = v.size() >= end;
  for (std::uint64_t at = 12; v.Has(at, 8) && at < end;) {
    const std::uint64_t length = v.U32(at + 4), data = at + 8;
    if (v.Says(at, "VP8X")) {
      head.width_px = v.U24(data + 4) + 1u;
      head.height_px = v.U24(data + 7) + 1u;
    } else if (v.Says(at, "VP8 ") && head.width_px == 0) {
      head.width_px = v.U16(data + 6) & 0x3FFFu;
      head.height_px = v.U16(data + 8) & 0x3FFFu;
    } else if (v.Says(at, "VP8L") && head.width_px == 0) {
      const std::uint32_t bits = v.U32(data + 1);
      head.width_px = (bits & 0x3FFFu) + 1;
      head.height_px = (bits >> 14 & 0x3FFFu) + 1;
    } else if (v.Says(at, "ICCP") && length <= kLargestProfile) {
      head.icc = v.Part(data, length);
    } else if (v.Says(at, "EXIF")) {
      std::string_view body = v.Part(data, length);
      if (body.substr(0, 6) == std::string_view("Exif\0\0", 6)) body.remove_prefix(6);
      ReadTiff(body, false, head);
    }
    at = data + length + (length & 1);
  }
}

}  // namespace

void ReadExif(std::string_view tiff, ImageHead& head) { ReadTiff(tiff, false, head); }

ImageHead ReadImageHead(std::string_view bytes) {
  ImageHead head;
  const ByteView v(bytes, false);
  if (v.Says(0, "\xFF\xD8\xFF")) {
    head.kind = ImageKind::kJpeg;
    ReadJpeg(bytes, head);
  } else if (v.Says(0, "\x89PNG\r\n\x1a\n")) {
    head.kind = ImageKind::kPng;
    ReadPng(bytes, head);
  } else if (v.Says(0, std::string_view("II*\0", 4)) || v.Says(0, std::string_view("MM\0*", 4))) {
    head.kind = ImageKind::kTiff;
    ReadTiff(bytes, true, head);
  } else if (v.Says(0, "RIFF") && v.Says(8, "WEBP")) {
    head.kind = ImageKind::kWebp;
    ReadWebp(bytes, head);
  } else if (v.Says(4, "ftyp")) {
    head.kind = ImageKind::kHeif;
  } else if (v.Says(0, "%PDF")) {
    head.kind = ImageKind::kPdf;
  } else if (v.Says(0, "GIF8")) {
    head.kind = ImageKind::kGif;
  }
  return head;
}

}  // namespace truepull
