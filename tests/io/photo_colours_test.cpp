// SPDX-License-Identifier: Apache-2.0
// HEIC files and embedded colour profiles; the tests make their own files.
#include <gtest/gtest.h>
#include <libheif/heif.h>
#include <zlib.h>

#include <array>
#include <cmath>
#include <cstring>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "io/colour_profile.h"
#include "support/heif_file.h"
#include "truepull/photo_file.h"

namespace truepull {
namespace {

using Colour = std::array<double, 3>;  // Red, green, blue, 0..1, coded.

double Linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }
double Coded(double l) { return l <= 0.0031308 ? 12.92 * l : 1.055 * std::pow(l, 1 / 2.4) - 0.055; }

// An sRGB colour as display-P3 numbers: by way of XYZ, with the matrices of CSS Color Module
// Level 4 (section 18, sample code), computed there from the primaries of IEC 61966-2-1 and
// SMPTE EG 432-1.
Colour P3FromSrgb(const Colour& srgb) {
  const double xyz_from_srgb[3][3] = {{506752. / 1228815, 87881. / 245763, 12673. / 70218}, {87098. / 409605, 175762. / 245763, 12673. / 175545}, {7918. / 409605, 87881. / 737289, 1001167. / 1053270}};
  const double p3_from_xyz[3][3] = {{446124. / 178915, -333277. / 357830, -72051. / 178915}, {-14852. / 17905, 63121. / 35810, 423. / 17905}, {11844. / 330415, -50337. / 660830, 316169. / 330415}};
  Colour xyz{}, p3{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) xyz[i] += xyz_from_srgb[i][k] * Linear(srgb[k]);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) p3[i] += p3_from_xyz[i][k] * xyz[k];
    p3[i] = Coded(p3[i]);
  }
  return p3;
}

// Patches of 80 x 80 pixels; what is asked of them after decoding.
const std::vector<Colour> kPatches{{0.90, 0.15, 0.12}, {0.20, 0.60, 0.25}, {0.23, 0.38, 0.66}, {0.48, 0.31, 0.63}, {0.94, 0.82, 0.38}, {0.5, 0.5, 0.5}, {0.97, 0.96, 0.93}, {0.14, 0.12, 0.10}, {1, 1, 1}};

cv::Mat Patches(bool in_p3, int depth = CV_8U) {
  const double most = depth == CV_16U ? 65535 : 255;
  cv::Mat out(240, 240, CV_MAKETYPE(depth, 3));
  for (std::size_t k = 0; k < kPatches.size(); ++k) {
    const Colour c = in_p3 ? P3FromSrgb(kPatches[k]) : kPatches[k];
    cv::rectangle(out, {80 * static_cast<int>(k % 3), 80 * static_cast<int>(k / 3), 80, 80}, cv::Scalar(std::round(most * c[2]), std::round(most * c[1]), std::round(most * c[0])), cv::FILLED);
  }
  return out;
}

// The greatest difference of a patch's middle from what it should be, code values of 255.
double WorstPatch(const Photo& photo) {
  double worst = 0;
  for (std::size_t k = 0; k < kPatches.size(); ++k) {
    const cv::Scalar mean = cv::mean(photo.bgr(cv::Rect(80 * static_cast<int>(k % 3) + 20, 80 * static_cast<int>(k / 3) + 20, 40, 40)));
    for (std::size_t c = 0; c < 3; ++c) worst = std::max(worst, std::abs(mean[static_cast<int>(c)] - 255 * kPatches[k][2 - c]));
  }
  return worst;
}

std::string Encode(const cv::Mat& picture, const char* ending, std::vector<int> options = {}) {
  std::vector<unsigned char> bytes;
  cv::imencode(ending, picture, bytes, options);
  return {bytes.begin(), bytes.end()};
}

std::string U16(std::size_t v) { return {static_cast<char>(v >> 8), static_cast<char>(v)}; }

