// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "truepull/photo_file.h"

namespace truepull {
namespace {

// A picture that looks different from every side: an F of dark bars on a light ground.
cv::Mat LetterF() {
  cv::Mat f(320, 240, CV_8UC3, cv::Scalar(210, 220, 230));
  cv::rectangle(f, {60, 40, 30, 240}, cv::Scalar(40, 60, 160), cv::FILLED);
  cv::rectangle(f, {60, 40, 130, 30}, cv::Scalar(40, 60, 160), cv::FILLED);
  cv::rectangle(f, {60, 140, 80, 30}, cv::Scalar(160, 60, 40), cv::FILLED);
  return f;
}

std::string Encode(const cv::Mat& picture, const char* ending, std::vector<int> options = {}) {
  std::vector<unsigned char> bytes;
  cv::imencode(ending, picture, bytes, options);
  return {bytes.begin(), bytes.end()};
}

std::string U16(unsigned v) { return {static_cast<char>(v >> 8), static_cast<char>(v)}; }
std::string U32(unsigned v) { return U16(v >> 16) + U16(v & 0xFFFF); }

// EXIF body: orientation, and in the exif folder a 35 mm equivalent and a size.
std::string Exif(unsigned orientation, unsigned focal, unsigned width, unsigned height) {
  std::string t = "MM" + U16(42) + U32(8);
  t += U16(2) + U16(274) + U16(3) + U32(1) + U16(orientation) + U16(0);
  t += U16(0x8769) + U16(4) + U32(1) + U32(8 + 2 + 24 + 4) + U32(0);
  t += U16(3) + U16(0xA405) + U16(3) + U32(1) + U16(focal) + U16(0);
  t += U16(0xA002) + U16(4) + U32(1) + U32(width);
  t += U16(0xA003) + U16(4) + U32(1) + U32(height) + U32(0);
  return t;
}

std::string JpegWith(const std::string& exif, const cv::Mat& picture) {
  const std::string plain = Encode(picture, ".jpg", {cv::IMWRITE_JPEG_QUALITY, 95});
  const std::string body = std::string("Exif\0\0", 6) + exif;
  return plain.substr(0, 2) + "\xFF\xE1" + U16(static_cast<unsigned>(body.size() + 2)) + body +
         plain.substr(2);
}

// A plain TIFF of one strip, RGB, with an orientation.
std::string TiffWith(unsigned orientation, const cv::Mat& bgr, unsigned bits = 8) {
  std::string pixels;
  for (int y = 0; y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      for (int c = 2; c >= 0; --c) {
        const unsigned v = bgr.at<cv::Vec3b>(y, x)[c];
        pixels += bits == 8 ? std::string(1, static_cast<char>(v)) : U16(v * 257);
      }
    }
  }
  const std::vector<std::array<unsigned, 4>> tags{
      {256, 4, 1, static_cast<unsigned>(bgr.cols)}, {257, 4, 1, static_cast<unsigned>(bgr.rows)},
      {258, 3, 3, 8 + 2 + 12 * 10 + 4},             {259, 3, 1, 1},
      {262, 3, 1, 2},                               {273, 4, 1, 8 + 2 + 12 * 10 + 4 + 6},
      {274, 3, 1, orientation},                     {277, 3, 1, 3},
      {278, 4, 1, static_cast<unsigned>(bgr.rows)}, {279, 4, 1, static_cast<unsigned>(pixels.size())}};
  std::string t = "MM" + U16(42) + U32(8) + U16(static_cast<unsigned>(tags.size()));
  for (const auto& [tag, type, count, value] : tags) {
    t += U16(tag) + U16(type) + U32(count);
    t += type == 3 && count == 1 ? U16(value) + U16(0) : U32(value);
  }
  return t + U32(0) + U16(bits) + U16(bits) + U16(bits) + pixels;
}

// How the upright picture is stored under each orientation (the inverse of upright).
cv::Mat StoredAs(const cv::Mat& upright, int orientation) {
  cv::Mat m;
  switch (orientation) {
    case 2: cv::flip(upright, m, 1); break;
    case 3: cv::flip(upright, m, -1); break;
    case 4: cv::flip(upright, m, 0); break;
    case 5: cv::transpose(upright, m); break;
    case 6: cv::rotate(upright, m, cv::ROTATE_90_COUNTERCLOCKWISE); break;
    case 7: cv::transpose(upright, m); cv::flip(m, m, -1); break;
    case 8: cv::rotate(upright, m, cv::ROTATE_90_CLOCKWISE); break;
    default: m = upright.clone();
  }
  return m;
}

double Worst(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() ? cv::norm(a, b, cv::NORM_INF) : 1e9;
}

TEST(LoadPhoto, MakesAllEightOrientationsUpright) {
  const cv::Mat f = LetterF();
  for (int o = 1; o <= 8; ++o) {
    const cv::Mat stored = StoredAs(f, o);
    const auto orientation = static_cast<unsigned>(o);
    const auto jpeg = DecodePhoto(JpegWith(Exif(orientation, 26, 0, 0), stored), "f.jpg");
    ASSERT_TRUE(jpeg) << o;
    EXPECT_LT(cv::norm(jpeg->bgr, f, cv::NORM_L1) / (320.0 * 240), 6) << "JPEG " << o;
    EXPECT_TRUE(jpeg->orientation_known);
    const auto tiff = DecodePhoto(TiffWith(orientation, stored), "f.tif");
    ASSERT_TRUE(tiff) << o;
    EXPECT_EQ(Worst(tiff->bgr, f), 0) << "TIFF " << o;
    const auto deep = DecodePhoto(TiffWith(orientation, stored, 16), "f.tif");
    ASSERT_TRUE(deep) << o;
    EXPECT_EQ(Worst(deep->bgr, f), 0) << "TIFF of 16 bits " << o;
  }
}

TEST(LoadPhoto, ReadsPngTiffAndWebp) {
  const cv::Mat f = LetterF();
  for (const char* ending : {".png", ".tiff"}) {
    const auto photo = DecodePhoto(Encode(f, ending), std::string("folder/f") + ending);
    ASSERT_TRUE(photo) << ending;
    EXPECT_EQ(Worst(photo->bgr, f), 0) << ending;
    EXPECT_EQ(photo->name, std::string("f") + ending);
  }
  const auto lossy = DecodePhoto(Encode(f, ".webp", {cv::IMWRITE_WEBP_QUALITY, 90}), "f.webp");
  ASSERT_TRUE(lossy);
  EXPECT_LT(cv::norm(lossy->bgr, f, cv::NORM_L1) / (320.0 * 240), 9);
  EXPECT_FALSE(lossy->orientation_known);
  const auto exact = DecodePhoto(Encode(f, ".webp", {cv::IMWRITE_WEBP_QUALITY, 101}), "f.webp");
  ASSERT_TRUE(exact);
  EXPECT_EQ(Worst(exact->bgr, f), 0);
}

TEST(LoadPhoto, ScalesSixteenBitsToEight) {
  const cv::Mat f = LetterF();
  cv::Mat deep;
  f.convertTo(deep, CV_16U, 257);
  const auto png = DecodePhoto(Encode(deep, ".png"), "deep.png");
  ASSERT_TRUE(png);
  EXPECT_EQ(Worst(png->bgr, f), 0);
  const auto tiff = DecodePhoto(TiffWith(1, f, 16), "deep.tif");
  ASSERT_TRUE(tiff);
  EXPECT_EQ(Worst(tiff->bgr, f), 0);
}

TEST(LoadPhoto, TurnsTheEquivalentFocalLengthIntoPixels) {
  // 26 mm on a picture of 240 x 320 with a diagonal of 400: 26 / 43.267 * 400.
  const auto photo = DecodePhoto(JpegWith(Exif(1, 26, 240, 320), LetterF()), "f.jpg");
  ASSERT_TRUE(photo);
  EXPECT_NEAR(photo->focal_px, 26 * 400 / 43.2666, 1e-3);
  // Cropped since: the equivalent no longer holds.
  EXPECT_EQ(DecodePhoto(JpegWith(Exif(1, 26, 4000, 3000), LetterF()), "f.jpg")->focal_px, 0);
}

std::string MessageOf(const Result<Photo>& r) { return r ? "decoded" : r.error().message; }

TEST(LoadPhoto, RefusesWhatIsNoPhoto) {
  EXPECT_EQ(MessageOf(DecodePhoto("", "a.jpg")), "a.jpg: is empty (0 bytes)");
  EXPECT_EQ(MessageOf(DecodePhoto("dear diary", "a.jpg")),
            "a.jpg: is not a photo that can be read (JPEG, HEIC, PNG, TIFF or WebP)");
  EXPECT_EQ(MessageOf(DecodePhoto("%PDF-1.7", "a.pdf")), "a.pdf: is a PDF, not a photo");
  EXPECT_EQ(MessageOf(DecodePhoto(std::string("\0\0\0\x18" "ftypheic", 12), "a.heic")),
            "a.heic: is a HEIC or AVIF file without a picture that can be decoded");
  const auto folder = LoadPhoto(std::filesystem::temp_directory_path());
  ASSERT_FALSE(folder);
  EXPECT_NE(folder.error().message.find("is a folder, not a file"), std::string::npos);
  const auto none = LoadPhoto("/no/such/photo.jpg");
  EXPECT_EQ(MessageOf(none), "/no/such/photo.jpg: there is no such file");
  EXPECT_EQ(none.error().code, ErrorCode::kUnreadableFile);
}

TEST(LoadPhoto, RefusesWrongSizesBeforeDecoding) {
  cv::Mat one(1, 1, CV_8UC3, cv::Scalar(9, 9, 9));
  EXPECT_EQ(MessageOf(DecodePhoto(Encode(one, ".png"), "one.png")),
            "one.png: is only 1 x 1 pixels; at least 200 a side are needed, 2000 or more do well");
  // The head alone says 20000 x 10000; no pixels follow, so nothing can be decoded.
  const std::string png = std::string("\x89PNG\r\n\x1a\n") + U32(13) + "IHDR" + U32(20000) + U32(10000) +
                          std::string("\x08\x02\0\0\0", 5) + U32(0) + U32(0) + "IEND" + U32(0);
  EXPECT_EQ(MessageOf(DecodePhoto(png, "big.png")),
            "big.png: is 20000 x 10000 pixels (200 megapixels); at most 100 megapixels can be read");
}

TEST(LoadPhoto, RefusesFilesThatAreCutShort) {
  cv::Mat noise(400, 300, CV_8UC3);
  cv::randu(noise, cv::Scalar::all(0), cv::Scalar::all(255));
  const std::string want = ": is cut short: the file ends in the middle of the picture";
  for (const char* ending : {".jpg", ".png", ".tiff", ".webp"}) {
    const std::string whole = Encode(noise, ending);
    ASSERT_TRUE(DecodePhoto(whole, "a")) << ending;
    for (const double share : {0.3, 0.6, 0.97}) {
      const auto cut = DecodePhoto(whole.substr(0, static_cast<std::size_t>(share * static_cast<double>(whole.size()))), "a");
      if (std::string(ending) == ".tiff") {
        // A TIFF's list of contents is often at its end; then nothing of it is known.
        EXPECT_FALSE(cut);
      } else {
        EXPECT_EQ(MessageOf(cut), "a" + want) << ending << share;
      }
    }
  }
  // Cut, but with the end mark put back: the decoder fills the rest with grey.
  const std::string jpeg = Encode(noise, ".jpg");
  EXPECT_EQ(MessageOf(DecodePhoto(jpeg.substr(0, jpeg.size() * 6 / 10) + "\xFF\xD9", "a")), "a" + want);
  const std::string progressive = Encode(noise, ".jpg", {cv::IMWRITE_JPEG_PROGRESSIVE, 1});
  ASSERT_TRUE(DecodePhoto(progressive, "a"));
  EXPECT_EQ(MessageOf(DecodePhoto(progressive.substr(0, progressive.size() * 6 / 10), "a")), "a" + want);
}

TEST(LoadPhoto, SurvivesEveryPrefixAndFlippedBytesOfAFile) {
  const std::string whole = JpegWith(Exif(6, 26, 240, 320), LetterF());
  for (std::size_t n = 0; n < 400; n += 3) EXPECT_FALSE(DecodePhoto(whole.substr(0, n), "a"));
  for (std::size_t i = 2; i < 160; ++i) {
    std::string changed = whole;
    changed[i] = static_cast<char>(~changed[i]);
    (void)DecodePhoto(changed, "a");  // Any answer will do; none may crash.
  }
}

}  // namespace
}  // namespace truepull