// In a JPEG the profile may be in several parts (ICC.1:2022, annex B): here two, the second first.
std::string JpegWithProfile(const cv::Mat& picture, const std::string& icc) {
  const std::string plain = Encode(picture, ".jpg", {cv::IMWRITE_JPEG_QUALITY, 98});
  const auto part = [&](std::size_t number, const std::string& bytes) {
    return "\xFF\xE2" + U16(2 + 12 + 2 + bytes.size()) + std::string("ICC_PROFILE\0", 12) + static_cast<char>(number) + '\2' + bytes;
  };
  const std::size_t half = icc.size() / 2;
  return plain.substr(0, 2) + part(2, icc.substr(half)) + part(1, icc.substr(0, half)) + plain.substr(2);
}

std::string U32(std::size_t v) { return U16(v >> 16) + U16(v & 0xFFFF); }

// Compressed, right behind the head (PNG, section 11.3.2.3 iCCP).
std::string PngWithProfile(const cv::Mat& picture, const std::string& icc) {
  const std::string plain = Encode(picture, ".png");
  std::string packed(compressBound(icc.size()), '\0');
  uLongf size = packed.size();
  compress(reinterpret_cast<Bytef*>(packed.data()), &size, reinterpret_cast<const Bytef*>(icc.data()), icc.size());
  const std::string body = "iCCP" + std::string("p3\0\0", 4) + packed.substr(0, size);
  const std::string chunk = U32(body.size() - 4) + body + U32(crc32(0, reinterpret_cast<const Bytef*>(body.data()), static_cast<uInt>(body.size())));
  const std::size_t head = 8 + 25;
  return plain.substr(0, head) + chunk + plain.substr(head);
}

std::string WebpWithProfile(const cv::Mat& picture, const std::string& icc) {
  const std::string plain = Encode(picture, ".webp", {cv::IMWRITE_WEBP_QUALITY, 101});
  const auto le = [](std::size_t v, int n) {
    std::string out;
    for (int i = 0; i < n; ++i) out += static_cast<char>(v >> (8 * i));
    return out;
  };
  const std::string pad = icc.size() % 2 ? std::string(1, '\0') : "";
  const std::string head = "VP8X" + le(10, 4) + '\x20' + std::string(3, '\0') + le(static_cast<std::size_t>(picture.cols - 1), 3) + le(static_cast<std::size_t>(picture.rows - 1), 3);
  const std::string body = "WEBP" + head + "ICCP" + le(icc.size(), 4) + icc + pad + plain.substr(12);
  return "RIFF" + le(body.size(), 4) + body;
}

TEST(PhotoColours, DisplayP3ComesOutAsSrgbFromEveryKindOfFile) {
  const std::string icc = DisplayP3Profile();
  const cv::Mat p3 = Patches(true);
  ASSERT_GT(WorstPatch({p3, "raw", false, 0}), 15);  // Unconverted it is far off.
  const auto jpeg = DecodePhoto(JpegWithProfile(p3, icc), "a.jpg");
  ASSERT_TRUE(jpeg) << jpeg.error().message;
  // JPEG rounds brightness and two colour differences, up to 2 codes in a primary; going from P3 to
  // sRGB stretches that by up to 1.5.
  EXPECT_LT(WorstPatch(*jpeg), 3.5);
  const auto png = DecodePhoto(PngWithProfile(p3, icc), "a.png");
  ASSERT_TRUE(png) << png.error().message;
  EXPECT_LT(WorstPatch(*png), 1.6);
  const auto deep = DecodePhoto(PngWithProfile(Patches(true, CV_16U), icc), "a.png");
  ASSERT_TRUE(deep) << deep.error().message;
  EXPECT_LT(WorstPatch(*deep), 0.8);
  const auto webp = DecodePhoto(WebpWithProfile(p3, icc), "a.webp");
  ASSERT_TRUE(webp) << webp.error().message;
  EXPECT_LT(WorstPatch(*webp), 1.6);
  // Without a profile the numbers are sRGB's.
  const auto plain = DecodePhoto(Encode(Patches(false), ".png"), "a.png");
  ASSERT_TRUE(plain);
  EXPECT_LT(WorstPatch(*plain), 0.6);
}

TEST(PhotoColours, ADamagedOrForeignProfileIsPassedOver) {
  std::string broken = DisplayP3Profile();
  std::fill(broken.begin() + 60, broken.end(), '\x5A');
  const auto photo = DecodePhoto(WebpWithProfile(Patches(false), broken), "a.webp");
  ASSERT_TRUE(photo) << photo.error().message;
  EXPECT_LT(WorstPatch(*photo), 0.6);
}

TEST(PhotoColours, HeicAndAvifAreReadWithTheirColours) {
  for (const auto format : {heif_compression_HEVC, heif_compression_AV1}) {
    SCOPED_TRACE(format);
    const std::string plain = testing::HeifFile(Patches(false), format, "", false);
    if (plain.empty()) {
      std::puts("no encoder of this kind is installed (libheif plugin); not tried");
      continue;
    }
    const auto photo = DecodePhoto(plain, "a.heic");
    ASSERT_TRUE(photo) << photo.error().message;
    EXPECT_LT(WorstPatch(*photo), 4);
    EXPECT_TRUE(photo->orientation_known);
    const auto by_profile = DecodePhoto(testing::HeifFile(Patches(true), format, DisplayP3Profile(), false), "a.heic");
    ASSERT_TRUE(by_profile) << by_profile.error().message;
    EXPECT_LT(WorstPatch(*by_profile), 4);
    const auto by_numbers = DecodePhoto(testing::HeifFile(Patches(true), format, "", true), "a.heic");
    ASSERT_TRUE(by_numbers) << by_numbers.error().message;
    EXPECT_LT(WorstPatch(*by_numbers), 4);
    // Cut short in the picture's data: one plain sentence.
    const auto cut = DecodePhoto(plain.substr(0, plain.size() / 2), "a.heic");
    ASSERT_FALSE(cut);
    EXPECT_EQ(cut.error().code, ErrorCode::kPhotoUnusable);
  }
}

// A picture that looks different from every side, stored in all eight ways of ISO/IEC 23008-12's
// irot and imir; the numbers are EXIF's.
TEST(PhotoColours, HeicIsMadeUprightInAllEightWays) {
  cv::Mat f(320, 240, CV_8UC3, cv::Scalar(210, 220, 230));
  cv::rectangle(f, {60, 40, 30, 240}, cv::Scalar(40, 60, 160), cv::FILLED);
  cv::rectangle(f, {60, 40, 130, 30}, cv::Scalar(40, 60, 160), cv::FILLED);
  cv::rectangle(f, {60, 140, 80, 30}, cv::Scalar(160, 60, 40), cv::FILLED);
  int tried = 0;
  for (int o = 1; o <= 8; ++o) {
    cv::Mat m;
    switch (o) {  // How the upright picture is stored (the inverse of upright).
      case 2: cv::flip(f, m, 1); break;
      case 3: cv::flip(f, m, -1); break;
      case 4: cv::flip(f, m, 0); break;
      case 5: cv::transpose(f, m); break;
      case 6: cv::rotate(f, m, cv::ROTATE_90_COUNTERCLOCKWISE); break;
      case 7: cv::transpose(f, m); cv::flip(m, m, -1); break;
      case 8: cv::rotate(f, m, cv::ROTATE_90_CLOCKWISE); break;
      default: m = f;
    }
    const std::string bytes = testing::HeifFile(m, heif_compression_HEVC, "", false, static_cast<heif_orientation>(o));
    if (bytes.empty()) continue;
    ++tried;
    const auto photo = DecodePhoto(bytes, "f.heic");
    ASSERT_TRUE(photo) << o << photo.error().message;
    ASSERT_EQ(photo->bgr.size(), f.size()) << o;
    EXPECT_LT(cv::norm(photo->bgr, f, cv::NORM_L1) / (320.0 * 240), 6) << o;
  }
  if (tried == 0) GTEST_SKIP() << "no HEVC encoder is installed, so no HEIC can be made";
}

TEST(PhotoColours, SixteenBitsAreConvertedBeforeTheyAreRounded) {
  cv::Mat deep = Patches(true, CV_16U);
  ToSrgb(DisplayP3Profile(), deep);
  cv::Mat eight;
  deep.convertTo(eight, CV_8U, 1 / 257.0);
  EXPECT_LT(WorstPatch({eight, "deep", false, 0}), 0.8);
}

}  // namespace
}  // namespace truepull
